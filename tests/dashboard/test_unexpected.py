"""What nobody foresaw, on a page, in a touch and in a piece of a page: a sentence with a mark, which the server's log has too."""

import re
import shutil
from pathlib import Path

import pytest
from playwright.sync_api import expect

from recommender.errors import InvalidValue

from .conftest import DASHBOARD, SIZES, serving, settle
from .test_browser import go, press


@pytest.fixture
def broken(tmp_path, where, studio):
    """A dashboard of which a page, a touch and a drawing fail, and what its server says."""
    dashboard = Path(shutil.copytree(DASHBOARD, tmp_path / "dashboard", ignore=shutil.ignore_patterns("__pycache__")))
    for file, line, instead in (
        ("app_pages/what_matters.py", "desk = studio()\n", "desk = studio()\n1 / 0\n"),
        ("parts/drafts.py", "    draft.passed, draft.trouble = passed", "    1 / (not passed)\n    draft.passed, draft.trouble = passed"),
        (
            "parts/reading_cards.py",
            "    score, sewn = draft.readings.get(name), draft.proposal.stitch\n    near",
            "    score, sewn = draft.readings.get(name), draft.proposal.stitch\n    1 / (score is None)\n    near",
        ),
    ):
        text = (dashboard / file).read_text(encoding="utf-8")
        assert text.count(line) == 1
        (dashboard / file).write_text(text.replace(line, instead), encoding="utf-8")
    with serving(where, tmp_path, dashboard) as address:
        yield address, tmp_path / "server.log"


def told(page, log):
    """The sentence on the page, whose mark stands in the server's log beside the traceback."""
    alert = page.get_by_test_id("stAlert").filter(has_text="the program does not know").first
    expect(alert).to_be_visible()
    words = alert.inner_text()
    mark = re.search(r"under ([0-9a-f]{6})\.", words)[1]
    said = log.read_text()
    assert re.search(rf"reference {mark}\n(?s:.*)ZeroDivisionError", said)
    assert "ZeroDivisionError" not in page.content()
    assert "Traceback" not in page.content()
    expect(page.get_by_test_id("stException")).to_have_count(0)
    return words


def test_the_unexpected_is_a_sentence_with_a_mark_in_the_servers_log(browser, broken):
    address, log = broken
    width, height = SIZES["tablet"]
    context = browser.new_context(viewport={"width": width, "height": height})
    page = context.new_page()
    page.set_default_timeout(20_000)
    page.goto(address)
    settle(page)

    page.get_by_role("link", name="What matters", exact=True).first.click()
    first = told(page, log)
    assert "reload the page and try again" in first

    go(page, "New fabric")
    press(page, "Sew a swatch, then rate it here")
    page.get_by_role("button", name="It passes", exact=True).click()
    assert told(page, log) != first, "a touch that fails"

    page.reload()
    settle(page)
    press(page, "It fails")
    page.get_by_role("button", name="stretched, wavy", exact=True).click()
    told(page, log)
    context.close()


def test_what_a_person_can_mend_is_its_own_sentence():
    from parts.unexpected import sentence  # the dashboard's folder is on the path only once conftest was read

    assert sentence(InvalidValue("gsm: got 5")) == "gsm: got 5"
