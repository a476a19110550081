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
    if _is_invented(desk.where, desk.version, desk):
        st.caption("Demo studio: its machines, cloths and swatches are invented.")


@st.cache_data(max_entries=3, show_spinner=False)
def _is_invented(where: str, version: int, _desk: Studio) -> bool:  # noqa: ARG001  # the first two tell one log from another
    return any(trial.id.startswith("demo-") for trial in _desk.trials())


@st.cache_resource(show_spinner="Opening the studio", on_release=Studio.close)
def _opened(where: str | None) -> Studio:
    return opened(where)
