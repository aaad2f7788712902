"""Refresh the price sheet of a workbook that is open in Calc, through LibreOffice's own object model.

The rows of prices are replaced, the names price_rows and price_codes and the filter follow them, and the three cells above
them say which file, which currency and which day.  A row moves with its price: its looks, notes, and what the user wrote
beside it under a heading of his own.  Every other cell stays.  All of it is one step for Undo.  Whatever is wrong is told
before the first cell is written; should LibreOffice itself fail on the way, what was done is undone.
"""

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

from quotelib.errors import SheetRefused
from quotelib.hosts.calc.library import HOW_TO_NOTE, Library, LibraryFault, price_rows
from quotelib.prices import pricesheet

NUMBERS, DAYS, TEXTS, NOTES, FORMULAS, FORMATS, STYLES, ALL = 1, 2, 4, 8, 16, 32, 64, 1023
"""What cells may hold: com.sun.star.sheet.CellFlags."""

CONTENTS = NUMBERS | DAYS | TEXTS | FORMULAS
WIDTH = len(pricesheet.COLUMNS)

LABEL = "Refresh the price list"
"""What the menu entry is called, and the step that Undo takes back."""


def refresh(document: Any, library: Library | None, ask_for_file: Callable[[], Path | None]) -> str:
    """Refresh an open workbook (com.sun.star.sheet.SpreadsheetDocument), and say what changed."""
    sheet = PriceSheet(document)
    if library is None:
        raise LibraryFault(f"LibreOffice has not been told where the library is; {HOW_TO_NOTE}")
    usual = Path(library.prices) if library.prices else None
    return pricesheet.refresh_open(sheet, lambda path: price_rows(library, path), usual, ask_for_file)


class one_step:
    """Changes to a document that Undo takes back together, and that are taken back if one of them fails."""

    def __init__(self, document: Any, title: str) -> None:
        self.document, self.title = document, title

    def __enter__(self) -> None:
        self.modified = self.document.isModified()
        self.steps = self.document.UndoManager.getAllUndoActionTitles()
        self.document.lockControllers()
        self.document.addActionLock()
        self.document.UndoManager.enterUndoContext(self.title)

    def __exit__(self, kind: Any, fault: Any, trace: Any) -> None:
        undo = self.document.UndoManager
        undo.leaveUndoContext()
        failed = fault is not None
        if failed and undo.getAllUndoActionTitles() != self.steps:  # or else Undo would take back a step of the user's
            undo.undo()
        self.document.removeActionLock()
        self.document.unlockControllers()
        if failed:
            self.document.setModified(self.modified)


