"""What this tablet has taken off the list of planned swatches, so that it can be put back where it stood."""

from collections.abc import Callable
from dataclasses import dataclass

import streamlit as st

from parts.drafts import current
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
    sewn = studio.sewn_as(off.one.id) is not None
    words = f"{off.one.name}: it was rated meanwhile, on another tablet." if sewn else off.words
    st.html(f"<div role='status'>{escape(words)}</div>{setting(off.one.settings, {}, '')}")
    if not off.shown:  # what stood above it may have gone with it
        with st.container(key="unseen_off"):
            st.html(_INTO_VIEW, unsafe_allow_javascript=True)
    off.shown = True
    if waits:
        forget(off.one.id)
    elif not sewn:
        st.button("Put it back on the list", key=f"back.{off.one.id}", on_click=_put_back, args=(studio, off))


def take_off(studio: Studio, one: Pending, place: int) -> None:
    """Take a swatch off the list, once."""
    there: dict[str, Off] = st.session_state.setdefault("list.off", {})  # first, for a second touch may end the run at this
    if one.id in there:
        return
    words = f"Off the list: {one.name}."
    try:
        if studio.sewn_as(one.id) is None:
            studio.drop(one.id)
    except OveredgeError as error:
        words = f"{one.name}: {error}"
    there[one.id] = Off(one, place, words)


def _put_back(studio: Studio, off: Off) -> None:
    """Set the same seam and settings aside again, once."""
    one, there, carry = off.one, st.session_state.get("list.off", {}), renaming(off.one.id)
    if there.pop(one.id, None) is None:
        return
    try:
        again = studio.set_aside(**asking(one), settings=one.settings, reason=one.reason)
    except OveredgeError as error:
        there[one.id], off.words = off, str(error)
        return
    carry(again.id)


def renaming(gone: str) -> Callable[[str], None]:
    """A way to tell the plan and the swatch being rated by which id a planned swatch that was taken off is on the list again.

    It touches the session's state now and not when it is called: Streamlit may end a run at such a touch.
    """
    plan, draft = st.session_state.get("plan"), current()

    def carry(again: str) -> None:
        if plan is not None:
            plan.listed = {place: again if listed == gone else listed for place, listed in plan.listed.items()}
        if draft is not None and draft.saved is None and draft.pending == gone:
            draft.pending = again
        if draft is not None and draft.after is not None and draft.after[2] == gone:
            draft.after = (*draft.after[:2], again)

    return carry


def forget(pending_id: str) -> None:
    """Say no longer that a swatch was taken off."""
    st.session_state.get("list.off", {}).pop(pending_id, None)
