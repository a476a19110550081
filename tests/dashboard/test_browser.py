"""The whole loop as a sewer goes through it, in a browser."""

import re

import pytest
from playwright.sync_api import Page, expect

from recommender import Fabric, Studio

from .conftest import SIZES, settle

TOO_SMALL = """() => {
    const touched = '[data-testid=stMain] button, [data-testid=stBottom] button, [data-testid=stMain] input, [data-testid=stTopNavLink]';
    const aside = '.stTooltipIcon, [data-testid=stNumberInputClearButton], [data-testid=stFileUploaderDropzoneInput]';
    // never needed: help, emptying a field, and what a button opens
    const frame = '[role=group], [data-testid=stNumberInputContainer], [data-testid=stTextInputRootElement], label';
    return [...document.querySelectorAll(touched)]
        .filter(e => e.offsetParent && !e.closest(aside))
        .map(e => [e.textContent || e.ariaLabel, (e.tagName == 'INPUT' || e.closest('.stSelectbox') ? e.closest(frame) : null) || e])
        .map(([name, e]) => [name, e.getBoundingClientRect().height])
        .filter(([_, height]) => height < 44);
}"""
"""Names and heights of what is to be touched and is smaller than a fingertip, 44 px."""


def press(page: Page, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).click()
    settle(page)


def go(page: Page, title: str) -> None:
    page.get_by_role("link", name=title, exact=True).first.click()
    expect(page.get_by_role("heading", level=1, name=title)).to_be_visible()
    settle(page)


def write(page: Page, label: str, text: str) -> None:
    page.get_by_role("textbox", name=label, exact=True).fill(text)
    page.keyboard.press("Tab")
    settle(page)


def proposed(page: Page, control: str) -> float:
    """The setting that the drawing of a control says."""
    told = page.get_by_role("img", name=re.compile(f"^{control}, scale from")).get_attribute("aria-label")
    return float(re.search(r"set ([0-9.]+),", told)[1])


def well_laid(page: Page) -> None:
    """Nothing sticks out sideways, nothing is too small to touch, no fault of the program is shown."""
    assert page.evaluate("document.querySelector('[data-testid=stMain]').scrollWidth <= document.documentElement.clientWidth")
    expect(page.get_by_test_id("stException")).to_have_count(0)
    assert not page.evaluate(TOO_SMALL)


@pytest.mark.parametrize("size", SIZES)
def test_the_loop_from_a_new_fabric_to_a_better_proposal(visit, where, size):
    page = visit(size)
    page.get_by_role("textbox", name="What do you call it?").fill("bench")
    press(page, "Add this machine")
    write(page, "Name of the cloth", "rib jersey")
    write(page, "Weight, g/m2", "6.5 oz/yd2")
    first = proposed(page, "differential")
    well_laid(page)

    press(page, "Sew a swatch, then rate it here")
    expect(page.get_by_role("heading", level=1, name="Rate a swatch")).to_be_visible()
    well_laid(page)
    press(page, "It fails")
    press(page, "stretched, wavy")
    press(page, "ladders when opened: a little")
    well_laid(page)
    press(page, "Save: it fails")
    expect(page.get_by_role("listitem").filter(has_text="ifferential")).to_contain_text(" up ")
    well_laid(page)

    press(page, "Moved: rate the next swatch")
    press(page, "It passes")
    press(page, "Save: it passes")
    expect(page.get_by_text("Saved: it passes.")).to_be_visible()

    go(page, "New fabric")
    expect(page.get_by_role("textbox", name="Name of the cloth")).to_have_value("rib jersey")
    assert proposed(page, "differential") > first
    go(page, "What matters")
    expect(page.get_by_role("img", name=re.compile("from 1 swatch$"))).to_be_visible()
    well_laid(page)

    with Studio.open(where) as studio:
        trials = sorted(studio.trials(), key=lambda trial: trial.when)
    assert [trial.passed for trial in trials] == [False, True]
    assert dict(trials[0].readings) == {"edge_lie": 2.0, "needle_line": -1.0}
    assert trials[0].settings.differential == first < trials[1].settings.differential
    assert round(trials[0].fabric.gsm) == 220


def test_two_quick_touches_of_save_log_one_swatch(visit, studio):
    page = visit("tablet")
    press(page, "Sew a swatch, then rate it here")
    press(page, "It passes")
    page.get_by_role("button", name="Save: it passes").dblclick()
    settle(page)
    expect(page.get_by_text("Saved: it passes.")).to_be_visible()
    assert len(studio.trials()) == 1


def test_a_hostile_name_is_text_everywhere_and_asks_nobody(visit, studio):
    name = '<img src=x onerror="alert(1)"> **b** ![i](http://192.0.2.1/i.png) $x$ :tada:'
    page = visit("desk")
    page.on("dialog", lambda dialog: pytest.fail("a script of the name ran"))
    write(page, "Name of the cloth", name)
    press(page, "Sew a swatch, then rate it here")
    expect(page.get_by_text(name)).to_be_visible()
    press(page, "It passes")
    press(page, "Save: it passes")
    expect(page.get_by_text(name)).to_be_visible()
    go(page, "New fabric")
    write(page, "Weight, g/m2", f"{name[:30]}![i](http://192.0.2.1/i.png)")
    expect(page.get_by_test_id("stAlert").filter(has_text="weight")).to_contain_text("![i](http://192.0.2.1")
    expect(page.locator("[data-testid=stMain] img")).to_have_count(0)
    assert studio.trials()[0].fabric.name == name


def test_a_drawing_is_touched_anywhere_on_its_card(visit, studio):
    page = visit("tablet")
    press(page, "Sew a swatch, then rate it here")
    press(page, "It fails")
    page.get_by_role("img", name="How the edge lies, -2: gathered, puckered", exact=True).click(force=True)
    settle(page)
    expect(page.get_by_text("How the edge lies: gathered, puckered (-2)")).to_be_visible()


def test_a_second_tablet_sees_what_the_first_has_logged(visit, studio):
    first, second = visit("tablet"), visit("desk")
    press(first, "Sew a swatch, then rate it here")
    press(first, "It passes")
    press(first, "Save: it passes")
    go(second, "What matters")
    expect(second.get_by_text("From 1 logged swatch.")).to_be_visible()
    cloth = Fabric(name="scrap", construction="woven", fibre="cotton", gsm=130)
    proposal = studio.propose(fabric=cloth, stitch="rolled hem", machine="bench")
    studio.record(fabric=cloth, stitch="rolled hem", machine="bench", settings=proposal.settings, passed=True)
    go(second, "New fabric")
    go(second, "What matters")
    expect(second.get_by_text("From 2 logged swatches.")).to_be_visible()
