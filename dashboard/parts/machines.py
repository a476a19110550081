"""Choosing a machine, and adding the first one or another."""

from dataclasses import replace

import streamlit as st

from parts.words import plain
from recommender import Machine, Studio
from recommender.errors import InvalidValue, OveredgeError
from recommender.trade.machine import Dial
from recommender.trade.rules import rules_of

_LONGEST = int(rules_of(Machine)["name"].high)
_PARTS = {
    "removable_finger": "Removable finger",
    "converter": "Two-thread converter",
    "knife_disengages": "Knife can be disengaged",
    "rolled_position": "Rolled-hem position that sets the tension",
}


def choose_machine(studio: Studio) -> str:
    """The name of the chosen machine; there has to be one."""
    names = list(studio.machines)
    if st.session_state.setdefault("machine", names[0]) not in names:
        st.session_state["machine"] = names[0]
    name: str = st.selectbox("Machine", names, key="machine", persist_state="session")
    return name


def add_first_machine(studio: Studio) -> None:
    """What a machine is for, and the offer to add one."""
    with st.container(border=True):
        st.subheader("First, your machine", anchor=False)
        st.write(
            "Dial numbers mean something on one machine only, so every swatch is kept with its machine. Give yours a name and start "
            "with the ordinary profile: tension dials 0 to 9 with the home mark at 4, differential 0.7 to 2.0, stitch length 1 to 5 mm, "
            "cutting width 4 to 7 mm."
        )
        name = st.text_input("What do you call it?", "my machine", max_chars=_LONGEST, key="machine.name")
        if st.button("Add this machine", type="primary"):
            try:
                studio.add_machine(Machine.generic(name.strip()))
            except OveredgeError as error:
                st.error(plain(error))
            else:
                st.rerun()
        _other_dials()


def add_another_machine(studio: Studio) -> None:
    """The offer to add one more machine; drawn before the machine is chosen, so that the new one can be chosen at once."""
    with st.expander("Add another machine"):
        name = st.text_input("What do you call the other machine?", max_chars=_LONGEST, key="another.name").strip()
        left, right = st.columns(2)
        with left:
            home = _mark("Home mark of the tension dials", "home")
        with right:
            high = _mark("Highest number on the tension dials", "high")
        ordinary, rules = Machine.generic("ordinary"), rules_of(Machine)
        has = {part: st.toggle(words, getattr(ordinary, part), f"another.{part}", rules[part].help) for part, words in _PARTS.items()}
        if st.button("Add the other machine"):
            try:
                if name in studio.machines:
                    raise InvalidValue(f"machine name: got {name!r}, which is in this studio, expected a new one")
                tension = {position: replace(dial, high=high, home=home) for position, dial in ordinary.tension.items()}
                studio.add_machine(replace(ordinary, name=name, tension=tension, **has))
            except OveredgeError as error:
                st.error(plain(error))
            else:
                st.session_state["machine"] = name
                st.rerun()
        _other_dials()


def _mark(label: str, name: str) -> float:
    rule, dial = rules_of(Dial)[name], next(iter(Machine.generic("ordinary").tension.values()))
    key = f"another.{name}"
    return st.number_input(label, float(rule.low), float(rule.high), float(getattr(dial, name)), step=dial.step, format="%g", key=key)


def _other_dials() -> None:
    st.caption("Other dials or parts? Describe them on the command line: `overedge machine --help`.")
