"""Controls that the log cannot tell apart because they were moved together, and the swatch that would tell them apart.

Over the swatches that run both, with a and b their amounts above the baseline in units, the movement of a control is sum a^2, and
what of it is its own is what a straight line through b leaves, sum a^2 - (sum a b)^2 / sum b^2. Two controls are confused when
both were moved by `MOVED` in all and, of the one with less of its own, less than `NEARLY` of the movement and less than `APART` is
its own. The readings then say less of what it does alone than would one swatch with nothing but this control off by a unit.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from recommender.advice.effect import CONTROLS
from recommender.advice.model import Model, seams_of
from recommender.advice.moves import Move, moves_between
from recommender.advice.seam import Seam
from recommender.advice.search import scales
from recommender.advice.words import spoken
from recommender.learning import Array
from recommender.swatches.trial import Trial
from recommender.trade.fabric import Fabric
from recommender.trade.machine import Machine
from recommender.trade.settings import Settings
from recommender.trade.thread import Thread

MOVED = 4.0
"""Movement, in units squared, from which on a control was moved enough for the question to be asked: four swatches by one unit."""
NEARLY = 0.1
"""Share of its movement that is its own, below which a control was nearly always moved together with the other."""
APART = 0.9
"""Own movement, in units squared, from which on the log tells a control from the other: one swatch by one unit, rounding aside."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Confused:
    """Two controls that the log cannot tell apart, and the swatch that would."""

    one: str
    """Name of a control, as in `Settings.controls()`."""
    other: str
    """Name of the other."""
    moved: int
    """Swatches on which either was off its baseline, of those that run both."""
    own: float
    """What of the movement of the one with less is its own, from 0 (always moved together) to 1 (never)."""
    fabric: Fabric
    """The cloth to sew the swatch of: the last that ran both."""
    stitch: str
    """With which stitch."""
    machine: str
    """On which machine."""
    needle_thread: Thread
    """Thread in the needles."""
    looper_thread: Thread
    """Thread in the loopers."""
    settings: Settings
    """Of all settings of the two that would tell them apart, those most likely to pass; the rest as on the last swatch of it."""
    moves: tuple[Move, ...]
    """How `settings` differ from those of the last swatch of it."""
    sentence: str
    """All of this in words."""


@dataclass(frozen=True, slots=True)
class _Pair:
    """Two controls on the swatches that run both."""

    one: str
    """Name of a control."""
    other: str
    """Name of the other."""
    amounts: Array
    """Amounts of both, shape (n_trials, 2)."""

    @property
    def movement(self) -> float:
        """Of the one that was moved less."""
        return float((self.amounts**2).sum(axis=0).min())

    @property
    def confused(self) -> bool:
        """Whether the two cannot be told apart."""
        return self.movement >= MOVED and float(self.own()) < min(APART, NEARLY * self.movement)

    def own(self, more: Array | None = None) -> Array:
        """Own movement of the one with less, with one more swatch or for each of several, shape (...,)."""
        more = np.zeros(2) if more is None else more
        aa, bb = ((self.amounts**2).sum(axis=0)[i] + more[..., i] ** 2 for i in (0, 1))
        ab = self.amounts.prod(axis=1).sum() + more.prod(axis=-1)
        return np.asarray((aa * bb - ab**2) / np.maximum(np.maximum(aa, bb), 1e-12))


def confused(model: Model, trials: Sequence[Trial], machines: Mapping[str, Machine]) -> tuple[Confused, ...]:
    """Every pair of controls that the log cannot tell apart, those with the least movement of their own first.

    Parameters
    ----------
    trials, machines : the log behind the model
    """
    telling = [trial for trial in trials if trial.readings or trial.passed]
    seams = seams_of(telling, machines)
    amounts = np.array([_amounts(trial, seam) for trial, seam in zip(telling, seams, strict=True)]).reshape(-1, len(CONTROLS))
    found = []
    for i, j in combinations(range(len(CONTROLS)), 2):
        both = np.flatnonzero(np.isfinite(amounts[:, [i, j]]).all(axis=1))
        pair = _Pair(CONTROLS[i], CONTROLS[j], amounts[both][:, [i, j]])
        if pair.confused:
            found.append(_separated(model, pair, telling[both[-1]], seams[both[-1]]))
    return tuple(sorted(found, key=lambda each: (each.own, each.one, each.other)))


def _amounts(trial: Trial, seam: Seam) -> list[float]:
    """How far each of `CONTROLS` stood from the baseline; not a number where it was not logged."""
    stood = dict(zip(seam.controls, seam.amounts(trial.settings).tolist(), strict=True))
    logged = trial.settings.controls()
    return [stood[control] if control in stood and control in logged else math.nan for control in CONTROLS]


def _separated(model: Model, pair: _Pair, last: Trial, seam: Seam) -> Confused:
    """The pair with its swatch: of all steps of the two dials that tell the controls apart, those most likely to pass."""
    one, other = pair.one, pair.other
    places = [seam.controls.index(control) for control in (one, other)]
    one_scale, other_scale = (scales(seam)[place] for place in places)
    grid = np.stack(np.meshgrid(one_scale.amounts, other_scale.amounts, indexing="ij"), axis=-1).reshape(-1, 2)
    tried = np.repeat(seam.amounts(last.settings)[None], len(grid), axis=0)
    tried[:, places] = grid
    then = pair.own(grid)
    best = int(np.where(then >= min(APART, then.max()), model.outlook(seam).pass_chance(tried), -1.0).argmax())
    i, j = np.unravel_index(best, (len(one_scale.values), len(other_scale.values)))
    settings = last.settings.having({one: float(one_scale.values[i]), other: float(other_scale.values[j])})
    moves, moved = moves_between(last.settings, settings), int((np.abs(pair.amounts) > 1e-9).any(axis=1).sum())
    own = float(pair.own()) / pair.movement
    return Confused(
        one=one,
        other=other,
        moved=moved,
        own=own,
        fabric=last.fabric,
        stitch=last.stitch,
        machine=last.machine,
        needle_thread=last.needle_thread,
        looper_thread=last.looper_thread,
        settings=settings,
        moves=moves,
        sentence=_sentence(one, other, f"{'always' if own < 1e-9 else 'nearly always'} moved together ({moved} swatches)", last, moves),
    )


def _sentence(one: str, other: str, how: str, last: Trial, moves: Sequence[Move]) -> str:
    but = (
        f"set as for its last swatch but for this. {' '.join(move.sentence for move in moves)}" if moves else "set as for its last swatch."
    )
    return (
        f"{spoken(one).capitalize()} and {spoken(other)} were {how}, so the log cannot tell what each does alone. One more swatch "
        f"would: {last.fabric.name}, {last.stitch} on {last.machine}, {but}"
    )
