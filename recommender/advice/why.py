"""Why each number differs from the baseline, in terms that add up.

Left alone, the best amounts are linear in what the readings are believed to be on the baseline, -H^-1 G'a / slack^2, and those
are a sum over the causes of the readings; so the difference from the baseline is a sum over the same causes.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from recommender.advice.model import Model, cloth
from recommender.advice.outlook import Outlook
from recommender.advice.seam import Seam
from recommender.advice.search import SLACK, expected, reach
from recommender.learning import Array
from recommender.trade.settings import Settings

OWN = "this cloth's own swatches"
CAUTION = "caution where a lever is uncertain"
REST = "steps, ranges and as few moves as will do"

_SMALL = 1e-12


@dataclass(frozen=True, slots=True)
class Term:
    """One cause of a difference."""

    name: str
    """The cause, such as `stretch`, `machine` or `this cloth's own swatches`."""
    amount: float
    """What it adds to the control, in the control's own unit."""


def reasons(model: Model, seam: Seam, outlook: Outlook, settings: Settings) -> Mapping[str, tuple[Term, ...]]:
    """By control, the causes of its difference from the baseline, the largest first; they add up to the difference."""
    problem = expected(outlook, reach(seam))
    causes = _causes(model, seam)
    pulls = {name: outlook.mean[:, 1:].T @ readings for name, readings in causes.items()}
    pulls[CAUTION] = outlook.cov[:, 1:, 0].sum(axis=0)
    amounts = {name: -np.linalg.solve(problem.bend, pull) / SLACK**2 for name, pull in pulls.items()}
    total = np.sum(list(amounts.values()), axis=0)
    baseline, chosen = seam.baseline.settings.controls(), settings.controls()
    found = {}
    for place, control in enumerate(seam.controls):
        per_unit = _per_unit(seam, control, float(total[place]))
        terms = [Term(name, float(amount[place]) * per_unit) for name, amount in amounts.items() if abs(amount[place]) > _SMALL]
        left = chosen[control] - baseline[control] - sum(term.amount for term in terms)
        terms += [Term(REST, left)] if abs(left) > _SMALL else []
        found[control] = tuple(sorted(terms, key=lambda term: -abs(term.amount)))
    return MappingProxyType(found)


def _causes(model: Model, seam: Seam) -> dict[str, Array]:
    """What each cause makes of the readings on the baseline, each of shape (n_readings,)."""
    frame, found = model.terms.frame(seam), model.posterior
    parts = found.mean * frame.base
    causes: dict[str, Array] = {}
    for place, column in enumerate(model.terms.columns):
        if frame.base[place] != 0.0:
            causes[column.property] = causes.get(column.property, np.zeros(len(parts))) + parts[:, place]
    whole = found.linear(frame.base[None], cloth(seam.fabric))[0][:, 0]
    causes[OWN] = whole - parts.sum(axis=1)
    return causes


def _per_unit(seam: Seam, control: str, amount: float) -> float:
    """Change of the setting for one unit: the mean slope between the baseline and `amount`, so that parts of it add up."""
    step = amount if abs(amount) > 1e-6 else 1e-6
    start = seam.baseline.settings.controls()[control]
    return (seam.free_value(control, step) - start) / step
