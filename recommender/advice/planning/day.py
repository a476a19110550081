"""The order of a day's seams: what waits to be sewn, arranged so that the least is changed over between one seam and the next.

Machines come one after the other, first the one that was sewn on last, for there the sewer stands, then the others in the order in which
they are first named; whichever comes first, as much is changed over. On each, seams of one set-up (stitch and threads) stand together;
within a set-up those for one needle, beginning with the one that is in; and of these those of one cloth. The set-ups are ordered so
that the fewest threads are threaded anew, and among orders that are equal in this, so that the fewest parts are changed.
Where a looper is threaded anew the needles are too, after it (data/preparation.toml). A machine begins as its last swatch left it, with
the needle size that was noted then, otherwise with the needle for that swatch's cloth.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Literal

from recommender.advice.moves import Move, moves_between
from recommender.advice.planning.planned import Planned
from recommender.swatches.trial import Trial
from recommender.trade.needles import needle_for
from recommender.trade.stitch import stitch
from recommender.trade.thread import Thread

EXACT = 10
"""Up to so many set-ups on one machine the best order is found; of more, the next is always the one that changes least."""

SetUp = tuple[str, str, Thread, Thread]
"""Machine, stitch, needle thread and looper thread."""
NeedleKind = tuple[float, str]
"""Metric size and point of a needle."""
Part = Literal["finger in", "finger out", "converter on", "converter off", "knife in", "knife out", "foot"]
"""A part of the machine that is changed by hand, and which way."""
Toll = tuple[int, int]
"""What changing over costs: threads to thread, then parts to change; compared in this order."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeOver:
    """What has to be changed between one set-up of a machine and the next; all empty where nothing has."""

    unthread: tuple[str, ...] = ()
    """Needles to unthread first: a looper is threaded before them."""
    thread: tuple[str, ...] = ()
    """Positions to thread, in the order of threading."""
    put_in: tuple[str, ...] = ()
    """Needles to put in."""
    take_out: tuple[str, ...] = ()
    """Positions whose thread does not run any more; of a needle, the needle comes out too."""
    parts: tuple[Part, ...] = ()
    """Other parts to change."""
    stitch: bool = False
    """Whether another stitch is sewn, which may have steps of its own."""
    clear: tuple[str, ...] = ()
    """What the stitch before it has left in the machine, as orders to take that out."""

    @property
    def emptied(self) -> tuple[str, ...]:
        """Needles that come out and leave their places empty."""
        return tuple(position for position in self.take_out if "needle" in position)

    @property
    def toll(self) -> Toll:
        """What it costs."""
        return len(self.thread), len(self.put_in) + len(self.take_out) + len(self.parts)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """One seam in the order of the day."""

    place: int
    """Which of the seams that were given it is, counted from 0."""
    change: ChangeOver
    """What to change over before it."""
    moves: tuple[Move, ...]
    """Which controls to move before it, of those that the seam before it on this machine had too."""
    fresh: tuple[str, ...] = ()
    """Controls that the seam before it had not: wherever they stand, they have to be set."""
    needles: tuple[str, ...] = ()
    """Needles to change for others, for its cloth wants another size or point; those that its stitch puts in are not among them."""


def day(seams: Sequence[Planned], standing: Mapping[str, Trial] | None = None) -> tuple[Stop, ...]:
    """The order in which to sew some seams, with what to change before each.

    Parameters
    ----------
    seams
        What is to be sewn, what matters most first.
    standing
        By machine: the swatch that was sewn on it last, where one is known.
    """
    stops: list[Stop] = []
    there = standing or {}
    sewn_last = max(there, key=lambda machine: there[machine].when, default=None)
    for machine in sorted(dict.fromkeys(seam.machine for seam in seams), key=lambda machine: machine != sewn_last):
        last = there.get(machine)
        before: Planned | None = last
        needle = _left_in(last) if last else None
        for place in _on_one_machine(seams, machine, before, needle):
            seam = seams[place]
            stops.append(_stop(place, before, needle, seam))
            before, needle = seam, _wanted(seam)
    return tuple(stops)


def _wanted(seam: Planned) -> NeedleKind:
    """The needle for a seam's cloth and thread."""
    needle = needle_for(seam.fabric, seam.needle_thread)
    return needle.size, needle.point


def _left_in(last: Trial) -> NeedleKind:
    """The needle that a swatch was sewn with; only its size is ever noted."""
    size, point = _wanted(last)
    return last.needle_size or size, point


def _stop(place: int, before: Planned | None, needle: NeedleKind | None, seam: Planned) -> Stop:
    controls = seam.settings.controls()
    if before is None:
        return Stop(place=place, change=change_over(None, set_up(seam)), moves=(), fresh=tuple(controls))
    stood = before.settings.controls()
    change = change_over(set_up(before), set_up(seam))
    sewn = stitch(seam.stitch)
    stays = [position for position in sewn.threading if position in sewn.needles and position not in change.put_in]
    return Stop(
        place=place,
        change=change,
        moves=moves_between(before.settings, seam.settings),
        fresh=tuple(control for control in controls if control not in stood),
        needles=() if needle == _wanted(seam) else tuple(stays),
    )


