"""The simulator: what it hands out can be sewn, is worth learning, and is read as sewers read."""

import doctest
from collections import Counter

import numpy as np
import pytest

import data.demo.workshop as simulator
from data.demo.physics import TRAITS, cloth_of, sewn
from data.demo.workshop import LIMIT, Sewer, Workshop
from recommender.trade.fabric import Fabric
from recommender.trade.readings import READINGS
from recommender.trade.stitch import stitch
from recommender.trade.thread import ORDINARY


@pytest.fixture(scope="module")
def pieces():
    """Sixty new cloths from each of four rooms, with the room that they came into."""
    shops = [Workshop(seed) for seed in range(4)]
    return [(shop, shop.fabric()) for shop in shops for _ in range(60)]


def _worst(readings):
    return max(abs(score) for score in readings.values())


def test_the_example_in_its_docstring_holds():
    assert doctest.testmod(simulator).failed == 0


def test_the_same_seed_gives_the_same_room_cloths_and_swatches():
    def story(seed):
        shop, rng = Workshop(seed), np.random.default_rng(3)
        pieces = [shop.fabric() for _ in range(20)]
        return pieces, [shop.sew(*piece, shop.baseline(piece), rng) for piece in pieces]

    assert story(11) == story(11)
    assert story(11) != story(12)


def test_a_thousand_cloths_all_have_names_of_their_own():
    shop = Workshop(0)
    assert len({shop.fabric().fabric.name for _ in range(1000)}) == 1000


def test_every_cloth_comes_with_a_machine_that_can_sew_its_stitch(pieces):
    assert not [piece for _, piece in pieces if piece.stitch.lacking(piece.machine)]


def test_four_thread_overlock_is_sewn_most_and_ten_stitches_at_least_are_sewn(pieces):
    counts = Counter(piece.stitch.name for _, piece in pieces)
    assert counts.most_common(1)[0][0] == "four-thread overlock"
    assert len(counts) >= 10


def test_between_a_quarter_and_a_half_of_the_first_swatches_pass_with_the_baseline(pieces):
    assert 0.25 < np.mean([_worst(shop.truth(piece, shop.baseline(piece)).readings) < LIMIT for shop, piece in pieces]) < 0.5


def test_nearly_every_cloth_has_a_passing_setting_on_the_machines_own_steps(pieces):
    passing = []
    for shop, piece in pieces[::2]:
        ideal = shop.ideal(piece)
        for name, value in ideal.controls().items():
            assert piece.machine.dial(name).holds(value)
            assert piece.machine.dial(name).nearest(value) == pytest.approx(value)
        passing.append(_worst(shop.truth(piece, ideal).readings) < LIMIT)
    assert np.mean(passing) > 0.97


def test_what_is_peculiar_to_a_cloth_is_the_smaller_part_of_what_the_baseline_misses(pieces):
    missed, common = [], []
    for shop, piece in pieces:
        settings, cloth = shop.baseline(piece), cloth_of(piece.fabric, dict.fromkeys(TRAITS, 0.0))
        ordinary = sewn(piece, settings, cloth, shop.works[piece.machine.name], simulator.AIMS[piece.stitch.name]).readings
        truth = shop.truth(piece, settings).readings
        missed.append([truth[name] for name in READINGS])
        common.append([truth[name] - ordinary[name] for name in READINGS])
    share = np.mean(np.square(common)) / np.mean(np.square(missed))
    assert 0.05 < share < 0.4


def test_the_best_feed_differs_from_the_baseline_in_a_way_that_depends_on_stretch_and_machine():
    shop = Workshop(1)
    gap = {}
    for name, machine in shop.machines.items():
        for stretch in (20, 100):
            cloths = [Fabric(name=f"knit {i}", construction="knit", fibre="cotton", gsm=210, stretch=stretch) for i in range(12)]
            made = [simulator.Piece(cloth, stitch("four-thread overlock"), machine, ORDINARY, ORDINARY) for cloth in cloths]
            gap[name, stretch] = np.mean([shop.ideal(piece).differential - shop.baseline(piece).differential for piece in made])
    assert gap["window table", 20] - gap["window table", 100] > 0.1
    assert gap["stove table", 100] - gap["window table", 100] > 0.1


def test_the_two_machines_differ_in_every_way_that_matters():
    window, stove = Workshop(0).machines.values()
    assert {p: d.home for p, d in window.tension.items()} != {p: d.home for p, d in stove.tension.items()}
    assert all(window.tension[p].step != stove.tension[p].step and window.tension[p].high != stove.tension[p].high for p in window.tension)
    assert (window.rolled_position, stove.rolled_position, window.converter, stove.converter) == (True, False, True, False)
    works = Workshop(0).works
    assert works["window table"].feed_gain != works["stove table"].feed_gain
    assert works["window table"].slack != works["stove table"].slack


def test_readings_are_half_steps_from_minus_two_to_two_near_the_truth_and_some_are_missing(pieces):
    rng, errors, made = np.random.default_rng(0), [], 0
    for shop, piece in pieces * 4:
        outcome = shop.sew(*piece, shop.baseline(piece), rng, Sewer(confused=0.0))
        made += len(outcome.readings)
        assert all(score in np.arange(-2, 2.5, 0.5) for score in outcome.readings.values())
        errors += [score - outcome.true_readings[name] for name, score in outcome.readings.items() if abs(outcome.true_readings[name]) < 1]
    trials = 4 * len(pieces)
    assert made / trials / 5 == pytest.approx(0.88, abs=0.02)
    assert np.mean(errors) == pytest.approx(0, abs=0.03)
    assert np.std(errors) == pytest.approx(np.hypot(0.25, 0.5 / np.sqrt(12)), abs=0.02)  # noise, and rounding to half steps


def test_about_four_in_a_hundred_swatches_are_rated_wrongly(pieces):
    rng, wrong, trials = np.random.default_rng(1), 0, 10 * len(pieces)
    for shop, piece in pieces * 10:
        outcome = shop.sew(*piece, shop.baseline(piece), rng)
        wrong += outcome.passed != outcome.good
    assert abs(wrong / trials - 0.04) < 3 * np.sqrt(0.04 * 0.96 / trials)


def test_a_cloth_of_any_origin_can_be_sewn_and_always_behaves_the_same():
    own = Fabric(name="something brought from home", construction="knit", fibre="acrylic", gsm=333, stretch=44)
    piece = simulator.Piece(own, stitch("four-thread overlock"), Workshop(2).machines["stove table"], ORDINARY, ORDINARY)
    first, second = (Workshop(2).truth(piece, Workshop(2).baseline(piece)) for _ in range(2))
    assert first == second
    assert set(first.readings) == set(READINGS)


def test_gathering_is_meant_to_shorten_the_cloth():
    shop = Workshop(4)
    lawn = Fabric(name="lawn", construction="woven", fibre="cotton", gsm=90)
    piece = simulator.Piece(lawn, stitch("gathering"), shop.machines["window table"], ORDINARY, ORDINARY)
    seam = shop.truth(piece, shop.ideal(piece))
    assert seam.strain < -0.2
    assert abs(seam.readings["edge_lie"]) < LIMIT
