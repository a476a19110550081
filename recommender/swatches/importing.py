"""Trials from a file typed by hand: good rows go in, every bad row comes back as typed with a sentence a fault."""

import hashlib
import json
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from recommender.errors import FileFault
from recommender.swatches.columns import COLUMNS
from recommender.swatches.csvfile import Record, delimiter_of, read_text, records, write
from recommender.swatches.headers import OURS, UNIT_COLUMNS, header_of
from recommender.swatches.reading import Read, RowReader
from recommender.swatches.rows import row_of
from recommender.swatches.store import Store
from recommender.swatches.trial import Trial


@dataclass(frozen=True, slots=True)
class RejectedRow:
    """A row that cannot be logged as it stands."""

    line: int
    """Its line in the file, from 1."""
    cells: tuple[str, ...]
    """Its cells as typed."""
    faults: tuple[str, ...]
    """What is wrong, a sentence a fault."""


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
    """The file that holds them, to be mended and imported again; None where there are none."""
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


def import_csv(store: Store, path: Path | str, rejects: Path | str | None = None) -> ImportReport:
    """Log the rows of a CSV file.

    Importing the same file twice adds nothing: a row without an id gets one made from what it says.

    Parameters
    ----------
    store
        The log.
    path
        The file: UTF-8 or Windows' western letters; commas, semicolons (then with decimal commas) or tabs.
    rejects
        Where rejected rows go; beside the file, under a name not yet taken, where not given.

    Raises
    ------
    FileFault
        If the file cannot be read, its header makes no sense, or the rejects cannot be written; then nothing is logged.
    """
    source = Path(path)
    text = read_text(source)
    delimiter = delimiter_of(text, {*COLUMNS, *UNIT_COLUMNS})
    heading, *typed = [*records(text, delimiter)] or [Record(1, ("",), "there is none, only help")]
    if heading.fault:
        raise FileFault(f"header: {heading.fault}")
    header = header_of(heading.cells)
    reader = RowReader(header, delimiter != ",", store.machines())
    rows = [(record, reader.read(record.cells) if not record.fault else Read(faults=(record.fault,))) for record in typed]
    rows = _through_the_gate(_with_ids(rows, store), store)
    bad = tuple(RejectedRow(record.line, record.cells, read.faults) for record, read in rows if read.faults)
    where = _write_rejects(source, rejects, heading.cells, bad, delimiter) if bad else None
    added = len(store.record_new(read.trial for _, read in rows if read.trial is not None))
    return ImportReport(added=added, known=len(rows) - len(bad) - added, rows=bad, rejects=where, unread=header.unread)


Typed = tuple[Record, Read]


def _with_ids(rows: Sequence[Typed], store: Store) -> list[Typed]:
    """The rows, each trial with its id for good; a row whose id stands for something else becomes a fault."""
    copies: Counter[str] = Counter()
    named = [read.trial.id for _, read in rows if read.trial is not None and read.has_id]
    in_the_log = {trial_id: store.history(trial_id) for trial_id in store.known(named)}
    past = {trial_id: [event.trial for event in events if event.trial] for trial_id, events in in_the_log.items()}
    done = []
    for record, read in rows:
        kept = read
        if (trial := read.trial) is not None and not read.has_id:
            content = _content(trial, read.has_moment)
            copies[content] += 1  # the same swatch sewn twice is two trials
            digest = hashlib.sha256(f"{content} {copies[content]}".encode()).hexdigest()
            kept = replace(read, trial=replace(trial, id=digest[:16]))
        elif trial is not None and not _is_one_of(trial, past.setdefault(trial.id, [trial]), read.has_moment):
            fault = f"id: {trial.id!r} stands for a trial with other values; correct that one in the log, or leave the id empty"
            kept = Read(faults=(fault,))
        done.append((record, kept))
    return done


def _content(trial: Trial, has_moment: bool) -> str:
    """What a row says, whatever its layout; a moment that the row does not name is no part of it."""
    said = {name: value for name, value in row_of(trial).items() if name != "id" and (has_moment or name != "when")}
    return json.dumps(said, sort_keys=True)


def _is_one_of(trial: Trial, past: Sequence[Trial], has_moment: bool) -> bool:
    """Whether a row says what the log or an earlier row says, or ever said, of the trial with its id."""
    return any(trial == (then if has_moment else replace(then, when=trial.when)) for then in past)


def _through_the_gate(rows: Sequence[Typed], store: Store) -> list[Typed]:
    """The rows, those new ones that the batch check refuses turned into faults."""
    from recommender.swatches.suite import check_rows

    trials = {place: read.trial for place, (_, read) in enumerate(rows) if read.trial is not None}
    known = store.known(trial.id for trial in trials.values())
    once = {trial.id: place for place, trial in trials.items() if trial.id not in known}
    report = check_rows([row_of(trials[place]) for place in once.values()])
    ids = list(once)
    sentences: dict[str, list[str]] = {}
    for fault in report.faults:
        sentences.setdefault(ids[fault.row], []).append(fault.sentence)
    faults = [tuple(sentences.get(read.trial.id, ())) if read.trial else () for _, read in rows]
    return [(record, Read(faults=found) if found else read) for (record, read), found in zip(rows, faults, strict=True)]


def _write_rejects(source: Path, rejects: Path | str | None, heading: Sequence[str], bad: Sequence[RejectedRow], delimiter: str) -> Path:
    """Write the rejected rows as typed, each after its line and its faults."""
    path = Path(rejects) if rejects is not None else _free_name(source)
    if path.resolve() == source.resolve():
        raise FileFault(f"rejects: {path} is the file that is imported; give another path")
    old = [place for place, name in enumerate(heading) if name.strip().casefold() in OURS]  # of an earlier rejects file

    def typed(cells: Sequence[str]) -> list[str]:
        return [cell for place, cell in enumerate(cells) if place not in old or len(cells) == 1]  # one: a line that was not taken apart

    lines = [[str(row.line), " | ".join(row.faults), *typed(row.cells)] for row in bad]
    write(path, [[*OURS, *typed(heading)], *lines], delimiter)
    return path


def _free_name(source: Path) -> Path:
    """A name beside the file that is not taken: rejects that somebody is mending are not overwritten."""
    number = 1
    while True:
        path = source.with_name(f"{source.stem}.rejects{'' if number == 1 else f'-{number}'}.csv")
        if not path.exists():
            return path
        number += 1
