"""A table of texts from a file that anyone may have made: CSV, or a sheet of an .xlsx workbook.

    table = read_table("supplier.csv", encoding="cp1252", delimiter=";")
    table.header                   ("Code", "Price", ...), as written
    for row in table.rows:         row.number is its line in the file (CSV) or its row in the sheet
        row.cells                  texts, one for each heading, spaces tidied

The file is judged by what is in it, not by its name.  Nothing is guessed: a CSV file is UTF-8, or UTF-16 with a byte order
mark, unless its encoding is named, and its cells are parted by commas unless another mark is named.  What cannot be read
safely is refused (`errors.FileRefused`) with every fault in it: where it stands, what is there, what is allowed.

Cells are texts.  What a workbook stores as something else says so by its class: `NumberCell` (digits and a point, whatever
marks the file's texts use), `DateCell` (ISO 8601), `ErrorCell` (`#N/A`; also in CSV).  TRUE and FALSE are texts.  A formula
gives the result that was saved with it.  Hidden rows and columns are read like all others.  A merged heading heads each of
its columns.
"""

import codecs
import csv
import os
import re
import stat
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import NamedTuple

from quotelib.errors import FileRefused, RangeError
from quotelib.files.faults import Faults

FILE_MOST = 30_000_000
"""Bytes of a file, at most; a price list of 50,000 rows has about a fifth of it."""
CELLS_MOST = 1_000_000
"""Cells of a table, at most."""
CHARACTERS_MOST = FILE_MOST
"""Characters of all the cells of a table, at most; a workbook may use one long text in many cells."""
COLUMNS_MOST = 500
"""Columns of a table, at most."""
CELL_MOST = 32_767
"""Characters of a cell, at most; a spreadsheet holds no more."""
LINES_OF_A_CELL_MOST = 1_000
"""Lines that a quoted cell may go over, so that a stray quotation mark is found near its place."""

DELIMITERS = (",", ";", "\t", "|")
ENCODINGS = (
    *("utf-8", "utf-16", "cp1250", "cp1251", "cp1252", "cp1253", "cp1254", "cp1257", "cp437", "cp850"),
    *("iso8859-1", "iso8859-2", "iso8859-15", "mac-roman", "shift_jis", "gb18030", "big5", "euc_kr"),
)
"""What the encoding of a CSV file may be named."""

ZIP, OLD_OFFICE = b"PK\x03\x04", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
BYTE_ORDER_MARKS = {codecs.BOM_UTF8: "utf-8-sig", codecs.BOM_UTF16_LE: "utf-16", codecs.BOM_UTF16_BE: "utf-16"}
CONTROL = re.compile("[\0-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff]")
"""Control characters but the tab and those that end a line, and halves of characters."""
ERROR_VALUE = re.compile(r"#(?:NULL!|DIV/0!|VALUE!|REF!|NAME\?|NUM!|N/A|SPILL!|CALC!|GETTING_DATA)|Err:\d{3}")


UNCLOSED = (
    f"the quotation mark that opens it must be closed within {LINES_OF_A_CELL_MOST:,} lines, and a mark within it be "
    "written twice; a file cut short has such a cell too"
)
STRAY_MARK = (
    "the row has a quotation mark out of place; a cell in quotation marks must end with one, "
    "and a mark within it must be written twice"
)
COMMAS = "(a cell with a comma in it needs quotation marks round it)"


class NumberCell(str):
    """A number that a workbook stores as one, written in digits with a point; no mapping of marks applies to it."""


class DateCell(str):
    """A date, a time or both that a workbook stores as such, in ISO 8601."""


class ErrorCell(str):
    """The error value of a cell, or what stands for a formula whose result was not saved: no value to work with."""


class Row(NamedTuple):
    """One row of a table that is not blank."""

    number: int
    """Its row in the sheet; in a CSV file the line on which it begins."""
    cells: tuple[str, ...]
    """As many as there are headings, spaces tidied."""


@dataclass(frozen=True, eq=False)
class Table:
    """A table as it was read: headings and rows of texts."""

    path: str
    sheet: str | None
    """Name of the sheet; None for a CSV file."""
    header_row: int
    header: tuple[str, ...]
    rows: list[Row]
    faults: Faults
    """For the reader's own faults to join those found here; `faults.refuse()` raises them all."""

    @property
    def file(self) -> str:
        """The name of the file."""
        return Path(self.path).name

    @property
    def counted(self) -> str:
        """What the numbers of its rows count: rows of a sheet, or lines of a CSV file."""
        return self.faults.counted


