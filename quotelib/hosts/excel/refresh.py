"""Refresh the price sheet of a workbook that is open in Excel, through Excel's own object model.

quoting.py binds `refresh_caller` to the macro REFRESH_PRICES, and a button on the price sheet of quoting.xlsm to that.

The rows of prices are replaced, the names price_rows and price_codes and the filter follow them, and the three cells above
them say which file, which currency and which day.  A row moves with its price: its looks, notes, and what the user wrote
beside it under a heading of his own.  Every other cell stays.  Whatever is wrong is told before the first cell is written.
Excel keeps no Undo for what a program does.  So the list is kept in spare rows meanwhile and read back when it is written,
and where Excel has made something else of a value, or fails on the way, all is put back as it was.

Like everything for Excel here this was not run in Excel, only on a stand-in for its object model
(tests/simulated_price_sheet.py).  Members used: learn.microsoft.com/en-us/office/vba/api/overview/excel/object-model.
"""

import datetime
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from quotelib.errors import QuoteError, SheetRefused
from quotelib.hosts.workbook.model import absolute, address
from quotelib.kinds import day_number
from quotelib.prices import pricesheet

TITLE = "Refresh the price list"
MACRO = "REFRESH_PRICES"
"""The macro that Import Functions brings in, and that the button runs."""

WIDTH = len(pricesheet.COLUMNS)
TEXT_FORMAT = "@"
"""In a cell of this format a text stays a text, whatever it looks like."""


class NotKept(RuntimeError):
    """Excel made something else of the rows."""


def refresh_caller(module: str) -> None:
    """Refresh the workbook whose button was pressed, and say in a box what changed, or why nothing did.

    Parameters
    ----------
    module : str
        The file quoting.py; the shop's usual price list lies beside it.
    """
    import xlwings

    book = xlwings.Book.caller()
    try:
        words, mode = refresh(book.api, Path(module).resolve().parent), "info"
    except QuoteError as refusal:
        words, mode = f"Refused: {refusal}", "critical"
    except Exception as fault:
        words, mode = f"Nothing was changed: Excel failed ({fault})", "critical"
    book.app.alert(words, title=TITLE, mode=mode)


def refresh(book: Any, shop: Path) -> str:
    """Refresh an open workbook (Excel's Workbook object), and say what changed; `shop` holds the usual price list."""
    usual = shop / "price-list.csv"
    return pricesheet.refresh_open(PriceSheet(book), _load, usual if usual.is_file() else None, lambda: _ask_for_file(book))


def _load(path: Path) -> tuple[str, list[tuple[Any, ...]]]:
    from quotelib.prices.pricelist import load_price_list

    prices = load_price_list(path)
    rows = pricesheet.rows_of(prices)
    return prices.currency, [tuple(day_number(c) if isinstance(c, datetime.date) else c for c in row) for row in rows]


def _ask_for_file(book: Any) -> Path | None:
    """The price list that the user picks."""
    picked = book.Application.GetOpenFilename("Price list (*.csv;*.xlsx),*.csv;*.xlsx", 1, "The shop's price list")
    return Path(picked) if isinstance(picked, str) else None


