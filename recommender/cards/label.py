"""A label for a swatch or a bag: what to set, in the fewest words."""

from recommender.cards.card import Card
from recommender.cards.fonts import printable
from recommender.cards.scales import draw_thread
from recommender.cards.sheet import Sheet
from recommender.cards.words import number, short

MARGIN = 2.0
SIDE = 18.5


def draw_label(paper: Sheet, card: Card) -> None:
    """The whole label."""
    paper.add_page()
    wide = paper.w - 2 * MARGIN
    room = wide - SIDE if card.address else wide
    name, lost = printable(" ".join(card.fabric.name.split()))
    name, size = paper.fitting(name, room, 2, (9, 8, 7, 6, 5.5), style="B")
    y = paper.tell(name, MARGIN, MARGIN, room, size, style="B")
    stitch = f"{card.stitch.name} · ISO {card.stitch.iso}"
    for words in filter(None, (lost, stitch, f"on {printable(card.machine)[0]}", printable(card.standing)[0])):
        paper.say(words, MARGIN, y, room, 5.8, style="B" if words == stitch else "", least=4)
        y += 2.5
    if card.address:
        paper.code(card.address, paper.w - SIDE + 0.3, -0.2, SIDE)
    _settings(paper, card, max(y + 0.4, SIDE if card.address else 0), wide)


def _settings(paper: Sheet, card: Card, y: float, wide: float) -> None:
    """Tensions on the left, the other controls on the right."""
    bottom = paper.h - MARGIN - 4.6
    threads = [mark for mark in card.marks if mark.thread]
    others = [(short(mark.control), number(mark.to_set)) for mark in card.marks if not mark.thread]
    others += [("foot pressure", number(card.foot_pressure))] if card.foot_pressure is not None else []
    high = (bottom - y) / max(len(threads), len(others))
    size, half = min(9.0, high / 0.43), wide / 2 - 1
    paper.rule(MARGIN, y, MARGIN + wide, 0.3)
    for row, mark in enumerate(threads):
        middle = y + (row + 0.5) * high
        paper.say(mark.thread, MARGIN, middle - 1.2, 14, 5.8)
        draw_thread(paper, mark.thread, MARGIN + 14.3, middle + 0.1, 6)
        paper.say(number(mark.to_set), MARGIN + 20, middle - size * 0.215, half - 20, size, style="B", align="R")
    for row, (words, value) in enumerate(others):
        middle = y + (row + 0.5) * high
        paper.say(words, MARGIN + half + 2, middle - 1.2, 19, 5.8)
        paper.say(value, MARGIN + half + 21, middle - size * 0.215, half - 19, size, style="B", align="R")
    paper.rule(MARGIN, bottom + 0.1, MARGIN + wide, 0.3)
    threads_used = " / ".join(dict.fromkeys(f"{thread.tex:.3g} tex" for thread in (card.needle_thread, card.looper_thread)))
    paper.say(f"Needle {card.needle}; thread {threads_used}", MARGIN, bottom + 0.4, wide, 5, least=4)
    paper.say("The machine's manual and local rules come first.", MARGIN, bottom + 2.5, wide, 5, style="B", least=4)
