"""A label for a swatch or a bag: what to set, in the fewest words."""

from recommender.advice.words import brief
from recommender.cards.card import FIRST, UNPLUG, Card
from recommender.cards.fonts import printable
from recommender.cards.scales import draw_thread
from recommender.cards.sheet import Sheet
from recommender.trade.words import number

MARGIN = 2.0
SIDE = 18.5
LEFT = 25.0
"""Width of the tensions; the rest of the width is for the other controls, whose units need it."""


def draw_label(paper: Sheet, card: Card) -> None:
    """The whole label."""
    paper.add_page()
    wide = paper.w - 2 * MARGIN
    room = wide - SIDE if card.address else wide
    name, lost = printable(" ".join(card.fabric.name.split()))
    name, size = paper.fitting(name, room, 2, (9, 8, 7, 6, 5.5), style="B")
    y = paper.tell(name, MARGIN, MARGIN, room, size, style="B")
    stitch = f"{card.stitch.name} · ISO 4915: {card.stitch.iso}"
    for words in filter(None, (lost, stitch, f"on {printable(card.machine)[0]}", printable(card.standing)[0])):
        paper.say(words, MARGIN, y, room, 5.8, style="B" if words == stitch else "", least=4)
        y += 2.5
    if card.doubt:
        doubt, size = paper.fitting(card.doubt, room, 2, (5.8, 5.4, 5, 4.6, 4.2), style="B")
        y = paper.tell(doubt, MARGIN, y, room, size, style="B")
    if card.address:
        paper.code(card.address, paper.w - SIDE + 0.3, -0.2, SIDE)
    _settings(paper, card, max(y + 0.4, SIDE if card.address else 0), wide)


def _settings(paper: Sheet, card: Card, y: float, wide: float) -> None:
    """Tensions on the left, the other controls on the right, each with its unit; below them what is sewn with, and the cautions."""
    bottom = paper.h - MARGIN - 6.3
    threads = [mark for mark in card.marks if mark.thread]
    others = [(brief(mark.control), mark.unit or mark.verdict, number(mark.to_set)) for mark in card.marks if not mark.thread]
    others += [("foot pressure", "", number(card.foot_pressure))] if card.foot_pressure is not None else []
    high = (bottom - y) / max(len(threads), len(others))
    size, right = min(9.0, high / 0.43), MARGIN + LEFT + 2
    paper.rule(MARGIN, y, MARGIN + wide, 0.3)
    for row, mark in enumerate(threads):
        middle = y + (row + 0.5) * high
        paper.say(mark.thread, MARGIN, middle - 1.2, 13.4, 5.8)
        if mark.doubted:
            paper.say("test", MARGIN + 13.6, middle - 1.2, 5, 5.8, style="B")
        else:
            draw_thread(paper, mark.thread, MARGIN + 13.6, middle + 0.1, 5)
        paper.say(number(mark.to_set), MARGIN + 18.6, middle - size * 0.215, LEFT - 18.6, size, style="B", align="R")
    for row, (name, unit, value) in enumerate(others):
        middle, room = y + (row + 0.5) * high, MARGIN + wide - right
        paper.say(f"{name}, {unit}" if unit else name, right, middle - 1.2, room - 7, 5.8, least=4)
        paper.say(value, right + room - 8, middle - size * 0.215, 8, size, style="B", align="R")
    paper.rule(MARGIN, bottom + 0.1, MARGIN + wide, 0.3)
    threads_used = " / ".join(dict.fromkeys(card.units.said("thread", thread.tex) for thread in (card.needle_thread, card.looper_thread)))
    words = (f"{card.needle_words}; thread {threads_used}", UNPLUG, FIRST)
    for line, (text, style) in enumerate(zip(words, ("", "B", "B"), strict=True)):
        paper.say(text, MARGIN, bottom + 0.4 + 2.05 * line, wide, 5, style=style, least=4)
