"""Where the watch over a machine begins: what was done to it decides which swatches still speak of it as it is."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime

from recommender.advice.model import Model, swatches
from recommender.advice.scoring.replay import in_time
from recommender.advice.watching.drift import ALARM, SOON, Answered, Drift, drift
from recommender.swatches.care import Care
from recommender.swatches.trial import Trial
from recommender.trade.care import MENDING, SERVICED
from recommender.trade.machine import Machine


def drift_after_care(model: Model, trials: Sequence[Trial], machines: Mapping[str, Machine], machine: str, care: Sequence[Care]) -> Drift:
    """What the last swatches on a machine say of it, counted from the deed that last made it another.

    A service always begins the watch anew; what stood before it is told until swatches enough are seen. Any other deed that can mend a
    drift does so where it answers one: where the alarm stood when it was done. What was sewn while the machine drifted is then left out,
    so that the machine is held against what it was before: if the deed did not help, the alarm comes again. A needle that is changed in
    good order begins nothing, for needles are changed more often than a drift takes to show. What else was done begins nothing either,
    and is told beside what to look at.

    Parameters
    ----------
    model : the model of the log
    trials : the whole log
    care : what was done to machines, in any order

    Raises
    ------
    UnknownName
        If there is no such machine.
    """
    deeds = sorted((one for one in care if one.machine == machine), key=lambda one: one.when)
    serviced = max((one for one in deeds if one.deed == SERVICED), key=lambda one: one.when, default=None)
    since = None if serviced is None else serviced.when
    found = drift(model, trials, machines, machine, since)
    if serviced is not None and found.swatches < SOON:
        found = replace(found, answered=_answered_by_service(model, trials, machines, deeds, serviced))
    for one in (one for one in deeds if one.deed in MENDING and (since is None or one.when > since)):
        if _stood(found, trials, one.when) and (then := _told_at(model, trials, machines, found, one.when)).begun is not None:
            drifted = [trial for trial in trials if trial.machine == machine and then.begun <= trial.when < one.when]
            model = model.removing(swatches(drifted, machines, model.terms))
            gone = {trial.id for trial in drifted}
            trials = [trial for trial in trials if trial.id not in gone]
            answered = Answered(then.suspects[0], then.begun, one.deed, one.when)
            found = replace(drift(model, trials, machines, machine, one.when), answered=answered)
    told = found.begun or (found.answered.when if found.answered else None)
    return replace(found, noted=tuple(one for one in deeds if told is not None and one.when >= told))


def _answered_by_service(
    model: Model, trials: Sequence[Trial], machines: Mapping[str, Machine], deeds: Sequence[Care], serviced: Care
) -> Answered | None:
    """What stood before a machine was serviced: its dials were seen to, and no swatch has shown yet how they stand now."""
    earlier = [trial for trial in trials if trial.when < serviced.when]
    before = [one for one in deeds if one.when < serviced.when]
    was = drift_after_care(_known_at(model, trials, machines, serviced.when), earlier, machines, serviced.machine, before)
    if was.begun is not None:
        return Answered(was.suspects[0], was.begun, serviced.deed, serviced.when)
    return replace(was.answered, deed=serviced.deed, when=serviced.when) if was.answered is not None and was.stood_before else None


def _known_at(model: Model, trials: Sequence[Trial], machines: Mapping[str, Machine], when: datetime) -> Model:
    """The model as it was at a moment, but for its scales."""
    later = [trial for trial in trials if trial.when >= when]
    return model.removing(swatches(later, machines, model.terms)) if later else model


def _stood(found: Drift, trials: Sequence[Trial], when: datetime) -> bool:
    """Whether the alarm stood after the last swatch before a moment."""
    mine = [trial.when for trial in in_time(trials) if trial.machine == found.machine]
    before = sum(sewn < when for sewn in mine[len(mine) - found.swatches :])
    return before > 0 and found.running[before - 1] >= ALARM


def _told_at(model: Model, trials: Sequence[Trial], machines: Mapping[str, Machine], found: Drift, when: datetime) -> Drift:
    """What the machine's swatches said of it at a moment."""
    earlier = [trial for trial in trials if trial.when < when]
    return drift(_known_at(model, trials, machines, when), earlier, machines, found.machine, found.since)
