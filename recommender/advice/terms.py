"""The columns of the regression: what a reading is believed to depend on, as terms that a sewer can read.

A reading is a sum of three parts: what the cloth, thread, stitch and machine make of the baseline settings; the levers, which are
what one unit of each control adds; and what is peculiar to this very cloth. The first two are columns here, the third is the
regression's group effect.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np

from recommender.advice.levers import LEVERS, beliefs
from recommender.advice.seam import Seam
from recommender.learning import Array
from recommender.learning.posterior import Prior, Scales
from recommender.trade.fabric import FIBRES, Fabric
from recommender.trade.readings import READINGS
from recommender.trade.settings import Settings
from recommender.trade.stitch import stitches
from recommender.trade.thread import KINDS, POSITIONS, Thread

BLOCKS = ("cloth", "stitch", "stitch and cloth", "lever", "lever and cloth", "machine", "machine lever")
"""Terms whose prior spread the evidence tunes together."""

_CLOTH = {
    "setting out": {"always": 0.4},
    "construction": {"knit": 0.4, "nonwoven": 0.4},
    "weight": {"weight": 0.4, "weight, curved": 0.25, "weight of a knit": 0.3},
    "stretch": {"stretch": 0.4, "stretch, curved": 0.25, "stretch with weight": 0.25, "stretch along": 0.2},
    "stretch of the seam": {"stretch of the seam": 0.4, "stretch of the seam with weight": 0.25},
    "elastane": {"elastane": 0.3},
    "thickness": {"thickness": 0.25},
    "plies": {"plies": 0.3},
    "grain": {"bias": 0.3, "crosswise": 0.2},
    "fibre": {f"fibre {fibre}": 0.25 for fibre in FIBRES},
    "needle thread": {"needle tex": 0.35, "needle tex with weight": 0.2} | {f"needle thread {kind}": 0.25 for kind in KINDS},
    "looper thread": {"looper tex": 0.35, "looper tex with weight": 0.2} | {f"looper thread {kind}": 0.25 for kind in KINDS},
}
"""Property -> its terms with the spread of their coefficients, in readings per unit; sizes are our guess."""

_SHIFTS = ("weight", "stretch", "tex", "loose needle", "narrow finger", "two threads")
"""What makes a lever act more or less than usual."""


@dataclass(frozen=True, slots=True)
class Column:
    """One term of the regression."""

    name: str
    """Its name in the model file."""
    property: str
    """What a sewer calls the cause: a property of the cloth or thread, `stitch`, `machine`, or a lever's name."""
    block: str
    """One of `BLOCKS`."""
    spread: Array
    """Standard deviation of its coefficient, shape (n_readings,)."""
    mean: Array
    """Expected coefficient, shape (n_readings,)."""
    tie: Array | None = None
    """How its coefficients hang together across the readings, see `Prior.tie`; None where they do not."""


@dataclass(frozen=True, slots=True)
class Frame:
    """A seam's row of the regression, as a function of the amounts: base + amounts @ lever."""

    base: Array
    """The row with every control on the baseline, shape (n_terms,)."""
    lever: Array
    """What one unit of each control adds to the row, shape (n_controls, n_terms)."""


