"""The cells of one sheet of an .xlsx or .xlsm workbook that anyone may have made, as `tables` needs them.

Openpyxl reads good workbooks; here a workbook may be hostile or broken.  Its parts are unpacked in a stream and counted as
they come, not as their headers claim; a document type declaration, and so every entity, is refused before it is read; the
sheet is read row by row, whatever size it declares; and a formula whose result was not saved is told from a blank cell.
What number formats mean and what day a number is are left to openpyxl.
"""

import io
import math
import posixpath
import re
import struct
import xml.parsers.expat
import zipfile
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from decimal import Decimal
from typing import Any, NoReturn

from openpyxl.styles.numbers import BUILTIN_FORMATS, is_date_format, is_timedelta_format
from openpyxl.utils.datetime import MAC_EPOCH, WINDOWS_EPOCH, from_excel

from quotelib.files.faults import Faults, column_letters
from quotelib.files.tables import CELL_MOST, CELLS_MOST, COLUMNS_MOST, DateCell, ErrorCell, NumberCell, Row

MEMBERS_MOST = 5_000
"""Parts of a workbook, at most."""
EXPANDED_MOST = 250_000_000
"""Bytes of all the parts that are read, unpacked."""
RATIO_MOST = 200
"""How many times larger a part may be unpacked, once it has a million bytes."""
TAGS_MOST = 5 * CELLS_MOST
"""XML tags in all the parts that are read."""
TAG_MOST = 1_000_000
"""Bytes of one tag."""
ROWS_MOST = 1_048_576
"""Rows of a sheet, which is as many as a spreadsheet has."""
SHEET_COLUMNS = 16_384
"""Columns of a sheet, which is as many as a spreadsheet has."""
FORMAT_MOST = 255
"""Characters of a number format that may be one of dates."""

LOCAL_DATES = frozenset((*range(27, 37), *range(50, 59)))
"""Formats of dates by number in workbooks of East Asia (ECMA-376 part 1, 18.8.30)."""
PLAIN_NUMBER = re.compile(r"-?(?:0|[1-9]\d{0,14})(?:\.\d{1,14})?", re.ASCII)
NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d{1,3})?", re.ASCII)
ISO_DATE = re.compile(r"(\d{4}-\d\d-\d\d)?(T?\d\d:\d\d(:\d\d)?)?(\.\d+)?Z?", re.ASCII)
CELL_NAME = re.compile(r"\$?([A-Z]{1,3})\$?([1-9]\d{0,6})", re.ASCII)
ESCAPED = re.compile(r"_x([0-9A-Fa-f]{4})_")
NO_RESULT = "a formula without its saved result"
DAMAGED = (zipfile.BadZipFile, zlib.error, struct.error, EOFError, NotImplementedError, RuntimeError, ValueError, OSError)
"""What zipfile raises on a file that is broken, encrypted or of a kind it does not know."""


