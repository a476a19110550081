"""What a proposal says: settings beside the baseline, how far to trust them, and why."""

from collections.abc import Iterable, Sequence

import streamlit as st

from parts.scale import Range, Verdict, scale, scale_key
from parts.svg import escape
from parts.words import adding_up, chance, number, plain, signed
from recommender.advice.proposal import Proposal
from recommender.advice.why import Term
from recommender.trade.baseline import AppliedRule
from recommender.trade.machine import Machine

MOST = 2 / 3
"""How much of a band has to lie in the pass window for a setting to be trusted."""
SHOWN = 5
"""Terms shown one by one; those after them are small and stand together."""


def show_chance(proposal: Proposal) -> None:
    """How likely the next swatch is to pass, beside the baseline's chance."""
    if not proposal.chance_known:
        words = f"<strong>Too few ratings to say</strong> how often this passes ({proposal.ratings} so far)."
    else:
        words = (
            f"The next swatch passes <strong>{chance(proposal.pass_chance)}</strong> ({proposal.pass_chance:.0%}); "
            f"on the baseline {chance(proposal.baseline_chance)} ({proposal.baseline_chance:.0%})."
        )
    st.html(f"<div class='lead'>{words}</div>")


def show_lead(proposal: Proposal) -> None:
    """Which of the two leads, and why."""
    st.caption(plain(proposal.lead_why))


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
            verdict=_verdict(proposal, control),
        )
        lead = number(proposal.leading.controls()[control])
        st.html(f"<div class='row'><div class='control'>{escape(control)}<b>{lead}</b></div>{drawing}</div>")


def _verdict(proposal: Proposal, control: str) -> Verdict | None:
    if proposal.lead == "baseline":
        return None
    band, window = proposal.bands[control], proposal.windows[control]
    return verdict((band.low, band.high), (window.low, window.high)) if proposal.chance_known else "test"


def verdict(band: Range, window: Range) -> Verdict:
    """Trust a setting where most of its band lies in its pass window: wherever the best is, the seam is likely to pass.

    >>> verdict((3.8, 4.4), (3.0, 5.0)), verdict((2.0, 6.0), (3.0, 5.0))
    ('trust', 'test')
    """
    inside = min(band[1], window[1]) - max(band[0], window[0])
    return "trust" if inside >= MOST * (band[1] - band[0]) else "test"


def show_why(proposal: Proposal) -> None:
    """The terms that lead from the baseline to the proposal; the controls that moved are open."""
    start, end = proposal.baseline.controls(), proposal.settings.controls()
    tables = {control: _why_table(control, start[control], end[control], terms) for control, terms in proposal.why.items() if terms}
    if not tables:
        st.write("Nothing in the log says otherwise yet, so the proposal is the baseline.")
        return
    st.caption("Under a cause stand the range that holds its part with 80 % probability, and how many swatches say something of it.")
    moved = [table for control, table in tables.items() if start[control] != end[control]]
    stayed = [table for control, table in tables.items() if start[control] == end[control]]
    st.html(f"<div class='whys'>{''.join(moved)}</div>" if moved else "<div>Every control stays on its baseline.</div>")
    if stayed:
        with st.expander("Controls that stay on the baseline"):
            st.html(f"<div class='whys'>{''.join(stayed)}</div>")


def _why_table(control: str, start: float, end: float, terms: Sequence[Term]) -> str:
    rows = [(term.name, _trust(term), term.amount) for term in terms[:SHOWN]]
    if rest := terms[SHOWN:]:
        rows.append((f"{len(rest)} smaller terms together", "", sum(term.amount for term in rest)))
    amounts = adding_up([amount for _, _, amount in rows], end - start)
    body = "".join(_why_row(name, signed(amount), trust) for (name, trust, _), amount in zip(rows, amounts, strict=True))
    total = f"<tr class='sum'><td>proposal</td><td class='n'>{number(end)}</td></tr>"
    return f"<table class='why'><tr><th colspan='2'>{escape(control)}</th></tr>{_why_row('baseline', number(start))}{body}{total}</table>"


def _why_row(name: str, amount: str, trust: str = "") -> str:
    return f"<tr><td>{escape(name)}{trust and f'<div class=quiet>{escape(trust)}</div>'}</td><td class='n'>{amount}</td></tr>"


def _trust(term: Term) -> str:
    """The band of a term and the swatches behind it; nothing for what is arithmetic."""
    if term.trials is None:
        return ""
    return f"{signed(term.low)} to {signed(term.high)}, from {term.trials} {'swatch' if term.trials == 1 else 'swatches'}"


def show_rules(rules: Iterable[AppliedRule]) -> None:
    """The rules behind the baseline, each with its reason and its source."""
    for rule in rules:
        moves = ", ".join(f"{escape(control)} {signed(by)}" for control, by in rule.moves.items()) or "moves nothing from the home marks"
        st.html(
            f"<div class='rule'><strong>{escape(rule.name)}</strong>: {moves}<br>{escape(rule.reason)}"
            f"<div class='quiet'>Source: {escape(rule.source)}</div></div>"
        )
