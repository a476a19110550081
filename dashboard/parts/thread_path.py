"""Which thread is threaded first and where it runs: a schematic of our own, seen from the front.

Four spools stand side by side, each thread falls over its tension dial to its needle or looper. It holds for any overlock machine and is
no machine's chart: the way past guides and hooks stands in the manual.
"""

from collections.abc import Sequence

import streamlit as st

from parts.svg import LOWER_LOOPER, NEEDLE, UPPER_LOOPER, Point, area, drawn, label, line, shown
from recommender.trade.stitch import stitch
from recommender.trade.thread import POSITIONS

WIDTH, HEIGHT = 420, 322
LINES = {
    "left needle": NEEDLE,
    "right needle": 'stroke-width="3.4" stroke-dasharray="14 4 3 4"',
    "upper looper": UPPER_LOOPER,
    "lower looper": LOWER_LOOPER,
}
"""The pattern of each thread's line."""
WORDS = {
    "left needle": "dashes",
    "right needle": "dashes and dots",
    "upper looper": "a plain line",
    "lower looper": "dots",
}
"""The same for those who do not see them."""

_SPOOLS = dict(zip(POSITIONS, (52.0, 146.0, 252.0, 348.0), strict=True))
_DIAL, _PLATE = 128.0, 262.0
_ENDS: dict[str, Sequence[Point]] = {
    "left needle": ((118, 200), (118, 252)),
    "right needle": ((146, 200), (146, 252)),
    "upper looper": ((278, 262), (262, 240), (178, 234)),
    "lower looper": ((318, 306), (270, 288), (160, 282)),
}
"""Where each thread leaves the dials' row, and how it ends: down a needle, or along a looper to its tip."""
_FAINT = 'stroke-width="1.2" stroke-opacity="0.6"'
_BODY = 'stroke-width="9" stroke-opacity="0.5" stroke-linecap="round"'


def show_thread_path(name: str) -> None:
    """The drawing for a stitch, with its order in words."""
    order = stitch(name).threading
    st.html(shown(thread_path(order), alt=thread_words(order), width=WIDTH, height=HEIGHT, most="520px"))
    st.caption(
        "The order in which to thread, once the machine is switched off and unplugged: the list below tells when. Which guides a thread "
        "passes on its way stands in the machine's manual."
    )


def thread_words(order: Sequence[str]) -> str:
    """The drawing in words.

    >>> thread_words(["lower looper", "left needle"])
    'Thread in this order: 1, the lower looper, drawn as dots; 2, the left needle, drawn as dashes.'
    """
    told = (f"{place}, the {position}, drawn as {WORDS[position]}" for place, position in enumerate(order, 1))
    return f"Thread in this order: {'; '.join(told)}."


def thread_path(order: Sequence[str]) -> str:
    """The drawing of some threads in the order of threading, as SVG text; what does not run is left faint."""
    body = line([(70, _PLATE), (226, _PLATE)], 'stroke-width="2.5"') + label(66, _PLATE + 5, "plate", size=14, anchor="end")
    for position in POSITIONS:
        body += _place(position, order.index(position) + 1 if position in order else None)
    return drawn(body, width=WIDTH, height=HEIGHT)


def _place(position: str, number: int | None) -> str:
    """One spool with its name, and its thread where it runs."""
    x, end = _SPOOLS[position], _ENDS[position]
    drawing = _spool(x, runs=number is not None) + _names(x, position)
    drawing += line(end, _BODY) if number or "needle" in position else ""
    if number is None:
        return drawing
    tip = end[-1]
    eye = f'<circle cx="{tip[0]:g}" cy="{tip[1]:g}" r="4" stroke-width="2"/>'
    down = line([(x, 40), (x, _DIAL - 17)], LINES[position]) + line([(x, _DIAL + 17), (x, 170), *end], LINES[position])
    dial = f'<circle cx="{x:g}" cy="{_DIAL:g}" r="17" stroke-width="2.4"/>'
    return drawing + down + dial + label(x, _DIAL + 8, str(number), size=23, anchor="middle") + eye


def _spool(x: float, *, runs: bool) -> str:
    cone = [(x - 8, 10), (x + 8, 10), (x + 17, 40), (x - 17, 40)]
    return (area(cone, 0.25) if runs else "") + line([*cone, cone[0]], 'stroke-width="1.8"' if runs else _FAINT)


def _names(x: float, position: str) -> str:
    """The name in two lines beside the thread."""
    return "".join(label(x + 8, 62 + 17 * row, word, size=15) for row, word in enumerate(position.split()))
