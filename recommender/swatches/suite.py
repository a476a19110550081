"""The gate for whole batches: a Great Expectations suite derived from the column rules.

It gives every row the verdict that `row_faults` gives it, by another road, and looks at what no single row shows. Great
Expectations takes seconds to import and must not be shared between threads: it is imported here inside functions, and every run
has a context of its own.
"""

import sys
from collections.abc import Iterator, Mapping, Sequence
from copy import copy
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from recommender.errors import StudioError
from recommender.swatches.columns import COLUMNS, Column, called, tension_column
from recommender.swatches.frame import AS_THE_STITCH_RUNS, FITTING, frame_of
from recommender.swatches.moments import MOMENT_RULE
from recommender.swatches.rows import row_of
from recommender.swatches.trial import Trial
from recommender.trade.thread import POSITIONS

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True, slots=True)
class RowFault:
    """One fault of one row."""

    row: int
    """Number of the row in the batch, from 0."""
    column: str
    """The column at fault."""
    sentence: str
    """What is wrong."""
    id: str = ""
    """The id of its trial; empty where it has none."""


@dataclass(frozen=True, slots=True)
class RuleOutcome:
    """How one rule fared over the batch."""

    column: str
    """The column that it looks at."""
    expected: str
    """What it expects."""
    faults: int
    """Rows that break it."""


@dataclass(frozen=True, slots=True)
class ValidationReport:
    """The verdict on a batch."""

    rows: int
    """Rows looked at."""
    rules: tuple[RuleOutcome, ...]
    """Every rule, in the order of the columns."""
    faults: tuple[RowFault, ...]
    """Every fault, by row."""

    @property
    def passed(self) -> bool:
        """Whether nothing is wrong."""
        return not self.faults

    @property
    def bad_rows(self) -> frozenset[int]:
        """Numbers of the rows with a fault."""
        return frozenset(fault.row for fault in self.faults)


def check_rows(rows: Sequence[Mapping[str, Any]]) -> ValidationReport:
    """Check a batch of rows before it is imported or learned from.

    A column that a row leaves out has its default, as in `row_faults`.

    Raises
    ------
    StudioError
        If a rule could not be applied at all.
    """
    rules = list(_rules()) if rows else []
    outcomes, faults = [], []
    for (column, expected), bad in zip(((c, e) for c, e, _ in rules), _run(rules, rows), strict=True):
        outcomes.append(RuleOutcome(column, expected, len(bad)))
        faults += [RowFault(row, column, f"{called(column)}: expected {expected}", str(rows[row].get("id") or "")) for row in bad]
    return ValidationReport(len(rows), tuple(outcomes), tuple(sorted(faults, key=lambda fault: fault.row)))


def check_trials(trials: Sequence[Trial]) -> ValidationReport:
    """Check logged trials, in the order given."""
    return check_rows([row_of(trial) for trial in trials])


THREADS_EXPECTED = "a dial number where the stitch runs a thread, nothing where it runs none"
Ruled = tuple[str, str, Any]


def _rules() -> Iterator[Ruled]:
    """Column, what is expected of it, and the expectation, for every rule."""
    gxe = _vocabulary()
    for column in COLUMNS.values():
        for expectation in _of_column(column):
            yield column.name, column.expected, expectation
        if column.rule is MOMENT_RULE:
            exists = gxe.ExpectColumnValuesToBeInSet(column=f"{column.name}: exists", value_set=[True])
            yield column.name, column.expected, exists
    for position in POSITIONS:
        name = tension_column(position)
        runs = gxe.ExpectColumnValuesToBeInSet(column=f"{name}: thread", value_set=[AS_THE_STITCH_RUNS])
        yield name, THREADS_EXPECTED, runs
    yield "row", "only columns of the log", gxe.ExpectColumnValuesToBeInSet(column="strays", value_set=[0])
    yield "id", "an id that no other row has", gxe.ExpectColumnValuesToBeUnique(column="id")


