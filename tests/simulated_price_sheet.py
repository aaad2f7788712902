"""A stand-in for the part of Excel's object model that quotelib/hosts/excel/refresh.py uses: no Excel was at hand.

It is strict: a member that is not here is an AttributeError.  What it does is from memory of the reference of Excel's
object model (learn.microsoft.com/en-us/office/vba/api/overview/excel/object-model), and of what Excel makes of a text that
is put into a cell which is not of the format Text: a formula, a number, a day or TRUE, if it looks like one.
"""

import datetime
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import openpyxl
from openpyxl.utils import range_boundaries

from quotelib.kinds import day_number


class ComError(Exception):
    """What pywin32 raises where Excel refuses."""


def as_excel_reads(text: str) -> Any:
    """What Excel makes of a text that is put into a cell of the format General."""
    if re.fullmatch(r"[-+]?\d+(\.\d+)?", text):
        return float(text)
    if re.fullmatch(r"\d{1,2}[-/]\d{1,2}", text):
        return 46000.0
    return {"TRUE": True, "FALSE": False}.get(text, text)


def is_formula(content: Any) -> bool:
    """Whether what a cell holds is a formula."""
    return isinstance(content, str) and not isinstance(content, Text) and content.startswith("=")


def moved(formula: str, down: int) -> str:
    """A formula copied so many rows down: rows without $ go along."""
    return re.sub(r"(?<![$\w])(\$?[A-Z]{1,3})(\d+)", lambda found: f"{found[1]}{int(found[2]) + down}", formula)


class Text(str):
    """A text in a cell of the format Text."""


class Worksheet:
    """Cells by row and column from 1: what is typed in them, and their formats."""

    def __init__(self, book: "Workbook", name: str) -> None:
        self.Parent, self.Name = book, name
        self.content: dict[tuple[int, int], Any] = {}
        self.formats: dict[tuple[int, int], str] = {}
        self.merged: list[tuple[int, int, int, int]] = []
        self.hidden: set[int] = set()
        self.notes: dict[tuple[int, int], str] = {}
        self.filtered: tuple[int, int, int, int] | None = None
        self.ProtectContents = False
        self.refuses: Callable[[int, int], bool] = lambda _row, _column: False

    def Cells(self, row: int, column: int) -> "Range":
        return Range(self, row, column, row, column)

    def Range(self, first: "Range", last: "Range") -> "Range":
        return Range(self, first.top, first.left, last.bottom, last.right)

    @property
    def UsedRange(self) -> "Range":
        rows, columns = zip(*(self.content or self.formats or {(1, 1): None}), strict=True)
        return Range(self, min(rows), min(columns), max(rows), max(columns))

    @property
    def Comments(self) -> list[SimpleNamespace]:
        return [SimpleNamespace(Parent=self.Cells(*place)) for place in self.notes]

    @property
    def AutoFilterMode(self) -> bool:
        return self.filtered is not None

    @AutoFilterMode.setter
    def AutoFilterMode(self, on: bool) -> None:
        if on:
            raise ComError("AutoFilterMode can be set to False alone")
        self.filtered = None

    @property
    def AutoFilter(self) -> SimpleNamespace | None:
        return SimpleNamespace(Range=Range(self, *self.filtered)) if self.filtered else None


