"""What there is in the invented wardrobe: kinds of cloth, what each stitch is meant to look like, two machines."""

from collections.abc import Mapping
from dataclasses import dataclass

from data.demo.physics import Aim, Works
from recommender.trade.machine import Dial, Machine

AIMS: Mapping[str, Aim] = {
    "four-thread overlock": Aim(needle=0.0, balance=0.0, loopers=0.0, length=3.0, width=6.0),
    "three-thread overlock wide": Aim(needle=-0.08, balance=-0.06, loopers=-0.06, length=2.9, width=6.0),
    "three-thread overlock narrow": Aim(needle=0.06, balance=0.08, loopers=0.0, length=2.9, width=5.85),
    "three-thread flatlock wide": Aim(needle=-1.4, balance=-1.35, loopers=-0.15, length=2.85, width=5.8),
    "three-thread flatlock narrow": Aim(needle=-1.35, balance=-1.3, loopers=-0.1, length=2.8, width=4.6),
    "narrow hem": Aim(needle=0.05, balance=0.1, loopers=0.0, length=1.7, width=4.6),
    "rolled hem": Aim(needle=0.1, balance=-0.5, loopers=0.3, length=1.5, width=4.6, rolled=True),
    "picot edge": Aim(needle=0.05, balance=-0.55, loopers=0.3, length=2.9, width=4.5, rolled=True),
    "two-thread overlock": Aim(needle=-1.4, balance=-1.35, loopers=0.0, length=2.75, width=6.0),
    "two-thread rolled hem": Aim(needle=-0.1, balance=-0.05, loopers=-0.1, length=1.45, width=4.6),
    "gathering": Aim(needle=0.15, balance=0.12, loopers=0.05, length=3.9, width=6.0, strain=-0.28),
    "corded overlock": Aim(needle=0.05, balance=0.0, loopers=-0.15, length=3.1, width=6.0),
    "pin tuck": Aim(needle=0.1, balance=-0.5, loopers=0.3, length=2.0, width=4.5, rolled=True),
    "decorative braid": Aim(needle=0.0, balance=-0.9, loopers=-0.1, length=1.6, width=4.5),
}
"""What each stitch is meant to look like, by its name in the trade's catalogue; the numbers are this story's own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClothKind:
    """A kind of cloth that comes into the wardrobe."""

    name: str
    """As the sewers call it, after a word of its own."""
    construction: str
    """Woven, knit or nonwoven."""
    fibres: tuple[str, ...]
    """Fibres that it comes in."""
    gsm: tuple[float, float]
    """Range of its weight, g/m2."""
    stretch: tuple[float, float]
    """Range of its stretch across, %."""
    stitches: Mapping[str, float]
    """What it is sewn with, by share."""
    share: float = 1.0
    """How often it comes in, against the others."""
    elastane: float = 0.0
    """How often it holds elastane."""


FOUR, WIDE, NARROW = "four-thread overlock", "three-thread overlock wide", "three-thread overlock narrow"
FLAT, FINE_FLAT, HEM, ROLLED = "three-thread flatlock wide", "three-thread flatlock narrow", "narrow hem", "rolled hem"
PICOT, TWO, TWO_ROLLED, GATHER = "picot edge", "two-thread overlock", "two-thread rolled hem", "gathering"

_KNIT = {FOUR: 6, NARROW: 2, WIDE: 1, FLAT: 1.5, FINE_FLAT: 0.5}
_SHEER = {ROLLED: 4, HEM: 3, NARROW: 2, FOUR: 1, GATHER: 1.5, TWO_ROLLED: 0.5, PICOT: 0.5}
_WOVEN = {FOUR: 5, WIDE: 2.5, NARROW: 1, TWO: 2, GATHER: 1}
_HEAVY = {FOUR: 5, WIDE: 4}

CLOTHS = (
    ClothKind(
        name="jersey",
        construction="knit",
        fibres=("cotton", "viscose", "wool"),
        gsm=(120, 240),
        stretch=(25, 70),
        stitches=_KNIT,
        share=4,
        elastane=0.5,
    ),
    ClothKind(
        name="rib", construction="knit", fibres=("cotton", "wool"), gsm=(180, 320), stretch=(60, 130), stitches=_KNIT, share=2, elastane=0.3
    ),
    ClothKind(
        name="sweat cloth",
        construction="knit",
        fibres=("cotton", "polyester"),
        gsm=(240, 360),
        stretch=(15, 45),
        stitches=_KNIT,
        share=2,
        elastane=0.2,
    ),
    ClothKind(
        name="firm double knit",
        construction="knit",
        fibres=("viscose", "polyester"),
        gsm=(220, 350),
        stretch=(15, 50),
        stitches=_KNIT,
        share=1.5,
        elastane=0.6,
    ),
    ClothKind(
        name="tricot",
        construction="knit",
        fibres=("polyamide", "polyester"),
        gsm=(80, 190),
        stretch=(50, 150),
        stitches=_KNIT,
        share=2,
        elastane=0.8,
    ),
    ClothKind(
        name="net",
        construction="knit",
        fibres=("polyamide",),
        gsm=(30, 80),
        stretch=(15, 50),
        stitches={ROLLED: 2, NARROW: 2, FOUR: 1},
        share=0.7,
    ),
    ClothKind(
        name="gauze", construction="woven", fibres=("silk", "polyester", "viscose"), gsm=(30, 70), stretch=(0, 5), stitches=_SHEER, share=2
    ),
    ClothKind(
        name="lawn",
        construction="woven",
        fibres=("cotton", "silk", "viscose"),
        gsm=(65, 110),
        stretch=(0, 6),
        stitches=_SHEER | {TWO: 1},
        share=2,
    ),
    ClothKind(
        name="lining",
        construction="woven",
        fibres=("polyester", "viscose", "silk"),
        gsm=(60, 100),
        stretch=(0, 4),
        stitches={FOUR: 3, NARROW: 2, TWO: 2, HEM: 1},
        share=1.5,
    ),
    ClothKind(
        name="shirting",
        construction="woven",
        fibres=("cotton", "linen"),
        gsm=(105, 160),
        stretch=(0, 8),
        stitches=_WOVEN,
        share=2.5,
        elastane=0.15,
    ),
    ClothKind(
        name="plain weave",
        construction="woven",
        fibres=("linen", "cotton", "wool"),
        gsm=(140, 230),
        stretch=(0, 8),
        stitches=_WOVEN,
        share=3,
    ),
    ClothKind(
        name="twill",
        construction="woven",
        fibres=("cotton", "wool"),
        gsm=(220, 400),
        stretch=(0, 20),
        stitches=_HEAVY,
        share=2.5,
        elastane=0.4,
    ),
    ClothKind(name="coating", construction="woven", fibres=("wool",), gsm=(320, 480), stretch=(3, 15), stitches=_HEAVY, share=1),
    ClothKind(name="pile fleece", construction="knit", fibres=("polyester",), gsm=(180, 320), stretch=(20, 45), stitches=_KNIT, share=1),
    ClothKind(
        name="felt",
        construction="nonwoven",
        fibres=("wool", "viscose"),
        gsm=(150, 260),
        stretch=(0, 12),
        stitches={FOUR: 2, WIDE: 3, FLAT: 1},
        share=1,
    ),
)
"""Every kind of cloth in the story."""

WORDS = (
    "ash", "barley", "beetle", "bell", "bramble", "candle", "chalk", "cinder", "clover", "cloud", "copper", "crow", "dusk", "ember",
    "fern", "fog", "fox", "frost", "hazel", "heron", "ink", "ivy", "juniper", "lantern", "lichen", "lilac", "linnet", "marsh", "meadow",
    "moon", "moss", "moth", "mouse", "nettle", "oat", "owl", "pebble", "pine", "plum", "quince", "rain", "raven", "reed", "river", "rose",
    "rust", "sand", "sloe", "smoke", "snow", "sorrel", "storm", "straw", "thistle", "thunder", "toad", "wasp", "wheat", "willow", "wren",
)  # fmt: skip
"""First words of the cloths' names."""