class Workbook:
    """A workbook taken apart as far as its list of sheets."""

    def __init__(self, path: str, content: bytes) -> None:
        self.faults = Faults(path)
        self._left, self._tags_left = EXPANDED_MOST, TAGS_MOST
        if content.count(b"PK\x01\x02") > MEMBERS_MOST:
            self.faults.stop(f"the workbook has more than {MEMBERS_MOST:,} parts; it must have {MEMBERS_MOST:,} at most")
        try:
            self._archive = zipfile.ZipFile(io.BytesIO(content))
            self._parts = {info.filename: info for info in self._archive.infolist()}
        except DAMAGED as fault:
            self.faults.stop(f"the workbook is cut short or damaged ({fault}); it must be whole")
        if len(self._parts) < len(self._archive.infolist()):
            self.faults.stop("the workbook holds two parts of one name; it must hold each once")
        book = next(iter(self._related("", "officeDocument").values()), "")
        if book.endswith(".bin") or not self._holds(book):
            self.faults.stop(
                "the file is a zip archive, but no .xlsx or .xlsm workbook; it must be saved as .xlsx or as CSV"
            )
        self._epoch = WINDOWS_EPOCH
        listed: dict[str, str] = {}

        def start(name: str, attributes: dict[str, str]) -> None:
            name = _local(name)
            if name == "sheet":
                identity = next((text for key, text in attributes.items() if key.endswith(":id")), "")
                listed[attributes.get("name", "")] = identity
            elif name == "workbookPr" and attributes.get("date1904") in ("1", "true"):
                self._epoch = MAC_EPOCH

        self._read(book, start)
        sheets = self._related(book, "worksheet")
        self.sheets = {name: sheets[identity] for name, identity in listed.items() if identity in sheets}
        self.strings = self._shared_strings(next(iter(self._related(book, "sharedStrings").values()), ""))
        self._formats = self._number_formats(next(iter(self._related(book, "styles").values()), ""))
        self._dates: dict[str, bool] = {}
        self.heading_spans: list[tuple[int, int, str]] = []

    def choose(self, sheet: str | None) -> None:
        """Turn to the sheet of this name, or to the only one."""
        names = ", ".join(map(repr, self.sheets))
        if not self.sheets:
            self.faults.stop("the workbook has no sheet of cells; it must have one")
        if sheet is None and len(self.sheets) > 1:
            self.faults.stop(f"the workbook has {len(self.sheets)} sheets; the one to read must be named: {names}")
        wanted = next(iter(self.sheets)) if sheet is None else sheet
        if wanted not in self.sheets:
            self.faults.stop(f"the workbook has no sheet {wanted!r}; it must be one of {names}")
        self.faults.sheet = wanted

    def rows(self, header_row: int) -> Iterator[Row]:
        """The rows of the chosen sheet, blank ones too; `heading_spans` is known when they have all been taken."""
        assert self.faults.sheet is not None
        reading = _SheetReading(self, header_row)
        for _ in self._parse(self.sheets[self.faults.sheet], reading.start, reading.end, reading.text):
            yield from reading.finished
            reading.finished.clear()
        self.heading_spans = reading.heading_spans()

    def _holds(self, part: str) -> bool:
        return part in self._parts

    def _related(self, part: str, wanted: str) -> dict[str, str]:
        """The parts that a part names as its own of one type, by their identity; the file itself is the part ''."""
        folder, name = posixpath.split(part)
        relations = posixpath.join(folder, "_rels", f"{name}.rels")
        found: dict[str, str] = {}

        def start(element: str, attributes: dict[str, str]) -> None:
            if _local(element) == "Relationship" and attributes.get("Type", "").endswith(f"/{wanted}"):
                target = posixpath.normpath(posixpath.join("/", folder, attributes.get("Target", ""))).lstrip("/")
                if attributes.get("TargetMode") != "External" and self._holds(target):
                    found[attributes.get("Id", "")] = target

        if self._holds(relations):
            self._read(relations, start)
        return found

    def _read(self, part: str, *handlers: Callable[..., None]) -> None:
        for _ in self._parse(part, *handlers):
            pass

    def _parse(self, part: str, start: Any, end: Any = None, text: Any = None) -> Iterator[None]:
        """Hand the elements of a part to these handlers; pauses after every piece."""

        def doctype(*_: object) -> None:
            self.faults.stop(f"part {part} has a document type declaration; a workbook must have none")

        def declaration(_: str, encoding: str | None, __: int) -> None:
            if encoding and encoding.lower() not in ("utf-8", "utf-16"):
                self.faults.stop(f"part {part} has the encoding {encoding[:40]!r}; it must be UTF-8 or UTF-16")

        parser = xml.parsers.expat.ParserCreate()
        parser.buffer_text, parser.buffer_size = True, 1 << 16
        parser.StartElementHandler, parser.EndElementHandler, parser.CharacterDataHandler = start, end, text
        parser.XmlDeclHandler, parser.StartDoctypeDeclHandler = declaration, doctype
        fed = 0
        try:
            for piece in self._pieces(part):
                self._tags_left -= piece.count(b"<")
                if self._tags_left < 0:
                    self.faults.stop(f"the workbook has more than {TAGS_MOST:,} XML tags; it must have that many at most")
                parser.Parse(piece)
                fed += len(piece)
                if fed - parser.CurrentByteIndex > TAG_MOST:
                    self.faults.stop(
                        f"part {part} has a tag of more than {TAG_MOST:,} bytes; it must have that many at most"
                    )
                yield
            parser.Parse(b"", True)
            yield
        except xml.parsers.expat.ExpatError as fault:
            self.faults.stop(f"part {part} is damaged ({fault}); it must be whole")

    def _pieces(self, part: str) -> Iterator[bytes]:
        """A part unpacked piece by piece, as far as the limits go."""
        info = self._parts[part]
        if info.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
            self.faults.stop(f"part {part} is packed in a way that no workbook is; it must be stored or deflated")
        if info.flag_bits & 1:
            self.faults.stop(f"part {part} is locked with a password; the workbook must be saved without one")
        with self._sound(part):
            stream = self._archive.open(info)
        size = 0
        while True:
            with self._sound(part):
                piece = stream.read(1 << 16)
            if not piece:
                return
            size += len(piece)
            self._left -= len(piece)
            if self._left < 0 or (size > 1_000_000 and size > RATIO_MOST * info.compress_size):
                self.faults.stop(
                    f"part {part} unpacks to too much; a workbook must have {EXPANDED_MOST:,} bytes at most, and no part "
                    f"{RATIO_MOST} times the bytes it is packed in"
                )
            yield piece

    @contextmanager
    def _sound(self, part: str) -> Iterator[None]:
        """Refuse the workbook if unpacking fails."""
        try:
            yield
        except DAMAGED as fault:
            self.faults.stop(f"part {part} is cut short or damaged ({fault}); it must be whole")

    def _shared_strings(self, part: str) -> dict[str, str]:
        """The texts that cells refer to by number, by that number as a cell writes it."""
        strings: list[str] = []
        pieces: list[str] = []
        inside = {"t": False, "rPh": False}

        def start(name: str, _: dict[str, str]) -> None:
            name = _local(name)
            if name in inside:
                inside[name] = True

        def end(name: str) -> None:
            name = _local(name)
            if name in inside:
                inside[name] = False
            elif name == "si":
                strings.append(_unescaped("".join(pieces)))
                pieces.clear()

        def text(data: str) -> None:
            if inside["t"] and not inside["rPh"]:
                pieces.append(data)

        if part:
            self._read(part, start, end, text)
        return {str(number): string for number, string in enumerate(strings)}

    def _number_formats(self, part: str) -> list[str]:
        """The code of the number format of every cell style."""
        codes: dict[str, str] = {str(number): code for number, code in BUILTIN_FORMATS.items()}
        codes |= {str(number): "yyyy-mm-dd" for number in LOCAL_DATES}
        used: list[str] = []
        in_cell_styles = False

        def start(name: str, attributes: dict[str, str]) -> None:
            nonlocal in_cell_styles
            name = _local(name)
            if name == "numFmt":
                codes[attributes.get("numFmtId", "")] = attributes.get("formatCode", "")
            elif name == "cellXfs":
                in_cell_styles = True
            elif name == "cellStyles":
                in_cell_styles = False
            elif name == "xf" and in_cell_styles:
                used.append(attributes.get("numFmtId", "0"))

        if part:
            self._read(part, start)
        return [codes.get(number, "General") for number in used]

    def is_date(self, style: str) -> bool:
        """Whether cells of this style show their number as a date or a time of day."""
        if style not in self._dates:
            known = style.isdecimal() and len(style) < 9 and int(style) < len(self._formats)
            code = self._formats[int(style)] if known else ""
            date = 0 < len(code) <= FORMAT_MOST and is_date_format(code) and not is_timedelta_format(code)
            self._dates[style] = bool(date)
        return self._dates[style]

    def date(self, number: str) -> str:
        """A number of days as an ISO 8601 date, time of day, or both."""
        days = float(number)
        try:
            moment = from_excel(days, self._epoch) if days >= 0 else None
        except (ValueError, OverflowError):
            moment = None
        if moment is None:
            return ErrorCell(f"{number} as a date")
        return DateCell(moment.isoformat().removesuffix("T00:00:00"))


