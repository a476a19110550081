"""Where the control that moves a reading most stands at the end of its dial, and what the trade does then (data/ends.toml)."""

from collections.abc import Iterator, Mapping, Sequence

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
from recommender.trade.words import listed, number


def at_an_end(trial: Trial, machine: Machine, moves: Sequence[Move]) -> tuple[Step, ...]:
    """What to know where a reading of a swatch wants its control beyond the end of the dial, with what the trade does then.

    A reading's control is the one that is believed to move it most before anything is logged: what a sewer's hand goes to first. Where
    that is moved all the same it is moved back, for the log knows better, and nothing is to be said.

    Parameters
    ----------
    moves : what is to be moved after the swatch
    """
    moved = {move.control for move in moves}
    found = (each for name, score in trial.readings.items() if score for each in _ends(trial, machine, name, score))
    return tuple(step for stood, step in found if moved.isdisjoint(stood))


def _ends(trial: Trial, machine: Machine, name: str, score: float) -> Iterator[tuple[Mapping[str, float], Step]]:
    """The dials that stand at an end beyond which one reading wants them, and what is said of them."""
    effects, told = beliefs().effect[list(READINGS).index(name)], reading(name, trial.stitch)
    for place in np.flatnonzero(np.abs(effects) == np.abs(effects).max()).tolist():
        up, stood = score * effects[place] < 0, _stood(trial.settings, LEVERS[place])
        if stood and all(_is_at_end(machine.dial(control), value, up=up) for control, value in stood.items()):
            (row,) = (row for row in table("ends")["end"] if (row["control"], row["end"]) == (LEVERS[place], "high" if up else "low"))
            asks = f'"{told.plus if score > 0 else told.minus}" asks for {"more" if up else "less"}'
            trade = f"Where the next moves do not mend it, the trade goes on so: {row['next']}"
            yield stood, Step(f"{_stands(stood)}, though {asks}. {trade}", row["caution"], row["place"])


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
