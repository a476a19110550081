"""Preparing the machine, step by step, each caution where the hand goes."""

from collections.abc import Collection, Iterable

import streamlit as st

from parts.svg import escape
from recommender.trade.fabric import Fabric
from recommender.trade.machine import Machine
from recommender.trade.preparation import Step, preparation
from recommender.trade.stitch import stitch


def show_checklist(stitch_name: str, machine: Machine, fabric: Fabric) -> None:
    """The steps as a list to tick off, each with its caution under it; a tick stays until the list is begun again."""
    steps = preparation(stitch(stitch_name), machine, fabric)
    keys = [f"step.{machine.name}.{stitch_name}.{index}" for index in range(len(steps))]
    for key, step in zip(keys, steps, strict=True):
        with st.container(gap=None, key=f"under_{key}"):
            st.checkbox(step.text, key=key, wrap=True, persist_state="session")
            _caution(step)
    done = sum(bool(st.session_state[key]) for key in keys)
    with st.container(horizontal=True, vertical_alignment="center"):
        st.caption(f"{done} of {len(keys)} steps done.", width="content")
        st.button("Begin the list again", disabled=not done, on_click=_untick, args=(keys,))


def _untick(keys: Iterable[str]) -> None:
    st.session_state.update(dict.fromkeys(keys, False))


def show_cautions(stitch_name: str, machine: Machine, places: Collection[str]) -> None:
    """The cautions of the steps at some places only, for hands that go back there later."""
    for step in preparation(stitch(stitch_name), machine):
        if step.place in places:
            _caution(step)


def caution(step: Step) -> str:
    """The caution of a step, as HTML; nothing where it has none."""
    if not step.caution:
        return ""
    return f"<div class='caution' role='note'><b>Caution, {escape(step.place)}:</b> {escape(step.caution)}</div>"


def steps(look: Iterable[Step]) -> str:
    """Steps in their order, each with its caution under it, as HTML."""
    return "<ol class='steps'>" + "".join(f"<li>{escape(step.text)}{caution(step)}</li>" for step in look) + "</ol>"


def _caution(step: Step) -> None:
    if step.caution:
        st.html(caution(step))
