"""Pictures of scales and readings on a card. Marks differ in shape, threads in the pattern of their line, nothing in colour."""

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from recommender.cards.card import Card, Mark
from recommender.cards.sheet import Sheet
from recommender.trade.words import number

PATTERNS: Mapping[str, Sequence[float]] = MappingProxyType(
    {
        "left needle": (2.6, 0.9),
        "right needle": (2.6, 0.8, 0.5, 0.8),
        "upper looper": (99.0,),
        "lower looper": (0.0, 0.95),
    }
)
"""Strokes and gaps by thread position, mm: long strokes, long and short ones, unbroken, dots."""


CLEAR = 2.0
"""From the end of a scale to its number, mm: a mark that stands at the end reaches less far."""


def draw_scale(paper: Sheet, mark: Mark, x: float, y: float, width: float) -> None:
    """The scale of one control, its axis at `y`."""

    def at(value: float) -> float:
        return x + width * mark.dial.place(value)

    _band(paper, at(mark.band.low), at(mark.band.high), y)
    paper.rule(x, y, x + width, 0.25, 90)
    for tick in mark.dial.ticks:
        paper.line(x + width * tick, y - 0.7, x + width * tick, y + 0.7)
    if (window := mark.passing.window) is not None:
        _window(paper, at(window.low), at(window.high), y)
    baseline_mark(paper, at(mark.baseline), y)
    proposal_mark(paper, at(mark.proposal), y)
    set_mark(paper, at(mark.to_set), y)
    paper.say(number(mark.dial.low), x - 6 - CLEAR, y - 1.05, 6, 5, align="R")
    paper.say(number(mark.dial.high), x + width + CLEAR, y - 1.05, 6, 5)


def baseline_mark(paper: Sheet, x: float, y: float) -> None:
    """A diamond, open."""
    paper.set_draw_color(0)
    paper.set_line_width(0.3)
    paper.polygon([(x, y - 1.75), (x + 1.75, y), (x, y + 1.75), (x - 1.75, y)], style="D")


def proposal_mark(paper: Sheet, x: float, y: float) -> None:
    """A ring that fits into the diamond."""
    paper.set_draw_color(0)
    paper.set_line_width(0.3)
    paper.ring(x, y, 1.15)


def set_mark(paper: Sheet, x: float, y: float) -> None:
    """A full disc that fits into the ring, with a stem that is seen from afar."""
    paper.set_fill_color(0)
    paper.ring(x, y, 0.75, "F")
    paper.set_draw_color(0)
    paper.set_line_width(0.5)
    paper.line(x, y - 2.7, x, y)


def draw_key(paper: Sheet, card: Card, x: float, y: float, width: float) -> None:
    """What the marks mean, in one line."""
    passes, drawn = card.windows
    marks = (
        (set_mark, "set this" if card.trial is None else "sewn with"),
        (proposal_mark, "proposal"),
        (baseline_mark, "baseline"),
        (_band_sample, "best in here, 80 %"),
        (_window_sample if drawn else _no_sample, passes),
    )
    shares = (0.15, 0.15, 0.15, 0.26, 0.29)
    for (draw, words), share in zip(marks, shares, strict=True):
        draw(paper, x + 1.9, y)
        paper.say(words, x + 4.3, y - 1.2, width * share - 4.8, 5.8)
        x += width * share


def draw_thread(paper: Sheet, position: str, x: float, y: float, length: float) -> None:
    """A piece of thread in the pattern of its position."""
    paper.pattern(x, y, x + length, PATTERNS[position], 0.6 if position == "lower looper" else 0.45)


def draw_reading(paper: Sheet, score: float | None, x: float, y: float, width: float) -> None:
    """A reading from -2 to +2: a disc where it was read, empty for a pencil where it was not."""
    paper.rule(x, y, x + width, 0.25, 90)
    for step in range(9):
        high = 0.8 if step % 2 == 0 else 0.4
        paper.line(x + width * step / 8, y - high, x + width * step / 8, y + high)
    paper.set_draw_color(0)
    paper.set_line_width(0.5)
    paper.line(x + width / 2, y - 1.2, x + width / 2, y + 1.2)
    if score is not None:
        paper.set_fill_color(0)
        paper.ring(x + width * (score + 2) / 4, y, 1.0, "F")


def _band(paper: Sheet, low: float, high: float, y: float) -> None:
    paper.set_fill_color(205)
    paper.rect(low, y - 1.3, max(high - low, 0.4), 2.6, "F")


def _window(paper: Sheet, low: float, high: float, y: float) -> None:
    high = max(high, low + 0.4)
    paper.set_draw_color(0)
    paper.set_line_width(0.3)
    paper.polyline([(low, y + 2.0), (low, y + 2.9), (high, y + 2.9), (high, y + 2.0)])


def _band_sample(paper: Sheet, x: float, y: float) -> None:
    _band(paper, x - 1.7, x + 1.7, y)


def _no_sample(paper: Sheet, x: float, y: float) -> None:
    """Where nothing is drawn that would have to be explained."""


def _window_sample(paper: Sheet, x: float, y: float) -> None:
    _window(paper, x - 1.7, x + 1.7, y - 2.2)
