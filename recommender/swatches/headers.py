"""The header of a file typed by hand: which column is which, and in which unit."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from recommender.errors import FileFault
from recommender.swatches.columns import COLUMNS
from recommender.swatches.csvfile import plain
from recommender.trade.units import stitch_length, thread_size, weight

Reader = Callable[[str | float, str | None], float]


@dataclass(frozen=True, slots=True)
class UnitColumn:
    """A column of a file that gives a column of the log in another unit."""

    targets: tuple[str, ...]
    """Columns of the log that it gives."""
    read: Reader
    """What turns it into the log's unit."""
    unit: str | None
    """Unit of a bare number; None where each cell must say it."""
    help: str
    """What to write."""


def _unit_columns() -> dict[str, UnitColumn]:
    found = {
        "weight_oz": UnitColumn(("gsm",), weight, "oz/yd2", "Weight in ounces per square yard."),
        "weight": UnitColumn(("gsm",), weight, None, "Weight with its unit, such as 6.1 oz."),
        "spi": UnitColumn(("length",), stitch_length, "spi", "Stitches per inch."),
        "stitch_length": UnitColumn(("length",), stitch_length, None, "Stitch length with its unit, such as 10 spi."),
    }
    units = {"tex": "tex", "dtex": "dtex", "denier": "denier", "nm": "Nm", "ne": "Ne", "ticket": "metric ticket", "thread": None}
    places = {"": ("needle_tex", "looper_tex"), "needle_": ("needle_tex",), "looper_": ("looper_tex",)}
    for place, targets in places.items():
        threads = "every thread" if not place else f"the {place[:-1]} thread"
        for word, unit in units.items():
            what = f"Size of {threads} in {unit}." if unit else f"Size of {threads} with its unit, such as Nm 80/2."
            found.setdefault(place + word, UnitColumn(targets, thread_size, unit, what))
    return {name: column for name, column in found.items() if name not in COLUMNS}


UNIT_COLUMNS = _unit_columns()
"""Columns in other units that a file may have, by name."""

OURS = ("line", "fault")
"""Columns that a rejects file has besides; they are not read."""


@dataclass(frozen=True, slots=True)
class Header:
    """The header of a file."""

    names: tuple[str, ...]
    """What each place of a row holds: a column of the log, a unit column, or nothing ('')."""
    unread: tuple[str, ...]
    """Headings as typed of the columns that are not read."""


def header_of(headings: Sequence[str]) -> Header:
    """What each column of a file is.

    Raises
    ------
    FileFault
        If a column stands there twice, one looks like a mistyped name, or one that every row needs is missing.
    """
    names = [plain(heading) for heading in headings]
    known = {*COLUMNS, *UNIT_COLUMNS, *OURS}
    if twice := [name for name in dict.fromkeys(names) if name and names.count(name) > 1]:
        raise FileFault(f"header: column {twice[0]!r} stands there twice; take one out")
    for heading, name in zip(headings, names, strict=True):
        free = [other for other in known if other not in names]
        if name and name not in known and (close := get_close_matches(name, free, n=1, cutoff=0.8)):
            raise FileFault(
                f"header: got column {heading[:60]!r}, did you mean {close[0]!r}? Mend its name, or give it one that is not so like"
            )
    given = {target for name in names for target in (UNIT_COLUMNS[name].targets if name in UNIT_COLUMNS else (name,))}
    if missing := [name for name, column in COLUMNS.items() if column.must_be_given and name not in given]:
        raise FileFault(f"header: no column for {', '.join(missing)}; every swatch needs them (an empty template shows all columns)")
    unread = tuple(heading for heading, name in zip(headings, names, strict=True) if name and name not in known)
    return Header(tuple(name if name in known and name not in OURS else "" for name in names), unread)
