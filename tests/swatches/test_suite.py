"""The batch gate: the same verdict as the row check, by another road."""

import threading
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from recommender.swatches.columns import COLUMNS, row_faults
from recommender.swatches.rows import trial_of
from recommender.swatches.suite import check_rows, check_trials

GOOD: dict[str, Any] = {
    "fabric": "rib jersey",
    "construction": "knit",
    "fibre": "cotton",
    "gsm": 220.0,
    "stitch": "rolled hem",
    "machine": "bench",
    "tension_right_needle": 4.0,
    "tension_upper_looper": 4.0,
    "tension_lower_looper": 7.0,
    "differential": 1.2,
    "length": 1.5,
    "width": 4.5,
    "passed": False,
}
ODD = [
    None, True, False, 0, 1, 2, 2.0, 2.5, -1, 0.5, 0.25, 0.5 + 1e-12, 0.5 + 1e-7, 1e-320, 1e308, -1e308, 10**400,
    float("nan"), float("inf"), float("-inf"), "", " ", "0", "4", "nan", "yes", "knit", "Knit", "rolled hem", "pin tuck",
    "x" * 81, "x" * 2001, "a\nb", "a\tb", "a\rb", "a\x00b", "\u2028", "\xa0", "\ud800", "é", "\U0001f9f5",
    "2025-03-14", "2025-02-30", "2025-03-14T10:30:00+00:00", "0001-01-01", "9999-12-31T23:59:59-23:59",
    b"knit", [], [4.0], {}, (), object(), Decimal(2), Decimal("NaN"), Fraction(5, 2), 3 + 0j,
]  # fmt: skip


def edges(name: str) -> list[Any]:
    """Values on both sides of a column's limits."""
    rule = COLUMNS[name].rule
    if rule.kind in ("number", "integer"):
        return [rule.low, rule.high, rule.low - 1, rule.high + 1, rule.low - 1e-9, rule.high + 1e-9]
    if rule.kind == "text":
        return ["x" * int(rule.low), "x" * int(rule.high), "x" * (int(rule.high) + 1)]
    return list(rule.choices)


@st.composite
def rows(draw: st.DrawFn) -> dict[str, Any]:
    """A good row with a few columns replaced by anything, left out, or unknown."""
    row = dict(GOOD)
    for name in draw(st.lists(st.sampled_from(list(COLUMNS)), max_size=3, unique=True)):
        anything = st.sampled_from(ODD) | st.sampled_from(edges(name) or [None]) | st.floats() | st.text(max_size=5) | st.integers()
        row[name] = draw(anything)
    for name in draw(st.lists(st.sampled_from([*COLUMNS, "colour", "Gsm"]), max_size=1)):
        if name in row:
            del row[name]
        elif name not in COLUMNS:
            row[name] = draw(st.none() | st.text(max_size=3))
    if isinstance(row.get("id"), str):
        del row["id"]  # the batch also holds ids to be unique, which no single row shows
    return row


def verdicts_agree(batch: list[dict[str, Any]]) -> frozenset[int]:
    """The bad rows, on which both checks must agree."""
    bad = check_rows(batch).bad_rows
    assert {number: row_faults(row) for number, row in enumerate(batch) if bool(row_faults(row)) != (number in bad)} == {}
    return bad


@settings(max_examples=8, suppress_health_check=[HealthCheck.data_too_large, HealthCheck.too_slow])
@given(st.lists(rows(), min_size=1, max_size=60))
@example([GOOD])
def test_the_row_check_and_the_suite_give_the_same_verdict_on_every_row(batch: list[dict[str, Any]]) -> None:
    verdicts_agree(batch)


def test_they_agree_on_every_odd_value_in_every_column() -> None:
    batch = [GOOD | {name: value} for name in COLUMNS for value in (*ODD, *edges(name))]
    for number, row in enumerate(batch):
        if isinstance(row.get("id"), str) and row["id"].strip():
            row["id"] = f"{row['id']}{number}"[:66]
    assert 500 < len(verdicts_agree(batch)) < len(batch) - 200  # neither verdict is rare here


def test_a_batch_of_one_kind_of_nothing_is_still_looked_at() -> None:
    batch = [GOOD | {"gsm": None, "thickness": None}] * 3
    report = check_rows(batch)
    assert report.bad_rows == {0, 1, 2}
    assert {fault.column for fault in report.faults} == {"gsm"}


def test_a_report_tells_row_column_and_what_was_expected() -> None:
    report = check_rows([GOOD, GOOD | {"gsm": 5}])
    (fault,) = report.faults
    assert (fault.row, fault.column, fault.sentence) == (1, "gsm", "gsm (weight): expected a number from 15 to 1000 g/m2")
    assert not report.passed
    assert sum(outcome.faults for outcome in report.rules) == 1


def test_an_empty_batch_passes_and_trials_pass_but_not_the_same_one_twice() -> None:
    assert check_rows([]).passed
    one, other = trial_of(GOOD), trial_of(GOOD)
    assert check_trials([one, other]).passed
    assert check_trials([one, other, one]).bad_rows == {0, 2}


@pytest.mark.filterwarnings("default")
def test_threads_that_check_at_once_get_their_own_verdicts() -> None:
    wrong: list[dict[str, Any]] = [{"gsm": 5}, {"stitch": "none"}, {"length": 99}, {}]
    batches = [[GOOD | (fault if place == number else {}) for place in range(4)] for number, fault in enumerate(wrong)]
    found: dict[int, set[tuple[int, str]]] = {}

    def check(number: int) -> None:
        found[number] = {(fault.row, fault.column) for fault in check_rows(batches[number]).faults}

    threads = [threading.Thread(target=check, args=(number,)) for number in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert found == {number: {(number, column) for column in fault} for number, fault in enumerate(wrong)}
