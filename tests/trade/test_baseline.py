"""The baseline against its check values, and what must hold for every cloth and machine.

Check values without another source beside them: common practice, no source.
"""

import copy
import math
import pickle

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recommender.errors import UnsuitableMachine
from recommender.trade.baseline import baseline
from recommender.trade.fabric import CONSTRUCTIONS, FIBRES, GRAINS, Fabric
from recommender.trade.machine import Dial, Machine
from recommender.trade.settings import TENSION_RULE
from recommender.trade.stitch import stitch, stitches
from recommender.trade.tables import table
from recommender.trade.thread import KINDS, ORDINARY, POSITIONS, Thread

BENCH = Machine.generic("bench")
ROLLING = Machine(name="rolling", rolled_position=True)
COTTON = Fabric(name="cotton", construction="woven", fibre="cotton", gsm=150)


def start(name, fabric=COTTON, machine=BENCH, needle_thread=ORDINARY, looper_thread=ORDINARY):
    return baseline(fabric, stitch(name), machine, needle_thread, looper_thread).settings


def having(*positions):
    return {position: BENCH.tension[position] for position in positions}


def woven(gsm, **more):
    return Fabric(name="cloth", construction="woven", fibre="cotton", gsm=gsm, **more)


def knit(gsm, stretch, **more):
    return Fabric(name="cloth", construction="knit", fibre="cotton", gsm=gsm, stretch=stretch, **more)


# Control -> lowest and highest value on medium woven cotton, on a machine whose home mark is 4.
HOME = (4, 4)
LOOPERS_HOME = {"upper looper": HOME, "lower looper": HOME}
ORDINARY_OVERLOCK = {**LOOPERS_HOME, "width": (6, 6), "differential": (1, 1), "length": (2.5, 3.5)}
FLATLOCK_LOOPERS = {"upper looper": (0, 4), "lower looper": (4, 9)}
ROLLED = {"right needle": HOME, "upper looper": HOME, "lower looper": (6, 9), "width": (4, 5)}
CHECK_VALUES = {
    "four-thread overlock": {"left needle": HOME, "right needle": HOME, **ORDINARY_OVERLOCK},
    "three-thread overlock wide": {"left needle": HOME, **ORDINARY_OVERLOCK},
    "three-thread overlock narrow": {"right needle": HOME, **ORDINARY_OVERLOCK},
    "three-thread flatlock wide": {"left needle": (0, 1), **FLATLOCK_LOOPERS, "width": (6, 6)},
    "three-thread flatlock narrow": {"right needle": (0, 1), **FLATLOCK_LOOPERS, "width": (4, 5)},
    "narrow hem": {"right needle": HOME, **LOOPERS_HOME, "width": (4, 5), "length": (1.5, 2)},
    "rolled hem": ROLLED,
    "picot edge": ROLLED,
    "two-thread overlock": {"left needle": (0, 1), "lower looper": HOME, "length": (2.5, 3), "width": (6, 6)},
    "two-thread rolled hem": {"right needle": (3, 4), "lower looper": (3, 4), "width": (4, 5), "length": (1.5, 1.5)},
    "gathering": {"differential": (1.5, 2)},
}


@pytest.mark.parametrize("name", CHECK_VALUES)
def test_medium_woven_cotton_starts_at_the_check_values(name):
    found = {control.removeprefix("tension: "): value for control, value in start(name).controls().items()}
    for control, (low, high) in CHECK_VALUES[name].items():
        assert low <= found[control] <= high, control


@pytest.mark.parametrize("name", ["rolled hem", "picot edge"])
def test_where_the_rolled_position_sets_the_tension_the_dials_stay_at_home(name):
    found = start(name, machine=ROLLING)
    assert set(found.tension.values()) == {4}
    assert 4 <= found.width <= 5


@pytest.mark.parametrize("name", CHECK_VALUES)
@pytest.mark.parametrize("home", [3, 5.5])
def test_on_another_machine_every_tension_moves_with_the_home_mark(name, home):
    other = Machine(name="other", tension=dict.fromkeys(POSITIONS, Dial(0, 12, 0.5, home)))
    here, there = start(name), start(name, machine=other)
    for position, value in here.tension.items():
        assert there.tension[position] == pytest.approx(max(value - 4 + home, 0))
    assert (here.differential, here.length, here.width) == (there.differential, there.length, there.width)


