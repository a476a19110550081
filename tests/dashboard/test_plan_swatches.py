"""Plan swatches: from a plan onto the list, from the list to a rating, and off the list again."""

from dataclasses import replace

import pytest
from playwright.sync_api import expect

from recommender import Dial, Machine
from recommender.advice.watching.drift import Suspect
from recommender.cards.card import FIRST, UNPLUG
from recommender.trade.asked import asking
from recommender.trade.words import day
from tests.dashboard.conftest import settle
from tests.dashboard.test_browser import go, well_laid
from tests.dashboard.test_browser import press as touch
from tests.dashboard.test_pages import JERSEY, SEAM, healthy, press, words

PAGE = "app_pages/plan_swatches.py"
HOSTILE = "<b>cloth</b> *x*"


@pytest.fixture
def page(app):
    def plan_swatches():
        healthy(app.run())
        return healthy(app.switch_page(PAGE).run())

    return plan_swatches


@pytest.fixture
def sewn(studio):
    """Two swatches of two cloths, one with a name that would be markup if it were not text."""
    for name, stitch in (("plain poplin", "four-thread overlock"), (HOSTILE, "three-thread overlock wide")):
        seam = SEAM | {"fabric": replace(JERSEY, name=name), "stitch": stitch}
        studio.record(**seam, settings=studio.propose(**seam).baseline, passed=False, readings={"edge_lie": 1})
    return studio


def test_without_a_machine_the_page_says_what_to_do_first(app, where):
    healthy(app.run())
    healthy(app.switch_page(PAGE).run())
    assert "There is none here yet" in app.info[0].value


def test_the_seam_on_new_fabric_can_be_planned_before_anything_is_logged(page, studio):
    app = page()
    assert app.selectbox(key="plan.seam").value.endswith("(on New fabric)")
    press(app, "Make the plan")
    shown = words(app)
    assert shown.count("<dl class='setting'>") == 3
    assert "narrow the 80 % bands of this cloth by" in shown
    assert "Too few ratings to say how often it passes (0 so far)" in shown


def test_a_machine_that_has_drifted_is_told_where_swatches_wait_for_it_or_are_planned_on_it(page, sewn, drifted):
    drifted(Suspect("differential", False, 0.9))
    sewn.add_machine(Machine.generic("attic"))
    told = "bench: the differential feed most likely gathers less than its number says"
    app = page()
    assert told not in words(app)
    press(app, "Make the plan")
    assert words(app).count(told) == 1
    assert "attic: " not in words(app)
    seam = SEAM | {"machine": "attic"}
    sewn.set_aside(**seam, settings=sewn.propose(**seam).baseline)
    healthy(app.run())
    assert words(app).count("attic: the differential feed") == 1


def test_the_plan_is_that_of_the_studio_and_goes_onto_the_list_once(page, sewn):
    app = page()
    app.selectbox(key="plan.seam").set_value("plain poplin, four-thread overlock on bench")
    press(app, "Make the plan")
    planned = sewn.next(3, **SEAM | {"fabric": replace(JERSEY, name="plain poplin")})
    shown = words(app)
    for swatch in planned:
        assert swatch.reason in shown
    press(app, "Put all 3 on the list")
    assert [one.settings for one in sewn.pending()] == [swatch.settings for swatch in planned]
    assert [one.reason for one in sewn.pending()] == [swatch.reason for swatch in planned]
    assert not [button for button in app.button if button.label.startswith("Put")]
    assert [caption.value for caption in app.caption].count("On the list.") == 3


def test_what_a_plan_is_for_changes_it(page, sewn):
    app = page()
    app.selectbox(key="plan.seam").set_value("plain poplin, four-thread overlock on bench")
    seam = SEAM | {"fabric": replace(JERSEY, name="plain poplin")}
    press(app, "Make the plan")
    both = words(app)
    app.segmented_control(key="plan.aim").set_value("to learn most")
    press(app, "Make the plan")
    assert words(app) != both
    assert sewn.next(3, **seam, learning=float("inf"))[0].reason in words(app)