@dataclass(frozen=True, slots=True)
class Room:
    """A machine in the wardrobe: its profile, and its works but for what the seed adds."""

    machine: Machine
    """What a sewer knows of it."""
    works: Works
    """What nobody knows of it."""


ROOMS = (
    Room(
        Machine(
            name="window table",
            foot_pressure=Dial(1, 5, 0.5, 3),
            rolled_position=True,
        ),
        Works(
            slack={"left needle": 0.4, "right needle": -0.3, "upper looper": 0.5, "lower looper": -0.5},
            reach=4.6,
            power=1.9,
            feed_gain=1.0,
            feed_lag=0.0,
            foot=1.0,
            length_gain=1.0,
            width_lag=0.0,
            rolled_pull=1.75,
        ),
    ),
    Room(
        Machine(
            name="stove table",
            tension={
                "left needle": Dial(0, 7, 0.25, 3),
                "right needle": Dial(0, 7, 0.25, 3),
                "upper looper": Dial(0, 7, 0.25, 3.5),
                "lower looper": Dial(0, 7, 0.25, 2.5),
            },
            differential=Dial(0.5, 2.25, 0.05, 1.0),
            length=Dial(0.8, 4.6, 0.2, 3.0),
            width=Dial(3.0, 8.0, 0.5, 6.0),
            converter=False,
        ),
        Works(
            slack={"left needle": -0.4, "right needle": -0.4, "upper looper": -0.3, "lower looper": 0.5},
            reach=3.9,
            power=2.0,
            feed_gain=0.85,
            feed_lag=0.03,
            foot=1.35,
            length_gain=0.94,
            width_lag=0.3,
            rolled_pull=1.0,
        ),
    ),
)
"""The two machines, named after where they stand; neither is, or is modelled on, any machine there is."""
