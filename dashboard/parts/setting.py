"""The numbers to set, as cells that wrap; those that differ from something else are marked."""

from collections.abc import Mapping

from parts.svg import escape
from parts.units import beside, reading_of
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
    for control, value in settings.controls().items():
        read, unit = reading_of(control), beside(control, value)
        stood = changed.get(control)
        other = (
            "" if control not in changed else f"<dd class='than'>{'to be set' if stood is None else f'{escape(than)} {read(stood)}'}</dd>"
        )
        name, shown = escape(brief(control)), f"{read(value)}{unit and f' <small>{escape(unit)}</small>'}"
        cells.append(f"<div{' class=moved' if other else ''}><dt>{name}</dt><dd>{shown}</dd>{other}</div>")
    if settings.foot_pressure is not None:
        cells.append(f"<div><dt>foot pressure</dt><dd>{number(settings.foot_pressure)}</dd></div>")
    return f"<dl class='setting'>{''.join(cells)}</dl>"
