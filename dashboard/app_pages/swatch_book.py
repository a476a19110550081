"""Every cloth that was sewn here with its best setting; `?fabric=` opens one of them, `?trial=` one swatch."""

import streamlit as st
from parts.book import show_book
from parts.entry import show_entry
from parts.studio import say_if_invented, studio
from parts.swatch import show_swatch

desk = studio()
if trial := st.query_params.get("trial"):
    show_swatch(desk, trial)
elif fabric := st.query_params.get("fabric"):
    show_entry(desk, fabric)
else:
    st.title("Swatch book", anchor=False)
    say_if_invented(desk)
    show_book(desk)
