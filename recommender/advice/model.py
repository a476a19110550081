"""A studio's model: what its swatches say, as sums over swatches, and the posterior that follows from them.

Adding and removing a swatch changes the sums exactly and leaves the scales as they are. The scales are tuned on the first
`n_tuned(n)` of n swatches in the order of the log, so that the same log always gives the same model however it was reached.
"""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from typing import TypeVar

import numpy as np

from recommender.advice.calibration import standard
from recommender.advice.outlook import Outlook, Standard
from recommender.advice.roam import roam
from recommender.advice.seam import Seam
from recommender.advice.search import lever_places, reach
from recommender.advice.terms import GUESS, Frame, Terms
from recommender.learning import Array, Integers
from recommender.learning.evidence import ScaleGuess, tuned
from recommender.learning.moments import Moments
from recommender.learning.posterior import Posterior, Scales, posterior
from recommender.swatches.trial import Trial
from recommender.trade.fabric import Fabric
from recommender.trade.machine import Machine
from recommender.trade.readings import READINGS
from recommender.trade.stitch import stitch

T = TypeVar("T")

IMPLIED = 0.4
"""Weight of a reading that a passing swatch implies to be near 0 without anybody having scored it."""

WORST = 2.6
"""A reading that no seam reaches: scores towards the end of the scale stand for more than they say."""

_DOUBT = 0.7
"""How far the scales may stray from the guess: a factor of two either way is ordinary."""

_GROWTH = 1.2
"""The scales are tuned again when the log has grown by this factor."""


@dataclass(frozen=True)
class Model:
    """What a studio knows. Build it with `fitted`."""

    terms: Terms
    """The columns of the regression."""
    moments: Moments
    """The swatches, as sums."""
    scales: Scales
    """How large the parts of the model are."""
    standard: Standard
    """What this studio lets pass."""

    @cached_property
    def posterior(self) -> Posterior:
        """The coefficients, each reading for itself: for looking back, where a swatch or a cloth is left out of what it taught."""
        return posterior(self.moments, self.terms.prior.apart, self.scales)

    @cached_property
    def belief(self) -> Posterior:
        """The coefficients, what one reading tells of a machine told to the others: for looking ahead."""
        return posterior(self.moments, self.terms.prior, self.scales)

    def outlook(self, seam: Seam, earlier: Sequence[Trial] = ()) -> Outlook:
        """What is believed of the readings of one seam, of which `earlier` are swatches: what failed among them is known to have failed.

        But for those to which something else happened: a jam or a broken thread tells nothing of the settings.
        """
        frame = self.terms.frame(seam)
        rows = np.vstack([frame.base, frame.lever])
        shared = np.flatnonzero(frame.base * np.abs(frame.lever).sum(axis=0))
        mean, cov = self.belief.linear(np.vstack([rows, np.eye(len(frame.base))[shared]]), cloth(seam.fabric))
        doubt = np.diagonal(cov, axis1=1, axis2=2)[:, len(rows) :]
        untold = (doubt / self._believed(shared)) ** 2  # 1 before a swatch is logged, soon nearer to 0
        homing = frame.lever[:, shared] @ (frame.base[shared] * (doubt * untold).sum(axis=0))
        cov = cov[:, : len(rows), : len(rows)]
        failed = seam.amounts_of([trial.settings for trial in earlier if not (trial.passed or trial.flags)])
        return Outlook(mean[:, : len(rows)], cov, self.scales.noise, self.standard, self._roams(seam), homing, failed)

    def _believed(self, places: Integers) -> Array:
        """Variance of some coefficients before a swatch is logged, shape (n_readings, n_places)."""
        prior = self.terms.prior.of_terms(places)
        return np.asarray((self.scales.block[prior.block] * prior.spread) ** 2)

    def _roams(self, seam: Seam) -> Array:
        return np.array(self.standard.roam)[lever_places(seam)]

    def adding(self, swatches: "Swatches") -> "Model":
        """The model with more swatches, the scales as they are."""
        return replace(self, moments=self.moments + swatches.moments, standard=self._rated(len(swatches.cloths)))

    def removing(self, swatches: "Swatches") -> "Model":
        """The model without some of its swatches, the scales as they are."""
        return replace(self, moments=self.moments - swatches.moments, standard=self._rated(-len(swatches.cloths)))

    def _rated(self, more: int) -> Standard:
        return replace(self.standard, ratings=self.standard.ratings + more)


@dataclass(frozen=True)
class Swatches:
    """Trials as rows of the regression."""

    rows: Array
    """Shape (n_trials, n_terms)."""
    readings: Array
    """Shape (n_trials, n_readings); 0 where there is none."""
    weights: Array
    """Shape (n_trials, n_readings)."""
    passed: Array
    """1 or 0, shape (n_trials,)."""
    cloths: tuple[str, ...]
    """What tells the cloths apart, one a trial."""
    frames: tuple[tuple[Frame, Array, Integers], ...]
    """The frame of each trial's seam, the reach of its controls and their levers' places; the same object for the same seam."""

    @property
    def moments(self) -> Moments:
        """Their sums."""
        return Moments.of(self.rows, self.readings, self.weights, self.cloths)

    def first(self, n: int) -> "Swatches":
        """The first n."""
        return Swatches(self.rows[:n], self.readings[:n], self.weights[:n], self.passed[:n], self.cloths[:n], self.frames[:n])

    def seams(self) -> Iterator[tuple[str, Array, Array, Integers]]:
        """Each seam once: its cloth, the rows of its baseline and levers, the reach of its controls and their levers' places."""
        once = {id(parts[0]): (name, *parts) for name, parts in zip(self.cloths, self.frames, strict=True)}
        for name, frame, reaches, places in once.values():
            yield name, np.vstack([frame.base, frame.lever]), reaches, places


