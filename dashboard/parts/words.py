"""Numbers and chances in words, and a person's own words kept as they were typed."""

import re
from collections.abc import Callable, Sequence
from itertools import accumulate, pairwise
from typing import TypeVar

import streamlit as st

from recommender.errors import OveredgeError

T = TypeVar("T")

_MARKS = re.compile(r"([!-/:-@\[-`{-~])")
_BLANKS = re.compile(r"[^\S\xa0]+")
"""Blanks and ends of lines, but for the blank at which no line ends."""
_BEFORE_UNIT = re.compile(r"(?<=[0-9]) (?=(?:%|mm\b|cm\b|m\b|tex\b|g/m2|oz))")


def plain(text: object) -> str:
    r"""Text that a markdown label shows as it stands.

    >>> plain("a *rib* [x](y)")
    'a \\*rib\\* \\[x\\]\\(y\\)'
    """
    return _MARKS.sub(r"\\\1", unbroken(_BLANKS.sub(" ", str(text)).strip()))


def unbroken(text: str) -> str:
    r"""Text in which no line ends between a number and its unit.

    >>> unbroken("it holds 80 % of 3 mm and 4 more")
    'it holds 80\xa0% of 3\xa0mm and 4 more'
    """
    return _BEFORE_UNIT.sub("\N{NO-BREAK SPACE}", text)


def adding_up(amounts: Sequence[float], total: float) -> list[float]:
    """The amounts rounded to two places in such a way that they still add up to the rounded total.

    >>> adding_up([0.333, 0.333, 0.334], 1)
    [0.33, 0.34, 0.33]
    """
    sums = [round(part, 2) for part in accumulate(amounts)]
    sums[-1:] = [round(total, 2)] * bool(sums)
    return [round(after - before, 2) for before, after in pairwise([0.0, *sums])]


def so_many(share: float) -> str:
    """How many of ten or twenty, beside the number; two chances are told apart by their numbers alone, for words make steps of them.

    >>> so_many(0.72), so_many(0.85), so_many(0.94), so_many(0.98), so_many(0.02), so_many(0.1)
    ('about 7 in 10', 'about 9 in 10', 'about 19 in 20', 'nearly all', 'hardly any', 'about 1 in 10')
    """
    percents = round(100 * share)  # so that equal numbers before it have equal words
    if not 3 <= percents <= 97:
        return "nearly all" if percents > 50 else "hardly any"
    of = 10 if 8 <= percents <= 92 else 20
    return f"about {(of * percents + 50) // 100} in {of}"


def asked(question: Callable[[], T]) -> T | None:
    """What the question gives; where a person has to mend something first, the sentence that says so, and None."""
    try:
        return question()
    except OveredgeError as error:
        st.error(plain(error))
        return None
