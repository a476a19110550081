"""Roots of covariances and the draws made with them."""

import numpy as np
from scipy.linalg import sqrtm
from scipy.stats import norm, ortho_group

from recommender.advice.draws import normal_draws, roots


def covariances(seed=0, n=6, p=5):
    made = np.random.default_rng(seed).normal(size=(n, p, p))
    return made @ made.swapaxes(1, 2)


def test_a_root_is_that_of_scipy():
    cov = covariances()
    assert np.allclose(roots(cov), [sqrtm(one) for one in cov])


def test_a_singular_covariance_has_a_root():
    cov = np.outer([1.0, 2.0, 0.0], [1.0, 2.0, 0.0])[None]
    assert np.allclose(roots(cov) @ roots(cov), cov)
    assert not roots(np.zeros((1, 3, 3))).any()


def test_a_root_does_not_depend_on_which_eigenvectors_are_found_where_values_are_equal():
    for seed in range(20):
        turn = ortho_group.rvs(5, random_state=seed)
        cov = turn @ np.diag([4.0, 4.0, 4.0, 1.0, 1.0]) @ turn.T
        assert np.allclose(roots(cov[None])[0], turn @ np.diag([2.0, 2.0, 2.0, 1.0, 1.0]) @ turn.T)


def test_one_draw_falls_into_each_equally_likely_slice():
    slices = np.floor(norm.cdf(normal_draws((2, 3), 64)) * 64)
    assert (np.sort(slices, axis=0) == np.arange(64)[:, None, None]).all()
