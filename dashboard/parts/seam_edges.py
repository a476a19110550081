"""Drawings of what becomes of the edge: how it lies, how it is wrapped, how close the stitches lie."""

from math import cos, pi, sin, tau

from parts.seam_shapes import (
    FAR,
    GATHERED,
    HEM,
    LEFT,
    MIDDLE,
    RIGHT,
    RIM,
    Shape,
    Warp,
    as_meant,
    cloth,
    cord,
    cover,
    drawn_in,
    ground,
    loops,
    needles,
    spread,
    stitches,
    tube,
    wraps,
)
from parts.svg import Point, area, line
from parts.thread_path import LINES


def edge_lie(one: Shape, score: float) -> str:
    """Puckers draw the seam in, waves let it out; arrows say which."""
    lies = GATHERED * (1 - score / 2) if one.gathers else score
    warp = drawn_in(one, lies)
    return ground(one, warp) + cover(one, warp) + needles(one, warp) + _folds(one, lies) + _arrows(score)


def _folds(one: Shape, lies: float) -> str:
    """Folds that run from a seam drawn short into the cloth."""
    if lies >= 0 or not one.cloth:
        return ""
    warp, foot = drawn_in(one, lies), max(one.base, *one.needles.values()) + 4
    runs = [(foot, min(foot - 12 * lies, HEM - 3))]
    runs += [(one.top - 4, max(one.top - 4 + 12 * lies, FAR + 3))] if one.opened or one.fold else []
    places = spread(LEFT + 8, RIGHT - 8, 16)
    style = 'stroke-width="1.8" stroke-opacity="0.8"'
    return "".join(line([warp(x, start), warp(x + (80 - x) * 0.1, end)], style) for x in places for start, end in runs)


def _arrows(score: float) -> str:
    """Two arrows over the edge: inward where the seam is too short, outward where it is too long."""
    reach = 15 * abs(score)
    ends = ((80 - 8 - reach, 80 - 8), (80 + 8 + reach, 80 + 8)) if score < 0 else ((80 - 8, 80 - 8 - reach), (80 + 8, 80 + 8 + reach))
    return "".join(_arrow(start, tip) for start, tip in ends) if score else ""


def _arrow(start: float, tip: float, y: float = 8) -> str:
    back = 5 if tip < start else -5
    return line([(start, y), (tip, y)]) + line([(tip + back, y - 4), (tip, y), (tip + back, y + 4)])


def stitch_cover(one: Shape, score: float) -> str:
    """The stitches far apart, right, or packed."""
    pitch, warp = one.pitch * 2 ** (-score / 1.7), as_meant(one)
    lines = "".join(stitches(position, y, pitch, warp) for position, y in one.needles.items())
    return ground(one, warp, pitch) + cover(one, warp, pitch) + lines + (_folds(one, GATHERED) if one.gathers else "")


def edge_wrap(one: Shape, score: float) -> str:
    """The edge held too loosely, as it is meant to be, or too hard."""
    if one.opened:
        return _butted(one, score)
    if one.cord:
        return _corded(one, score)
    if one.wrapped:
        return _rolled(one, score)
    warp = as_meant(one)
    top = one.top + (11 if score < 0 else 0.14 * (one.base - one.top)) * score
    edge = cloth(max(top, one.top), HEM, warp) + loops(top, one.base, one.pitch, LINES[one.cover], warp)
    rolls = _roll(top, 4 + (1.5 + 0.1 * (one.base - one.top)) * score, warp) if score > 0 else ""
    return edge + rolls + needles(one, warp) + (_folds(one, GATHERED) if one.gathers else "")


def _roll(top: float, thick: float, warp: Warp) -> str:
    """The edge seen as a tube, with its spiral at the cut end."""
    rows = [[warp(x, y) for x in spread(LEFT, RIGHT)] for y in spread(top, top + thick, 5)]
    (x, y), half = warp(RIGHT, top + thick / 2), thick / 2
    turns = [(x + half * t * cos(4.5 * pi * t), y - half * t * sin(4.5 * pi * t)) for t in spread(0, 1, 0.02)]
    return area([*rows[0], *reversed(rows[-1])], 0.22) + "".join(line(row, RIM) for row in rows[1:]) + line(turns)


