"""Drawings of a seam seen from above, one for each step of each reading.

The overlocked edge lies across the top of the drawing, the cloth hangs below it, and the needle line runs between. A drawing
is a function of the score alone, -2 to +2, half steps included.
"""

from collections.abc import Callable, Mapping
from math import cos, pi, sin, tau

from parts.svg import LOWER_LOOPER, NEEDLE, UPPER_LOOPER, Point, area, drawn, label, line, shown
from recommender.trade.readings import READINGS, looks

WIDTH, HEIGHT = 160, 116
LEFT, RIGHT, EDGE, SEAM, HEM = 16.0, 144.0, 34.0, 78.0, 108.0
"""Where the cloth, its edge, the needle line and the lower end of the drawing lie."""
PITCH = 16.0
"""Length of one stitch where the drawing is not about the stitch length."""

Warp = Callable[[float, float], Point]


def seam(reading: str, score: float) -> str:
    """The drawing of one reading at one score, as SVG text.

    Raises
    ------
    KeyError
        If there is no such reading.
    """
    return drawn(_DRAWINGS[reading](score), width=WIDTH, height=HEIGHT)


def show_seam(reading: str, score: float) -> str:
    """The same as HTML for a page, with a text alternative."""
    alt = f"{READINGS[reading].title}, {score:+g}: {looks(reading, score)}"
    return shown(seam(reading, score), alt=alt, width=WIDTH, height=HEIGHT)


def threads_key() -> str:
    """Which line stands for which thread, as HTML."""
    rows = (
        (NEEDLE, "needle thread", "thick dashes"),
        (UPPER_LOOPER, "upper looper thread", "thin line"),
        (LOWER_LOOPER, "lower looper thread", "dots"),
    )
    return f'<div class="threads">{"".join(_thread(*row) for row in rows)}</div>'


def _thread(style: str, name: str, alt: str) -> str:
    sample = shown(drawn(line([(1, 10), (43, 10)], style), width=44, height=20), alt=alt, width=44, height=20, most="44px")
    return f"<span>{sample}{name}</span>"


def _flat(x: float, y: float) -> Point:
    return x, y


def _spread(low: float, high: float, step: float = 2.0) -> list[float]:
    count = round((high - low) / step)
    return [low + (high - low) * i / count for i in range(count + 1)]


def _cloth(edge: float, warp: Warp = _flat, bottom: float = HEM) -> str:
    rim = [warp(x, edge) for x in _spread(LEFT, RIGHT)]
    return area([*rim, *(warp(x, bottom) for x in (RIGHT, LEFT))]) + line(rim, 'stroke-width="1.2" stroke-opacity="0.6"')


def _loops(reach: float, base: float, pitch: float = PITCH, style: str = UPPER_LOOPER, warp: Warp = _flat) -> str:
    """A looper thread that swings between `base` and `reach`, once a stitch."""
    swing = [(x, base + (reach - base) * (1 - cos(tau * (x - LEFT) / pitch)) / 2) for x in _spread(LEFT, RIGHT, 1.0)]
    return line([warp(x, y) for x, y in swing], style)


def _needle(warp: Warp = _flat, y: float = SEAM) -> str:
    return line([warp(x, y) for x in _spread(LEFT, RIGHT)], NEEDLE)


def _edge_lie(score: float) -> str:
    """Puckers draw the seam in, waves let it out; arrows say which."""

    def warp(x: float, y: float) -> Point:
        near = max(0.0, (HEM - y) / (HEM - EDGE))
        wave = 3.6 * score * sin(tau * (x - LEFT) / 42.7) if score > 0 else 1.3 * score * sin(tau * (x - LEFT) / 10.7)
        return 80 + (x - 80) * (1 + (0.07 if score > 0 else 0.16) * score * near), y + wave * near**0.7

    folds = [_fold(warp, x, score) for x in _spread(LEFT + 8, RIGHT - 8, PITCH)] if score < 0 else []
    return _cloth(EDGE, warp) + _loops(EDGE, SEAM, warp=warp) + _needle(warp) + "".join(folds) + _arrows(score)


def _fold(warp: Warp, x: float, score: float) -> str:
    return line([warp(x, SEAM + 4), warp(x + (80 - x) * 0.1, SEAM + 4 - 12 * score)], 'stroke-width="1.8" stroke-opacity="0.75"')


def _arrows(score: float) -> str:
    """Two arrows over the edge: inward where the seam is too short, outward where it is too long."""
    reach = 15 * abs(score)
    ends = ((80 - 8 - reach, 80 - 8), (80 + 8 + reach, 80 + 8)) if score < 0 else ((80 - 8, 80 - 8 - reach), (80 + 8, 80 + 8 + reach))
    return "".join(_arrow(start, tip) for start, tip in ends) if score else ""


def _arrow(start: float, tip: float, y: float = 12) -> str:
    back = 5 if tip < start else -5
    return line([(start, y), (tip, y)], 'stroke-width="2"') + line([(tip + back, y - 4), (tip, y), (tip + back, y + 4)], 'stroke-width="2"')


