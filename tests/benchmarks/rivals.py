"""The rivals: each learns from the same log, says what to sew first, and what to sew after what came of it."""

from collections.abc import Callable, Sequence
from typing import Protocol

import numpy as np
import numpy.typing as npt
from sklearn.ensemble import HistGradientBoostingRegressor, RandomForestRegressor

from recommender.trade.baseline import baseline
from recommender.trade.fabric import CONSTRUCTIONS, FIBRES, GRAINS
from recommender.trade.settings import Settings
from recommender.trade.thread import KINDS, POSITIONS
from tests.benchmarks.logging_policy import Swatch, chart_move, moved
from tests.benchmarks.pieces import Piece

Array = npt.NDArray[np.float64]
CONTROLS = (*(f"tension: {position}" for position in POSITIONS), "differential", "length", "width")


class Rival(Protocol):
    """What every entrant can do."""

    name: str
    limited: bool
    """Whether it left rows of the log out to keep its time limit."""

    def fit(self, log: Sequence[Swatch]) -> None:
        """Learn a log."""

    def first(self, piece: Piece) -> Settings:
        """What to sew first of a cloth that the log does not hold."""

    def next(self, piece: Piece, history: Sequence[Swatch]) -> Settings:
        """What to sew after some failed swatches of this cloth."""


def start(piece: Piece) -> Settings:
    """The trade's rules alone."""
    return baseline(*piece).settings


def from_baseline(piece: Piece, settings: Settings) -> Array:
    """How far every control lies above the baseline: dial numbers of a scale to 9, logarithms, mm; nan for what does not run."""
    base, given = start(piece).controls(), settings.controls()
    return np.array([_amount(piece, c, given[c]) - _amount(piece, c, base[c]) if c in given else np.nan for c in CONTROLS])


def at_amounts(piece: Piece, amounts: Array) -> Settings:
    """The settings nearest to some amounts above the baseline."""
    base = start(piece)
    values = {}
    for control, by in zip(CONTROLS, amounts, strict=True):
        if control in base.controls():
            dial = piece.machine.dial(control)
            there = _amount(piece, control, base.controls()[control]) + by
            values[control] = dial.nearest(_value(piece, control, there))
    return base.having(values)


def amounts_on_steps(piece: Piece, amounts: Array, bend: Array, slope: Array, runs: npt.NDArray[np.bool_]) -> Array:
    """Amounts of least cost d'Hd + 2 d'q on the machine's steps: each control in turn, in view of the others, until none moves.

    `bend` and `slope` are of the controls that run.
    """
    places, base = np.flatnonzero(runs), start(piece).controls()
    dials = [piece.machine.dial(CONTROLS[place]) for place in places]
    scales = [np.array([_amount(piece, CONTROLS[p], d.at(i)) for i in range(d.steps + 1)]) for p, d in zip(places, dials, strict=True)]
    scales = [scale - _amount(piece, CONTROLS[p], base[CONTROLS[p]]) for p, scale in zip(places, scales, strict=True)]
    found = np.array([scale[np.abs(scale - amount).argmin()] for scale, amount in zip(scales, amounts[places], strict=True)])
    for _ in range(20):
        before = found.copy()
        for j, scale in enumerate(scales):
            others = bend[j] @ found - bend[j, j] * found[j]
            found[j] = scale[np.abs(scale + (slope[j] + others) / bend[j, j]).argmin()]
        if np.array_equal(found, before):
            break
    amounts = np.zeros(len(amounts))
    amounts[places] = found
    return amounts


def _amount(piece: Piece, control: str, value: float) -> float:
    if control.startswith("tension"):
        return value * 9 / piece.machine.dial(control).high
    return float(np.log(value) / 0.2) if control in ("differential", "length") else 2 * value


def _value(piece: Piece, control: str, amount: float) -> float:
    if control.startswith("tension"):
        return amount * piece.machine.dial(control).high / 9
    return float(np.exp(0.2 * amount)) if control in ("differential", "length") else amount / 2


def describe(piece: Piece, stitches: Sequence[str], machines: Sequence[str]) -> Array:
    """A piece as numbers of about one size: cloth, threads, then one-hot words."""
    fabric = piece.fabric
    along = 0.5 * fabric.stretch if fabric.stretch_along is None else fabric.stretch_along
    sizes = [
        np.log(fabric.gsm / 180) / 0.6,
        (fabric.stretch - 30) / 40,
        (along - 15) / 25,
        fabric.elastane / 8,
        np.log(fabric.plies / 2) / 0.4,
    ]
    threads = (piece.needle_thread, piece.looper_thread)
    sizes += [np.log(thread.tex / 27) / 0.4 for thread in threads]
    words = [(CONSTRUCTIONS, fabric.construction), (FIBRES, fabric.fibre), (GRAINS, fabric.grain)]
    words += [(KINDS, thread.kind) for thread in threads] + [(stitches, piece.stitch.name), (machines, piece.machine.name)]
    return np.array([*sizes, *(float(word == choice) for choices, word in words for choice in choices)])


