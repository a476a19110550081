"""Which settings a planned swatch may have: on the machine's steps, inside its ranges, and nothing that the cautions speak against."""

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from recommender.advice.draws import normal_draws
from recommender.advice.outlook import Outlook
from recommender.advice.seam import Seam
from recommender.advice.search import Scale, reach, scales
from recommender.learning import Array
from recommender.trade.settings import Settings

SPAN = 1.5
"""How far a planned swatch may stray from the proposal, in reaches of each control: further out a lever is no longer straight."""

STRAIGHT = 0.5
"""How large a reading may be before what it says of the levers is taken to be as wrong as it is noisy: a lever is straight only near
0, and the scale ends at 2. Our guess, chosen among four on a few simulated rooms, in which bands shrank sooner with it than without."""

_SPREAD = 64


@dataclass(frozen=True, slots=True)
class Options:
    """What the controls of one seam may be set to for a planned swatch."""

    start: Array
    """Amounts of the proposal, or the nearest that may be, shape (n_controls,)."""
    levels: tuple[Array, ...]
    """By control: the amounts that it may be set to, rising; `start` is among them."""

    def first(self) -> Array:
        """Amounts to begin the search with: the proposal, every single move, and a spread over all; (n_swatches, n_controls)."""
        spread = ndtr(normal_draws((len(self.levels),), _SPREAD))
        drawn = [level[(share * len(level)).astype(int)] for level, share in zip(self.levels, spread.T, strict=True)]
        return np.concatenate([self.moved(self.start), np.column_stack(drawn)])

    def moved(self, amounts: Array) -> Array:
        """Some amounts as they are and with each one control moved to each of its levels, (n_swatches, n_controls)."""
        moved = [amounts[None]]
        for place, level in enumerate(self.levels):
            one = np.repeat(amounts[None], len(level), axis=0)
            one[:, place] = level
            moved.append(one)
        return np.concatenate(moved)


def options(seam: Seam, proposal: Settings) -> Options:
    """What a planned swatch of a seam may be set to.

    * Within `SPAN` reaches of the proposal, and no further out than the machine goes.
    * Length and width inside the stitch's usual range.
    * Where the knife is out of action, or a cord lies between needle and knife, never narrower than the baseline: the cloth, fold
      or cord must not reach past the cutting width.
    * Where a rolled-hem position sets the tension, the dials are left as proposed.

    A control that the proposal has outside of this starts at the nearest setting inside.
    """
    proposed, reaches, levels = seam.amounts(proposal), reach(seam), []
    for place, (control, scale) in enumerate(zip(seam.controls, scales(seam), strict=True)):
        allowed = _allowed(seam, control, scale, float(proposed[place]))
        away = np.abs(allowed - proposed[place])
        levels.append(allowed[away <= max(SPAN * reaches[place], away.min()) + 1e-9])
    start = np.array([level[np.abs(level - amount).argmin()] for level, amount in zip(levels, proposed, strict=True)])
    return Options(start, tuple(levels))


def legible(outlook: Outlook, amounts: Array) -> Array:
    """How much each reading of some swatches is expected to count: less the further it lies from 0, (n_swatches, n_readings)."""
    mean, variance = outlook.readings(amounts)
    return np.asarray(1 / (1 + (mean**2 + variance) / STRAIGHT**2))


def _allowed(seam: Seam, control: str, scale: Scale, proposed: float) -> Array:
    """Every amount that a control may be set to, near or far; never empty."""
    if control.startswith("tension: "):
        held = seam.stitch.rolled and seam.machine.rolled_position
        return np.array([proposed]) if held else scale.amounts
    if control == "differential":
        return scale.amounts
    low, high = getattr(seam.stitch, control)
    if control == "width" and (not seam.stitch.knife_on or seam.stitch.family == "corded"):
        low = max(low, seam.baseline.settings.width)
    usual = scale.amounts[(scale.values >= low - 1e-9) & (scale.values <= high + 1e-9)]
    return usual if len(usual) else np.zeros(1)  # a machine that does not reach the usual range stays on the baseline
