"""What would change if one more control were moved than the few that a proposal moves.

A proposal gives up a little pass chance for moving fewer controls (`moves.NEARLY`); this says how much, and by which control.
"""

from dataclasses import dataclass

import numpy as np

from recommender.advice.moves import Move, moves_between
from recommender.advice.outlook import Outlook
from recommender.advice.seam import Seam
from recommender.advice.search import expected, reach, scales, stepped
from recommender.learning import Array, Integers
from recommender.trade.settings import Settings


@dataclass(frozen=True, slots=True, kw_only=True)
class OneMore:
    """The best settings that move one control more."""

    further: Move
    """The control that the proposal leaves alone."""
    moves: tuple[Move, ...]
    """Every move from the last swatch, `further` among them; the others may go to another end than the proposal's."""
    settings: Settings
    """Where the moves lead."""
    pass_chance: float
    """Chance that a swatch with `settings` passes."""


def one_more(outlook: Outlook, seam: Seam, last: Settings, proposed: Settings) -> OneMore | None:
    """The further control that is best worth moving, with all that are moved then; None where none is left that would be moved.

    Parameters
    ----------
    last
        Settings of this seam's last swatch.
    proposed
        Settings of the proposal that follows it, see `moves.best_settings`.
    """
    moved = np.array([control in {move.control for move in moves_between(last, proposed)} for control in seam.controls])
    others = np.flatnonzero(~moved)
    if not len(others):
        return None
    found = [_set(seam, proposed, amounts, free) for amounts, free in zip(*_tried(outlook, seam, last, moved, others), strict=True)]
    stood = proposed.controls()
    able = [(s, seam.controls[j]) for s, j in zip(found, others, strict=True) if s.controls()[seam.controls[j]] != stood[seam.controls[j]]]
    if not able:
        return None
    chances = outlook.pass_chance(seam.amounts_of([settings for settings, _ in able]))
    settings, control = able[int(chances.argmax())]
    moves = moves_between(last, settings)
    (further,) = (move for move in moves if move.control == control)
    return OneMore(further=further, moves=moves, settings=settings, pass_chance=float(chances.max()))


def _tried(outlook: Outlook, seam: Seam, last: Settings, moved: Array, others: Integers) -> tuple[Array, Array]:
    """For each of the other controls, the best amounts where it is free with those that move; and what is free then."""
    problem, scale = expected(outlook, reach(seam)), scales(seam)
    free = np.repeat(moved[None], len(others), axis=0)
    free[np.arange(len(others)), others] = True
    return stepped(problem, scale, seam.amounts(last), free), free


def _set(seam: Seam, proposed: Settings, amounts: Array, free: Array) -> Settings:
    """The proposed settings with the free controls at the steps of their amounts."""
    steps = zip(seam.controls, scales(seam), amounts, free, strict=True)
    return proposed.having({name: scale.setting(at) for name, scale, at, is_free in steps if is_free})
