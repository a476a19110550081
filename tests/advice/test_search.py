"""The inverse solve against a bounded solver, brute force and a handbook's inverse prediction."""

import itertools

import numpy as np
import pytest
from scipy.optimize import lsq_linear
from scipy.stats import norm
from scipy.stats import t as student

from recommender.advice.bands import best_draws
from recommender.advice.outlook import Outlook, Standard, chance_of_pass
from recommender.advice.search import CLOSE, Quadratic, Scale, expected, lowest, stepped
from recommender.learning.estimator import EvidenceRegressor


def random_problem(rng: np.random.Generator, n: int = 5) -> Quadratic:
    root = rng.normal(size=(n + 2, n))
    return Quadratic(root.T @ root + 0.2 * np.eye(n), rng.normal(size=n) * 3)


@pytest.mark.parametrize("seed", range(10))
def test_the_box_minimum_is_that_of_scipy(seed):
    problem = random_problem(np.random.default_rng(seed))
    low, high = np.full(5, -0.7), np.full(5, 0.9)
    root = np.linalg.cholesky(problem.bend).T
    theirs = lsq_linear(root, -np.linalg.solve(root.T, problem.slope), bounds=(low, high), tol=1e-12).x
    ours = lowest(problem, np.zeros(5), low, high, np.ones(5, dtype=bool))
    assert ours == pytest.approx(theirs, abs=1e-4)


@pytest.mark.parametrize("seed", range(10))
def test_the_stepped_minimum_is_near_the_best_of_the_whole_grid(seed):
    rng = np.random.default_rng(seed)
    problem = random_problem(rng, 4)
    scale = tuple(Scale(np.arange(-2, 2.5, 0.5), np.arange(-2, 2.5, 0.5)) for _ in range(4))
    grid = np.array(list(itertools.product(*(one.amounts for one in scale))))
    best = problem.cost(grid).min()
    free = np.ones((1, 4), dtype=bool)
    found = float(problem.cost(stepped(problem, scale, np.zeros((1, 4)), free))[0])
    assert found <= best + 0.05 * abs(best)


def test_what_is_not_free_stays():
    problem = random_problem(np.random.default_rng(0))
    start = np.array([0.3, -0.2, 0.1, 0.0, 0.5])
    free = np.array([True, False, True, False, True])
    found = lowest(problem, start, np.full(5, -2.0), np.full(5, 2.0), free)
    assert (found[~free] == start[~free]).all()
    assert (found[free] != start[free]).all()


def test_thermometer_inverse_prediction():
    """Calibration of a thermometer, read 104 deg: true temperature 103.995, 95 % interval 103.4 to 104.6.

    Values attributed to Graybill and Iyer, Regression Analysis: Concepts and Applications, 1994, chapter 6. Their interval counts
    the noise as estimated (Student's t with 6 degrees of freedom), ours takes it as known: theirs is wider by the quotient.
    """
    true = np.arange(96.0, 111.0, 2.0)
    read = np.array([95.71, 98.16, 99.52, 102.09, 103.79, 106.18, 108.14, 110.21])
    model = EvidenceRegressor(prior_spread=np.inf).fit(true[:, None], read - 104)
    rows = (true - true.mean())[:, None]
    line = np.column_stack([np.ones(8), rows])
    cov = model.noise_**2 * np.linalg.inv(line.T @ line)
    outlook = Outlook(np.array([[model.intercept_ + model.coef_[0] * true.mean(), model.coef_[0]]]), cov[None], np.zeros(1), Standard())
    box = np.array([-50.0]), np.array([50.0])
    problem = expected(outlook, np.array([1e6]))
    best = lowest(problem, np.zeros(1), *box, np.ones(1, dtype=bool)) + true.mean()
    assert best[0] == pytest.approx(103.995, abs=0.006)
    draws = best_draws(outlook, np.array([1e6]), *box, slack=model.noise_)[:, 0] + true.mean()
    half = np.diff(np.quantile(draws, [0.025, 0.975]))[0] / 2 * student.ppf(0.975, 6) / norm.ppf(0.975)
    assert round(best[0] - half, 1) == 103.4
    assert round(best[0] + half, 1) == 104.6


def test_expected_cost_is_the_mean_over_draws():
    rng = np.random.default_rng(4)
    roots = rng.normal(size=(5, 4, 4)) / 3
    outlook = Outlook(rng.normal(size=(5, 4)), roots @ np.swapaxes(roots, 1, 2), np.ones(5), Standard())
    problem = expected(outlook, np.full(3, 1e9))
    thetas = outlook.mean + np.einsum("kij,skj->ski", roots, rng.normal(size=(200_000, 5, 4)))
    at = np.array([1.0, 0.3, -0.5, 0.2])
    drawn = ((thetas @ at) ** 2).sum(axis=1).mean() - (thetas[..., 0] ** 2).sum(axis=1).mean()
    assert problem.cost(at[1:]) * CLOSE**2 == pytest.approx(drawn, rel=0.02)


def test_chance_of_pass_is_the_share_of_draws_inside():
    rng = np.random.default_rng(5)
    mean, variance, noise = rng.normal(size=5) / 2, rng.uniform(0.05, 0.3, 5), np.full(5, 0.3)
    standard = Standard(tolerance=0.8, share=0.5, lapse=0.04, joint=1.0)
    seen = mean + rng.normal(size=(400_000, 5)) * np.sqrt(variance + 0.5 * noise**2)
    inside = (np.abs(seen) < 0.8).all(axis=1).mean()
    assert chance_of_pass(mean, variance, noise, standard) == pytest.approx(0.04 + 0.92 * inside, abs=0.003)
