"""How strongly each control of a machine pulls at each reading: what one step of its dial does, as the log has it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from recommender.advice.bands import HALF
from recommender.advice.effect import CONTROLS, plain_lever
from recommender.advice.model import Model, by_seam, seams_of
from recommender.advice.scoring.replay import in_time
from recommender.advice.seam import units
from recommender.learning import Array
from recommender.swatches.trial import Trial
from recommender.trade.machine import Dial, Machine
from recommender.trade.readings import READINGS

LAST = 100
"""Swatches of the machine whose cloths and stitches count: what it has been sewing of late."""


@dataclass(frozen=True, slots=True)
class Pull:
    """One control's pull at one reading."""

    control: str
    """Name of the control."""
    step: float
    """One step up on the machine's dial, in its own numbers."""
    mean: float
    """Expected change of the reading for that step, from the home mark."""
    low: float
    """Lower end of its 80 % band."""
    high: float
    """Upper end of its 80 % band."""


def pulls(model: Model, trials: Sequence[Trial], machine: Machine) -> Mapping[str, tuple[Pull, ...]]:
    """Each reading's controls on one machine, the strongest first.

    A lever depends on cloth, thread and stitch: it is the mean over the last `LAST` swatches that were sewn on the machine, and that
    of an ordinary seam where there is none.

    Parameters
    ----------
    trials : swatches that count; those on other machines are passed over
    """
    sewn = in_time([trial for trial in trials if trial.machine == machine.name])[-LAST:]
    seams = seams_of(sewn, {machine.name: machine})
    frames = by_seam(seams, model.terms.frame)
    controls = [control for control in CONTROLS if control in machine.dials]
    steps = []
    for control in controls:
        levers = [frame.lever[seam.controls.index(control)] for seam, frame in zip(seams, frames, strict=True) if control in seam.controls]
        steps.append(_step(control, machine.dial(control)) * (np.mean(levers, axis=0) if levers else plain_lever(model, control)))
    rows = np.array(steps)
    mean = model.belief.mean @ rows.T
    spread = np.sqrt(np.einsum("jp,kpq,jq->kj", rows, model.belief.cov, rows, optimize=True))
    half = HALF * spread
    return MappingProxyType({reading: _ranked(machine, controls, mean[k], half[k]) for k, reading in enumerate(READINGS)})


def _step(control: str, dial: Dial) -> float:
    """One step up from the home mark, in the model's units; from a mark at the top, the step that leads there."""
    start = min(dial.home, dial.high - dial.step)
    return units(control, start + dial.step) - units(control, start)


def _ranked(machine: Machine, controls: Sequence[str], mean: Array, half: Array) -> tuple[Pull, ...]:
    found = (
        Pull(control, machine.dial(control).step, float(m), float(m - h), float(m + h))
        for control, m, h in zip(controls, mean, half, strict=True)
    )
    return tuple(sorted(found, key=lambda pull: (-abs(pull.mean), pull.control)))
