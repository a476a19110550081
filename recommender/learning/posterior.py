"""The posterior of several linear regressions with one random effect a group, from sufficient statistics alone.

For response k and row i of group f(i), with features z_i and weight w_ik:

    y_ik = z_i' beta_k + u_{k, f(i)} + e_ik,    e_ik ~ N(0, sigma_k^2 / w_ik),    u_kf ~ N(0, tau_k^2)      (1)
    beta_kj ~ N(m_kj, (lambda_{b(j)} s_kj)^2)                                                                (2)

The group effects are integrated out. With s_f, t_f and n_f a group's sums of w z, w y and w, and
c_f = 1 / (n_f + sigma^2 / tau^2):

    P = D^-1 + (gram - sum_f c_f s_f s_f') / sigma^2                                                         (3)
    P mu = D^-1 m + (cross - sum_f c_f s_f t_f) / sigma^2                                                    (4)

Gelman et al., Bayesian Data Analysis, 3rd edition, 2013, chapters 14 and 15 (from memory; the tests hold the numbers to
scikit-learn's BayesianRidge and to statsmodels' mixed models).
"""

from dataclasses import dataclass

import numpy as np

from recommender.learning import Array, Integers
from recommender.learning.moments import Moments


@dataclass(frozen=True, slots=True)
class Prior:
    """What is believed of the coefficients before a row is seen: equation (2) without its lambda."""

    mean: Array
    """m, shape (n_responses, n_terms)."""
    spread: Array
    """s, standard deviations above 0 (infinite for a flat prior), shape (n_responses, n_terms)."""
    block: Integers
    """Block of each term, a place in `Scales.block`, shape (n_terms,)."""

    def of_terms(self, places: Integers) -> "Prior":
        """The prior of some of the terms."""
        return Prior(self.mean[:, places], self.spread[:, places], self.block[places])


@dataclass(frozen=True, slots=True)
class Scales:
    """The standard deviations that the evidence tunes."""

    block: Array
    """lambda, how far the terms of a block stray, relative to the prior's own spread; shape (n_blocks,)."""
    noise: Array
    """sigma, shape (n_responses,)."""
    group: Array
    """tau, shape (n_responses,)."""


@dataclass(frozen=True, slots=True)
class Posterior:
    """Coefficients with their covariance, and what is needed to say something of a group."""

    mean: Array
    """mu, shape (n_responses, n_terms)."""
    cov: Array
    """Covariance of the coefficients, shape (n_responses, n_terms, n_terms)."""
    moments: Moments
    """The data behind it."""
    scales: Scales
    """The scales behind it."""
    shrink: Array
    """c_f of every group, shape (n_responses, n_groups)."""
    log_det: Array
    """log det P, shape (n_responses,)."""

    def linear(self, rows: Array, group: str | None = None) -> tuple[Array, Array]:
        """Joint mean and covariance of several linear functions of one response, the group's own effect included in the first.

        Parameters
        ----------
        rows : (n_functions, n_terms)
            Each row z stands for z' beta; the first also bears u of `group`.
        group : str or None
            A group without data is a new one.

        Returns
        -------
        mean : (n_responses, n_functions)
        cov : (n_responses, n_functions, n_functions)
        """
        place = self.moments.groups.get(group) if group is not None else None
        k = len(self.mean)
        lifted = np.broadcast_to(rows, (k, *rows.shape)).copy()
        shift, own = np.zeros(k), self.scales.group**2
        if place is not None:
            c = self.shrink[:, place]
            lifted[:, 0] -= c[:, None] * self.moments.group_terms[:, place]
            shift, own = c * self.moments.group_cross[:, place], c * self.scales.noise**2
        mean = np.einsum("kfp,kp->kf", lifted, self.mean)
        cov = lifted @ self.cov @ np.swapaxes(lifted, 1, 2)
        mean[:, 0] += shift
        cov[:, 0, 0] += own
        return mean, cov

    def group_effects(self) -> tuple[Array, Array]:
        """Posterior mean and variance of u of every group, each of shape (n_responses, n_groups)."""
        left = self.moments.group_cross - np.einsum("kfp,kp->kf", self.moments.group_terms, self.mean)
        return self.shrink * left, self.shrink * self.scales.noise[:, None] ** 2 + self.shrink**2 * self._carried()

    def _carried(self) -> Array:
        """s_f' cov s_f, shape (n_responses, n_groups)."""
        terms = self.moments.group_terms
        return np.asarray(np.einsum("kfp,kfp->kf", terms @ self.cov, terms))


