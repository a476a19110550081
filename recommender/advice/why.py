"""Why each number differs from the baseline, in terms that add up.

Left alone, the best amounts are linear in what the readings are believed to be on the baseline, -H^-1 G'a / slack^2, and those
are a sum over the causes of the readings; so the difference from the baseline is a sum over the same causes.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from recommender.advice.bands import HALF
from recommender.advice.causes import CAUTION, OWN_SWATCHES, REST, behind, cause
from recommender.advice.model import Model, cloth
from recommender.advice.outlook import Outlook
from recommender.advice.seam import Seam
from recommender.advice.search import CLOSE, expected, reach
from recommender.learning import Array
from recommender.swatches.trial import Trial
from recommender.trade.settings import Settings

_SMALL = 1e-12


@dataclass(frozen=True, slots=True)
class Term:
    """One cause of a difference."""

    name: str
    """The cause, such as `cloth weight`, `machine` or `this cloth's own swatches`."""
    amount: float
    """What it adds to the control, in the control's own unit."""
    low: float
    """Lower end of the 80 % band of `amount`."""
    high: float
    """Upper end; both ends are `amount` itself where it is arithmetic (`REST`, `CAUTION`) and nothing that swatches could tell."""
    trials: int | None
    """Swatches behind it; None where it is arithmetic, or where the log was not at hand."""


def reasons(
    model: Model, seam: Seam, outlook: Outlook, settings: Settings, trials: Sequence[Trial] | None = None
) -> Mapping[str, tuple[Term, ...]]:
    """By control, the causes of its difference from the baseline, the largest first; they add up to the difference.

    The band of a cause follows from the posterior of its own coefficients, what the levers do held at its mean.

    Parameters
    ----------
    trials : the log behind the model, for counting the swatches behind each cause
    """
    parts = _parts(model, seam, outlook)
    counts = {} if trials is None else behind(parts.keys() - {CAUTION}, trials, seam)
    total = np.sum([amount for amount, _ in parts.values()], axis=0)
    baseline, chosen = seam.baseline.settings.controls(), settings.controls()
    found = {}
    for place, control in enumerate(seam.controls):
        unit = _per_unit(seam, control, float(total[place]))
        terms = [
            _term(name, float(amount[place]) * unit, float(half[place]) * unit, counts.get(name))
            for name, (amount, half) in parts.items()
            if abs(amount[place]) > _SMALL
        ]
        left = chosen[control] - baseline[control] - sum(term.amount for term in terms)
        terms += [_term(REST, left, 0.0, None)] if abs(left) > _SMALL else []
        found[control] = tuple(sorted(terms, key=lambda term: -abs(term.amount)))
    return MappingProxyType(found)


def _term(name: str, amount: float, half: float, trials: int | None) -> Term:
    return Term(name, amount, amount - half, amount + half, trials)


def _parts(model: Model, seam: Seam, outlook: Outlook) -> dict[str, tuple[Array, Array]]:
    """By cause, how far it moves each control and half the width of its band, in units, each of shape (n_controls,)."""
    bend = expected(outlook, reach(seam)).bend
    moves = -np.linalg.solve(bend, outlook.mean[:, 1:].T) / CLOSE**2  # of each control for one of each reading
    parts = {name: (moves @ mean, HALF * np.sqrt(moves**2 @ variance)) for name, (mean, variance) in _causes(model, seam).items()}
    caution = np.asarray(-np.linalg.solve(bend, outlook.caution) / CLOSE**2)
    return parts | {CAUTION: (caution, np.zeros_like(caution))}


def _causes(model: Model, seam: Seam) -> dict[str, tuple[Array, Array]]:
    """What each cause makes of the readings on the baseline: mean and variance, each of shape (n_readings,)."""
    base = model.terms.frame(seam).base
    rows: dict[str, Array] = {OWN_SWATCHES: np.zeros(len(base))}
    for place, column in enumerate(model.terms.columns):
        if base[place] != 0.0:
            rows.setdefault(cause(column, machines_apart=True), np.zeros(len(base)))[place] = base[place]
    mean, cov = model.belief.linear(np.array(list(rows.values())), cloth(seam.fabric))  # the first bears the cloth's own effect
    return {name: (mean[:, place], cov[:, place, place]) for place, name in enumerate(rows)}


def _per_unit(seam: Seam, control: str, amount: float) -> float:
    """Change of the setting for one unit: the mean slope between the baseline and `amount`, so that parts of it add up."""
    step = amount if abs(amount) > 1e-6 else 1e-6
    start = seam.baseline.settings.controls()[control]
    return (seam.free_value(control, step) - start) / step
