"""One logged swatch."""

import secrets
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields
from datetime import UTC, datetime, timedelta
from typing import Any

from recommender.errors import InvalidValue
from recommender.trade.fabric import Fabric
from recommender.trade.machine import Machine
from recommender.trade.names import unknown
from recommender.trade.readings import FLAGS, checked_readings
from recommender.trade.rules import Rule, check_fields, number, ruled, rules_of
from recommender.trade.settings import Settings
from recommender.trade.stitch import stitch, stitches
from recommender.trade.thread import ORDINARY, POSITIONS, Thread

ID_RULE = Rule(kind="text", low=1, high=64, required=False, help="The swatch's own mark in the log; leave it out for a new one.")
"""The rule of a trial's id."""

_NOUNS = {"id": str, "fabric": Fabric, "needle_thread": Thread, "looper_thread": Thread, "settings": Settings}
_A = {str: "text", Fabric: "a Fabric", Thread: "a Thread", Settings: "a Settings"}
_BLADE = "size = 100 x diameter of the blade in mm, from memory"


def new_id() -> str:
    """An id that no other trial has, in this log or in another."""
    return secrets.token_hex(8)


def _now() -> datetime:
    return datetime.now(UTC)


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """One swatch: what was sewn, with which settings, and how it came out.

    >>> jersey = Fabric(name="rib jersey", construction="knit", fibre="cotton", gsm=220, stretch=60)
    >>> settings = Settings(tension={"right needle": 4, "upper looper": 4, "lower looper": 7}, differential=1.2, length=1.5, width=4.5)
    >>> trial = Trial(fabric=jersey, stitch="rolled hem", machine="bench", settings=settings, passed=False, readings={"edge_lie": 1})
    >>> trial.readings["edge_lie"], trial.who
    (1.0, '')

    Raises
    ------
    InvalidValue, UnknownName
        If a value breaks its rule, a name does not exist, or the tensions are not those of the threads that the stitch runs.
    """

    id: str = field(default_factory=new_id)
    """The trial's own mark, the same for good whatever is corrected."""
    when: datetime = field(default_factory=_now)
    """When it was sewn, in UTC."""
    who: str = ruled(Rule(kind="text", low=0, high=60, required=False, help="Who sewed it."), "")
    """Who sewed it."""
    fabric: Fabric
    """The cloth, as it was described for this trial."""
    stitch: str = ruled(Rule(kind="choice", choices=stitches(), help="The stitch by its name here.", source="data/stitches.toml"))
    """Name of the stitch."""
    machine: str = ruled(rules_of(Machine)["name"])
    """Name of the machine in this studio."""
    needle_thread: Thread = ORDINARY
    """Thread in the needles."""
    looper_thread: Thread = ORDINARY
    """Thread in the loopers."""
    settings: Settings
    """What was set."""
    passed: bool = ruled(Rule(kind="flag", help="Pass or fail, by your own standard."))
    """Whether the swatch is good enough for the sewer."""
    readings: Mapping[str, float] = field(default_factory=dict)
    """The readings that were made, by name."""
    flags: frozenset[str] = frozenset()
    """Names of the faults that were seen."""
    seam_change: float | None = number(
        -60, 150, "%", default=None, required=False, help="Change of the seam's length against the cloth's, measured; longer is positive."
    )
    """Measured change of length, %, positive where the seam came out longer than the cloth was."""
    needle_size: float | None = number(
        50, 140, "metric size", default=None, required=False, help="Metric size of the needle, such as 80.", source=_BLADE
    )
    """Metric needle size, 1/100 mm."""
    needle_hours: float | None = number(0, 500, "h", default=None, required=False, help="Hours this needle has sewn; 0 for a fresh one.")
    """Hours that the needle had sewn."""
    note: str = ruled(Rule(kind="text", low=0, high=2000, required=False, help="Anything else."), "")
    """Free text."""

    def __post_init__(self) -> None:
        stitch(self.stitch)  # a wrong stitch is told first, with the likeliest right one
        _check_kinds(self)
        check_fields(self, "swatch")
        ID_RULE.check("swatch id", self.id)
        object.__setattr__(self, "when", in_utc(self.when))
        object.__setattr__(self, "who", self.who or "")
        object.__setattr__(self, "note", self.note or "")
        object.__setattr__(self, "readings", checked_readings(self.readings))
        object.__setattr__(self, "flags", _checked_flags(self.flags))
        for position, fault in thread_faults(self.stitch, self.settings.tension).items():
            raise InvalidValue(f"settings tension: {position}: {fault}")

    def __reduce__(self) -> tuple[object, ...]:
        """Copy and pickle by value; a read-only mapping knows neither."""
        values = {f.name: getattr(self, f.name) for f in fields(self)}
        return _trial, ({**values, "readings": dict(self.readings)},)


