"""The honest score through the studio: kept, brought up to date, and followed by the proposals."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from data.demo.workshop import Workshop
from recommender import Fabric, Studio
from recommender.advice.scoring.verdict import ENOUGH_TRIALS
from tests.advice.conftest import logged

JERSEY = Fabric(name="rib jersey", construction="knit", fibre="cotton", gsm=220, stretch=60)


@pytest.fixture(scope="module")
def shop():
    return Workshop(seed=43)


def filled(path, shop, trials):
    studio = Studio.open(path)
    for machine in shop.machines.values():
        studio.add_machine(machine)
    for n, trial in enumerate(trials):
        put(studio, trial, datetime(2025, 3, 1, tzinfo=UTC) + timedelta(hours=n))
    return studio


def put(studio, trial, when=None):
    names = ("fabric", "stitch", "machine", "settings", "passed", "readings", "needle_thread", "looper_thread")
    return studio.record(**{name: getattr(trial, name) for name in names}, when=when)


def numbers(score):
    total = score.total
    return total.log_score.value, total.brier, total.held.value, total.swatches.value, *(one.said for one in score.reliability)


@pytest.fixture(scope="module")
def sewn(shop):
    return logged(shop, 10)


def test_the_score_is_the_same_however_the_log_came_in(tmp_path, shop, sewn):
    at_once = filled(tmp_path / "a.sqlite", shop, sewn)
    bit_by_bit = filled(tmp_path / "b.sqlite", shop, sewn[:24])
    assert bit_by_bit.score().total.trials == 24
    for n, trial in enumerate(sewn[24:], start=24):
        put(bit_by_bit, trial, datetime(2025, 3, 1, tzinfo=UTC) + timedelta(hours=n))
        bit_by_bit.propose(fabric=trial.fabric, stitch=trial.stitch, machine=trial.machine)
    assert numbers(bit_by_bit.score()) == pytest.approx(numbers(at_once.score()), rel=1e-9)
    at_once.close()
    bit_by_bit.close()


def test_a_studio_opened_again_need_not_go_through_its_log_again(tmp_path, shop, sewn):
    with filled(tmp_path / "a.sqlite", shop, sewn) as studio:
        assert studio.unscored == len(sewn)
        said = studio.score()
        assert studio.unscored == 0
    with Studio.open(tmp_path / "a.sqlite") as again:
        assert again.unscored == 0
        assert numbers(again.score()) == numbers(said)
        put(again, sewn[0])
        assert again.unscored == 1
        again.withdraw(again.trials()[0].id, "sewn on scrap")
        assert again.unscored == len(sewn)


def test_a_machine_described_anew_makes_the_score_new(tmp_path, shop, sewn):
    with filled(tmp_path / "a.sqlite", shop, sewn[:6]) as studio:
        studio.score()
        machine = next(iter(studio.machines.values()))
        studio.add_machine(replace(machine, length=replace(machine.length, home=machine.length.low)))
        assert studio.unscored == 6
        assert studio.score().total.trials == 6


def test_a_log_with_shuffled_readings_is_started_from_the_baseline(tmp_path, shop):
    """The log says nothing of which settings pass; both are shown, and the baseline leads until a cloth has a swatch of its own."""
    sewn = logged(shop, 16)
    order = np.random.default_rng(1).permutation(len(sewn))
    useless = [replace(trial, readings=sewn[other].readings) for trial, other in zip(sewn, order, strict=True)]
    with filled(tmp_path / "a.sqlite", shop, useless) as studio:
        leads = studio.score().leads
        judged = [name for name, one in studio.score().by_stitch.items() if one.trials >= ENOUGH_TRIALS]
        assert {leads[name] for name in judged} == {"baseline"}
        able = next(trial for trial in sewn if trial.stitch == judged[0])
        seam = {"fabric": JERSEY, "stitch": able.stitch, "machine": able.machine}
        first = studio.propose(**seam)
        assert first.lead == "baseline"
        assert first.leading == first.baseline
        assert "baseline leads" in first.lead_why
        studio.record(**seam, settings=first.leading, passed=False, readings={"edge_lie": 1})
        second = studio.propose(**seam)
        assert second.lead == "model"
        assert second.leading == second.settings
