"""The units that a person thinks in: metric or imperial, and one way of counting thread; the log never sees them.

Dials are read as the machine has them, in mm; who thinks in inches reads both.
"""

from collections.abc import Callable
from typing import Any

import streamlit as st

from parts.keeping import remembered
from parts.words import number
from recommender.advice.moves import Move
from recommender.trade.units import SYSTEMS, quantity

MEASURED = ("length", "width")
"""Controls that are lengths; the rest are numbers on a dial."""
_LEAST = 0.05
"""mm; no stitch is shorter, and stitches per inch have to stay finite."""
PLACES = {"g/m2": 1, "oz/yd2": 1, "stitches per inch": 1, "inch": 3, "mm": 2}
"""Digits after the point that are worth showing; two where a unit is not named."""
_KEPT: dict[str, Any] = {"persist_state": "session"}
_SHORT = {"stitches per inch": "per inch", "inch": "in"}


def system() -> str:
    """`metric` or `imperial`, as last chosen on this tablet."""
    return _preference("units", SYSTEMS)


def choose_units(rewrite: Callable[[], None]) -> None:
    """The switch; `rewrite` puts what stands in the page's fields into the new units."""
    system()
    told = "Of weight, thickness, stitch length and cutting width, on every page; this tablet remembers it."
    st.segmented_control("Units", SYSTEMS, key="units", required=True, format_func=str.capitalize, on_change=rewrite, help=told, **_KEPT)


def thread_unit() -> str:
    """How thread is counted, as last chosen on this tablet."""
    return _preference("thread_unit", _thread_units())


def choose_thread_unit(rewrite: Callable[[], None]) -> None:
    """The same for thread, which each trade counts in its own way."""
    thread_unit()
    st.selectbox("Count thread in", _thread_units(), key="thread_unit", on_change=rewrite, **_KEPT)


def unit(name: str) -> str:
    """The unit in which a quantity is shown now."""
    return thread_unit() if name == "thread" else quantity(name).usual(system())


def other_unit(name: str) -> str:
    """The unit of the system that is not chosen."""
    (other,) = (each for each in SYSTEMS if each != system())
    return quantity(name).usual(other)


def shown(name: str, value: float, chosen: str | None = None) -> str:
    """An amount with its unit, in the one shown now or in a chosen one."""
    chosen = chosen or unit(name)
    return f"{_rounded(quantity(name).show(value, chosen), chosen)} {_SHORT.get(chosen, chosen)}"


def turned(control: str) -> Callable[[float], float]:
    """What makes a dial's number the number that is shown: stitch length and cutting width stand in the chosen units."""
    if control not in MEASURED:
        return float
    chosen = unit(control)
    return lambda value: quantity(control).show(max(value, _LEAST), chosen)


def reading_of(control: str) -> Callable[[float], str]:
    """How the settings of a control are read."""
    turn, chosen = turned(control), unit(control) if control in MEASURED else ""
    return lambda value: _rounded(turn(value), chosen)


def beside(control: str, value: float) -> str:
    """What stands beside the number of a control: its unit, and the dial's own mark where the number is not read off it."""
    if control not in MEASURED:
        return ""
    chosen = unit(control)
    own = quantity(control).base
    return own if chosen == own else f"{_SHORT[chosen]}; dial {number(value)} {own}"


def move_words(move: Move) -> str:
    """What to do, as a sentence; who thinks in inches reads what the dial's new mark means."""
    if move.control not in MEASURED or system() == "metric":
        return move.sentence
    return f"{move.sentence[:-1]} on the dial: {reading_of(move.control)(move.end)} {unit(move.control)}."


def _rounded(value: float, chosen: str) -> str:
    return f"{round(value, PLACES.get(chosen, 2)) + 0:g}"


def _thread_units() -> tuple[str, ...]:
    return tuple(each.name for each in quantity("thread").units)


def _preference(name: str, choices: tuple[str, ...]) -> str:
    if st.session_state.get(name) not in choices:
        st.session_state[name] = remembered(name, choices) or choices[0]
    chosen: str = st.session_state[name]
    return chosen