def posterior(moments: Moments, prior: Prior, scales: Scales) -> Posterior:
    """Equations (3) and (4).

    Raises
    ------
    numpy.linalg.LinAlgError
        If a flat prior leaves the coefficients undetermined.
    """
    variance = scales.noise**2
    inverse_prior = (scales.block[prior.block] * prior.spread) ** -2.0  # 1 / inf is 0: a flat prior adds nothing
    shrink = 1.0 / (moments.group_weight + (variance / scales.group**2)[:, None])
    pulled = np.sqrt(shrink)[:, :, None] * moments.group_terms
    precision = (moments.gram - np.swapaxes(pulled, 1, 2) @ pulled) / variance[:, None, None]
    diagonal = np.arange(prior.mean.shape[1])
    precision[:, diagonal, diagonal] += inverse_prior
    told = np.einsum("kfp,kf->kp", moments.group_terms, shrink * moments.group_cross)
    target = inverse_prior * prior.mean + (moments.cross - told) / variance[:, None]
    cov, log_det = _inverses(precision)
    mean = np.einsum("kpq,kq->kp", cov, target)
    return Posterior(mean, cov, moments, scales, shrink, log_det)


def log_evidence(found: Posterior, prior: Prior) -> tuple[float, Scales]:
    """Log density of the data with everything but the scales integrated out, and its slope in the logarithm of each scale.

    The slopes are posterior expectations of the complete-data score (Fisher's identity): Louis, J. R. Statist. Soc. B 44,
    1982, 226-233 (from memory; a test holds them to finite differences). A flat prior's own constant is left out.
    """
    moments, scales, mean = found.moments, found.scales, found.mean
    variance, spread = scales.noise**2, scales.block[prior.block] * prior.spread
    proper = np.isfinite(spread)
    stray2 = np.where(proper, (mean - prior.mean) ** 2 / np.where(proper, spread, 1.0) ** 2, 0.0)
    spent = np.where(proper, np.diagonal(found.cov, axis1=1, axis2=2) / np.where(proper, spread, 1.0) ** 2, 0.0)
    left = moments.group_cross - np.einsum("kfp,kp->kf", moments.group_terms, mean)
    squares = moments.square - 2 * np.einsum("kp,kp->k", moments.cross, mean) + np.einsum("kp,kpq,kq->k", mean, moments.gram, mean)
    misfit = (squares - (found.shrink * left**2).sum(axis=1)) / variance
    per_group = np.log1p(moments.group_weight * (scales.group**2 / variance)[:, None]).sum(axis=1)
    constant = moments.count * np.log(2 * np.pi * variance) - moments.log_weight
    widths = 2 * np.where(proper, np.log(np.where(proper, spread, 1.0)), 0.0).sum(axis=1)
    value = -0.5 * (constant + per_group + widths + found.log_det + misfit + stray2.sum(axis=1)).sum()

    effect, effect_variance = found.group_effects()
    group_slope = ((effect**2 + effect_variance) / scales.group[:, None] ** 2 - 1.0).sum(axis=1)
    block_slope = np.zeros(len(scales.block))
    np.add.at(block_slope, prior.block, (stray2 + spent - proper).sum(axis=0))
    # E[sum w e^2] / sigma^2: the residual at the mean, and one degree of freedom for each that data, not prior, determine.
    n_groups = moments.group_weight.shape[1]
    by_group = (moments.group_weight * (found.shrink * left) ** 2 - 2 * found.shrink * left**2).sum(axis=1)
    noise_at_mean = (squares + by_group) / variance
    determined = mean.shape[1] - spent.sum(axis=1) + n_groups - (effect_variance / scales.group[:, None] ** 2).sum(axis=1)
    noise_slope = noise_at_mean + determined - moments.count
    return float(value), Scales(block_slope, noise_slope, group_slope)


def _inverses(matrices: Array) -> tuple[Array, Array]:
    """Inverse and log determinant of symmetric positive definite matrices, shape (n, p, p)."""
    try:
        factors = np.linalg.cholesky(matrices)
    except np.linalg.LinAlgError as error:
        raise np.linalg.LinAlgError(
            "the coefficients are not determined: give every term a prior with a finite spread, or more rows"
        ) from error
    inverses = np.linalg.inv(matrices)
    log_dets = 2 * np.log(np.diagonal(factors, axis1=1, axis2=2)).sum(axis=1)
    return (inverses + np.swapaxes(inverses, 1, 2)) / 2, log_dets
