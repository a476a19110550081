"""The card as a PDF file: made here, from fonts that are here, the same bytes for the same card."""

from collections.abc import Iterator

from recommender.cards.back import draw_back, told
from recommender.cards.card import Card
from recommender.cards.fonts import printable
from recommender.cards.front import draw_front
from recommender.cards.label import draw_label
from recommender.cards.sheet import Sheet, sheet
from recommender.cards.words import equipment
from recommender.trade.names import unknown

SIZES: dict[str, tuple[float, float]] = {"a6": (105.0, 148.0), "label": (62.0, 40.0)}
"""Width and height by name, mm: A6 of ISO 216 upright, and a label."""


def card_pdf(card: Card, size: str = "a6") -> bytes:
    """The card: on A6 with the settings on the front and the preparation on the back, or on a label of 62 x 40 mm.

    Parameters
    ----------
    size
        `a6` or `label`.

    Raises
    ------
    UnknownName
        If there is no such size.
    """
    if size not in SIZES:
        raise unknown("card size", size, SIZES)
    with sheet(*SIZES[size], _texts(card)) as paper:
        _describe(paper, card)
        if size == "label":
            draw_label(paper, card)
        else:
            draw_front(paper, card)
            draw_back(paper, card)
        return bytes(paper.output())


def _describe(paper: Sheet, card: Card) -> None:
    """What a reader shows of the file; its date is the card's own."""
    paper.set_title(f"{card.fabric.name}, {card.stitch.name} on {card.machine}")
    paper.set_creator("Overedge")
    paper.set_lang("en")
    paper.set_creation_date(card.when)


def _texts(card: Card) -> Iterator[str]:
    """Everything that may be printed and is not always so."""
    own = [card.fabric.name, card.machine, card.standing, card.trial.note if card.trial else ""]
    yield from (printable(text)[0] for text in own)
    yield from (*equipment(card), card.lead, *told(card))
