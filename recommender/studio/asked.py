"""What is asked of a studio, held to what it knows: each function gives the thing that was named, or says what is wrong with it."""

from collections.abc import Mapping

from recommender.advice.model import same_cloth
from recommender.advice.seam import Seam
from recommender.errors import InvalidValue, UnknownName
from recommender.studio.knowledge import Knowledge
from recommender.swatches.trial import Trial, machine_faults
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


def check_settings(settings: object) -> None:
    """Raise InvalidValue where these are no settings."""
    if not isinstance(settings, Settings):
        raise InvalidValue(f"settings: got {type(settings).__name__}, expected Settings, such as a proposal's")


def check_on(trial: Trial, machine: Machine) -> None:
    """Raise InvalidValue where a machine cannot do what the trial says."""
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
