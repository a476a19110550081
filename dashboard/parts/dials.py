"""A machine's dials on their own scales, and its parts in words; `look.css` draws it."""

from collections.abc import Mapping

from parts.svg import escape
from recommender.advice.words import spoken
from recommender.trade.machine import Dial, Machine
from recommender.trade.stitch import stitch, stitches
from recommender.trade.words import number

PARTS: Mapping[str, tuple[str, str, str]] = {
    "removable_finger": ("Can the stitch finger be taken out or drawn back?", "stitch finger can be taken out", "stitch finger stays in"),
    "converter": ("Is there a two-thread converter for the upper looper?", "two-thread converter", "no two-thread converter"),
    "knife_disengages": ("Can the knife be put out of action?", "knife can be put out of action", "knife always cuts"),
    "rolled_position": (
        "Is there a rolled-hem position that sets the tension by itself?",
        "rolled-hem position that sets the tension",
        "no rolled-hem position that sets the tension",
    ),
}
"""By part: what is asked, and what is said where it is there and where not."""


def drawn_profile(machine: Machine) -> str:
    """The whole profile, as HTML."""
    rows = (
        f"<div class='row'><div class='control'>{escape(spoken(control))}<b>{number(dial.home)}</b></div>{dial_scale(control, dial)}</div>"
        for control, dial in machine.dials.items()
    )
    parts = "".join(f"<li>{escape(there if getattr(machine, part) else not_there)}</li>" for part, (_, there, not_there) in PARTS.items())
    return f"{_KEY}{''.join(rows)}<ul class='parts'>{parts}</ul>"


_KEY = (
    '<div class="key"><span><i class="sample" aria-hidden="true"><i class="home"></i></i>home mark: where it stands for an ordinary '
    "overlock on plain medium woven cotton</span></div>"
)


def dial_scale(control: str, dial: Dial) -> str:
    """One dial: its ends, its steps and its home mark."""
    ticks = "".join(f'<i class="tick" style="left: {100 * place:.2f}%"></i>' for place in dial.ticks)
    alt = f"{control}, from {number(dial.low)} to {number(dial.high)} in steps of {_step(dial)}, home mark {number(dial.home)}"
    ends = f'<span class="below" style="left: 0">{number(dial.low)}</span><span class="below" style="right: 0">{number(dial.high)}</span>'
    step = f'<span class="below faint" style="left: 50%; transform: translateX(-50%)">steps of {_step(dial)}</span>'
    mark = f'<i class="home" style="left: {100 * dial.place(dial.home):.2f}%"></i>'
    return f'<div class="scale dial" role="img" aria-label="{escape(alt)}"><i class="axis"></i>{ticks}{mark}{ends}{step}</div>'


def stitches_of(machine: Machine) -> str:
    """Which stitches the machine sews and what it lacks for the others, as HTML."""
    lacking = {name: stitch(name).lacking(machine) for name in stitches()}
    can = ", ".join(name for name, parts in lacking.items() if not parts) or "none of those known here"
    cannot = "".join(f"<li>{escape(name)}: it needs {escape(' and '.join(parts))}</li>" for name, parts in lacking.items() if parts)
    return f"<div><b>Sews:</b> {escape(can)}.</div>" + (f"<div><b>Does not sew:</b><ul class='parts'>{cannot}</ul></div>" if cannot else "")


def _step(dial: Dial) -> str:
    return f"{dial.step:g}"
