"""A planned swatch: what to set, of which seam, and what it is good for."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import prod
from typing import Protocol

from recommender.advice.moves import Move, moves_between
from recommender.advice.proposal import ENOUGH_RATINGS
from recommender.advice.words import spoken
from recommender.trade.asked import Named
from recommender.trade.fabric import Fabric
from recommender.trade.settings import Settings
from recommender.trade.thread import Thread


class Planned(Named, Protocol):
    """What is to be sewn and has not been rated yet: a planned swatch, or a proposal."""

    @property
    def settings(self) -> Settings:
        """What to set."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedSwatch:
    """One swatch to sew, and why."""

    fabric: Fabric
    """The cloth."""
    stitch: str
    """Name of the stitch."""
    machine: str
    """Name of the machine."""
    needle_thread: Thread
    """Thread in the needles."""
    looper_thread: Thread
    """Thread in the loopers."""
    settings: Settings
    """What to set, on the machine's steps and inside its ranges."""
    proposal: Settings
    """What would be proposed for this seam if nothing but passing mattered."""
    pass_chance: float
    """Chance that it passes, as far as is known now."""
    ratings: int
    """Number of rated swatches behind the chance."""
    gain: float
    """Share by which it shrinks the mean band width of the targets, 0 to 1, once those before it have been read."""
    tells: str
    """The control whose bands it shrinks most."""

    @property
    def chance_known(self) -> bool:
        """Whether there are ratings enough to say how likely a pass is."""
        return self.ratings >= ENOUGH_RATINGS

    @property
    def moves(self) -> tuple[Move, ...]:
        """Where it differs from the proposal."""
        return moves_between(self.proposal, self.settings)

    @property
    def reason(self) -> str:
        """What it is good for."""
        return f"It narrows the bands by {100 * self.gain:.1f} %, that of the {spoken(self.tells)} most."

    @property
    def sentence(self) -> str:
        """What to do, and what it is good for."""
        moves = " ".join(move.sentence for move in self.moves)
        set_up = f"As proposed, but: {moves}" if moves else "Set everything as proposed."
        return f"Sew {self.fabric.name}, {self.stitch} on {self.machine}. {set_up} {self.reason}"


def narrowing(planned: Sequence[PlannedSwatch]) -> float:
    """Share by which all swatches of one plan together shrink the mean band width, 0 to 1."""
    return 1 - prod(1 - swatch.gain for swatch in planned)
