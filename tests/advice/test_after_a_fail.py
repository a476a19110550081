"""What is said beside the moves after a fail: dials at their ends, what else happened, two needles that read as one."""

import pytest

from recommender import Dial, Fabric, Machine, Settings
from recommender.advice.after_a_fail import at_an_end, nothing_to_move, which_needle
from recommender.advice.levers import LEVERS
from recommender.advice.moves import Move
from recommender.swatches.trial import Trial
from recommender.trade.stitch import stitch
from recommender.trade.tables import table

BENCH = Machine.generic("bench")
JERSEY = Fabric(name="rib jersey", construction="knit", fibre="cotton", gsm=220, stretch=60)
LEFT, RIGHT = (Move(f"tension: {side} needle", 4, 5) for side in ("left", "right"))


def sewn(name: str = "four-thread overlock", *, at: float | None = None, **more: object) -> Trial:
    """A swatch that failed, every tension at the same number."""
    tension = dict.fromkeys(stitch(name).positions, 4 if at is None else at)
    given = {"differential": 1.0, "length": 2.5, "width": 6.0} | {
        key: more.pop(key) for key in ("differential", "length", "width") & more.keys()
    }
    return Trial(fabric=JERSEY, stitch=name, machine="bench", passed=False, settings=Settings(tension=tension, **given), **more)  # type: ignore[arg-type]


def said(trial: Trial) -> str:
    return " ".join(step.text for step in at_an_end(trial, BENCH, ()))


def test_a_wavy_edge_at_the_end_of_the_feed_is_told_with_what_the_trade_does_then():
    """Pressure off the foot, then a longer stitch (common practice, no source)."""
    told = said(sewn(differential=2.0, readings={"edge_lie": 1.5}))
    assert told.startswith('The differential feed stands at 2, as far as its dial goes, though "stretched, wavy" asks for more.')
    assert told.index("presser foot") < told.index("longer stitch")


@pytest.mark.parametrize(
    ("readings", "set_to"),
    [
        ({"edge_lie": -1}, {"differential": 2.0}),
        ({"edge_lie": 1}, {"differential": 1.9}),
        ({"edge_lie": 0}, {"differential": 2.0}),
        ({}, {"differential": 2.0}),
        ({"needle_line": 1}, {"at": 9}),
    ],
)
def test_nothing_is_said_where_the_reading_wants_the_other_way_or_a_step_is_left(readings, set_to):
    assert at_an_end(sewn(readings=readings, **set_to), BENCH, ()) == ()


def test_a_dial_that_is_moved_back_is_not_said_to_be_at_its_end():
    wavy = sewn(differential=2.0, readings={"edge_lie": 1})
    assert at_an_end(wavy, BENCH, [Move("length", 2.5, 2.0)]) != ()
    assert at_an_end(wavy, BENCH, [Move("differential", 2.0, 1.5)]) == ()


def test_the_end_is_the_last_step_that_the_dial_has():
    """From 0.7 in steps of 0.4 the last mark below 2.0 is 1.9."""
    coarse = Machine(name="bench", differential=Dial(0.7, 2.0, 0.4, 1.1))
    assert at_an_end(sewn(differential=1.9, readings={"edge_lie": 1}), coarse, ()) != ()


def test_two_needles_are_at_their_end_only_together():
    both = sewn(at=9, readings={"needle_line": -1})
    assert said(both).startswith("The left needle tension and right needle tension stand at 9, as far as their dials go")
    one = Trial(
        **{name: getattr(both, name) for name in ("fabric", "stitch", "machine", "passed", "readings")},
        settings=both.settings.having({"tension: right needle": 5}),
    )
    assert at_an_end(one, BENCH, ()) == ()


@pytest.mark.parametrize(
    ("name", "reading", "set_to"),
    [
        ("gathering", {"edge_lie": 1}, {"differential": 2.0}),
        ("rolled hem", {"edge_wrap": -1}, {"width": 7.0}),
        ("three-thread flatlock wide", {"needle_line": 1}, {"at": 0}),
        ("two-thread rolled hem", {"looper_balance": -1}, {"at": 0}),
    ],
)
def test_nothing_is_said_of_a_stitch_that_is_meant_to_look_otherwise(name, reading, set_to):
    assert said(sewn(name, readings=reading, **set_to)) == ""


def test_where_nothing_is_moved_no_moves_are_waited_for():
    wavy = sewn(differential=2.0, readings={"edge_lie": 1})
    (told,) = at_an_end(wavy, BENCH, ())
    assert "The trade goes on so: take some pressure off" in told.text
    (told,) = at_an_end(wavy, BENCH, [Move("length", 2.5, 2.0)])
    assert "Where the moves do not mend it, the trade goes on so: take" in told.text


def test_both_ends_of_every_control_that_a_reading_leans_on_have_a_row_with_a_caution():
    rows = table("ends")["end"]
    assert sorted((row["control"], row["end"]) for row in rows) == sorted(
        (lever, end) for lever in LEVERS if lever not in ("needle difference", "foot pressure") for end in ("high", "low")
    )
    assert all(row["next"] and row["caution"] for row in rows)


def test_a_mishap_alone_moves_nothing():
    """A reading that is off speaks of the settings, and settings that nobody asked for may be what broke the thread."""
    jam = sewn(flags=frozenset({"jam"}), readings={"edge_lie": 0})
    assert nothing_to_move(jam, jam.settings)
    assert not nothing_to_move(jam, jam.settings.having({"differential": 1.1}))
    assert not nothing_to_move(jam, None)
    assert not nothing_to_move(sewn(flags=frozenset({"jam"}), readings={"edge_lie": 0.5}), jam.settings)
    assert not nothing_to_move(sewn(), jam.settings)


def test_one_needle_of_two_is_moved_with_a_word_on_the_other():
    ladders = sewn(readings={"needle_line": -1})
    told = which_needle(ladders, [RIGHT])
    assert told.startswith('The reading "ladders when opened" does not tell the two needles apart.')
    assert "where it is the left needle's" in told
    assert "where it is the right needle's" in which_needle(sewn(readings={"needle_line": 1}), [LEFT])
    assert which_needle(ladders, [LEFT, RIGHT]) == ""
    assert which_needle(ladders, [Move("length", 2.5, 2)]) == ""
    assert which_needle(sewn(readings={"edge_lie": 1}), [RIGHT]) == ""
    assert which_needle(sewn("three-thread overlock wide", readings={"needle_line": -1}), [LEFT]) == ""
