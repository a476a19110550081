"""What would become of a file: how its columns were understood, what goes in, what is refused and why, what is there already."""

from collections.abc import Collection, Iterable, Sequence
from typing import TYPE_CHECKING

import streamlit as st

from parts.svg import escape
from parts.tables import table
from recommender.swatches.columns import called
from recommender.trade.words import counted, day

if TYPE_CHECKING:
    from recommender.swatches.preview import MatchedColumn, Preview
    from recommender.swatches.sifting import GoodRow, RejectedRow

SHOWN = 12
"""Rows that are shown of each kind; the rest is counted."""


def show_counts(found: "Preview") -> None:
    """How many rows go which way; nothing has been written."""
    st.html(f"<div class='tiles'>{''.join(map(_tile, _numbers(found)))}</div>")


def show_rows(found: "Preview", machines: Collection[str]) -> None:
    """What is refused and why, what goes in, and how the columns were understood; `machines` are those of the studio."""
    st.caption(f"Read with {found.layout}. If a letter or a number below looks wrong, save the file as CSV in UTF-8 and hand it in again.")
    if found.rows:
        st.html("<b>Refused, and why</b>" + _refused(found.rows))
        if any(fault.startswith("machine: ") for row in found.rows for fault in row.faults):
            if found.strangers and machines:
                st.write("Where a machine only has another name in the file, choose above which of yours it is.")
            st.page_link("app_pages/machines.py", label="Add the machine on Machines")
    if found.new:
        st.html("<b>Would go in</b>" + _rows("Rows that would go in", found.new))
    with st.expander(f"How the {counted(len(found.columns), 'column')} were understood"):
        st.html(_columns(found.columns))
        if found.left_out:
            names = ", ".join(called(name) for name in found.left_out)
            st.html(f"<div class='rule'><b>Not in the file, so nothing is noted there:</b> {escape(names)}.</div>")
    if found.known:
        with st.expander(f"{counted(len(found.known), 'row')} known already"):
            st.html(_rows("Rows known already", found.known))


def _numbers(found: "Preview") -> tuple[tuple[int, str], ...]:
    return ((len(found.new), "would go in"), (len(found.rows), "would be refused"), (len(found.known), "are there already"))


def _tile(number: tuple[int, str]) -> str:
    return f"<div><b>{number[0]}</b><span>{escape(number[1])}</span></div>"


def _refused(rows: "Sequence[RejectedRow]") -> str:
    """Each fault with the lines that have it, the most frequent first."""
    lines: dict[str, list[int]] = {}
    for row in rows:
        for fault in row.faults:
            lines.setdefault(fault, []).append(row.line)
    faults = sorted(lines, key=lambda fault: -len(lines[fault]))
    told = [(f"{fault}.", _lines(lines[fault])) for fault in faults[:SHOWN]]
    return table("Refused rows", ("what is wrong", "lines"), told) + _rest(len(faults), "faults stand in the file of refused rows")


def _lines(numbers: Sequence[int]) -> str:
    more = f" and {len(numbers) - SHOWN} more" if len(numbers) > SHOWN else ""
    return ", ".join(map(str, numbers[:SHOWN])) + more


def _rows(name: str, rows: "Sequence[GoodRow]") -> str:
    head = ("line", "cloth", "stitch", "machine", "rating", "when")
    return table(name, head, _cells(rows[:SHOWN])) + _rest(len(rows), "are not shown")


def _cells(rows: "Iterable[GoodRow]") -> Iterable[Sequence[object]]:
    for row in rows:
        trial = row.trial
        rating = "passes" if trial.passed else "fails"
        yield row.line, trial.fabric.name, trial.stitch, trial.machine, rating, day(trial.when)


def _rest(number: int, where: str) -> str:
    return f"<div class='quiet'>{number - SHOWN} more {where}.</div>" if number > SHOWN else ""


def _columns(columns: "Iterable[MatchedColumn]") -> str:
    head = ("in the file", "taken for", "what it means", "first entry")
    rows = (
        (
            one.heading or "(no heading)",
            " and ".join(called(name) for name in one.columns) or "not read",
            one.meaning,
            one.example,
        )
        for one in columns
    )
    return table("Columns of the file", head, rows)