def _butted(one: Shape, score: float) -> str:
    """Two edges under the loops of a seam pulled open: apart, meeting, or heaped."""
    gap, ridge = max(0.0, -7 * score), 5 * score
    body = cloth(MIDDLE - gap / 2, FAR) + cloth(MIDDLE + gap / 2, HEM)
    if score > 0:
        high, low = MIDDLE - ridge - 2, MIDDLE + ridge + 2
        body += area([(LEFT, high), (RIGHT, high), (RIGHT, low), (LEFT, low)], 0.22)
        body += "".join(line([(LEFT, y), (RIGHT, y)], RIM) for y in (high, high + 3, low - 3, low))
    return body + cover(one) + needles(one)


def _corded(one: Shape, score: float) -> str:
    """A cord in loops that hang off it, hold it, or squeeze it until it buckles."""

    def warp(x: float, y: float) -> Point:
        return x, y + 2.6 * max(0.0, score) * sin(tau * (x - LEFT) / 32) * max(0.0, 1 - (y - one.top) / 70)

    high, low = (one.top + 2, one.top + 16) if one.cloth else (one.top + 3, one.base - 3)
    squeezed, slack = max(0.0, 1.5 * score), min(0.0, score)
    body = (cloth(one.top, HEM, warp) if one.cloth else "") + cord(high + squeezed, low - squeezed, warp)
    top, base = one.top + 10 * slack + squeezed, one.base - (0 if one.cloth else 8 * slack + squeezed)
    winds = wraps if one.wrapped and score >= 0 else loops
    return body + winds(top, base, one.pitch, LINES[one.cover], warp) + needles(one, warp)


def _rolled(one: Shape, score: float) -> str:
    """The edge lying flat in loops that stand off, rolled in, or rolled up thick; beside it the cloth seen from its end."""
    share, more, deep = min(1.0, 1 + score / 2), max(0.0, score), one.base - one.top
    base = one.base + 2 * more
    top = base - deep * share - 6 * more
    edge = top - 0.6 * deep * (1 - share)  # what has not rolled in stands up flat
    crest, is_round = edge - 10 * (1 - share), one.fold or share == 1

    def warp(x: float, y: float) -> Point:
        return (x, y) if one.fold else (LEFT - 8 + 0.8 * (x - LEFT), y)

    body = (cloth(top, FAR, warp) if one.fold else "") + cloth(base if is_round else edge, HEM, warp)
    body += tube(top, base, one.pitch, warp) if is_round else line([warp(LEFT, top), warp(RIGHT, top)], RIM)
    body += (wraps if share > 0.6 else loops)(crest, base, one.pitch, LINES[one.cover], warp)
    body += needles(one, lambda x, y: warp(x, y + base - one.base))
    return body if one.fold else body + _frayed(edge, share, warp) + _from_its_end(edge, base, share, more)


def _frayed(edge: float, share: float, warp: Warp) -> str:
    """Ends of yarn that stand off a cut edge which has not rolled in."""
    ends = spread(LEFT + 4, RIGHT - 4, 8) if share < 1 else []
    return "".join(line([warp(x, edge), warp(x + 2, edge - 8 * (1 - share))], RIM) for x in ends)


def _from_its_end(edge: float, base: float, share: float, more: float) -> str:
    """The cloth seen from its end: a line that curls at the top as far as the edge has rolled."""
    x, radius, turns = 130.0, 6 * share + 3 * more, 0.8 * share + 0.45 * more
    start = base - radius if share else edge
    curl = [(radius * (1 - 0.4 * t), pi - tau * turns * t) for t in spread(0, 1, 0.02)]
    rolled = [(x + radius + out * cos(angle), start - out * sin(angle)) for out, angle in curl]
    return line([(x, HEM), (x, start), *rolled], 'stroke-width="2.4"')
