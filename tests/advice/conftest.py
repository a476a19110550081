"""Seams and models that the tests of the advice share."""

from collections.abc import Callable

import numpy as np
import pytest

from data.demo.workshop import Piece, Workshop
from recommender.advice.model import Model, fitted
from recommender.advice.seam import Seam
from recommender.swatches.trial import Trial
from recommender.trade.fabric import Fabric
from recommender.trade.machine import Machine
from recommender.trade.settings import Settings
from recommender.trade.stitch import stitch
from recommender.trade.thread import ORDINARY, Thread

JERSEY = Fabric(name="rib jersey", construction="knit", fibre="cotton", gsm=220, stretch=60)
BENCH = Machine.generic("bench")


@pytest.fixture
def seam() -> Callable[..., Seam]:
    """Make a seam on the bench machine."""

    def make(name: str = "four-thread overlock", fabric: Fabric = JERSEY, thread: Thread = ORDINARY) -> Seam:
        return Seam(fabric, stitch(name), BENCH, thread, thread)

    return make


@pytest.fixture
def empty() -> Model:
    """The model of an empty log."""
    return fitted((), {"bench": BENCH})


def logged(shop: Workshop, n_pieces: int, seed: int = 0) -> list[Trial]:
    """Swatches of some pieces about the baseline: the rules first, then two spread at random."""
    rng, trials = np.random.default_rng(seed), []
    for _ in range(n_pieces):
        piece = shop.fabric()
        start = shop.baseline(piece)
        for turn in range(3):
            settings = start if turn == 0 else spread(piece, start, rng)
            came_out = shop.sew(*piece, settings, rng)
            trials.append(trial_of(piece, settings, came_out.passed, dict(came_out.readings), len(trials)))
    return trials


def spread(piece: Piece, start: Settings, rng: np.random.Generator) -> Settings:
    """Settings a few steps away."""
    steps = {name: rng.integers(-2, 3) for name in start.controls()}
    dials = {name: piece.machine.dial(name) for name in steps}
    return start.having({name: dials[name].nearest(value + steps[name] * dials[name].step) for name, value in start.controls().items()})


def trial_of(piece: Piece, settings: Settings, passed: bool, readings: dict[str, float], number: int) -> Trial:
    return Trial(
        id=f"t{number:04d}",
        fabric=piece.fabric,
        stitch=piece.stitch.name,
        machine=piece.machine.name,
        needle_thread=piece.needle_thread,
        looper_thread=piece.looper_thread,
        settings=settings,
        passed=passed,
        readings=readings,
    )


@pytest.fixture(scope="module")
def shop() -> Workshop:
    return Workshop(seed=41)


@pytest.fixture(scope="module")
def log(shop: Workshop) -> list[Trial]:
    """120 swatches of 40 pieces."""
    return logged(shop, 40)


@pytest.fixture(scope="module")
def taught(shop: Workshop, log: list[Trial]) -> Model:
    return fitted(log, shop.machines)
