"""What this studio lets pass, from its own ratings, each predicted before it was learned.

Every swatch is predicted from the swatches of all other cloths and from the earlier ones of its own cloth, as it would have been
when it was sewn. Leaving a whole cloth out of a Gaussian posterior needs no new fit: with the cloth's rows Z, the covariance
H = Z cov Z' that the posterior leaves to them and the covariance C of their readings given the coefficients, the residuals from
the prediction by the others are C (C - H)^-1 r, and their covariance is C (C - H)^-1 C. The earlier swatches of the same cloth
then enter by the usual rule for a conditional normal, one row at a time.
"""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
from scipy.special import expit, logit

from recommender.advice.outlook import Standard, chance_of_pass
from recommender.learning import Array
from recommender.learning.posterior import Posterior

_DOUBT = np.array([0.35, 1.2, 0.7, 0.3])
"""Doubt of the logarithm of the tolerance, the logarithm of the share, the log odds of a lapse and the logarithm of the joint."""


def standard(  # noqa: PLR0917  # the parts of one table, row by row, in the order in which it is always written
    found: Posterior, rows: Array, readings: Array, weights: Array, passed: Array, cloths: Sequence[str]
) -> Standard:
    """The tolerance, the share of noise and the lapse rate that make the ratings most probable.

    Parameters
    ----------
    found : the posterior of all these swatches
    rows : (n_trials, n_terms)
    readings, weights : (n_trials, n_readings)
    passed : (n_trials,), 1 or 0
    cloths : one name a trial
    """
    if not len(passed):
        return Standard()
    from scipy.optimize import minimize  # here, for a model whose standard is known never needs it, and it takes long to import

    mean, variance = foreseen(found, rows, readings, weights, cloths)
    start = _packed(Standard())

    def cost(packed: Array) -> float:
        chance = chance_of_pass(mean, variance, found.scales.noise, Standard(*_values(packed)))
        chance = np.clip(chance, 1e-12, 1 - 1e-12)
        away = (packed - start) / _DOUBT
        return float(0.5 * away @ away - (passed * np.log(chance) + (1 - passed) * np.log(1 - chance)).sum())

    best = minimize(cost, start, method="L-BFGS-B", bounds=[(s - 4 * d, s + 4 * d) for s, d in zip(start, _DOUBT, strict=True)])
    # To four digits: more are never known, and the last bits would differ between processors.
    tolerance, share, lapse, joint = (float(f"{value:.4g}") for value in _values(best.x))
    return Standard(tolerance=tolerance, share=share, lapse=lapse, joint=joint)


def foreseen(found: Posterior, rows: Array, readings: Array, weights: Array, cloths: Sequence[str]) -> tuple[Array, Array]:
    """Mean and variance of every reading's true value before its own swatch was read, each (n_trials, n_readings)."""
    mean, variance = np.zeros(readings.shape), np.zeros(readings.shape)
    members: dict[str, list[int]] = {}
    for place, name in enumerate(cloths):
        members.setdefault(name, []).append(place)
    for places in members.values():
        for k in range(readings.shape[1]):
            mean[places, k], variance[places, k] = _foreseen_cloth(found, k, rows[places], readings[places, k], weights[places, k])
    return mean, variance


def _foreseen_cloth(found: Posterior, k: int, rows: Array, read: Array, weights: Array) -> tuple[Array, Array]:
    """The same for one reading of one cloth's swatches."""
    seen = weights > 0
    noise = found.scales.noise[k] ** 2 / np.where(seen, weights, 1.0)
    left = rows @ found.cov[k] @ rows.T  # H, seen and unseen rows alike
    mean = rows @ found.mean[k]
    own = np.full(left.shape, found.scales.group[k] ** 2)
    if seen.any():
        o = np.flatnonzero(seen)
        given = own[np.ix_(o, o)] + np.diag(noise[o])  # C
        undone = np.linalg.solve(given - left[np.ix_(o, o)], np.column_stack([read[o] - mean[o], left[o]]))
        mean = mean - left[:, o] @ undone[:, 0]
        left = left + left[:, o] @ undone[:, 1:]
    return _one_by_one(mean, left + own, read, noise, seen)


def _one_by_one(mean: Array, cov: Array, read: Array, noise: Array, seen: npt.NDArray[np.bool_]) -> tuple[Array, Array]:
    """Mean and variance of each value given the readings before it."""
    mean, cov = mean.copy(), cov.copy()
    told_mean, told_variance = np.empty(len(mean)), np.empty(len(mean))
    for i in range(len(mean)):
        told_mean[i], told_variance[i] = mean[i], cov[i, i]
        if seen[i]:
            gain = cov[:, i] / (cov[i, i] + noise[i])
            mean += gain * (read[i] - mean[i])
            cov -= np.outer(gain, cov[i])
    return told_mean, told_variance


def _packed(of: Standard) -> Array:
    return np.array([np.log(of.tolerance), np.log(of.share), logit(of.lapse), np.log(of.joint)])


def _values(packed: Array) -> tuple[float, float, float, float]:
    """Tolerance, share, lapse and joint."""
    return float(np.exp(packed[0])), float(np.exp(packed[1])), float(expit(packed[2])), float(np.exp(packed[3]))
