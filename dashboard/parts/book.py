"""The swatch book as a list: find a cloth, see what it was best sewn with, open it."""

from collections.abc import Sequence
from typing import Any

import streamlit as st

from parts.amounts import ask, read, rewrite
from parts.opening import book_now, open_with
from parts.paging import shown_page
from parts.rows import show_rows
from parts.sewn import cloth_words, numbers, picture, seen, tally
from parts.svg import escape
from parts.words import asked, plain
from recommender import Studio
from recommender.advice.book import Entry, Wanted, find
from recommender.swatches.columns import COLUMNS
from recommender.trade.words import counted, day

_KEPT: dict[str, Any] = {"persist_state": "session"}
_PAGE = 12
_PASSED = {"any": None, "has passed": True, "nothing passed yet": False}
_FILTERS: dict[str, Any] = {
    "book.text": "",
    "book.fibres": [],
    "book.low": "",
    "book.high": "",
    "book.stitch": None,
    "book.machine": None,
    "book.passed": "any",
}


def show_book(studio: Studio) -> None:
    """The list with its search; where nothing is logged, what to do about it."""
    entries, withdrawn = book_now(studio), studio.withdrawn()
    if entries:
        _list(studio, entries)
    else:
        st.info("The book is empty. Every swatch that you rate is kept here under its cloth, with the best setting found so far.")
        st.page_link("app_pages/new_fabric.py", label="To New fabric")
    if withdrawn:
        with st.expander("Withdrawn swatches"):
            show_rows(studio, withdrawn[::-1], "withdrawn", named=True)


def _list(studio: Studio, entries: Sequence[Entry]) -> None:
    wanted = _ask(entries)
    found = find(entries, wanted)
    _say(len(found), len(entries), is_all=wanted == Wanted())
    if not found:
        st.info("No cloth of the book is like that. Take something out of the search, or show all again.")
        return
    photographed = studio.photographed()
    for place, entry in enumerate(shown_page(found, "page.book", _PAGE)):
        with st.container(key=f"opens_{place}", gap=None):
            open_with(plain(entry.title), f"open.{place}", fabric=entry.title)
            st.html(_card(studio, entry, photographed))


def _ask(entries: Sequence[Entry]) -> Wanted:
    """The search box, and what else may be asked for."""
    state, there = st.session_state, sorted({entry.fabric.fibre for entry in entries})
    for key, nothing in _FILTERS.items():
        state.setdefault(key, nothing)
    state["book.fibres"] = [fibre for fibre in state["book.fibres"] if fibre in there]  # its last swatch may have been withdrawn
    text = st.text_input("Find a cloth", key="book.text", type="search", live=True, placeholder="name, fibre, stitch, a note", **_KEPT)
    with st.expander("Narrow it down"):
        left, right = st.columns(2)
        with left:
            fibres = st.multiselect("Main fibre", there, key="book.fibres", placeholder="any", **_KEPT)
            low, high = _weight("From", "book.low"), _weight("To", "book.high")
        with right:
            sewn = [one for entry in entries for one in entry.sewn]
            stitch = _choice("Stitch", "book.stitch", {one.stitch for one in sewn})
            machine = _choice("Machine", "book.machine", {one.machine for one in sewn})
        passed = st.segmented_control("Rating", list(_PASSED), required=True, key="book.passed", **_KEPT)
    return Wanted(
        text=text or "",
        fibres=frozenset(fibres),
        gsm_low=low,
        gsm_high=high,
        stitch=stitch,
        machine=machine,
        passed=_PASSED[passed or "any"],
    )


def _weight(label: str, key: str) -> float | None:
    """One end of the weights, in the chosen units; what is no weight is told and asks for nothing."""
    rewrite(key, "weight")
    ask(label, key, "weight", "Of one layer; leave it empty for any.")
    return asked(lambda: read(key, "weight", COLUMNS["gsm"].rule))


def _choice(label: str, key: str, names: set[str]) -> str | None:
    """One of the names, or any."""
    if st.session_state.get(key) not in names:
        st.session_state[key] = None
    chosen: str | None = st.selectbox(label, sorted(names), None, key=key, placeholder="any", **_KEPT)
    return chosen


def _say(found: int, there: int, *, is_all: bool) -> None:
    """How many there are, and the way back to all of them."""
    with st.container(horizontal=True, vertical_alignment="center"):
        cloths = counted(there, "cloth")
        st.caption(f"{cloths}, the last sewn first" if is_all else f"{found} of {cloths}")
        if not is_all:
            st.button("Show all again", on_click=_forget)


def _forget() -> None:
    st.session_state.update(_FILTERS)


def _card(studio: Studio, entry: Entry, photographed: frozenset[str]) -> str:
    """One cloth: photo, description, best setting, readings, ratings."""
    best = entry.best
    pictured = [trial.id for trial in (*([best.trial] if best else []), *entry.trials) if trial.id in photographed]
    photo = picture(studio, pictured[0], f"Photo of a swatch of {entry.title}") if pictured else ""
    head = f"<div class='quiet'>{escape(cloth_words(entry.fabric))}</div>"
    foot = f"{tally(entry.trials)}<div class='quiet'>last sewn {day(entry.last)}</div>"
    if best is None:
        where = " and ".join(dict.fromkeys(f"{one.stitch} on {one.machine}" for one in entry.sewn[:2]))
        body = f"<div>Nothing has passed yet: {escape(where)}.</div>"
    else:
        others = len(entry.sewn) - 1
        more = f" <span class='quiet'>and {counted(others, 'more seam')}</span>" if others else ""
        body = f"<div>Best for <b>{escape(best.trial.stitch)}</b> on <b>{escape(best.trial.machine)}</b>{more}</div>"
        body += numbers(best.trial.settings) + f"<div class='quiet'>{escape(seen(best.trial))}</div>"
    return f"<div class='entry'>{photo}<div>{head}{body}</div><div>{foot}</div></div>"
