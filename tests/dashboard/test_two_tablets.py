"""Several tablets and tabs on one studio, and a network that comes and goes: nothing that was typed or saved is lost."""

import re

from parts.follow import EVERY
from playwright.sync_api import expect

from recommender import presets

from .conftest import serving, settle
from .test_browser import go, press, write


def test_what_one_tablet_saves_the_other_shows_without_a_touch(visit, studio):
    first, second = visit("tablet"), visit("desk")
    go(second, "Swatch book")
    expect(second.get_by_text("The book is empty.")).to_be_visible()
    write(first, "Name of the cloth", "rib jersey")
    press(first, "Sew a swatch, then rate it here")
    press(first, "It passes")
    press(first, "Save: it passes")
    expect(second.get_by_role("button", name="rib jersey", exact=True)).to_be_visible()


def test_an_open_card_stays_open_while_another_tablet_saves_and_the_page_follows_once_it_is_closed(visit, studio):
    page = visit("desk")
    write(page, "Name of the cloth", "rib jersey")
    press(page, "Setup card")
    card = page.get_by_role("dialog", name="Setup card")
    expect(card).to_be_visible()
    seam = {"fabric": presets()["denim"], "stitch": "four-thread overlock", "machine": "bench"}
    studio.record(**seam, settings=studio.propose(**seam).settings, passed=True)
    page.wait_for_timeout(1000 * (2 * EVERY + 1))
    expect(card).to_be_visible()
    page.keyboard.press("Escape")
    expect(card).to_have_count(0)
    option = page.get_by_role("option", name="denim (your log)")
    for _ in range(5):  # a list that was opened before the page followed is closed again, or is the old one
        page.get_by_role("combobox", name="Start from").click()
        page.wait_for_timeout(1000)
        if option.count():
            break
        page.keyboard.press("Escape")
    expect(option).to_be_visible()


def test_two_tablets_that_rate_one_strip_at_once_lose_nothing(visit, studio):
    tablets = visit("tablet"), visit("desk")
    for page, verdict in zip(tablets, ("It passes", "It fails"), strict=True):
        write(page, "Name of the cloth", "rib jersey")
        press(page, "Sew a swatch, then rate it here")
        press(page, verdict)
    for page, save in zip(tablets, ("Save: it passes", "Save: it fails"), strict=True):
        page.get_by_role("button", name=save).click(no_wait_after=True)
    for page in tablets:
        expect(page.get_by_text(re.compile("^Saved: it"))).to_be_visible()
    assert sorted(trial.passed for trial in studio.trials()) == [False, True]


def test_one_draft_in_two_tabs_of_a_browser_is_logged_once(visit, studio):
    one = visit("tablet")
    press(one, "Sew a swatch, then rate it here")
    press(one, "It passes")
    other = one.context.new_page()
    other.set_default_timeout(20_000)
    other.goto(one.url)
    settle(other)
    press(one, "Save: it passes")
    other.get_by_role("button", name="Save: it passes").click()
    expect(other.get_by_text("Saved: it passes.")).to_be_visible()
    assert len(studio.trials()) == 1


def test_reload_and_the_back_button_lose_nothing_that_was_typed(visit, studio):
    page = visit("tablet")
    write(page, "Name of the cloth", "rib jersey")
    page.reload()
    settle(page)
    expect(page.get_by_role("textbox", name="Name of the cloth")).to_have_value("rib jersey")
    press(page, "Sew a swatch, then rate it here")
    press(page, "It fails")
    press(page, "stretched, wavy")
    page.reload()
    settle(page)
    expect(page.get_by_text("How the edge lies: stretched, wavy (+2)")).to_be_visible()
    page.go_back()
    expect(page.get_by_role("heading", level=1, name="New fabric")).to_be_visible()
    page.go_forward()
    expect(page.get_by_text("How the edge lies: stretched, wavy (+2)")).to_be_visible()


def test_a_network_that_drops_for_a_moment_loses_nothing_that_was_typed(visit, studio):
    page = visit("tablet")
    press(page, "Sew a swatch, then rate it here")
    press(page, "It fails")
    press(page, "stretched, wavy")
    page.context.set_offline(True)
    page.wait_for_timeout(800)
    page.context.set_offline(False)
    press(page, "Save: it fails")
    expect(page.get_by_text("Saved: it fails.")).to_be_visible()
    assert [dict(trial.readings) for trial in studio.trials()] == [{"edge_lie": 2.0}]


def test_a_server_that_is_started_again_finds_the_draft_and_what_was_typed(browser, studio, where, tmp_path):
    context = browser.new_context(viewport={"width": 820, "height": 1180})
    page = context.new_page()
    page.set_default_timeout(30_000)
    with serving(where, tmp_path) as address:
        page.goto(address)
        settle(page)
        write(page, "Name of the cloth", "rib jersey")
        press(page, "Sew a swatch, then rate it here")
        press(page, "It fails")
        press(page, "stretched, wavy")
    with serving(where, tmp_path, port=int(address.rpartition(":")[2])):
        page.reload()
        settle(page)
        expect(page.get_by_text("How the edge lies: stretched, wavy (+2)")).to_be_visible()
        press(page, "Save: it fails")
        expect(page.get_by_text("Saved: it fails.")).to_be_visible()
    context.close()
    (trial,) = studio.trials()
    assert (trial.fabric.name, dict(trial.readings)) == ("rib jersey", {"edge_lie": 2.0})
