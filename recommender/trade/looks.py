"""What a swatch looks like at each score of a reading, in words: they go by the stitch, for 0 is as it is meant there."""

from dataclasses import replace
from functools import cache
from typing import Any

from recommender.trade.readings import READINGS, Reading
from recommender.trade.stitch import stitch
from recommender.trade.tables import table


@cache
def reading(name: str, on: str) -> Reading:
    """A reading as it is told of one stitch (data/readings.toml).

    >>> reading("edge_wrap", "four-thread overlock").nought, reading("edge_wrap", "rolled hem").nought
    ('loops hug the edge', 'rolled in and wrapped')

    Raises
    ------
    KeyError
        If there is no such reading.
    UnknownName
        If there is no such stitch.
    """
    told = READINGS[name]
    for row in _rows(on):
        told = replace(told, **row.get(name, {}))
    return told


def intended(on: str) -> str:
    """What would be a fault on other stitches and is none on this one; empty where there is nothing of the kind.

    >>> intended("gathering")
    'Here the edge is meant to gather.'
    """
    meant: list[str] = [row["intended"] for row in _rows(on) if "intended" in row]
    return meant[-1] if meant else ""


def looks(name: str, score: float, on: str) -> str:
    """What a swatch of a stitch looks like at a score of a reading.

    >>> [looks("edge_lie", score, "rolled hem") for score in (-1, 0, 1.5)]
    ['gathered, puckered: a little', 'flat', 'stretched, wavy: rather']
    """
    told = reading(name, on)
    words = told.nought if score == 0 else told.plus if score > 0 else told.minus
    return words + {0: "", 0.5: ": barely", 1: ": a little", 1.5: ": rather", 2: ""}[abs(score)]


def scored(name: str, score: float, on: str) -> str:
    """The same with its number.

    >>> scored("edge_lie", 0, "gathering"), scored("edge_lie", -1, "rolled hem")
    ('gathered as meant (0)', 'gathered, puckered: a little (-1)')
    """
    return f"{looks(name, score, on)} ({score:+g})" if score else f"{looks(name, score, on)} (0)"


def _rows(on: str) -> list[dict[str, Any]]:
    """The rows that hold for a stitch."""
    one = stitch(on)
    return [row for row in table("readings")["look"] if all(getattr(one, what) in those for what, those in row["when"].items())]
