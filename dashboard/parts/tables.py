"""What is laid out as HTML in one element: a table, and parts one under the other."""

import re
from collections.abc import Iterable, Sequence

from parts.svg import escape

_DAY = re.compile(r"\d{4}-\d\d-\d\d")


def column(*parts: str) -> str:
    """Parts, as far apart as elements of a page; a page of few elements is drawn sooner."""
    return f"<div class='column'>{''.join(parts)}</div>"


def table(name: str, head: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """The rows under their heads; `name` is read out, and every cell is shown as it was typed.

    A table that is wider than the page slides sideways by itself.
    """
    top = "".join(f"<th scope='col'>{escape(words)}</th>" for words in head)
    body = "".join(f"<tr>{''.join(map(_cell, row))}</tr>" for row in rows)
    return (
        f"<div class='wide' tabindex='0' role='region' aria-label='{escape(name)}'>"
        f"<table class='why plain'><thead><tr>{top}</tr></thead><tbody>{body}</tbody></table></div>"
    )


def _cell(cell: object) -> str:
    """A day is never broken over two lines."""
    return f"<td{' class=day' if _DAY.fullmatch(str(cell)) else ''}>{escape(cell)}</td>"
