"""The log itself: an append-only list of events in a database.

A correction or a withdrawal is an event of its own that supersedes what went before; nothing is overwritten. Threads and
processes may share a log: writers queue, readers never wait.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from threading import Lock
from types import MappingProxyType, TracebackType
from typing import TypeVar

from sqlalchemy import Connection, Engine, func, insert, select

from recommender.errors import InvalidValue, StudioError
from recommender.swatches.care import Care
from recommender.swatches.database import address, connected, prepare, speaking
from recommender.swatches.events import (
    Event,
    care_values,
    care_withdrawal_values,
    dropped_values,
    event_of,
    machine_values,
    photo_values,
    plan_correction_values,
    planned_values,
    trial_values,
    why_and_by,
    withdrawal_values,
)
from recommender.swatches.pending import REASON_RULE, Pending
from recommender.swatches.queries import (
    as_planned,
    check_care_stands,
    check_machines,
    check_nobody_was_first,
    check_not_dropped,
    deeds_on,
    known,
    last_photo,
    last_profile,
    last_standing,
    planned,
    rows,
    rows_of_trial,
    trial_that_counts,
)
from recommender.swatches.standing import Standing, of_another_cloth
from recommender.swatches.tables import events, photos
from recommender.swatches.trial import Trial
from recommender.trade.fabric import Fabric
from recommender.trade.machine import Machine

T = TypeVar("T")


class Store:
    """One log, open. Made by `Store.open`; safe to use from several threads at once."""

    def __init__(self, engine: Engine) -> None:
        self._reader = engine
        self._writer = engine.execution_options(writes=True)
        self._lock = Lock()
        self._is_open = True
        self._standing = Standing()

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
        return tuple(event_of(row) for row in self._read(lambda connection: rows(connection, events.c.event > since)))

    def history(self, trial_id: str) -> tuple[Event, ...]:
        """Every event of one trial, in order.

        Raises
        ------
        UnknownName
            If there never was such a trial.
        """
        return tuple(event_of(row) for row in self._read(lambda connection: rows_of_trial(connection, trial_id)))

    def trials(self) -> tuple[Trial, ...]:
        """The trials that count, as last corrected, in the order in which they were first logged."""
        with self._following() as now:
            return tuple(trial for trial in now.trials.values() if trial is not None)

    def withdrawn(self) -> tuple[Trial, ...]:
        """The trials that were withdrawn and not brought back, as they last were, the first withdrawn first."""
        with self._following() as now:
            return tuple(now.withdrawn.values())

    def known(self, trial_ids: Iterable[str]) -> frozenset[str]:
        """Those ids that the log has ever held."""
        return frozenset(self._read(lambda connection: known(connection, list(trial_ids))))

    def machines(self) -> Mapping[str, Machine]:
        """The machines by name, each as last described, in the order in which they were first added."""
        with self._following() as now:
            return MappingProxyType(dict(now.machines))

    def add_machine(self, machine: Machine, *, new: bool = False, former: Machine | None = None) -> None:
        """Add a machine, or describe one anew; the same description twice is one event.

        Raises
        ------
        InvalidValue
            If it should be `new` and is not, or it should take the place of a `former` profile that stands there no more.
        """

        def write(connection: Connection) -> None:
            entry = machine_values(machine)
            before = last_profile(connection, machine.name)
            check_nobody_was_first(machine.name, before, new, former)
            if before != entry["profile"]:
                connection.execute(insert(events), entry)

        self._write(write)

    def record(self, trial: Trial, pending: str | None = None) -> Trial:
        """Log a new trial, and with it that a planned swatch has been sewn, of its cloth as it is corrected by now; return it.

        Two tablets may sew the same planned swatch: both trials are kept, and it leaves the list once.

        Raises
        ------
        InvalidValue
            If a trial of that id is in the log, or the planned swatch is of another seam.
        UnknownName
            If its machine or the planned swatch is not in the log.
        """

        def write(connection: Connection) -> Trial:
            if known(connection, [trial.id]):
                raise InvalidValue(f"swatch id: got {trial.id!r}, which is in the log; correct that swatch, or leave the id out")
            check_machines(connection, [trial.machine])
            sewn = trial if pending is None else as_planned(trial, planned(connection, pending))
            connection.execute(insert(events), trial_values("recorded", sewn, pending=pending))
            return sewn

        return self._write(write)

    def record_new(self, trials: Iterable[Trial]) -> tuple[Trial, ...]:
        """Log those trials whose ids the log does not know, all at once or none, and return them.

        Raises
        ------
        UnknownName
            If the machine of one is not in the log.
        """
        given = {trial.id: trial for trial in trials}

        def write(connection: Connection) -> tuple[Trial, ...]:
            there = known(connection, list(given))
            new = tuple(trial for trial in given.values() if trial.id not in there)
            check_machines(connection, (trial.machine for trial in new))
            if new:
                connection.execute(insert(events), [trial_values("recorded", trial) for trial in new])
            return new

        return self._write(write)

    def correct(
        self, trial_id: str, change: Callable[[Trial], Trial], why: str = "", by: str = "", along: Callable[[Fabric], Fabric] | None = None
    ) -> Trial:
        """Supersede a trial by what `change` makes of it, and by `along` the cloth of the others that count and of the planned ones.

        All or none; nobody else writes in between. A withdrawn trial is brought back. A change that changes nothing adds no event.

        Raises
        ------
        UnknownName
            If there is no such trial, or a new one's machine is not in the log.
        InvalidValue
            If a change gives a trial another id, or the reason or who gives it breaks its rule.
        """
        reason, hand = why_and_by(why, by, needed=False)

        def write(connection: Connection) -> Trial:
            before, gone = last_standing(connection, trial_id)
            after = change(before)
            if after.id != trial_id:
                raise InvalidValue(f"swatch id: got {after.id!r}, expected {trial_id!r}; a swatch keeps its id for good")
            check_machines(connection, [after.machine])
            with self._following() as now:
                on_list = tuple(now.planned.values())
            others = of_another_cloth([one for one in self.trials() if one.id != trial_id], along)
            changed, plans = [*([after] if after != before or gone else []), *others], of_another_cloth(on_list, along)
            if changed:
                connection.execute(insert(events), [trial_values("corrected", one, reason, hand) for one in changed])
            if plans:
                connection.execute(insert(events), [plan_correction_values(one, reason, hand) for one in plans])
            return after

        return self._write(write)

    def withdraw(self, trial_id: str, why: object, by: str = "") -> None:
        """Take a trial out of what counts; it stays in the history with the reason.

        Raises
        ------
        UnknownName
            If there is no such trial.
        InvalidValue
            If no reason is given, who gives it breaks its rule, or it was withdrawn before.
        """
        reason, hand = why_and_by(why, by)

        def write(connection: Connection) -> None:
            last = deeds_on(connection, trial_id)[-1]
            if last.kind == "withdrawn":
                raise InvalidValue(f"swatch {trial_id!r}: it was withdrawn before ({last.why})")
            connection.execute(insert(events), withdrawal_values(trial_id, reason, hand))

        self._write(write)

    def add_photo(self, trial_id: str, jpeg: bytes) -> None:
        """Keep a photo of a trial; what was kept before stays, and the last one is shown.

        Raises
        ------
        UnknownName
            If there is no such trial, or it was withdrawn.
        """

        def write(connection: Connection) -> None:
            trial_that_counts(connection, trial_id)
            number = connection.execute(insert(events).returning(events.c.event), photo_values(trial_id)).scalar_one()
            connection.execute(insert(photos), {"event": number, "jpeg": jpeg})

        self._write(write)

    def photo(self, trial_id: str) -> bytes | None:
        """The last photo of a trial, as a JPEG; None where there is none."""
        if trial_id not in self.photographed():
            return None
        return self._read(lambda connection: last_photo(connection, trial_id))

    def photographed(self) -> frozenset[str]:
        """The ids of the trials that have a photo."""
        with self._following() as now:
            return frozenset(now.photographed)

    def note_care(self, care: Care) -> Care:
        """Log what was done to a machine, and return it with its number.

        Raises
        ------
        UnknownName
            If the machine is not in the log.
        """

        def write(connection: Connection) -> Care:
            check_machines(connection, [care.machine])
            number = connection.execute(insert(events).returning(events.c.event), care_values(care)).scalar_one()
            return replace(care, number=number)

        return self._write(write)

    def withdraw_care(self, number: int, why: object, by: str = "") -> None:
        """Take back what was noted by mistake.

        Raises
        ------
        UnknownName
            If no care of that number is in the log.
        InvalidValue
            If no reason is given, who gives it breaks its rule, or it was withdrawn before.
        """
        reason, hand = why_and_by(why, by)

        def write(connection: Connection) -> None:
            check_care_stands(connection, number)
            connection.execute(insert(events), care_withdrawal_values(number, reason, hand))

        self._write(write)

    def care(self) -> tuple[Care, ...]:
        """What was done to the machines and not taken back, in the order in which it was logged."""
        with self._following() as now:
            return tuple(now.care)

    def set_aside(self, pending: Pending) -> None:
        """Put a planned swatch on the list.

        Raises
        ------
        UnknownName
            If its machine is not in the log.
        """

        def write(connection: Connection) -> None:
            check_machines(connection, [pending.machine])
            connection.execute(insert(events), planned_values(pending))

        self._write(write)

    def pending(self) -> tuple[Pending, ...]:
        """The planned swatches that were neither sewn nor dropped, the oldest first; one whose trial was withdrawn waits again."""
        with self._following() as now:
            return now.pending()

    def sewn_as(self, pending_id: str) -> Trial | None:
        """The trial that a planned swatch has become; None where none of it counts."""
        with self._following() as now:
            return now.sewn(pending_id)

    def drop(self, pending_id: str, why: object = "") -> None:
        """Take a planned swatch off the list unsewn.

        Raises
        ------
        UnknownName
            If there never was such a swatch.
        InvalidValue
            If it was dropped before, or the reason breaks its rule.
        """
        reason = REASON_RULE.check("why", why.strip() if isinstance(why, str) else why) or ""

        def write(connection: Connection) -> None:
            planned(connection, pending_id)
            check_not_dropped(connection, pending_id)
            connection.execute(insert(events), dropped_values(pending_id, reason))

        self._write(write)

    def close(self) -> None:
        """Let go of the file or the server; nothing can be asked of the log afterwards."""
        self._is_open = False
        self._reader.dispose()

    def __enter__(self) -> "Store":
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        self.close()

    @contextmanager
    def _following(self) -> Iterator[Standing]:
        """What stands now, held still; what was read once never changes."""
        with self._lock:
            for event in self.events(self._standing.seen):
                self._standing.take(event)
            yield self._standing

    def _read(self, query: Callable[[Connection], T]) -> T:
        self._check_open()
        with speaking(self._reader.url), self._reader.connect() as connection:
            return query(connection)

    def _write(self, deed: Callable[[Connection], T]) -> T:
        self._check_open()
        with speaking(self._reader.url), self._writer.begin() as connection:
            return deed(connection)

    def _check_open(self) -> None:
        if not self._is_open:
            raise StudioError(f"studio {self.where}: it was closed, expected an open one; open it again")
