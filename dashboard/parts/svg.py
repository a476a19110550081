"""Small pieces of SVG text, and the way a drawing comes onto a page.

A drawing has no colour of its own: the page lays it as a mask over its text colour, so that it is right in light and dark.
Every text that comes from outside passes through `escape`.
"""

from base64 import b64encode
from collections.abc import Iterable
from html import escape as _escape

from parts.words import unbroken

Point = tuple[float, float]

NEEDLE = 'stroke-width="3.4" stroke-dasharray="9 4" stroke-linecap="butt"'
UPPER_LOOPER = 'stroke-width="2"'
LOWER_LOOPER = 'stroke-width="2.2" stroke-dasharray="0.1 4.4" stroke-linecap="round"'
"""Threads are told apart by the pattern of the line, never by colour."""
AID = 'stroke-width="0.9" stroke-opacity="0.6"'
"""Outlines and lines that help to read a drawing: as faint as may be, 3 to 1 against the page in light and dark."""


def escape(text: object) -> str:
    """Text made safe to stand between tags and inside quoted attributes.

    >>> escape('<b> & "ribs"')
    '&lt;b&gt; &amp; &quot;ribs&quot;'
    """
    return _escape(unbroken(str(text)), quote=True)


def drawn(body: str, *, width: float, height: float) -> str:
    """A whole drawing."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" font-family="sans-serif" '
        f'fill="none" stroke="currentColor">{body}</svg>'
    )


def shown(drawing: str, *, alt: str, width: float, height: float, most: str = "100%") -> str:
    """HTML that shows a drawing as wide as there is room, at most `most`; `alt` is read out in its stead.

    Streamlit takes SVG elements out of HTML, so the drawing goes in as an image.
    """
    image = f"url(data:image/svg+xml;base64,{b64encode(drawing.encode()).decode()}) center / contain no-repeat"
    style = f"aspect-ratio: {width:g} / {height:g}; max-width: {most}; -webkit-mask: {image}; mask: {image}"
    return f'<div class="drawing" role="img" aria-label="{escape(alt)}" style="{style}"></div>'


def line(points: Iterable[Point], style: str = 'stroke-width="2"') -> str:
    """An open line through the points."""
    return f'<polyline points="{_listed(points)}" {style} stroke-linejoin="round"/>'


def area(points: Iterable[Point], opacity: float = 0.12) -> str:
    """A pale area, with an outline that weak eyes see."""
    return f'<polygon points="{_listed(points)}" fill="currentColor" fill-opacity="{opacity:g}" {AID}/>'


def label(x: float, y: float, text: str, *, size: float = 11, anchor: str = "start") -> str:
    """Words inside a drawing."""
    return f'<text x="{x:g}" y="{y:g}" font-size="{size:g}" text-anchor="{anchor}" fill="currentColor" stroke="none">{escape(text)}</text>'


def _listed(points: Iterable[Point]) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
