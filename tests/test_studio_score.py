"""The honest score through the studio: kept, brought up to date, and followed by the proposals."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise

import numpy as np
import pytest

from data.demo.workshop import Workshop
from recommender import Fabric, Studio
from recommender.advice.planning.day import ChangeOver, Stop
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


class LeftError(Exception):
    """Whoever waited has left."""


def test_a_score_that_is_left_is_kept_as_far_as_it_is_and_goes_on_from_there(tmp_path, shop, sewn):
    said = []

    def leave(done, of):
        said.append((done, of))
        assert studio.is_scoring
        raise LeftError

    with filled(tmp_path / "a.sqlite", shop, sewn[:14]) as studio:
        with pytest.raises(LeftError):
            studio.score(leave)
        assert not studio.is_scoring
        (done, of), *more = said
        assert (of, more) == (14, [])
        assert 0 < done < 14
        assert studio.unscored == 14 - done
    with Studio.open(tmp_path / "a.sqlite") as again, filled(tmp_path / "b.sqlite", shop, sewn[:14]) as whole:
        assert again.unscored == 14 - done
        steps = []
        found = again.score(lambda done, of: steps.append(done))
        assert steps == sorted(steps)
        assert steps[-1] == 14
        assert numbers(found) == pytest.approx(numbers(whole.score()), rel=1e-9)


def test_two_who_ask_for_the_score_at_once_share_the_work_and_both_see_how_far_it_is(tmp_path, shop, sewn):
    with filled(tmp_path / "a.sqlite", shop, sewn[:14]) as studio, ThreadPoolExecutor(2) as pool:
        seen = [], []
        asked = [pool.submit(studio.score, lambda done, of, mine=mine: mine.append(done)) for mine in seen]
        one, other = (numbers(each.result()) for each in asked)
        assert one == other
        replays = [sum(a != b for a, b in pairwise([0, *mine])) for mine in seen]
        assert max(map(max, filter(None, seen))) == 14
        assert all(replays)


def test_the_order_of_a_day_starts_from_how_the_last_swatch_left_the_machine(tmp_path, shop, sewn):
    with filled(tmp_path / "a.sqlite", shop, sewn[:6]) as studio:
        last = studio.trials()[-1]
        assert studio.day([last]) == (Stop(place=0, change=ChangeOver(), moves=()),)
        assert sorted(stop.place for stop in studio.day((*studio.next(3), last))) == [0, 1, 2, 3]
