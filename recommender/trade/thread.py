"""The sewing thread."""

from dataclasses import dataclass

from recommender.trade.fabric import FIBRES
from recommender.trade.rules import Rule, check_fields, number, ruled

KINDS = ("spun", "corespun", "continuous filament", "textured")
POSITIONS = ("left needle", "right needle", "upper looper", "lower looper")
"""Every thread position of an overlock machine, left to right and top to bottom."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Thread:
    """One sewing thread.

    >>> Thread(tex=27)
    Thread(tex=27.0, fibre='polyester', kind='spun')

    Raises
    ------
    InvalidValue
        If a value is outside its range; the message names the field and both numbers.
    """

    tex: float = number(5, 300, "tex", help="Mass of 1000 m of the finished thread in grams.", source="tex: ISO 1144")
    """Linear density, g/km."""
    fibre: str = ruled(Rule(kind="choice", choices=FIBRES, help="What the thread is made of."), "polyester")
    """Fibre of the thread."""
    kind: str = ruled(Rule(kind="choice", choices=KINDS, help="How the thread is built; textured is the soft, fluffy kind."), "spun")
    """How the thread is built."""

    def __post_init__(self) -> None:
        check_fields(self, "thread")


ORDINARY = Thread(tex=27)
"""The thread taken where none is named: common practice for overlock cones, no source."""