@pytest.mark.parametrize("name", stitches())
def test_every_thread_that_runs_is_set_and_no_other(name):
    assert tuple(start(name).tension) == stitch(name).positions


ON_CLOTH = [name for name in stitches() if name not in ("gathering", "decorative braid")]
"""The stitches whose feed goes by the cloth."""


@pytest.mark.parametrize("name", ON_CLOTH)
def test_light_and_sheer_wovens_are_fed_below_one_and_the_sheerest_most(name):
    assert start(name, woven(50)).differential < start(name, woven(105)).differential < 1


@pytest.mark.parametrize("name", ON_CLOTH)
def test_knits_are_fed_above_one_and_the_stretchiest_most(name):
    feeds = [start(name, knit(200, stretch)).differential for stretch in (10, 40, 70, 110)]
    assert feeds[0] > 1
    assert feeds == sorted(set(feeds))


def test_gathering_stays_at_one_and_a_half_to_two_on_any_cloth():
    for fabric in (woven(40), woven(200), knit(180, 60), knit(300, 150)):
        assert 1.5 <= start("gathering", fabric).differential <= 2


def test_a_braid_is_sewn_without_cloth_and_starts_the_same_whatever_cloth_is_named():
    cloths = (woven(40), woven(500), woven(200, stretch=30), woven(150, grain="bias"), knit(200, 60))
    assert {repr(start("decorative braid", cloth)) for cloth in cloths} == {repr(start("decorative braid"))}


def test_a_woven_on_the_bias_is_fed_more_than_on_the_straight_grain():
    assert start("four-thread overlock", woven(150, grain="bias")).differential > start("four-thread overlock", woven(150)).differential


def test_thick_layers_take_a_firmer_needle_and_looser_loopers():
    thin, thick = start("four-thread overlock"), start("four-thread overlock", woven(400))
    assert thick.tension["left needle"] > thin.tension["left needle"]
    assert thick.tension["upper looper"] < thin.tension["upper looper"]
    assert thick.length > thin.length
    assert thick.width > thin.width


def test_many_plies_count_like_thick_cloth():
    six_layers, two_layers = (start("four-thread overlock", woven(gsm, plies=plies)) for gsm, plies in ((150, 6), (450, 2)))
    assert six_layers == two_layers


def test_a_thread_moves_only_its_own_positions():
    thick = Thread(tex=90)
    usual, found = start("four-thread overlock"), start("four-thread overlock", needle_thread=thick)
    assert all(found.tension[p] < usual.tension[p] for p in ("left needle", "right needle"))
    assert all(found.tension[p] == usual.tension[p] for p in ("upper looper", "lower looper"))
    found = start("four-thread overlock", looper_thread=Thread(tex=27, kind="textured"))
    assert all(found.tension[p] == usual.tension[p] for p in ("left needle", "right needle"))
    assert all(found.tension[p] < usual.tension[p] for p in ("upper looper", "lower looper"))


def test_foot_pressure_is_left_at_home_or_left_out():
    assert start("four-thread overlock").foot_pressure is None
    assert start("four-thread overlock", machine=Machine(name="m", foot_pressure=Dial(1, 6, 1, 3))).foot_pressure == 3


@pytest.mark.parametrize(
    ("name", "machine", "lacking"),
    [
        ("four-thread overlock", {"tension": having("right needle", "upper looper", "lower looper")}, "the left needle"),
        ("rolled hem", {"tension": having("left needle", "lower looper")}, "the right needle and the upper looper"),
        ("two-thread overlock", {"converter": False}, "a two-thread converter"),
        ("narrow hem", {"removable_finger": False}, "a stitch finger that can be taken out"),
        ("pin tuck", {"knife_disengages": False}, "a knife that can be put out of action"),
    ],
)
def test_a_machine_that_cannot_sew_the_stitch_is_refused_by_name(name, machine, lacking):
    with pytest.raises(UnsuitableMachine, match=f"{name}: 'poor' lacks {lacking}, which this stitch needs"):
        start(name, machine=Machine(name="poor", **machine))


