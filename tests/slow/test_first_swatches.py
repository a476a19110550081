"""First swatches of cloths that were never logged, on the repository's simulated workshop."""

from dataclasses import dataclass

import numpy as np
import pytest

from data.demo.workshop import Piece, Workshop
from recommender.advice.model import Model, fitted, swatches
from recommender.advice.proposal import propose
from recommender.advice.seam import Seam
from recommender.swatches.trial import Trial
from tests.advice.conftest import trial_of

pytestmark = [pytest.mark.slow, pytest.mark.timeout(1800)]

ROOMS = range(300, 308)
LOGGED, UNSEEN, PATIENCE = 30, 60, 6


@dataclass(frozen=True)
class Tally:
    """What came of the unseen cloths of all rooms."""

    model: np.ndarray
    baseline: np.ndarray


def keep_sewing(shop: Workshop, model: Model, piece: Piece, rng: np.random.Generator, log: list[Trial]) -> Model:
    """Sew what is proposed until it passes, and log it."""
    begun = len(log)
    for _ in range(PATIENCE):
        settings = propose(model, Seam(*piece), log[begun:]).settings
        came_out = shop.sew(*piece, settings, rng)
        log.append(trial_of(piece, settings, came_out.passed, dict(came_out.readings), len(log)))
        model = model.adding(swatches(log[-1:], shop.machines, model.terms))
        if came_out.passed:
            break
    return model


def taught(shop: Workshop, rng: np.random.Generator) -> Model:
    """The model after some cloths were sewn as proposed, tuned as a studio would tune it."""
    log: list[Trial] = []
    model = fitted(log, shop.machines)
    for number in range(LOGGED):
        model = keep_sewing(shop, model, shop.fabric(), rng, log)
        if number % 5 == 4:
            model = fitted(log, shop.machines)
    return model


@pytest.fixture(scope="module")
def tally() -> Tally:
    by_model, by_rules = [], []
    for room in ROOMS:
        shop, rng = Workshop(room), np.random.default_rng(room)
        model = taught(shop, rng)
        for _ in range(UNSEEN):
            piece = shop.fabric()
            by_model.append(shop.sew(*piece, propose(model, Seam(*piece)).settings, rng).good)
            by_rules.append(shop.sew(*piece, shop.baseline(piece), rng).good)
    return Tally(np.array(by_model, dtype=float), np.array(by_rules, dtype=float))


def test_thirty_cloths_make_first_swatches_pass_fifteen_points_more_often(tally):
    """480 unseen cloths in 8 rooms, each sewn once as proposed and once on the baseline."""
    gained = tally.model - tally.baseline
    print(f"first swatches: model {tally.model.mean():.3f}, baseline {tally.baseline.mean():.3f}, ", end="")
    print(f"gain {gained.mean():.3f} +- {gained.std() / np.sqrt(len(gained)):.3f}")
    assert gained.mean() >= 0.15
