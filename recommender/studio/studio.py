"""A studio: one log, its machines and its model. The only place where the three meet, and the only thing here with a state."""

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import fields, replace
from datetime import datetime
from functools import partial
from pathlib import Path
from threading import Lock, RLock
from types import TracebackType
from typing import TYPE_CHECKING, Any, Self

from platformdirs import user_data_path

from recommender.advice.effect import Effect, effect
from recommender.advice.matters import Matters, matters
from recommender.advice.one_more import OneMore, one_more
from recommender.advice.planning.day import Stop, day
from recommender.advice.planning.plan import LEARNING, plan
from recommender.advice.planning.planned import Planned, PlannedSwatch
from recommender.advice.proposal import Proposal, propose
from recommender.advice.scoring.ledger import Ledger, following, replaying
from recommender.advice.scoring.ledger_file import keep_ledger
from recommender.advice.scoring.replay import in_time
from recommender.advice.scoring.score import Score
from recommender.advice.scoring.verdict import after
from recommender.advice.seam import Seam
from recommender.advice.translate import Translation, translate
from recommender.advice.watching.answered import drift_after_care
from recommender.advice.watching.drift import Drift, drift
from recommender.errors import InvalidValue, UnknownName
from recommender.studio.asked import (
    care_of,
    care_on,
    check_on,
    check_settings,
    last_settings,
    machine_of,
    pending_of,
    seam_on,
    sewn_here,
    to_learn_from,
    to_sew,
    to_translate,
    waiting,
)
from recommender.studio.facts import Facts, facts_of
from recommender.studio.knowledge import Knowledge, caught_up, model_path, one_thread, score_path
from recommender.studio.report import FitReport, fit_report
from recommender.swatches.care import Care
from recommender.swatches.events import Event
from recommender.swatches.pending import Pending
from recommender.swatches.pictures import photo
from recommender.swatches.store import Store
from recommender.swatches.trace import corrected
from recommender.swatches.trial import Trial
from recommender.trade.fabric import Fabric
from recommender.trade.machine import Machine
from recommender.trade.readings import checked_readings
from recommender.trade.settings import Settings
from recommender.trade.thread import ORDINARY, Thread

if TYPE_CHECKING:
    from recommender.swatches.importing import ImportReport
    from recommender.swatches.preview import Preview
    from recommender.swatches.sifting import Progress
    from recommender.swatches.suite import ValidationReport


_CORRECTABLE = tuple(field.name for field in fields(Trial) if field.name != "id")


