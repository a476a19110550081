"""Choosing a machine, and the first one."""

import streamlit as st

from parts.words import plain
from recommender import Machine, Studio
from recommender.errors import OveredgeError


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
        name = st.text_input("What do you call it?", "my machine", max_chars=60, key="machine.name")
        if st.button("Add this machine", type="primary"):
            try:
                studio.add_machine(Machine.generic(name.strip()))
            except OveredgeError as error:
                st.error(plain(error))
            else:
                st.rerun()
        st.caption("Other dials or parts? Describe them on the command line: `overedge machine --help`.")
