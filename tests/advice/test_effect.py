"""Effect curves and their dots, held to statsmodels."""

import numpy as np
import pytest
import statsmodels.api as sm
from scipy.stats import norm

from recommender.advice.bands import COVERAGE
from recommender.advice.effect import CONTROLS, effect
from recommender.advice.model import fitted, seams_of, swatches
from recommender.trade.readings import READINGS


@pytest.fixture
def few(shop, log):
    """The first 18 swatches, and their model."""
    return log[:18], fitted(log[:18], shop.machines)


def by_statsmodels(shop, trials, model, k):
    """One reading's regression by weighted least squares; what is believed beforehand are rows of their own."""
    rows, scales, prior = swatches(trials, shop.machines, model.terms), model.scales, model.terms.prior
    cloths = sorted(set(rows.cloths))
    member = np.array([[float(name == other) for other in cloths] for name in rows.cloths])
    features = np.block([[rows.rows, member], [np.eye(rows.rows.shape[1] + len(cloths))]])
    answers = np.concatenate([rows.readings[:, k], prior.mean[k], np.zeros(len(cloths))])
    spread = scales.block[prior.block] * prior.spread[k]
    weights = np.concatenate([rows.weights[:, k] / scales.noise[k] ** 2, spread**-2.0, np.full(len(cloths), scales.group[k] ** -2.0)])
    return sm.WLS(answers, features, weights=weights).fit(), rows.rows.shape[1]


@pytest.mark.parametrize("control", CONTROLS)
@pytest.mark.parametrize("reading", ["edge_lie", "stitch_cover"])
def test_each_dot_is_the_component_plus_the_residual(shop, few, reading, control):
    trials, model = few
    k = list(READINGS).index(reading)
    by_hand, n_terms = by_statsmodels(shop, trials, model, k)
    seams = dict(zip([trial.id for trial in trials], seams_of(trials, shop.machines), strict=True))
    found = effect(model, trials, shop.machines, reading, control)
    place = {trial.id: number for number, trial in enumerate(trials)}
    assert found.points
    for point in found.points:
        trial, seam = trials[place[point.trial]], seams[point.trial]
        at = seam.controls.index(control)
        amount = seam.amounts(trial.settings)[at]
        component = amount * model.terms.frame(seam).lever[at] @ by_hand.params[:n_terms]
        assert point.x == pytest.approx(amount)
        assert point.y == pytest.approx(component + by_hand.resid[place[trial.id]], abs=1e-8)


def test_the_line_and_its_band_are_those_of_the_mean_lever(shop, few):
    trials, model = few
    by_hand, n_terms = by_statsmodels(shop, trials, model, 0)
    found = effect(model, trials, shop.machines, "edge_lie", "differential")
    shown = [trial for trial in trials if trial.id in {point.trial for point in found.points}]
    seams = seams_of(shown, shop.machines)
    lever = np.mean([model.terms.frame(seam).lever[seam.controls.index("differential")] for seam in seams], axis=0)
    slope = lever @ by_hand.params[:n_terms]
    spread = np.sqrt(lever @ by_hand.normalized_cov_params[:n_terms, :n_terms] @ lever)
    x = np.array(found.x)
    assert np.array(found.mean) == pytest.approx(slope * x, abs=1e-8)
    half = norm.ppf((1 + COVERAGE) / 2) * spread * np.abs(x)
    assert np.array(found.high) - found.mean == pytest.approx(half, abs=1e-8)
    assert np.array(found.mean) - found.low == pytest.approx(half, abs=1e-8)


def test_the_dots_of_a_reading_are_the_swatches_that_have_it(shop, few):
    trials, model = few
    found = effect(model, trials, shop.machines, "edge_wrap", "tension: right needle")
    having = [t.id for t in trials if "edge_wrap" in t.readings and "right needle" in t.settings.tension]
    assert [point.trial for point in found.points] == having


def test_of_a_long_log_the_picture_shows_the_last_swatches(shop, few, monkeypatch):
    trials, model = few
    whole = effect(model, trials, shop.machines, "edge_lie", "differential").points
    monkeypatch.setattr("recommender.advice.effect.MOST", 5)
    assert effect(model, trials, shop.machines, "edge_lie", "differential").points == whole[-5:]


def test_without_a_swatch_the_line_is_the_trades_rule_of_thumb(empty):
    found = effect(empty, (), {}, "edge_lie", "differential")
    assert found.points == ()
    assert found.mean[-1] == pytest.approx(-found.x[-1])


def test_a_distance_is_read_in_percent_where_the_control_is_a_ratio_and_in_its_own_numbers_elsewhere(shop, few):
    trials, model = few
    for control, told in (
        ("differential", ("+25 %", "-20 %")),
        ("length", ("+25 %", "-20 %")),
        ("width", ("+1.0", "-1.0")),
        (CONTROLS[0], ("+1.0", "-1.0")),
    ):
        found = effect(model, trials, shop.machines, "edge_lie", control)
        assert (found.distance(1.0), found.distance(-1.0)) == told
