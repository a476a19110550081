"""The report of the batch check: every rule of every column, how it fared, and the swatches that break one."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

import streamlit as st

from parts.svg import escape
from parts.tables import table
from parts.words import plain
from parts.work import Progress, begin, found, is_under_way
from recommender import Studio
from recommender.swatches.columns import COLUMNS, called
from recommender.swatches.trial import Trial
from recommender.trade.words import counted, day, moment

if TYPE_CHECKING:
    from recommender.swatches.suite import RuleOutcome, ValidationReport

_CHECK = "log.check"
SHOWN = 50
"""Faults that are shown one by one."""


@dataclass(frozen=True, slots=True)
class Checked:
    """A check, and what it was made of."""

    report: "ValidationReport"
    """The verdict."""
    trials: Mapping[str, Trial]
    """The swatches that were looked at, by id."""
    version: int
    """The log's version before it began."""
    at: datetime
    """When it was made."""


def check_log(studio: Studio) -> None:
    """The button that runs the check, and the report of the last one."""
    logged = len(studio.trials())
    if not logged:
        st.info(
            "There is nothing to check yet. Every swatch is held to its rules when it is saved; this check looks at all of them together."
        )
        return
    st.write("Every swatch is held to the rules of its columns when it is saved. This check looks at the whole log again by another road.")
    words = f"Check {counted(logged, 'swatch')}"
    st.button(words, on_click=_begin, args=(studio,), key="log.check_now", disabled=is_under_way(_CHECK))
    if (work := found(_CHECK)) is None:
        return
    if work.trouble:
        st.error(plain(work.trouble))
    else:
        _show(work.result, studio.version)


def _begin(studio: Studio) -> None:
    def check(progress: Progress) -> Checked:
        version, trials = studio.version, {trial.id: trial for trial in studio.trials()}
        progress("Checking the log; the first time it takes some seconds longer", 0.2)
        return Checked(studio.check(), trials, version, datetime.now().astimezone())

    begin(_CHECK, "Reading the log", check)


def _show(checked: Checked, version: int) -> None:
    report = checked.report
    verdict = "Nothing is wrong." if report.passed else f"{counted(len(report.bad_rows), 'swatch breaks', 'swatches break')} a rule."
    st.html(
        f"<div class='lead'><strong>{escape(verdict)}</strong> {counted(report.rows, 'swatch')} against "
        f"{counted(len(report.rules), 'rule')}, {moment(checked.at)}.</div>"
    )
    if checked.version != version:
        st.caption("The log has changed since; check it again.")
    if report.faults:
        st.html(_faults(checked))
    groups: dict[str, list[RuleOutcome]] = {}
    for rule in report.rules:
        groups.setdefault(_group(rule), []).append(rule)
    for name, rules in groups.items():
        broken = sum(rule.faults > 0 for rule in rules)
        said = f"{broken} broken" if broken else "all kept"
        with st.expander(f"{name.capitalize()}: {counted(len(rules), 'rule')}, {said}", expanded=broken > 0):
            st.html(_rules(name, rules))


def _group(rule: "RuleOutcome") -> str:
    return COLUMNS[rule.column].group if rule.column in COLUMNS else "the row as a whole"


def _rules(name: str, rules: "Sequence[RuleOutcome]") -> str:
    merged: dict[tuple[str, str], int] = {}
    for rule in rules:  # a column has several rules that expect the same in words: its kind, its range, its steps
        merged[rule.column, rule.expected] = max(rule.faults, merged.get((rule.column, rule.expected), 0))
    rows = [
        (called(column), expected, f"{counted(faults, 'swatch breaks', 'swatches break')} it" if faults else "kept")
        for (column, expected), faults in merged.items()
    ]
    return table(f"Rules: {name}", ("column", "expected", "outcome"), rows)


def _faults(checked: Checked) -> str:
    faults = checked.report.faults
    rows = []
    for fault in faults[:SHOWN]:
        trial = checked.trials.get(fault.id)
        sewn = ("", "", "") if trial is None else (day(trial.when), trial.fabric.name, trial.stitch)
        rows.append((*sewn, fault.sentence, fault.id))
    more = f"<div class='quiet'>{len(faults) - SHOWN} more are not shown.</div>" if len(faults) > SHOWN else ""
    return table("Faults", ("sewn", "cloth", "stitch", "what is wrong", "id"), rows) + more
