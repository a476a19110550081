"""How far each number can be trusted: bands and pass windows."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
import numpy.typing as npt
from scipy.special import ndtri

from recommender.advice.draws import normal_draws
from recommender.advice.outlook import Outlook
from recommender.advice.seam import Seam
from recommender.advice.search import SLACK, Quadratic, drawn, ends, lowest, reach, scales
from recommender.learning import Array
from recommender.trade.settings import Settings

COVERAGE = 0.8
"""Probability with which a band holds the best setting."""
HALF = float(ndtri((1 + COVERAGE) / 2))
"""From the middle of a band to its end, in standard deviations, where what it holds is normal."""

DROP = 0.1
"""How much pass chance a pass window gives away."""

_DRAWS = 512


@dataclass(frozen=True, slots=True)
class Band:
    """A range of one control."""

    low: float
    """Lower end, in the control's own unit."""
    high: float
    """Upper end, in the control's own unit."""

    def __contains__(self, value: object) -> bool:
        return isinstance(value, int | float) and self.low <= value <= self.high


def bands(outlook: Outlook, seam: Seam, settings: Settings) -> Mapping[str, Band]:
    """By control, the range that holds its best setting with probability `COVERAGE`, stretched to hold what is proposed."""
    tails = (1 - COVERAGE) / 2
    low, high = np.quantile(best_draws(outlook, reach(seam), *ends(scales(seam))), [tails, 1 - tails], axis=0)
    found = {}
    for place, (control, value) in enumerate(settings.controls().items()):
        between = float(seam.value(control, low[place])), float(seam.value(control, high[place]))
        found[control] = Band(min(between[0], value), max(between[1], value))
    return MappingProxyType(found)


def best_draws(outlook: Outlook, reaches: Array, low: Array, high: Array, slack: float = SLACK) -> Array:
    """Draws of where the best amounts of each control lie, inside a box, shape (n_draws, n_controls).

    For every draw of theta, exp(-cost / 2) of equation (7) is itself a normal density of the best amounts, of which one draw is
    taken. A control that meets its end stays there, and the others follow.

    Parameters
    ----------
    reaches, low, high : (n_controls,)
    """
    thetas, tilts = outlook.draws(_DRAWS), normal_draws((len(low),), _DRAWS, seed=1)
    problem = drawn(thetas, outlook.roam * reaches, slack)
    # Tilting the slope by a normal vector of covariance H moves the minimum by one of covariance H^-1: a draw from the density.
    tilt = np.einsum("sij,sj->si", np.linalg.cholesky(problem.bend), tilts)
    tilted = Quadratic(problem.bend, problem.slope + tilt)
    start = np.clip(-np.linalg.solve(tilted.bend, tilted.slope[..., None])[..., 0], low, high)
    return lowest(tilted, start, low, high, np.ones_like(start, dtype=bool))


def windows(outlook: Outlook, seam: Seam, settings: Settings) -> Mapping[str, Band]:
    """By control, how far it can be moved alone, the others as proposed, before the pass chance drops by more than `DROP`."""
    start, every = seam.amounts(settings), scales(seam)
    tried = [np.where(np.arange(len(start)) == place, scale.amounts[:, None], start) for place, scale in enumerate(every)]
    chances = np.split(outlook.pass_chance(np.concatenate(tried)), np.cumsum([len(one) for one in tried])[:-1])
    found = {}
    for control, scale, chance, stands in zip(seam.controls, every, chances, start, strict=True):
        here = int(scale.nearest(stands[None])[0])
        low, high = _around(chance >= chance[here] - DROP, here)
        found[control] = Band(float(scale.values[low]), float(scale.values[high]))
    return MappingProxyType(found)


def _around(good: npt.NDArray[np.bool_], here: int) -> tuple[int, int]:
    """The ends of the unbroken run of good places around one."""
    bad = np.flatnonzero(~good)
    below, above = bad[bad < here], bad[bad > here]
    return (int(below[-1]) + 1 if len(below) else 0), (int(above[0]) - 1 if len(above) else len(good) - 1)