@dataclass(frozen=True)
class Terms:
    """The columns for a studio with these machines."""

    machines: tuple[str, ...]
    """Names of the machines, sorted."""

    @cached_property
    def columns(self) -> tuple[Column, ...]:
        """Every column, in the order of all arrays about coefficients."""
        return tuple(self._columns())

    @cached_property
    def prior(self) -> Prior:
        """What is believed of the coefficients before a swatch is logged."""
        return Prior(
            mean=np.array([column.mean for column in self.columns]).T,
            spread=np.array([column.spread for column in self.columns]).T,
            block=np.array([BLOCKS.index(column.block) for column in self.columns]),
            tie=np.array([np.zeros(len(READINGS)) if column.tie is None else column.tie for column in self.columns]).T,
        )

    def frame(self, seam: Seam) -> Frame:
        """The seam's row, as a function of the amounts."""
        cloth = _cloth(seam)
        base_cloth = np.array([cloth[name] for name in _cloth_names()])
        here = np.array([float(name == seam.stitch.name) for name in stitches()])
        slopes = np.outer(here, [cloth["weight"], cloth["stretch"], cloth["looper tex"]]).ravel()
        mine = np.array([float(name == seam.machine.name) for name in self.machines])
        runs = np.array([1.0, *(float(position in seam.stitch.positions) for position in POSITIONS)])
        levers = _lever_rows(seam.controls, seam.stitch.needles)
        shifts = _shift_rows(seam, cloth, levers)
        quiet = np.zeros(levers.shape[1] + shifts.shape[1])
        by_machine = np.einsum("m,jl->jml", mine, levers).reshape(len(levers), -1)
        # A machine that grips or feeds harder than others does so from its home marks on, and not only from the baseline.
        base = np.concatenate([base_cloth, here, slopes, quiet, np.outer(mine, runs).ravel(), seam.above_home @ by_machine])
        still = np.zeros((len(levers), len(base) - len(quiet) - by_machine.shape[1]))
        n_before = len(base_cloth) + len(here) + len(slopes)
        lever = np.concatenate([still[:, :n_before], levers, shifts, still[:, n_before:], by_machine], axis=1)
        return Frame(base, lever)

    def row(self, seam: Seam, frame: Frame, settings: Settings) -> Array:
        """The row of a swatch of this seam, whose frame is given, shape (n_terms,)."""
        row = frame.base + seam.amounts(settings) @ frame.lever
        if (pressed := _pressure(seam, settings)) != 0.0:
            row = row + pressed * self._pressure_row(seam)
        return row

    def _pressure_row(self, seam: Seam) -> Array:
        row = np.zeros(len(self.columns))
        for name in ("foot pressure", f"foot pressure on {seam.machine.name}"):
            row[self._places[name]] = 1.0
        return row

    @cached_property
    def _places(self) -> dict[str, int]:
        return {column.name: place for place, column in enumerate(self.columns)}

    def _columns(self) -> Iterator[Column]:
        yield from _cloth_columns()
        yield from _lever_columns()
        yield from _machine_columns(self.machines)


GUESS = Scales(block=np.array([0.5, 0.5, 0.5, 0.7, 0.4, 0.7, 0.4]), noise=np.full(len(READINGS), 0.33), group=np.full(len(READINGS), 0.4))
"""The scales before a swatch is logged: levers nearer to the trade's than their own spreads say, and not quite half a step of noise and
of cloth's own nature."""


def _cloth_columns() -> Iterator[Column]:
    n, nought = len(READINGS), np.zeros(len(READINGS))
    for cause, terms in _CLOTH.items():
        for name, spread in terms.items():
            yield Column(name, cause, "cloth", np.full(n, spread), nought)
    for name in stitches():
        yield Column(name, "stitch", "stitch", np.full(n, 0.4), nought)
    for name in stitches():
        for slope in ("weight", "stretch", "looper tex"):
            yield Column(f"{name}, {slope}", "stitch", "stitch and cloth", np.full(n, 0.25), nought)


def _lever_columns() -> Iterator[Column]:
    known, nought = beliefs(), np.zeros(len(READINGS))
    for place, lever in enumerate(LEVERS):
        yield Column(lever, lever, "lever", known.spread[:, place], known.effect[:, place])
    for shift in _SHIFTS:
        for place, lever in enumerate(LEVERS):
            yield Column(f"{lever}, {shift}", lever, "lever and cloth", 0.35 * known.size[:, place], nought)


def _machine_columns(machines: tuple[str, ...]) -> Iterator[Column]:
    """A home mark that is off and a stiffer spring show in every reading that the lever moves, as the lever is believed to move them."""
    size, sureness, nought = beliefs().size, beliefs().sureness, np.zeros(len(READINGS))
    for machine in machines:
        yield Column(machine, "machine", "machine", np.full(len(READINGS), 0.3), nought)
        for position in POSITIONS:  # a home mark that is off by 0.7 of a dial number is nothing unusual
            place = _lever_of(position)
            yield Column(f"{position} on {machine}", "machine", "machine", 0.7 * size[:, place], nought, sureness[:, place])
    for machine in machines:
        for place, lever in enumerate(LEVERS):
            yield Column(f"{lever} on {machine}", lever, "machine lever", 0.3 * size[:, place], nought, sureness[:, place])


def _cloth_names() -> list[str]:
    return [name for terms in _CLOTH.values() for name in terms]


