"""The column table: derived, complete, and fast."""

import subprocess
import sys
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recommender.errors import InvalidValue
from recommender.swatches.columns import _QUANTITIES, _TITLES, COLUMNS, faults_by_column, row_faults
from recommender.swatches.rows import row_of, trial_of
from recommender.trade.fabric import Fabric
from recommender.trade.readings import RULE
from recommender.trade.rules import rules_of
from recommender.trade.stitch import stitch, stitches

NAMES = (
    "fabric construction fibre gsm stretch stretch_along elastane thickness plies grain needle_tex needle_fibre needle_kind "
    "looper_tex looper_fibre looper_kind stitch machine tension_left_needle tension_right_needle tension_upper_looper "
    "tension_lower_looper differential length width foot_pressure passed edge_lie looper_balance needle_line edge_wrap stitch_cover "
    "skipped_stitches thread_break needle_break needle_holes jam seam_change needle_size needle_hours who when note id"
)


def test_the_columns_stand_in_their_order() -> None:
    assert list(COLUMNS) == NAMES.split()


def test_a_column_takes_the_rule_that_stands_beside_the_field() -> None:
    assert COLUMNS["gsm"].rule is rules_of(Fabric)["gsm"]
    assert replace(COLUMNS["edge_wrap"].rule, help=RULE.help) == RULE
    assert COLUMNS["fabric"].rule is rules_of(Fabric)["name"]
    assert COLUMNS["stitch"].rule.choices == stitches()


def test_every_column_has_help() -> None:
    assert [name for name, column in COLUMNS.items() if not column.rule.help] == []


def test_what_must_be_given_is_what_has_no_default() -> None:
    needed = [name for name, column in COLUMNS.items() if column.must_be_given]
    assert needed == ["fabric", "construction", "fibre", "gsm", "stitch", "machine", "differential", "length", "width", "passed"]


def test_form_limits_are_of_one_kind() -> None:
    assert COLUMNS["plies"].limits() | {"help": ""} == {"min_value": 1, "max_value": 6, "step": 1, "help": ""}
    for name in ("gsm", "edge_lie", "differential", "tension_left_needle"):
        limits = COLUMNS[name].limits()
        assert {type(limits[key]) for key in ("min_value", "max_value", "step")} == {float}


def test_a_good_row_has_no_fault_and_comes_back(row: dict[str, Any]) -> None:
    assert row_faults(row) == ()
    trial = trial_of(row)
    assert trial_of(row_of(trial)) == trial
    assert list(row_of(trial)) == list(COLUMNS)
    assert trial.when == datetime(2025, 3, 14, 10, 30, tzinfo=UTC)


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"gsm": 5}, "weight: got 5, expected a number from 15 to 1000 g/m2"),
        ({"gsm": "220"}, "weight: got '220', expected a number from 15 to 1000 g/m2"),
        ({"gsm": None}, "weight: nothing given, expected a number from 15 to 1000 g/m2"),
        ({"gsm": True}, "weight: got True, expected a number from 15 to 1000 g/m2"),
        ({"plies": 2.5}, "layers sewn: got 2.5, expected a whole number from 1 to 6"),
        ({"passed": 1}, "pass or fail: got 1, expected yes or no"),
        ({"edge_lie": float("nan")}, "how the edge lies: got nan, expected a number from -2 to 2 in steps of 0.5"),
        (
            {"when": "2025-02-30"},
            "when it was sewn: got '2025-02-30', expected a date from 1951 until tomorrow such as 2025-03-14 or 2025-03-14 16:30",
        ),
        ({"colour": "red"}, "colour: there is no such column"),
        (
            {"tension_left_needle": 4},
            "left needle tension: got a dial number, but the rolled hem runs no thread there; leave it out",
        ),
        (
            {"tension_lower_looper": None},
            "lower looper tension: nothing given, but the rolled hem runs a thread there; give its dial number",
        ),
    ],
)
def test_each_fault_is_a_sentence(row: dict[str, Any], change: dict[str, Any], sentence: str) -> None:
    assert "; ".join(row_faults(row | change)) == sentence
    with pytest.raises(InvalidValue):
        trial_of(row | change)


@pytest.mark.parametrize(
    ("change", "start"),
    [
        ({"gsm": 5}, "gsm (weight): got 5"),
        ({"differential": 9}, "differential feed: got 9"),
        ({"foot_pressure": "x"}, "foot_pressure: got"),
        ({"tension_lower_looper": None}, "tension_lower_looper: nothing given"),
    ],
)
def test_who_reads_a_file_is_told_its_heading_and_nothing_twice(row: dict[str, Any], change: dict[str, Any], start: str) -> None:
    ((column, sentence),) = faults_by_column(row | change)
    assert column == next(iter(change))
    assert sentence.startswith(start)


@pytest.mark.parametrize("words", [_TITLES, _QUANTITIES])
def test_every_word_for_a_column_is_for_one_that_there_is(words: dict[str, str]) -> None:
    assert set(words) <= set(COLUMNS)


def test_every_fault_of_a_row_is_told_at_once(row: dict[str, Any]) -> None:
    assert len(row_faults(row | {"gsm": 1, "plies": 9, "who": 5})) == 3


def test_an_empty_row_lacks_everything_that_must_be_given() -> None:
    assert len(row_faults({})) == sum(column.must_be_given for column in COLUMNS.values())


def good_values(name: str) -> st.SearchStrategy[Any]:
    rule = COLUMNS[name].rule
    if name == "when":
        moments = st.datetimes(datetime(1951, 1, 1), datetime(2025, 12, 31), timezones=st.just(UTC))  # noqa: DTZ001  # the zone is given apart
        return moments.map(lambda moment: moment.isoformat())
    match rule.kind:
        case "choice":
            values: st.SearchStrategy[Any] = st.sampled_from(rule.choices)
        case "flag":
            values = st.booleans()
        case "integer":
            values = st.integers(int(rule.low), int(rule.high))
        case "text":
            letters = st.characters(exclude_categories=["C", "Z"]).filter(str.isprintable)
            values = st.text(letters, min_size=int(rule.low), max_size=min(int(rule.high), 30))
        case "number":
            steps = st.integers(-4, 4).map(lambda step: step / 2)
            values = steps if rule.step else st.floats(rule.low, rule.high)
    return values if rule.required else values | st.none()


@st.composite
def good_rows(draw: st.DrawFn) -> dict[str, Any]:
    row = {name: draw(good_values(name)) for name in COLUMNS}
    running = stitch(row["stitch"]).positions
    for position in ("left needle", "right needle", "upper looper", "lower looper"):
        tension = st.floats(0, 30) if position in running else st.none()
        row["tension_" + position.replace(" ", "_")] = draw(tension)
    return row


@given(good_rows())
def test_every_row_within_the_rules_makes_a_trial_and_comes_back(row: dict[str, Any]) -> None:
    assert row_faults(row) == ()
    trial = trial_of(row)
    assert trial_of(row_of(trial)) == trial
    kept = row_of(trial)
    given = {name: value for name, value in row.items() if value is not None and name != "when"}
    assert {name: kept[name] for name in given} == given


def test_checking_rows_loads_neither_pandas_nor_great_expectations_nor_a_database() -> None:
    code = "import sys, recommender.swatches.columns, recommender.swatches.rows; print([m for m in sys.modules if m in ('pandas', 'numpy', 'great_expectations', 'sqlalchemy')])"  # noqa: E501  # one line for -c
    found = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    assert found.stdout.strip() == "[]"
