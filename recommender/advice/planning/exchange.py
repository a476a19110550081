"""The search for the swatch that is worth most: a first spread over every seam, then one control at a time where it looks best.

A swatch is worth

    chance to be the first of its seam to pass + learning * share by which the mean band width shrinks       (10)

The first term is E[P(pass | theta) prod_i (1 - P(pass_i | theta))] over the swatches i that are planned of the same seam or pending.
No settings of a seam are planned twice, nor those that failed: sewn once more they tell how even the machine is, and not where to set it.
The band width is that of `recommender.advice.planning.foresight`. The second step of the search is coordinate exchange: Meyer and
Nachtsheim, Technometrics 37, 1995, 60-69 (from memory).
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from recommender.advice.moves import among
from recommender.advice.outlook import Outlook
from recommender.advice.planning.foresight import Target, mean_width, mean_width_after
from recommender.advice.planning.joint import Joint
from recommender.advice.planning.options import Options, legible
from recommender.advice.seam import Seam
from recommender.learning import Array
from recommender.trade.settings import Settings

_SWEEPS = 4
_REFINED = 4
"""How many seams are looked at closely: those whose first spread did best."""

_SPARED = 0.97
"""How much of a swatch's worth is kept when controls are put back to the proposal: fewer moves are fewer slips."""

_DRAWS = 128


@dataclass(frozen=True, slots=True)
class Bench:
    """One seam that swatches can be sewn of."""

    place: int
    """Which seam of the joint it is."""
    seam: Seam
    """The seam."""
    outlook: Outlook
    """What is believed of it now."""
    proposal: Settings
    """What is proposed for it."""
    options: Options
    """What a planned swatch of it may be set to."""

    def chances(self, amounts: Array) -> Array:
        """P(pass | theta) of some swatches for draws of theta, shape (n_draws, n_swatches)."""
        return self.outlook.chances(self.outlook.draws(_DRAWS), amounts)

    @property
    def weights(self) -> Array:
        """How much each of these draws counts, 1 in all, shape (n_draws,)."""
        return self.outlook.weights(self.outlook.draws(_DRAWS))


@dataclass(frozen=True, slots=True)
class Find:
    """One swatch, weighed."""

    bench: Bench
    """The seam."""
    amounts: Array
    """The settings as amounts above the baseline, shape (n_controls,)."""
    gain: float
    """Share by which it shrinks the criterion."""
    worth: float
    """Equation (10); the gain alone where learning is infinite, and -infinite where there is nothing left that is worth sewing."""


@dataclass(frozen=True, slots=True)
class Design:
    """What has been planned so far, and what for."""

    told: Joint
    """How sure one will be once it has been read."""
    targets: tuple[Target, ...]
    """The seams whose bands are to shrink."""
    learning: float
    """Equation (10)."""
    failing: Mapping[int, Array]
    """By seam's place: for draws of theta, how much each counts times the chance that all planned of the seam fail, shape (n_draws,);
    not there where nothing is planned."""
    planned: Mapping[int, Array]
    """By seam's place: the amounts of all planned of it, shape (n_planned, n_controls); not there where nothing is."""

    def after(self, bench: Bench, amounts: Array) -> "Design":
        """The design with one swatch more."""
        told = self.told.after(bench.place, amounts, legible(bench.outlook, amounts[None])[0])
        failing = self.failing.get(bench.place, bench.weights) * (1 - bench.chances(amounts))
        planned = np.vstack([self.planned.get(bench.place, amounts[None][:0]), amounts])
        return replace(self, told=told, failing={**self.failing, bench.place: failing}, planned={**self.planned, bench.place: planned})

    def best(self, benches: Sequence[Bench]) -> Find:
        """The swatch that is worth most."""
        now = mean_width(self.told, self.targets)
        found = sorted((self._weighed(bench, bench.options.first(), now) for bench in benches), key=lambda find: -find.worth)
        return self._spared(max((self._refined(find, now) for find in found[:_REFINED]), key=lambda find: find.worth), now)

    def _refined(self, found: Find, now: float) -> Find:
        for _ in range(_SWEEPS):
            better = self._weighed(found.bench, found.bench.options.moved(found.amounts), now)
            if better.worth <= found.worth + 1e-12:
                break
            found = better
        return found

    def _spared(self, found: Find, now: float) -> Find:
        """The same with the controls put back to the proposal that hardly matter, the least first."""
        enough, start = _SPARED * found.worth, found.bench.options.start
        while (moved := np.flatnonzero(found.amounts != start)).size:
            back = np.repeat(found.amounts[None], len(moved), axis=0)
            back[np.arange(len(moved)), moved] = start[moved]
            fewer = self._weighed(found.bench, back, now)
            if fewer.worth < enough:
                break
            found = fewer
        return found

    def _chances(self, bench: Bench, amounts: Array) -> Array:
        """Chance that some swatches pass where all planned of their seam fail, shape (n_swatches,)."""
        if bench.place not in self.failing:
            return bench.outlook.pass_chance(amounts)
        return np.asarray(self.failing[bench.place] @ bench.chances(amounts))

    def _weighed(self, bench: Bench, amounts: Array, now: float) -> Find:
        """The most worthy of some swatches of one seam."""
        reached = self.told.reached(bench.place, amounts, legible(bench.outlook, amounts))
        gains = 1 - mean_width_after(self.told, self.targets, reached) / now
        worths = gains
        if not math.isinf(self.learning):
            worths = self._chances(bench, amounts) + self.learning * gains
        spent = among(amounts, self.planned.get(bench.place, amounts[:0])) | among(amounts, bench.outlook.failed)
        worths = np.where(spent, -math.inf, worths)
        best = int(worths.argmax())
        return Find(bench, amounts[best], float(gains[best]), float(worths[best]))
