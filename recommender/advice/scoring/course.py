"""How the score went: each figure over a window that moves along the log, with the range that holds it with a probability of 80 %."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import exp

from scipy.special import betaincinv, ndtri

from recommender.advice.bands import COVERAGE
from recommender.advice.scoring.figures import average
from recommender.advice.scoring.lines import Line, log_score
from recommender.advice.scoring.replay import Piece

WINDOW = 40
"""So many swatches are looked at together."""

FIRSTS = 20
"""The same of first swatches, and of cloths that came to pass: there are fewer of them."""

_SPOTS = 150
"""At most about so many places: more than a screen can tell apart."""

_TAIL = (1 - COVERAGE) / 2


@dataclass(frozen=True, slots=True)
class Spot:
    """One figure at one place of the log."""

    swatches: int
    """How many swatches had been sewn."""
    value: float
    """The figure over the window that ends there."""
    low: float
    """Lower end of its range."""
    high: float
    """Upper end of its range."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """The figures along the log; each begins where half of its window is full, and is empty before that."""

    given: tuple[Spot, ...]
    """Chance that the model gave to what then happened, as a geometric mean."""
    given_by_rate: tuple[Spot, ...]
    """The same of the baseline's forecaster: the rate of passes of the trial's stitch so far."""
    first: tuple[Spot, ...]
    """Share of first swatches that passed."""
    first_at_model: tuple[Spot, ...]
    """The same of those sewn as the model proposed then and not on the baseline."""
    first_at_baseline: tuple[Spot, ...]
    """The same of those sewn on the baseline and not as proposed."""
    to_pass: tuple[Spot, ...]
    """Swatches to the first pass, over the cloths that came to one."""


def course(found: Sequence[Line]) -> Course:
    """The course of a replayed log."""
    firsts = [(place, line) for place, line in enumerate(found, start=1) if line.is_first]
    apart = [(place, line) for place, line in firsts if line.told.at_model != line.told.at_baseline]
    return Course(
        given=_given(found, lambda line: line.told.chance),
        given_by_rate=_given(found, lambda line: line.stitch_rate),
        first=_passed(firsts),
        first_at_model=_passed([(place, line) for place, line in apart if line.told.at_model]),
        first_at_baseline=_passed([(place, line) for place, line in apart if line.told.at_baseline]),
        to_pass=_to_pass(found),
    )


def _given(found: Sequence[Line], chance: Callable[[Line], float]) -> tuple[Spot, ...]:
    scores = [log_score(chance(line), line.trial.passed) for line in found]

    def spot(start: int, end: int) -> Spot:
        low, middle, high = _around(scores[start:end], [line.piece[0] for line in found[start:end]])
        return Spot(end, exp(middle), exp(low), min(exp(high), 1.0))

    return tuple(spot(start, end) for start, end in _windows(len(found), WINDOW))


def _passed(sewn: Sequence[tuple[int, Line]]) -> tuple[Spot, ...]:
    """Shares that passed; the range is that of a share whose prior is Jeffreys' (Brown, Cai and DasGupta 2001, from memory)."""

    def spot(start: int, end: int) -> Spot:
        hits = sum(line.trial.passed for _, line in sewn[start:end])
        low, high = betaincinv(hits + 0.5, end - start - hits + 0.5, [_TAIL, 1 - _TAIL]).tolist()
        share = hits / (end - start)
        return Spot(sewn[end - 1][0], share, min(low, share), max(high, share))

    return tuple(spot(start, end) for start, end in _windows(len(sewn), FIRSTS))


def _to_pass(found: Sequence[Line]) -> tuple[Spot, ...]:
    sewn: dict[Piece, int] = {}
    passes: dict[Piece, tuple[int, int]] = {}  # after how many swatches of the log, and how many of the piece
    for place, line in enumerate(found, start=1):
        sewn[line.piece] = sewn.get(line.piece, 0) + 1
        if line.trial.passed:
            passes.setdefault(line.piece, (place, sewn[line.piece]))
    counts = list(passes.values())

    def spot(start: int, end: int) -> Spot:
        low, middle, high = _around([float(number) for _, number in counts[start:end]])
        return Spot(counts[end - 1][0], middle, max(low, 1.0), high)

    return tuple(spot(start, end) for start, end in _windows(len(counts), FIRSTS))


def _around(values: Sequence[float], groups: Sequence[object] | None = None) -> tuple[float, float, float]:
    """A mean between the ends of its range; the error counts whole groups."""
    mean = average(values, groups)
    reach = float(ndtri(1 - _TAIL)) * mean.error
    return mean.value - reach, mean.value, mean.value + reach


def _windows(n: int, size: int) -> list[tuple[int, int]]:
    """Where each window over n things starts and ends: from half a window on, at most about `_SPOTS`, the last one at the end."""
    step = max(1, n // _SPOTS)
    ends = sorted({*range(n, size // 2 - 1, -step)})
    return [(max(0, end - size), end) for end in ends]
