"""How the race's log came about: the trade's rules, then one control at a time by the trouble-shooting chart, with some wandering."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice

import numpy as np

from recommender.trade.baseline import baseline
from recommender.trade.settings import Settings
from tests.benchmarks.pieces import Piece
from tests.benchmarks.simulated import Simulated

MOST = 6
"""Swatches that a sewer sews of one cloth before giving up."""

CHART: Mapping[str, tuple[tuple[str, float], ...]] = {
    "edge_lie": (("differential", 0.2), ("needles", 0.5), ("length", 0.25)),
    "looper_balance": (("upper looper", -1.0), ("lower looper", 1.0)),
    "needle_line": (("needles", -1.0), ("length", 0.25)),
    "edge_wrap": (("width", -0.5), ("upper looper", -1.0), ("lower looper", -1.0)),
    "stitch_cover": (("length", 0.5), ("width", -0.5)),
}
"""By reading: what the trade moves against one unit of it, first choice first. Tensions in dial numbers of a scale from 0 to 9."""


@dataclass(frozen=True, slots=True)
class Swatch:
    """One entry of the race's log."""

    piece: Piece
    settings: Settings
    passed: bool
    readings: Mapping[str, float]


def chart_move(piece: Piece, last: Swatch, choice: int = 0) -> Settings | None:
    """The move that the chart names for the worst reading, or its second choice; None where it names none."""
    scores = {name: score for name, score in last.readings.items() if score}
    if not scores:
        return None
    worst = max(scores, key=lambda name: abs(scores[name]))
    ways = _ways(piece, worst, scores[worst])
    return moved(piece, last.settings, *ways[choice % len(ways)])


def _ways(piece: Piece, reading: str, score: float) -> list[tuple[tuple[str, ...], float]]:
    return [(controls, by * score) for named, by in CHART[reading] if (controls := _meant(piece, named, reading))]


def moved(piece: Piece, settings: Settings, controls: Sequence[str], by: float) -> Settings:
    """Some controls moved together, by at least one step; tensions in numbers of a scale to 9."""
    values = {}
    for control in controls:
        dial, start = piece.machine.dial(control), settings.controls()[control]
        change = by * (dial.high / 9 if control.startswith("tension") else 1.0)
        change = np.sign(change) * max(abs(change), dial.step)
        values[control] = dial.nearest(start + change)
    return settings.having(values)


def _meant(piece: Piece, named: str, reading: str) -> tuple[str, ...]:
    """The controls of this seam that the chart means."""
    if named == "needles" or (named == "upper looper" and named not in piece.stitch.positions and reading == "looper_balance"):
        return tuple(f"tension: {needle}" for needle in piece.stitch.needles)
    if named in ("differential", "length", "width"):
        return (named,)
    return (f"tension: {named}",) if named in piece.stitch.positions else ()


def wander(piece: Piece, settings: Settings, rng: np.random.Generator, share: float) -> Settings:
    """Each control a step up or down, with this chance."""
    values = {}
    for control, value in settings.controls().items():
        dial = piece.machine.dial(control)
        way = int(rng.choice([-1, 1])) if rng.random() < share else 0
        values[control] = dial.nearest(value + way * dial.step)
    return settings.having(values)


def swatches(studio: Simulated, name: str) -> Iterator[Swatch]:
    """The swatches of one cloth, up to the first that is rated a pass."""
    piece = studio.piece(name)
    rng = np.random.default_rng([studio.seed, 4, *name.encode()])
    settings = wander(piece, baseline(*piece).settings, rng, 0.3)
    while True:
        passed, readings = studio.sew(piece, settings, rng)
        swatch = Swatch(piece, settings, passed, readings)
        yield swatch
        if passed:
            return
        choice = 0 if rng.random() < 0.7 else 1
        settings = chart_move(piece, swatch, choice) or settings
        settings = wander(piece, settings, rng, 0.1 if settings != swatch.settings else 0.5)


def log_of(studio: Simulated, n_fabrics: int) -> list[Swatch]:
    """The log after so many fabrics; a longer one begins with the shorter."""
    return [swatch for place in range(n_fabrics) for swatch in islice(swatches(studio, f"logged {place}"), MOST)]
