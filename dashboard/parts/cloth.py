"""The form that describes the cloth; what is wrong with a field stands under it."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import streamlit as st

from parts import amounts
from parts.units import choose_units
from parts.words import asked
from recommender import Fabric, Studio, presets
from recommender.errors import OveredgeError
from recommender.swatches.columns import COLUMNS
from recommender.trade.fabric import CONSTRUCTIONS, FIBRES, GRAINS
from recommender.trade.rules import rules_of
from recommender.trade.words import counted

_RULES = rules_of(Fabric)
_KEPT: dict[str, Any] = {"persist_state": "session"}
_AMOUNTS = {"cloth.weight": "weight", "cloth.thick": "thickness"}
"""Fields that hold an amount with its unit."""


def describe_cloth(studio: Studio) -> Fabric | None:
    """The cloth as the form says; None where a field has to be mended, and says so itself."""
    known = _known(studio)
    if "cloth.name" not in st.session_state:
        fill_cloth(next(iter(known.values())))
    if st.session_state.get("cloth.start") not in known:
        st.session_state["cloth.start"] = next(iter(known))
    left, right = st.columns(2)
    with left:
        start = "It fills in the form; change whatever differs."
        st.selectbox("Start from", list(known), key="cloth.start", on_change=_start_from, args=(known,), help=start, **_KEPT)
    with right:
        _name()
    left, right = st.columns(2)
    with left:
        st.selectbox("Main fibre", FIBRES, key="cloth.fibre", help=_RULES["fibre"].help, **_KEPT)
    with right:
        _weight()
    left, right = st.columns([3, 2])
    with left:
        how = _RULES["construction"].help
        st.segmented_control("Construction", CONSTRUCTIONS, key="cloth.construction", required=True, help=how, **_KEPT)
    with right:
        choose_units(_rewrite)
    left, right = st.columns(2)
    with left:
        _number("Stretch across, %", "stretch", 5.0)
    with right:
        _number("Elastane, %", "elastane", 1.0)
    _more()
    return in_form()


def in_form() -> Fabric | None:
    """The cloth that stands in the form, on whatever page; None where none does, or a field has to be mended."""
    if "cloth.name" not in st.session_state:
        return None
    typed = {name: st.session_state[f"cloth.{name}"] for name in _RULES if name not in ("gsm", "thickness")}
    try:
        gsm = amounts.needed("cloth.weight", "weight", _RULES["gsm"])
        thickness = amounts.read("cloth.thick", "thickness", _RULES["thickness"])
        return Fabric(**typed | {"name": typed["name"].strip(), "gsm": gsm, "thickness": thickness})
    except OveredgeError:
        return None


def mend_form(of: Callable[[Fabric], Fabric]) -> bool:
    """Put what `of` makes of the cloth in the form into the form, if that is another; before the form is drawn. Whether it was."""
    was = in_form()
    if was is None or (now := of(was)) == was:
        return False
    fill_cloth(now)
    if st.session_state.get("cloth.start") == _own(was.name):
        st.session_state["cloth.start"] = _own(now.name)
    return True


def _rewrite() -> None:
    """Put the amounts into the units shown now."""
    for key, name in _AMOUNTS.items():
        amounts.rewrite(key, name)


def _known(studio: Studio) -> dict[str, Fabric]:
    """Every cloth that can be started from, by what the list calls it; the studio's own come first."""
    own = {_own(name): fabric for name, fabric in studio.fabrics().items()}
    return own | {f"{name} (preset)": fabric for name, fabric in presets().items()}


def _own(name: str) -> str:
    return f"{name} (your log)"


def _start_from(known: dict[str, Fabric]) -> None:
    fill_cloth(known[st.session_state["cloth.start"]])


def fill_cloth(fabric: Fabric) -> None:
    """Put a cloth into the form; before the form is drawn."""
    for name in _RULES:
        st.session_state[f"cloth.{name}"] = getattr(fabric, name)
    amounts.fill("cloth.weight", "weight", fabric.gsm)
    amounts.fill("cloth.thick", "thickness", fabric.thickness)


def _more() -> None:
    with st.expander(_laid(), key="more"):
        left, right = st.columns(2)
        with left:
            st.number_input("Layers sewn", value=None, key="cloth.plies", **COLUMNS["plies"].limits(), **_KEPT)
            _check("plies", st.session_state["cloth.plies"])
            amounts.ask("Thickness of one layer", "cloth.thick", "thickness", _RULES["thickness"].help)
            asked(lambda: amounts.read("cloth.thick", "thickness", _RULES["thickness"]))
        with right:
            st.selectbox("Seam runs", GRAINS, key="cloth.grain", help=_RULES["grain"].help, **_KEPT)
            _number("Stretch along, %", "stretch_along", 5.0)


def _laid() -> str:
    """How the cloth lies in the seam, to be seen while the fields of it are folded away: a hem wants fewer layers than a seam."""
    plies = st.session_state["cloth.plies"]
    return f"More: {'layers' if plies is None else counted(plies, 'layer')}, {st.session_state['cloth.grain']}, thickness"


def _name() -> None:
    typed = st.text_input("Name of the cloth", key="cloth.name", max_chars=int(_RULES["name"].high), help=_RULES["name"].help, **_KEPT)
    _check("name", typed.strip())


def _weight() -> None:
    amounts.ask("Weight", "cloth.weight", "weight", "Of one layer. The other unit may stand beside the number: 180 g/m2, or 5.3 oz.")
    found = asked(lambda: amounts.needed("cloth.weight", "weight", _RULES["gsm"]))
    if found is not None:
        amounts.say_other("weight", found)


def _number(label: str, name: str, step: float) -> None:
    rule = _RULES[name]
    st.number_input(label, float(rule.low), float(rule.high), None, step=step, format="%g", key=f"cloth.{name}", help=rule.help, **_KEPT)
    _check(name, st.session_state[f"cloth.{name}"])


def _check(name: str, value: object) -> None:
    """Under the field the sentence that says why there can be no cloth with this value, if there is one."""
    asked(lambda: replace(_SOME, **{name: value}))  # type: ignore[arg-type]  # the cloth itself says what is wrong with it


_SOME = next(iter(presets().values()))
"""A cloth that can be, for trying one value at a time."""
