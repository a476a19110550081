"""Rate a swatch: two touches, a photo that may be bad, the strip so far; one control more is in `test_further.py`."""

import importlib
import io
from dataclasses import replace

import pytest
from PIL import Image
from playwright.sync_api import expect

from recommender import Dial, Machine, Settings, presets
from recommender.trade.thread import POSITIONS

from .conftest import settle
from .test_browser import go, press
from .test_pages import SEAM, carried, healthy, plainly, words
from .test_pages import press as touch


def picture(kind="JPEG"):
    written = io.BytesIO()
    Image.new("RGB", (90, 60), "white").save(written, kind)
    return written.getvalue()


def sew(studio, **more):
    return studio.record(**SEAM | more, settings=studio.propose(**SEAM | more).settings, passed=True)


def add(app, name, bytes_):
    app.file_uploader[0].set_value((name, bytes_, "image/jpeg"))
    return healthy(app.run())


def failed(app, studio):
    carried(app, studio)
    touch(app, "It fails")
    app.button(key="step_edge_lie_2").click()
    healthy(app.run())


def test_after_a_mishap_needle_thread_and_machine_come_before_the_dials(app, studio):
    carried(app, studio)
    touch(app, "It fails")
    app.button_group(key="flags").set_value(["jam"])
    healthy(app.run())
    touch(app, "Save: it fails")
    heads = [head.value for head in app.header]
    assert heads.index("Before the dials") < heads.index("Then sew it again")
    assert "<ol class='steps'><li>Switch the machine off and unplug it.<div class='caution'" in words(app)
    assert any(text.value.startswith("Leave the controls as they are: no reading speaks") for text in app.markdown)
    assert "Sew it again with these settings" in [button.label for button in app.button]


def test_the_strip_so_far_names_its_readings_as_its_stitch_does(app, studio):
    settings = Settings(tension={"right needle": 4, "lower looper": 4}, differential=1, length=1.5, width=4.5)
    rolled = studio.record(**SEAM | {"stitch": "two-thread rolled hem"}, settings=settings, passed=False, readings={"looper_balance": 1})
    assert "<th scope='row'>Where the threads meet</th>" in importlib.import_module("parts.timeline").timeline([rolled])


IN_SIGHT = """() => {
  const frame = document.querySelector('.strip').getBoundingClientRect();
  const name = document.querySelector('.strip tbody th').getBoundingClientRect();
  const newest = [...document.querySelectorAll('.strip thead th[scope=col]')].at(-1).getBoundingClientRect();
  const dots = [...document.querySelectorAll('.lean > i')].map((dot) => dot.getBoundingClientRect());
  const over = dots.filter((dot) => dot.left < name.right && document.elementFromPoint(dot.left + 6, dot.top + 6)?.matches('.lean *'));
  return [newest.left >= name.right - 1 && newest.right <= frame.right + 1, over.length];
}"""
"""Whether the newest swatch lies beside the names of the rows, and how many dots lie over these."""


@pytest.mark.parametrize("size", ["desk", "tablet", "phone"])
def test_the_strip_so_far_opens_at_its_newest_swatch_beside_the_names(visit, studio, size):
    here = SEAM | {"fabric": next(iter(presets().values()))}  # what New fabric opens with
    start = studio.propose(**here).settings
    for feed in range(9):
        studio.record(**here, settings=start.having({"differential": 1 + feed / 10}), passed=False, readings={"edge_lie": 1})
    page = visit(size)
    press(page, "Sew a swatch, then rate it here")
    strip = page.get_by_role("region", name="This strip so far")
    strip.get_by_text("How the edge lies").scroll_into_view_if_needed()
    assert strip.evaluate("frame => frame.scrollWidth > frame.clientWidth"), "else there was nothing to see"
    assert page.evaluate(IN_SIGHT) == [True, 0]


def test_from_the_proposal_a_pass_takes_two_touches(visit, studio):
    page = visit("tablet")
    page.evaluate("() => { window.touches = 0; document.addEventListener('pointerdown', () => window.touches++, true); }")
    page.get_by_role("button", name="Sew a swatch, then rate it here").tap()
    settle(page)
    page.get_by_role("button", name="It passes, nothing to add: save").tap()
    settle(page)
    expect(page.get_by_text("Saved: it passes.")).to_be_visible()
    assert page.evaluate("window.touches") == 2
    assert [trial.passed for trial in studio.trials()] == [True]


