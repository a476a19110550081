"""The setup card on the pages that offer it, and the address that it bears."""

import re
from dataclasses import replace
from io import BytesIO

import pytest
from parts.card import dashboard_address
from parts.card_paper import card_paper
from playwright.sync_api import expect
from pypdf import PdfReader

from recommender import Fabric
from recommender.advice.watching.drift import Suspect
from recommender.cards.card import FIRST, card_of_trial
from recommender.trade.readings import READINGS

from .conftest import settle
from .test_pages import SEAM, carried, healthy, press, words

WOVEN = Fabric(name="cloth", construction="woven", fibre="cotton", gsm=150)
HOSTILE = "<img src=x onerror=alert(1)> 'rib'"


def drifts(studio):
    """Cloths that come out as wanted, then some whose loops are drawn over with the same settings."""
    settings = studio.propose(**SEAM | {"fabric": WOVEN}).baseline
    for number in range(32):
        seam = {**SEAM, "fabric": replace(WOVEN, name=f"cloth {number}")}
        read = dict.fromkeys(READINGS, 0.0) | ({} if number < 20 else {"looper_balance": 1.5, "edge_wrap": 0.5})
        studio.record(**seam, settings=settings, passed=number < 20, readings=read)


def addressed(app, **parameters):
    for name, value in parameters.items():
        app.query_params[name] = value
    return healthy(app.run())


def test_new_fabric_opens_the_card_of_its_proposal(app, studio):
    healthy(app.run())
    assert "setup-card" not in words(app)
    press(app, "Setup card")
    shown = words(app)
    assert shown.count("setup-card'") == 1
    assert "sew a swatch first." in shown
    assert shown.count("class='mark'") == len(studio.propose(**SEAM).settings.controls())
    assert {button.label for button in app.get("download_button")} == {"PDF, A6", "PDF, label 62 × 40 mm"}


def test_the_card_of_a_proposal_says_which_dial_to_test_and_marks_it(app, studio, drifted):
    drifted(Suspect("tension: upper looper", True, 0.9))
    healthy(app.run())
    press(app, "Setup card")
    shown = words(app)
    assert "<div class='doubt'>Test the upper looper: its number may be wrong.</div>" in shown
    assert shown.count("<small class='doubt'>test this</small>") == 1
    assert shown.index("upper looper</em>") < shown.index("<small class='doubt'>") < shown.index("lower looper</em>")


def test_after_a_pass_the_card_is_of_the_swatch(app, studio):
    carried(app, studio)
    press(app, "It passes")
    press(app, "Save: it passes")
    press(app, "Setup card")
    assert "<div class='standing passed'>Passed " in words(app)


def test_after_a_fail_the_card_is_of_the_next_try(app, studio):
    carried(app, studio)
    press(app, "It fails")
    press(app, "Save: it fails")
    press(app, "Setup card")
    assert "<div class='standing open'>Proposal of " in words(app)


def test_a_card_shows_every_word_as_text(studio):
    seam = {**SEAM, "fabric": Fabric(name=HOSTILE, construction="knit", fibre="cotton", gsm=220)}
    proposal = studio.propose(**seam)
    trial = studio.record(**seam, settings=proposal.settings, passed=True, who=HOSTILE, note=HOSTILE)
    shown = card_paper(card_of_trial(trial, proposal, studio.machines["bench"], address="http://192.0.2.7/?a='b'&c=<d>"))
    assert shown.count("&lt;img src=x onerror=alert(1)&gt;") == 3
    assert "<img" not in shown
    assert "<d>" not in shown


def test_the_card_of_a_swatch_that_nobody_read_says_so_and_draws_no_scale(studio):
    proposal = studio.propose(**SEAM)
    trial = studio.record(**SEAM, settings=proposal.settings, passed=True)
    shown = card_paper(card_of_trial(trial, proposal, studio.machines["bench"]))
    assert "No readings made." in shown
    assert "The needle line" not in shown
    assert "The needle line" in card_paper(card_of_trial(replace(trial, readings={"edge_lie": 0}), proposal, studio.machines["bench"]))


def test_an_address_fills_the_form_in(app, studio):
    addressed(
        app,
        fabric="кулирка",
        construction="knit",
        fibre="wool",
        gsm="310.5",
        plies="3",
        stitch="rolled hem",
        machine="bench",
        looper_tex="18",
    )
    assert app.text_input(key="cloth.name").value == "кулирка"
    assert app.selectbox(key="cloth.fibre").value == "wool"
    assert app.number_input(key="cloth.plies").value == 3
    assert app.selectbox(key="stitch").value == "rolled hem"
    assert app.text_input(key="looper.size").value.startswith("18 ")
    press(app, "Setup card")
    assert "wool knit, 310.5 g/m2" in words(app)
    assert "Looper thread 18 tex" in words(app)


