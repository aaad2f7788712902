"""Refreshing the price list from inside the spreadsheet: in a real Calc, through the menu entry of the add-in; in Excel as far
as its object model can be simulated (the tests that say so).
"""

import datetime
import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from quotelib import pricesheet
from quotelib.cli import main
from quotelib.formula import Formula
from quotelib.hosts.build import template
from quotelib.hosts.calc import menu
from quotelib.hosts.calc.install import install, uninstall
from quotelib.hosts.calc.library import NOTE, Library, LibraryFault, noted, price_rows, write_note
from quotelib.hosts.calc.session import Book, Session
from quotelib.hosts.workbook.model import Book as Template
from quotelib.hosts.workbook.sheets import prices as price_sheet
from quotelib.hosts.workbook.write import book_bytes
from quotelib.kinds import day_number
from quotelib.pricelist import load_price_list

REPOSITORY = Path(__file__).resolve().parents[1]

HEAD = "code,description,supplier,kind,pack quantity,pack unit,price,currency,from quantity,valid from,valid to\n"
BEGIN = [
    "FILM,Release film,Invented Films,sheet,1,sheet,0.32,USD,1,2026-01-01,",
    "FILM,Release film,Invented Films,sheet,1,sheet,0.27,USD,500,2026-01-01,",
    "INK,Ink for wheels,Invented Inks,ink,1,L,40,USD,1,2026-01-01,2026-12-31",
    "TAPE,Screen tape,Invented Tapes,tape,1,roll of 50 m,9,USD,1,2026-01-01,",
]
CHANGED = [
    "FILM,Release film,Invented Films,sheet,1,sheet,0.35,USD,1,2026-01-01,",  # another price
    "INK,Ink for wheels,Invented Inks,ink,1,L,40,USD,1,2026-01-01,2026-06-30",  # another last day
    "INK,Ink for wheels,Invented Inks,ink,1,L,44,USD,1,2026-07-01,",
    "1-2,00123,Künstlich & Söhne <erfunden>,ink,1,L,5,USD,1,2026-01-01,",  # a spreadsheet would make a day and a number of it
    "TRUE,1/2,Invented,ink,1,L,7,USD,1,2026-01-01,",
    "TAPE,Screen tape,Invented Tapes,tape,1,roll of 50 m,9,USD,1,2026-01-01,",
    *(f"BLANK-{n},Blank {n},Invented Blanks,blank,1,each,{n},USD,1,2026-01-01," for n in range(1, 8)),
]
TOLD = "in USD. Rows: 4 before, 13 now. Prices: 10 new, 2 changed, 1 ended, 1 as they were."


def write_list(path: Path, rows: list[str]) -> Path:
    path.write_text(HEAD + "\n".join(rows) + "\n", encoding="utf-8")
    return path


def small_workbook(path: Path, prices: Path) -> Path:
    """A quote that reads two prices, and the price sheet of the template."""
    book = Template()
    quote = book.sheet("Quote")
    quote.put(0, 0, "My own quote")
    for row, text in enumerate(('PRICE_ON("FILM",1,46100,price_rows)', "ROWS(price_rows)*100+ROWS(price_codes)")):
        quote.put(row + 1, 0, AsTyped(text))
    price_sheet.fill(book, book.sheet("Price list"), load_price_list(prices), datetime.date(2026, 1, 1))
    path.write_bytes(book_bytes(book))
    return path


class AsTyped(Formula):
    """A formula as a user types it, with a stored result that is never true."""

    def __init__(self, words: str) -> None:
        self.words = words

    def text(self) -> str:
        return self.words

    def value(self, cells: Any) -> Any:
        return 999


class Menu(Session):
    """A real Calc in which a test opens files themselves and chooses from the menu."""

    program = str(Path(__file__).with_name("menu_bridge.py"))

    def open_itself(self, path: Path, read_only: bool = False) -> "Opened":
        return Opened(self, self.ask("open_itself", path=str(path), read_only=read_only))


