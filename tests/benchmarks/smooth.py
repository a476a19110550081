"""The smooth studio: dials that act by proportion, readings that are straight in what they do, mild differences between machines."""

from math import exp, log
from typing import ClassVar

import numpy as np

from recommender.trade.machine import Dial, Machine
from recommender.trade.settings import Settings
from recommender.trade.stitch import Stitch
from recommender.trade.thread import POSITIONS, Thread
from tests.benchmarks.pieces import Piece
from tests.benchmarks.sewer import Sewer
from tests.benchmarks.simulated import Own, Simulated

PULL = 6.0
"""Pull that an e-fold of the shifted dial number makes; near the mark of a dial from 0 to 9, one dial number is a pull of about 1."""
PROPORTION = 5.0
"""The same for feed and stitch length: a fifth more is about one unit."""

_WANTS = {
    "needles": {"weight": 0.6, "give": 0.3, "tex": -1.2, "textured": -0.8, "sleek": -0.2, "weight x give": 0.0, "plies": 0.3},
    "upper looper": {"weight": -0.4, "give": 0.0, "tex": -1.2, "textured": -0.8, "sleek": 0.2, "weight x give": 0.0, "plies": -0.3},
    "lower looper": {"weight": -0.3, "give": 0.2, "tex": -1.2, "textured": -0.8, "sleek": 0.0, "weight x give": 0.0, "plies": -0.2},
    "feed": {"weight": 0.0, "give": 3.0, "tex": 0.0, "textured": 0.0, "sleek": -0.2, "weight x give": -0.3, "plies": 0.2, "bias": 0.5},
    "length": {"weight": 0.45, "give": 0.0, "tex": 0.7, "textured": 0.2, "sleek": -0.1, "weight x give": 0.0, "plies": 0.3},
    "width": {"weight": 0.25, "give": 0.0, "tex": 0.1, "textured": 0.0, "sleek": 0.0, "weight x give": 0.0, "plies": 0.15},
}
"""What each control's wants hang on, on average over studios; the trade's rules know this roughly."""
_STRAY = {"needles": 0.4, "upper looper": 0.4, "lower looper": 0.4, "feed": 0.4, "length": 0.3, "width": 0.2}
"""How far one studio's truth lies from that average, standard deviation of each number."""
_OWN = {"needles": 0.3, "difference": 0.2, "upper looper": 0.3, "lower looper": 0.3, "feed": 0.25, "length": 0.2, "width": 0.15}
"""How far one cloth's wants lie from its kind's, standard deviations."""


def _dials(low: float, high: float, step: float, home: float) -> dict[str, Dial]:
    return {position: Dial(low, high, step, home) for position in POSITIONS}


