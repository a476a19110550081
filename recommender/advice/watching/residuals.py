"""Residuals of a stretch of log, each swatch predicted from all that were sewn before it, in standard deviations.

With S the covariance of the stretch's readings, given everything before it, and S = R R', the vector R^-1 (y - expected) holds the
one-step-ahead residuals in standard deviations: independent standard normal numbers while everything is as the model says. An effect
x on the readings shows in them as R^-1 x. That is less than x over the deviation, and less with every swatch, for the model
takes part of it for a peculiarity of the cloth or of the machine; so the effect is carried through and not compared as it is.
"""

from dataclasses import dataclass

import numpy as np
from scipy.linalg import solve_triangular

from recommender.advice.model import Model, Swatches
from recommender.learning import Array, Integers
from recommender.learning.posterior import Posterior


@dataclass(frozen=True, slots=True)
class Residuals:
    """Those of one reading."""

    seen: Integers
    """Places of the swatches that tell this reading, shape (n_seen,)."""
    root: Array
    """R, lower triangular, shape (n_seen, n_seen)."""
    left: Array
    """The residuals, shape (n_seen,)."""

    def shown(self, effects: Array) -> Array:
        """What effects on the reading do to the residuals.

        Parameters
        ----------
        effects : (n_swatches, n_effects)

        Returns
        -------
        shown : (n_seen, n_effects)
        """
        return np.asarray(solve_triangular(self.root, effects[self.seen], lower=True))


def residuals(before: Model, stretch: Swatches) -> tuple[Residuals, ...]:
    """The residuals of some swatches, in the order of sewing, from a model that knows what was sewn before them; by reading."""
    return tuple(_of_reading(before.posterior, k, stretch) for k in range(stretch.readings.shape[1]))


def _of_reading(found: Posterior, k: int, stretch: Swatches) -> Residuals:
    expected, cov = _expected(found, k, stretch)
    weights = stretch.weights[:, k]
    seen = np.flatnonzero(weights > 0)
    root = np.linalg.cholesky(cov[np.ix_(seen, seen)] + np.diag(found.scales.noise[k] ** 2 / weights[seen]))
    left = solve_triangular(root, (stretch.readings[:, k] - expected)[seen], lower=True)
    return Residuals(seen, np.asarray(root, dtype=np.float64), np.asarray(left))


def _expected(found: Posterior, k: int, stretch: Swatches) -> tuple[Array, Array]:
    """Mean and covariance of the true values of one reading, what is peculiar to the cloths included."""
    moments, cloths = found.moments, dict.fromkeys(stretch.cloths)
    rows, shift = stretch.rows.copy(), np.zeros(len(stretch.rows))
    own = np.zeros((len(rows), len(rows)))
    for name in cloths:
        here = np.array([cloth == name for cloth in stretch.cloths])
        spare = found.scales.group[k] ** 2
        if (place := moments.groups.get(name)) is not None:
            shrink = found.shrink[k, place]
            rows[here] -= shrink * moments.group_terms[k, place]
            shift[here] = shrink * moments.group_cross[k, place]
            spare = shrink * found.scales.noise[k] ** 2
        own[np.ix_(here, here)] = spare
    return rows @ found.mean[k] + shift, rows @ found.cov[k] @ rows.T + own
