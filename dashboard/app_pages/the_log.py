"""The log as a whole: in from a spreadsheet, out to one, held against its rules, and what there is of it."""

import streamlit as st
from parts.facts import show_facts
from parts.intake import take_in
from parts.studio import say_if_invented, studio
from parts.taking_out import offer_files
from parts.validation import check_log

st.title("The log", anchor=False)
desk = studio()
say_if_invented(desk)

st.header("In from a spreadsheet", anchor=False)
take_in(desk)
with st.container(key="split_log"):
    left, right = st.columns(2, gap="large")
with left:
    st.header("Out to a file", anchor=False)
    offer_files(desk)
with right:
    st.header("This studio", anchor=False)
    show_facts(desk)
st.header("Does every swatch keep to the rules?", anchor=False)
check_log(desk)
