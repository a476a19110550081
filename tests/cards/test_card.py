"""What stands on a card."""

import io
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime

import pytest
from pypdf import PdfReader

from recommender import Machine, Studio
from recommender.advice.bands import Band
from recommender.advice.passing import ANYWHERE, UNKNOWN, Passing
from recommender.cards.card import Card, card_of_proposal, card_of_trial
from recommender.cards.pdf import card_pdf
from recommender.cards.words import cloth_laid, equipment, mark_words, remarks
from recommender.errors import InvalidValue
from recommender.trade.needles import needle_for
from recommender.trade.preparation import preparation
from recommender.trade.readings import READINGS
from recommender.trade.stitch import stitch
from recommender.trade.thread import ORDINARY
from recommender.trade.words import METRIC, Units

from .conftest import NOON, RIB, SEAM, Proposed

Sewn = Callable[..., Card]


def test_a_proposal_stands_beside_its_baseline_on_each_control_with_its_band(studio: Studio, proposed: Proposed) -> None:
    proposal, card = studio.propose(**SEAM), proposed()
    assert {mark.control: mark.proposal for mark in card.marks} == proposal.settings.controls()
    assert {mark.control: mark.baseline for mark in card.marks} == proposal.baseline.controls()
    assert {mark.control: mark.band for mark in card.marks} == dict(proposal.bands)
    assert all(mark.actual is None for mark in card.marks)
    assert (card.trial, card.readings) == (None, {})
    assert card.standing == "Proposal of 2026-03-02: sew a swatch first."


def test_a_control_that_may_have_drifted_is_to_be_tested_where_the_stitch_sets_it(proposed: Proposed) -> None:
    card = proposed(doubted=("tension: upper looper", "tension: left needle"))
    assert card.doubt == "Test the left needle and upper looper: their numbers may be wrong."
    assert {mark.control: mark.verdict for mark in card.marks if mark.verdict} == {
        "tension: left needle": "test this",
        "tension: upper looper": "test this",
    }
    assert [mark_words(mark).endswith("; test this.") for mark in card.marks] == [mark.doubted for mark in card.marks]
    assert proposed(doubted=("differential",)).doubt == "Test the differential feed: its number may be wrong."
    other = proposed(stitch="three-thread overlock narrow", doubted=("tension: left needle",))
    assert (other.doubt, [mark.control for mark in other.marks if mark.doubted]) == ("", [])


def test_a_pass_window_is_drawn_and_explained_only_where_it_tells_something(proposed: Proposed) -> None:
    card = proposed()
    assert [mark.passing for mark in card.marks] == [Passing(None, UNKNOWN)] * len(card.marks)
    assert all("pass window not known yet." in mark_words(mark) for mark in card.marks)
    anywhere, narrow = Passing(None, ANYWHERE), Passing(Band(3, 5), "3 to 5")

    def windows(*found: Passing) -> tuple[str, bool]:
        return replace(card, marks=tuple(replace(card.marks[0], passing=one) for one in found)).windows

    assert card.windows == ("pass windows: not known yet", False)
    assert windows(anywhere, anywhere) == ("passes about as well anywhere", False)
    assert windows(narrow, narrow) == ("passes about as well", True)
    assert windows(narrow, anywhere) == ("passes; without it, anywhere", True)


def test_the_number_to_set_is_that_of_the_one_that_leads(studio: Studio) -> None:
    proposal = studio.propose(**SEAM)
    moved = replace(proposal, settings=proposal.settings.having({"differential": 1.7}), lead="baseline")
    for lead, value in (("baseline", proposal.baseline.differential), ("model", 1.7)):
        card = card_of_proposal(replace(moved, lead=lead), studio.machines["bench"], when=NOON)
        assert {mark.control: mark.to_set for mark in card.marks}["differential"] == value


def test_a_swatch_sets_what_it_was_sewn_with(sewn: Sewn) -> None:
    card = sewn()
    marks = {mark.control: mark for mark in card.marks}
    assert marks["differential"].actual == marks["differential"].to_set == 1.5
    assert marks["tension: upper looper"].to_set == 6.5 != marks["tension: upper looper"].baseline
    assert dict(card.readings) == {"edge_lie": 0.5, "needle_line": 0.0}
    assert card.standing == "Passed 2026-03-02, sewn by Ada."


