"""Numbers, cloths and threads in words, the same on every page, on the card and in the command line's sentences."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from recommender.trade.fabric import Fabric
from recommender.trade.thread import Thread
from recommender.trade.units import quantity

MEASURED = ("length", "width")
"""Controls that are lengths; the rest are numbers on a dial."""
PLACES = {"g/m2": 1, "oz/yd2": 1, "stitches per inch": 1, "inch": 3, "mm": 2}
"""Digits after the point that are worth showing; one where a unit is not named, two on a dial."""

COARSE = 60.0
"""tex; a number without a unit that is read as so coarse a thread is doubted. Overlock cones are of 18 to 40 tex, the soft textured ones
for loopers seldom of more, and a thread of 60 is made for topstitching: common practice, no source."""
_LEAST = 0.05
"""mm; no stitch is shorter, and stitches per inch have to stay finite."""
_SHORT = {"stitches per inch": "per inch", "inch": "in"}


def number(value: float, places: int = 2) -> str:
    """A setting as it is read off a dial.

    >>> number(4.0), number(0.3), number(2.25), number(1.2000000001), number(-0.001)
    ('4', '0.3', '2.25', '1.2', '0')
    """
    return f"{round(value, places) + 0:g}"


def counted(count: int, thing: str, things: str = "") -> str:
    """A number of things; how several are called has to be said only where it is not as usual.

    >>> counted(1, "swatch"), counted(2, "planned swatch"), counted(3, "row"), counted(2, "entry", "entries")
    ('1 swatch', '2 planned swatches', '3 rows', '2 entries')
    """
    return f"{count} {thing if count == 1 else things or thing + ('es' if thing.endswith('ch') else 's')}"


def listed(things: Sequence[str]) -> str:
    """Things in a row, as they are spoken.

    >>> listed(["length"]), listed(["left needle", "length", "width"])
    ('length', 'left needle, length and width')
    """
    return " and ".join(part for part in (", ".join(things[:-1]), things[-1] if things else "") if part)


def signed(value: float) -> str:
    """A difference with its sign, to two places.

    >>> signed(0.5), signed(-0.125), signed(-0.001)
    ('+0.50', '-0.12', '0')
    """
    near = round(value, 2)
    return f"{near:+.2f}" if near else "0"


def percent(share: float) -> str:
    r"""A share as it is read; no line ends between the number and its sign.

    >>> percent(0.8), percent(-0.004)
    ('80\xa0%', '0\xa0%')
    """
    return f"{round(100 * share) + 0:g}\N{NO-BREAK SPACE}%"


def chance(share: float) -> str:
    r"""A chance as it is read: nobody is ever sure.

    >>> chance(0.72), chance(0.998), chance(0.0)
    ('72\xa0%', '99\xa0%', '1\xa0%')
    """
    return percent(min(max(share, 0.01), 0.99))


def day(when: datetime) -> str:
    """A date as it is read, in the time zone of this computer."""
    return f"{when.astimezone():%Y-%m-%d}"


def moment(when: datetime) -> str:
    """A date with its time."""
    return f"{day(when)} {when.astimezone():%H:%M}"


@dataclass(frozen=True, slots=True)
class Units:
    """The units that a person reads; the log keeps g/m2, mm and tex whatever they are.

    Dials are read as the machine has them, in mm, for that is what a hand sets; who thinks in inches reads inches beside them.

    >>> Units("imperial").said("weight", 207), Units(thread="metric ticket").said("thread", 27)
    ('6.1 oz/yd2', '111.1 metric ticket')

    Raises
    ------
    UnknownName
        If there is no such system, or thread is not counted so.
    """

    system: str = "metric"
    """`metric` or `imperial`."""
    thread: str = "tex"
    """The way of counting thread, which each trade has its own of."""

    def __post_init__(self) -> None:
        quantity("weight").usual(self.system)
        quantity("thread").unit(self.thread)

    def unit(self, name: str) -> str:
        """The unit in which a quantity is read."""
        return self.thread if name == "thread" else quantity(name).usual(self.system)

    def said(self, name: str, value: float) -> str:
        """An amount of a quantity with its unit."""
        return said_in(name, value, self.unit(name))

    def beside(self, control: str, value: float) -> str:
        """What stands beside the number on a control's dial: its unit, and the same length as it is read in these units.

        >>> Units().beside("length", 2.5), Units("imperial").beside("length", 2.5), Units().beside("differential", 1)
        ('mm', 'mm; 10.2 per inch', '')
        """
        if control not in MEASURED:
            return ""
        return "; ".join(filter(None, (quantity(control).base, self.meaning(control, value))))

    def meaning(self, control: str, value: float) -> str:
        """What a number on a dial is in these units; empty where that is what the dial counts.

        >>> Units("imperial").meaning("length", 2.5), Units().meaning("length", 2.5)
        ('10.2 per inch', '')
        """
        if control not in MEASURED or self.unit(control) == quantity(control).base:
            return ""
        return self.said(control, max(value, _LEAST))


METRIC = Units()
"""What the log itself is kept in."""


def said_in(name: str, value: float, unit: str) -> str:
    """An amount of a quantity in a unit of it.

    >>> said_in("width", 6, "inch")
    '0.236 in'
    """
    return f"{number(quantity(name).show(value, unit), PLACES.get(unit, 1))} {_SHORT.get(unit, unit)}"


def described(fabric: Fabric, units: Units = METRIC) -> str:
    """A cloth in one line.

    >>> described(Fabric(name="rib", construction="knit", fibre="cotton", gsm=220, stretch=60, elastane=5))
    'cotton knit, 220 g/m2, stretches 60 %, 5 % elastane'
    """
    stretch = f"stretches {fabric.stretch:g} %" if fabric.stretch else ""
    elastane = f"{fabric.elastane:g} % elastane" if fabric.elastane else ""
    thickness = "" if fabric.thickness is None else f"{units.said('thickness', fabric.thickness)} thick"
    parts = (f"{fabric.fibre} {fabric.construction}", units.said("weight", fabric.gsm), stretch, elastane, thickness)
    return ", ".join(part for part in parts if part)


def laid(fabric: Fabric) -> str:
    """How a cloth lies in the seam.

    >>> laid(Fabric(name="rib", construction="knit", fibre="cotton", gsm=220))
    '2 layers, lengthwise'
    """
    return f"{counted(fabric.plies, 'layer')}, {fabric.grain}"


def threaded(thread: Thread, units: Units = METRIC) -> str:
    """A thread in a few words.

    >>> threaded(Thread(tex=27))
    '27 tex polyester, spun'
    """
    return f"{units.said('thread', thread.tex)} {thread.fibre}, {thread.kind}"


def doubted(typed: str, unit: str) -> str:
    """What to say of a thread's size, typed into a field that counts in `unit`; empty where it has a unit, or an overlock takes it.

    >>> doubted("120", "tex")
    "120 was read as 120 tex, coarser than an overlock takes as a rule. Ticket 120 is 25 tex: if that is meant, write 'ticket 120'."
    >>> doubted("120 tex", "tex"), doubted("27", "tex"), doubted("120", "metric ticket")
    ('', '', '')
    >>> doubted("40", "metric ticket")
    '40 was read as 40 metric ticket, which is 75 tex, coarser than an overlock takes as a rule.'
    """
    thread = quantity("thread")
    if not thread.is_bare(typed) or (tex := thread.typed(typed, unit)) < COARSE:
        return ""
    count = thread.show(tex, unit)
    ticket = thread.unit("metric ticket").to_base(count)
    told = f", which is {METRIC.said('thread', tex)}" if unit != thread.base else ""
    meant = f" Ticket {count:g} is {METRIC.said('thread', ticket)}: if that is meant, write 'ticket {count:g}'." if ticket < COARSE else ""
    return f"{count:g} was read as {said_in('thread', tex, unit)}{told}, coarser than an overlock takes as a rule.{meant}"
