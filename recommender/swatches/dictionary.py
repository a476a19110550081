"""The data dictionary: every column of the log, derived from the column rules."""

from itertools import groupby

from recommender.swatches.columns import COLUMNS, Column
from recommender.swatches.headers import UNIT_COLUMNS

_HEAD = """# The columns of the log

Made from the rules in `recommender/` by `python -m recommender.swatches.dictionary`; do not edit by hand.

The same names stand in a file's header, in a row, and in the database. A file may write them with capitals, blanks or
underscores as it likes. A column that may be left out has the default that stands beside it; a dash means that nothing is taken.
"""


def dictionary() -> str:
    """The data dictionary in Markdown."""
    parts = [_HEAD]
    for group, columns in groupby(COLUMNS.values(), key=lambda column: column.group):
        parts.append(f"\n## {group.capitalize()}\n\n| column | holds | default | meaning | source |\n|---|---|---|---|---|\n")
        parts += [_line(column) for column in columns]
    parts.append("\n## Other units that a file may use\n\n| column | gives | meaning |\n|---|---|---|\n")
    parts += [
        f"| `{name}` | {', '.join(f'`{target}`' for target in column.targets)} | {column.help} |\n" for name, column in UNIT_COLUMNS.items()
    ]
    return "".join(parts)


def _line(column: Column) -> str:
    default = "must be given" if column.must_be_given else "-" if column.default in (None, "") else _shown(column.default)
    return f"| `{column.name}` | {column.expected} | {default} | {column.rule.help} | {column.rule.source or '-'} |\n"


def _shown(value: object) -> str:
    return ("yes" if value else "no") if isinstance(value, bool) else f"{value:g}" if isinstance(value, float) else str(value)


if __name__ == "__main__":
    print(dictionary(), end="")  # noqa: T201  # this is what the command is for
