"""One entry of the care log: what was done to a machine."""

from dataclasses import dataclass, field
from datetime import UTC, datetime

from recommender.swatches.trial import Trial, in_utc
from recommender.trade.care import DEEDS
from recommender.trade.machine import Machine
from recommender.trade.names import unknown
from recommender.trade.rules import Rule, check_fields, ruled, rules_of

DEED_RULE = Rule(kind="choice", choices=DEEDS, help="What was done.")
"""The rule of a deed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Care:
    """Something done to a machine.

    >>> Care(machine="bench", deed="needle changed", note="size 80").deed
    'needle changed'

    Raises
    ------
    InvalidValue, UnknownName
        If there is no such deed, the moment has no time zone, or a text breaks its rule.
    """

    number: int = 0
    """Its place in the log, counting up; 0 before it is there."""
    when: datetime = field(default_factory=lambda: datetime.now(UTC))
    """When it was done, in UTC."""
    machine: str = ruled(rules_of(Machine)["name"])
    """Name of the machine."""
    deed: str = ruled(DEED_RULE)
    """What was done, one of `recommender.trade.care.DEEDS`."""
    who: str = ruled(rules_of(Trial)["who"], "")
    """Who did it."""
    note: str = ruled(rules_of(Trial)["note"], "")
    """Free text."""

    def __post_init__(self) -> None:
        if self.deed not in DEEDS:
            raise unknown("deed", self.deed, DEEDS)
        check_fields(self, "care")
        object.__setattr__(self, "when", in_utc(self.when, "care"))
        object.__setattr__(self, "who", self.who or "")
        object.__setattr__(self, "note", self.note or "")
