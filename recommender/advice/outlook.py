"""What is believed of the five readings of one seam, at any settings: all that a proposal needs to know of the model.

With amounts d (n_controls) above the baseline, reading k is

    r_k(d) = (1, d)' theta_k,    theta_k ~ N(mean_k, cov_k)                                                  (5)

and a swatch passes when every reading, as the sewer sees it, lies within the studio's tolerance t:

    P(pass) = lapse + (1 - 2 lapse) [prod_k P(|r_k(d) + e_k| < t)]^joint,    e_k ~ N(0, share sigma_k^2)     (6)

The readings of one swatch go wrong together (one tension moves several), so that the product alone would be too timid.

Where swatches of the seam failed, what would have passed there is believed the less: a draw of theta counts by the chance that it gave
the fails, each to the power `FAIL`.
"""

from dataclasses import dataclass, field

import numpy as np
from scipy.special import ndtr

from recommender.advice.draws import normal_draws, roots
from recommender.advice.levers import LEVERS
from recommender.learning import Array

FAIL = 0.5
"""How much a fail counts beside its readings, which have told a part of it already. Of 0, 1/4, 1/2, 3/4 and 1 the one whose chances came
true on rooms 520 to 525 of `tests/slow/test_score.py`: whole fails make them too timid, and without any they are too bold after fails."""

_DRAWS = 256


@dataclass(frozen=True, slots=True)
class Standard:
    """What this studio's ratings tell beyond its readings; equation (6)."""

    tolerance: float = 0.9
    """t, in readings."""
    share: float = 0.2
    """How much of the readings' noise variance is in the swatch itself and not only in the looking."""
    lapse: float = 0.03
    """How often a swatch is rated the wrong way."""
    joint: float = 0.8
    """How far the readings pass or fail together: 1 if each for itself, nearer to 0 the more they do."""
    roam: tuple[float, ...] = (1.0,) * len(LEVERS)
    """How far the best settings of this studio's cloths lie from the baseline, by lever, relative to the reach that is believed."""
    ratings: int = 0
    """Number of rated swatches that the model has learned."""


@dataclass(frozen=True, slots=True)
class Outlook:
    """Equation (5) for one seam, with the noise of equation (6)."""

    mean: Array
    """Shape (n_readings, 1 + n_controls)."""
    cov: Array
    """Shape (n_readings, 1 + n_controls, 1 + n_controls)."""
    noise: Array
    """sigma, shape (n_readings,)."""
    standard: Standard
    """What passes."""
    roam: float | Array = 1.0
    """`Standard.roam` of this seam's controls, shape (n_controls,) or one for all."""
    homing: float | Array = 0.0
    """What in `caution` comes of nothing but that a machine's grip is the better known the nearer to its home marks, (n_controls,)."""
    failed: Array = field(default_factory=lambda: np.empty((0, 0)))
    """Amounts at which swatches of this very seam failed of themselves, shape (n_failed, n_controls)."""

    @property
    def caution(self) -> Array:
        """How far doubt about what a control does goes with doubt about the readings on the baseline, shape (n_controls,).

        It draws a control to where more is known. Without `homing`, which would draw an empty log's proposal off the baseline.
        """
        return np.asarray(self.cov[:, 1:, 0].sum(axis=0) - self.homing)

    def readings(self, amounts: Array) -> tuple[Array, Array]:
        """Mean and variance of every reading at some settings.

        Parameters
        ----------
        amounts : (..., n_controls)

        Returns
        -------
        mean, variance : each (..., n_readings)
        """
        at = np.concatenate([np.ones((*amounts.shape[:-1], 1)), amounts], axis=-1)
        mean = at @ self.mean.T
        half = np.tensordot(at, self.cov, axes=([-1], [1]))  # (..., n_readings, 1 + n_controls)
        return mean, (half * at[..., None, :]).sum(axis=-1)

    def pass_chance(self, amounts: Array) -> Array:
        """Chance that a swatch passes at some settings, shape of `amounts` less its last axis."""
        if not len(self.failed):
            return chance_of_pass(*self.readings(amounts), self.noise, self.standard)
        thetas = self.draws(_DRAWS)
        return np.asarray(np.tensordot(self.weights(thetas), self.chances(thetas, amounts), axes=1))

    def draws(self, n: int) -> Array:
        """Draws of theta whatever failed, shape (n, n_readings, 1 + n_controls)."""
        return np.asarray(self.mean + np.einsum("kij,skj->ski", roots(self.cov), normal_draws(self.mean.shape, n)))

    def chances(self, thetas: Array, amounts: Array) -> Array:
        """Chance that a swatch passes were theta known, shape (n_draws, *shape of `amounts` less its last axis)."""
        at = np.concatenate([np.ones((*amounts.shape[:-1], 1)), amounts], axis=-1)
        readings = np.moveaxis(np.tensordot(thetas, at, axes=([2], [-1])), 1, -1)
        return chance_of_pass(readings, np.zeros(1), self.noise, self.standard)

    def weights(self, thetas: Array) -> Array:
        """How much each draw of theta counts after what failed, 1 in all, shape (n_draws,)."""
        if not len(self.failed):
            return np.full(len(thetas), 1 / len(thetas))
        told = FAIL * np.log1p(-self.chances(thetas, self.failed).clip(max=1 - 1e-12)).sum(axis=1)
        counts = np.exp(told - told.max())
        return np.asarray(counts / counts.sum())


def chance_of_pass(mean: Array, variance: Array, noise: Array, standard: Standard) -> Array:
    """Equation (6) for readings of known mean and variance, shape (..., n_readings)."""
    deviation = np.sqrt(variance + standard.share * noise**2)
    inside = ndtr((standard.tolerance - mean) / deviation) - ndtr((-standard.tolerance - mean) / deviation)
    return standard.lapse + (1 - 2 * standard.lapse) * np.asarray(inside.prod(axis=-1)) ** standard.joint