def test_a_failed_swatch_says_that_it_is_not_to_be_sewn_with(sewn: Sewn) -> None:
    card = sewn(passed=False, flags=("jam",), seam_change=4.5, note="first\n of the day")
    assert card.standing == "Failed 2026-03-02, sewn by Ada: not a setting to sew with."
    assert remarks(card) == ("Seen besides: the machine jammed.", "Seam length changed by +4.5 %.", "Note: first of the day")


def test_the_needle_that_was_noted_stands_before_the_one_to_begin_with(proposed: Proposed, sewn: Sewn) -> None:
    assert proposed().needle == "80/12, light ball point"
    assert sewn(needle_size=90).needle == "90/14"
    assert sewn(needle_size=82).needle == "82"
    assert equipment(sewn())[2] == "Needle thread 27 tex polyester, spun"


def test_a_needle_that_was_not_noted_is_the_one_to_begin_with(proposed: Proposed, sewn: Sewn) -> None:
    told = "80/12, light ball point"
    assert [equipment(card)[0] for card in (proposed(), sewn(), sewn(needle_size=80))] == [
        f"Needle {told}",
        f"Needle to begin with: {told}",
        "Needle 80/12",
    ]
    assert f"Needle to begin with: {told}; thread 27 tex" in PdfReader(io.BytesIO(card_pdf(sewn(), "label"))).pages[0].extract_text()


def test_of_a_swatch_that_nobody_read_no_scale_is_drawn(proposed: Proposed, sewn: Sewn) -> None:
    unread = sewn(readings={})
    assert (unread.drawn, proposed().drawn, sewn().drawn) == ((), tuple(READINGS), tuple(READINGS))
    assert remarks(unread) == ("No readings made.", unread.chance)
    assert remarks(sewn(readings={}, note="the last")) == ("No readings made.", "Note: the last")
    front = PdfReader(io.BytesIO(card_pdf(unread))).pages[0].extract_text()
    assert "No readings made." in front
    assert "The needle line" not in front


def test_the_preparation_is_in_the_order_of_work_for_this_cloth(proposed: Proposed) -> None:
    assert proposed().steps == preparation(stitch("four-thread overlock"), Machine.generic("bench"), needle_for(RIB, ORDINARY))


def test_parts_of_two_seams_make_no_card(studio: Studio, sewn: Sewn) -> None:
    trial = sewn().trial
    other = studio.propose(**{**SEAM, "stitch": "rolled hem"})
    with pytest.raises(InvalidValue, match="expected one for the seam of swatch"):
        card_of_trial(trial, other, studio.machines["bench"])
    with pytest.raises(InvalidValue, match="expected 'bench'"):
        card_of_proposal(other, Machine.generic("window"), when=NOON)
    with pytest.raises(InvalidValue, match="with its zone"):
        card_of_proposal(other, studio.machines["bench"], when=datetime(2026, 3, 2))  # noqa: DTZ001  # the zone is what is missing


def test_a_card_is_read_in_the_units_chosen_when_it_was_made_and_its_dials_as_they_are(studio: Studio) -> None:
    proposal, machine = studio.propose(**SEAM), studio.machines["bench"]
    for units, weight, thread, length, width in (
        (METRIC, "220 g/m2", "27 tex", ("3", "mm"), ("6", "mm")),
        (Units("imperial", "Nm"), "6.5 oz/yd2", "37 Nm", ("3", "mm; 8.5 per inch"), ("6", "mm; 0.236 in")),
    ):
        card = card_of_proposal(proposal, machine, when=NOON, units=units)
        marks = {mark.control: mark for mark in card.marks}
        assert (proposal.settings.length, proposal.settings.width) == (3, 6)
        assert (f"{marks['length'].to_set:g}", marks["length"].unit) == length
        assert (f"{marks['width'].to_set:g}", marks["width"].unit) == width
        assert marks["differential"].unit == ""
        assert weight in cloth_laid(card)
        assert f"Needle thread {thread} polyester, spun" in equipment(card)
        assert f"{length[1]}, scale from" in mark_words(marks["length"])
        assert f"proposal {length[0]}, " in mark_words(marks["length"])


def test_a_card_of_the_demo_says_that_it_is_invented_in_every_size(sewn: Sewn) -> None:
    card = replace(sewn(), invented=True)
    assert card.standing == "Demo, invented. Passed 2026-03-02, sewn by Ada."
    for size in ("a6", "label"):
        assert "Demo, invented." in PdfReader(io.BytesIO(card_pdf(card, size))).pages[0].extract_text()
