"""The form that says which stitch is sewn with which threads."""

from typing import Any

import streamlit as st

from parts.svg import escape
from recommender import Thread, stitches
from recommender.trade.fabric import FIBRES
from recommender.trade.stitch import stitch
from recommender.trade.thread import KINDS, ORDINARY
from recommender.trade.units import thread_size

_KEPT: dict[str, Any] = {"persist_state": "session"}


def choose_stitch() -> str:
    """The name of the chosen stitch."""
    st.session_state.setdefault("stitch", stitches()[0])
    name: str = st.selectbox("Stitch", stitches(), key="stitch", **_KEPT)
    return name


def show_stitch(name: str) -> None:
    """What the stitch is for, and its number."""
    chosen = stitch(name)
    st.html(f"<div class='quiet'>{escape(chosen.purpose)} ISO 4915: {escape(chosen.iso)}. {escape(chosen.iso_note)}</div>")


def describe_threads() -> tuple[Thread, Thread]:
    """Needle thread and looper thread.

    Raises
    ------
    InvalidValue, AmbiguousUnit
        If what was typed is no thread; the message says what to write.
    """
    with st.expander("Threads"):
        left, right = st.columns(2)
        with left:
            _ask("needle")
        with right:
            _ask("looper")
    return _read("needle"), _read("looper")


def _ask(place: str) -> None:
    for name, value in {"size": f"{ORDINARY.tex:g} tex", "fibre": ORDINARY.fibre, "kind": ORDINARY.kind}.items():
        st.session_state.setdefault(f"{place}.{name}", value)
    wanted = "With its unit: 27 tex, Nm 80/2, ticket 120."
    st.text_input(f"{place.title()} thread, size", key=f"{place}.size", help=wanted, **_KEPT)
    st.selectbox(f"{place.title()} thread, fibre", FIBRES, key=f"{place}.fibre", **_KEPT)
    st.selectbox(f"{place.title()} thread, kind", KINDS, key=f"{place}.kind", **_KEPT)


def _read(place: str) -> Thread:
    size = thread_size(st.session_state[f"{place}.size"])
    return Thread(tex=size, fibre=st.session_state[f"{place}.fibre"], kind=st.session_state[f"{place}.kind"])
