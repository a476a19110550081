"""One swatch: what was set, how it came out, what happened to it since, and what can be done with it."""

from collections.abc import Callable, Mapping, Sequence

import streamlit as st

from parts.added_photo import add_photo
from parts.card import show_trial_card
from parts.carry import copy_to_another_machine
from parts.correcting import say_what_was_done
from parts.mending import bring_back, correct_swatch, withdraw_swatch
from parts.opening import book_now, open_list, open_with
from parts.seams import show_seam
from parts.sewn import cloth_words, numbers, picture, seen, threads_words
from parts.studio import say_if_invented
from parts.svg import escape
from parts.units import chosen
from parts.words import plain
from recommender import Studio
from recommender.advice.book import entry_of
from recommender.errors import UnknownName
from recommender.swatches.trace import Step, is_withdrawn, last_state, trace
from recommender.swatches.trial import Trial
from recommender.trade.looks import reading, scored
from recommender.trade.words import laid, moment

_DEEDS = {"recorded": "Logged", "corrected": "Corrected", "withdrawn": "Withdrawn", "brought back": "Counts again", "photo": "Photo added"}

_ACTS: Mapping[str, Callable[[Studio, Trial], None]] = {
    "Setup card": show_trial_card,
    "Copy to a machine": copy_to_another_machine,
    "Photo": add_photo,
    "Correct": correct_swatch,
    "Withdraw": withdraw_swatch,
}


def show_swatch(studio: Studio, trial_id: str) -> None:
    """The swatch of that id, also where it was withdrawn; where there is none, a sentence and the way to the list."""
    try:
        history = studio.history(trial_id)
    except UnknownName as error:
        open_list()
        st.title("Swatch book", anchor=False)
        st.error(plain(error))
        return
    trial, steps, gone = last_state(history), trace(history), is_withdrawn(history)
    _ways_back(studio, trial)
    st.title(plain(trial.fabric.name), anchor=False)
    say_if_invented(studio)
    _head(trial, steps, gone=gone)
    with st.container(key="split_swatch"):
        left, right = st.columns([7, 5], gap="large")
    with left:
        _sewn(trial)
        _act(studio, trial, gone=gone)
        say_what_was_done(trial.id)
    with right:
        if photo := picture(studio, trial.id, f"Photo of this swatch of {trial.fabric.name}", longest=960):
            st.html(f"<div class='photo'>{photo}</div>")
        _read(trial)
    st.header("What happened to it", anchor=False)
    st.html("<ol class='trace'>" + "".join(_step(step, trial.stitch) for step in steps) + "</ol>")


def _ways_back(studio: Studio, trial: Trial) -> None:
    entry = entry_of(book_now(studio), trial)
    with st.container(horizontal=True):
        open_list()
        if entry is not None:
            open_with(f"‹ {plain(entry.title)}", "open.cloth", fabric=entry.title)


def _head(trial: Trial, steps: Sequence[Step], *, gone: bool) -> None:
    verdict = "passed" if trial.passed else "failed"
    around = " · ".join([moment(trial.when), *([trial.who] if trial.who else [])])
    st.html(
        f"<div class='lead'><strong>{verdict}</strong> · {escape(trial.stitch)} · {escape(trial.machine)}</div>"
        f"<div class='quiet'>{escape(around)}</div>"
    )
    if gone:
        why = next(step.why for step in reversed(steps) if step.kind == "withdrawn")
        st.info(f"Withdrawn, so that it no longer counts: {plain(why)}")


def _sewn(trial: Trial) -> None:
    st.header("Sewn with", anchor=False)
    needle = [] if trial.needle_size is None else [f"needle {trial.needle_size:g}"]
    needle += [] if trial.needle_hours is None else [f"{trial.needle_hours:g} h on it"]
    with_ = [threads_words(trial.needle_thread, trial.looper_thread), *needle]
    lines = [f"{cloth_words(trial.fabric)}; {laid(trial.fabric)}", "; ".join(with_)]
    st.html(f"<div class='large'>{numbers(trial.settings)}</div>" + "".join(f"<div>{escape(line)}</div>" for line in lines))


def _read(trial: Trial) -> None:
    st.header("How it came out", anchor=False)
    if trial.readings:
        cells = (
            f"<div>{show_seam(trial.stitch, name, score)}<div class='control'>{escape(reading(name, trial.stitch).title)}</div>"
            f"<div>{escape(scored(name, score, trial.stitch))}</div></div>"
            for name, score in trial.readings.items()
        )
        st.html(f"<div class='readings'>{''.join(cells)}</div>")
    said = [seen(trial)] if trial.flags or not trial.readings else []
    said += [f"The seam came out {trial.seam_change:+g} % in length."] if trial.seam_change is not None else []
    st.html("".join(f"<div>{escape(line)}</div>" for line in [*said, *([f"Note: {trial.note}"] if trial.note else [])]) or "<div></div>")


def _act(studio: Studio, trial: Trial, *, gone: bool) -> None:
    """What can be done with it; one that was withdrawn can be brought back."""
    if gone:
        bring_back(studio, trial)
        return
    deed = st.segmented_control("What now?", list(_ACTS), key=f"deed.{trial.id}", wrap=True, persist_state="session")
    if deed:
        _ACTS[deed](studio, trial)


def _step(step: Step, on: str) -> str:
    who, why = f" by {escape(step.by)}" if step.by else "", f": {escape(step.why)}" if step.why else ""
    units = chosen()
    changes = "".join(f"<div>{escape(change.sentence(on, units))}</div>" for change in step.changes)
    return f"<li><span class='quiet'>{moment(step.at)}</span> <b>{_DEEDS[step.kind]}</b>{who}{why}{changes}</li>"
