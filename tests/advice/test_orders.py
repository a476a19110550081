"""What to do before a seam of the day: each order with the caution that belongs to it, and with no other."""

from itertools import permutations

import pytest

from recommender import stitches
from recommender.advice.planning.day import day
from recommender.advice.planning.orders import UNPLUGGED, orders
from recommender.trade.preparation import step_at
from recommender.trade.words import Units
from tests.advice.test_day import FOUR, LAWN, PLAIN, ROLLED, TWO, WIDE, WOOLLY, seam

DROPS = "lay a scrap of cloth under the foot"
OPENED = step_at("needle", "Raise the presser foot").text
CLOSED = step_at("power", "Lower the presser foot").text
DIALS = "Set the dials to the numbers below."
SHANK = "Hold the needle by its shank"


def steps(before, after):
    return orders(after, day([after], before and {"bench": before})[0], Units())


def told(before, after):
    return [(step.text, step.caution) for step in steps(before, after)]


def test_what_stays_as_it_is_has_no_orders():
    assert steps(seam(FOUR), seam(FOUR, by=1)) == ()


@pytest.mark.parametrize(("before", "after"), list(permutations(stitches(), 2)))
def test_between_any_two_stitches_the_plug_comes_out_first_and_no_caution_is_told_twice(before, after):
    found = steps(seam(before), seam(after, looper=WOOLLY))
    assert found[0] == UNPLUGGED
    assert found[-1].text.startswith("Lower the presser foot, close every cover")
    assert "plug in" in found[-1].text
    assert "plug in" not in "".join(step.text for step in found[:-1])
    cautions = [step.caution for step in found if step.caution]
    assert len(cautions) == len(set(cautions))
    assert all(step.text.endswith(".") for step in found)


def test_a_caution_stands_under_the_order_that_it_belongs_to():
    found = dict(told(seam(WIDE), seam(ROLLED)))
    assert DROPS in found["Take the left needle out."]
    assert SHANK in next(caution for text, caution in found.items() if text.startswith("Put "))
    assert "beside the finger" in found["Take the stitch finger out of the way."]
    assert "keep your fingers from the point" in found["Unthread the left needle."]
    converter = dict(told(seam(ROLLED), seam(TWO)))
    assert "stands close to the knife" in converter["Put the two-thread converter on."]
    assert "looper tips and knife" in converter["Cut the upper looper thread and draw it out."]
    knife = dict(told(seam("pin tuck"), seam(ROLLED)))["Let the knife cut again."]
    assert knife == "The knife is sharp even at rest: touch its lever or knob, never its edge."


def test_nothing_is_said_of_a_needle_that_drops_where_none_is_taken_out():
    for before, after in ((seam(FOUR), seam(FOUR, looper=WOOLLY)), (seam(FOUR), seam(FOUR, needle=WOOLLY)), (seam(WIDE), seam(FOUR))):
        assert steps(before, after)
        assert not any(DROPS in caution for _, caution in told(before, after))


def test_loopers_and_needles_are_threaded_by_orders_of_their_own():
    assert [text for text, _ in told(seam(FOUR, looper=WOOLLY), seam(FOUR, looper=PLAIN))] == [
        "Switch the machine off and unplug it.",
        OPENED,
        "Unthread the right needle and left needle, for the loopers come first.",
        "Thread the lower looper and upper looper with 27 tex polyester, spun; leave about 100 mm.",
        "Thread the right needle and left needle with 27 tex polyester, spun; leave about 100 mm under the foot to the back.",
        DIALS,
        CLOSED,
    ]


def test_a_change_of_needle_takes_the_old_ones_out_names_the_new_ones_and_threads_them_again():
    found = told(seam(FOUR), seam(FOUR, fabric=LAWN))
    assert [text for text, _ in found] == [
        "Switch the machine off and unplug it.",
        OPENED,
        "Unthread the right needle and left needle.",
        "Take the right needle and left needle out.",
        "Put the right needle and left needle in: 70/10, fine sharp.",
        "Thread the right needle and left needle again, with the same thread; leave about 100 mm under the foot to the back.",
        DIALS,
        CLOSED,
    ]
    assert DROPS in found[3][1]
    assert SHANK in found[4][1]
    assert [caution for _, caution in found].count(found[2][1]) == 1


def test_needles_are_threaded_by_one_order_and_unthreaded_before_they_come_out():
    into = [text for text, _ in told(seam(WIDE), seam(FOUR, fabric=LAWN))]
    assert into[2:] == [
        "Unthread the left needle.",
        "Take the left needle out.",
        "Put the right needle and left needle in: 70/10, fine sharp.",
        "Thread the right needle and left needle with 27 tex polyester, spun; leave about 100 mm under the foot to the back.",
        DIALS,
        CLOSED,
    ]
    assert [text for text, _ in told(seam(FOUR), seam(WIDE))][2:] == [
        "Unthread the right needle.",
        "Take the right needle out.",
        "Leave the right needle's place empty, and tighten its screw again so that it cannot fall into the machine.",
        DIALS,
        CLOSED,
    ]


@pytest.mark.parametrize(
    ("name", "parts"),
    [
        (FOUR, ["Put the stitch finger in.", "Let the knife cut again.", "Change the foot: standard foot."]),
        (TWO, ["Put the two-thread converter on."]),
        (ROLLED, ["Take the stitch finger out of the way."]),
    ],
)
def test_of_a_machine_of_which_nothing_is_known_every_part_is_told(name, parts):
    texts = [text for text, _ in told(None, seam(name))]
    assert [text for text in parts if text not in texts] == []
    assert texts.index(parts[0]) < next(place for place, text in enumerate(texts) if text.startswith("Put the right needle"))


def test_needles_that_are_threaded_anyway_are_not_threaded_twice():
    texts = [text for text, _ in told(seam(FOUR), seam(FOUR, fabric=LAWN, looper=WOOLLY))]
    assert sum(text.startswith("Unthread") for text in texts) == 1
    assert not any("again" in text for text in texts)
    assert "Put the right needle and left needle in: 70/10, fine sharp." in texts


def test_the_dials_are_set_before_the_plug_goes_in_and_after_all_else_is_done():
    texts = [text for text, _ in told(seam(WIDE), seam(FOUR))]
    assert texts[-2:] == [DIALS, CLOSED]
    assert "stands still" in dict(told(seam(WIDE), seam(FOUR)))[DIALS]