class Described:
    """What all rivals but ours share: pieces as numbers, and the chart for what comes after the first swatch."""

    limited = False

    def _learn_words(self, log: Sequence[Swatch]) -> None:
        self._stitches = sorted({swatch.piece.stitch.name for swatch in log})
        self._machines = sorted({swatch.piece.machine.name for swatch in log})

    def _features(self, pieces: Sequence[Piece]) -> Array:
        return np.array([describe(piece, self._stitches, self._machines) for piece in pieces])

    def next(self, piece: Piece, history: Sequence[Swatch]) -> Settings:
        """By the chart; settings that failed before are not sewn again."""
        return troubleshot(piece, history)


def troubleshot(piece: Piece, history: Sequence[Swatch]) -> Settings:
    """One control at a time by the chart: first choices first, then second ones, then other controls, never what failed before."""
    tried = [swatch.settings for swatch in history]
    last = history[-1]
    for choice in range(3):
        settings = chart_move(piece, last, choice)
        if settings is not None and settings not in tried:
            return settings
    ways = [(control, way) for control in last.settings.controls() for way in (1.0, -1.0)]
    others = [moved(piece, last.settings, (control,), way * piece.machine.dial(control).step) for control, way in ways]
    return next((settings for settings in others if settings not in tried), last.settings)


class Rules(Described):
    """The trade's rules, then one control at a time by the trouble-shooting chart."""

    name = "rules, one at a time"

    def fit(self, log: Sequence[Swatch]) -> None:
        """Nothing to learn."""

    def first(self, piece: Piece) -> Settings:
        """The baseline."""
        return start(piece)


class Nearest(Described):
    """The settings of the nearest swatch that passed, carried over as distances from the baseline."""

    name = "nearest passing swatch"

    def fit(self, log: Sequence[Swatch]) -> None:
        """Keep what passed."""
        self._learn_words(log)
        self._passed = [swatch for swatch in log if swatch.passed]
        self._places = self._features([swatch.piece for swatch in self._passed])

    def first(self, piece: Piece) -> Settings:
        """Of the same stitch where there is one; the baseline where nothing passed yet."""
        alike = [i for i, swatch in enumerate(self._passed) if swatch.piece.stitch.name == piece.stitch.name]
        if not alike:
            return start(piece)
        far = np.linalg.norm(self._places[alike] - self._features([piece]), axis=1)
        nearest = self._passed[alike[int(far.argmin())]]
        return at_amounts(piece, from_baseline(nearest.piece, nearest.settings))


Regressor = RandomForestRegressor | HistGradientBoostingRegressor


class Imitator(Described):
    """A regression of the settings that passed, as distances from the baseline, one control at a time."""

    name: str

    def __init__(self, make: Callable[[], Regressor], least: int) -> None:
        self._make = make
        self._least = least

    def fit(self, log: Sequence[Swatch]) -> None:
        """One regression a control, where enough swatches passed."""
        self._learn_words(log)
        passed = [swatch for swatch in log if swatch.passed]
        amounts = np.array([from_baseline(swatch.piece, swatch.settings) for swatch in passed]).reshape(len(passed), len(CONTROLS))
        features = self._features([swatch.piece for swatch in passed])
        self._by_control: list[Regressor | None] = []
        for column in amounts.T:
            runs = np.isfinite(column)
            enough = runs.sum() >= self._least
            self._by_control.append(self._make().fit(features[runs], column[runs]) if enough else None)

    def first(self, piece: Piece) -> Settings:
        """What the regressions say; the baseline's own value where there is none."""
        features = self._features([piece])
        return at_amounts(piece, np.array([0.0 if one is None else float(one.predict(features)[0]) for one in self._by_control]))


class Forest(Imitator):
    """A random forest."""

    name = "random forest"

    def __init__(self) -> None:
        super().__init__(lambda: RandomForestRegressor(100, min_samples_leaf=2, max_features=0.5, random_state=0), least=5)


class Boosted(Imitator):
    """Gradient-boosted medians."""

    name = "boosted quantiles"

    def __init__(self) -> None:
        super().__init__(lambda: _boosted(0.5), least=10)


def _boosted(quantile: float) -> HistGradientBoostingRegressor:
    return HistGradientBoostingRegressor(
        loss="quantile", quantile=quantile, max_iter=80, learning_rate=0.08, min_samples_leaf=4, max_depth=3, early_stopping=False
    )
