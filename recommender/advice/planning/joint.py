"""What is believed of several seams at once, and how sure one more swatch would make of it.

Everything is linear and the noise is known, so the covariance after a swatch does not depend on how the swatch comes out: it can be
had before anything is sewn. With theta the coefficients of equation (5) of all seams, one after the other, and x the row of a
swatch, which is (1, amounts) at its own seam and 0 elsewhere,

    cov' = cov - (cov x) (cov x)' / (x' cov x + sigma^2 / w)                                                 (8)

That is exact for the reading itself. What it tells of the machine to the other readings makes those a little surer yet, and is left out.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from recommender.advice.model import Model, cloth
from recommender.advice.seam import Seam
from recommender.learning import Array


@dataclass(frozen=True, slots=True)
class Joint:
    """The covariance of the coefficients of several seams, the effects of their cloths included."""

    seams: tuple[Seam, ...]
    """The seams, in the order of the coefficients."""
    places: tuple[slice, ...]
    """Where each seam's 1 + n_controls coefficients stand."""
    cov: Array
    """Shape (n_readings, n_coefficients, n_coefficients)."""
    noise: Array
    """sigma, shape (n_readings,)."""

    def of(self, place: int) -> Array:
        """The covariance of one seam's own coefficients, shape (n_readings, 1 + n_controls, 1 + n_controls)."""
        own = self.places[place]
        return self.cov[:, own, own]

    def reached(self, place: int, amounts: Array, weights: Array) -> Array:
        """What swatches of one seam would tell, each taken alone: cov x over the root of the denominator of (8).

        Parameters
        ----------
        amounts : (n_swatches, n_controls)
        weights : (n_swatches, n_readings)
            w, how much each reading of it will count.

        Returns
        -------
        told : (n_readings, n_coefficients, n_swatches)
            The covariance shrinks by told told'.
        """
        own = self.places[place]
        at = np.column_stack([np.ones(len(amounts)), amounts])
        carried = self.cov[:, :, own] @ at.T
        spread = np.einsum("ni,kin->kn", at, carried[:, own])
        return np.asarray(carried * np.sqrt(weights.T / (weights.T * spread + self.noise[:, None] ** 2))[:, None, :])

    def after(self, place: int, amounts: Array, weights: Array) -> "Joint":
        """The same once one swatch has been sewn and read, whatever it tells.

        Parameters
        ----------
        amounts : (n_controls,)
        weights : (n_readings,)
        """
        told = self.reached(place, amounts[None], weights[None])
        return replace(self, cov=self.cov - told @ np.swapaxes(told, 1, 2))


def joint(model: Model, seams: Sequence[Seam]) -> Joint:
    """What a model believes of some seams; of one alone it is `Model.outlook`."""
    frames = [model.terms.frame(seam) for seam in seams]
    ends = np.cumsum([0, *(1 + len(frame.lever) for frame in frames)]).tolist()
    found = model.belief
    rows = np.concatenate([part for frame in frames for part in (frame.base[None], frame.lever)])
    lifted = np.broadcast_to(rows, (len(found.mean), *rows.shape)).copy()
    own = np.zeros((len(lifted), ends[-1], ends[-1]))
    cloths = [cloth(seam.fabric) for seam in seams]
    for name in dict.fromkeys(cloths):
        firsts = np.array([end for end, other in zip(ends, cloths, strict=False) if other == name])
        spare = found.scales.group**2  # tau^2, for a cloth that was never sewn
        if (place := found.moments.groups.get(name)) is not None:
            shrink = found.shrink[:, place]
            lifted[:, firsts] -= (shrink[:, None] * found.moments.group_terms[:, place])[:, None]
            spare = shrink * found.scales.noise**2
        own[:, firsts[:, None], firsts] = spare[:, None, None]
    cov = lifted @ found.cov @ np.swapaxes(lifted, 1, 2) + own
    return Joint(tuple(seams), tuple(slice(*ends) for ends in pairwise(ends)), cov, found.scales.noise)