@pytest.mark.parametrize(
    ("parameters", "told"),
    [
        ({"gsm": "5"}, "weight: got 5"),
        ({"machine": "window"}, "machine: got"),
        ({"stitch": "nothing"}, "stitch: got"),
        ({"fabric": ""}, "name of the cloth: nothing given"),
        ({"looper_tex": "thick"}, "looper thread: got"),
    ],
)
def test_an_address_that_cannot_be_is_a_sentence_above_the_form_as_it_was(app, studio, parameters, told):
    good = {"fabric": "rib", "construction": "knit", "fibre": "cotton", "gsm": "220", "stitch": "rolled hem", "machine": "bench"}
    addressed(app, **{**good, **parameters})
    assert told in app.error[0].value.replace("\\", "")
    assert app.selectbox(key="stitch").value == "four-thread overlock"


def test_the_address_of_the_dashboard_is_what_the_browser_uses():
    for page in ("", "/", "/swatch_book", "/rate_a_swatch"):
        assert dashboard_address(f"http://192.0.2.7:8501{page}") == "http://192.0.2.7:8501"
        assert dashboard_address(f"https://sewing.example/studio{page}") == "https://sewing.example/studio"
    assert dashboard_address(None) == ""


def test_a_fresh_browser_opens_what_the_square_says(visit, studio):
    """The seam of a proposal, and the swatch of a logged one."""
    page = visit("tablet")
    page.get_by_role("textbox", name="Name of the cloth", exact=True).fill("кулирка 5%")
    page.keyboard.press("Tab")
    settle(page)
    page.get_by_role("button", name="Setup card").click()
    address = square(page)
    seam = {**SEAM, "fabric": Fabric(name="rib", construction="knit", fibre="cotton", gsm=220)}
    trial = studio.record(**seam, settings=studio.propose(**seam).settings, passed=True)

    other = visit("desk")
    other.goto(address)
    settle(other)
    expect(other.get_by_role("textbox", name="Name of the cloth", exact=True)).to_have_value("кулирка 5%")
    assert address.startswith(f"{other.url}?fabric=")

    other.goto(f"{other.url}swatch_book?trial={trial.id}")
    settle(other)
    other.get_by_text("Setup card", exact=True).click()
    settle(other)
    assert square(other) == f"{address.partition('?')[0]}swatch_book?trial={trial.id}"
    expect(other.get_by_role("heading", level=1, name="rib")).to_be_visible()


def test_the_browser_prints_the_card_alone_on_two_sides(visit, studio):
    """The fullest card too: of a cloth with a long name, with a dial that is doubted, and with a reason for what leads."""
    drifts(studio)
    page = visit("desk")
    long = "a name of a cloth that is so long that it needs two whole lines beside the square to scan"
    page.get_by_role("textbox", name="Name of the cloth", exact=True).fill(long)
    page.keyboard.press("Tab")
    settle(page)
    page.get_by_role("button", name="Setup card").click()
    square(page)
    told = [" ".join(side.extract_text().split()) for side in PdfReader(BytesIO(page.pdf(prefer_css_page_size=True))).pages]
    assert len(told) == 2
    assert all(FIRST in side for side in told)
    assert "Proposal of" in told[0]
    assert "its number may be wrong." in told[0]
    assert "leads: over" in told[0]
    assert "Raise the presser foot" in told[1]
    assert not any("New fabric" in side or "PDF, A6" in side for side in told)

    page.evaluate("() => { window.printed = 0; window.print = () => { window.printed += 1 } }")
    for times in (1, 2):
        page.get_by_role("button", name="Print", exact=True).click()
        settle(page)
        assert page.evaluate("window.printed") == times

    with page.expect_download() as download:
        page.get_by_role("button", name="PDF, A6").click()
    assert download.value.suggested_filename.endswith("-four-thread-overlock-a6.pdf")
    assert len(PdfReader(download.value.path()).pages) == 2


def square(page) -> str:
    """The address that the square on the shown card bears."""
    told = page.get_by_role("img", name=re.compile("^Square to scan")).get_attribute("aria-label")
    return told.removeprefix("Square to scan: opens ")
