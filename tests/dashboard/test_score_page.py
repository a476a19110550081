"""The score on What matters, and which leads on New fabric."""

import importlib
import os
import threading
import time
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from recommender import presets
from recommender.advice.scoring.course import Spot
from recommender.advice.scoring.figures import Figure
from recommender.advice.scoring.score import Bin
from recommender.advice.seam import Seam
from recommender.trade.stitch import stitch
from recommender.trade.thread import ORDINARY
from recommender.trade.words import percent
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
    assert "Before each of 6 swatches the model, which learns from those before it, said how likely it was to pass" in shown
    assert 'aria-label="Chances against passes: said' in shown
    assert not any(name in shown for name in ("Brier", "log score", "calibration"))
    assert "% to what then happened; merely counting passes gives" in shown
    for by, name in (("stitch", "four-thread overlock"), ("machine", "bench"), ("kind of cloth", "medium knit")):
        assert f"<th scope='col'>{by}</th>" in shown
        assert f"<td>{name}</td>" in shown


def test_a_long_log_is_scored_when_asked_and_meanwhile_other_pages_can_be_used(page, studio):
    sew(studio, 30, {"edge_lie": 1.0})
    app = page()
    assert "Before each of" not in words(app)
    press(app, next(button.label for button in app.button if button.label.startswith("Go through the log: 30 swatches")))
    healthy(app.switch_page("app_pages/new_fabric.py").run())
    until(lambda: not studio_of(app).unscored)
    healthy(app.switch_page("app_pages/what_matters.py").run())
    assert "Before each of 30 swatches" in words(app)


def test_who_comes_while_another_tablet_has_it_worked_out_sees_how_far_it_is(page, studio):
    sew(studio, 30, {"edge_lie": 1.0})
    app = page()
    gone_on, may_go_on = threading.Event(), threading.Event()

    def wait(done, of):
        gone_on.set()
        may_go_on.wait(60)

    other = threading.Thread(target=studio_of(app).score, args=(wait,), daemon=True)
    other.start()
    gone_on.wait(60)
    healthy(app.run())
    assert not [button for button in app.button if button.label.startswith("Go through the log")]
    may_go_on.set()
    other.join(60)
    until(lambda: not studio_of(app).unscored)
    assert "Before each of 30 swatches" in words(healthy(app.run()))


def until(true, seconds=60):
    for _ in range(seconds * 10):
        if true():
            return
        time.sleep(0.1)
    raise AssertionError(f"not so after {seconds} s")


def studio_of(app):
    """The studio that the dashboard has open."""
    return importlib.import_module("parts.studio")._opened(os.environ["OVEREDGE_STUDIO"])


def test_each_picture_is_told_in_words_once_there_is_enough_to_draw(page, studio):
    sew(studio, 24, {"edge_lie": 1.0})
    shown = words(page())
    assert 'aria-label="Share of first swatches that passed. ' in shown
    assert 'aria-label="Chance that was given to what then happened. the model: ' in shown
    assert 'aria-label="upper looper tension: ' in shown
    assert "Which numbers are to be set?" in shown
    assert any("A line stands here once 10 cloths" in caption.value for caption in page().caption)


def test_a_line_is_drawn_inside_its_paper_and_its_first_has_the_range():
    drawing = importlib.import_module("parts.course")
    spots = (Spot(5, 0.5, 0.4, 1.6), Spot(10, -0.5, -1.0, 0.2))
    paper = drawing.Paper(title="shares", low=0, high=1, marks=(0.0, 1.0), words=percent, swatches=10)
    assert paper.at(10, 2) == (drawing.RIGHT, drawing.TOP)
    assert paper.at(0, -1) == (drawing.LEFT, drawing.BOTTOM)
    shown = drawing.course(paper, [drawing.Track("none", drawing.OURS, ()), drawing.Track("some", drawing.ALL, spots)])
    assert f'aria-label="shares. some: {percent(0.5)} at first, {percent(-0.5)} now."' in shown
    assert drawing.course(paper, [])


def test_bars_of_coverage_say_what_was_meant():
    drawing = importlib.import_module("parts.coverage")
    shown = drawing.coverage([("stitch length", Figure(0.9, 0.2, 10)), ("cutting width", Figure(float("nan"), float("nan"), 0))], 0.8)
    assert f'aria-label="stitch length: {percent(0.9)} of 10 held, meant {percent(0.8)}"' in shown
    assert 'style="left: 80.0%"' in shown
    assert "left: 70.0%; width: 30.0%" in shown
    assert "cutting width" not in shown


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
    assert f"said {percent(0.2)}, passed {percent(0.25)} of 8; said {percent(0.7)}, passed {percent(0.5)} of 4" in drawing.reliability(bins)
    assert drawing._dot(bins[0]).count("<circle") == 1
    assert drawing._at(0.5, 0.5) == pytest.approx(((drawing.LEFT + drawing.RIGHT) / 2, (drawing.TOP + drawing.BOTTOM) / 2))