class Smooth(Simulated):
    """Two machines, five stitches; readings are noisy and a few are missing, one rating in twenty is wrong."""

    name = "smooth"
    stitches: ClassVar = {
        "four-thread overlock": 4.0,
        "three-thread overlock wide": 2.0,
        "three-thread overlock narrow": 2.0,
        "three-thread flatlock wide": 1.5,
        "rolled hem": 1.5,
    }
    machines: ClassVar = {
        "ash": Machine(name="ash", tension=_dials(0, 9, 0.5, 4)),
        "birch": Machine(
            name="birch",
            tension=_dials(0, 7, 0.25, 3),
            differential=Dial(0.6, 2.2, 0.1, 1.0),
            length=Dial(1.0, 4.6, 0.2, 3.0),
            width=Dial(3.5, 8.0, 0.5, 6.0),
        ),
    }
    sewer = Sewer(limit=0.85, noise=0.25, missing=0.05)

    def _hide(self, rng: np.random.Generator) -> None:
        self._wants = {
            control: {cause: mean + _STRAY[control] * float(rng.normal()) for cause, mean in causes.items()}
            for control, causes in _WANTS.items()
        }
        self._by_stitch = {name: {control: 0.35 * float(rng.normal()) for control in _WANTS} for name in self.stitches}
        self._steeper = {name: {control: 0.2 * float(rng.normal()) for control in _WANTS} for name in self.stitches}
        self._off = {name: {control: 0.3 * float(rng.normal()) for control in (*POSITIONS, "feed", "width")} for name in self.machines}
        self._levers = {lever: size * exp(0.2 * float(rng.normal())) for lever, size in _LEVERS.items()}

    def _wanted(self, piece: Piece, own: Own) -> dict[str, float]:
        machine, off = piece.machine, self._off[piece.machine.name]
        needs = self._needs(piece, own)
        wanted = {}
        for position in piece.stitch.positions:
            home = machine.tension[position].home
            wanted[f"tension: {position}"] = 1.5 * home * exp((needs[position] + off[position]) / PULL) - home / 2
        wanted["differential"] = exp((needs["feed"] + 0.5 * off["feed"]) / PROPORTION)
        wanted["length"] = 3.0 * exp(needs["length"] / PROPORTION)
        wanted["width"] = 6.0 + needs["width"] + 0.5 * off["width"]
        return wanted

    def _needs(self, piece: Piece, own: Own) -> dict[str, float]:
        """What the seam needs of every thread, of the feed and of the cut, with no regard to the machine."""
        stitch = piece.stitch
        start = {position: PULL * log((6 + stitch.offsets[position]) / 6) for position in stitch.positions}
        needs = {p: start[p] + self._need(piece, "needles" if "needle" in p else p, own) for p in stitch.positions}
        for position, side in (("left needle", 0.5), ("right needle", -0.5)):
            if len(stitch.needles) == 2:
                needs[position] += side * _OWN["difference"] * own["difference"]
        needs["feed"] = self._need(piece, "feed", own)
        needs["length"] = PROPORTION * log(stitch.start.get("length", 3.0) / 3.0) + self._need(piece, "length", own)
        needs["width"] = stitch.start.get("width", 6.0) - 6.0 + self._need(piece, "width", own)
        return needs

    def _need(self, piece: Piece, control: str, own: Own) -> float:
        causes = _causes(piece, piece.needle_thread if control == "needles" else piece.looper_thread)
        of_cloth = sum(size * causes[cause] for cause, size in self._wants[control].items())
        of_stitch = self._by_stitch[piece.stitch.name][control] + self._steeper[piece.stitch.name][control] * causes["weight"]
        scale = 0.6 if control in ("length", "width") else 1.0
        return of_cloth + scale * of_stitch + _OWN[control] * own[control]

    def truth(self, piece: Piece, settings: Settings, own: Own | None = None) -> dict[str, float]:
        """Straight in how far every pull, the feed and the cut are from what the seam needs."""
        wanted, given = self._wanted(piece, self.own(piece) if own is None else own), settings.controls()
        over = {p: self._pull(piece, p, given) - self._pull(piece, p, wanted) for p in piece.stitch.positions}
        feed = PROPORTION * log(given["differential"] / wanted["differential"])
        length = PROPORTION * log(given["length"] / wanted["length"])
        width = given["width"] - wanted["width"]
        return self._seen(piece, over, feed, length, width)

    def _seen(self, piece: Piece, over: dict[str, float], feed: float, length: float, width: float) -> dict[str, float]:
        by, causes = self._levers, _causes(piece, piece.looper_thread)
        needles = float(np.mean([over[p] for p in piece.stitch.needles])) + 0.15 * _difference(piece.stitch, over)
        lower = over["lower looper"]
        upper = over.get("upper looper", needles)
        light, stretchy = exp(-0.2 * causes["weight"]), 0.65 + 0.8 * causes["give"]
        return {
            "edge_lie": -by["feed, lie"] * stretchy * feed - by["needles, lie"] * light * needles + by["length, lie"] * length,
            "looper_balance": by["upper, balance"] * upper - by["lower, balance"] * lower,
            "needle_line": by["needles, line"] * light * needles + by["length, line"] * length,
            "edge_wrap": by["upper, wrap"] * upper + by["lower, wrap"] * lower + by["width, wrap"] * width - by["length, wrap"] * length,
            "stitch_cover": -by["length, cover"] * length + by["width, cover"] * width,
        }

    @staticmethod
    def _pull(piece: Piece, position: str, values: dict[str, float]) -> float:
        home = piece.machine.tension[position].home
        return PULL * log((values[f"tension: {position}"] + home / 2) / (1.5 * home))


_LEVERS = {
    "feed, lie": 1.1,
    "needles, lie": 0.15,
    "length, lie": 0.15,
    "upper, balance": 0.55,
    "lower, balance": 0.65,
    "needles, line": 0.65,
    "length, line": 0.15,
    "upper, wrap": 0.4,
    "lower, wrap": 0.3,
    "width, wrap": 0.7,
    "length, wrap": 0.15,
    "length, cover": 0.95,
    "width, cover": 0.12,
}
"""How much one unit too much shows, on average over studios."""


def _difference(stitch: Stitch, over: dict[str, float]) -> float:
    return over["left needle"] - over["right needle"] if len(stitch.needles) == 2 else 0.0


def _causes(piece: Piece, thread: Thread) -> dict[str, float]:
    """What a need may hang on, each 0 for the plainest cloth and thread."""
    fabric = piece.fabric
    weight, give = log(fabric.gsm / 180), fabric.stretch / (fabric.stretch + 80) + 0.01 * fabric.elastane
    return {
        "weight": weight,
        "give": give,
        "tex": log(thread.tex / 27),
        "textured": float(thread.kind == "textured"),
        "sleek": float(fabric.fibre in ("silk", "viscose", "polyamide", "polyester")),
        "weight x give": weight * give,
        "plies": log(fabric.plies / 2),
        "bias": float(fabric.grain == "bias"),
    }
