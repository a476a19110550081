"""What is set on the machine, control by control."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from recommender.errors import InvalidValue, UnknownName
from recommender.trade.rules import Rule, check_fields, number
from recommender.trade.thread import POSITIONS

TENSION_RULE = Rule(kind="number", low=0, high=30, unit="dial number", required=False, help="The number at the dial's mark.")
"""The rule of every tension dial, whatever the machine; the machine's own range is narrower."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """One full set of settings, as they stand on the machine.

    >>> Settings(tension={"lower looper": 4}, differential=1, length=2.5, width=5).controls()["tension: lower looper"]
    4.0

    Raises
    ------
    InvalidValue, UnknownName
        If a value is outside what any machine has, or a thread position does not exist.
    """

    tension: Mapping[str, float]
    """Dial number by thread position, for the threads that run."""
    differential: float = number(0.3, 4, "ratio", help="Differential feed: above 1 gathers, below 1 stretches.")
    """Differential feed, ratio of the front feed's travel to the rear feed's."""
    length: float = number(0.3, 8, "mm", help="Stitch length.")
    """Stitch length, mm."""
    width: float = number(1, 12, "mm", help="Cutting width: needle to knife edge.")
    """Cutting width, mm."""
    foot_pressure: float | None = number(
        0, 30, "dial number", default=None, required=False, help="Presser-foot pressure, if the machine lets you set it."
    )
    """Presser-foot pressure, dial number; None where the machine has no such control or it was left alone."""

    def __post_init__(self) -> None:
        if not isinstance(self.tension, Mapping):
            raise InvalidValue(f"settings tension: got {type(self.tension).__name__}, expected dial numbers by thread position")
        if unknown := [str(position) for position in self.tension if position not in POSITIONS]:
            raise UnknownName(f"thread position: got {unknown[0]!r}, expected one of: {', '.join(POSITIONS)}")
        checked = {p: TENSION_RULE.check(f"settings tension: {p}", self.tension[p]) for p in POSITIONS if self.tension.get(p) is not None}
        object.__setattr__(self, "tension", MappingProxyType(checked))
        check_fields(self, "settings")

    def controls(self) -> dict[str, float]:
        """Value by control name: `tension: <position>`, `differential`, `length`, `width`."""
        tensions = {f"tension: {position}": value for position, value in self.tension.items()}
        return {**tensions, "differential": self.differential, "length": self.length, "width": self.width}

    def numbers(self) -> dict[str, float]:
        """The same and, where it was set, `foot pressure`."""
        return self.controls() | ({} if self.foot_pressure is None else {"foot pressure": self.foot_pressure})

    def having(self, controls: Mapping[str, float]) -> "Settings":
        """These settings with some controls moved; the names are those of `controls()`.

        Raises
        ------
        UnknownName
            If a name is not a control of these settings.
        """
        if unknown := [name for name in controls if name not in self.controls()]:
            raise UnknownName(f"control: got {unknown[0]!r}, expected one of: {', '.join(self.controls())}")
        tension = {position: controls.get(f"tension: {position}", value) for position, value in self.tension.items()}
        rest = {name: value for name, value in controls.items() if not name.startswith("tension: ")}
        return replace(self, tension=tension, **rest)

    def __reduce__(self) -> tuple[object, ...]:
        """Copy and pickle by value; a read-only mapping knows neither."""
        return _settings, (dict(self.tension), self.differential, self.length, self.width, self.foot_pressure)


def _settings(tension: Mapping[str, float], differential: float, length: float, width: float, foot_pressure: float | None) -> Settings:
    return Settings(tension=tension, differential=differential, length=length, width=width, foot_pressure=foot_pressure)
