"""Whether a machine still behaves as its log says, as a picture and in plain words, and where to look first."""

from collections.abc import Iterable
from math import exp, log

import streamlit as st

from parts.answers import answered
from parts.checklist import steps
from parts.svg import area, drawn, escape, label, line, shown
from parts.words import plain
from recommender import Studio
from recommender.advice.planning.planned import Planned
from recommender.advice.watching.drift import ALARM, Drift
from recommender.advice.watching.running import SHIFTS
from recommender.advice.words import spoken
from recommender.trade.upkeep import upkeep
from recommender.trade.words import counted, day, percent

WIDTH, HEIGHT = 560.0, 240.0
LEFT, RIGHT, TOP, BOTTOM = 16.0, 544.0, 18.0, 200.0
LOWEST = log(0.1)
"""The picture's lower edge; below it everything is as calm."""
_NAMED = 3
"""Suspects that are named beside the likeliest."""
_WHEN_DONE = (
    "When you have done one of these, note it under Care: the watch then begins anew, and the list stays until it is seen whether that "
    "helped. What is not on the list does not begin it anew; a service always does."
)
_UNTIL_SEEN = (
    "What was done need not have been the cause: go on with what is not noted yet. The list goes when swatches enough are seen, or when a "
    "service is noted under Care."
)


def warn_of_drift(studio: Studio, swatches: Iterable[Planned]) -> frozenset[str]:
    """Say which control of those that are set for some swatches has drifted, or had before care; the controls that are doubted."""
    asked = list(swatches)
    watches = (found for name in dict.fromkeys(one.machine for one in asked) for found in answered(studio, "drift", name))
    told = [found for found in watches if found.warns(asked)]
    for found in told:
        st.html(f"<div class='caution' role='note'>{escape(found.warning)}</div>")
        way = f"{plain(found.machine)} on Machines: what to look at, in order"
        st.page_link("app_pages/machines.py", label=way, query_params={"machine": found.machine})
    return frozenset().union(*(found.doubted for found in told))


def show_drift(studio: Studio, machine: str) -> None:
    """The verdict, the picture behind it, and what to look at."""
    (found,) = answered(studio, "drift", machine)
    st.html(f"<div class='lead'>{escape(found.sentence)}</div>")
    if found.stood_before:
        st.html(f"<div>{escape(found.stood_before)}</div>")
    elif found.since is not None:
        st.caption(f"Watched anew since {day(found.since)}, when care was noted that may have changed how it behaves.")
    if found.running:
        st.html(evidence(found))
        st.caption(
            "The higher the line, the more the swatches look as if one dial no longer did what its number says. At the dashed line you are "
            "told; a sound machine gets that far by chance at most once in 200 swatches."
        )
    if found.look:
        if found.told:
            _show_suspects(found)
        st.header("What to look at, in this order", anchor=False)
        if found.noted_since:
            st.html(f"<div>{escape(found.noted_since)}</div>")
        st.html(steps(found.look))
        st.caption(_WHEN_DONE if found.told else _UNTIL_SEEN)
    else:
        with st.expander("A dial does not do what its number says?"):
            there = studio.machines[machine].tension
            controls = [control for control in SHIFTS if control == "differential" or control.removeprefix("tension: ") in there]
            names = {spoken(control).capitalize(): control for control in controls}
            chosen = st.selectbox("Which one?", list(names), key="drift.control", persist_state="session")
            st.html(steps(upkeep(names[chosen])))


def evidence(found: Drift) -> str:
    """The running sum after each swatch, with the line at which a drift is told."""
    top = max(ALARM * 1.25, *found.running)
    points = [(_x(place, len(found.running)), _y(value, top)) for place, value in enumerate(found.running)]
    if len(points) == 1:
        points.append((RIGHT, points[0][1]))
    alarm = _y(ALARM, top)
    body = area([(points[0][0], BOTTOM), *points, (points[-1][0], BOTTOM)], 0.16) + line(points, 'stroke-width="2.6"')
    body += line([(LEFT, alarm), (RIGHT, alarm)], 'stroke-width="1.8" stroke-dasharray="7 5"') + line([(LEFT, BOTTOM), (RIGHT, BOTTOM)])
    body += label(LEFT, alarm - 6, "here you are told", size=14)
    body += label(LEFT, BOTTOM + 22, counted(len(found.running), "swatch") + " ago" if len(found.running) > 1 else "", size=14)
    body += label(RIGHT, BOTTOM + 22, "the last swatch", size=14, anchor="end")
    swatches = counted(len(found.running), "swatch")
    alt = f"How strongly {swatches} speak for a dial that changed: {_level(found)} at the last; you are told at {exp(ALARM):.0f} to 1."
    return shown(drawn(body, width=WIDTH, height=HEIGHT), alt=alt, width=WIDTH, height=HEIGHT, most="640px")


def _show_suspects(found: Drift) -> None:
    likely = [one for one in found.suspects[1 : 1 + _NAMED] if one.chance >= 0.01]
    if likely:
        others = "".join(f"<li>{escape(one.sentence)} ({percent(one.chance)})</li>" for one in likely)
        st.html(f"<div>Or, less likely:<ul class='parts'>{others}</ul></div>")


def _x(place: int, number: int) -> float:
    return LEFT + (RIGHT - LEFT) * place / max(1, number - 1)


def _y(value: float, top: float) -> float:
    return BOTTOM - (BOTTOM - TOP) * (max(value, LOWEST) - LOWEST) / (top - LOWEST)


def _level(found: Drift) -> str:
    return f"{exp(min(found.running[-1], log(1e6))):,.0f} to 1"