class Opened(Book):
    """A workbook opened itself."""

    def refresh(self) -> tuple[bool, str]:
        """Choose the menu entry: whether it was done, and what it says."""
        done, words = self._ask("entry", command=menu.COMMAND)
        return done, words

    def history(self) -> list[str]:
        return self._ask("history")  # type: ignore[no-any-return]

    def modified(self) -> bool:
        return bool(self._ask("modified"))

    def undo(self) -> None:
        self._ask("undo")

    def store(self) -> None:
        self._ask("store")

    def run(self, lines: str) -> Any:
        """Run Python on `document` and its `prices`, the sheet; what it leaves in `result`."""
        return self._ask("script", lines="prices = document.Sheets.getByIndex(document.Sheets.Count - 1)\n" + lines)

    def everything(self) -> Any:
        """All that a refresh could touch: every cell, names, filters, formats, notes, hidden rows."""
        return self.run(EVERYTHING)


EVERYTHING = """
result = [[name.Name, name.Content] for name in document.NamedRanges]
unnamed = document.getPropertyValue("UnnamedDatabaseRanges")
for number, sheet in enumerate(document.Sheets):
    cursor = sheet.createCursor()
    cursor.gotoEndOfUsedArea(True)
    result += [sheet.Name, sheet.isProtected(), cursor.AbsoluteName, cursor.getFormulaArray()]
    for x in range(cursor.Columns.Count):
        for y in range(cursor.Rows.Count):
            cell = cursor.getCellByPosition(x, y)
            result.append([cell.NumberFormat, cell.CellBackColor, cell.BottomBorder.OuterLineWidth, cell.IsMerged])
    result.append([sheet.Rows.getByIndex(y).IsVisible for y in range(cursor.Rows.Count)])
    if unnamed.hasByTable(number):
        area = unnamed.getByTable(number).getDataArea()
        result.append([area.StartColumn, area.StartRow, area.EndColumn, area.EndRow])
"""


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder with the shop's usual price list."""
    folder = tmp_path_factory.mktemp("the shop's lists ß")
    write_list(folder / "price-list.csv", BEGIN)
    return folder


