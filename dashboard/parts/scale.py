"""One control on its own scale: the machine's range, the baseline, the proposal, how far to trust it.

Everything is placed in percent of the width, so that the words keep their size on every screen; `look.css` draws it.
"""

from typing import Literal

from parts.svg import escape
from recommender.trade.machine import Dial
from recommender.trade.words import number

Range = tuple[float, float]
Verdict = Literal["trust", "test"]


def scale(
    control: str,
    dial: Dial,
    *,
    baseline: float,
    proposal: float,
    band: Range,
    window: Range,
    verdict: Verdict | None,
) -> str:
    """The drawing of one control, as HTML.

    Parameters
    ----------
    control : str
        Name of the control, for the text alternative.
    dial : Dial
        The machine's range and step.
    baseline, proposal : float
        The two settings.
    band, window : (low, high)
        The 80 % band of the best value, and the pass window.
    verdict : `trust`, `test` or None
        What to do with the proposal, written beside its mark; None where the baseline leads, and is what to set.
    """

    def at(value: float) -> float:
        return 100 * dial.place(value)

    marks = _ticks(dial) + _span("band", *map(at, band)) + _span("window", *map(at, window))
    marks += _mark("baseline", at(baseline)) + _mark("proposal", at(proposal))
    ours, rules, end = _said(number(proposal), number(baseline), verdict)
    mark = f'<span class="{verdict}">{verdict} this</span>' if verdict else ""
    words = _words("above", at(proposal), (f"<b>{ours}</b>" if verdict else ours) + mark)
    words += _words("below", at(baseline), rules if verdict else f"<b>{rules}</b>") + _ends(dial, at(baseline))
    alt = (
        f"{control}, scale from {number(dial.low)} to {number(dial.high)}: {ours}, {rules}, "
        f"80 % band {number(band[0])} to {number(band[1])}, passes from {number(window[0])} to {number(window[1])}{end}."
    )
    return f'<div class="scale" role="img" aria-label="{escape(alt)}">{marks}{words}</div>'


def _said(proposal: str, baseline: str, verdict: Verdict | None) -> tuple[str, str, str]:
    """Words for the proposal, for the baseline and for the end; what to set is said of the one that leads."""
    if verdict is None:
        return f"proposal {proposal}", f"set {baseline}, the baseline", ""
    return f"set {proposal}", f"baseline {baseline}", f"; {verdict} this"


def scale_key() -> str:
    """What the marks on a scale mean."""
    samples = (
        ("proposal", "proposal"),
        ("baseline", "baseline"),
        ("band", "80 % band: the best setting lies in it"),
        ("window", "pass window: passes about as well"),
    )
    parts = (f'<span><i class="sample" aria-hidden="true"><i class="{mark}"></i></i>{words}</span>' for mark, words in samples)
    return f'<div class="key">{"".join(parts)}</div>'


def _ticks(dial: Dial) -> str:
    return '<i class="axis"></i>' + "".join(f'<i class="tick" style="left: {100 * place:.2f}%"></i>' for place in dial.ticks)


def _span(mark: str, low: float, high: float) -> str:
    return f'<i class="{mark}" style="left: {low:.2f}%; width: {max(high - low, 0.5):.2f}%"></i>'


def _mark(mark: str, place: float) -> str:
    return f'<i class="{mark}" style="left: {place:.2f}%"></i>'


def _words(row: str, place: float, words: str) -> str:
    """Words centred on a place, and kept inside the drawing near its ends."""
    return f'<span class="{row}" style="left: {place:.2f}%; transform: translateX(-{place:.2f}%)">{words}</span>'


def _ends(dial: Dial, taken: float) -> str:
    """Lowest and highest number, but where the baseline's words stand."""
    ends = ((0.0, dial.low), (100.0, dial.high))
    return "".join(_words("below faint", place, number(value)) for place, value in ends if abs(place - taken) > 26)
