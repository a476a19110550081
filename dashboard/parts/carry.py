"""A swatch's setting for another machine."""

from dataclasses import replace

import streamlit as st

from parts.checklist import show_cautions
from parts.drift import warn_of_drift
from parts.svg import escape
from parts.units import beside
from parts.words import asked, so_many
from recommender import Settings, Studio
from recommender.advice.translate import Carried, Translation
from recommender.advice.words import brief
from recommender.errors import OveredgeError
from recommender.swatches.trial import Trial
from recommender.trade.asked import Asked, asking
from recommender.trade.words import chance, number


def copy_to_another_machine(studio: Studio, trial: Trial) -> None:
    """Choose a machine; see each control there with its band, and put a swatch with it on the list."""
    others = [name for name in studio.machines if name != trial.machine]
    if not others:
        st.write("This studio has one machine only. Add another on the page Machines, and its settings stand here.")
        return
    to = st.selectbox("Other machine", others, None, key=f"carry.to.{trial.id}", placeholder="choose a machine")
    found = asked(lambda: studio.translate(trial=trial.id, to=to)) if to else None
    if found is None:
        return
    warn_of_drift(studio, (trial, replace(trial, machine=found.to)))
    st.html(_table(found))
    show_cautions(found.stitch, studio.machines[found.to], ("dials", "knife"))
    st.caption(
        f"The band holds the setting that sews the same with 80 % probability. {_chance(found)} The machine's manual and local rules come "
        "first; sew a swatch before the seam."
    )
    there: Asked = {**asking(found), "machine": found.to}
    listed = any(one.asks_for(there, found.settings) for one in studio.pending())
    words = "On the list already" if listed else "Put a swatch with it on the list"
    st.button(words, width="stretch", disabled=listed, on_click=_set_aside, args=(studio, trial, found, there))


def _table(found: Translation) -> str:
    head = f"<tr><th>control</th><th class='n'>{escape(found.machine)}</th><th class='n'>{escape(found.to)}</th><th>80 % band</th></tr>"
    pressure = _pressure(found.given, found.settings)
    return f"<table class='why carry'>{head}{''.join(map(_row, found.carried))}{pressure}</table>"


def _row(one: Carried) -> str:
    marks = "" if one.plain == one.value else f"<div class='quiet'>by the home marks alone {number(one.plain)}</div>"
    band = f"{number(one.band.low)} to {number(one.band.high)}"
    name = escape(", ".join(filter(None, (brief(one.control), beside(one.control, one.value)))))
    return (
        f"<tr><td>{name}{marks}</td><td class='n'>{number(one.given)}</td><td class='n'><b>{number(one.value)}</b></td><td>{band}</td></tr>"
    )


def _pressure(given: Settings, there: Settings) -> str:
    if there.foot_pressure is None:
        return ""
    stood = "" if given.foot_pressure is None else number(given.foot_pressure)
    return f"<tr><td>foot pressure</td><td class='n'>{stood}</td><td class='n'><b>{number(there.foot_pressure)}</b></td><td></td></tr>"


def _chance(found: Translation) -> str:
    if not found.chance_known:
        return f"Too few ratings to say how often it passes ({found.ratings} so far)."
    return f"Sewn so, {chance(found.pass_chance)} of swatches pass there ({so_many(found.pass_chance)})."


def _set_aside(studio: Studio, trial: Trial, found: Translation, there: Asked) -> None:
    done = f"done.{trial.id}"
    try:
        studio.set_aside(**there, settings=found.settings, reason=f"copied from {found.machine}")
    except OveredgeError as error:
        st.session_state[done] = (False, str(error))
    else:
        st.session_state[done] = (True, f"A swatch on {found.to} is on the list now, on the page Plan swatches.")
