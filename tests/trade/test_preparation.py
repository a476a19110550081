"""Making the machine ready: what, in which order, with which cautions."""

import pytest

from recommender.trade.machine import Machine
from recommender.trade.needles import needle_for
from recommender.trade.preparation import preparation
from recommender.trade.presets import presets
from recommender.trade.stitch import stitch, stitches
from recommender.trade.tables import table
from recommender.trade.thread import ORDINARY

BENCH = Machine.generic("bench")
HANDS = {"needle", "looper", "knife", "finger", "foot"}


def _texts(name, machine=BENCH, fabric=None):
    return [step.text for step in preparation(stitch(name), machine, fabric and needle_for(fabric, ORDINARY))]


def _where(texts, part):
    return next(index for index, text in enumerate(texts) if part in text)


@pytest.mark.parametrize("name", stitches())
def test_the_plug_is_out_before_any_hand_goes_near_and_in_only_with_covers_closed(name):
    steps = preparation(stitch(name), BENCH)
    assert steps[0].place == "power"
    assert "unplug" in steps[0].text
    assert "manual" in steps[0].caution
    assert "local rules come first" in steps[0].caution
    plugged = next(index for index, step in enumerate(steps) if "plug in" in step.text)
    assert steps[plugged].text.startswith("Lower the presser foot, close every cover")
    assert all(step.place not in HANDS for step in steps[plugged:])


@pytest.mark.parametrize("name", stitches())
def test_every_step_near_needle_knife_looper_finger_or_foot_carries_a_caution(name):
    assert all(step.caution for step in preparation(stitch(name), BENCH) if step.place in HANDS | {"seam", "power"})


@pytest.mark.parametrize("name", stitches())
def test_threads_go_in_as_the_stitch_says_lower_looper_first(name):
    threaded = [step.text for step in preparation(stitch(name), BENCH) if step.text.startswith("Thread the")]
    assert len(threaded) == len(stitch(name).threading)
    assert all(position in text and "100 mm" in text for position, text in zip(stitch(name).threading, threaded, strict=True))


def test_the_needle_changes_before_the_threads_and_the_parts_before_the_dials():
    texts = _texts("rolled hem")
    needles = ["Take out the left needle", "Put in fresh: the right needle"]
    marks = ["unplug", *needles, "off the stitch finger", "Thread the lower looper", "Set the dials"]
    places = [_where(texts, mark) for mark in marks]
    assert places == sorted(places)


def test_nothing_is_taken_out_where_both_needles_sew():
    assert not any(text.startswith("Take out") for text in _texts("four-thread overlock"))
    assert any("the left needle and the right needle" in text for text in _texts("four-thread overlock"))


def test_nothing_is_taken_out_that_the_machine_has_not():
    single = Machine(name="single", tension={p: d for p, d in BENCH.tension.items() if p != "right needle"})
    assert not any(text.startswith("Take out the right") for text in _texts("three-thread overlock wide", single))


def test_finger_converter_and_knife_follow_the_stitch():
    assert any("converter on the upper looper" in text for text in _texts("two-thread overlock"))
    assert any("converter is off" in text for text in _texts("rolled hem"))
    assert not any("converter" in text for text in _texts("rolled hem", Machine(name="old", converter=False)))
    assert any("finger is in" in text for text in _texts("four-thread overlock"))
    assert any("knife out of action" in text for text in _texts("pin tuck"))


def test_without_the_knife_the_cloth_must_not_reach_past_the_cutting_width():
    for name in stitches():
        warned = any("past the cutting width" in step.caution for step in preparation(stitch(name), BENCH))
        assert warned == (not stitch(name).knife_on)


def test_a_machine_with_a_rolled_position_is_set_by_it():
    rolling = Machine(name="rolling", rolled_position=True)
    assert any("then set the rolled-hem position" in text for text in _texts("rolled hem", rolling))
    assert not any("rolled-hem position" in text for text in _texts("rolled hem"))
    assert any("then draw the finger back" in text for text in _texts("narrow hem", rolling))


def test_the_fabric_chooses_the_needle():
    assert any("75/11" in text or "80/12" in text for text in _texts("four-thread overlock", fabric=presets()["T-shirt jersey"]))
    assert any("ball point" in text for text in _texts("four-thread overlock", fabric=presets()["T-shirt jersey"]))
    assert any("70/10" in text for text in _texts("four-thread overlock", fabric=presets()["chiffon"]))
    assert not any("/1" in text for text in _texts("four-thread overlock"))


@pytest.mark.parametrize("name", stitches())
def test_the_stitch_adds_its_own_steps_and_cautions_and_no_gap_is_left(name):
    steps = preparation(stitch(name), BENCH, needle_for(presets()["denim"], ORDINARY))
    text = " ".join(step.text + " " + step.caution for step in steps)
    assert all(own in text for own in (*stitch(name).steps, *stitch(name).sewing, *stitch(name).afterwards, *stitch(name).cautions))
    assert "{" not in text
    assert "remove the guard" not in text.lower()


@pytest.mark.parametrize("name", stitches())
def test_the_usual_cautions_are_all_there(name):
    text = " ".join(step.text + " " + step.caution for step in preparation(stitch(name), BENCH))
    usual = ("never sew over pins", "eye protection", "do not pull on the cloth", "under supervision", "lint", "oil")
    assert all(caution in text for caution in (*usual, "fresh needles for every garment"))


def test_pieces_of_a_broken_needle_are_looked_for_wherever_needles_are_handled():
    assert any("every piece" in row["caution"] for row in table("preparation")["step"] if row["place"] == "needle")


def test_every_row_names_its_source():
    assert all(row["source"] for row in table("preparation")["step"])


@pytest.mark.parametrize("name", stitches())
def test_the_first_step_at_the_seam_has_every_caution_of_the_stitch(name):
    first = next(step for step in preparation(stitch(name), BENCH) if step.place == "seam")
    assert all(caution in first.caution for caution in stitch(name).cautions)


def test_what_a_stitch_wants_while_it_is_sewn_is_told_before_the_swatch_and_what_its_seam_wants_after_it():
    rolled, flat = _texts("rolled hem"), _texts("three-thread flatlock wide")
    assert _where(rolled, "plug in") < _where(rolled, "Begin on a scrap") < _where(rolled, "Sew a swatch")
    assert _where(flat, "Sew a swatch") < _where(flat, "pull them apart") < _where(flat, "When the work is done")
