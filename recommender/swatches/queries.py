"""What is asked of the log's tables inside a transaction; whatever is not there is said in a sentence."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from sqlalchemy import ColumnElement, Connection, select

from recommender.errors import InvalidValue, UnknownName
from recommender.swatches.events import PLAN_KINDS, TRIAL_KINDS, Event, event_of
from recommender.swatches.profile import profiled
from recommender.swatches.rows import sewn_of
from recommender.swatches.tables import events, photos
from recommender.swatches.trial import ID_RULE, Trial
from recommender.trade.machine import Machine
from recommender.trade.names import unknown

_DEEDS = (*TRIAL_KINDS, "withdrawn")


def rows(connection: Connection, condition: ColumnElement[bool]) -> list[dict[str, Any]]:
    """The events that fulfil a condition, in order."""
    query = select(events).where(condition).order_by(events.c.event)
    found = connection.execute(query)
    names = tuple(found.keys())  # a row turned into a mapping by itself takes half as long again, and a long log has thousands
    return [dict(zip(names, row, strict=True)) for row in found.all()]


def rows_of_trial(connection: Connection, trial_id: object) -> list[dict[str, Any]]:
    """Every event of one trial, in order.

    Raises
    ------
    UnknownName
        If there never was such a trial.
    """
    found = rows(connection, events.c.trial == trial_id) if _can_be_id(trial_id) else []
    if not found:
        raise UnknownName(f"swatch: got {str(trial_id)[:80]!r}, expected the id of a logged swatch, as the list shows it")
    return found


def deeds_on(connection: Connection, trial_id: object) -> list[Event]:
    """What was recorded, corrected and withdrawn of one trial, in order.

    Raises
    ------
    UnknownName
        If there never was such a trial.
    """
    return [event_of(row) for row in rows_of_trial(connection, trial_id) if row["kind"] in _DEEDS]


def last_standing(connection: Connection, trial_id: str) -> tuple[Trial, bool]:
    """A trial as it last was, and whether it is withdrawn.

    Raises
    ------
    UnknownName
        If there never was such a trial.
    """
    deeds = deeds_on(connection, trial_id)
    return [deed.trial for deed in deeds if deed.trial is not None][-1], deeds[-1].kind == "withdrawn"


def trial_that_counts(connection: Connection, trial_id: object) -> Trial:
    """One trial as last corrected.

    Raises
    ------
    UnknownName
        If there is no such trial, or it was withdrawn.
    """
    last = deeds_on(connection, trial_id)[-1]
    if last.trial is None:
        raise UnknownName(f"swatch {trial_id!r}: it was withdrawn ({last.why}); its history is kept")
    return last.trial


def known(connection: Connection, ids: Sequence[str]) -> set[str]:
    """Those ids of trials that the log has ever held."""
    parts = [ids[start : start + 500] for start in range(0, len(ids), 500)]  # a statement takes only so many values
    queries = [select(events.c.trial).where(events.c.trial.in_(part)) for part in parts]
    return {str(found) for query in queries for found in connection.execute(query).scalars()}


def check_machines(connection: Connection, names: Iterable[str]) -> None:
    """Raise UnknownName where the log does not know a machine."""
    named = select(events.c.machine).where(events.c.kind == "machine").order_by(events.c.event)
    there = list(dict.fromkeys(str(name) for name in connection.execute(named).scalars()))
    strangers = [name for name in names if name not in there]
    if strangers and not there:
        raise UnknownName(f"machine: got {strangers[0]!r}, but this studio has no machine yet; add it first")
    if strangers:
        raise unknown("machine", strangers[0], there)


def last_profile(connection: Connection, machine: str) -> str | None:
    """A machine's profile as it was last written; None where there is no such machine."""
    here = select(events.c.profile).where(events.c.kind == "machine", events.c.machine == machine)
    return connection.execute(here.order_by(events.c.event.desc()).limit(1)).scalar()


def check_nobody_was_first(name: str, profile: str | None, new: bool, former: Machine | None) -> None:
    """Raise InvalidValue where a machine is there that should be new, or its profile is not the one that it should take the place of."""
    if new and profile is not None:
        raise InvalidValue(f"machine name: got {name!r}, which is in this studio, expected a new one")
    if former is not None and (profile is None or profiled(profile) != former):
        raise InvalidValue(f"machine: {name!r} was described anew elsewhere meanwhile; look at its profile and change it again")


def last_photo(connection: Connection, trial_id: str) -> bytes:
    """The photo of a trial that was added last."""
    here = select(photos.c.jpeg).join(events, events.c.event == photos.c.event).where(events.c.trial == trial_id)
    return bytes(connection.execute(here.order_by(events.c.event.desc()).limit(1)).scalar_one())


def check_care_stands(connection: Connection, number: object) -> None:
    """Raise UnknownName where the log holds no care of that number, and InvalidValue where it was taken back."""
    is_number = isinstance(number, int) and not isinstance(number, bool) and 0 < number < 2**63
    if not is_number or not rows(connection, (events.c.event == number) & (events.c.kind == "care")):
        raise UnknownName(f"care: got {str(number)[:80]!r}, expected the number of an entry, as the care log shows it")
    if before := rows(connection, (events.c.care == number) & (events.c.kind == "care withdrawn")):
        raise InvalidValue(f"care {number}: it was withdrawn before ({before[0]['why']})")


def planned(connection: Connection, pending_id: object) -> list[dict[str, Any]]:
    """The event that put a swatch on the list, and those that corrected it there, in order.

    Raises
    ------
    UnknownName
        If there never was such a swatch.
    """
    found = rows(connection, (events.c.pending == pending_id) & (events.c.kind.in_(PLAN_KINDS))) if _can_be_id(pending_id) else []
    if not found:
        raise UnknownName(f"planned swatch: got {str(pending_id)[:80]!r}, expected the id of one that was set aside, as the list shows it")
    return found


def check_not_dropped(connection: Connection, pending_id: str) -> None:
    """Raise InvalidValue where a planned swatch was taken off the list."""
    if before := rows(connection, (events.c.pending == pending_id) & (events.c.kind == "dropped")):
        why = f" ({before[0]['why']})" if before[0]["why"] else ""
        raise InvalidValue(f"planned swatch {pending_id!r}: it was dropped before{why}")


def as_planned(trial: Trial, plans: Sequence[Mapping[str, Any]]) -> Trial:
    """A trial of a planned swatch, of its cloth as it is now: whoever rates it may have taken it from the list before a correction.

    Raises
    ------
    InvalidValue
        If it is of another cloth, stitch or machine than the planned swatch ever was.
    """
    seam, last = (trial.stitch, trial.machine, trial.fabric), plans[-1]
    if all(seam != (plan["stitch"], plan["machine"], sewn_of(plan)["fabric"]) for plan in plans):
        sewn = f"{trial.fabric.name}, {trial.stitch} on {trial.machine}"
        meant = f"{last['fabric']}, {last['stitch']} on {last['machine']}"
        other = " of another weight, stretch or make" if sewn == meant else ""
        raise InvalidValue(f"planned swatch: got one of {meant} for a swatch of {sewn}{other}, expected the same seam; leave it out")
    return replace(trial, fabric=sewn_of(last)["fabric"])


def _can_be_id(given: object) -> bool:
    return isinstance(given, str) and ID_RULE.fault("id", given) is None  # a text that no database takes is no id either
