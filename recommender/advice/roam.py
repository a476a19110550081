"""How far the best settings of a studio's cloths lie from the baseline, control by control, by its own log.

On the baseline a seam's readings are a = -G d, with d the best amounts and G its levers. If d_j has the spread roam_j reach_j, the
readings tell d with the mean -K a and the covariance R - K G R, where R = diag((roam reach)^2) and K = R G' (G R G' + slack^2)^-1. The
expectation-maximisation algorithm, from roam = 1 and with a = mean with variance V, repeats

    roam_j^2 = (prior + sum over seams of E[d_j^2] / reach_j^2) / (prior + number of seams with that control)

which stays at 1 for what the readings do not tell. (Dempster, Laird and Rubin, J. R. Statist. Soc. B 39, 1977, 1-38, from memory.)
"""

from collections.abc import Iterable

import numpy as np

from recommender.advice.levers import LEVERS
from recommender.advice.search import SLACK
from recommender.learning import Array, Integers
from recommender.learning.posterior import Posterior

_PRIOR = 6.0
"""Weight of the belief that roam is 1, in seams."""
_STEPS = 8
"""More change the spreads by a few hundredths."""


def roam(found: Posterior, seams: Iterable[tuple[str, Array, Array, Integers]]) -> tuple[float, ...]:
    """The spread of the best settings relative to the reach that is believed, by lever in the order of `LEVERS`.

    Parameters
    ----------
    seams
        What tells the cloth apart, the rows of the baseline and of its levers (1 + n_controls, n_terms), the reach of its controls
        and their places in `LEVERS`, each (n_controls,).
    """
    told = [(*found.linear(rows, cloth), reaches, places) for cloth, rows, reaches, places in seams]
    roams = np.ones(len(LEVERS))
    for _ in range(_STEPS):
        total, count = np.full(len(LEVERS), _PRIOR), np.full(len(LEVERS), _PRIOR)
        for mean, cov, reaches, places in told:
            np.add.at(total, places, roams[places] ** 2 * _squares(mean, cov, roams[places] * reaches))
            np.add.at(count, places, 1.0)
        roams = np.sqrt(total / count)
    return tuple(float(f"{value:.4g}") for value in roams)


def _squares(mean: Array, cov: Array, spread: Array) -> Array:
    """E[d_j^2] of one seam, relative to the square of the spread that is believed, shape (n_controls,)."""
    scaled = mean[:, 1:] * spread  # G R^(1/2)
    gain = np.linalg.solve(scaled @ scaled.T + SLACK**2 * np.eye(len(mean)), scaled).T
    second = np.outer(mean[:, 0], mean[:, 0]) + np.diag(cov[:, 0, 0])
    return np.asarray(np.einsum("jk,kl,jl->j", gain, second, gain) + 1 - np.einsum("jk,kj->j", gain, scaled))
