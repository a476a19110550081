"""The race's figures, each with its standard error, and the tables made of them."""

from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from tests.benchmarks.laps import CAP, CEILING, STUDIOS, Chances, Lap
from tests.benchmarks.ours import Ours
from tests.benchmarks.rivals import CONTROLS

Array = npt.NDArray[np.float64]

NOTES = f"""\
The standard errors count how the studios of one kind differ, too.

The log is the same for every rival: of each fabric first the baseline with three controls in ten a step off, then one control at a time
by the trouble-shooting chart, first choice in seven cases of ten, with a step of wandering now and then, until a swatch is rated a pass
or six are sewn. A first swatch passes when it truly does, whatever its rating; a chance is one of the rating, and is held against it.
After a fail each rival sees the readings as the studio's sewers make them and adjusts in its own way; the rules and those that have no
way go by the chart, and so does the Gaussian process on an empty log and where it would sew the same settings twice. "{Ours.name}" is a
studio, asked through the public Python names; its seconds include its first proposal. The ideal is the point from which the studio's
physics measures what is off; there are more controls than readings, so no swatch tells all of it. "{CEILING}" is no rival but a bound:
the ideal of the cloth's kind, on the machine's steps."""


class Figure(NamedTuple):
    """A number and its standard error."""

    value: float
    error: float

    def __str__(self) -> str:
        return f"{self.value:.2f} ± {self.error:.2f}"


def mean(by_seed: Sequence[Sequence[float]]) -> Figure:
    """Mean over cloths; its error from how the seeds' studios differ as much as from how their cloths do."""
    whole = np.concatenate([np.asarray(one, dtype=float) for one in by_seed])
    return Figure(float(whole.mean()), _spread([np.asarray(one) - whole.mean() for one in by_seed]) / len(whole))


def ratio(by_seed: Sequence[tuple[Array, Array]]) -> Figure:
    """Ratio of two means over cloths, with the error of its first-order expansion."""
    above, below = (np.concatenate([pair[side] for pair in by_seed]) for side in (0, 1))
    value = float(above.sum() / below.sum())
    return Figure(value, _spread([a - value * b for a, b in by_seed]) / float(below.sum()))


def _spread(left: Sequence[Array]) -> float:
    """Standard deviation of a sum of residuals, by seeds where there are several, else by cloths."""
    if len(left) == 1:
        return float(np.sqrt((left[0] ** 2).sum()))
    sums = np.array([one.sum() for one in left])
    return float(np.sqrt((sums**2).sum() * len(sums) / (len(sums) - 1)))


def error_ratio(laps: Sequence[Lap], control: str | None = None) -> Figure:
    """Error against the ideal over the baseline's: of one control, or of all, each in units of the baseline's mean error of it."""
    usual = {c: np.mean([e[c] for lap in laps for e in lap.baseline_errors if c in e]) for c in CONTROLS if _set_by(laps, c)}
    wanted = [control] if control else list(usual)

    def sums(errors: Sequence[dict[str, float]]) -> Array:
        return np.array([sum(e.get(c, 0.0) / usual[c] for c in wanted) for e in errors])

    return ratio([(sums(lap.errors), sums(lap.baseline_errors)) for lap in laps])


def _set_by(laps: Sequence[Lap], control: str) -> bool:
    return any(control in errors for lap in laps for errors in lap.baseline_errors)


def skill(said: Array, good: Array) -> float:
    """Brier skill against the base rate: 1 where every chance is right, 0 where the base rate does as well."""
    base = ((good - good.mean()) ** 2).mean()
    return float(1 - ((said - good) ** 2).mean() / base) if base else float("nan")


