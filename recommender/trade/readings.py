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
"""The readings in the order in which a swatch is looked over, in the words for an ordinary overlock; `looks.py` has them by stitch."""

FLAGS: Mapping[str, str] = MappingProxyType(
    {
        "skipped_stitches": "stitches were skipped",
        "thread_break": "a thread broke",
        "needle_break": "a needle broke",
        "needle_holes": "the needle left holes",
        "jam": "the machine jammed",
    }
)
"""Faults that are there or not."""


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