class _SheetReading:
    """The rows of a sheet as its elements come by."""

    def __init__(self, book: Workbook, header_row: int) -> None:
        self.book, self.faults, self.header_row = book, book.faults, header_row
        self.finished: list[Row] = []
        self.spans: list[tuple[int, int, int, int]] = []
        self.heads: dict[tuple[int, int], str] = {}
        self.columns: dict[str, int] = {}
        self.numbers: dict[tuple[str, str], str] = {}
        self.in_data = self.in_value = self.in_reading = self.has_formula = False
        self.row, self.row_digits, self.column = 0, "0", -1
        self.cell: dict[str, str] = {}
        self.written = ""
        self.cells: list[str] = []

    def start(self, name: str, attributes: dict[str, str]) -> None:
        """An element begins; the most frequent ones are asked for first."""
        if name == "c":
            self.cell, self.written, self.has_formula = attributes, "", False
        elif name == "v" or name == "t":
            self.in_value = self.in_data and not self.in_reading
        elif name == "f":
            self.has_formula = True
        elif name == "row":
            if self.in_data:
                self._start_row(attributes.get("r"))
        elif name == "rPh":
            self.in_reading = True
        elif name == "sheetData":
            self.in_data = True
        elif name == "mergeCell":
            self._merge(attributes.get("ref", ""))
        elif ":" in name:
            self.start(_local(name), attributes)

    def end(self, name: str) -> None:
        """An element ends."""
        if name == "c":
            if self.in_data:
                self._end_cell()
        elif name == "v" or name == "t":
            self.in_value = False
        elif name == "row":
            if self.in_data:
                self.finished.append(Row(self.row, tuple(self.cells)))
        elif name == "rPh":
            self.in_reading = False
        elif name == "sheetData":
            self.in_data = False
        elif ":" in name:
            self.end(_local(name))

    def text(self, data: str) -> None:
        """A piece of text within an element."""
        if self.in_value:
            self.written += data
            if len(self.written) > CELL_MOST:
                self._damaged(f"row {self.row} has a cell of more than {CELL_MOST:,} characters")

    def heading_spans(self) -> list[tuple[int, int, str]]:
        """First and last column and the text of each heading that is merged over several cells."""
        return [
            (left, right, self.heads[top, left])
            for top, left, bottom, right in self.spans
            if top <= self.header_row <= bottom and (top, left) in self.heads
        ]

    def _start_row(self, written: str | None) -> None:
        number = self.row + 1 if written is None else int(written) if written.isdecimal() and len(written) < 9 else 0
        if not self.row < number <= ROWS_MOST:
            self._damaged(f"row {written!r} comes after row {self.row}; rows must come in order, up to {ROWS_MOST:,}")
        self.row, self.column, self.cells = number, -1, []
        self.row_digits = str(number)

    def _end_cell(self) -> None:
        """Put what the cell holds in its place in the row."""
        name = self.cell.get("r")
        column = self.column + 1
        if name is not None:
            column = self.columns.get(name.removesuffix(self.row_digits), -1)
            if column < 0:
                column = self._column(name)
        if column <= self.column:
            self._damaged(f"row {self.row}: cell {name!r} comes after column {column_letters(self.column)}")
        self.column = column
        value = self._value(self.written, self.cell.get("t", "n"))
        if not value:
            return
        if column >= COLUMNS_MOST:
            wanted = f"it must be blank: a table must have {COLUMNS_MOST} columns at most"
            self.faults.cell(self.row, column, "", value, wanted)
            return
        if self.row <= self.header_row:
            self.heads[self.row, column] = value
        if column > len(self.cells):
            self.cells.extend([""] * (column - len(self.cells)))
        self.cells.append(value)

    def _value(self, text: str, kind: str) -> str:
        """What the cell holds, as a text of the class that says what it is."""
        if kind == "s" and text:
            shared = self.book.strings.get(text)
            return shared if shared is not None else self._bad(text, "it must be the number of a shared text")
        if kind == "n" and text:
            style = self.cell.get("s", "")
            known = self.numbers.get((text, style))
            if known is None:
                known = self._number(text, style)
                if not isinstance(known, ErrorCell):
                    self.numbers[text, style] = known
            return known
        if kind == "str" or kind == "inlineStr":
            return _unescaped(text)
        if not text:
            return ErrorCell(NO_RESULT) if self.has_formula else ""
        if kind == "b" and text in ("0", "1"):
            return "TRUE" if text == "1" else "FALSE"
        if kind == "e":
            return ErrorCell(text)
        if kind == "d" and ISO_DATE.fullmatch(text):
            return DateCell(text.removesuffix("T00:00:00"))
        return self._bad(text, f"it must be what its type {kind!r} says")

    def _number(self, text: str, style: str) -> str:
        """A number as its style shows it: as a number, or as a date."""
        if not PLAIN_NUMBER.fullmatch(text):
            if len(text) > 40 or not NUMBER.fullmatch(text) or math.isinf(float(text)):
                return self._bad(text, "it must be a number, as its type says")
            text = format(Decimal(repr(float(text))), "f").removesuffix(".0")
        return self.book.date(text) if style and self.book.is_date(style) else NumberCell(text)

    def _bad(self, text: str, allowed: str) -> str:
        self.faults.cell(self.row, self.column, "", text, allowed)
        return ErrorCell(text)

    def _column(self, name: str) -> int:
        """The place of a column met for the first time, from the name of a cell in it."""
        letters = name.removesuffix(self.row_digits)
        column = _column_of(letters) if re.fullmatch("[A-Z]{1,3}", letters) else SHEET_COLUMNS
        if column >= SHEET_COLUMNS:
            self._damaged(f"row {self.row} has a cell called {name!r}; it must have the name of a place in that row")
        self.columns[letters] = column
        return column

    def _damaged(self, text: str) -> NoReturn:
        self.faults.stop(f"it is damaged: {text}")

    def _merge(self, area: str) -> None:
        corners = [CELL_NAME.fullmatch(corner) for corner in area.split(":")]
        if len(corners) == 2 and corners[0] and corners[1]:
            (left, top), (right, bottom) = corners[0].groups(), corners[1].groups()
            self.spans.append((int(top), _column_of(left), int(bottom), _column_of(right)))


def _local(name: str) -> str:
    """The name of an element without its prefix."""
    return name.rpartition(":")[2]


def _column_of(letters: str) -> int:
    """The place of a column, counted from 0, from its letters."""
    place = 0
    for letter in letters:
        place = 26 * place + ord(letter) - 64
    return place - 1


def _unescaped(text: str) -> str:
    """A text with the characters that a workbook writes as _x000D_ and the like."""
    return ESCAPED.sub(lambda code: chr(int(code[1], 16)), text) if "_x" in text else text
