"""What to look at when something else went wrong."""

import pytest

from recommender.trade.readings import FLAGS
from recommender.trade.upkeep import after_mishaps

HANDS = {"needle", "looper", "knife", "foot", "seam", "dials"}


@pytest.mark.parametrize("flag", FLAGS)
def test_the_plug_is_out_first_and_every_hand_is_warned(flag):
    steps = after_mishaps({flag})
    out, plugged = (place for place, step in enumerate(steps) if step.place == "power")
    assert out == 0
    assert "unplug" in steps[0].text
    assert "manual" in steps[0].caution
    assert plugged > 1
    assert steps[plugged].text.startswith("Lower the presser foot, close every cover")
    assert steps[plugged].text.endswith("then plug in.")
    assert all(step.place in {"dials", "foot"} for step in steps[plugged + 1 :]), "what is turned from outside"
    assert all(step.caution for step in steps if step.place in HANDS)


def test_the_first_remedies_are_those_of_the_trade():
    """A fresh needle, then threading; if it skips again, pressure; if it breaks again, tension (common practice, no source)."""
    assert [step.place for step in after_mishaps(["skipped_stitches"])] == ["power", "needle", "looper", "power", "foot"]
    assert [step.place for step in after_mishaps(["thread_break"])] == ["power", "needle", "looper", "power", "dials"]


def test_what_two_mishaps_share_is_said_once():
    both = after_mishaps(["skipped_stitches", "jam"])
    assert len({step.text for step in both}) == len(both)
    assert {*after_mishaps(["jam"]), *after_mishaps(["skipped_stitches"])} == {*both}


def test_every_piece_of_a_broken_needle_is_found_before_the_next_goes_in():
    steps = [step.text for step in after_mishaps(["needle_break"])]
    assert next(place for place, text in enumerate(steps) if "until the needle is whole" in text) < next(
        place for place, text in enumerate(steps) if text.startswith("Needle: put in fresh")
    )
