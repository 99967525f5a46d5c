"""A row of a field sheet as typed, and the list of faults planted in such rows."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any


@dataclass(eq=False)
class Row:
    """One row of a sheet: what is typed in each field, and how it is formatted."""

    cells: dict[str, Any]
    truth: Any = None
    kind: str = "data"  # data, note, header or total
    comments: dict[str, str] = field(default_factory=dict)
    struck: bool = False
    fill: str = ""


@dataclass
class Fault:
    """One planted fault: where it is, what is typed there and what must come of it."""

    kind: str
    row: Row | None
    field: str
    typed: str
    must: str  # recover, ask, catch, keep or set aside
    expected: str
    place: tuple[str, str, str] = ("", "", "")  # file, sheet, cell; filled in when the sheet is written


@dataclass
class Planter:
    """Takes each record for one fault only, and remembers where every row was written."""

    faults: list[Fault] = field(default_factory=list)
    taken: set[int] = field(default_factory=set)
    places: dict[tuple[int, str], tuple[str, str, str]] = field(default_factory=dict)

    def pick(self, rows: Iterable[Row], wanted: Callable[[Row], bool]) -> Row:
        """The first row not yet taken that is wanted; the row is taken."""
        row = next(one for one in rows if one.kind == "data" and id(one) not in self.taken and wanted(one))
        self.taken.add(id(row))
        return row

    def plant(self, kind: str, row: Row, name: str, typed: Any, must: str, expected: str) -> Row:
        """Type a faulty value into a field; field "*" means the row as a whole and types nothing."""
        self.taken.add(id(row))
        if name != "*":
            row.cells[name] = typed
        self.faults.append(Fault(kind, row, name, str(typed), must, expected))
        return row

    def plant_at(self, kind: str, place: tuple[str, str, str], typed: str, must: str, expected: str) -> None:
        """A fault that belongs to a sheet and not to one row."""
        self.faults.append(Fault(kind, None, "", typed, must, expected, place))

    def written(self, row: Row, name: str, file: str, sheet: str, cell: str) -> None:
        """Note where a cell went."""
        self.places[(id(row), name)] = (file, sheet, cell)

    def located(self) -> list[Fault]:
        """The faults with their cells."""
        for fault in self.faults:
            if fault.row is not None:
                fault.place = self.places[(id(fault.row), fault.field)]
        return self.faults
