"""Units in and out: people write ounces, ticket numbers and stitches per inch; the log keeps g/m2, tex and mm.

A bare number is never guessed at: 40 weight, ticket 40 and tex 40 are three threads. Nor is 80/2, which tells the plies of a thread; of
what has no plies, 1/2 is a half.
"""

import re
from dataclasses import dataclass
from functools import cache
from numbers import Real

from recommender.errors import AmbiguousUnit, InvalidValue
from recommender.trade.fractions import in_decimals
from recommender.trade.names import shown, unknown
from recommender.trade.rules import Rule
from recommender.trade.tables import table

_WRITTEN = re.compile(
    r"""(?P<before>[^0-9]*?)                                    # tex, Nm, ticket
    (?P<number>(?:(?<!\w)-)?[0-9]{1,12}(?:\.[0-9]{1,12}|,[0-9]{1,2})?)  # 6.1 or 6,1; a minus only where it is no hyphen, as in T-40
    (?:\s*[/x×]\s*(?P<plies>[0-9]{1,3}))?                       # 80/2 Nm
    (?P<after>[^\d.,].*?)?                                      # g/m2, spi
    (?:[/x×]\s*(?P<folds>[0-9]{1,3}))?                          # 140 dtex/3""",
    re.VERBOSE,
)
_SQUARE = re.compile(r"(?<=[/ ])(m|yd)\^?2\b", re.IGNORECASE)
"""The 2 of a square metre or yard, which is no amount."""
SYSTEMS = ("metric", "imperial")
"""The two systems that a sewer may think in."""

