"""Each page, driven without a browser."""

import pytest

from recommender import Dial, Fabric, Machine, Thread, presets
from recommender.swatches.store import Store
from recommender.swatches.trial import Trial
from recommender.trade.readings import READINGS

JERSEY = Fabric(name="rib jersey", construction="knit", fibre="cotton", gsm=220, stretch=60)
SEAM = {"fabric": JERSEY, "stitch": "four-thread overlock", "machine": "bench"}


def healthy(app):
    assert not app.exception, [fault.value for fault in app.exception]
    return app


def words(app):
    return plainly(" ".join(element.proto.body for element in app.get("html")))


def plainly(text):
    """The text as it is read: with ordinary blanks, and without what keeps Markdown from its signs."""
    return text.replace("\N{NO-BREAK SPACE}", " ").replace("\\", "")


def carried(app, studio):
    """The dashboard on Rate a swatch, with the proposal for a preset."""
    healthy(app.run())
    next(button for button in app.button if button.label.startswith("Sew a swatch")).click().run()
    return healthy(app.switch_page("app_pages/rate_a_swatch.py").run())


def press(app, label):
    next(button for button in app.button if button.label == label).click()
    return healthy(app.run())


def test_without_a_machine_the_first_page_offers_to_add_one(app, where):
    healthy(app.run())
    app.text_input(key="machine.name").set_value("old faithful")
    press(app, "Add this machine")
    assert app.selectbox(key="machine").value == "old faithful"


def test_a_machine_without_a_name_is_refused_in_a_sentence(app, where):
    healthy(app.run())
    app.text_input(key="machine.name").set_value("  ")
    press(app, "Add this machine")
    assert "name" in app.error[0].value


def test_an_empty_log_shows_the_baseline_as_proposal_with_a_band(app, studio):
    healthy(app.run())
    proposal = studio.propose(**SEAM)
    assert proposal.settings == proposal.baseline
    shown = words(app)
    assert shown.count("class='row'") == len(proposal.settings.controls())
    assert shown.count('class="scale" role="img"') == len(proposal.settings.controls())
    assert "Too few ratings to say" in shown


def test_every_rule_stands_with_its_reason_and_source(app, studio):
    healthy(app.run())
    app.selectbox(key="cloth.start").set_value("chiffon (preset)")
    healthy(app.run())
    rules = studio.propose(**SEAM | {"fabric": presets()["chiffon"]}).rules
    assert rules
    assert words(app).count("Source: ") == len(rules)


def test_a_preset_fills_in_the_form(app, studio):
    healthy(app.run())
    app.selectbox(key="cloth.start").set_value("denim (preset)")
    healthy(app.run())
    assert app.text_input(key="cloth.name").value == "denim"
    assert app.text_input(key="cloth.weight").value.endswith(" g/m2")


def test_ounces_are_understood(app, studio):
    healthy(app.run())
    app.text_input(key="cloth.weight").set_value("6.1 oz/yd2")
    healthy(app.run())
    assert not app.error


@pytest.mark.parametrize(
    ("key", "typed", "told"),
    [
        ("cloth.weight", "9", "from 15 to 1000 g/m2"),
        ("cloth.weight", "nonsense", "expected a number and its unit"),
        ("cloth.weight", "", "expected a number and its unit"),
        ("cloth.weight", "5 g/m2", "15 to 1000"),
        ("cloth.name", "   ", "fabric name"),
        ("cloth.name", "a\x07b", "fabric name"),
        ("needle.size", "80/2", "without a unit"),
        ("looper.size", "tex -3", "thread size"),
    ],
)
def test_what_cannot_be_read_is_told_in_one_sentence(app, studio, key, typed, told):
    healthy(app.run())
    app.text_input(key=key).set_value(typed)
    healthy(app.run())
    assert len(app.error) == 1
    assert told in plainly(app.error[0].value)
    assert next(button for button in app.button if button.label.startswith("Sew a swatch")).disabled