class Range:
    """A block of cells."""

    def __init__(self, sheet: Worksheet, top: int, left: int, bottom: int, right: int) -> None:
        if not (1 <= top <= bottom <= 1048576 and 1 <= left <= right <= 16384):
            raise ComError(f"no such cells: {top}, {left}, {bottom}, {right}")
        self.Worksheet, self.top, self.left, self.bottom, self.right = sheet, top, left, bottom, right
        self.Row, self.Column = top, left
        self.Rows = SimpleNamespace(Count=bottom - top + 1)
        self.Columns = SimpleNamespace(Count=right - left + 1)

    def Cells(self, row: int, column: int) -> "Range":
        return self.Worksheet.Cells(self.top + row - 1, self.left + column - 1)

    def places(self) -> Iterator[tuple[int, int]]:
        return ((row, column) for row in range(self.top, self.bottom + 1) for column in range(self.left, self.right + 1))

    def _read(self, read: Callable[[Any], Any]) -> Any:
        content, width = self.Worksheet.content, self.right - self.left + 1
        flat = [read(content.get(place)) for place in self.places()]
        rows = tuple(tuple(flat[start : start + width]) for start in range(0, len(flat), width))
        return rows[0][0] if len(rows) == len(rows[0]) == 1 else rows

    def _write(self, value: Any) -> None:
        width = self.right - self.left + 1
        rows = value if isinstance(value, (list, tuple)) else [[value] * width] * (self.bottom - self.top + 1)
        assert len(rows) == self.bottom - self.top + 1 and all(len(row) == width for row in rows), "of another shape"
        for row, column in self.places():
            self._set(row, column, rows[row - self.top][column - self.left])

    def _set(self, row: int, column: int, value: Any) -> None:
        sheet = self.Worksheet
        if sheet.ProtectContents or sheet.refuses(row, column):
            raise ComError("the cell is protected")
        if value is None or value == "":
            sheet.content.pop((row, column), None)
        elif isinstance(value, str):
            text_format = sheet.formats.get((row, column)) == "@"
            sheet.content[row, column] = Text(value) if text_format else as_excel_reads(value)
        elif isinstance(value, (int, float)):
            sheet.content[row, column] = float(value)
        else:
            raise ComError(f"Objects of type {type(value)} can not be converted to a COM VARIANT")

    def _value2(self, content: Any) -> Any:
        return 0.0 if is_formula(content) else content if not isinstance(content, Text) else str(content)

    @property
    def Value2(self) -> Any:
        return self._read(self._value2)

    @Value2.setter
    def Value2(self, value: Any) -> None:
        self._write(value)

    @property
    def Formula(self) -> Any:
        def typed(content: Any) -> Any:
            return "" if content is None else f"{content:.15g}" if isinstance(content, float) else content

        return self._read(typed)

    @Formula.setter
    def Formula(self, value: Any) -> None:
        self._write(value)

    @property
    def NumberFormat(self) -> str | None:
        found = {self.Worksheet.formats.get(place, "General") for place in self.places()}
        return found.pop() if len(found) == 1 else None

    @NumberFormat.setter
    def NumberFormat(self, number_format: str) -> None:
        self.Worksheet.formats.update(dict.fromkeys(self.places(), number_format))

    @property
    def MergeCells(self) -> bool | None:
        found = {self._merged_area(place) is not None for place in self.places()}
        return found.pop() if len(found) == 1 else None

    def _merged_area(self, place: tuple[int, int]) -> tuple[int, int, int, int] | None:
        row, column = place
        for top, left, bottom, right in self.Worksheet.merged:
            if top <= row <= bottom and left <= column <= right:
                return top, left, bottom, right
        return None

    @property
    def MergeArea(self) -> "Range":
        area = self._merged_area((self.top, self.left))
        return Range(self.Worksheet, *area) if area else self

    @property
    def EntireRow(self) -> SimpleNamespace:
        found = {row in self.Worksheet.hidden for row in range(self.top, self.bottom + 1)}
        return SimpleNamespace(Hidden=found.pop() if len(found) == 1 else None)

    def Copy(self, onto: "Range") -> None:
        height, down, across = self.Rows.Count, onto.top - self.top, onto.left - self.left
        assert onto.Columns.Count == self.Columns.Count and height in (1, onto.Rows.Count), "of another shape"
        sheet, source = onto.Worksheet, self.Worksheet
        taken = [
            (each, source.content.get(each), source.formats.get(each), source.notes.get(each)) for each in self.places()
        ]
        onto.Clear()
        for further in range(0, onto.Rows.Count, height):
            for (row, column), content, number_format, note in taken:
                place = (row + down + further, column + across)
                if content is not None:
                    sheet.content[place] = moved(content, down + further) if is_formula(content) else content
                if number_format is not None:
                    sheet.formats[place] = number_format
                if note is not None:
                    sheet.notes[place] = note

    def Clear(self) -> None:
        self.ClearContents()
        self.ClearComments()
        for place in self.places():
            self.Worksheet.formats.pop(place, None)

    def ClearContents(self) -> None:
        for place in self.places():
            self.Worksheet.content.pop(place, None)

    def ClearComments(self) -> None:
        for place in self.places():
            self.Worksheet.notes.pop(place, None)

    def AutoFilter(self) -> None:
        self.Worksheet.filtered = (self.top, self.left, self.bottom, self.right)