def thread_faults(name: str, given: Mapping[str, object]) -> dict[str, str]:
    """What is wrong with the tensions given for a stitch, by thread position: every thread that runs has one, no other has.

    >>> for position, fault in thread_faults("two-thread overlock", {"left needle": 1, "upper looper": 4}).items():
    ...     print(f"{position}: {fault}")
    upper looper: got a dial number, but the two-thread overlock runs no thread there; leave it out
    lower looper: nothing given, but the two-thread overlock runs a thread there; give its dial number
    """
    running = stitch(name).positions
    faults = {}
    for position in POSITIONS:
        is_given = given.get(position) is not None
        if is_given and position not in running:
            faults[position] = f"got a dial number, but the {name} runs no thread there; leave it out"
        elif position in running and not is_given:
            faults[position] = f"nothing given, but the {name} runs a thread there; give its dial number"
    return faults


def machine_faults(trial: Trial, machine: Machine) -> tuple[str, ...]:
    """What the machine cannot do of what the trial says was sewn on it."""
    lacking = [f"stitch: the {trial.stitch} needs {part}, which {machine.name!r} has not" for part in stitch(trial.stitch).lacking(machine)]
    dials, numbers = machine.dials, trial.settings.numbers()
    beyond = [
        f"{control}: got {value:g}, but on {machine.name!r} it goes from {dials[control].low:g} to {dials[control].high:g}"
        for control, value in numbers.items()
        if control in dials and not dials[control].holds(value)
    ]
    if (pressure := trial.settings.foot_pressure) is not None and "foot pressure" not in dials:
        beyond.append(f"foot pressure: got {pressure:g}, but {machine.name!r} has no such dial; leave it out")
    return (*lacking, *beyond)


def is_ahead(when: datetime) -> bool:
    """Whether a moment is yet to come by this computer's clock; a day is left for zones and clocks that differ.

    A trial that is in the log is never asked: a clock that was set back must not close the studio.
    """
    return when > _now() + timedelta(days=1)


def in_utc(when: Any, noun: str = "swatch") -> datetime:
    """The moment in UTC; `noun` is what it is the moment of.

    Raises
    ------
    InvalidValue
        If it is no moment, says nothing of its zone, or is not of this age.
    """
    if not isinstance(when, datetime) or when.utcoffset() is None:
        raise InvalidValue(f"{noun} when: got {when!r}, expected a date and time with its zone")
    if not 1950 < when.year < 2200:  # the ends leave a day for any zone
        raise InvalidValue(f"{noun} when: got the year {when.year}, expected one from 1951 to 2199")
    return when.astimezone(UTC)


def _check_kinds(trial: Trial) -> None:
    for name, noun in _NOUNS.items():
        if not isinstance(value := getattr(trial, name), noun):
            raise InvalidValue(f"swatch {name.replace('_', ' ')}: got {type(value).__name__}, expected {_A[noun]}")


def _checked_flags(flags: Any) -> frozenset[str]:
    if isinstance(flags, str) or not isinstance(flags, Iterable | None):
        raise InvalidValue(f"flags: got {flags!r}, expected a list of flag names")
    seen = tuple(flags or ())
    if strays := [flag for flag in seen if not isinstance(flag, str) or flag not in FLAGS]:
        raise unknown("flag", strays[0], FLAGS)
    return frozenset(seen)


def _trial(values: dict[str, Any]) -> Trial:
    return Trial(**values)
