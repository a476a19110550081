"""Correcting a swatch, taking it out of what counts, and letting it count again; its history keeps every state."""

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from functools import partial
from typing import Any

import streamlit as st

from parts import amounts
from parts.drafts import current
from parts.mended_cloth import mending
from parts.reason import ask_who, ask_why, given_who, given_why
from parts.units import beside, chosen, unit
from parts.words import asked, plain
from recommender import Studio
from recommender.advice.model import same_cloth
from recommender.errors import InvalidValue, OveredgeError
from recommender.swatches.columns import COLUMNS
from recommender.swatches.moments import MOMENT_RULE, moment
from recommender.swatches.rows import row_of
from recommender.swatches.trace import CLOTH, CORRECTABLE, Change, is_withdrawn, labelled, last_state
from recommender.swatches.trial import Trial
from recommender.trade.looks import scored
from recommender.trade.readings import READINGS
from recommender.trade.words import MEASURED, counted, listed

ANOTHER = "another cloth"
_REASONS = ("typed wrongly", "read from the wrong side", "measured again", "sewn with a damaged needle", ANOTHER, "a test")
"""Reasons that can be touched; any other can be typed."""
_SCORES = (None, *(step / 2 for step in range(-4, 5)))
_KEPT: dict[str, Any] = {"persist_state": "session"}


def correct_swatch(studio: Studio, trial: Trial) -> None:
    """Choose what is wrong, say what it should be, and why."""
    row = row_of(trial)
    key = f"mend.columns.{trial.id}"
    columns = st.multiselect("What is wrong?", CORRECTABLE, key=key, format_func=partial(_label, trial), placeholder="choose", **_KEPT)
    for column in columns:
        _field(studio, trial, column, row[column])
    if columns:
        _ask_how_many(studio, trial, columns)
        _because(trial)
        st.button("Log the correction", type="primary", width="stretch", on_click=_correct, args=(studio, trial, columns))
        st.caption("What stood before stays in the swatch's history, and everything learned from it is learned anew.")


def withdraw_swatch(studio: Studio, trial: Trial) -> None:
    """Say why it should not count."""
    st.write("A withdrawn swatch no longer counts: nothing is learned from it. It stays in the log, and can be brought back.")
    _because(trial)
    st.button("Withdraw this swatch", type="primary", width="stretch", on_click=_withdraw, args=(studio, trial))


def bring_back(studio: Studio, trial: Trial) -> None:
    """Let a withdrawn swatch count again."""
    _because(trial)
    st.button("Let it count again", type="primary", width="stretch", on_click=_correct, args=(studio, trial, ()))


def say_what_was_done(trial_id: str) -> None:
    """What the last touch did to this swatch, or why it did nothing; said once."""
    worked, words = st.session_state.pop(f"done.{trial_id}", (True, ""))
    if words:
        (st.success if worked else st.error)(plain(words))


def _quantity(column: str) -> str:
    """What an amount is of that is typed with its unit; the dials of the machine are told by their marks."""
    return "" if column in MEASURED else COLUMNS[column].quantity


def _label(trial: Trial, column: str) -> str:
    words = labelled(column, trial.stitch)
    return words[0].upper() + words[1:]


def _field(studio: Studio, trial: Trial, column: str, value: Any) -> None:
    """One value, in the kind of box that its column wants, filled in with what stands there until somebody types."""
    key, rule, label, state = _key(trial, column), COLUMNS[column].rule, _label(trial, column), st.session_state
    is_new = key not in state or (state[f"{key}.from"] != value and not _is_touched(trial, column))
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
        st.selectbox(label, _SCORES, key=key, format_func=lambda score: _score(trial, column, score), **_KEPT)
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


def _is_touched(trial: Trial, column: str) -> bool:
    """Whether a box says anything else than it was filled with."""
    key = _key(trial, column)
    now, filled = st.session_state[key], st.session_state[f"{key}.from"]
    if COLUMNS[column].rule is MOMENT_RULE:
        return bool(now != _local(filled))
    if _quantity(column):
        return st.session_state[f"{key}.behind"] != (now, filled)
    return bool(now != filled)


def _local(when: str) -> datetime:
    """A moment of the log as the box for it shows it."""
    return moment(when).astimezone().replace(tzinfo=None)


def _score(trial: Trial, column: str, score: float | None) -> str:
    return "not looked at" if score is None else scored(column, score, trial.stitch)


def _yes(column: str, yes: bool) -> str:
    words = ("it passes", "it fails") if column == "passed" else ("yes", "no")
    return words[not yes]


