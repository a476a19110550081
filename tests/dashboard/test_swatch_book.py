"""The swatch book: found, opened, sewn again, copied; corrections are in `test_mending.py`, a browser in `test_book_by_hand.py`."""

import io
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from PIL import Image

from recommender import Dial, Fabric, Machine, Settings
from recommender.advice.watching.drift import Suspect
from recommender.swatches.store import Store
from recommender.swatches.trial import Trial
from recommender.trade.readings import READINGS
from recommender.trade.thread import POSITIONS

from .test_pages import words

NAME = "<img src=x onerror=alert(1)> **rib** [x](y) $a$"
RIB = Fabric(name=NAME, construction="knit", fibre="cotton", gsm=220, stretch=60)
VOILE = Fabric(name="voile", construction="woven", fibre="polyester", gsm=60)
FOUR = Settings(tension={"left needle": 4, "right needle": 4, "upper looper": 4, "lower looper": 4}, differential=1.2, length=2.5, width=6)
SPRING = datetime(2026, 3, 14, 12, tzinfo=UTC)


def sew(studio, fabric=RIB, day=0, **more):
    given = {"stitch": "four-thread overlock", "machine": "bench", "settings": FOUR, "passed": True} | more
    return studio.record(fabric=fabric, when=SPRING + timedelta(days=day), **given)


def photo():
    made = io.BytesIO()
    Image.new("RGB", (640, 480), "grey").save(made, "PNG")
    return made.getvalue()


def healthy(app):
    assert not app.exception, [fault.value for fault in app.exception]
    return app


def opened(app, **what):
    app.switch_page("app_pages/swatch_book.py")
    app.query_params.clear()
    for name, value in what.items():
        app.query_params[name] = value
    return healthy(app.run())


def titles(app):
    return [button.label for button in app.button if button.key and button.key.startswith("open.")]


def press(app, label):
    next(button for button in app.button if button.label == label).click()
    return healthy(app.run())


def do(app, deed):
    next(one for one in app.get("button_group") if one.label == "What now?").set_value(deed)
    return healthy(app.run())


def test_an_empty_book_says_what_to_do_next(app, studio):
    opened(app)
    assert "The book is empty" in app.info[0].value


def test_the_foot_pressure_stands_with_the_other_numbers(app, studio):
    studio.add_machine(replace(Machine.generic("bench"), foot_pressure=Dial(0, 6, 0.5, 3)))
    one = sew(studio, settings=replace(FOUR, foot_pressure=2.5))
    for where in ({}, {"trial": one.id}):
        assert "<dt>foot pressure</dt><dd>2.5</dd>" in words(opened(app, **where))


def test_each_cloth_stands_with_its_best_setting_readings_and_pass_rate(app, studio):
    sew(studio, day=0, passed=False, readings={"edge_lie": 2})
    sew(studio, day=1, settings=FOUR.having({"differential": 1.5}), readings={"edge_lie": 0.5, "needle_line": 0})
    sew(studio, VOILE, day=2, passed=False)
    opened(app)
    assert [title.replace("\\", "") for title in titles(app)] == ["voile", NAME]
    assert "Nothing has passed yet: four-thread overlock on bench" in words(app)
    assert "<dt>differential feed</dt><dd>1.5</dd>" in words(app)
    assert "<dt>differential</dt><dd>1.2</dd>" not in words(app)
    assert "stretched, wavy: barely (+0.5); 1 of 2 readings right" in words(app)
    assert "1 of 2 passed" in words(app)
    assert "aria-label='In order: failed, passed'" in words(app)


def test_a_photo_stands_with_its_cloth_and_with_its_swatch(app, studio):
    trial = sew(studio)
    opened(app)
    assert "<img" not in words(app)
    studio.add_photo(trial.id, photo())
    healthy(app.run())
    assert 'src="data:image/jpeg;base64,' in words(app)
    opened(app, trial=trial.id)
    assert 'src="data:image/jpeg;base64,' in words(app)
    assert "Photo added" in words(app)


