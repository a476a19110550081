"""What a card says in words, the same on screen and on paper."""

from recommender.advice.words import spoken
from recommender.cards.card import Card, Mark
from recommender.trade.readings import FLAGS
from recommender.trade.words import described, laid, number, threaded


def cloth_laid(card: Card) -> str:
    """The cloth in one line, and how it lies in the seam."""
    return f"{described(card.fabric, card.units)}, {laid(card.fabric)}"


def mark_words(mark: Mark) -> str:
    """All that a scale shows, for a reader who does not see it."""
    unit = f", {mark.unit}" if mark.unit else ""
    verdict = f"; {mark.verdict}" if mark.verdict else ""
    sewn = f"sewn with {number(mark.actual)}, " if mark.actual is not None else ""
    low, high = (number(end) for end in (mark.dial.low, mark.dial.high))
    return (
        f"{spoken(mark.control)}{unit}, scale from {low} to {high}: {sewn}proposal {number(mark.proposal)}, "
        f"baseline {number(mark.baseline)}, 80 % band {number(mark.band.low)} to {number(mark.band.high)}, "
        f"pass window {mark.passing.said}{verdict}."
    )


def equipment(card: Card) -> tuple[str, ...]:
    """Needle, foot and threads, a line each."""
    return (
        card.needle_words,
        f"Foot: {card.stitch.foot}",
        f"Needle thread {threaded(card.needle_thread, card.units)}",
        f"Looper thread {threaded(card.looper_thread, card.units)}",
    )


def remarks(card: Card) -> tuple[str, ...]:
    """What was seen and noted of a swatch; where nothing was, how far to trust the proposal."""
    if (trial := card.trial) is None:
        return tuple(filter(None, (card.chance, card.lead)))
    unread = () if trial.readings else ("No readings made.",)
    seen = [words for name, words in FLAGS.items() if name in trial.flags]
    told = [f"Seen besides: {', '.join(seen)}."] if seen else []
    told += [f"Seam length changed by {trial.seam_change:+g} %."] if trial.seam_change is not None else []
    told += [f"Note: {' '.join(trial.note.split())}"] if trial.note.strip() else []
    return (*unread, *(told or [card.chance]))
