"""A running sum of what a machine's residuals say for a shift of one control, either way, begun at any of its swatches.

For a cause c (a control and a direction) that sets in with swatch t, the residuals e of `residuals.py` beside this file are expected
to shift by f, and the logarithm of the likelihood ratio after n swatches is the sum

    L_ct(n) = sum over residuals of the swatches t to n of (f e - f^2 / 2)                                   (12)

Page's sum (Biometrika 41, 1954, 100-115, from memory) takes its largest over t; Shiryaev and Roberts (Roberts, Technometrics 8,
1966, 411-430, from memory) take the mean over the causes of the sum over t,

    R(n) = mean_c sum_{t <= n} exp L_ct(n)                                                                   (13)

which on our simulated workshop tells a shift sooner at the same rate of false alarms, and says what the cause probably is. While
nothing has shifted, R(n) - n is expected to be 0 for ever, so that an alarm at R = A comes once in A swatches or less often, whatever
the signatures f are (Pollak, Annals of Statistics 13, 1985, 206-227, from memory). Residuals are cut off at `CUT`: symmetric
residuals cut short keep that promise, and a swatch whose readings were taken for one another does not raise an alarm by itself.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import logsumexp

from recommender.advice.model import Model, seam_of, swatches
from recommender.advice.watching.residuals import residuals
from recommender.learning import Array, Integers
from recommender.swatches.trial import Trial
from recommender.trade.machine import Machine
from recommender.trade.readings import READINGS
from recommender.trade.thread import POSITIONS

SHIFTS: Mapping[str, float] = {f"tension: {position}": 1.0 for position in POSITIONS} | {"differential": 0.5}
"""By control that may drift: the shift that is looked for, in units of the control; for a tension one dial number, for the feed half
a quarter (a factor of 1.12)."""

CUT = 2.5
"""Residuals further from 0, in standard deviations, count as this far."""

BACK = 100
"""How many swatches back a shift may have set in; what is older the model has long taken for the machine's nature."""


@dataclass(frozen=True, slots=True)
class Signature:
    """What each cause would do to the residuals of a stretch of log."""

    shown: Array
    """f, shape (n_controls, n_readings, n_swatches, n_onsets); 0 where a reading was not made."""
    left: Array
    """e, cut off, shape (n_readings, n_swatches)."""
    mine: Integers
    """Places of the machine's swatches in the stretch, which are also the onsets, shape (n_onsets,)."""

    def sums(self, left: Array | None = None) -> Array:
        """Equation (12) after each of the machine's swatches, for other residuals than the log's where they are given.

        Returns
        -------
        sums : (2 n_controls, n_onsets, n_onsets)
            By cause (every control up, then every control down), swatch n and onset t; minus infinity where n is before t, or more
            than `BACK` swatches after it.
        """
        told = np.einsum("ckto,kt->cto", self.shown, self.left if left is None else np.clip(left, -CUT, CUT))
        spent = (self.shown**2).sum(axis=1) / 2
        sums = np.concatenate([told - spent, -told - spent]).cumsum(axis=1)[:, self.mine]
        age = np.subtract.outer(np.arange(len(self.mine)), np.arange(len(self.mine)))
        return np.asarray(np.where((age >= 0) & (age < BACK), sums, -np.inf), dtype=np.float64)


def by_cause(sums: Array) -> Array:
    """Logarithm of each cause's part of (13), shape (n_causes, n_swatches)."""
    return np.asarray(logsumexp(sums, axis=2) - np.log(len(sums)))


def signature(model: Model, trials: Sequence[Trial], machines: Mapping[str, Machine], machine: str) -> Signature:
    """What a shift of each control of one machine would have done to the residuals of the last swatches of a log.

    Parameters
    ----------
    model : the model of the log, `trials` included
    trials : the last swatches of the log, on all machines, in the order of sewing
    """
    stretch = swatches(trials, machines, model.terms)
    found = residuals(model.removing(stretch), stretch)
    mine = np.array([place for place, trial in enumerate(trials) if trial.machine == machine], dtype=np.int64)
    effects = _effects(model, trials, machines, mine)
    begun = np.arange(len(trials))[:, None] >= mine  # (n_swatches, n_onsets)
    shown = np.zeros((len(SHIFTS), len(READINGS), *begun.shape))
    left = np.zeros((len(READINGS), len(trials)))
    for k, one in enumerate(found):
        left[k, one.seen] = one.left.clip(-CUT, CUT)
        for c in range(len(SHIFTS)):
            shown[c, k, one.seen] = one.shown(effects[c, k][:, None] * begun)
    return Signature(shown, left, mine)


def _effects(model: Model, trials: Sequence[Trial], machines: Mapping[str, Machine], mine: Integers) -> Array:
    """What the shift of each control does to the readings of the machine's swatches, shape (n_controls, n_readings, n_swatches)."""
    effects = np.zeros((len(SHIFTS), len(READINGS), len(trials)))
    for place in mine.tolist():
        seam = seam_of(trials[place], machines)
        levers = dict(zip(seam.controls, model.terms.frame(seam).lever, strict=True))
        for c, (control, shift) in enumerate(SHIFTS.items()):
            if control in levers:
                effects[c, :, place] = shift * model.posterior.mean @ levers[control]
    return effects
