"""What is asked of a studio, held to what it knows: each function gives the thing that was named, or says what is wrong with it."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from recommender.advice.model import is_of
from recommender.advice.planning.planned import Planned
from recommender.advice.planning.stash import stash
from recommender.advice.scoring.replay import in_time
from recommender.advice.seam import Seam
from recommender.errors import InvalidValue, UnknownName
from recommender.studio.entered import machine_of, seam_on, settings_for
from recommender.studio.knowledge import Knowledge
from recommender.swatches.pending import Pending
from recommender.swatches.trial import Trial
from recommender.trade.fabric import Fabric
from recommender.trade.machine import Machine
from recommender.trade.names import shown
from recommender.trade.settings import Settings
from recommender.trade.stitch import stitch
from recommender.trade.thread import Thread


def seam_to_sew(machines: Mapping[str, Machine], one: Planned) -> Seam:
    """The seam of a trial, of a planned swatch or of a proposal.

    Raises
    ------
    UnknownName, UnsuitableMachine
        If there is no such machine, or it cannot sew it.
    """
    return seam_on(machines, one.fabric, one.stitch, one.machine, (one.needle_thread, one.looper_thread))


def sewn_here(known: Knowledge, seam: Seam) -> list[Trial]:
    """The swatches of a seam, in the order of sewing."""
    return list(in_time([trial for trial in known.trials if is_of(trial, seam)]))


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


def to_sew(known: Knowledge, fabric: Fabric | None, name: str | None, machine: str | None, threads: tuple[Thread, Thread]) -> Seam:
    """The one seam that is to be sewn next.

    Raises
    ------
    InvalidValue, UnknownName, UnsuitableMachine
        If it is described by half, or cannot be.
    """
    if fabric is None or name is None or machine is None:
        raise InvalidValue("next swatch: expected cloth, stitch and machine, or no cloth and stitch for a free hour")
    return seam_on(known.machines, fabric, name, machine, threads)


def to_learn_from(known: Knowledge, machine: str | None, fabrics: Iterable[Any] | None, stitches: Sequence[str] | None) -> tuple[Seam, ...]:
    """The seams that can be sewn in a free hour, on one machine where it is named.

    Raises
    ------
    InvalidValue, UnknownName
        If there is no such machine or stitch, or one of the fabrics is none.
    """
    there = known.machines if machine is None else {machine: machine_of(known.machines, machine)}
    at_hand = None if fabrics is None else tuple(fabrics)
    if strange := [fabric for fabric in at_hand or () if not isinstance(fabric, Fabric)]:
        raise InvalidValue(f"fabrics: got {shown(strange[0])}, expected each a Fabric")
    return stash(known.trials, there, at_hand, stitches)


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
        return seam_to_sew(known.machines, one), one.settings
    if trial is not None or fabric is None or name is None or machine is None:
        raise InvalidValue("translate: expected either the id of a swatch, or cloth, stitch and machine")
    seam = seam_on(known.machines, fabric, name, machine, threads)
    return seam, passed_settings(known, seam) if settings is None else settings_for(seam, settings)


def waiting(known: Knowledge, pending: Iterable[Pending]) -> list[tuple[Seam, Settings]]:
    """The planned swatches that can be sewn: on a machine, as it is described now, that has what their stitch needs."""
    here = (one for one in pending if one.machine in known.machines)
    able = (one for one in here if not stitch(one.stitch).lacking(known.machines[one.machine]))
    return [(seam_to_sew(known.machines, one), one.settings) for one in able]


def counting(known: Knowledge, trial_id: str) -> Trial:
    """A trial that counts, by its id.

    Raises
    ------
    UnknownName
        If there is no such trial, or it does not count.
    """
    if (found := next((trial for trial in known.trials if trial.id == trial_id), None)) is None:
        raise UnknownName(
            f"swatch: got {str(trial_id)[:80]!r}, expected the id of a swatch that counts: not withdrawn, and on a machine that can sew it"
        )
    return found
