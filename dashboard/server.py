"""The dashboard's server, an ASGI app: it makes ready while the first browser draws its frame, and lets no fault be silent."""

import gc
import mimetypes
import os
import sys
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress
from importlib import import_module
from pathlib import Path
from pkgutil import iter_modules
from threading import Thread

import parts
import streamlit as st
from parts.unexpected import tell
from starlette.middleware import Middleware
from starlette.responses import Response
from starlette.types import ASGIApp, Receive, Scope, Send

from recommender.errors import OveredgeError

_STATIC = Path(st.__file__).parent / "static"
_FILES = {f"/{file.relative_to(_STATIC).as_posix()}": file for file in (_STATIC / "static").rglob("*") if file.is_file()}
"""By path of the address: the scripts, styles and fonts of Streamlit's frame, whose names change with what is in them."""
_FOR_GOOD = {"cache-control": "public, immutable, max-age=31536000"}


@asynccontextmanager
async def _opening(_app: st.App) -> AsyncIterator[None]:
    gc.disable()  # what is imported and read from now on is there to stay
    Thread(target=_make_ready, daemon=True).start()
    yield


def _make_ready() -> None:
    try:
        _open()
        for module in iter_modules(parts.__path__):
            import_module(f"parts.{module.name}")
    finally:
        gc.enable()


def _open() -> None:
    """Open the studio, and ask it what the first page will ask. Whoever started the server looks at the shell still, and is told there."""
    from parts.answers import answered
    from parts.studio import open_ahead  # here, for its imports take longest

    try:
        desk = open_ahead()
    except (OveredgeError, OSError) as error:
        print(error, file=sys.stderr, flush=True)  # noqa: T201  # there is no page yet
        os._exit(1)  # whatever the other threads are doing
    with suppress(OveredgeError):  # which the page that asks will tell
        for machine in list(desk.machines)[:1]:
            answered(desk, "drift", machine)


class Frame:
    """Sends the frame's files, of which the first page wants a hundred; Streamlit hands each to another thread and back several times."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        file = _FILES.get(scope["path"]) if scope["type"] == "http" and scope["method"] == "GET" else None
        if file is None:
            await self._app(scope, receive, send)
        else:
            kind, _ = mimetypes.guess_type(file.name)
            await Response(file.read_bytes(), media_type=kind, headers=_FOR_GOOD)(scope, receive, send)


app = st.App(Path(__file__).with_name("app.py"), lifespan=_opening, middleware=[Middleware(Frame)], on_script_error=tell)
