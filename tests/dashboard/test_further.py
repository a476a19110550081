"""After a fail: what would change if one control more were moved."""

import importlib
from types import SimpleNamespace

import pytest

from recommender.advice.moves import Move
from recommender.trade.words import Units, percent

from .test_pages import plainly, words
from .test_pages import press as touch
from .test_rate_a_swatch import failed


def test_after_a_fail_one_control_more_is_told_and_after_a_pass_none(app, studio):
    failed(app, studio)
    touch(app, "Save: it fails")
    found = studio.one_more(app.session_state["draft"].following)
    assert (found.further.sentence if found else "stands where it is best") in words(app)
    touch(app, "Moved: rate the next swatch")
    touch(app, "It passes, nothing to add: save")
    assert "class='further'" not in words(app)


@pytest.mark.parametrize(
    ("gain", "known", "told"),
    [(0.1, True, f"{percent(0.8)} of the time; without it {percent(0.7)}"), (0, True, "hardly worth it"), (0.1, False, "too few")],
)
def test_what_one_control_more_gains_is_said_as_far_as_it_is_known(monkeypatch, gain, known, told):
    part = importlib.import_module("parts.further")
    said = []
    monkeypatch.setattr(part.st, "html", said.append)
    monkeypatch.setattr(part, "move_words", lambda move: move.sentence)
    monkeypatch.setattr(importlib.import_module("parts.units"), "chosen", Units)
    moves = (Move("length", 2, 3), Move("differential", 1, 1.5))
    found = SimpleNamespace(further=moves[0], moves=moves, pass_chance=0.7 + gain)
    proposal = SimpleNamespace(chance_known=known, pass_chance=0.7, moves=(Move("differential", 1, 1.25),))
    part.show_one_more(proposal, SimpleNamespace(one_more=lambda _: found))
    assert told in said[0]
    assert ("Then also: differential feed to 1.5." in said[0]) is (gain > 0)


@pytest.mark.parametrize(("system", "told"), [("metric", "2.5 mm"), ("imperial", "2.5 mm (10.2 per inch)")])
def test_where_the_others_then_go_is_said_in_the_chosen_units(monkeypatch, system, told):
    part = importlib.import_module("parts.further")
    said = []
    monkeypatch.setattr(part.st, "html", said.append)
    monkeypatch.setattr(part, "move_words", lambda move: move.sentence)
    monkeypatch.setattr(importlib.import_module("parts.units"), "chosen", lambda: Units(system))
    moves = (Move("differential", 1, 1.5), Move("length", 3, 2.5), Move("tension: left needle", 4, 5))
    found = SimpleNamespace(further=moves[0], moves=moves, pass_chance=0.8)
    proposal = SimpleNamespace(chance_known=True, pass_chance=0.7, moves=(Move("differential", 1, 1.25),))
    part.show_one_more(proposal, SimpleNamespace(one_more=lambda _: found))
    assert f"Then also: stitch length to {told} and left needle tension to 5." in plainly(said[0])


def test_where_no_further_control_would_move_that_is_said(monkeypatch):
    part = importlib.import_module("parts.further")
    said = []
    monkeypatch.setattr(part.st, "html", said.append)
    part.show_one_more(SimpleNamespace(moves=()), SimpleNamespace(one_more=lambda _: None))
    assert "stands where it is best" in said[0]
