"""The columns of the log: the one table from which every check, limit, template and dictionary is derived.

Nothing is stated here that a noun states already: a column takes the rule that stands beside the field it holds.
"""

from collections.abc import Mapping
from dataclasses import MISSING, dataclass, fields, replace
from functools import cache
from types import MappingProxyType
from typing import Any

from recommender.swatches.moments import MOMENT_EXPECTED, MOMENT_RULE, moment_fault
from recommender.swatches.trial import ID_RULE, Trial, thread_faults
from recommender.trade.fabric import Fabric
from recommender.trade.readings import FLAGS, READINGS, RULE
from recommender.trade.rules import Rule, rules_of
from recommender.trade.settings import TENSION_RULE, Settings
from recommender.trade.stitch import stitches
from recommender.trade.thread import ORDINARY, POSITIONS, Thread

_TITLES: Mapping[str, str] = MappingProxyType(
    {
        "fabric": "name of the cloth",
        "fibre": "main fibre",
        "gsm": "weight",
        "stretch": "stretch across",
        "thickness": "thickness of one layer",
        "plies": "layers sewn",
        "grain": "seam runs",
        "needle_tex": "needle thread",
        "looper_tex": "looper thread",
        "differential": "differential feed",
        "length": "stitch length",
        "width": "cutting width",
        "passed": "pass or fail",
        "seam_change": "seam length changed by",
        "needle_hours": "hours on this needle",
        "who": "who sewed it",
        "when": "when it was sewn",
    }
    | {f"{place}_{name}": f"{place} thread, {name}" for place in ("needle", "looper") for name in ("fibre", "kind")}
    | {name: reading.title[0].lower() + reading.title[1:] for name, reading in READINGS.items()}
    | dict(FLAGS)
)
"""What the pages call a column, where that is not its name with blanks."""
_QUANTITIES: Mapping[str, str] = MappingProxyType(
    {"gsm": "weight", "thickness": "thickness", "needle_tex": "thread", "looper_tex": "thread", "length": "length", "width": "width"}
)
"""Columns whose amounts are read in one unit or another."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column of the log."""

    name: str
    """Name in a row, in a file's header and in the database."""
    group: str
    """What it belongs to, in plain words: a heading for forms and for the dictionary."""
    rule: Rule
    """What one value may be."""
    default: Any = None
    """What is taken where the column is left out; None where there is nothing to take."""

    @property
    def must_be_given(self) -> bool:
        """Whether a row without it cannot be kept."""
        return self.rule.required and self.default is None

    @property
    def title(self) -> str:
        """What the pages call it.

        >>> COLUMNS["gsm"].title, COLUMNS["tension_left_needle"].title, COLUMNS["edge_lie"].title
        ('weight', 'left needle tension', 'how the edge lies')
        """
        position = self.name.removeprefix("tension_")
        return _TITLES.get(self.name, self.name.replace("_", " ")) if position == self.name else f"{position.replace('_', ' ')} tension"

    @property
    def label(self) -> str:
        """The title and the log's own unit; without it where people read the amount in one unit or another.

        >>> COLUMNS["stretch"].label, COLUMNS["gsm"].label
        ('stretch across, %', 'weight')
        """
        return f"{self.title}, {self.rule.unit}" if self.rule.unit and not self.quantity else self.title

    @property
    def quantity(self) -> str:
        """What it is an amount of, where people count that in several units; else nothing."""
        return _QUANTITIES.get(self.name, "")

    @property
    def expected(self) -> str:
        """What a value may be, as the end of a sentence."""
        return MOMENT_EXPECTED if self.rule is MOMENT_RULE else self.rule.expected()

    def fault(self, value: object, name: str = "") -> str | None:
        """The sentence that says what is wrong with one value, or None; it begins with the title, where no other name is given."""
        if self.rule is MOMENT_RULE:
            return moment_fault(name or self.title, value)
        return self.rule.fault(name or self.title, value)

    def limits(self) -> dict[str, Any]:
        """Limits for a number box in a form: `min_value`, `max_value`, `step` and `help`, all of the column's own kind."""
        kind = int if self.rule.kind == "integer" else float
        step = self.rule.step or (1 if self.rule.kind == "integer" or self.rule.high - self.rule.low > 40 else 0.1)
        return {"min_value": kind(self.rule.low), "max_value": kind(self.rule.high), "step": kind(step), "help": self.rule.help}


def _of(noun: type, group: str, prefix: str = "", ordinary: object = None) -> list[Column]:
    """The columns that hold the ruled fields of one noun; defaults are the fields' own, or those of an ordinary one."""
    default = {f.name: getattr(ordinary, f.name, None if f.default is MISSING else f.default) for f in fields(noun)}
    return [Column(name=prefix + name, group=group, rule=rule, default=default[name]) for name, rule in rules_of(noun).items()]


def _fabric() -> list[Column]:
    name, *rest = _of(Fabric, "cloth")
    return [replace(name, name="fabric"), *rest]


