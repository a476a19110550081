"""The saturating studio: springs that harden and slacken, machines that differ widely, a sewer in a hurry who mixes things up."""

from math import exp, expm1, log, tanh
from typing import ClassVar

import numpy as np

from recommender.trade.machine import Dial, Machine
from recommender.trade.settings import Settings
from recommender.trade.thread import POSITIONS
from tests.benchmarks.pieces import Piece
from tests.benchmarks.sewer import Sewer
from tests.benchmarks.simulated import Own, Simulated

UP, DOWN = 4.0, 6.0
"""Dial numbers over which a spring hardens above its mark, and slackens below it."""
FEED = 0.6
"""Log of the feed ratio over which the front feed begins to slip."""

_OWN = {"needles": 0.45, "difference": 0.3, "upper looper": 0.45, "lower looper": 0.45, "feed": 0.05, "length": 0.06, "width": 0.25}
"""How far one cloth's wants lie from its kind's, standard deviations."""


def _dials(low: float, high: float, step: float, homes: tuple[float, float, float, float]) -> dict[str, Dial]:
    return {position: Dial(low, high, step, home) for position, home in zip(POSITIONS, homes, strict=True)}


class Saturating(Simulated):
    """Three machines, six stitches; dials that saturate, confused and missing readings, wrong ratings."""

    name = "saturating"
    stitches: ClassVar = {
        "four-thread overlock": 3.5,
        "three-thread overlock narrow": 2.0,
        "three-thread flatlock narrow": 1.2,
        "two-thread overlock": 1.2,
        "rolled hem": 1.2,
        "narrow hem": 1.0,
    }
    machines: ClassVar = {
        "elm": Machine(name="elm", tension=_dials(0, 9, 0.5, (4, 4, 4, 4))),
        "fir": Machine(
            name="fir",
            tension=_dials(0, 7, 0.25, (3, 3.5, 3.5, 3)),
            differential=Dial(0.5, 2.25, 0.05, 1.0),
            length=Dial(0.8, 4.6, 0.2, 3.0),
            width=Dial(3.5, 8.0, 0.5, 6.0),
            converter=False,
        ),
        "holm": Machine(
            name="holm",
            tension=_dials(0, 10, 0.5, (5, 5, 4.5, 4.5)),
            length=Dial(1.0, 5.0, 0.25, 2.75),
            width=Dial(4.0, 7.5, 0.25, 5.75),
            rolled_position=True,
        ),
    }
    sewer = Sewer(limit=0.85, noise=0.3, missing=0.15, confused=0.08, silent_pass=0.4, worst_only=0.5)

    def _hide(self, rng: np.random.Generator) -> None:
        names = list(self.machines)
        self._gain = {name: {p: exp(0.3 * float(rng.normal())) for p in POSITIONS} for name in names}
        self._mark = {name: {p: 0.75 * float(rng.normal()) for p in POSITIONS} for name in names}
        self._feed = {name: (exp(0.2 * float(rng.normal())), 0.05 * float(rng.normal())) for name in names}
        self._cut = {name: (exp(0.05 * float(rng.normal())), 0.25 * float(rng.normal())) for name in names}
        self._rolls = {name: 2.2 + 0.5 * float(rng.normal()) for name in names}
        self._by_stitch = {name: {want: float(rng.normal()) for want in TASTES} for name in self.stitches}
        self._taste = {cause: float(rng.normal()) for causes in TASTES.values() for cause in causes}

    def _wanted(self, piece: Piece, own: Own) -> dict[str, float]:
        machine, needs = piece.machine, self._needs(piece, own)
        wanted = {f"tension: {p}": self._dial(piece, p, needs[p]) for p in piece.stitch.positions}
        gain, lag = self._feed[machine.name]
        held = min(max(needs["feed"] / (gain * FEED), -0.95), 0.95)
        wanted["differential"] = exp(lag + FEED * float(np.arctanh(held)))
        scale, lag = self._cut[machine.name]
        wanted["length"] = 3.0 * exp(needs["length"]) / scale
        wanted["width"] = 6.0 + needs["width"] + lag
        return wanted

    def truth(self, piece: Piece, settings: Settings, own: Own | None = None) -> dict[str, float]:
        """Curved in everything: what is far too much shows little more than what is too much."""
        needs, given = self._needs(piece, self.own(piece) if own is None else own), settings.controls()
        over = {p: self._pull(piece, p, given[f"tension: {p}"]) - needs[p] for p in piece.stitch.positions}
        gain, lag = self._feed[piece.machine.name]
        feed = gain * FEED * tanh((log(given["differential"]) - lag) / FEED) - needs["feed"]
        scale, lag = self._cut[piece.machine.name]
        length = log(given["length"] * scale / 3.0) - needs["length"]
        width = given["width"] - lag - 6.0 - needs["width"]
        seen = self._seen(piece, over, feed, length, width)
        return {name: 2.4 * tanh(score / 2.4) for name, score in seen.items()}

    @staticmethod
    def _seen(piece: Piece, over: dict[str, float], feed: float, length: float, width: float) -> dict[str, float]:
        body, give, soft = _body(piece), _give(piece), float(piece.looper_thread.kind == "textured")
        thirsty = 1.2 * length  # a longer stitch draws more thread from the same spring
        needle = _worse([over[p] for p in piece.stitch.needles]) + 0.5 * thirsty
        lower = over["lower looper"] + thirsty
        upper = over["upper looper"] + thirsty if "upper looper" in over else needle
        wrap = 0.45 * (upper + lower) + 0.75 * width * (1 + 0.3 * tanh(body))
        return {
            "edge_lie": -7.0 * (0.45 + give) * feed - 0.25 * needle * exp(-0.4 * body) + 0.12 * upper * (1 - give),
            "looper_balance": 0.62 * (1 - 0.25 * soft) * (upper - lower) + 0.08 * needle,
            "needle_line": 0.7 * needle * exp(-0.2 * body) + 0.8 * length * (give - 0.3),
            "edge_wrap": wrap if wrap < 0 else 0.75 * wrap,
            "stitch_cover": 4.0 * expm1(-1.1 * length) * (1 - 0.15 * soft) - 0.15 * width + 1.0 * feed,
        }

    def _dial(self, piece: Piece, position: str, pull: float) -> float:
        """The dial number that pulls so; beyond what the spring can do, near its end."""
        x = pull / self._gain[piece.machine.name][position]
        x = -UP * log(1 - min(x / UP, 0.95)) if x > 0 else DOWN * log(1 + max(x / DOWN, -0.95))
        dial = piece.machine.tension[position]
        return dial.home + (x + self._mark[piece.machine.name][position]) * dial.high / 9 - self._roll(piece, position)

    def _pull(self, piece: Piece, position: str, number: float) -> float:
        dial = piece.machine.tension[position]
        x = (number + self._roll(piece, position) - dial.home) * 9 / dial.high - self._mark[piece.machine.name][position]
        curved = UP * -expm1(-x / UP) if x > 0 else DOWN * expm1(x / DOWN)
        return self._gain[piece.machine.name][position] * curved

    def _roll(self, piece: Piece, position: str) -> float:
        """Dial numbers that a machine's rolled-hem position adds by itself."""
        by_itself = piece.stitch.rolled and piece.machine.rolled_position and position == "lower looper"
        return self._rolls[piece.machine.name] if by_itself else 0.0

    def _needs(self, piece: Piece, own: Own) -> dict[str, float]:
        stitch = piece.stitch
        usual = {p: _spring(stitch.offsets[p]) for p in stitch.positions}
        wants = {want: self._want(piece, want) + _OWN[want] * own[want] for want in TASTES}
        needs = {p: usual[p] + wants["needles" if "needle" in p else p] for p in stitch.positions}
        if len(stitch.needles) == 2:
            needs["left needle"] += _OWN["difference"] * own["difference"] / 2
            needs["right needle"] -= _OWN["difference"] * own["difference"] / 2
        needs["feed"] = wants["feed"]
        needs["length"] = log(stitch.start.get("length", 3.0) / 3.0) + wants["length"]
        needs["width"] = stitch.start.get("width", 6.0) - 6.0 + wants["width"]
        return needs

    def _want(self, piece: Piece, want: str) -> float:
        """What this kind of cloth wants of one pull, feed or cut: half of it the trade knows, half is this studio's own."""
        causes, of_stitch = _causes(piece, want), self._by_stitch[piece.stitch.name][want]
        of_cloth = sum((mean + spread * self._taste[cause]) * causes[cause] for cause, (mean, spread) in TASTES[want].items())
        return of_cloth + {"feed": 0.06, "length": 0.07, "width": 0.3}.get(want, 0.6) * of_stitch