def test_a_rating_and_its_photo_outlive_a_reload_and_a_second_tab_logs_nothing_twice(visit, studio):
    page = visit("phone")
    press(page, "Sew a swatch, then rate it here")
    press(page, "It fails")
    press(page, "stretched, wavy")
    page.get_by_text("Photo of the swatch").click()
    page.locator("input[type=file]").set_input_files({"name": "<b>.png", "mimeType": "image/png", "buffer": picture("PNG")})
    expect(page.get_by_text("It is kept when the rating is saved.")).to_be_visible()
    page.reload()
    settle(page)
    expect(page.get_by_text("It is kept when the rating is saved.")).to_be_visible()
    twin = page.context.new_page()
    twin.goto(page.url)
    settle(twin)
    press(twin, "Save: it fails")
    expect(twin.get_by_text("Kept with the swatch.")).to_be_visible()
    press(page, "Save: it fails")
    (trial,) = studio.trials()
    assert dict(trial.readings) == {"edge_lie": 2.0}
    assert studio.photo(trial.id) is not None


def test_a_bad_photo_is_told_and_the_rating_is_saved_without_it(app, studio):
    failed(app, studio)
    app.toggle(key="photo.camera").set_value(True)
    add(app, "swatch.jpg", b"no picture at all" * 20)
    assert ["photo: " in plainly(error.value) for error in app.error] == [True]
    touch(app, "Save: it fails")
    (trial,) = studio.trials()
    assert dict(trial.readings) == {"edge_lie": 2.0}
    assert studio.photo(trial.id) is None
    add(app, "swatch.jpg", picture())
    assert studio.photo(trial.id) is not None
    assert not app.error


def test_a_photo_that_cannot_be_kept_takes_no_rating_with_it(app, studio, monkeypatch):
    from recommender.errors import StudioError

    failed(app, studio)
    add(app, "swatch.jpg", picture())

    def full(self, trial_id, picture):
        raise StudioError("studio: the disk is full, expected room for a photo; make some")

    monkeypatch.setattr(type(studio), "add_photo", full)
    touch(app, "Save: it fails")
    assert len(studio.trials()) == 1
    assert "The rating is saved, its photo is not" in plainly(app.error[0].value)
    assert "class='moves'" in words(app)


def test_a_photo_comes_back_with_a_rating_that_was_taken_back(app, studio):
    failed(app, studio)
    add(app, "swatch.jpg", picture())
    touch(app, "Save: it fails")
    touch(app, "That was a mistake: take it back")
    touch(app, "Save: it fails")
    (trial,) = studio.trials()
    assert studio.photo(trial.id) is not None


def test_the_next_swatch_begins_without_the_photo_of_the_last(app, studio):
    failed(app, studio)
    add(app, "swatch.jpg", picture())
    touch(app, "Save: it fails")
    touch(app, "Moved: rate the next swatch")
    assert app.session_state["draft"].picture is None
    touch(app, "It passes")
    touch(app, "Save: it passes")
    first, second = studio.trials()
    assert studio.photographed() == {first.id}
    assert second.passed


def test_the_strip_so_far_marks_what_was_moved(app, studio):
    failed(app, studio)
    touch(app, "Save: it fails")
    touch(app, "Moved: rate the next swatch")
    before, after = studio.trials()[0].settings.controls(), app.session_state["draft"].proposal.settings.controls()
    touch(app, "It passes, nothing to add: save")
    moved = [control for control, value in after.items() if before[control] != value]
    shown = words(app)
    assert moved
    assert shown.count("class='moved'") == len(moved)
    assert "<td class='failed'>failed</td><td class='passed'>passed</td>" in shown
    assert "<i style='left: 100%'></i></span>+2" in shown


def test_older_swatches_of_a_long_strip_are_counted(app, studio):
    settings = studio.propose(**SEAM).baseline
    for _ in range(11):
        studio.record(**SEAM, settings=settings, passed=False)
    carried(app, studio)
    assert words(app).count("class='failed'") == 8
    assert any("3 earlier swatches are left out" in caption.value for caption in app.caption)


def logged(studio, draft, **more):
    """The swatch of a draft, saved by somebody else: another tab, or a touch that was sent twice."""
    return studio.record(**draft.seam, settings=draft.proposal.settings, trial_id=draft.trial_id, **more)


