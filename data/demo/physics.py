"""How a seam comes out in the invented wardrobe: forces, feed and geometry, with no regard to any model of them.

Nothing here was measured. The formulas are plausible in kind (a spring that presses two discs, cloth that the foot drags,
thread that a wider cut uses up) and their numbers were chosen for the story; `data/README.md` prints them all. Everything
is in logarithms of ratios to one reference seam: a four-thread overlock on two layers of plain medium woven cotton.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import exp, expm1, log, sqrt
from typing import NamedTuple

from recommender.trade.fabric import Fabric
from recommender.trade.machine import Machine
from recommender.trade.settings import Settings
from recommender.trade.stitch import Stitch
from recommender.trade.thread import Thread

DENSITY = {"woven": 0.42, "knit": 0.27, "nonwoven": 0.16}
"""Mass per volume of a layer, g/cm3, by construction."""
REFERENCE_STACK = 2 * 0.150 / DENSITY["woven"]
"""Thickness of the reference seam, mm: two layers of 150 g/m2."""
THREAD_DRAG = {"spun": 1.0, "corespun": 0.93, "continuous filament": 0.8, "textured": 0.74}
"""Friction of a thread in the discs against a spun one."""
THREAD_GIVE = {"spun": 0.0, "corespun": 0.02, "continuous filament": -0.06, "textured": 0.2}
"""How much a thread gives when the seam is pulled, in units of the log of a force."""
THREAD_BULK = {"spun": 0.0, "corespun": -0.04, "continuous filament": -0.1, "textured": 0.16}
"""Log of a thread's width against a spun one of the same tex."""
FLOOR = 0.15
"""Share of a thread's pull that its guides and the cone give, whatever the dial says."""


class Piece(NamedTuple):
    """Something to sew: what a swatch is made of, but for the settings."""

    fabric: Fabric
    stitch: Stitch
    machine: Machine
    needle_thread: Thread
    looper_thread: Thread


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim:
    """What one stitch is meant to look like, against the reference seam."""

    needle: float
    """Log of the needle threads' pull."""
    balance: float
    """Log of the upper looper's pull over the lower's; without an upper looper, of the needle's over the lower looper's."""
    loopers: float
    """Mean log of the loopers' pull."""
    length: float
    """Stitch length, mm."""
    width: float
    """Cutting width, mm."""
    strain: float = 0.0
    """How much longer (+) or shorter (-) than the cloth the seam is meant to be."""
    rolled: bool = False
    """Whether a machine that has a rolled position is put into it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Works:
    """What a machine's profile does not tell about it."""

    slack: Mapping[str, float]
    """By thread position: how many dial numbers the spring lags behind its mark."""
    reach: float
    """Dial numbers from the home mark down to where the spring lets go."""
    power: float
    """Power of the spring's force in the dial."""
    feed_gain: float
    """Change of the true feed ratio for one unit of differential feed."""
    feed_lag: float
    """What is missing from the true feed ratio at a differential feed of 1."""
    foot: float
    """Drag of the foot against the reference machine's."""
    length_gain: float
    """True stitch length for one millimetre of the dial."""
    width_lag: float
    """Millimetres that the knife cuts narrower than its scale says."""
    rolled_pull: float
    """Factor of the lower looper's pull in the rolled position; 1 where there is none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cloth:
    """What the foot, the needle and the loops meet: the cloth of a fabric, with its own peculiarities."""

    stack: float
    """Log of the seam's thickness over the reference seam's."""
    body: float
    """Log of its bending stiffness over the reference seam's."""
    give: float
    """How readily it stretches along the seam, from 0 to 1."""
    grip: float
    """Factor of its friction under the foot."""
    lie: float
    """Strain that this very cloth adds by itself."""
    bite: float
    """Log of the needle pull that this very cloth wants more than its kind."""
    turn: float
    """Log of the looper ratio that this very cloth wants more than its kind."""
    curl: float
    """Log of the looper pull that this very cloth wants more than its kind."""
    ground: float
    """Log of the stitch length that this very cloth wants more than its kind."""


@dataclass(frozen=True, slots=True)
class Seam:
    """How a seam truly came out."""

    readings: Mapping[str, float]
    """The five readings, neither rounded nor clipped."""
    strain: float
    """How much longer (+) or shorter (-) it is than the cloth was."""


def cloth_of(fabric: Fabric, traits: Mapping[str, float]) -> Cloth:
    """The cloth of a fabric; `traits` are its peculiarities, standard normal numbers by name."""
    layer = fabric.thickness or fabric.gsm / 1000 / DENSITY[fabric.construction] * exp(0.12 * traits["loft"])
    stack = log(fabric.plies * layer / REFERENCE_STACK)
    along = 0.55 * fabric.stretch if fabric.stretch_along is None else (fabric.stretch + 2 * fabric.stretch_along) / 3
    pull = {"lengthwise": along, "crosswise": fabric.stretch, "bias": along + 14}[fabric.grain] / 100 * exp(0.1 * traits["hand"])
    give = pull / (pull + 0.3)
    stretchy_fibre = 0.06 * (fabric.elastane / (fabric.elastane + 5))
    supple = {"silk": -0.25, "viscose": -0.2, "wool": 0.1, "linen": 0.2}.get(fabric.fibre, 0.0)
    return Cloth(
        stack=stack,
        body=1.4 * stack + 0.4 * log(fabric.gsm / 150) - 0.9 * give + supple + 0.1 * traits["body"],
        give=min(give + stretchy_fibre, 0.95),
        grip=exp(0.15 * traits["grip"]) * (1.12 if fabric.fibre in ("wool", "acrylic") else 1.0),
        lie=0.023 * traits["lie"],
        bite=0.19 * traits["bite"],
        turn=0.25 * traits["turn"],
        curl=0.19 * traits["curl"],
        ground=0.11 * traits["ground"],
    )


