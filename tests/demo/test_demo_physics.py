"""The invented physics: which way each control moves each reading, and that plain cloth at the home marks is what 0 means."""

import itertools
from dataclasses import replace

import pytest

from data.demo.catalogue import AIMS, ROOMS
from data.demo.physics import TRAITS, Piece, Works, cloth_of, pull, sewn, spring
from data.demo.workshop import Workshop
from recommender.trade.fabric import Fabric
from recommender.trade.settings import Settings
from recommender.trade.stitch import stitch, stitches
from recommender.trade.thread import ORDINARY, Thread

COTTON = Fabric(name="plain cotton", construction="woven", fibre="cotton", gsm=150, stretch=2)
NOTHING_OF_ITS_OWN = dict.fromkeys(TRAITS, 0.0)
TRUE_WORKS = Works(
    slack=dict.fromkeys(("left needle", "right needle", "upper looper", "lower looper"), 0.0),
    reach=4.6,
    power=1.9,
    feed_gain=1.0,
    feed_lag=0.0,
    foot=1.0,
    length_gain=1.0,
    width_lag=0.0,
    rolled_pull=1.75,
)

NEEDLES, LOOPERS = ("tension: left needle", "tension: right needle"), ("tension: upper looper", "tension: lower looper")
CHART = [
    (("differential",), "edge_lie", -1),
    (NEEDLES, "edge_lie", -1),
    (("tension: upper looper",), "looper_balance", 1),
    (("tension: lower looper",), "looper_balance", -1),
    (NEEDLES, "needle_line", 1),
    (LOOPERS, "edge_wrap", 1),
    (("width",), "edge_wrap", 1),
    (("length",), "stitch_cover", -1),
]


def _reference(settings=None, fabric=COTTON, works=TRUE_WORKS, thread=ORDINARY):
    piece = Piece(fabric, stitch("four-thread overlock"), ROOMS[0].machine, thread, thread)
    home = Settings(tension=dict.fromkeys(piece.stitch.positions, 4.0), differential=1.0, length=3.0, width=6.0, foot_pressure=3.0)
    return sewn(piece, settings or home, cloth_of(fabric, NOTHING_OF_ITS_OWN), works, AIMS[piece.stitch.name])


@pytest.fixture(scope="module")
def season():
    shop = Workshop(seed=5)
    return shop, [shop.fabric() for _ in range(60)]


def test_plain_cotton_at_the_home_marks_of_a_true_machine_lies_within_a_tenth_of_nought():
    assert max(abs(score) for score in _reference().readings.values()) < 0.1


@pytest.mark.parametrize(("controls", "reading", "sign"), CHART, ids=str)
def test_each_control_moves_its_reading_the_way_the_trade_says_on_every_cloth(season, controls, reading, sign):
    shop, pieces = season
    moved = 0
    for piece in pieces:
        start = shop.baseline(piece)
        running = [name for name in controls if name in start.controls()]
        if not running:
            continue
        step = {name: start.controls()[name] + (0.1 if name == "differential" else 0.5) for name in running}
        change = shop.truth(piece, start.having(step)).readings[reading] - shop.truth(piece, start).readings[reading]
        assert sign * change > 0, (piece.fabric, piece.stitch.name)
        moved += 1
    assert moved > 40


def test_differential_feed_acts_more_on_cloth_that_gives():
    def effect(stretch):
        cloth = Fabric(name="knit", construction="knit", fibre="cotton", gsm=200, stretch=stretch)
        home = Settings(tension=dict.fromkeys(stitch("four-thread overlock").positions, 4.0), differential=1.0, length=3.0, width=6.0)
        return _reference(replace(home, differential=1.3), cloth).strain - _reference(home, cloth).strain

    assert effect(100) < effect(30) < effect(5) < 0


def test_stretchy_knits_wave_and_sheer_wovens_pucker_at_a_feed_of_one():
    rib = Fabric(name="rib", construction="knit", fibre="cotton", gsm=220, stretch=90)
    sheer = Fabric(name="gauze", construction="woven", fibre="silk", gsm=40)
    assert _reference(fabric=rib).readings["edge_lie"] > 1
    assert _reference(fabric=sheer).readings["edge_lie"] < -0.5


def test_less_foot_pressure_stretches_a_knit_less():
    rib = Fabric(name="rib", construction="knit", fibre="cotton", gsm=220, stretch=90)
    settings = Settings(
        tension=dict.fromkeys(stitch("four-thread overlock").positions, 4.0), differential=1, length=3, width=6, foot_pressure=3
    )
    assert _reference(replace(settings, foot_pressure=1.5), rib).strain < _reference(settings, rib).strain


def test_the_spring_gives_one_at_its_mark_rises_throughout_and_saturates():
    forces = [spring(x / 2, 4.6, 1.9) for x in range(-12, 40)]
    assert spring(0, 4.6, 1.9) == pytest.approx(1)
    assert all(low < high for low, high in itertools.pairwise(forces))
    assert spring(2, 4.6, 1.9) - spring(0, 4.6, 1.9) > spring(12, 4.6, 1.9) - spring(10, 4.6, 1.9)
    assert spring(-40, 4.6, 1.9) == pytest.approx(0.15, abs=0.01)


def test_thicker_thread_is_held_harder_and_slippery_thread_less():
    assert pull(Thread(tex=60), 0, TRUE_WORKS) > pull(ORDINARY, 0, TRUE_WORKS) > pull(Thread(tex=27, kind="textured"), 0, TRUE_WORKS)


def test_the_rolled_position_tightens_the_lower_looper_and_only_for_rolled_stitches():
    fabric, machine = Fabric(name="lawn", construction="woven", fibre="cotton", gsm=80), ROOMS[0].machine
    for name, changes in (("rolled hem", True), ("narrow hem", False)):
        piece = Piece(fabric, stitch(name), machine, ORDINARY, ORDINARY)
        settings = Settings(tension=dict.fromkeys(piece.stitch.positions, 4.0), differential=1.0, length=1.5, width=4.5)
        cloth = cloth_of(fabric, NOTHING_OF_ITS_OWN)
        on, off = (sewn(piece, settings, cloth, replace(TRUE_WORKS, rolled_pull=by), AIMS[name]) for by in (1.75, 1.0))
        assert (on.readings["looper_balance"] < off.readings["looper_balance"] - 0.3) == changes


def test_every_stitch_of_the_trade_has_an_aim():
    assert set(AIMS) == set(stitches())


def test_a_measured_thickness_is_taken_at_its_word():
    thin, thick = (cloth_of(replace(COTTON, thickness=t), NOTHING_OF_ITS_OWN) for t in (0.2, 0.8))
    assert thick.stack - thin.stack == pytest.approx(1.3863, abs=1e-4)  # log 4