_MOST = 1e9
"""No amount of anything here is larger, in any unit."""
_LONGEST = 60
"""Characters; nobody writes an amount at greater length."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """One way of counting a quantity."""

    name: str
    """As it is shown."""
    written: tuple[str, ...]
    """Every way of writing it that is understood, in small letters."""
    factor: float
    """Base units in one of these; for a unit that falls, base value times number."""
    grows: bool = True
    """Whether the number grows with the quantity, or falls as a count of length per mass does."""
    plied: bool = False
    """Whether the number counts one ply, so that a number of plies may follow it."""
    ask: bool = False
    """Whether the question about a bare number offers it."""
    source: str
    """Where the factor is from."""

    def to_base(self, number: float) -> float:
        """The number in base units."""
        return number * self.factor if self.grows else self.factor / number

    def from_base(self, value: float) -> float:
        """The base value in this unit."""
        return value / self.factor if self.grows else self.factor / value


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """Something that is counted in several units."""

    title: str
    """In plain words."""
    base: str
    """Unit in which it is kept."""
    units: tuple[Unit, ...]
    """The base unit first."""
    vague: tuple[str, ...]
    """Words that stand beside a number but name no unit."""
    example: str
    """How to write it."""
    metric: str
    """Name of the unit of those who think in metres."""
    imperial: str
    """Name of the unit of those who think in inches."""

    @property
    def plied(self) -> bool:
        """Whether it is of something that has plies, which stand behind a stroke."""
        return any(unit.plied for unit in self.units)

    def usual(self, system: str) -> str:
        """Name of the unit that a system, one of `SYSTEMS`, shows.

        Raises
        ------
        UnknownName
            If there is no such system.
        """
        if system not in SYSTEMS:
            raise unknown("system of units", system, SYSTEMS)
        return self.metric if system == "metric" else self.imperial

    def unit(self, name: str) -> Unit:
        """The unit of that name, in any of the ways of writing it.

        Raises
        ------
        UnknownName
            If there is none.
        """
        wanted = _plain(str(name))
        for unit in self.units:
            if wanted == _plain(unit.name) or wanted in unit.written:
                return unit
        raise unknown(f"unit of {self.title}", name, [unit.name for unit in self.units])

    def read(self, given: str | float, unit: str | None = None) -> float:
        """What was written, in base units."""
        number, plies, word = _taken_apart(self, given)
        if word in self.vague:
            word = ""
        if not word and unit is None:
            raise AmbiguousUnit(self._question(given, number, plies))
        named = self.unit(word or unit or "")
        if word and unit is not None and named != self.unit(unit):
            raise InvalidValue(f"{self.title}: got {shown(given)} where {self.unit(unit).name} was expected; give one unit")
        if plies != 1 and not named.plied:
            raise InvalidValue(f"{self.title}: got {shown(given)}, expected {named.name} as one number, which already counts every ply")
        return self._sound(given, named.to_base(number) * plies)

    def typed(self, given: str, usual: str) -> float:
        """What was typed into a field whose label names its `usual` unit: a unit written beside the number goes first.

        >>> quantity("width").typed("6", "mm"), round(quantity("width").typed("0.25 in", "mm"), 2)
        (6.0, 6.35)
        """
        return self.read(given, usual if self.is_bare(given) else None)

    def is_bare(self, given: str) -> bool:
        """Whether no unit is written beside the number.

        >>> quantity("thread").is_bare("no. 120"), quantity("thread").is_bare("ticket 120")
        (True, False)
        """
        _, _, word = _taken_apart(self, given)
        return not word or word in self.vague

    def within(self, value: float, rule: Rule, unit: str) -> float:
        """The amount itself, if a rule in base units allows it; the sentence that refuses it speaks in `unit`.

        Raises
        ------
        InvalidValue
            If the rule does not allow it.
        """
        if rule.fault(self.title, value) is not None:
            low, high = sorted(self.show(end, unit) for end in (rule.low, rule.high))
            raise InvalidValue(f"{self.title}: got {self.show(value, unit):.4g} {unit}, expected from {low:.4g} to {high:.4g} {unit}")
        return value

    def show(self, value: float, unit: str) -> float:
        """A base value in another unit."""
        return self._sound(value, self.unit(unit).from_base(self._sound(value, value)))

    def _sound(self, given: object, value: object) -> float:
        if isinstance(value, bool) or not isinstance(value, Real) or not 0 < value < _MOST:  # type: ignore[operator]  # reals compare
            raise InvalidValue(f"{self.title}: got {shown(given)}, expected an amount above 0, such as {self.example}")
        return float(value)

    def _question(self, given: object, number: float, plies: int) -> str:
        offered = [unit for unit in self.units if unit.ask and (unit.plied or plies == 1)]
        ways = [f"{unit.name} ({unit.to_base(number) * plies:.4g} {self.base})" for unit in offered]
        asked = f"does it count {', '.join(ways[:-1])} or {ways[-1]}?"
        return f"{self.title}: got {shown(given)} without a unit; {asked} Write the unit with it"


def weight(given: str | float, unit: str | None = None) -> float:
    """Weight of one layer of cloth in g/m2, from text such as `6.1 oz`, or from a number and its unit.

    >>> round(weight("6.1 oz"), 1), weight("200 gsm"), round(weight(6, "oz/yd2"))
    (206.8, 200.0, 203)

    Raises
    ------
    AmbiguousUnit
        If no unit is given; the message is the question to ask.
    InvalidValue, UnknownName
        If it is no amount above 0, or the unit is none of cloth weight.
    """
    return quantity("weight").read(given, unit)


def thread_size(given: str | float, unit: str | None = None) -> float:
    """Size of the finished thread in tex, from text such as `Nm 80/2`, `140 dtex/3` or `ticket 75`.

    A ticket number without another word is a metric ticket.

    >>> thread_size("Nm 80/2"), thread_size("ticket 75"), thread_size(40, "Nm")
    (25.0, 40.0, 25.0)
    >>> thread_size("40")
    Traceback (most recent call last):
    ...
    recommender.errors.AmbiguousUnit: thread size: got '40' without a unit; does it count tex (40 tex), dtex (4 tex), ...

    Raises
    ------
    AmbiguousUnit
        If no unit is given; the message is the question to ask.
    InvalidValue, UnknownName
        If it is no amount above 0, or the unit is none of thread size.
    """
    return quantity("thread").read(given, unit)


def stitch_length(given: str | float, unit: str | None = None) -> float:
    """Stitch length in mm, from text such as `2.5 mm` or `10 spi`.

    >>> stitch_length("10 spi")
    2.54

    Raises
    ------
    AmbiguousUnit
        If no unit is given; the message is the question to ask.
    InvalidValue, UnknownName
        If it is no amount above 0, or the unit is none of stitch length.
    """
    return quantity("length").read(given, unit)


def stretch(rest: float, stretched: float) -> float:
    """Stretch in % of the rest length, from two lengths of a strip in the same unit.

    >>> stretch(10, 14)
    40.0

    Raises
    ------
    InvalidValue
        If a length is not above 0, or the strip became shorter.
    """
    if not 0 < rest <= stretched < _MOST:
        got = f"got {rest:g} at rest and {stretched:g} stretched"
        raise InvalidValue(f"stretch: {got}, expected two lengths above 0, the second not the shorter")
    return (stretched - rest) / rest * 100


@cache
def quantity(name: str) -> Quantity:
    """The quantity `weight`, `thread`, `length`, `width` or `thickness`, with its units."""
    row = table("units")[name]
    units = tuple(Unit(**{**unit, "written": tuple(unit["written"])}) for unit in row["unit"])
    words = {name: row[name] for name in ("title", "base", "example", "metric", "imperial")}
    return Quantity(units=units, vague=tuple(row["vague"]), **words)


def _plain(word: str) -> str:
    """A unit's word in small letters, without the marks that people put around it."""
    plain = " ".join(word.casefold().replace("²", "2").split()).strip(" :=")
    return re.sub(r"(?<=\w)[-.]+$", "", plain)


def _taken_apart(asked: Quantity, given: object) -> tuple[float, int, str]:
    """Number, plies and unit word (empty where there is none)."""
    if not isinstance(given, str):
        return asked._sound(given, given), 1, ""
    text = given.strip() if asked.plied or len(given) > _LONGEST else in_decimals(asked.title, given.strip())
    found = _WRITTEN.fullmatch(_SQUARE.sub(r"\1²", text)) if len(given) <= _LONGEST else None
    if found is None:
        raise InvalidValue(f"{asked.title}: got {shown(given)}, expected a number and its unit, such as {asked.example}")
    before, after = _plain(found["before"]), _plain(found["after"] or "")
    if before and after:
        raise InvalidValue(f"{asked.title}: got {shown(given)}, expected one unit, before or after the number, such as {asked.example}")
    plies = int(found["plies"] or found["folds"] or 1)
    if not 1 <= plies <= 12 or (found["plies"] and found["folds"]):
        raise InvalidValue(f"{asked.title}: got {shown(given)}, expected 1 to 12 plies after the stroke")
    return asked._sound(given, float(found["number"].replace(",", "."))), plies, before or after
