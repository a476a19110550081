"""A sheet of paper: lines of words that fit their place, lines and marks, in millimetres from the top left."""

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from fpdf import FPDF
from fpdf.enums import MethodReturnValue
from fpdf.fonts import TTFFont

from recommender.cards.fonts import cut, faces_for, is_shaped
from recommender.cards.qr import bars

POINT = 25.4 / 72
"""Millimetres in a point."""
LEADING = 1.22
"""Height of a line in sizes of its letters."""


class Sheet(FPDF):
    """Pages of one size with the fonts for some text; made by `sheet`."""

    def line_height(self, size: float) -> float:
        """Height of one line of words of a size in points, mm."""
        return size * POINT * LEADING

    def say(
        self, text: str, x: float, y: float, width: float, size: float, *, style: str = "", align: str = "L", least: float = 5
    ) -> float:
        """One line of words: smaller where it would not fit, and cut where even `least` is too large; the size it got, points."""
        while self._width(text, style, size) > width and size > least:
            size -= 0.25
        if self._width(text, style, size) > width:
            while text and self._width(text + "…", style, size) > width:
                text = text[:-1]
            text += "…"
        self._take(text, style, size)
        self.set_xy(x, y)
        self.cell(width, self.line_height(size), text, align=align)
        return size

    def tell(self, text: str, x: float, y: float, width: float, size: float, *, style: str = "", markdown: bool = False) -> float:
        """Words over as many lines as they need; the place under them, mm."""
        self._take(text, style, size)
        self.set_xy(x, y)
        height = self.line_height(size)
        self.multi_cell(width, height, text, align="L", markdown=markdown, new_x="LMARGIN", new_y="NEXT")
        return float(self.get_y())

    def height_of(self, text: str, width: float, size: float, *, style: str = "", markdown: bool = False) -> float:
        """Height that `tell` would need, mm."""
        self._take(text, style, size)
        height = self.line_height(size)
        asked = MethodReturnValue.LINES
        lines = self.multi_cell(width, height, text, align="L", markdown=markdown, dry_run=True, output=asked)
        return height * len(lines) if isinstance(lines, list) else 0.0

    def fitting(self, text: str, width: float, lines: int, sizes: Sequence[float], *, style: str = "") -> tuple[str, float]:
        """The text and the first size with which it fits into so many lines; cut where none does."""
        for size in sizes:
            if self.height_of(text, width, size, style=style) < (lines + 0.5) * self.line_height(size):
                return text, size
        while self.height_of(text + "…", width, sizes[-1], style=style) > (lines + 0.5) * self.line_height(sizes[-1]):
            text = text[:-1]
        return text + "…", sizes[-1]

    def rule(self, x: float, y: float, to: float, thick: float = 0.2, grey: int = 0) -> None:
        """A level line."""
        self.set_draw_color(grey)
        self.set_line_width(thick)
        self.line(x, y, to, y)

    def pattern(self, x: float, y: float, to: float, lengths: Sequence[float], thick: float = 0.45) -> None:
        """A level line of strokes and gaps in turn; a stroke of no length is a dot."""
        self.set_draw_color(0)
        self.set_line_width(thick)
        at, turn = x, 0
        while at < to:
            end = min(at + lengths[turn % len(lengths)], to)
            if turn % 2 == 0 and end > at:
                self.line(at, y, end, y)
            elif turn % 2 == 0:
                self.set_fill_color(0)
                self.ring(at, y, thick / 2, "F")
            at, turn = end, turn + 1

    def ring(self, x: float, y: float, radius: float, style: str = "D") -> None:
        """A circle around a place: `D` drawn, `F` filled, `DF` both."""
        self.ellipse(x - radius, y - radius, 2 * radius, 2 * radius, style)

    def code(self, address: str, x: float, y: float, side: float) -> None:
        """The address as a square to scan, and to click where the card is read on a screen."""
        modules, dark = bars(address)
        step = side / modules
        self.set_fill_color(0)
        for column, row, length in dark:
            self.rect(x + column * step, y + row * step, length * step, step, "F")
        self.link(x, y, side, side, address)

    def _width(self, text: str, style: str, size: float) -> float:
        self._take(text, style, size)
        return float(self.get_string_width(text))

    def _take(self, text: str, style: str, size: float) -> None:
        """The font for a text; only letters that need it are shaped, for that takes a hundred times as long."""
        self.set_font("card", style, size)
        self.set_text_shaping(is_shaped(text))


@contextmanager
def sheet(width: float, height: float, texts: Iterable[str]) -> Iterator[Sheet]:
    """An empty sheet that can print these texts; it is good inside the block only."""
    with TemporaryDirectory() as folder:
        paper = Sheet(unit="mm", format=(width, height))
        paper.set_auto_page_break(False)
        paper.set_margin(0)
        paper.c_margin = 0
        faces = faces_for("".join(texts))
        for number, face in enumerate(faces):
            for style, font in cut(face).items():
                file = Path(folder) / f"{number}{style}.ttf"
                file.write_bytes(font)
                paper.add_font("card" if number == 0 else f"card{number}", style, file)
        paper.set_fallback_fonts([f"card{number}" for number in range(1, len(faces))])
        yield paper
        for used in paper.fonts.values():
            if isinstance(used, TTFFont):
                used.close()
