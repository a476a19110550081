"""The front of a card: what to set, on its scales, and what the swatch was like."""

from recommender.advice.words import brief
from recommender.cards.card import FIRST, Card, Mark
from recommender.cards.fonts import printable
from recommender.cards.scales import draw_key, draw_reading, draw_scale, draw_thread
from recommender.cards.sheet import Sheet
from recommender.cards.words import cloth_laid, equipment, remarks
from recommender.trade.looks import reading
from recommender.trade.readings import Reading
from recommender.trade.words import number

MARGIN = 5.5
SIDE = 23.0
"""Side of the square to scan, with its blank margin."""
READING = 3.9
"""Height of one reading."""


def draw_front(paper: Sheet, card: Card) -> None:
    """The whole page."""
    paper.add_page()
    left, wide = MARGIN, paper.w - 2 * MARGIN
    y = max(_head(paper, card, wide), MARGIN + SIDE + 1.5 if card.address else 0)
    y = _standing(paper, card, left, y, wide)
    if card.doubt:
        doubt, size = paper.fitting(card.doubt, wide, 2, (7.5, 7, 6.5), style="B")
        y = paper.tell(doubt, left, y, wide, size, style="B") + 0.5
    end = _foot(paper, card, left, wide)
    _controls(paper, card, y, end - 5.5, wide)
    draw_key(paper, card, left, end - 3.2, wide)


def _head(paper: Sheet, card: Card, wide: float) -> float:
    """Cloth, stitch and machine beside the square; the place under them."""
    room = wide - SIDE - 2 if card.address else wide
    name, lost = printable(" ".join(card.fabric.name.split()))
    name, size = paper.fitting(name, room, 2, (15, 13, 11, 9.5, 8), style="B")
    y = paper.tell(name, MARGIN, MARGIN, room, size, style="B")
    for words in filter(None, (lost, cloth_laid(card))):
        y = paper.tell(words, MARGIN, y + 0.3, room, 6.8)
    y = paper.tell(f"{card.stitch.name} · ISO 4915: {card.stitch.iso}", MARGIN, y + 1, room, 9.5, style="B")
    paper.say(f"on {printable(card.machine)[0]}", MARGIN, y, room, 8.5, least=6)
    if card.address:
        x = paper.w - MARGIN - SIDE + 1.5
        paper.code(card.address, x, MARGIN - 2.5, SIDE)
        paper.say("scan to open this setting", x, MARGIN + SIDE - 3.6, SIDE, 5.2, align="C")
    return y + 4.6


def _standing(paper: Sheet, card: Card, x: float, y: float, wide: float) -> float:
    """Passed white on black, failed struck through at its ends, not sewn yet in a broken frame."""
    passed = card.trial is not None and card.trial.passed
    paper.set_draw_color(0)
    paper.set_fill_color(0)
    paper.set_line_width(0.35)
    with paper.local_context():
        if card.trial is None:
            paper.set_dash_pattern(1.4, 0.9)
        paper.rect(x, y, wide, 5.4, "F" if passed else "D")
    paper.set_text_color(255 if passed else 0)
    inset = 2.0
    if card.trial is not None and not passed:
        inset = 5.0
        for end in (x + 0.9, x + wide - 4.1):
            paper.line(end, y + 1.1, end + 3.2, y + 4.3)
            paper.line(end, y + 4.3, end + 3.2, y + 1.1)
    paper.say(printable(card.standing)[0], x + inset, y + 0.85, wide - 2 * inset, 8.5, style="B", least=6)
    paper.set_text_color(0)
    return y + 6.2


def _controls(paper: Sheet, card: Card, y: float, end: float, wide: float) -> None:
    """A row a control, as high as there is room for."""
    x = MARGIN
    heads = (("proposal", wide - 17), ("baseline", wide - 8.2))
    for words, at in heads:
        paper.say(words, x + at - 1.2, y, 9, 5, align="R", least=4.5)
    y += 2.4
    pressure = 4.6 if card.foot_pressure is not None else 0.0
    high = min((end - y - pressure) / len(card.marks), 9.2)
    for mark in card.marks:
        _control(paper, mark, y, wide, high)
        y += high
    if card.foot_pressure is not None:
        paper.rule(x, y, x + wide, 0.15, 150)
        paper.say("foot pressure", x, y + 0.9, 24, 7)
        paper.say(number(card.foot_pressure), x + 24, y + 0.3, 12, 10, style="B", align="R")


def _control(paper: Sheet, mark: Mark, y: float, wide: float, high: float) -> None:
    x = MARGIN
    paper.rule(x, y, x + wide, 0.15, 150)
    middle = y + high / 2
    if mark.thread:
        paper.say(mark.thread, x, middle - 3, 23, 7.5, style="B")
        draw_thread(paper, mark.thread, x + 0.3, middle + 1.6, 11 if mark.doubted else 20)
        paper.say(mark.verdict, x + 12.8, middle + 0.4, 10.2, 6.4, style="B", least=4.6)
    else:
        under = mark.unit or mark.verdict
        paper.say(brief(mark.control), x, middle - (3 if under else 1.6), 23, 7.5, style="B")
        paper.say(under, x, middle + 0.4, 23, 6.4, style="B" if mark.doubted else "", least=4.6)
    paper.say(number(mark.to_set), x + 23, middle - 3.2, 13, 15, style="B", align="R")
    draw_scale(paper, mark, x + 43, middle, wide - 65)
    paper.say(number(mark.proposal), x + wide - 18, middle - 1.5, 8.8, 7.5, align="R")
    paper.say(number(mark.baseline), x + wide - 9.2, middle - 1.5, 8.8, 7.5, align="R")


def _foot(paper: Sheet, card: Card, x: float, wide: float) -> float:
    """Needle, threads, readings and the note, from the bottom upwards; the place above them."""
    bottom = paper.h - MARGIN
    paper.say(FIRST, x, bottom - 2.6, wide * 0.68, 6.4, style="B")
    paper.say(f"Overedge {card.trial.id if card.trial else ''}".strip(), x + wide * 0.68, bottom - 2.4, wide * 0.32, 5.2, align="R")
    y = bottom - 3.4
    for remark in reversed(remarks(card)):
        words, size = paper.fitting(printable(remark)[0], wide, 2, (6.2, 5.6))
        y -= paper.height_of(words, wide, size) + 0.1
        paper.tell(words, x, y, wide, size)
    y -= READING * len(card.drawn) + 0.6
    for place, name in enumerate(card.drawn):
        _reading(paper, reading(name, card.stitch.name), card.readings.get(name), y + READING * place, wide)
    y -= 7.4
    for place, words in enumerate(equipment(card)):
        paper.say(words, x + (place % 2) * wide * 0.5, y + (place // 2) * 3, wide * 0.49, 6.6, least=5.5)
    paper.rule(x, y - 0.6, x + wide, 0.35)
    return y - 0.8


def _reading(paper: Sheet, told: Reading, score: float | None, y: float, wide: float) -> None:
    read, x = score or 0.0, MARGIN
    paper.say(told.title, x, y, 28, 6.4)
    draw_reading(paper, score, x + 52, y + 1.4, 15)
    paper.say(told.minus, x + 28.5, y + 0.15, 22, 5.8, style="B" if read < 0 else "", align="R", least=4.6)
    paper.say(told.plus, x + 68.5, y + 0.15, wide - 68.5, 5.8, style="B" if read > 0 else "", least=4.6)
