"""Drawings of what the threads do: where the looper threads meet, and how the needle thread lies."""

from math import pi, sin

from parts.seam_shapes import (
    FAR,
    HEIGHT,
    HEM,
    LEFT,
    MIDDLE,
    RIGHT,
    RIM,
    THREAD,
    WIDTH,
    Shape,
    Warp,
    as_meant,
    cloth,
    cover,
    flat,
    ground,
    loops,
    needles,
    spread,
    straight,
    wraps,
)
from parts.svg import area, label, line
from parts.thread_path import LINES


def looper_balance(one: Shape, score: float) -> str:
    """Where the cover ends and the other thread begins: on the edge laid open, or on the underside of what it wraps."""
    drawn = score if one.cover == "upper looper" else -score  # the other thread is drawn over to the good side
    return _below(one, drawn) if one.wrapped else _unfolded(one, drawn)


def _unfolded(one: Shape, drawn: float) -> str:
    """The edge unfolded: underside above, good side below; the threads meet on the fold, or to one side of it."""
    scale = 36 / 44
    reach = (one.base - one.top) * scale
    meet = MIDDLE + 0.28 * reach * drawn
    sides = _block(MIDDLE, MIDDLE + 38, 0.12) + _block(MIDDLE - 38, MIDDLE, 0.05)
    edge = line([(4, MIDDLE), (WIDTH - 4, MIDDLE)], 'stroke-width="1.4" stroke-dasharray="2 3"')
    good = loops(meet - 2, MIDDLE + reach, one.pitch, LINES[one.cover])
    good += "".join(straight(position, MIDDLE + (y - one.top) * scale) for position, y in one.needles.items())
    thread = "lower looper" if one.cover == "upper looper" and not one.opened else next(iter(one.needles))
    under = loops(meet + 2, MIDDLE - reach, one.pitch, LINES[thread])
    under += straight("lower looper", meet) if one.opened else ""
    words = label(LEFT, 14, "underside", size=16) + label(LEFT, HEIGHT - 4, "upper side", size=16)
    return sides + edge + good + under + words


def _below(one: Shape, drawn: float) -> str:
    """The underside of a roll or cord: the cover comes round to the needle line, hangs beyond it, or does not come round."""
    thread = "lower looper" if one.cover == "upper looper" else next(iter(one.needles))
    over, seam = (one.base - one.top) * max(0.0, drawn) / 2, one.base + 4
    body = ground(one) + wraps(one.top, one.base - over, _LONG, LINES[one.cover])
    body += loops(one.base - over, seam, _LONG, LINES[thread]) if drawn > 0 else straight(thread, seam)
    body += loops(seam - 11 * drawn, one.base, _LONG, LINES[one.cover]) if drawn < 0 else ""
    return body + label(LEFT, one.top - 14, "underside", size=16)


_LONG = 21.0
"""Length of a stitch where two threads have to be told apart on a narrow roll."""


def _block(high: float, low: float, opacity: float) -> str:
    return area([(LEFT, high), (RIGHT, high), (RIGHT, low), (LEFT, low)], opacity)


def needle_line(one: Shape, score: float) -> str:
    """The needle thread too loose, as it is meant to lie, or too tight."""
    if one.opened:
        return _ladder(one, score)
    return _pulled_open(one, score) if one.joins else _from_above(one, score)


def _pulled_open(one: Shape, score: float) -> str:
    """The seam pulled open: a ladder of thread across a gap, a closed line, or a line so tight that it puckers and breaks."""
    gap = max(0.0, -9 * score)
    panels = cloth(MIDDLE - gap / 2, FAR) + cloth(MIDDLE + gap / 2, HEM, opacity=0.2)
    places = spread(LEFT + 8, RIGHT - 8, one.pitch)
    if score <= 0:
        rung = gap / 2 + 3
        return panels + "".join(line([(x - 2, MIDDLE - rung), (x + 2, MIDDLE + rung)], THREAD) for x in places)
    return panels + _puckers(places, MIDDLE, score, both=True) + _taut(MIDDLE, score)


def _ladder(one: Shape, score: float) -> str:
    """The other face of a seam pulled open flat: rungs across it, slack over a gap, or short over a ridge that does not open."""
    gap, ridge, rung = max(0.0, -7 * score), 6 * score, (one.base - one.top) / 2
    body = cloth(MIDDLE - gap / 2, FAR) + cloth(MIDDLE + gap / 2, HEM)
    if score > 0:
        body += _block(MIDDLE - ridge, MIDDLE + ridge, 0.22)
        body += "".join(line([(LEFT, y), (RIGHT, y)], RIM) for y in (MIDDLE - ridge, MIDDLE + ridge))
        rung *= 1 - score / 4
    bow = max(0.0, -2.5 * score)
    shares = spread(-1, 1, 0.2)
    rungs = ([(x + bow * (1 - s * s), MIDDLE + rung * s) for s in shares] for x in spread(LEFT + 8, RIGHT - 8, one.pitch))
    return body + "".join(line(points, THREAD) for points in rungs)


def _from_above(one: Shape, score: float) -> str:
    """An edge that joins nothing: its needle thread stands off in slack loops, lies even, or puckers the cloth and breaks."""
    lines = one.needles.values()
    warp = as_meant(one) if one.cloth else lambda x, y: (x, y + 5 * max(0.0, score) * ((x - 80) / 64) ** 2)  # a braid curls
    places = spread(LEFT + 8, RIGHT - 8, one.pitch)
    seam = ground(one, warp) + cover(one, warp)
    if score <= 0:
        return seam + ("".join(_slack(y, -7 * score, one.pitch, warp) for y in lines) if score else needles(one, warp))
    if not one.cloth:
        return seam + "".join(line([warp(x, y) for x in spread(LEFT, RIGHT)], THREAD) for y in lines)
    return seam + _puckers(places, max(lines), score, both=False, warp=warp) + "".join(_taut(y, score, warp) for y in lines)


def _slack(y: float, deep: float, pitch: float, warp: Warp) -> str:
    """A needle thread that sags from stitch to stitch."""
    return line([warp(x, y + deep * abs(sin(pi * (x - LEFT) / pitch))) for x in spread(LEFT, RIGHT, 1.0)], THREAD)


def _puckers(places: list[float], y: float, score: float, *, both: bool, warp: Warp = flat) -> str:
    """Small folds that run together at a needle line drawn tight."""
    rise = 9 * score
    ways = (-1, 1) if both else (1,)
    kept = [x for x in places if score <= 1.5 or abs(x - 80) >= 14]
    return "".join(line([warp(x - 4, y + way * rise), warp(x, y + way * 3), warp(x + 4, y + way * rise)]) for x in kept for way in ways)


def _taut(y: float, score: float, warp: Warp = flat) -> str:
    """A needle thread drawn straight, in the end torn."""
    if score <= 1.5:
        return line([warp(LEFT, y), warp(RIGHT, y)], THREAD)
    frayed = [line([warp(80 + side * 14, y), warp(80 + side * 4, y + up)]) for side in (-1, 1) for up in (-8, 0, 8)]
    return line([warp(LEFT, y), warp(66, y)], THREAD) + line([warp(94, y), warp(RIGHT, y)], THREAD) + "".join(frayed)
