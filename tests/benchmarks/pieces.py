"""What comes to be sewn in the race's studios: invented cloth of every usual kind, with its stitch, machine and threads."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp, log
from typing import NamedTuple

import numpy as np

from recommender.trade.fabric import Fabric
from recommender.trade.machine import Machine
from recommender.trade.stitch import Stitch, stitch
from recommender.trade.thread import Thread


class Piece(NamedTuple):
    """Something to sew: all of a swatch but its settings."""

    fabric: Fabric
    stitch: Stitch
    machine: Machine
    needle_thread: Thread
    looper_thread: Thread


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """A kind of cloth."""

    construction: str
    fibres: tuple[str, ...]
    gsm: tuple[float, float]
    """g/m2."""
    stretch: tuple[float, float] = (0.0, 0.0)
    """Across, %."""
    elastane: float = 0.0
    """How often it holds elastane."""
    share: float = 1.0
    """How often it comes in, against the others."""


KINDS = (
    Kind(construction="knit", fibres=("cotton", "viscose", "polyester"), gsm=(110, 240), stretch=(20, 80), elastane=0.4, share=4),
    Kind(construction="knit", fibres=("cotton", "wool", "acrylic"), gsm=(180, 340), stretch=(50, 130), elastane=0.2, share=2),
    Kind(construction="knit", fibres=("cotton", "polyester"), gsm=(230, 380), stretch=(10, 45), share=2),
    Kind(construction="knit", fibres=("polyamide", "polyester"), gsm=(120, 260), stretch=(60, 140), elastane=1.0, share=2),
    Kind(construction="woven", fibres=("silk", "viscose", "polyester"), gsm=(35, 95), share=2),
    Kind(construction="woven", fibres=("cotton", "linen", "viscose"), gsm=(90, 170), stretch=(0, 6), share=3),
    Kind(construction="woven", fibres=("cotton", "linen", "wool", "polyester"), gsm=(150, 290), stretch=(0, 20), elastane=0.3, share=2.5),
    Kind(construction="woven", fibres=("cotton", "wool"), gsm=(280, 470), stretch=(0, 18), elastane=0.3, share=1.5),
    Kind(construction="nonwoven", fibres=("polyester", "wool"), gsm=(120, 320), share=0.7),
)


class Wardrobe:
    """An endless supply of pieces for these stitches and machines."""

    def __init__(self, stitches: Mapping[str, float], machines: Sequence[Machine]) -> None:
        self._stitches = stitches
        self._machines = machines

    def piece(self, name: str, rng: np.random.Generator) -> Piece:
        """A cloth of that name, never seen before, and how it is sewn."""
        fabric = _fabric(name, rng)
        names = list(self._stitches)
        wanted = stitch(names[weighted([self._stitches[n] * _suits(n, fabric) for n in names], rng)])
        able = [machine for machine in self._machines if not wanted.lacking(machine)]
        return Piece(fabric, wanted, able[int(rng.integers(len(able)))], *_threads(fabric, wanted, rng))


def weighted(shares: Sequence[float], rng: np.random.Generator) -> int:
    """A place drawn by share."""
    return int(rng.choice(len(shares), p=np.array(shares) / sum(shares)))


def _fabric(name: str, rng: np.random.Generator) -> Fabric:
    kind = KINDS[weighted([kind.share for kind in KINDS], rng)]
    stretch = round(float(rng.uniform(*kind.stretch)))
    return Fabric(
        name=name,
        construction=kind.construction,
        fibre=str(rng.choice(kind.fibres)),
        gsm=round(exp(rng.uniform(*map(log, kind.gsm)))),
        stretch=stretch,
        stretch_along=round(stretch * float(rng.uniform(0.3, 0.9))) if stretch >= 15 and rng.random() < 0.3 else None,
        elastane=int(rng.integers(2, 15)) if rng.random() < kind.elastane else 0,
        plies=int(rng.choice([1, 2, 3], p=[0.12, 0.8, 0.08])),
        grain=str(rng.choice(["lengthwise", "crosswise", "bias"], p=[0.75, 0.18, 0.07])),
    )


def _suits(name: str, fabric: Fabric) -> float:
    """How much likelier than usual this cloth is sewn with this stitch."""
    fine = fabric.gsm < 130
    if "rolled" in name or "hem" in name:
        return 3.0 if fine else 0.15
    if "flatlock" in name:
        return 1.5 if fabric.construction == "knit" else 0.4
    if "two-thread" in name:
        return 0.6 if fabric.gsm > 300 else 1.0
    return 0.6 if fine else 1.0


def _threads(fabric: Fabric, wanted: Stitch, rng: np.random.Generator) -> tuple[Thread, Thread]:
    """Needle and looper thread: mostly the usual cone, now and then finer, thicker or softer."""
    usual, draw = Thread(tex=27), rng.random()
    if wanted.family in ("rolled", "flatlock") and draw < 0.35:
        return usual, Thread(tex=int(rng.choice([30, 35, 45])), kind="textured" if draw < 0.2 else "spun")
    if fabric.stretch > 40 and draw < 0.3:
        return usual, Thread(tex=int(rng.choice([18, 24])), fibre="polyamide", kind="textured")
    if fabric.gsm > 260 and draw < 0.4:
        heavy = Thread(tex=int(rng.choice([35, 40, 60])), kind="corespun")
        return heavy, heavy if draw < 0.2 else usual
    if fabric.gsm < 100 and draw < 0.4:
        fine = Thread(tex=int(rng.choice([14, 18])), kind="continuous filament" if draw < 0.15 else "spun")
        return fine, fine
    return usual, usual
