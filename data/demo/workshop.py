"""The invented wardrobe: its two machines, the cloth that comes in, and how a sewer reads what was sewn.

>>> shop = Workshop(seed=7)
>>> piece = shop.fabric()  # a cloth never seen before, with its stitch, machine and threads
>>> outcome = shop.sew(*piece, shop.baseline(piece), np.random.default_rng(1))
>>> outcome.passed == outcome.good, set(outcome.readings) <= set(outcome.true_readings)
(True, True)
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from math import exp, log
from types import MappingProxyType
from zlib import crc32

import numpy as np

from data.demo.catalogue import AIMS, CLOTHS, ROOMS, WORDS, ClothKind
from data.demo.physics import REFERENCE_STACK, TRAITS, Cloth, Piece, Seam, Works, cloth_of, sewn
from recommender.trade.baseline import baseline
from recommender.trade.fabric import Fabric
from recommender.trade.machine import Dial, Machine
from recommender.trade.readings import READINGS
from recommender.trade.settings import Settings
from recommender.trade.stitch import Stitch, stitch
from recommender.trade.thread import Thread

LIMIT = 0.85
"""A swatch ought to pass when every true reading is nearer to 0 than this."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sewer:
    """How well one sewer reads and rates."""

    name: str = "somebody"
    """First name, invented."""
    noise: float = 0.25
    """Standard deviation of a reading about the truth."""
    silent: float = 0.12
    """Share of readings that are not made."""
    wrong: float = 0.04
    """Share of swatches rated pass that should fail, or the reverse."""
    confused: float = 0.02
    """Share of swatches where two readings are taken for one another."""


SOMEBODY = Sewer()
"""A sewer of the ordinary kind."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a sewer wrote about a swatch, and what was true."""

    passed: bool
    """The rating, now and then a wrong one."""
    readings: Mapping[str, float]
    """The readings that were made: half steps from -2 to +2."""
    true_readings: Mapping[str, float]
    """All five, neither rounded nor clipped."""
    seam_change: float
    """How much longer (+) or shorter (-) the seam truly is than the cloth was, %."""

    @property
    def good(self) -> bool:
        """Whether it ought to pass."""
        return _good(self.true_readings)


