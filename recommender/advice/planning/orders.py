"""What to do before a seam of the day, as orders, each with the caution that belongs to it.

Parts come first, for what is threaded passes them; then needles, then threads, those of the loopers before those of the needles.
"""

from collections.abc import Iterable, Iterator, Sequence

from recommender.advice.planning.day import Stop
from recommender.advice.planning.planned import Planned
from recommender.trade.needles import needle_for
from recommender.trade.preparation import Step, caution_of
from recommender.trade.stitch import stitch
from recommender.trade.thread import Thread
from recommender.trade.words import Units, listed, threaded

UNPLUGGED = Step("Switch the machine off and unplug it.", "", "power")
"""What every other order comes after."""
_PARTS = {
    "change the foot": ("foot", "Fit the foot"),
    "stitch finger": ("finger", "Take the stitch finger out"),
    "converter": ("looper", "Put the two-thread converter on"),
    "knife cut again": ("knife", "See that the knife is in its working place"),
    "knife out of action": ("knife", "Put the knife out of action"),
}
"""By words of a part's order: where the hands are, and the step of the preparation whose caution is told."""


def orders(seam: Planned, stop: Stop, units: Units) -> tuple[Step, ...]:
    """What to do before a seam of the day, unplugging first; nothing where the machine stays as it is. A caution is told once."""
    told: set[str] = set()
    todo: list[Step] = []
    for step in _orders(seam, stop, units):
        todo.append(Step(step.text, "" if step.caution in told else step.caution, step.place))
        told.add(step.caution)
    return (UNPLUGGED, *todo) if todo else ()


def _orders(seam: Planned, stop: Stop, units: Units) -> Iterator[Step]:
    change = stop.change
    if change.unthread:
        yield _at_needle(f"Unthread the {listed(change.unthread)}, for the loopers come first.", "Thread the")
    elif stop.needles:
        yield _at_needle(f"Unthread the {listed(stop.needles)}.", "Thread the")
    for part in change.parts:
        place, doing = next(where for words, where in _PARTS.items() if words in part)
        yield Step(f"{part.capitalize()}.", caution_of(place, doing), place)
    for looper in _but_needles(change.take_out):
        yield _at_looper(f"Cut the {looper} thread and draw it out.")
    if out := (*_needles(change.take_out), *stop.needles):
        yield _at_needle(f"Take the {listed(out)} out.", "Take out")
    if put_in := [needle for needle in stitch(seam.stitch).threading if needle in (*stop.needles, *change.put_in)]:
        yield _at_needle(f"Put the {listed(put_in)} in: {needle_for(seam.fabric).packet}.", "Put in fresh")
    if loopers := _but_needles(change.thread):
        yield _at_looper(_thread(loopers, seam.looper_thread, units))
    if needles := _needles(change.thread):
        yield _at_needle(_thread(needles, seam.needle_thread, units), "Thread the")
    if again := [needle for needle in stop.needles if needle not in change.thread]:
        yield _at_needle(f"Thread the {listed(again)} again, with the same thread.", "Thread the")


def _thread(positions: Sequence[str], thread: Thread, units: Units) -> str:
    return f"Thread the {listed(positions)} with {threaded(thread, units)}."


def _at_needle(text: str, doing: str) -> Step:
    return Step(text, caution_of("needle", doing), "needle")


def _at_looper(text: str) -> Step:
    return Step(text, caution_of("looper", "Thread the"), "looper")


def _needles(positions: Iterable[str]) -> list[str]:
    return [position for position in positions if "needle" in position]


def _but_needles(positions: Iterable[str]) -> list[str]:
    return [position for position in positions if "needle" not in position]