def read_table(
    path: str | Path,
    sheet: str | None = None,
    encoding: str | None = None,
    delimiter: str | None = None,
    header_row: int = 1,
    refuse: bool = True,
    cells_most: int = CELLS_MOST,
) -> Table:
    """The table in a file, whole or not at all.

    sheet        of a workbook; None where it has only one
    encoding     of a CSV file that is not in Unicode, one of `ENCODINGS`
    delimiter    of a CSV file that has no commas between its cells, one of `DELIMITERS`
    header_row   the row, or line of a CSV file, that holds the headings; what stands above it is passed over
    refuse       False leaves what is wrong with rows and cells in `faults`, for a reader that adds its own and then calls
                 `faults.refuse()`; a row that cannot be taken apart is left out
    cells_most   cells that a CSV file may have

    Raises FileRefused.
    """
    if delimiter is not None and delimiter not in DELIMITERS:
        raise RangeError("delimiter", delimiter, f"it must be one of {', '.join(map(repr, DELIMITERS))}")
    if header_row < 1:
        raise RangeError("header_row", header_row, "it must be 1 or more")
    named = None if encoding is None else _encoding(encoding)
    content = content_of(path)
    if content.startswith(OLD_OFFICE):
        encrypted = "EncryptedPackage".encode("utf-16-le") in content
        what = "locked with a password" if encrypted else "an old .xls workbook or another office file of that age"
        raise FileRefused(str(path), [f"the file is {what}; it must be saved as .xlsx without a password, or as CSV"])
    if content.startswith(ZIP):
        table = _sheet_table(str(path), content, sheet, header_row)
    elif Path(path).suffix.lower() in (".xlsx", ".xlsm"):
        raise FileRefused(
            str(path), ["the file is no .xlsx workbook, whatever its name says; it must be one, or be named .csv"]
        )
    elif sheet is not None:
        raise RangeError("sheet", sheet, f"it must be left out: {Path(path).name} is no workbook")
    else:
        faults = Faults(path)
        rows = _csv_rows(_text(path, content, named), delimiter or ",", faults)
        table = _table(faults, header_row, rows, ragged=False, cells_most=cells_most)
    if refuse:
        table.faults.refuse()
    return table


def _sheet_table(path: str, content: bytes, sheet: str | None, header_row: int) -> Table:
    """The table on a sheet of a workbook."""
    from quotelib.files.xlsx import Workbook

    book = Workbook(path, content)
    book.choose(sheet)
    table = _table(book.faults, header_row, book.rows(header_row), ragged=True)
    header = list(table.header)
    for first, last, text in book.heading_spans:
        header[first : last + 1] = [heading or text for heading in header[first : last + 1]]
    return replace(table, header=tuple(header))


def content_of(path: str | Path) -> bytes:
    """The bytes of a file of an allowed size; a larger one is not read.

    Raises FileRefused, for what is no file or cannot be read as well.
    """
    try:
        with open(path, "rb", opener=_open_at_once) as file:
            status = os.fstat(file.fileno())
            is_file = stat.S_ISREG(status.st_mode)
            content = file.read(FILE_MOST + 1) if is_file and status.st_size <= FILE_MOST else b""
    except (OSError, ValueError) as fault:
        raise FileRefused(str(path), [f"the file cannot be read: {getattr(fault, 'strerror', None) or fault}"]) from None
    if not is_file:
        raise FileRefused(str(path), ["the file cannot be read: it is a pipe or a device; it must be a file"])
    size = max(status.st_size, len(content))
    if size > FILE_MOST:
        raise FileRefused(str(path), [f"the file has {size:,} bytes; it must have {FILE_MOST:,} at most"])
    return content


def _open_at_once(path: str, flags: int) -> int:
    """Open without waiting for the other end of a pipe."""
    return os.open(path, flags | getattr(os, "O_NONBLOCK", 0))


def _text(path: str | Path, content: bytes, encoding: str | None) -> str:
    """The text of a CSV file, every line ended by a line feed."""
    marked = next((name for mark, name in BYTE_ORDER_MARKS.items() if content.startswith(mark)), "")
    if marked and encoding and encoding != marked.removesuffix("-sig"):
        wanted = f"it must be read as {marked.removesuffix('-sig')}, not {encoding}"
        raise FileRefused(str(path), [f"the file begins with the mark of a Unicode file; {wanted}"])
    if encoding == "utf-16" and not marked:
        raise FileRefused(str(path), ["the file has no byte order mark; a file in utf-16 must begin with one"])
    encoding = marked or encoding or "utf-8"
    try:
        text = content.decode(encoding)
    except UnicodeDecodeError as fault:
        given = fault.object
        before = given[: fault.start].decode(encoding, "replace")
        line = before.count("\n") + before.replace("\r\n", "").count("\r") + 1
        byte = f"byte 0x{given[fault.start]:02X}"
        wanted = "a CSV file must be saved in UTF-8 where no other encoding is named"
        name = encoding.removesuffix("-sig").upper()
        raise FileRefused(str(path), [f"line {line}: {byte} is not {name}; {wanted}"]) from None
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _encoding(name: str) -> str:
    """An allowed encoding by the name that Python gives it."""
    try:
        known = codecs.lookup(name).name
    except (LookupError, ValueError):
        known = ""
    if known not in {codecs.lookup(allowed).name for allowed in ENCODINGS}:
        raise RangeError("encoding", name, f"it must be one of {', '.join(ENCODINGS)}")
    return known


