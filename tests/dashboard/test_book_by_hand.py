"""The swatch book by hand, in a browser: opened, left by the back button and by the navigation, a swatch withdrawn."""

import pytest
from playwright.sync_api import expect

from .conftest import settle
from .test_browser import well_laid
from .test_swatch_book import NAME, VOILE, sew


def test_the_book_is_walked_by_hand_and_by_the_back_button(visit, studio):
    sew(studio, day=1)
    trial = sew(studio, VOILE, passed=False)
    page = visit("tablet")
    page.on("dialog", lambda dialog: pytest.fail("a script of the name ran"))
    page.get_by_role("link", name="Swatch book", exact=True).first.click()
    settle(page)
    page.get_by_text("Narrow it down").click()
    well_laid(page)
    page.get_by_role("button", name=NAME, exact=True).click()
    settle(page)
    well_laid(page)
    expect(page.get_by_role("heading", level=1, name=NAME, exact=True)).to_be_visible()
    page.reload()
    settle(page)
    expect(page.get_by_role("heading", level=1, name=NAME, exact=True)).to_be_visible()
    page.go_back()
    settle(page)
    expect(page.get_by_role("heading", level=1, name="Swatch book")).to_be_visible()
    page.get_by_role("searchbox", name="Find a cloth").press_sequentially("voi")
    expect(page.get_by_role("button", name=NAME, exact=True)).to_have_count(0)
    page.goto(f"{page.url}?trial={trial.id}")
    settle(page)
    expect(page.get_by_role("heading", level=1, name="voile")).to_be_visible()
    page.get_by_role("radio", name="Withdraw").click()
    settle(page)
    why = page.get_by_role("combobox", name="Why?")
    why.fill("lost on the way")
    why.press("Enter")
    settle(page)
    page.get_by_role("button", name="Withdraw this swatch").click()
    settle(page)
    expect(page.get_by_text("lost on the way").first).to_be_visible()
    well_laid(page)
    assert [one.id for one in studio.withdrawn()] == [trial.id]
    expect(page.locator("[data-testid=stMain] img")).to_have_count(0)


def test_the_pages_own_link_in_the_navigation_leads_from_an_open_swatch_to_the_list(visit, studio):
    trial = sew(studio, VOILE)
    page = visit("desk")
    link = page.get_by_role("link", name="Swatch book", exact=True).first
    link.click()
    settle(page)
    for what, value in (("fabric", "voile"), ("trial", trial.id)):
        page.goto(f"{page.url.partition('?')[0]}?{what}={value}")
        expect(page.get_by_role("heading", level=1, name="voile")).to_be_visible()
        settle(page)
        link.click()
        expect(page.get_by_role("heading", level=1, name="Swatch book")).to_be_visible()
        assert "?" not in page.url
    page.go_back()
    expect(page.get_by_role("heading", level=1, name="voile")).to_be_visible()


def test_on_a_phone_the_list_of_pages_gives_way_when_the_open_page_is_chosen(visit, studio):
    sew(studio, VOILE)
    page = visit("phone")
    page.goto(f"{page.url}swatch_book?fabric=voile")
    settle(page)
    page.get_by_test_id("stExpandSidebarButton").click()
    page.get_by_test_id("stSidebarNavLink").filter(has_text="Swatch book").click()
    expect(page.get_by_role("heading", level=1, name="Swatch book")).to_be_visible()
    expect(page.get_by_test_id("stSidebarNavLink").first).not_to_be_in_viewport()
