"""The outside checks: values that come from outside this project, one to a row, in tests/checks/*.csv.

case       what is checked, in a few words, once in all the tables
function   the cell name
inputs     the arguments as a JSON list; a range is a list of rows, an argument left out is null
expected   the number, text or range of cells, in JSON; or the class of the error that must come
tolerance  how far off it may be: 0.005, or 0.5% of what is expected; blank for equal but for binary noise
source     where the value comes from
status     published, reference library, from memory, identity or common practice
note       whatever a reader should know
"""

import csv
import json
import math
from pathlib import Path
from typing import Any, NamedTuple

from quotelib import errors
from quotelib.formula import text_of

FOLDER = Path(__file__).parent / "checks"

STATUSES = ("published", "reference library", "from memory", "identity", "common practice")

NOISE = 1e-12
"""The share of a value that binary arithmetic may lose."""

ERRORS = {name: kind for name, kind in vars(errors).items() if isinstance(kind, type)}


class Check(NamedTuple):
    """One row of a table of outside checks, as it stands there."""

    place: str
    case: str
    function: str
    inputs: str
    expected: str
    tolerance: str
    source: str
    status: str
    note: str

    @property
    def arguments(self) -> tuple[Any, ...]:
        """The arguments, ranges as rows of cells."""
        return tuple(_as_cells(value) for value in json.loads(self.inputs))

    @property
    def error(self) -> type[Exception] | None:
        """The class of the error that must come, if one must."""
        return ERRORS.get(self.expected)

    @property
    def value(self) -> Any:
        """The value that must come."""
        return _as_cells(json.loads(self.expected))

    def agrees(self, got: Any) -> bool:
        """Whether a result is the one expected, within the tolerance."""
        return self._agrees(got, self.value)

    def _agrees(self, got: Any, expected: Any) -> bool:
        if isinstance(expected, tuple):
            return (
                isinstance(got, (tuple, list))
                and len(got) == len(expected)
                and all(self._agrees(cell, wanted) for cell, wanted in zip(got, expected, strict=True))
            )
        if isinstance(expected, str) or isinstance(got, str):
            return bool(got == expected)
        return math.isfinite(got) and abs(got - expected) <= self._slack(expected)

    def _slack(self, expected: float) -> float:
        if self.tolerance.endswith("%"):
            return float(self.tolerance[:-1]) / 100 * abs(expected)
        return (float(self.tolerance) if self.tolerance else 0.0) + NOISE * abs(expected)

    def told(self, outcome: str) -> str:
        """A failure in words."""
        within = f" within {self.tolerance}" if self.tolerance else ""
        return (
            f"\n{self.place}, {self.case}:\n  ={as_typed(self.function, self.arguments)}\n  gave {outcome}"
            f"\n  expected {self.expected}{within}\n  by {self.source} ({self.status})"
        )


def read_checks() -> list[Check]:
    """Every row of every table."""
    checks = []
    for file in sorted(FOLDER.glob("*.csv")):
        with file.open(encoding="utf-8", newline="") as table:
            rows = csv.DictReader(table)
            for row in rows:
                place = f"{file.name} line {rows.line_num}"
                if list(row) != list(Check._fields[1:]) or None in row.values():
                    raise ValueError(f"{place}: it must have the columns {', '.join(Check._fields[1:])}")
                checks.append(Check(place, **row))
    return checks


def as_typed(function: str, arguments: tuple[Any, ...]) -> str:
    """A call as typed into a cell: FUNCTION(1,"text",{1,2;3,4})."""
    return f"{function}({','.join(_cell_text(value) for value in arguments)})"


def _cell_text(value: Any) -> str:
    if isinstance(value, tuple):
        rows = value if value and isinstance(value[0], tuple) else (value,)
        return "{" + ";".join(",".join(text_of(cell) for cell in row) for row in rows) + "}"
    return text_of(value)


def _as_cells(value: Any) -> Any:
    return tuple(_as_cells(cell) for cell in value) if isinstance(value, list) else value
