"""The stitch catalogue."""

import copy
import pickle
from dataclasses import FrozenInstanceError, replace

import pytest

from recommender.errors import InvalidValue, UnknownName
from recommender.trade.machine import Machine
from recommender.trade.stitch import FAMILIES, stitch, stitches
from recommender.trade.thread import POSITIONS

NAMES = (
    "four-thread overlock",
    "three-thread overlock wide",
    "three-thread overlock narrow",
    "three-thread flatlock wide",
    "three-thread flatlock narrow",
    "narrow hem",
    "rolled hem",
    "picot edge",
    "two-thread overlock",
    "two-thread rolled hem",
    "gathering",
    "corded overlock",
    "pin tuck",
    "decorative braid",
)


def test_the_fourteen_stitches_stand_in_their_order():
    assert stitches() == NAMES


# Needles, loopers and threads by ISO 4915 number; 503, 504 and 514 read in textile pages on the standard's class 500.
ISO_4915 = {"503": (1, 1, 2), "504": (1, 2, 3), "514": (2, 2, 4)}


@pytest.mark.parametrize("name", NAMES)
def test_needles_loopers_and_threads_are_those_of_the_iso_4915_number(name):
    row = stitch(name)
    assert (len(row.needles), len(row.loopers), len(row.positions)) == ISO_4915[row.iso]


@pytest.mark.parametrize(
    ("name", "iso"),
    [
        ("four-thread overlock", "514"),  # ISO 4915: 2 needles, 2 loopers, the upper looper holds both needle loops
        ("three-thread overlock wide", "504"),  # ISO 4915: 1 needle, 2 loopers, loops meet on the edge
        ("three-thread overlock narrow", "504"),
        ("two-thread overlock", "503"),  # ISO 4915: 1 needle, 1 looper
    ],
)
def test_the_plain_overlocks_have_their_iso_number(name, iso):
    assert stitch(name).iso == iso


def test_stitches_without_a_number_of_their_own_say_so():
    for name in ("rolled hem", "picot edge", "three-thread flatlock wide", "three-thread flatlock narrow", "two-thread rolled hem"):
        assert "no number of its own" in stitch(name).iso_note
    assert "606" in stitch("three-thread flatlock wide").iso_note


# Which needle is in, finger, converter: check values, common practice, no source.
@pytest.mark.parametrize(
    ("name", "needles", "finger_in", "converter"),
    [
        ("four-thread overlock", ("left needle", "right needle"), True, False),
        ("three-thread overlock wide", ("left needle",), True, False),
        ("three-thread overlock narrow", ("right needle",), True, False),
        ("three-thread flatlock wide", ("left needle",), True, False),
        ("three-thread flatlock narrow", ("right needle",), True, False),
        ("narrow hem", ("right needle",), False, False),
        ("rolled hem", ("right needle",), False, False),
        ("picot edge", ("right needle",), False, False),
        ("two-thread overlock", ("left needle",), True, True),
        ("two-thread rolled hem", ("right needle",), False, True),
    ],
)
def test_the_parts_of_the_machine_are_those_of_the_check_values(name, needles, finger_in, converter):
    row = stitch(name)
    assert (row.needles, row.finger_in, row.converter) == (needles, finger_in, converter)


@pytest.mark.parametrize("name", NAMES)
def test_every_row_is_complete_and_names_its_source(name):
    row = stitch(name)
    assert row.name == name
    assert row.family in FAMILIES
    assert row.purpose.endswith(".")
    assert row.foot
    assert row.iso_note
    assert "no source" in row.source or "ISO 4915" in row.source
    assert tuple(row.offsets) == row.positions
    assert row.converter == ("upper looper" not in row.loopers)


def test_threads_go_lower_looper_then_upper_looper_then_needles():
    assert stitch("four-thread overlock").threading == ("lower looper", "upper looper", "right needle", "left needle")
    for name in NAMES:
        order = [position.split()[-1] for position in stitch(name).threading]
        assert order == sorted(order, key=["looper", "needle"].index)
        assert stitch(name).threading[0] == "lower looper"


def test_positions_stand_in_the_usual_order():
    for name in NAMES:
        assert list(stitch(name).positions) == [p for p in POSITIONS if p in stitch(name).positions]


@pytest.mark.parametrize(
    ("given", "hint"),
    [
        ("roled hem", "did you mean 'rolled hem'"),
        ("Four-Thread Overlock", "did you mean 'four-thread overlock'"),
        ("zigzag", "expected one of: four-thread overlock"),
        ("", "expected one of"),
        (None, "expected one of"),
        (["rolled hem"], "one of"),
    ],
)
def test_an_unknown_stitch_is_refused_with_the_list(given, hint):
    with pytest.raises(UnknownName) as caught:
        stitch(given)
    assert hint in str(caught.value)
    assert all(name in str(caught.value) for name in NAMES)


def test_a_stitch_cannot_be_changed():
    with pytest.raises(FrozenInstanceError):
        stitch("rolled hem").iso = "505"
    with pytest.raises(TypeError):
        stitch("rolled hem").offsets["lower looper"] = 0


def test_a_stitch_can_be_copied_pickled_and_looked_up_by():
    for name in NAMES:
        row = stitch(name)
        assert copy.deepcopy(row) == pickle.loads(pickle.dumps(row)) == row
        assert {row: 1}[copy.copy(row)] == 1


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"family": "zigzag"}, "got family 'zigzag'"),
        ({"needles": ("middle needle",)}, "got thread position 'middle needle'"),
        ({"offsets": {"left needle": 1.0}}, "got an offset for 'left needle'"),
        ({"needles": (), "offsets": {}}, "expected at least one needle"),
        ({"length": (3.0, 2.0)}, "expected a rising range"),
        ({"start": {"width": 9.0}}, "expected a rising range with its start inside"),
    ],
)
def test_a_row_that_contradicts_itself_is_refused(change, sentence):
    with pytest.raises(InvalidValue, match=sentence):
        replace(stitch("rolled hem"), **change)


def test_what_a_machine_lacks_is_named():
    full = Machine.generic("bench")
    poor = Machine(
        name="old",
        tension={p: full.tension[p] for p in ("left needle", "lower looper")},
        converter=False,
        removable_finger=False,
        knife_disengages=False,
    )
    assert all(stitch(name).lacking(full) == () for name in NAMES)
    assert stitch("pin tuck").lacking(poor) == (
        "the right needle",
        "the upper looper",
        "a stitch finger that can be taken out",
        "a knife that can be put out of action",
    )
    assert stitch("two-thread overlock").lacking(poor) == ("a two-thread converter",)
