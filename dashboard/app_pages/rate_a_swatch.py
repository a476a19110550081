"""Rate the swatch that was just sewn, and see what to move."""

import streamlit as st
from parts.before import show_before
from parts.drafts import current
from parts.meanwhile import say_what_changed
from parts.rating import rate_swatch, show_seam
from parts.result import show_result
from parts.studio import say_if_invented, studio
from parts.timeline import show_timeline
from parts.top import begin_at_top
from parts.waits_behind import say_what_waits

from recommender.trade.words import counted

st.title("Rate a swatch", anchor=False)
desk = studio()
say_if_invented(desk)
draft = current()

if draft is None:
    st.info("No swatch is being rated. Describe the cloth first; its proposal brings you back here with the settings filled in.")
    st.page_link("app_pages/new_fabric.py", label="To New fabric")
    if waiting := len(desk.pending()):
        st.page_link("app_pages/plan_swatches.py", label=f"To {counted(waiting, 'planned swatch')} on the list")
    st.stop()

begin_at_top(draft.mark, draft.saved is None)
with st.container(key="narrow"):
    show_seam(draft)
    if (saved := draft.saved) is None:
        say_what_waits(draft)
        show_before(draft, desk)
        rate_swatch(draft, desk)
    else:
        say_what_changed(draft, desk)
        show_result(draft, saved, desk)
    show_timeline(desk, draft.proposal)
