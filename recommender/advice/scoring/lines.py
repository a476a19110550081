"""A replayed log as lines: each trial with what was said of it, by the model and by two forecasters that only count."""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from math import log

import numpy as np
import numpy.typing as npt

from recommender.advice.scoring.replay import Foretold, Piece, piece
from recommender.learning import Array, Integers
from recommender.swatches.trial import Trial

PULL = 8.0
"""So many swatches of the whole log stand in for a stitch's own: about the best for such counts on simulated logs."""


@dataclass(frozen=True, slots=True)
class Line:
    """One trial of a replayed log."""

    trial: Trial
    """The trial."""
    piece: Piece
    """What it was a swatch of."""
    told: Foretold
    """What the model said of it."""
    rate: float
    """The base rate known then: share of passes among the trials before it, (passes + 1) / (trials + 2)."""
    stitch_rate: float
    """The baseline's forecast: the same of its stitch, drawn to the base rate by `PULL` swatches."""
    is_first: bool
    """Whether it was the first swatch of its piece."""
    gain: float
    """How much more the model's chance than the baseline's forecast gave to what happened, as a difference of logarithms."""


def log_score(chance: float, passed: bool) -> float:
    """Natural logarithm of the chance that was given to what happened; 0 at best."""
    return log(chance if passed else 1 - chance)


def lines(trials: Sequence[Trial], told: Sequence[Foretold]) -> tuple[Line, ...]:
    """The lines of a log, trials in the order of sewing; what was said from all other cloths stands beside rates that were, too."""
    pieces = [piece(trial) for trial in trials]
    passed = np.array([trial.passed for trial in trials], dtype=float)
    rate, stitch_rate = _rates(pieces, passed, np.array([said.apart for said in told], dtype=bool))
    chance = np.array([said.chance for said in told], dtype=float)
    gains = np.log(np.where(passed, chance, 1 - chance)) - np.log(np.where(passed, stitch_rate, 1 - stitch_rate))
    first = {mine: place for place, mine in reversed(list(enumerate(pieces)))}
    numbers = zip(rate.tolist(), stitch_rate.tolist(), gains.tolist(), strict=True)
    return tuple(
        Line(trial, mine, said, base, own, first[mine] == place, gain)
        for place, (trial, mine, said, (base, own, gain)) in enumerate(zip(trials, pieces, told, numbers, strict=True))
    )


def _rates(pieces: Sequence[Piece], passed: Array, apart: npt.NDArray[np.bool_]) -> tuple[Array, Array]:
    """The rate of passes and that of the trial's stitch: among the trials before it, or, where `apart`, among those of other cloths."""
    cloths, stitches = _places([cloth for cloth, *_ in pieces]), _places([stitch for _, stitch, _ in pieces])
    both = _places(list(zip(cloths.tolist(), stitches.tolist(), strict=True)))

    def known(what: Array, groups: Integers, mine: Integers) -> Array:
        """Sum of `what` over the group: before the trial, or over all but what is also its cloth's."""
        so_far = np.zeros(len(pieces))
        for group in range(int(groups.max(initial=-1)) + 1):
            members = groups == group
            so_far[members] = np.cumsum(what[members]) - what[members]
        return np.where(apart, np.bincount(groups, what)[groups] - np.bincount(mine, what)[mine], so_far)

    ones, whole = np.ones(len(pieces)), np.zeros(len(pieces), dtype=np.int64)
    if not pieces:
        return ones, ones
    rate = (known(passed, whole, cloths) + 1) / (known(ones, whole, cloths) + 2)
    return rate, (known(passed, stitches, both) + PULL * rate) / (known(ones, stitches, both) + PULL)


def _places(names: Sequence[Hashable]) -> Integers:
    """A number for each name, the same for the same."""
    numbers = {name: number for number, name in enumerate(dict.fromkeys(names))}
    return np.array([numbers[name] for name in names], dtype=np.int64)
