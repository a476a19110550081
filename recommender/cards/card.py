"""A setup card: one setting with all that a sewer needs beside the machine, as a frozen value."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TypedDict, Unpack

from recommender.advice.bands import Band
from recommender.advice.passing import ANYWHERE, UNKNOWN, Passing, passing
from recommender.advice.proposal import Proposal
from recommender.advice.words import brief
from recommender.errors import InvalidValue
from recommender.swatches.trial import Trial
from recommender.trade.fabric import Fabric
from recommender.trade.machine import Dial, Machine
from recommender.trade.needles import needle_for, sizes
from recommender.trade.preparation import Step, preparation
from recommender.trade.readings import READINGS
from recommender.trade.stitch import Stitch, stitch
from recommender.trade.thread import Thread
from recommender.trade.words import METRIC, Units, chance, day, listed

FIRST = "The machine's manual and local rules come first."
"""The note on every card."""
UNPLUG = "Unplug before you touch needle, looper or knife."
"""The caution where there is no room for those of each step."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """One control on the card."""

    control: str
    """Its name in `Settings.controls()`."""
    dial: Dial
    """The machine's scale."""
    baseline: float
    """What the trade's rules say."""
    proposal: float
    """What the model says."""
    actual: float | None
    """How it stood for the swatch; None where none was sewn."""
    band: Band
    """Where its best setting lies, with a probability of 80 %."""
    passing: Passing
    """How far it can be moved alone before a pass becomes much less likely, where that is known."""
    to_set: float
    """The number to set: the swatch's own, otherwise that of the one that leads."""
    units: Units
    """The units in which its numbers are read."""
    doubted: bool
    """Whether its dial may have drifted, so that its number is to be tested."""

    @property
    def thread(self) -> str:
        """The thread position whose tension it is; empty for another control."""
        position = self.control.removeprefix("tension: ")
        return position if position != self.control else ""

    @property
    def unit(self) -> str:
        """What stands beside the number to set: its unit, and inches for who thinks in them."""
        return self.units.beside(self.control, self.to_set)

    @property
    def verdict(self) -> str:
        """What to do with a number that is doubted; empty for another."""
        return "test this" if self.doubted else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """One setting of one seam, ready to be drawn: on screen, on A6, on a label."""

    fabric: Fabric
    """The cloth."""
    stitch: Stitch
    """The stitch, with its number of ISO 4915."""
    machine: str
    """Name of the machine."""
    needle_thread: Thread
    """Thread in the needles."""
    looper_thread: Thread
    """Thread in the loopers."""
    needle: str
    """Size of the needle, and its point where it is not the swatch's own."""
    marks: tuple[Mark, ...]
    """The controls in their usual order."""
    foot_pressure: float | None
    """Presser-foot pressure, where it was set."""
    trial: Trial | None
    """The swatch that it shows; None for a proposal that was not sewn."""
    chance: str
    """How likely a pass is, as a sentence."""
    lead: str
    """Which leads, model or baseline, and why; empty where nothing is said of it."""
    steps: tuple[Step, ...]
    """Preparation in the order of work, each with its caution."""
    when: datetime
    """When the swatch was sewn, or the proposal was made."""
    address: str
    """What opens this setting in the studio it came from; empty where no address is known."""
    units: Units
    """The units in which it is read: those that were chosen when it was made."""
    invented: bool
    """Whether it is of the demo studio."""

    @property
    def readings(self) -> Mapping[str, float]:
        """The readings that were made; empty where nothing was sewn."""
        return self.trial.readings if self.trial else {}

    @property
    def drawn(self) -> tuple[str, ...]:
        """Readings whose scales are drawn, those not made for a pencil; none of a swatch that nobody read, for empty ones look like 0."""
        return () if self.trial and not self.trial.readings else tuple(READINGS)

    @property
    def needle_words(self) -> str:
        """The needle in words; of a swatch of which none was noted, the one to begin with, as the preparation names it."""
        is_noted = self.trial is None or self.trial.needle_size is not None
        return f"Needle {self.needle}" if is_noted else f"Needle to begin with: {self.needle}"

    @property
    def date(self) -> str:
        """The day, in the time zone of this computer."""
        return day(self.when)

    @property
    def standing(self) -> str:
        """Passed, failed, or not sewn yet, as a sentence; before it, that it is invented where it is."""
        return f"{'Demo, invented. ' if self.invented else ''}{self._standing}"

    @property
    def _standing(self) -> str:
        if self.trial is None:
            return f"Proposal of {self.date}: sew a swatch first."
        by = f", sewn by {self.trial.who}" if self.trial.who else ""
        return f"Passed {self.date}{by}." if self.trial.passed else f"Failed {self.date}{by}: not a setting to sew with."

    @property
    def windows(self) -> tuple[str, bool]:
        """What the mark of a pass window means, or that there is none; and whether there is one."""
        said = {mark.passing.said for mark in self.marks if mark.passing.window is None}
        drawn = any(mark.passing.window for mark in self.marks)
        none = "pass windows: not known yet" if UNKNOWN in said else "passes about as well anywhere"
        return (f"passes{'; without it, anywhere' if ANYWHERE in said else ' about as well'}" if drawn else none), drawn

    @property
    def doubt(self) -> str:
        """Which of its numbers to test, since a dial may have drifted, as a sentence; empty where none is doubted."""
        doubted = [brief(mark.control) for mark in self.marks if mark.doubted]
        off = "its number" if len(doubted) == 1 else "their numbers"
        return f"Test the {listed(doubted)}: {off} may be wrong." if doubted else ""


