"""How wide the bands of some seams are expected to be once planned swatches have been sewn and read.

The best amounts d*(theta) of equation (7) follow from coefficients of covariance C_k for reading k. At the minimum their slope is

    J_k = - H^-1 [ G_k (1, d*)' + r_k (0, I) ] / slack^2,    H = sum_k G_k G_k' / slack^2 + diag((roam reach)^-2)

with G_k the levers of the reading and r_k the reading at d*. So by the delta method, averaged over what theta may turn out to be,

    var(d_j) = E[ (H^-1)_jj ] + sum_k tr( E[ J_kj J_kj' ] C_k )                                             (9)

C_k is the only part that a swatch changes, and equation (8) says how. The criterion is V-optimality for the target seams: the mean,
over the targets and their controls, of the width of the band, 2 z sqrt(var(d_j)) / reach_j. It is counted in units of the control's
reach, so that a dial number and a millimetre can be added up.

Chaloner and Verdinelli, Bayesian experimental design: a review, Statistical Science 10, 1995, 273-304 (from memory). That the
averaged slopes never make the variance too small is the Gaussian Poincare inequality (Chernoff, Annals of Probability 9, 1981,
533-535, from memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from recommender.advice.bands import HALF
from recommender.advice.outlook import Outlook
from recommender.advice.planning.joint import Joint
from recommender.advice.seam import Seam
from recommender.advice.search import SLACK, drawn, ends, lowest, reach, scales
from recommender.learning import Array

_DRAWS = 128
_WIDE = 2 * HALF
"""Width of a band of a normal variable, in standard deviations."""


@dataclass(frozen=True, slots=True)
class Target:
    """A seam whose bands are to shrink: equation (9) but for the covariance of its coefficients."""

    place: int
    """Which seam of the joint it is."""
    floor: Array
    """E[(H^-1)_jj] / reach_j^2, shape (n_controls,)."""
    steep: Array
    """E[J_kj J_kj'] / reach_j^2, shape (n_controls, n_readings * (1 + n_controls) ** 2)."""

    def widths(self, told: Joint) -> Array:
        """Width of each control's band, in units of its reach, shape (n_controls,)."""
        return np.asarray(_WIDE * np.sqrt(self.floor + self.steep @ told.of(self.place).ravel()))

    def widths_after(self, told: Joint, reached: Array) -> Array:
        """The same after each of some swatches, taken alone; `reached` is `Joint.reached`. Shape (n_controls, n_swatches)."""
        own = reached[:, told.places[self.place]]
        shrunk = self.steep @ (own[:, :, None] * own[:, None]).reshape(-1, own.shape[-1])
        left = (self.floor + self.steep @ told.of(self.place).ravel())[:, None] - shrunk
        return np.asarray(_WIDE * np.sqrt(np.maximum(left, self.floor[:, None])))  # rounding may lead below the floor


def target(place: int, seam: Seam, outlook: Outlook) -> Target:
    """How the bands of a seam hang on what is believed of it."""
    reaches = reach(seam)
    low, high = ends(scales(seam))
    n = outlook.mean.shape[1]
    thetas = outlook.draws(_DRAWS)
    problem = drawn(thetas, outlook.roam * reaches)
    best = lowest(problem, np.zeros_like(problem.slope), low, high, np.ones_like(problem.slope, dtype=bool))
    # A control that meets the end of its dial stays there, whatever more is learned.
    free = ((best > low + 1e-9) & (best < high - 1e-9)).astype(float)
    bend = problem.bend * free[:, :, None] * free[:, None] + np.eye(n - 1) * (1 - free)[:, None]
    inverse = np.linalg.inv(bend) * free[:, :, None]
    at = np.column_stack([np.ones(len(best)), best])
    slopes = thetas[:, :, 1:, None] * at[:, None, None, :]
    slopes[..., 1:] += np.einsum("ski,si->sk", thetas, at)[:, :, None, None] * np.eye(n - 1)
    slopes = np.einsum("sij,skjp->sikp", inverse, slopes) / SLACK**2 / reaches[:, None, None]
    steep = np.einsum("sikp,sikq->ikpq", slopes, slopes) / len(thetas)
    floor = np.einsum("sii->si", inverse).mean(axis=0) / reaches**2
    return Target(place, floor, steep.reshape(n - 1, -1))


def mean_width(told: Joint, targets: Sequence[Target]) -> float:
    """The criterion: mean width of the bands of the targets, in units of each control's reach."""
    return float(np.mean(np.concatenate([one.widths(told) for one in targets])))


def mean_width_after(told: Joint, targets: Sequence[Target], reached: Array) -> Array:
    """The same after each of some swatches, taken alone, shape (n_swatches,)."""
    return np.asarray(np.concatenate([one.widths_after(told, reached) for one in targets]).mean(axis=0))