def _tensions() -> list[Column]:
    rules = {p: replace(TENSION_RULE, help=f"Dial number of the {p}, where its thread runs.") for p in POSITIONS}
    return [Column(name=tension_column(position), group="settings", rule=rule) for position, rule in rules.items()]


def _readings() -> list[Column]:
    always = "That is how an ordinary overlock is told; on every stitch 0 is as it is meant there. Left out where nobody looked."
    scales = {r.name: f"{r.title}. -2: {r.minus}; 0: {r.nought}; +2: {r.plus}. {always}" for r in READINGS.values()}
    return [Column(name=name, group="readings", rule=replace(RULE, help=scale)) for name, scale in scales.items()]


def _flags() -> list[Column]:
    rules = {name: Rule(kind="flag", help=f"Yes where {words}.") for name, words in FLAGS.items()}
    return [Column(name=name, group="faults", rule=rule, default=False) for name, rule in rules.items()]


def _trial() -> dict[str, Column]:
    groups = {"stitch": "stitch and machine", "machine": "stitch and machine", "passed": "rating"}
    return {column.name: replace(column, group=groups.get(column.name, "around it")) for column in _of(Trial, "")}


def tension_column(position: str) -> str:
    """Name of the column that holds the tension of a thread position.

    >>> tension_column("left needle")
    'tension_left_needle'
    """
    return "tension_" + position.replace(" ", "_")


def _table() -> Mapping[str, Column]:
    trial = _trial()
    columns = [
        *_fabric(),
        *_of(Thread, "needle thread", "needle_", ORDINARY),
        *_of(Thread, "looper thread", "looper_", ORDINARY),
        trial["stitch"],
        trial["machine"],
        *_tensions(),
        *_of(Settings, "settings"),
        trial["passed"],
        *_readings(),
        *_flags(),
        *(trial[name] for name in ("seam_change", "needle_size", "needle_hours", "who")),
        Column(name="when", group="around it", rule=MOMENT_RULE),
        trial["note"],
        Column(name="id", group="around it", rule=ID_RULE),
    ]
    return MappingProxyType({column.name: column for column in columns})


COLUMNS: Mapping[str, Column] = _table()
"""Every column by name, in the order of a file's header."""

_STITCHES = frozenset(stitches())
_TENSIONS = {position: tension_column(position) for position in POSITIONS}
_CHECKS = tuple((column.name, column.fault, column.default) for column in COLUMNS.values())


def row_faults(row: Mapping[str, Any]) -> tuple[str, ...]:
    """Everything that is wrong with a row, one sentence a fault; empty where it can be logged.

    A column that is left out has its default; None means that nothing was given.

    >>> row_faults({"fabric": "rib", "construction": "knit", "fibre": "cotton", "gsm": 5, "stitch": "rolled hem", "machine": "bench",
    ...     "tension_right_needle": 4, "tension_upper_looper": 4, "tension_lower_looper": 7, "differential": 1, "length": 1.5, "width": 4,
    ...     "passed": True})
    ('weight: got 5, expected a number from 15 to 1000 g/m2',)
    """
    return tuple(sentence for _, sentence in _faults(row, _TITLE))


def faults_by_column(row: Mapping[str, Any]) -> list[tuple[str, str]]:
    """The same faults, each with its column before it and in the words of who reads a file, see `called`."""
    return _faults(row, _CALLED)


def _faults(row: Mapping[str, Any], names: Mapping[str, str]) -> list[tuple[str, str]]:
    get = row.get
    faults = [(name, fault) for name, check, default in _CHECKS if (fault := check(get(name, default), names[name])) is not None]
    faults += [(str(name), f"{name}: there is no such column") for name in row if name not in COLUMNS]
    return [*faults, *((name, f"{names[name]}: {fault}") for name, fault in threads_of_row(row).items())]


def threads_of_row(row: Mapping[str, Any]) -> dict[str, str]:
    """Faults between the stitch and the tensions of a row, by column; none where the stitch itself is wrong."""
    name = row.get("stitch")
    if not isinstance(name, str) or name not in _STITCHES:
        return {}
    faults = thread_faults(name, {position: row.get(column) for position, column in _TENSIONS.items()})
    return {_TENSIONS[position]: fault for position, fault in faults.items()}


def called(column: str) -> str:
    """A column as who reads a file has to know it: its heading, and what the pages call it where that says more; `row` is the whole row.

    >>> called("gsm"), called("differential"), called("foot_pressure"), called("row")
    ('gsm (weight)', 'differential feed', 'foot_pressure', 'row')
    """
    return _CALLED.get(column, column)


def _called(column: Column) -> str:
    heading, title = column.name.split("_"), column.title.split()
    if sorted(heading) == sorted(title):
        return column.name
    return column.title if column.name in title else f"{column.name} ({column.title})"


_TITLE: Mapping[str, str] = MappingProxyType({name: column.title for name, column in COLUMNS.items()})
_CALLED: Mapping[str, str] = MappingProxyType({name: _called(column) for name, column in COLUMNS.items()})


@cache
def defaults() -> Mapping[str, Any]:
    """The default of every column."""
    return MappingProxyType({column.name: column.default for column in COLUMNS.values()})
