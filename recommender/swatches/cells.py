"""One cell of a file typed by hand: what was meant by it, and how a value is written."""

import re
from collections.abc import Callable
from typing import Any

from recommender.errors import AmbiguousUnit, OveredgeError
from recommender.swatches.columns import COLUMNS, Column
from recommender.swatches.csvfile import is_help
from recommender.swatches.moments import MOMENT_RULE
from recommender.trade.needles import needle_size
from recommender.trade.units import stitch_length, thread_size, weight

YES = frozenset({"yes", "y", "true", "1", "x", "pass", "passed", "ok", "good"})
NO = frozenset({"no", "n", "false", "0", "fail", "failed", "bad"})
NOTHING = frozenset({"", "-", "–", "—", "?", "n/a", "na", "none"})
"""What people write where there is nothing to write; in free text only the empty cell is nothing."""

_NUMBER = re.compile(r"[+-]?\d{1,20}(?:\.\d{1,20})?(?:e[+-]?\d{1,3})?", re.IGNORECASE | re.ASCII)
_DECIMAL_COMMA = re.compile(r"([+-]?\d{1,20}),(\d{1,20})", re.ASCII)
_DAY_FIRST = re.compile(r"(\d{1,2})([./-])(\d{1,2})\2(\d{4})\b(.*)", re.ASCII)
_YEAR_FIRST = re.compile(r"(\d{4})[./-](\d{1,2})[./-](\d{1,2})\b(.*)", re.ASCII)
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "'")
"""Beginnings of a cell that a spreadsheet takes for a formula, and the mark that keeps it from doing so."""

WITH_UNITS: dict[str, Callable[[str], float]] = {
    "gsm": weight,
    "needle_tex": thread_size,
    "looper_tex": thread_size,
    "length": stitch_length,
    "needle_size": needle_size,
}
"""Columns whose cells may carry a unit of their own, such as `6.1 oz`, and what reads them."""


class DateOpen(OveredgeError, ValueError):
    """A date that can be read in two ways."""


def value_of(column: Column, cell: str, *, decimal_comma: bool = False) -> Any:
    """The value that a cell means for a column: None for nothing, and the text itself where it means nothing known.

    The column's rule then says what is wrong with a text that is no value.

    >>> value_of(COLUMNS["length"], "10 spi"), value_of(COLUMNS["passed"], "Pass"), value_of(COLUMNS["stitch"], "Rolled_Hem")
    (2.54, True, 'rolled hem')
    """
    kind = column.rule.kind
    if kind == "text" and column.rule is not MOMENT_RULE:
        return unguarded(cell) or None
    if is_nothing(cell):
        return None
    text = cell.strip()
    if column.rule is MOMENT_RULE:
        return date_of(text)
    if kind == "flag":
        return True if text.casefold() in YES else False if text.casefold() in NO else text
    if kind == "choice":
        return next((choice for choice in column.rule.choices if _bare(choice) == _bare(text)), text)
    return _number(column, text, decimal_comma)


def is_nothing(cell: str) -> bool:
    """Whether nothing is said in a cell that is not for free text."""
    return cell.strip().casefold() in NOTHING


def number_of(text: str, *, decimal_comma: bool = False) -> float | None:
    """The number that a text is, or None where it is none.

    >>> number_of("4,5", decimal_comma=True), number_of("−1"), number_of("4,5"), number_of("nan")
    (4.5, -1.0, None, None)
    """
    text = text.strip().replace("−", "-")
    if decimal_comma:
        text = _DECIMAL_COMMA.sub(r"\1.\2", text) if _DECIMAL_COMMA.fullmatch(text) else text
    return float(text) if _NUMBER.fullmatch(text) else None


def date_of(text: str) -> str:
    """A date in the way in which it is kept, where it is one; else the text itself.

    >>> date_of("14.3.2025 16:30"), date_of("2025-3-14"), date_of("25/12/2025")
    ('2025-03-14 16:30', '2025-03-14', '2025-12-25')

    Raises
    ------
    DateOpen
        If day and month cannot be told apart.
    """
    if found := _YEAR_FIRST.fullmatch(text):
        year, month, day, rest = found.groups()
        return f"{year}-{int(month):02}-{int(day):02}{rest}"
    if not (found := _DAY_FIRST.fullmatch(text)):
        return text
    first, mark, second, year, rest = found.groups()
    day, month = int(first), int(second)
    if mark != "." and day <= 12 and month <= 12 and day != month:
        raise DateOpen(
            f"got {text[:40]!r}, which may be day/month or month/day; write {year}-{month:02}-{day:02} or {year}-{day:02}-{month:02}"
        )
    if mark != "." and month > 12:
        day, month = month, day
    return f"{year}-{month:02}-{day:02}{rest}"


def cell_of(name: str, value: Any) -> str:
    """How a value of a column is written, so that `value_of` gives it back and no spreadsheet takes it for a formula.

    >>> cell_of("note", "=1+1"), cell_of("passed", True), cell_of("gsm", 220.0), cell_of("gsm", None)
    ("'=1+1", 'yes', '220', '')
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str) and COLUMNS[name].rule.kind == "text":
        return guarded(value)
    return str(value).removesuffix(".0")


def guarded(text: str) -> str:
    """Text with an apostrophe before it where it would be taken for a formula or for help, or where its ends are blank."""
    needs_guard = text.startswith(_FORMULA) or text != text.strip() or is_help(text)
    return f"'{text}" if needs_guard else text


def unguarded(cell: str) -> str:
    """The text of a cell: without the apostrophe that `guarded` put before it, or without the blanks around it."""
    bare = cell.removeprefix("'")
    return bare if bare != cell and guarded(bare) == cell else cell.strip()


def _number(column: Column, text: str, decimal_comma: bool) -> float | str:
    number = number_of(text, decimal_comma=decimal_comma)
    is_packet_number = column.name == "needle_size" and number is not None and number < column.rule.low  # 12 is 80/12
    if number is not None and not is_packet_number:
        return number
    try:
        return WITH_UNITS[column.name](text) if column.name in WITH_UNITS else text
    except AmbiguousUnit:  # a bare number has the column's unit; this one is no number as numbers are written here
        return text


def _bare(word: str) -> str:
    return " ".join(word.casefold().replace("_", " ").replace("-", " ").split())
