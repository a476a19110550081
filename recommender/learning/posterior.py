"""The posterior of several linear regressions with one random effect a group, from sufficient statistics alone.

For response k and row i of group f(i), with features z_i and weight w_ik:

    y_ik = z_i' beta_k + u_{k, f(i)} + e_ik,    e_ik ~ N(0, sigma_k^2 / w_ik),    u_kf ~ N(0, tau_k^2)      (1)
    beta_kj ~ N(m_kj, (lambda_{b(j)} s_kj)^2),    corr(beta_kj, beta_lj) = a_kj a_lj for k != l              (2)

The group effects are integrated out. With s_f, t_f and n_f a group's sums of w z, w y and w, and
c_f = 1 / (n_f + sigma^2 / tau^2):

    P = D^-1 + (gram - sum_f c_f s_f s_f') / sigma^2                                                         (3)
    P mu = D^-1 m + (cross - sum_f c_f s_f t_f) / sigma^2                                                    (4)

Gelman et al., Bayesian Data Analysis, 3rd edition, 2013, chapters 14 and 15 (from memory; the tests hold the numbers to
scikit-learn's BayesianRidge and to statsmodels' mixed models).
"""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from scipy.linalg import cho_solve, solve_triangular

from recommender.learning import Array, Integers
from recommender.learning.moments import Moments

_UNDETERMINED = "the coefficients are not determined: give every term a prior with a finite spread, or more rows"


@dataclass(frozen=True, slots=True)
class Prior:
    """What is believed of the coefficients before a row is seen: equation (2) without its lambda."""

    mean: Array
    """m, shape (n_responses, n_terms)."""
    spread: Array
    """s, standard deviations above 0 (infinite for a flat prior), shape (n_responses, n_terms)."""
    block: Integers
    """Block of each term, a place in `Scales.block`, shape (n_terms,)."""
    tie: Array | None = None
    """a, between -1 and 1: how a term's coefficients hang together across the responses, 0 where they do not; a term that is tied has
    a finite spread. Shape (n_responses, n_terms); None where no term's do."""

    @property
    def apart(self) -> "Prior":
        """The same with nothing that ties the responses together."""
        return replace(self, tie=None)

    def of_terms(self, places: Integers) -> "Prior":
        """The prior of some of the terms."""
        return Prior(self.mean[:, places], self.spread[:, places], self.block[places], None if self.tie is None else self.tie[:, places])


@dataclass(frozen=True, slots=True)
class Scales:
    """The standard deviations that the evidence tunes."""

    block: Array
    """lambda, how far the terms of a block stray, relative to the prior's own spread; shape (n_blocks,)."""
    noise: Array
    """sigma, shape (n_responses,)."""
    group: Array
    """tau, shape (n_responses,)."""


@dataclass(frozen=True)
class Posterior:
    """Coefficients with their covariance, and what is needed to say something of a group. Made by `posterior`."""

    mean: Array
    """mu, shape (n_responses, n_terms)."""
    moments: Moments
    """The data behind it."""
    scales: Scales
    """The scales behind it."""
    shrink: Array
    """c_f of every group, shape (n_responses, n_groups)."""
    told: Integers
    """Places of the terms of which the data say anything, shape (n_told,)."""
    precision: Array
    """P of those terms, shape (n_responses, n_told, n_told)."""
    factor: Array
    """Its lower Cholesky factor."""
    untold: Array
    """Prior variance of the other terms, 0 for those that are told, shape (n_responses, n_terms)."""

    @cached_property
    def cov(self) -> Array:
        """Covariance of the coefficients, shape (n_responses, n_terms, n_terms)."""
        inverse = np.linalg.inv(self.precision)
        cov = self.untold[:, :, None] * np.eye(self.untold.shape[1])
        cov[:, self.told[:, None], self.told] = (inverse + np.swapaxes(inverse, 1, 2)) / 2
        return np.asarray(cov)

    @property
    def log_det(self) -> Array:
        """Log det P of all terms, flat priors of which nothing is told left out, shape (n_responses,)."""
        factors = 2 * np.log(np.diagonal(self.factor, axis1=1, axis2=2)).sum(axis=1)
        return np.asarray(factors - np.log(np.where(self.untold > 0, self.untold, 1.0)).sum(axis=1))

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
        cov = self._carried(lifted)
        mean[:, 0] += shift
        cov[:, 0, 0] += own
        return mean, cov

    def group_effects(self) -> tuple[Array, Array]:
        """Posterior mean and variance of u of every group, each of shape (n_responses, n_groups)."""
        terms = self.moments.group_terms
        left = self.moments.group_cross - np.einsum("kfp,kp->kf", terms, self.mean)
        carried = np.einsum("kfp,kfp->kf", terms @ self.cov, terms)
        return self.shrink * left, self.shrink * self.scales.noise[:, None] ** 2 + self.shrink**2 * carried

    def _carried(self, rows: Array) -> Array:
        """Rows cov rows', shape (n_responses, n_rows, n_rows), without the inverse: it is asked for a few rows after every swatch."""
        told = np.swapaxes(rows[:, :, self.told], 1, 2)
        halves = np.array([solve_triangular(factor, part, lower=True) for factor, part in zip(self.factor, told, strict=True)])
        return np.asarray(np.swapaxes(halves, 1, 2) @ halves + (rows * self.untold[:, None, :]) @ np.swapaxes(rows, 1, 2))


