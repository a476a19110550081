"""What a file typed by hand would bring into the log, sorted out and nothing written: preview and import both begin here."""

import hashlib
import json
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from recommender.errors import FileFault, InvalidValue
from recommender.swatches.columns import COLUMNS
from recommender.swatches.csvfile import Record, delimiter_of, read_text, records
from recommender.swatches.headers import OURS, UNIT_COLUMNS, Header, header_of
from recommender.swatches.reading import Read, RowReader, known_as
from recommender.swatches.rows import row_of
from recommender.swatches.store import Store
from recommender.swatches.trial import Trial
from recommender.trade.names import unknown

Progress = Callable[[str, float], None]
"""Told now and then what is being done, and which share of the whole is done."""

Typed = tuple[Record, Read]


@dataclass(frozen=True, slots=True)
class GoodRow:
    """A row that can be logged."""

    line: int
    """Its line in the file, from 1."""
    trial: Trial
    """What it says, with its id for good."""


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
class Sifted:
    """A file, sorted out."""

    headings: tuple[str, ...]
    """Its headings as typed."""
    header: Header
    """What they mean."""
    delimiter: str
    """What stands between its cells."""
    letters: str
    """The letters in which it is written."""
    example: tuple[str, ...]
    """For each column, what is typed in the first row that says something there; empty where none does."""
    new: tuple[GoodRow, ...]
    """Rows that the log does not hold."""
    known: tuple[GoodRow, ...]
    """Rows that the log, or an earlier row of the file, holds already."""
    bad: tuple[RejectedRow, ...]
    """Rows that cannot be logged as they stand."""
    strangers: Mapping[str, int]
    """Names of machines that the studio does not know, each with how many rows have it; they may have been matched."""

    @property
    def rejects(self) -> list[list[str]]:
        """The rows of a file that holds the bad ones as typed, each after its line and its faults, to be mended and imported again."""
        old = [place for place, name in enumerate(self.headings) if name.strip().casefold() in OURS]  # of an earlier rejects file

        def typed(cells: Sequence[str]) -> list[str]:
            return [cell for place, cell in enumerate(cells) if place not in old or len(cells) == 1]  # one: a line not taken apart

        lines = [[str(row.line), " | ".join(row.faults), *typed(row.cells)] for row in self.bad]
        return [[*OURS, *typed(self.headings)], *lines]


def silent(_doing: str, _share: float) -> None:
    """Nobody is told."""


def sift(store: Store, source: Path | str | bytes, progress: Progress = silent, machines: Mapping[str, str] | None = None) -> Sifted:
    """Read a file and hold every row against the rules and the log.

    Parameters
    ----------
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
        If a name is matched twice, or for nothing: it is a machine's in the studio, or no row has it.
    """
    matched = _matched(machines or {}, store.machines())
    progress("Reading the file", 0.0)
    text, letters = read_text(source)
    delimiter = delimiter_of(text, {*COLUMNS, *UNIT_COLUMNS})
    heading, *typed = [*records(text, delimiter)] or [Record(1, ("",), "there is none, only help")]
    if heading.fault:
        raise FileFault(f"header: {heading.fault}")
    header = header_of(heading.cells)
    rows = _read(RowReader(header, delimiter != ",", store.machines(), matched), typed, progress)
    progress("Holding the rows against the log", 0.35)
    strangers = _strangers(rows)
    _check_met(machines or {}, strangers)
    rows = _with_ids(rows, store)
    progress("Checking all rows together", 0.4)  # four fifths of the time where the suite has to be loaded first
    rows = _through_the_gate(rows, store)
    new, known = _parted(rows, store)
    bad = tuple(RejectedRow(record.line, record.cells, read.faults) for record, read in rows if read.faults)
    example = tuple(_example(typed, place) for place in range(len(heading.cells)))
    return Sifted(
        headings=heading.cells,
        header=header,
        delimiter=delimiter,
        letters=letters,
        example=example,
        new=new,
        known=known,
        bad=bad,
        strangers=strangers,
    )


def _matched(given: Mapping[str, str], machines: Iterable[str]) -> dict[str, str]:
    """By a name that the file has, without regard to capitals: the machine of the studio that it means."""
    matched: dict[str, str] = {}
    for typed, known in given.items():
        if known not in machines:
            raise unknown("machine", known, machines)
        if known_as(typed.strip(), machines) is not None:
            raise InvalidValue(
                f"machine: got {typed[:60]!r} matched to {known!r}, but this studio has a machine of that name; leave it out"
            )
        if typed.strip().casefold() in matched:
            raise InvalidValue(f"machine: got {typed[:60]!r} matched twice, expected it once, whatever its capitals")
        matched[typed.strip().casefold()] = known
    return matched


def _check_met(given: Mapping[str, str], strangers: Mapping[str, int]) -> None:
    """Raise InvalidValue where a name is matched that no row has."""
    met = {name.casefold() for name in strangers}
    if strays := [typed for typed in given if typed.strip().casefold() not in met]:
        there = f"expected one of: {', '.join(name[:60] for name in strangers)}" if strangers else "and the studio knows every one there"
        raise InvalidValue(f"machine: got {strays[0][:60]!r} matched, but no row of the file has it, {there}; mend it, or leave it out")


def _strangers(rows: Sequence[Typed]) -> Mapping[str, int]:
    """The unknown machines by name, each as it was first typed, with their rows."""
    names = [read.stranger for _, read in rows if read.stranger]
    first = {name.casefold(): name for name in reversed(names)}
    counts = Counter(name.casefold() for name in names)
    return {first[folded]: count for folded, count in counts.items()}


def _read(reader: RowReader, typed: Sequence[Record], progress: Progress) -> list[Typed]:
    rows = []
    for count, record in enumerate(typed):
        if count % 500 == 0:
            progress(f"Reading {len(typed)} rows", 0.35 * count / len(typed))
        rows.append((record, Read(faults=(record.fault,)) if record.fault else reader.read(record.cells)))
    return rows


def _example(typed: Sequence[Record], place: int) -> str:
    said = (record.cells[place].strip() for record in typed if place < len(record.cells) and not record.fault)
    return next((cell for cell in said if cell), "")


def _parted(rows: Sequence[Typed], store: Store) -> tuple[tuple[GoodRow, ...], tuple[GoodRow, ...]]:
    """The good rows that are new, and those that are not."""
    good = [GoodRow(record.line, read.trial) for record, read in rows if read.trial is not None]
    seen, new, known = set(store.known(row.trial.id for row in good)), list[GoodRow](), list[GoodRow]()
    for row in good:
        (known if row.trial.id in seen else new).append(row)
        seen.add(row.trial.id)
    return tuple(new), tuple(known)


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
            fault = f"id: {trial.id!r} stands for a swatch with other values; correct that one in the log, or leave the id empty"
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
