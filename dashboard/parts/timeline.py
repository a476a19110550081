"""The swatches of one cloth, stitch and machine in the order in which they were sewn: a column each, what was moved marked."""

from collections.abc import Mapping, Sequence
from itertools import pairwise

import streamlit as st

from parts.svg import escape
from recommender.advice.proposal import Proposal
from recommender.advice.scoring.replay import in_time
from recommender.advice.words import spoken
from recommender.studio import Studio
from recommender.swatches.trial import Trial
from recommender.trade.looks import reading
from recommender.trade.readings import READINGS
from recommender.trade.words import counted, day, number

SHOWN = 8
"""Swatches beside each other; older ones are counted only."""


def show_timeline(studio: Studio, proposal: Proposal) -> None:
    """The strip so far, if anything of it is logged."""
    trials = in_time(studio.trials(fabric=proposal.fabric.name, stitch=proposal.stitch, machine=proposal.machine))
    if not trials:
        return
    st.header("This strip so far", anchor=False)
    st.html(timeline(trials[-SHOWN:]))
    earlier = len(trials) - SHOWN
    more = f" {counted(earlier, 'earlier swatch is', 'earlier swatches are')} left out." if earlier > 0 else ""
    st.caption(f"The newest stands on the right. A setting in a box was moved from the swatch before; an empty place was not read.{more}")


def timeline(trials: Sequence[Trial]) -> str:
    """The table, as HTML."""
    days = "".join(f"<th scope='col'>{day(trial.when)}</th>" for trial in trials)
    rated = "".join(f"<td class='{word}'>{word}</td>" for word in ("passed" if trial.passed else "failed" for trial in trials))
    controls = dict.fromkeys(control for trial in trials for control in trial.settings.numbers())
    turns = list(zip(trials, moved(trials), strict=True))
    rows = [_row(spoken(control), [_setting(trial, ways, control) for trial, ways in turns]) for control in controls]
    read_off = [name for name in READINGS if any(name in trial.readings for trial in trials)]
    rows += [
        _row(reading(name, trials[0].stitch).title, [_reading(trial.readings.get(name)) for trial in trials], "reading")
        for name in read_off
    ]
    head = f"<thead><tr><th scope='row'>sewn on</th>{days}</tr><tr><th scope='row'>rating</th>{rated}</tr></thead>"
    table = f"<table>{head}<tbody>{''.join(rows)}</tbody></table>"
    return f"<div class='strip' tabindex='0' role='region' aria-label='This strip so far'>{table}</div>"


def moved(trials: Sequence[Trial]) -> tuple[Mapping[str, bool], ...]:
    """By swatch, the controls that stood otherwise for the one before it, and whether they went up; none for the first."""
    settings = [trial.settings.numbers() for trial in trials]
    return ({}, *({c: now[c] > before[c] for c in now if c in before and before[c] != now[c]} for before, now in pairwise(settings)))


def _row(name: str, cells: Sequence[str], kind: str = "control") -> str:
    return f"<tr class='{kind}'><th scope='row'>{escape(name)}</th>{''.join(cells)}</tr>"


def _setting(trial: Trial, ways: Mapping[str, bool], control: str) -> str:
    now = trial.settings.numbers().get(control)
    if now is None:
        return "<td></td>"
    if (up := ways.get(control)) is None:
        return f"<td>{number(now)}</td>"
    way = f"<span class='way' role='img' aria-label='{'up' if up else 'down'}'>{'▲' if up else '▼'}</span>"
    return f"<td><span class='moved'>{number(now)}{way}</span></td>"


def _reading(score: float | None) -> str:
    """A dot between -2 and +2, and its number."""
    if score is None:
        return "<td></td>"
    said = f"{score:+g}" if score else "0"
    return f"<td><span class='lean' aria-hidden='true'><i style='left: {25 * (score + 2):g}%'></i></span>{said}</td>"
