"""What is shown once a swatch is saved: what to move, and where it leads."""

from typing import Literal

import streamlit as st

from parts.card import offer_proposal_card, offer_trial_card
from parts.checklist import caution, show_cautions, steps
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
from recommender.advice.after_a_fail import at_an_end, nothing_to_move, which_needle
from recommender.advice.proposal import Proposal
from recommender.swatches.trial import Trial
from recommender.trade.machine import Machine
from recommender.trade.upkeep import after_mishaps


def show_result(draft: Draft, saved: Trial, studio: Studio) -> None:
    """Next moves after a fail, where it is kept after a pass; a way on and a way back."""
    st.info("Saved: it passes." if saved.passed else "Saved: it fails.")
    if draft.trouble:
        st.error(plain(draft.trouble))
    warning = st.container()
    if look := after_mishaps(saved.flags):
        st.header("Before the dials", anchor=False)
        st.write("What else happened mostly comes of needle, thread or machine, and is not held against the settings.")
        st.html(steps(look))
    if draft.following is not None and nothing_to_move(saved, draft.asked):
        _sew_again(draft.following, saved)
    elif draft.following is not None:
        _follow(draft.following, saved, studio)
    say_what_waits(draft)
    ask_photo(draft, studio)
    st.page_link("app_pages/swatch_book.py", label="This swatch in the swatch book", query_params={"trial": saved.id})
    if draft.pending:
        st.page_link("app_pages/plan_swatches.py", label="Back to the planned swatches")
    st.page_link("app_pages/new_fabric.py", label="To the whole proposal, or another cloth")
    st.button("That was a mistake: take it back", on_click=take_back, args=(draft, studio))
    if draft.following is not None:
        with warning:  # at the top, but the numbers do not wait for it
            warn_of_drift(studio, [draft.following])


def _sew_again(following: Proposal, saved: Trial) -> None:
    """Once what happened to it is mended: it tells nothing against its settings."""
    st.header("Then sew it again", anchor=False)
    st.write("Leave every control where it stands: no reading speaks against these settings.")
    words = "Sew it again with these settings"
    st.button(words, type="primary", width="stretch", on_click=take, args=(following, saved.settings))


def _follow(following: Proposal, saved: Trial, studio: Studio) -> None:
    """What to move, and the next swatch."""
    _moves(following, saved, studio.machines[following.machine])
    _go_on(following, saved)
    if saved.passed:
        offer_trial_card(studio, saved)
    else:
        offer_proposal_card(studio, following)
        show_one_more(following, studio)


def _go_on(following: Proposal, saved: Trial) -> None:
    """The next swatch: as the one that passed, or with what is to be moved."""
    if saved.passed:
        st.button("Sew the next as this one passed", type="primary", width="stretch", on_click=take, args=(following, saved.settings))
    if following.moves or not saved.passed:
        words = "Moved: rate the next swatch" if following.moves else "Sew it again with these settings"
        style: Literal["primary", "secondary"] = "secondary" if saved.passed else "primary"
        st.button(words, type=style, width="stretch", on_click=take, args=(following,))


def _moves(following: Proposal, saved: Trial, machine: Machine) -> None:
    head = "It may come out better still" if following.moves else "Keep these settings"
    st.header(head if saved.passed else "Now move", anchor=False)
    if not saved.passed and (ends := at_an_end(saved, machine, following.moves)):
        st.html("".join(f"<div>{escape(step.text)}{caution(step)}</div>" for step in ends))
    sentences = "".join(f"<li>{escape(move_words(move))}</li>" for move in following.moves)
    if sentences:
        st.html(f"<ol class='moves'>{sentences}</ol>")
        if either := which_needle(saved, following.moves):
            st.html(f"<div>{escape(either)}</div>")
        cuts = any(move.control == "width" for move in following.moves)  # the cutting width moves the knife
        show_cautions(following.stitch, machine, ("dials", "knife") if cuts else ("dials",))
    else:
        closer = "No control is worth moving yet: sew the same again and read it more closely."
        st.write("Leave every control where it stands." if saved.passed or saved.flags else closer)
    show_chance(following)