def _cloth(seam: Seam) -> dict[str, float]:
    """Every property as a number near 0 for ordinary cloth and near 1 for an uncommon one."""
    fabric = seam.fabric
    weight = math.log(fabric.gsm / 180) / 0.6
    stretch = (min(fabric.stretch, 150) - 20) / 40
    knit = float(fabric.construction == "knit")
    usual_thickness = fabric.gsm / 350  # mm; a middling cloth weighs about 0.35 g/cm3 (from memory)
    thickness = 0.0 if fabric.thickness is None else math.log(fabric.thickness / usual_thickness) / 0.5
    along = 0.0 if fabric.stretch_along is None else (min(fabric.stretch_along, 150) - 10) / 40
    seamwise = _seamwise(fabric)
    needle, looper = _tex(seam.needle_thread), _tex(seam.looper_thread)
    values = {
        "always": 1.0,
        "knit": knit,
        "nonwoven": float(fabric.construction == "nonwoven"),
        "weight": weight,
        "weight, curved": weight * weight - 1,
        "weight of a knit": weight * knit,
        "stretch": stretch,
        "stretch, curved": stretch * stretch - 1,
        "stretch with weight": stretch * weight,
        "stretch along": along,
        "stretch of the seam": seamwise,
        "stretch of the seam with weight": seamwise * weight,
        "elastane": fabric.elastane / 10,
        "thickness": thickness,
        "plies": math.log(fabric.plies / 2) / 0.6,
        "bias": float(fabric.grain == "bias"),
        "crosswise": float(fabric.grain == "crosswise"),
        "needle tex": needle,
        "needle tex with weight": needle * weight,
        "looper tex": looper,
        "looper tex with weight": looper * weight,
    }
    values |= {f"fibre {fibre}": float(fibre == fabric.fibre) for fibre in FIBRES}
    for role, thread in (("needle", seam.needle_thread), ("looper", seam.looper_thread)):
        values |= {f"{role} thread {kind}": float(kind == thread.kind) for kind in KINDS}
    return values


def _seamwise(fabric: Fabric) -> float:
    """How readily the cloth gives in the direction of the seam; the first percents count most. Sizes are our guess."""
    along = fabric.stretch / 2 if fabric.stretch_along is None else fabric.stretch_along
    by_grain = {"lengthwise": along, "crosswise": fabric.stretch, "bias": 15 + (along + fabric.stretch) / 2}
    stretch = by_grain[fabric.grain]
    return 4 * stretch / (stretch + 30) - 1


def _tex(thread: Thread) -> float:
    return math.log(thread.tex / 27) / 0.4


def _lever_of(position: str) -> int:
    return LEVERS.index("needles" if "needle" in position else position)


@cache
def _lever_rows(controls: tuple[str, ...], needles: tuple[str, ...]) -> Array:
    """How much of each lever one unit of each control is, shape (n_controls, n_levers); not to be written to."""
    rows = np.zeros((len(controls), len(LEVERS)))
    for place, control in enumerate(controls):
        lever = control.removeprefix("tension: ")
        if "needle" not in lever:
            rows[place, LEVERS.index(lever)] = 1.0
            continue
        rows[place, LEVERS.index("needles")] = 1 / len(needles)
        if len(needles) == 2:
            rows[place, LEVERS.index("needle difference")] = 0.5 if lever == "left needle" else -0.5
    return rows


def _shift_rows(seam: Seam, cloth: dict[str, float], levers: Array) -> Array:
    """The same for the shifts of each lever, shape (n_controls, n_shifts x n_levers)."""
    loose = float(seam.stitch.family == "flatlock")
    shared = (cloth["weight"], cloth["stretch"], 0.0, loose, float(not seam.stitch.finger_in), float(seam.stitch.converter))
    by_control = np.tile(shared, (len(levers), 1))
    by_control[:, _SHIFTS.index("tex")] = [_own_tex(control, cloth) for control in seam.controls]
    return np.asarray((by_control[:, :, None] * levers[:, None, :]).reshape(len(levers), -1))


def _own_tex(control: str, cloth: dict[str, float]) -> float:
    """The size of the thread that a control holds; for feed, length and width the looper thread's."""
    return cloth["needle tex"] if "needle" in control else cloth["looper tex"]


def _pressure(seam: Seam, settings: Settings) -> float:
    """How far the presser-foot pressure was above the machine's home mark; 0 where it was not logged."""
    start = seam.baseline.settings.foot_pressure
    return 0.0 if start is None or settings.foot_pressure is None else settings.foot_pressure - start
