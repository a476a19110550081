"""What is entered into a log, held to its rules and to its machines: each function gives the thing, or says what is wrong with it."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime

from recommender.advice.seam import Seam
from recommender.errors import InvalidValue, UnknownName
from recommender.swatches.care import Care
from recommender.swatches.cells import value_of
from recommender.swatches.columns import COLUMNS
from recommender.swatches.pending import Pending
from recommender.swatches.trial import Trial, is_ahead, machine_faults
from recommender.trade.fabric import Fabric
from recommender.trade.machine import Machine
from recommender.trade.names import unknown
from recommender.trade.settings import Settings
from recommender.trade.stitch import stitch
from recommender.trade.thread import Thread


def seam_on(machines: Mapping[str, Machine], fabric: Fabric, name: str, machine: str, threads: tuple[Thread, Thread]) -> Seam:
    """The seam of a stitch named `name`, with needle and looper `threads`.

    Raises
    ------
    InvalidValue, UnknownName, UnsuitableMachine
        If a part of it is of another kind, there is no such stitch or machine, or the machine cannot sew it.
    """
    for what, thing, noun in (("cloth", fabric, Fabric), ("needle thread", threads[0], Thread), ("looper thread", threads[1], Thread)):
        if not isinstance(thing, noun):
            raise InvalidValue(f"{what}: got {type(thing).__name__}, expected a {noun.__name__}")
    if not machines:
        raise UnknownName(f"machine: got {machine!r}, but this studio has no machine yet; add one first")
    return Seam(fabric, stitch(name), machine_of(machines, machine), *threads)


def machine_of(machines: Mapping[str, Machine], name: object) -> Machine:
    """The machine of that name.

    Raises
    ------
    UnknownName
        If there is none.
    """
    if not isinstance(name, str) or name not in machines:
        raise unknown("machine", name, tuple(machines))
    return machines[name]


def settings_for(seam: Seam, settings: Settings) -> Settings:
    """Settings that were given for a seam, held to what a trial of it may have.

    Raises
    ------
    InvalidValue
        If they are not settings, not those of the stitch's threads, or beyond the machine's ranges.
    """
    check_settings(settings)
    check_on(Trial(fabric=seam.fabric, stitch=seam.stitch.name, machine=seam.machine.name, settings=settings, passed=True), seam.machine)
    return settings


def pending_of(seam: Seam, settings: Settings, reason: str) -> Pending:
    """The planned swatch of a seam with these settings, which may be no others than a trial could have.

    Raises
    ------
    InvalidValue
        If they are none, or the reason breaks its rule.
    """
    return Pending(
        fabric=seam.fabric,
        stitch=seam.stitch.name,
        machine=seam.machine.name,
        needle_thread=seam.needle_thread,
        looper_thread=seam.looper_thread,
        settings=settings_for(seam, settings),
        reason=reason,
    )


def care_on(machine: Machine, deed: str, when: datetime | None, who: str, note: str) -> Care:
    """A deed on a machine, at a moment that has come; now where none is given.

    Raises
    ------
    InvalidValue, UnknownName
        If there is no such deed, or a value breaks its rule.
    """
    care = Care(machine=machine.name, deed=deed, who=who, note=note)
    care = care if when is None else replace(care, when=when)
    _check_has_come("care", care.when)
    return care


def care_of(care: Iterable[Care], machine: Machine | None) -> tuple[Care, ...]:
    """What was done to a machine, or to all, the newest first."""
    here = [one for one in care if machine is None or one.machine == machine.name]
    return tuple(sorted(here, key=lambda one: (one.when, one.number), reverse=True))


def needle_noted(given: str | float | None) -> float | None:
    """The metric size of a needle, from any number of its packet, read as the cell of a file is.

    >>> needle_noted("80/12"), needle_noted(12), needle_noted(82.5), needle_noted(None)
    (80, 80, 82.5, None)

    Raises
    ------
    InvalidValue
        If there is no such needle.
    """
    return None if given is None else value_of(COLUMNS["needle_size"], str(given))


def check_settings(settings: object) -> None:
    """Raise InvalidValue where these are no settings."""
    if not isinstance(settings, Settings):
        raise InvalidValue(f"settings: got {type(settings).__name__}, expected Settings, such as a proposal's")


def check_on(trial: Trial, machine: Machine) -> None:
    """Raise InvalidValue where a machine cannot do what the trial says, or its moment is yet to come."""
    _check_has_come("swatch", trial.when)
    if faults := machine_faults(trial, machine):
        raise InvalidValue("; ".join(faults))


def mended(before: Trial, after: Trial, machines: Mapping[str, Machine]) -> Trial:
    """A corrected trial. What is corrected is checked; what stood is left, for a dial may be another since it was sewn.

    Raises
    ------
    InvalidValue, UnknownName, UnsuitableMachine
        If the trial is said to be sewn on a machine that is not there or lacks what its stitch needs, a changed setting is beyond the
        machine's range, or a changed moment is yet to come.
    """
    if after.when != before.when:
        _check_has_come("swatch", after.when)
    if (after.stitch, after.machine) != (before.stitch, before.machine):
        seam_on(machines, after.fabric, after.stitch, after.machine, (after.needle_thread, after.looper_thread))
    stood = machine_faults(before, machines[before.machine])
    if faults := [fault for fault in machine_faults(after, machines[after.machine]) if fault not in stood]:
        raise InvalidValue("; ".join(faults))
    return after


def _check_has_come(noun: str, when: datetime) -> None:
    if is_ahead(when):
        raise InvalidValue(f"{noun} when: got {when:%Y-%m-%d}, expected a day until tomorrow; mend it, or this computer's clock")
