"""One typed row: from its cells to a trial, or to a sentence for everything that is wrong with it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from recommender.errors import OveredgeError
from recommender.swatches.cells import is_nothing, number_of, value_of
from recommender.swatches.columns import COLUMNS, called, faults_by_column
from recommender.swatches.headers import UNIT_COLUMNS, Header
from recommender.swatches.rows import trial_of
from recommender.swatches.trial import Trial, machine_faults
from recommender.trade.machine import Machine


@dataclass(frozen=True, slots=True)
class Read:
    """What became of a row: a trial, or faults."""

    trial: Trial | None = None
    """The trial, where nothing is wrong."""
    faults: tuple[str, ...] = ()
    """Everything that is wrong, a sentence a fault."""
    has_id: bool = False
    """Whether the row itself names the trial's id."""
    has_moment: bool = False
    """Whether the row itself says when."""
    stranger: str = ""
    """Its machine as typed, where the studio knows none of that name; it may have been matched to one."""


def known_as(typed: str, machines: Iterable[str]) -> str | None:
    """The name in the studio of a machine as typed, whatever its capitals; None where there is none, or more than one.

    >>> known_as("Bench", ["bench", "attic"]), known_as("BENCH", ["bench", "Bench"])
    ('bench', None)
    """
    same = [name for name in machines if name.casefold() == typed.casefold()]
    return typed if typed in same else same[0] if len(same) == 1 else None


@dataclass(slots=True)
class _Row:
    """A row while it is being read."""

    values: dict[str, Any] = field(default_factory=dict)
    faults: dict[str, str] = field(default_factory=dict)
    """Sentence by column, for cells that could not be read."""
    stranger: str = ""
    """The machine's name as typed, where the studio knows none of it."""
    typed: dict[str, str] = field(default_factory=dict)
    """For a value that was converted: what was typed, and where."""

    def put(self, column: str, value: Any, typed: str = "") -> None:
        if column in self.values:
            self.faults[column] = f"{called(column)}: it is given in two columns; leave one of them empty"
        self.values[column] = value
        if typed:
            self.typed[column] = typed


@dataclass(frozen=True, slots=True)
class RowReader:
    """How the rows of one file are read."""

    header: Header
    """The file's header."""
    decimal_comma: bool
    """Whether 4,5 is a number."""
    machines: Mapping[str, Machine]
    """The studio's machines, by name."""
    matched: Mapping[str, str] = field(default_factory=dict)
    """By a name that the file has for a machine, without regard to capitals: its name in the studio."""

    def read(self, cells: Sequence[str]) -> Read:
        """The trial of a row, or its faults."""
        row = self._row(cells)
        later = [(column, fault) for column, fault in faults_by_column(row.values) if column not in row.faults]
        faults = [*row.faults.values(), *(self._told(row, column, fault) for column, fault in later)]
        if faults:
            # one cell may give two columns, and is told once
            return Read(faults=tuple(dict.fromkeys(faults)), stranger=row.stranger)
        trial = trial_of(row.values)
        if unfit := machine_faults(trial, self.machines[trial.machine]):
            return Read(faults=unfit, stranger=row.stranger)
        return Read(trial, has_id="id" in row.values, has_moment="when" in row.values, stranger=row.stranger)

    def _row(self, cells: Sequence[str]) -> _Row:
        row = _Row()
        width = len(self.header.names)
        if any(cell.strip() for cell in cells[width:]):
            row.faults["row"] = f"row: got {len(cells)} cells, but the header has {width}; put a text with commas between quotation marks"
        for name, cell in zip(self.header.names, cells, strict=False):
            if name:
                self._take(row, name, cell)
        if isinstance(machine := row.values.get("machine"), str):
            self._name_machine(row, machine)
        return row

    def _take(self, row: _Row, name: str, cell: str) -> None:
        """Read one cell into the row."""
        try:
            if name in UNIT_COLUMNS:
                self._convert(row, name, cell)
            elif (value := value_of(COLUMNS[name], cell, decimal_comma=self.decimal_comma)) is not None:
                row.put(name, value)
        except OveredgeError as error:
            for column in UNIT_COLUMNS[name].targets if name in UNIT_COLUMNS else (name,):
                row.faults[column] = f"{called(name)}: {error}"

    def _convert(self, row: _Row, name: str, cell: str) -> None:
        if is_nothing(cell):
            return
        column = UNIT_COLUMNS[name]
        number = number_of(cell, decimal_comma=self.decimal_comma)
        value = column.read(cell.strip() if number is None else number, column.unit)
        for target in column.targets:
            row.put(target, value, f"{name} {cell.strip()[:40]!r}")

    def _name_machine(self, row: _Row, typed: str) -> None:
        """Give the machine the name that it has in the studio, whatever its capitals, or the one that it is matched to."""
        known = known_as(typed, self.machines)
        if known is None:
            row.stranger = typed
            known = self.matched.get(typed.casefold())
        if known is not None:
            row.values["machine"] = known
            return
        there = f"expected one of: {', '.join(self.machines)}" if self.machines else "but this studio has no machine yet"
        row.faults["machine"] = f"machine: got {typed[:60]!r}, {there}; mend the name, or add the machine first"

    @staticmethod
    def _told(row: _Row, column: str, fault: str) -> str:
        if (typed := row.typed.get(column)) is None:
            return fault
        given = [called(other) for other, source in row.typed.items() if source == typed]
        return f"{typed} is {' and '.join(given)}{fault.removeprefix(called(column))}"
