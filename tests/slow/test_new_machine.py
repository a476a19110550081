"""A machine joins a studio: how its first swatches do before and after five planned ones, beside the machines that were there."""

import math
from dataclasses import dataclass, replace

import numpy as np
import pytest

from data.demo.physics import Works
from data.demo.workshop import Piece
from recommender.advice.model import Model, fitted
from recommender.advice.moves import best_settings
from recommender.advice.planning.plan import plan
from recommender.advice.planning.stash import stash
from recommender.advice.seam import Seam
from recommender.trade.machine import Machine
from recommender.trade.stitch import stitch
from tests.slow.room import Room

pytestmark = [pytest.mark.slow, pytest.mark.timeout(3600)]

ROOMS = range(600, 648)
LOGGED, UNSEEN, PLANNED = 160, 60, 5
NEW = "door table"


@dataclass(frozen=True)
class Tally:
    """Whether first swatches of unseen cloths passed; each cloth on an old machine and on the new one, one row a cloth."""

    old: np.ndarray
    unknown: np.ndarray  # on the new one, before a swatch was sewn on it
    planned: np.ndarray  # after five planned swatches
    chance: np.ndarray  # after five first swatches of cloths as they come


def newcomer(room: Room) -> Machine:
    """Another machine of one of the two profiles, whose works differ from both."""
    like = list(room.shop.machines)[int(room.rng.integers(2))]
    machine, works, rng = replace(room.shop.machines[like], name=NEW), room.shop.works[like], room.rng
    own: Works = replace(
        works,
        slack={position: 0.6 * float(rng.normal()) for position in works.slack},
        reach=works.reach * math.exp(0.08 * rng.normal()),
        feed_gain=works.feed_gain * math.exp(0.1 * rng.normal()),
        feed_lag=0.03 * float(rng.normal()),
        foot=works.foot * math.exp(0.15 * rng.normal()),
        length_gain=works.length_gain * math.exp(0.04 * rng.normal()),
        width_lag=0.2 * float(rng.normal()),
    )
    room.shop.machines = {**room.shop.machines, NEW: machine}
    room.shop.works = {**room.shop.works, NEW: own}
    room.model = fitted(room.log, room.shop.machines)
    return machine


def passes(room: Room, model: Model, pieces: list[Piece]) -> list[bool]:
    """Whether the proposed first swatch of each piece ought to pass."""
    proposed = [best_settings(model.outlook(seam), seam, None) for seam in (Seam(*piece) for piece in pieces)]
    return [room.shop.sew(*piece, settings, room.rng).good for piece, settings in zip(pieces, proposed, strict=True)]


def unseen(room: Room, machine: Machine) -> list[Piece]:
    """Unseen cloths on the old machines that the new one could sew too."""
    pieces: list[Piece] = []
    while len(pieces) < UNSEEN:
        piece = room.shop.fabric()
        if piece.machine.name != NEW and not piece.stitch.lacking(machine):
            pieces.append(piece)
    return pieces


@pytest.fixture(scope="module")
def tally() -> Tally:
    rows = []
    for seed in ROOMS:
        room = Room(seed)
        for _ in zip(range(LOGGED), room.sewing(), strict=False):
            pass
        machine = newcomer(room)
        by_chance = room.copy()
        pieces = unseen(room, machine)
        there = [piece._replace(machine=machine) for piece in pieces]
        before = passes(room, room.model, pieces), passes(room, room.model, there)
        seams = stash(room.log, {NEW: machine})
        for one in plan(room.model, seams, PLANNED, learning=math.inf):
            room.sew(Piece(one.fabric, stitch(one.stitch), machine, one.needle_thread, one.looper_thread), one.settings)
        for _, piece in zip(range(PLANNED), by_chance.pieces(NEW), strict=False):
            by_chance.sew(piece, best_settings(by_chance.model.outlook(Seam(*piece)), Seam(*piece), None))
        rows.append(np.array([*before, passes(room, room.model, there), passes(by_chance, by_chance.model, there)], dtype=float))
    return Tally(*np.concatenate(rows, axis=1))


@pytest.mark.xfail(strict=True, reason="7.6 +- 1.2 points were left: each swatch tells five readings, a machine has more dials than that")
def test_five_planned_swatches_bring_a_new_machine_within_five_points_of_the_old_ones(tally):
    """2880 unseen cloths in 48 rooms with 160 swatches logged on two machines, each cloth on an old machine and on the new one."""
    short = tally.old - tally.planned
    by_room = short.reshape(len(ROOMS), UNSEEN).mean(axis=1)
    print(f"short of the old machines by {short.mean():.3f} +- {by_room.std(ddof=1) / np.sqrt(len(ROOMS)):.3f}")
    assert short.mean() <= 0.05


def test_five_planned_swatches_make_a_new_machine_pass_more_often(tally):
    for name in ("old", "unknown", "planned", "chance"):
        print(f"{name}: {getattr(tally, name).mean():.3f}; ", end="")
    assert tally.planned.mean() > tally.unknown.mean()
