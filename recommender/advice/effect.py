"""What moving one control does to one reading, with the swatches behind the statement."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtri

from recommender.advice.bands import COVERAGE
from recommender.advice.model import Model, cloth, seam_of
from recommender.advice.seam import Seam
from recommender.learning import Array
from recommender.swatches.trial import Trial
from recommender.trade.machine import Machine
from recommender.trade.names import unknown
from recommender.trade.readings import READINGS
from recommender.trade.thread import POSITIONS

CONTROLS = (*(f"tension: {position}" for position in POSITIONS), "differential", "length", "width")
"""Every control that the model moves."""

_UNITS = {"differential": "units of a quarter more feed", "length": "units of a quarter longer", "width": "mm"}
_GRID = 41


@dataclass(frozen=True, slots=True)
class Point:
    """One swatch on the curve's picture."""

    x: float
    """How far its control was from the baseline, in the curve's unit."""
    y: float
    """Its reading less all that the other terms account for."""
    trial: str
    """Its id."""


@dataclass(frozen=True, slots=True)
class Effect:
    """A reading against one control, all else on the baseline, averaged over the log's seams."""

    control: str
    """Name of the control."""
    reading: str
    """Name of the reading."""
    unit: str
    """What x counts: how far the control is from the baseline."""
    x: tuple[float, ...]
    """Grid over the range that the log covers, at least one unit either way."""
    mean: tuple[float, ...]
    """Expected change of the reading."""
    low: tuple[float, ...]
    """Lower end of its 80 % band."""
    high: tuple[float, ...]
    """Upper end of its 80 % band."""
    points: tuple[Point, ...]
    """The swatches on which this reading was made."""


def effect(model: Model, trials: Sequence[Trial], machines: Mapping[str, Machine], reading: str, control: str) -> Effect:
    """The curve of one reading against one control.

    Raises
    ------
    UnknownName
        If there is no such reading or control.
    """
    if reading not in READINGS:
        raise unknown("reading", reading, tuple(READINGS))
    if control not in CONTROLS:
        raise unknown("control", control, CONTROLS)
    k = list(READINGS).index(reading)
    telling = [trial for trial in trials if reading in trial.readings and control in trial.settings.controls()]
    rows = [_row(model, trial, seam_of(trial, machines), control, k) for trial in telling]
    amounts = np.array([row[0] for row in rows])
    lever = np.mean([row[1] for row in rows], axis=0) if rows else _plain(model, control)
    reach = max(1.0, float(np.abs(amounts).max(initial=0.0)))
    x = np.linspace(-reach, reach, _GRID)
    slope, spread = float(lever @ model.posterior.mean[k]), float(np.sqrt(lever @ model.posterior.cov[k] @ lever))
    half = ndtri((1 + COVERAGE) / 2) * spread * np.abs(x)
    return Effect(
        control,
        reading,
        _UNITS.get(control, "dial numbers"),
        tuple(x.tolist()),
        tuple((slope * x).tolist()),
        tuple((slope * x - half).tolist()),
        tuple((slope * x + half).tolist()),
        tuple(Point(float(amount), float(left), trial_id) for amount, _, left, trial_id in rows),
    )


def _row(model: Model, trial: Trial, seam: Seam, control: str, k: int) -> tuple[float, Array, float, str]:
    """Amount, lever and partial residual of one trial."""
    frame, place = model.terms.frame(seam), seam.controls.index(control)
    amounts, found = seam.amounts(trial.settings), model.posterior
    row = model.terms.row(seam, frame, trial.settings)
    own = float(found.linear(row[None], cloth(trial.fabric))[0][k, 0])
    part = float(amounts[place] * (frame.lever[place] @ found.mean[k]))
    return float(amounts[place]), frame.lever[place], trial.readings[tuple(READINGS)[k]] - own + part, trial.id


def _plain(model: Model, control: str) -> Array:
    """The lever of an ordinary seam, for a log that has none."""
    lever = control.removeprefix("tension: ")
    row = np.zeros(len(model.terms.columns))
    names = [column.name for column in model.terms.columns]
    row[names.index("needles" if "needle" in lever else lever)] = 1.0
    return row