@pytest.mark.parametrize(
    ("key", "value", "found"),
    [
        ("book.text", "VOI", ["voile"]),
        ("book.text", "no such cloth", []),
        ("book.fibres", ["polyester"], ["voile"]),
        ("book.low", "100", [NAME]),
        ("book.high", "3 oz/yd2", ["voile"]),
        ("book.machine", "other", ["voile"]),
        ("book.stitch", "four-thread overlock", ["voile", NAME]),
        ("book.passed", "nothing passed yet", ["voile"]),
    ],
)
def test_the_book_is_searched_and_narrowed_and_shown_whole_again(app, studio, key, value, found):
    studio.add_machine(Machine.generic("other"))
    sew(studio)
    sew(studio, VOILE, day=1, machine="other", passed=False)
    opened(app)
    widgets = [*app.text_input, *app.multiselect, *app.number_input, *app.selectbox, *app.get("button_group")]
    next(widget for widget in widgets if widget.key == key).set_value(value)
    healthy(app.run())
    assert [title.replace("\\", "") for title in titles(app)] == found
    healthy(app.switch_page("app_pages/new_fabric.py").run())
    healthy(app.switch_page("app_pages/swatch_book.py").run())
    assert [title.replace("\\", "") for title in titles(app)] == found
    if len(found) < 2:
        press(app, "Show all again")
    assert len(titles(app)) == 2


def test_a_filter_whose_last_cloth_is_withdrawn_is_let_go(app, studio):
    trial = sew(studio, VOILE)
    sew(studio)
    opened(app)
    app.multiselect(key="book.fibres").set_value(["polyester"])
    healthy(app.run())
    studio.withdraw(trial.id, "lost")
    healthy(app.run())
    assert [title.replace("\\", "") for title in titles(app)][:1] == [NAME]


def test_a_cloth_opens_with_the_best_of_each_machine_and_every_swatch(app, studio):
    studio.add_machine(Machine.generic("other"))
    sew(studio, passed=False)
    last = sew(studio, day=1)
    sew(studio, day=2, machine="other", passed=False, note=f"note {NAME}")
    opened(app)
    press(app, titles(app)[0])
    assert NAME in app.query_params["fabric"]
    assert app.title[0].value.replace("\\", "") == NAME
    assert "Nothing has passed yet." in words(app)
    assert "With this setting 1 of 2 passed; of all swatches here 1 of 2." in words(app)
    assert len([title for title in titles(app) if "passed" in title or "failed" in title]) == 3
    assert "note &lt;img src=x" in words(app)
    press(app, "Open this swatch: copy, correct")
    assert last.id in app.query_params["trial"]


def test_the_best_setting_is_sewn_again_exactly_as_it_stands_and_rated(app, studio):
    best = replace(FOUR, differential=1.5, length=2.25)
    sew(studio, VOILE, settings=best, readings=dict.fromkeys(READINGS, 0.0))
    sew(studio, VOILE, day=1, settings=replace(FOUR, differential=0.9), passed=False, readings={"edge_lie": 2})
    opened(app, fabric="voile")
    next(button for button in app.button if button.label == "Sew this again").click()
    healthy(app.run())
    assert [title.value for title in app.title] == ["Rate a swatch"]
    assert app.number_input(key="set.differential").value == 1.5
    press(app, "It passes, nothing to add: save")
    last = studio.trials()[-1]
    assert (last.fabric, last.settings, last.passed) == (VOILE, best, True)