class Made(TypedDict, total=False):
    """In what studio and for whom a card is made; what is left out is not known of it."""

    address: str
    """What opens the same setting in this studio, see `recommender.cards.link`; none where left out."""
    units: Units
    """The units in which it is to be read; metric where left out."""
    doubted: Collection[str]
    """The controls that may have drifted, see `recommender.advice.watching.drift.Drift`; none where left out."""
    invented: bool
    """Whether the studio is the demo's; not where left out."""


def card_of_proposal(proposal: Proposal, machine: Machine, *, when: datetime, **made: Unpack[Made]) -> Card:
    """The card of a proposal that was not sewn yet.

    Parameters
    ----------
    machine
        The machine that the proposal is for.
    when
        Now, with its time zone.
    **made
        See `Made`.

    Raises
    ------
    InvalidValue
        If the proposal is for another machine, or `when` has no zone.
    """
    return _card(proposal, machine, None, when, made)


def card_of_trial(trial: Trial, proposal: Proposal, machine: Machine, **made: Unpack[Made]) -> Card:
    """The card of a logged swatch, with what is proposed for its seam beside it; `made` as for `card_of_proposal`.

    Raises
    ------
    InvalidValue
        If proposal or machine are of another seam.
    """
    if (trial.fabric, trial.stitch, trial.machine) != (proposal.fabric, proposal.stitch, proposal.machine):
        raise InvalidValue(f"card: got a proposal for {proposal.fabric.name!r}, expected one for the seam of swatch {trial.id!r}")
    return _card(proposal, machine, trial, trial.when, made)


def _card(proposal: Proposal, machine: Machine, trial: Trial | None, when: datetime, made: Made) -> Card:
    if machine.name != proposal.machine:
        raise InvalidValue(f"card: got the machine {machine.name!r}, expected {proposal.machine!r}, which the proposal is for")
    if when.utcoffset() is None:
        raise InvalidValue(f"card when: got {when}, expected a date and time with its zone")
    sewn, chosen = trial.settings if trial else None, stitch(proposal.stitch)
    units, doubted = made.get("units", METRIC), made.get("doubted", ())
    return Card(
        fabric=proposal.fabric,
        stitch=chosen,
        machine=machine.name,
        needle_thread=trial.needle_thread if trial else proposal.needle_thread,
        looper_thread=trial.looper_thread if trial else proposal.looper_thread,
        needle=_needle(proposal, trial),
        marks=tuple(
            _mark(control, proposal, machine, trial, units, doubted=control in doubted) for control in proposal.settings.controls()
        ),
        foot_pressure=(sewn or proposal.leading).foot_pressure,
        trial=trial,
        chance=_chance(proposal),
        lead=proposal.lead_why,
        steps=preparation(chosen, machine, needle_for(proposal.fabric, proposal.needle_thread)),
        when=when,
        address=made.get("address", ""),
        units=units,
        invented=made.get("invented", False),
    )


def _mark(control: str, proposal: Proposal, machine: Machine, trial: Trial | None, units: Units, *, doubted: bool) -> Mark:
    actual = trial.settings.controls().get(control) if trial else None
    leading = proposal.leading.controls()[control]
    return Mark(
        control=control,
        dial=machine.dial(control),
        baseline=proposal.baseline.controls()[control],
        proposal=proposal.settings.controls()[control],
        actual=actual,
        band=proposal.bands[control],
        passing=passing(proposal, control, machine.dial(control)),
        to_set=leading if actual is None else actual,
        units=units,
        doubted=doubted,
    )


def _needle(proposal: Proposal, trial: Trial | None) -> str:
    """The needle that the swatch was sewn with, where it was noted; otherwise the one to begin with."""
    if trial is not None and trial.needle_size is not None:
        noted = f"{trial.needle_size:g}"
        return next((size for size in sizes() if size.startswith(f"{noted}/")), noted)
    return needle_for(proposal.fabric, proposal.needle_thread).packet


def _chance(proposal: Proposal) -> str:
    if not proposal.chance_known:
        return f"Too few ratings to say how often the proposal passes ({proposal.ratings})."
    chances = f"proposal {chance(proposal.pass_chance)}, baseline {chance(proposal.baseline_chance)}"
    return f"Chance of passing: {chances}, from {proposal.ratings} ratings."
