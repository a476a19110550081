"""Fabric, thread, machine, dial, settings and readings."""

import copy
import pickle
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recommender.errors import InvalidValue, UnknownName
from recommender.trade.fabric import Fabric
from recommender.trade.machine import Dial, Machine
from recommender.trade.readings import READINGS, checked_readings
from recommender.trade.settings import Settings
from recommender.trade.thread import POSITIONS, Thread

PLAIN = Settings(tension={"left needle": 4, "lower looper": 5}, differential=1, length=2.5, width=6)


def test_the_generic_machine_has_the_agreed_scales():
    bench = Machine.generic("bench")
    assert tuple(bench.tension) == POSITIONS
    assert all((dial.low, dial.high, dial.home) == (0, 9, 4) for dial in bench.tension.values())
    assert (bench.differential.low, bench.differential.high) == (0.7, 2.0)
    assert (bench.length.low, bench.length.high) == (1, 5)
    assert (bench.width.low, bench.width.high) == (4, 7)


@pytest.mark.parametrize(("gsm", "kind"), [(60, "light woven"), (150, "medium woven"), (400, "heavy woven")])
def test_a_fabric_names_its_class(gsm, kind):
    assert Fabric(name="c", construction="woven", fibre="cotton", gsm=gsm).kind == kind


@pytest.mark.parametrize(
    ("make", "sentence"),
    [
        (lambda: Fabric(name="c", construction="woven", fibre="cotton", gsm=5), "fabric gsm: got 5, expected a number from 15"),
        (lambda: Thread(tex=1000), "thread tex: got 1000, expected a number from 5 to 300 tex"),
        (lambda: Thread(tex=27, kind="wool"), "thread kind: got 'wool', expected one of: spun"),
        (lambda: Dial(5, 5, 0.5, 5), "expected room for a step"),
        (lambda: Dial(0, 9, 0.5, 10), "home mark: got 10, expected a number of its dial, 0 to 9"),
        (lambda: Machine(name="m", tension={"lower looper": Dial(0, 9, 1, 4)}), "expected at least one needle and the lower looper"),
        (lambda: Machine(name="m", tension={"left needle": 4, "lower looper": 4}), "machine tension: left needle: got 4, expected a Dial"),
        (lambda: Machine(name="m", tension=None), "machine tension: got NoneType, expected a Dial by thread position"),
        (lambda: Machine(name="m", tension=["lower looper"]), "machine tension: got list, expected a Dial by thread position"),
        (lambda: Machine(name="m", differential=None), "machine differential: got None, expected a Dial"),
        (lambda: Machine(name="m", length=2.5), "machine length: got 2.5, expected a Dial"),
        (lambda: Machine(name="m", width="6"), "machine width: got '6', expected a Dial"),
        (lambda: Machine(name="m", foot_pressure=3), "machine foot pressure: got 3, expected a Dial"),
        (lambda: Machine(name="m", width=Dial(4, 15, 0.5, 6)), "machine width, high: got 15, expected a number from 1 to 12 mm"),
        (lambda: Machine(name="m", length=Dial(0, 5, 0.5, 3)), "machine length, low: got 0, expected a number from 0.3 to 8 mm"),
        (lambda: Machine(name="m", differential=Dial(0.7, 20, 0.1, 1)), "machine differential, high: got 20, expected .* from 0.3 to 4"),
        (lambda: Fabric(name=" \n", construction="woven", fibre="cotton", gsm=150), "fabric name: got .* not all of them blank"),
        (lambda: Machine(name="  "), "machine name: got '  ', expected text .* not all of them blank"),
        (lambda: replace(PLAIN, tension=None), "got NoneType, expected dial numbers"),
        (lambda: replace(PLAIN, length=0), "settings length: got 0"),
    ],
)
def test_a_value_that_makes_no_sense_is_refused_by_name(make, sentence):
    with pytest.raises(InvalidValue, match=sentence):
        make()


def test_names_that_do_not_exist_are_refused():
    for make in (
        lambda: replace(PLAIN, tension={"chain looper": 4}),
        lambda: Machine(name="m", tension={"chain looper": Dial(0, 9, 1, 4)}),
        lambda: PLAIN.having({"tension: upper looper": 3}),
        lambda: Machine.generic("bench").dial("tension: chain looper"),
        lambda: checked_readings({"lie": 1}),
    ):
        with pytest.raises(UnknownName, match="expected one of"):
            make()


def test_a_machine_has_a_dial_for_every_number_of_its_settings():
    bench = Machine.generic("bench")
    pressed = replace(bench, foot_pressure=Dial(0, 6, 0.5, 3))
    assert set(PLAIN.controls()) <= set(bench.dials)
    assert list(pressed.dials) == [*bench.dials, "foot pressure"]
    assert all(pressed.dial(control) is dial for control, dial in pressed.dials.items())
    with pytest.raises(UnknownName, match="has no 'foot pressure'"):
        bench.dial("foot pressure")


def test_controls_can_be_moved_one_by_one():
    moved = PLAIN.having({"tension: lower looper": 6, "width": 5})
    assert moved.controls() == PLAIN.controls() | {"tension: lower looper": 6, "width": 5}


def test_settings_can_be_copied_and_pickled():
    assert copy.deepcopy(PLAIN) == pickle.loads(pickle.dumps(PLAIN)) == PLAIN


@given(low=st.integers(0, 5), span=st.floats(0.6, 20), step=st.sampled_from([0.05, 0.1, 0.25, 0.5]), value=st.floats(-50, 50))
def test_the_nearest_setting_is_on_the_scale_and_nothing_on_it_is_nearer(low, span, step, value):
    dial = Dial(low, min(low + span, 30), step, low)
    found = dial.nearest(value)
    assert dial.holds(found)
    assert all(abs(found - value) <= abs(dial.at(index) - value) + 1e-9 for index in range(dial.steps + 1))


@pytest.mark.parametrize("score", [-2, -0.5, 0, 1.5, 2])
def test_readings_are_half_steps_from_minus_two_to_two(score):
    assert checked_readings(dict.fromkeys(READINGS, score)) == dict.fromkeys(READINGS, score)


@pytest.mark.parametrize("score", [-2.5, 3, 0.25, "1", True, float("nan")])
def test_other_scores_are_refused(score):
    with pytest.raises(InvalidValue, match=r"edge_lie: got .*, expected a number from -2 to 2 in steps of 0\.5"):
        checked_readings({"edge_lie": score})
