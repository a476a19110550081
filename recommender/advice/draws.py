"""Draws of what is believed: the same at every call, so that equal beliefs give equal answers."""

import math
from functools import cache

import numpy as np
from scipy.special import ndtri

from recommender.learning import Array


def roots(cov: Array) -> Array:
    """The symmetric square roots of covariances that may be singular, shape (n, p, p).

    Where eigenvalues are equal, as in a prior, which eigenvectors are found depends on the processor; this root does not depend on them,
    rounding aside.
    """
    values, vectors = np.linalg.eigh(cov)
    return np.asarray((vectors * np.sqrt(np.clip(values, 0.0, None))[:, None, :]) @ vectors.swapaxes(1, 2))


@cache
def normal_draws(shape: tuple[int, ...], n: int, seed: int = 0) -> Array:
    """Evenly spread standard normal draws, shape (n, *shape).

    A Latin hypercube: of every component, one draw falls into each of n equally likely slices.
    """
    rng = np.random.default_rng(seed)
    slices = rng.permuted(np.tile(np.arange(n), (math.prod(shape), 1)), axis=1).T
    return np.asarray(ndtri((slices + rng.random(slices.shape)) / n)).reshape(n, *shape)
