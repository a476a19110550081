"""A swatch that was planned for later."""

from dataclasses import dataclass, field
from datetime import UTC, datetime

from recommender.errors import InvalidValue
from recommender.swatches.trial import Trial, in_utc, new_id, thread_faults
from recommender.trade.asked import Asked, asking
from recommender.trade.fabric import Fabric
from recommender.trade.rules import Rule, check_fields, ruled, rules_of
from recommender.trade.settings import Settings
from recommender.trade.thread import ORDINARY, Thread
from recommender.trade.words import day

REASON_RULE = Rule(kind="text", low=0, high=2000, required=False, help="Why it is worth a piece of cloth, or why it no longer is.")
"""The rule of the reason for a planned swatch, and for taking one off the list."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pending:
    """One swatch on the list of those to be sewn.

    Raises
    ------
    InvalidValue
        If a value breaks its rule, or the tensions are not those of the threads that the stitch runs.
    """

    id: str = field(default_factory=new_id)
    """Its own mark on the list."""
    when: datetime = field(default_factory=lambda: datetime.now(UTC))
    """When it was put there, in UTC."""
    fabric: Fabric
    """The cloth."""
    stitch: str = ruled(rules_of(Trial)["stitch"])
    """Name of the stitch."""
    machine: str = ruled(rules_of(Trial)["machine"])
    """Name of the machine in this studio."""
    needle_thread: Thread = ORDINARY
    """Thread in the needles."""
    looper_thread: Thread = ORDINARY
    """Thread in the loopers."""
    settings: Settings
    """What to set."""
    reason: str = ruled(REASON_RULE, "")
    """Why it is worth a piece of cloth."""

    def __post_init__(self) -> None:
        check_fields(self, "planned swatch")
        object.__setattr__(self, "when", in_utc(self.when, "planned swatch"))
        object.__setattr__(self, "reason", self.reason or "")
        for position, fault in thread_faults(self.stitch, self.settings.tension).items():
            raise InvalidValue(f"settings tension: {position}: {fault}")

    @property
    def name(self) -> str:
        """The seam in short: cloth, stitch and machine."""
        return f"{self.fabric.name}, {self.stitch} on {self.machine}"

    def asks_for(self, seam: Asked, settings: Settings) -> bool:
        """Whether it is a swatch of that seam with those settings."""
        return asking(self) == seam and self.settings == settings

    @property
    def entry(self) -> str:
        """How the list names it: the seam, and the day on which it was planned."""
        return f"{self.name}, planned {day(self.when)}"
