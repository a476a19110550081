"""A swatch corrected, withdrawn, and counted again; its trace keeps every state."""

from dataclasses import replace

import pytest

from recommender.swatches.rows import row_of

from .test_pages import plainly
from .test_swatch_book import FOUR, NAME, SPRING, do, healthy, opened, press, sew, titles, words


def correcting(app, trial, *columns):
    """Open a swatch and say what is wrong with it."""
    opened(app, trial=trial.id)
    do(app, "Correct")
    app.multiselect(key=f"mend.columns.{trial.id}").set_value(list(columns))
    return healthy(app.run())


def set_aside(studio, trial):
    studio.set_aside(fabric=trial.fabric, stitch=trial.stitch, machine="bench", settings=trial.settings)


def correcting_all(app, trial, column, typed, label):
    """Say what a column should be, on whatever else there is of the cloth too."""
    correcting(app, trial, column)
    (which,) = app.radio
    assert (which.value, which.options[0]) == (None, f"The cloth was described wrongly: {label} of it")
    app.text_input(key=f"mend.{column}.{trial.id}").set_value(typed)
    app.selectbox(key=f"mend.why.{trial.id}").set_value("typed wrongly")
    which.set_value("whole")


def test_a_correction_is_logged_with_its_reason_and_the_trace_shows_what_it_was_before(app, studio):
    trial = sew(studio, passed=False, readings={"edge_lie": 1})
    correcting(app, trial, "passed", "edge_lie", "gsm", "when", "note")
    app.get("button_group")[-1].set_value(True)
    app.selectbox(key=f"mend.edge_lie.{trial.id}").set_value(-0.5)
    app.text_input(key=f"mend.gsm.{trial.id}").set_value("240")
    app.text_area(key=f"mend.note.{trial.id}").set_value(NAME)
    app.selectbox(key=f"mend.why.{trial.id}").set_value("read from the wrong side")
    app.text_input(key="who").set_value("Ada")
    press(app, "Log the correction")
    assert app.success[0].value == "Corrected\\."
    assert app.session_state[f"deed.{trial.id}"] is None, "the next touch of Correct brings the form"
    [now] = studio.trials()
    assert (now.passed, dict(now.readings), now.fabric.gsm, now.note, now.when) == (True, {"edge_lie": -0.5}, 240, NAME, trial.when)
    assert "<b>Corrected</b> by Ada: read from the wrong side" in words(app)
    for told in (
        "pass or fail: no, now yes",
        "how the edge lies: 1, now -0.5",
        "weight: 220 g/m2, now 240 g/m2",
        "note: nothing, now &lt;img",
    ):
        assert told in words(app)
    assert "when: " not in words(app)


def test_a_reading_is_called_in_the_trace_as_its_stitch_has_it(app, studio):
    two = replace(FOUR, tension={"left needle": 4, "lower looper": 4})
    trial = sew(studio, stitch="two-thread overlock", settings=two, readings={"looper_balance": 1})
    correcting(app, trial, "looper_balance")
    app.selectbox(key=f"mend.looper_balance.{trial.id}").set_value(-0.5)
    app.selectbox(key=f"mend.why.{trial.id}").set_value("typed wrongly")
    healthy(app.run())
    studio.correct_columns(trial.id, {"looper_balance": 2.0}, "measured again")
    press(app, "Log the correction")
    assert app.error[0].value.replace("\\", "").startswith("where the threads meet: 1, now 2: it was corrected meanwhile")
    assert "where the threads meet: 1, now 2" in words(app)
    assert "looper threads meet" not in words(app)


def test_who_thinks_in_ounces_corrects_in_them_and_reads_them_in_the_trace_but_dials_as_they_are(app, studio):
    trial = sew(studio)
    app.session_state["units"], app.session_state["thread_unit"] = "imperial", "Nm"
    opened(app, trial=trial.id)
    assert "6.5 oz/yd2" in words(app)
    assert "37 Nm polyester, spun" in words(app)
    do(app, "Correct")
    columns = {"gsm": ("Weight, oz/yd2", "6"), "looper_tex": ("Looper thread, Nm", "Nm 50")}
    app.multiselect(key=f"mend.columns.{trial.id}").set_value([*columns, "thickness", "length", "width"])
    healthy(app.run())
    for column, (label, typed) in columns.items():
        assert app.text_input(key=f"mend.{column}.{trial.id}").label == label
        app.text_input(key=f"mend.{column}.{trial.id}").set_value(typed)
    length, width = (app.number_input(key=f"mend.{control}.{trial.id}") for control in ("length", "width"))
    assert (length.label, width.label) == ("Stitch length, mm; 10.2 per inch", "Cutting width, mm; 0.236 in")
    length.set_value(2.75)
    width.set_value(6.5)
    app.selectbox(key=f"mend.why.{trial.id}").set_value("measured again")
    press(app, "Log the correction")
    [now] = studio.trials()
    assert (now.settings.length, now.settings.width, now.looper_thread.tex) == (2.75, 6.5, pytest.approx(20))
    assert (now.fabric.gsm, now.fabric.thickness) == (pytest.approx(203.43, abs=0.01), None)
    for told in ("weight: 6.5 oz/yd2, now 6 oz/yd2", "stitch length: 2.5 mm, now 2.75 mm", "looper thread: 37 Nm, now 50 Nm"):
        assert told in words(app)