class Workshop:
    """A room with two machines whose true works depend on `seed`, and an endless supply of cloth."""

    def __init__(self, seed: int) -> None:
        self.seed = seed
        self._rng = np.random.default_rng([seed, 0])
        hidden = np.random.default_rng([seed, 1])
        self.works: Mapping[str, Works] = {room.machine.name: _works(room.works, room.machine, hidden) for room in ROOMS}
        self.machines: Mapping[str, Machine] = MappingProxyType({room.machine.name: room.machine for room in ROOMS})
        self._kinds: dict[str, ClothKind] = {}

    def fabric(self) -> Piece:
        """Another cloth, never seen before, with the stitch, the machine and the threads that it is sewn with."""
        kind = CLOTHS[_weighted(self._rng, [kind.share for kind in CLOTHS])]
        fabric = self._cut(kind)
        self._kinds[fabric.name] = kind
        return self.again(fabric)

    def again(self, fabric: Fabric) -> Piece:
        """A stitch, a machine and threads for a fabric that came from here before; each may be another one this time."""
        kind = self._kinds[fabric.name]
        wanted = stitch(list(kind.stitches)[_weighted(self._rng, list(kind.stitches.values()))])
        able = [machine for machine in self.machines.values() if not wanted.lacking(machine)]
        machine = able[int(self._rng.integers(len(able)))]
        return Piece(fabric, wanted, machine, *self._threads(fabric, wanted))

    def baseline(self, piece: Piece) -> Settings:
        """The trade's rules alone."""
        return baseline(*piece).settings

    def truth(self, piece: Piece, settings: Settings) -> Seam:
        """How the seam truly comes out."""
        return sewn(piece, settings, self.cloth(piece.fabric), self.works[piece.machine.name], AIMS[piece.stitch.name])

    def sew(  # noqa: PLR0917  # a swatch is all of this, and `*piece` gives most of it
        self,
        fabric: Fabric,
        stitch: Stitch,
        machine: Machine,
        needle_thread: Thread,
        looper_thread: Thread,
        settings: Settings,
        rng: np.random.Generator,
        sewer: Sewer = SOMEBODY,
    ) -> Outcome:
        """Sew one swatch and have it read; any fabric may be given, and the same one always behaves the same."""
        seam = self.truth(Piece(fabric, stitch, machine, needle_thread, looper_thread), settings)
        passed = _good(seam.readings) != (rng.random() < sewer.wrong)
        return Outcome(passed, _read(seam.readings, sewer, rng), MappingProxyType(dict(seam.readings)), 100 * seam.strain)

    def ideal(self, piece: Piece) -> Settings:
        """Settings near the baseline that bring every true reading as near to 0 as the machine's steps allow."""
        from scipy.optimize import least_squares  # only here: drawing and sewing need no linear algebra

        start = self.baseline(piece)
        names = list(start.controls())
        dials = [piece.machine.dial(name) for name in names]
        scale = np.array([0.1 if name == "differential" else 0.5 if name in ("length", "width") else 1.0 for name in names])
        low, high = np.array([dial.low for dial in dials]), np.array([dial.at(dial.steps) for dial in dials])
        origin = np.array(list(start.controls().values()))

        def misfit(values: np.ndarray) -> np.ndarray:
            scores = list(self.truth(piece, start.having(dict(zip(names, values, strict=True)))).readings.values())
            return np.concatenate([scores, 0.05 * (values - origin) / scale])

        inside = np.clip(origin, low + 1e-6, high - 1e-6)
        best = least_squares(misfit, inside, bounds=(low, high), x_scale=scale).x
        values = [dial.nearest(value) for dial, value in zip(dials, best, strict=True)]
        return start.having(dict(zip(names, _polished(misfit, values, dials), strict=True)))

    def cloth(self, fabric: Fabric) -> Cloth:
        """The fabric's cloth; its peculiarities follow from the seed and from what the fabric is, not from how it lies in the seam."""
        identity = f"{fabric.name}|{fabric.construction}|{fabric.fibre}|{fabric.gsm:g}|{fabric.stretch:g}"
        own = np.random.default_rng([self.seed, 2, crc32(identity.encode())])
        return cloth_of(fabric, dict(zip(TRAITS, np.clip(own.normal(size=len(TRAITS)), -2.5, 2.5).tolist(), strict=True)))

    def _cut(self, kind: ClothKind) -> Fabric:
        rng = self._rng
        name = f"{WORDS[int(rng.integers(len(WORDS)))]} {kind.name}"
        again = sum(known == name or known.startswith(f"{name} ") for known in self._kinds)
        stretch = round(float(rng.uniform(*kind.stretch)))
        fabric = Fabric(
            name=f"{name} {again + 1}" if again else name,
            construction=kind.construction,
            fibre=kind.fibres[int(rng.integers(len(kind.fibres)))],
            gsm=round(exp(rng.uniform(*map(log, kind.gsm))) / 5) * 5,
            stretch=stretch,
            stretch_along=round(stretch * float(rng.uniform(0.3, 0.9))) if stretch >= 15 and rng.random() < 0.4 else None,
            elastane=int(rng.integers(2, 12)) if rng.random() < kind.elastane else 0,
            plies=int(rng.choice([1, 2, 2, 2, 2, 2, 2, 3])) if kind.gsm[1] < 400 else 2,
            grain=str(rng.choice(["lengthwise", "crosswise", "bias"], p=[0.78, 0.15, 0.07])),
        )
        if rng.random() < 0.35:
            layer = exp(self.cloth(fabric).stack) * REFERENCE_STACK / fabric.plies
            fabric = replace(fabric, thickness=round(layer, 2))
        return fabric

    def _threads(self, fabric: Fabric, wanted: Stitch) -> tuple[Thread, Thread]:
        """Most seams are sewn with the cones that stand on the machine; some want finer, thicker or softer thread."""
        rng = self._rng
        usual = Thread(tex=24 if fabric.gsm < 110 and rng.random() < 0.5 else 27)
        draw = rng.random()
        if wanted.family in ("rolled", "flatlock", "corded", "decorative") and draw < 0.4:
            return usual, Thread(tex=int(rng.choice([30, 35, 45])), kind="textured" if draw < 0.25 else "spun")
        if fabric.stretch > 40 and draw < 0.35:
            return usual, Thread(tex=int(rng.choice([18, 24, 30])), fibre="polyamide", kind="textured")
        if fabric.gsm > 280 and draw < 0.4:
            heavier = Thread(tex=int(rng.choice([35, 40])), kind="corespun")
            return heavier, heavier if draw < 0.2 else usual
        if fabric.gsm < 90 and draw < 0.4:
            fine = Thread(tex=18, kind="continuous filament" if draw < 0.15 else "spun")
            return fine, fine
        return usual, usual


def _works(works: Works, machine: Machine, rng: np.random.Generator) -> Works:
    """A machine's own works, with what the seed adds: every spring lags a little differently."""
    slack = {p: works.slack[p] + 0.35 * machine.tension[p].home / 4 * float(rng.normal()) for p in machine.tension}
    return replace(
        works, slack=slack, feed_lag=works.feed_lag + 0.02 * float(rng.normal()), width_lag=works.width_lag + 0.15 * float(rng.normal())
    )


def _polished(misfit: Callable[[np.ndarray], np.ndarray], values: list[float], dials: list[Dial]) -> list[float]:
    """Move single controls by a step for as long as the worst reading shrinks."""

    def worst(tried: list[float]) -> float:
        return float(np.abs(misfit(np.array(tried))[: len(READINGS)]).max())

    while True:
        steps = [(i, dial.nearest(values[i] + way * dial.step)) for i, dial in enumerate(dials) for way in (-1, 1)]
        best = min(([*values[:i], value, *values[i + 1 :]] for i, value in steps), key=worst)
        if worst(best) > worst(values) - 1e-9:
            return values
        values = best


def _good(readings: Mapping[str, float]) -> bool:
    return all(abs(score) < LIMIT for score in readings.values())


def _weighted(rng: np.random.Generator, shares: list[float]) -> int:
    return int(rng.choice(len(shares), p=np.array(shares) / sum(shares)))


def _read(truth: Mapping[str, float], sewer: Sewer, rng: np.random.Generator) -> Mapping[str, float]:
    """The readings that the sewer made: with noise, in half steps, now and then two of them confused, some not made."""
    seen = {name: min(max(round(2 * (truth[name] + sewer.noise * float(rng.normal()))) / 2, -2.0), 2.0) for name in READINGS}
    if rng.random() < sewer.confused:
        one, other = rng.permutation(list(READINGS))[:2]
        seen[str(one)], seen[str(other)] = seen[str(other)], seen[str(one)]
    made = rng.random(len(seen)) >= sewer.silent
    return MappingProxyType({name: score + 0.0 for (name, score), kept in zip(seen.items(), made, strict=True) if kept})