def test_a_half_rated_swatch_is_not_thrown_away_for_another(app, studio):
    best = replace(FOUR, differential=1.5)
    sew(studio, VOILE, settings=best)
    sew(studio, day=1)

    def again(cloth):
        opened(app, fabric=cloth)
        next(button for button in app.button if button.label == "Sew this again").click()
        healthy(app.run())
        return healthy(app.switch_page("app_pages/rate_a_swatch.py").run())

    again(NAME)
    again("voile")
    assert not app.info  # nothing was typed of the first, so it gives way
    again(NAME)
    press(app, "It fails")
    app.text_area(key="note").set_value("half a note")
    again("voile")
    half = app.session_state["draft"]
    assert (half.proposal.fabric, half.passed, app.text_area(key="note").value) == (RIB, False, "half a note")
    assert "half rated and not saved" in app.info[0].value
    press(app, "Put this one away unsaved, rate voile")
    assert (app.session_state["draft"].proposal.fabric, app.number_input(key="set.differential").value) == (VOILE, 1.5)
    assert not app.info
    press(app, "It fails")
    again(NAME)
    press(app, "Save: it fails")
    assert studio.trials()[-1].fabric == VOILE
    next(button for button in app.button if button.key == "take_after").click()
    healthy(app.run())
    assert app.session_state["draft"].proposal.fabric == RIB


def test_a_machine_that_has_drifted_is_told_where_its_settings_are_sewn_again_or_copied(app, studio, drifted):
    drifted(Suspect("differential", False, 0.9))
    for name in ("higher", "lower", "idle"):
        studio.add_machine(Machine.generic(name))
    trial = sew(studio, VOILE)
    sew(studio, VOILE, day=1, machine="higher")
    sew(studio, VOILE, day=2, machine="lower", passed=False)
    told = "{}: the differential feed most likely gathers less than its number says"
    opened(app, fabric="voile")
    assert [words(app).count(told.format(name)) for name in ("bench", "higher", "lower", "idle")] == [1, 1, 0, 0]
    labels = [link.proto.label for link in app.get("page_link") if "what to look at" in link.proto.label]
    assert labels == [f"{name} on Machines: what to look at, in order" for name in ("higher", "bench")]
    opened(app, trial=trial.id)
    do(app, "Copy to a machine")
    app.selectbox(key=f"carry.to.{trial.id}").set_value("idle")
    healthy(app.run())
    assert words(app).index(told.format("idle")) < words(app).index("80 % band")
    assert told.format("bench") in words(app)


def test_the_card_of_a_swatch_doubts_a_dial_that_drifted_after_it_was_sewn(app, studio, drifted):
    drifted(Suspect("differential", False, 0.9), begun=SPRING + timedelta(days=1))
    for day, doubted in ((0, 1), (1, 0)):
        opened(app, trial=sew(studio, VOILE, day=day).id)
        do(app, "Setup card")
        assert words(app).count("Test the differential feed: its number may be wrong.") == doubted


def test_the_card_of_the_best_setting_opens_on_its_cloth(app, studio):
    sew(studio, VOILE, settings=replace(FOUR, length=2.25))
    opened(app, fabric="voile")
    press(app, "Setup card")
    assert any(button.label == "Print" for button in app.button)
    assert "voile" in words(app)


@pytest.mark.parametrize(
    ("what", "value", "sentence"), [("trial", "nobody", "a logged swatch"), ("fabric", "voille", "did you mean 'voile'")]
)
def test_an_address_that_leads_nowhere_says_so(app, studio, what, value, sentence):
    sew(studio, VOILE)
    opened(app, **{what: value})
    assert sentence in app.error[0].value.replace("\\", "")
    press(app, "‹ Swatch book")
    assert titles(app) == ["voile"]


def test_a_swatch_shows_all_that_is_known_of_it(app, studio):
    trial = sew(studio, passed=False, readings=dict.fromkeys(READINGS, -1.0), flags=["jam"], seam_change=4, who="Ada", note="<b>")
    opened(app, trial=trial.id)
    assert all(noun.title in words(app) for noun in READINGS.values())
    for told in (
        "<strong>failed</strong>",
        "Ada",
        "the machine jammed",
        "The seam came out +4 % in length",
        "Note: &lt;b&gt;",
        "2 layers",
    ):
        assert told in words(app)


