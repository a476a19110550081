"""The boxes in which something of the log is corrected: filled in with what stands there until somebody types, and read again."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import streamlit as st

from parts import amounts
from parts.reason import ask_who, ask_why, given_who, given_why
from parts.units import beside, chosen, unit
from parts.words import asked, plain
from recommender import Studio
from recommender.errors import InvalidValue, OveredgeError
from recommender.swatches.columns import COLUMNS
from recommender.swatches.moments import MOMENT_RULE, moment
from recommender.swatches.rows import row_of
from recommender.swatches.trace import Change, labelled
from recommender.swatches.trial import Trial
from recommender.trade.looks import scored
from recommender.trade.readings import READINGS
from recommender.trade.words import MEASURED

_SCORES = (None, *(step / 2 for step in range(-4, 5)))
_KEPT: dict[str, Any] = {"persist_state": "session"}


@dataclass(frozen=True, slots=True)
class Form:
    """A form that corrects a swatch, or a cloth by one of its swatches."""

    trial: Trial
    """The swatch as the form shows it."""
    of: str
    """What it is of, which no other form is: the end of its keys."""

    def key(self, name: str) -> str:
        """The key of one of its boxes."""
        return f"mend.{name}.{self.of}"

    def owns(self, key: str) -> bool:
        """Whether something is kept for it under a key."""
        return key.startswith("mend.") and f"{key}.".split(".", 2)[2].startswith(f"{self.of}.")


def choose_columns(studio: Studio, form: Form, columns: Sequence[str]) -> list[str]:
    """Which of the columns are wrong, each with its box under it."""
    wrong: list[str] = st.multiselect(
        "What is wrong?", columns, key=form.key("columns"), format_func=lambda column: _label(form, column), placeholder="choose", **_KEPT
    )
    row = row_of(form.trial)
    for column in wrong:
        _field(studio, form, column, row[column])
    return wrong


def because(form: Form, reasons: Sequence[str]) -> None:
    """Why, and who says so."""
    ask_why(form.key("why"), reasons)
    ask_who("who", "Who says so?")


def _quantity(column: str) -> str:
    """What an amount is of that is typed with its unit; the dials of the machine are told by their marks."""
    return "" if column in MEASURED else COLUMNS[column].quantity


def _label(form: Form, column: str) -> str:
    words = labelled(column, form.trial.stitch)
    return words[0].upper() + words[1:]


def _field(studio: Studio, form: Form, column: str, value: Any) -> None:
    """One value, in the kind of box that its column wants, filled in with what stands there until somebody types."""
    key, rule, label, state = form.key(column), COLUMNS[column].rule, _label(form, column), st.session_state
    is_new = key not in state or (state[f"{key}.from"] != value and not _is_touched(form, column))
    if is_new:
        state[f"{key}.from"] = value
    if quantity := _quantity(column):
        _amount(key, label, column, quantity, value, is_new=is_new)
        return
    is_moment = rule is MOMENT_RULE
    if is_new:
        state[key] = _local(value) if is_moment else value
    if is_moment:
        st.datetime_input(label, key=key, **_KEPT)
    elif column in READINGS:
        st.selectbox(label, _SCORES, key=key, format_func=lambda score: _score(form, column, score), **_KEPT)
    elif rule.kind == "flag":
        st.segmented_control(label, (True, False), key=key, required=True, format_func=lambda yes: _yes(column, yes), **_KEPT)
    elif rule.kind == "choice" or column == "machine":
        st.selectbox(label, rule.choices or list(studio.machines), key=key, **_KEPT)
    elif rule.kind == "text":
        box = st.text_area if column == "note" else st.text_input
        box(label, key=key, max_chars=int(rule.high), **_KEPT)
    else:
        words = f"{label}, {beside(column, st.session_state.get(key) or value)}" if column in MEASURED else label
        st.number_input(words, value=None, format="%g", key=key, **COLUMNS[column].limits(), **_KEPT)


def _amount(key: str, label: str, column: str, quantity: str, value: float | None, *, is_new: bool) -> None:
    """An amount in the units chosen now, also where they were chosen since the box was filled in."""
    if is_new:
        amounts.fill(key, quantity, value)
    elif st.session_state.get(f"{key}.unit") != unit(quantity):
        amounts.rewrite(key, quantity)
    st.session_state[f"{key}.unit"] = unit(quantity)
    amounts.ask(label, key, quantity, COLUMNS[column].rule.help)
    if asked(lambda: amounts.read(key, quantity, COLUMNS[column].rule)) is not None and quantity == "thread":
        amounts.say_if_doubted(key)


def _is_touched(form: Form, column: str) -> bool:
    """Whether a box says anything else than it was filled with."""
    key = form.key(column)
    now, filled = st.session_state[key], st.session_state[f"{key}.from"]
    if COLUMNS[column].rule is MOMENT_RULE:
        return bool(now != _local(filled))
    if _quantity(column):
        return tuple(st.session_state[f"{key}.behind"]) != (now, filled)  # a server started again has brought it back as a list
    return bool(now != filled)


def _local(when: str) -> datetime:
    """A moment of the log as the box for it shows it."""
    return moment(when).astimezone().replace(tzinfo=None)


def _score(form: Form, column: str, score: float | None) -> str:
    return "not looked at" if score is None else scored(column, score, form.trial.stitch)


def _yes(column: str, yes: bool) -> str:
    words = ("it passes", "it fails") if column == "passed" else ("yes", "no")
    return words[not yes]


def look_again(form: Form, columns: Sequence[str], shown: Sequence[str], row: Mapping[str, Any]) -> None:
    """Refuse a correction of what another tablet has corrected since it was `shown` or filled in; once it was told, it may be logged."""
    there = row_of(form.trial)
    filled = {column: there[column] for column in shown} | {column: st.session_state[f"{form.key(column)}.from"] for column in columns}
    meanwhile = [Change(column, value, row[column]) for column, value in filled.items() if value != row[column]]
    for was in meanwhile:
        if was.column in columns and _is_touched(form, was.column):
            st.session_state[f"{form.key(was.column)}.from"] = was.after
    if meanwhile:
        told = "; ".join(was.sentence(form.trial.stitch, chosen()) for was in meanwhile)
        raise InvalidValue(f"{told}: it was corrected meanwhile, on another tablet; look at it again, and log yours if it is right")


def do(form: Form, deed: Callable[[str, str], str], *, needs_reason: bool = False) -> bool:
    """Do it with the reason that was given, and keep what it says of itself; what was typed is kept where it did not work."""
    state, why, by = st.session_state, given_why(form.key("why"), needed=needs_reason), given_who("who")
    if why is None or by is None:
        return False
    try:
        words = deed(why, by)
    except OveredgeError as error:
        state[f"done.{form.of}"] = (False, str(error))
        return False
    state[f"done.{form.of}"] = (True, words)
    for key in [key for key in state if form.owns(str(key))]:
        del state[key]
    return True


def say_what_was_done(of: str) -> None:
    """What the last touch did to what a form is `of`, or why it did nothing; said once."""
    worked, words = st.session_state.pop(f"done.{of}", (True, ""))
    if words:
        (st.success if worked else st.error)(plain(words))


def typed(form: Form, column: str) -> Any:
    """What the box of a column says.

    Raises
    ------
    InvalidValue, AmbiguousUnit
        If it is an amount that cannot be read.
    """
    if quantity := _quantity(column):
        return amounts.read(form.key(column), quantity, COLUMNS[column].rule)
    value = st.session_state.get(form.key(column))
    return value.astimezone().isoformat() if isinstance(value, datetime) else value
