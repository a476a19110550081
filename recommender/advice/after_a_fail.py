"""What is said beside the moves after a fail: dials at their end, mishaps that tell nothing of the settings, needles that read as one."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from recommender.advice.levers import LEVERS, beliefs
from recommender.advice.moves import Move
from recommender.advice.words import spoken
from recommender.swatches.trial import Trial
from recommender.trade.looks import reading
from recommender.trade.machine import Dial, Machine
from recommender.trade.preparation import Step
from recommender.trade.readings import READINGS
from recommender.trade.settings import Settings
from recommender.trade.tables import table
from recommender.trade.upkeep import after_mishaps
from recommender.trade.words import listed, number

_NEEDLES = ("tension: left needle", "tension: right needle")


@dataclass(frozen=True, slots=True, kw_only=True)
class AfterAFail:
    """What to do after a swatch that failed, in this order."""

    first: tuple[Step, ...]
    """What to look at before the dials, where something else happened to it."""
    again: bool
    """Whether to sew it again as it was set, once that is mended."""
    ends: tuple[Step, ...]
    """What to know of dials that have no step left the way that a reading asks for."""
    moves: tuple[Move, ...]
    """The fewest controls to move."""
    which_needle: str
    """Where to look before one needle of two is moved; empty where that is not to be said."""


def after_a_fail(trial: Trial, asked: Settings | None, following: Sequence[Move], machine: Machine) -> AfterAFail:
    """What to do after a swatch that failed.

    Parameters
    ----------
    asked : what the sewer was told to set for it, by a proposal or a plan; None where that is not known
    following : the moves that lead from it to what is proposed now
    """
    again = nothing_to_move(trial, asked)
    moves = () if again else tuple(following)
    return AfterAFail(
        first=after_mishaps(trial.flags),
        again=again,
        ends=at_an_end(trial, machine, moves),
        moves=moves,
        which_needle=which_needle(trial, moves),
    )


def nothing_to_move(trial: Trial, asked: Settings | None) -> bool:
    """Whether to sew a failed swatch again as it was set, once what happened to it is mended.

    So where a thread broke or the like, no reading is off, and the settings were those that were asked for: it tells nothing against
    them, and what was right to sew before it is right to sew after it. A reading that is off speaks of the settings whatever else
    happened, and settings that nobody asked for may themselves have broken the thread: there the moves stand.
    """
    return bool(trial.flags) and not trial.passed and not any(trial.readings.values()) and trial.settings == asked


def at_an_end(trial: Trial, machine: Machine, moves: Sequence[Move]) -> tuple[Step, ...]:
    """What to know where a reading of a swatch wants its control beyond the end of its dial, and what the trade does then.

    A reading's control is the one that is believed to move it most before anything is logged: what a sewer's hand goes to first. Where
    that is among the moves it is moved back, for the log knows better, and nothing is to be said; nor where a stitch is meant to look
    otherwise than an ordinary overlock, for which the trade's next steps are meant. Source: `data/ends.toml`.
    """
    moved, begins = (
        {move.control for move in moves},
        "Where the moves do not mend it, the trade goes on so" if moves else "The trade goes on so",
    )
    off = [name for name, score in trial.readings.items() if score and reading(name, trial.stitch) == READINGS[name]]
    found = (each for name in off for each in _ends(trial, machine, name, begins))
    return tuple(step for stood, step in found if moved.isdisjoint(stood))


def _ends(trial: Trial, machine: Machine, name: str, begins: str) -> Iterator[tuple[Mapping[str, float], Step]]:
    """The dials that stand at an end beyond which one reading wants them, and what is said of them."""
    effects, told, score = beliefs().effect[list(READINGS).index(name)], READINGS[name], trial.readings[name]
    for place in np.flatnonzero(np.abs(effects) == np.abs(effects).max()).tolist():
        up, stood = score * effects[place] < 0, _stood(trial.settings, LEVERS[place])
        if stood and all(_is_at_end(machine.dial(control), value, up=up) for control, value in stood.items()):
            (row,) = (row for row in table("ends")["end"] if (row["control"], row["end"]) == (LEVERS[place], "high" if up else "low"))
            asks = f'"{told.plus if score > 0 else told.minus}" asks for {"more" if up else "less"}'
            yield stood, Step(f"{_stands(stood)}, though {asks}. {begins}: {row['next']}", row["caution"], row["place"])


def _stood(settings: Settings, lever: str) -> dict[str, float]:
    """What the controls of a lever stood at; the needles are one."""
    controls = settings.controls()
    if lever == "needles":
        return {control: value for control, value in controls.items() if "needle" in control}
    return {control: controls[control] for control in (lever, f"tension: {lever}") if control in controls}


def _is_at_end(dial: Dial, value: float, *, up: bool) -> bool:
    """Whether a dial has no step left that way."""
    return value > dial.at(dial.steps) - 1e-9 if up else value < dial.low + 1e-9


def _stands(stood: Mapping[str, float]) -> str:
    """Which dials stand at their ends, and at what."""
    names, marks = listed([spoken(control) for control in stood]), listed(list(dict.fromkeys(map(number, stood.values()))))
    if len(stood) == 1:
        return f"The {names} stands at {marks}, as far as its dial goes"
    return f"The {names} stand at {marks}, as far as their dials go"


def which_needle(trial: Trial, moves: Sequence[Move]) -> str:
    """Where to look before one needle of two is moved after a swatch whose needle line is off; empty where that is not so.

    A needle line is read as one, whichever needle's it is; which of the two is moved for it follows from what the log says of both.
    """
    told = [move.control for move in moves if move.control in _NEEDLES]
    if len(told) != 1 or not trial.readings.get("needle_line") or not {*_NEEDLES} <= {*trial.settings.controls()}:
        return ""
    (other,) = {*_NEEDLES} - {*told}
    line, its = reading("needle_line", trial.stitch), spoken(other).removesuffix(" tension")
    look = line.plus if trial.readings["needle_line"] > 0 else line.minus
    return (
        f'The reading "{look}" does not tell the two needles apart. Look whose line it is, the left needle\'s lies further from the edge: '
        f"where it is the {its}'s, turn that dial by as much instead, and see that both stand as sewn when you rate the next swatch."
    )