TRAITS = ("loft", "hand", "body", "grip", "lie", "bite", "turn", "curl", "ground")
"""Names of a fabric's peculiarities."""


def spring(x: float, reach: float, power: float) -> float:
    """Force of a dial set `x` numbers above its true home mark, 1 there: a power law that saturates, above a floor of drag."""
    z = (x + reach) / reach
    z = (z + sqrt(z * z + 0.01)) / (1 + sqrt(1.01))  # lets go smoothly; 1 at the mark
    press = z**power
    return FLOOR + (1 - FLOOR) * 6 * press / (5 + press)


def pull(thread: Thread, x: float, works: Works) -> float:
    """Log of the pull on a thread whose dial stands `x` numbers above its true home mark."""
    return log(spring(x, works.reach, works.power) * THREAD_DRAG[thread.kind]) + 0.35 * log(thread.tex / 27)


def sewn(piece: Piece, settings: Settings, cloth: Cloth, works: Works, aim: Aim) -> Seam:
    """The seam that these settings give."""
    machine, needle_thread, looper_thread = piece.machine, piece.needle_thread, piece.looper_thread
    offsets = {position: dial - machine.tension[position].home - works.slack[position] for position, dial in settings.tension.items()}
    pulls = {p: pull(needle_thread if "needle" in p else looper_thread, x, works) for p, x in offsets.items()}
    if aim.rolled:
        pulls["lower looper"] += log(works.rolled_pull)
    needle = _needles(pulls)
    lower = pulls["lower looper"]
    upper = pulls.get("upper looper", lower)
    loopers = (upper + lower) / 2
    length = log(settings.length * works.length_gain / aim.length) - 0.05 * cloth.stack
    width = log((settings.width - works.width_lag) / aim.width)
    bulk = 0.5 * log(looper_thread.tex / 27) + THREAD_BULK[looper_thread.kind]
    feed = log(1 + works.feed_gain * (settings.differential - 1) - works.feed_lag) * (0.5 + 0.5 * cloth.give)
    foot = works.foot * _press(machine, settings)
    strain = _drag(cloth, foot, length) - feed - _pucker(cloth, needle, loopers)
    readings = {
        "edge_lie": 10.5 * (strain - aim.strain),
        "looper_balance": 1.35 * ((upper if "upper looper" in pulls else needle) - lower - aim.balance - _turn(cloth, looper_thread)),
        "needle_line": 1.5 * (needle - aim.needle - _bite(cloth, needle_thread) + 0.12 * (loopers - aim.loopers))
        + 0.7 * length * (cloth.give - 0.3),
        "edge_wrap": 1.45 * (1.2 * width + loopers - aim.loopers - _curl(cloth, looper_thread)),
        "stitch_cover": 2.4 * expm1(bulk - length + 0.3 * (feed + aim.strain) + 0.23 * cloth.stack - cloth.ground) - 0.25 * width,
    }
    return Seam({name: _seen(amount) for name, amount in readings.items()}, strain)


def _seen(amount: float) -> float:
    """A reading of a fault of that amount: the worse it is, the less a little more of it shows."""
    return amount / sqrt(1 + (amount / 4) ** 2)


def _needles(pulls: Mapping[str, float]) -> float:
    """Log of the needle threads' joint pull: the left one holds the seam, the right one helps."""
    left, right = pulls.get("left needle"), pulls.get("right needle")
    if left is None or right is None:
        return left if right is None else right
    return log(0.6 * exp(left) + 0.4 * exp(right))


def _press(machine: Machine, settings: Settings) -> float:
    """Factor of the foot's drag against the pressure at its home mark."""
    if machine.foot_pressure is None or settings.foot_pressure is None:
        return 1.0
    return sqrt(settings.foot_pressure / machine.foot_pressure.home)


def _drag(cloth: Cloth, foot: float, length: float) -> float:
    """Strain by which the foot stretches the cloth: more on stretchy and thin cloth, a little less with long stitches."""
    return foot * cloth.grip * (0.02 + 0.36 * cloth.give) * exp(-0.15 * cloth.stack - 0.2 * length) - 0.025 + cloth.lie


def _pucker(cloth: Cloth, needle: float, loopers: float) -> float:
    """Strain by which the threads shorten the cloth: the tighter they are and the less body it has, the more."""
    return 0.042 * (exp(0.7 * needle + 0.2 * loopers - 0.48 * cloth.body) - 1)


def _bite(cloth: Cloth, thread: Thread) -> float:
    """Log of the needle pull wanted: more through a thick seam, less where the seam must stretch."""
    return 0.38 * cloth.stack - 0.55 * cloth.give + 0.05 + THREAD_GIVE[thread.kind] + cloth.bite


def _turn(cloth: Cloth, thread: Thread) -> float:
    """Log of the ratio of looper pulls wanted: the upper loop climbs a thick edge, and sinks into a soft one."""
    return 0.25 * cloth.stack - 0.3 * cloth.give + 0.02 + 0.25 * log(thread.tex / 27) + cloth.turn


def _curl(cloth: Cloth, thread: Thread) -> float:
    """Log of the looper pull wanted: cloth with body resists the loops and stands more of it; thread that gives hugs by itself."""
    return 0.17 * cloth.body - THREAD_GIVE[thread.kind] + cloth.curl