class PriceSheet:
    """The prices in an open workbook.  Rows and columns count from 1, as Excel's do."""

    def __init__(self, book: Any) -> None:
        self.book, self.title = book, str(book.Name)
        self.names = {name.Name.lower(): name for name in book.Names}
        for name in (pricesheet.PRICE_ROWS, pricesheet.PRICE_CODES):
            if self._named(name) is None:
                raise SheetRefused(self.title, [pricesheet.no_such_name(name)])
        self.prices = self._named(pricesheet.PRICE_ROWS)
        self.sheet = self.prices.Worksheet
        self.left, self.top = int(self.prices.Column), int(self.prices.Row)
        self.bottom = self.top + int(self.prices.Rows.Count) - 1
        self.right = self.own_right = self.left + WIDTH - 1
        """The last column of the list, and of the user's own columns beside it, which have a heading."""
        while self.top > 1 and self.sheet.Cells(self.top - 1, self.own_right + 1).Value2 not in (None, ""):
            self.own_right += 1
        self.folder = Path(book.Path) if book.Path else None

    def _named(self, name: str) -> Any:
        """The cells of a defined name of the workbook, or None."""
        found = self.names.get(name)
        return None if found is None or "#REF!" in found.RefersTo else found.RefersToRange

    def _cells(self, top: int, bottom: int, width: int = 0, left: int = 0) -> Any:
        """Whole rows of the list with the user's own columns, or some columns of them."""
        first = self.left + left
        last = first + width - 1 if width else self.own_right
        return self.sheet.Range(self.sheet.Cells(top, first), self.sheet.Cells(bottom, last))

    def _stating(self) -> dict[str, Any]:
        """The cells above the prices that say where they come from, as far as the workbook has them."""
        named = ((stated.name, self._named(stated.name)) for stated in pricesheet.STATED)
        return {name: cells.Cells(1, 1) for name, cells in named if cells is not None}

    def stated(self) -> str:
        """The path that the workbook names."""
        cell = self._stating().get(pricesheet.PRICE_FILE)
        return "" if cell is None or cell.Value2 is None else str(cell.Value2).strip()

    def found(self, places: pricesheet.Places) -> pricesheet.Found:
        """What may be in the way."""
        heads = max(self.top - 1, 1)
        return pricesheet.Found(
            sheet=self.sheet.Name,
            rows=self.bottom - self.top + 1,
            columns=int(self.prices.Columns.Count),
            headings=_rows(self._cells(heads, heads, WIDTH).Value2)[0],
            protected=any(c.Worksheet.ProtectContents for c in (self.prices, *self._stating().values())),
            merged=list(dict.fromkeys(self._merged(heads))),
            own=list(self._own(places)),
            hidden=self._cells(self.top, self.bottom).EntireRow.Hidden is not False,  # None where some are
            days_from_1900=not self.book.Date1904,
            other=list(self._other(places)),
        )

    def _other(self, places: pricesheet.Places) -> Iterator[str]:
        formulas = [
            address(row - 1, column - 1)
            for row, cells in enumerate(_rows(self._cells(self.top, self.bottom, WIDTH).Formula), self.top)
            for column, (typed, data) in enumerate(zip(cells, pricesheet.COLUMNS, strict=True), self.left)
            if data.word != "text" and isinstance(typed, str) and typed.startswith("=")
        ]
        if formulas:
            yield pricesheet.formulas_among(self.sheet.Name, formulas)
        notes = [
            address(row - 1, column - 1)
            for row, column in self._noted()
            if self.top <= row <= self.bottom and self.left <= column <= self.own_right and row - self.top not in places.now
        ]
        if notes:
            yield pricesheet.notes_of_ended(self.sheet.Name, notes)

    def _noted(self) -> Iterator[tuple[int, int]]:
        """Row and column of each note, and of each thread of comments in an Excel that has them."""
        for note in (*self.sheet.Comments, *getattr(self.sheet, "CommentsThreaded", ())):
            yield int(note.Parent.Row), int(note.Parent.Column)

    def _used(self) -> tuple[int, int, Sequence[Sequence[Any]]]:
        """The first row and column of the used part of the sheet, and what is typed there."""
        used = self.sheet.UsedRange
        return int(used.Row), int(used.Column), _rows(used.Formula)

    def _merged(self, heads: int) -> Iterator[str]:
        """Addresses of merged blocks among the prices and below them."""
        first, _, rows = self._used()
        block = self._cells(heads, max(first + len(rows) - 1, self.bottom), WIDTH)
        if block.MergeCells is False:  # None where some are
            return
        for row in range(1, int(block.Rows.Count) + 1):
            for column in range(1, WIDTH + 1):
                cell = block.Cells(row, column)
                if cell.MergeCells:
                    area = cell.MergeArea
                    top, left = int(area.Row) - 1, int(area.Column) - 1
                    last = address(top + int(area.Rows.Count) - 1, left + int(area.Columns.Count) - 1)
                    yield f"{address(top, left)}:{last}"

    def _own(self, places: pricesheet.Places) -> Iterator[str]:
        """Addresses of the user's cells beside and below the prices that could neither stay nor move with a price."""
        first_row, first_column, rows = self._used()
        for row, cells in enumerate(rows, first_row):
            for column, content in enumerate(cells, first_column):
                ours = row <= self.bottom and self.left <= column <= self.right
                if row < self.top or ours or content in ("", None):
                    continue
                if places.in_the_way(row - self.top, self.right < column <= self.own_right):
                    yield address(row - 1, column - 1)

    def rows(self) -> Sequence[Sequence[Any]]:
        """The rows of prices as they stand."""
        return _rows(self._cells(self.top, self.bottom, WIDTH).Value2)

    def replace(self, rows: Sequence[Sequence[Any]], places: pricesheet.Places, stated: dict[str, Any]) -> None:
        """Put other rows in the place of the prices, and other values into the named cells above them."""
        told = {name: cell.Formula for name, cell in self._stating().items()}
        before, after = self.bottom, self.top + places.after - 1
        first_used, _, used = self._used()
        spare = max(first_used + len(used), self.top + places.reach) + 2
        kept = self._cells(spare, spare + places.before - 1)
        self._cells(self.top, before).Copy(kept)
        try:
            self._move(places, spare)
            self._fill(rows, after)
            self._follow(before, after)
            for name, cell in self._stating().items():
                cell.Value2 = stated[name]
            self._check(rows, after)
        except Exception:
            kept.Copy(self._cells(self.top, before))
            if after > before:
                self._cells(before + 1, after).Clear()
            self._follow(after, before)
            for name, cell in self._stating().items():
                cell.Formula = told[name]
            raise
        finally:
            kept.Clear()
        self.bottom = after

    def _move(self, places: pricesheet.Places, spare: int) -> None:
        """Have each row stand where its price goes, with what the user gave it; a new price looks like the last one.

        The rows as they were stand in spare ones.
        """
        for old, new, count in places.runs():
            self._cells(spare + old, spare + old + count - 1).Copy(self._cells(self.top + new, self.top + new + count - 1))
        last = spare + places.before - 1
        for new, count in places.fresh():
            block = self._cells(self.top + new, self.top + new + count - 1)
            self._cells(last, last).Copy(block)
            block.ClearContents()
            block.ClearComments()
        if places.after < places.before:
            self._cells(self.top + places.after, self.bottom).Clear()

    def _fill(self, rows: Sequence[Sequence[Any]], bottom: int) -> None:
        """Set the cells of the list, with the format that keeps text in the columns of text."""
        for number, column in enumerate(pricesheet.COLUMNS):
            cells = self._cells(self.top, bottom, 1, number)
            if column.word == "text" and cells.NumberFormat != TEXT_FORMAT:
                cells.NumberFormat = TEXT_FORMAT
        self._cells(self.top, bottom, WIDTH).Value2 = [list(row) for row in rows]

    def _follow(self, before: int, bottom: int) -> None:
        """Have the names and the filter end with the prices."""
        sheet = "'" + self.sheet.Name.replace("'", "''") + "'"
        for name, columns in ((pricesheet.PRICE_ROWS, pricesheet.READ_COLUMNS), (pricesheet.PRICE_CODES, 1)):
            first, last = address(self.top - 1, self.left - 1), address(bottom - 1, self.left + columns - 2)
            self.names[name].RefersTo = f"={sheet}!{absolute(f'{first}:{last}')}"
        if before != bottom and self.sheet.AutoFilterMode:
            filtered = self.sheet.AutoFilter.Range
            if (int(filtered.Row), int(filtered.Column)) == (self.top - 1, self.left):
                width = int(filtered.Columns.Count)
                self.sheet.AutoFilterMode = False
                self._cells(self.top - 1, bottom, width).AutoFilter()

    def _check(self, rows: Sequence[Sequence[Any]], bottom: int) -> None:
        """Read the rows back."""
        for number, (wanted, kept) in enumerate(
            zip(rows, _rows(self._cells(self.top, bottom, WIDTH).Value2), strict=True), self.top
        ):
            if list(map(_plain, wanted)) != list(map(_plain, kept)):
                raise NotKept(f"it made something else of row {number}: {kept}")


def _rows(value: Any) -> Sequence[Sequence[Any]]:
    """What Excel gives for a range, as rows: for one cell it gives the value alone."""
    return value if isinstance(value, (tuple, list)) else ((value,),)


def _plain(cell: Any) -> Any:
    return None if cell == "" else float(cell) if isinstance(cell, (int, float)) else cell
