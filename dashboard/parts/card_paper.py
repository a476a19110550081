"""The card as HTML: black on white in light and dark, since it is paper; `card.css` lays it out on screen and prints it alone."""

from base64 import b64encode
from pathlib import Path

from parts.svg import escape
from recommender.advice.words import brief
from recommender.cards.card import FIRST, Card, Mark
from recommender.cards.qr import svg
from recommender.cards.words import cloth_laid, equipment, mark_words, remarks
from recommender.trade.looks import reading, scored
from recommender.trade.words import number

_LOOK = Path(__file__).with_name("card.css")
_KEY = (("prop", "proposal"), ("base", "baseline"), ("spread", "best in here, 80 %"))


def card_paper(card: Card) -> str:
    """Both sides of the card."""
    side = f"<section>{_head(card)}{_standing(card)}{_marks(card)}{_key(card)}{_equipment(card)}{_readings(card)}{_end(card)}</section>"
    return f"<style>{_LOOK.read_text(encoding='utf-8')}</style><article class='setup-card'>{side}{_back(card)}</article>"


def _head(card: Card) -> str:
    square = ""
    if card.address:
        image = b64encode(svg(card.address).encode()).decode()
        alt, look = escape(f"Square to scan: opens {card.address}"), f"background-image: url(data:image/svg+xml;base64,{image})"
        square = f'<div class="square" role="img" aria-label="{alt}" style="{look}"></div>'
    return (
        f"<header><div><div class='cloth'>{escape(card.fabric.name)}</div><div>{escape(cloth_laid(card))}</div>"
        f"<div class='stitch'>{escape(card.stitch.name)} · ISO 4915: {escape(card.stitch.iso)}</div>"
        f"<div>on {escape(card.machine)}</div></div>"
        f"{square}</header>"
    )


def _standing(card: Card) -> str:
    kind = "open" if card.trial is None else "passed" if card.trial.passed else "failed"
    doubt = f"<div class='doubt'>{escape(card.doubt)}</div>" if card.doubt else ""
    return f"<div class='standing {kind}'>{escape(card.standing)}</div>{doubt}"


def _marks(card: Card) -> str:
    heads = "<div class='mark heads'><span></span><span></span><span></span><span>proposal</span><span>baseline</span></div>"
    foot = [] if card.foot_pressure is None else [f"<div class='mark'><span>foot pressure</span><b>{number(card.foot_pressure)}</b></div>"]
    return "".join([heads, *map(_mark, card.marks), *foot])


def _mark(mark: Mark) -> str:
    under = _thread(mark.thread) if mark.thread else f"<small>{escape(mark.unit)}</small>"
    under += f"<small class='doubt'>{mark.verdict}</small>" if mark.doubted else ""
    return (
        f"<div class='mark'><span><em>{escape(brief(mark.control))}</em>{under}</span><b>{number(mark.to_set)}</b>{_scale(mark)}"
        f"<span>{number(mark.proposal)}</span><span>{number(mark.baseline)}</span></div>"
    )


def _thread(position: str) -> str:
    """The pattern of a thread's line, under its name."""
    return f"<i class='thread {position.replace(' ', '-')}' aria-hidden='true'></i>"


def _scale(mark: Mark) -> str:
    def at(value: float) -> float:
        return 100 * mark.dial.place(value)

    def span(kind: str, low: float, high: float) -> str:
        return f'<i class="{kind}" style="left: {at(low):.2f}%; width: {max(at(high) - at(low), 1):.2f}%"></i>'

    marks = span("spread", mark.band.low, mark.band.high) + '<i class="line"></i>'
    marks += "".join(f'<i class="step" style="left: {100 * tick:.2f}%"></i>' for tick in mark.dial.ticks)
    if (window := mark.passing.window) is not None:
        marks += span("win", window.low, window.high)
    told = (("base", mark.baseline), ("prop", mark.proposal), ("set", mark.to_set))
    marks += "".join(f'<i class="{kind}" style="left: {at(value):.2f}%"></i>' for kind, value in told)
    ends = f"<small>{number(mark.dial.low)}</small><small>{number(mark.dial.high)}</small>"
    return f'<div class="dial" role="img" aria-label="{escape(mark_words(mark))}"><div>{marks}</div>{ends}</div>'


def _key(card: Card) -> str:
    passes, drawn = card.windows
    told = (("set", "set this" if card.trial is None else "sewn with"), *_KEY, *([("win", passes)] if drawn else []))
    parts = (f"<span><i class='dial' aria-hidden='true'><i class='{kind}'></i></i>{words}</span>" for kind, words in told)
    return f"<div class='marks-key'>{''.join(parts)}{'' if drawn else f'<span>{passes}</span>'}</div>"


def _equipment(card: Card) -> str:
    return "<div class='with'>" + "".join(f"<div>{escape(words)}</div>" for words in equipment(card)) + "</div>"


def _readings(card: Card) -> str:
    """Each reading on its scale; one that was not made is left for a pencil."""
    return "<div class='read'>" + "".join(_reading(name, card.readings.get(name), card.stitch.name) for name in card.drawn) + "</div>"


def _reading(name: str, score: float | None, stitch: str) -> str:
    told, read = reading(name, stitch), score or 0.0
    alt = f"{told.title}: {'not read' if score is None else scored(name, score, stitch)}"
    steps = "".join(f'<i class="step" style="left: {12.5 * step:g}%"></i>' for step in range(9))
    disc = "" if score is None else f'<i class="disc" style="left: {25 * (score + 2):g}%"></i>'
    drawing = f'<i class="line"></i><i class="mid"></i>{steps}{disc}'
    picture = f'<div class="dial" role="img" aria-label="{escape(alt)}"><div>{drawing}</div></div>'
    return f"<span>{escape(told.title)}</span>{_pole(told.minus, read < 0)}{picture}{_pole(told.plus, read > 0)}"


def _pole(words: str, is_read: bool) -> str:
    return f"<span{' class=is' if is_read else ''}>{escape(words)}</span>"


def _end(card: Card) -> str:
    told = "".join(f"<div>{escape(words)}</div>" for words in remarks(card))
    return f"<footer>{told}<b>{FIRST}</b></footer>"


def _back(card: Card) -> str:
    threads = "".join(f"<li>{escape(position)}{_thread(position)}</li>" for position in card.stitch.threading)
    steps = "".join(f"<li>{escape(step.text)}{_caution(step.caution)}</li>" for step in card.steps)
    return (
        f"<section><div class='stitch'>Prepare {escape(card.machine)}: {escape(card.stitch.name)}</div><div class='standing passed'>{FIRST}"
        f"</div><div>Thread in this order:</div><ol class='order'>{threads}</ol><ol class='deeds'>{steps}</ol></section>"
    )


def _caution(words: str) -> str:
    return f" <b>Caution: {escape(words)}</b>" if words else ""
