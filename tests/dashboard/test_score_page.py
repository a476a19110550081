"""The score on What matters, and which leads on New fabric."""

import importlib
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from recommender import presets
from recommender.advice.scoring.figures import Figure
from recommender.advice.scoring.score import Bin
from recommender.advice.seam import Seam
from recommender.trade.stitch import stitch
from recommender.trade.thread import ORDINARY
from tests.dashboard.test_pages import JERSEY, healthy, press, words


def sew(studio, n, readings):
    """Swatches on the baseline of as many cloths, every third a pass; `readings` for the others."""
    bench = studio.machines["bench"]
    for number in range(n):
        cloth = replace(JERSEY, name=f"cloth {number}", gsm=JERSEY.gsm - 5 * (number % 7))
        seam = {"fabric": cloth, "stitch": "four-thread overlock", "machine": "bench"}
        passed = number % 3 == 0
        when = datetime(2025, 1, 1, tzinfo=UTC) + timedelta(hours=number)
        start = Seam(cloth, stitch("four-thread overlock"), bench, ORDINARY, ORDINARY).baseline.settings
        studio.record(**seam, settings=start, passed=passed, readings={} if passed else readings, when=when)


@pytest.fixture
def page(app):
    def what_matters():
        healthy(app.run())
        return healthy(app.switch_page("app_pages/what_matters.py").run())

    return what_matters


def test_a_short_log_is_scored_at_once(page, studio):
    sew(studio, 6, {"edge_lie": 1.0})
    shown = words(page())
    assert "Over 6 swatches, each predicted before it was learned" in shown
    assert 'aria-label="Chances against passes: said' in shown
    assert "four-thread overlock" in shown
    assert "medium knit" in shown


def test_a_long_log_is_scored_when_asked(page, studio):
    sew(studio, 26, {"edge_lie": 1.0})
    app = page()
    assert "each predicted" not in words(app)
    press(app, next(button.label for button in app.button if button.label.startswith("Go through the log again, 26 swatches")))
    assert "Over 26 swatches" in words(app)
    healthy(app.run())
    assert "Over 26 swatches" in words(app)


def test_where_the_baseline_leads_its_numbers_are_the_ones_to_set(app, studio):
    sew(studio, 26, {"edge_lie": 0.0, "needle_line": 0.0, "looper_balance": 0.0})
    healthy(app.run())
    app.selectbox(key="cloth.start").set_value("denim (preset)")
    healthy(app.run())
    shown = words(app)
    proposal = studio.propose(fabric=presets()["denim"], stitch="four-thread overlock", machine="bench")
    assert proposal.lead == "baseline"
    assert any("The baseline leads" in caption.value for caption in app.caption)
    assert shown.count(", the baseline</b>") == len(proposal.baseline.controls())
    next(button for button in app.button if button.label.startswith("Sew a swatch")).click().run()
    assert app.session_state["set.differential"] == proposal.baseline.differential


def test_with_few_swatches_the_page_says_that_there_is_no_verdict(app, studio):
    healthy(app.run())
    assert any("No verdict on the four" in caption.value.replace("\\", "") for caption in app.caption)


def test_the_curve_has_a_dot_for_each_part_and_is_told_in_words():
    drawing = importlib.import_module("parts.reliability")
    bins = (Bin(0.2, Figure(0.25, 0.1, 8)), Bin(0.7, Figure(0.5, 0.1, 4)))
    assert "said 20%, passed 25% of 8; said 70%, passed 50% of 4" in drawing.reliability(bins)
    assert drawing._dot(bins[0]).count("<circle") == 1
    assert drawing._at(0.5, 0.5) == pytest.approx(((drawing.LEFT + drawing.RIGHT) / 2, (drawing.TOP + drawing.BOTTOM) / 2))