class Race:
    """All laps, and the tables made of them."""

    def __init__(self, laps: Sequence[Lap]) -> None:
        self._laps = laps
        self.sizes = sorted({lap.cell.logged for lap in laps})
        self.rivals = list(dict.fromkeys(lap.rival for lap in laps))
        self.entrants = [rival for rival in self.rivals if rival != CEILING]

    def of(self, studio: str, rival: str, size: int) -> list[Lap]:
        """One rival's laps of one cell, a seed each."""
        return sorted(
            (lap for lap in self._laps if (lap.cell.studio, lap.rival, lap.cell.logged) == (studio, rival, size)),
            key=lambda lap: lap.cell.seed,
        )

    def text(self) -> str:
        """Every table, as Markdown."""
        return "\n\n".join(self._tables()) + "\n"

    def _tables(self) -> Iterator[str]:
        cloths = sum(len(lap.first) for lap in self.of(next(iter(STUDIOS)), Ours.name, self.sizes[0]))
        seeds = len({lap.cell.seed for lap in self._laps})
        yield f"{cloths} unseen cloths a cell, from {seeds} studios of each kind. Columns: fabrics in the log. {NOTES}"
        for studio in STUDIOS:
            yield f"### The {studio} studio"
            yield self._by_size("First swatches that pass", studio, lambda laps: str(mean([lap.first for lap in laps])))
            capped = f"Swatches to the first pass (at most {CAP}; a cloth that never passed counts {CAP + 1})"
            yield self._by_size(capped, studio, lambda laps: str(mean([lap.sewn for lap in laps])), self.entrants)
            yield self._by_size("Error of the controls over the baseline's", studio, lambda laps: str(error_ratio(laps)))
            yield self._by_control(studio, max(size for size in self.sizes if size <= 100))
            yield self._by_size("Seconds to fit (*: some rows left out to keep the time limit)", studio, _seconds, self.entrants)
            yield self._bands(studio)
            yield self._said(studio)
            yield self._lead(studio)

    def _by_size(self, title: str, studio: str, cell: Callable[[Sequence[Lap]], str], rivals: Sequence[str] = ()) -> str:
        rows = [[rival, *(cell(self.of(studio, rival, size)) for size in self.sizes)] for rival in rivals or self.rivals]
        return markdown([title, *map(str, self.sizes)], rows)

    def _by_control(self, studio: str, size: int) -> str:
        controls = [c for c in CONTROLS if _set_by(self.of(studio, Ours.name, size), c)]
        rows = [[rival, *(str(error_ratio(self.of(studio, rival, size), c)) for c in controls)] for rival in self.rivals]
        return markdown([f"Error over the baseline's, {size} fabrics", *_short(controls)], rows)

    def _bands(self, studio: str) -> str:
        """Share of ideals inside our bands."""
        controls = [c for c in CONTROLS if _set_by(self.of(studio, Ours.name, self.sizes[0]), c)]
        rows = []
        for size in self.sizes:
            told = [lap.chances for lap in self.of(studio, Ours.name, size)]
            pooled = mean([[held for one in chances for held in one.held.values()] for chances in told])
            each = [mean([[one.held[c] for one in chances if c in one.held] for chances in told]) for c in controls]
            rows.append([str(size), str(pooled), *(f"{figure.value:.2f}" for figure in each)])
        return markdown(["Ours: ideals inside the 80 % bands", "all", *_short(controls)], rows)

    def _said(self, studio: str) -> str:
        """Our chances against what came true."""
        rows = []
        for size in self.sizes:
            told = [one for lap in self.of(studio, Ours.name, size) for one in lap.chances]
            rows.append([str(size), *_against(told, "said", "passed"), *_against(told, "baseline_said", "baseline_passed")])
        columns = ["mean chance", "rated a pass", "Brier skill"]
        return markdown(["Ours: chance of a pass", *columns, *(f"baseline: {column}" for column in columns)], rows)

    def _lead(self, studio: str) -> str:
        """Our first swatches less those of the best rival, cloth by cloth."""
        others = [rival for rival in self.entrants if rival != Ours.name]
        cells = []
        for size in self.sizes:
            best = max(others, key=lambda rival: mean([lap.first for lap in self.of(studio, rival, size)]).value)
            pairs = zip(self.of(studio, Ours.name, size), self.of(studio, best, size), strict=True)
            cells.append(f"{mean([np.subtract(mine.first, theirs.first, dtype=float) for mine, theirs in pairs])} ({best})")
        return markdown(["Ours less the best rival, first swatches", *map(str, self.sizes)], [["lead", *cells]])


def markdown(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """A table."""
    lines = [head, ["---"] * len(head), *rows]
    return "\n".join("| " + " | ".join(line) + " |" for line in lines)


def _short(controls: Sequence[str]) -> list[str]:
    return [control.removeprefix("tension: ") for control in controls]


def _seconds(laps: Sequence[Lap]) -> str:
    return f"{np.mean([lap.seconds for lap in laps]):.2f}" + ("*" if any(lap.limited for lap in laps) else "")


def _against(told: Sequence[Chances], said: str, passed: str) -> list[str]:
    chances = np.array([getattr(one, said) for one in told])
    came = np.array([float(getattr(one, passed)) for one in told])
    return [f"{chances.mean():.2f}", f"{came.mean():.2f}", f"{skill(chances, came):.2f}"]
