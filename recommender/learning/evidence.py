"""The scales that make the data most probable: type-II maximum likelihood with weak priors on the scales themselves."""

from dataclasses import dataclass

import numpy as np

from recommender.learning import Array
from recommender.learning.moments import Moments
from recommender.learning.posterior import Prior, Scales, log_evidence, posterior

_REACH = 7.0
"""No scale strays further than a factor exp(7) from its guess: where rows are fitted exactly the noise would run to 0, and rounding
would drown the rest."""


@dataclass(frozen=True, slots=True)
class ScaleGuess:
    """Where the scales are believed to lie: each is log-normal around `centre`."""

    centre: Scales
    """The guess, as standard deviations."""
    doubt: float = 1.0
    """Standard deviation of the logarithm of each scale; infinite for none but what the evidence says."""


def tuned(moments: Moments, prior: Prior, guess: ScaleGuess, precision: float = 1e-8) -> Scales:
    """The scales of highest evidence times `guess`; with no rows, the guess itself.

    Each response's evidence counts for itself, without what ties it to the others. The search ends when a step gains less than
    `precision` of the logarithm of the evidence, or its slope is as small.
    """
    if not moments.count.any():
        return guess.centre
    from scipy.optimize import minimize  # here, for a model whose scales are known never needs it, and it takes long to import

    start = np.log(_flat(guess.centre))
    # A term of which the rows say nothing keeps its prior whatever the scales are, and adds nothing to the evidence.
    moments, prior = moments.of_terms(moments.told), prior.of_terms(moments.told).apart

    def cost(log_scales: Array) -> tuple[float, Array]:
        scales = _split(np.exp(log_scales), guess.centre)
        value, slope = log_evidence(posterior(moments, prior, scales), prior)
        away = (log_scales - start) / guess.doubt
        return 0.5 * float(away @ away) - value, away / guess.doubt - _flat(slope)

    bounds = [(centre - _REACH, centre + _REACH) for centre in start]
    options = {"maxiter": 200, "ftol": precision, "gtol": precision}
    found = minimize(cost, start, jac=True, method="L-BFGS-B", bounds=bounds, options=options)
    return _split(np.exp(found.x), guess.centre)


def _flat(scales: Scales) -> Array:
    return np.concatenate([scales.block, scales.noise, scales.group])


def _split(flat: Array, like: Scales) -> Scales:
    block, noise, group = np.split(flat, np.cumsum([len(like.block), len(like.noise)]))
    return Scales(block, noise, group)
