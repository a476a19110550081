"""How a sewer reads and rates a swatch in the race's studios."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from recommender.trade.readings import READINGS


@dataclass(frozen=True, slots=True, kw_only=True)
class Sewer:
    """Habits of one studio's sewers."""

    limit: float
    """A swatch truly passes when every true reading is nearer to 0 than this."""
    noise: float
    """Standard deviation of a reading about the truth."""
    missing: float
    """Share of readings that are not made."""
    wrong: float = 0.05
    """Share of swatches rated the wrong way."""
    confused: float = 0.0
    """Share of readings that are booked under another reading's name."""
    silent_pass: float = 0.0
    """Share of swatches rated pass with no reading at all."""
    worst_only: float = 0.0
    """Share of swatches rated fail with their worst reading alone."""

    def good(self, truth: Mapping[str, float]) -> bool:
        """Whether a swatch truly passes."""
        return all(abs(score) < self.limit for score in truth.values())

    def looks(self, truth: Mapping[str, float], rng: np.random.Generator, wrong: float | None = None) -> "Verdict":
        """What the sewer writes about a swatch; `wrong` in place of this studio's share of wrong ratings."""
        passed = self.good(truth) != (rng.random() < (self.wrong if wrong is None else wrong))
        seen = {name: _half_step(truth[name] + self.noise * float(rng.normal())) for name in READINGS}
        made = [name for name, drawn in zip(READINGS, rng.random(len(READINGS)), strict=True) if drawn >= self.missing]
        brevity, mixed = rng.random(), rng.random(len(READINGS)) < self.confused
        others = rng.integers(1, len(READINGS), size=len(READINGS))
        if passed and brevity < self.silent_pass:
            made = []
        if not passed and brevity < self.worst_only:
            made = [max(READINGS, key=lambda name: abs(seen[name]))]
        names = list(READINGS)
        booked = {name: seen[name] for name in made if not mixed[names.index(name)]}
        for name in made:
            place = names.index(name)
            if mixed[place]:  # on top of the other reading, where that one was made
                booked[names[(place + int(others[place])) % len(names)]] = seen[name]
        return Verdict(passed, {name: booked[name] for name in names if name in booked})


class Verdict(NamedTuple):
    """What is written about a swatch."""

    passed: bool
    readings: dict[str, float]


def _half_step(score: float) -> float:
    return min(max(round(2 * score) / 2, -2.0), 2.0) + 0.0
