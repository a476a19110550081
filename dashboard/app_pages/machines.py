"""The machines: their dials and parts, whether they still behave, and what was done to them."""

import streamlit as st
from parts.care import show_care
from parts.dials import drawn_profile, stitches_of
from parts.drift import show_drift
from parts.machines import add_machine, change_machine, choose_machine, follow_machine, say_what_was_done
from parts.studio import say_if_invented, studio

st.title("Machines", anchor=False)
desk = studio()
say_if_invented(desk)
say_what_was_done()
follow_machine(desk)

if not desk.machines:
    st.info(
        "No machine is described yet. Dial numbers mean something on one machine only, so every swatch is kept with its machine: its "
        "dials, what stands on them for an ordinary seam, and its parts."
    )
    add_machine(desk)
    st.stop()

name = choose_machine(desk)
machine, care = desk.machines[name], desk.care(name)
with st.container(key="split_machine"):
    left, right = st.columns(2, gap="large")
with left:
    st.header("Care", anchor=False)
    show_care(desk, name, care)
    st.header("Does it still behave?", anchor=False)
    show_drift(desk, name)
with right:
    st.header("Its dials and parts", anchor=False)
    st.html(drawn_profile(machine) + stitches_of(machine))
with st.expander("Change this profile"):
    change_machine(desk, name)
with st.expander("Add a machine"):
    add_machine(desk)