def _looper_balance(score: float) -> str:
    """The edge unfolded: underside above, upper side below; the loops meet on the fold, or to one side of it."""
    fold, meet, reach = 58.0, 58.0 + 10 * score, 36.0
    sides = area([(LEFT, fold), (RIGHT, fold), (RIGHT, fold + reach + 2), (LEFT, fold + reach + 2)])
    sides += area([(LEFT, fold), (RIGHT, fold), (RIGHT, fold - reach - 2), (LEFT, fold - reach - 2)], 0.05)
    edge = line([(4, fold), (WIDTH - 4, fold)], 'stroke-width="1.4" stroke-dasharray="2 3"')
    upper = _loops(meet - 2, fold + reach)
    lower = _loops(meet + 2, fold - reach, style=LOWER_LOOPER)
    return sides + edge + upper + lower + label(LEFT, 14, "underside", size=16) + label(LEFT, HEIGHT - 4, "upper side", size=16)


def _needle_line(score: float) -> str:
    """The seam pulled open: a ladder of thread across a gap, a closed line, or a line so tight that it puckers and breaks."""
    middle, gap = 58.0, max(0.0, -9 * score)
    panels = area([(LEFT, 8), (RIGHT, 8), (RIGHT, middle - gap / 2), (LEFT, middle - gap / 2)])
    panels += area([(LEFT, HEM), (RIGHT, HEM), (RIGHT, middle + gap / 2), (LEFT, middle + gap / 2)], 0.2)
    edges = "".join(line([(LEFT, y), (RIGHT, y)], 'stroke-width="1.4"') for y in {middle - gap / 2, middle + gap / 2})
    places = _spread(LEFT + 8, RIGHT - 8, PITCH)
    if score <= 0:
        rung = gap / 2 + 3
        return panels + edges + "".join(line([(x - 2, middle - rung), (x + 2, middle + rung)], 'stroke-width="3.4"') for x in places)
    broken = score > 1.5
    pulled = "".join(_pucker(x, middle, score) for x in places if not (broken and abs(x - 80) < 14))
    return panels + pulled + _taut(middle, broken=broken)


def _pucker(x: float, y: float, score: float) -> str:
    rise = 9 * score
    return line([(x - 4, y - rise), (x, y - 3), (x + 4, y - rise)]) + line([(x - 4, y + rise), (x, y + 3), (x + 4, y + rise)])


def _taut(y: float, *, broken: bool) -> str:
    style = 'stroke-width="3.4"'
    if not broken:
        return line([(LEFT, y), (RIGHT, y)], style)
    frayed = [line([(80 + side * 14, y), (80 + side * 4, y + up)], 'stroke-width="2"') for side in (-1, 1) for up in (-8, 0, 8)]
    return line([(LEFT, y), (66, y)], style) + line([(94, y), (RIGHT, y)], style) + "".join(frayed)


def _edge_wrap(score: float) -> str:
    """Loops in the air beyond the edge, loops on the edge, or an edge that they roll up."""
    if score <= 0:
        return _cloth(EDGE) + _loops(EDGE + 11 * score, SEAM) + _needle()
    top = EDGE + 6 * score
    return _cloth(top) + _loops(top, SEAM) + _roll(top, 7 + 6 * score) + _needle()


def _roll(top: float, thick: float) -> str:
    """The edge seen as a tube, with its spiral at the cut end."""
    heights = [top + thick * share for share in (0.25, 0.55, 0.8, 1)]
    rows = [line([(LEFT, y), (RIGHT, y)], 'stroke-width="1.4" stroke-opacity="0.8"') for y in heights]
    tube = area([(LEFT, top), (RIGHT, top), (RIGHT, top + thick), (LEFT, top + thick)], 0.22)
    turns = [(RIGHT + thick / 2 * t * cos(4.5 * pi * t), top + thick / 2 - thick / 2 * t * sin(4.5 * pi * t)) for t in _spread(0, 1, 0.02)]
    return tube + "".join(rows) + line(turns)


def _stitch_cover(score: float) -> str:
    """The stitches far apart, right, or packed."""
    pitch = PITCH * 2 ** (-score / 1.7)
    holes = "".join(line([(x, SEAM), (x + pitch * 0.6, SEAM)], 'stroke-width="3.4"') for x in _spread(LEFT, RIGHT, pitch)[:-1])
    return _cloth(EDGE) + _loops(EDGE, SEAM, pitch) + holes


VIEWS: Mapping[str, str] = {
    "edge_lie": "seen from above",
    "looper_balance": "the edge unfolded",
    "needle_line": "the seam pulled open",
    "edge_wrap": "seen from above",
    "stitch_cover": "seen from above",
}
"""How the swatch is held to look at a reading, and how its drawings show it."""

_DRAWINGS: Mapping[str, Callable[[float], str]] = {
    "edge_lie": _edge_lie,
    "looper_balance": _looper_balance,
    "needle_line": _needle_line,
    "edge_wrap": _edge_wrap,
    "stitch_cover": _stitch_cover,
}
