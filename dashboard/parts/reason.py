"""Why something of the log is corrected or taken back, and who says so: the two fields, with what is wrong with them beside them."""

from collections.abc import Sequence
from typing import Any

import streamlit as st

from parts.words import plain
from recommender.swatches.columns import COLUMNS
from recommender.swatches.events import WHY
from recommender.trade.rules import Rule

_KEPT: dict[str, Any] = {"persist_state": "session"}
_WHO = COLUMNS["who"].rule


def ask_why(key: str, reasons: Sequence[str]) -> None:
    """The field for the reason: one of those that can be touched, or another that is typed."""
    told = "touch a reason, or type one and press Enter"
    st.selectbox("Why?", reasons, None, key=key, accept_new_options=True, placeholder=told, **_KEPT)
    if not st.session_state.get(key):
        st.caption("A reason that you type counts once you have pressed Enter.")
    _say(key)


def ask_who(key: str, label: str) -> None:
    """The field for a name."""
    st.text_input(label, key=key, max_chars=int(_WHO.high), **_KEPT)
    _say(key)


def given_why(key: str, *, needed: bool) -> str | None:
    """The reason, empty where none was given and none is `needed`; None where it cannot be, which stands beside its field from then on."""
    lacking = "nothing says why yet: touch a reason, or type one and press Enter, for what is typed without Enter is not taken"
    return _given(key, WHY[needed], "the reason", lacking)


def given_who(key: str) -> str | None:
    """The name, in the same way; it may be left out."""
    return _given(key, _WHO, "the name", "")


def _given(key: str, rule: Rule, noun: str, lacking: str) -> str | None:
    typed = (st.session_state.get(key) or "").strip()
    st.session_state.pop(_fault(key), None)
    if rule.fault(noun, typed) is None:
        return typed
    unfit = f"{noun} is too long, or has signs in it that cannot be printed: write it anew, in {rule.high:g} letters at most"
    told = unfit if typed else lacking
    st.session_state[_fault(key)] = (typed, f"{told[0].upper()}{told[1:]}.")
    return None


def _say(key: str) -> None:
    """What was wrong with a field when it was last asked for, until it says something else."""
    was, told = st.session_state.get(_fault(key), (None, ""))
    if was == (st.session_state.get(key) or "").strip():
        st.error(plain(told))


def _fault(key: str) -> str:
    return f"fault.{key}"
