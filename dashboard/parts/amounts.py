"""A field for an amount and its unit, with what is wrong with it under it.

The text in the field is rounded; the amount behind it is not, so that a cloth of the log stays that cloth until somebody types.
"""

from typing import Any

import streamlit as st

from parts.units import other_unit, shown, unit
from parts.words import plain
from recommender.trade.rules import Rule
from recommender.trade.units import quantity
from recommender.trade.words import doubted, said_in

_KEPT: dict[str, Any] = {"persist_state": "session"}


def fill(key: str, name: str, value: float | None) -> None:
    """Put an amount into a field, in the unit shown now; None empties it."""
    text = "" if value is None else shown(name, value)
    st.session_state[key] = text
    st.session_state[f"{key}.behind"] = (text, value)


def rewrite(key: str, name: str) -> None:
    """Put what stands in a field into the unit shown now; what was typed wrong stays as it is."""
    text, value = st.session_state.get(f"{key}.behind", ("", None))
    if key in st.session_state and st.session_state[key] == text:
        fill(key, name, value)


def ask(label: str, key: str, name: str, help_words: str) -> None:
    """The field itself, its label naming the unit."""
    st.text_input(f"{label}, {unit(name)}", key=key, help=help_words, live=True, **_KEPT)


def read(key: str, name: str, rule: Rule) -> float | None:
    """The amount in base units, None where the field is empty; a bare number counts in the unit that the label names.

    Raises
    ------
    InvalidValue, AmbiguousUnit
        If it is no amount, or its rule does not allow it.
    """
    typed = (st.session_state.get(key) or "").strip()
    text, value = st.session_state.get(f"{key}.behind", (None, None))
    if typed != text:
        if not typed:
            value = None
        elif name == "thread" and "/" in typed:  # "80/2" alone is one thread to one sewer and another to the next: it is asked about
            value = quantity(name).read(typed)
        else:
            value = quantity(name).typed(typed, unit(name))
        st.session_state[f"{key}.behind"] = (typed, value)
    return None if value is None else quantity(name).within(value, rule, unit(name))


def needed(key: str, name: str, rule: Rule) -> float:
    """The same where there has to be one; an empty field is asked for its amount.

    Raises
    ------
    InvalidValue, AmbiguousUnit
        If it is no amount, or its rule does not allow it.
    """
    value = read(key, name, rule)
    return quantity(name).read("") if value is None else value


def say_if_doubted(key: str) -> None:
    """Under a thread's field that could be read, what a number without a unit was taken for, where it may be another count."""
    if words := doubted(st.session_state[key], unit("thread")):
        st.info(plain(words))


def say_other(name: str, value: float) -> None:
    """The amount in the other system, for what stands on the bolt."""
    st.caption(f"{shown(name, value)} is {said_in(name, value, other_unit(name))}.")
