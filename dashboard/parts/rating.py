"""The form for one swatch: what was set, pass or fail, what it looks like."""

from collections.abc import Iterator, Mapping
from typing import Any

import streamlit as st

from parts.drafts import Draft, pass_as_it_stands, rate, save
from parts.meanwhile import say_what_changed
from parts.photo import ask_photo
from parts.reading_cards import choose_readings
from parts.svg import escape
from parts.units import on_dial
from parts.words import plain
from recommender import Studio
from recommender.advice.words import spoken
from recommender.swatches.columns import COLUMNS
from recommender.trade.machine import Dial, Machine
from recommender.trade.needles import needle_size, packet_size, sizes
from recommender.trade.readings import FLAGS
from recommender.trade.words import listed, number

_KEPT: dict[str, Any] = {"persist_state": "session"}
_STOP = "Switch the machine off and unplug it before your hands go in. What to look at, in order, comes once the rating is saved."


def show_seam(draft: Draft) -> None:
    """Which seam this is about."""
    proposal = draft.proposal
    st.html(f"<div class='lead'>{escape(proposal.fabric.name)} · {escape(proposal.stitch)} · {escape(proposal.machine)}</div>")


def rate_swatch(draft: Draft, studio: Studio) -> None:
    """The whole form, with the button that saves it always in reach."""
    _settings(draft, studio.machines[draft.proposal.machine])
    _verdict(draft)
    if draft.passed is False:
        st.header("What does it look like?", anchor=False)
        st.caption("Touch the drawing that looks most like the swatch. Leave out what you did not look at.")
        choose_readings(draft)
        st.pills("Did anything else happen?", list(FLAGS), selection_mode="multi", format_func=FLAGS.__getitem__, key="flags", **_KEPT)
        if st.session_state["flags"]:
            st.html(f"<div class='caution' role='note'><b>Caution:</b> {escape(_STOP)}</div>")
    elif draft.passed:
        with st.expander("Add readings, if something is a little off"):
            choose_readings(draft)
    if draft.passed is not None:
        ask_photo(draft, studio)
        _details()
    with st.bottom:
        say_what_changed(draft, studio)
        _save(draft, studio)


def _settings(draft: Draft, machine: Machine) -> None:
    """Every control as it stood for this swatch."""
    st.header("Sewn with", anchor=False)
    controls, dials = (*draft.proposal.settings.controls(), "foot pressure"), machine.dials
    keys = {control: (f"set.{control}", dials.get(control)) for control in controls}
    for control, (key, dial) in keys.items():
        _hold(draft, control, key, dial)
    with st.container(key="settings", horizontal=True):
        for control, (key, dial) in keys.items():
            if dial is not None:
                _control(draft, control, key, dial)
    if draft.held:
        held = "; ".join(_held(draft, {control: dial for control, (_, dial) in keys.items()}))
        told = f"The profile of {machine.name} was changed: {held}. Look at the dial, and see that what was sewn stands here."
        st.html(f"<div class='caution' role='note'>{escape(told)}</div>")
        st.button("That is right", key="settled", on_click=draft.held.clear)


def _hold(draft: Draft, control: str, key: str, dial: Dial | None) -> None:
    """Hold a setting inside the dial's present range, for a draft may be older than the machine's profile; what stood there is noted."""
    stood = draft.held.get(control)
    if stood is not None and dial is not None and dial.holds(stood):  # the dial reaches it again
        st.session_state[key] = draft.held.pop(control)
    value = st.session_state.get(key)
    if value is not None and (dial is None or not dial.low <= value <= dial.high):
        draft.held.setdefault(control, value)
        st.session_state[key] = None if dial is None else min(max(value, dial.low), dial.high)


def _held(draft: Draft, dials: Mapping[str, Dial | None]) -> Iterator[str]:
    """What stood at the controls that are held, those that are alike in one."""
    alike: dict[str, list[str]] = {}
    for control, stood in draft.held.items():
        dial = dials[control]
        now = "for which there is no dial" if dial is None else f"where the dial goes from {number(dial.low)} to {number(dial.high)}"
        alike.setdefault(f"stood at {number(stood)}, {now} now", []).append(spoken(control))
    return (f"{listed(names)} {stood}" for stood, names in alike.items())


def _control(draft: Draft, control: str, key: str, dial: Dial) -> None:
    """One setting; whoever sets it has seen to it."""
    seen_to: dict[str, Any] = {"on_change": draft.held.pop, "args": (control, None)}
    label = on_dial(control, st.session_state.get(key))
    st.number_input(f"{label[0].upper()}{label[1:]}", dial.low, dial.high, None, step=dial.step, format="%g", key=key, **seen_to, **_KEPT)


def _verdict(draft: Draft) -> None:
    st.header("By your own standard", anchor=False)
    with st.container(key="verdict"):
        for column, (words, passed) in zip(st.columns(2), (("It passes", True), ("It fails", False)), strict=True):
            with column, st.container(key=f"verdict_{passed}", gap=None):
                chosen = " class='chosen'" if draft.passed is passed else ""
                st.html(f"<div{chosen}></div>")  # the button itself stays, and the focus on it
                st.button(words, width="stretch", key=f"verdict.{passed}", on_click=rate, args=(draft, passed))


def _details() -> None:
    """What is worth writing down and never asked for."""
    with st.expander("More: needle, seam length, who, a note"):
        left, right = st.columns(2)
        metric = [needle_size(size) for size in sizes()]
        left.selectbox("Needle size", metric, None, packet_size, key="needle_size", placeholder="not noted", **_KEPT)
        for column, name, label in ((right, "needle_hours", "Hours on this needle"), (left, "seam_change", "Seam length changed by, %")):
            column.number_input(label, value=None, format="%g", key=name, **COLUMNS[name].limits(), **_KEPT)
        right.text_input("Who sewed it", key="who", max_chars=int(COLUMNS["who"].rule.high), **_KEPT)
        st.text_area("Note", key="note", max_chars=int(COLUMNS["note"].rule.high), **_KEPT)


def _save(draft: Draft, studio: Studio) -> None:
    if draft.trouble:
        st.error(plain(draft.trouble))
    if draft.passed is None:
        words, deed = "It passes, nothing to add: save", pass_as_it_stands
    else:
        words, deed = "Save: it passes" if draft.passed else "Save: it fails", save
    st.button(words, type="primary", width="stretch", key="save", on_click=deed, args=(draft, studio))