def _csv_rows(text: str, delimiter: str, faults: Faults) -> Iterator[Row]:
    """The rows of a CSV file, its cells as they are written.

    A quoted cell may go over several lines.  From the first quotation mark out of place on, each line is taken by itself,
    so that the mark hides no fault after it.
    """
    if text.count("\n") > CELLS_MOST:
        faults.stop(f"the file has more than {CELLS_MOST:,} lines; it must have {CELLS_MOST:,} at most")
    lines = text.split("\n")
    most = LINES_OF_A_CELL_MOST
    at = 0
    while at < len(lines):
        line, number = lines[at], at + 1
        if '"' in line:
            reader = csv.reader(
                (lines[k] + "\n" for k in range(at, min(at + most, len(lines)))), delimiter=delimiter, strict=True
            )
            try:
                yield Row(number, tuple(next(reader)))
                at += reader.line_num
                continue
            except csv.Error:
                most = 1
                _name_stray_mark(faults, number, line, delimiter)
        else:
            yield Row(number, tuple(line.split(delimiter, COLUMNS_MOST)))
        at += 1


def _name_stray_mark(faults: Faults, number: int, line: str, delimiter: str) -> None:
    """Say which mark of a line is out of place: one that opens its last cell, or another."""
    try:
        next(csv.reader([line + "\n"], delimiter=delimiter, strict=True))
        opens_a_cell = False
    except csv.Error as fault:
        opens_a_cell = "unexpected end" in str(fault)
    if opens_a_cell:
        cells = next(csv.reader([line], delimiter=delimiter))
        faults.cell(number, len(cells) - 1, "", cells[-1], UNCLOSED)
    else:
        faults.row(number, STRAY_MARK)


def _table(faults: Faults, header_row: int, rows: Iterable[Row], ragged: bool, cells_most: int = CELLS_MOST) -> Table:
    """The table that these rows make, blank ones left out; in a ragged one rows may be shorter than the headings."""
    kept: list[Row] = []
    cells_read = characters_read = width = 0
    for number, written in rows:
        cells_read += len(written)
        characters_read += sum(map(len, written))
        for read, most, what in ((cells_read, cells_most, "cells"), (characters_read, CHARACTERS_MOST, "characters")):
            if read > most:
                faults.row(number, f"the table has more than {most:,} {what} up to here; it must have {most:,} at most")
                faults.refuse()
        if number < header_row:
            continue
        cells = _tidy(faults, number, written, kept[0].cells if kept else ())
        if not any(cells):
            continue
        if number == header_row:
            width = len(cells)
        elif not kept:
            break
        if len(cells) > COLUMNS_MOST:
            faults.row(number, f"the row has more than {COLUMNS_MOST} cells; it must have {COLUMNS_MOST} at most")
        elif len(cells) != width and not ragged:
            many = f"{len(cells)} cell{'s' * (len(cells) > 1)}"
            faults.row(
                number, f"the row has {many}; it must have {width}, one for each column of line {header_row} {COMMAS}"
            )
        else:
            kept.append(Row(number, cells))
    if not kept:
        if not faults:
            faults.row(header_row, "the row is blank; it must hold the headings of the table")
        faults.refuse()
    last = 1 + max(place for row in kept for place, cell in enumerate(row.cells) if cell)
    trimmed = [Row(number, (cells + ("",) * (last - len(cells)))[:last]) for number, cells in kept]
    return Table(faults.path, faults.sheet, header_row, trimmed[0].cells, trimmed[1:], faults)


def _tidy(faults: Faults, number: int, written: tuple[str, ...], header: tuple[str, ...]) -> tuple[str, ...]:
    """The cells of a row with their spaces tidied; those that no table may hold are faults."""

    def heading(place: int) -> str:
        return header[place] if place < len(header) else ""

    together = "\n".join(written)
    if CONTROL.search(together):
        for place, cell in enumerate(written):
            if CONTROL.search(cell):
                faults.cell(number, place, heading(place), cell, "it must have no control characters")
    cells = tuple([" ".join(cell.split()) if cell.__class__ is str else cell for cell in written])
    if len(together) > CELL_MOST:
        for place, cell in enumerate(cells):
            if len(cell) > CELL_MOST:
                wanted = f"it must have {CELL_MOST:,} characters at most"
                faults.cell(number, place, heading(place), cell, wanted)
    if "#" in together or "Err:" in together:
        return tuple([ErrorCell(cell) if ERROR_VALUE.fullmatch(cell) else cell for cell in cells])
    return cells