def test_an_amount_that_was_not_touched_is_not_rounded_by_its_box(app, studio):
    trial = sew(studio)
    app.session_state["units"] = "imperial"
    correcting(app, trial, "gsm", "who")
    app.text_input(key=f"mend.who.{trial.id}").set_value("Ada")
    app.selectbox(key=f"mend.why.{trial.id}").set_value("typed wrongly")
    press(app, "Log the correction")
    [now] = studio.trials()
    assert (now.who, now.fabric.gsm) == ("Ada", 220)


@pytest.mark.parametrize(
    ("column", "typed", "elsewhere", "told"),
    [
        ("gsm", "240", {"gsm": 230.0}, "weight: 220 g/m2, now 230 g/m2"),
        ("edge_lie", -0.5, {"edge_lie": 1.5}, "how the edge lies: nothing, now 1.5"),
        ("when", SPRING.replace(day=1, tzinfo=None), {"when": "2026-03-12T08:00:00+00:00"}, "now 2026-03-12"),
        ("length", 2.0, {"length": 3.0}, "stitch length: 2.5 mm, now 3 mm"),
    ],
)
def test_a_box_follows_another_tablet_until_it_is_typed_in_and_then_nothing_is_written_over_unseen(
    app, studio, column, typed, elsewhere, told
):
    trial = sew(studio)
    correcting(app, trial, column, "who")
    studio.correct_columns(trial.id, {"who": "Ada"}, "typed wrongly")
    healthy(app.run())
    assert app.text_input(key=f"mend.who.{trial.id}").value == "Ada"
    boxes = [*app.text_input, *app.selectbox, *app.number_input, *app.get("datetime_input")]
    next(box for box in boxes if box.key == f"mend.{column}.{trial.id}").set_value(typed)
    app.selectbox(key=f"mend.why.{trial.id}").set_value("measured again")
    healthy(app.run())
    studio.correct_columns(trial.id, elsewhere, "measured again")
    press(app, "Log the correction")
    assert told in plainly(app.error[0].value)
    assert len(studio.history(trial.id)) == 3
    press(app, "Log the correction")
    assert len(studio.history(trial.id)) == 4
    assert row_of(studio.trials()[0])[column] != elsewhere[column]


def test_a_wrong_amount_is_told_under_its_box_in_the_chosen_unit(app, studio):
    trial = sew(studio)
    app.session_state["units"] = "imperial"
    correcting(app, trial, "gsm")
    app.text_input(key=f"mend.gsm.{trial.id}").set_value("60")
    healthy(app.run())
    assert "expected from 0.4424 to 29.49 oz/yd2" in plainly(app.error[0].value)
    press(app, "Log the correction")
    assert len(studio.history(trial.id)) == 1
    assert app.text_input(key=f"mend.gsm.{trial.id}").value == "60"
    app.session_state["units"] = "metric"
    healthy(app.run())
    assert app.text_input(key=f"mend.gsm.{trial.id}").label == "Weight, g/m2"
    assert app.text_input(key=f"mend.gsm.{trial.id}").value == "2034.3 g/m2"


def test_a_bare_number_that_makes_a_rope_of_a_thread_is_doubted_in_a_correction_too(app, studio):
    trial = sew(studio)
    correcting(app, trial, "looper_tex", "gsm")
    app.text_input(key=f"mend.looper_tex.{trial.id}").set_value("120")
    app.text_input(key=f"mend.gsm.{trial.id}").set_value("120")
    healthy(app.run())
    assert ["Ticket 120 is 25 tex" in plainly(told.value) for told in app.info] == [True]


def test_a_cloth_that_was_named_wrongly_is_corrected_on_every_swatch_of_it_where_that_is_wanted(app, studio):
    trial, other = sew(studio, readings={"edge_lie": 1}), sew(studio)
    correcting(app, trial, "edge_lie")
    assert not app.radio
    app.multiselect(key=f"mend.columns.{trial.id}").set_value(["fabric", "edge_lie"])
    healthy(app.run())
    (which,) = app.radio
    assert which.options[0] == "The cloth was described wrongly: correct the name of the cloth on all 2 swatches of it"
    app.text_input(key=f"mend.fabric.{trial.id}").set_value("rib")
    app.selectbox(key=f"mend.edge_lie.{trial.id}").set_value(0.5)
    app.selectbox(key=f"mend.why.{trial.id}").set_value("typed wrongly")
    which.set_value("whole")
    press(app, "Log the correction")
    assert "on every swatch of this cloth" in app.success[0].value
    assert [(one.fabric.name, dict(one.readings)) for one in studio.trials()] == [("rib", {"edge_lie": 0.5}), ("rib", {})]
    assert [studio.history(one.id)[-1].why for one in (trial, other)] == ["typed wrongly"] * 2


