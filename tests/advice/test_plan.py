"""What a plan must be."""

import math
from dataclasses import replace

import numpy as np
import pytest

from data.demo.workshop import Piece
from recommender.advice.model import Model, fitted
from recommender.advice.outlook import Standard
from recommender.advice.planning.plan import plan
from recommender.advice.planning.stash import MOST, stash
from recommender.advice.proposal import propose
from recommender.advice.seam import Seam
from recommender.errors import InvalidValue
from recommender.learning.posterior import Scales
from recommender.trade.machine import Dial, Machine
from recommender.trade.readings import READINGS
from recommender.trade.stitch import stitch, stitches
from recommender.trade.thread import ORDINARY
from tests.advice.conftest import BENCH, JERSEY, trial_of

LEARN = math.inf
DOUBTING = Scales(block=np.array([0.5, 0.5, 0.5, 1.0, 0.7, 0.7, 0.7]), noise=np.full(len(READINGS), 0.4), group=np.full(len(READINGS), 0.4))
"""Those of a studio that trusts the trade's levers less than is believed at first: it has more to learn."""


@pytest.fixture
def doubting() -> Model:
    """The model of such a studio's empty log."""
    return fitted((), {"bench": BENCH}, (DOUBTING, Standard()))


@pytest.fixture(scope="module")
def seams(shop):
    return [Seam(*shop.fabric()) for _ in range(4)]


def moved_together(seam, way, seed):
    """The model of sixty swatches of a seam, every control moved at random but for the loopers: the lower one as far as the upper
    one, or as far the other way. The levers are what is believed at first; the scales stay `DOUBTING`."""
    rng, start = np.random.default_rng(seed), seam.baseline.settings.controls()
    levers = fitted((), {"bench": BENCH}).outlook(seam).mean
    trials = []
    for number in range(60):
        by = {control: dial.step * rng.integers(-2, 3) for control, dial in zip(seam.controls, seam.dials, strict=True)}
        by["tension: lower looper"] = way * by["tension: upper looper"]
        settings = seam.settings({c: BENCH.dial(c).nearest(start[c] + by[c]) for c in seam.controls})
        scores = levers @ np.append(1, seam.amounts(settings)) + 0.2 * rng.normal(size=len(READINGS))
        readings = dict(zip(READINGS, np.clip(np.round(2 * scores) / 2, -2, 2).tolist(), strict=True))
        piece = Piece(seam.fabric, seam.stitch, seam.machine, seam.needle_thread, seam.looper_thread)
        trials.append(trial_of(piece, settings, False, readings, number))
    return fitted(trials, {"bench": BENCH}, (DOUBTING, Standard()))


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("way", [1, -1])
@pytest.mark.parametrize("name", ["three-thread overlock wide", "four-thread overlock"])
def test_two_controls_that_always_moved_together_are_moved_apart(seam, name, way, seed):
    """And two that always moved apart are moved together."""
    here = seam(name)
    first = plan(moved_together(here, way, seed), [here], 1, learning=LEARN)[0]
    amounts = dict(zip(here.controls, here.amounts(first.settings), strict=True))
    upper, lower = (amounts[f"tension: {thread} looper"] for thread in ("upper", "lower"))
    assert abs(upper - way * lower) >= 1.5, "what the log never did"
    assert abs(upper - way * lower) >= abs(upper + way * lower), "and not more of what it always did"


def test_pending_swatches_are_taken_into_account(taught, seams):
    both = plan(taught, seams, 2, learning=LEARN)
    pending = [(next(s for s in seams if s.fabric == both[0].fabric), both[0].settings)]
    assert plan(taught, seams, 1, learning=LEARN, pending=pending) == both[1:]
    assert both[0] != both[1]


def test_a_swatch_of_a_seam_that_is_only_pending_narrows_what_is_left_to_learn(taught, seams):
    here, there = seams[0], seams[1]
    alone = plan(taught, [here], 1, learning=LEARN)[0]
    after = plan(taught, [here], 1, learning=LEARN, pending=[(here, alone.settings)] * 3 + [(there, there.baseline.settings)])[0]
    assert after.gain < alone.gain / 2


def test_more_weight_on_learning_gives_chance_for_narrower_bands(doubting, seam):
    here = seam()
    by_learning = [plan(doubting, [here], 4, learning=weight) for weight in (0, 1, 10, LEARN)]
    chances = [np.mean([swatch.pass_chance for swatch in swatches]) for swatches in by_learning]
    left = [np.prod([1 - swatch.gain for swatch in swatches]) for swatches in by_learning]
    assert chances[0] > chances[2]
    assert left[0] > left[2]
    assert left[0] - left[-1] > 0.02


def is_usual(seam, settings):
    return all(low <= getattr(settings, c) <= high for c in ("length", "width") for low, high in [getattr(seam.stitch, c)])


def test_for_passing_alone_the_first_swatch_is_as_likely_to_pass_as_the_proposal(shop, taught):
    """Where the proposal is inside the stitch's usual range, which a plan never leaves."""
    here = [seam for seam in (Seam(*shop.fabric()) for _ in range(12)) if is_usual(seam, propose(taught, seam).settings)]
    assert len(here) >= 4
    for seam in here:
        first = plan(taught, [seam], 1, learning=0)[0]
        assert first.proposal == propose(taught, seam).settings
        assert first.pass_chance >= 0.95 * propose(taught, seam).pass_chance


