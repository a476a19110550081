"""The page follows the log: what another tablet saves shows here without a touch, and so does what the model has learned meanwhile."""

import streamlit as st

from parts.studio import studio
from parts.words import plain

EVERY = 2.0
"""Seconds between two looks, each of which reads one number off an index."""

_HELD = "follow.held"


def hold_still() -> None:
    """Leave the page alone until it is drawn again: a dialog that has been opened would be closed by that."""
    st.session_state[_HELD] = True


def follow_log(*, still: bool) -> None:
    """Say what the model is busy with, and draw the page again when the log or the model has changed.

    Parameters
    ----------
    still : leave the page alone, because somebody is filling in a form that depends on neither
    """
    desk = studio()
    version, learning = desk.version, desk.learning
    st.session_state[_HELD] = False
    if learning:
        st.info(plain(f"{learning} You may go on; nothing waits for it."))
    if not still:
        with st.container(key="unseen_watch"):
            _watch(version, learning)


@st.fragment(run_every=EVERY)
def _watch(version: int, learning: str) -> None:
    desk = studio()
    if (desk.version, desk.learning) != (version, learning) and not st.session_state[_HELD]:
        st.rerun()
