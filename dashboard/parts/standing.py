"""What was last described rightly: while a field has to be mended, the rest of the page stands by it."""

from typing import TypeVar

import streamlit as st

from parts.units import shown
from parts.words import plain
from recommender import Fabric, Thread

Threads = tuple[Thread, Thread]
T = TypeVar("T")


def standing(fabric: Fabric | None, threads: Threads | None) -> tuple[Fabric | None, Threads | None]:
    """Cloth and threads as they are now, or as they last were where they cannot be read now."""
    return _last("cloth.standing", fabric), _last("needle.standing", threads)


def say_what_stands(fabric: Fabric) -> None:
    """Say of which cloth the settings are, since the form says something else."""
    words = f"These are still the settings for {fabric.name}, {shown('weight', fabric.gsm)}: mend the field that says what is wrong."
    st.info(plain(words))


def _last(key: str, now: T | None) -> T | None:
    if now is not None:
        st.session_state[key] = now
    last: T | None = st.session_state.get(key)
    return last
