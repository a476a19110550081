"""The log itself: an append-only list of events in a database.

A correction or a withdrawal is an event of its own that supersedes what went before; nothing is overwritten. Threads and
processes may share a log: writers queue, readers never wait.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from threading import Lock
from types import MappingProxyType, TracebackType
from typing import Any, TypeVar

from sqlalchemy import ColumnElement, Connection, Engine, func, insert, select

from recommender.errors import InvalidValue, UnknownName
from recommender.swatches.database import address, connected, prepare, speaking
from recommender.swatches.events import Event, event_of, machine_values, stored_trial, trial_values, withdrawal_values
from recommender.swatches.tables import events
from recommender.swatches.trial import ID_RULE, Trial
from recommender.trade.machine import Machine
from recommender.trade.names import unknown
from recommender.trade.rules import Rule

T = TypeVar("T")

WHY_RULE = Rule(kind="text", low=1, high=500, help="Why the trial no longer counts.")
"""The rule of the reason for a withdrawal."""


class Store:
    """One log, open. Made by `Store.open`; safe to use from several threads at once."""

    def __init__(self, engine: Engine) -> None:
        self._reader = engine
        self._writer = engine.execution_options(writes=True)
        self._lock = Lock()
        self._seen = 0
        self._trials: dict[str, Trial | None] = {}
        self._machines: dict[str, Machine] = {}

    @classmethod
    def open(cls, where: object, wait: float = 30.0) -> "Store":
        """Open the log at a path or a database URL; it is made if missing. A folder holds it under `studio.sqlite`.

        Parameters
        ----------
        where
            Path of an SQLite file, a folder, `sqlite:///path` or `postgresql://user@host/name`.
        wait
            Seconds to wait for other writers.

        Raises
        ------
        StudioError
            If it cannot be opened, is no log, or was written by a newer version.
        """
        url = address(where)
        store = cls(connected(url, wait))
        try:
            with speaking(url):
                prepare(store._reader, store._writer)
        except BaseException:
            store.close()
            raise
        return store

    @property
    def where(self) -> str:
        """The path, or the address without its password."""
        return str(self.path or self._reader.url.render_as_string(hide_password=True))

    @property
    def path(self) -> Path | None:
        """The file, or None where the log is on a server."""
        return Path(str(self._reader.url.database)) if self._reader.dialect.name == "sqlite" else None

    @property
    def version(self) -> int:
        """Number of the last event, 0 in an empty log: it grows with every event and takes one look at an index to read."""
        return int(self._read(lambda c: c.execute(select(func.max(events.c.event))).scalar()) or 0)

    def events(self, since: int = 0) -> tuple[Event, ...]:
        """Every event after that number, in order: what a reader that knows version `since` has missed."""
        return tuple(event_of(row) for row in self._read(lambda connection: _rows(connection, events.c.event > since)))

    def history(self, trial_id: str) -> tuple[Event, ...]:
        """Every event of one trial, in order.

        Raises
        ------
        UnknownName
            If there never was such a trial.
        """
        return tuple(event_of(row) for row in self._read(lambda connection: _of_trial(connection, trial_id)))

    def trials(self) -> tuple[Trial, ...]:
        """The trials that count, as last corrected, in the order in which they were first logged."""
        with self._lock:
            self._follow()
            return tuple(trial for trial in self._trials.values() if trial is not None)

    def trial(self, trial_id: str) -> Trial:
        """One trial as last corrected.

        Raises
        ------
        UnknownName
            If there is no such trial, or it was withdrawn.
        """
        last = self.history(trial_id)[-1]
        if last.trial is None:
            raise UnknownName(f"trial {trial_id!r}: it was withdrawn ({last.why}); its history is kept")
        return last.trial

    def known(self, trial_ids: Iterable[str]) -> frozenset[str]:
        """Those ids that the log has ever held."""
        return frozenset(self._read(lambda connection: _known(connection, list(trial_ids))))

    def machines(self) -> Mapping[str, Machine]:
        """The machines by name, each as last described, in the order in which they were first added."""
        with self._lock:
            self._follow()
            return MappingProxyType(dict(self._machines))

    def add_machine(self, machine: Machine) -> None:
        """Add a machine, or describe one anew; the same description twice is one event."""

        def write(connection: Connection) -> None:
            entry = machine_values(machine)
            known = select(events.c.profile).where(events.c.kind == "machine", events.c.machine == machine.name)
            if connection.execute(known.order_by(events.c.event.desc()).limit(1)).scalar() != entry["profile"]:
                connection.execute(insert(events), entry)

        self._write(write)

    def record(self, trial: Trial) -> None:
        """Log a new trial.

        Raises
        ------
        InvalidValue
            If a trial of that id is in the log.
        UnknownName
            If its machine is not in the log.
        """
        if not self.record_new((trial,)):
            raise InvalidValue(f"trial id: got {trial.id!r}, which is in the log; correct that trial, or leave the id out")

    def record_new(self, trials: Iterable[Trial]) -> tuple[Trial, ...]:
        """Log those trials whose ids the log does not know, all at once or none, and return them.

        Raises
        ------
        UnknownName
            If the machine of one is not in the log.
        """
        given = {trial.id: trial for trial in trials}

        def write(connection: Connection) -> tuple[Trial, ...]:
            known = _known(connection, list(given))
            new = tuple(trial for trial in given.values() if trial.id not in known)
            _check_machines(connection, new)
            if new:
                connection.execute(insert(events), [trial_values("recorded", trial) for trial in new])
            return new

        return self._write(write)

    def correct(self, trial_id: str, change: Callable[[Trial], Trial], why: str = "") -> Trial:
        """Supersede a trial by what `change` makes of it; nobody else writes in between.

        A correction of a withdrawn trial brings it back. A change that changes nothing adds no event.

        Raises
        ------
        UnknownName
            If there is no such trial, or the new one's machine is not in the log.
        InvalidValue
            If the change gives the trial another id.
        """

        def write(connection: Connection) -> Trial:
            rows = _of_trial(connection, trial_id)
            before = stored_trial([row for row in rows if row["kind"] != "withdrawn"][-1])
            after = change(before)
            if after.id != before.id:
                raise InvalidValue(f"trial id: got {after.id!r}, expected {before.id!r}; a trial keeps its id for good")
            _check_machines(connection, (after,))
            if after != before or rows[-1]["kind"] == "withdrawn":
                connection.execute(insert(events), trial_values("corrected", after, why))
            return after

        return self._write(write)

    def withdraw(self, trial_id: str, why: object) -> None:
        """Take a trial out of what counts; it stays in the history with the reason.

        Raises
        ------
        UnknownName
            If there is no such trial.
        InvalidValue
            If no reason is given, or it was withdrawn before.
        """
        reason = WHY_RULE.check("why", why.strip() if isinstance(why, str) else why)

        def write(connection: Connection) -> None:
            last = _of_trial(connection, trial_id)[-1]
            if last["kind"] == "withdrawn":
                raise InvalidValue(f"trial {trial_id!r}: it was withdrawn before ({last['why']})")
            connection.execute(insert(events), withdrawal_values(trial_id, reason))

        self._write(write)

    def close(self) -> None:
        """Let go of the file or the server."""
        self._reader.dispose()

    def __enter__(self) -> "Store":
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        self.close()

    def _follow(self) -> None:
        """Take in what is new in the log; what was read once never changes."""
        for event in self.events(self._seen):
            if event.machine is not None:
                self._machines[event.machine.name] = event.machine
            else:
                self._trials[str(event.trial_id)] = event.trial
            self._seen = event.number

    def _read(self, query: Callable[[Connection], T]) -> T:
        with speaking(self._reader.url), self._reader.connect() as connection:
            return query(connection)

    def _write(self, deed: Callable[[Connection], T]) -> T:
        with speaking(self._reader.url), self._writer.begin() as connection:
            return deed(connection)


def _rows(connection: Connection, condition: ColumnElement[bool]) -> list[dict[str, Any]]:
    query = select(events).where(condition).order_by(events.c.event)
    return [row._asdict() for row in connection.execute(query)]


def _of_trial(connection: Connection, trial_id: object) -> list[dict[str, Any]]:
    can_be_one = isinstance(trial_id, str) and ID_RULE.fault("id", trial_id) is None  # a text that no database takes is no id either
    if not can_be_one or not (rows := _rows(connection, events.c.trial == trial_id)):
        raise UnknownName(f"trial: got {str(trial_id)[:80]!r}, expected the id of a logged trial, as the list of trials shows it")
    return rows


def _known(connection: Connection, ids: Sequence[str]) -> set[str]:
    parts = [ids[start : start + 500] for start in range(0, len(ids), 500)]  # a statement takes only so many values
    queries = [select(events.c.trial).where(events.c.trial.in_(part)) for part in parts]
    return {str(found) for query in queries for found in connection.execute(query).scalars()}


def _check_machines(connection: Connection, trials: Iterable[Trial]) -> None:
    named = select(events.c.machine).where(events.c.kind == "machine").order_by(events.c.event)
    known = list(dict.fromkeys(str(name) for name in connection.execute(named).scalars()))
    strangers = [trial.machine for trial in trials if trial.machine not in known]
    if strangers and not known:
        raise UnknownName(f"machine: got {strangers[0]!r}, but this studio has no machine yet; add it first")
    if strangers:
        raise unknown("machine", strangers[0], known)
