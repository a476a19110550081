"""Trials from a file typed by hand: good rows go in, every bad row comes back as typed with a sentence a fault."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from recommender.errors import FileFault
from recommender.swatches.csvfile import write
from recommender.swatches.sifting import Progress, RejectedRow, Sifted, sift, silent
from recommender.swatches.store import Store


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportReport:
    """What became of a file."""

    added: int
    """Rows that were logged."""
    known: int
    """Rows that the log held already."""
    rows: tuple[RejectedRow, ...]
    """Rows that cannot be logged as they stand."""
    rejects: Path | None
    """The file that holds them, to be mended and imported again; None where there are none, or nowhere to put them."""
    unread: tuple[str, ...]
    """Columns of the file that are none of the log and were not read."""

    @property
    def rejected(self) -> int:
        """Number of rows that cannot be logged as they stand."""
        return len(self.rows)

    @property
    def sentence(self) -> str:
        """The report in words."""
        parts = [f"{self.added} added", f"{self.known} known already", f"{self.rejected} rejected"]
        where = f" (see {self.rejects})" if self.rejects else ""
        unread = f"; columns not read: {', '.join(self.unread)}" if self.unread else ""
        return ", ".join(parts) + where + unread


def import_csv(
    store: Store,
    source: Path | str | bytes,
    rejects: Path | str | None = None,
    progress: Progress = silent,
    machines: Mapping[str, str] | None = None,
) -> ImportReport:
    """Log the rows of a CSV file.

    Importing the same file twice adds nothing: a row without an id gets one made from what it says.

    Parameters
    ----------
    store
        The log.
    source
        The file's path, or its bytes: UTF-8 or Windows' western letters; commas, semicolons (then with decimal commas) or tabs.
    rejects
        Where rejected rows go; where not given, beside the file under a name not yet taken, and nowhere for bytes.
    progress
        Told what is being done; nothing is logged where it raises an error.
    machines
        By a name that the file has for a machine and the studio does not know: its name in the studio.

    Raises
    ------
    FileFault
        If the file cannot be read, its header makes no sense, or the rejects cannot be written; then nothing is logged.
    UnknownName
        If a name is matched to a machine that the studio does not know either; then nothing is logged.
    InvalidValue
        If a name is matched twice, or for nothing; then nothing is logged.
    """
    found = sift(store, source, progress, machines)
    where = _write_rejects(source, rejects, found) if found.bad else None
    progress("Writing to the log", 0.95)
    added = len(store.record_new(row.trial for row in found.new))
    known = len(found.new) + len(found.known) - added
    return ImportReport(added=added, known=known, rows=found.bad, rejects=where, unread=found.header.unread)


def _write_rejects(source: Path | str | bytes, rejects: Path | str | None, found: Sifted) -> Path | None:
    """Write the rejected rows as typed, each after its line and its faults."""
    if rejects is None and isinstance(source, bytes):
        return None
    path = Path(rejects) if rejects is not None else _free_name(Path(str(source)))
    if not isinstance(source, bytes) and path.resolve() == Path(source).resolve():
        raise FileFault(f"rejects: {path} is the file that is imported; give another path")
    write(path, found.rejects, found.delimiter)
    return path


def _free_name(source: Path) -> Path:
    """A name beside the file that is not taken: rejects that somebody is mending are not overwritten."""
    number = 1
    while True:
        path = source.with_name(f"{source.stem}.rejects{'' if number == 1 else f'-{number}'}.csv")
        if not path.exists():
            return path
        number += 1
