"""Files of comma-separated values as spreadsheets write them: in, line by line, and out, all or nothing."""

import codecs
import csv
import io
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from recommender.errors import FileFault
from recommender.swatches.whole import whole

DELIMITERS = (",", ";", "\t")
HELP_MARK = "(help)"
"""A row whose first cell begins with it explains the columns and is no trial."""
SEPARATOR_LINE = re.compile(r"sep=([,;\t|])\s*")
"""A first line by which some spreadsheets say what stands between cells."""

_LONGEST_RECORD = 50
"""Lines that one record may span; a quotation mark left open must not swallow the file."""
_OTHER_FILES = {
    b"PK\x03\x04": "a spreadsheet or an archive",
    b"%PDF": "a PDF",
    b"SQLite format 3": "a database",
    b"\xd0\xcf\x11\xe0": "an old spreadsheet",
}


@dataclass(frozen=True, slots=True)
class Record:
    """One record of a file."""

    line: int
    """Number of the line on which it begins, from 1."""
    cells: tuple[str, ...]
    """Its cells as typed; the line as it stands where it cannot be taken apart."""
    fault: str = ""
    """Why it cannot be taken apart."""


def read_text(source: Path | str | bytes) -> tuple[str, str]:
    """The text of a file, given by its path or as its bytes, and the letters it is in: UTF-8, or Windows' western letters.

    Raises
    ------
    FileFault
        If it cannot be read or is no such text.
    """
    data, file = (source, "file") if isinstance(source, bytes) else (_bytes_of(Path(source)), f"file {source}")
    if kind := next((kind for sign, kind in _OTHER_FILES.items() if data.startswith(sign)), None):
        raise FileFault(f"{file}: it is {kind}, expected CSV; save it as CSV from your spreadsheet")
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        raise FileFault(f"{file}: it is written in UTF-16; save it as CSV in UTF-8")
    for encoding, letters in (("utf-8-sig", "UTF-8"), ("cp1252", "Windows' western letters")):
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return text, letters
    raise FileFault(f"{file}: it is no text, expected CSV in UTF-8; save it so from your spreadsheet")


def _bytes_of(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except (OSError, ValueError) as error:
        raise FileFault(f"file {str(path)[:200]}: {getattr(error, 'strerror', None) or error}; give the path of a CSV file") from error


def delimiter_of(text: str, known: Iterable[str]) -> str:
    """The sign between cells: what a first line `sep=;` says, else that which makes most known headings of the first line."""
    lines = [line for line in io.StringIO(text, newline="") if line.strip(",;\t\r\n ")]
    if not any(not SEPARATOR_LINE.fullmatch(line) for line in lines):
        raise FileFault("file: it is empty, expected a header and rows")
    if named := SEPARATOR_LINE.fullmatch(lines[0]):
        return named[1]
    names = set(known)
    counts = {sign: sum(plain(cell) in names for cell in lines[0].split(sign)) for sign in DELIMITERS}
    if not any(counts.values()):
        raise FileFault("header: no column of the first line is known, expected names such as fabric, gsm, stitch; see an empty template")
    return max(counts, key=lambda sign: counts[sign])


def records(text: str, delimiter: str) -> Iterator[Record]:
    """The records of a text but for blank ones and help.

    One that cannot be taken apart comes as its first line, and reading goes on at the next.
    """
    lines = list(io.StringIO(text, newline=""))
    place, is_first = 0, True
    while place < len(lines):
        reader = csv.reader(lines[place : place + _LONGEST_RECORD], delimiter=delimiter, strict=True)
        try:
            record = Record(place + 1, tuple(next(reader)))
        except csv.Error:
            why = 'a quotation mark is left open or stands in the middle; put the cell between two, and write "" for one inside'
            record = Record(place + 1, (lines[place].rstrip("\r\n"),), why)
        place += 1 if record.fault else reader.line_num
        is_blank = not any(cell.strip() for cell in record.cells)
        is_aside = is_blank or is_help(record.cells[0]) or (is_first and SEPARATOR_LINE.fullmatch(delimiter.join(record.cells)))
        is_first = is_first and is_blank
        if not is_aside:
            yield record


def written(rows: Iterable[Sequence[str]], delimiter: str = ",") -> bytes:
    """Rows as CSV in UTF-8, with the mark by which spreadsheets know it."""
    made = io.StringIO(newline="")
    csv.writer(made, delimiter=delimiter).writerows(rows)
    return made.getvalue().encode("utf-8-sig")


def write(path: Path, rows: Iterable[Sequence[str]], delimiter: str = ",") -> None:
    """Write rows as CSV; the file is whole or as it was.

    Raises
    ------
    FileFault
        If it cannot be written.
    """
    with whole(path) as beside:
        beside.write_bytes(written(rows, delimiter))


def is_help(cell: str) -> bool:
    """Whether a row that begins with this cell explains the columns and is no trial."""
    return cell.strip().casefold().startswith(HELP_MARK)


def plain(heading: str) -> str:
    """A heading as it is looked up: capitals, blanks and underscores do not matter.

    >>> plain(" Tension  Left needle")
    'tension_left_needle'
    """
    return "_".join(heading.strip().strip('"').casefold().replace("_", " ").split())
