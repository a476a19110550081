"""What the studio answers to a question about the whole log: asked once for each state of the log and of the model."""

from typing import Any

import streamlit as st

from recommender import Studio


def answered(desk: Studio, question: str, *about: Any) -> Any:
    """The answer of the studio's method of that name.

    Raises
    ------
    OveredgeError
        As the method does; an error is not kept.
    """
    return _answered(desk.where, desk.version, desk.learning, question, about, desk)


@st.cache_resource(max_entries=64, show_spinner=False)
def _answered(where: str, version: int, learning: str, question: str, about: tuple[Any, ...], _desk: Studio) -> Any:  # noqa: ARG001  # the first three tell one state from another
    return getattr(_desk, question)(*about)
