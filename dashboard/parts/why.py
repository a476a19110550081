"""Why each number differs from the baseline: its causes laid end to end, as a picture and as a table."""

from collections.abc import Mapping, Sequence

import streamlit as st

from parts.stack import Piece, patterns, stack
from parts.svg import escape
from parts.tables import column
from parts.units import on_dial
from parts.words import adding_up
from recommender.advice.proposal import Proposal
from recommender.advice.why import Term
from recommender.advice.words import spoken
from recommender.trade.words import counted, number, signed

SHOWN = 5
"""Terms shown one by one; those after them are small and stand together."""
Row = tuple[str, str, float]
"""Name of a cause, how far to trust it, and what it adds."""


def show_why(proposal: Proposal) -> None:
    """The terms that lead from the baseline to the proposal; the controls that moved are open."""
    start, end = proposal.baseline.controls(), proposal.settings.controls()
    terms = {control: _few(found) for control, found in proposal.why.items() if found}
    if not terms:
        st.write("Nothing in the log says otherwise yet, so the proposal is the baseline.")
        return
    moved = [control for control in terms if start[control] != end[control]]
    if moved:
        st.caption("From the baseline to the proposal, cause by cause: each bar begins where the one above it ends.")
        styles = patterns(name for control in moved for name, _, _ in terms[control])
        st.html(column(*(_picture(control, start[control], end[control], terms[control], styles) for control in moved)))
    else:
        st.html("<div>Every control stays on its baseline.</div>")
    _tables("The same in numbers, as the dials count", moved, proposal, terms)
    _tables("Controls that stay on the baseline", [control for control in terms if control not in moved], proposal, terms)


def _picture(control: str, start: float, end: float, rows: Sequence[Row], styles: Mapping[str, int]) -> str:
    """The causes of one control end to end."""
    pieces = [Piece(name, amount, styles[name]) for name, _, amount in rows]
    return stack(on_dial(control), start, end, pieces)


def _few(terms: Sequence[Term]) -> list[Row]:
    rows = [(term.name, _trust(term), term.amount) for term in terms[:SHOWN]]
    if rest := terms[SHOWN:]:
        rows.append((f"{len(rest)} smaller causes together", "", sum(term.amount for term in rest)))
    return rows


def _tables(title: str, controls: Sequence[str], proposal: Proposal, terms: dict[str, list[Row]]) -> None:
    if not controls:
        return
    start, end = proposal.baseline.controls(), proposal.settings.controls()
    with st.expander(title):
        st.caption("Under a cause stand the range that holds its part with 80 % probability, and how many swatches say something of it.")
        st.html(f"<div class='whys'>{''.join(_table(name, start[name], end[name], terms[name]) for name in controls)}</div>")


def _table(control: str, start: float, end: float, rows: Sequence[Row]) -> str:
    amounts = adding_up([amount for _, _, amount in rows], end - start)
    body = "".join(_row(name, signed(amount), trust) for (name, trust, _), amount in zip(rows, amounts, strict=True))
    total = f"<tr class='sum'><td>proposal</td><td class='n'>{number(end)}</td></tr>"
    return (
        f"<table class='why'><tr><th colspan='2'>{escape(spoken(control))}</th></tr>{_row('baseline', number(start))}{body}{total}</table>"
    )


def _row(name: str, amount: str, trust: str = "") -> str:
    return f"<tr><td>{escape(name)}{trust and f'<div class=quiet>{escape(trust)}</div>'}</td><td class='n'>{amount}</td></tr>"


def _trust(term: Term) -> str:
    """The band of a term and the swatches behind it; nothing for what is arithmetic."""
    if term.trials is None:
        return ""
    return f"{signed(term.low)} to {signed(term.high)}, from {counted(term.trials, 'swatch')}"
