"""How one reading follows one control: the curve, its band, and the trials behind it."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from parts.svg import AID, Point, area, drawn, label, line, shown
from recommender.trade.words import counted

WIDTH, HEIGHT = 520, 390
LEFT, RIGHT, TOP, BOTTOM = 128.0, 492.0, 20.0, 310.0
CALM = (-2.5, 2.5)
"""Readings that the drawing has room for."""
DASHED = 'stroke-width="1.6" stroke-opacity="0.7" stroke-dasharray="6 5"'
"""The two lines of the baseline."""


@dataclass(frozen=True, slots=True)
class Frame:
    """Where values lie in the drawing."""

    x: tuple[float, float]
    """Lowest and highest distance from the baseline."""
    y: tuple[float, float]
    """Lowest and highest reading."""

    def at(self, x: float, y: float) -> Point:
        """The place of a point, held inside the drawing."""
        across = (x - self.x[0]) / ((self.x[1] - self.x[0]) or 1)
        up = (min(max(y, self.y[0]), self.y[1]) - self.y[0]) / (self.y[1] - self.y[0])
        return LEFT + across * (RIGHT - LEFT), BOTTOM - up * (BOTTOM - TOP)


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """One effect, ready to be drawn."""

    title: str
    """What it shows, read out in the drawing's stead."""
    axis: str
    """Words under the horizontal axis."""
    mark: Callable[[float], str]
    """How a distance from the baseline is written under it."""
    x: Sequence[float]
    """How far the control is from the baseline."""
    mean: Sequence[float]
    """Reading at each of them."""
    low: Sequence[float]
    """Lower end of the band."""
    high: Sequence[float]
    """Upper end of the band."""
    points: Sequence[Point]
    """Distance and reading of each trial, the rest taken out."""
    minus: str
    """What -2 looks like."""
    nought: str
    """What 0 looks like."""
    plus: str
    """What +2 looks like."""


def curve(one: Curve) -> str:
    """The drawing, as HTML."""
    across = [*one.x, *(x for x, _ in one.points)]
    frame = Frame((min(across), max(across)), CALM)
    band = [frame.at(*point) for point in zip(one.x, one.high, strict=True)]
    band += [frame.at(*point) for point in zip(reversed(one.x), reversed(one.low), strict=True)]
    mean = line((frame.at(*point) for point in zip(one.x, one.mean, strict=True)), 'stroke-width="3"')
    body = _readings(one) + _distances(frame, one) + _baseline(frame) + area(band, 0.2) + _dots(frame, one.points) + mean
    alt = f"{one.title}, from {counted(len(one.points), 'swatch')}"
    return shown(drawn(body, width=WIDTH, height=HEIGHT), alt=alt, width=WIDTH, height=HEIGHT, most="600px")


def _readings(one: Curve) -> str:
    """Lines and words for -2, 0 and +2."""
    frame = Frame((0, 1), CALM)
    rows = []
    for score, words in ((-2, one.minus), (0, one.nought), (2, one.plus)):
        y = frame.at(0, score)[1]
        style = DASHED if score == 0 else AID
        rows.append(line([(LEFT, y), (RIGHT, y)], style))
        rows += [label(LEFT - 8, y + 5 + 18 * i, words, size=15, anchor="end") for i, words in enumerate(_broken(words))]
    return "".join(rows)


def _broken(words: str, width: int = 15) -> list[str]:
    lines = [""]
    for word in words.split():
        if len(lines[-1]) + len(word) > width:
            lines.append("")
        lines[-1] = f"{lines[-1]} {word}".strip()
    return lines


def _distances(frame: Frame, one: Curve) -> str:
    low, high = frame.x
    marks = [low + (high - low) * share for share in (0, 0.25, 0.5, 0.75, 1)]
    words = "".join(label(frame.at(x, 0)[0], BOTTOM + 22, one.mark(x) if x else "0", size=15, anchor="middle") for x in marks)
    rows = enumerate(_broken(one.axis, width=44))
    title = "".join(label((LEFT + RIGHT) / 2, BOTTOM + 46 + 19 * row, words, size=15, anchor="middle") for row, words in rows)
    return line([(LEFT, BOTTOM), (RIGHT, BOTTOM)], 'stroke-width="1.5"') + words + title


def _baseline(frame: Frame) -> str:
    """The baseline stands where nothing is moved."""
    x, _ = frame.at(0, 0)
    return line([(x, TOP), (x, BOTTOM)], DASHED) + label(x + 8, TOP + 12, "baseline", size=15)


def _dots(frame: Frame, points: Iterable[Point]) -> str:
    places = (frame.at(*point) for point in points)
    ink = 'fill="currentColor" fill-opacity="0.4" stroke-opacity="0.7"'
    return "".join(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4" {ink}/>' for x, y in places)