def test_a_free_hour_is_planned_for_the_ticked_cloths_alone(page, sewn):
    app = page()
    app.segmented_control(key="plan.kind").set_value("a free hour")
    healthy(app.run())
    app.multiselect(key="plan.stash").set_value([HOSTILE])
    app.number_input(key="plan.number").set_value(2)
    press(app, "Make the plan")
    shown = words(app)
    assert "&lt;b&gt;cloth&lt;/b&gt; *x*, three-thread overlock wide on bench" in shown
    assert HOSTILE not in shown
    assert "plain poplin," not in shown
    assert "of the cloths at hand" in shown


def test_an_empty_stash_is_said_in_a_sentence(page, studio):
    app = page()
    app.segmented_control(key="plan.kind").set_value("a free hour")
    healthy(app.run())
    press(app, "Make the plan")
    assert "no cloth to sew" in app.error[0].value


def aside(studio, stitch, **more):
    seam = SEAM | {"stitch": stitch} | more
    settings = studio.propose(**seam).baseline
    return studio.set_aside(**seam, settings=settings.having({"length": settings.length + 0.5}), reason="It <i>tells</i> most.")


def test_a_planned_swatch_that_is_half_rated_goes_on_where_it_was_left(page, sewn):
    first, second = (aside(sewn, stitch) for stitch in ("four-thread overlock", "three-thread overlock wide"))
    app = page()
    for one in (first, first, second):
        healthy(app.switch_page(PAGE).run())
        app.button(key=f"rate.{one.id}").click()
        healthy(app.run())
        assert ("half rated" in " ".join(info.value for info in app.info)) is (one == second)
        assert app.session_state["draft"].pending == first.id
        if one == first and app.session_state["draft"].passed is None:
            press(app, "It fails")
        assert app.session_state["draft"].passed is False


def test_the_list_stands_in_the_order_that_spares_work_and_says_what_to_change(page, sewn):
    """The machine stands for the three-thread overlock: what is sewn with it comes first."""
    first = aside(sewn, "four-thread overlock")
    aside(sewn, "three-thread overlock wide")
    aside(sewn, "four-thread overlock")
    shown = words(page())
    assert first.entry == f"rib jersey, four-thread overlock on bench, planned {day(first.when)}"
    assert f"<b>2. rib jersey</b> <span class='quiet'>planned {day(first.when)}</span>" in shown, "its seam stands above it"
    heads = [part.split("</h3>")[0] for part in shown.split("<h3 class='setup'>")[1:]]
    assert heads == ["three-thread overlock wide on bench", "four-thread overlock on bench"]
    assert "Needles, threads and parts stay as they are." in shown
    assert "<li>Switch the machine off and unplug it.</li><li>Raise the presser foot" in shown
    assert "<li>Put the right needle in: 80/12, light ball point.<div class='caution'" in shown
    assert (
        "<li>Thread the right needle with 27 tex polyester, spun; leave about 100 mm under the foot to the back."
        "<div class='caution' role='note'><b>Caution, needle:</b>" in shown
    )
    assert shown.count("Hold the needle by its shank") == 1
    assert "lay a scrap of cloth" not in shown, "no needle is taken out"
    assert "It &lt;i&gt;tells&lt;/i&gt; most." in shown
    assert "A metre of this seam takes about" in shown


def test_every_swatch_of_the_list_names_its_needle_and_a_change_of_needle_is_ordered_where_it_is_due(page, sewn):
    lawn = replace(JERSEY, name="lawn", construction="woven", gsm=70, stretch=0)
    wide = "three-thread overlock wide"
    aside(sewn, wide)
    aside(sewn, wide, fabric=lawn)
    aside(sewn, wide, fabric=replace(lawn, name="voile"))
    app = page()
    first, second, third = words(app).split("<div class='lead'><b>")[1:4]
    assert "Needle: <strong>80/12, light ball point</strong>" in first
    assert "Needle: <strong>70/10, fine sharp</strong>" in second
    assert "Needle: <strong>70/10, fine sharp</strong>" in third
    assert second.index("<li>Switch the machine off and unplug it.</li>") < second.index("<li>Unthread the left needle.")
    assert "<li>Put the left needle in: 70/10, fine sharp." in second
    assert "<li>" not in first + third
    assert "1 needle to change in all" in " ".join(caption.value for caption in app.caption)


