"""What a reading looks like is told by stitch: 0 is as it is meant there, and no end is a word for another stitch."""

from dataclasses import fields

import pytest

from recommender.errors import UnknownName
from recommender.trade.looks import intended, looks, reading, scored
from recommender.trade.readings import READINGS
from recommender.trade.stitch import Stitch, stitch, stitches
from recommender.trade.tables import table

ROWS = table("readings")["look"]


def told(name):
    """All that is said of one stitch, in one string."""
    return "; ".join(looks(reading, score, name) for reading in READINGS for score in (-2, 0, 2))


@pytest.mark.parametrize("name", ["four-thread overlock", "three-thread overlock wide", "three-thread overlock narrow"])
def test_an_ordinary_overlock_is_told_in_the_readings_own_words(name):
    assert {reading: READINGS[reading] for reading in READINGS} == {one: reading(one, name) for one in READINGS}
    assert intended(name) == ""


@pytest.mark.parametrize(
    ("name", "read", "words"),
    [
        ("gathering", "edge_lie", "gathered as meant"),
        ("three-thread flatlock narrow", "needle_line", "opens flat"),
        ("three-thread flatlock narrow", "edge_wrap", "edges meet, lie flat"),
        ("rolled hem", "edge_wrap", "rolled in and wrapped"),
        ("picot edge", "looper_balance", "below, at the needle line"),
        ("two-thread rolled hem", "looper_balance", "below, at the needle line"),
        ("two-thread overlock", "looper_balance", "on the edge"),
        ("pin tuck", "edge_wrap", "fold wrapped"),
        ("corded overlock", "edge_wrap", "loops hug the cord"),
        ("decorative braid", "edge_lie", "straight"),
    ],
)
def test_nought_is_what_the_stitch_is_meant_to_look_like(name, read, words):
    assert looks(read, 0, name) == words
    assert scored(read, 0, name) == f"{words} (0)"


@pytest.mark.parametrize("name", stitches())
def test_three_scores_of_a_reading_are_told_apart_on_every_stitch(name):
    for one in READINGS:
        assert len({looks(one, score, name) for score in (-2, 0, 2)}) == 3


@pytest.mark.parametrize("name", stitches())
def test_no_thread_is_named_that_does_not_run(name):
    runs = "upper looper" in stitch(name).loopers
    assert ("upper loop" in told(name)) is runs
    assert (reading("looper_balance", name).title == "Where the looper threads meet") is runs


@pytest.mark.parametrize("name", stitches())
def test_only_what_joins_two_layers_ladders(name):
    assert ("ladder" in told(name)) is (stitch(name).family in ("overlock", "flatlock"))


@pytest.mark.parametrize("name", stitches())
def test_what_is_meant_is_no_fault(name):
    faults = "; ".join(looks(one, score, name) for one in READINGS for score in (-2, 2))
    meant = {"rolled": "edge rolls", "gathering": "gathered, puckered", "decorative": "edge rolls", "flatlock": "ladders when opened"}
    assert meant.get(stitch(name).family, "nothing of the kind") not in faults


def test_every_row_holds_for_some_stitch_and_names_fields_and_readings_that_there_are():
    known = {one.name for one in fields(Stitch)}
    for row in ROWS:
        assert set(row["when"]) <= known
        assert set(row) <= {"when", "intended", "source", *READINGS}
        assert any(all(getattr(stitch(name), what) in those for what, those in row["when"].items()) for name in stitches())


def test_a_stitch_that_there_is_not_is_refused():
    with pytest.raises(UnknownName, match="stitch: got 'hemstitch'"):
        looks("edge_lie", 0, "hemstitch")
