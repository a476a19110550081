"""What a form keeps from one swatch to the next, and what it says where hands go."""

from dataclasses import replace

import pytest

from recommender import Dial, Machine
from recommender.advice.moves import Move
from recommender.advice.watching.drift import Suspect
from recommender.trade.looks import intended
from recommender.trade.preparation import preparation
from recommender.trade.stitch import stitch
from recommender.trade.thread import POSITIONS

from .test_pages import carried, healthy, press, words


def caution(stitch_name, place):
    """The caution at one place, as the preparation of the bench machine gives it."""
    (told,) = {step.caution for step in preparation(stitch(stitch_name), Machine.generic("bench")) if step.place == place}
    return told


def failed(app, studio):
    """The dashboard with a swatch saved as failed, its edge wavy."""
    carried(app, studio)
    press(app, "It fails")
    app.button(key="step_edge_lie_2").click()
    healthy(app.run())
    press(app, "Save: it fails")


@pytest.mark.parametrize(("control", "knife"), [("differential", False), ("width", True)])
def test_moves_carry_the_caution_of_the_dials_and_of_the_knife_where_it_moves(app, studio, control, knife):
    failed(app, studio)
    draft = app.session_state["draft"]
    draft.following = replace(draft.following, moves=(Move(control, 5, 6),))
    healthy(app.run())
    shown = words(app)
    assert shown.index("class='moves'") < shown.index("<b>Caution, dials:</b> " + caution(draft.following.stitch, "dials"))
    assert (("<b>Caution, knife:</b> " + caution(draft.following.stitch, "knife")) in shown) is knife


@pytest.mark.parametrize(("name", "told"), [("rolled hem", True), ("three-thread flatlock wide", True), ("four-thread overlock", False)])
def test_what_a_stitch_is_meant_to_look_like_is_said_before_its_faults_are_touched(app, studio, name, told):
    carried(app, studio)
    draft = app.session_state["draft"]
    draft.proposal = replace(draft.proposal, stitch=name)
    press(app, "It fails")
    meant = intended(name)
    assert bool(meant and meant in words(app)) is told
    assert ("That is the middle drawing" in words(app)) is told


@pytest.mark.parametrize(
    ("name", "told", "untold"),
    [
        ("two-thread overlock", ("needle thread drawn over", "lies easy"), "upper loop"),
        ("rolled hem", ("rolled in and wrapped", "below, at the needle line"), "loops hug the edge"),
        ("three-thread flatlock narrow", ("opens flat", "ladder slack, gapes"), "snug"),
        ("gathering", ("gathered as meant", "gathers too little"), "gathered, puckered"),
    ],
)
def test_a_swatch_is_rated_by_the_drawings_and_in_the_words_of_its_stitch(app, studio, name, told, untold):
    carried(app, studio)
    draft = app.session_state["draft"]
    draft.proposal = replace(draft.proposal, stitch=name)
    press(app, "It fails")
    labels, key = [button.label for button in app.button if str(button.key).startswith("step_")], words(app)
    assert set(told) <= set(labels)
    assert not [label for label in labels if untold in label]
    assert [position for position in POSITIONS if f"{position} thread<" in key] == list(stitch(name).positions)


def test_after_a_pass_the_first_button_goes_on_with_what_passed(app, studio):
    carried(app, studio)
    app.number_input(key="set.differential").set_value(1.7)
    press(app, "It passes")
    press(app, "Save: it passes")
    draft = app.session_state["draft"]
    draft.following = replace(
        draft.following, settings=draft.following.settings.having({"differential": 1.5}), moves=(Move("differential", 1.7, 1.5),)
    )
    healthy(app.run())
    press(app, "Sew the next as this one passed")
    assert app.number_input(key="set.differential").value == 1.7


def test_a_dial_that_has_drifted_is_told_before_it_is_to_be_moved(app, studio, drifted):
    told = drifted(Suspect("tension: upper looper", True, 0.9))
    failed(app, studio)
    draft = app.session_state["draft"]
    draft.following = replace(draft.following, moves=(Move("tension: upper looper", 5, 6),))
    healthy(app.run())
    assert words(app).index(told.warning) < words(app).index("class='moves'")


def test_without_a_move_there_is_no_caution(app, studio):
    failed(app, studio)
    draft = app.session_state["draft"]
    draft.following = replace(draft.following, moves=())
    healthy(app.run())
    assert "Caution" not in words(app)


def test_the_hours_of_a_needle_are_asked_anew_for_each_swatch_and_its_size_is_kept(app, studio):
    carried(app, studio)
    press(app, "It passes")
    app.number_input(key="needle_hours").set_value(0.0)
    app.selectbox(key="needle_size").set_value(90)
    press(app, "Save: it passes")
    press(app, "Sew the next as this one passed")
    press(app, "It passes")
    assert app.number_input(key="needle_hours").value is None
    press(app, "Save: it passes")
    first, second = sorted(studio.trials(), key=lambda trial: trial.when)
    assert (first.needle_size, first.needle_hours) == (90, 0)
    assert (second.needle_size, second.needle_hours) == (90, None)


def test_a_needle_size_that_nobody_noted_stays_empty(app, studio):
    carried(app, studio)
    press(app, "It passes")
    assert app.selectbox(key="needle_size").options[:2] == ["60/8", "65/9"]
    press(app, "Save: it passes")
    assert studio.trials()[0].needle_size is None


def test_a_draft_older_than_the_machines_profile_is_held_inside_its_dials(app, studio):
    carried(app, studio)
    stood = {control: app.number_input(key=f"set.{control}").value for control in ("differential", "length", "width")}
    studio.add_machine(Machine(name="bench", length=Dial(1, 2, 0.25, 2), width=Dial(6.5, 7, 0.5, 6.5), differential=Dial(0.5, 2.5, 0.1, 1)))
    assert stood["length"] > 2
    assert stood["width"] < 6.5
    healthy(app.run())
    assert app.number_input(key="set.length").value == 2
    assert app.number_input(key="set.width").value == 6.5
    assert app.number_input(key="set.differential").value == stood["differential"]
    press(app, "It passes")
    press(app, "Save: it passes")
    assert studio.trials()[0].settings.length == 2
