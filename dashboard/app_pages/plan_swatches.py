"""What waits to be sewn, in an order that spares work at the machine, and the plan of the next swatches."""

import streamlit as st
from parts.drift import warn_of_drift
from parts.planning import ask_plan, planned, show_plan
from parts.studio import say_if_invented, studio
from parts.waiting import show_list

st.title("Plan swatches", anchor=False)
desk = studio()
say_if_invented(desk)
if not desk.machines:
    st.info("A plan is made for a machine: its dials, its range, what it has been sewing. There is none here yet.")
    st.page_link("app_pages/new_fabric.py", label="Add the first one on New fabric")
    st.stop()

warnings = st.container()
show_list(desk)
ask_plan(desk)
show_plan(desk)
with warnings:
    warn_of_drift(desk, planned(desk))
