"""A seam as it lies before the sewer: cloth, cord and threads of one stitch, in the shape that its family gives them.

The edge lies across the top of the drawing and the cloth hangs below it; a flatlock is pulled open, with cloth on both sides.
Every piece takes a warp, which says where a point of the flat seam has gone.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import ceil, cos, pi, sin, tau

from parts.svg import Point, area, line
from parts.thread_path import LINES
from recommender.trade.stitch import Stitch

WIDTH, HEIGHT = 160, 116
LEFT, RIGHT, EDGE, HEM, MIDDLE, FAR = 16.0, 144.0, 34.0, 108.0, 60.0, 16.0
"""Where the cloth, its edge, its lower end and the middle of the drawing lie, and the upper end of cloth on both sides."""
GATHERED = -1.5
"""How far a gathering stitch is meant to draw its edge together, in scores of other stitches."""
THREAD = 'stroke-width="3.4"'
"""A needle thread of which one sees single stitches."""
RIM = 'stroke-width="1.4" stroke-opacity="0.8"'
"""Where cloth ends."""

Warp = Callable[[float, float], Point]


@dataclass(frozen=True, slots=True)
class Shape:
    """What there is to draw of a stitch, and where."""

    cloth: bool
    """Whether there is cloth under the threads."""
    joins: bool
    """Whether two layers are joined, which can be pulled apart."""
    opened: bool
    """Whether the seam is meant to be pulled open and flat."""
    wrapped: bool
    """Whether the cover goes round the edge and ends below."""
    cord: bool
    """Whether it is sewn over a cord."""
    fold: bool
    """Whether it is sewn along a fold, with cloth on both sides of it."""
    gathers: bool
    """Whether the edge is meant to be gathered."""
    cover: str
    """The looper whose thread is seen on the good side."""
    top: float
    """How far up the cover goes."""
    base: float
    """How far down it goes: to the last needle line, or to the foot of the roll."""
    needles: Mapping[str, float]
    """By needle, where its line lies; the left needle lies farther from the edge."""
    pitch: float
    """Length of one stitch. Short ones are drawn longer than true to scale, so that one can be told from the next."""


def shape_of(one: Stitch) -> Shape:
    """What a stitch's needles, loopers, finger and family make of its drawings."""
    cloth, wrapped, opened = one.family != "decorative", one.family in ("rolled", "decorative"), one.family == "flatlock"
    fold = wrapped and cloth and not one.knife_on
    near = 1 if one.finger_in else 0.8
    far = {"left needle": 44.0 * near, "right needle": 29.0 * near}
    depths = {needle: (22.0 if cloth else 32.0) if wrapped else far[needle] for needle in one.needles}
    deep = max(depths.values())
    top = EDGE if cloth and not opened and not fold else MIDDLE - deep / 2
    return Shape(
        cloth=cloth,
        joins=one.family in ("overlock", "flatlock"),
        opened=opened,
        wrapped=wrapped,
        cord=one.family in ("corded", "decorative"),
        fold=fold,
        gathers=one.family == "gathering",
        cover="upper looper" if "upper looper" in one.loopers else "lower looper",
        top=top,
        base=top + deep - (4 if wrapped and cloth else 0),
        needles={needle: top + depth for needle, depth in depths.items()},
        pitch=16 * (one.start.get("length", sum(one.length) / 2) / 3) ** 0.5,
    )


def flat(x: float, y: float) -> Point:
    """Nothing has moved."""
    return x, y


def drawn_in(one: Shape, lies: float) -> Warp:
    """A seam drawn together below 0 and let out above, the cloth the less the farther it is away."""

    def warp(x: float, y: float) -> Point:
        away = abs(y - MIDDLE) / 60 if one.opened or one.fold or not one.cloth else (y - EDGE) / (HEM - EDGE)
        near = min(1.0, max(0.0, 1 - away))
        wave = 3.6 * lies * sin(tau * (x - LEFT) / 42.7) if lies > 0 else 1.3 * lies * sin(tau * (x - LEFT) / 10.7)
        return 80 + (x - 80) * (1 + (0.07 if lies > 0 else 0.16) * lies * near), y + wave * near**0.7

    return warp


def as_meant(one: Shape) -> Warp:
    """Where the seam lies when nothing is wrong: a gathering stitch has drawn its edge together."""
    return drawn_in(one, GATHERED) if one.gathers else flat


def spread(low: float, high: float, step: float = 2.0) -> list[float]:
    """Places from low to high, evenly, about a step apart."""
    count = max(1, round((high - low) / step))
    return [low + (high - low) * i / count for i in range(count + 1)]


