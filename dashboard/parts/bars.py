"""Shares with their bands, as bars."""

from collections.abc import Sequence
from typing import Protocol

from parts.svg import escape
from recommender.trade.words import percent


class Share(Protocol):
    """What one control or one property of the cloth accounts for."""

    name: str
    share: float
    low: float
    high: float


def bars(shares: Sequence[Share], beside: Sequence[Share] = ()) -> str:
    """One bar a share, the longest first; a whisker shows its band.

    The scale ends at the highest band of these shares and of those that stand beside them, so that all can be compared.
    """
    top = max((share.high for share in (*shares, *beside)), default=0.0) or 1.0
    ordered = sorted(shares, key=lambda share: -share.share)
    return "<table class='bars'>" + "".join(_row(share, 100 / top) for share in ordered) + "</table>"


def _row(share: Share, stretch: float) -> str:
    alt = f"{share.name}: {percent(share.share)}, between {percent(share.low)} and {percent(share.high)}"
    middle, low, high = (f"{value * stretch:.1f}%" for value in (share.share, share.low, share.high))
    drawing = (
        f'<div class="bar" role="img" aria-label="{escape(alt)}"><i class="fill" style="width: {middle}"></i>'
        f'<i class="whisker" style="left: {low}; width: calc({high} - {low})"></i></div>'
    )
    return f"<tr><td>{escape(share.name)}</td><td>{drawing}</td><td class='n'>{percent(share.share)}</td></tr>"
