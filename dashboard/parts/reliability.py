"""Chances as they were said, against what came of them."""

from collections.abc import Sequence

from parts.svg import drawn, label, line, shown
from recommender.advice.scoring.score import Bin
from recommender.trade.words import percent

SIZE = 420
LEFT, RIGHT, TOP, BOTTOM = 60.0, 400.0, 20.0, 360.0
MARKS = (0.0, 0.25, 0.5, 0.75, 1.0)


def reliability(bins: Sequence[Bin]) -> str:
    """The drawing, as HTML: a dot for each part of the chances, larger where there are more swatches, with its standard error.

    On the dashed line as many passed as was said.
    """
    dashed = line([_at(0, 0), _at(1, 1)], 'stroke-width="1.6" stroke-opacity="0.7" stroke-dasharray="6 5"')
    body = _axes() + dashed + "".join(map(_dot, bins))
    told = "; ".join(f"said {percent(one.said)}, passed {percent(one.passed.value)} of {one.passed.number}" for one in bins)
    return shown(drawn(body, width=SIZE, height=SIZE), alt=f"Chances against passes: {told}.", width=SIZE, height=SIZE, most="460px")


def _at(said: float, passed: float) -> tuple[float, float]:
    return LEFT + said * (RIGHT - LEFT), BOTTOM - passed * (BOTTOM - TOP)


def _axes() -> str:
    parts = [line([_at(0, 1), _at(0, 0), _at(1, 0)], 'stroke-width="1.5"')]
    for mark in MARKS:
        (x, y), words = _at(mark, mark), percent(mark)
        parts += [label(x, BOTTOM + 20, words, size=14, anchor="middle"), label(LEFT - 8, y + 5, words, size=14, anchor="end")]
    parts.append(label((LEFT + RIGHT) / 2, BOTTOM + 44, "chance that was said", size=15, anchor="middle"))
    parts.append(label(LEFT + 10, TOP + 10, "share that passed", size=15))
    return "".join(parts)


def _dot(one: Bin) -> str:
    x, y = _at(one.said, one.passed.value)
    ends = [_at(one.said, min(max(one.passed.value + way * one.passed.error, 0.0), 1.0)) for way in (-1, 1)]
    radius = min(4 + one.passed.number**0.5, 14)
    dot = f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}" fill="currentColor" fill-opacity="0.5" stroke-opacity="0.8"/>'
    return line(ends, 'stroke-width="2"') + dot
