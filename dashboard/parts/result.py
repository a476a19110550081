"""What is shown once a swatch is saved: what to move, and where it leads."""

from typing import Literal

import streamlit as st

from parts.card import offer_proposal_card, offer_trial_card
from parts.checklist import show_cautions, steps
from parts.drafts import Draft, take, take_back
from parts.drift import warn_of_drift
from parts.further import show_one_more
from parts.photo import ask_photo
from parts.proposal import show_chance
from parts.svg import escape
from parts.units import move_words
from parts.waits_behind import say_what_waits
from parts.words import plain
from recommender import Studio
from recommender.advice.proposal import Proposal
from recommender.swatches.trial import Trial
from recommender.trade.machine import Machine
from recommender.trade.upkeep import after_mishaps


def show_result(draft: Draft, studio: Studio) -> None:
    """Next moves after a fail, where it is kept after a pass; a way on and a way back."""
    passed = bool(draft.passed)
    st.info("Saved: it passes." if passed else "Saved: it fails.")
    if draft.trouble:
        st.error(plain(draft.trouble))
    warning = st.container()
    if draft.saved is not None and (look := after_mishaps(draft.saved.flags)):
        st.header("Before the dials", anchor=False)
        st.write("What else happened mostly comes of needle, thread or machine, and is not held against the settings.")
        st.html(steps(look))
    if draft.following is not None:
        _moves(draft.following, passed, studio.machines[draft.following.machine])
        _go_on(draft.following, draft.saved if passed else None)
        if passed and draft.saved is not None:
            offer_trial_card(studio, draft.saved)
        else:
            offer_proposal_card(studio, draft.following)
            show_one_more(draft.following, studio)
    say_what_waits(draft)
    ask_photo(draft, studio)
    if draft.saved is not None:
        st.page_link("app_pages/swatch_book.py", label="This swatch in the swatch book", query_params={"trial": draft.saved.id})
    if draft.pending:
        st.page_link("app_pages/plan_swatches.py", label="Back to the planned swatches")
    st.page_link("app_pages/new_fabric.py", label="To the whole proposal, or another cloth")
    st.button("That was a mistake: take it back", on_click=take_back, args=(draft, studio))
    if draft.following is not None:
        with warning:  # at the top, but the numbers do not wait for it
            warn_of_drift(studio, [draft.following])


def _go_on(following: Proposal, passed: Trial | None) -> None:
    """The next swatch: as the one that passed, or with what is to be moved."""
    if passed is not None:
        st.button("Sew the next as this one passed", type="primary", width="stretch", on_click=take, args=(following, passed.settings))
    if following.moves or passed is None:
        words = "Moved: rate the next swatch" if following.moves else "Sew it again with these settings"
        style: Literal["primary", "secondary"] = "primary" if passed is None else "secondary"
        st.button(words, type=style, width="stretch", on_click=take, args=(following,))


def _moves(following: Proposal, passed: bool, machine: Machine) -> None:
    head = "It may come out better still" if following.moves else "Keep these settings"
    st.header(head if passed else "Now move", anchor=False)
    sentences = "".join(f"<li>{escape(move_words(move))}</li>" for move in following.moves)
    if sentences:
        st.html(f"<ol class='moves'>{sentences}</ol>")
        cuts = any(move.control == "width" for move in following.moves)  # the cutting width moves the knife
        show_cautions(following.stitch, machine, ("dials", "knife") if cuts else ("dials",))
    else:
        closer = "No control is worth moving yet: sew the same again and read it more closely."
        besides = following.last is not None and following.last.flags
        st.write("Leave every control where it stands." if passed or besides else closer)
    show_chance(following)