def test_a_machine_that_cannot_sew_the_stitch_says_so(app, studio):
    studio.add_machine(Machine(name="plain", converter=False))
    healthy(app.run())
    app.selectbox(key="machine").set_value("plain")
    app.selectbox(key="stitch").set_value("two-thread overlock")
    healthy(app.run())
    assert "two\\-thread converter" in app.error[0].value


def test_rating_without_a_proposal_leads_to_the_first_page(app, studio):
    healthy(app.run())
    healthy(app.switch_page("app_pages/rate_a_swatch.py").run())
    assert "No swatch is being rated" in app.info[0].value


def test_a_pass_is_saved_in_two_touches(app, studio):
    carried(app, studio)
    press(app, "It passes")
    press(app, "Save: it passes")
    (trial,) = studio.trials()
    assert trial.passed
    assert not trial.readings
    assert trial.settings == studio.propose(fabric=trial.fabric, stitch=trial.stitch, machine=trial.machine).baseline


def test_a_fail_is_saved_as_read_and_shows_what_to_move(app, studio):
    carried(app, studio)
    press(app, "It fails")
    app.button(key="step_edge_lie_2").click()
    healthy(app.run())
    app.button(key="step_needle_line_-1").click()
    healthy(app.run())
    app.button(key="half_needle_line_-0.5").click()
    healthy(app.run())
    press(app, "Save: it fails")
    (trial,) = studio.trials()
    assert dict(trial.readings) == {"edge_lie": 2.0, "needle_line": -1.5}
    moves = studio.propose(fabric=trial.fabric, stitch=trial.stitch, machine=trial.machine).moves
    assert moves
    assert all(move.sentence in words(app) for move in moves)


def test_a_reading_touched_twice_is_left_out(app, studio):
    carried(app, studio)
    press(app, "It fails")
    for _ in range(2):
        app.button(key="step_edge_wrap_1").click()
        healthy(app.run())
    press(app, "Save: it fails")
    assert not studio.trials()[0].readings


def test_all_readings_are_offered_by_drawings(app, studio):
    carried(app, studio)
    press(app, "It fails")
    assert all(f'aria-label="{noun.title}, ' in words(app) for noun in READINGS.values())


def test_settings_as_sewn_are_what_is_logged(app, studio):
    carried(app, studio)
    app.number_input(key="set.differential").set_value(1.7)
    app.number_input(key="set.tension: upper looper").set_value(6.5)
    press(app, "It passes")
    press(app, "Save: it passes")
    (trial,) = studio.trials()
    assert trial.settings.differential == 1.7
    assert trial.settings.tension["upper looper"] == 6.5


def test_foot_pressure_is_asked_where_the_machine_has_it(app, studio):
    studio.add_machine(Machine(name="bench", foot_pressure=Dial(0, 6, 0.5, 3)))
    carried(app, studio)
    assert app.number_input(key="set.foot pressure").value == 3
    app.number_input(key="set.foot pressure").set_value(1.5)
    press(app, "It passes")
    press(app, "Save: it passes")
    assert studio.trials()[0].settings.foot_pressure == 1.5


def test_a_setting_left_empty_is_told_and_nothing_is_lost(app, studio):
    carried(app, studio)
    app.number_input(key="set.differential").set_value(None)
    press(app, "It passes")
    press(app, "Save: it passes")
    assert "differential" in app.error[0].value
    assert not studio.trials()
    app.number_input(key="set.differential").set_value(1.2)
    press(app, "Save: it passes")
    assert studio.trials()[0].settings.differential == 1.2


def test_saving_the_same_draft_again_changes_nothing(app, studio):
    from parts.drafts import save

    carried(app, studio)
    press(app, "It passes")
    press(app, "Save: it passes")
    save(app.session_state["draft"], studio)
    assert len(studio.trials()) == 1


def test_a_trial_taken_back_is_withdrawn_and_its_rating_is_still_there(app, studio):
    carried(app, studio)
    press(app, "It fails")
    app.button(key="step_stitch_cover_-2").click()
    healthy(app.run())
    press(app, "Save: it fails")
    press(app, "That was a mistake: take it back")
    assert not studio.trials()
    press(app, "Save: it fails")
    assert dict(studio.trials()[0].readings) == {"stitch_cover": -2.0}


