"""About the most that could be said of a swatch: by one who knows a room and its sewers, and of each cloth all but what is peculiar to it.

A little more could be said where each swatch's own sewer is known, and of a fail by what else went wrong.
"""

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence

import numpy as np
from scipy.special import ndtr

from recommender.learning import Array
from recommender.swatches.trial import Trial
from recommender.trade.readings import READINGS
from tests.benchmarks.sewer import Sewer

NATURES = 300
"""Cloths of the same description that are thought of, to stand for all there may be."""
MIXED_UP = 0.2
"""How likely a score that belongs to another reading is this half step: about one of five that are usual."""

Nature = Mapping[str, float]
Truth = Callable[[Trial, Nature], Mapping[str, float]]
"""The true readings of a swatch, were its cloth of that nature."""


def best_chances(log: Sequence[Trial], truth: Truth, traits: Sequence[str], sewer: Sewer, seed: int) -> list[float]:
    """The chance of each trial that it is rated a pass, from what was written of the same cloth before it; in the order of the log."""
    rng, told = np.random.default_rng([seed, 8]), dict[str, float]()
    for trials in _by_cloth(log):
        drawn = np.clip(rng.normal(size=(NATURES, len(traits))), -2.5, 2.5)
        natures = [dict(zip(traits, row, strict=True)) for row in drawn.tolist()]
        true = np.array([[_scores(truth(trial, nature)) for trial in trials] for nature in natures])
        told |= zip([trial.id for trial in trials], _in_turn(true, trials, sewer), strict=True)
    return [told[trial.id] for trial in log]


def _scores(readings: Mapping[str, float]) -> list[float]:
    return [readings[name] for name in READINGS]


def _by_cloth(log: Sequence[Trial]) -> list[list[Trial]]:
    by_cloth = defaultdict[str, list[Trial]](list)
    for trial in log:
        by_cloth[trial.fabric.name].append(trial)
    return list(by_cloth.values())


def _in_turn(true: Array, trials: Sequence[Trial], sewer: Sewer) -> list[float]:
    """Natures by how well they agree with what was written so far; `true` has the shape (n_natures, n_trials, n_readings)."""
    good, agrees, said = (np.abs(true) < sewer.limit).all(axis=-1), np.zeros(len(true)), []
    for place, trial in enumerate(trials):
        weights = np.exp(agrees - agrees.max())
        share = float(weights @ good[:, place] / weights.sum())
        said.append(share * (1 - sewer.wrong) + (1 - share) * sewer.wrong)
        agrees += np.log(np.where(good[:, place] == trial.passed, 1 - sewer.wrong, sewer.wrong))
        for reading, score in trial.readings.items():
            written = _written(score, true[:, place, list(READINGS).index(reading)], sewer.noise)
            agrees += np.log((1 - sewer.confused) * written + sewer.confused * MIXED_UP)
    return said


def _written(score: float, true: Array, noise: float) -> Array:
    """How likely a reading is written as this half step, the outer ones standing for all beyond."""
    low, high = (-np.inf if score <= -2 else score - 0.25), (np.inf if score >= 2 else score + 0.25)
    return np.asarray(ndtr((high - true) / noise) - ndtr((low - true) / noise))
