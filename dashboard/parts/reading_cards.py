"""Choosing readings by drawings: touch the one that looks like the swatch."""

import streamlit as st

from parts.drafts import Draft, choose
from parts.keeping import keep
from parts.seams import show_seam, threads_key, view
from parts.svg import escape
from recommender.trade.looks import intended, looks, reading
from recommender.trade.readings import READINGS

STEPS = (-2.0, -1.0, 0.0, 1.0, 2.0)


def choose_readings(draft: Draft) -> None:
    """All five readings; each may be left out."""
    if meant := intended(draft.proposal.stitch):
        words = f"{meant} That is the middle drawing; touch another only where it is too much or too little of it."
        st.html(f"<div class='rule'>{escape(words)}</div>")
    st.html(threads_key(draft.proposal.stitch))
    for name in READINGS:
        _row(draft, name)


@st.fragment
def _row(draft: Draft, name: str) -> None:
    """One reading; a touch draws this row again and nothing else."""
    with st.container(horizontal=True, vertical_alignment="center", key=f"head_{name}"):
        score, sewn = draft.readings.get(name), draft.proposal.stitch
        said = f" <span class='view'>{view(sewn, name)}</span>" if score is None else f": {escape(looks(name, score, sewn))} ({score:+g})"
        st.html(f"<div class='control'>{escape(reading(name, sewn).title)}{said}</div>")
        if score is not None:
            _half_steps(draft, name, score)
    with st.container(key=f"cards_{name}"):
        columns = st.columns(len(STEPS), gap="xsmall", wrap=False)
    for column, step in zip(columns, STEPS, strict=True):
        with column:
            _card(draft, name, step)


def _half_steps(draft: Draft, name: str, score: float) -> None:
    """Between two drawings: to the left or to the right, for more of a fault lies on either side."""
    for words, by in (("½ to the left", -0.5), ("½ to the right", 0.5)):
        st.button(words, key=f"half_{name}_{by}", disabled=abs(score + by) > 2, on_click=_choose, args=(draft, name, score + by))


def _choose(draft: Draft, name: str, score: float) -> None:
    choose(draft, name, score)
    keep()  # this row runs alone


def _card(draft: Draft, name: str, step: float) -> None:
    score, sewn = draft.readings.get(name), draft.proposal.stitch
    near = score is not None and abs(score - step) < 1  # a half step lies between two drawings and marks both
    chosen = " class='chosen'" if near else ""  # a button of another type would be another button, and the keyboard would lose its place
    with st.container(key=f"pick_{name}_{STEPS.index(step)}"):
        st.html(f"<div{chosen}>{show_seam(sewn, name, step)}</div>")
        st.button(
            looks(name, step, sewn),
            key=f"step_{name}_{step:g}",
            width="stretch",
            wrap=True,
            on_click=_choose,
            args=(draft, name, step),
        )