def test_a_swatch_that_is_saved_a_second_time_is_logged_once_and_that_is_said(app, studio):
    failed(app, studio)
    logged(studio, app.session_state["draft"], passed=True)
    touch(app, "Save: it fails")
    assert [trial.passed for trial in studio.trials()] == [True]
    assert "It was logged already: what was saved first stands" in plainly(app.error[0].value)
    assert "Saved: it passes." in [info.value for info in app.info]


def test_a_swatch_that_was_saved_and_withdrawn_elsewhere_may_be_saved_once_more(app, studio):
    failed(app, studio)
    first = logged(studio, app.session_state["draft"], passed=True)
    studio.withdraw(first.id, "a slip")
    touch(app, "Save: it fails")
    assert studio.trials() == ()
    assert "It was withdrawn meanwhile" in plainly(app.error[0].value)
    touch(app, "Save: it fails")
    assert [(trial.passed, trial.id == first.id) for trial in studio.trials()] == [(False, False)]


def test_a_dial_that_no_longer_reaches_what_was_sewn_is_said_until_it_is_set_anew(app, studio):
    carried(app, studio)
    sewn = app.session_state["draft"].proposal.settings.tension["left needle"]
    studio.add_machine(replace(Machine.generic("bench"), tension=dict.fromkeys(POSITIONS, Dial(0, 3, 0.5, 2))))
    for _ in range(2):
        healthy(app.run())
        assert app.number_input(key="set.tension: left needle").value == 3
        assert f"and lower looper tension stood at {sewn:g}, where the dial goes from 0 to 3 now" in words(app)
    for position in ("left needle", "right needle", "upper looper", "lower looper"):
        app.number_input(key=f"set.tension: {position}").set_value(2.5)
    healthy(app.run())
    assert "stood at" not in words(app)


def test_who_did_sew_at_the_end_of_the_dial_says_so_and_is_told_no_more(app, studio):
    carried(app, studio)
    bench = studio.machines["bench"]
    studio.add_machine(replace(bench, tension=dict.fromkeys(POSITIONS, Dial(0, 3, 0.5, 2))))
    healthy(app.run())
    app.number_input(key="set.tension: left needle").set_value(2.5)
    healthy(app.run())
    app.number_input(key="set.tension: left needle").set_value(3.0)
    healthy(app.run())
    assert "left needle" not in next(html.proto.body for html in app.get("html") if "stood at" in html.proto.body)
    touch(app, "That is right")
    healthy(app.run())
    assert "stood at" not in words(app)
    assert app.number_input(key="set.tension: upper looper").value == 3


def test_a_dial_that_reaches_again_what_was_sewn_stands_there_again(app, studio):
    carried(app, studio)
    bench = studio.machines["bench"]
    sewn = app.number_input(key="set.tension: left needle").value
    for high in (3, 2):
        studio.add_machine(replace(bench, tension=dict.fromkeys(POSITIONS, Dial(0, high, 0.5, 2))))
        healthy(app.run())
    assert app.number_input(key="set.tension: left needle").value == 2
    studio.add_machine(bench)
    healthy(app.run())
    assert app.number_input(key="set.tension: left needle").value == sewn > 3
    assert "stood at" not in words(app)


def test_a_dial_that_the_machine_has_no_more_is_said_and_does_not_stand_in_the_way(app, studio):
    studio.add_machine(replace(Machine.generic("bench"), foot_pressure=Dial(0, 6, 0.5, 3)))
    carried(app, studio)
    studio.add_machine(Machine.generic("bench"))
    healthy(app.run())
    assert "foot pressure stood at 3, for which there is no dial now" in words(app)
    touch(app, "That is right")
    healthy(app.run())
    assert "stood at" not in words(app)
    touch(app, "It passes, nothing to add: save")
    assert [trial.settings.foot_pressure for trial in studio.trials()] == [None]


@pytest.mark.parametrize(
    ("deed", "said"),
    [
        (lambda studio, other: sew(studio), "1 swatch more of this strip was rated elsewhere."),
        (lambda studio, other: studio.withdraw(other.id, "lost"), "1 swatch of this strip was corrected or withdrawn."),
        (lambda studio, other: studio.add_machine(Machine(name="bench", converter=False)), "The profile of bench was changed."),
        (lambda studio, other: sew(studio, fabric=presets()["denim"]), ""),
    ],
)
def test_what_another_tablet_does_to_this_page_is_said_and_nothing_else(studio, deed, said):
    from parts.drafts import Draft
    from parts.meanwhile import _changes, _shown

    other = sew(studio)
    draft = Draft(studio.propose(**SEAM))
    before = _shown(draft, studio)
    deed(studio, other)
    assert " ".join(_changes(draft, studio, before)) == said


