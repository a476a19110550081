"""What happened to the log, event by event."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from recommender.errors import OveredgeError, StudioError
from recommender.swatches.columns import COLUMNS
from recommender.swatches.profile import machine_of, profile_text
from recommender.swatches.rows import built, row_of
from recommender.swatches.trial import Trial
from recommender.trade.machine import Machine

_FLAGS = tuple(name for name, column in COLUMNS.items() if column.rule.kind == "flag")
_KEPT = tuple(name for name in COLUMNS if name != "id")


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One entry of the log; none is ever changed or taken away."""

    number: int
    """Its place in the log, counting up."""
    at: datetime
    """When it was entered, in UTC."""
    kind: str
    """`recorded`, `corrected`, `withdrawn` or `machine`."""
    trial_id: str | None = None
    """The trial that it is about; None for a machine's profile."""
    trial: Trial | None = None
    """The trial as it was after the event; None for a withdrawal."""
    machine: Machine | None = None
    """The machine's profile from then on, for a `machine` event."""
    why: str = ""
    """The reason, where one was given."""


def event_of(stored: Mapping[str, Any]) -> Event:
    """The event of a stored row."""
    return Event(
        number=stored["event"],
        at=datetime.fromisoformat(stored["at"]),
        kind=stored["kind"],
        trial_id=stored["trial"],
        trial=stored_trial(stored) if stored["kind"] in ("recorded", "corrected") else None,
        machine=machine_of(stored["profile"]) if stored["kind"] == "machine" else None,
        why=stored["why"] or "",
    )


def stored_trial(stored: Mapping[str, Any]) -> Trial:
    """The trial in a stored row.

    Raises
    ------
    StudioError
        If the row does not hold a trial, which only another program can have brought about.
    """
    row = {name: stored[name] for name in _KEPT}
    row["id"] = stored["trial"]
    for name in _FLAGS:
        row[name] = bool(row[name])  # SQLite keeps 0 and 1
    try:
        return built(row)
    except OveredgeError as error:
        raise StudioError(f"log entry {stored['event']}: {error}; another program has written it, take the last good copy") from error


def trial_values(kind: str, trial: Trial, why: str = "") -> dict[str, Any]:
    """The columns of an event that holds a trial."""
    row = row_of(trial)
    return {**_entry(kind), "trial": row.pop("id"), "why": why or None, **row}


def withdrawal_values(trial_id: str, why: str) -> dict[str, Any]:
    """The columns of a withdrawal."""
    return {**_entry("withdrawn"), "trial": trial_id, "why": why}


def machine_values(machine: Machine) -> dict[str, Any]:
    """The columns of an event that holds a machine's profile."""
    return {**_entry("machine"), "machine": machine.name, "profile": profile_text(machine)}


def _entry(kind: str) -> dict[str, Any]:
    return {"at": datetime.now(UTC).isoformat(), "kind": kind}
