"""What to look at when something else went wrong."""

import pytest

from recommender.trade.readings import FLAGS
from recommender.trade.upkeep import after_mishaps

HANDS = {"needle", "looper", "knife", "foot", "seam", "dials"}


@pytest.mark.parametrize("flag", FLAGS)
def test_the_plug_is_out_first_and_every_hand_is_warned(flag):
    steps = after_mishaps({flag})
    assert (steps[0].place, [step.place for step in steps].count("power")) == ("power", 1)
    assert "unplug" in steps[0].text
    assert "manual" in steps[0].caution
    assert len(steps) > 2
    assert all(step.caution for step in steps if step.place in HANDS)


def test_the_first_remedies_are_those_of_the_trade():
    """Skipped: a fresh needle, then threading and pressure; broken: threading, then the thread's tension (common practice, no source)."""
    assert [step.place for step in after_mishaps(["skipped_stitches"])] == ["power", "needle", "looper", "foot"]
    assert [step.place for step in after_mishaps(["thread_break"])] == ["power", "looper", "dials"]


def test_what_two_mishaps_share_is_said_once():
    both = after_mishaps(["skipped_stitches", "jam"])
    assert len({step.text for step in both}) == len(both)
    assert {*after_mishaps(["jam"]), *after_mishaps(["skipped_stitches"])} == {*both}
