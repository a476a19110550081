"""The back of a card: the machine made ready step by step, each caution where the hand goes."""

from bisect import bisect_left
from functools import cache

from recommender.cards.card import FIRST, Card
from recommender.cards.fonts import printable
from recommender.cards.front import MARGIN
from recommender.cards.scales import draw_thread
from recommender.cards.sheet import Sheet

SIZES = (8.0, 7.5, 7.0, 6.6, 6.2, 5.8, 5.4)
"""Sizes of the letters that are tried, points."""


def draw_back(paper: Sheet, card: Card) -> None:
    """The whole page."""
    paper.add_page()
    wide = paper.w - 2 * MARGIN
    machine = printable(card.machine)[0]
    paper.say(f"Prepare {machine}: {card.stitch.name}", MARGIN, MARGIN - 0.5, wide, 11, style="B", least=7)
    y = MARGIN + 5.2
    paper.set_fill_color(0)
    paper.rect(MARGIN, y, wide, 5, "F")
    paper.set_text_color(255)
    paper.say(FIRST, MARGIN + 2, y + 0.9, wide - 4, 8, style="B")
    paper.set_text_color(0)
    _threading(paper, card, y + 6.6, wide)
    _steps(paper, card, y + 14.5, paper.h - MARGIN, wide)


def _threading(paper: Sheet, card: Card, y: float, wide: float) -> None:
    """Which thread after which, each with the pattern of its line."""
    paper.say("Thread in this order:", MARGIN, y, 24, 6.6)
    share = (wide - 24) / len(card.stitch.threading)
    for place, position in enumerate(card.stitch.threading):
        x = MARGIN + 24 + place * share
        paper.say(f"{place + 1} {position}", x, y, share - 1.5, 7, style="B", least=5)
        draw_thread(paper, position, x + 0.3, y + 4.2, share - 3)
    paper.rule(MARGIN, y + 6.4, MARGIN + wide, 0.35)


def _steps(paper: Sheet, card: Card, y: float, end: float, wide: float) -> None:
    """The steps in the largest letters with which they fit."""

    @cache
    def height(size: float) -> float:
        return sum(paper.height_of(words, wide - 5.5, size, markdown=True) for words in told(card))

    first = bisect_left(SIZES, x=True, key=lambda size: y + height(size) <= end)  # the smaller, the surer they fit
    size = SIZES[min(first, len(SIZES) - 1)]
    gap = min((end - y - height(size)) / len(card.steps), 1.2)
    for place, words in enumerate(told(card)):
        paper.say(f"{place + 1}", MARGIN, y, 5, size, style="B")
        y = paper.tell(words, MARGIN + 5.5, y, wide - 5.5, size, markdown=True) + gap


def told(card: Card) -> tuple[str, ...]:
    """Each step with its caution after it, in bold."""
    return tuple(step.text + (f" **Caution: {step.caution}**" if step.caution else "") for step in card.steps)