def _ask_how_many(studio: Studio, trial: Trial, columns: Sequence[str]) -> None:
    """Offer to correct the whole cloth, where what tells it from another is wrong."""
    shared = [COLUMNS[column].label for column in columns if column in CLOTH]
    if shared and (besides := _besides(studio, trial)):
        st.checkbox(f"Correct the {plain(listed(shared))} on {plain(listed(besides))} of this cloth", key=_whole(trial), wrap=True, **_KEPT)
        st.caption("Otherwise this swatch alone is corrected, and stands in the book as another cloth.")


def _besides(studio: Studio, trial: Trial) -> list[str]:
    """What there is of its cloth, in words; nothing where there is this swatch alone."""
    others, draft = len(studio.same_cloth(trial.id)), current()
    waiting = sum(same_cloth(one.fabric, trial.fabric) for one in studio.pending())
    rated = draft is not None and draft.saved is None and same_cloth(draft.proposal.fabric, trial.fabric)
    if not (others or waiting or rated):
        return []
    sewn = f"all {others + 1} swatches" if others else "this swatch"
    return [sewn, *([counted(waiting, "planned swatch")] if waiting else []), *(["the one being rated"] if rated else [])]


def _whole(trial: Trial) -> str:
    return f"mend.whole.{trial.id}"


def _because(trial: Trial) -> None:
    """Why, and who says so."""
    ask_why(_why(trial), _REASONS)
    ask_who("who", "Who says so?")


def _correct(studio: Studio, trial: Trial, columns: Sequence[str]) -> None:
    whole = bool(st.session_state.get(_whole(trial))) and any(column in CLOTH for column in columns)
    besides, mend = _besides(studio, trial), mending(studio)

    def deed(why: str, by: str) -> str:
        if columns and is_withdrawn(studio.history(trial.id)):  # a correction would let it count again
            raise InvalidValue("swatch: it was withdrawn meanwhile, on another tablet; let it count again first, then correct it")
        _look_again(trial, columns, CLOTH if whole else (), row_of(last_state(studio.history(trial.id))))
        values = {column: _value(trial, column) for column in columns}
        studio.correct_columns(trial.id, values, why, by, along=partial(same_cloth, trial.fabric) if whole else None)
        if not columns:
            return "It counts again."
        places = mend(trial.fabric, values) if whole or not (besides or why == ANOTHER) else []
        also = f" It is corrected for {listed(places)} too." if places else ""
        return f"Corrected{', on every swatch of this cloth' if whole else ''}.{also}"

    _do(trial, deed)


def _look_again(trial: Trial, columns: Sequence[str], shown: Sequence[str], row: Mapping[str, Any]) -> None:
    """Refuse a correction of what another tablet has corrected since it was `shown` or filled in; once it was told, it may be logged."""
    there = row_of(trial)
    filled = {column: there[column] for column in shown} | {column: st.session_state[f"{_key(trial, column)}.from"] for column in columns}
    meanwhile = [Change(column, value, row[column]) for column, value in filled.items() if value != row[column]]
    for was in meanwhile:
        if was.column in columns and _is_touched(trial, was.column):
            st.session_state[f"{_key(trial, was.column)}.from"] = was.after
    if meanwhile:
        told = "; ".join(was.sentence(trial.stitch, chosen()) for was in meanwhile)
        raise InvalidValue(f"{told}: it was corrected meanwhile, on another tablet; look at it again, and log yours if it is right")


def _withdraw(studio: Studio, trial: Trial) -> None:
    def deed(why: str, by: str) -> str:
        studio.withdraw(trial.id, why, by)
        return "Withdrawn."

    _do(trial, deed, needs_reason=True)


def _why(trial: Trial) -> str:
    return f"mend.why.{trial.id}"


def _do(trial: Trial, deed: Callable[[str, str], str], *, needs_reason: bool = False) -> None:
    """Do it with the reason that was given, and keep what it says of itself; what was typed is kept where it did not work."""
    state, why, by = st.session_state, given_why(_why(trial), needed=needs_reason), given_who("who")
    if why is None or by is None:
        return
    try:
        words = deed(why, by)
    except OveredgeError as error:
        state[f"done.{trial.id}"] = (False, str(error))
        return
    state[f"done.{trial.id}"] = (True, words)
    for key in [key for key in state if str(key).startswith("mend.") and trial.id in str(key)]:
        del state[key]
    state[f"deed.{trial.id}"] = None  # set and not taken away: the browser would go on showing what it was


def _value(trial: Trial, column: str) -> Any:
    if quantity := _quantity(column):
        return amounts.read(_key(trial, column), quantity, COLUMNS[column].rule)
    value = st.session_state.get(_key(trial, column))
    return value.astimezone().isoformat() if isinstance(value, datetime) else value


def _key(trial: Trial, column: str) -> str:
    return f"mend.{column}.{trial.id}"
