"""What a card says in words, the same on screen and on paper."""

from recommender.cards.card import Card, Mark
from recommender.trade.fabric import Fabric
from recommender.trade.readings import FLAGS, READINGS
from recommender.trade.thread import Thread


def cloth_words(fabric: Fabric) -> str:
    """The cloth in one line.

    >>> cloth_words(Fabric(name="rib jersey", construction="knit", fibre="cotton", gsm=220, stretch=60, elastane=5))
    'medium knit, cotton, 220 g/m², stretch 60 %, elastane 5 %, 2 layers, lengthwise'
    """
    parts = [fabric.kind, fabric.fibre, f"{fabric.gsm:.4g} g/m²", f"stretch {fabric.stretch:g} %"]
    parts += [f"elastane {fabric.elastane:g} %"] if fabric.elastane else []
    return ", ".join([*parts, "1 layer" if fabric.plies == 1 else f"{fabric.plies} layers", fabric.grain])


def thread_words(thread: Thread) -> str:
    """The thread in a few words.

    >>> thread_words(Thread(tex=27))
    '27 tex polyester, spun'
    """
    return f"{thread.tex:.3g} tex {thread.fibre}, {thread.kind}"


def number(value: float) -> str:
    """A setting as it is read off a dial.

    >>> number(4.0), number(0.3), number(1.2000000001)
    ('4', '0.3', '1.2')
    """
    return f"{round(value, 2) + 0:g}"


def short(control: str) -> str:
    """A control's name beside its scale.

    >>> short("tension: left needle"), short("differential"), short("length"), short("width")
    ('left needle', 'differential feed', 'stitch length, mm', 'cutting width, mm')
    """
    others = {"differential": "differential feed", "length": "stitch length, mm", "width": "cutting width, mm"}
    return others.get(control, control.removeprefix("tension: "))


def mark_words(mark: Mark) -> str:
    """All that a scale shows, for a reader who does not see it."""
    sewn = f"sewn with {number(mark.actual)}, " if mark.actual is not None else ""
    return (
        f"{mark.control}, scale from {number(mark.dial.low)} to {number(mark.dial.high)}: {sewn}proposal {number(mark.proposal)}, "
        f"baseline {number(mark.baseline)}, 80 % band {number(mark.band.low)} to {number(mark.band.high)}, "
        f"passes from {number(mark.window.low)} to {number(mark.window.high)}."
    )


def reading_words(name: str, score: float) -> str:
    """What a reading looks like.

    >>> reading_words("edge_lie", 1), reading_words("edge_lie", 0), reading_words("edge_lie", -2)
    ('a little stretched, wavy (+1)', 'flat (0)', 'gathered, puckered (-2)')
    """
    reading = READINGS[name]
    if score == 0:
        return f"{reading.nought} (0)"
    return f"{'a little ' if abs(score) < 1.5 else ''}{reading.plus if score > 0 else reading.minus} ({score:+g})"


def equipment(card: Card) -> tuple[str, ...]:
    """Needle, foot and threads, a line each."""
    return (
        f"Needle {card.needle}",
        f"Foot: {card.stitch.foot}",
        f"Needle thread {thread_words(card.needle_thread)}",
        f"Looper thread {thread_words(card.looper_thread)}",
    )


def remarks(card: Card) -> tuple[str, ...]:
    """What was seen and noted of a swatch; where nothing was, how far to trust the proposal."""
    if (trial := card.trial) is None:
        return tuple(filter(None, (card.chance, card.lead)))
    seen = [words for name, words in FLAGS.items() if name in trial.flags]
    told = [f"Seen besides: {', '.join(seen)}."] if seen else []
    told += [f"Seam length changed by {trial.seam_change:+g} %."] if trial.seam_change is not None else []
    told += [f"Note: {' '.join(trial.note.split())}"] if trial.note.strip() else []
    return tuple(told) or (card.chance,)
