"""An address as a square that a camera reads."""

from collections.abc import Iterator

import segno

QUIET = 4
"""Blank modules around the code, as ISO/IEC 18004 asks."""


def modules(address: str) -> tuple[tuple[bool, ...], ...]:
    """The code, row by row, True where it is dark; without its blank margin."""
    return tuple(tuple(bool(module) for module in row) for row in _code(address).matrix)


def bars(address: str) -> tuple[int, tuple[tuple[int, int, int], ...]]:
    """Number of modules along a side, margins and all, and every dark bar as column, row and length."""
    rows = modules(address)
    found = (bar for y, row in enumerate(rows) for bar in _runs(row, y))
    return len(rows) + 2 * QUIET, tuple(found)


def svg(address: str) -> str:
    """The code as a drawing, dark on white whatever lies behind it: readers want it so."""
    side, dark = bars(address)
    path = "".join(f"M{x} {y}h{length}v1h-{length}z" for x, y, length in dark)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {side} {side}" shape-rendering="crispEdges">'
        f'<rect width="{side}" height="{side}" fill="#fff"/><path d="{path}" fill="#000"/></svg>'
    )


def _code(address: str) -> segno.QRCode:
    return segno.make_qr(address, error="l", boost_error=True)


def _runs(row: tuple[bool, ...], y: int) -> Iterator[tuple[int, int, int]]:
    start = None
    for x, dark in enumerate((*row, False)):
        if dark and start is None:
            start = x
        elif not dark and start is not None:
            yield start + QUIET, y + QUIET, x - start
            start = None
