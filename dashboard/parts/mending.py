"""Correcting a swatch, taking it out of what counts, and letting it count again; its history keeps every state."""

from collections.abc import Sequence
from functools import partial
from typing import Any

import streamlit as st

from parts.correcting import Form, because, choose_columns, do, look_again, typed
from parts.mended_cloth import also, held_of, mending
from recommender import Studio
from recommender.advice.model import same_cloth
from recommender.errors import InvalidValue
from recommender.swatches.columns import COLUMNS
from recommender.swatches.rows import row_of
from recommender.swatches.trace import CLOTH, CORRECTABLE, is_withdrawn, last_state
from recommender.swatches.trial import Trial
from recommender.trade.words import listed

ANOTHER = "another cloth"
_REASONS = ("typed wrongly", "read from the wrong side", "measured again", "sewn with a damaged needle", ANOTHER, "a test")
"""Reasons that can be touched; any other can be typed."""
_WHOLE, _ALONE = "whole", "alone"
"""Whether the cloth is corrected, or the swatch alone."""
_KEPT: dict[str, Any] = {"persist_state": "session"}


def correct_swatch(studio: Studio, trial: Trial) -> None:
    """Choose what is wrong, say what it should be, and why."""
    form = _form(trial)
    if columns := choose_columns(studio, form, CORRECTABLE):
        _ask_which(studio, form, columns)
        because(form, _REASONS)
        st.button("Log the correction", type="primary", width="stretch", on_click=_correct, args=(studio, trial, columns))
        st.caption("What stood before stays in the swatch's history, and everything learned from it is learned anew.")


def withdraw_swatch(studio: Studio, trial: Trial) -> None:
    """Say why it should not count."""
    st.write("A withdrawn swatch no longer counts: nothing is learned from it. It stays in the log, and can be brought back.")
    because(_form(trial), _REASONS)
    st.button("Withdraw this swatch", type="primary", width="stretch", on_click=_withdraw, args=(studio, trial))


def bring_back(studio: Studio, trial: Trial) -> None:
    """Let a withdrawn swatch count again."""
    because(_form(trial), _REASONS)
    st.button("Let it count again", type="primary", width="stretch", on_click=_correct, args=(studio, trial, ()))


def _form(trial: Trial) -> Form:
    return Form(trial, trial.id)


def _is_choice(studio: Studio, trial: Trial, columns: Sequence[str]) -> bool:
    """Whether what tells a cloth from another is wrong, and there is more of this cloth."""
    return any(column in CLOTH for column in columns) and bool(held_of(studio, trial))


def _ask_which(studio: Studio, form: Form, columns: Sequence[str]) -> None:
    """Which was wrong, the description of the cloth or the cloth of this swatch: nothing is taken for granted."""
    if not _is_choice(studio, form.trial, columns):
        return
    shared, key = listed([COLUMNS[column].label for column in columns if column in CLOTH]), form.key("which")
    words = {
        _WHOLE: f"The cloth was described wrongly: correct the {shared} on {listed(held_of(studio, form.trial))} of it",
        _ALONE: "This swatch was of another cloth: correct this one alone, and leave the cloth as it is",
    }
    st.radio("Which of the two?", list(words), None, words.__getitem__, key=key, **_KEPT)
    if st.session_state.get(key) is None and st.session_state.get(f"{key}.lacks"):
        st.error("Touch one of the two: whether the cloth was described wrongly, or this swatch was of another cloth.")


def _correct(studio: Studio, trial: Trial, columns: Sequence[str]) -> None:
    form = _form(trial)
    is_choice, mend, which = _is_choice(studio, trial, columns), mending(studio), st.session_state.get(form.key("which"))
    if is_choice and which is None:
        st.session_state[f"{form.key('which')}.lacks"] = True
        return
    whole = is_choice and which == _WHOLE

    def deed(why: str, by: str) -> str:
        if columns and is_withdrawn(studio.history(trial.id)):  # a correction would let it count again
            raise InvalidValue("swatch: it was withdrawn meanwhile, on another tablet; let it count again first, then correct it")
        look_again(form, columns, CLOTH if whole else (), row_of(last_state(studio.history(trial.id))))
        values = {column: typed(form, column) for column in columns}
        studio.correct_columns(trial.id, values, why, by, along=partial(same_cloth, trial.fabric) if whole else None)
        if not columns:
            return "It counts again."
        places = mend(trial.fabric, values) if whole or not (is_choice or why == ANOTHER) else []
        return f"Corrected{', on every swatch of this cloth' if whole else ''}.{also(places)}"

    _done(form, is_done=do(form, deed))


def _withdraw(studio: Studio, trial: Trial) -> None:
    form = _form(trial)

    def deed(why: str, by: str) -> str:
        studio.withdraw(trial.id, why, by)
        return "Withdrawn."

    _done(form, is_done=do(form, deed, needs_reason=True))


def _done(form: Form, *, is_done: bool) -> None:
    """Put the form away once it is done."""
    if is_done:
        st.session_state[f"deed.{form.of}"] = None  # set and not taken away: the browser would go on showing what it was
