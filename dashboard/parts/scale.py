"""One control on its own scale: the machine's range, the baseline, the proposal, how far to trust it.

Everything is placed in percent of the width, so that the words keep their size on every screen; `look.css` draws it.
"""

from collections.abc import Collection
from typing import Literal

from parts.svg import escape
from recommender.advice.passing import ANYWHERE, UNKNOWN, Passing
from recommender.trade.machine import Dial
from recommender.trade.words import number

Range = tuple[float, float]
Verdict = Literal["trust", "test"]
_MISSING = {
    UNKNOWN: "pass window: not known yet, too few swatches are rated",
    ANYWHERE: "no pass window drawn: passes about as well on the whole dial",
}


def scale(
    control: str,
    dial: Dial,
    *,
    baseline: float,
    proposal: float,
    band: Range,
    passing: Passing,
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
    band : (low, high)
        The 80 % band of the best value.
    passing : Passing
        The pass window, as far as it tells anything.
    verdict : `trust`, `test` or None
        What to do with the proposal, written beside its mark; None where the baseline leads, and is what to set.
    """

    def at(value: float) -> float:
        return 100 * dial.place(value)

    marks = _ticks(dial) + _span("band", *map(at, band))
    if (window := passing.window) is not None:
        marks += _span("window", at(window.low), at(window.high))
    marks += _mark("baseline", at(baseline)) + _mark("proposal", at(proposal))
    ours, rules, end = _said(number(proposal), number(baseline), verdict)
    mark = f'<span class="{verdict}">{verdict} this</span>' if verdict else ""
    words = _words("above", at(proposal), (f"<b>{ours}</b>" if verdict else ours) + mark)
    words += _words("below", at(baseline), rules if verdict else f"<b>{rules}</b>") + _ends(dial)
    alt = (
        f"{control}, scale from {number(dial.low)} to {number(dial.high)}: {ours}, {rules}, "
        f"80 % band {number(band[0])} to {number(band[1])}, pass window {passing.said}{end}."
    )
    return f'<div class="scale" role="img" aria-label="{escape(alt)}">{marks}{words}</div>'


def _said(proposal: str, baseline: str, verdict: Verdict | None) -> tuple[str, str, str]:
    """Words for the proposal, for the baseline and for the end; what to set is said of the one that leads."""
    if verdict is None:
        return f"proposal {proposal}", f"set {baseline}, the baseline", ""
    return f"set {proposal}", f"baseline {baseline}", f"; {verdict} this"


def plain_scale(control: str, dial: Dial, value: float) -> str:
    """The drawing of a control of which nothing is learned: where to set it, and nothing else."""
    place = 100 * dial.place(value)
    words = _words("above", place, f"<b>set {number(value)}</b>")
    alt = f"{control}, scale from {number(dial.low)} to {number(dial.high)}: set {number(value)}."
    return f'<div class="scale" role="img" aria-label="{escape(alt)}">{_ticks(dial)}{_mark("proposal", place)}{words}{_ends(dial)}</div>'


def scale_key(found: Collection[Passing]) -> str:
    """What the marks on some scales mean, and why some have none."""
    samples = (("proposal", "proposal"), ("baseline", "baseline"), ("band", "80 % band: the best setting lies in it"))
    if any(one.window for one in found):
        samples = (*samples, ("window", "pass window: passes about as well"))
    parts = [f'<span><i class="sample" aria-hidden="true"><i class="{mark}"></i></i>{words}</span>' for mark, words in samples]
    missing = {one.said for one in found if one.window is None}
    parts += [f"<span>{words}</span>" for said, words in _MISSING.items() if said in missing]
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


def _ends(dial: Dial) -> str:
    """Lowest and highest number, on either side of the scale, where no other words come."""
    return f'<span class="low faint">{number(dial.low)}</span><span class="high faint">{number(dial.high)}</span>'
