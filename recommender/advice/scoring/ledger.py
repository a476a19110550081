"""What a studio keeps of the replay of its log, brought up to date at little cost as trials come in.

A replay tunes the model some thirty times and takes seconds; a proposal may not wait for it. So a trial that comes in last is
predicted by the model that is at hand, and where many come at once, or an old one is corrected, each is predicted from all other
cloths and the earlier swatches of its own. Both stand in until the log is replayed.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import islice

from recommender.advice.calibration import foreseen
from recommender.advice.model import Model, cloth, same_cloth, seam_of, swatches
from recommender.advice.outlook import chance_of_pass
from recommender.advice.scoring.lines import Line, lines
from recommender.advice.scoring.replay import Foretold, foretold, in_time, replay
from recommender.advice.scoring.score import Score, score
from recommender.advice.scoring.verdict import Verdict, verdict
from recommender.swatches.trial import Trial
from recommender.trade.machine import Machine

FEW = 4
"""So many new trials at once are predicted one after the other."""

STEP = 8
"""So many trials are replayed at a stretch: less than half a second, so that whoever waits can look and leave."""


@dataclass(frozen=True)
class Ledger:
    """What was said of each trial of a log."""

    trials: tuple[Trial, ...] = ()
    """In the order of sewing."""
    told: tuple[Foretold, ...] = ()
    """What was said of each."""
    replayed: int = 0
    """How many of them, from the first, were replayed; for the others something stands in."""

    @property
    def behind(self) -> int:
        """How many trials are not replayed."""
        return len(self.trials) - self.replayed

    @cached_property
    def lines(self) -> tuple[Line, ...]:
        """The same beside the counting forecasters."""
        return lines(self.trials, self.told)

    @cached_property
    def score(self) -> Score:
        """How good all of it was."""
        return score(self.lines)

    def verdict(self, stitch: str) -> Verdict:
        """Whether the model or the baseline leads with a stitch."""
        return verdict([line for line in self.lines if line.trial.stitch == stitch], stitch, self.lines)

    def first(self, n: int) -> "Ledger":
        """What it says of the first n trials."""
        return Ledger(self.trials[:n], self.told[:n], min(n, self.replayed))


def following(ledger: Ledger, trials: Sequence[Trial], machines: Mapping[str, Machine], before: Model | None, model: Model) -> Ledger:
    """The ledger of a log as it is now.

    Parameters
    ----------
    trials : in the order of the log
    before : the model that had learned the trials of `ledger` and no other, where there is one
    model : the model that has learned `trials`
    """
    now = in_time(trials)
    kept = ledger.first(_shared(ledger.trials, now))
    new = now[len(kept.trials) :]
    if before is not None and len(kept.trials) == len(ledger.trials) and len(new) <= FEW:
        told = _told_in_turn(kept, new, machines, before)
    else:
        told = _told_apart(now, new, machines, model)
    return Ledger(now, (*kept.told, *told), kept.replayed)


def replayed(ledger: Ledger, machines: Mapping[str, Machine]) -> Ledger:
    """The ledger with nothing that stands in."""
    for step in replaying(ledger, machines):
        ledger = step
    return ledger


def replaying(ledger: Ledger, machines: Mapping[str, Machine]) -> Iterator[Ledger]:
    """The same little by little: after every `STEP` trials the ledger as far as it is replayed, whose others still stand in."""
    said = replay(ledger.trials, machines, ledger.replayed)
    while more := tuple(islice(said, STEP)):
        n = ledger.replayed + len(more)
        ledger = Ledger(ledger.trials, (*ledger.told[: ledger.replayed], *more, *ledger.told[n:]), n)
        yield ledger


def _shared(one: Sequence[Trial], other: Sequence[Trial]) -> int:
    """How many trials two logs share before they part."""
    together = zip(one, other, strict=False)
    return next((place for place, (a, b) in enumerate(together) if a is not b and a != b), min(len(one), len(other)))


def _told_in_turn(kept: Ledger, new: Sequence[Trial], machines: Mapping[str, Machine], model: Model) -> list[Foretold]:
    """Each by the model before it, without the bands, which take longest and which no verdict looks at."""
    told = []
    for place, trial in enumerate(new):
        here = (one for one in (*kept.trials, *new[:place]) if one.stitch == trial.stitch and one.machine == trial.machine)
        mine = [one for one in here if same_cloth(one.fabric, trial.fabric)]
        told.append(foretold(model, seam_of(trial, machines), trial.settings, mine, with_bands=False))
        if trial is not new[-1]:
            model = model.adding(swatches([trial], machines, model.terms))
    return told


def _told_apart(now: Sequence[Trial], new: Sequence[Trial], machines: Mapping[str, Machine], model: Model) -> list[Foretold]:
    """The chance of each by the model of all, less what it learned of this cloth at that time and later."""
    cloths = {cloth(trial.fabric) for trial in new}
    told = [trial for trial in now if cloth(trial.fabric) in cloths]
    if not told:
        return []
    rows = swatches(told, machines, model.terms)
    foreseen_readings = foreseen(model.posterior, rows.rows, rows.readings, rows.weights, rows.cloths)
    chances = chance_of_pass(*foreseen_readings, model.scales.noise, model.standard).tolist()
    by_id = {trial.id: chance for trial, chance in zip(told, chances, strict=True)}
    return [Foretold(by_id[trial.id], at_model=False, at_baseline=False, bands={}, apart=True) for trial in new]
