"""What to do before a seam of the day: each order with the caution that belongs to it, and with no other."""

from dataclasses import replace
from itertools import permutations

import pytest

from recommender import Machine, stitches
from recommender.advice.planning.day import day
from recommender.advice.planning.orders import UNPLUGGED, orders
from recommender.trade.preparation import step_at
from recommender.trade.stitch import stitch
from recommender.trade.words import Units
from tests.advice.test_day import FOUR, LAWN, PLAIN, ROLLED, TWO, WIDE, WOOLLY, seam

DROPS = "lay a scrap of cloth under the foot"
OPENED = step_at("needle", "Raise the presser foot").text
CLOSED = step_at("power", "Lower the presser foot").text
DIALS = "Set the dials to the numbers below."
SEWN = "Sew a swatch from the cloth itself, on its own grain and with its own layers; let the feed carry it."
BENCH = Machine.generic("bench")
SHANK = "Hold the needle by its shank"


def steps(before, after, machine=BENCH):
    return orders(after, day([after], before and {"bench": before})[0], machine, Units())


def told(before, after):
    return [(step.text, step.caution) for step in steps(before, after)]


def test_what_stays_as_it_is_has_no_orders():
    assert steps(seam(FOUR), seam(FOUR, by=1)) == ()


@pytest.mark.parametrize(("before", "after"), list(permutations(stitches(), 2)))
def test_between_any_two_stitches_the_plug_comes_out_first_and_no_caution_is_told_twice(before, after):
    found = steps(seam(before), seam(after, looper=WOOLLY))
    if {step.place for step in found} == {"seam"}:
        return  # the machine stays closed
    assert found[0] == UNPLUGGED
    (closed,) = (place for place, step in enumerate(found) if "plug in" in step.text)
    assert found[closed].text.startswith("Lower the presser foot, close every cover")
    assert [step.place for step in found[closed + 1 :]] == ["seam"] * (len(found) - closed - 1)
    cautions = [step.caution for step in found[: closed + 1] if step.caution]
    assert len(cautions) == len(set(cautions))
    assert all(step.text.endswith(".") for step in found)


@pytest.mark.parametrize("name", stitches())
def test_another_stitch_brings_its_own_steps_and_no_step_comes_before_its_caution(name):
    sewn, found = stitch(name), steps(seam("narrow hem" if name != "narrow hem" else FOUR), seam(name))
    texts = [step.text for step in found]
    closed = next((place for place, text in enumerate(texts) if "plug in" in text), -1)  # -1 where the machine is not opened
    assert all(texts.index(own) < closed for own in sewn.steps)
    first = found[closed + 1]
    assert all(caution in first.caution for caution in sewn.cautions)
    assert all(texts.index(own) > closed for own in (*sewn.sewing, *sewn.afterwards))
    assert not [text for text in sewn.steps if text in {step.text for step in steps(seam(name), seam(name, fabric=LAWN))}], "it lies there"


def test_a_thread_that_runs_no_more_is_out_before_the_part_that_takes_its_place():
    texts = [text for text, _ in told(seam(FOUR), seam(TWO))]
    assert texts.index("Cut the upper looper thread and draw it out.") < texts.index("Put the two-thread converter on.")


def test_a_caution_stands_under_the_order_that_it_belongs_to():
    found = dict(told(seam(WIDE), seam(ROLLED)))
    assert DROPS in found["Take the left needle out."]
    assert SHANK in next(caution for text, caution in found.items() if text.startswith("Put "))
    assert "beside the finger" in found["Cut the thread chain, ease it off the stitch finger, and take the finger out of the way."]
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
        SEWN,
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
        SEWN,
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
        SEWN,
    ]
    assert [text for text, _ in told(seam(FOUR), seam(WIDE))][2:] == [
        "Unthread the right needle.",
        "Take the right needle out.",
        "Leave the right needle's place empty, and tighten its screw again so that it cannot fall into the machine.",
        DIALS,
        CLOSED,
        SEWN,
    ]


@pytest.mark.parametrize(
    ("name", "parts"),
    [
        (FOUR, ["Put the stitch finger in.", "Let the knife cut again.", "Change the foot: standard foot."]),
        (TWO, ["Put the two-thread converter on."]),
        (ROLLED, ["Cut the thread chain, ease it off the stitch finger, and take the finger out of the way."]),
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
    assert texts[-3:] == [DIALS, CLOSED, SEWN]
    assert "stands still" in dict(told(seam(WIDE), seam(FOUR)))[DIALS]


ROLLING = replace(BENCH, rolled_position=True)


@pytest.mark.parametrize(("before", "after"), list(permutations(stitches(), 2)))
def test_on_a_machine_with_a_rolled_hem_position_every_other_stitch_says_where_it_stands(before, after):
    texts = [step.text for step in steps(seam(before), seam(after), ROLLING)]
    (told,) = (text for text in texts if "stitch finger" in text and "Guide" not in text)
    assert ("out of its rolled-hem position" in told) == stitch(after).finger_in
    assert ("then set the rolled-hem position" in told) == (stitch(after).rolled and not stitch(after).finger_in)


def test_a_chain_is_off_the_finger_before_that_is_moved_and_a_cord_is_out_before_the_foot_is_changed():
    texts = [text for text, _ in told(seam("corded overlock"), seam(ROLLED))]
    cord = texts.index("Cut the cord and draw it out of its guide and from under the foot.")
    finger = next(place for place, text in enumerate(texts) if text.startswith("Cut the thread chain, ease it off the stitch finger"))
    assert cord < finger < next(place for place, text in enumerate(texts) if text.startswith("Change the foot"))
    assert not any("Cut the cord" in text for text, _ in told(seam("corded overlock"), seam("corded overlock", fabric=LAWN)))


def test_without_the_knife_the_caution_stands_where_cloth_is_sewn():
    assert not any("out of action" in text for text, _ in told(seam("decorative braid"), seam("pin tuck")))
    assert "Without the knife, no cloth may reach past" in dict(told(seam("decorative braid"), seam("pin tuck")))[SEWN]
