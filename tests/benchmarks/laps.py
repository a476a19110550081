"""One cell of the race: one studio, one length of log, one seed, every rival."""

from collections.abc import Sequence
from dataclasses import dataclass
from time import perf_counter
from typing import NamedTuple

import numpy as np

from recommender.trade.settings import Settings
from tests.benchmarks.logging_policy import Swatch, log_of
from tests.benchmarks.ours import Ours
from tests.benchmarks.pieces import Piece
from tests.benchmarks.readers import GaussianReadings, LogisticPass
from tests.benchmarks.rivals import Boosted, Forest, Nearest, Rival, Rules, start
from tests.benchmarks.saturating import Saturating
from tests.benchmarks.simulated import Simulated, on_steps
from tests.benchmarks.smooth import Smooth

STUDIOS: dict[str, type[Simulated]] = {studio.name: studio for studio in (Smooth, Saturating)}
CEILING = "all known but the cloth"
"""No rival: the ideal of the cloth's kind, which knows everything but what only this very cloth's swatches tell."""
CAP = 8
"""Swatches that a rival may sew of one cloth; a cloth that never passes counts one more."""


class Cell(NamedTuple):
    """What one lap is about."""

    studio: str
    logged: int
    """Fabrics in the log."""
    seed: int


@dataclass(frozen=True, slots=True)
class Chances:
    """What our entrant said of one cloth beside its settings, and what came of it."""

    held: dict[str, bool]
    """By control: whether the band holds the ideal."""
    said: float
    """Chance that the first swatch is rated a pass."""
    passed: bool
    """Whether this studio's sewers, who now and then rate wrongly, rated it so."""
    baseline_said: float
    """The same of the baseline."""
    baseline_passed: bool


@dataclass(frozen=True, slots=True)
class Lap:
    """How one rival did in one cell; one entry a test cloth in each list."""

    cell: Cell
    rival: str
    seconds: float
    """To fit."""
    limited: bool
    """Whether it had to leave rows out to keep its time limit."""
    first: tuple[bool, ...]
    """Whether the first swatch truly passed."""
    sewn: tuple[int, ...]
    """Swatches to the first pass."""
    errors: tuple[dict[str, float], ...]
    """By control: distance of the first swatch's setting from the ideal."""
    baseline_errors: tuple[dict[str, float], ...]
    """The same of the baseline."""
    chances: tuple[Chances, ...] = ()
    """Of our entrant alone."""


def run(cell: Cell, tests: int) -> list[Lap]:
    """All rivals on the same log and the same cloths."""
    studio = STUDIOS[cell.studio](cell.seed)
    log = log_of(studio, cell.logged)
    pieces = [studio.piece(f"test {place}") for place in range(tests)]
    with Ours(tuple(studio.machines.values())) as ours:
        ours.log(log)
        rivals: list[Rival] = [Rules(), Nearest(), Forest(), Boosted(), GaussianReadings(), LogisticPass(), ours]
        laps = [_lap(cell, studio, rival, log, pieces) for rival in rivals]
        return [*laps, _ceiling(cell, studio, pieces)]


def _lap(cell: Cell, studio: Simulated, rival: Rival, log: Sequence[Swatch], pieces: Sequence[Piece]) -> Lap:
    begun = perf_counter()
    rival.fit(log)
    seconds = perf_counter() - begun
    firsts = [rival.first(piece) for piece in pieces]
    ideals = [studio.ideal(piece) for piece in pieces]
    sewn = [_sewn(studio, rival, place, *seam) for place, seam in enumerate(zip(pieces, firsts, strict=True))]
    return Lap(
        cell=cell,
        rival=rival.name,
        seconds=seconds,
        limited=rival.limited,
        first=tuple(studio.good(piece, settings) for piece, settings in zip(pieces, firsts, strict=True)),
        sewn=tuple(sewn),
        errors=tuple(_far(settings.controls(), ideal) for settings, ideal in zip(firsts, ideals, strict=True)),
        baseline_errors=tuple(_far(start(piece).controls(), ideal) for piece, ideal in zip(pieces, ideals, strict=True)),
        chances=tuple(_chances(studio, rival, *numbered) for numbered in enumerate(pieces)) if isinstance(rival, Ours) else (),
    )


def _far(values: dict[str, float], ideal: dict[str, float]) -> dict[str, float]:
    return {control: abs(values[control] - best) for control, best in ideal.items()}


def _sewn(studio: Simulated, rival: Rival, place: int, piece: Piece, settings: Settings) -> int:
    """Swatches to the first pass, read as the studio's sewers read, rated rightly; every rival meets the same slips of the eye."""
    history: list[Swatch] = []
    for turn in range(CAP):
        verdict = studio.sew(piece, settings, np.random.default_rng([studio.seed, 5, place, turn]), wrong=0.0)
        if verdict.passed:
            return turn + 1
        history.append(Swatch(piece, settings, *verdict))
        if turn + 1 < CAP:
            settings = rival.next(piece, history)
    return CAP + 1


def _chances(studio: Simulated, ours: Ours, place: int, piece: Piece) -> Chances:
    told, ideal, rng = ours.proposal(piece), studio.ideal(piece), np.random.default_rng([studio.seed, 6, place])
    return Chances(
        held={control: ideal[control] in band for control, band in told.bands.items()},
        said=told.pass_chance,
        passed=studio.sew(piece, told.settings, rng).passed,
        baseline_said=told.baseline_chance,
        baseline_passed=studio.sew(piece, told.baseline, rng).passed,
    )


def _ceiling(cell: Cell, studio: Simulated, pieces: Sequence[Piece]) -> Lap:
    firsts = [on_steps(piece, studio.expected(piece)) for piece in pieces]
    ideals = [studio.ideal(piece) for piece in pieces]
    first = tuple(studio.good(piece, settings) for piece, settings in zip(pieces, firsts, strict=True))
    errors = tuple(_far(settings.controls(), ideal) for settings, ideal in zip(firsts, ideals, strict=True))
    baseline_errors = tuple(_far(start(piece).controls(), ideal) for piece, ideal in zip(pieces, ideals, strict=True))
    return Lap(cell, CEILING, 0.0, False, first, tuple(1 if good else 2 for good in first), errors, baseline_errors)
