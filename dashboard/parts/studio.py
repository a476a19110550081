"""The studio behind the pages: opened once a server, shared by every tablet that looks at it."""

import os
from contextlib import suppress

import streamlit as st

from recommender import Studio
from recommender.errors import OveredgeError


def studio() -> Studio:
    """The studio that `OVEREDGE_STUDIO` names, or the user's own.

    Raises
    ------
    StudioError
        If it cannot be opened.
    """
    return _opened(os.environ.get("OVEREDGE_STUDIO") or None)


@st.cache_resource(show_spinner=False)  # of two that call each other the outer one draws, and there is no page yet
def open_ahead() -> Studio:
    """The same, for the server to open while its first browser draws its frame; a page that asks meanwhile waits for that.

    Raises
    ------
    StudioError
        If it cannot be opened.
    """
    return studio()


def say_if_invented(desk: Studio) -> None:
    """The demo's swatches were never sewn; whoever looks at them has to know."""
    if desk.invented:
        st.caption("Demo studio: its machines, cloths and swatches are invented.")


@st.cache_resource(show_spinner="Opening the studio", on_release=Studio.close)
def _opened(where: str | None) -> Studio:
    desk = Studio.open(where, waits=False)
    with suppress(OveredgeError):  # which the page that asks for it will tell
        desk.warm()
    return desk