def set_up(seam: Planned) -> SetUp:
    """What has to be on the machine for a seam, the dials aside."""
    return seam.machine, seam.stitch, seam.needle_thread, seam.looper_thread


def change_over(before: SetUp | None, after: SetUp) -> ChangeOver:
    """What to change from one set-up of a machine to another; None for a machine of which nothing is known.

    >>> plain, wide = Thread(tex=27), "three-thread overlock wide"
    >>> change_over(("bench", "four-thread overlock", plain, plain), ("bench", wide, plain, Thread(tex=40)))
    ChangeOver(unthread=('left needle',), thread=('lower looper', 'upper looper', 'left needle'),
               put_in=(), take_out=('right needle',), parts=(), stitch=True, clear=())
    """
    there, new = _threads(after), stitch(after[1])
    here, old = (_threads(before), stitch(before[1])) if before else ({}, None)
    changes: list[tuple[object, object, Part, Part]] = [
        (old and old.finger_in, new.finger_in, "finger in", "finger out"),
        # A machine of which nothing is known may have no converter to take off.
        (old.converter if old else False, new.converter, "converter on", "converter off"),
        (old and old.knife_on, new.knife_on, "knife in", "knife out"),
        (old and old.foot, new.foot, "foot", "foot"),
    ]
    anew = {position for position, thread in there.items() if here.get(position) != thread}
    needles_too = bool(anew & {*new.loopers})
    return ChangeOver(
        unthread=tuple(position for position in here if position in new.needles) if needles_too else (),
        thread=tuple(position for position in there if position in anew or (needles_too and position in new.needles)),
        put_in=tuple(position for position in new.needles if position not in here),
        take_out=tuple(position for position in here if position not in there),
        parts=tuple(on if now else off for then, now, on, off in changes if then != now),
        stitch=old != new,
        clear=old.clearing if old and old != new else (),
    )


def _threads(one: SetUp) -> dict[str, Thread]:
    """The thread at each position that runs, in the order of threading."""
    _, name, needle, looper = one
    return {position: needle if "needle" in position else looper for position in stitch(name).threading}


def _on_one_machine(seams: Sequence[Planned], machine: str, before: Planned | None, needle: NeedleKind | None) -> list[int]:
    """The places of the seams of one machine, in the order of sewing."""
    groups: dict[SetUp, list[int]] = {}
    for place, seam in enumerate(seams):
        if seam.machine == machine:
            groups.setdefault(set_up(seam), []).append(place)
    set_ups = list(groups)

    def toll(one: int, other: int) -> Toll:
        """From one set-up to another; -1 is how the machine stands."""
        start = (set_up(before) if before else None) if one < 0 else set_ups[one]
        return change_over(start, set_ups[other]).toll

    order = _best_order(len(set_ups), cache(toll)) if len(set_ups) <= EXACT else _next_best_order(len(set_ups), cache(toll))
    found: list[int] = []
    for one in order:
        found += _by_needle(seams, groups[set_ups[one]], needle)
        needle = _wanted(seams[found[-1]])
    return found


def _best_order(n: int, toll: Callable[[int, int], Toll]) -> list[int]:
    """The cheapest order of n set-ups, the first of those that cost the same (Held and Karp 1962, from memory)."""

    @cache
    def rest(last: int, left: frozenset[int]) -> tuple[Toll, list[int]]:
        """The cheapest way through what is left."""
        ways: list[tuple[Toll, list[int]]] = [((0, 0), [])] if not left else []
        for one in sorted(left):
            (threads, parts), way = rest(one, left - {one})
            here = toll(last, one)
            ways.append(((here[0] + threads, here[1] + parts), [one, *way]))
        return min(ways)

    return rest(-1, frozenset(range(n)))[1]


def _next_best_order(n: int, toll: Callable[[int, int], Toll]) -> list[int]:
    order, left = [-1], set(range(n))
    while left:
        order.append(min(sorted(left), key=lambda one: toll(order[-1], one)))
        left.discard(order[-1])
    return order[1:]


def _by_needle(seams: Sequence[Planned], places: Sequence[int], needle: NeedleKind | None) -> list[int]:
    """The same places, those for one needle together, those for the one that is in first, and of these those of one cloth."""
    needles = list(dict.fromkeys((needle, *(_wanted(seams[place]) for place in places))))
    cloths = list(dict.fromkeys(seams[place].fabric for place in places))
    return sorted(places, key=lambda place: (needles.index(_wanted(seams[place])), cloths.index(seams[place].fabric)))