def test_the_list_speaks_in_the_chosen_units_shows_the_presser_foot_and_cautions_in_two_lines(page, sewn):
    sewn.add_machine(replace(Machine.generic("bench"), foot_pressure=Dial(0, 6, 0.5, 2.5)))
    one = aside(sewn, "four-thread overlock")
    app = page()
    assert "<dt>foot pressure</dt><dd>2.5</dd>" in words(app)
    assert f"<dd>{one.settings.length:g} <small>mm</small></dd>" in words(app)
    app.session_state["units"], app.session_state["thread_unit"] = "imperial", "Nm"
    shown = words(healthy(app.run()))
    assert f"<dd>{one.settings.length:g} <small>mm; {25.4 / one.settings.length:.1f} per inch</small></dd>" in shown
    assert "A yard of this seam takes about" in shown
    assert "with 37 Nm polyester, spun; leave" in shown
    first = shown.split("<div class='caution' role='note'>")[1].split("</div>")[0]
    assert first == f"<b>Caution:</b> {UNPLUG} Turn what moves the knife or the feed only while the machine stands still. {FIRST}"


def test_a_swatch_is_rated_straight_from_the_list_with_its_settings_and_leaves_it(page, sewn):
    one = aside(sewn, "four-thread overlock")
    app = page()
    press(app, "Sewn: rate it")
    healthy(app.switch_page("app_pages/rate_a_swatch.py").run())
    assert app.session_state["set.length"] == one.settings.length
    press(app, "It passes")
    press(app, "Save: it passes")
    assert sewn.trials()[-1].settings.controls() == one.settings.controls()
    assert sewn.pending() == ()
    press(app, "That was a mistake: take it back")
    assert [waits.id for waits in sewn.pending()] == [one.id]
    press(app, "Save: it passes")
    assert sewn.pending() == ()


def test_a_swatch_can_be_taken_off_the_list(page, sewn):
    one = aside(sewn, "four-thread overlock")
    app = page()
    press(app, "Take it off the list")
    assert sewn.pending() == ()
    told = words(app).split("Off the list: rib jersey")[1]
    assert f"<dt>stitch length</dt><dd>{one.settings.length:g} <small>" in told, "two of one seam are told apart by what they set"
    assert not [button for button in app.button if button.key in {f"rate.{one.id}", f"drop.{one.id}"}]


def test_a_swatch_that_was_taken_off_is_told_of_in_its_place_and_can_be_put_back(page, sewn):
    first, second, third = (aside(sewn, "three-thread overlock wide", fabric=replace(JERSEY, name=name)) for name in ("a", "b", "c"))
    app = page()
    app.button(key=f"drop.{second.id}").click()
    shown = words(healthy(app.run()))
    told = "Off the list: b, three-thread overlock wide on bench."
    assert shown.index("<b>1. a</b>") < shown.index(told) < shown.index("<b>2. c</b>")
    app.button(key=f"drop.{first.id}").click()
    shown = words(healthy(app.run()))
    assert shown.index("Off the list: a,") < shown.index(told) < shown.index("<b>1. c</b>")
    app.button(key=f"back.{second.id}").click()
    assert told not in words(healthy(app.run()))
    again = sewn.pending()[-1]
    assert (again.name, again.settings, again.reason) == (second.name, second.settings, second.reason)
    assert [one.id for one in sewn.pending()] == [third.id, again.id]


def test_the_last_swatch_of_the_list_can_be_put_back_too_while_the_page_is_open(page, sewn):
    one = aside(sewn, "four-thread overlock")
    app = page()
    press(app, "Take it off the list")
    assert app.header[0].value == "To sew: nothing"
    healthy(app.switch_page("app_pages/machines.py").run())
    healthy(app.switch_page(PAGE).run())
    assert "Off the list" not in words(app)
    again = sewn.set_aside(**SEAM, settings=one.settings)
    healthy(app.run())
    app.button(key=f"drop.{again.id}").click()
    healthy(app.run())
    press(app, "Put it back on the list")
    assert [waits.settings for waits in sewn.pending()] == [one.settings]


