"""What the pages say of causes: shares, what nothing can be said of, what cannot be told apart, and the trust in each term."""

import re
from base64 import b64decode
from dataclasses import replace

import pytest

from recommender import Fabric, Machine
from recommender.advice.causes import REST
from recommender.trade.machine import Dial
from tests.dashboard.test_pages import SEAM, healthy, words

LOOPERS = ("tension: upper looper", "tension: lower looper")
HOSTILE = "<b>cloth</b>"


@pytest.fixture
def together(studio):
    """Eight swatches of as many cloths, both loopers moved by the same each time."""
    jersey = Fabric(name=HOSTILE, construction="knit", fibre="cotton", gsm=220, stretch=60)
    for number, by in enumerate((1, -1) * 4):
        seam = SEAM | {"fabric": replace(jersey, gsm=150 + 20 * number)}
        start = studio.propose(**seam).baseline
        settings = start.having({control: start.controls()[control] + by for control in LOOPERS})
        studio.record(**seam, settings=settings, passed=False, readings={"looper_balance": 1 + by / 2, "edge_wrap": by})
    return studio


def test_controls_that_cannot_be_told_apart_are_named_and_a_name_is_text(app, together):
    healthy(app.run())
    healthy(app.switch_page("app_pages/what_matters.py").run())
    shown = words(app)
    assert "Upper looper tension and lower looper tension were always moved together (8 swatches)" in shown
    assert HOSTILE not in shown
    assert "&lt;b&gt;cloth&lt;/b&gt;, four-thread overlock on bench" in shown


def test_the_swatch_that_tells_two_controls_apart_goes_onto_the_list_once(app, together):
    healthy(app.run())
    healthy(app.switch_page("app_pages/what_matters.py").run())
    next(button for button in app.button if button.label == "Put this swatch on the list").click()
    healthy(app.run())
    (pair,), (waiting,) = together.matters().confused, together.pending()
    assert (waiting.fabric, waiting.settings) == (pair.fabric, pair.settings)
    assert waiting.reason == "It tells the upper looper tension and the lower looper tension apart."
    assert not [button for button in app.button if button.label == "Put this swatch on the list"]
    assert "to the planned swatches" in app.get("page_link")[-1].proto.label


def test_what_was_never_moved_is_said_to_be_so_and_has_no_bar(app, together):
    healthy(app.run())
    healthy(app.switch_page("app_pages/what_matters.py").run())
    still = [caption.value for caption in app.caption if caption.value.startswith("Never moved")]
    assert still
    assert "differential feed" in still[0]
    assert "<td>differential feed</td>" not in words(app)
    assert "<td>upper looper tension</td>" in words(app)


def test_each_term_stands_with_its_band_and_its_swatches(app, together):
    healthy(app.run())
    shown = words(app)
    why = together.propose(**SEAM | {"fabric": together.fabrics()[HOSTILE]}).why
    terms = [term for control in why.values() for term in control[:2] if term.trials]
    assert terms
    for term in terms:
        assert f"{term.low:+.2f} to {term.high:+.2f}, from {term.trials} swatch" in shown
    assert f"<td>{REST}</td>" in shown


@pytest.mark.parametrize("system", ["metric", "imperial"])
def test_the_axis_of_the_cutting_width_says_that_it_is_the_dials(app, together, system):
    app.session_state["units"] = system
    healthy(app.run())
    healthy(app.switch_page("app_pages/what_matters.py").run())
    healthy(app.selectbox(key="effect.control").set_value("width").run())
    drawings = [b64decode(coded).decode() for coded in re.findall(r"data:image/svg\+xml;base64,([\w+/=]+)", words(app))]
    told = [" ".join(re.findall(">([^<]+)<", drawing)) for drawing in drawings]
    assert any("cutting width: how far from the baseline, on the dial, in mm" in rows for rows in told)


def test_one_step_of_each_dial_is_told_of_the_chosen_machine_and_reading(app, together):
    together.add_machine(replace(Machine.generic("other"), width=Dial(4, 7, 0.25, 6)))
    healthy(app.run())
    healthy(app.switch_page("app_pages/what_matters.py").run())
    app.selectbox(key="effect.reading").set_value("edge_wrap")
    healthy(app.selectbox(key="machine").set_value("other").run())
    shown = words(app)
    (pull,) = [pull for pull in together.pulls("other")["edge_wrap"] if pull.control == "width"]
    assert "cutting width <span class='quiet'>up 0.25</span>" in shown
    assert f"cutting width up 0.25: {pull.mean:+.2f}, towards edge rolls or tunnels" in shown
