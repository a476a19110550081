"""Which of the two leads, the model or the baseline, from a replayed log."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, hypot
from typing import Literal

from recommender.advice.scoring.figures import Figure, average, share
from recommender.advice.scoring.lines import Line, log_score
from recommender.trade.words import percent

ENOUGH_TRIALS = 20
"""Below this number of trials, of a stitch or of the whole log, there is no verdict, and the model leads."""

ENOUGH_FIRST = 10
"""So many first swatches each, sewn as proposed and on the baseline, are compared."""

Lead = Literal["model", "baseline"]


@dataclass(frozen=True, slots=True)
class Verdict:
    """Which leads, and why."""

    lead: Lead
    """The one that leads."""
    why: str
    """The reason, as a sentence."""


def verdict(found: Sequence[Line], what: str, whole: Sequence[Line]) -> Verdict:
    """The verdict on some lines of a replayed log, `whole`.

    The baseline leads where the model does not beat it: where, over the whole log, its gain over a forecaster that only counts
    passes is not above its standard error (twice that for what was said with hindsight); where over these lines there is no gain
    at all; or where first swatches sewn as it proposed passed less often than those on the baseline by more than a standard error.
    The whole log is held to more, since a model that knows nothing gains a little by luck every other time, and single stitches
    have too few swatches for it.

    Parameters
    ----------
    what : what the lines are of, such as a stitch's name
    """
    if len(found) < ENOUGH_TRIALS:
        so_far = f"it takes {ENOUGH_TRIALS} swatches and there are {len(found)}"
        return Verdict("model", f"No verdict on the {what} yet: {so_far}; until then the model leads.")
    hindsight = sum(line.told.apart for line in whole) / len(whole)
    for name, lines, errors in (("whole log", whole, 1.0 + hindsight), (what, found, 0.0)):
        gain = gains(lines)
        if not gain.value > errors * gain.error:
            return Verdict("baseline", f"The baseline leads: {_given(lines, name)}, too little to trust it more.")
    ours, rules = first_passes(found)
    if min(ours.number, rules.number) >= ENOUGH_FIRST and rules.value - ours.value > hypot(ours.error, rules.error):
        sewn = f"first swatches of the {what} passed {percent(ours.value)} of {ours.number} times as the model proposed"
        return Verdict("baseline", f"The baseline leads: {sewn} and {percent(rules.value)} of {rules.number} times on the baseline.")
    return Verdict("model", f"The model leads: {_given(found, what)}.")


def after(said: Verdict) -> Verdict:
    """The verdict once a cloth has a swatch of its own: the baseline has nothing to say of what to move."""
    if said.lead == "model":
        return said
    return Verdict("model", f"After a swatch the model's moves lead, since the baseline has none. For a first one: {said.why}")


def gains(found: Sequence[Line]) -> Figure:
    """The model's log score less the counting forecaster's; the error counts whole cloths."""
    return average([line.gain for line in found], [line.piece[0] for line in found])


def first_passes(found: Sequence[Line]) -> tuple[Figure, Figure]:
    """Share of first swatches that passed, of those sewn as the model proposed and of those on the baseline.

    Those sewn where the two were the same say nothing of which is better and are in neither.
    """
    apart = [line for line in found if line.is_first and line.told.at_model != line.told.at_baseline]
    ours = [line.trial.passed for line in apart if line.told.at_model]
    return share(ours), share([line.trial.passed for line in apart if line.told.at_baseline])


def _given(found: Sequence[Line], what: str) -> str:
    """What was given to what happened, by both, as a geometric mean."""
    model = exp(sum(log_score(line.told.chance, line.trial.passed) for line in found) / len(found))
    count = exp(sum(log_score(line.stitch_rate, line.trial.passed) for line in found) / len(found))
    over = f"over {len(found)} swatches of the {what} its forecasts score {percent(model)}"
    return f"{over}, mere counting of passes {percent(count)} (a tossed coin 50 %, never wrong 100 %)"
