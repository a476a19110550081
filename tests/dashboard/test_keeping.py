"""What a tablet has typed, and what it was told, after a reload: a new session of the same browser."""

import pytest
from parts import keeping
from streamlit.testing.v1 import AppTest

from .conftest import DASHBOARD
from .test_new_fabric import choose
from .test_pages import carried, healthy, press
from .test_swatch_book import VOILE, do, sew
from .test_the_log import BAD, GOOD, ended, handed_in, typed

TABLET = "t" * 22


@pytest.fixture(params=["a reload", "a server started again"])
def reloaded(request, where, monkeypatch):
    """Opens a page in a new session of one and the same browser, of which the server knows by heart or by its file."""
    brought = keeping._brought
    monkeypatch.setattr(keeping, "_brought", lambda name: TABLET if name == "tablet" else brought(name))

    def open_page(page="new_fabric", **what):
        if request.param == "a server started again":
            keeping._memory().clear()
        app = AppTest.from_file(str(DASHBOARD / "app.py"), default_timeout=60)
        healthy(app.run())
        if page == "new_fabric":
            return app
        app.switch_page(f"app_pages/{page}.py")
        app.query_params.update(what)
        return healthy(app.run())

    return open_page


def test_the_name_of_a_first_machine(reloaded):
    reloaded().text_input(key="machine.name").set_value("old faithful").run()
    assert reloaded().text_input(key="machine.name").value == "old faithful"


def test_what_was_typed_about_care(reloaded, studio):
    studio.note_care("bench", "oiled")
    app = reloaded("machines")
    app.pills(key="care.deed").set_value("serviced")
    app.number_input(key="care.ago").set_value(3)
    app.text_input(key="care.note").set_value("half a sen")
    app.selectbox(key="care.wrong").select_index(0)
    app.selectbox(key="care.why").set_value("another day")
    healthy(app.run())
    app = reloaded("machines")
    assert (app.pills(key="care.deed").value, app.number_input(key="care.ago").value) == ("serviced", 3)
    assert app.text_input(key="care.note").value == "half a sen"
    assert app.selectbox(key="care.why").value == "another day"
    (entry,) = studio.care()
    assert app.selectbox(key="care.wrong").value == entry.number
    studio.withdraw_care(entry.number, "elsewhere")
    studio.note_care("bench", "cleaned")
    assert reloaded("machines").selectbox(key="care.wrong").value is None


def test_a_correction_that_is_being_typed(reloaded, studio):
    trial = sew(studio)
    app = reloaded("swatch_book", trial=trial.id)
    do(app, "Correct")
    app.multiselect(key=f"mend.columns.{trial.id}").set_value(["gsm", "elastane"])
    healthy(app.run())
    app.text_input(key=f"mend.gsm.{trial.id}").set_value("240")
    app.number_input(key=f"mend.elastane.{trial.id}").set_value(4.0)
    app.selectbox(key=f"mend.why.{trial.id}").set_value("measured again")
    healthy(app.run())
    healthy(app.switch_page("app_pages/machines.py").run())
    app.switch_page("app_pages/swatch_book.py")
    app.query_params["trial"] = trial.id
    for page in (healthy(app.run()), reloaded("swatch_book", trial=trial.id)):
        assert page.text_input(key=f"mend.gsm.{trial.id}").value.split()[0] == "240"
        assert page.number_input(key=f"mend.elastane.{trial.id}").value == 4
        assert page.selectbox(key=f"mend.why.{trial.id}").value == "measured again"


def test_a_correction_of_a_cloth_that_is_being_typed(reloaded, studio):
    title = sew(studio, VOILE).fabric.name
    app = reloaded("swatch_book", fabric=title)
    app.multiselect(key=f"mend.columns.cloth {title}").set_value(["gsm"])
    healthy(app.run())
    app.text_input(key=f"mend.gsm.cloth {title}").set_value("65")
    app.selectbox(key=f"mend.why.cloth {title}").set_value("measured again")
    healthy(app.run())
    app = reloaded("swatch_book", fabric=title)
    assert app.text_input(key=f"mend.gsm.cloth {title}").value == "65"
    assert app.selectbox(key=f"mend.why.cloth {title}").value == "measured again"
    press(app, "Correct the cloth")
    assert [one.fabric.gsm for one in studio.trials()] == [65]


