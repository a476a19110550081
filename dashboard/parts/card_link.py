"""What the square on a card opens where the swatch was not sewn yet: New fabric with the seam filled in."""

import streamlit as st

from parts.cloth import fill_cloth
from parts.seam_form import fill_threads
from parts.words import asked
from recommender import Studio
from recommender.cards.link import is_seam, read_seam
from recommender.trade.asked import Asked
from recommender.trade.names import unknown


def follow_link(studio: Studio) -> None:
    """Fill the form in from the address, once; where the address says something that cannot be, a sentence."""
    given = st.query_params.to_dict()
    if not is_seam(given):
        return
    st.query_params.clear()  # what is typed from here on is not to be undone by a reload
    seam = asked(lambda: _known(studio, read_seam(given)))
    if seam is None:
        return
    fill_cloth(seam["fabric"])
    fill_threads(seam["needle_thread"], seam["looper_thread"])
    st.session_state["stitch"], st.session_state["machine"] = seam["stitch"], seam["machine"]


def _known(studio: Studio, seam: Asked) -> Asked:
    if seam["machine"] not in studio.machines:
        raise unknown("machine", seam["machine"], studio.machines)
    return seam
