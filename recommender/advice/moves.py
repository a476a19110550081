"""Which controls to move, and how far: the fewest that do nearly as well as moving all."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from recommender.advice.bands import draws
from recommender.advice.outlook import Outlook, chance_of_pass
from recommender.advice.seam import Seam
from recommender.advice.search import expected, reach, scales, stepped
from recommender.advice.words import spoken
from recommender.learning import Array
from recommender.trade.settings import Settings

NEARLY = 0.05
"""How much pass chance may be given up for moving fewer controls, and no more than a tenth of it where it is small."""

FAIL = 0.5
"""How much a fail counts beside its readings, which have told a part of it already: as a power of its likelihood. Chosen among five on
twelve simulated rooms for chances that come true; whole fails make them too timid, and without any they are too bold after a fail."""

_DRAWS = 256


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


def best_settings(outlook: Outlook, seam: Seam, last: Settings | None, failed: Sequence[Settings] = ()) -> Settings:
    """The settings to sew next: what is moved on the machine's steps, all else as the last swatch had it.

    Parameters
    ----------
    last
        Settings of this seam's last swatch.
    failed
        Settings of its failed swatches.
    """
    start = seam.baseline.settings if last is None else seam.kept(last)
    amounts = best_amounts(outlook, seam, None if last is None else seam.amounts(last), seam.amounts_of(failed))
    chosen = zip(seam.controls, scales(seam), amounts.tolist(), seam.amounts(start).tolist(), strict=True)
    return start.having({control: scale.setting(amount) for control, scale, amount, stood in chosen if amount != stood})


def best_amounts(outlook: Outlook, seam: Seam, start: Array | None, failed: Array) -> Array:
    """The amounts to sew next.

    From the baseline every control is free. From a swatch that was sewn, all sets of controls are tried, and the smallest is
    taken whose pass chance is `NEARLY` the best; what failed is not sewn again.

    Parameters
    ----------
    start : (n_controls,), or None for the baseline
    failed : (n_failed, n_controls)
    """
    problem, scale = expected(outlook, reach(seam)), scales(seam)
    n = len(scale)
    if start is None:
        return np.asarray(stepped(problem, scale, np.zeros((1, n)), np.ones((1, n), dtype=bool))[0])
    free = np.array((np.arange(2**n)[:, None] >> np.arange(n)) % 2 == 1)
    tried = stepped(problem, scale, start, free)
    chances = chance_after_fails(outlook, tried, failed)
    good = chances >= chances.max() - min(NEARLY, 0.1 * chances.max())
    moved = (tried != start).sum(axis=1)
    again = (tried[:, None] == failed).all(axis=2).any(axis=1)  # what failed is sewn again only where there is nothing else
    order = np.lexsort((problem.cost(tried), moved, ~good, again))
    return np.asarray(tried[order[0]])


def chance_after_fails(outlook: Outlook, amounts: Array, failed: Array) -> Array:
    """Chance to pass at some settings, given that swatches failed at others, whatever was read on them.

    What would have passed where a swatch failed is believed the less: draws of what is believed count by `fail_weights`.

    Parameters
    ----------
    amounts : (n_settings, n_controls)
    failed : (n_failed, n_controls)
    """
    if not len(failed):
        return outlook.pass_chance(amounts)
    thetas = draws(outlook, _DRAWS)
    known = np.zeros(thetas.shape[:2])[:, None]

    def chances(at: Array) -> Array:  # (n_draws, n_settings)
        ones = np.concatenate([np.ones((len(at), 1)), at], axis=1)
        return chance_of_pass(np.einsum("nj,skj->snk", ones, thetas), known, outlook.noise, outlook.standard)

    return np.asarray(fail_weights(chances(failed)) @ chances(amounts))


def fail_weights(chances: Array) -> Array:
    """How much each draw of what is believed counts after fails, 1 in all, shape (n_draws,).

    Parameters
    ----------
    chances : (n_draws, n_failed)
        By draw, the chance to pass where a swatch failed.
    """
    told = (1 - chances).prod(axis=1) ** FAIL
    return np.asarray(told / told.sum())
