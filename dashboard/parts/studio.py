"""The studio behind the pages: opened once a server, shared by every tablet that looks at it."""

import os

import streamlit as st

from parts.answers import answered
from recommender import Studio


def studio() -> Studio:
    """The studio that `OVEREDGE_STUDIO` names, or the user's own.

    Raises
    ------
    StudioError
        If it cannot be opened.
    """
    return _opened(os.environ.get("OVEREDGE_STUDIO") or None)


@st.cache_resource(show_spinner=False)  # else the opening would be drawn, and there is no page yet
def make_ready() -> None:
    """Open the studio and ask it ahead what the first page will ask: a server has time while its first browser draws its frame.

    Raises
    ------
    StudioError
        If it cannot be opened.
    """
    desk = studio()
    for machine in list(desk.machines)[:1]:
        answered(desk, "drift", machine)


def say_if_invented(desk: Studio) -> None:
    """The demo's swatches were never sewn; whoever looks at them has to know."""
    if desk.invented:
        st.caption("Demo studio: its machines, cloths and swatches are invented.")


@st.cache_resource(show_spinner="Opening the studio", on_release=Studio.close)
def _opened(where: str | None) -> Studio:
    desk = Studio.open(where, waits=False)
    desk.warm()
    return desk
