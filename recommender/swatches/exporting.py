"""Trials out to a file that a spreadsheet reads and `import_csv` takes back, and the empty file to begin with."""

from pathlib import Path

from recommender.swatches.cells import cell_of
from recommender.swatches.columns import COLUMNS
from recommender.swatches.csvfile import HELP_MARK, write
from recommender.swatches.rows import row_of
from recommender.swatches.store import Store


def export_csv(store: Store, path: Path | str) -> int:
    """Write the trials that count as CSV, one row each, and return how many; imported elsewhere they are the same trials.

    Raises
    ------
    FileFault
        If the file cannot be written.
    """
    rows = [[cell_of(name, value) for name, value in row_of(trial).items()] for trial in store.trials()]
    write(Path(path), [list(COLUMNS), *rows])
    return len(rows)


def template_rows() -> list[list[str]]:
    """The rows of an empty file: the header, what each column means, and what it may hold.

    >>> [row[3] for row in template_rows()]
    ['gsm', 'Weight of one square metre of a single layer.', 'a number from 15 to 1000 g/m2']
    """
    columns = [column for name, column in COLUMNS.items() if name != "id"]
    meanings = [column.rule.help for column in columns]
    limits = [column.expected + ("" if column.must_be_given else "; may be left out") for column in columns]
    return [[column.name for column in columns], *([f"{HELP_MARK} {first}", *rest] for first, *rest in (meanings, limits))]


def write_template(path: Path | str) -> None:
    """Write the empty file with help; the rows of help are skipped when it is imported.

    Raises
    ------
    FileFault
        If the file cannot be written.
    """
    write(Path(path), template_rows())