def _of_column(column: Column) -> Iterator[Any]:
    gxe = _vocabulary()
    name, rule = column.name, column.rule
    kinds = [FITTING[rule.kind], *([] if rule.required else ["nothing"])]
    yield gxe.ExpectColumnValuesToBeInSet(column=f"{name}: kind", value_set=kinds)
    if rule.kind == "choice":
        yield gxe.ExpectColumnValuesToBeInSet(column=name, value_set=list(rule.choices))
    elif rule.kind == "text":
        yield gxe.ExpectColumnValueLengthsToBeBetween(column=name, min_value=int(rule.low), max_value=int(rule.high))
        yield gxe.ExpectColumnValuesToNotMatchRegex(column=name, regex=_unprintable())
    elif rule.kind != "flag":
        yield gxe.ExpectColumnValuesToBeBetween(column=name, min_value=rule.low, max_value=rule.high)
        if rule.step or rule.kind == "integer":
            yield gxe.ExpectColumnValuesToBeBetween(column=f"{name}: off step", max_value=1e-9 if rule.step else 0)


def _vocabulary() -> Any:
    """The module that holds every expectation; its names are not typed as exported."""
    import great_expectations.expectations as gxe

    return gxe


def _run(rules: Sequence[Ruled], rows: Sequence[Mapping[str, Any]]) -> list[list[int]]:
    """The rows that break each rule; which rows they are is asked of those rules alone that are broken, which takes half the time."""
    if not rules:
        return []
    frame, found = frame_of(rows), [list[int]() for _ in rules]
    verdicts = _results(frame, {number: expectation for number, (_, _, expectation) in enumerate(rules)}, "BOOLEAN_ONLY")
    broken = [number for number in range(len(rules)) if not verdicts[number].success]
    wanted = {"result_format": "COMPLETE", "unexpected_index_column_names": ["row"]}
    named = _results(frame, {number: rules[number][2] for number in broken}, wanted)
    for number in broken:
        found[number] = _bad_rows(rules[number][0], named[number])
    return found


def _results(frame: "pd.DataFrame", expectations: Mapping[int, Any], wanted: Any) -> dict[int, Any]:
    """What each of some numbered expectations has found."""
    if not expectations:
        return {}
    import great_expectations as gx

    context: Any = gx.get_context(mode="ephemeral")
    context.variables.progress_bars = {"globally": False}
    batch = context.data_sources.add_pandas("log").add_dataframe_asset("rows").add_batch_definition_whole_dataframe("all")
    numbered = {number: copy(expectation) for number, expectation in expectations.items()}  # each belongs to one suite
    for number, expectation in numbered.items():
        expectation.meta = {"rule": number}  # results come in an order of their own
    suite = context.suites.add(gx.ExpectationSuite(name="columns", expectations=list(numbered.values())))
    check = gx.ValidationDefinition(name="gate", data=batch, suite=suite)
    results: Any = check.run(batch_parameters={"dataframe": frame}, result_format=wanted).results
    return {result.expectation_config.meta["rule"]: result for result in results}


def _bad_rows(column: str, result: Any) -> list[int]:
    """The rows named in the result of a broken rule.

    Raises
    ------
    StudioError
        If it names none: the rule was not applied.
    """
    bad = [int(entry["row"]) for entry in result.result.get("unexpected_index_list") or []]
    if not bad:
        raise StudioError(f"check of {column}: it could not be made; {str(result.exception_info)[:300]}")
    return bad


@cache
def _unprintable() -> str:
    """A regular expression for the characters that no text may hold."""
    ranges, start = [], None
    for code in range(sys.maxunicode + 2):
        is_bad = code <= sys.maxunicode and not (chr(code).isprintable() or chr(code) in "\n\t")
        if is_bad and start is None:
            start = code
        elif not is_bad and start is not None:
            ranges.append(f"\\U{start:08x}-\\U{code - 1:08x}")
            start = None
    return f"[{''.join(ranges)}]"
