"""What commands print: JSON for programs, tables for people."""

import json
import math
import sys
from collections.abc import Mapping, Sequence, Set
from dataclasses import fields, is_dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

import typer


def print_json(value: object) -> None:
    """Print a value as JSON, with numbers that JSON does not know as null."""
    typer.echo(json.dumps(plain(value), ensure_ascii=False, indent=2))


def plain(value: Any) -> Any:
    """A value made of what JSON knows.

    >>> plain({"band": (1, 2.5), "flags": frozenset({"jam"}), "chance": float("nan")})
    {'band': [1, 2.5], 'flags': ['jam'], 'chance': None}
    """
    match value:
        case None | bool() | int() | str():
            return value
        case float():
            return float(value) if math.isfinite(value) else None
        case datetime():
            return value.isoformat()
        case Path():
            return str(value)
        case Mapping():
            return {str(key): plain(item) for key, item in value.items()}
        case Set():
            return sorted(plain(item) for item in value)
        case Sequence():
            return [plain(item) for item in value]
    if is_dataclass(value):
        return {f.name: plain(getattr(value, f.name)) for f in fields(value)}
    return plain(value.tolist())  # what is left is numpy's


def print_table(headers: Sequence[str], rows: Sequence[Sequence[str]], *, text_columns: int = 1) -> None:
    """Print rows under headers, the first `text_columns` to the left and the others, numbers, to the right."""
    if not sys.stdout.isatty():
        typer.echo(aligned(headers, rows, text_columns))
        return
    from rich.box import SIMPLE_HEAD
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    table = Table(box=SIMPLE_HEAD)
    for index, header in enumerate(headers):
        table.add_column(Text(header), justify="left" if index < text_columns else "right")
    for row in rows:
        table.add_row(*map(Text, row))  # Text, since a cloth's name may hold square brackets
    Console().print(table)


def aligned(headers: Sequence[str], rows: Sequence[Sequence[str]], text_columns: int = 1) -> str:
    """The same as plain text.

    >>> print(aligned(["control", "value"], [["differential", "1.2"], ["length", "10"]]))
    control       value
    differential    1.2
    length           10
    """
    lines = [headers, *rows]
    widths = [max(len(line[column]) for line in lines) for column in range(len(headers))]

    def laid(line: Sequence[str]) -> str:
        cells = [
            cell.ljust(width) if i < text_columns else cell.rjust(width) for i, (cell, width) in enumerate(zip(line, widths, strict=True))
        ]
        return "  ".join(cells).rstrip()

    return "\n".join(map(laid, lines))
