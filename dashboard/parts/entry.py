"""One cloth of the swatch book: the best setting for each stitch and machine, then every swatch."""

import streamlit as st

from parts.card import offer_trial_card
from parts.drafts import sew
from parts.drift import warn_of_drift
from parts.mend_cloth import correct_cloth
from parts.opening import book_now, open_list, open_with
from parts.rows import show_rows
from parts.sewn import cloth_words, numbers, picture, seen, tally
from parts.studio import say_if_invented
from parts.svg import escape
from parts.words import plain
from recommender import Studio
from recommender.advice.book import Entry, Sewn, entry_titled
from recommender.advice.model import cloth
from recommender.errors import UnknownName

_AGAIN = "Its numbers to set the machine by, and the swatch that you sew with them to be rated."


def show_entry(studio: Studio, title: str) -> None:
    """The cloth of that title; where there is none, a sentence and the way to the list."""
    open_list()
    try:
        entry = entry_titled(book_now(studio), title)
    except UnknownName as error:
        st.title("Swatch book", anchor=False)
        st.error(plain(error))
        return
    st.title(plain(entry.title), anchor=False)
    say_if_invented(studio)
    st.html(f"<div class='lead'>{escape(cloth_words(entry.fabric))}</div>{tally(entry.trials)}")
    correct_cloth(studio, entry)
    st.header("Best settings", anchor=False)
    warn_of_drift(studio, (sewn.best.trial for sewn in entry.sewn if sewn.best is not None))
    for place, sewn in enumerate(entry.sewn):
        with st.container(key=f"best_{place}", border=True):
            _show_best(studio, entry, sewn, f"best.{place}")
    st.header("All swatches", anchor=False)
    show_rows(studio, entry.trials, "swatches")
    gone = [trial for trial in studio.withdrawn() if cloth(trial.fabric) == cloth(entry.fabric)]
    if gone:
        with st.expander("Withdrawn swatches"):
            show_rows(studio, gone[::-1], "gone")


def _show_best(studio: Studio, entry: Entry, sewn: Sewn, key: str) -> None:
    photographed = studio.photographed()
    head = f"<div class='lead'><b>{escape(sewn.stitch)}</b> on <b>{escape(sewn.machine)}</b></div>"
    best = sewn.best
    if best is None:
        st.html(f"<div class='entry'><div>{head}<div>Nothing has passed yet.</div>{tally(sewn.trials)}</div></div>")
        return
    of = f"With this setting {best.passes} of {len(best.swatches)} passed; of all swatches here {sewn.passes} of {len(sewn.trials)}."
    alt = f"Photo of {entry.title}, {sewn.stitch} on {sewn.machine}"
    pictured = next((trial.id for trial in (best.trial, *best.swatches[::-1]) if trial.id in photographed), None)
    photo = picture(studio, pictured, alt) if pictured else ""
    body = f"<div>{head}{numbers(best.trial.settings)}<div>{escape(seen(best.trial))}</div><div class='quiet'>{of}</div></div>"
    st.html(f"<div class='entry'>{photo}{body}</div>")
    with st.container(horizontal=True):
        if st.button("Sew this again", type="primary", key=f"again.{key}", help=_AGAIN):
            sew(studio, best.trial)
        offer_trial_card(studio, best.trial, width="content")
        open_with("Open this swatch: copy, correct", f"open.{key}", trial=best.trial.id)