def posterior(moments: Moments, prior: Prior, scales: Scales) -> Posterior:
    """Equations (3) and (4), each response's own part of the posterior where terms tie them together.

    Terms of which the rows say nothing keep their prior and are left out of the arithmetic.

    Raises
    ------
    numpy.linalg.LinAlgError
        If a flat prior leaves the coefficients undetermined.
    """
    variance = scales.noise**2
    prior_precision = (scales.block[prior.block] * prior.spread) ** -2.0  # 1 / inf is 0: a flat prior adds nothing
    shrink = 1.0 / (moments.group_weight + (variance / scales.group**2)[:, None])
    told = moments.told
    precision, target = _told(moments.of_terms(told), prior_precision[:, told], prior.mean[:, told], shrink, variance)
    untold = np.setdiff1d(np.arange(moments.n_terms), told)
    try:
        precision, target = _tied(precision, target, prior_precision[:, told], prior.of_terms(told))
        factor = np.asarray(np.linalg.cholesky(precision), dtype=np.float64)
    except np.linalg.LinAlgError as error:
        raise np.linalg.LinAlgError(_UNDETERMINED) from error
    if not prior_precision[:, untold].all():
        raise np.linalg.LinAlgError(_UNDETERMINED)
    mean, spare = prior.mean.copy(), np.zeros(prior.mean.shape)
    mean[:, told] = [cho_solve((half, True), part) for half, part in zip(factor, target, strict=True)]
    spare[:, untold] = 1 / prior_precision[:, untold]
    return Posterior(mean, moments, scales, shrink, told, precision, factor, spare)


def _told(moments: Moments, prior_precision: Array, prior_mean: Array, shrink: Array, variance: Array) -> tuple[Array, Array]:
    """P and P mu."""
    pulled = np.sqrt(shrink)[:, :, None] * moments.group_terms
    precision = (moments.gram - np.swapaxes(pulled, 1, 2) @ pulled) / variance[:, None, None]
    diagonal = np.arange(moments.n_terms)
    precision[:, diagonal, diagonal] += prior_precision
    by_group = np.einsum("kfp,kf->kp", moments.group_terms, shrink * moments.group_cross)
    return precision, prior_precision * prior_mean + (moments.cross - by_group) / variance[:, None]


def _tied(precision: Array, target: Array, prior_precision: Array, prior: Prior) -> tuple[Array, Array]:
    """P and P mu of each response's own part of the joint posterior.

    Of the terms that tie the responses together, each response says what its rows leave when its other terms are integrated out. All
    that is said of them is put together under their joint prior, and what the others say takes the place of the prior in each.
    """
    if prior.tie is None or not len(ties := np.flatnonzero((prior.tie != 0).sum(axis=0) > 1)):
        return precision, target
    k, n = len(precision), len(ties)
    others = np.setdiff1d(np.arange(precision.shape[1]), ties)
    believed, centre, tie = prior_precision[:, ties], prior.mean[:, ties], prior.tie[:, ties]
    solved = np.linalg.solve(
        precision[:, others[:, None], others], np.concatenate([precision[:, others[:, None], ties], target[:, others, None]], axis=2)
    )
    carried = precision[:, ties[:, None], others] @ solved
    said = precision[:, ties[:, None], ties] - believed[:, :, None] * np.eye(n) - carried[:, :, :-1]
    weight = target[:, ties] - believed * centre - carried[:, :, -1]
    alike = np.where(np.eye(k, dtype=bool)[:, :, None], 1.0, tie[:, None] * tie[None])  # (k, k, n)
    together = np.linalg.inv(np.moveaxis(alike / np.sqrt(believed[:, None] * believed[None]), 2, 0))  # (n, k, k)
    joint = np.zeros((k, n, k, n))
    joint[np.arange(k), :, np.arange(k)] = said
    joint[:, np.arange(n), :, np.arange(n)] += together
    cov = np.linalg.inv(joint.reshape(k * n, k * n))
    mean = (cov @ (weight + np.einsum("nkl,ln->kn", together, centre)).ravel()).reshape(k, n)
    own = np.linalg.inv(cov.reshape(k, n, k, n)[np.arange(k), :, np.arange(k)])
    precision, target = precision.copy(), target.copy()
    precision[:, ties[:, None], ties] += (own + np.swapaxes(own, 1, 2)) / 2 - said - believed[:, :, None] * np.eye(n)
    target[:, ties] += np.einsum("knm,km->kn", own, mean) - weight - believed * centre
    return precision, target


def log_evidence(found: Posterior, prior: Prior) -> tuple[float, Scales]:
    """Log density of the data with everything but the scales integrated out, and its slope in the logarithm of each scale.

    The responses count as independent: ties between them are not looked at, and `found` must be without them.

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
