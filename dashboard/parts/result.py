"""What is shown once a swatch is saved: what to move, and where it leads."""

from typing import Literal

import streamlit as st

from parts.card import offer_proposal_card, offer_trial_card
from parts.checklist import caution, show_cautions, steps
from parts.drafts import Draft, note_needles, take, take_back
from parts.drift import warn_of_drift
from parts.further import show_one_more
from parts.photo import ask_photo
from parts.proposal import show_chance
from parts.svg import escape
from parts.units import move_words
from parts.waits_behind import say_what_waits
from parts.words import plain
from recommender import Settings, Studio
from recommender.advice.after_a_fail import after_a_fail
from recommender.advice.proposal import Proposal
from recommender.swatches.trial import Trial
from recommender.trade.care import NEEDLE_CHANGED
from recommender.trade.machine import Machine


def show_result(draft: Draft, saved: Trial, studio: Studio) -> None:
    """Next moves after a fail, where it is kept after a pass; a way on and a way back."""
    st.info("Saved: it passes." if saved.passed else "Saved: it fails.")
    if draft.trouble:
        st.error(plain(draft.trouble))
    warning = st.container()
    if draft.following is not None and saved.passed:
        _keep(draft.following, saved, studio)
    elif draft.following is not None:
        _mend(draft.following, saved, draft, studio)
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


def _keep(following: Proposal, saved: Trial, studio: Studio) -> None:
    """After a pass: it is sewn on so; what may make it better still."""
    st.header("It may come out better still" if following.moves else "Keep these settings", anchor=False)
    if following.moves:
        _show_moves(following, studio.machines[following.machine])
    else:
        st.write("Leave every control where it stands.")
    show_chance(following)
    _next("Sew the next as this one passed", following, saved.settings)
    if following.moves:
        _next("Moved: rate the next swatch", following, kind="secondary")
    offer_trial_card(studio, saved)


def _mend(following: Proposal, saved: Trial, draft: Draft, studio: Studio) -> None:
    """After a fail: what to look at first, then what to move, if anything."""
    machine = studio.machines[following.machine]
    todo = after_a_fail(saved, draft.asked, following.moves, machine)
    if todo.first:
        st.header("Before the dials", anchor=False)
        st.write("What else happened mostly comes of needle, thread or machine, and is not held against the settings.")
        st.html(steps(todo.first))
        _offer_to_note(studio, draft, saved)
    if todo.again:
        st.header("Then sew it again", anchor=False)
        st.write("Leave the controls as they are: no reading speaks against them. If it happens again, do what stands above for that.")
        _next("Sew it again with these settings", following, saved.settings)
        return
    st.header("Now move" if todo.moves else "Nothing to move yet", anchor=False)
    for step in todo.ends:
        st.html(f"<div>{escape(step.text)}{caution(step)}</div>")
    if todo.moves:
        _show_moves(following, machine)
        if todo.which_needle:
            st.html(f"<div>{escape(todo.which_needle)}</div>")
    else:
        closer = "No control is worth moving yet: sew the same again and read it more closely."
        besides = "Leave every control where it stands: what happened may be what made the seam look so. Read the next swatch anew."
        st.write(besides if saved.flags else closer)
    show_chance(following)
    _next("Moved: rate the next swatch" if todo.moves else "Sew it again with these settings", following)
    offer_proposal_card(studio, following)
    show_one_more(following, studio)


def _offer_to_note(studio: Studio, draft: Draft, saved: Trial) -> None:
    """Fresh needles go into the care log at a touch, for their hours are counted from there."""
    noted = any(one.deed == NEEDLE_CHANGED and one.when >= saved.when for one in studio.care(saved.machine))
    words = "Fresh needles are noted under Care" if noted else "Fresh needles are in: note it under Care"
    st.button(words, key="note_needles", disabled=noted, on_click=note_needles, args=(draft, studio))


def _next(words: str, following: Proposal, settings: Settings | None = None, kind: Literal["primary", "secondary"] = "primary") -> None:
    """The way on to the next swatch of the seam, set as proposed or otherwise."""
    st.button(words, type=kind, width="stretch", on_click=take, args=(following, settings))


def _show_moves(following: Proposal, machine: Machine) -> None:
    st.html(f"<ol class='moves'>{''.join(f'<li>{escape(move_words(move))}</li>' for move in following.moves)}</ol>")
    cuts = any(move.control == "width" for move in following.moves)  # the cutting width moves the knife
    show_cautions(following.stitch, machine, ("dials", "knife") if cuts else ("dials",))
