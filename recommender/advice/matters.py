"""What matters most: how much of the spread of the readings each control and each property accounts for, over the log."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from recommender.advice.bands import COVERAGE
from recommender.advice.causes import ALL_ALIKE, OWN_NATURE, cause, is_control
from recommender.advice.confused import Confused, confused
from recommender.advice.draws import normal_draws, roots
from recommender.advice.model import Model
from recommender.learning import Array
from recommender.swatches.trial import Trial
from recommender.trade.machine import Machine

_STILL = 1e-9
"""Variance of a column over the log, in its own units, below which it was the same on all swatches."""

_DRAWS = 512


@dataclass(frozen=True, slots=True)
class Share:
    """One control or property."""

    name: str
    """What a sewer calls it."""
    share: float
    """Share of the spread of the readings, 0 to 1, the mean over the five readings."""
    low: float
    """Lower end of its 80 % band."""
    high: float
    """Upper end of its 80 % band."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Matters:
    """What matters most in a studio's log, the largest first; controls and properties together come to 1.

    A share is that of a cause on its own. Where two causes vary together in the log, as heavy cloth and thick thread do, what they
    add by doing so is in no share; and as the log hardly says which of the two it was, some of one may be counted to the other, and
    the bands of both are the wider.
    """

    controls: tuple[Share, ...] = ()
    """How the machine was set."""
    properties: tuple[Share, ...] = ()
    """Cloth, thread, stitch and machine."""
    trials: int = 0
    """Swatches with a reading or a pass; without any, nothing can be said and all else is empty."""
    unmoved: tuple[str, ...] = ()
    """Controls that stood alike on all swatches: nothing can be said of them, and they have no share."""
    alike: tuple[str, ...] = ()
    """Properties that were the same on all swatches, of which the same holds."""
    confused: tuple[Confused, ...] = ()
    """Pairs of controls that the log cannot tell apart, each with the swatch that would."""


def matters(model: Model, trials: Sequence[Trial], machines: Mapping[str, Machine]) -> Matters:
    """The shares of a log's trials, as the log spreads them.

    For each draw of the coefficients, a cause with columns c has the variance beta_c' S_cc beta_c over the log, S being the
    covariance of the rows; its share is of the sum over all causes and the cloths' own variance. Covariances between causes are
    left out above and below.

    Parameters
    ----------
    trials, machines : the log behind the model
    """
    if not (count := sum(bool(trial.readings) or trial.passed for trial in trials)):
        return Matters()
    places, spread = _causes(model), _spread(model)
    moved = {name: where for name, where in places.items() if np.diagonal(spread, axis1=1, axis2=2)[:, where].max() > _STILL}
    variances = {name: _variance(model, spread, where) for name, where in moved.items()}
    if (model.moments.group_weight.max(axis=0) > _STILL).sum() > 1:
        variances[OWN_NATURE] = model.scales.group[None] ** 2
    total = sum(variances.values(), np.zeros(1))
    varied = (total > _STILL).all(axis=0)  # a reading that was made on one swatch alone has no spread to share out
    shares = {name: np.mean(variance[:, varied] / total[:, varied], axis=1) for name, variance in variances.items()}
    controls = {cause(column) for column in model.terms.columns if is_control(column)}
    still = [name for name in (*places, OWN_NATURE) if name not in variances and name != ALL_ALIKE]
    return Matters(
        controls=_ranked((name, draws) for name, draws in shares.items() if name in controls),
        properties=_ranked((name, draws) for name, draws in shares.items() if name not in controls),
        trials=count,
        unmoved=tuple(name for name in still if name in controls),
        alike=tuple(name for name in still if name not in controls),
        confused=confused(model, trials, machines),
    )


def _causes(model: Model) -> dict[str, Array]:
    """Cause -> the places of its columns. How machines differ in what their controls do shows only where there are several."""
    places: dict[str, list[int]] = {}
    told = set(model.moments.told.tolist())
    several = sum(place in told for place, column in enumerate(model.terms.columns) if column.name in model.terms.machines) > 1
    for place, column in enumerate(model.terms.columns):
        places.setdefault(cause(column, machines_apart=several), []).append(place)
    return {name: np.array(where) for name, where in places.items()}


def _spread(model: Model) -> Array:
    """Covariance of the rows over the log, shape (n_readings, n_terms, n_terms)."""
    moments = model.moments
    weight = np.maximum(moments.group_weight.sum(axis=1), 1e-12)[:, None]
    centre = moments.group_terms.sum(axis=1) / weight
    return np.asarray(moments.gram / weight[:, :, None] - centre[:, :, None] * centre[:, None, :])


def _variance(model: Model, spread: Array, places: Array) -> Array:
    """Variance of one cause over the log by draw, shape (n_draws, n_readings)."""
    found = model.posterior
    cov = found.cov[:, places[:, None], places]
    draws = found.mean[:, places] + np.einsum("kij,skj->ski", roots(cov), normal_draws(cov.shape[:2], _DRAWS))
    return np.asarray(np.einsum("ski,kij,skj->sk", draws, spread[:, places[:, None], places], draws, optimize=True)).clip(0.0)


def _ranked(shares: Iterable[tuple[str, Array]]) -> tuple[Share, ...]:
    tails = (1 - COVERAGE) / 2
    found = [Share(cause, float(draws.mean()), *(float(end) for end in np.quantile(draws, [tails, 1 - tails]))) for cause, draws in shares]
    return tuple(sorted(found, key=lambda share: (-share.share, share.name)))