TASTES = {
    "needles": {"needles, body": (0.6, 0.4), "needles, give": (0.4, 0.8), "needles, tex": (-1.0, 0.4), "needles, fibre": (0.0, 0.5)},
    "upper looper": {
        "upper, body": (-0.5, 0.4),
        "upper, give": (0.3, 0.9),
        "upper, tex": (-1.3, 0.4),
        "upper, textured": (-0.8, 0.4),
        "upper, fibre": (0.0, 0.4),
        "upper, sheer": (-0.3, 0.5),
    },
    "lower looper": {
        "lower, body": (-0.4, 0.4),
        "lower, give": (0.0, 0.9),
        "lower, tex": (-1.3, 0.4),
        "lower, textured": (-0.8, 0.4),
        "lower, heavy knit": (0.3, 0.5),
    },
    "feed": {"feed, give": (0.5, 0.12), "feed, body": (0.0, 0.04), "feed, bias": (0.1, 0.05), "feed, sheer": (-0.12, 0.06)},
    "length": {"length, body": (0.1, 0.05), "length, tex": (0.15, 0.06), "length, sheer": (-0.08, 0.06)},
    "width": {"width, body": (0.3, 0.2), "width, sheer": (-0.2, 0.2), "width, heavy knit": (0.0, 0.3)},
}
"""By control, what its wants hang on: mean and spread over studios of each number."""


