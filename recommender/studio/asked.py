"""What is asked of a studio, held to what it knows: each function gives the thing that was named, or says what is wrong with it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime

from recommender.advice.model import same_cloth
from recommender.advice.planning.stash import stash
from recommender.advice.seam import Seam
from recommender.errors import InvalidValue, UnknownName
from recommender.studio.knowledge import Knowledge
from recommender.swatches.care import Care
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
    for what, thing, noun in (("fabric", fabric, Fabric), ("needle thread", threads[0], Thread), ("looper thread", threads[1], Thread)):
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


def sewn_here(known: Knowledge, seam: Seam) -> list[Trial]:
    """The swatches of a seam's cloth and stitch on its machine, in the order of the log."""
    here = (trial for trial in known.trials if trial.stitch == seam.stitch.name and trial.machine == seam.machine.name)
    return [trial for trial in here if same_cloth(trial.fabric, seam.fabric)]


def last_settings(known: Knowledge, seam: Seam) -> Settings | None:
    """How the machine stood for the last swatch of a seam."""
    here = sewn_here(known, seam)
    return here[-1].settings if here else None


def passed_settings(known: Knowledge, seam: Seam) -> Settings:
    """How the machine stood for the last swatch of a seam that passed.

    Raises
    ------
    InvalidValue
        If none has passed.
    """
    if not (passed := [trial for trial in sewn_here(known, seam) if trial.passed]):
        where = f"{seam.fabric.name}, {seam.stitch.name} on {seam.machine.name}"
        raise InvalidValue(f"settings: nothing given and no swatch of {where} has passed, expected settings to translate")
    return passed[-1].settings


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


def to_sew(known: Knowledge, fabric: Fabric | None, name: str | None, machine: str | None, threads: tuple[Thread, Thread]) -> Seam:
    """The one seam that is to be sewn next.

    Raises
    ------
    InvalidValue, UnknownName, UnsuitableMachine
        If it is described by half, or cannot be.
    """
    if fabric is None or name is None or machine is None:
        raise InvalidValue("next swatch: expected fabric, stitch and machine, or no fabric and stitch for a free hour")
    return seam_on(known.machines, fabric, name, machine, threads)


def to_learn_from(
    known: Knowledge, machine: str | None, fabrics: Iterable[Fabric] | None, stitches: Sequence[str] | None
) -> tuple[Seam, ...]:
    """The seams that can be sewn in a free hour, on one machine where it is named.

    Raises
    ------
    InvalidValue, UnknownName
        If there is no such machine or stitch, or one of the fabrics is none.
    """
    there = known.machines if machine is None else {machine: machine_of(known.machines, machine)}
    return stash(known.trials, there, fabrics, stitches)


def to_translate(
    known: Knowledge,
    trial: str | None,
    described: tuple[Fabric | None, str | None, str | None],
    threads: tuple[Thread, Thread],
    settings: Settings | None,
) -> tuple[Seam, Settings]:
    """The seam and the settings that another machine is to sew: those of a trial, or of a seam by fabric, stitch and machine.

    Raises
    ------
    InvalidValue, UnknownName, UnsuitableMachine
        If both are given or neither, one of them cannot be, or there are no settings to translate.
    """
    fabric, name, machine = described
    if trial is not None and not any((*described, settings)):
        one = counting(known, trial)
        return seam_on(known.machines, one.fabric, one.stitch, one.machine, (one.needle_thread, one.looper_thread)), one.settings
    if trial is not None or fabric is None or name is None or machine is None:
        raise InvalidValue("translate: expected either the id of a trial, or fabric, stitch and machine")
    seam = seam_on(known.machines, fabric, name, machine, threads)
    return seam, passed_settings(known, seam) if settings is None else settings_for(seam, settings)


def waiting(known: Knowledge, pending: Iterable[Pending]) -> list[tuple[Seam, Settings]]:
    """The planned swatches that can be sewn: on a machine, as it is described now, that has what their stitch needs."""
    here = (one for one in pending if one.machine in known.machines)
    able = (one for one in here if not stitch(one.stitch).lacking(known.machines[one.machine]))
    return [
        (seam_on(known.machines, one.fabric, one.stitch, one.machine, (one.needle_thread, one.looper_thread)), one.settings) for one in able
    ]


def care_on(machine: Machine, deed: str, when: datetime | None, who: str, note: str) -> Care:
    """A deed on a machine, at a moment that has come; now where none is given.

    Raises
    ------
    InvalidValue, UnknownName
        If there is no such deed, or a value breaks its rule.
    """
    care = Care(machine=machine.name, deed=deed, who=who, note=note)
    care = care if when is None else replace(care, when=when)
    if is_ahead(care.when):
        raise InvalidValue(f"care when: got {care.when:%Y-%m-%d}, expected a day until tomorrow; mend it, or this computer's clock")
    return care


def care_of(care: Iterable[Care], machine: Machine | None) -> tuple[Care, ...]:
    """What was done to a machine, or to all, the newest first."""
    here = [one for one in care if machine is None or one.machine == machine.name]
    return tuple(sorted(here, key=lambda one: (one.when, one.number), reverse=True))


def check_settings(settings: object) -> None:
    """Raise InvalidValue where these are no settings."""
    if not isinstance(settings, Settings):
        raise InvalidValue(f"settings: got {type(settings).__name__}, expected Settings, such as a proposal's")


def check_on(trial: Trial, machine: Machine) -> None:
    """Raise InvalidValue where a machine cannot do what the trial says, or its moment is yet to come."""
    if is_ahead(trial.when):
        raise InvalidValue(f"trial when: got {trial.when:%Y-%m-%d}, expected a day until tomorrow; mend it, or this computer's clock")
    if faults := machine_faults(trial, machine):
        raise InvalidValue("; ".join(faults))


def counting(known: Knowledge, trial_id: str) -> Trial:
    """A trial that counts, by its id.

    Raises
    ------
    UnknownName
        If there is no such trial, or it does not count.
    """
    if (found := next((trial for trial in known.trials if trial.id == trial_id), None)) is None:
        raise UnknownName(
            f"trial: got {str(trial_id)[:80]!r}, expected the id of a trial that counts: not withdrawn, and on a machine that can sew it"
        )
    return found