def test_the_first_rule_is_the_stitch_and_on_plain_cloth_it_is_the_only_one():
    rules = baseline(COTTON, stitch("four-thread overlock"), BENCH, ORDINARY, ORDINARY).rules
    assert [rule.name for rule in rules] == ["four-thread overlock"]
    assert not rules[0].moves


def test_the_rules_that_applied_are_named_with_their_moves():
    rules = baseline(knit(200, 60), stitch("four-thread overlock"), BENCH, Thread(tex=90), ORDINARY).rules
    assert [rule.name for rule in rules] == ["four-thread overlock", "knit", "thick thread: needle thread"]
    assert rules[1].moves == pytest.approx({"differential": 0.4})
    assert rules[2].moves == pytest.approx({"tension: left needle": -1.5, "tension: right needle": -1.5})


def test_a_baseline_can_be_copied_and_pickled():
    found = baseline(knit(200, 60), stitch("rolled hem"), BENCH, ORDINARY, ORDINARY)
    assert copy.deepcopy(found) == pickle.loads(pickle.dumps(found)) == found


def test_every_rule_in_the_table_gives_its_reason_and_source_and_can_apply():
    reasons = {row["name"]: (row["reason"], row["source"]) for row in table("baseline")["rule"]}
    assert len(reasons) == len(table("baseline")["rule"])
    assert all(reason.endswith(".") and source for reason, source in reasons.values())
    seen = set()
    for fabric in (woven(40), woven(500), woven(200, stretch=30), woven(150, grain="bias"), knit(200, 50)):
        for thread in (Thread(tex=12), Thread(tex=90), Thread(tex=27, kind="textured")):
            seen |= {rule.name.split(":")[0] for rule in baseline(fabric, stitch("four-thread overlock"), BENCH, thread, thread).rules}
    assert reasons.keys() <= seen


@st.composite
def dials(draw, low, high):
    bottom = draw(st.floats(low[0], low[1]).map(lambda x: round(x, 1)))
    top = draw(st.floats(high[0], high[1]).map(lambda x: round(x, 1)))
    home = draw(st.floats(bottom, top))
    return Dial(bottom, top, draw(st.sampled_from([0.05, 0.1, 0.25, 0.5])), home)


machines = st.builds(
    Machine,
    name=st.just("any"),
    tension=st.fixed_dictionaries({position: dials((0, 2), (6, 20)) for position in POSITIONS}),
    differential=dials((0.4, 0.8), (1.5, 3)),
    length=dials((0.5, 1.5), (3, 7)),
    width=dials((2, 5), (6, 10)),
    rolled_position=st.booleans(),
)
fabrics = st.builds(
    Fabric,
    name=st.just("any"),
    construction=st.sampled_from(CONSTRUCTIONS),
    fibre=st.sampled_from(FIBRES),
    gsm=st.floats(15, 1000),
    stretch=st.floats(0, 300),
    plies=st.integers(1, 6),
    grain=st.sampled_from(GRAINS),
)
threads = st.builds(Thread, tex=st.floats(5, 300), kind=st.sampled_from(KINDS))


@settings(max_examples=200)
@given(fabric=fabrics, name=st.sampled_from(stitches()), machine=machines, needle_thread=threads, looper_thread=threads)
def test_on_any_cloth_and_machine_the_start_can_be_set_and_its_moves_add_up(fabric, name, machine, needle_thread, looper_thread):
    found = baseline(fabric, stitch(name), machine, needle_thread, looper_thread)
    for control, value in found.settings.controls().items():
        dial = machine.dial(control)
        assert dial.low - 1e-9 <= value <= dial.high + 1e-9
        assert math.isclose((value - dial.low) / dial.step, round((value - dial.low) / dial.step), abs_tol=1e-6)
        moved = sum(rule.moves.get(control, 0.0) for rule in found.rules)
        assert value == pytest.approx(dial.home + moved, abs=1e-6)
    assert all(TENSION_RULE.fault(position, value) is None for position, value in found.settings.tension.items())
    assert all(rule.reason and rule.source and set(rule.moves) <= set(found.settings.controls()) for rule in found.rules)
