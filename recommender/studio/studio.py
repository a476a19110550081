"""A studio: one log, its machines and its model; the only place where the three meet."""

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import Self

from recommender.advice.effect import Effect, effect
from recommender.advice.matters import Matters, matters
from recommender.advice.model import same_cloth
from recommender.advice.one_more import OneMore, one_more
from recommender.advice.planning.day import Stop, day
from recommender.advice.planning.plan import LEARNING, plan
from recommender.advice.planning.planned import Planned, PlannedSwatch
from recommender.advice.proposal import Proposal, propose
from recommender.advice.pull import Pull, pulls
from recommender.advice.scoring.replay import in_time
from recommender.advice.scoring.score import Score
from recommender.advice.scoring.verdict import after
from recommender.advice.translate import Translation, translate
from recommender.advice.watching.answered import drift_after_care
from recommender.advice.watching.drift import Drift, drift
from recommender.errors import InvalidValue
from recommender.studio.asked import seam_to_sew, sewn_here, to_learn_from, to_sew, to_translate, waiting
from recommender.studio.entered import machine_of
from recommender.studio.facts import Facts, facts_of
from recommender.studio.follower import Follower
from recommender.studio.knowledge import model_path
from recommender.studio.log import Log
from recommender.studio.report import FitReport, fit_report
from recommender.swatches.place import log_at
from recommender.swatches.store import Store
from recommender.swatches.trace import last_state
from recommender.swatches.trial import Trial
from recommender.trade.asked import asking
from recommender.trade.fabric import Fabric
from recommender.trade.settings import Settings
from recommender.trade.thread import ORDINARY, Thread


class Studio(Log):
    """One log, open. Made by `Studio.open`; safe to use from several threads, and from several processes on one log.

    >>> from recommender import Machine
    >>> with Studio.open(tmp / "my-studio.sqlite") as studio:
    ...     studio.add_machine(Machine.generic("bench"))
    ...     jersey = Fabric(name="rib jersey", construction="knit", fibre="cotton", gsm=220, stretch=60)
    ...     first = studio.propose(fabric=jersey, stitch="four-thread overlock", machine="bench")
    ...     first.settings == first.baseline
    True
    """

    def __init__(self, store: Store, waits: bool = True) -> None:
        super().__init__(store)
        self._follower = Follower(store, model_path(store), waits)

    @classmethod
    def open(cls, where: str | Path | None = None, waits: bool = True) -> Self:
        """Open a studio, and make it if it is missing.

        Parameters
        ----------
        where
            Path of an SQLite file or of a folder, or a database URL; None for `studio.sqlite` in the user's data folder.
        waits
            Whether whoever asks waits while a long log is learned or the model's scales are tuned, which takes seconds. Otherwise both
            are done in the background, see `learning`, and the answers are those of the scales that there were.

        Raises
        ------
        StudioError
            If it cannot be opened, is no log of this package, or was written by a newer version.
        """
        return cls(log_at(where), waits)

    @property
    def notice(self) -> str:
        """Why the model file could not be used when the model was last built; empty where it could, or where there was none yet."""
        with self._follower.now() as known:
            return known.notice

    @property
    def invented(self) -> bool:
        """Whether the demo's swatches are in the log, which nobody has sewn."""
        with self._follower.now() as known:
            return any(trial.id.startswith("demo-") for trial in known.trials)

    def warm(self) -> None:
        """Work out ahead what the first answer needs."""
        with self._follower.now() as known:
            for one in known.trials[-1:]:
                self.propose(**asking(one))

    @property
    def learning(self) -> str:
        """What the model is doing in the background, as a sentence; empty where it is up to date."""
        with self._follower.now() as known:
            doing = self._follower.doing
            of = f"{len(known.trials)} swatches{doing and f' ({doing})'}. Until then"
            match known.due:
                case "learning":
                    return f"The model is learning from {of} the proposals rest on the trade's rules alone."
                case "tuning":
                    return f"The model is being tuned on {of} the proposals are those of how it was tuned before."
            return ""

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
        with self._follower.now() as known:
            here = sewn_here(known, seam)
            found = propose(known.model, seam, here, known.trials)
            said = known.ledger.verdict(stitch)
            said = after(said) if here else said
            return replace(found, lead=said.lead, lead_why=said.why)

    def same_cloth(self, trial_id: str) -> tuple[Trial, ...]:
        """The other trials that count of the cloth of a trial, however it lies in their seams, in the order of the log.

        Raises
        ------
        UnknownName
            If there never was such a trial.
        """
        fabric = last_state(self.history(trial_id)).fabric
        return tuple(one for one in self.trials() if one.id != trial_id and same_cloth(one.fabric, fabric))

    def one_more(self, proposal: Proposal) -> OneMore | None:
        """What would change if one more control were moved than a proposal moves; None where it follows no swatch, or none is left.

        Raises
        ------
        UnknownName, UnsuitableMachine
            If the machine is gone, or can no longer sew the stitch.
        """
        seam = seam_to_sew(self.machines, proposal)
        if proposal.last is None:
            return None
        with self._follower.now() as known:
            outlook = known.model.outlook(seam, sewn_here(known, seam))
            return one_more(outlook, seam, proposal.last.settings, proposal.settings)

    def facts(self) -> Facts:
        """Where the log lies, and how much there is of everything."""
        with self._follower.now() as known:
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
        return fit_report(self._follower.fit(), self._follower.files)

    def matters(self) -> Matters:
        """What matters most over the log; nothing while the model is `learning` it."""
        with self._follower.now() as known:
            return matters(known.model, known.learned, known.machines)

    def effect(self, reading: str, control: str) -> Effect:
        """What moving one control does to one reading, with the swatches behind it.

        Raises
        ------
        UnknownName
            If there is no such reading or control.
        """
        with self._follower.now() as known:
            return effect(known.model, known.learned, known.machines, reading, control)

    def pulls(self, machine: str) -> Mapping[str, tuple[Pull, ...]]:
        """By reading, what one step of each control on a machine does to it, the strongest first.

        Raises
        ------
        UnknownName
            If there is no such machine.
        """
        with self._follower.now() as known:
            return pulls(known.model, known.learned, machine_of(known.machines, machine))

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
        with self._follower.now() as known:
            if fabric is None and stitch is None:
                seams, usual = to_learn_from(known, machine, fabrics, stitches), math.inf
            else:
                seams, usual = (to_sew(known, fabric, stitch, machine, (needle_thread, looper_thread)),), LEARNING
            weight = usual if learning is None else learning
            pending = waiting(known, self._store.pending())
            return plan(known.model, seams, n, learning=weight, pending=pending, earlier=partial(sewn_here, known))

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
        with self._follower.now() as known:
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
        return self._follower.score(progress)

    @property
    def is_scoring(self) -> bool:
        """Whether somebody's score is being worked out; who asks for one now waits for that, and is told how far it is."""
        return self._follower.is_scoring

    @property
    def unscored(self) -> int:
        """How many trials the next score has to replay; some 50 ms each."""
        with self._follower.now() as known:
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
        with self._follower.now() as known:
            names = tuple(known.machines) if machine is None else (machine_of(known.machines, machine).name,)
            log = known.model, known.learned, known.machines
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
        with self._follower.now() as known:
            seam, given = to_translate(known, trial, (fabric, stitch, machine), (needle_thread, looper_thread), settings)
            there = self._seam(seam.fabric, seam.stitch.name, to, seam.needle_thread, seam.looper_thread)
            return translate(known.model, seam, given, there, sewn_here(known, there))
