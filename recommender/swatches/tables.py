"""The log's tables, events and the photos beside them: constraints derived from the column rules, and what keeps them append only."""

from typing import Any

from sqlalchemy import (
    REAL,
    BigInteger,
    Boolean,
    CheckConstraint,
    ColumnElement,
    Connection,
    Double,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
    and_,
    func,
)
from sqlalchemy import Column as Stored
from sqlalchemy.types import TypeEngine

from recommender.swatches.care import DEED_RULE
from recommender.swatches.columns import COLUMNS
from recommender.trade.rules import Kind, Rule

SCHEMA = 5
"""Number of this layout; a change of any rule above changes the constraints and with them this number."""

KINDS = ("recorded", "corrected", "withdrawn", "machine", "photo", "care", "care withdrawn", "planned", "plan corrected", "dropped")
"""Kinds of events."""

_WHOLE = BigInteger().with_variant(Integer(), "sqlite")
_TYPES: dict[Kind, TypeEngine[Any]] = {
    "number": Double[float]().with_variant(REAL(), "sqlite"),
    "integer": _WHOLE,
    "flag": Boolean(create_constraint=False).with_variant(Integer(), "sqlite"),
    "choice": Text(),
    "text": Text(),
}
_METADATA = MetaData()
_KEPT = {name: column for name, column in COLUMNS.items() if name != "id"}  # the id stands in the column `trial`

schema_table = Table("overedge_schema", _METADATA, Stored("schema", _WHOLE, nullable=False), sqlite_strict=True)
"""One row: the number of the layout."""


def _limit(column: Stored[Any], rule: Rule) -> ColumnElement[bool] | None:
    """The rule as SQL; a missing value passes, as SQL has it."""
    if rule.kind == "choice":
        return column.in_(rule.choices)
    if rule.kind == "text":
        return func.length(column).between(int(rule.low), int(rule.high))
    if rule.step:
        steps = column / rule.step
        return and_(column.between(rule.low, rule.high), func.abs(steps - func.round(steps)) < 1e-8)
    return None if rule.kind == "flag" else column.between(rule.low, rule.high)


def _constraints(table: Table) -> None:
    kind, c = table.c.kind, table.c
    checks: dict[str, ColumnElement[bool]] = {"kind_known": kind.in_(KINDS), "deed_known": c.deed.in_(DEED_RULE.choices)}
    for name, column in _KEPT.items():
        if (limit := _limit(c[name], column.rule)) is not None:
            checks[f"{name}_range"] = limit
        if column.rule.kind == "flag":
            table.append_constraint(CheckConstraint(c[name].in_([0, 1]), name=f"{name}_yes_or_no").ddl_if(dialect="sqlite"))
    required = [c[name] for name, column in _KEPT.items() if column.rule.required]
    plan = [c.pending, c.when, *(column for column in required if _KEPT[column.name].rule.kind != "flag")]  # nothing is rated
    needed = {
        "recorded": [c.trial, *required],
        "corrected": [c.trial, *required],
        "withdrawn": [c.trial, c.why],
        "machine": [c.machine, c.profile],
        "photo": [c.trial],
        "care": [c.machine, c.deed, c.when],
        "care withdrawn": [c.care, c.why],
        "planned": plan,
        "plan corrected": plan,
        "dropped": [c.pending],
    }
    checks |= {
        f"{deed.replace(' ', '_')}_whole": (kind != deed) | and_(*(column.is_not(None) for column in columns))
        for deed, columns in needed.items()
    }
    for name, check in checks.items():
        table.append_constraint(CheckConstraint(check, name=name))


events = Table(
    "overedge_events",
    _METADATA,
    Stored("event", _WHOLE, primary_key=True, autoincrement=True),
    Stored("at", Text(), nullable=False),
    Stored("kind", Text(), nullable=False),
    Stored("trial", Text()),
    Stored("why", Text()),
    Stored("entered_by", Text()),
    Stored("profile", Text()),
    Stored("deed", Text()),
    Stored("care", _WHOLE),
    Stored("pending", Text()),
    *(Stored(name, _TYPES[column.rule.kind]) for name, column in _KEPT.items()),
    sqlite_strict=True,
    sqlite_autoincrement=True,
)
"""Every event there ever was, one row each, numbered as they came; the events of a trial or of a planned swatch carry all its columns."""

photos = Table(
    "overedge_photos",
    _METADATA,
    Stored("event", _WHOLE, primary_key=True, autoincrement=False),
    Stored("jpeg", LargeBinary(), nullable=False),
    sqlite_strict=True,
)
"""The picture of each `photo` event; apart, so that whoever follows the log need not read them."""

_constraints(events)
_recorded, _planned, _uncared = (events.c.kind == kind for kind in ("recorded", "planned", "care withdrawn"))
Index("overedge_recorded_once", events.c.trial, unique=True, sqlite_where=_recorded, postgresql_where=_recorded)
Index("overedge_planned_once", events.c.pending, unique=True, sqlite_where=_planned, postgresql_where=_planned)
Index("overedge_care_withdrawn_once", events.c.care, unique=True, sqlite_where=_uncared, postgresql_where=_uncared)
Index("overedge_trial", events.c.trial)
Index("overedge_pending", events.c.pending)

_REFUSAL = "the log is append only: correct or withdraw a trial instead"
_REFUSE = f"BEGIN SELECT RAISE(ABORT, '{_REFUSAL}'); END"
_LAST = "(SELECT max(event) FROM overedge_events)"
_SAME = "(SELECT event FROM overedge_photos)"
_GUARDS = {
    "sqlite": (
        *(
            f"CREATE TRIGGER {table}_no_{deed.lower()} BEFORE {deed} ON {table} {_REFUSE}"
            for table in (events.name, photos.name)
            for deed in ("UPDATE", "DELETE")
        ),
        # INSERT OR REPLACE deletes without telling the triggers above; a number that the database chooses is -1 here
        f"CREATE TRIGGER overedge_events_no_replace BEFORE INSERT ON overedge_events WHEN NEW.event BETWEEN 0 AND {_LAST} {_REFUSE}",
        f"CREATE TRIGGER overedge_photos_no_replace BEFORE INSERT ON overedge_photos WHEN NEW.event IN {_SAME} {_REFUSE}",
    ),
    "postgresql": (
        f"CREATE FUNCTION overedge_refuse() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN RAISE EXCEPTION '{_REFUSAL}'; END $$",
        *(
            f"CREATE TRIGGER overedge_append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} EXECUTE FUNCTION overedge_refuse()"
            for table in (events.name, photos.name)
        ),
    ),
}


def create(connection: Connection) -> None:
    """Make the tables, their constraints and the triggers that keep them append only, in an empty database."""
    _METADATA.create_all(connection)
    for guard in _GUARDS[connection.dialect.name]:
        connection.exec_driver_sql(guard)