def test_a_swatch_that_is_half_rated_goes_with_it_when_it_is_put_back(page, sewn):
    one = aside(sewn, "four-thread overlock")
    app = page()
    app.button(key=f"rate.{one.id}").click()
    healthy(app.run())
    press(app, "It passes")
    healthy(app.switch_page(PAGE).run())
    app.button(key=f"drop.{one.id}").click()
    healthy(app.run())
    press(app, "Put it back on the list")
    (again,) = sewn.pending()
    assert (again.id == one.id, app.session_state["draft"].pending) == (False, again.id)


def test_what_another_tablet_has_rated_is_neither_dropped_nor_put_back(page, sewn):
    one = aside(sewn, "four-thread overlock")
    app = page()
    sewn.record(**asking(one), settings=one.settings, passed=True, pending=one.id)
    app.button(key=f"drop.{one.id}").click()
    healthy(app.run())
    assert f"{one.name}: it was rated meanwhile, on another tablet." in words(app)
    assert not [button for button in app.button if button.label == "Put it back on the list"]
    sewn.withdraw(sewn.trials()[-1].id, "a mistake")
    assert [waits.id for waits in sewn.pending()] == [one.id], "it was not taken off"


def test_the_plan_tells_a_swatch_that_was_sewn_from_one_that_was_taken_off_and_puts_that_on_again(page, sewn):
    app = page()
    app.selectbox(key="plan.seam").set_value("plain poplin, four-thread overlock on bench")
    press(app, "Make the plan")
    press(app, "Put all 3 on the list")
    first, second, third = sewn.pending()
    sewn.record(**asking(first), settings=first.settings, passed=True, pending=first.id)
    app.button(key=f"drop.{second.id}").click()
    healthy(app.run())
    captions = [caption.value for caption in app.caption]
    assert captions[-3:] == ["Sewn.", "Taken off the list.", "On the list."]
    press(app, "Put it on the list again")
    assert [one.settings for one in sewn.pending()] == [third.settings, second.settings]
    assert [caption.value for caption in app.caption][-3:] == ["Sewn.", "On the list.", "On the list."]
    assert "Off the list" not in words(app)
    app.button(key=f"drop.{third.id}").click()
    healthy(app.run())
    press(app, "Put it back on the list")
    assert len(sewn.pending()) == 2
    assert [caption.value for caption in app.caption][-3:] == ["Sewn.", "On the list.", "On the list."]


def test_a_swatch_that_another_tablet_took_off_is_told_of_in_a_sentence(page, sewn):
    one = aside(sewn, "four-thread overlock")
    app = page()
    sewn.drop(one.id, "no cloth left")
    press(app, "Take it off the list")
    assert f"{one.name}: planned swatch" in words(app)
    assert "dropped before (no cloth left)" in words(app)
    press(app, "Put it back on the list")
    assert [waits.settings for waits in sewn.pending()] == [one.settings]


@pytest.mark.parametrize("size", ["desk", "tablet"])
def test_from_the_plan_to_the_rating_in_a_browser(visit, sewn, size):
    page = visit(size)
    go(page, "Plan swatches")
    touch(page, "Make the plan")
    well_laid(page)
    touch(page, "Put all 3 on the list")
    page.get_by_role("heading", name="To sew: 3 swatches").wait_for()
    well_laid(page)
    page.get_by_role("button", name="Sewn: rate it").first.click()
    page.get_by_role("heading", level=1, name="Rate a swatch").wait_for()
    settle(page)
    touch(page, "It passes")
    touch(page, "Save: it passes")
    assert len(sewn.pending()) == 2
    page.get_by_role("link", name="Back to the planned swatches").click()
    page.get_by_role("heading", name="To sew: 2 swatches").wait_for()


def test_what_is_said_of_a_swatch_that_was_taken_off_is_in_sight_though_its_orders_went_with_it(visit, sewn):
    for stitch in ("three-thread overlock wide", "four-thread overlock", "two-thread overlock", "rolled hem"):
        aside(sewn, stitch)
    page = visit("tablet")
    go(page, "Plan swatches")
    page.get_by_role("button", name="Take it off the list").nth(2).click()
    expect(page.get_by_role("status").filter(has_text="Off the list:")).to_be_in_viewport()
    settle(page)
    expect(page.get_by_role("button", name="Put it back on the list")).to_be_in_viewport()
    well_laid(page)
    touch(page, "Put it back on the list")
    page.get_by_role("heading", name="To sew: 4 swatches").wait_for()
