"""Which controls and which properties of the cloth the readings follow."""

import streamlit as st

from parts.bars import bars
from recommender import Studio


def show_importance(studio: Studio) -> None:
    """Two lists of shares with their bands."""
    matters = studio.matters()
    if not matters.trials:
        st.info("None of the swatches has a reading yet. Readings say which way a swatch is off; without them nothing can be told apart.")
        return
    st.caption("Share of all that the readings vary by; the whisker holds it with 80 % probability. A control never moved has none.")
    with st.container(key="split_shares"):
        left, right = st.columns(2, gap="large")
    with left:
        st.subheader("Controls", anchor=False)
        st.html(bars(matters.controls))
    with right:
        st.subheader("Cloth, thread, stitch and machine", anchor=False)
        st.html(bars(matters.properties))