class PriceSheet:
    """The prices in an open workbook."""

    def __init__(self, document: Any) -> None:
        self.document, self.title = document, document.Title
        self.prices, self.codes = (self._named(name) for name in (pricesheet.PRICE_ROWS, pricesheet.PRICE_CODES))
        for name, cells in ((pricesheet.PRICE_ROWS, self.prices), (pricesheet.PRICE_CODES, self.codes)):
            if cells is None:
                raise SheetRefused(self.title, [pricesheet.no_such_name(name)])
        self.sheet = self.prices.Spreadsheet
        place = self.prices.RangeAddress
        self.left, self.top, self.bottom = place.StartColumn, place.StartRow, place.EndRow
        self.right = self.own_right = self.left + WIDTH - 1
        """The last column of the list, and of the user's own columns beside it, which have a heading."""
        while self.top and self.sheet.getCellByPosition(self.own_right + 1, self.top - 1).getString():
            self.own_right += 1
        url = document.getURL()
        self.folder: Path | None = system_path(url).parent if url.startswith("file:") else None

    def _named(self, name: str) -> Any:
        """The cells of a defined name of the workbook, or None."""
        names = self.document.NamedRanges
        if not names.hasByName(name) or "#REF!" in names.getByName(name).Content:  # of a deleted sheet Calc gives another's
            return None
        return names.getByName(name).getReferredCells()

    def _cells(self, left: int, top: int, right: int, bottom: int) -> Any:
        return self.sheet.getCellRangeByPosition(left, top, right, bottom)

    def _stating(self) -> dict[str, Any]:
        """The cells above the prices that say where they come from, as far as the workbook has them."""
        named = ((stated.name, self._named(stated.name)) for stated in pricesheet.STATED)
        return {name: cells.getCellByPosition(0, 0) for name, cells in named if cells is not None}

    def stated(self) -> str:
        """The path that the workbook names."""
        cell = self._stating().get(pricesheet.PRICE_FILE)
        return cell.getString().strip() if cell is not None else ""

    def found(self, places: pricesheet.Places) -> pricesheet.Found:
        """What may be in the way."""
        heads = max(self.top - 1, 0)
        start = self.document.NullDate
        return pricesheet.Found(
            sheet=self.sheet.Name,
            rows=self.bottom - self.top + 1,
            columns=self.prices.Columns.Count,
            headings=self._cells(self.left, heads, self.right, heads).getDataArray()[0],
            protected=any(
                sheet.isProtected() for sheet in (self.sheet, *(c.Spreadsheet for c in self._stating().values()))
            ),
            merged=[address for address, last_row in self._merged() if last_row >= heads],
            own=list(self._own(places)),
            hidden=any(not self.sheet.Rows.getByIndex(row).IsVisible for row in range(self.top, self.bottom + 1)),
            days_from_1900=(start.Year, start.Month, start.Day) == (1899, 12, 30),
            read_only=self.document.isReadonly(),
            other=list(self._other(places)),
        )

    def _other(self, places: pricesheet.Places) -> Iterator[str]:
        block = self._cells(self.left, self.top, self.right, self.bottom)
        formulas = [_address(found) for found in block.queryContentCells(FORMULAS)]
        if formulas:
            yield pricesheet.formulas_among(self.sheet.Name, formulas)
        block = self._cells(self.left, self.top, self.own_right, self.bottom)
        notes = [
            _address(self.sheet.getCellByPosition(column, row))
            for row, column in _places(block.queryContentCells(NOTES))
            if row - self.top not in places.now
        ]
        if notes:
            yield pricesheet.notes_of_ended(self.sheet.Name, notes)

    def _merged(self) -> Iterator[tuple[str, int]]:
        """Address and last row of each merged block in the columns of the prices."""
        parts = [(self.left, 0, self.right, self.sheet.Rows.Count - 1)]
        while parts:
            left, top, right, bottom = parts.pop()
            cells = self._cells(left, top, right, bottom)
            if not cells.getIsMerged():
                continue
            if bottom > top:
                middle = (top + bottom) // 2
                parts += [(left, middle + 1, right, bottom), (left, top, right, middle)]
            elif right > left:
                middle = (left + right) // 2
                parts += [(middle + 1, top, right, bottom), (left, top, middle, bottom)]
            else:
                block = self.sheet.createCursorByRange(cells)
                block.collapseToMergedArea()
                yield _address(block), block.RangeAddress.EndRow

    def _own(self, places: pricesheet.Places) -> Iterator[str]:
        """Addresses of the user's cells beside and below the prices that could neither stay nor move with a price."""
        reach = self.top + places.reach - 1
        for row, column in _places(
            self._cells(0, self.top, self.sheet.Columns.Count - 1, reach).queryContentCells(CONTENTS)
        ):
            ours = row <= self.bottom and self.left <= column <= self.right
            if not ours and places.in_the_way(row - self.top, self.right < column <= self.own_right):
                yield _address(self.sheet.getCellByPosition(column, row))

    def rows(self) -> Sequence[Sequence[Any]]:
        """The rows of prices as they stand."""
        found: Sequence[Sequence[Any]] = self._cells(self.left, self.top, self.right, self.bottom).getDataArray()
        return found

    def replace(self, rows: Sequence[Sequence[Any]], places: pricesheet.Places, stated: dict[str, Any]) -> None:
        """Put other rows in the place of the prices, and other values into the named cells above them."""
        with one_step(self.document, LABEL):
            self._move(places)
            self._fill(rows)
            self._follow()
            for name, cell in self._stating().items():
                _set(cell, stated[name])

    def _move(self, places: pricesheet.Places) -> None:
        """Have each row stand where its price goes, with what the user gave it; a new price looks like the last one."""
        used = self.sheet.createCursor()
        used.gotoEndOfUsedArea(False)
        spare = max(used.RangeAddress.EndRow, self.top + places.reach) + 2
        runs, fresh = list(places.runs()), list(places.fresh())
        if runs or fresh:
            self._copy(spare, self.top, places.before)
            for old, new, count in runs:
                self._copy(self.top + new, spare + old, count)
            for new, count in fresh:
                self._copy(self.top + new, spare + places.before - 1, 1)
                block = self._cells(self.left, self.top + new, self.own_right, self.top + new + count - 1)
                block.fillAuto(_downwards(), 1)
                block.clearContents(CONTENTS | NOTES)
            self._cells(self.left, spare, self.own_right, spare + places.before - 1).clearContents(ALL)
        if places.after < places.before:
            left_over = (self.left, self.top + places.after, self.own_right, self.bottom)
            self._cells(*left_over).clearContents(CONTENTS | NOTES | FORMATS | STYLES)
        self.bottom = self.top + places.after - 1

    def _copy(self, to: int, row: int, count: int) -> None:
        """Copy rows with all that is in them and on them."""
        source = self._cells(self.left, row, self.own_right, row + count - 1).RangeAddress
        self.sheet.copyRange(self.sheet.getCellByPosition(self.left, to).CellAddress, source)

    def _fill(self, rows: Sequence[Sequence[Any]]) -> None:
        """Set the cells that differ, one by one.

        After setDataArray, which sets them all at once, Undo leaves new values in cells that were empty (seen in 25.2.3).
        """
        block = self._cells(self.left, self.top, self.right, self.bottom)
        for y, (old_row, row) in enumerate(zip(block.getDataArray(), rows, strict=True)):
            for x, (old, new) in enumerate(zip(old_row, row, strict=True)):
                if new != old and (new is not None or old != ""):
                    _set(block.getCellByPosition(x, y), new)

    def _follow(self) -> None:
        """Have the names and the filter end with the prices."""
        names = self.document.NamedRanges
        for name, columns in ((pricesheet.PRICE_ROWS, pricesheet.READ_COLUMNS), (pricesheet.PRICE_CODES, 1)):
            area = self._cells(self.left, self.top, self.left + columns - 1, self.bottom)
            names.getByName(name).setContent(area.AbsoluteName)
        for filtered in self._filtered():
            place = filtered.getDataArea()
            place.EndRow = self.bottom
            filtered.setDataArea(place)

    def _filtered(self) -> Iterator[Any]:
        """The database ranges that begin at the headings: a filter, or a range that the user named."""
        number = self.sheet.RangeAddress.Sheet
        unnamed = self.document.getPropertyValue("UnnamedDatabaseRanges")  # not among the properties that it lists
        ranges = [unnamed.getByTable(number)] if unnamed.hasByTable(number) else []
        for found in (*ranges, *self.document.DatabaseRanges):
            place = found.getDataArea()
            if (place.Sheet, place.StartColumn, place.StartRow) == (number, self.left, self.top - 1):
                yield found


def _places(found: Any) -> list[tuple[int, int]]:
    """Row and column of each cell of several ranges, in order."""
    return sorted(
        (row, column)
        for area in found.RangeAddresses
        for row in range(area.StartRow, area.EndRow + 1)
        for column in range(area.StartColumn, area.EndColumn + 1)
    )


def _set(cell: Any, value: Any) -> None:
    """Set a cell to a number, to a text, which stays one whatever it looks like, or to nothing."""
    if value is None:
        cell.setFormula("")
    elif isinstance(value, str):
        cell.setString(value)
    else:
        cell.setValue(value)


def _downwards() -> Any:
    import uno

    return uno.Enum("com.sun.star.sheet.FillDirection", "TO_BOTTOM")


def _address(cells: Any) -> str:
    """A10 or A10:C12."""
    absolute: str = cells.AbsoluteName
    first, _, last = absolute.rpartition(".")[2].replace("$", "").partition(":")
    return first if last in ("", first) else f"{first}:{last}"


def system_path(url: str) -> Path:
    """The path of a file: URL."""
    import uno

    return Path(uno.fileUrlToSystemPath(url))
