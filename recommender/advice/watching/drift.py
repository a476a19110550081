"""Whether a machine still behaves as its log says, and if not, which of its controls has drifted and where to look first."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import accumulate

import numpy as np
from scipy.special import logsumexp

from recommender.advice.model import Model
from recommender.advice.planning.planned import Planned
from recommender.advice.scoring.replay import in_time
from recommender.advice.watching.running import BACK, SHIFTS, by_cause, signature
from recommender.advice.words import spoken
from recommender.learning import Array
from recommender.swatches.care import Care
from recommender.swatches.trial import Trial, in_utc
from recommender.trade.care import MENDING, SERVICED
from recommender.trade.machine import Machine
from recommender.trade.names import unknown
from recommender.trade.preparation import Step
from recommender.trade.upkeep import upkeep
from recommender.trade.words import counted, day, listed, percent

ALARM = math.log(130)
"""Running sum at which a drift is told, so that a machine that has not changed is suspected at most once in 200 swatches. Theory allows it
one false alarm in 130 (see `recommender.advice.watching.running`) and is cautious: simulated rooms raise one in 200 to 320, and standard
normal residuals fewer (`tests/slow/test_drift.py`)."""
SURE = 0.8
"""How probable it should be that what has drifted is among the controls that are doubted, as that a best setting is in its band."""
SOON = 15
"""Swatches within which half of all drifts of one dial number are told, by simulation (`tests/slow/test_drift.py`): for so long what stood
before care is still told."""


@dataclass(frozen=True, slots=True)
class Suspect:
    """One control that may have drifted, in one direction."""

    control: str
    """Its name in `Settings.controls()`."""
    up: bool
    """Whether it acts as if set higher than its number says."""
    chance: float
    """How probable it is, 0 to 1, if just one control has drifted."""

    @property
    def sentence(self) -> str:
        """What it does, as a sentence.

        >>> Suspect("tension: upper looper", True, 0.8).sentence
        'The upper looper tension pulls tighter than its number says, as if its dial stood one number higher.'
        >>> Suspect("differential", False, 0.8).sentence
        'The differential feed gathers less than its number says, as if its dial stood an eighth lower.'
        """
        size = "an eighth" if self.control == "differential" else "one number"
        way = "higher" if self.up else "lower"
        return f"The {spoken(self.control)} {self.way} than its number says, as if its dial stood {size} {way}."

    @property
    def way(self) -> str:
        """What it does more or less.

        >>> Suspect("tension: left needle", False, 0.8).way, Suspect("differential", True, 0.8).way
        ('pulls looser', 'gathers more')
        """
        more, less = ("gathers more", "gathers less") if self.control == "differential" else ("pulls tighter", "pulls looser")
        return more if self.up else less


@dataclass(frozen=True, slots=True)
class Answered:
    """An alarm that stood when care was taken that can mend it."""

    suspect: Suspect
    """What had most likely drifted."""
    begun: datetime
    """When that had most probably set in."""
    deed: str
    """What was done, one of `recommender.trade.care.MENDING`, or a service."""
    when: datetime
    """When it was done."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drift:
    """What one machine's last swatches say of it."""

    machine: str
    """Name of the machine."""
    swatches: int
    """Swatches that were looked at: the last `BACK` on this machine, or those since it was serviced."""
    since: datetime | None
    """When the watch was begun anew; None where it never was."""
    running: tuple[float, ...]
    """The running sum after each of them: the logarithm of how many times likelier they are with a drift than without, summed over
    when it may have set in."""
    suspects: tuple[Suspect, ...]
    """Every control in either direction, the likeliest first."""
    begun: datetime | None
    """When the likeliest has most probably set in; None where nothing is told."""
    answered: Answered | None = None
    """The alarm that the care answered with which the watch was begun anew; None where it was begun otherwise."""
    noted: tuple[Care, ...] = ()
    """What was done to the machine since what is told has set in, or since the alarm was answered, whether it can mend it or not."""

    @property
    def told(self) -> bool:
        """Whether the sum stands at the alarm or above."""
        return self.begun is not None

    @property
    def sentence(self) -> str:
        """What is to be known of the machine."""
        since = "" if self.since is None else f" since {day(self.since)}"
        if not self.swatches:
            return f"{self.machine}: no swatch{since} to look at yet."
        seen = counted(self.swatches, "swatch") + since
        if self.begun is None:
            return f"{self.machine}: behaves as its log says, as far as {seen} can tell."
        chance = "nearly certain" if self.suspects[0].chance > 0.99 else f"{percent(self.suspects[0].chance)} likely"
        likely = f"Most likely since {day(self.begun)}; {chance} to be this one."
        what = self.suspects[0].sentence
        return f"{self.machine}: {what[0].lower()}{what[1:]} {likely}"

    @property
    def warning(self) -> str:
        """What to know of the machine before its dials are set: a drift, or what stood before care; empty where there is neither."""
        if not self.told:
            return f"{self.machine}: {self.stood_before}" if self.stood_before else ""
        likely, chances = self.suspects[0], self._chances
        if len(self.doubted) > 1:
            they = " or ".join(f"the {spoken(control)} ({percent(chances[control])})" for control in self.doubted)
            it = f"{they} most likely no longer does what its number says"
        else:
            it = f"the {spoken(likely.control)} most likely {likely.way} than its number says"
        return f"{self.machine}: {it}; unplug it, and look at lint first, then at needle and thread path."

    @property
    def doubted(self) -> tuple[str, ...]:
        """The controls not to be trusted, the likeliest first.

        Where a drift is told, the fewest among which it is with a probability of `SURE`; while it is still told what stood before
        care, the one that was suspected then.
        """
        if not self.told:
            return (self.answered.suspect.control,) if self.answered and self.stood_before else ()
        chances = self._chances
        controls = sorted(chances, key=lambda control: -chances[control])
        before = accumulate((chances[control] for control in controls), initial=0.0)
        return tuple(control for control, told in zip(controls, before, strict=False) if told < SURE)

    def doubts(self, when: datetime) -> tuple[str, ...]:
        """The controls whose numbers are not to be trusted now where they were found at some time.

        What is found while a machine drifts is found with the drift in it, and holds until the machine is mended.
        """
        if self.told or self.answered is None:
            return self.doubted if self.begun is not None and when < self.begun else ()
        if when < self.answered.begun:
            return self.doubted  # until it is seen whether the care has helped
        return (self.answered.suspect.control,) if when < self.answered.when else ()

    @property
    def _chances(self) -> dict[str, float]:
        """By control, how probable it is that it has drifted, whichever way."""
        chances = dict.fromkeys((one.control for one in self.suspects), 0.0)
        for one in self.suspects:
            chances[one.control] += one.chance
        return chances

    def warns(self, swatches: Iterable[Planned]) -> bool:
        """Whether there is a warning, and a control that it is of is set for one of the swatches."""
        mine = (swatch.settings.controls() for swatch in swatches if swatch.machine == self.machine)
        return bool(self.warning) and any(control in controls for controls in mine for control in self.doubted)

    @property
    def stood_before(self) -> str:
        """The alarm that care has answered, as a sentence, until so many swatches were seen since that it would most likely stand again."""
        if self.answered is None or self.told or self.swatches >= SOON:
            return ""
        was, seen = self.answered, counted(self.swatches, "swatch") if self.swatches else "no swatch"
        it = f"the {spoken(was.suspect.control)} {was.suspect.way} than its number says"
        anew = f"Watched anew since, {seen} so far; it takes about {SOON} to see whether that helped."
        done = "it was serviced" if was.deed == SERVICED else MENDING[was.deed]
        return f"Before {done} on {day(was.when)} you were told: {it}. {anew}"

    @property
    def look(self) -> tuple[Step, ...]:
        """Where to look, in this order; nothing where nothing is told.

        One deed need not have mended what was told, so that the list stays until it is seen whether it has; a service has been through it.
        """
        if self.told:
            return upkeep(self.suspects[0].control)
        if self.answered is None or self.answered.deed == SERVICED or not self.stood_before:
            return ()
        return upkeep(self.answered.suspect.control)

    @property
    def noted_since(self) -> str:
        """What was done meanwhile, as a sentence; empty where nothing is noted, or there is nothing to look at."""
        if not (self.noted and self.look):
            return ""
        return f"Noted meanwhile: {listed([f'{one.deed} on {day(one.when)}' for one in self.noted])}."


