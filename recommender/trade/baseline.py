"""The baseline: the settings that the trade's rules alone propose.

It starts with every control at the machine's home mark, moves to the stitch's own start, then lets each rule of
`data/baseline.toml` that applies move it further, and ends on the machine's steps. The moves add up to the settings.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache, lru_cache
from types import MappingProxyType
from typing import Any

from recommender.errors import UnsuitableMachine
from recommender.trade.fabric import Fabric
from recommender.trade.machine import Machine
from recommender.trade.settings import Settings
from recommender.trade.stitch import Stitch
from recommender.trade.tables import table
from recommender.trade.thread import Thread


@dataclass(frozen=True, slots=True)
class AppliedRule:
    """One rule that had something to say about this seam."""

    name: str
    """What the rule is about."""
    moves: Mapping[str, float] = field(hash=False)
    """By how much it moved which control, named as in `Settings.controls()`."""
    reason: str
    """Why."""
    source: str
    """Who says so."""

    def __post_init__(self) -> None:
        object.__setattr__(self, "moves", MappingProxyType(dict(self.moves)))

    def __reduce__(self) -> tuple[object, ...]:
        """Copy and pickle by value; a read-only mapping knows neither."""
        return AppliedRule, (self.name, dict(self.moves), self.reason, self.source)


@dataclass(frozen=True, slots=True)
class Baseline:
    """The rules' settings, and the rules that led there."""

    settings: Settings
    """Every tension that runs, differential, length and width, as the machine can be set."""
    rules: tuple[AppliedRule, ...]
    """In the order in which they were applied; from the home marks their moves add up to `settings`."""


@lru_cache(maxsize=8192)  # the seams of a long log are asked for again with every picture of it
def baseline(fabric: Fabric, stitch: Stitch, machine: Machine, needle_thread: Thread, looper_thread: Thread) -> Baseline:
    """The settings that the rules alone propose for this seam.

    >>> from recommender.trade.stitch import stitch
    >>> from recommender.trade.thread import ORDINARY
    >>> shirt = Fabric(name="shirting", construction="woven", fibre="cotton", gsm=130)
    >>> start = baseline(shirt, stitch("four-thread overlock"), Machine.generic("bench"), ORDINARY, ORDINARY)
    >>> start.settings.width, start.settings.differential, start.settings.tension["upper looper"]
    (6.0, 1.0, 4.0)

    Raises
    ------
    UnsuitableMachine
        If the machine lacks a thread position or a part that the stitch needs.
    """
    if missing := stitch.lacking(machine):
        raise UnsuitableMachine(
            f"{stitch.name}: {machine.name!r} lacks {' and '.join(missing)}, which this stitch needs; choose another stitch or machine"
        )
    home = {control: machine.dial(control).home for control in _controls(stitch)}
    rules = [_stitch_rule(stitch, machine), *_table_rules(fabric, stitch, needle_thread, looper_thread)]
    wanted = {control: mark + sum(rule.moves.get(control, 0.0) for rule in rules) for control, mark in home.items()}
    reached = {control: _within(stitch, machine, control, value) for control, value in wanted.items()}
    rules += _machine_rule(wanted, reached)
    pressure = machine.foot_pressure.home if machine.foot_pressure else None
    tension = {position: reached[f"tension: {position}"] for position in stitch.positions}
    rest = {control: reached[control] for control in ("differential", "length", "width")}
    return Baseline(Settings(tension=tension, foot_pressure=pressure, **rest), tuple(rules))


def _controls(stitch: Stitch) -> list[str]:
    return [*(f"tension: {position}" for position in stitch.positions), "differential", "length", "width"]


def _within(stitch: Stitch, machine: Machine, control: str, value: float) -> float:
    """Inside the stitch's usual range as far as the machine goes there, and on the machine's steps."""
    if control in ("length", "width"):
        value = _held(value, getattr(stitch, control))
    return machine.dial(control).nearest(value)


def _held(value: float, limits: tuple[float, float]) -> float:
    return min(max(value, limits[0]), limits[1])


def _applied(name: str, moves: Mapping[str, float], reason: str, source: str) -> AppliedRule:
    made = {control: round(by, 9) for control, by in moves.items() if abs(by) > 1e-9}
    return AppliedRule(name, made, reason, source)


def _stitch_rule(stitch: Stitch, machine: Machine) -> AppliedRule:
    moves = {f"tension: {position}": by for position, by in stitch.tension_offsets(machine).items()}
    moves["differential"] = stitch.differential
    for control in ("length", "width"):
        mark = machine.dial(control).home
        moves[control] = stitch.start.get(control, _held(mark, getattr(stitch, control))) - mark
    return _applied(stitch.name, moves, f"Where this stitch begins. {stitch.purpose}", stitch.source)


def _machine_rule(wanted: Mapping[str, float], reached: Mapping[str, float]) -> Iterator[AppliedRule]:
    rule = _applied(
        "steps and ranges",
        {control: reached[control] - value for control, value in wanted.items()},
        "The nearest setting that this machine has, inside the stitch's usual range.",
        "the machine's profile",
    )
    if rule.moves:
        yield rule


@cache
def _rules() -> tuple[dict[str, Any], ...]:
    return tuple(table("baseline")["rule"])


def _table_rules(fabric: Fabric, stitch: Stitch, needle_thread: Thread, looper_thread: Thread) -> Iterator[AppliedRule]:
    """The rules of the table that move anything, in its order; a rule about thread is asked of each thread apart."""
    words = {"construction": fabric.construction, "weight": fabric.weight_class, "grain": fabric.grain, "family": stitch.family}
    amounts = {"gsm": fabric.gsm, "bulk": fabric.gsm * fabric.plies / 2, "stretch": fabric.stretch}
    groups = {"tension of needles": stitch.needles, "tension of loopers": stitch.loopers}
    threads = (("needle thread", needle_thread, stitch.needles), ("looper thread", looper_thread, stitch.loopers))
    for rule in _rules():
        if rule["about"] == "cloth":
            yield from _asked(rule, rule["name"], words, amounts, groups)
        for role, thread, positions in threads:
            if rule["about"] in ("thread", role):
                about_thread = words | {"kind": thread.kind}
                own = groups | {"tension of own": positions}
                yield from _asked(rule, f"{rule['name']}: {role}", about_thread, {"tex": thread.tex}, own)


def _asked(
    rule: Mapping[str, Any], name: str, words: Mapping[str, str], amounts: Mapping[str, float], groups: Mapping[str, tuple[str, ...]]
) -> Iterator[AppliedRule]:
    """The rule with its moves counted out, unless its words do not hold or it moves nothing."""
    if any(words[key] not in choices for key, choices in rule.get("when", {}).items()):
        return
    if any(words[key] in choices for key, choices in rule.get("except", {}).items()):
        return
    moves: dict[str, float] = {}
    for move in rule["moves"]:
        named = move["control"]
        for control in [f"tension: {position}" for position in groups[named]] if named in groups else [named]:
            moves[control] = moves.get(control, 0.0) + move["by"] * _share(move, amounts)
    applied = _applied(name, moves, rule["reason"], rule["source"])
    if applied.moves:
        yield applied


def _share(move: Mapping[str, Any], amounts: Mapping[str, float]) -> float:
    """How much of a move is made: 0 at its start, 1 from its full on, evenly between; all of it where it has neither."""
    if "over" not in move:
        return 1.0
    return _held((amounts[move["over"]] - move["start"]) / (move["full"] - move["start"]), (0.0, 1.0))
