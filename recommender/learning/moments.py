"""Sufficient statistics of several linear regressions that share their rows' features and one grouping.

Everything that the posterior needs of the data is a sum over rows. So rows can be added and removed one at a time, and the
statistics of two sets of rows added up, without a second look at a row.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from recommender.learning import Array, Integers


@dataclass(frozen=True, slots=True)
class Moments:
    """Weighted sums over rows, for `n_responses` responses at once.

    With features `z` (n_terms), responses `y` (n_responses) and weights `w` (n_responses) of a row; a response that is
    missing has weight 0.
    """

    gram: Array
    """Sum of w z z', shape (n_responses, n_terms, n_terms)."""
    cross: Array
    """Sum of w z y, shape (n_responses, n_terms)."""
    square: Array
    """Sum of w y y, shape (n_responses,)."""
    count: Array
    """Number of rows with a weight above 0, shape (n_responses,)."""
    log_weight: Array
    """Sum of log w over those rows, shape (n_responses,)."""
    groups: Mapping[str, int]
    """Group name -> its place in the three arrays below."""
    group_weight: Array
    """Sum of w by group, shape (n_responses, n_groups)."""
    group_terms: Array
    """Sum of w z by group, shape (n_responses, n_groups, n_terms)."""
    group_cross: Array
    """Sum of w y by group, shape (n_responses, n_groups)."""

    @classmethod
    def none(cls, n_responses: int, n_terms: int) -> "Moments":
        """The statistics of no rows."""
        k, p = n_responses, n_terms
        flat = np.zeros(k)
        return cls(np.zeros((k, p, p)), np.zeros((k, p)), flat, flat, flat, {}, np.zeros((k, 0)), np.zeros((k, 0, p)), np.zeros((k, 0)))

    @classmethod
    def of(cls, features: Array, responses: Array, weights: Array, groups: Sequence[str]) -> "Moments":
        """The statistics of some rows.

        Parameters
        ----------
        features : (n_rows, n_terms)
        responses : (n_rows, n_responses); the value of a response whose weight is 0 is not looked at
        weights : (n_rows, n_responses), 0 or more
        groups : one group name a row
        """
        seen = weights > 0
        y = np.where(seen, responses, 0.0)
        weighted = weights.T[:, :, None] * features  # (n_responses, n_rows, n_terms)
        names = {name: place for place, name in enumerate(dict.fromkeys(groups))}
        member = np.zeros((len(names), len(features)))
        member[[names[name] for name in groups], np.arange(len(features))] = 1.0
        return cls(
            gram=np.swapaxes(weighted, 1, 2) @ features,
            cross=np.einsum("kip,ik->kp", weighted, y),
            square=(weights * y * y).sum(axis=0),
            count=seen.sum(axis=0).astype(float),
            log_weight=np.log(np.where(seen, weights, 1.0)).sum(axis=0),
            groups=names,
            group_weight=(member @ weights).T,
            group_terms=member @ weighted,
            group_cross=(member @ (weights * y)).T,
        )

    @property
    def n_terms(self) -> int:
        """Number of features of a row."""
        return int(self.gram.shape[-1])

    @property
    def told(self) -> Integers:
        """Places of the terms of which the rows say anything at all, shape (n_told,)."""
        return np.flatnonzero(np.diagonal(self.gram, axis1=1, axis2=2).any(axis=0))

    def of_terms(self, places: Integers) -> "Moments":
        """The statistics of some of the features."""
        return replace(
            self,
            gram=self.gram[:, places[:, None], places],
            cross=self.cross[:, places],
            group_terms=self.group_terms[:, :, places],
        )

    def without_groups(self) -> "Moments":
        """The same rows with no group effects among them."""
        k, p = len(self.gram), self.n_terms
        return replace(self, groups={}, group_weight=np.zeros((k, 0)), group_terms=np.zeros((k, 0, p)), group_cross=np.zeros((k, 0)))

    def __add__(self, other: "Moments") -> "Moments":
        return self._joined(other, 1.0)

    def __sub__(self, other: "Moments") -> "Moments":
        return self._joined(other, -1.0)

    def _joined(self, other: "Moments", sign: float) -> "Moments":
        names = {name: place for place, name in enumerate(dict.fromkeys((*self.groups, *other.groups)))}
        places = [names[name] for name in other.groups]

        def by_group(mine: Array, theirs: Array) -> Array:
            joined = np.concatenate([mine, np.zeros((mine.shape[0], len(names) - mine.shape[1], *mine.shape[2:]))], axis=1)
            joined[:, places] += sign * theirs
            return joined

        return Moments(
            gram=self.gram + sign * other.gram,
            cross=self.cross + sign * other.cross,
            square=self.square + sign * other.square,
            count=self.count + sign * other.count,
            log_weight=self.log_weight + sign * other.log_weight,
            groups=names,
            group_weight=by_group(self.group_weight, other.group_weight),
            group_terms=by_group(self.group_terms, other.group_terms),
            group_cross=by_group(self.group_cross, other.group_cross),
        )
