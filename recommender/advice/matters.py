"""What matters most: how much of the spread of the readings each control and each property accounts for, over the log."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from recommender.advice.bands import COVERAGE, normal_draws, roots
from recommender.advice.levers import LEVERS
from recommender.advice.model import Model
from recommender.learning import Array

OWN = "the cloth's own nature"
"""What no property of the cloth explains."""

_TITLES: Mapping[str, str] = MappingProxyType(
    {lever: f"{lever} tension" for lever in ("upper looper", "lower looper")}
    | dict.fromkeys(("needles", "needle difference"), "needle tension")
    | {"differential": "differential feed", "length": "stitch length", "width": "cutting width", "foot pressure": "foot pressure"}
)


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


@dataclass(frozen=True, slots=True)
class Matters:
    """What matters most in a studio's log, the largest first; controls and properties together come to 1."""

    controls: tuple[Share, ...]
    """How the machine was set."""
    properties: tuple[Share, ...]
    """Cloth, thread, stitch and machine."""
    trials: int
    """Swatches that gave at least one reading; without any, nothing can be said and both are empty."""


def matters(model: Model) -> Matters:
    """The shares of a log's trials, as the log spreads them: a control that was never moved has none.

    For each draw of the coefficients, a cause with columns c has the variance beta_c' S_cc beta_c over the log, S being the
    covariance of the rows; its share is of the sum over all causes and the cloths' own variance.
    """
    if not (trials := int(model.moments.count.max())):
        return Matters((), (), 0)
    places = _causes(model)
    variances = {cause: _variance(model, where) for cause, where in places.items()}
    variances[OWN] = np.broadcast_to(model.scales.group**2, next(iter(variances.values())).shape)
    total = np.sum(list(variances.values()), axis=0)
    shares = {cause: (variance / total).mean(axis=1) for cause, variance in variances.items()}
    controls = set(_TITLES.values())
    return Matters(
        controls=_ranked((cause, draws) for cause, draws in shares.items() if cause in controls),
        properties=_ranked((cause, draws) for cause, draws in shares.items() if cause not in controls),
        trials=trials,
    )


def _causes(model: Model) -> dict[str, Array]:
    """Cause -> the places of its columns."""
    places: dict[str, list[int]] = {}
    for place, column in enumerate(model.terms.columns):
        title = _TITLES[column.property] if column.property in LEVERS else column.property
        places.setdefault(title, []).append(place)
    return {cause: np.array(where) for cause, where in places.items()}


def _variance(model: Model, places: Array) -> Array:
    """Variance of one cause over the log by draw, shape (n_draws, n_readings)."""
    moments, found = model.moments, model.posterior
    weight = np.maximum(moments.group_weight.sum(axis=1), 1e-12)[:, None]
    centre = moments.group_terms.sum(axis=1)[:, places] / weight
    spread = moments.gram[:, places[:, None], places] / weight[:, :, None] - centre[:, :, None] * centre[:, None, :]
    cov = found.cov[:, places[:, None], places]
    draws = found.mean[:, places] + np.einsum("kij,skj->ski", roots(cov), normal_draws(cov.shape[:2]))
    return np.asarray(np.einsum("ski,kij,skj->sk", draws, spread, draws, optimize=True)).clip(0.0)


def _ranked(shares: Iterable[tuple[str, Array]]) -> tuple[Share, ...]:
    tails = (1 - COVERAGE) / 2
    found = [Share(cause, float(draws.mean()), *(float(end) for end in np.quantile(draws, [tails, 1 - tails]))) for cause, draws in shares]
    return tuple(sorted(found, key=lambda share: (-share.share, share.name)))
