"""How often bands held what they were stated for, beside what they are meant to hold."""

from collections.abc import Iterable

from parts.svg import escape
from recommender.advice.scoring.figures import Figure
from recommender.trade.words import percent


def coverage(figures: Iterable[tuple[str, Figure]], meant: float) -> str:
    """One bar a control, its whisker a standard error either way, and a dashed line where all should end."""
    return f"<table class='bars'>{''.join(_row(name, one, meant) for name, one in figures if one.number)}</table>"


def _row(name: str, one: Figure, meant: float) -> str:
    low, high = (min(max(one.value + way * one.error, 0.0), 1.0) for way in (-1, 1))
    alt = f"{name}: {percent(one.value)} of {one.number} held, meant {percent(meant)}"
    drawing = (
        f'<div class="bar" role="img" aria-label="{escape(alt)}"><i class="fill" style="width: {one.value:.1%}"></i>'
        f'<i class="whisker" style="left: {low:.1%}; width: {high - low:.1%}"></i><i class="goal" style="left: {meant:.1%}"></i></div>'
    )
    return f"<tr><td>{escape(name)}</td><td>{drawing}</td><td class='n'>{percent(one.value)}</td></tr>"
