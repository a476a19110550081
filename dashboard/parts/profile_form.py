"""The questions that describe a machine: few are shown at first, and every dial and part can be told."""

from typing import Any

import streamlit as st

from parts.dials import PARTS
from parts.words import asked
from recommender import Machine
from recommender.trade.machine import Dial
from recommender.trade.rules import Rule, rules_of
from recommender.trade.settings import TENSION_RULE, Settings
from recommender.trade.thread import POSITIONS

_KEPT: dict[str, Any] = {"persist_state": "session"}
_MARKS = {"low": "lowest number", "high": "highest number", "step": "finest step", "home": "home mark"}
_FEED = {"differential": ("Differential feed", 0.1), "length": ("Stitch length, mm", 0.25), "width": ("Cutting width, mm", 0.5)}
_PRESSURE = Dial(0, 6, 0.5, 3)
"""What the form begins with where a machine has no dial for the presser foot's pressure."""
HOME = (
    "The home mark is where a dial stands for an ordinary overlock on plain medium woven cotton, with a seam that pleases you. "
    "If in doubt, sew one and read it off."
)


def fill(form: str, machine: Machine) -> None:
    """Write a machine's profile into the form of that name."""
    st.session_state.update(_filled(form, machine))


def is_touched(form: str, machine: Machine) -> bool:
    """Whether anything stands in the form otherwise than that machine's profile has filled it."""
    return any(st.session_state.get(key) != value for key, value in _filled(form, machine).items())


def _filled(form: str, machine: Machine) -> dict[str, Any]:
    """What a machine's profile puts into the form, by key."""
    tension = machine.tension
    anyone = next(iter(tension.values()))
    dials = {position: tension.get(position, anyone) for position in POSITIONS} | {"tension": anyone}
    dials |= {control: getattr(machine, control) for control in _FEED} | {"foot_pressure": machine.foot_pressure or _PRESSURE}
    told = {"threads": list(tension), "alike": len(set(tension.values())) == 1, "pressed": machine.foot_pressure is not None}
    told |= {f"{name}.{mark}": float(getattr(dial, mark)) for name, dial in dials.items() for mark in _MARKS}
    told |= {part: getattr(machine, part) for part in PARTS}
    return {f"{form}.{name}": value for name, value in told.items()}


def ask_profile(form: str, name: str) -> Machine | None:
    """The machine called `name` as the form describes it; None, and a sentence beside the field, where it makes no sense yet."""
    threads = st.pills("Which threads can it run?", POSITIONS, selection_mode="multi", key=f"{form}.threads", wrap=True, **_KEPT)
    st.markdown("**Tension dials**")
    st.caption(HOME)
    alike = st.toggle("All tension dials are alike", key=f"{form}.alike", on_change=_spread, args=(form,), **_KEPT)
    if alike:
        one = _ask_dial(f"{form}.tension", "Tension", TENSION_RULE, 0.5)
        tension = dict.fromkeys(threads, one)
    else:
        tension = {position: _ask_dial(f"{form}.{position}", f"{position.capitalize()}", TENSION_RULE, 0.5) for position in threads}
    st.markdown("**Parts**")
    has = {part: st.toggle(question, key=f"{form}.{part}", wrap=True, **_KEPT) for part, (question, *_) in PARTS.items()}
    with st.expander("The other dials: differential feed, stitch length, cutting width, presser foot"):
        feed = {control: _ask_dial(f"{form}.{control}", words, rules_of(Settings)[control], by) for control, (words, by) in _FEED.items()}
        pressure = _ask_pressure(form)
    dials = [*tension.values(), *feed.values(), *([pressure] if st.session_state[f"{form}.pressed"] else [])]
    if any(dial is None for dial in dials):
        return None
    return asked(lambda: Machine(name=name.strip(), tension=tension, foot_pressure=pressure, **feed, **has))


def _ask_pressure(form: str) -> Dial | None:
    if not st.toggle("The presser foot's pressure can be set by a number", key=f"{form}.pressed", wrap=True, **_KEPT):
        return None
    return _ask_dial(f"{form}.foot_pressure", "Foot pressure", rules_of(Settings)["foot_pressure"], 0.5)


def _ask_dial(key: str, words: str, rule: Rule, by: float) -> Dial | None:
    """Four numbers; where they make no dial, the sentence stands under them."""
    ends = {"low": (rule.low, rule.high), "high": (rule.low, rule.high), "home": (rule.low, rule.high)}
    with st.container(key=f"marks_{key}", horizontal=True):
        for mark, label in _MARKS.items():
            low, high = ends.get(mark) or (rules_of(Dial)["step"].low, rules_of(Dial)["step"].high)
            step = by if mark in ends else 0.05
            st.number_input(f"{words}: {label}", float(low), float(high), None, step=step, format="%g", key=f"{key}.{mark}", **_KEPT)
    return asked(lambda: Dial(*(st.session_state[f"{key}.{mark}"] for mark in _MARKS)))


def _spread(form: str) -> None:
    """Where the dials are told apart, each begins as all of them were; where they are alike again, all are as the first was."""
    state, alike = st.session_state, st.session_state[f"{form}.alike"]
    chosen = state[f"{form}.threads"] or POSITIONS
    for mark in _MARKS:
        if alike:
            state[f"{form}.tension.{mark}"] = state[f"{form}.{chosen[0]}.{mark}"]
        else:
            state.update({f"{form}.{position}.{mark}": state[f"{form}.tension.{mark}"] for position in POSITIONS})
