"""A workbook as plain contents: cells, names, styles.  It can work itself out, and then be written as .xlsx.

A cell holds a constant or a `Formula`.  `Book.value` works a cell out in Python by calling the library directly; the same
values are stored in the file beside the formulas, so that a viewer which cannot run the functions still shows what is true.
"""

import datetime
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from quotelib.errors import QuoteError
from quotelib.files.faults import column_letters
from quotelib.formula import CellError, Formula, Name
from quotelib.kinds import day_number

ADDRESS = re.compile(r"([A-Z]{1,3})([1-9][0-9]*)")


def address(row: int, column: int) -> str:
    """A1 for row 0, column 0."""
    return f"{column_letters(column)}{row + 1}"


def absolute(area: str) -> str:
    """$A$1:$B$9 for A1:B9."""
    return ADDRESS.sub(r"$\1$\2", area)


def place(text: str) -> tuple[int, int]:
    """(0, 0) for A1."""
    found = ADDRESS.fullmatch(text.replace("$", ""))
    if not found:
        raise KeyError(text)
    column = 0
    for letter in found[1]:
        column = column * 26 + ord(letter) - 64
    return int(found[2]) - 1, column - 1


@dataclass
class Cell:
    """One cell: a constant or a formula, and the name of its style."""

    content: Any
    style: str


@dataclass
class ArrayCell(Cell):
    """The first cell of an array formula that fills so many cells."""

    width: int = 1
    height: int = 1


@dataclass
class Sheet:
    """One sheet of the book."""

    title: str
    cells: dict[tuple[int, int], Cell] = field(default_factory=dict)
    finish: list[Callable[[Any, Any], None]] = field(default_factory=list)
    """What is done to the written sheet at the end, given the XlsxWriter book and sheet: validation, charts, printing."""

    def put(self, row: int, column: int, content: Any, style: str = "text") -> Name:
        """Set a cell, and give its address for formulas on this sheet."""
        self.cells[row, column] = Cell(content, style)
        return Name(address(row, column))

    def put_array(self, row: int, column: int, formula: Formula, width: int, style: str, height: int = 1) -> None:
        """Set an array formula over a block of cells."""
        for down in range(height):
            for across in range(width):
                self.cells[row + down, column + across] = Cell(Spill(formula, down, across), style)
        self.cells[row, column] = ArrayCell(formula, style, width, height)


class Spill(Formula):
    """A further cell of an array formula."""

    def __init__(self, source: Formula, down: int, across: int) -> None:
        self.source, self.down, self.across = source, down, across

    def value(self, cells: Mapping[str, Any]) -> Any:
        assert isinstance(cells, SheetView)
        return cells.rows_of(self.source)[self.down][self.across]


class Book:
    """Sheets and defined names, worked out on demand."""

    def __init__(self) -> None:
        self.sheets: dict[str, Sheet] = {}
        self.names: dict[str, tuple[str, str]] = {}
        """Sheet and address (or range) by defined name."""
        self._worked_out: dict[Any, Any] = {}

    def sheet(self, title: str) -> Sheet:
        """Add a sheet."""
        self.sheets[title] = Sheet(title)
        return self.sheets[title]

    def define(self, name: str, sheet: Sheet, first: tuple[int, int], last: tuple[int, int] | None = None) -> Name:
        """Give a cell or range a name that holds in the whole book."""
        area = address(*first) + (f":{address(*last)}" if last else "")
        self.names[name] = (sheet.title, area)
        return Name(name)

    def set(self, name: str, value: Any) -> None:
        """Put another value into a named input cell; what depends on it is worked out anew."""
        title, area = self.names[name]
        self.sheets[title].cells[place(area)].content = value
        self._worked_out.clear()

    def content(self, title: str, row: int, column: int) -> Any:
        """What a cell holds: a constant, a formula, or "" when empty."""
        cell = self.sheets[title].cells.get((row, column))
        return "" if cell is None or cell.content is None else cell.content

    def value(self, title: str, row: int, column: int) -> Any:
        """What a cell shows: its constant or worked-out value, "" when empty, a CellError when in error."""
        key = (title, row, column)
        if key not in self._worked_out:
            content = self.content(title, row, column)
            if isinstance(self.sheets[title].cells.get((row, column)), ArrayCell):
                content = Spill(content, 0, 0)
            self._worked_out[key] = self._work_out(title, content) if isinstance(content, Formula) else content
        return self._worked_out[key]

    def _work_out(self, title: str, formula: Formula) -> Any:
        try:
            value = formula.value(SheetView(self, title))
        except QuoteError as refusal:
            return CellError(refusal.cell_error)
        except CellError as error:
            return error
        except ZeroDivisionError:
            return CellError("#DIV/0!")
        return value[0][0] if isinstance(value, (list, tuple)) else value

    def rows_of(self, array: Formula, view: "SheetView") -> Any:
        """The rows of an array formula, worked out once."""
        if array not in self._worked_out:
            self._worked_out[array] = array.value(view)
        return self._worked_out[array]

    def formulas(self) -> Iterator[tuple[str, str, Any]]:
        """(sheet, address, value) of every cell with a formula."""
        for sheet in self.sheets.values():
            for (row, column), cell in sheet.cells.items():
                if isinstance(cell.content, Formula):
                    yield sheet.title, address(row, column), self.value(sheet.title, row, column)


class SheetView(Mapping[str, Any]):
    """The values a formula on one sheet sees, by defined name or by address on that sheet."""

    def __init__(self, book: Book, title: str) -> None:
        self.book, self.title = book, title

    def __getitem__(self, name: str) -> Any:
        title, area = self.book.names.get(name, (self.title, name))
        first, _, last = area.partition(":")
        top, left = place(first)
        if not last:
            value = self.book.value(title, top, left)
            if isinstance(value, CellError):
                raise value
            if value == "" and not isinstance(self.book.content(title, top, left), Formula):
                return 0.0  # as a spreadsheet hands over an empty cell
            return day_number(value) if isinstance(value, datetime.date) else value
        bottom, right = place(last)
        rows = [
            [self.book.value(title, row, column) for column in range(left, right + 1)] for row in range(top, bottom + 1)
        ]
        return tuple(tuple(day_number(cell) if isinstance(cell, datetime.date) else cell for cell in row) for row in rows)

    def rows_of(self, array: Formula) -> Any:
        """The rows of an array formula, worked out once for all its cells."""
        return self.book.rows_of(array, self)

    def __iter__(self) -> Iterator[str]:
        return iter(self.book.names)

    def __len__(self) -> int:
        return len(self.book.names)
