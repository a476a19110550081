"""What this tablet has taken off the list of planned swatches, so that it can be put back where it stood."""

from dataclasses import dataclass

import streamlit as st

from parts.setting import setting
from parts.svg import escape
from recommender import Studio
from recommender.errors import OveredgeError
from recommender.swatches.pending import Pending
from recommender.trade.asked import asking

_INTO_VIEW = "<script>document.querySelector('[class*=st-key-off_new]')?.scrollIntoView({ block: 'center' });</script>"


@dataclass(slots=True)
class Off:
    """One swatch that was taken off."""

    one: Pending
    """As it stood on the list."""
    place: int
    """Where it stood on the page, counted from 0, with those that were taken off before it."""
    words: str
    """What is said in its place."""
    shown: bool = False
    """Whether it was said."""


def taken_off() -> list[Off]:
    """What was taken off and not put back since the page was opened, in the order of the page."""
    off: dict[str, Off] = st.session_state.get("list.off", {})
    return sorted(off.values(), key=lambda one: one.place)


def leave_list() -> None:
    """Say nothing more of what was taken off: another page is open."""
    st.session_state.pop("list.off", None)


def show_off(studio: Studio, off: Off, *, waits: bool) -> None:
    """What is said in the place of a swatch, and the way back; `waits` where it could not be taken off."""
    st.html(f"<div role='status'>{escape(off.words)}</div>{setting(off.one.settings, {}, '')}")
    if not off.shown:  # what stood above it may have gone with it
        with st.container(key="unseen_off"):
            st.html(_INTO_VIEW, unsafe_allow_javascript=True)
    off.shown = True
    if waits:
        forget(off.one.id)
    else:
        st.button("Put it back on the list", key=f"back.{off.one.id}", on_click=_put_back, args=(studio, off))


def take_off(studio: Studio, one: Pending, place: int) -> None:
    """Take a swatch off the list."""
    words = f"Off the list: {one.name}."
    try:
        studio.drop(one.id)
    except OveredgeError as error:
        words = f"{one.name}: {error}"
    st.session_state.setdefault("list.off", {})[one.id] = Off(one, place, words)


def _put_back(studio: Studio, off: Off) -> None:
    """Set the same seam and settings aside again, once; the plan that it came from knows it by its new id."""
    one = off.one
    if one.id not in st.session_state.get("list.off", {}):
        return
    try:
        again = studio.set_aside(**asking(one), settings=one.settings, reason=one.reason)
    except OveredgeError as error:
        off.words = str(error)
        return
    forget(one.id)
    if (plan := st.session_state.get("plan")) is not None:
        plan.listed = {place: again.id if listed == one.id else listed for place, listed in plan.listed.items()}


def forget(pending_id: str) -> None:
    """Say no longer that a swatch was taken off."""
    st.session_state.get("list.off", {}).pop(pending_id, None)
