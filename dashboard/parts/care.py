"""The care log of a machine: what was done to it, and how long its needles have been in."""

from collections.abc import Sequence
from datetime import UTC, datetime, time, timedelta
from typing import Any

import streamlit as st

from parts.reason import ask_who, ask_why, given_who, given_why
from parts.svg import escape
from parts.words import plain
from recommender import Studio
from recommender.advice.watching.needle import needle_age
from recommender.errors import OveredgeError
from recommender.swatches.care import Care
from recommender.swatches.columns import COLUMNS
from recommender.trade.care import DEEDS, NEEDLE_CHANGED
from recommender.trade.words import counted, day

_KEPT: dict[str, Any] = {"persist_state": "session"}
_SHOWN = 8
"""Entries that are shown at once; the older ones stand behind a button."""
_REASONS = ("touched by mistake", "another machine", "another day", "another deed")
"""Reasons that can be touched; any other can be typed."""
CAUTION = (
    "Switch off and unplug before your hand goes near needles, knife or loopers. The machine's manual and your local rules come first."
)


def show_care(studio: Studio, machine: str, care: Sequence[Care]) -> None:
    """What was done, newest first, and the form for what was done just now."""
    age = needle_age(studio.trials(machine=machine), care, machine)
    st.html(f"<div class='lead'>{escape(age.sentence if age else 'No change of needles is noted yet.')}</div>")
    _ask(studio, machine)
    if not care:
        st.caption("Nothing is noted yet. A service begins the watch over the machine anew.")
        return
    st.html(_table(care[:_SHOWN]))
    if older := care[_SHOWN:]:
        with st.expander(f"{counted(len(older), 'older entry', 'older entries')}"):
            st.html(_table(older))
    with st.expander("Take a wrong entry back"):
        _take_back(studio, care)


def _ask(studio: Studio, machine: str) -> None:
    state = st.session_state
    state.setdefault("care.deed", NEEDLE_CHANGED)
    st.pills("What was done?", DEEDS, key="care.deed", required=True, wrap=True, **_KEPT)
    with st.expander("More: another day, who, a note"):
        left, right = st.columns(2)
        state.setdefault("care.ago", 0)
        left.number_input("How many days ago?", 0, 3650, step=1, key="care.ago", help="0 for just now.", **_KEPT)
        with right:
            ask_who("care.who", "Who did it")
        st.text_input("Note", key="care.note", max_chars=int(COLUMNS["note"].rule.high), **_KEPT)
    st.html(f"<div class='caution' role='note'>{escape(CAUTION)}</div>")
    st.button("Note it", type="primary", key="note_care", on_click=_note, args=(studio, machine))
    if trouble := state.pop("care.trouble", ""):
        st.error(plain(trouble))


def _note(studio: Studio, machine: str) -> None:
    """Keep what the form says; run before the page is drawn, so that the form is empty afterwards."""
    state = st.session_state
    words = {name: (state.get(f"care.{name}") or "").strip() for name in ("who", "note")}
    try:
        studio.note_care(machine, state["care.deed"], when=_moment(state.get("care.ago") or 0), **words)
    except OveredgeError as error:
        state["care.trouble"] = str(error)
    else:
        state.update({"care.note": "", "care.ago": 0})


def _take_back(studio: Studio, care: Sequence[Care]) -> None:
    """Choose the entry that is wrong, and say why."""
    state, entries = st.session_state, {one.number: one for one in care}
    if state.get("care.wrong") not in entries:  # it may have been taken back elsewhere
        state["care.wrong"] = None
    st.selectbox(
        "Which entry?", list(entries), None, lambda number: _said(entries[number]), key="care.wrong", placeholder="choose", **_KEPT
    )
    ask_why("care.why", _REASONS)
    st.button("Take it back", key="take_care_back", disabled=state.get("care.wrong") is None, on_click=_withdraw, args=(studio,))
    st.caption("It stays in the log with the reason, and no longer counts.")
    if trouble := state.pop("care.back_trouble", ""):
        st.error(plain(trouble))


def _withdraw(studio: Studio) -> None:
    """Take the chosen entry back; run before the page is drawn, so that it is gone from the list."""
    state, why, by = st.session_state, given_why("care.why", needed=True), given_who("care.who")
    if why is None or by is None:
        return
    try:
        studio.withdraw_care(state["care.wrong"], why, by)
    except OveredgeError as error:
        state["care.back_trouble"] = str(error)
    else:
        state.update({"care.wrong": None, "care.why": None})


def _said(one: Care) -> str:
    """An entry in one line."""
    return " · ".join(part for part in (day(one.when), one.deed, one.who, one.note[:40]) if part)


def _moment(days: int) -> datetime | None:
    """The beginning of a past day, so that what was sewn later that day counts as sewn after it; None for now."""
    return datetime.combine(datetime.now().astimezone().date() - timedelta(days), time()).astimezone(UTC) if days else None


def _table(care: Sequence[Care]) -> str:
    rows = "".join(
        f"<tr><td class='day'>{day(one.when)}</td><td>{escape(one.deed)}"
        f"{_quiet(' · '.join(part for part in (one.who, one.note) if part))}</td></tr>"
        for one in care
    )
    return f"<table class='why'><tr><th>day</th><th>what was done</th></tr>{rows}</table>"


def _quiet(words: str) -> str:
    return f"<div class='quiet'>{escape(words)}</div>" if words else ""