class Studio:
    """One log, open. Made by `Studio.open`; safe to use from several threads, and from several processes on one log.

    >>> with Studio.open(tmp / "my-studio.sqlite") as studio:
    ...     studio.add_machine(Machine.generic("bench"))
    ...     jersey = Fabric(name="rib jersey", construction="knit", fibre="cotton", gsm=220, stretch=60)
    ...     first = studio.propose(fabric=jersey, stitch="four-thread overlock", machine="bench")
    ...     first.settings == first.baseline
    True
    """

    def __init__(self, store: Store, files: Path) -> None:
        self._store = store
        self._files = files
        self._lock = RLock()
        self._scoring = Lock()
        self._replayed = (0, 0)
        self._known = Knowledge()

    @classmethod
    def open(cls, where: str | Path | None = None) -> Self:
        """Open a studio, and make it if it is missing.

        Parameters
        ----------
        where
            Path of an SQLite file or of a folder, or a database URL; None for `studio.sqlite` in the user's data folder.

        Raises
        ------
        StudioError
            If it cannot be opened, is no log of this package, or was written by a newer version.
        """
        store = Store.open(_home() / "studio.sqlite" if where is None else where)
        return cls(store, model_path(store))

    @property
    def where(self) -> str:
        """The path, or the address without its password."""
        return self._store.where

    @property
    def version(self) -> int:
        """A number that grows with every event of the log; what was read at one version is good until the next."""
        return self._store.version

    @property
    def notice(self) -> str:
        """Why the model file could not be used when the model was last built; empty where it could, or where there was none yet."""
        with self._following() as known:
            return known.notice

    @property
    def machines(self) -> Mapping[str, Machine]:
        """The machines by name."""
        return self._store.machines()

    def add_machine(self, machine: Machine) -> None:
        """Add a machine, or describe one of the same name anew.

        Raises
        ------
        InvalidValue
            If it is no machine.
        """
        if not isinstance(machine, Machine):
            raise InvalidValue(f"machine: got {type(machine).__name__}, expected a Machine, such as Machine.generic('bench')")
        self._store.add_machine(machine)

    def trials(self, fabric: str | None = None, stitch: str | None = None, machine: str | None = None) -> tuple[Trial, ...]:
        """The trials that count, as last corrected, in the order of the log; those of one fabric, stitch or machine where named."""
        wanted = (fabric, stitch, machine)

        def fits(trial: Trial) -> bool:
            names = (trial.fabric.name, trial.stitch, trial.machine)
            return all(want is None or want == name for want, name in zip(wanted, names, strict=True))

        return tuple(trial for trial in self._store.trials() if fits(trial))

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

    def propose(
        self, *, fabric: Fabric, stitch: str, machine: str, needle_thread: Thread = ORDINARY, looper_thread: Thread = ORDINARY
    ) -> Proposal:
        """What to sew next of this fabric and stitch on this machine.

        Raises
        ------
        UnknownName
            If there is no such stitch or machine.
        UnsuitableMachine
            If the machine lacks what the stitch needs.
        """
        seam = self._seam(fabric, stitch, machine, needle_thread, looper_thread)
        with self._following() as known:
            here = sewn_here(known, seam)
            failed = [trial for trial in here if not trial.passed]
            found = propose(known.model, seam, here[-1] if here else None, known.trials, failed)
            said = known.ledger.verdict(stitch)
            said = after(said) if here else said
            return replace(found, lead=said.lead, lead_why=said.why)

    def one_more(self, proposal: Proposal) -> OneMore | None:
        """What would change if one more control were moved than a proposal moves; None where it follows no swatch, or none is left.

        Raises
        ------
        UnknownName, UnsuitableMachine
            If the machine is gone, or can no longer sew the stitch.
        """
        seam = self._seam(proposal.fabric, proposal.stitch, proposal.machine, proposal.needle_thread, proposal.looper_thread)
        if proposal.last is None:
            return None
        with self._following() as known:
            failed = [trial.settings for trial in sewn_here(known, seam) if not trial.passed]
            return one_more(known.model.outlook(seam), seam, proposal.last.settings, proposal.settings, failed)

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
        needle_size: float | None = None,
        needle_hours: float | None = None,
        who: str = "",
        note: str = "",
        when: datetime | None = None,
        pending: str | None = None,
    ) -> Trial:
        """Log a swatch.

        Parameters
        ----------
        readings
            Score by reading, -2 to 2 in half steps; those that are left out, or None, were not made.
        when
            When it was sewn, with a time zone; now where left out.
        flags, seam_change, needle_size, needle_hours, who, note
            As `Trial` has them.
        pending
            Id of the planned swatch that has been sewn; it leaves the list with this.

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
            needle_size=needle_size,
            needle_hours=needle_hours,
            who=who,
            note=note,
        )
        trial = trial if when is None else replace(trial, when=when)
        check_on(trial, seam.machine)
        self._store.record(trial, pending)
        return trial

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
            raise UnknownName(f"field of a trial: got {strange[0]!r}, expected one of: {', '.join(_CORRECTABLE)}")
        return self._store.correct(trial_id, lambda before: self._sewable(replace(before, **changes)), why, by)

    def correct_columns(self, trial_id: str, values: Mapping[str, Any], why: str = "", by: str = "") -> Trial:
        """The same for columns of the log's table by name, such as `gsm` or `edge_lie`; None takes a value out.

        Raises
        ------
        UnknownName, InvalidValue
            If there is no such trial or column, or a value breaks its rule.
        """
        return self._store.correct(trial_id, lambda before: self._sewable(corrected(before, values)), why, by)

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

    def photo(self, trial_id: str, longest: int | None = None) -> bytes | None:
        """The last photo of a swatch as a JPEG, of at most `longest` pixels a side where that is given; None where there is none."""
        kept = self._store.photo(trial_id)
        return kept if kept is None or longest is None else photo(kept, longest)

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

    def care(self, machine: str | None = None) -> tuple[Care, ...]:
        """What was done to the machines, or to one of them, the newest first.

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

    def drop(self, pending_id: str, why: str = "") -> None:
        """Take a planned swatch off the list unsewn.

        Raises
        ------
        UnknownName, InvalidValue
            If there is no such swatch, it was dropped before, or the reason is too long.
        """
        self._store.drop(pending_id, why)

    def preview(self, source: str | Path | bytes, progress: "Progress | None" = None) -> "Preview":
        """What `import_csv` would do with a file, given by its path or as its bytes; nothing is written.

        Raises
        ------
        FileFault
            If the file cannot be read as rows at all.
        """
        from recommender.swatches.preview import preview_csv  # here, for it brings pandas and the validation suite

        return preview_csv(self._store, source, progress) if progress else preview_csv(self._store, source)

    def import_csv(
        self, source: str | Path | bytes, rejects: str | Path | None = None, progress: "Progress | None" = None
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

        Raises
        ------
        FileFault
            If the file cannot be read as rows at all.
        """
        from recommender.swatches.importing import import_csv  # as above

        return import_csv(self._store, source, rejects, progress) if progress else import_csv(self._store, source, rejects)

    def export_csv(self, path: str | Path) -> int:
        """Write the trials that count to a file that `import_csv` reads back, and return their number."""
        from recommender.swatches.exporting import export_csv  # as above

        return export_csv(self._store, path)

    def check(self) -> "ValidationReport":
        """Hold every trial that counts to the column rules."""
        from recommender.swatches.suite import check_trials  # as above

        return check_trials(self._store.trials())

    def facts(self) -> Facts:
        """Where the log lies, and how much there is of everything."""
        with self._following() as known:
            return facts_of(self._store, known)

    def fit(self) -> FitReport:
        """Build the model from the log alone, whatever was known before, and write the model file.

        Raises
        ------
        InvalidValue
            If the log holds rows that break the column rules.
        """
        report = self.check()
        if not report.passed:
            first = report.faults[0].sentence
            raise InvalidValue(f"log: got {len(report.faults)} faults in {report.rows} rows, expected none; see the check: {first}")
        with self._lock, one_thread():
            self._known = caught_up(self._known, self._store, self._files, tune_anew=True)
            known = self._known
        return fit_report(known, self._files)

    def matters(self) -> Matters:
        """What matters most over the log."""
        with self._following() as known:
            return matters(known.model, known.trials, known.machines)

    def effect(self, reading: str, control: str) -> Effect:
        """What moving one control does to one reading, with the swatches behind it.

        Raises
        ------
        UnknownName
            If there is no such reading or control.
        """
        with self._following() as known:
            return effect(known.model, known.trials, known.machines, reading, control)

    def next(
        self,
        n: int = 3,
        *,
        fabric: Fabric | None = None,
        stitch: str | None = None,
        machine: str | None = None,
        needle_thread: Thread = ORDINARY,
        looper_thread: Thread = ORDINARY,
        fabrics: Iterable[Fabric] | None = None,
        stitches: Sequence[str] | None = None,
        learning: float | None = None,
    ) -> tuple[PlannedSwatch, ...]:
        """The next swatches, in the order in which they are worth sewing.

        With a fabric, stitch and machine: n swatches of that seam that trade passing now against learning of it. Without: those
        that in a free hour teach most, of the fabrics at hand; with a machine alone, those that teach most of that machine. What
        waits on the list of `pending` counts as sewn.

        Parameters
        ----------
        fabrics, stitches
            What is at hand in a free hour; all logged cloths where left out, each with the stitches that it was sewn with.
        learning
            How many points of pass chance one percent of band width is worth: 0 for passing alone, infinite for learning alone.
            1 where left out, and infinite in a free hour.

        Raises
        ------
        UnknownName, UnsuitableMachine, InvalidValue
            If the seam or one of the numbers cannot be, or there is no cloth at hand.
        """
        with self._following() as known:
            if fabric is None and stitch is None:
                seams, usual = to_learn_from(known, machine, fabrics, stitches), math.inf
            else:
                seams, usual = (to_sew(known, fabric, stitch, machine, (needle_thread, looper_thread)),), LEARNING
            weight = usual if learning is None else learning
            pending = waiting(known, self._store.pending())
            return plan(known.model, seams, seams, n, learning=weight, pending=pending, last=partial(last_settings, known))

    def day(self, seams: Iterable[Planned]) -> tuple[Stop, ...]:
        """The order in which to sew planned swatches so that the least is changed over; each machine begins as its last swatch left it.

        Parameters
        ----------
        seams
            Planned or pending swatches or proposals, what matters most first.

        Raises
        ------
        UnknownName
            If there is no such stitch.
        """
        with self._following() as known:
            standing = {trial.machine: trial for trial in in_time(known.trials)}
        return day(tuple(seams), standing)

    def score(self, progress: Callable[[int, int], object] = lambda *_: None) -> Score:
        """How good the proposals have been, beside the baseline: the log replayed, each trial predicted before it is learned.

        It takes seconds at first, and then only what is new. Others may use the studio meanwhile; what they log is in the next score.

        Parameters
        ----------
        progress
            Told now and then how many trials are replayed, and of how many. What it raises ends the replay, and the next one goes on
            from there.
        """
        while not self._scoring.acquire(timeout=0.2):
            progress(*self._replayed)
        try:
            with self._following() as known:
                ledger, machines = known.ledger, known.machines
            self._replayed = (ledger.replayed, len(ledger.trials))
            try:
                with one_thread():
                    for step in replaying(ledger, machines):
                        ledger, self._replayed = step, (step.replayed, len(step.trials))
                        progress(*self._replayed)
            finally:
                self._keep(ledger, machines)
            return ledger.score
        finally:
            self._scoring.release()

    @property
    def is_scoring(self) -> bool:
        """Whether somebody's score is being worked out; who asks for one now waits for that, and is told how far it is."""
        return self._scoring.locked()

    @property
    def unscored(self) -> int:
        """How many trials the next score has to replay; some 50 ms each."""
        with self._following() as known:
            return known.ledger.behind

    def drift(self, machine: str | None = None, since: datetime | None = None) -> tuple[Drift, ...]:
        """Whether the machines, or one of them, still behave as their log says, and where to look first if not.

        Parameters
        ----------
        since
            Only what was sewn from this moment on, with a time zone, is looked at. Where left out, that from the last service on, or
            from the care that answered an alarm.

        Raises
        ------
        UnknownName, InvalidValue
            If there is no such machine, or `since` has no time zone.
        """
        with self._following() as known:
            names = tuple(known.machines) if machine is None else (machine_of(known.machines, machine).name,)
            log = known.model, known.trials, known.machines
            care = self._store.care()
            return tuple(drift(*log, name, since) if since else drift_after_care(*log, name, care) for name in names)

    def translate(
        self,
        *,
        to: str,
        trial: str | None = None,
        fabric: Fabric | None = None,
        stitch: str | None = None,
        machine: str | None = None,
        needle_thread: Thread = ORDINARY,
        looper_thread: Thread = ORDINARY,
        settings: Settings | None = None,
    ) -> Translation:
        """The settings with which another machine is expected to sew the same.

        Parameters
        ----------
        to
            Name of the other machine.
        trial
            Id of a logged trial whose settings are wanted there; otherwise describe the seam.
        settings
            What is set on `machine` for the seam that is described; those of its last passing swatch where left out.

        Raises
        ------
        UnknownName, UnsuitableMachine, InvalidValue
            If there is no such trial, machine or stitch, one of the machines cannot sew it, or there are no settings to translate.
        """
        with self._following() as known:
            seam, given = to_translate(known, trial, (fabric, stitch, machine), (needle_thread, looper_thread), settings)
            there = self._seam(seam.fabric, seam.stitch.name, to, seam.needle_thread, seam.looper_thread)
            return translate(known.model, seam, given, there)

    def close(self) -> None:
        """Let go of the log."""
        self._store.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        self.close()

    def _seam(self, fabric: Fabric, name: str, machine: str, needle_thread: Thread, looper_thread: Thread) -> Seam:
        return seam_on(self.machines, fabric, name, machine, (needle_thread, looper_thread))

    def _keep(self, ledger: Ledger, machines: Mapping[str, Machine]) -> None:
        """Keep what was replayed, for the log as it is now and in the score's file; nothing is done where nothing is new."""
        with self._lock:
            if not self._known.ledger.behind or dict(machines) != dict(self._known.machines):
                return
            now = following(ledger, self._known.trials, machines, None, self._known.model)
            self._known = replace(self._known, ledger=now)
        keep_ledger(score_path(self._files), ledger, machines)

    def _sewable(self, trial: Trial) -> Trial:
        """The trial, held to what its machine can sew."""
        check_on(trial, self._seam(trial.fabric, trial.stitch, trial.machine, trial.needle_thread, trial.looper_thread).machine)
        return trial

    @contextmanager
    def _following(self) -> Iterator[Knowledge]:
        """What is known of the log as it is now, held still."""
        with self._lock, one_thread():
            if self._known.version != self._store.version:
                self._known = caught_up(self._known, self._store, self._files)
            yield self._known


def _home() -> Path:
    return user_data_path("overedge", appauthor=False, ensure_exists=True)
