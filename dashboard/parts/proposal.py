"""What a proposal says: settings beside the baseline, how far to trust them, and why."""

from collections.abc import Iterable

import streamlit as st

from recommender.advice.proposal import Proposal
from recommender.trade.baseline import AppliedRule
from recommender.trade.machine import Machine

from parts.scale import Range, Verdict, scale, scale_key
from parts.svg import escape
from parts.words import chance, number, signed


def show_chance(proposal: Proposal) -> None:
    """How likely the next swatch is to pass, beside the baseline's chance."""
    if not proposal.chance_known:
        words = f"<strong>Too few ratings to say</strong> how often this passes ({proposal.ratings} so far)."
    else:
        words = (
            f"Passes <strong>{chance(proposal.pass_chance)}</strong> ({proposal.pass_chance:.0%}); "
            f"the baseline {chance(proposal.baseline_chance)} ({proposal.baseline_chance:.0%})."
        )
    st.html(f"<div class='lead'>{words}</div>")


def show_scales(proposal: Proposal, machine: Machine) -> None:
    """Every control on its own scale."""
    st.html(scale_key())
    start = proposal.baseline.controls()
    for control, value in proposal.settings.controls().items():
        band, window = proposal.bands[control], proposal.windows[control]
        drawing = scale(
            control,
            machine.dial(control),
            baseline=start[control],
            proposal=value,
            band=(band.low, band.high),
            window=(window.low, window.high),
            verdict=verdict((band.low, band.high), (window.low, window.high)),
        )
        st.html(f"<div class='row'><div class='control'>{escape(control)}<b>{number(value)}</b></div>{drawing}</div>")


def verdict(band: Range, window: Range) -> Verdict:
    """Trust a setting where every likely best value lies in its pass window; else a swatch has to show.

    >>> verdict((3.8, 4.4), (3.0, 5.0)), verdict((2.0, 6.0), (3.0, 5.0))
    ('trust', 'test')
    """
    return "trust" if window[0] <= band[0] and band[1] <= window[1] else "test"


def show_why(proposal: Proposal) -> None:
    """The terms that lead from the baseline to the proposal, control by control."""
    start, end = proposal.baseline.controls(), proposal.settings.controls()
    moved = [control for control in end if proposal.why.get(control)]
    if not moved:
        st.write("Nothing in the log says otherwise yet, so the proposal is the baseline.")
    else:
        tables = "".join(_why_table(control, start[control], end[control], proposal) for control in moved)
        st.html(f"<div class='whys'>{tables}</div>")


def _why_table(control: str, start: float, end: float, proposal: Proposal) -> str:
    terms = "".join(f"<tr><td>{escape(term.name)}</td><td class='n'>{signed(term.amount)}</td></tr>" for term in proposal.why[control])
    return (
        f"<table class='why'><tr><th colspan='2'>{escape(control)}</th></tr>"
        f"<tr><td>baseline</td><td class='n'>{number(start)}</td></tr>{terms}"
        f"<tr class='sum'><td>proposal</td><td class='n'>{number(end)}</td></tr></table>"
    )


def show_rules(rules: Iterable[AppliedRule]) -> None:
    """The rules behind the baseline, each with its reason and its source."""
    for rule in rules:
        moves = ", ".join(f"{escape(control)} {signed(by)}" for control, by in rule.moves.items()) or "moves nothing from the home marks"
        st.html(
            f"<div class='rule'><strong>{escape(rule.name)}</strong>: {moves}<br>{escape(rule.reason)}"
            f"<div class='quiet'>Source: {escape(rule.source)}</div></div>"
        )
