"""The dashboard's server, an ASGI app: it makes ready while the first browser draws its frame, and lets no fault be silent."""

import gc
import mimetypes
import os
import sys
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
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

from recommender.errors import StudioError

_STATIC = Path(st.__file__).parent / "static"
_FILES = {f"/{file.relative_to(_STATIC).as_posix()}": file for file in (_STATIC / "static").rglob("*") if file.is_file()}
"""By path of the address: the scripts, styles and fonts of Streamlit's frame, whose names change with what is in them."""


@asynccontextmanager
async def _opening(_app: st.App) -> AsyncIterator[None]:
    Thread(target=_make_ready, daemon=True).start()
    yield


def _make_ready() -> None:
    """Open the studio and import what the pages consist of. Whoever started the server still looks at the shell, and is told there."""
    from parts.studio import make_ready  # here, for its imports take longest

    try:
        make_ready()
    except StudioError as error:
        print(error, file=sys.stderr, flush=True)  # noqa: T201  # there is no page yet
        os._exit(1)  # whatever the other threads are doing
    finally:
        gc.freeze()
        gc.enable()
    for module in iter_modules(parts.__path__):
        import_module(f"parts.{module.name}")


class _Frame:
    """Sends the frame's files, a hundred for the first page, as they are read; Streamlit hands each to a thread and back several times."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        file = _FILES.get(scope["path"]) if scope["type"] == "http" and scope["method"] == "GET" else None
        if file is None:
            await self._app(scope, receive, send)
        else:
            kind, _ = mimetypes.guess_type(file.name)
            kept = {"cache-control": "public, immutable, max-age=31536000"}
            await Response(file.read_bytes(), media_type=kind, headers=kept)(scope, receive, send)


app = st.App(Path(__file__).with_name("app.py"), lifespan=_opening, middleware=[Middleware(_Frame)], on_script_error=tell)
