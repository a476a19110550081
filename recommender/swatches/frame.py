"""Rows as a table whose columns hold one kind each, so that a batch check can look at any value at all.

A value that is not of its column's kind is null there, and a column beside it, `<name>: kind`, says what it was.
"""

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from recommender.swatches.columns import COLUMNS, Column, tension_column
from recommender.swatches.moments import MOMENT_RULE, is_date
from recommender.trade.stitch import stitch, stitches
from recommender.trade.thread import POSITIONS

if TYPE_CHECKING:
    import pandas as pd

AS_THE_STITCH_RUNS = "as the stitch runs"
"""Said of a tension that is given where the stitch runs a thread, or left out where it runs none; or the stitch is unknown."""

FITTING = {"number": "number", "integer": "number", "choice": "text", "text": "text", "flag": "flag"}
"""Kind of value by kind of rule."""


def frame_of(rows: Sequence[Mapping[str, Any]]) -> "pd.DataFrame":
    """The rows as a table, one line a row, numbered in the column `row`.

    Besides each column and its `: kind` there are `<tension>: thread` (whether it is given as the stitch runs a thread there),
    `<name>: off step` (distance from the nearest step, in steps, relative to the number of steps), `when: exists`, and
    `strays`, the number of columns that a row has and the log has not.
    """
    import pandas as pd  # a quick command must not wait for it

    made: dict[str, Any] = {"row": list(range(len(rows)))}
    for column in COLUMNS.values():
        made |= _columns(column, [row.get(column.name, column.default) for row in rows])
    made |= _threads(rows)
    made["strays"] = [sum(name not in COLUMNS for name in row) for row in rows]
    return pd.DataFrame({name: pd.Series(values, dtype=_dtype(name)) for name, values in made.items()})


def _columns(column: Column, given: list[object]) -> dict[str, list[Any]]:
    kinds = [kind_of(value) for value in given]
    fitting = FITTING[column.rule.kind]
    values: list[Any] = [value if kind == fitting else None for value, kind in zip(given, kinds, strict=True)]
    if fitting == "number":
        values = [None if value is None else float(value) for value in values]
    made = {column.name: values, f"{column.name}: kind": kinds}
    if step := (column.rule.step or (column.rule.kind == "integer")):
        made[f"{column.name}: off step"] = [None if value is None else _off_step(value / step) for value in values]
    if column.rule is MOMENT_RULE:
        made[f"{column.name}: exists"] = [value is None or is_date(value) for value in values]
    return made


def _threads(rows: Sequence[Mapping[str, Any]]) -> dict[str, list[str]]:
    stitches_named = [row.get("stitch") for row in rows]
    running = [stitch(name).positions if isinstance(name, str) and name in stitches() else None for name in stitches_named]
    made = {}
    for position in POSITIONS:
        given = [row.get(tension_column(position)) is not None for row in rows]
        fits = [threads is None or is_given == (position in threads) for threads, is_given in zip(running, given, strict=True)]
        made[f"{tension_column(position)}: thread"] = [AS_THE_STITCH_RUNS if fit else "otherwise" for fit in fits]
    return made


def kind_of(value: Any) -> str:
    """What a value is: nothing, a flag, text, a number, or something that no column holds.

    >>> [kind_of(value) for value in (None, True, "5", 5, float("nan"), [5])]
    ['nothing', 'flag', 'text', 'number', 'no finite number', 'list']
    """
    if value is None:
        return "nothing"
    if type(value).__name__ in ("bool", "bool_"):  # Python's and numpy's
        return "flag"
    if isinstance(value, str | bytes):
        return "text" if isinstance(value, str) and _is_whole(value) else "broken text"
    try:
        number = float(value)
    except OverflowError:
        return "no finite number"
    except (TypeError, ValueError):
        return type(value).__name__
    return "number" if math.isfinite(number) else "no finite number"


def _off_step(steps: float) -> float:
    if math.isinf(steps):  # far out of any range, which another rule tells
        return 0.0
    nearest = round(steps)
    return abs(steps - nearest) / max(1.0, abs(steps), abs(nearest))


def _is_whole(text: str) -> bool:
    return not any("\ud800" <= character <= "\udfff" for character in text)


def _dtype(name: str) -> str:
    if name in {"row", "strays"}:
        return "int64"
    is_number = name.endswith(": off step") or (name in COLUMNS and FITTING[COLUMNS[name].rule.kind] == "number")
    return "float64" if is_number else "object"
