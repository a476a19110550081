"""The report of a fit."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from recommender.studio.knowledge import Knowledge
from recommender.trade.readings import READINGS


@dataclass(frozen=True, slots=True)
class FitReport:
    """What a fit from nothing was made of."""

    trials: int
    """Swatches that count."""
    cloths: int
    """Cloths among them."""
    ratings: int
    """Ratings behind the pass standard."""
    tolerance: float
    """How far from 0 a reading may be for this studio to let it pass."""
    noise: Mapping[str, float]
    """By reading: standard deviation of what the model cannot say, in readings."""
    model_file: str
    """Where the model was written."""
    trouble: str
    """Why it could not be written there; empty where it was."""


def fit_report(known: Knowledge, files: Path) -> FitReport:
    """The report of what is known after a fit."""
    standard, noise = known.model.standard, known.model.scales.noise
    return FitReport(
        trials=len(known.trials),
        cloths=len(known.model.moments.groups),
        ratings=standard.ratings,
        tolerance=standard.tolerance,
        noise=dict(zip(READINGS, noise.tolist(), strict=True)),
        model_file=str(files),
        trouble=known.notice,
    )
