"""The dashboard's server, an ASGI app: it sends the frame while it makes ready what is drawn in it, and lets no fault be silent."""

import asyncio
import gc
import mimetypes
import os
import sys
import traceback
from contextlib import AbstractAsyncContextManager, AsyncExitStack, suppress
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from pkgutil import iter_modules
from threading import Thread
from typing import TYPE_CHECKING, cast

import parts
from starlette.responses import Response

from recommender.errors import OveredgeError

if TYPE_CHECKING:
    from starlette.types import Receive, Scope, Send
    from streamlit import App

_STATIC = Path(cast("str", find_spec("streamlit").origin)).parent / "static"  # type: ignore[union-attr]  # found without its import
_FRAME = {"/": _STATIC / "index.html"} | {
    f"/{file.relative_to(_STATIC).as_posix()}": file for file in (_STATIC / "static").rglob("*") if file.is_file()
}
"""By path of the address: what a browser has to have before it asks for a page, Streamlit's scripts, styles and fonts."""
_FOR_GOOD = "public, immutable, max-age=31536000"
"""How long a file of it is kept by the browser: its name changes with what is in it. That of the frame itself does not."""


class Server:
    """Sends the frame, of which the first page wants a hundred files, from its start on, and hands on what else is asked for to the pages.

    A browser that comes at once draws its frame while Streamlit is imported and the studio opened. Streamlit itself hands each file
    to another thread and back several times.
    """

    def __init__(self) -> None:
        self._life = AsyncExitStack()
        self._pages: asyncio.Task[App]

    async def __call__(self, scope: "Scope", receive: "Receive", send: "Send") -> None:
        if scope["type"] == "lifespan":
            await self._live(receive, send)
            return
        file = _FRAME.get(scope["path"]) if scope["type"] == "http" and scope["method"] == "GET" else None
        if file is not None:
            kind, _ = mimetypes.guess_type(file.name)
            kept = "no-cache" if file.suffix == ".html" else _FOR_GOOD
            await Response(file.read_bytes(), media_type=kind, headers={"cache-control": kept})(scope, receive, send)
        else:
            pages = await asyncio.shield(self._pages)
            await pages(scope, receive, send)

    async def _live(self, receive: "Receive", send: "Send") -> None:
        """From the start of the server to its end; the pages live as long as they can be asked for."""
        await receive()
        self._pages = asyncio.create_task(self._begin())
        self._pages.add_done_callback(_end_if_there_are_none)
        await send({"type": "lifespan.startup.complete"})
        await receive()
        await self._pages
        await self._life.aclose()
        await send({"type": "lifespan.shutdown.complete"})

    async def _begin(self) -> "App":
        pages, life = await asyncio.to_thread(_import_pages)
        await self._life.enter_async_context(life)
        Thread(target=_make_ready, daemon=True).start()
        return pages


def _import_pages() -> "tuple[App, AbstractAsyncContextManager[None]]":
    """The pages, and their life, in which they can be asked for."""
    gc.disable()  # what is imported and read from now on is there to stay
    import streamlit as st
    from parts.unexpected import tell

    pages = st.App(Path(__file__).with_name("app.py"), on_script_error=tell)
    return pages, pages.lifespan()(pages)


def _end_if_there_are_none(pages: "asyncio.Task[App]") -> None:
    """Whoever started the server looks at the shell still."""
    if not pages.cancelled() and (fault := pages.exception()) is not None:
        traceback.print_exception(fault)
        os._exit(1)  # whatever the other threads are doing


def _make_ready() -> None:
    try:
        _open()
        for module in iter_modules(parts.__path__):
            import_module(f"parts.{module.name}")
    finally:
        gc.enable()


def _open() -> None:
    """Open the studio, and ask it what the first page will ask; where it cannot be opened, that is told in the shell too."""
    from parts.answers import answered
    from parts.studio import open_ahead  # here, for its imports take longest

    try:
        desk = open_ahead()
    except (OveredgeError, OSError) as error:
        print(error, file=sys.stderr, flush=True)  # noqa: T201  # there is no page yet
        os._exit(1)
    with suppress(OveredgeError):  # which the page that asks will tell
        for machine in list(desk.machines)[:1]:
            answered(desk, "drift", machine)


app = Server()
