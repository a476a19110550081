"""What each control is believed to move before anything is logged (data/levers.toml)."""

from dataclasses import dataclass
from functools import cache

import numpy as np

from recommender.learning import Array
from recommender.trade.readings import READINGS
from recommender.trade.tables import table

LEVERS = ("needles", "needle difference", "upper looper", "lower looper", "differential", "length", "width", "foot pressure")
"""What moves a reading: the controls, with the two needles told apart as their mean and their difference."""

RATIO = 1.25
"""One unit of differential feed and of stitch length is this factor: both act by proportion, not by amount."""


@dataclass(frozen=True, slots=True)
class Beliefs:
    """The table as arrays, readings in the order of `READINGS` and levers in that of `LEVERS`."""

    effect: Array
    """Expected change of each reading for one unit more, shape (n_readings, n_levers)."""
    spread: Array
    """Standard deviation of that change, same shape."""
    reach: Array
    """How far the best setting is believed to lie from the baseline, in units, shape (n_levers,)."""

    @property
    def size(self) -> Array:
        """How large each change may well be, its sign aside: root mean square, shape (n_readings, n_levers)."""
        return np.hypot(self.effect, self.spread)

    @property
    def sureness(self) -> Array:
        """How much of its size is what is believed, from -1 to 1 with the direction, shape (n_readings, n_levers)."""
        return self.effect / self.size


@cache
def beliefs() -> Beliefs:
    """The table of levers."""
    tables = table("levers")
    shape = len(READINGS), len(LEVERS)
    effect, spread = np.zeros(shape), np.full(shape, tables["unlisted"]["spread"])
    for row in tables["lever"]:
        place = list(READINGS).index(row["reading"]), LEVERS.index(row["control"])
        effect[place], spread[place] = row["effect"], row["spread"]
    return Beliefs(effect, spread, np.array([tables["units"][lever]["reach"] for lever in LEVERS]))
