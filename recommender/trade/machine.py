"""A machine's profile: which controls it has, their ranges, steps and home marks."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from types import MappingProxyType
from typing import Any

from recommender.errors import InvalidValue, UnknownName
from recommender.trade.names import shown
from recommender.trade.rules import Rule, check_fields, number, ruled, rules_of
from recommender.trade.settings import TENSION_RULE, Settings
from recommender.trade.thread import POSITIONS

_MOST_TICKS = 40
"""Steps of a dial that are drawn one by one."""
_PLAIN_DIALS = ("differential", "length", "width", "foot pressure")
"""What can be set besides the tensions."""


@dataclass(frozen=True, slots=True)
class Dial:
    """The scale of one control.

    >>> Dial(0, 9, 0.5, 4).nearest(4.3)
    4.5

    Raises
    ------
    InvalidValue
        If the range is empty, the step does not fit into it, or the home mark lies outside.
    """

    low: float = number(0, 30)
    """Smallest setting."""
    high: float = number(0, 30)
    """Largest setting."""
    step: float = number(0.01, 5)
    """Finest step that can be set again by eye."""
    home: float = number(0, 30)
    """The setting for an ordinary overlock on plain medium woven cotton."""

    def __post_init__(self) -> None:
        check_fields(self, "dial")
        if self.low + self.step > self.high + 1e-9:
            raise InvalidValue(f"dial: got a range from {self.low:g} to {self.high:g}, expected room for a step of {self.step:g}")
        if not self.low <= self.home <= self.high:
            raise InvalidValue(f"home mark: got {self.home:g}, expected a number of its dial, {self.low:g} to {self.high:g}")

    @property
    def steps(self) -> int:
        """Number of whole steps between the ends."""
        return math.floor((self.high - self.low) / self.step + 1e-9)

    def at(self, index: int) -> float:
        """The setting `index` steps above the low end, held inside the range."""
        return round(self.low + min(max(index, 0), self.steps) * self.step, 9)

    def nearest(self, value: float) -> float:
        """The setting on the scale that is nearest to `value`."""
        return self.at(round((value - self.low) / self.step))

    def place(self, value: float) -> float:
        """Where a value lies on the scale, from 0 at the low end to 1; what lies beyond an end is held there.

        >>> Dial(0, 8, 0.5, 4).place(2), Dial(0, 8, 0.5, 4).place(9)
        (0.25, 1.0)
        """
        return (min(max(value, self.low), self.high) - self.low) / (self.high - self.low)

    @property
    def ticks(self) -> tuple[float, ...]:
        """Places of the steps that a drawing marks: of every other, or fewer, where they would lie too close."""
        every = max(1, round(self.steps / _MOST_TICKS))
        return tuple(self.place(self.at(index)) for index in range(0, self.steps + 1, every))

    def holds(self, value: float) -> bool:
        """Whether the dial can be set to `value` at all."""
        return self.low - 1e-9 <= value <= self.high + 1e-9


def _home_marks() -> Mapping[str, Dial]:
    return {position: Dial(0, 9, 0.5, 4) for position in POSITIONS}


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """One machine, as its dials and parts are.

    Dial numbers mean nothing on another machine; offsets from the home mark do.

    >>> Machine.generic("bench").tension["upper looper"].home
    4.0

    Raises
    ------
    InvalidValue, UnknownName
        If a part of the profile makes no sense; the message names it.
    """

    name: str = ruled(Rule(kind="text", low=1, high=60, help="What you call this machine."))
    """What the sewer calls it."""
    tension: Mapping[str, Dial] = field(default_factory=_home_marks, hash=False)
    """Tension dial by thread position; a position that is missing does not exist on this machine."""
    differential: Dial = Dial(0.7, 2.0, 0.1, 1.0)
    """Differential feed, ratio."""
    length: Dial = Dial(1.0, 5.0, 0.25, 3.0)
    """Stitch length, mm."""
    width: Dial = Dial(4.0, 7.0, 0.5, 6.0)
    """Cutting width, mm."""
    foot_pressure: Dial | None = None
    """Presser-foot pressure; None where it cannot be set."""
    removable_finger: bool = ruled(Rule(kind="flag", help="The stitch finger can be taken out or drawn back."), True)
    """Whether the stitch finger can be taken out or drawn back."""
    converter: bool = ruled(Rule(kind="flag", help="There is a two-thread converter for the upper looper."), True)
    """Whether there is a two-thread converter."""
    knife_disengages: bool = ruled(Rule(kind="flag", help="The knife can be put out of action."), True)
    """Whether the knife can be put out of action."""
    rolled_position: bool = ruled(Rule(kind="flag", help="A rolled-hem position sets the tension by itself."), False)
    """Whether a rolled-hem position sets the tension by itself."""

    def __post_init__(self) -> None:
        check_fields(self, "machine")
        if not isinstance(self.tension, Mapping):
            raise InvalidValue(f"machine tension: got {type(self.tension).__name__}, expected a Dial by thread position")
        if unknown := [str(position) for position in self.tension if position not in POSITIONS]:
            raise UnknownName(f"thread position: got {unknown[0]!r}, expected one of: {', '.join(POSITIONS)}")
        for position, dial in self.tension.items():
            _check_dial(f"machine tension: {position}", dial, TENSION_RULE)
        for name in ("differential", "length", "width", "foot_pressure"):
            if name != "foot_pressure" or self.foot_pressure is not None:
                _check_dial(f"machine {name.replace('_', ' ')}", getattr(self, name), rules_of(Settings)[name])
        if "lower looper" not in self.tension or not any("needle" in position for position in self.tension):
            raise InvalidValue("machine tension: expected at least one needle and the lower looper, the least that overedges")
        object.__setattr__(self, "tension", MappingProxyType({p: self.tension[p] for p in POSITIONS if p in self.tension}))

    def __reduce__(self) -> tuple[object, ...]:
        """Copy and pickle by value; a read-only mapping knows neither."""
        values = {f.name: getattr(self, f.name) for f in fields(self)}
        return _machine, ({**values, "tension": dict(self.tension)},)

    @classmethod
    def generic(cls, name: str) -> "Machine":
        """The profile taken where nothing else is known: dials 0-9, home mark 4, differential 0.7-2.0."""
        return cls(name=name)

    @property
    def dials(self) -> dict[str, Dial]:
        """The scale of every control that this machine has, by its name in `Settings.numbers()`."""
        rest = {control: getattr(self, control.replace(" ", "_")) for control in _PLAIN_DIALS}
        scales = {f"tension: {position}": dial for position, dial in self.tension.items()} | rest
        return {control: dial for control, dial in scales.items() if dial is not None}

    def dial(self, control: str) -> Dial:
        """One of `dials`, found without making them all.

        Raises
        ------
        UnknownName
            If this machine has no such control.
        """
        if control.startswith("tension: "):
            dial = self.tension.get(control.removeprefix("tension: "))
        else:
            dial = getattr(self, control.replace(" ", "_")) if control in _PLAIN_DIALS else None
        if dial is None:
            raise UnknownName(f"control: {self.name!r} has no {control!r}, expected one of: {', '.join(self.dials)}")
        return dial


def _check_dial(title: str, dial: object, rule: Rule) -> None:
    """Hold a dial's marks to the rule of the setting that is read from it; the machine's own range may only be narrower."""
    if not isinstance(dial, Dial):
        raise InvalidValue(f"{title}: got {shown(dial)}, expected a Dial")
    for mark in ("low", "high", "home"):
        rule.check(f"{title}, {mark}", getattr(dial, mark))


def _machine(values: Mapping[str, Any]) -> Machine:
    return Machine(**values)