def test_a_swatch_is_told_in_the_words_of_its_stitch_on_its_page_its_card_and_the_form_that_corrects_it(app, studio):
    settings = Settings(tension={"right needle": 4, "lower looper": 4}, differential=1, length=1.5, width=4.5)
    trial = sew(studio, VOILE, stitch="two-thread rolled hem", settings=settings, readings={"looper_balance": -2, "edge_wrap": 0})
    opened(app, fabric="voile")
    assert "needle thread on the edge (-2); 1 of 2 readings right" in words(app)
    opened(app, trial=trial.id)
    for told in ("Where the threads meet", "needle thread on the edge (-2)", "rolled in and wrapped (0)"):
        assert told in words(app)
    do(app, "Setup card")
    assert 'aria-label="Where the threads meet: needle thread on the edge (-2)"' in words(app)
    do(app, "Correct")
    box = app.multiselect(key=f"mend.columns.{trial.id}")
    assert "Where the threads meet" in box.options
    box.set_value(["edge_wrap"])
    healthy(app.run())
    assert "rolled in and wrapped (0)" in app.selectbox(key=f"mend.edge_wrap.{trial.id}").options
    assert "looper threads" not in words(app)


def test_a_setting_is_copied_to_another_machine_and_put_on_the_list(app, studio):
    higher = Machine(name="higher", tension={position: Dial(1, 10, 0.5, 5) for position in POSITIONS})
    studio.add_machine(higher)
    trial = sew(studio)
    opened(app, trial=trial.id)
    do(app, "Copy to a machine")
    app.selectbox(key=f"carry.to.{trial.id}").set_value("higher")
    healthy(app.run())
    found = studio.translate(trial=trial.id, to="higher")
    assert "<td>upper looper</td><td class='n'>4</td><td class='n'><b>5</b></td>" in words(app)
    assert all(f"<div class='caution' role='note'><b>Caution, {place}:</b>" in words(app) for place in ("dials", "knife"))
    app.session_state["units"] = "imperial"
    healthy(app.run())
    row = "<td>stitch length, mm; 10.2 per inch</td><td class='n'>2.5</td><td class='n'><b>2.5</b></td>"
    assert row in words(app)
    press(app, "Put a swatch with it on the list")
    [waiting] = studio.pending()
    assert (waiting.machine, waiting.settings) == ("higher", found.settings)
    assert "higher is on the list" in app.success[0].value


def test_a_weight_that_is_none_is_told_and_narrows_nothing(app, studio):
    sew(studio)
    opened(app)
    app.text_input(key="book.low").set_value("heavy")
    healthy(app.run())
    assert "expected a number" in app.error[0].value
    assert len(titles(app)) == 1


def test_with_one_machine_there_is_nothing_to_copy_to(app, studio):
    trial = sew(studio)
    opened(app, trial=trial.id)
    do(app, "Copy to a machine")
    assert "one machine only" in " ".join(text.value for text in app.markdown)


def test_five_thousand_swatches_of_fifteen_hundred_cloths_are_a_short_list(app, studio):
    cloths = [replace(VOILE, name=f"cloth {number}", gsm=50 + number % 400) for number in range(1500)]
    seam = {"stitch": "four-thread overlock", "machine": "bench", "settings": FOUR}
    with Store.open(studio.where) as log:
        log.record_new(
            Trial(fabric=cloths[n % 1500], **seam, passed=n % 7 == 0, id=f"t{n}", when=SPRING + timedelta(minutes=n)) for n in range(5000)
        )
    opened(app)
    assert "1500 cloths, the last sewn first" in [caption.value for caption in app.caption]
    assert len(titles(app)) == 12
    assert len(list(app.main)) < 60
    opened(app, fabric="cloth 0")
    assert "1 of 4 passed" in words(app)
