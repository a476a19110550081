"""Means with their standard errors."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, slots=True)
class Figure:
    """A mean over some things; not a number where there was none."""

    value: float
    """The mean."""
    error: float
    """Its standard error."""
    number: int
    """How many things it is over."""

    def against(self, meant: float) -> int:
        """1 where it is clearly above what was meant, -1 where clearly below (by two standard errors), else 0.

        >>> share([True] * 20).against(0.8), share([True, False]).against(0.8)
        (1, 0)
        """
        off = self.value - meant
        return int(abs(off) > 2 * self.error) * (1 if off > 0 else -1)


def share(hits: Sequence[bool]) -> Figure:
    """The share of hits; its error is that of a share with one hit and one miss more, so that 3 of 3 is not taken for certain.

    >>> three = share([True, True, True])
    >>> three.value, round(three.error, 2), three.number
    (1.0, 0.23, 3)
    """
    n = len(hits)
    if not n:
        return Figure(float("nan"), float("nan"), 0)
    near = (sum(hits) + 1) / (n + 2)
    return Figure(sum(hits) / n, float(np.sqrt(near * (1 - near) / n)), n)


def average(values: Sequence[float], groups: Sequence[object] | None = None) -> Figure:
    """The mean of some values; those of one group may go together, and the error counts whole groups.

    >>> three = average([1.0, 2.0, 3.0])
    >>> three.value, round(three.error, 2), three.number
    (2.0, 0.58, 3)
    """
    n = len(values)
    if not n:
        return Figure(float("nan"), float("nan"), 0)
    mean = float(np.mean(values))
    strays: dict[object, float] = {}
    for group, value in zip(groups or range(n), values, strict=True):
        strays[group] = strays.get(group, 0.0) + value - mean
    several = len(strays)
    squares = float(np.square(list(strays.values())).sum())
    return Figure(mean, float(np.sqrt(squares * several / (several - 1))) / n if several > 1 else float("nan"), n)
