"""The dashboard: seven pages for a tablet beside the machine.

Run by `overedge serve` and `overedge demo`, which name the studio in the environment variable `OVEREDGE_STUDIO`.
"""

from pathlib import Path

import streamlit as st
from parts.follow import follow_log
from parts.keeping import kept, tell_browser
from parts.off_list import leave_list
from parts.top import begin_at_top
from parts.words import plain

from recommender.errors import OveredgeError

st.set_page_config(page_icon=Path(__file__).with_name("icon.svg"), layout="wide")
st.html(Path(__file__).parent / "parts" / "look.css")

page = st.navigation(
    [
        st.Page("app_pages/new_fabric.py", title="New fabric", default=True),
        st.Page("app_pages/rate_a_swatch.py", title="Rate a swatch"),
        st.Page("app_pages/swatch_book.py", title="Swatch book"),
        st.Page("app_pages/what_matters.py", title="What matters"),
        st.Page("app_pages/plan_swatches.py", title="Plan swatches"),
        st.Page("app_pages/machines.py", title="Machines"),
        st.Page("app_pages/the_log.py", title="The log"),
    ],
    position="top",
)
st.set_page_config(page_title=f"{page.title} · Overedge")
with kept():
    tell_browser()
    begin_at_top(page.title, st.query_params.to_dict())
    if page.title != "Plan swatches":
        leave_list()
    try:
        follow_log(still=page.title == "Rate a swatch")
        page.run()
    except OveredgeError as error:
        st.error(plain(error))
