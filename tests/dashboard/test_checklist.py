"""The checklist: what is ticked is what was done to the machine as it stands."""

from dataclasses import replace

from recommender import Studio
from recommender.trade.preparation import preparation
from recommender.trade.stitch import stitch

from .test_pages import SEAM, healthy, words


def tick(app, *parts):
    """Tick the first steps that say so."""
    for part in parts:
        next(box for box in app.checkbox if part in box.label).check()
        healthy(app.run())


def ticked(app):
    return [box.label for box in app.checkbox if box.value]


def shows(app, name):
    app.selectbox(key="stitch").set_value(name)
    healthy(app.run())


def starts_from(app, cloth):
    app.selectbox(key="cloth.start").set_value(cloth)
    healthy(app.run())


def test_each_preparation_step_is_a_box_to_tick_with_its_caution(app, studio):
    healthy(app.run())
    steps = preparation(stitch("four-thread overlock"), studio.machines["bench"])
    assert len(app.checkbox) == len(steps)
    assert words(app).count("<b>Caution, ") == sum(bool(step.caution) for step in steps)


def test_the_numbers_stand_under_the_step_that_sets_them(app, studio):
    healthy(app.run())
    (under,) = words(app).split("<div class='under'>")[1:]
    controls = app.session_state["shown"].leading.controls()
    assert [f"<dd>{value:g}" in under for value in controls.values()] == [True] * len(controls)


def test_a_needle_for_another_cloth_is_another_needle(app, studio):
    healthy(app.run())
    starts_from(app, "chiffon (preset)")
    tick(app, "unplug", "Put in fresh")
    starts_from(app, "denim (preset)")
    assert [label.partition(",")[0] for label in ticked(app)] == ["Switch the machine off and unplug it"]
    starts_from(app, "chiffon (preset)")
    assert len(ticked(app)) == 2, "looking changes nothing"
    starts_from(app, "denim (preset)")
    tick(app, "Put in fresh")
    starts_from(app, "chiffon (preset)")
    assert len(ticked(app)) == 1, "the other needle is in"


def test_other_numbers_or_another_thread_are_still_to_be_set_and_threaded(app, studio, monkeypatch):
    healthy(app.run())
    tick(app, "unplug", "Set the dials", "Thread the lower looper")
    app.text_input(key="looper.size").set_value("18 tex")
    healthy(app.run())
    assert "Thread the lower looper" not in "".join(ticked(app))
    proposal = app.session_state["shown"]
    moved = replace(proposal, settings=proposal.settings.having({"length": proposal.settings.length + 1}))
    monkeypatch.setattr(Studio, "propose", lambda self, **seam: moved)
    healthy(app.run())
    assert [label.partition(",")[0] for label in ticked(app)] == ["Switch the machine off and unplug it"]


def test_looking_at_another_stitch_changes_nothing_and_a_step_taken_for_it_undoes_the_others(app, studio):
    healthy(app.run())
    tick(app, "unplug", "stitch finger is in")
    shows(app, "rolled hem")
    assert ticked(app) == []
    shows(app, "four-thread overlock")
    assert len(ticked(app)) == 2
    shows(app, "rolled hem")
    tick(app, "Fit the foot")
    shows(app, "four-thread overlock")
    assert ticked(app) == []


def test_once_a_swatch_is_sewn_on_the_machine_the_list_begins_again(app, studio):
    healthy(app.run())
    tick(app, "unplug")
    studio.record(**SEAM, settings=studio.propose(**SEAM).settings, passed=True)
    healthy(app.run())
    assert ticked(app) == []
