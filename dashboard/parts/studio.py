"""The studio behind the pages: opened once a server, shared by every tablet that looks at it."""

import os

import streamlit as st

from recommender import Studio
from recommender.studio.opened import opened


def studio() -> Studio:
    """The studio that `OVEREDGE_STUDIO` names, or the user's own.

    Raises
    ------
    StudioError
        If it cannot be opened.
    """
    return _opened(os.environ.get("OVEREDGE_STUDIO") or None)


def say_if_invented(desk: Studio) -> None:
    """The demo's swatches were never sewn; whoever looks at them has to know."""
    if desk.invented:
        st.caption("Demo studio: its machines, cloths and swatches are invented.")


@st.cache_resource(show_spinner="Opening the studio", on_release=Studio.close)
def _opened(where: str | None) -> Studio:
    return opened(where)
