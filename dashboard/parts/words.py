"""Numbers and chances in words, and a person's own words kept as they were typed."""

import re
from collections.abc import Callable, Sequence
from itertools import accumulate, pairwise
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


def adding_up(amounts: Sequence[float], total: float) -> list[float]:
    """The amounts rounded to two places in such a way that they still add up to the rounded total.

    >>> adding_up([0.333, 0.333, 0.334], 1)
    [0.33, 0.34, 0.33]
    """
    sums = [round(part, 2) for part in accumulate(amounts)]
    sums[-1:] = [round(total, 2)] * bool(sums)
    return [round(after - before, 2) for before, after in pairwise([0.0, *sums])]


def listed(things: Sequence[str]) -> str:
    """Things in a row, as they are spoken.

    >>> listed(["length"]), listed(["left needle", "length", "width"])
    ('length', 'left needle, length and width')
    """
    return " and ".join(part for part in (", ".join(things[:-1]), things[-1] if things else "") if part)


def chance(share: float) -> str:
    """How often, out of ten.

    >>> chance(0.72), chance(0.97), chance(0.02), chance(0.1)
    ('about 7 times in 10', 'nearly always', 'hardly ever', 'about once in 10')
    """
    share = round(share, 2)  # so that equal numbers beside it have equal words
    if not 0.05 <= share < 0.95:
        return "hardly ever" if share < 0.05 else "nearly always"
    times = max(1, min(9, round(share * 10)))
    return "about once in 10" if times == 1 else f"about {times} times in 10"


def asked(question: Callable[[], T]) -> T | None:
    """What the question gives; where a person has to mend something first, the sentence that says so, and None."""
    try:
        return question()
    except OveredgeError as error:
        st.error(plain(error))
        return None
