"""How each reading follows each control: what one step of every dial does, and the curve of one control."""

import streamlit as st

from parts.answers import answered
from parts.curve import Curve, curve
from parts.words import asked
from recommender import Studio
from recommender.advice.effect import CONTROLS, MOST
from recommender.advice.words import spoken
from recommender.trade.readings import READINGS

MAIN = {
    "edge_lie": "differential",
    "looper_balance": "tension: upper looper",
    "needle_line": "tension: left needle",
    "edge_wrap": "tension: lower looper",
    "stitch_cover": "length",
}
"""The control that moves a reading most, by the trade's trouble-shooting chart (common practice, no source): shown first."""

_AXIS = {"differential": "in percent", "length": "in percent", "width": "on the dial, in mm"}
"""How the distance from the baseline is counted, where not in numbers of the dial."""


def choose_reading() -> str:
    """The reading to look at."""
    st.session_state.setdefault("effect.control", MAIN[st.session_state.setdefault("effect.reading", "edge_lie")])
    return str(
        st.selectbox("Reading", list(READINGS), format_func=_title, key="effect.reading", on_change=_to_main, persist_state="session")
    )


def choose_control() -> str:
    """The control to look at."""
    return str(st.selectbox("Control", CONTROLS, format_func=spoken, key="effect.control", persist_state="session"))


def show_effect(studio: Studio, reading: str, control: str) -> None:
    """The curve, its band, the baseline and the swatches."""
    found = asked(lambda: answered(studio, "effect", reading, control))
    if found is None:
        return
    noun = READINGS[reading]
    drawing = Curve(
        title=f"{noun.title} against {spoken(control)}",
        axis=f"{spoken(control)}: how far from the baseline, {_AXIS.get(control, 'in dial numbers')}",
        mark=found.distance,
        x=found.x,
        mean=found.mean,
        low=found.low,
        high=found.high,
        points=[(point.x, point.y) for point in found.points],
        minus=noun.minus,
        nought="as on the baseline",
        plus=noun.plus,
    )
    st.html(curve(drawing))
    dots = "each dot is one swatch" if len(found.points) < MOST else f"each dot is one of the last {MOST} swatches"
    st.caption(
        f"The line is what the log says of this control alone, its band holds it with 80 % probability, and {dots} with everything else "
        "taken out. Without a dot, the line is the trade's rule of thumb."
    )


def _title(name: str) -> str:
    return READINGS[name].title


def _to_main() -> None:
    """A new reading begins with the control that moves it most."""
    st.session_state["effect.control"] = MAIN[st.session_state["effect.reading"]]