def test_a_box_of_a_correction_that_nobody_typed_in_follows_another_tablet(reloaded, studio):
    title = sew(studio, VOILE).fabric.name
    app = reloaded("swatch_book", fabric=title)
    app.multiselect(key=f"mend.columns.cloth {title}").set_value(["gsm"])
    healthy(app.run())
    (trial,) = studio.trials()
    studio.correct_columns(trial.id, {"gsm": 70.0})
    app = reloaded("swatch_book", fabric=title)
    assert app.text_input(key=f"mend.gsm.cloth {title}").value.split()[0] == "70"


def test_the_chosen_reading_and_control(reloaded, studio):
    sew(studio)
    app = reloaded("what_matters")
    app.selectbox(key="effect.control").set_value("length").run()
    assert reloaded("what_matters").selectbox(key="effect.control").value == "length"


def test_a_profile_that_is_being_changed(reloaded, studio):
    app = reloaded("machines")
    app.number_input(key="changed.tension.high").set_value(9.5)
    healthy(app.run())
    assert reloaded("machines").number_input(key="changed.tension.high").value == 9.5


def test_an_amount_that_nobody_has_typed_is_not_rounded(reloaded, studio):
    app = reloaded()
    weight = app.session_state["shown"].fabric.gsm
    choose(app, "Units", "imperial")
    app = reloaded()
    assert app.text_input(key="cloth.weight").value.endswith(" oz/yd2")
    assert app.session_state["shown"].fabric.gsm == weight


def test_a_tab_in_which_nobody_types_leaves_alone_what_another_keeps(reloaded, studio):
    idle, app = reloaded(), reloaded()
    carried(app, studio)
    press(app, "It fails")
    app.text_area(key="note").set_value("half a sen")
    app.number_input(key="set.length").set_value(2.25)
    healthy(app.run())
    sew(studio)
    healthy(idle.run())  # as it follows the log
    app = reloaded("rate_a_swatch")
    assert (app.text_area(key="note").value, app.number_input(key="set.length").value) == ("half a sen", 2.25)
    idle.text_input(key="cloth.name").set_value("calico")
    healthy(idle.run())
    assert reloaded("rate_a_swatch").text_area(key="note").value == "half a sen"
    assert reloaded().text_input(key="cloth.name").value == "calico"


def test_two_drafts_of_two_tabs_do_not_mix(reloaded, studio):
    one, other = reloaded(), reloaded()
    for app in (one, other):
        carried(app, studio)
        press(app, "It fails")
    one.number_input(key="set.length").set_value(2.25)
    healthy(one.run())
    other.text_area(key="note").set_value("the other one")
    length = healthy(other.run()).number_input(key="set.length").value
    app = reloaded("rate_a_swatch")
    assert (app.text_area(key="note").value, app.number_input(key="set.length").value) == ("the other one", length)
    assert length != 2.25


def test_a_rating_that_was_put_away_does_not_come_back(reloaded, studio):
    app = reloaded()
    carried(app, studio)
    del app.session_state["draft"]
    healthy(app.run())
    assert "draft" not in reloaded().session_state


@pytest.mark.parametrize("reloaded", ["a reload"], indirect=True)
def test_the_report_of_an_import_until_the_next_one(reloaded, studio):
    app = reloaded("the_log")
    handed_in(app, typed(GOOD, BAD))
    app = ended(reloaded("the_log"), "log.look")  # the file is read again
    press(app, "Take in 1 swatch")
    ended(app, "log.take")
    for _ in range(2):
        app = reloaded("the_log")
        assert "1 swatch went in. 1 row did not go in." in app.info[0].value
        assert "Download the refused rows" in [button.proto.label for button in app.get("download_button")]
    press(app, "Another file")
    assert len(app.file_uploader) == 1
    assert len(reloaded("the_log").file_uploader) == 1
