"""The trace of a trial: what it was before each correction, who changed it, when and why; and corrections column by column."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from recommender.swatches.columns import COLUMNS, Column
from recommender.swatches.events import Event
from recommender.swatches.moments import MOMENT_RULE
from recommender.swatches.rows import row_of, trial_of
from recommender.swatches.trial import Trial
from recommender.trade.fabric import Fabric
from recommender.trade.looks import reading
from recommender.trade.names import unknown
from recommender.trade.readings import READINGS
from recommender.trade.words import MEASURED, METRIC, Units, moment

CORRECTABLE = tuple(name for name in COLUMNS if name != "id")
"""The columns that a correction may change: all but the id, which a trial keeps for good."""

CLOTH = ("fabric", "construction", "fibre", "gsm", "stretch", "stretch_along", "elastane", "thickness")
"""Those that tell one cloth from another: a correction of them on one swatch alone makes a cloth of its own of it."""


@dataclass(frozen=True, slots=True)
class Change:
    """One column that a correction has changed."""

    column: str
    """Name of the column."""
    before: Any
    """Its value before; None where there was none."""
    after: Any
    """Its value from then on; None where it was taken out."""

    def sentence(self, on: str, units: Units = METRIC) -> str:
        """The same in words, of a swatch of a stitch.

        >>> changes = Change("gsm", 220.0, 240.0), Change("edge_lie", None, -0.5), Change("jam", True, False)
        >>> [change.sentence("rolled hem") for change in changes]
        ['weight: 220 g/m2, now 240 g/m2', 'how the edge lies: nothing, now -0.5', 'the machine jammed: yes, now no']
        """
        before, after = (_said_of(COLUMNS[self.column], value, units) for value in (self.before, self.after))
        return f"{labelled(self.column, on)}: {before}, now {after}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One thing that happened to a trial."""

    at: datetime
    """When it was entered, in UTC."""
    kind: str
    """`recorded`, `corrected`, `withdrawn`, `photo`, or `brought back`: a correction after a withdrawal."""
    by: str
    """Who did it, where it was said."""
    why: str
    """The reason, where one was given."""
    changes: tuple[Change, ...]
    """What it changed, in the order of the columns."""


def trace(history: Sequence[Event]) -> tuple[Step, ...]:
    """The history of one trial, step by step, each with what it changed.

    Parameters
    ----------
    history
        Every event of the trial, in order.
    """
    steps: list[Step] = []
    before: Trial | None = None
    for place, event in enumerate(history):
        changes = () if before is None or event.trial is None else changes_between(before, event.trial)
        kind = "brought back" if event.kind == "corrected" and is_withdrawn(history[:place]) else event.kind
        steps.append(Step(at=event.at, kind=kind, by=event.by, why=event.why, changes=changes))
        before = event.trial or before
    return tuple(steps)


def is_withdrawn(history: Iterable[Event]) -> bool:
    """Whether a trial of this history no longer counts."""
    told = [event.kind for event in history if event.kind in ("recorded", "corrected", "withdrawn")]
    return told[-1:] == ["withdrawn"]


def last_state(history: Sequence[Event]) -> Trial:
    """A trial as it last was, withdrawn or not."""
    return next(event.trial for event in reversed(history) if event.trial is not None)


def changes_between(before: Trial, after: Trial) -> tuple[Change, ...]:
    """The columns in which two states of a trial differ."""
    old, new = row_of(before), row_of(after)
    return tuple(Change(name, old[name], new[name]) for name in CORRECTABLE if old[name] != new[name])


def corrected(trial: Trial, values: Mapping[str, Any]) -> Trial:
    """The trial with some of its columns set otherwise; None takes a value out.

    Raises
    ------
    UnknownName
        If there is no such column to correct.
    InvalidValue
        If a value breaks its rule, or does not go with the others; the message holds every fault.
    """
    if strays := [name for name in values if name not in CORRECTABLE]:
        raise unknown("column", strays[0], CORRECTABLE)
    return trial_of({**row_of(trial), **values})


def with_cloth(fabric: Fabric, values: Mapping[str, Any]) -> Fabric:
    """The cloth with some of its columns in `CLOTH` set otherwise.

    Raises
    ------
    InvalidValue
        If a value breaks its rule.
    """
    return replace(fabric, **{"name" if column == "fabric" else column: value for column, value in values.items()})


def labelled(column: str, on: str) -> str:
    """What a column is called of a swatch of a stitch.

    >>> labelled("looper_balance", "rolled hem"), labelled("looper_balance", "two-thread overlock")
    ('where the looper threads meet', 'where the threads meet')
    """
    if column not in READINGS:
        return COLUMNS[column].label
    title = reading(column, on).title
    return title[0].lower() + title[1:]


def said(value: object) -> str:
    """A value of a column as it is read out.

    >>> said(220.0), said(True), said(None), said("rib")
    ('220', 'yes', 'nothing', 'rib')
    """
    if value is None or value == "":
        return "nothing"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:g}" if isinstance(value, float) else str(value)


def _said_of(column: Column, value: Any, units: Units) -> str:
    """The same in a person's units, and in the time of this computer's zone."""
    if value is None:
        return said(value)
    if column.rule is MOMENT_RULE:
        return moment(datetime.fromisoformat(value))
    as_dialled = column.name in MEASURED
    return (METRIC if as_dialled else units).said(column.quantity, value) if column.quantity else said(value)
