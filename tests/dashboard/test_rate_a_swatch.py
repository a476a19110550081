"""Rate a swatch: two touches, a photo that may be bad, one control more, the strip so far."""

import importlib
import io
from types import SimpleNamespace

import pytest
from PIL import Image
from playwright.sync_api import expect

from recommender.advice.moves import Move

from .conftest import settle
from .test_browser import press
from .test_new_fabric import choose, plainly
from .test_pages import SEAM, carried, healthy, words
from .test_pages import press as touch


def picture(kind="JPEG"):
    written = io.BytesIO()
    Image.new("RGB", (90, 60), "white").save(written, kind)
    return written.getvalue()


def add(app, name, bytes_):
    app.file_uploader[0].set_value((name, bytes_, "image/jpeg"))
    return healthy(app.run())


def failed(app, studio):
    carried(app, studio)
    touch(app, "It fails")
    app.button(key="step_edge_lie_2").click()
    healthy(app.run())


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


def test_after_a_fail_one_control_more_is_told_and_after_a_pass_none(app, studio):
    failed(app, studio)
    touch(app, "Save: it fails")
    found = studio.one_more(app.session_state["draft"].following)
    assert (found.further.sentence if found else "stands where it is best") in words(app)
    touch(app, "Moved: rate the next swatch")
    touch(app, "It passes, nothing to add: save")
    assert "class='further'" not in words(app)


@pytest.mark.parametrize(
    ("gain", "known", "told"), [(0.1, True, "80% of the time; without it 70%"), (0, True, "not worth it"), (0.1, False, "too few")]
)
def test_what_one_control_more_gains_is_said_as_far_as_it_is_known(monkeypatch, gain, known, told):
    part = importlib.import_module("parts.further")
    said = []
    monkeypatch.setattr(part.st, "html", said.append)
    monkeypatch.setattr(part, "move_words", lambda move: move.sentence)
    moves = (Move("width", 5, 6), Move("differential", 1, 1.5))
    found = SimpleNamespace(further=moves[0], moves=moves, pass_chance=0.7 + gain)
    proposal = SimpleNamespace(chance_known=known, pass_chance=0.7, moves=(Move("differential", 1, 1.25),))
    part.show_one_more(proposal, SimpleNamespace(one_more=lambda _: found))
    assert told in said[0]
    assert ("Then also: differential feed to 1.5." in said[0]) is (gain > 0)


def test_where_no_further_control_would_move_that_is_said(monkeypatch):
    part = importlib.import_module("parts.further")
    said = []
    monkeypatch.setattr(part.st, "html", said.append)
    part.show_one_more(SimpleNamespace(moves=()), SimpleNamespace(one_more=lambda _: None))
    assert "stands where it is best" in said[0]


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


def test_who_thinks_in_inches_sets_the_dials_marks(app, studio):
    healthy(app.run())
    choose(app, "Units", "imperial")
    carried(app, studio)
    length = app.selectbox(key="set.length")
    assert "10.2 (2.5 mm)" in length.options
    length.set_value(2.5)
    touch(app, "It passes, nothing to add: save")
    assert studio.trials()[0].settings.length == 2.5
