"""What one value may be: the single statement of a range, a choice or a unit.

A rule stands beside the field that it governs, in the class of the noun. The log's columns, the form limits, the database
constraints and the validation suite are all derived from it.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields
from functools import cache
from types import MappingProxyType
from typing import Any, Literal

from recommender.errors import InvalidValue
from recommender.trade.names import shown

Kind = Literal["number", "integer", "choice", "text", "flag"]
_KEPT_AS: Mapping[Kind, Callable[[Any], object]] = {"number": float, "integer": int, "flag": bool}


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """What one value may be, and how to say so."""

    kind: Kind
    """A number, a whole number, one of `choices`, free text, or yes/no."""
    unit: str = ""
    """Unit in which the value is kept, as written beside it; empty where there is none."""
    low: float = -math.inf
    """Smallest value allowed; for text, the fewest characters."""
    high: float = math.inf
    """Largest value allowed; for text, the most characters."""
    step: float = 0.0
    """The value is a whole multiple of this; 0 for any."""
    choices: tuple[str, ...] = ()
    """The words allowed, for a choice."""
    required: bool = True
    """Whether the value may be left out (None)."""
    help: str = ""
    """One sentence for the person who fills it in."""
    source: str = ""
    """Where the range or the definition is from."""

    def fault(self, name: str, value: object) -> str | None:
        """The sentence that says what is wrong with `value`, or None where nothing is.

        >>> Rule(kind="number", low=15, high=1000, unit="g/m2").fault("gsm", 5)
        'gsm: got 5, expected a number from 15 to 1000 g/m2'
        """
        if value is None:
            return f"{name}: nothing given, expected {self.expected()}" if self.required else None
        return None if self._holds(value) else f"{name}: got {shown(value)}, expected {self.expected()}"

    def check(self, name: str, value: Any) -> Any:
        """The value itself, as its own kind.

        Raises
        ------
        InvalidValue
            If the value breaks the rule.
        """
        # First what most values of a log are, for there are a hundred thousand of them in a long one.
        is_float = type(value) is float and self.kind == "number" and math.isfinite(value)
        if is_float and self.low <= value <= self.high and self._on_step(value):
            return value
        if value is None and not self.required:
            return None
        if value is None or not self._holds(value):
            raise InvalidValue(self.fault(name, value))
        kept = _KEPT_AS.get(self.kind)
        return value if kept is None else kept(value)

    def expected(self) -> str:
        """What the value may be, as the end of a sentence."""
        match self.kind:
            case "choice":
                return "one of: " + ", ".join(self.choices)
            case "flag":
                return "yes or no"
            case "text":
                return f"text of {self.low:g} to {self.high:g} characters, without control characters"
        noun = "a whole number" if self.kind == "integer" else "a number"
        unit = f" {self.unit}" if self.unit else ""
        steps = f" in steps of {self.step:g}" if self.step else ""
        return f"{noun} from {self.low:g} to {self.high:g}{unit}{steps}"

    def _holds(self, value: object) -> bool:
        match self.kind:
            case "choice":
                return isinstance(value, str) and value in self.choices
            case "flag":
                return type(value).__name__ in ("bool", "bool_")  # numpy's own bool counts; 0 and 1 do not
            case "text":
                return isinstance(value, str) and self.low <= len(value) <= self.high and _printable(value)
        return self._is_number(value) and self.low <= float(value) <= self.high and self._on_step(float(value))  # type: ignore[arg-type]  # _is_number has shown that float() takes it

    def _is_number(self, value: object) -> bool:
        try:
            number = float(value)  # type: ignore[arg-type]  # whatever float() refuses is caught below
        except (TypeError, ValueError, OverflowError):
            return False
        is_text_or_flag = isinstance(value, str | bytes) or type(value).__name__ in ("bool", "bool_")
        return not is_text_or_flag and math.isfinite(number) and (self.kind != "integer" or number.is_integer())

    def _on_step(self, number: float) -> bool:
        return not self.step or math.isclose(number / self.step, round(number / self.step), abs_tol=1e-9)


def number(low: float, high: float, unit: str = "", *, default: Any = ..., **more: Any) -> Any:
    """A dataclass field that holds a number from `low` to `high`."""
    return ruled(Rule(kind="number", low=low, high=high, unit=unit, **more), default)


def ruled(rule: Rule, default: Any = ...) -> Any:
    """A dataclass field governed by `rule`; without a default it must be given."""
    given = {} if default is ... else {"default": default}
    return field(metadata={"rule": rule}, **given)


@cache
def rules_of(noun: type) -> Mapping[str, Rule]:
    """The rules of a class's fields by field name, in the order in which they stand."""
    return MappingProxyType({f.name: f.metadata["rule"] for f in fields(noun) if "rule" in f.metadata})


def check_fields(thing: Any, noun: str) -> None:
    """Check every ruled field of a frozen dataclass and set it to its own kind (5 -> 5.0).

    Raises
    ------
    InvalidValue
        If one value breaks its rule, or a name is blank; the message starts with `noun` and the field's name.
    """
    for name, title, rule in _titled_rules(thing.__class__, noun):
        given = getattr(thing, name)
        value = rule.check(title, given)
        if rule.kind == "text" and rule.low >= 1 and value is not None and not value.strip():
            raise InvalidValue(f"{title}: got {shown(value)}, expected {rule.expected()}, not all of them blank")
        if value is not given:
            object.__setattr__(thing, name, value)


@cache
def _titled_rules(noun: type, title: str) -> tuple[tuple[str, str, Rule], ...]:
    return tuple((name, f"{title} {name.replace('_', ' ')}", rule) for name, rule in rules_of(noun).items())


def _printable(text: str) -> bool:
    return text.isprintable() or all(character.isprintable() or character in "\n\t" for character in text)
