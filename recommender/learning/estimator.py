"""The regression at the heart, as a scikit-learn estimator for one response."""

from dataclasses import replace
from typing import Any, Self

import numpy as np
from sklearn.base import BaseEstimator, RegressorMixin
from sklearn.utils.validation import (  # type: ignore[attr-defined]  # scikit-learn's own tools, which its stubs do not know yet
    _check_sample_weight,
    check_is_fitted,
    validate_data,
)

from recommender.learning import Array
from recommender.learning.evidence import ScaleGuess, tuned
from recommender.learning.moments import Moments
from recommender.learning.posterior import Prior, Scales, log_evidence, posterior


class EvidenceRegressor(RegressorMixin, BaseEstimator):
    """Linear regression with blocks of terms, one random effect a group, and scales tuned by the evidence.

    For row i of group f(i) with features x_i (n_features),

        y_i = a + x_i' b + u_f(i) + e_i,   e_i ~ N(0, sigma^2),   u_f ~ N(0, tau^2),   b_j ~ N(m_j, (lambda_c(j) s_j)^2)

    where c(j) is the block of feature j and the intercept a has a flat prior. sigma, tau and every lambda maximise the probability
    of the data with a, b and u integrated out; with a flat prior on b that is restricted maximum likelihood.

    Parameters
    ----------
    prior_mean : float or array of shape (n_features,), default 0
        m, in units of y per unit of the feature.
    prior_spread : float or array of shape (n_features,), default 1
        s; infinite for a flat prior, whose block then has no lambda to tune.
    blocks : array of shape (n_features,) of int, or None
        c; None for one block.
    doubt : float, default inf
        How far the scales may stray from their start, as a standard deviation of their logarithms.

    Attributes
    ----------
    coef_ : array of shape (n_features,)
    intercept_ : float
    covariance_ : array of shape (n_features, n_features)
        Posterior covariance of `coef_`.
    noise_, group_ : float
        sigma and tau; tau is 0 where there were no groups.
    block_scale_ : array of shape (n_blocks,)
        lambda.
    log_evidence_ : float
        Natural logarithm, flat priors' constants left out.

    References
    ----------
    MacKay, Bayesian interpolation, Neural Computation 4, 1992, 415-447 (from memory; see `recommender.learning.posterior`).

    Examples
    --------
    >>> X, y = np.arange(12.0)[:, None], 3 + 2 * np.arange(12.0)
    >>> model = EvidenceRegressor(prior_spread=np.inf).fit(X, y + np.tile([0.1, -0.1], 6))
    >>> bool(abs(model.coef_[0] - 2) < 0.02)
    True
    >>> mean, deviation = model.predict([[5.0]], return_std=True)
    >>> bool(abs(mean[0] - 13) < 0.1), bool(0.1 < deviation[0] < 0.15)
    (True, True)
    """

    def __init__(self, *, prior_mean: Any = 0.0, prior_spread: Any = 1.0, blocks: Any = None, doubt: float = np.inf) -> None:
        self.prior_mean = prior_mean
        self.prior_spread = prior_spread
        self.blocks = blocks
        self.doubt = doubt

    def fit(self, X: Any, y: Any, sample_weight: Any = None, groups: Any = None) -> Self:
        """Fit the coefficients and tune the scales.

        Parameters
        ----------
        X : (n_samples, n_features)
        y : (n_samples,)
        sample_weight : (n_samples,) or None
            How often each row counts.
        groups : (n_samples,) or None
            Names of the groups; None for no random effect.

        Raises
        ------
        ValueError
            If a shape, a value or a parameter is not as described.
        """
        X, y = validate_data(self, X, y, y_numeric=True, dtype=np.float64)
        y = np.asarray(y, dtype=np.float64)
        weights = _check_sample_weight(sample_weight, X, dtype=np.float64, ensure_non_negative=True)
        # Features are taken in units of their spread about their mean: the sums of squares then lose the fewest digits.
        self._centre = np.average(X, axis=0, weights=weights)
        self._unit = self._spread(X, weights)
        self._level = float(np.average(y, weights=weights))
        prior = self._prior(X.shape[1])
        rows = np.column_stack([(X - self._centre) / self._unit, np.ones(len(X))])
        once = Moments.of(rows, (y - self._level)[:, None], weights[:, None], self._names(groups, len(X)))
        self._moments = replace(once, count=weights.sum(keepdims=True), log_weight=np.zeros(1))
        if groups is None:
            self._moments = self._moments.without_groups()
        scales = tuned(self._moments, prior, ScaleGuess(self._start(prior), self.doubt), precision=1e-12)
        self._take(prior, scales)
        return self

    def predict(self, X: Any, return_std: bool = False) -> Any:
        """Mean, and the standard deviation of a new row of a new group if wanted.

        Parameters
        ----------
        X : (n_samples, n_features)
        return_std : bool

        Returns
        -------
        mean : (n_samples,)
        deviation : (n_samples,), if `return_std`
        """
        check_is_fitted(self)
        X = validate_data(self, X, reset=False, dtype=np.float64)
        mean = X @ self.coef_ + self.intercept_
        if not return_std:
            return mean
        rows = np.column_stack([(X - self._centre) / self._unit, np.ones(len(X))])
        carried = np.einsum("ip,pq,iq->i", rows, self._posterior.cov[0], rows, optimize=True)
        return mean, np.sqrt(carried + self.noise_**2 + self.group_**2)

    def _take(self, prior: Prior, scales: Scales) -> None:
        found = posterior(self._moments, prior, scales)
        self._posterior = found
        self.coef_: Array = found.mean[0, :-1] / self._unit
        self.intercept_ = float(found.mean[0, -1] + self._level - self.coef_ @ self._centre)
        self.covariance_: Array = found.cov[0, :-1, :-1] / np.outer(self._unit, self._unit)
        self.noise_ = float(scales.noise[0])
        self.group_ = float(scales.group[0]) if self._moments.groups else 0.0
        self.block_scale_: Array = scales.block[:-1]
        self.log_evidence_ = log_evidence(found, prior)[0]

    def _prior(self, n_features: int) -> Prior:
        """The prior in units of the features' spread, with a flat one for the intercept in a block of its own."""
        spread = np.broadcast_to(np.asarray(self.prior_spread, dtype=float), n_features)
        mean = np.broadcast_to(np.asarray(self.prior_mean, dtype=float), n_features)
        blocks = np.zeros(n_features, dtype=int) if self.blocks is None else np.asarray(self.blocks)
        if blocks.shape != (n_features,) or not np.issubdtype(blocks.dtype, np.integer) or blocks.min() < 0:
            raise ValueError(f"blocks: got {blocks.dtype} of shape {blocks.shape}, expected {n_features} whole numbers from 0")
        if not (spread > 0).all() or not self.doubt > 0:
            raise ValueError("prior_spread and doubt: expected numbers above 0")
        return Prior(
            mean=np.append(mean * self._unit, 0.0)[None],
            spread=np.append(spread * self._unit, np.inf)[None],
            block=np.append(blocks, blocks.max() + 1),
        )

    def _start(self, prior: Prior) -> Scales:
        """Scales to start from: half of the responses' spread is noise, and half the groups', where there are any."""
        spread = float(np.sqrt(max(self._moments.square[0] / self._moments.gram[0, -1, -1], 1e-20)))
        return Scales(np.ones(int(prior.block.max()) + 1), np.array([spread / 2]), np.array([spread / 2]))

    @staticmethod
    def _spread(X: Array, weights: Array) -> Array:
        spread = np.sqrt(np.average((X - np.average(X, axis=0, weights=weights)) ** 2, axis=0, weights=weights))
        return np.where(spread > 0, spread, 1.0)

    @staticmethod
    def _names(groups: Any, n: int) -> list[str]:
        if groups is None:
            return ["all"] * n
        if len(groups) != n:
            raise ValueError(f"groups: got {len(groups)} names, expected {n}, one a row")
        return [str(name) for name in groups]
