"""Preparing the machine, step by step, each caution where the hand goes."""

from collections.abc import Collection, Iterable
from zlib import crc32

import streamlit as st

from parts.setting import setting
from parts.svg import escape
from recommender import Settings, Studio
from recommender.advice.proposal import Proposal
from recommender.trade.machine import Machine
from recommender.trade.needles import needle_for
from recommender.trade.preparation import Step, preparation
from recommender.trade.stitch import stitch


def show_checklist(studio: Studio, proposal: Proposal, settings: Settings) -> None:
    """The steps as a list to tick off, each with its caution under it; the settings are what the dials are to be set to.

    A tick stays until the list is begun again, until a swatch was sewn on the machine or a step of another stitch ticked there, and as
    long as the step says the same: a needle for another cloth is another needle.
    """
    steps = preparation(stitch(proposal.stitch), studio.machines[proposal.machine], needle_for(proposal.fabric, proposal.needle_thread))
    last = next((trial.id for trial in reversed(studio.trials()) if trial.machine == proposal.machine), "")
    mine = f"step.{proposal.machine!r}."
    now = f"{mine}{proposal.stitch}.{last}."
    keys = [f"{now}{place}.{crc32(_meant(step, proposal, settings).encode()):x}" for place, step in enumerate(steps)]
    for key, step in zip(keys, steps, strict=True):
        with st.container(gap=None, key=f"under_{key}"):
            st.checkbox(step.text, key=key, wrap=True, persist_state="session", on_change=_let_go, args=(mine, now, key))
            if step.place == "dials":
                st.html(f"<div class='under'>{setting(settings, {}, '')}</div>")
            _caution(step)
    done = sum(bool(st.session_state[key]) for key in keys)
    with st.container(horizontal=True, vertical_alignment="center"):
        st.caption(f"{done} of {len(keys)} steps done.", width="content")
        st.button("Begin the list again", disabled=not done, on_click=_untick, args=(keys,))


def _meant(step: Step, proposal: Proposal, settings: Settings) -> str:
    """What a tick stands for: the words of the step, and what they do not say of numbers and threads."""
    if step.place == "dials":
        return f"{step.text} {settings.numbers()}"
    if step.text.startswith("Thread the"):
        return f"{step.text} {proposal.needle_thread} {proposal.looper_thread}"
    return step.text


def _let_go(mine: str, now: str, touched: str) -> None:
    """What was done to the machine for another stitch is undone, and what the touched step said before."""
    place = touched.rpartition(".")[0] + "."
    for key in [key for key in map(str, st.session_state) if key.startswith(mine) and key != touched]:
        if not key.startswith(now) or key.startswith(place):
            del st.session_state[key]


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
