"""What happened to the log, event by event."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from recommender.errors import OveredgeError, StudioError
from recommender.swatches.care import Care
from recommender.swatches.columns import COLUMNS
from recommender.swatches.moments import moment
from recommender.swatches.pending import Pending
from recommender.swatches.profile import profile_text, profiled
from recommender.swatches.rows import built, row_of, sewn_of, sewn_row
from recommender.swatches.trial import Trial
from recommender.trade.machine import Machine
from recommender.trade.rules import Rule, rules_of

_FLAGS = tuple(name for name, column in COLUMNS.items() if column.rule.kind == "flag")
TRIAL_KINDS = ("recorded", "corrected")
"""Kinds of events that hold a trial."""
PLAN_KINDS = ("planned", "plan corrected")
"""Kinds of events that hold a planned swatch."""
WHY = {
    True: Rule(kind="text", low=1, high=500, help="Why it no longer counts."),
    False: Rule(kind="text", low=0, high=500, help="Why it is corrected."),
}
"""The rule of a reason, by whether there has to be one."""
_BY = rules_of(Trial)["who"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One entry of the log; none is ever changed or taken away."""

    number: int
    """Its place in the log, counting up."""
    at: datetime
    """When it was entered, in UTC."""
    kind: str
    """`recorded`, `corrected`, `withdrawn`, `machine`, `photo`, `care`, `care withdrawn`, `planned`, `plan corrected` or `dropped`."""
    trial_id: str | None = None
    """The trial that it is about, where it is about one."""
    trial: Trial | None = None
    """The trial as it was after the event; None for a withdrawal or a photo."""
    machine: Machine | None = None
    """The machine's profile from then on, for a `machine` event."""
    care: Care | None = None
    """What was done to a machine, for a `care` event."""
    care_number: int | None = None
    """The number of the entry that is taken back, for a `care withdrawn` event."""
    pending_id: str | None = None
    """The planned swatch that was planned, corrected, dropped, or recorded as this trial."""
    pending: Pending | None = None
    """The planned swatch as it was after a `planned` or a `plan corrected` event."""
    why: str = ""
    """The reason, where one was given."""
    by: str = ""
    """Who corrected or withdrew it, where that was said."""


def why_and_by(why: object, by: object, *, needed: bool = True) -> tuple[str, str]:
    """The reason for taking something back or correcting it, and who gives it, without blanks about them.

    Raises
    ------
    InvalidValue
        If one of them breaks its rule, or a reason that is `needed` is not given.
    """
    reason, hand = (text.strip() if isinstance(text, str) else text for text in (why, by))
    return WHY[needed].check("why", reason), _BY.check("by", hand)


def event_of(stored: Mapping[str, Any]) -> Event:
    """The event of a stored row.

    Raises
    ------
    StudioError
        If the row does not hold what its kind says, which only another program can have brought about.
    """
    kind = stored["kind"]
    try:
        return Event(
            number=stored["event"],
            at=datetime.fromisoformat(stored["at"]),
            kind=kind,
            trial_id=stored["trial"],
            trial=_trial(stored) if kind in TRIAL_KINDS else None,
            machine=profiled(stored["profile"]) if kind == "machine" else None,
            care=_care(stored) if kind == "care" else None,
            care_number=stored["care"],
            pending_id=stored["pending"],
            pending=_pending(stored) if kind in PLAN_KINDS else None,
            why=stored["why"] or "",
            by=stored["entered_by"] or "",
        )
    except OveredgeError as error:
        raise StudioError(f"log entry {stored['event']}: {error}; another program has written it, take the last good copy") from error


def _trial(stored: Mapping[str, Any]) -> Trial:
    flags = {name: bool(stored[name]) for name in _FLAGS}  # SQLite keeps 0 and 1
    return built({**stored, "id": stored["trial"], **flags})


def _care(stored: Mapping[str, Any]) -> Care:
    given = {name: stored[name] for name in ("machine", "deed", "who", "note")}
    return Care(number=stored["event"], when=moment(stored["when"]), **given)


def _pending(stored: Mapping[str, Any]) -> Pending:
    given = {name: stored[name] for name in ("stitch", "machine")}
    return Pending(id=stored["pending"], when=moment(stored["when"]), reason=stored["note"], **given, **sewn_of(stored))


def trial_values(kind: str, trial: Trial, why: str = "", by: str = "", pending: str | None = None) -> dict[str, Any]:
    """The columns of an event that holds a trial; `pending` is the id of the planned swatch that has become it."""
    row = row_of(trial)
    return {**_entry(kind), "trial": row.pop("id"), "why": why or None, "entered_by": by or None, "pending": pending, **row}


def withdrawal_values(trial_id: str, why: str, by: str = "") -> dict[str, Any]:
    """The columns of a withdrawal."""
    return {**_entry("withdrawn"), "trial": trial_id, "why": why, "entered_by": by or None}


def machine_values(machine: Machine) -> dict[str, Any]:
    """The columns of an event that holds a machine's profile."""
    return {**_entry("machine"), "machine": machine.name, "profile": profile_text(machine)}


def photo_values(trial_id: str) -> dict[str, Any]:
    """The columns of an event that tells of a photo."""
    return {**_entry("photo"), "trial": trial_id}


def care_values(care: Care) -> dict[str, Any]:
    """The columns of an event that tells of care."""
    given = {name: getattr(care, name) for name in ("machine", "deed", "who", "note")}
    return {**_entry("care"), "when": care.when.isoformat(), **given}


def care_withdrawal_values(number: int, why: str, by: str = "") -> dict[str, Any]:
    """The columns of an event that takes an entry of the care log back."""
    return {**_entry("care withdrawn"), "care": number, "why": why, "entered_by": by or None}


def planned_values(pending: Pending) -> dict[str, Any]:
    """The columns of an event that puts a swatch on the list."""
    row = sewn_row(pending.fabric, (pending.needle_thread, pending.looper_thread), pending.settings)
    named = {"pending": pending.id, "when": pending.when.isoformat(), "note": pending.reason or None}
    return {**_entry("planned"), **named, "stitch": pending.stitch, "machine": pending.machine, **row}


def plan_correction_values(pending: Pending, why: str, by: str) -> dict[str, Any]:
    """The columns of an event that supersedes a planned swatch."""
    return {**planned_values(pending), "kind": "plan corrected", "why": why or None, "entered_by": by or None}


def dropped_values(pending_id: str, why: str) -> dict[str, Any]:
    """The columns of an event that takes a swatch off the list unsewn."""
    return {**_entry("dropped"), "pending": pending_id, "why": why or None}


def _entry(kind: str) -> dict[str, Any]:
    return {"at": datetime.now(UTC).isoformat(), "kind": kind}
