"""What has to be done to the machine before a swatch is sewn stands where the swatch is rated, whichever way led there."""

from playwright.sync_api import expect

from recommender import Thread

from .test_browser import go
from .test_pages import SEAM, carried, healthy, press, words

WIDE = {"stitch": "three-thread overlock wide"}


def sewn(studio, **more):
    studio.record(**SEAM | more, settings=studio.propose(**SEAM | more).settings, passed=True)


def folded(app):
    return [fold.label for fold in app.expander if fold.label.startswith("Before you sew")]


def test_a_machine_that_has_sewn_nothing_is_prepared_from_the_first_step_on_and_what_is_ticked_stays_ticked(app, studio):
    healthy(app.run())
    app.checkbox[0].check()
    carried(app, studio)
    assert folded(app) == ["Before you sew: prepare the machine"]
    assert app.checkbox[0].label.startswith("Switch the machine off and unplug it")
    assert [box.value for box in app.checkbox].count(True) == 1


def test_the_checklist_of_a_planned_swatch_sets_the_planned_numbers(app, studio):
    planned = studio.propose(**SEAM).settings.having({"differential": 1.9, "tension: upper looper": 7})
    studio.set_aside(**SEAM, settings=planned)
    healthy(app.run())
    healthy(app.switch_page("app_pages/plan_swatches.py").run())
    press(app, "Sewn: rate it")
    healthy(app.switch_page("app_pages/rate_a_swatch.py").run())
    (under,) = words(app).split("<div class='under'>")[1:]
    assert [f"<dd>{value:g}" in under for value in planned.controls().values()] == [True] * len(planned.controls())


def test_a_machine_that_stands_for_another_stitch_is_changed_over_by_orders(app, studio):
    sewn(studio, **WIDE)
    carried(app, studio)
    assert folded(app) == ["Before you sew: 1 thread and 1 needle to change"]
    shown = words(app)
    assert shown.index("Switch the machine off and unplug it.") < shown.index("<li>Put the right needle in: ")
    assert "<li>Set the dials to the numbers below.<div class='caution'" in shown
    assert shown.index("then plug in") < shown.index("<li>Sew a swatch from the cloth itself")
    assert "Needles: <strong>80/12, light ball point</strong>; threads 27 tex polyester, spun." in shown


def test_of_a_machine_that_stands_as_it_should_only_needle_and_threads_are_named(app, studio):
    sewn(studio)
    carried(app, studio)
    assert folded(app) == []
    assert "Needles: <strong>" in words(app)


def test_a_setting_sewn_again_from_the_book_is_not_rated_without_its_orders_and_threads(visit, studio):
    sewn(studio, **WIDE, looper_thread=Thread(tex=18, kind="textured"))
    sewn(studio)
    page = visit("tablet")
    go(page, "Swatch book")
    page.locator("[class*=st-key-opens_] button").first.click()
    page.locator("[class*=st-key-best_]", has_text="three-thread overlock wide").get_by_role("button", name="Sew this again").click()
    expect(page.get_by_text("needle thread 27 tex polyester, spun, looper thread 18 tex polyester, textured.")).to_be_visible()
    page.get_by_text("Before you sew: 3 threads and 1 needle to change").click()
    expect(page.get_by_text("Leave the right needle's place empty, and tighten its screw again")).to_be_visible()
