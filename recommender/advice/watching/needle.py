"""How long a machine's needles have been in."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from recommender.swatches.care import Care
from recommender.swatches.trial import Trial
from recommender.trade.care import NEEDLE_CHANGED
from recommender.trade.words import counted, day


@dataclass(frozen=True, slots=True)
class NeedleAge:
    """What has been sewn since the needles were last changed."""

    since: datetime
    """When they were changed."""
    swatches: int
    """Swatches sewn since then."""
    hours: float | None
    """The most hours on the needle that one of those swatches notes; None where none does."""

    @property
    def sentence(self) -> str:
        """The age in words."""
        sewn = counted(self.swatches, "swatch") if self.swatches else "no swatch"
        hours = "" if self.hours is None else f", {self.hours:g} hours by what was noted with them"
        return f"Needles changed on {day(self.since)}; {sewn} since then{hours}."


def needle_age(trials: Sequence[Trial], care: Sequence[Care], machine: str) -> NeedleAge | None:
    """The age of a machine's needles, or None where no change of them is noted.

    Parameters
    ----------
    trials : swatches, in any order
    care : what was done to machines, in any order
    """
    changes = [one.when for one in care if one.machine == machine and one.deed == NEEDLE_CHANGED]
    if not changes:
        return None
    since = max(changes)
    sewn = [trial for trial in trials if trial.machine == machine and trial.when >= since]
    hours = [trial.needle_hours for trial in sewn if trial.needle_hours is not None]
    return NeedleAge(since, len(sewn), max(hours, default=None))