@pytest.fixture(scope="module")
def calc(libreoffice: None, shop: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Menu]:
    """A Calc in which the add-in was installed as a user installs it."""
    profile = tmp_path_factory.mktemp("profile")
    install(profile=profile, prices=shop / "price-list.csv")
    with Menu(profile) as session:
        yield session


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with spaces and letters of other languages, with a workbook and its price list."""
    folder = tmp_path / "Angebote für Łódź 100%"
    folder.mkdir()
    small_workbook(folder / "my quote.xlsx", write_list(folder / "price-list.csv", BEGIN))
    return folder


@pytest.fixture
def opened(calc: Menu, folder: Path) -> Iterator[Opened]:
    with calc.open_itself(folder / "my quote.xlsx") as book:
        yield book


def expected_cells(prices: Path) -> list[list[Any]]:
    """The rows of the sheet as Calc shows them: days as numbers, blanks as empty text."""
    shown = {datetime.date: day_number, type(None): lambda _: "", int: float}
    rows = pricesheet.rows_of(load_price_list(prices))
    return [[shown.get(type(cell), lambda same: same)(cell) for cell in row] for row in rows]


# Calc, for real


def test_entry_is_under_tools_in_calc_alone(calc: Menu) -> None:
    assert calc.ask("entries") == [
        {"Title": "Refresh the price list", "URL": menu.COMMAND, "Context": "com.sun.star.sheet.SpreadsheetDocument"}
    ]


def test_rows_grow_and_everything_that_hangs_on_them_follows(opened: Opened, folder: Path) -> None:
    opened.recalculate()
    assert opened.value("Quote!A2:A3") == [[0.32], [404.0]]
    prices = write_list(folder / "price-list.csv", CHANGED)
    assert opened.refresh() == (True, f"Read from {prices}, {TOLD}")
    assert opened.value("Quote!A2:A3") == [[0.35], [1313.0]]  # by itself: nothing was recalculated since
    assert opened.value("Price list!A6:O18") == expected_cells(prices)
    today = float(day_number(datetime.date.today()))
    assert opened.value("Price list!B2:B4") == [["price-list.csv"], ["USD"], [today]]
    opened.store()

    book = openpyxl.load_workbook(folder / "my quote.xlsx")
    sheet = book["Price list"]
    rows = [[cell.value for cell in row] for row in sheet["A6:O18"]]
    as_read = [[cell.date() if isinstance(cell, datetime.datetime) else cell for cell in row] for row in rows]
    assert as_read == [list(row) for row in pricesheet.rows_of(load_price_list(prices))]
    assert book.defined_names["price_rows"].attr_text == "'Price list'!$A$6:$E$18"
    assert book.defined_names["price_codes"].attr_text == "'Price list'!$A$6:$A$18"
    assert sheet.auto_filter.ref == "A5:O18"
    for column in "ABCDEFGHIJKLMNO":
        looks = [(sheet[f"{column}{row}"].number_format, sheet[f"{column}{row}"].border.bottom.style) for row in (6, 9, 18)]
        assert looks[0] == looks[1] == looks[2], column
    assert sheet.max_row == 18 and book["Quote"]["A1"].value == "My own quote"


def test_rows_shrink_and_leave_nothing_behind(opened: Opened, folder: Path) -> None:
    write_list(folder / "price-list.csv", CHANGED)
    assert opened.refresh()[0]
    prices = write_list(folder / "price-list.csv", BEGIN[:1])
    assert opened.refresh() == (
        True,
        f"Read from {prices}, in USD. Rows: 13 before, 1 now. Prices: 0 new, 1 changed, 12 ended, 0 as they were.",
    )
    assert opened.value("Quote!A2:A3") == [[0.32], [101.0]]
    opened.store()
    sheet = openpyxl.load_workbook(folder / "my quote.xlsx")["Price list"]
    assert [cell.value for cell in sheet["A"]][4:] == ["Code", "FILM"] and sheet.auto_filter.ref == "A5:O6"
    assert sheet["B9"].number_format == "General" and not sheet["B9"].border.bottom.style


def test_one_undo_takes_it_all_back(opened: Opened, folder: Path) -> None:
    before = opened.everything()
    write_list(folder / "price-list.csv", CHANGED)
    assert opened.refresh()[0]
    assert opened.history() == [menu.LABEL]
    grown = opened.everything()
    assert grown != before
    write_list(folder / "price-list.csv", BEGIN[:2])
    assert opened.refresh()[0]
    opened.undo()
    assert opened.everything() == grown
    opened.undo()
    assert opened.everything() == before
    assert opened.history() == []


def refused(book: Opened) -> str:
    """The words of a refusal that changes nothing."""
    before, steps, modified = book.everything(), book.history(), book.modified()
    done, words = book.refresh()
    assert not done
    assert (book.everything(), book.history(), book.modified()) == (before, steps, modified)
    return words


IN_THE_WAY = {
    "prices.protect('')": "sheet 'Price list' is protected; take the protection off",
    "prices.getCellRangeByName('G8:H8').merge(True)": "are merged: G8:H8; split them",
    "prices.getCellRangeByName('A12:B13').merge(True)": "are merged: A12:B13; split them",
    "prices.getCellRangeByName('A4:A5').merge(True)": "are merged: A4:A5; split them",
    "prices.getCellRangeByName('C12').setString('Total')": "below or beside the prices: C12; move it",
    "prices.getCellRangeByName('Z900').setFormula('=1+1')": "below or beside the prices: Z900; move it",
    "prices.getCellRangeByName('Q7:R8').setDataArray(((1, 2), (3, 'x')))": "below or beside the prices: Q7:R8; move it",
    "prices.getCellRangeByName('P5').setString('Mine')": "below or beside the prices: P5; move it",
    "prices.Rows.getByIndex(7).IsVisible = False": "rows of prices of sheet 'Price list' are hidden",
    "prices.getCellRangeByName('C5').setString('Price')": "must hold the headings Code, From quantity, Unit price,",
    "document.NamedRanges.removeByName('price_rows')": "no cells have the name price_rows",
    "document.NamedRanges.removeByName('price_codes')": "no cells have the name price_codes",
    "document.NamedRanges.getByName('price_rows').setContent('$A$6:$D$9')": "stands for 4 x 4 cells; it must be 5 wide",
    "document.Sheets.removeByName('Price list')": "no cells have the name price_rows",
    "document.NullDate = uno.createUnoStruct('com.sun.star.util.Date', 1, 1, 1904)": "its days count from 1904",
}


@pytest.mark.parametrize("lines", IN_THE_WAY)
def test_what_is_in_the_way_is_told_and_nothing_changes(opened: Opened, folder: Path, lines: str) -> None:
    write_list(folder / "price-list.csv", CHANGED)
    opened.run(lines + "\ndocument.UndoManager.clear()\ndocument.setModified(False)")
    words = refused(opened)
    assert words.startswith("Refused: my quote.xlsx has 1 fault; a refresh of its prices must find none, and nothing was changed")
    assert IN_THE_WAY[lines] in words


def test_all_that_is_in_the_way_is_told_at_once(opened: Opened) -> None:
    opened.run("\n".join(list(IN_THE_WAY)[1:9]) + "\nprices.protect('')")
    words = refused(opened)
    assert "has 4 faults" in words
    for part in ("is protected", "are merged: A4:A5, G8:H8, A12:B13; split", "P5, Q7:R8, C12, Z900; move", "are hidden"):
        assert part in words


def test_workbook_open_for_reading_only_is_refused(calc: Menu, folder: Path) -> None:
    with calc.open_itself(folder / "my quote.xlsx", read_only=True) as book:
        assert "it is open for reading only" in refused(book)


def test_title_block_and_sheets_of_the_user_may_look_as_they_like(opened: Opened, folder: Path) -> None:
    opened.run(
        "prices.getCellRangeByName('D1:F1').merge(True)\n"
        "prices.getCellRangeByName('K2').setString('mine')\n"
        "prices.Name = 'What we pay'\n"
        "document.Sheets.getByName('Quote').protect('')"
    )
    write_list(folder / "price-list.csv", CHANGED)
    assert opened.refresh()[0]
    assert opened.value("What we pay!K2") == "mine" and opened.value("Quote!A3") == 1313.0


def test_rows_of_a_list_that_the_user_moved_are_replaced_there(opened: Opened, folder: Path) -> None:
    opened.run("prices.Rows.insertByIndex(1, 3)\nprices.Columns.insertByIndex(0, 2)")
    prices = write_list(folder / "price-list.csv", CHANGED)
    assert opened.refresh()[0]
    assert opened.value("Price list!C9:Q21") == expected_cells(prices)
    assert opened.value("Quote!A2:A3") == [[0.35], [1313.0]]


def test_list_with_faults_is_told_with_every_fault(opened: Opened, folder: Path) -> None:
    prices = write_list(folder / "price-list.csv", [row.replace(",1,2026", ",0,2026") for row in CHANGED])
    words = refused(opened)
    assert words.startswith(f"Refused: {prices} has 12 faults; it must have none, and nothing was loaded:\n  line 2, column I: ")
    assert words.count("from quantity is '0'; it must be whole, 1 to 1e9") == 12


def test_failure_on_the_way_is_undone(opened: Opened, folder: Path) -> None:
    opened.run("prices.getCellRangeByName('N7:O9').setArrayFormula('=ROW(A1:B3)')")
    write_list(folder / "price-list.csv", BEGIN[:3])
    assert "Nothing was changed: LibreOffice failed" in refused(opened)
