"""A cloth corrected on all its swatches while this tablet still holds it as it was."""

import pytest

from recommender import presets

from .test_mending import correcting, correcting_all
from .test_pages import JERSEY, SEAM, carried, healthy, plainly, press


def sew(studio, **more):
    return studio.record(**SEAM | more, settings=studio.propose(**SEAM).settings, passed=True)


def corrected(app, trial, column="gsm", typed="240", words="weight", on="all 2 swatches and the one being rated"):
    """Correct a column on the whole jersey, and go back to Rate a swatch."""
    correcting_all(app, trial, column, typed, f"correct the {words} on {on}")
    press(app, "Log the correction")
    app.query_params.clear()
    return healthy(app.switch_page("app_pages/rate_a_swatch.py").run())


def started(app, studio):
    """Two swatches of the jersey in the log, a third on its way."""
    first, _ = sew(studio), sew(studio)
    carried(app, studio)
    return first


def cloths(studio):
    return {(one.fabric.name, one.fabric.gsm) for one in studio.trials()}


@pytest.mark.parametrize(("column", "typed", "words"), [("gsm", "240", "weight"), ("fabric", "ribbed", "name of the cloth")])
def test_a_half_rated_swatch_is_of_the_cloth_as_it_was_corrected_and_what_was_typed_stays(app, studio, column, typed, words):
    first = started(app, studio)
    app.number_input(key="set.differential").set_value(1.7)
    press(app, "It fails")
    app.button(key="step_edge_lie_2").click()
    healthy(app.run())
    corrected(app, first, column, typed, words)
    press(app, "Save: it fails")
    assert len(cloths(studio)) == 1
    saved = studio.trials()[-1]
    assert (len(studio.trials()), saved.settings.differential, dict(saved.readings)) == (3, 1.7, {"edge_lie": 2.0})


def test_new_fabric_and_the_plan_go_on_with_the_cloth_as_it_was_corrected(app, studio):
    first = started(app, studio)
    healthy(app.switch_page("app_pages/plan_swatches.py").run())
    press(app, "Make the plan")
    corrected(app, first, "fabric", "ribbed", "name of the cloth")
    healthy(app.switch_page("app_pages/plan_swatches.py").run())
    assert app.selectbox(key="plan.seam").options[0] == "ribbed, four-thread overlock on bench (on New fabric)"
    app.button(key="put_0").click()
    healthy(app.run())
    assert [one.fabric.name for one in studio.pending()] == ["ribbed"]
    healthy(app.switch_page("app_pages/new_fabric.py").run())
    assert (app.text_input(key="cloth.name").value, app.selectbox(key="cloth.start").value) == ("ribbed", "ribbed (your log)")
    assert app.number_input(key="cloth.stretch").value == JERSEY.stretch


def test_new_fabric_shows_the_weight_as_it_was_corrected(app, studio):
    corrected(app, started(app, studio))
    healthy(app.switch_page("app_pages/new_fabric.py").run())
    assert plainly(app.text_input(key="cloth.weight").value) == "240 g/m2"


def test_what_follows_a_saved_swatch_and_what_waits_behind_one_are_of_the_corrected_cloth(app, studio):
    started(app, studio)
    press(app, "It passes, nothing to add: save")
    first, second, _ = studio.trials()
    studio.withdraw(second.id, "lost")
    corrected(app, first, on="all 2 swatches")
    press(app, "Sew the next as this one passed")
    press(app, "It passes")
    healthy(app.switch_page("app_pages/new_fabric.py").run())
    press(app, "Sew a swatch, then rate it here")
    corrected(app, first, typed="250")
    press(app, "Save: it passes")
    press(app, f"Now rate {JERSEY.name}")
    press(app, "It passes, nothing to add: save")
    assert cloths(studio) == {(JERSEY.name, 250)}


def test_another_cloth_in_hand_stays_as_it_is(app, studio):
    first, _ = sew(studio), sew(studio)
    healthy(app.run())
    app.selectbox(key="cloth.start").set_value("denim (preset)")
    carried(app, studio)
    press(app, "It fails")
    corrected(app, first, on="all 2 swatches")
    assert app.session_state["draft"].proposal.fabric == presets()["denim"]
    healthy(app.switch_page("app_pages/new_fabric.py").run())
    assert app.text_input(key="cloth.name").value == "denim"


def test_the_only_swatch_of_a_cloth_is_corrected_with_what_follows_it(app, studio):
    carried(app, studio)
    press(app, "It passes, nothing to add: save")
    (trial,) = studio.trials()
    correcting(app, trial, "gsm")
    assert not app.radio
    app.text_input(key=f"mend.gsm.{trial.id}").set_value("240")
    app.selectbox(key=f"mend.why.{trial.id}").set_value("typed wrongly")
    press(app, "Log the correction")
    app.query_params.clear()
    healthy(app.switch_page("app_pages/rate_a_swatch.py").run())
    press(app, "Sew the next as this one passed")
    press(app, "It passes, nothing to add: save")
    assert [one.fabric.gsm for one in studio.trials()] == [240, 240]


def test_a_swatch_that_is_corrected_alone_leaves_the_one_being_rated(app, studio):
    trial = sew(studio)
    carried(app, studio)
    correcting(app, trial, "gsm")
    which = app.radio(key=f"mend.which.{trial.id}")
    assert which.options[0] == "The cloth was described wrongly: correct the weight on this swatch and the one being rated of it"
    which.set_value("alone")
    app.text_input(key=f"mend.gsm.{trial.id}").set_value("240")
    app.selectbox(key=f"mend.why.{trial.id}").set_value("another cloth")
    press(app, "Log the correction")
    assert app.session_state["draft"].proposal.fabric.gsm == JERSEY.gsm


def test_a_planned_swatch_that_was_taken_off_the_list_is_saved_all_the_same(app, studio):
    first = sew(studio)
    sew(studio)
    planned = studio.set_aside(**SEAM, settings=studio.propose(**SEAM).settings)
    healthy(app.switch_page("app_pages/plan_swatches.py").run())
    app.button(key=f"rate.{planned.id}").click()
    healthy(app.run())
    healthy(app.switch_page("app_pages/rate_a_swatch.py").run())
    press(app, "It passes")
    studio.drop(planned.id)
    corrected(app, first)
    press(app, "Save: it passes")
    assert cloths(studio) == {(JERSEY.name, 240)}
    assert len(studio.trials()) == 3


def test_a_swatch_that_was_of_another_cloth_leaves_what_is_in_hand_as_it_is(app, studio):
    trial = sew(studio)
    healthy(app.run())
    before = plainly(app.text_input(key="cloth.weight").value)
    correcting(app, trial, "gsm")
    app.text_input(key=f"mend.gsm.{trial.id}").set_value("240")
    app.selectbox(key=f"mend.why.{trial.id}").set_value("another cloth")
    press(app, "Log the correction")
    assert app.success[0].value == "Corrected\\."
    app.query_params.clear()
    healthy(app.switch_page("app_pages/new_fabric.py").run())
    assert plainly(app.text_input(key="cloth.weight").value) == before
