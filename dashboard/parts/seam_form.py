"""The form that says which stitch is sewn with which threads; what is wrong with a field stands under it."""

from dataclasses import replace
from typing import Any

import streamlit as st

from parts import amounts
from parts.svg import escape
from parts.units import choose_thread_unit
from parts.words import asked, plain
from recommender import Thread, stitches
from recommender.trade.fabric import FIBRES
from recommender.trade.rules import rules_of
from recommender.trade.stitch import stitch
from recommender.trade.thread import KINDS, ORDINARY
from recommender.trade.words import said_in

_KEPT: dict[str, Any] = {"persist_state": "session"}
PLACES = ("needle", "looper")
"""Where the two threads run."""
SPOOL = ("tex", "denier", "Nm", "Ne", "metric ticket")
"""Counts that a spool may bear, shown beside each other."""


def choose_stitch() -> str:
    """The name of the chosen stitch."""
    st.session_state.setdefault("stitch", stitches()[0])
    name: str = st.selectbox("Stitch", stitches(), key="stitch", **_KEPT)
    return name


def show_stitch(name: str) -> None:
    """What the stitch is for, and its number."""
    chosen = stitch(name)
    st.html(f"<div class='quiet'>{escape(chosen.purpose)} ISO 4915: {escape(chosen.iso)}. {escape(chosen.iso_note)}</div>")


def describe_threads() -> tuple[Thread, Thread] | None:
    """Needle thread and looper thread; None where a field has to be mended, and says so itself."""
    for place in PLACES:
        _start(place)
    with st.expander(_wound(), key="threads"):
        left, right = st.columns(2)
        with left:
            needle = _ask("needle")
        with right:
            looper = _ask("looper")
        choose_thread_unit(_rewrite)
    return None if needle is None or looper is None else (needle, looper)


def _wound() -> str:
    """Both threads, to be seen while the fields of them are folded away."""
    needle, looper = (f"{st.session_state[f'{place}.size']} {st.session_state[f'{place}.fibre']}" for place in PLACES)
    return plain(f"Threads: {needle}" if needle == looper else f"Threads: needle {needle}, looper {looper}")


def fill_threads(*threads: Thread) -> None:
    """Put needle and looper thread into the form; before the form is drawn."""
    for place, thread in zip(PLACES, threads, strict=True):
        amounts.fill(f"{place}.size", "thread", thread.tex)
        for name in ("fibre", "kind"):
            st.session_state[f"{place}.{name}"] = getattr(thread, name)


def _start(place: str) -> None:
    for name in ("fibre", "kind"):
        st.session_state.setdefault(f"{place}.{name}", getattr(ORDINARY, name))
    if f"{place}.size" not in st.session_state:
        amounts.fill(f"{place}.size", "thread", ORDINARY.tex)


def _rewrite() -> None:
    for place in PLACES:
        amounts.rewrite(f"{place}.size", "thread")


def _ask(place: str) -> Thread | None:
    amounts.ask(f"{place.title()} thread", f"{place}.size", "thread", "With its unit: 27 tex, Nm 80/2, ticket 120.")
    found = asked(lambda: replace(ORDINARY, tex=amounts.needed(f"{place}.size", "thread", rules_of(Thread)["tex"])))
    if found is not None:
        amounts.say_if_doubted(f"{place}.size")
        st.caption("On the spool: " + ", ".join(said_in("thread", found.tex, count) for count in SPOOL))
    fibre = st.selectbox(f"{place.title()} thread, fibre", FIBRES, key=f"{place}.fibre", **_KEPT)
    kind = st.selectbox(f"{place.title()} thread, kind", KINDS, key=f"{place}.kind", **_KEPT)
    return None if found is None else replace(found, fibre=fibre, kind=kind)
