"""The log as a studio keeps it: machines, swatches, photos, care and what waits to be sewn. Nothing here needs a model."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import fields, replace
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, Self

from recommender.advice.seam import Seam
from recommender.errors import InvalidValue, UnknownName
from recommender.studio.entered import care_of, care_on, check_on, check_settings, machine_of, mended, needle_noted, pending_of, seam_on
from recommender.swatches.care import Care
from recommender.swatches.events import Event
from recommender.swatches.pending import Pending
from recommender.swatches.pictures import photo
from recommender.swatches.sifting import Progress, silent
from recommender.swatches.store import Store
from recommender.swatches.trace import CLOTH, corrected, with_cloth
from recommender.swatches.trial import Trial
from recommender.trade.fabric import Fabric
from recommender.trade.machine import Machine
from recommender.trade.readings import checked_readings
from recommender.trade.settings import Settings
from recommender.trade.thread import ORDINARY, Thread

if TYPE_CHECKING:
    from recommender.swatches.importing import ImportReport
    from recommender.swatches.preview import Preview
    from recommender.swatches.suite import ValidationReport

_CORRECTABLE = tuple(field.name for field in fields(Trial) if field.name != "id")


class Log:
    """What a studio writes down, and what it reads from there without a model; each entry is held to its rules and to its machine."""

    def __init__(self, store: Store) -> None:
        self._store = store

    @property
    def where(self) -> str:
        """The path, or the address without its password."""
        return self._store.where

    @property
    def path(self) -> Path | None:
        """The file, or None where the log is on a server."""
        return self._store.path

    @property
    def version(self) -> int:
        """A number that grows with every event of the log; what was read at one version is good until the next."""
        return self._store.version

    @property
    def machines(self) -> Mapping[str, Machine]:
        """The machines by name."""
        return self._store.machines()

    def add_machine(self, machine: Machine, *, new: bool = False, former: Machine | None = None) -> None:
        """Add a machine, or describe one of the same name anew.

        Parameters
        ----------
        new
            Whether there may be none of that name yet.
        former
            The profile that it takes the place of; whatever stands there where left out.

        Raises
        ------
        InvalidValue
            If it is no machine, there is one though it should be new, or another profile stands there by now.
        """
        if not isinstance(machine, Machine):
            raise InvalidValue(f"machine: got {type(machine).__name__}, expected a Machine, such as Machine.generic('bench')")
        self._store.add_machine(machine, new=new, former=former)

    def trials(self, fabric: str | None = None, stitch: str | None = None, machine: str | None = None) -> tuple[Trial, ...]:
        """The trials that count, as last corrected, in the order of the log; those of one fabric, stitch or machine where named."""
        return tuple(
            trial
            for trial in self._store.trials()
            if fabric in (None, trial.fabric.name) and stitch in (None, trial.stitch) and machine in (None, trial.machine)
        )

    def fabrics(self) -> Mapping[str, Fabric]:
        """The logged fabrics by name, each as last described."""
        return {trial.fabric.name: trial.fabric for trial in self._store.trials()}

    def withdrawn(self) -> tuple[Trial, ...]:
        """The trials that no longer count, each as it last was, the first withdrawn first."""
        return self._store.withdrawn()

    def history(self, trial_id: str) -> tuple[Event, ...]:
        """Everything that was ever logged of one trial, in order.

        Raises
        ------
        UnknownName
            If there never was such a trial.
        """
        return self._store.history(trial_id)

    def record(
        self,
        *,
        fabric: Fabric,
        stitch: str,
        machine: str,
        settings: Settings,
        passed: bool,
        readings: Mapping[str, float | None] | None = None,
        needle_thread: Thread = ORDINARY,
        looper_thread: Thread = ORDINARY,
        flags: Iterable[str] = (),
        seam_change: float | None = None,
        needle_size: float | str | None = None,
        needle_hours: float | None = None,
        who: str = "",
        note: str = "",
        when: datetime | None = None,
        pending: str | None = None,
        trial_id: str | None = None,
    ) -> Trial:
        """Log a swatch.

        Parameters
        ----------
        readings
            Score by reading, -2 to 2 in half steps; those that are left out, or None, were not made.
        when
            When it was sewn, with a time zone; now where left out.
        needle_size
            Either number of its packet or both, such as 80, 12 or "80/12"; the metric one is kept.
        flags, seam_change, needle_hours, who, note
            As `Trial` has them.
        pending
            Id of the planned swatch that has been sewn; it leaves the list with this.
        trial_id
            Its own mark in the log, a new one where left out. What may be sent twice is given one ahead: the second is refused.

        Raises
        ------
        InvalidValue, UnknownName, UnsuitableMachine
            If something of it cannot be; nothing is logged then.
        StudioError
            If the log cannot be written.
        """
        seam = self._seam(fabric, stitch, machine, needle_thread, looper_thread)
        check_settings(settings)
        trial = Trial(
            fabric=fabric,
            stitch=stitch,
            machine=machine,
            needle_thread=needle_thread,
            looper_thread=looper_thread,
            settings=settings,
            passed=passed,
            readings=checked_readings(readings),
            flags=flags,  # type: ignore[arg-type]  # Trial makes a set of them, and says what is wrong if it cannot
            seam_change=seam_change,
            needle_size=needle_noted(needle_size),
            needle_hours=needle_hours,
            who=who,
            note=note,
        )
        given: dict[str, Any] = {"when": when, "id": trial_id}
        trial = replace(trial, **{name: value for name, value in given.items() if value is not None})
        check_on(trial, seam.machine)
        return self._store.record(trial, pending)

    def correct(self, trial_id: str, why: str = "", by: str = "", **changes: Any) -> Trial:
        """Log a correction of a trial, and who made it; what stood before stays in its history. A withdrawn trial counts again.

        Parameters
        ----------
        changes
            Fields of `Trial` with their new values.

        Raises
        ------
        UnknownName, InvalidValue
            If there is no such trial or field, or a value breaks its rule.
        """
        if strange := [name for name in changes if name not in _CORRECTABLE]:
            raise UnknownName(f"field of a swatch: got {strange[0]!r}, expected one of: {', '.join(_CORRECTABLE)}")
        if "needle_size" in changes:
            changes["needle_size"] = needle_noted(changes["needle_size"])
        return self._store.correct(trial_id, lambda before: mended(before, replace(before, **changes), self.machines), why, by)

    def correct_columns(
        self, trial_id: str, values: Mapping[str, Any], why: str = "", by: str = "", *, along: Callable[[Fabric], bool] | None = None
    ) -> Trial:
        """The same for columns of the log's table by name, such as `gsm` or `edge_lie`; None takes a value out.

        Parameters
        ----------
        along
            Whether what describes the cloth is corrected too on the other trials that count of a cloth, and on what is planned of it; all
            at once or none. None: no.

        Raises
        ------
        UnknownName, InvalidValue
            If there is no such trial or column, or a value breaks its rule.
        """
        cloth = {name: value for name, value in values.items() if name in CLOTH}
        return self._store.correct(
            trial_id,
            lambda before: mended(before, corrected(before, values), self.machines),
            why,
            by,
            None if along is None else lambda fabric: with_cloth(fabric, cloth) if along(fabric) else fabric,
        )

    def withdraw(self, trial_id: str, why: str, by: str = "") -> None:
        """Take a trial out of what counts, with the reason and who gives it; it stays in its history.

        Raises
        ------
        UnknownName, InvalidValue
            If there is no such trial, it was withdrawn before, or no reason is given.
        """
        self._store.withdraw(trial_id, why, by)

    def add_photo(self, trial_id: str, picture: bytes) -> None:
        """Keep a photo of a swatch: any picture that a camera writes, kept small and upright, without its metadata.

        Raises
        ------
        InvalidValue
            If it is no picture, is damaged or too large.
        UnknownName
            If there is no such trial, or it was withdrawn.
        """
        self._store.add_photo(trial_id, photo(picture))

    def photo(self, trial_id: str) -> bytes | None:
        """The last photo of a swatch as a JPEG; None where there is none."""
        return self._store.photo(trial_id)

    def photographed(self) -> frozenset[str]:
        """The ids of the trials that have a photo."""
        return self._store.photographed()

    def note_care(self, machine: str, deed: str, *, when: datetime | None = None, who: str = "", note: str = "") -> Care:
        """Log what was done to a machine: one of `recommender.trade.care.DEEDS`, now where no moment with a time zone is given.

        Raises
        ------
        InvalidValue, UnknownName
            If there is no such machine or deed, or a value breaks its rule.
        """
        return self._store.note_care(care_on(machine_of(self.machines, machine), deed, when, who, note))

    def withdraw_care(self, number: int, why: str, by: str = "") -> None:
        """Take back an entry of the care log that was made by mistake, with the reason and who gives it.

        Raises
        ------
        UnknownName, InvalidValue
            If there is no such entry, it was withdrawn before, or no reason is given.
        """
        self._store.withdraw_care(number, why, by)

    def care(self, machine: str | None = None) -> tuple[Care, ...]:
        """What was done to the machines and not taken back, or to one of them, the newest first.

        Raises
        ------
        UnknownName
            If there is no such machine.
        """
        return care_of(self._store.care(), None if machine is None else machine_of(self.machines, machine))

    def set_aside(
        self,
        *,
        fabric: Fabric,
        stitch: str,
        machine: str,
        settings: Settings,
        needle_thread: Thread = ORDINARY,
        looper_thread: Thread = ORDINARY,
        reason: str = "",
    ) -> Pending:
        """Put a swatch on the list of those to be sewn.

        Raises
        ------
        InvalidValue, UnknownName, UnsuitableMachine
            If something of it cannot be; nothing is logged then.
        """
        planned = pending_of(self._seam(fabric, stitch, machine, needle_thread, looper_thread), settings, reason)
        self._store.set_aside(planned)
        return planned

    def pending(self) -> tuple[Pending, ...]:
        """The planned swatches that were neither sewn nor dropped, the oldest first; one whose trial was withdrawn waits again."""
        return self._store.pending()

    def sewn_as(self, pending_id: str) -> Trial | None:
        """The trial that a planned swatch has become; None where none of it counts."""
        return self._store.sewn_as(pending_id)

    def drop(self, pending_id: str, why: str = "") -> None:
        """Take a planned swatch off the list unsewn.

        Raises
        ------
        UnknownName, InvalidValue
            If there is no such swatch, it was dropped before, or the reason is too long.
        """
        self._store.drop(pending_id, why)

    def preview(self, source: str | Path | bytes, progress: Progress = silent, machines: Mapping[str, str] | None = None) -> "Preview":
        """What `import_csv` would do with a file, given by its path or as its bytes; nothing is written.

        Raises
        ------
        FileFault, UnknownName, InvalidValue
            If the file cannot be read as rows at all, a name is matched to no machine of the studio, or a match does nothing.
        """
        from recommender.swatches.preview import preview_csv  # here, for it brings pandas and the validation suite

        return preview_csv(self._store, source, progress, machines)

    def import_csv(
        self,
        source: str | Path | bytes,
        rejects: str | Path | None = None,
        progress: Progress = silent,
        machines: Mapping[str, str] | None = None,
    ) -> "ImportReport":
        """Log the good rows of a file typed in a spreadsheet; the bad ones come back in the rejects file with what is wrong.

        Parameters
        ----------
        source
            The file's path, or its bytes.
        rejects
            Where the bad rows go; beside the file where left out, and nowhere for bytes.
        progress
            Called now and then with what is being done and the share that is done.
        machines
            By a name that the file has for a machine and the studio does not know: its name in the studio.

        Raises
        ------
        FileFault, UnknownName, InvalidValue
            If the file cannot be read as rows at all, a name is matched to no machine of the studio, or a match does nothing.
        """
        from recommender.swatches.importing import import_csv  # as above

        return import_csv(self._store, source, rejects, progress, machines)

    def export_csv(self, path: str | Path) -> int:
        """Write the trials that count to a file that `import_csv` reads back, and return their number."""
        from recommender.swatches.exporting import export_csv  # as above

        return export_csv(self._store, path)

    def copy(self, path: str | Path) -> None:
        """Write the whole log to one file, photos and care and histories too; opened, it is the same studio.

        Raises
        ------
        StudioError
            If the log is on a database server.
        FileFault
            If the file cannot be written.
        """
        from recommender.swatches.copying import copy_log  # as above

        copy_log(self._store, path)

    def check(self) -> "ValidationReport":
        """Hold every trial that counts to the column rules."""
        from recommender.swatches.suite import check_trials  # as above

        return check_trials(self._store.trials())

    def close(self) -> None:
        """Let go of the log."""
        self._store.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        self.close()

    def _seam(self, fabric: Fabric, name: str, machine: str, needle_thread: Thread, looper_thread: Thread) -> Seam:
        return seam_on(self.machines, fabric, name, machine, (needle_thread, looper_thread))
