"""The units that a person thinks in, as last chosen on this tablet: metric or imperial, and one way of counting thread."""

from collections.abc import Callable
from typing import Any

import streamlit as st

from parts.keeping import remembered
from recommender.advice.moves import Move
from recommender.advice.words import spoken
from recommender.trade.units import SYSTEMS, quantity
from recommender.trade.words import MEASURED, Units, number

_KEPT: dict[str, Any] = {"persist_state": "session"}


def system() -> str:
    """`metric` or `imperial`, as last chosen on this tablet."""
    return _preference("units", SYSTEMS)


def choose_units(rewrite: Callable[[], None]) -> None:
    """The switch; `rewrite` puts what stands in the page's fields into the new units."""
    system()
    told = "Of weight and thickness, on every page; imperial puts inches beside the dials. This tablet remembers it."
    st.segmented_control("Units", SYSTEMS, key="units", required=True, format_func=str.capitalize, on_change=rewrite, help=told, **_KEPT)


def thread_unit() -> str:
    """How thread is counted, as last chosen on this tablet."""
    return _preference("thread_unit", _thread_units())


def choose_thread_unit(rewrite: Callable[[], None]) -> None:
    """The same for thread, which each trade counts in its own way."""
    thread_unit()
    st.selectbox("Count thread in", _thread_units(), key="thread_unit", on_change=rewrite, **_KEPT)


def chosen() -> Units:
    """Both choices, for what is made of them."""
    return Units(system(), thread_unit())


def unit(name: str) -> str:
    """The unit in which a quantity is shown now."""
    return chosen().unit(name)


def other_unit(name: str) -> str:
    """The unit of the system that is not chosen."""
    (other,) = (each for each in SYSTEMS if each != system())
    return quantity(name).usual(other)


def shown(name: str, value: float) -> str:
    """An amount with its unit, in the one shown now."""
    return chosen().said(name, value)


def beside(control: str, value: float) -> str:
    """What stands beside the number on a control's dial: its unit, and inches for who thinks in them."""
    return chosen().beside(control, value)


def on_dial(control: str, value: float | None = None) -> str:
    """A control and what its dial counts, where that has a unit; of a setting also what it is in inches for who thinks in them."""
    if control not in MEASURED:
        return spoken(control)
    return f"{spoken(control)}, {'mm' if value is None else beside(control, value)}"


def with_unit(control: str, value: float) -> str:
    """A setting with what stands beside it, in a sentence."""
    unit, meaning = (" mm" if control in MEASURED else ""), chosen().meaning(control, value)
    return f"{number(value)}{unit}" + (f" ({meaning})" if meaning else "")


def move_words(move: Move) -> str:
    """What to do, as a sentence; who thinks in inches reads what the dial's new mark means."""
    meaning = chosen().meaning(move.control, move.end)
    return f"{move.sentence[:-1]} mm, which is {meaning}." if meaning else move.sentence


def _thread_units() -> tuple[str, ...]:
    return tuple(each.name for each in quantity("thread").units)


def _preference(name: str, choices: tuple[str, ...]) -> str:
    if st.session_state.get(name) not in choices:
        st.session_state[name] = remembered(name, choices) or choices[0]
    chosen: str = st.session_state[name]
    return chosen