def test_the_next_swatch_starts_from_the_new_proposal(app, studio):
    carried(app, studio)
    press(app, "It fails")
    app.button(key="step_edge_lie_2").click()
    healthy(app.run())
    press(app, "Save: it fails")
    (trial,) = studio.trials()
    wanted = studio.propose(fabric=trial.fabric, stitch=trial.stitch, machine=trial.machine).settings
    press(app, "Moved: rate the next swatch")
    assert app.number_input(key="set.differential").value == wanted.differential > trial.settings.differential


def test_what_was_typed_is_still_there_after_a_walk_through_the_pages(app, studio):
    carried(app, studio)
    app.number_input(key="set.length").set_value(2.25)
    press(app, "It fails")
    app.button(key="step_edge_lie_-2").click()
    healthy(app.run())
    for page in ("new_fabric", "what_matters", "rate_a_swatch"):
        healthy(app.switch_page(f"app_pages/{page}.py").run())
    assert app.number_input(key="set.length").value == 2.25
    press(app, "Save: it fails")
    assert studio.trials()[0].readings["edge_lie"] == -2


def test_what_matters_teaches_while_the_log_is_empty(app, studio):
    healthy(app.run())
    healthy(app.switch_page("app_pages/what_matters.py").run())
    assert "No swatch is logged yet" in app.info[0].value


def test_what_matters_shows_shares_with_bands_and_a_curve_with_its_trials(app, studio):
    for index in range(6):
        settings = studio.propose(**SEAM).baseline.having({"differential": 1 + index / 10})
        studio.record(**SEAM, settings=settings, passed=index == 3, readings={"edge_lie": 1.5 - index / 2}, looper_thread=Thread(tex=18))
    healthy(app.run())
    healthy(app.switch_page("app_pages/what_matters.py").run())
    assert "From 6 logged swatches." in [caption.value for caption in app.caption]
    assert words(app).count("class='bars'") == 3  # controls, properties, and how often the bands held
    assert "from 6 swatches" in words(app)


@pytest.mark.parametrize("reading", READINGS)
def test_choosing_a_reading_shows_its_main_control(app, studio, reading):
    studio.record(**SEAM, settings=studio.propose(**SEAM).baseline, passed=True)
    healthy(app.run())
    healthy(app.switch_page("app_pages/what_matters.py").run())
    app.selectbox(key="effect.reading").set_value(reading)
    healthy(app.run())
    assert not app.error
    assert READINGS[reading].title in words(app)


def test_a_studio_that_cannot_be_opened_is_told_in_a_sentence(app, tmp_path, monkeypatch):
    (tmp_path / "photo.sqlite").write_bytes(b"not a studio" * 500)
    monkeypatch.setenv("OVEREDGE_STUDIO", str(tmp_path / "photo.sqlite"))
    healthy(app.run())
    assert len(app.error) == 1
    assert "photo" in app.error[0].value


def test_a_demo_studio_says_that_it_is_invented(app, studio):
    settings = studio.propose(**SEAM).baseline
    studio.record(**SEAM, settings=settings, passed=True)
    carried(app, studio)
    assert not [caption for caption in app.caption if "invented" in caption.value]
    with Store.open(studio.where) as log:  # as the demo's file is imported, with its own ids
        log.record(Trial(**SEAM, settings=settings, passed=True, id="demo-1"))
    pages = [(page, {}) for page in ("new_fabric", "rate_a_swatch", "swatch_book", "what_matters", "plan_swatches", "machines", "the_log")]
    for page, asked in (*pages, ("swatch_book", {"fabric": JERSEY.name}), ("swatch_book", {"trial": "demo-1"})):
        app.switch_page(f"app_pages/{page}.py")
        app.query_params.clear()
        app.query_params.update(asked)
        healthy(app.run())
        assert len([caption for caption in app.caption if "invented" in caption.value]) == 1, (page, asked)
