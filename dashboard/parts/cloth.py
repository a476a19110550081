"""The form that describes the cloth."""

from typing import Any

import streamlit as st

from recommender import Fabric, Studio, presets
from recommender.swatches.columns import COLUMNS
from recommender.trade.fabric import CONSTRUCTIONS, FIBRES, GRAINS
from recommender.trade.rules import rules_of
from recommender.trade.units import weight

_RULES = rules_of(Fabric)
_KEPT: dict[str, Any] = {"persist_state": "session"}


def describe_cloth(studio: Studio) -> Fabric:
    """The cloth as the form says.

    Raises
    ------
    InvalidValue, AmbiguousUnit
        If what was typed is no cloth; the message says what to write.
    """
    known = _known(studio)
    if "cloth.name" not in st.session_state:
        _fill(next(iter(known.values())))
    left, right = st.columns(2)
    with left:
        start = "It fills in the form; change whatever differs."
        st.selectbox("Start from", list(known), key="cloth.start", on_change=_start_from, args=(known,), help=start, **_KEPT)
        st.selectbox("Main fibre", FIBRES, key="cloth.fibre", help=_RULES["fibre"].help, **_KEPT)
        _number("Stretch across, %", "stretch", 5.0)
    with right:
        longest = int(_RULES["name"].high)
        st.text_input("Name of the cloth", key="cloth.name", max_chars=longest, help=_RULES["name"].help, **_KEPT)
        st.text_input("Weight", key="cloth.weight", help="Of one layer, with its unit: 180 g/m2, or 5.3 oz/yd2.", **_KEPT)
        _number("Elastane, %", "elastane", 1.0)
    st.segmented_control("Construction", CONSTRUCTIONS, key="cloth.construction", required=True, help=_RULES["construction"].help, **_KEPT)
    with st.expander("More: layers, grain, thickness"):
        left, right = st.columns(2)
        with left:
            st.number_input("Layers sewn", value=None, key="cloth.plies", **COLUMNS["plies"].limits(), **_KEPT)
            _number("Thickness of one layer, mm", "thickness", 0.1)
        with right:
            st.selectbox("Seam runs", GRAINS, key="cloth.grain", help=_RULES["grain"].help, **_KEPT)
            _number("Stretch along, %", "stretch_along", 5.0)
    return _read()


def _known(studio: Studio) -> dict[str, Fabric]:
    """Every cloth that can be started from, by what the list calls it; the studio's own come first."""
    own = {f"{name} (your log)": fabric for name, fabric in studio.fabrics().items()}
    return own | {f"{name} (preset)": fabric for name, fabric in presets().items()}


def _start_from(known: dict[str, Fabric]) -> None:
    _fill(known[st.session_state["cloth.start"]])


def _fill(fabric: Fabric) -> None:
    for name in _RULES:
        st.session_state[f"cloth.{name}"] = getattr(fabric, name)
    st.session_state["cloth.weight"] = f"{fabric.gsm:g} g/m2"


def _number(label: str, name: str, step: float) -> None:
    rule = _RULES[name]
    st.number_input(label, float(rule.low), float(rule.high), None, step=step, format="%g", key=f"cloth.{name}", help=rule.help, **_KEPT)


def _read() -> Fabric:
    typed = {name: st.session_state[f"cloth.{name}"] for name in _RULES if name not in ("gsm", "name")}
    return Fabric(name=st.session_state["cloth.name"].strip(), gsm=weight(st.session_state["cloth.weight"]), **typed)