@lru_cache(maxsize=65536)
def cloth(fabric: Fabric) -> str:
    """What tells one cloth from another: its name and all that describes it, but not how it lies in the seam."""
    parts = (" ".join(fabric.name.casefold().split()), fabric.construction, fabric.fibre, fabric.gsm, fabric.stretch, fabric.stretch_along)
    return "|".join(str(part) for part in (*parts, fabric.elastane, fabric.thickness))


def same_cloth(one: Fabric, other: Fabric) -> bool:
    """Whether two fabrics are the same cloth, however they lie in the seam."""
    return one is other or (one.gsm == other.gsm and cloth(one) == cloth(other))


def is_of(trial: Trial, seam: Seam) -> bool:
    """Whether a trial was a swatch of a seam: of its cloth as it lies there, with its stitch and threads, on its machine."""
    return (
        (trial.stitch, trial.machine) == (seam.stitch.name, seam.machine.name)
        and (trial.fabric.plies, trial.fabric.grain) == (seam.fabric.plies, seam.fabric.grain)
        and (trial.needle_thread, trial.looper_thread) == (seam.needle_thread, seam.looper_thread)
        and same_cloth(trial.fabric, seam.fabric)
    )


def seam_of(trial: Trial, machines: Mapping[str, Machine]) -> Seam:
    """The seam that a trial was a swatch of."""
    return Seam(trial.fabric, stitch(trial.stitch), machines[trial.machine], trial.needle_thread, trial.looper_thread)


def seams_of(trials: Sequence[Trial], machines: Mapping[str, Machine]) -> list[Seam]:
    """The same of several trials; equal seams are worked out once, and are one object."""
    found: dict[object, Seam] = {}
    seams = []
    for trial in trials:
        key = trial.fabric, trial.stitch, trial.machine, trial.needle_thread, trial.looper_thread
        if key not in found:
            found[key] = seam_of(trial, machines)
        seams.append(found[key])
    return seams


def by_seam(seams: Sequence[Seam], make: Callable[[Seam], T]) -> list[T]:
    """What is made of each seam, made once where seams are one object."""
    once = {id(seam): seam for seam in seams}
    made = {place: make(seam) for place, seam in once.items()}
    return [made[id(seam)] for seam in seams]


def swatches(trials: Sequence[Trial], machines: Mapping[str, Machine], terms: Terms) -> Swatches:
    """Trials as rows."""
    seams = seams_of(trials, machines)
    frames = by_seam(seams, lambda seam: (terms.frame(seam), reach(seam), lever_places(seam)))
    rows = [terms.row(seam, frame, trial.settings) for trial, seam, (frame, _, _) in zip(trials, seams, frames, strict=True)]
    scored = [_scored(trial) for trial in trials]
    n, k = len(trials), len(READINGS)
    return Swatches(
        rows=np.array(rows).reshape(n, len(terms.columns)),
        readings=np.array([readings for readings, _ in scored]).reshape(n, k),
        weights=np.array([weights for _, weights in scored]).reshape(n, k),
        passed=np.array([float(trial.passed) for trial in trials]),
        cloths=tuple(cloth(trial.fabric) for trial in trials),
        frames=tuple(frames),
    )


def tune(rows: Swatches, terms: Terms) -> tuple[Scales, Standard]:
    """The scales and the pass standard that some swatches speak for."""
    scales = _rounded(tuned(rows.moments, terms.prior, ScaleGuess(GUESS, _DOUBT)))
    found = posterior(rows.moments, terms.prior, scales)
    passes = standard(found, rows.rows, rows.readings, rows.weights, rows.passed, rows.cloths)
    return scales, replace(passes, roam=roam(found, rows.seams()))


def fitted(trials: Sequence[Trial], machines: Mapping[str, Machine], known: tuple[Scales, Standard] | None = None) -> Model:
    """The model of a log, from nothing or with scales and standard that were tuned on this log before.

    Raises
    ------
    UnsuitableMachine
        If a trial's machine, as it is described now, lacks what the trial's stitch needs.
    """
    terms = Terms(tuple(sorted(machines)))
    rows = swatches(trials, machines, terms)
    scales, passes = known or tune(rows.first(n_tuned(len(trials))), terms)
    return Model(terms, rows.moments, scales, replace(passes, ratings=len(trials)))


def opened(score: float) -> float:
    """A score with the ends of its scale opened: what is far too much looks little worse than what is too much.

    >>> [round(opened(score), 2) for score in (0, 0.5, 1, 1.5, 2)]
    [0.0, 0.51, 1.05, 1.71, 2.65]
    """
    return WORST * math.atanh(score / WORST)


def n_tuned(n: int) -> int:
    """How many swatches of a log of n the scales are tuned on.

    >>> [n_tuned(n) for n in (0, 7, 20, 21, 200)]
    [0, 7, 20, 20, 192]
    """
    reached = min(n, 20)
    while (further := int(reached * _GROWTH)) <= n and reached >= 20:
        reached = further
    return reached


def _scored(trial: Trial) -> tuple[list[float], list[float]]:
    """Readings and weights of a trial: what was read counts in full, what a pass implies counts for less."""
    readings = [opened(trial.readings.get(name, 0.0)) for name in READINGS]
    unread = IMPLIED if trial.passed else 0.0
    return readings, [1.0 if name in trial.readings else unread for name in READINGS]


def _rounded(scales: Scales) -> Scales:
    """To four digits: more are never known, and the last bits would differ between processors."""
    block, noise, group = (np.array([float(f"{value:.4g}") for value in part]) for part in (scales.block, scales.noise, scales.group))
    return Scales(block, noise, group)
