"""The order of a day's seams: fewest threads to thread, then fewest parts, and what to do between one seam and the next."""

from dataclasses import replace
from itertools import permutations
from types import SimpleNamespace

import numpy as np
import pytest

from recommender import Fabric, Settings, Thread, stitches
from recommender.advice.planning.day import EXACT, change_over, day, set_up
from recommender.trade.needles import needle_for
from recommender.trade.stitch import stitch

JERSEY = Fabric(name="rib jersey", construction="knit", fibre="cotton", gsm=220, stretch=60)
LAWN = replace(JERSEY, name="lawn", construction="woven", gsm=70, stretch=0)
PLAIN, WOOLLY = Thread(tex=27), Thread(tex=35, kind="textured")
FOUR, WIDE, ROLLED, TWO = "four-thread overlock", "three-thread overlock wide", "rolled hem", "two-thread rolled hem"


def seam(name, machine="bench", fabric=JERSEY, needle=PLAIN, looper=PLAIN, by=0.0, size=None, when=0):
    tension = dict.fromkeys(stitch(name).positions, 4.0 + by)
    settings = Settings(tension=tension, differential=1.0, length=2.5, width=6.0)
    threads = {"needle_thread": needle, "looper_thread": looper}
    return SimpleNamespace(stitch=name, machine=machine, fabric=fabric, settings=settings, needle_size=size, when=when, **threads)


def places(stops):
    return [stop.place for stop in stops]


def toll(order, standing=None):
    before, threads, parts = standing and set_up(standing), 0, 0
    for one in order:
        change = change_over(before, set_up(one)).toll
        threads, parts, before = threads + change[0], parts + change[1], set_up(one)
    return threads, parts


@pytest.mark.parametrize("seed", range(6))
def test_no_other_order_changes_less(seed):
    draw = np.random.default_rng(seed)
    threads = (PLAIN, WOOLLY, Thread(tex=18))
    seams = [seam(str(draw.choice(stitches())), needle=threads[draw.integers(3)], looper=threads[draw.integers(3)]) for _ in range(6)]
    standing = seam(str(draw.choice(stitches())))
    found = toll([seams[place] for place in places(day(seams, {"bench": standing}))], standing)
    assert found == min(toll(order, standing) for order in permutations(seams))


def test_every_seam_stands_in_the_order_once_and_machines_do_not_mix():
    seams = [seam(FOUR, "bench"), seam(WIDE, "desk"), seam(FOUR, "bench", LAWN), seam(ROLLED, "desk"), seam(WIDE, "bench")]
    found = places(day(seams))
    assert sorted(found) == [0, 1, 2, 3, 4]
    assert [seams[place].machine for place in found] == ["bench"] * 3 + ["desk"] * 2


def test_the_machine_that_was_sewn_on_last_comes_first_and_the_others_as_they_are_named():
    seams = [seam(FOUR, "bench"), seam(WIDE, "desk"), seam(FOUR, "attic"), seam(FOUR, "desk")]
    machines = ("bench", "desk", "attic")
    for last, order in (("bench", ["bench", "desk", "attic"]), ("desk", ["desk", "bench", "attic"]), ("attic", ["attic", "bench", "desk"])):
        standing = {machine: seam(FOUR, machine, when=int(machine == last)) for machine in machines}
        found = day(seams, standing)
        assert list(dict.fromkeys(seams[stop.place].machine for stop in found)) == order
        by_machine = {stop.place: stop for stop in day(seams, {**standing, "shed": seam(FOUR, "shed", when=2)})}
        assert [by_machine[stop.place] for stop in found] == list(found), "the same is changed over, whichever comes first"


def test_seams_of_one_set_up_stand_together_and_those_of_one_cloth_beside_each_other():
    seams = [seam(FOUR, fabric=JERSEY), seam(ROLLED), seam(FOUR, fabric=LAWN), seam(FOUR, fabric=JERSEY, by=1)]
    assert places(day(seams, {"bench": seam(FOUR)})) == [0, 3, 2, 1]


def test_a_machine_begins_as_its_last_swatch_left_it():
    seams = [seam(FOUR, looper=PLAIN), seam(FOUR, looper=WOOLLY)]
    assert places(day(seams, {"bench": seam(FOUR, looper=WOOLLY)})) == [1, 0]
    first = day(seams, {"bench": seam(FOUR, looper=WOOLLY)})[0]
    assert first.change.toll == (0, 0)
    assert day(seams)[0].change.thread == ("lower looper", "upper looper", "right needle", "left needle")


