"""Making the machine ready for a stitch, step by step, with the cautions where the hands are."""

from collections.abc import Iterator
from dataclasses import dataclass

from recommender.errors import InvalidValue
from recommender.trade.machine import Machine
from recommender.trade.needles import Needle
from recommender.trade.stitch import Stitch
from recommender.trade.tables import table

_UNCUT = "Without the knife, no cloth may reach past the cutting width: it would jam in the loopers."
"""What to mind for as long as the knife is out of action, not only while it is put there."""


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to do."""

    text: str
    """What to do."""
    caution: str
    """What to mind while the hands are there; empty where there is nothing to mind."""
    place: str
    """Where the hands are: power, needle, finger, looper, knife, foot, dials or seam."""


def preparation(stitch: Stitch, machine: Machine, needle: Needle | None = None) -> tuple[Step, ...]:
    """What to do before the first swatch of a stitch, in a safe order; with the needle to take, where one is given.

    Loopers are threaded before needles, the lower looper first. Source: `data/preparation.toml`.

    >>> from recommender.trade.stitch import stitch
    >>> steps = preparation(stitch("two-thread overlock"), Machine.generic("bench"))
    >>> steps[0].place, [step.place for step in steps if step.text.startswith("Thread the")]
    ('power', ['looper', 'needle'])
    """
    facts, words = _facts(stitch, machine), _words(stitch, machine, needle)
    steps: list[Step] = []
    for row in table("preparation")["step"]:
        if all(_holds(fact, facts) for fact in row.get("when", ())):
            for more in _repeats(row.get("each"), stitch):
                filled = words | more
                steps.append(Step(row["text"].format_map(filled), row["caution"].format_map(filled), row["place"]))
    return tuple(steps)


def step_at(place: str, doing: str) -> Step:
    """The first step at a place that begins with some words, its own words not filled in: whichever stitch and machine it stands for.

    >>> step_at("foot", "Fit the foot").caution
    'Fit it with the needles at their highest point and the plug out.'

    Raises
    ------
    InvalidValue
        If there is no such step.
    """
    for row in table("preparation")["step"]:
        if row["place"] == place and row["text"].startswith(doing):
            return Step(row["text"], row["caution"], place)
    raise InvalidValue(f"data/preparation.toml: got no step at the {place} that begins with {doing!r}, expected one")


def _holds(fact: str, facts: dict[str, bool]) -> bool:
    return not facts[fact.removeprefix("not ")] if fact.startswith("not ") else facts[fact]


def _facts(stitch: Stitch, machine: Machine) -> dict[str, bool]:
    return {
        "needle out": bool(_needles_out(stitch, machine)),
        "finger in": stitch.finger_in,
        "rolled position": machine.rolled_position,
        "rolled tension": stitch.rolled,
        "converter on": stitch.converter,
        "has converter": machine.converter,
        "knife on": stitch.knife_on,
    }


def _needles_out(stitch: Stitch, machine: Machine) -> list[str]:
    return [position for position in machine.tension if "needle" in position and position not in stitch.needles]


def _words(stitch: Stitch, machine: Machine, needle: Needle | None) -> dict[str, str]:
    return {
        "needles_in": _listed([f"the {needle}" for needle in stitch.needles]),
        "needles_out": _listed([f"the {needle}" for needle in _needles_out(stitch, machine)]),
        "needle_choice": f"; for this cloth and thread begin with {needle.packet}" if needle else "",
        "foot": stitch.foot,
        "stitch_cautions": "".join(f" {caution}" for caution in (*stitch.cautions, *(() if stitch.knife_on else (_UNCUT,)))),
    }


def _listed(things: list[str]) -> str:
    return " and ".join(things)


def _repeats(each: str | None, stitch: Stitch) -> Iterator[dict[str, str]]:
    """What a row's words are filled in with, once for each time it stands in the list."""
    match each:
        case None:
            yield {}
        case "looper threads":
            yield from ({"thread": position} for position in stitch.threading if position in stitch.loopers)
        case "needle threads":
            yield from ({"thread": position} for position in stitch.threading if position in stitch.needles)
        case "steps of the stitch":
            yield from ({"step": step} for step in stitch.steps)
        case "sewing of the stitch":
            yield from ({"step": step} for step in stitch.sewing)
        case "end of the stitch":
            yield from ({"step": step} for step in stitch.afterwards)
        case _:
            raise InvalidValue(f"data/preparation.toml: {each!r} is nothing that a step can be repeated for")
