"""One seam to be sewn: cloth, stitch, machine and threads, and its settings as amounts of each control away from the baseline."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from recommender.advice.levers import RATIO
from recommender.learning import Array
from recommender.trade.baseline import Baseline, baseline
from recommender.trade.fabric import Fabric
from recommender.trade.machine import Dial, Machine
from recommender.trade.settings import Settings
from recommender.trade.stitch import Stitch
from recommender.trade.thread import Thread


@dataclass(frozen=True, slots=True)
class Seam:
    """What is to be sewn, on what. Two seams with the same words are the same seam.

    Raises
    ------
    UnsuitableMachine
        If the machine lacks what the stitch needs.
    """

    fabric: Fabric
    stitch: Stitch
    machine: Machine
    needle_thread: Thread
    looper_thread: Thread
    baseline: Baseline = field(init=False)
    """What the trade's rules alone propose."""
    controls: tuple[str, ...] = field(init=False, compare=False, repr=False)
    """The controls that this seam sets, in the order of all arrays about it."""
    _start: tuple[float, ...] = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        found = baseline(self.fabric, self.stitch, self.machine, self.needle_thread, self.looper_thread)
        start = found.settings.controls()
        object.__setattr__(self, "baseline", found)
        object.__setattr__(self, "controls", tuple(start))
        object.__setattr__(self, "_start", tuple(units(control, value) for control, value in start.items()))

    @property
    def dials(self) -> tuple[Dial, ...]:
        """The machine's scale of each control."""
        return tuple(self.machine.dial(control) for control in self.controls)

    def amounts(self, settings: Settings) -> Array:
        """How many units each control lies above the baseline, shape (n_controls,); a control that was not logged lies on it."""
        given = settings.controls()
        return np.array([units(c, given[c]) - start if c in given else 0.0 for c, start in zip(self.controls, self._start, strict=True)])

    def amounts_of(self, group: Sequence[Settings]) -> Array:
        """The same of several settings, shape (n_settings, n_controls)."""
        return np.array([self.amounts(settings) for settings in group]).reshape(len(group), len(self.controls))

    @property
    def above_home(self) -> Array:
        """How many units the baseline lies above the machine's home marks, shape (n_controls,).

        0 for length and width: a millimetre is the same on every machine, and their home marks are but habits.
        """
        above = np.array(self._start) - [units(c, dial.home) for c, dial in zip(self.controls, self.dials, strict=True)]
        return np.where([control in ("length", "width") for control in self.controls], 0.0, above)

    def settings(self, values: Mapping[str, float]) -> Settings:
        """The baseline's settings with these values in place of its own."""
        return self.baseline.settings.having(values)

    def kept(self, last: Settings) -> Settings:
        """A swatch's settings, but what was not logged, or the machine can no longer be set to, as the baseline has it."""
        pressure, dial = last.foot_pressure, self.machine.foot_pressure
        held = {c: value for c, value in last.controls().items() if c in self.controls and self.machine.dial(c).holds(value)}
        start = self.baseline.settings.having(held)
        return start if pressure is None or dial is None or not dial.holds(pressure) else replace(start, foot_pressure=pressure)

    def scale(self, control: str) -> tuple[Array, Array]:
        """Every setting of a control on this machine and its amount above the baseline, both of shape (n_steps + 1,)."""
        dial = self.machine.dial(control)
        values = np.array([dial.at(step) for step in range(dial.steps + 1)])
        return values, np.array([units(control, value) for value in values]) - self._start[self.controls.index(control)]

    def free_value(self, control: str, amount: float) -> float:
        """The value that lies `amount` units above the baseline, whether the machine can be set to it or not."""
        start = self.baseline.settings.controls()[control]
        return start * RATIO**amount if control in ("differential", "length") else start + amount

    def value(self, control: str, amount: float) -> float:
        """The same, held inside the machine's range."""
        dial = self.machine.dial(control)
        return min(max(self.free_value(control, amount), dial.low), dial.high)


def units(control: str, value: float) -> float:
    """A setting in the units in which a control acts (data/levers.toml): of feed and stitch length the proportion counts."""
    return math.log(value) / math.log(RATIO) if control in ("differential", "length") else value