def _causes(piece: Piece, want: str) -> dict[str, float]:
    fabric, body, give = piece.fabric, _body(piece), _give(piece)
    thread = piece.needle_thread if want == "needles" else piece.looper_thread
    plain = {
        "body": tanh(body),
        "give": give * (1 - 0.3 * tanh(body)),
        "tex": log(thread.tex / 27),
        "textured": float(thread.kind == "textured"),
        "fibre": {"silk": -1.0, "viscose": -0.5, "polyamide": -0.7, "wool": 0.8, "linen": 0.6}.get(fabric.fibre, 0.0),
        "sheer": 1 / (1 + exp((fabric.gsm - 85) / 12)),
        "heavy knit": float(fabric.construction == "knit") / (1 + exp((250 - fabric.gsm) / 25)),
        "bias": float(fabric.grain == "bias"),
    }
    return {cause: plain[cause.split(", ")[1]] for cause in TASTES[want]}


def _spring(x: float) -> float:
    """Pull of an ordinary spring `x` dial numbers above its mark."""
    return UP * -expm1(-x / UP) if x > 0 else DOWN * expm1(x / DOWN)


def _body(piece: Piece) -> float:
    """How much there is under the foot, 0 for two layers of plain cloth."""
    return log(piece.fabric.gsm * piece.fabric.plies / 360) - (0.2 if piece.fabric.construction == "woven" else 0.0)


def _give(piece: Piece) -> float:
    """How readily the seam stretches, from 0 to 1."""
    fabric = piece.fabric
    along = 0.5 * fabric.stretch if fabric.stretch_along is None else fabric.stretch_along
    pulled = {"lengthwise": along, "crosswise": fabric.stretch, "bias": 0.6 * fabric.stretch + 12}[fabric.grain] + fabric.elastane
    return pulled / (pulled + 40)


def _worse(over: list[float]) -> float:
    """What shows of two needles: mostly the one that is further off."""
    size = np.array(over)
    share = np.exp(2.5 * np.abs(size) - np.max(2.5 * np.abs(size)))
    return float(share @ size / share.sum())