@pytest.mark.parametrize("learning", [0, 1, LEARN])
def test_no_settings_of_a_seam_are_planned_twice(taught, seams, learning):
    waiting = plan(taught, seams[:1], 1, learning=learning)[0].settings
    planned = plan(taught, seams[:1], 6, learning=learning, pending=[(seams[0], waiting)])
    assert len({tuple(settings.controls().values()) for settings in (waiting, *(swatch.settings for swatch in planned))}) == 7


def test_a_cloth_written_otherwise_is_the_same_cloth_in_a_plan(taught, seams):
    one = seams[0]
    shouted = Seam(replace(one.fabric, name=one.fabric.name.upper()), one.stitch, one.machine, one.needle_thread, one.looper_thread)
    first, *rest = plan(taught, [one], 3, learning=0)
    assert [swatch.settings for swatch in plan(taught, [one], 2, learning=0, pending=[(shouted, first.settings)])] == [
        s.settings for s in rest
    ]


def test_a_plan_ends_where_nothing_is_left_to_set_otherwise():
    """On a machine whose three dials have two steps each, and that sets a rolled hem's tensions by itself."""
    dials = {"differential": Dial(0.8, 1.2, 0.4, 1.2), "length": Dial(1, 2, 1, 2), "width": Dial(4, 5, 1, 5)}
    coarse = replace(BENCH, rolled_position=True, **dials)
    planned = plan(fitted((), {"bench": coarse}), [Seam(JERSEY, stitch("rolled hem"), coarse, ORDINARY, ORDINARY)], 20)
    assert len({tuple(swatch.settings.controls().values()) for swatch in planned}) == len(planned)
    assert 2 <= len(planned) <= 8


ROLLING = replace(BENCH, name="rolling", rolled_position=True)


@pytest.mark.parametrize("machine", [BENCH, ROLLING], ids=lambda machine: machine.name)
@pytest.mark.parametrize("name", stitches())
def test_nothing_is_planned_that_the_machine_the_stitch_or_the_cautions_forbid(name, machine):
    model = fitted((), {machine.name: machine}, (DOUBTING, Standard()))
    here = Seam(JERSEY, stitch(name), machine, ORDINARY, ORDINARY)
    planned = plan(model, [here], 3, learning=LEARN)
    assert any(swatch.settings != swatch.proposal for swatch in planned)
    for swatch in planned:
        for control, value in swatch.settings.controls().items():
            dial = machine.dial(control)
            assert dial.holds(value)
            assert dial.nearest(value) == pytest.approx(value)
        for control in ("length", "width"):
            low, high = getattr(here.stitch, control)
            assert low - 1e-9 <= getattr(swatch.settings, control) <= high + 1e-9
        if not here.stitch.knife_on or here.stitch.family == "corded":
            assert swatch.settings.width >= here.baseline.settings.width
        if here.stitch.rolled and machine.rolled_position:
            assert swatch.settings.tension == swatch.proposal.tension


def test_a_machine_outside_the_usual_range_of_a_stitch_stays_on_the_baseline(seam):
    narrow = replace(BENCH, name="narrow", width=replace(BENCH.width, low=2.0, high=3.5, home=3.0))
    here = Seam(JERSEY, stitch("four-thread overlock"), narrow, ORDINARY, ORDINARY)
    planned = plan(fitted((), {"narrow": narrow}), [here], 3, learning=LEARN)
    assert {swatch.settings.width for swatch in planned} == {here.baseline.settings.width}


def test_a_plan_says_what_to_do_in_a_sentence(taught, seams):
    for swatch in plan(taught, seams, 3, learning=LEARN):
        assert swatch.fabric.name in swatch.sentence
        assert swatch.stitch in swatch.sentence
        assert 0 < swatch.gain < 1
        assert swatch.tells in {control for seam in seams for control in seam.controls}


def test_planning_twice_plans_the_same_and_changes_nothing(taught, seams):
    before = taught.posterior.mean.copy()
    assert plan(taught, seams, 2) == plan(taught, seams, 2)
    assert np.array_equal(before, taught.posterior.mean)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"n": 0}, "1 to 50"),
        ({"n": 51}, "1 to 50"),
        ({"n": 3.0}, "1 to 50"),
        ({"learning": "much"}, "learning"),
        ({"learning": -1}, "learning"),
        ({"learning": math.nan}, "learning"),
        ({"stash": []}, "no cloth"),
    ],
)
def test_a_plan_that_cannot_be_is_refused(empty, seam, change, told):
    given = {"stash": [seam()], "n": 1, "learning": 1.0} | change
    with pytest.raises(InvalidValue, match=told):
        plan(empty, given["stash"], given["n"], learning=given["learning"])


def test_a_machine_with_a_part_missing_is_no_part_of_the_stash():
    plain = Machine(name="plain", converter=False)
    seams = stash((), {"bench": BENCH, "plain": plain}, [JERSEY], ["two-thread overlock", "four-thread overlock"])
    assert [(seam.stitch.name, seam.machine.name) for seam in seams] == [
        ("two-thread overlock", "bench"),
        ("four-thread overlock", "bench"),
        ("four-thread overlock", "plain"),
    ]


def test_the_stash_is_every_logged_cloth_with_its_own_stitches_and_threads(shop, log):
    few = stash(log[:12], shop.machines)
    sewn = {(trial.fabric.name, trial.stitch): (trial.needle_thread, trial.looper_thread) for trial in log[:12]}
    assert {(seam.fabric.name, seam.stitch.name) for seam in few} == set(sewn)
    assert all((seam.needle_thread, seam.looper_thread) == sewn[seam.fabric.name, seam.stitch.name] for seam in few)
    many = stash(log, shop.machines)
    assert len(many) == MOST
    assert {many[0].fabric.name} == {log[0].fabric.name}
