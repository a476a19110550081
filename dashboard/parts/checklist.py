"""Preparing the machine, step by step, each caution where the hand goes."""

from collections.abc import Collection

import streamlit as st

from parts.svg import escape
from recommender.trade.fabric import Fabric
from recommender.trade.machine import Machine
from recommender.trade.preparation import Step, preparation
from recommender.trade.stitch import stitch


def show_checklist(stitch_name: str, machine: Machine, fabric: Fabric) -> None:
    """The steps as a list to tick off, each with its caution under it."""
    for index, step in enumerate(preparation(stitch(stitch_name), machine, fabric)):
        with st.container(gap=None):
            st.checkbox(step.text, key=f"step.{machine.name}.{stitch_name}.{index}", wrap=True, persist_state="session")
            _caution(step)


def show_cautions(stitch_name: str, machine: Machine, places: Collection[str]) -> None:
    """The cautions of the steps at some places only, for hands that go back there later."""
    for step in preparation(stitch(stitch_name), machine):
        if step.place in places:
            _caution(step)


def _caution(step: Step) -> None:
    if step.caution:
        st.html(f"<div class='caution' role='note'><b>Caution, {escape(step.place)}:</b> {escape(step.caution)}</div>")