def cloth(y: float, end: float, warp: Warp = flat, opacity: float = 0.12) -> str:
    """Cloth between its edge and where the drawing ends."""
    rim = [warp(x, y) for x in spread(LEFT, RIGHT)]
    return area([*rim, *(warp(x, end) for x in (RIGHT, LEFT))], opacity) + line(rim, RIM)


def loops(top: float, base: float, pitch: float, style: str, warp: Warp = flat) -> str:
    """A thread that swings between the needle line at `base` and `top`, once a stitch."""
    swing = [(x, base + (top - base) * (1 - cos(tau * (x - LEFT) / pitch)) / 2) for x in spread(LEFT, RIGHT, 1.0)]
    return line((warp(x, y) for x, y in swing), style)


def starts(pitch: float) -> list[float]:
    """Where each stitch begins, from left to right."""
    return [LEFT + pitch * i for i in range(ceil((RIGHT - LEFT) / pitch - 0.01))]


def wraps(top: float, base: float, pitch: float, style: str, warp: Warp = flat) -> str:
    """A thread wound round a roll: a slanting line for each turn, the way back hidden behind."""
    lean, turns = pitch / 2, []
    for x in starts(pitch):
        seen = min(1.0, (RIGHT - x) / lean)
        turns.append([warp(x + lean * share, base + (top - base) * share) for share in spread(0, seen, 0.25)])
    return "".join(line(turn, style) for turn in turns)


def straight(position: str, y: float, warp: Warp = flat) -> str:
    """A thread that lies straight, in its own pattern."""
    return line((warp(x, y) for x in spread(LEFT, RIGHT)), LINES[position])


def stitches(position: str, y: float, pitch: float, warp: Warp = flat) -> str:
    """A needle thread stitch by stitch: a dash for each, with a dot after it in the pattern that has dots."""
    parts = ((0.04, 0.5), (0.68, 0.84)) if position == "right needle" else ((0.04, 0.64),)
    pieces = ([x + pitch * share for share in part] for x in starts(pitch) for part in parts)
    return "".join(line((warp(min(x, RIGHT), y) for x in piece), THREAD) for piece in pieces if piece[0] < RIGHT)


def tube(top: float, foot: float, pitch: float, warp: Warp = flat) -> str:
    """A rolled edge: between two turns of a long stitch it swells, which makes the scallops of a picot edge."""
    swell = min(7.0, max(0.0, 0.8 * (pitch - 12)))
    rim = [warp(x, top - swell * abs(sin(pi * ((x - LEFT) / pitch - 0.5)))) for x in spread(LEFT, RIGHT, 1.0)]
    return area([*rim, *(warp(x, foot) for x in reversed(spread(LEFT, RIGHT)))], 0.12) + line(rim, RIM)


def cord(top: float, foot: float, warp: Warp = flat) -> str:
    """A cord along the seam, which sticks out at both ends."""
    above, below = ([warp(x, y) for x in spread(LEFT - 6, RIGHT + 6)] for y in (top, foot))
    twist = "".join(line([warp(x, foot), warp(x + 3, top)], RIM) for x in (LEFT - 5, LEFT - 2, RIGHT, RIGHT + 3))
    return area([*above, *reversed(below)], 0.16) + line(above, RIM) + line(below, RIM) + twist


def ground(one: Shape, warp: Warp = flat, pitch: float | None = None) -> str:
    """What lies under the threads: cloth, a roll, a cord."""
    if one.opened:
        return cloth(MIDDLE, FAR, warp) + cloth(MIDDLE, HEM, warp)
    if not one.cloth:
        return cord(one.top + 3, one.base - 3, warp)
    if one.wrapped:
        above = cloth(one.top, FAR, warp) if one.fold else ""
        return above + cloth(one.base, HEM, warp) + tube(one.top, one.base, pitch or one.pitch, warp)
    return cloth(one.top, HEM, warp) + (cord(one.top + 2, one.top + 16, warp) if one.cord else "")


def cover(one: Shape, warp: Warp = flat, pitch: float | None = None) -> str:
    """The looper thread on the good side."""
    return (wraps if one.wrapped else loops)(one.top, one.base, pitch or one.pitch, LINES[one.cover], warp)


def needles(one: Shape, warp: Warp = flat) -> str:
    """Every needle thread along its line."""
    return "".join(straight(position, y, warp) for position, y in one.needles.items())
