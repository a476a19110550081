"""Numbers and chances in words, and a person's own words kept as they were typed."""

import re
from collections.abc import Callable
from typing import TypeVar

import streamlit as st

from recommender.errors import OveredgeError

T = TypeVar("T")

_MARKS = re.compile(r"([!-/:-@\[-`{-~])")


def plain(text: object) -> str:
    r"""Text that a markdown label shows as it stands.

    >>> plain("a *rib* [x](y)")
    'a \\*rib\\* \\[x\\]\\(y\\)'
    """
    return _MARKS.sub(r"\\\1", " ".join(str(text).split()))


def number(value: float) -> str:
    """A setting as it is read off a dial.

    >>> number(4.0), number(0.3), number(2.25), number(1.2000000001)
    ('4', '0.3', '2.25', '1.2')
    """
    return f"{round(value, 2) + 0:g}"


def signed(value: float) -> str:
    """A difference with its sign, to two places.

    >>> signed(0.5), signed(-0.125), signed(0)
    ('+0.50', '-0.12', '+0.00')
    """
    return f"{value:+.2f}"


def chance(share: float) -> str:
    """A chance as a count of ten.

    >>> chance(0.72), chance(0.97), chance(0.02), chance(0.5)
    ('about 7 in 10', 'nearly always', 'hardly ever', 'about 5 in 10')
    """
    return "hardly ever" if share < 0.05 else "nearly always" if share >= 0.95 else f"about {max(1, min(9, round(share * 10)))} in 10"


def asked(question: Callable[[], T]) -> T | None:
    """What the question gives; where a person has to mend something first, the sentence that says so, and None."""
    try:
        return question()
    except OveredgeError as error:
        st.error(plain(error))
        return None