def test_where_a_looper_is_threaded_anew_the_needles_are_unthreaded_first_and_threaded_after_it():
    change = change_over(set_up(seam(FOUR)), set_up(seam(FOUR, looper=WOOLLY)))
    assert change.unthread == ("right needle", "left needle")
    assert change.thread == ("lower looper", "upper looper", "right needle", "left needle")
    alone = change_over(set_up(seam(FOUR)), set_up(seam(FOUR, needle=WOOLLY)))
    assert (alone.unthread, alone.thread) == ((), ("right needle", "left needle"))
    assert change_over(set_up(seam(WIDE)), set_up(seam(FOUR))).thread == ("right needle",)


def test_threads_count_before_parts():
    """Taking out the finger and changing the foot is less work than threading a looper."""
    change = change_over(set_up(seam(WIDE)), set_up(seam(ROLLED)))
    assert (change.thread, change.put_in, change.take_out) == (("right needle",), ("right needle",), ("left needle",))
    assert "finger out" in change.parts
    seams = [seam(ROLLED, needle=PLAIN), seam(WIDE, looper=WOOLLY)]
    assert places(day(seams, {"bench": seam(WIDE)})) == [0, 1]


def test_the_converter_and_the_knife_are_changed_where_a_stitch_wants_it():
    change = change_over(set_up(seam(ROLLED)), set_up(seam(TWO)))
    assert change.parts == ("converter on",)
    assert change.take_out == ("upper looper",)
    assert "knife out" in change_over(set_up(seam(ROLLED)), set_up(seam("pin tuck"))).parts
    assert "knife in" in change_over(set_up(seam("pin tuck")), set_up(seam(ROLLED))).parts


def test_the_dials_to_turn_are_those_that_differ_from_the_seam_before():
    stops = day([seam(WIDE), seam(WIDE, by=0.5)], {"bench": seam(FOUR)})
    assert (stops[0].moves, stops[0].fresh) == ((), ())
    assert [(move.control, move.start, move.end) for move in stops[1].moves] == [
        ("tension: left needle", 4.0, 4.5),
        ("tension: upper looper", 4.0, 4.5),
        ("tension: lower looper", 4.0, 4.5),
    ]


def test_a_dial_that_the_seam_before_did_not_use_has_to_be_set():
    assert day([seam(FOUR)], {"bench": seam(WIDE)})[0].fresh == ("tension: right needle",)
    assert set(day([seam(FOUR)])[0].fresh) == set(seam(FOUR).settings.controls())


def test_more_set_ups_than_can_be_tried_are_ordered_step_by_step():
    seams = [seam(FOUR, needle=Thread(tex=20 + n)) for n in range(EXACT + 2)]
    assert sorted(places(day(seams))) == list(range(EXACT + 2))
    assert places(day(seams, {"bench": seams[5]}))[0] == 5


def test_of_nothing_nothing_comes():
    assert day([]) == ()


def test_the_needles_are_changed_where_the_cloth_wants_others_and_only_there():
    lawn, jersey = seam(FOUR, fabric=LAWN), seam(FOUR)
    stops = day([lawn, jersey, jersey], {"bench": lawn})
    assert [stop.needles for stop in stops] == [(), ("right needle", "left needle"), ()]
    poplin = replace(LAWN, name="poplin", gsm=150)
    knit = replace(poplin, construction="knit", stretch=30)
    assert needle_for(poplin, PLAIN).size == needle_for(knit, PLAIN).size
    assert day([seam(FOUR, fabric=poplin)], {"bench": seam(FOUR, fabric=knit)})[0].needles, "another point is another needle"
    assert all(stop.change.toll == (0, 0) for stop in stops), "the order of the set-ups costs what it did"


def test_a_needle_that_the_stitch_puts_in_is_no_needle_to_change():
    (stop,) = day([seam(FOUR, fabric=LAWN)], {"bench": seam(WIDE)})
    assert (stop.change.put_in, stop.needles) == (("right needle",), ("left needle",))


def test_the_needle_in_a_machine_is_the_one_that_was_noted_with_its_last_swatch():
    fits = needle_for(JERSEY, PLAIN).size
    assert day([seam(FOUR)], {"bench": seam(FOUR, size=fits)})[0].needles == ()
    assert day([seam(FOUR)], {"bench": seam(FOUR, size=fits + 10)})[0].needles == ("right needle", "left needle")


def test_into_a_machine_of_which_nothing_is_known_the_needles_are_put():
    (stop,) = day([seam(FOUR)])
    assert (stop.change.put_in, stop.needles) == (("left needle", "right needle"), ())


def test_cloths_for_one_needle_stand_together_beginning_with_the_one_that_is_in():
    other = replace(LAWN, name="voile")
    seams = [seam(FOUR, fabric=LAWN), seam(FOUR), seam(FOUR, fabric=other)]
    assert places(day(seams, {"bench": seam(FOUR, fabric=LAWN)})) == [0, 2, 1]
    assert places(day(seams, {"bench": seam(FOUR)})) == [1, 0, 2]
