"""What describing a machine anew does to what its log says."""

from collections import Counter
from collections.abc import Iterator, Sequence

from recommender.advice.words import spoken
from recommender.swatches.trial import Trial, machine_faults
from recommender.trade.machine import Machine
from recommender.trade.stitch import stitch
from recommender.trade.words import counted


def consequences(before: Machine, after: Machine, trials: Sequence[Trial]) -> tuple[str, ...]:
    """What changes for the swatches of a machine where its profile changes, a sentence each; empty where nothing does.

    The log keeps dial numbers, and the profile says what they mean: another home mark gives every number another meaning.

    Parameters
    ----------
    before, after : the profile as it is and as it would be
    trials : swatches that count; those on other machines are passed over

    >>> from dataclasses import replace
    >>> bench = Machine.generic("bench")
    >>> consequences(bench, replace(bench, converter=False), ())
    ()
    """
    mine = [trial for trial in trials if trial.machine == before.name]
    return (*_lost(before, after, mine), *_read_anew(before, after, mine), *_rolled(before, after, mine), *_beyond(before, after, mine))


def _lost(before: Machine, after: Machine, trials: Sequence[Trial]) -> Iterator[str]:
    """Swatches that would stop or begin to count, by stitch."""
    for name, number in Counter(trial.stitch for trial in trials).items():
        lacked, lacks = stitch(name).lacking(before), stitch(name).lacking(after)
        if lacks and not lacked:
            yield f"{counted(number, 'swatch')} of the {name} would no longer count: it needs {' and '.join(lacks)}."
        elif lacked and not lacks:
            yield f"{counted(number, 'swatch')} of the {name} would count again."


def _read_anew(before: Machine, after: Machine, trials: Sequence[Trial]) -> Iterator[str]:
    """Controls whose home mark moves."""
    sewn = Counter(control for trial in trials for control in trial.settings.numbers())
    dials = after.dials
    for control, dial in before.dials.items():
        old, new, number = dial.home, dials[control].home if control in dials else dial.home, sewn[control]
        if number and old != new:
            way = "lower" if new > old else "higher"
            yield (
                f"The home mark of the {spoken(control)} would go from {old:g} to {new:g}: {counted(number, 'swatch')} would be read "
                f"as set {abs(new - old):g} {way} than now, and all proposals with them."
            )


def _rolled(before: Machine, after: Machine, trials: Sequence[Trial]) -> Iterator[str]:
    number = sum(stitch(trial.stitch).rolled for trial in trials)
    if number and before.rolled_position != after.rolled_position:
        by = "its rolled-hem position" if after.rolled_position else "the dials"
        held = f"{counted(number, 'swatch')} would be held against another baseline"
        yield f"The tension of rolled stitches would count as set by {by}: {held}."


def _beyond(before: Machine, after: Machine, trials: Sequence[Trial]) -> Iterator[str]:
    """Swatches with numbers that the new dials do not reach."""
    able = [trial for trial in trials if not stitch(trial.stitch).lacking(after)]
    if number := sum(bool(machine_faults(trial, after)) and not machine_faults(trial, before) for trial in able):
        yield (
            f"{counted(number, 'swatch')} stand beyond the new dials: they would still count, but could not be imported elsewhere."
            if number > 1
            else "1 swatch stands beyond the new dials: it would still count, but could not be imported elsewhere."
        )
