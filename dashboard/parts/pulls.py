"""What one step of each dial does to a reading, on one machine: a sewer's own trouble-shooting chart."""

from collections.abc import Iterable

import streamlit as st

from parts.answers import answered
from parts.svg import escape
from recommender import Studio
from recommender.advice.pull import Pull
from recommender.advice.words import spoken
from recommender.trade.readings import READINGS, Reading
from recommender.trade.words import number, signed


def show_pulls(studio: Studio, machine: str, reading: str) -> None:
    """The controls of a machine, the one that moves the reading most first."""
    st.html(pulls_table(answered(studio, "pulls", machine)[reading], READINGS[reading]))
    st.caption(
        "How far one step up on the dial moves the reading, in the words of an ordinary overlock; a step down moves it the other way. "
        "From one drawing to the next is 1. The mark across a bar holds it with 80 % probability: where it is long, the log knows little "
        "yet, and the bar is what the trade expects."
    )


def pulls_table(ranked: Iterable[Pull], noun: Reading) -> str:
    """One bar a control, from the middle towards what a step up leads to."""
    rows = list(ranked)
    reach = max(abs(end) for pull in rows for end in (pull.low, pull.high)) or 1.0
    ends = f"<div class='ends'><span>{escape(noun.minus)}</span><span>{escape(noun.plus)}</span></div>"
    head = f"<tr><th>one step</th><th>{ends}</th><th>by</th></tr>"
    return f"<table class='bars pulls'>{head}{''.join(_row(pull, noun, 50 / reach) for pull in rows)}</table>"


def _row(pull: Pull, noun: Reading, stretch: float) -> str:
    way = noun.plus if pull.mean > 0 else noun.minus
    band = f"between {signed(pull.low)} and {signed(pull.high)}"
    alt = f"{spoken(pull.control)} up {number(pull.step)}: {signed(pull.mean)}, towards {way}; {band}"
    low, high = sorted((0.0, pull.mean))
    drawing = (
        f'<div class="bar" role="img" aria-label="{escape(alt)}"><i class="goal" style="left: 50%"></i>'
        f'<i class="fill" style="left: {50 + low * stretch:.1f}%; width: {(high - low) * stretch:.1f}%"></i>'
        f'<i class="whisker" style="left: {50 + pull.low * stretch:.1f}%; width: {(pull.high - pull.low) * stretch:.1f}%"></i></div>'
    )
    name = f"{escape(spoken(pull.control))} <span class='quiet'>up {number(pull.step)}</span>"
    return f"<tr><td>{name}</td><td>{drawing}</td><td class='n'>{signed(pull.mean)}</td></tr>"
