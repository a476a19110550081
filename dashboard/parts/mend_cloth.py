"""Correcting a cloth as a whole, on its own page: on every swatch of it that counts, and on what is planned or being rated of it."""

from collections.abc import Sequence
from functools import partial

import streamlit as st

from parts.correcting import Form, because, choose_columns, do, look_again, say_what_was_done, typed
from parts.mended_cloth import also, held_of, mending
from parts.opening import book_now
from parts.svg import escape
from parts.units import chosen
from recommender import Studio
from recommender.advice.book import Entry, entry_of
from recommender.advice.model import same_cloth
from recommender.errors import InvalidValue, OveredgeError
from recommender.swatches.rows import row_of
from recommender.swatches.trace import CLOTH, Change, is_withdrawn, last_state
from recommender.trade.words import counted, listed

_REASONS = ("typed wrongly", "measured again", "told wrongly by the seller", "a test")
"""Reasons that can be touched; any other can be typed."""


def correct_cloth(studio: Studio, entry: Entry) -> None:
    """What is wrong with the description, what it should be, on how many swatches, and why."""
    form = _form(entry)
    with st.expander("Correct this cloth", expanded=bool(st.session_state.get(form.key("columns")))):
        if columns := choose_columns(studio, form, CLOTH):
            _preview(studio, form, columns)
            because(form, _REASONS)
            st.button("Correct the cloth", type="primary", width="stretch", on_click=_correct, args=(studio, form, columns))
            st.caption("What stood before stays in the history of each swatch, and everything learned from them is learned anew.")
        else:
            st.caption("On all its swatches at once. If one swatch was of another cloth, open that swatch below and correct it alone.")
    say_what_was_done(form.of)


def _form(entry: Entry) -> Form:
    """The form of a cloth, which goes by its title, for its swatches may change meanwhile."""
    return Form(entry.trials[0], f"cloth {entry.title}")


def _preview(studio: Studio, form: Form, columns: Sequence[str]) -> None:
    """What would change, and on how much; an amount that cannot be read is told under its box."""
    row = row_of(form.trial)
    try:
        now = {column: typed(form, column) for column in columns}
    except OveredgeError:
        return
    changes = [
        Change(column, row[column], value).sentence(form.trial.stitch, chosen()) for column, value in now.items() if value != row[column]
    ]
    on = listed(held_of(studio, form.trial) or ["its only swatch"])
    told = f"<b>{escape('; '.join(changes))}</b>: on {escape(on)}." if changes else "Nothing is changed yet."
    st.html(f"<div role='status'>{told}</div>")


def _correct(studio: Studio, form: Form, columns: Sequence[str]) -> None:
    mend = mending(studio)

    def deed(why: str, by: str) -> str:
        history = studio.history(form.trial.id)
        if is_withdrawn(history):  # a correction would let it count again
            raise InvalidValue(
                "cloth: a swatch of it was withdrawn meanwhile, on another tablet; look at it again, and log yours if it is right"
            )
        row, values = row_of(last_state(history)), {column: typed(form, column) for column in columns}
        look_again(form, columns, CLOTH, row)
        if all(row[column] == value for column, value in values.items()):
            raise InvalidValue("cloth: the boxes say what stands there already, expected something else in one of them")
        swatches = counted(1 + len(studio.same_cloth(form.trial.id)), "swatch")
        studio.correct_columns(form.trial.id, values, why, by, along=partial(same_cloth, form.trial.fabric))
        return f"Corrected on {swatches}.{also(mend(form.trial.fabric, values))}"

    if do(form, deed):
        _follow(studio, form)


def _follow(studio: Studio, form: Form) -> None:
    """Open the cloth under the title that it has now, and say there what was done."""
    entry = entry_of(book_now(studio), last_state(studio.history(form.trial.id)))
    if entry is not None:
        state = st.session_state
        state[f"done.{_form(entry).of}"] = state.pop(f"done.{form.of}")
        st.query_params["fabric"] = entry.title
