"""What moves the readings most in this studio's log, and what the log says of each control."""

import streamlit as st
from parts.effects import choose_control, choose_reading, show_effect
from parts.importance import show_importance
from parts.machines import choose_machine
from parts.pulls import show_pulls
from parts.score import show_score
from parts.studio import say_if_invented, studio

from recommender.trade.readings import READINGS
from recommender.trade.words import counted

st.title("What matters", anchor=False)
desk = studio()
say_if_invented(desk)
logged = len(desk.trials())

if not logged:
    st.info(
        "No swatch is logged yet. Each one you rate shows here: which controls and which properties of the cloth move the seam most, "
        "and how sure that is. Until then every proposal is the baseline: the trade's rules alone."
    )
    st.page_link("app_pages/new_fabric.py", label="To New fabric")
    st.stop()

st.caption(f"From {counted(logged, 'logged swatch')}.")
show_importance(desk)
st.header("What one step of each dial does", anchor=False)
left, right = st.columns(2)
with left:
    reading = choose_reading()
with right:
    machine = choose_machine(desk)
show_pulls(desk, machine, reading)
st.header(f"{READINGS[reading].title}: what one control does", anchor=False)
show_effect(desk, reading, choose_control())
show_score(desk)