@pytest.mark.parametrize(("deed", "said"), [("correct", "corrected or withdrawn"), ("record", "saved")])
def test_what_is_done_elsewhere_to_the_swatch_itself_is_said_and_taken_in(studio, deed, said):
    from parts.drafts import Draft, catch_up
    from parts.meanwhile import _changes, _shown

    draft = Draft(studio.propose(**SEAM))
    if deed == "correct":
        draft.saved = logged(studio, draft, passed=False)
    before = _shown(draft, studio)
    if deed == "correct":
        studio.correct(draft.trial_id, passed=True)
    else:
        logged(studio, draft, passed=True)
    assert f"This swatch was {said} elsewhere." in _changes(draft, studio, before)
    catch_up(draft, studio)
    assert (draft.saved, draft.passed) == (studio.trials()[-1], True)
    assert _changes(draft, studio, _shown(draft, studio)) == []


def test_a_machine_that_can_no_longer_sew_it_does_not_hide_what_was_saved(studio):
    from parts.drafts import Draft, catch_up

    draft = Draft(studio.propose(**SEAM))
    logged(studio, draft, passed=True)
    bench = studio.machines["bench"]
    studio.add_machine(replace(bench, tension={p: dial for p, dial in bench.tension.items() if p != "right needle"}))
    catch_up(draft, studio)
    assert draft.saved == studio.history(draft.trial_id)[-1].trial
    assert draft.following is None
    assert "lacks the right needle" in draft.trouble


def test_ones_own_save_is_nobody_elses(studio):
    from parts.drafts import Draft
    from parts.meanwhile import _look, _shown

    planned = studio.set_aside(**SEAM, settings=studio.propose(**SEAM).settings)
    draft = Draft(studio.propose(**SEAM), pending=planned.id)
    before, version = _shown(draft, studio), studio.version
    studio.record(**draft.seam, settings=planned.settings, passed=True, pending=planned.id, trial_id=draft.trial_id)
    assert _look(draft, studio, version, before) == (False, None, ["This swatch was saved elsewhere."])


def test_a_planned_swatch_that_another_tablet_rates_or_drops_is_said_and_nothing_typed_is_lost(visit, studio):
    proposal = studio.propose(**SEAM)
    mine = studio.set_aside(**SEAM, settings=proposal.settings)
    page = visit("tablet")
    go(page, "Plan swatches")
    press(page, "Sewn: rate it")
    press(page, "It fails")
    page.get_by_text("More: needle, seam length, who, a note").click()
    page.get_by_role("textbox", name="Note").fill("half a sen")
    studio.record(**SEAM, settings=proposal.settings, passed=True, pending=mine.id)
    expect(page.get_by_text("This planned swatch was rated elsewhere: it passes.")).to_be_visible()
    sew(studio)
    expect(page.get_by_text("1 swatch more of this strip was rated elsewhere.")).to_be_visible()
    page.get_by_role("textbox", name="Note").press_sequentially("tence")
    press(page, "Show it")
    expect(page.get_by_role("region", name="This strip so far")).to_be_visible()
    expect(page.get_by_role("textbox", name="Note")).to_have_value("half a sentence")
    expect(page.get_by_text("1 swatch more of this strip")).to_have_count(0)
    press(page, "Put this rating away")
    expect(page.get_by_text("No swatch is being rated.")).to_be_visible()
    mine = studio.set_aside(**SEAM, settings=proposal.settings)
    go(page, "Plan swatches")
    press(page, "Sewn: rate it")
    studio.drop(mine.id)
    expect(page.get_by_text("This planned swatch was taken off the list.")).to_be_visible()
    press(page, "It passes, nothing to add: save")
    assert len(studio.trials()) == 3


def test_a_touch_of_the_bar_that_came_before_its_words_saves_no_pass_where_it_failed(studio):
    from parts.drafts import Draft, pass_as_it_stands, rate

    draft = Draft(studio.propose(**SEAM))
    rate(draft, passed=False)
    pass_as_it_stands(draft, studio)
    assert (draft.passed, draft.saved, studio.trials()) == (False, None, ())
