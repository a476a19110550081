"""How often bands hold what they are meant to hold, on the race's two studios, whose physics is of another form than the model's.

The seeds are other ones than those of the race and than those on which the bands were built. Every figure stands beside its
standard error, which counts how the studios of one kind differ; what is asserted is asserted of the figure itself, without it.
"""

from functools import cache

import numpy as np
import pytest
from threadpoolctl import threadpool_limits

from recommender.advice.bands import bands
from recommender.advice.model import fitted
from recommender.advice.moves import best_settings
from recommender.advice.seam import Seam
from tests.advice.conftest import trial_of
from tests.benchmarks.figures import mean
from tests.benchmarks.laps import STUDIOS
from tests.benchmarks.logging_policy import log_of
from tests.benchmarks.pieces import Piece
from tests.benchmarks.simulated import Simulated

pytestmark = [pytest.mark.slow, pytest.mark.timeout(3600)]

SEEDS = range(240, 270)
UNSEEN = 25
ROUNDING = 1e-9
"""An ideal at the end of a dial lies in a band that ends there."""

Held = dict[str, list[bool]]
"""By control: whether the band held the ideal, one entry an unseen cloth."""


@cache
def studio(kind: str, seed: int) -> tuple[Simulated, tuple[Piece, ...]]:
    """A studio and cloths that are in no log of it."""
    made = STUDIOS[kind](seed)
    return made, tuple(made.piece(f"unseen {place}") for place in range(UNSEEN))


@cache
def held(kind: str, logged: int) -> tuple[Held, ...]:
    """What came of each studio of a kind after so many logged fabrics."""
    with threadpool_limits(1):
        return tuple(of_studio(*studio(kind, seed), logged) for seed in SEEDS)


def of_studio(made: Simulated, unseen: tuple[Piece, ...], logged: int) -> Held:
    log = [trial_of(one.piece, one.settings, one.passed, dict(one.readings), number) for number, one in enumerate(log_of(made, logged))]
    model, found = fitted(log, made.machines), Held()
    for piece in unseen:
        seam, ideal = Seam(*piece), made.ideal(piece)
        outlook = model.outlook(seam)
        for control, band in bands(outlook, seam, best_settings(outlook, seam, None)).items():
            found.setdefault(control, []).append(band.low - ROUNDING <= ideal[control] <= band.high + ROUNDING)
    return found


def by_control(kind: str, logged: int) -> dict[str, float]:
    """Share of ideals held, printed with its error."""
    found = held(kind, logged)
    figures = {control: mean([one[control] for one in found if control in one]) for control in sorted({c for one in found for c in one})}
    for control, figure in figures.items():
        print(f"{kind}, {logged} fabrics, {control}: {figure.value:.3f} +- {figure.error:.3f}")
    return {control: figure.value for control, figure in figures.items()}


def pooled(kind: str, logged: int) -> float:
    """The same of all controls together."""
    by_seed = [np.concatenate(list(one.values())) for one in held(kind, logged)]
    figure = mean(by_seed)
    print(f"{kind}, {logged} fabrics: {figure.value:.3f} +- {figure.error:.3f} of {sum(map(len, by_seed))}")
    return figure.value


WIDE = pytest.mark.xfail(strict=True, reason="0.887 +- 0.007 was reached: with few fabrics of so mild a studio they are too wide")
CELLS = [
    pytest.param(kind, logged, marks=WIDE if (kind, logged) == ("smooth", 30) else ()) for kind in STUDIOS for logged in (30, 100, 200)
]


@pytest.mark.parametrize(("kind", "logged"), CELLS)
def test_eighty_per_cent_bands_hold_the_ideal_of_four_controls_in_five(kind, logged):
    assert 0.75 <= pooled(kind, logged) <= 0.85


@pytest.mark.parametrize("logged", [30, 100, 200])
@pytest.mark.parametrize("kind", STUDIOS)
def test_no_single_control_is_held_in_less_than_seven_cases_of_ten(kind, logged):
    """The least of seven figures, which chance alone makes look a little worse than it is."""
    assert min(by_control(kind, logged).values()) >= 0.7


@pytest.mark.parametrize("logged", [0, 10])
@pytest.mark.parametrize("kind", STUDIOS)
def test_with_a_short_log_bands_are_rather_too_wide(kind, logged):
    by_control(kind, logged)
    assert pooled(kind, logged) >= 0.75
