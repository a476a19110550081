"""What to do before a seam of the day, as orders, each with the caution that belongs to it.

What the stitch before has left in the machine and threads that do not run any more come out first; then parts, for what is threaded
passes them; then needles; then threads, those of the loopers before those of the needles.
"""

from collections.abc import Collection, Iterator, Sequence

from recommender.advice.planning.day import Part, Stop
from recommender.advice.planning.planned import Planned
from recommender.trade.machine import Machine
from recommender.trade.needles import needle_for
from recommender.trade.preparation import Step, preparation, step_at
from recommender.trade.stitch import Stitch, stitch
from recommender.trade.words import Units, listed, threaded

UNPLUGGED = Step("Switch the machine off and unplug it.", "", "power")
"""What every other order comes after."""
_PARTS: dict[Part, tuple[str, str, str]] = {
    "finger in": ("Put the stitch finger in.", "finger", "Cut the thread chain"),
    "finger out": (
        "Cut the thread chain, ease it off the stitch finger, and take the finger out of the way.",
        "finger",
        "Cut the thread chain",
    ),
    "converter on": ("Put the two-thread converter on.", "looper", "Put the two-thread converter on"),
    "converter off": ("Take the two-thread converter off.", "looper", "Put the two-thread converter on"),
    "knife in": ("Let the knife cut again.", "knife", "See that the knife is in its working place"),
    "knife out": ("Put the knife out of action.", "knife", "Put the knife out of action"),
    "foot": ("Change the foot: {foot}.", "foot", "Fit the foot"),
}
"""The order by which a part is changed, where the hands are then, and the step of the preparation whose caution is told."""


def orders(seam: Planned, stop: Stop, machine: Machine, units: Units) -> tuple[Step, ...]:
    """What to do before a seam of the day; nothing where machine and stitch stay as they are, the dials aside.

    The machine is unplugged and opened first, closed and plugged in last, with its dials set by then; where another stitch is sewn, its
    own steps are among them, and how it is sewn comes after. A caution is told once.
    """
    told: set[str] = set()
    todo: list[Step] = []
    sewn, anew = stitch(seam.stitch), stop.change.stitch
    prepared = preparation(sewn, machine)
    finger = [step for step in prepared if step.place == "finger"] if machine.rolled_position else None
    own = [step for step in prepared if anew and step.text in sewn.steps]
    changes = (*_taken_out(stop), *_parts(sewn, stop, finger), *_needles(seam, stop), *_threads(seam, stop, units), *own)
    dials = Step("Set the dials to the numbers below.", step_at("dials", "Set the dials").caution, "dials")
    for step in (step_at("needle", "Raise the presser foot"), *changes, dials):
        todo.append(Step(step.text, "" if step.caution in told else step.caution, step.place))
        told.add(step.caution)
    closed = step_at("power", "Lower the presser foot")
    sewing = [step for step in prepared if step.place == "seam"]
    return (UNPLUGGED, *todo, closed, *sewing) if changes else tuple(sewing if anew else ())


def _taken_out(stop: Stop) -> Iterator[Step]:
    """What runs through the machine and has to come out."""
    change = stop.change
    for order in change.clear:
        yield Step(order, step_at("foot", "{step}").caution, "foot")
    if unthread := (*change.emptied, *(change.unthread or stop.needles)):
        why = ", for the loopers come first" if change.unthread else ""
        yield _at_needle(f"Unthread the {listed(unthread)}{why}.", "Thread the")
    for looper in change.take_out:
        if looper not in change.emptied:
            yield _at_looper(f"Cut the {looper} thread and draw it out.")


def _parts(sewn: Stitch, stop: Stop, finger: Sequence[Step] | None) -> Iterator[Step]:
    """The other parts; `finger` is what to do at a machine whose rolled-hem position moves the stitch finger, and more."""
    if stop.change.stitch and finger is not None:
        yield from finger
    for part in stop.change.parts:
        order, place, doing = _PARTS[part]
        if place != "finger" or finger is None:
            yield Step(order.format(foot=sewn.foot), step_at(place, doing).caution, place)


def _needles(seam: Planned, stop: Stop) -> Iterator[Step]:
    """The needles that come out, and those that go in."""
    emptied, sewn = stop.change.emptied, stitch(seam.stitch)
    if out := (*emptied, *stop.needles):
        yield _at_needle(f"Take the {listed(out)} out.", "Take out")
    for needle in emptied:
        empty = f"Leave the {needle}'s place empty, and tighten its screw again so that it cannot fall into the machine."
        yield _at_needle(empty, "Take out")
    if into := (*stop.needles, *stop.change.put_in):
        packet = needle_for(seam.fabric, seam.needle_thread).packet
        yield _at_needle(f"Put the {listed(_in_order(sewn, into))} in: {packet}.", "Put in fresh")


def _threads(seam: Planned, stop: Stop, units: Units) -> Iterator[Step]:
    """The threads that are threaded anew."""
    change, sewn = stop.change, stitch(seam.stitch)
    if loopers := [position for position in change.thread if position in sewn.loopers]:
        yield _at_looper(f"Thread the {listed(loopers)} with {threaded(seam.looper_thread, units)}; leave about 100 mm.")
    anew = [position for position in change.thread if position in sewn.needles]
    if needles := _in_order(sewn, (*anew, *stop.needles)):
        which = f"with {threaded(seam.needle_thread, units)}" if anew else "again, with the same thread"
        yield _at_needle(f"Thread the {listed(needles)} {which}; leave about 100 mm under the foot to the back.", "Thread the")


def _in_order(sewn: Stitch, positions: Collection[str]) -> list[str]:
    """The same positions in the order of threading."""
    return [position for position in sewn.threading if position in positions]


def _at_needle(text: str, doing: str) -> Step:
    return Step(text, step_at("needle", doing).caution, "needle")


def _at_looper(text: str) -> Step:
    return Step(text, step_at("looper", "Thread the").caution, "looper")