def drift(model: Model, trials: Sequence[Trial], machines: Mapping[str, Machine], machine: str, since: datetime | None = None) -> Drift:
    """What the last swatches on a machine say of it.

    Parameters
    ----------
    model : the model of the log
    trials : the whole log
    since : when the machine was last serviced; only what was sewn from then on is looked at

    Raises
    ------
    UnknownName
        If there is no such machine.
    InvalidValue
        If `since` is no moment with a time zone.
    """
    if machine not in machines:
        raise unknown("machine", machine, tuple(machines))
    since = None if since is None else in_utc(since, "watch")
    log = in_time(trials)
    mine = [place for place, trial in enumerate(log) if trial.machine == machine and (since is None or trial.when >= since)]
    if not mine:
        return Drift(machine=machine, swatches=0, since=since, running=(), suspects=(), begun=None)
    stretch = log[mine[-BACK:][0] :]
    found = signature(model, stretch, machines, machine)
    sums = found.sums()
    parts = by_cause(sums)
    running = logsumexp(parts, axis=0)
    suspects = _suspects(parts[:, -1] - running[-1])
    likeliest = int(parts[:, -1].argmax())
    begun = stretch[found.mine[int(sums[likeliest, -1].argmax())]].when if running[-1] >= ALARM else None
    return Drift(machine=machine, swatches=len(running), since=since, running=tuple(running.tolist()), suspects=suspects, begun=begun)


def _suspects(logs: Array) -> tuple[Suspect, ...]:
    """The causes, the likeliest first."""
    found = [Suspect(control, up, 0.0) for up in (True, False) for control in SHIFTS]
    return tuple(replace(found[place], chance=float(np.exp(logs[place]))) for place in np.argsort(-logs, kind="stable").tolist())
