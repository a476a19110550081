"""Figures along the log, as lines that are told apart by their pattern."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from parts.svg import AID, Point, area, drawn, label, line, shown
from recommender.advice.scoring.course import Spot

WIDTH, HEIGHT = 480, 300
LEFT, RIGHT, TOP, BOTTOM = 56.0, 464.0, 44.0, 244.0
OURS = 'stroke-width="3.2"'
RULES = 'stroke-width="2.4" stroke-dasharray="9 5" stroke-linecap="butt"'
ALL = 'stroke-width="2.6" stroke-dasharray="0.1 6" stroke-linecap="round"'


@dataclass(frozen=True, slots=True)
class Track:
    """One line."""

    name: str
    """What it is of."""
    style: str
    """Its pattern."""
    spots: Sequence[Spot]
    """Where it goes; may be empty."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """What the lines are drawn on."""

    title: str
    """What the drawing shows, read out in its stead."""
    low: float
    """Lowest value that there is room for."""
    high: float
    """Highest value."""
    marks: Sequence[float]
    """Values that are written beside the drawing."""
    words: Callable[[float], str]
    """How a value is written."""
    swatches: int
    """Swatches of the log, the width of the drawing."""

    def at(self, swatches: float, value: float) -> Point:
        """The place of a value, held inside the drawing."""
        up = (min(max(value, self.low), self.high) - self.low) / (self.high - self.low)
        return LEFT + swatches / max(self.swatches, 1) * (RIGHT - LEFT), BOTTOM - up * (BOTTOM - TOP)


def course(paper: Paper, tracks: Sequence[Track]) -> str:
    """The drawing, as HTML; the first line has its range about it."""
    there = [track for track in tracks if track.spots]
    body = _frame(paper) + (_range(paper, there[0].spots) if there else "")
    body += "".join(_line(paper, track) for track in there) + _key(there)
    told = "; ".join(
        f"{track.name}: {paper.words(track.spots[0].value)} at first, {paper.words(track.spots[-1].value)} now" for track in there
    )
    return shown(drawn(body, width=WIDTH, height=HEIGHT), alt=f"{paper.title}. {told}.", width=WIDTH, height=HEIGHT, most="600px")


def _frame(paper: Paper) -> str:
    parts = [line([(LEFT, BOTTOM), (RIGHT, BOTTOM)], 'stroke-width="1.5"')]
    for mark in paper.marks:
        y = paper.at(0, mark)[1]
        parts.append(line([(LEFT, y), (RIGHT, y)], AID))
        parts.append(label(LEFT - 8, y + 5, paper.words(mark), size=15, anchor="end"))
    for share, anchor in ((0.0, "start"), (0.5, "middle"), (1.0, "end")):
        number = round(paper.swatches * share)
        parts.append(label(LEFT + share * (RIGHT - LEFT), BOTTOM + 22, f"{number}", size=15, anchor=anchor))
    parts.append(label((LEFT + RIGHT) / 2, BOTTOM + 46, "swatches sewn so far", size=15, anchor="middle"))
    return "".join(parts)


def _range(paper: Paper, spots: Sequence[Spot]) -> str:
    upper = [paper.at(spot.swatches, spot.high) for spot in spots]
    return area([*upper, *(paper.at(spot.swatches, spot.low) for spot in reversed(spots))], 0.16)


def _line(paper: Paper, track: Track) -> str:
    """Its line, and a dot where it ends: one spot alone has no line."""
    places = [paper.at(spot.swatches, spot.value) for spot in track.spots]
    x, y = places[-1]
    return line(places, track.style) + f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4.5" fill="currentColor" stroke="none"/>'


def _key(tracks: Sequence[Track]) -> str:
    parts, x = [], LEFT
    for track in tracks:
        parts += [line([(x, 16), (x + 34, 16)], track.style), label(x + 42, 21, track.name, size=15)]
        x += 60 + 7.6 * len(track.name)
    return "".join(parts)
