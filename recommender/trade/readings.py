"""What a sewer reads off a swatch: five signed scores, and flags."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from recommender.errors import InvalidValue, UnknownName
from recommender.trade.rules import Rule

RULE = Rule(
    kind="number", low=-2, high=2, step=0.5, required=False, help="0 is as intended for this stitch; leave it out if you did not look."
)
"""The rule of every reading: -2 to +2 in half steps."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One of the five signed scores."""

    name: str
    """Name in the log."""
    title: str
    """What is looked at, in plain words."""
    minus: str
    """What -2 looks like."""
    nought: str
    """What 0 looks like."""
    plus: str
    """What +2 looks like."""


READINGS: Mapping[str, Reading] = MappingProxyType(
    {
        reading.name: reading
        for reading in (
            Reading("edge_lie", "How the edge lies", "gathered, puckered", "flat", "stretched, wavy"),
            Reading("looper_balance", "Where the looper threads meet", "upper loop drawn under", "on the edge", "lower loop drawn over"),
            Reading("needle_line", "The needle line", "ladders when opened", "snug", "drawn tight, pops when stretched"),
            Reading("edge_wrap", "How the loops wrap the edge", "loops hang off", "loops hug the edge", "edge rolls or tunnels"),
            Reading("stitch_cover", "How close the stitches lie", "gappy", "right", "crowded, stiff"),
        )
    }
)
"""The readings in the order in which a swatch is looked over."""

INTENDED: Mapping[str, str] = MappingProxyType(
    {
        "rolled": "Here the edge is meant to roll in, with a looper thread wrapped round it.",
        "flatlock": "Here the needle thread is meant to lie loose, so that the seam pulls open flat.",
        "two-thread": "Here no upper looper thread runs: the needle thread goes over the edge in its stead.",
        "gathering": "Here the edge is meant to gather.",
    }
)
"""By family of stitches, what would be a fault in others and is none here (common practice, no source)."""

FLAGS: Mapping[str, str] = MappingProxyType(
    {
        "skipped_stitches": "stitches were skipped",
        "thread_break": "a thread broke",
        "needle_holes": "the needle left holes",
        "jam": "the machine jammed",
    }
)
"""Faults that are there or not."""


def looks(name: str, score: float) -> str:
    """What a seam looks like at a score of a reading.

    >>> looks("edge_lie", -1), looks("edge_lie", 0), looks("edge_lie", 1.5)
    ('gathered, puckered: a little', 'flat', 'stretched, wavy: rather')
    """
    reading = READINGS[name]
    words = reading.nought if score == 0 else reading.plus if score > 0 else reading.minus
    return words + {0: "", 0.5: ": barely", 1: ": a little", 1.5: ": rather", 2: ""}[abs(score)]


def scored(name: str, score: float) -> str:
    """The same with its number.

    >>> scored("edge_lie", 0), scored("edge_lie", -1)
    ('flat (0)', 'gathered, puckered: a little (-1)')
    """
    return f"{looks(name, score)} ({score:+g})" if score else f"{looks(name, score)} (0)"


def checked_readings(readings: Mapping[str, Any] | None) -> Mapping[str, float]:
    """The readings that were made, checked and in the usual order; a reading given as None was not made.

    >>> dict(checked_readings({"needle_line": -1, "edge_lie": 0.5, "edge_wrap": None}))
    {'edge_lie': 0.5, 'needle_line': -1.0}

    Raises
    ------
    UnknownName
        If a reading is not one of `READINGS`.
    InvalidValue
        If a score is not a half step from -2 to +2.
    """
    if readings is None:
        return MappingProxyType({})
    if not isinstance(readings, Mapping):
        raise InvalidValue(f"readings: got {type(readings).__name__}, expected a mapping of reading names to scores")
    if unknown := [str(name) for name in readings if name not in READINGS]:
        raise UnknownName(f"reading: got {unknown[0]!r}, expected one of: {', '.join(READINGS)}")
    made = {name: RULE.check(name, readings.get(name)) for name in READINGS}
    return MappingProxyType({name: score for name, score in made.items() if score is not None})
