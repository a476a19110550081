"""How the score went along the log: each window by hand, its range by other routes, nothing where there is too little."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from math import exp, log

import numpy as np
import pytest
from scipy.stats import beta
from statsmodels.stats.proportion import proportion_confint

from recommender import Fabric, Settings
from recommender.advice.scoring.course import _SPOTS, FIRSTS, WINDOW, course
from recommender.advice.scoring.lines import lines
from recommender.advice.scoring.replay import Foretold
from recommender.swatches.trial import Trial

JERSEY = Fabric(name="rib jersey", construction="knit", fibre="cotton", gsm=220, stretch=60)
SETTINGS = Settings(tension={"left needle": 4, "upper looper": 4, "lower looper": 4}, differential=1.0, length=2.5, width=6.0)


def sewn(passes, chance=0.5, each=1, **more):
    """Swatches with these ratings, `each` of every cloth, and what was said of them."""
    start = datetime(2025, 3, 1, tzinfo=UTC)
    trials = [
        Trial(
            id=f"t{n:04d}",
            when=start + timedelta(hours=n),
            fabric=replace(JERSEY, name=f"cloth {n // each}", gsm=100 + n // each / 4),
            stitch="three-thread overlock wide",
            machine="bench",
            settings=SETTINGS,
            passed=bool(passed),
        )
        for n, passed in enumerate(passes)
    ]
    told = [Foretold(chance, **({"at_model": False, "at_baseline": False, "bands": {}} | more)) for _ in trials]
    return lines(trials, told)


def test_the_last_window_is_the_mean_of_its_own_swatches_alone():
    rng = np.random.default_rng(1)
    found = sewn(rng.random(100) < 0.5, chance=0.7)
    last = course(found).given[-1]
    mine = [0.7 if line.trial.passed else 0.3 for line in found[-WINDOW:]]
    assert last.swatches == 100
    assert last.value == pytest.approx(exp(np.mean(np.log(mine))), rel=1e-12)
    reach = 1.2815515655446004 * np.std(np.log(mine), ddof=1) / WINDOW**0.5
    assert (last.low, last.high) == pytest.approx((last.value * exp(-reach), last.value * exp(reach)), rel=1e-9)
    rate = course(found).given_by_rate[-1]
    assert log(rate.value) == pytest.approx(np.mean([log(x.stitch_rate if x.trial.passed else 1 - x.stitch_rate) for x in found[-WINDOW:]]))


def test_the_share_of_first_swatches_has_jeffreys_range():
    found = course(sewn([1, 0, 0] * 20, each=1))
    last = found.first[-1]
    hits = sum([1, 0, 0][n % 3] for n in range(40, 60))
    assert last.value == pytest.approx(hits / FIRSTS)
    assert (last.low, last.high) == pytest.approx(proportion_confint(hits, FIRSTS, alpha=0.2, method="jeffreys"), rel=1e-9)


def test_where_all_passed_the_range_reaches_up_to_all():
    last = course(sewn([1] * 30)).first[-1]
    assert (last.value, last.high) == (1.0, 1.0)
    assert last.low == pytest.approx(beta(20.5, 0.5).ppf(0.1))


def test_a_line_begins_where_half_a_window_is_full():
    assert course(sewn([1, 0] * 9)).given == ()
    assert course(sewn([0] * (WINDOW // 2 - 1))).given == ()
    assert [spot.swatches for spot in course(sewn([0] * (WINDOW // 2 + 1))).given] == [WINDOW // 2, WINDOW // 2 + 1]
    assert course([]).given == course([]).first == course([]).to_pass == ()


def test_swatches_to_a_pass_are_counted_where_the_pass_came():
    found = course(sewn([0, 0, 1] * 15, each=3))
    assert [spot.swatches for spot in found.to_pass] == [3 * n for n in range(FIRSTS // 2, 16)]
    assert {(spot.value, spot.low, spot.high) for spot in found.to_pass} == {(3.0, 3.0, 3.0)}
    assert course(sewn([0] * 60, each=3)).to_pass == ()


def test_first_swatches_as_proposed_and_on_the_baseline_have_a_line_each_and_those_on_both_none():
    ours, rules = course(sewn([1] * 12, at_model=True)), course(sewn([0] * 12, at_baseline=True))
    assert (ours.first_at_model[-1].value, ours.first_at_baseline) == (1.0, ())
    assert (rules.first_at_baseline[-1].value, rules.first_at_model) == (0.0, ())
    both = course(sewn([1] * 12, at_model=True, at_baseline=True))
    assert both.first_at_model == both.first_at_baseline == ()
    assert both.first


def test_a_long_log_has_no_more_spots_than_can_be_told_apart_and_ends_with_its_last_swatch():
    given = course(sewn([1, 0, 0] * 700)).given
    assert len(given) <= 2 * _SPOTS
    assert given[-1].swatches == 2100
    assert all(one.swatches < other.swatches for one, other in pairwise(given))
