"""Sums, posterior and evidence against the same written out with full covariance matrices."""

from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recommender.learning.evidence import ScaleGuess, tuned
from recommender.learning.moments import Moments
from recommender.learning.posterior import Prior, Scales, log_evidence, posterior

N, P, K = 60, 5, 3


class Case:
    """Rows with missing readings and groups of uneven size, a prior and scales."""

    def __init__(self, seed: int = 0, n: int = N) -> None:
        rng = np.random.default_rng(seed)
        self.z = rng.normal(size=(n, P))
        self.group = [f"g{i}" for i in rng.integers(n // 4 + 1, size=n)]
        self.w = rng.choice([0.0, 0.4, 1.0], size=(n, K))
        effect = dict(zip(sorted(set(self.group)), rng.normal(size=(n, K)), strict=False))
        self.y = self.z @ rng.normal(size=(P, K)) + np.array([effect[name] for name in self.group]) + 0.3 * rng.normal(size=(n, K))
        self.prior = Prior(rng.normal(size=(K, P)), np.exp(rng.normal(size=(K, P)) / 3), np.array([0, 0, 1, 1, 1]))
        self.scales = Scales(np.array([0.8, 1.3]), np.array([0.3, 0.4, 0.5]), np.array([0.6, 0.5, 0.7]))

    @property
    def moments(self) -> Moments:
        return Moments.of(self.z, self.y, self.w, self.group)

    def dense(self, k: int) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
        """Seen rows, their readings, the covariance of the readings given the coefficients, and the prior's covariance."""
        seen = self.w[:, k] > 0
        same = np.array(self.group)[seen][:, None] == np.array(self.group)[seen]
        noise = np.diag(self.scales.noise[k] ** 2 / self.w[seen, k]) + self.scales.group[k] ** 2 * same
        return self.z[seen], self.y[seen, k], noise, np.diag((self.scales.block[self.prior.block] * self.prior.spread[k]) ** 2)


def test_posterior_is_the_textbook_one():
    case = Case()
    found = posterior(case.moments, case.prior, case.scales)
    for k in range(K):
        z, y, noise, prior = case.dense(k)
        cov = np.linalg.inv(np.linalg.inv(prior) + z.T @ np.linalg.solve(noise, z))
        mean = cov @ (np.linalg.solve(prior, case.prior.mean[k]) + z.T @ np.linalg.solve(noise, y))
        assert found.mean[k] == pytest.approx(mean, rel=1e-9)
        assert found.cov[k] == pytest.approx(cov, rel=1e-8, abs=1e-12)


def test_evidence_is_the_density_of_the_readings():
    case = Case()
    value, _ = log_evidence(posterior(case.moments, case.prior, case.scales), case.prior)
    written_out = 0.0
    for k in range(K):
        z, y, noise, prior = case.dense(k)
        whole, left = noise + z @ prior @ z.T, y - z @ case.prior.mean[k]
        written_out -= 0.5 * (len(y) * np.log(2 * np.pi) + np.linalg.slogdet(whole)[1] + left @ np.linalg.solve(whole, left))
    assert value == pytest.approx(written_out, rel=1e-10)


def test_what_ties_responses_together_is_the_textbooks_joint_prior():
    case, rng = Case(), np.random.default_rng(4)
    tie = np.where(rng.random((K, P)) < 0.6, rng.uniform(-0.95, 0.95, (K, P)), 0.0)
    tie[:, 0] = 0.0
    prior = replace(case.prior, tie=tie)
    sd = case.scales.block[prior.block] * prior.spread
    believed = np.zeros((K, P, K, P))
    for j in range(P):
        alike = np.outer(tie[:, j], tie[:, j])
        np.fill_diagonal(alike, 1.0)
        believed[:, j, :, j] = alike * np.outer(sd[:, j], sd[:, j])
    precision = np.linalg.inv(believed.reshape(K * P, K * P))
    target = precision @ prior.mean.ravel()
    for k in range(K):
        z, y, noise, _ = case.dense(k)
        at = slice(k * P, (k + 1) * P)
        precision[at, at] += z.T @ np.linalg.solve(noise, z)
        target[at] += z.T @ np.linalg.solve(noise, y)
    cov, found = np.linalg.inv(precision), posterior(case.moments, prior, case.scales)
    assert found.mean.ravel() == pytest.approx(cov @ target, rel=1e-9)
    for k in range(K):
        at = slice(k * P, (k + 1) * P)
        assert found.cov[k] == pytest.approx(cov[at, at], rel=1e-8, abs=1e-12)
    assert np.abs(found.mean - posterior(case.moments, case.prior, case.scales).mean).max() > 1e-4, "and they say something"


def test_slopes_of_the_evidence_are_its_finite_differences():
    case = Case()
    _, slopes = log_evidence(posterior(case.moments, case.prior, case.scales), case.prior)
    for part in fields(Scales):
        for place in range(len(getattr(case.scales, part.name))):

            def at(step: float, name: str = part.name, place: int = place) -> float:
                parts = {f.name: getattr(case.scales, f.name).copy() for f in fields(Scales)}
                parts[name][place] *= np.exp(step)
                return log_evidence(posterior(case.moments, case.prior, Scales(**parts)), case.prior)[0]

            assert getattr(slopes, part.name)[place] == pytest.approx((at(1e-4) - at(-1e-4)) / 2e-4, rel=1e-5, abs=1e-6)


def test_a_groups_own_effect_is_that_of_the_mixed_model():
    case = Case()
    row = np.ones((1, P))
    for k in range(K):
        z, y, noise, prior = case.dense(k)
        name = case.group[0]
        mine = np.array(case.group)[case.w[:, k] > 0] == name
        cross = prior @ z.T, case.scales.group[k] ** 2 * mine
        whole = noise + z @ prior @ z.T
        target = row[0] @ cross[0] + cross[1]
        mean = row[0] @ case.prior.mean[k] + target @ np.linalg.solve(whole, y - z @ case.prior.mean[k])
        variance = row[0] @ prior @ row[0] + case.scales.group[k] ** 2 - target @ np.linalg.solve(whole, target)
        found_mean, found_cov = posterior(case.moments, case.prior, case.scales).linear(row, name)
        assert found_mean[k, 0] == pytest.approx(mean, rel=1e-9)
        assert found_cov[k, 0, 0] == pytest.approx(variance, rel=1e-8)


def as_arrays(moments: Moments) -> dict[str, np.ndarray]:
    """Every sum, the groups in the order of their names."""
    order = [moments.groups[name] for name in sorted(moments.groups)]
    by_group = {"group_weight", "group_terms", "group_cross"}
    arrays = {f.name: getattr(moments, f.name) for f in fields(Moments) if f.name != "groups"}
    return {name: array[:, order] if name in by_group else array for name, array in arrays.items()}


def assert_same(one: Moments, other: Moments) -> None:
    assert sorted(one.groups) == sorted(other.groups)
    for name, array in as_arrays(one).items():
        assert array == pytest.approx(as_arrays(other)[name], rel=1e-9, abs=1e-9), name


def part(case: Case, places: np.ndarray) -> Moments:
    return Moments.of(case.z[places], case.y[places], case.w[places], [case.group[i] for i in places])


@settings(max_examples=30)
@given(seed=st.integers(0, 10_000), cut=st.integers(1, N - 1))
def test_sums_of_parts_add_up_in_any_order(seed, cut):
    case, order = Case(seed), np.random.default_rng(seed).permutation(N)
    assert_same(part(case, order[:cut]) + part(case, order[cut:]), case.moments)


@settings(max_examples=30)
@given(seed=st.integers(0, 10_000), cut=st.integers(1, N - 1))
def test_what_was_added_can_be_removed(seed, cut):
    case = Case(seed)
    first, rest = np.arange(cut), np.arange(cut, N)
    left = case.moments - part(case, rest)
    kept = part(case, first)
    for name in ("gram", "cross", "square", "count", "log_weight"):
        assert getattr(left, name) == pytest.approx(getattr(kept, name), rel=1e-9, abs=1e-9)
    found = [posterior(moments, case.prior, case.scales) for moments in (left, kept)]
    assert found[0].mean == pytest.approx(found[1].mean, rel=1e-7, abs=1e-9)


def test_renaming_the_groups_changes_nothing():
    case = Case()
    renamed = Moments.of(case.z, case.y, case.w, [f"other {name}" for name in case.group])
    scales = [tuned(moments, case.prior, ScaleGuess(case.scales)) for moments in (case.moments, renamed)]
    assert scales[0].noise == pytest.approx(scales[1].noise, rel=1e-9)


def test_no_rows_leave_the_guess():
    case = Case()
    assert tuned(Moments.none(K, P), case.prior, ScaleGuess(case.scales)) is case.scales
    found = posterior(Moments.none(K, P), case.prior, case.scales)
    assert found.mean == pytest.approx(case.prior.mean)


def test_the_tuned_scales_are_a_maximum():
    case = Case(n=200)
    guess = ScaleGuess(case.scales, doubt=np.inf)
    best = tuned(case.moments, case.prior, guess)
    value = log_evidence(posterior(case.moments, case.prior, best), case.prior)[0]
    for factor in (0.9, 1.1):
        for part_ in fields(Scales):
            other = {f.name: getattr(best, f.name) * (factor if f.name == part_.name else 1.0) for f in fields(Scales)}
            assert log_evidence(posterior(case.moments, case.prior, Scales(**other)), case.prior)[0] < value


def test_a_flat_prior_on_terms_without_rows_is_refused():
    prior = Prior(np.zeros((K, P)), np.full((K, P), np.inf), np.zeros(P, dtype=int))
    with pytest.raises(np.linalg.LinAlgError, match="not determined"):
        posterior(Moments.none(K, P), prior, Scales(np.ones(1), np.ones(K), np.ones(K)))