class Name:
    """A defined name."""

    def __init__(self, book: "Workbook", name: str, refers_to: str) -> None:
        self.book, self.Name, self.RefersTo = book, name, refers_to

    @property
    def RefersToRange(self) -> Range:
        found = re.fullmatch(r"='?((?:[^']|'')+?)'?!([$A-Z0-9:]+)", self.RefersTo)
        if not found:
            raise ComError(f"{self.RefersTo} is no range")
        left, top, right, bottom = range_boundaries(found[2])
        return Range(self.book.sheet(found[1].replace("''", "'")), top, left, bottom, right)


class Workbook:
    """An .xlsx or .xlsm file as Excel has it open; `Path` is its folder, blank where it was never saved."""

    def __init__(self, path: Path, *, saved: bool = True) -> None:
        file = openpyxl.load_workbook(path)
        self.Name, self.Path, self.Date1904 = path.name, str(path.parent) if saved else "", False
        self.picked: Any = False
        self.Application = SimpleNamespace(GetOpenFilename=lambda *_: self.picked, Hwnd=1)
        self.Worksheets = [Worksheet(self, sheet.title) for sheet in file]
        for ours, sheet in zip(self.Worksheets, file, strict=True):
            for row in sheet.iter_rows():
                for cell in row:
                    self._take(ours, cell)
            ours.merged = [(area.min_row, area.min_col, area.max_row, area.max_col) for area in sheet.merged_cells.ranges]
            if sheet.auto_filter.ref:
                left, top, right, bottom = range_boundaries(sheet.auto_filter.ref)
                ours.filtered = (top, left, bottom, right)
        self.Names = [Name(self, name, f"={defined.attr_text}") for name, defined in file.defined_names.items()]

    @staticmethod
    def _take(sheet: Worksheet, cell: Any) -> None:
        place = (cell.row, cell.column)
        sheet.formats[place] = cell.number_format
        if isinstance(cell.value, datetime.datetime):
            sheet.content[place] = float(day_number(cell.value))
        elif isinstance(cell.value, (bool, str)) or cell.value is None:
            if cell.value is not None:
                sheet.content[place] = Text(cell.value) if cell.number_format == "@" else cell.value
        else:
            sheet.content[place] = float(cell.value) if isinstance(cell.value, (int, float)) else f"={cell.value}"

    def sheet(self, name: str) -> Worksheet:
        return next(sheet for sheet in self.Worksheets if sheet.Name == name)

    def everything(self) -> Any:
        """All that a refresh could touch."""
        sheets = [
            (
                each.Name,
                dict(each.content),
                dict(each.formats),
                list(each.merged),
                each.filtered,
                set(each.hidden),
                dict(each.notes),
            )
            for each in self.Worksheets
        ]
        return sheets, {name.Name: name.RefersTo for name in self.Names}

    def shows(self, sheet: str, area: str) -> list[list[Any]]:
        """The values in an area, a blank as empty text."""
        left, top, right, bottom = range_boundaries(area)
        content = self.sheet(sheet).content
        return [[content.get((row, column), "") for column in range(left, right + 1)] for row in range(top, bottom + 1)]
