"""Which controls to move, and how far: the fewest that do nearly as well as moving all."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from recommender.advice.outlook import Outlook
from recommender.advice.seam import Seam
from recommender.advice.search import expected, reach, scales, stepped
from recommender.advice.words import spoken
from recommender.learning import Array
from recommender.trade.settings import Settings

NEARLY = 0.05
"""How much pass chance may be given up for moving fewer controls, and no more than a tenth of it where it is small."""


@dataclass(frozen=True, slots=True)
class Move:
    """One control to move."""

    control: str
    """Its name in `Settings.controls()`."""
    start: float
    """Where it stood for the last swatch."""
    end: float
    """Where to set it."""

    @property
    def sentence(self) -> str:
        """What to do, as a sentence.

        >>> Move("tension: upper looper", 4, 5).sentence
        'Upper looper tension up from 4 to 5.'
        """
        way = "up" if self.end > self.start else "down"
        return f"{spoken(self.control).capitalize()} {way} from {self.start:g} to {self.end:g}."


def moves_between(start: Settings, end: Settings) -> tuple[Move, ...]:
    """The controls that differ."""
    before = start.controls()
    return tuple(Move(c, before[c], value) for c, value in end.controls().items() if c in before and before[c] != value)


def best_settings(outlook: Outlook, seam: Seam, last: Settings | None) -> Settings:
    """The settings to sew next: what is moved on the machine's steps, all else as the last swatch had it.

    Parameters
    ----------
    last
        Settings of this seam's last swatch.
    """
    start = seam.baseline.settings if last is None else seam.kept(last)
    amounts = best_amounts(outlook, seam, None if last is None else seam.amounts(last))
    chosen = zip(seam.controls, scales(seam), amounts.tolist(), seam.amounts(start).tolist(), strict=True)
    return start.having({control: scale.setting(amount) for control, scale, amount, stood in chosen if amount != stood})


def best_amounts(outlook: Outlook, seam: Seam, start: Array | None) -> Array:
    """The amounts to sew next.

    From the baseline every control is free. From a swatch that was sewn, all sets of controls are tried, and the smallest is
    taken whose pass chance is `NEARLY` the best; what failed is not sewn again.

    Parameters
    ----------
    start : (n_controls,), or None for the baseline
    """
    problem, scale = expected(outlook, reach(seam)), scales(seam)
    n = len(scale)
    if start is None:
        return np.asarray(stepped(problem, scale, np.zeros((1, n)), np.ones((1, n), dtype=bool))[0])
    free = np.array((np.arange(2**n)[:, None] >> np.arange(n)) % 2 == 1)
    tried = stepped(problem, scale, start, free)
    chances = outlook.pass_chance(tried)
    good = chances >= chances.max() - min(NEARLY, 0.1 * chances.max())
    moved = (tried != start).sum(axis=1)
    again = among(tried, outlook.failed)  # what failed is sewn again only where there is nothing else
    order = np.lexsort((problem.cost(tried), moved, ~good, again))
    return np.asarray(tried[order[0]])


def among(amounts: Array, others: Array) -> npt.NDArray[np.bool_]:
    """Which of some settings are among others, shape (n_settings,).

    Parameters
    ----------
    amounts : (n_settings, n_controls)
    others : (n_others, n_controls)
    """
    if not len(others):
        return np.zeros(len(amounts), dtype=bool)
    return np.asarray(np.isclose(amounts[:, None], others).all(axis=-1).any(axis=-1))
