"""What an import would do with a file, before anything is written."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from recommender.swatches.columns import COLUMNS
from recommender.swatches.csvfile import written
from recommender.swatches.headers import OURS, UNIT_COLUMNS, Header
from recommender.swatches.sifting import GoodRow, Progress, RejectedRow, sift, silent
from recommender.swatches.store import Store

_CELLS = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars"}


@dataclass(frozen=True, slots=True)
class MatchedColumn:
    """What one column of a file was taken for."""

    heading: str
    """Its heading as typed."""
    columns: tuple[str, ...]
    """The columns of the log that it gives; none where it is not read."""
    meaning: str
    """What is in it, or why it is not read, in a sentence."""
    example: str
    """The first thing that is typed in it; empty where nothing is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Preview:
    """What an import would do with a file."""

    layout: str
    """How the file was read: what stands between cells, its decimal sign, its letters."""
    columns: tuple[MatchedColumn, ...]
    """What each column of the file was taken for, in the file's order."""
    left_out: tuple[str, ...]
    """Columns of the log that the file has not and that have no default: nothing is noted there."""
    new: tuple[GoodRow, ...]
    """Rows that would be logged."""
    known: tuple[GoodRow, ...]
    """Rows that the log, or an earlier row of the file, holds already."""
    rows: tuple[RejectedRow, ...]
    """Rows that cannot be logged as they stand."""
    strangers: Mapping[str, int]
    """Names of machines that the studio does not know, each with how many rows have it; they may have been matched."""
    rejects: bytes
    """The CSV file of those rows, as an import would write it; empty where there are none."""

    @property
    def sentence(self) -> str:
        """The preview in words."""
        return f"{len(self.new)} would go in, {len(self.known)} known already, {len(self.rows)} would be refused"


def preview_csv(
    store: Store, source: Path | str | bytes, progress: Progress = silent, machines: Mapping[str, str] | None = None
) -> Preview:
    """Look at a CSV file as `import_csv` does, and write nothing.

    Parameters
    ----------
    store
        The log.
    source
        The file's path, or its bytes.
    machines
        By a name that the file has for a machine and the studio does not know: its name in the studio.

    Raises
    ------
    FileFault
        If the file cannot be read, or its header makes no sense.
    UnknownName
        If a name is matched to a machine that the studio does not know either.
    InvalidValue
        If a name is matched twice, or for nothing.
    """
    found = sift(store, source, progress, machines)
    decimal = "4.5" if found.delimiter == "," else "4,5 or 4.5"
    columns = tuple(
        _matched(heading, name, example) for heading, name, example in zip(found.headings, found.header.names, found.example, strict=True)
    )
    return Preview(
        layout=f"{_CELLS[found.delimiter]} between cells, numbers such as {decimal}, letters in {found.letters}",
        columns=columns,
        left_out=_left_out(found.header),
        new=found.new,
        known=found.known,
        rows=found.bad,
        strangers=found.strangers,
        rejects=written(found.rejects, found.delimiter) if found.bad else b"",
    )


def _matched(heading: str, name: str, example: str) -> MatchedColumn:
    if name in UNIT_COLUMNS:
        return MatchedColumn(heading, UNIT_COLUMNS[name].targets, UNIT_COLUMNS[name].help, example)
    if name:
        return MatchedColumn(heading, (name,), COLUMNS[name].rule.help, example)
    ours = heading.strip().casefold() in OURS
    return MatchedColumn(heading, (), "Written by an earlier import beside each refused row." if ours else "No column of the log.", example)


def _left_out(header: Header) -> tuple[str, ...]:
    given = {target for name in header.names for target in (UNIT_COLUMNS[name].targets if name in UNIT_COLUMNS else (name,))}
    return tuple(name for name, column in COLUMNS.items() if name not in given and column.default is None and name not in ("id", "when"))
