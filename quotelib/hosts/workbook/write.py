"""Write a worked-out book as .xlsx or .xlsm through XlsxWriter, the same bytes every time."""

import datetime
import io
from typing import Any

import xlsxwriter

from quotelib.formula import CellError, Formula
from quotelib.hosts.workbook.model import ArrayCell, Book, Spill, absolute
from quotelib.hosts.workbook.styles import STYLES

BUILT = datetime.datetime(2026, 1, 1, tzinfo=datetime.UTC).replace(tzinfo=None)
"""The date the file says it was made: fixed, so that a second build gives the same bytes."""


def book_bytes(book: Book, add_macros: Any = None) -> bytes:
    """The book as the bytes of a file; `add_macros`, where given, gets the XlsxWriter workbook when its sheets are done."""
    buffer = io.BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "use_future_functions": True}
    workbook = xlsxwriter.Workbook(buffer, options)
    workbook.set_properties({"title": "Quoting decorated hard goods", "created": BUILT})
    workbook.set_calc_mode("auto")
    formats = {name: workbook.add_format(style) for name, style in STYLES.items()}
    written = {title: workbook.add_worksheet(title) for title in book.sheets}
    for name, (title, area) in sorted(book.names.items()):
        workbook.define_name(name, f"='{title}'!{absolute(area)}")
    for title, sheet in book.sheets.items():
        target = written[title]
        for (row, column), cell in sorted(sheet.cells.items()):
            _write(book, target, title, row, column, cell, formats[cell.style])
        for finish in sheet.finish:
            finish(workbook, target)
    if add_macros:
        add_macros(workbook)
    workbook.close()
    return buffer.getvalue()


def _write(book: Book, target: Any, title: str, row: int, column: int, cell: Any, style: Any) -> None:
    value = book.value(title, row, column)
    shown = value.shown if isinstance(value, CellError) else value
    if isinstance(cell, ArrayCell):
        text = "{=" + cell.content.text() + "}"
        last = row + cell.height - 1, column + cell.width - 1
        target.write_array_formula(row, column, *last, text, style, shown)
    elif isinstance(cell.content, Formula):
        if isinstance(cell.content, Spill):
            _write_constant(target, row, column, shown, style)
        else:
            target.write_formula(row, column, "=" + cell.content.text(), style, shown)
    else:
        _write_constant(target, row, column, cell.content, style)


def _write_constant(target: Any, row: int, column: int, value: Any, style: Any) -> None:
    if value is None or value == "":
        target.write_blank(row, column, None, style)
    elif isinstance(value, bool):
        target.write_boolean(row, column, value, style)
    elif isinstance(value, datetime.date):
        target.write_datetime(row, column, value, style)
    elif isinstance(value, (int, float)):
        target.write_number(row, column, value, style)
    else:
        target.write_string(row, column, str(value), style)
