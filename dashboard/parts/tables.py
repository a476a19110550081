"""A table as HTML, which slides sideways by itself where it is wider than the page."""

from collections.abc import Iterable, Sequence

from parts.svg import escape


def table(name: str, head: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """The rows under their heads; `name` is read out, and every cell is shown as it was typed."""
    top = "".join(f"<th scope='col'>{escape(words)}</th>" for words in head)
    body = "".join(f"<tr>{''.join(f'<td>{escape(cell)}</td>' for cell in row)}</tr>" for row in rows)
    return (
        f"<div class='wide' tabindex='0' role='region' aria-label='{escape(name)}'>"
        f"<table class='why plain'><thead><tr>{top}</tr></thead><tbody>{body}</tbody></table></div>"
    )
