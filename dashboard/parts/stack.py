"""A difference as pieces laid end to end: the first begins at the baseline's mark, the last ends at the proposal's.

Each piece has a row of its own, so that pieces that go back do not cover those that went forth. Everything is placed in percent of
the width; `look.css` draws it.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate

from parts.svg import escape
from parts.words import adding_up
from recommender.trade.words import number, signed

PATTERNS = 8
"""Patterns that are told apart; more names than these use them again."""
_ROOM = 0.06
"""Share of the width left free at either end, for the marks."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One cause and its part of the difference."""

    name: str
    """The cause."""
    amount: float
    """What it adds, in the unit shown."""
    pattern: int
    """Which pattern fills it."""


def patterns(names: Iterable[str]) -> Mapping[str, int]:
    """A pattern for each name, the same wherever the name stands."""
    return {name: place % PATTERNS for place, name in enumerate(dict.fromkeys(names))}


def stack(control: str, start: float, end: float, pieces: Sequence[Piece]) -> str:
    """The picture of one control, as HTML with a text alternative."""
    said = [signed(amount) for amount in adding_up([piece.amount for piece in pieces], end - start)]
    ends = list(accumulate((piece.amount for piece in pieces), initial=start))
    low, high = min(*ends, end), max(*ends, end)
    wide = (high - low) or 1.0

    def at(value: float) -> float:
        return 100 * (_ROOM + (1 - 2 * _ROOM) * (value - low) / wide)

    rows = [_row("baseline", f'<i class="baseline" style="left: {at(start):.2f}%"></i>', number(start))]
    for piece, before, after, words in zip(pieces, ends, ends[1:], said, strict=False):
        rows.append(_row(escape(piece.name), _bar(at(before), at(after), piece.pattern), words))
    rows.append(_row("<b>proposal</b>", f'<i class="proposal" style="left: {at(end):.2f}%"></i>', f"<b>{number(end)}</b>"))
    told = "; ".join(f"{piece.name} {words}" for piece, words in zip(pieces, said, strict=True))
    alt = f"{control}, from the baseline {number(start)} to the proposal {number(end)}: {told}."
    return f'<div class="stack" role="img" aria-label="{escape(alt)}"><div class="control">{escape(control)}</div>{"".join(rows)}</div>'


def _row(name: str, drawing: str, words: str) -> str:
    return f'<div class="piece"><span>{name}</span><div class="track">{drawing}</div><span class="n">{words}</span></div>'


def _bar(before: float, after: float, pattern: int) -> str:
    """A patterned bar, and a fine line down from its end to where the next one begins."""
    left, wide = min(before, after), max(abs(after - before), 0.8)
    way = "forth" if after >= before else "back"
    bar = f'<i class="slab pattern{pattern} {way}" style="left: {left:.2f}%; width: {wide:.2f}%"></i>'
    return f'{bar}<i class="link" style="left: {after:.2f}%"></i>'
