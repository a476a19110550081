"""The numbers to set, as cells that wrap; those that differ from something else are marked."""

from collections.abc import Mapping

from parts.svg import escape
from parts.units import beside
from recommender import Settings
from recommender.advice.words import brief
from recommender.trade.words import number


def setting(settings: Settings, changed: Mapping[str, float | None], than: str) -> str:
    """Every control with its number, as HTML.

    Parameters
    ----------
    changed : by control: where it stands in what these settings are held against; None where it has no place there
    than : what that is called, such as `proposed`
    """
    cells = []
    for control, value in settings.numbers().items():
        stood = changed.get(control)
        before = "to be set" if stood is None else f"{escape(than)} {number(stood)}"
        cells.append(cell(control, value, f"<dd class='than'>{before}</dd>" if control in changed else ""))
    return f"<dl class='setting'>{''.join(cells)}</dl>"


def cell(control: str, value: float, other: str = "") -> str:
    """One control with its number and unit, as HTML; `other` is the cell's last line, for one that differs."""
    unit = beside(control, value)
    shown = f"{number(value)}{unit and f' <small>{escape(unit)}</small>'}"
    return f"<div{' class=moved' if other else ''}><dt>{escape(brief(control))}</dt><dd>{shown}</dd>{other}</div>"
