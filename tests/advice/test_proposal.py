"""What a proposal must be."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recommender.advice.model import Model, fitted
from recommender.advice.proposal import propose
from recommender.advice.seam import Seam
from recommender.swatches.trial import Trial
from recommender.trade.fabric import CONSTRUCTIONS, FIBRES, Fabric
from recommender.trade.machine import Dial, Machine
from recommender.trade.readings import READINGS
from recommender.trade.stitch import stitch, stitches
from recommender.trade.thread import KINDS, ORDINARY, Thread
from tests.advice.conftest import BENCH, JERSEY

CLOTHS = st.builds(
    Fabric,
    name=st.just("a cloth"),
    construction=st.sampled_from(CONSTRUCTIONS),
    fibre=st.sampled_from(FIBRES),
    gsm=st.floats(15, 1000),
    stretch=st.floats(0, 300),
    plies=st.integers(1, 6),
)
THREADS = st.builds(Thread, tex=st.floats(5, 300), kind=st.sampled_from(KINDS))


def sewn(seam: Seam, settings, passed=False, **readings: float) -> Trial:
    return Trial(fabric=seam.fabric, stitch=seam.stitch.name, machine="bench", settings=settings, passed=passed, readings=readings)


def after(seam: Seam, **readings: float):
    """The proposal after one failed swatch on the baseline, and the settings of that swatch."""
    start = seam.baseline.settings
    trial = sewn(seam, start, **readings)
    return propose(fitted([trial], {"bench": BENCH}), seam, [trial]), start


@settings(max_examples=60)
@given(fabric=CLOTHS, name=st.sampled_from(stitches()), needle=THREADS, looper=THREADS)
def test_with_an_empty_log_the_proposal_is_the_baseline(fabric, name, needle, looper):
    seam = Seam(fabric, stitch(name), BENCH, needle, looper)
    found = propose(fitted((), {"bench": BENCH}), seam)
    assert found.settings == found.baseline == seam.baseline.settings
    assert not any(found.why.values())
    assert found.moves == ()
    assert not found.chance_known
    assert found.pass_chance == found.baseline_chance
    for control, value in found.settings.controls().items():
        dial = BENCH.dial(control)
        assert dial.low <= found.bands[control].low < found.bands[control].high <= dial.high
        assert value in found.bands[control]


# Reading, score, and what the usual trouble-shooting moves first or next, with its way: common practice, no source.
CURES = [
    ("edge_lie", 2, {"differential": +1}),
    ("edge_lie", -2, {"differential": -1}),
    ("looper_balance", 2, {"tension: lower looper": +1, "tension: upper looper": -1}),
    ("looper_balance", -2, {"tension: lower looper": -1, "tension: upper looper": +1}),
    ("needle_line", 2, {"tension: left needle": -1, "tension: right needle": -1}),
    ("needle_line", -2, {"tension: left needle": +1, "tension: right needle": +1}),
    ("edge_wrap", 2, {"width": -1, "tension: upper looper": -1, "tension: lower looper": -1}),
    ("edge_wrap", -2, {"width": +1, "tension: upper looper": +1, "tension: lower looper": +1}),
    ("stitch_cover", 2, {"length": +1}),
    ("stitch_cover", -2, {"length": -1}),
]


@pytest.mark.parametrize(("reading", "score", "cures"), CURES)
@pytest.mark.parametrize("name", stitches())
def test_a_failed_swatch_moves_the_control_of_its_reading(seam, name, reading, score, cures):
    here = seam(name)
    found, start = after(here, **{reading: score})
    moved = {move.control: np.sign(move.end - move.start) for move in found.moves}
    room = {c for c, way in cures.items() if c in here.controls and can_move(here, c, way)}
    if not room:  # every cure of it stands at its end: nothing else may be moved the wrong way
        assert all(moved.get(control, way) == way for control, way in cures.items())
        return
    assert moved, "a fail with room to mend it must lead to a move"
    assert all(cures[control] == way for control, way in moved.items() if control in cures)
    assert set(moved) & set(cures)
    assert found.settings != start


def can_move(seam: Seam, control: str, way: int) -> bool:
    dial, value = BENCH.dial(control), seam.baseline.settings.controls()[control]
    return value + dial.step <= dial.high if way > 0 else value - dial.step >= dial.low


def test_half_a_reading_moves_less_than_a_whole_one(seam):
    slight, bad = (after(seam(), edge_lie=score)[0].settings.differential for score in (1, 2))
    assert seam().baseline.settings.differential < slight < bad


def test_two_faults_are_both_mended(seam):
    found, start = after(seam(), edge_lie=2, stitch_cover=-2)
    assert found.settings.differential > start.differential
    assert found.settings.length < start.length


def test_a_passed_swatch_is_repeated(seam):
    here = seam()
    liked = here.baseline.settings.having({"differential": 1.7, "length": 2.5})
    trial = sewn(here, liked, passed=True, **dict.fromkeys(READINGS, 0.0))
    found = propose(fitted([trial], {"bench": BENCH}), here, [trial])
    assert found.settings == liked
    assert found.moves == ()


def test_moves_lead_from_the_last_swatch_to_the_proposal(seam):
    found, start = after(seam(), needle_line=-2, edge_wrap=1)
    assert start.having({move.control: move.end for move in found.moves}) == found.settings
    assert all(move.start == start.controls()[move.control] and move.start != move.end for move in found.moves)


def test_the_pass_windows_are_those_of_the_chance_that_is_told(seam):
    """After fails, which neither bands nor readings tell of here, as before: a step out of a window costs more than a tenth."""
    here, model = seam(), fitted((), {"bench": BENCH})
    fails = [sewn(here, here.baseline.settings), sewn(here, here.baseline.settings.having({"tension: upper looper": 5.0}))]
    for earlier in ([], fails):
        found, outlook = propose(model, here, earlier), model.outlook(here, earlier)
        assert found.pass_chance == pytest.approx(float(outlook.pass_chance(here.amounts(found.settings))))
        for control, window in found.windows.items():
            dial = here.machine.dial(control)
            steps = [dial.at(step) for step in range(dial.steps + 1)]
            chances = outlook.pass_chance(here.amounts_of([found.settings.having({control: value}) for value in steps]))
            good = [value for value, chance in zip(steps, chances, strict=True) if chance >= found.pass_chance - 0.1]
            assert {window.low, window.high} <= {*good}
            outside = [value for value in (window.low - dial.step, window.high + dial.step) if dial.low <= value <= dial.at(dial.steps)]
            assert not [value for value in outside if any(abs(value - one) < 1e-6 for one in good)]
    assert found.windows != propose(model, here).windows


def test_a_swatch_to_which_something_else_happened_is_not_held_against_its_settings(seam):
    here, model = seam(), fitted((), {"bench": BENCH})
    fail = sewn(here, here.baseline.settings)
    jammed = replace(fail, flags={"jam"})
    assert propose(model, here, [jammed]).pass_chance == propose(model, here).pass_chance > propose(model, here, [fail]).pass_chance


def test_many_fails_leave_a_chance(seam):
    here, model = seam(), fitted((), {"bench": BENCH})
    outlook = model.outlook(here, [sewn(here, here.baseline.settings)] * 3000)
    assert 0 < float(outlook.pass_chance(here.amounts(here.baseline.settings))) < float(model.outlook(here).pass_chance(np.zeros(7)))


PRESSED = replace(BENCH, foot_pressure=Dial(1, 6, 0.5, 3))


@pytest.mark.parametrize(("set_to", "then"), [(5.0, 5.0), (None, 3.0), (9.0, 3.0)])
def test_a_foot_pressure_is_left_as_it_was_set_where_the_machine_still_has_it(set_to, then):
    seam = Seam(JERSEY, stitch("rolled hem"), PRESSED, ORDINARY, ORDINARY)
    last = sewn(seam, replace(seam.baseline.settings, foot_pressure=set_to), edge_lie=2.0)
    found = propose(fitted([last], {"bench": PRESSED}), seam, [last])
    assert found.moves
    assert found.settings.foot_pressure == then


def test_a_length_between_two_marks_is_not_moved_to_one_of_them(seam):
    """10 stitches per inch on a dial in quarters of a millimetre. All is read, so that nothing but the loopers is at fault."""
    here = seam()
    good = dict.fromkeys(READINGS, 0.0)
    last = sewn(here, replace(here.baseline.settings, length=2.54), **{**good, "looper_balance": 2.0})
    found = propose(fitted([last], {"bench": BENCH}), here, [last])
    assert found.moves
    assert "length" not in {move.control for move in found.moves}
    assert found.settings.length == 2.54


def test_terms_add_up_to_the_difference_from_the_baseline(shop, taught):
    for _ in range(20):
        piece = shop.fabric()
        found = propose(taught, Seam(*piece))
        for control, value in found.settings.controls().items():
            total = sum(term.amount for term in found.why[control])
            assert total == pytest.approx(value - found.baseline.controls()[control], abs=1e-9)


def test_proposals_stay_on_the_machines_steps_and_inside_its_ranges(shop, taught):
    for _ in range(20):
        piece = shop.fabric()
        found = propose(taught, Seam(*piece))
        assert found.settings.tension.keys() == set(piece.stitch.positions)
        for control, value in found.settings.controls().items():
            dial = piece.machine.dial(control)
            assert dial.nearest(value) == pytest.approx(value)
            for kind in (found.bands, found.windows):
                assert dial.low - 1e-9 <= kind[control].low <= value <= kind[control].high <= dial.high + 1e-9


def test_more_swatches_narrow_the_bands(shop, log, taught):
    few = fitted(log[:9], shop.machines, (taught.scales, taught.standard))

    def width(model: Model, piece) -> float:
        return float(np.mean([band.high - band.low for band in propose(model, Seam(*piece)).bands.values()]))

    pieces = [shop.fabric() for _ in range(8)]
    assert np.mean([width(taught, piece) for piece in pieces]) < np.mean([width(few, piece) for piece in pieces])


def test_a_dial_with_another_home_mark_gets_the_same_move(seam):
    """Dial numbers do not carry over between machines; offsets from the home mark do."""
    other = Machine(name="other", tension={p: replace(d, low=1.0, high=10.0, home=5.0) for p, d in BENCH.tension.items()})
    machines = {"bench": BENCH, "other": other}
    here = seam()
    trial = sewn(here, here.baseline.settings, looper_balance=2)
    model = fitted([trial], machines)
    there = Seam(JERSEY, here.stitch, other, ORDINARY, ORDINARY)
    moved = {c: v - there.baseline.settings.controls()[c] for c, v in propose(model, there).settings.controls().items()}
    assert there.baseline.settings.tension["lower looper"] == here.baseline.settings.tension["lower looper"] + 1
    assert moved["tension: lower looper"] >= 0 >= moved["tension: upper looper"]
    assert moved["tension: lower looper"] - moved["tension: upper looper"] > 0


def test_the_same_log_gives_the_same_proposal(shop, log):
    piece = shop.fabric()
    assert propose(fitted(log, shop.machines), Seam(*piece)) == propose(fitted(log, shop.machines), Seam(*piece))
