"""What moving one control does to one reading, with the swatches behind the statement."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from recommender.advice.bands import HALF
from recommender.advice.levers import RATIO
from recommender.advice.model import Model, by_seam, cloth, opened, seams_of
from recommender.learning import Array
from recommender.swatches.trial import Trial
from recommender.trade.machine import Machine
from recommender.trade.names import unknown
from recommender.trade.readings import READINGS
from recommender.trade.thread import POSITIONS

CONTROLS = (*(f"tension: {position}" for position in POSITIONS), "differential", "length", "width")
"""Every control that the model moves."""

MOST = 1000
"""A picture of more swatches is a blot, and is slow to draw: it shows the last."""
_GRID = 41


@dataclass(frozen=True, slots=True)
class Point:
    """One swatch on the curve's picture."""

    x: float
    """How far its control was from the baseline, as the curve counts it."""
    y: float
    """Its reading, the ends of the scale opened, less all that the other terms account for."""
    trial: str
    """Its id."""


@dataclass(frozen=True, slots=True)
class Effect:
    """A reading against one control, all else on the baseline, averaged over the seams of its points."""

    control: str
    """Name of the control."""
    reading: str
    """Name of the reading."""
    x: tuple[float, ...]
    """How far the control is from the baseline: a grid over the range of its points, at least 1 either way. `distance` reads it."""
    mean: tuple[float, ...]
    """Expected change of the reading."""
    low: tuple[float, ...]
    """Lower end of its 80 % band."""
    high: tuple[float, ...]
    """Upper end of its 80 % band."""
    points: tuple[Point, ...]
    """The last `MOST` swatches on which this reading was made, in the order of the log."""

    def distance(self, x: float) -> str:
        """How far from the baseline an x is, as it is read: of feed and stitch length in percent of the baseline's own number."""
        return f"{100 * (RATIO**x - 1):+.0f} %" if self.control in ("differential", "length") else f"{x:+.1f}"


def effect(model: Model, trials: Sequence[Trial], machines: Mapping[str, Machine], reading: str, control: str) -> Effect:
    """The curve of one reading against one control.

    Raises
    ------
    UnknownName
        If there is no such reading or control.
    """
    if reading not in tuple(READINGS):  # a tuple takes whatever it is asked for
        raise unknown("reading", reading, tuple(READINGS))
    if control not in CONTROLS:
        raise unknown("control", control, CONTROLS)
    k = list(READINGS).index(reading)
    telling = [trial for trial in trials if reading in trial.readings and control in trial.settings.controls()][-MOST:]
    levers, points = _points(model, telling, machines, control, k)
    amounts = np.array([point.x for point in points])
    lever = levers.mean(axis=0) if points else plain_lever(model, control)
    reach = max(1.0, float(np.abs(amounts).max(initial=0.0)))
    x = np.linspace(-reach, reach, _GRID)
    slope, spread = float(lever @ model.posterior.mean[k]), float(np.sqrt(lever @ model.posterior.cov[k] @ lever))
    half = HALF * spread * np.abs(x)
    return Effect(
        control,
        reading,
        tuple(x.tolist()),
        tuple((slope * x).tolist()),
        tuple((slope * x - half).tolist()),
        tuple((slope * x + half).tolist()),
        points,
    )


def _points(
    model: Model, trials: Sequence[Trial], machines: Mapping[str, Machine], control: str, k: int
) -> tuple[Array, tuple[Point, ...]]:
    """Levers of the control, one a trial (n_trials, n_terms), and the partial residuals: what the control does, and what is left."""
    if not trials:
        return np.empty((0, len(model.terms.columns))), ()
    found, seams = model.posterior, seams_of(trials, machines)
    own = found.group_effects()[0][k]
    frames = by_seam(seams, model.terms.frame)
    places = np.array([seam.controls.index(control) for seam in seams], dtype=int)
    levers = np.array([frame.lever[place] for frame, place in zip(frames, places, strict=True)])
    amounts = [seam.amounts(trial.settings)[place] for trial, seam, place in zip(trials, seams, places, strict=True)]
    rows = [model.terms.row(seam, frame, trial.settings) for trial, seam, frame in zip(trials, seams, frames, strict=True)]
    expected = np.array(rows) @ found.mean[k] + [own[found.moments.groups[cloth(trial.fabric)]] for trial in trials]
    alone = amounts * (levers @ found.mean[k])
    readings = [opened(trial.readings[tuple(READINGS)[k]]) for trial in trials]
    parts = alone + readings - expected
    return levers, tuple(Point(float(x), float(y), trial.id) for x, y, trial in zip(amounts, parts, trials, strict=True))


def plain_lever(model: Model, control: str) -> Array:
    """The lever of an ordinary seam, for a log that has none."""
    lever = control.removeprefix("tension: ")
    row = np.zeros(len(model.terms.columns))
    names = [column.name for column in model.terms.columns]
    row[names.index("needles" if "needle" in lever else lever)] = 1.0
    return row
