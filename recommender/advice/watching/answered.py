"""Where the watch over a machine begins: what was done to it decides which swatches still speak of it as it is."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime

from recommender.advice.model import Model, swatches
from recommender.advice.scoring.replay import in_time
from recommender.advice.watching.drift import ALARM, Answered, Drift, drift
from recommender.swatches.care import Care
from recommender.swatches.trial import Trial
from recommender.trade.care import MENDING, SERVICED
from recommender.trade.machine import Machine


def drift_after_care(model: Model, trials: Sequence[Trial], machines: Mapping[str, Machine], machine: str, care: Sequence[Care]) -> Drift:
    """What the last swatches on a machine say of it, counted from the deed that last made it another.

    A service always begins the watch anew. Any other deed that can mend a drift does so where it answers one: where the alarm stood
    when it was done. What was sewn while the machine drifted is then left out, so that the machine is held against what it was
    before: if the deed did not help, the alarm comes again. A needle that is changed in good order begins nothing, for needles are
    changed more often than a drift takes to show. What else was done begins nothing either, and is told beside what to look at.

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
    since = max((one.when for one in deeds if one.deed == SERVICED), default=None)
    found = drift(model, trials, machines, machine, since)
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


def _stood(found: Drift, trials: Sequence[Trial], when: datetime) -> bool:
    """Whether the alarm stood after the last swatch before a moment."""
    mine = [trial.when for trial in in_time(trials) if trial.machine == found.machine]
    before = sum(sewn < when for sewn in mine[len(mine) - found.swatches :])
    return before > 0 and found.running[before - 1] >= ALARM


def _told_at(model: Model, trials: Sequence[Trial], machines: Mapping[str, Machine], found: Drift, when: datetime) -> Drift:
    """What the machine's swatches said of it at a moment."""
    later = [trial for trial in trials if trial.when >= when]
    earlier = [trial for trial in trials if trial.when < when]
    known = model.removing(swatches(later, machines, model.terms)) if later else model
    return drift(known, earlier, machines, found.machine, found.since)
