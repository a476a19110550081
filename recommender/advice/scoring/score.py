"""The honest score: a log replayed in the order of sewing, each trial predicted before it is learned, beside the baseline.

Nobody sews a swatch twice, so a log cannot say how the other settings would have come out. It says three things. How much the
model's chance gave to what happened, beside a forecaster that only counts the passes of a stitch: every trial informs that. How
often swatches passed that were sewn as the model proposed, and on the baseline: the sewer chose which, so cloths may differ. And
whether the setting that passed lay in the bands: what passed is near the best setting, and need not be it.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from recommender.advice.scoring.course import Course, course
from recommender.advice.scoring.figures import Figure, share
from recommender.advice.scoring.lines import Line
from recommender.advice.scoring.tally import Tally, held, tally
from recommender.advice.scoring.verdict import Lead
from recommender.trade.stitch import stitches

BINS = 10
"""Parts of equal width into which the reliability curve sorts the chances."""

WHOLE = "whole log"


@dataclass(frozen=True, slots=True)
class Bin:
    """The trials whose chance lay in one part of the range."""

    said: float
    """Their mean chance."""
    passed: Figure
    """Share of them that passed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Score:
    """How good the proposals of a studio have been, beside the baseline."""

    total: Tally
    """Over the whole log."""
    by_stitch: Mapping[str, Tally]
    """By stitch, in the order of the catalogue."""
    by_machine: Mapping[str, Tally]
    """By machine."""
    by_kind: Mapping[str, Tally]
    """By class of fabric, such as `medium knit`."""
    reliability: tuple[Bin, ...]
    """Chances as they were said, against what came of them, rising; parts without a trial are left out."""
    unlikely: Figure
    """Share that passed of the trials that were thought more likely to fail."""
    likely: Figure
    """Share that passed of the others."""
    coverage: Mapping[str, Figure]
    """By control: share of passing settings that lay in the 80 % band stated before the cloth's first swatch."""
    course: Course
    """How the figures went along the log."""

    @property
    def leads(self) -> Mapping[str, Lead]:
        """By stitch: which leads, the model or the baseline."""
        return {name: one.verdict.lead for name, one in self.by_stitch.items()}


def score(found: Sequence[Line]) -> Score:
    """The score of a replayed log, a line a trial, in the order of sewing."""
    kinds = sorted({line.trial.fabric.kind for line in found})
    return Score(
        total=tally(found, WHOLE, found),
        by_stitch=_tallies(found, stitches(), lambda line: line.trial.stitch),
        by_machine=_tallies(found, sorted({line.trial.machine for line in found}), lambda line: line.trial.machine),
        by_kind=_tallies(found, kinds, lambda line: line.trial.fabric.kind),
        reliability=reliability(found),
        unlikely=share([line.trial.passed for line in found if line.told.chance < 0.5]),
        likely=share([line.trial.passed for line in found if line.told.chance >= 0.5]),
        coverage=MappingProxyType({control: share(hits) for control, hits in held(found).items()}),
        course=course(found),
    )


def reliability(found: Sequence[Line]) -> tuple[Bin, ...]:
    """Sort the trials by the chance that was said, into `BINS` parts."""
    parts: dict[int, list[Line]] = {}
    for line in found:
        parts.setdefault(min(int(line.told.chance * BINS), BINS - 1), []).append(line)
    return tuple(
        Bin(float(np.mean([line.told.chance for line in mine])), share([line.trial.passed for line in mine]))
        for _, mine in sorted(parts.items())
    )


def _tallies(found: Sequence[Line], names: Sequence[str], of: Callable[[Line], str]) -> Mapping[str, Tally]:
    """A tally for each name that a line has."""
    sets: dict[str, list[Line]] = {name: [] for name in names}
    for line in found:
        sets[of(line)].append(line)
    return MappingProxyType({name: tally(mine, name, found) for name, mine in sets.items() if mine})
