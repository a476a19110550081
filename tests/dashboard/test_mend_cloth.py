"""A cloth corrected on its own page, on every swatch of it at once."""

from dataclasses import replace

import pytest

from .test_pages import plainly
from .test_swatch_book import NAME, RIB, VOILE, healthy, opened, press, sew, words

OF = f"cloth {NAME}"


def correcting(app, *columns, title=NAME):
    """Open a cloth and say what is wrong with it."""
    opened(app, fabric=title)
    app.multiselect(key=f"mend.columns.cloth {title}").set_value(list(columns))
    return healthy(app.run())


def test_a_cloth_is_corrected_on_every_swatch_and_planned_one_with_its_trace(app, studio):
    first, second, other = sew(studio), sew(studio, replace(RIB, plies=4), day=1, passed=False), sew(studio, VOILE)
    studio.set_aside(fabric=replace(RIB, plies=3), stitch=first.stitch, machine="bench", settings=first.settings)
    correcting(app, "gsm", "elastane")
    assert "Nothing is changed yet." in words(app)
    press(app, "Correct the cloth")
    assert "the boxes say what stands there already" in plainly(app.error[0].value)
    app.text_input(key=f"mend.gsm.{OF}").set_value("240")
    app.number_input(key=f"mend.elastane.{OF}").set_value(5.0)
    app.selectbox(key=f"mend.why.{OF}").set_value("measured again")
    app.text_input(key="who").set_value("Ada")
    healthy(app.run())
    assert "weight: 220 g/m2, now 240 g/m2; elastane, %: 0, now 5</b>: on all 2 swatches and 1 planned swatch." in words(app)
    press(app, "Correct the cloth")
    assert plainly(app.success[0].value) == "Corrected on 2 swatches."
    assert not app.multiselect(key=f"mend.columns.{OF}").value
    assert [(one.fabric.gsm, one.fabric.elastane) for one in studio.trials()] == [(240, 5), (240, 5), (60, 0)]
    assert [one.fabric.gsm for one in studio.pending()] == [240]
    for one in (first, second):
        last = studio.history(one.id)[-1]
        assert (last.kind, last.why, last.by) == ("corrected", "measured again", "Ada")
    assert len(studio.history(other.id)) == 1


def test_the_page_follows_a_cloth_to_the_name_that_it_gets(app, studio):
    sew(studio)
    sew(studio, replace(RIB, name="rib", gsm=300))
    correcting(app, "fabric")
    app.text_input(key=f"mend.fabric.{OF}").set_value("rib")
    press(app, "Correct the cloth")
    assert app.query_params["fabric"] == "rib"
    assert "220 g/m2" in words(app)
    assert plainly(app.success[0].value) == "Corrected on 1 swatch."


@pytest.mark.parametrize("typed", ["", "240"])
def test_what_another_tablet_corrects_meanwhile_is_followed_or_told_before_anything_is_written_over(app, studio, typed):
    first = sew(studio)
    sew(studio)
    correcting(app, "gsm", "fibre")
    if typed:
        app.text_input(key=f"mend.gsm.{OF}").set_value(typed)
    app.selectbox(key=f"mend.fibre.{OF}").set_value("wool")
    healthy(app.run())
    for one in studio.trials():
        studio.correct_columns(one.id, {"gsm": 230.0}, "measured again")
    press(app, "Correct the cloth")
    assert "weight: 220 g/m2, now 230 g/m2: it was corrected meanwhile" in plainly(app.error[0].value)
    assert len(studio.history(first.id)) == 2
    press(app, "Correct the cloth")
    assert {(one.fabric.gsm, one.fabric.fibre) for one in studio.trials()} == {(float(typed or 230), "wool")}


def test_a_swatch_that_another_tablet_logs_meanwhile_is_corrected_too_and_what_was_typed_stays(app, studio):
    sew(studio)
    correcting(app, "gsm")
    app.text_input(key=f"mend.gsm.{OF}").set_value("240")
    healthy(app.run())
    sew(studio, day=1)
    healthy(app.run())
    assert "on all 2 swatches." in words(app)
    press(app, "Correct the cloth")
    assert [one.fabric.gsm for one in studio.trials()] == [240, 240]


def test_a_correction_of_a_cloth_brings_no_swatch_back_that_another_tablet_has_withdrawn(app, studio):
    sew(studio)
    last = sew(studio, day=1)
    correcting(app, "gsm")
    app.text_input(key=f"mend.gsm.{OF}").set_value("240")
    healthy(app.run())
    studio.withdraw(last.id, "lost")
    press(app, "Correct the cloth")
    assert "withdrawn meanwhile" in plainly(app.error[0].value)
    press(app, "Correct the cloth")
    assert [one.fabric.gsm for one in (*studio.trials(), *studio.withdrawn())] == [240, 220]
