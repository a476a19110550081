"""The stitches that an overlock machine sews, and what each needs."""

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from functools import cache, partial
from types import MappingProxyType
from typing import Any

from recommender.errors import InvalidValue
from recommender.trade.machine import Machine
from recommender.trade.names import unknown
from recommender.trade.tables import table
from recommender.trade.thread import POSITIONS

FAMILIES = ("overlock", "flatlock", "hem", "rolled", "two-thread", "gathering", "corded", "decorative")
"""Stitches that want the same of cloth and thread; the baseline's rules go by these."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stitch:
    """One stitch: its threads, the parts of the machine that it needs, and where a swatch of it begins.

    >>> stitch("rolled hem").positions
    ('right needle', 'upper looper', 'lower looper')

    Raises
    ------
    InvalidValue
        If the row contradicts itself; the message names the stitch.
    """

    name: str
    """What the sewer calls it."""
    iso: str
    """ISO 4915 number of the stitch, or of the stitch that it is a variant of."""
    iso_note: str
    """What the number says and what it leaves out."""
    family: str
    """One of `FAMILIES`."""
    needles: tuple[str, ...]
    """Positions of the needles that are in."""
    loopers: tuple[str, ...]
    """Loopers whose thread runs."""
    finger_in: bool = True
    """Whether the stitch finger is in, or out of the way."""
    converter: bool = False
    """Whether the two-thread converter is on."""
    knife_on: bool = True
    """Whether the knife cuts."""
    foot: str
    """Presser foot."""
    length: tuple[float, float]
    """Usual range of the stitch length, mm."""
    width: tuple[float, float]
    """Usual range of the cutting width, mm."""
    start: Mapping[str, float] = field(default_factory=dict, hash=False)
    """Length and width with which a swatch begins, mm; a control not named begins at the machine's home mark."""
    offsets: Mapping[str, float] = field(default_factory=dict, hash=False)
    """Tension by thread position, in dial numbers from the home mark, for every thread that runs."""
    differential: float = 0.0
    """Differential feed as a difference from the machine's ordinary feed."""
    plies: int | None = None
    """Layers that it is sewn through as a rule; None where it may be any number."""
    heavy: bool = True
    """Whether it is sewn in heavy cloth, too."""
    rolled: bool = False
    """Whether a machine's rolled-hem position, where there is one, sets the tension instead of the dials."""
    steps: tuple[str, ...] = ()
    """What to do for this stitch besides the usual preparation, before the machine is switched on."""
    sewing: tuple[str, ...] = ()
    """What to do for this stitch while it is sewn."""
    afterwards: tuple[str, ...] = ()
    """What to do to its seam afterwards."""
    clearing: tuple[str, ...] = ()
    """What of it to take out of the machine before another stitch is set up."""
    cautions: tuple[str, ...] = ()
    """Cautions for this stitch besides the usual ones."""
    purpose: str
    """What it is for, in one sentence."""
    source: str
    """Where the numbers of this row are from."""

    def __post_init__(self) -> None:
        for name in ("needles", "loopers", "length", "width", "steps", "sewing", "afterwards", "clearing", "cautions"):
            object.__setattr__(self, name, tuple(getattr(self, name)))
        self._check()
        offsets = {position: float(self.offsets.get(position, 0.0)) for position in self.positions}
        object.__setattr__(self, "offsets", MappingProxyType(offsets))
        object.__setattr__(self, "start", MappingProxyType(dict(self.start)))

    def _check(self) -> None:
        if self.family not in FAMILIES:
            raise InvalidValue(f"stitch {self.name}: got family {self.family!r}, expected one of: {', '.join(FAMILIES)}")
        if strays := [p for p in (*self.needles, *self.loopers, *self.offsets) if p not in POSITIONS]:
            raise InvalidValue(f"stitch {self.name}: got thread position {strays[0]!r}, expected one of: {', '.join(POSITIONS)}")
        if idle := [p for p in self.offsets if p not in self.positions]:
            raise InvalidValue(f"stitch {self.name}: got an offset for {idle[0]!r}, expected only threads that run")
        if not self.needles or "lower looper" not in self.loopers:
            raise InvalidValue(f"stitch {self.name}: expected at least one needle and the lower looper")
        for control in ("length", "width"):
            low, high = getattr(self, control)
            if not 0 < low <= self.start.get(control, low) <= high:
                raise InvalidValue(f"stitch {self.name}: got {control} {low:g} to {high:g}, expected a rising range with its start inside")

    def __reduce__(self) -> tuple[object, ...]:
        """Copy and pickle by value; a read-only mapping knows neither."""
        values = {f.name: getattr(self, f.name) for f in fields(self)}
        return partial(Stitch, **(values | {"start": dict(self.start), "offsets": dict(self.offsets)})), ()

    @property
    def positions(self) -> tuple[str, ...]:
        """Every thread that runs, in the order of `POSITIONS`."""
        return tuple(position for position in POSITIONS if position in self.needles or position in self.loopers)

    @property
    def threading(self) -> tuple[str, ...]:
        """The order of threading: lower looper, upper looper, then the needles from the right.

        Source: common practice, no source.
        """
        return tuple(reversed(self.positions))

    def tension_offsets(self, machine: Machine) -> Mapping[str, float]:
        """Tension offsets on this machine: none where its rolled-hem position sets the tension."""
        return dict.fromkeys(self.positions, 0.0) if self.rolled and machine.rolled_position else self.offsets

    def lacking(self, machine: Machine) -> tuple[str, ...]:
        """What the stitch needs and the machine has not, in plain words; empty where it can be sewn.

        >>> stitch("two-thread overlock").lacking(Machine(name="old", converter=False))
        ('a two-thread converter',)
        """
        parts = [f"the {position}" for position in self.positions if position not in machine.tension]
        if self.converter and not machine.converter:
            parts.append("a two-thread converter")
        if not self.finger_in and not machine.removable_finger:
            parts.append("a stitch finger that can be taken out")
        if not self.knife_on and not machine.knife_disengages:
            parts.append("a knife that can be put out of action")
        return tuple(parts)


@cache
def _catalogue() -> Mapping[str, Stitch]:
    rows: list[dict[str, Any]] = table("stitches")["stitch"]
    return MappingProxyType({row["name"]: Stitch(**row) for row in rows})


def stitches() -> tuple[str, ...]:
    """The names of all stitches, in the order in which they are offered.

    >>> stitches()[0]
    'four-thread overlock'
    """
    return tuple(_catalogue())


def stitch(name: str) -> Stitch:
    """The stitch of that name.

    Raises
    ------
    UnknownName
        If there is none; the message lists those that there are.
    """
    if name not in stitches():
        raise unknown("stitch", name, stitches())
    return _catalogue()[name]
