"""The dashboard's server, for `streamlit run`: it opens the studio while the first browser draws its frame, and lets no fault be silent."""

import os
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from threading import Thread

import streamlit as st
from parts.unexpected import tell


@asynccontextmanager
async def _opening(_app: st.App) -> AsyncIterator[None]:
    Thread(target=_open_ahead, daemon=True).start()
    yield


def _open_ahead() -> None:
    from recommender.studio.opened import open_ahead  # here, for its imports take longest

    open_ahead(os.environ.get("OVEREDGE_STUDIO") or None)


app = st.App(Path(__file__).with_name("app.py"), lifespan=_opening, on_script_error=tell)
