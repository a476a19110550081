"""What would change if one more control were moved."""

import streamlit as st

from parts.checklist import show_cautions
from parts.svg import escape
from parts.units import move_words, with_unit
from recommender import Studio
from recommender.advice.one_more import OneMore
from recommender.advice.proposal import Proposal
from recommender.advice.words import spoken
from recommender.trade.words import chance, listed

WORTH = 0.01
"""A gain of pass chance below this is none."""


def show_one_more(proposal: Proposal, studio: Studio) -> None:
    """One sentence about the next best control, and whether it is worth the turn of a dial."""
    found = studio.one_more(proposal)
    st.html(f"<div class='further'>{_said(proposal, found)}</div>")
    if found is not None and found.further.control == "width" and not any(move.control == "width" for move in proposal.moves):
        show_cautions(proposal.stitch, studio.machines[proposal.machine], ("knife",))


def _said(proposal: Proposal, found: OneMore | None) -> str:
    start = "Moving one control more" if proposal.moves else "Moving a control all the same"
    if found is None:
        return f"{start} would gain nothing: each of the others stands where it is best."
    move, chances = escape(move_words(found.further)), _chances(proposal, found)
    if found.pass_chance - proposal.pass_chance < WORTH:
        return f"{start} is hardly worth it. The next would be: {move}{chances}"
    return f"If you move one more: <b>{move}</b>{chances}{_others(proposal, found)}"


def _chances(proposal: Proposal, found: OneMore) -> str:
    """Both chances where they are known."""
    if not proposal.chance_known:
        return " There are too few ratings to say how often it would pass then."
    return f" It would pass {chance(found.pass_chance)} of the time; without it {chance(proposal.pass_chance)}."


def _others(proposal: Proposal, found: OneMore) -> str:
    """Where the others then have to go, if elsewhere."""
    ends = {move.control: move.end for move in proposal.moves}
    changed = [move for move in found.moves if move.control != found.further.control and move.end != ends.get(move.control)]
    told = listed([f"{spoken(move.control)} to {with_unit(move.control, move.end)}" for move in changed])
    return f" Then also: {escape(told)}." if told else ""
