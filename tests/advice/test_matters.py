"""What matters most, held to scikit-learn's permutation importance on the readings of a simulated workshop."""

from dataclasses import replace
from itertools import permutations

import numpy as np
import pytest
from sklearn.base import BaseEstimator, RegressorMixin
from sklearn.ensemble import ExtraTreesRegressor
from sklearn.inspection import permutation_importance

from recommender.advice.causes import ALL_ALIKE, OWN_NATURE, cause
from recommender.advice.matters import matters
from recommender.advice.model import fitted, seams_of, swatches
from recommender.trade.readings import READINGS
from recommender.trade.stitch import stitches

K = range(len(READINGS))


class ByCause(RegressorMixin, BaseEstimator):
    """The model's means, with one feature a cause: the swatch from which all its columns are taken."""

    def __init__(self, parts=None):
        self.parts = parts

    def fit(self, *_):
        return self

    def predict(self, X):
        return sum(part[column] for part, column in zip(self.parts, X.T.astype(int), strict=True))


@pytest.fixture(scope="module")
def found(shop, log, taught):
    return matters(taught, log, shop.machines)


@pytest.fixture(scope="module")
def shares(found):
    return {share.name: share for share in (*found.controls, *found.properties)}


def permuted(estimator, X, y):
    """Importance of each feature, as shares."""
    gain = permutation_importance(estimator, X, y, scoring="neg_mean_squared_error", n_repeats=5, random_state=0).importances_mean
    return gain.clip(0) / gain.clip(0).sum()


def clear(shares):
    """Pairs of causes whose bands lie a quarter apart or more, the larger first."""
    return [(a, b) for a, b in permutations(shares, 2) if shares[a].low > 1.25 * shares[b].high]


def test_causes_that_are_clearly_apart_stand_in_the_order_of_their_permutation_importance(shop, log, taught, shares):
    """On the readings that were made, with the means of the model's own coefficients."""
    rows, where, total = swatches(log, shop.machines, taught.terms), {}, 0.0
    for place, column in enumerate(taught.terms.columns):
        where.setdefault(cause(column, machines_apart=True), []).append(place)
    for k in K:
        own = taught.posterior.group_effects()[0][k, [taught.moments.groups[name] for name in rows.cloths]]
        parts = [rows.rows[:, places] @ taught.posterior.mean[k, places] for places in where.values()]
        read = np.flatnonzero(rows.weights[:, k] == 1)
        X = np.repeat(read[:, None], len(parts) + 1, axis=1)
        total = total + permuted(ByCause([*parts, own]), X, rows.readings[read, k]) / len(K)
    importance = dict(zip([*where, OWN_NATURE], total, strict=True))
    pairs = clear(shares)
    assert len(pairs) > 100
    wrong = [(a, b) for a, b in pairs if importance[a] <= importance[b]]
    assert not wrong


def test_a_forest_that_knows_nothing_of_the_model_agrees_on_what_is_clearly_apart(shop, log, taught, shares):
    """It sees the controls and four properties: given more, it tells the 40 cloths from one another and learns them by heart."""
    names = [column.name for column in taught.terms.columns]
    levers = {
        "needle tension": "needles",
        "upper looper tension": "upper looper",
        "lower looper tension": "lower looper",
        "differential feed": "differential",
        "stitch length": "length",
        "cutting width": "width",
    }
    rows = swatches(log, shop.machines, taught.terms)
    seen = {said: rows.rows[:, names.index(name)] for said, name in levers.items()}
    seen |= {
        "cloth weight": np.log([t.fabric.gsm for t in log]),
        "stretch across": [t.fabric.stretch for t in log],
        "machine": [list(shop.machines).index(t.machine) for t in log],
        "stitch": [stitches().index(t.stitch) for t in log],
    }
    X, total = np.column_stack(list(seen.values())), 0.0
    for k in K:
        read = rows.weights[:, k] == 1
        forest = ExtraTreesRegressor(60, min_samples_leaf=2, random_state=0).fit(X[read], rows.readings[read, k])
        total = total + permuted(forest, X[read], rows.readings[read, k])
    importance = dict(zip(seen, total, strict=True))
    pairs = clear({name: share for name, share in shares.items() if name in seen})
    assert len(pairs) >= 10
    assert not [(a, b) for a, b in pairs if importance[a] <= importance[b]]


def test_shares_come_to_one_and_lie_in_their_bands(found):
    both = (*found.controls, *found.properties)
    assert sum(share.share for share in both) == pytest.approx(1.0)
    assert all(0 <= share.low <= share.share <= share.high <= 1 for share in both)
    assert found.trials == 120


def test_every_control_and_every_property_is_told_of(found):
    told = {*(share.name for share in (*found.controls, *found.properties)), *found.unmoved, *found.alike}
    assert {"needle tension", "upper looper tension", "lower looper tension", "differential feed", "stitch length", "cutting width"} <= told
    assert {"cloth weight", "stretch across", "stretch along", "elastane", "cloth thickness", "number of layers"} <= told
    assert {"needle thread size", "needle thread kind", "looper thread size", "looper thread kind", "machine", "stitch"} <= told
    assert ALL_ALIKE not in told


def test_what_was_never_moved_or_never_varied_has_no_share_and_says_so(shop, log):
    """The same log with every width on its baseline and every cloth in two layers."""
    still = [replace(t, fabric=replace(t.fabric, plies=2)) for t in log[:60]]
    still = [
        replace(t, settings=t.settings.having({"width": seam.baseline.settings.width}))
        for t, seam in zip(still, seams_of(still, shop.machines), strict=True)
    ]
    found = matters(fitted(still, shop.machines), still, shop.machines)
    assert set(found.unmoved) == {"cutting width", "foot pressure"}
    assert "number of layers" in found.alike
    assert not {"cutting width", "foot pressure", "number of layers"} & {share.name for share in (*found.controls, *found.properties)}
    assert sum(share.share for share in (*found.controls, *found.properties)) == pytest.approx(1.0)


def test_of_one_cloth_sewn_one_way_nothing_can_be_said(shop, log):
    found = matters(fitted(log[:1], shop.machines), log[:1], shop.machines)
    assert found.trials == 1
    assert found.controls == found.properties == ()
    assert len(found.unmoved) == 7
    assert {OWN_NATURE, "cloth weight", "machine", "stitch"} <= set(found.alike)


def test_of_one_cloth_sewn_many_ways_only_the_controls_matter(shop, log):
    found = matters(fitted(log[:3], shop.machines), log[:3], shop.machines)
    assert log[0].fabric == log[2].fabric
    assert found.properties == ()
    assert sum(share.share for share in found.controls) == pytest.approx(1.0)


def test_of_two_properties_that_vary_together_both_bands_are_wider(shop, log, taught):
    """Cloth that stretches the more, the heavier it is, against the same stretches dealt out at random."""

    def doubts(stretches):
        told = [replace(t, fabric=replace(t.fabric, stretch=float(s))) for t, s in zip(log, stretches, strict=True)]
        found = matters(fitted(told, shop.machines, (taught.scales, taught.standard)), told, shop.machines)
        return {share.name: (share.high - share.low) / share.share for share in found.properties}

    tied = np.array([min(max(20 + 40 * np.log(t.fabric.gsm / 180) / 0.6, 0), 300) for t in log])
    mixed = np.repeat(np.random.default_rng(3).permutation(tied[::3]), 3)
    together, apart = doubts(tied), doubts(mixed)
    assert together["cloth weight"] > 1.1 * apart["cloth weight"]
    assert together["stretch across"] > 1.1 * apart["stretch across"]  # 1.21 with eight times the draws
