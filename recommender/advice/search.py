"""The settings at which every reading is nought: a small quadratic problem on the machine's own steps.

The best amounts d minimise the expected squared readings and a pull to the baseline,

    cost(d) = sum_k E[r_k(d)^2] / slack^2 + sum_j (d_j / reach_j)^2,                                         (7)

a quadratic in d. Read as a density, exp(-cost / 2) with theta drawn says where the best setting of this seam lies; the pull is
then what is believed of it where the readings do not tell the controls apart.
"""

from dataclasses import dataclass

import numpy as np

from recommender.advice.levers import LEVERS, beliefs
from recommender.advice.outlook import Outlook
from recommender.advice.seam import Seam
from recommender.learning import Array, Integers

SLACK = 0.3
"""How near to nought the best setting brings every reading."""

CLOSE = 0.2
"""The same for a proposal, which minds the readings more and the baseline less than the density does: more first swatches passed so."""

_SWEEPS = 40
_ENOUGH = 1e-6


@dataclass(frozen=True, slots=True)
class Scale:
    """What one control can be set to on this machine."""

    values: Array
    """Settings, rising."""
    amounts: Array
    """The same as amounts above the baseline, rising; 0 is among them."""

    def nearest(self, amounts: Array) -> Integers:
        """Places of the settings nearest to some amounts."""
        return np.asarray(np.abs(self.amounts[:, None] - amounts.ravel()).argmin(axis=0).reshape(amounts.shape))

    def setting(self, amount: float) -> float:
        """The setting nearest to an amount."""
        return float(self.values[self.nearest(np.asarray(amount))])


@dataclass(frozen=True, slots=True)
class Quadratic:
    """cost(d) = d'Hd + 2 d'q + constant, for one or many problems at once."""

    bend: Array
    """H, shape (..., n_controls, n_controls)."""
    slope: Array
    """q, shape (..., n_controls)."""

    def cost(self, amounts: Array) -> Array:
        """The cost less its constant."""
        bent = np.einsum("...j,...ji,...i->...", amounts, self.bend, amounts)
        return np.asarray(bent + 2 * (amounts * self.slope).sum(axis=-1))


def reach(seam: Seam) -> Array:
    """How far the best setting of each control is believed to lie from the baseline, in units, shape (n_controls,)."""
    return np.asarray(beliefs().reach[lever_places(seam)])


def lever_places(seam: Seam) -> Integers:
    """The place in `LEVERS` of every control of a seam, a needle's being that of both, shape (n_controls,)."""
    levers = (control.removeprefix("tension: ") for control in seam.controls)
    return np.array([LEVERS.index("needles" if "needle" in lever else lever) for lever in levers])


def scales(seam: Seam) -> tuple[Scale, ...]:
    """The scale of every control of a seam."""
    return tuple(Scale(*seam.scale(control)) for control in seam.controls)


def ends(scale: tuple[Scale, ...]) -> tuple[Array, Array]:
    """The least and the greatest amount of every control, each of shape (n_controls,)."""
    return np.array([one.amounts[0] for one in scale]), np.array([one.amounts[-1] for one in scale])


def expected(outlook: Outlook, reaches: Array) -> Quadratic:
    """Equation (7) for what is believed, with `CLOSE` for its slack."""
    second = np.einsum("ki,kj->ij", outlook.mean, outlook.mean) + outlook.cov.sum(axis=0)
    pull = np.diag((outlook.roam * reaches) ** -2.0)
    return Quadratic(second[1:, 1:] / CLOSE**2 + pull, (outlook.mean[:, 0] @ outlook.mean[:, 1:] + outlook.caution) / CLOSE**2)


def drawn(thetas: Array, reaches: Array, slack: float = SLACK) -> Quadratic:
    """Equation (7) for each of some draws, shape (n_draws, n_readings, 1 + n_controls)."""
    start, levers = thetas[..., 0], thetas[..., 1:]
    bend = np.swapaxes(levers, -1, -2) @ levers / slack**2 + np.diag(reaches**-2.0)
    return Quadratic(bend, np.einsum("...kj,...k->...j", levers, start) / slack**2)


def lowest(problem: Quadratic, start: Array, low: Array, high: Array, free: Array) -> Array:
    """The amounts of least cost inside a box, by turns over the controls; those that are not free stay at `start`.

    Parameters
    ----------
    start, free : (..., n_controls), one problem or one set of free controls a row
    low, high : (n_controls,)
    """
    amounts = np.array(np.broadcast_to(start, np.broadcast_shapes(start.shape, problem.slope.shape, free.shape)))
    for _ in range(_SWEEPS):
        before = amounts.copy()
        for j in range(amounts.shape[-1]):
            amounts[..., j] = np.where(free[..., j], np.clip(_turn(problem, amounts, j), low[j], high[j]), amounts[..., j])
        if np.abs(amounts - before).max() < _ENOUGH:
            break
    return amounts


def stepped(problem: Quadratic, scale: tuple[Scale, ...], start: Array, free: Array) -> Array:
    """The same on the machine's steps: the best of the grid points around them, then each control in turn until none gains.

    Parameters
    ----------
    start : (n_controls,) or (n_problems, n_controls)
    free : (n_problems, n_controls)
    """
    corners = _corners(lowest(problem, start, *ends(scale), free), scale, free)
    best = problem.cost(corners).argmin(axis=0)
    amounts = corners[best, np.arange(len(free))]
    for _ in range(_SWEEPS):
        before = amounts.copy()
        for j, one in enumerate(scale):
            turned = one.amounts[one.nearest(_turn(problem, amounts, j))]
            amounts[..., j] = np.where(free[..., j], turned, amounts[..., j])
        if np.array_equal(amounts, before):
            break
    return np.asarray(amounts)


def _corners(amounts: Array, scale: tuple[Scale, ...], free: Array) -> Array:
    """Every grid point next to some amounts, shape (2 ** n_controls, n_problems, n_controls); what is not free stays as it is."""
    beside = np.empty((2, *amounts.shape))
    for j, one in enumerate(scale):
        above = np.searchsorted(one.amounts, amounts[:, j] - _ENOUGH).clip(0, len(one.amounts) - 1)
        exact = np.abs(one.amounts[above] - amounts[:, j]) <= _ENOUGH
        beside[:, :, j] = one.amounts[np.where(exact, above, above - 1).clip(0)], one.amounts[above]
    beside = np.where(free, beside, amounts)
    sides = np.arange(2 ** len(scale))[:, None] >> np.arange(len(scale)) & 1
    return np.asarray(np.where(sides[:, None, :] == 1, beside[1], beside[0]))


def _turn(problem: Quadratic, amounts: Array, j: int) -> Array:
    """The best amount of control j with the others held."""
    bend = problem.bend[..., j, :]
    others = (bend * amounts).sum(axis=-1) - bend[..., j] * amounts[..., j]
    return np.asarray(-(problem.slope[..., j] + others) / bend[..., j])
