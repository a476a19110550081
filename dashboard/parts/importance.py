"""Which controls and which properties of the cloth the readings follow, and what would have to be sewn to see more."""

from collections.abc import Sequence

import streamlit as st

from parts.answers import answered
from parts.bars import bars
from parts.svg import escape
from parts.words import asked
from recommender import Studio
from recommender.advice.confused import Confused
from recommender.advice.words import spoken
from recommender.trade.asked import asking

_UNREAD = "None of the swatches has a reading yet. Readings say which way a swatch is off; without them nothing can be told apart."


def show_importance(studio: Studio) -> None:
    """Two lists of shares with their bands, what nothing can be said of, and the controls that the log cannot tell apart."""
    matters = answered(studio, "matters")
    if not matters.trials:
        if not studio.learning:  # of which the top of the page tells
            st.info(_UNREAD)
        return
    st.caption("How much of what differs between the readings comes from each. The mark across a bar holds it with 80 % probability.")
    with st.container(key="split_shares"):
        left, right = st.columns(2, gap="large")
    with left:
        st.header("Controls", anchor=False)
        st.html(bars(matters.controls, beside=matters.properties))
        _say_still("Never moved, so nothing can be said of it", matters.unmoved)
    with right:
        st.header("Cloth, thread, stitch and machine", anchor=False)
        st.html(bars(matters.properties, beside=matters.controls))
        _say_still("The same on all swatches, so nothing can be said of it", matters.alike)
    waiting = studio.pending() if matters.confused else ()
    for pair in matters.confused:
        st.html(f"<div class='rule'><strong>Not told apart:</strong> {escape(pair.sentence)}</div>")
        _offer(studio, pair, listed=any(one.asks_for(asking(pair), pair.settings) for one in waiting))


def _offer(studio: Studio, pair: Confused, *, listed: bool) -> None:
    """The way to sew the swatch that tells two controls apart; `listed` where it is on the list already."""
    if listed:
        st.page_link("app_pages/plan_swatches.py", label="It is on the list: to the planned swatches")
        return
    reason = f"It tells the {spoken(pair.one)} and the {spoken(pair.other)} apart."
    pressed = st.button("Put this swatch on the list", key=f"apart.{pair.one}.{pair.other}")
    if pressed and asked(lambda: studio.set_aside(**asking(pair), settings=pair.settings, reason=reason)):
        st.rerun()


def _say_still(why: str, names: Sequence[str]) -> None:
    if names:
        st.caption(f"{why}: {', '.join(names)}.")
