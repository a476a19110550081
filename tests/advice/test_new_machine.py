"""A machine that joins a studio: it starts as the studio's machines are on the whole, less surely, and five swatches tell most."""

import math
from dataclasses import replace

import numpy as np
import pytest

from data.demo.workshop import Piece
from recommender.advice.model import fitted, swatches
from recommender.advice.planning.plan import plan
from recommender.advice.planning.stash import stash
from recommender.advice.proposal import propose
from recommender.advice.seam import Seam
from recommender.trade.readings import READINGS
from recommender.trade.stitch import stitch
from tests.advice.conftest import trial_of

NEW = "door table"


@pytest.fixture(scope="module")
def joined(shop, log, taught):
    """The studio's model with a third machine of a known one's profile, and pairs of seams on that and on the new one."""
    machine = replace(shop.machines["window table"], name=NEW)
    machines = {**shop.machines, NEW: machine}
    model = fitted(log, machines, (taught.scales, taught.standard))
    pieces = (shop.fabric() for _ in range(60))
    known = [Seam(*piece._replace(machine=shop.machines["window table"])) for piece in pieces if not piece.stitch.lacking(machine)][:12]
    new = [Seam(seam.fabric, seam.stitch, machine, seam.needle_thread, seam.looper_thread) for seam in known]
    return machines, model, known, new


def mean_width(model, seams) -> float:
    return float(np.mean([band.high - band.low for seam in seams for band in propose(model, seam).bands.values()]))


def test_the_machines_that_were_there_are_believed_as_before(taught, joined):
    _, model, known, _ = joined
    for seam in known:
        before, after = taught.outlook(seam), model.outlook(seam)
        assert after.mean == pytest.approx(before.mean, rel=1e-9, abs=1e-12)
        assert after.cov == pytest.approx(before.cov, rel=1e-9, abs=1e-12)


def test_a_new_machine_starts_without_anything_of_its_own(joined):
    """What is expected of it is what is expected of any machine: the terms of the machines left out."""
    _, model, _, new = joined
    shared = np.array([not column.block.startswith("machine") for column in model.terms.columns])
    for seam in new:
        frame = model.terms.frame(seam)
        rows = np.vstack([frame.base, frame.lever]) * shared
        assert model.outlook(seam).mean == pytest.approx(model.belief.mean @ rows.T, rel=1e-9, abs=1e-12)


def test_every_reading_is_less_sure_on_a_new_machine_and_bands_are_wider(joined):
    _, model, known, new = joined
    for one, other in zip(known, new, strict=True):
        amounts = np.zeros(len(one.controls))
        assert (model.outlook(other).readings(amounts)[1] > model.outlook(one).readings(amounts)[1]).all()
    assert mean_width(model, new) > 1.03 * mean_width(model, known)


def test_five_planned_swatches_make_up_most_of_the_difference(log, joined):
    """Whatever they say: here they are read as nought."""
    machines, model, known, new = joined
    at_hand = stash(log, {NEW: machines[NEW]})
    before = mean_width(model, new) - mean_width(model, known)
    for number, one in enumerate(plan(model, at_hand, 5, learning=math.inf)):
        assert one.machine == NEW
        piece = Piece(one.fabric, stitch(one.stitch), machines[NEW], one.needle_thread, one.looper_thread)
        trial = trial_of(piece, one.settings, True, dict.fromkeys(READINGS, 0.0), 1000 + number)
        model = model.adding(swatches([trial], machines, model.terms))
    assert mean_width(model, new) - mean_width(model, known) < 0.6 * before