def test_a_whole_cloth_is_looked_at_again_where_the_open_swatch_has_become_another(app, studio):
    trial, other = sew(studio), sew(studio)
    set_aside(studio, trial)
    correcting_all(app, trial, "gsm", "210", "correct the weight on all 2 swatches and 1 planned swatch")
    healthy(app.run())
    studio.correct_columns(trial.id, {"fabric": "rib"}, "another cloth")
    rib = sew(studio, fabric=studio.trials()[0].fabric)
    press(app, "Log the correction")
    told = app.error[0].value.replace("\\", "")
    assert told.startswith("name of the cloth: ")
    assert "now rib: it was corrected meanwhile" in told
    press(app, "Log the correction")
    assert {one.id: one.fabric.gsm for one in studio.trials()} == {trial.id: 210, other.id: 220, rib.id: 210}


def test_what_is_planned_of_a_cloth_of_one_swatch_is_corrected_with_it(app, studio):
    trial = sew(studio)
    set_aside(studio, trial)
    correcting_all(app, trial, "fabric", "rib", "correct the name of the cloth on this swatch and 1 planned swatch")
    press(app, "Log the correction")
    assert [one.fabric.name for one in (*studio.trials(), *studio.pending())] == ["rib", "rib"]


def test_nothing_is_corrected_before_it_is_said_whether_the_cloth_or_the_swatch_was_wrong(app, studio):
    trial, _ = sew(studio), sew(studio)
    correcting(app, trial, "fabric")
    app.text_input(key=f"mend.fabric.{trial.id}").set_value("rib")
    app.selectbox(key=f"mend.why.{trial.id}").set_value("another cloth")
    press(app, "Log the correction")
    assert "Touch one of the two" in app.error[0].value
    assert [one.fabric.name == "rib" for one in studio.trials()] == [False, False]
    app.radio(key=f"mend.which.{trial.id}").set_value("alone")
    sew(studio)
    assert not healthy(app.run()).error
    assert app.radio(key=f"mend.which.{trial.id}").value == "alone", "also where another tablet saves meanwhile"
    press(app, "Log the correction")
    assert [one.fabric.name == "rib" for one in studio.trials()] == [True, False, False]


def test_what_cannot_be_is_told_and_what_was_typed_is_still_there(app, studio):
    trial = sew(studio)
    correcting(app, trial, "tension_upper_looper")
    app.number_input(key=f"mend.tension_upper_looper.{trial.id}").set_value(12.0)
    press(app, "Log the correction")
    assert "0 to 9" in app.error[0].value
    assert app.number_input(key=f"mend.tension_upper_looper.{trial.id}").value == 12
    assert len(studio.history(trial.id)) == 1


def test_a_withdrawn_swatch_needs_a_reason_is_still_shown_and_can_count_again(app, studio):
    trial = sew(studio, who="Ada")
    opened(app, trial=trial.id)
    do(app, "Withdraw")
    press(app, "Withdraw this swatch")
    assert "why" in app.error[0].value
    assert studio.trials()
    app.selectbox(key=f"mend.why.{trial.id}").set_value("sewn with a damaged needle")
    assert not healthy(app.run()).error
    press(app, "Withdraw this swatch")
    assert not studio.trials()
    assert "sewn with a damaged needle" in app.info[0].value
    press(app, "‹ Swatch book")
    assert "The book is empty" in app.info[0].value
    press(app, titles(app)[-1])
    press(app, "Let it count again")
    assert [one.id for one in studio.trials()] == [trial.id]
    assert "<b>Counts again</b>" in words(app)


@pytest.mark.parametrize(
    ("key", "typed", "told"),
    [
        ("mend.why.{}", None, "Nothing says why yet: touch a reason, or type one and press Enter"),
        ("who", "Ada\x07", "The name is too long, or has signs in it that cannot be printed"),
    ],
)
def test_what_is_wrong_with_reason_and_name_stands_beside_them_in_plain_words(app, studio, key, typed, told):
    trial = sew(studio)
    opened(app, trial=trial.id)
    do(app, "Withdraw")
    app.session_state[f"mend.why.{trial.id}"] = "a test"
    app.session_state[key.format(trial.id)] = typed
    press(app, "Withdraw this swatch")
    (fault,) = app.error
    assert plainly(fault.value).startswith(told)
    assert not any(word in plainly(fault.value) for word in ("got", "characters", "by:", "why:"))
    assert studio.trials()


def test_a_correction_does_not_bring_back_what_another_tablet_has_withdrawn(app, studio):
    trial = sew(studio)
    correcting(app, trial, "who")
    studio.withdraw(trial.id, "lost")
    press(app, "Log the correction")
    assert "withdrawn meanwhile" in app.error[0].value
    assert not studio.trials()
