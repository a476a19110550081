"""Drawings of a seam, one for each stitch and each step of each reading.

A drawing is a function of stitch, reading and score, -2 to +2, half steps included. What a stitch looks like when it is right follows
from its needles, loopers, finger and family (`seam_shapes.py`), so that its sewer finds her own swatch in the middle.
"""

from collections.abc import Callable, Mapping

from parts.seam_edges import edge_lie, edge_wrap, stitch_cover
from parts.seam_shapes import HEIGHT, WIDTH, Shape, shape_of
from parts.seam_threads import looper_balance, needle_line
from parts.svg import drawn, line, shown
from parts.thread_path import LINES, WORDS
from recommender.trade.looks import looks, reading
from recommender.trade.stitch import stitch


def seam(of: str, name: str, score: float) -> str:
    """The drawing of a stitch at one score of a reading, as SVG text.

    Raises
    ------
    KeyError
        If there is no such reading.
    UnknownName
        If there is no such stitch.
    """
    return drawn(_DRAWINGS[name](shape_of(stitch(of)), score), width=WIDTH, height=HEIGHT)


def show_seam(of: str, name: str, score: float) -> str:
    """The same as HTML for a page, with a text alternative."""
    alt = f"{reading(name, of).title}, {score:+g}: {looks(name, score, of)}"
    return shown(seam(of, name, score), alt=alt, width=WIDTH, height=HEIGHT)


def view(of: str, name: str) -> str:
    """How the swatch is held to look at a reading, and how its drawings show it."""
    shape = shape_of(stitch(of))
    if name == "looper_balance":
        return "seen from below" if shape.wrapped else "the edge unfolded"
    if name == "needle_line" and shape.joins:
        return "opened, the ladder side" if shape.opened else "the seam pulled open"
    if name == "edge_wrap" and shape.wrapped and shape.cloth:
        return "seen from above, and the cloth from its end"
    return "opened, the loop side" if shape.opened else "seen from above"


def threads_key(of: str) -> str:
    """Which line stands for which thread that runs in a stitch, as HTML."""
    return f'<div class="threads">{"".join(map(_thread, stitch(of).positions))}</div>'


def _thread(position: str) -> str:
    picture = drawn(line([(1, 10), (43, 10)], LINES[position]), width=44, height=20)
    return f"<span>{shown(picture, alt=WORDS[position], width=44, height=20, most='44px')}{position} thread</span>"


_DRAWINGS: Mapping[str, Callable[[Shape, float], str]] = {
    "edge_lie": edge_lie,
    "looper_balance": looper_balance,
    "needle_line": needle_line,
    "edge_wrap": edge_wrap,
    "stitch_cover": stitch_cover,
}
