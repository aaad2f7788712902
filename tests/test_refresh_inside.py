"""Refreshing the price list from inside the spreadsheet: in a real Calc, through the menu entry of the add-in; in Excel as
far as its object model can be simulated (the tests that say so).
"""

import datetime
import json
import re
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotelib.cli import main
from quotelib.errors import FileNotReplaced, QuoteError
from quotelib.formula import Formula
from quotelib.hosts.build import template
from quotelib.hosts.calc import menu
from quotelib.hosts.calc.install import install, uninstall
from quotelib.hosts.calc.library import NOTE, Library, LibraryFault, noted, price_rows, write_note
from quotelib.hosts.calc.refresh import LABEL
from quotelib.hosts.calc.session import Book, Session
from quotelib.hosts.excel import refresh as excel_refresh
from quotelib.hosts.excel.build import build_module
from quotelib.hosts.excel.refresh import refresh as refresh_in_excel
from quotelib.hosts.workbook.model import Book as Template
from quotelib.hosts.workbook.model import place
from quotelib.hosts.workbook.sheets import price_list as price_sheet
from quotelib.hosts.workbook.write import book_bytes
from quotelib.hosts.xlsx.refresh import closed_workbook
from quotelib.kinds import day_number, day_of
from quotelib.prices import pricesheet
from quotelib.prices.pricelist import load_price_list
from tests.simulated_price_sheet import ComError, Workbook
from tests.simulated_windows import SimulatedExcel

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
    "1-2,00123,Künstlich & Söhne <erfunden>,ink,1,L,5,USD,1,2026-01-01,",  # read as typed: a day, a number
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

    def everything(self) -> list[str]:
        """The whole document as LibreOffice writes it into one text, without the statistics of it."""
        with tempfile.TemporaryDirectory() as scratch:
            self._ask("save_flat", path=f"{scratch}/all.fods")
            text = Path(scratch, "all.fods").read_text(encoding="utf-8")
        return re.sub(r"(?s)<office:meta>.*?</office:meta>|<office:settings>.*?</office:settings>", "", text).split("\n")


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


@given(st.lists(st.sampled_from("ABCDEFGH"), unique=True), st.lists(st.sampled_from("ABCDEFGH"), unique=True))
def test_blocks_of_rows_bring_each_price_to_its_place(before: list[str], after: list[str]) -> None:
    rows = [[[code, *[None] * (len(pricesheet.COLUMNS) - 1)] for code in codes] for codes in (before, after)]
    places = pricesheet.Places(*rows)
    arranged = [*before, *[""] * (places.reach - len(before))][: len(after)]
    for old, new, count in places.runs():
        arranged[new : new + count] = before[old : old + count]
    for new, count in places.fresh():
        assert not set(after[new : new + count]) & set(before)
        arranged[new : new + count] = after[new : new + count]
    assert arranged == after


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
    opened.recalculate()
    before = opened.everything()
    write_list(folder / "price-list.csv", CHANGED)
    assert opened.refresh()[0]
    assert opened.history() == [LABEL]
    grown = opened.everything()
    assert grown != before
    write_list(folder / "price-list.csv", BEGIN[:2])
    assert opened.refresh()[0]
    opened.undo()
    assert opened.everything() == grown
    opened.undo()
    assert opened.everything() == before
    assert opened.history() == []
    opened.run("document.UndoManager.redo()")
    again = [line for line in opened.everything() if "table:database-range " not in line]
    assert again == [line for line in grown if "table:database-range " not in line]  # the filter: LibreOffice leaves it


def refused(book: Opened) -> str:
    """The words of a refusal that changes nothing."""
    before, steps, modified = book.everything(), book.history(), book.modified()
    done, words = book.refresh()
    assert not done
    assert book.everything() == before
    assert (book.history(), book.modified()) == (steps, modified)
    return words


@pytest.fixture
def note(calc: Menu) -> Iterator[Path]:
    """The user's folder of the profile with the note, which is put back afterwards."""
    profile = Path(calc.ask("user_folder"))
    kept = (profile / NOTE).read_bytes()
    yield profile
    (profile / NOTE).write_bytes(kept)


def stand_in(folder: Path, lines: str) -> Library:
    """A library whose command line does as told."""
    package = folder / "quotelib"
    package.mkdir()
    (package / "__main__.py").write_text(lines)
    return Library(sys.executable, str(folder))


@pytest.fixture
def quick(note: Path, tmp_path: Path) -> None:
    """A library that gives the changed prices without loading them: it answers sooner."""
    currency, rows = excel_refresh._load(write_list(tmp_path / "changed.csv", CHANGED))
    days = [column.word == "day" for column in pricesheet.COLUMNS]
    texts = [[day_of(c).isoformat() if day and c else c for day, c in zip(days, row, strict=True)] for row in rows]
    answer = {"currency": currency, "headings": [each.heading for each in pricesheet.COLUMNS], "rows": texts}
    write_note(note, stand_in(tmp_path, f"print({json.dumps(answer)!r})"))


IN_THE_WAY = {
    "prices.protect('')": "sheet 'Price list' is protected; take the protection off",
    "prices.getCellRangeByName('G8:H8').merge(True)": "are merged: G8:H8; split them",
    "prices.getCellRangeByName('A12:B13').merge(True)": "are merged: A12:B13; split them",
    "prices.getCellRangeByName('A4:A5').merge(True)": "are merged: A4:A5; split them",
    "prices.getCellRangeByName('C12').setString('Total')": "below or beside the prices: C12; move it",
    "prices.getCellRangeByName('Z18').setFormula('=1+1')": "below or beside the prices: Z18; move it",
    "prices.getCellRangeByName('Q7:R8').setDataArray(((1, 2), (3, 'x')))": "beside the prices: Q7, R7, Q8, R8; move it",
    "prices.getCellRangeByName('P5').setString('Mine')\n"
    "prices.getCellRangeByName('P7').setString('of a price that ends')": "beside the prices: P7; move it",
    "prices.getCellRangeByName('C7').setFormula('=1.1*C6')": "prices of sheet 'Price list' are formulas: C7; put them in",
    "place = prices.getCellByPosition(1, 6).CellAddress\n"
    "prices.Annotations.insertNew(place, 'ask')": "notes of sheet 'Price list' stand at prices that have ended: B7",
    "prices.Rows.getByIndex(7).IsVisible = False": "rows of prices of sheet 'Price list' are hidden",
    "prices.getCellRangeByName('C5').setString('Price')": "must hold the headings Code, From quantity, Unit price,",
    "document.NamedRanges.removeByName('price_rows')": "no cells have the name price_rows",
    "document.NamedRanges.removeByName('price_codes')": "no cells have the name price_codes",
    "four = prices.getCellRangeByName('A6:D9')\n"
    "document.NamedRanges.getByName('price_rows').setContent(four.AbsoluteName)": "stands for 4 x 4 cells",
    "document.Sheets.removeByName('Price list')": "no cells have the name price_rows",
    "document.NullDate = uno.createUnoStruct('com.sun.star.util.Date', 1, 1, 1904)": "its days count from 1904",
}


@pytest.mark.parametrize("lines", IN_THE_WAY)
def test_what_is_in_the_way_is_told_and_nothing_changes(opened: Opened, quick: None, lines: str) -> None:
    opened.run(lines + "\ndocument.UndoManager.clear()\ndocument.setModified(False)")
    words = refused(opened)
    assert words.startswith(
        "Refused: my quote.xlsx has 1 fault; a refresh of its prices must find none, and nothing was changed"
    )
    assert IN_THE_WAY[lines] in words


def test_all_that_is_in_the_way_is_told_at_once(opened: Opened, folder: Path) -> None:
    write_list(folder / "price-list.csv", CHANGED)
    opened.run("\n".join(list(IN_THE_WAY)[1:11]) + "\nprices.protect('')")
    words = refused(opened)
    assert "has 6 faults" in words
    merged, own = "are merged: A4:A5, G8:H8, A12:B13; split", "P7, Q7, R7, Q8, R8, C12, Z18; move"
    for part in ("is protected", merged, own, "are hidden", "are formulas: C7", "that have ended: B7"):
        assert part in words


def test_workbook_open_for_reading_only_is_refused(calc: Menu, folder: Path) -> None:
    with calc.open_itself(folder / "my quote.xlsx", read_only=True) as book:
        assert "it is open for reading only" in refused(book)


WHAT_A_PRICE_HAS = """
cells = [prices.getCellRangeByName(name) for name in ("P6", "P7", "P8", "P9", "P10", "P11", "P18")]
result = [cell.getFormula() for cell in cells], [cell.CellBackColor for cell in cells], [
    [each.Position.Column, each.Position.Row, each.String] for each in prices.Annotations]
"""


def test_what_the_user_gave_a_price_moves_with_it(opened: Opened, folder: Path) -> None:
    opened.run(
        "prices.getCellRangeByName('P5').setString('My remarks')\n"
        "prices.getCellRangeByName('P8').setString('ask for 25 L')\n"  # at INK
        "prices.getCellRangeByName('P9').setFormula('=C9*2+$C$6')\n"  # at TAPE
        "prices.getCellRangeByName('A8:P8').CellBackColor = 0xFFEE00\n"
        "prices.getCellRangeByName('Z900').setString('far away')\n"
        "prices.Annotations.insertNew(prices.getCellByPosition(2, 8).CellAddress, 'from the spring offer')"
    )
    opened.recalculate()
    before = opened.everything()
    prices = write_list(folder / "price-list.csv", CHANGED)
    assert opened.refresh() == (True, f"Read from {prices}, {TOLD}")
    none, marked = -1, 0xFFEE00
    assert opened.run(WHAT_A_PRICE_HAS) == [
        ["", "ask for 25 L", "", "", "", "=C11*2+$C$6", ""],
        [none, marked, none, none, none, none, none],
        [[2, 10, "from the spring offer"]],
    ]
    assert opened.value("Price list!A6:O18") == expected_cells(prices) and opened.value("Price list!Z900") == "far away"
    assert opened.value("Price list!P11") == pytest.approx(9 / 50_000 * 2 + 0.35)
    opened.undo()
    assert opened.everything() == before


def test_a_closed_workbook_is_refreshed_to_the_same(
    opened: Opened, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    opened.run(
        "prices.getCellRangeByName('P5').setString('My remarks')\nprices.getCellRangeByName('P8').setString('ask for 25 L')"
    )
    opened.store()
    closed = folder / "closed.xlsx"
    closed.write_bytes((folder / "my quote.xlsx").read_bytes())
    prices = write_list(folder / "price-list.csv", CHANGED)
    assert main(["refresh", str(closed), "--prices", str(prices)]) == 0
    assert TOLD in capsys.readouterr().out
    assert opened.refresh() == (True, f"Read from {prices}, {TOLD}")
    opened.store()
    cells = []
    for path in (folder / "my quote.xlsx", closed):
        book = openpyxl.load_workbook(path)
        names = {name: defined.attr_text for name, defined in book.defined_names.items()}
        cells.append(
            ([[cell.value for cell in row] for row in book["Price list"].iter_rows(max_row=20, max_col=17)], names)
        )
    assert cells[0] == cells[1]


def test_refresh_from_outside_is_refused_while_it_is_open_here(opened: Opened, folder: Path) -> None:
    with pytest.raises(FileNotReplaced, match="LibreOffice has it open"):
        closed_workbook(folder / "my quote.xlsx")


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
    assert words.startswith(f"Refused: {prices} has 13 faults; it must have none, and nothing was loaded:\n  line 2")
    assert words.count("from quantity is '0'; it must be whole, 1 to 1e9") == 13


def test_two_workbooks_open_are_two_workbooks(calc: Menu, opened: Opened, folder: Path) -> None:
    other = small_workbook(folder / "other.xlsx", folder / "price-list.csv")
    write_list(folder / "price-list.csv", CHANGED)
    with calc.open_itself(other) as second:
        before = second.everything()
        assert opened.refresh()[0]
        assert second.everything() == before and not second.modified()
        refreshed = opened.everything()
        assert second.refresh()[0]
        assert opened.everything() == refreshed


def test_workbook_never_saved_reads_the_usual_list_or_a_whole_path(calc: Menu, folder: Path, shop: Path) -> None:
    with Opened(calc, calc.open(folder / "my quote.xlsx")._number) as copy:  # a new document, made from the file
        done, words = copy.refresh()
        assert done and f"Read from {shop / 'price-list.csv'}, in USD" in words
        assert copy.value("price_file") == str(shop / "price-list.csv")
        copy.set({"price_file": "lists/ours.csv"})
        assert "lists/ours.csv has 1 fault" in refused(copy) and "has no folder yet" in refused(copy)
        copy.set({"price_file": str(write_list(folder / "ours.csv", CHANGED))})
        assert copy.refresh()[0]
        assert copy.value("price_file") == str(folder / "ours.csv") and copy.value("Quote!A3") == 1313.0


def test_path_is_taken_from_the_folder_of_the_workbook(opened: Opened, folder: Path, shop: Path) -> None:
    (folder / "Preise & Co").mkdir()
    prices = write_list(folder / "Preise & Co" / "März.csv", CHANGED)
    opened.set({"price_file": "Preise & Co/März.csv"})
    assert opened.refresh() == (True, f"Read from {prices}, {TOLD}")
    assert opened.value("price_file") == "Preise & Co/März.csv"
    prices.unlink()
    assert f"{prices} has 1 fault" in refused(opened) and "there is no such file" in refused(opened)
    opened.set({"price_file": None})
    assert opened.refresh()[0]
    assert opened.value("price_file") == str(shop / "price-list.csv") and opened.value("Quote!A3") == 404.0


def test_library_that_cannot_be_asked_is_told(opened: Opened, note: Path, tmp_path: Path) -> None:
    library = noted(note)
    assert library and library == Library(sys.executable, str(REPOSITORY), library.prices)
    write_note(note, library._replace(python=str(tmp_path / "no python")))
    assert "the Python noted for the library cannot be started" in refused(opened)
    write_note(note, library._replace(folder=str(tmp_path / "gone")))
    assert "cannot be started" in refused(opened) and "python -m quotelib install" in refused(opened)
    write_note(note, stand_in(tmp_path, "import no_such_module"))
    assert "No module named 'no_such_module'" in refused(opened) and "python -m quotelib install" in refused(opened)
    for text in ("{}", "[1]", "no JSON"):
        (note / NOTE).write_text(text)
        assert "LibreOffice has not been told where the library is; type  python -m quotelib install" in refused(opened)
    (note / NOTE).unlink()
    assert "LibreOffice has not been told where the library is" in refused(opened)
    write_note(note, library._replace(prices=None))
    opened.set({"price_file": None})
    assert "no price list is named; put its path into the cell named price_file" in refused(opened)


def test_failure_on_the_way_is_undone(opened: Opened, note: Path, tmp_path: Path) -> None:
    row = ["X", 1, 1, "2026-01-01", None, "sheet", "00123", "1-2", "sheet", 1, "sheet", 1, "USD", 1]
    rows = [[*row, 1]] * 6 + [[*row, {"not": "a number"}]]
    answer = {"currency": "USD", "headings": [each.heading for each in pricesheet.COLUMNS], "rows": rows}
    write_note(note, stand_in(tmp_path, f"print({json.dumps(answer)!r})"))
    opened.recalculate()
    opened.run("prices.getCellRangeByName('F2').setString('mine')\ndocument.setModified(False)")
    assert "Nothing was changed: LibreOffice failed" in refused(opened)


def test_library_that_does_not_answer_in_time_is_ended(tmp_path: Path) -> None:
    slow = stand_in(tmp_path, "import time; time.sleep(60)")
    with pytest.raises(LibraryFault, match=r"the library did not answer within 0\.3 s; try again"):
        price_rows(slow, tmp_path / "price-list.csv", within=0.3)


def test_library_of_another_version_is_told(tmp_path: Path) -> None:
    other = stand_in(tmp_path, """print('{"currency": "USD", "headings": ["Code"], "rows": [["INK"]]}')""")
    with pytest.raises(LibraryFault, match=r"and this add-in are of different versions; type  python -m quotelib install"):
        price_rows(other, tmp_path / "price-list.csv")


def test_installation_is_noted_and_its_removal_too(libreoffice: None, tmp_path: Path, shop: Path) -> None:
    install(profile=tmp_path, prices=shop / "no such list.csv")
    assert noted(tmp_path / "user") == Library(sys.executable, str(REPOSITORY), None)
    uninstall(tmp_path)
    assert noted(tmp_path / "user") is None


def test_rows_on_the_command_line_are_those_of_the_sheet(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = write_list(shop / "changed.csv", CHANGED)
    assert main(["prices", "--prices", str(path), "--format", "json"]) == 0
    given = json.loads(capsys.readouterr().out)
    rows = pricesheet.rows_of(load_price_list(path))
    as_text = [[cell.isoformat() if isinstance(cell, datetime.date) else cell for cell in row] for row in rows]
    assert given == {"currency": "USD", "headings": [each.heading for each in pricesheet.COLUMNS], "rows": as_text}
    assert main(["prices", "--prices", str(path)]) == 0
    assert f"13 rows, in USD for one quoting unit, from {path}." in capsys.readouterr().out
    assert main(["prices", "--prices", str(shop / "none.csv")]) == 1
    assert "the file cannot be read" in capsys.readouterr().err


def test_results_of_the_template_follow_the_refreshed_prices(calc: Menu, tmp_path: Path) -> None:
    """The whole template, refreshed with dearer transfers and inks, against the library called with the same list."""
    workbook = REPOSITORY / "workbook"
    for name in ("shop-rates.toml", "price-list.csv", "quoting.xlsx"):
        (tmp_path / name).write_bytes((workbook / name).read_bytes())
    price = re.compile(r"(?m)^((?:TRANSFER|INK|BLANK)[^\n]*,)(\d+\.\d+)(,USD)")
    text = (tmp_path / "price-list.csv").read_text(encoding="utf-8")
    dearer = price.sub(lambda found: f"{found[1]}{float(found[2]) * 1.5:.2f}{found[3]}", text)
    (tmp_path / "price-list.csv").write_text(dearer, encoding="utf-8")
    costs = ["hand_cost", "transfer_cost", "over_cost", "pad_cost"]
    with calc.open_itself(tmp_path / "quoting.xlsx") as book:
        before = book.values(costs)
        assert book.refresh()[0]
        shown = book.values(costs)  # what Calc worked out by itself: nothing was recalculated since
        book.store()
    expected = template(tmp_path)
    for name, value in shown.items():
        title, area = expected.names[name]
        assert value == pytest.approx(expected.value(title, *place(area)), rel=1e-9)
        assert value > before[name] * 1.01
    with calc.open(tmp_path / "quoting.xlsx") as again:
        assert again.values(list(shown)) == {name: pytest.approx(value, rel=1e-12) for name, value in shown.items()}


# Excel, simulated: a stand-in for its object model, and xlwings' own code on stand-ins for Windows


def excel_refused(book: Workbook, folder: Path) -> str:
    """The words of a refusal that changes nothing."""
    before = book.everything()
    with pytest.raises(QuoteError) as refusal:
        refresh_in_excel(book, folder)
    assert book.everything() == before
    return str(refusal.value)


@pytest.fixture
def in_excel(folder: Path) -> Workbook:
    return Workbook(folder / "my quote.xlsx")


def test_simulated_excel_rows_grow_and_shrink_as_in_calc(in_excel: Workbook, folder: Path) -> None:
    prices = write_list(folder / "price-list.csv", CHANGED)
    assert refresh_in_excel(in_excel, folder) == f"Read from {prices}, {TOLD}"
    assert in_excel.shows("Price list", "A6:O18") == expected_cells(prices)
    today = float(day_number(datetime.date.today()))
    assert in_excel.shows("Price list", "B2:B4") == [["price-list.csv"], ["USD"], [today]]
    sheets, names = in_excel.everything()
    assert (names["price_rows"], names["price_codes"]) == ("='Price list'!$A$6:$E$18", "='Price list'!$A$6:$A$18")
    assert in_excel.sheet("Price list").filtered == (5, 1, 18, 15)
    formats = in_excel.sheet("Price list").formats
    assert all(formats[row, column] == formats[6, column] for row in range(6, 19) for column in range(1, 16))

    prices = write_list(folder / "price-list.csv", BEGIN[:1])
    assert "Rows: 13 before, 1 now. Prices: 0 new, 1 changed, 12 ended" in refresh_in_excel(in_excel, folder)
    assert in_excel.shows("Price list", "A6:O6") == expected_cells(prices)
    assert max(row for row, _ in in_excel.sheet("Price list").content) == 6
    assert (7, 1) not in formats and in_excel.sheet("Price list").filtered == (5, 1, 6, 15)
    assert in_excel.everything()[0][0] == sheets[0]  # the user's own sheet


def test_simulated_excel_keeps_text_in_a_sheet_without_the_format_of_text(in_excel: Workbook, folder: Path) -> None:
    formats = in_excel.sheet("Price list").formats
    formats.update({place: "General" for place, number_format in formats.items() if number_format == "@"})
    prices = write_list(folder / "price-list.csv", CHANGED)
    refresh_in_excel(in_excel, folder)
    assert in_excel.shows("Price list", "A6:O18") == expected_cells(prices)


def test_simulated_excel_refuses_what_is_in_the_way_and_changes_nothing(in_excel: Workbook, folder: Path) -> None:
    sheet = in_excel.sheet("Price list")
    write_list(folder / "price-list.csv", CHANGED)
    sheet.merged += [(8, 7, 8, 8), (1, 4, 1, 6), (12, 1, 13, 2)]
    sheet.content |= {(12, 3): "Total", (5, 16): "Mine", (7, 16): "of a price that ends", (18, 26): "=1+1", (7, 3): "=C6"}
    sheet.content |= {(900, 26): "far away", (2, 11): "above"}
    sheet.notes[7, 2] = "of a price that ends"
    sheet.hidden.add(8)
    sheet.ProtectContents = in_excel.Date1904 = True
    words = excel_refused(in_excel, folder)
    assert words.startswith("my quote.xlsx has 7 faults; a refresh of its prices must find none, and nothing was changed:")
    for part in ("is protected", "are merged: G8:H8, A12:B13; split", ": P7, C12, Z18; move", "are hidden", "from 1904"):
        assert part in words
    assert "are formulas: C7; put" in words and "at prices that have ended: B7; delete" in words
    sheet.content[5, 3] = "Price"
    assert "must hold the headings Code, From quantity" in excel_refused(in_excel, folder)
    in_excel.Names = [name for name in in_excel.Names if name.Name != "price_codes"]
    assert "no cells have the name price_codes" in excel_refused(in_excel, folder)
    next(name for name in in_excel.Names if name.Name == "price_rows").RefersTo = "=#REF!$A$6:$E$9"
    assert "no cells have the name price_rows" in excel_refused(in_excel, folder)


def test_simulated_excel_moves_with_a_price_what_the_user_gave_it(in_excel: Workbook, folder: Path) -> None:
    sheet = in_excel.sheet("Price list")
    sheet.content |= {(5, 16): "My remarks", (8, 16): "ask for 25 L", (9, 16): "=C9*2+$C$6"}
    sheet.formats[8, 3] = "0.00 [Red]"
    sheet.notes[9, 3] = "from the spring offer"
    prices = write_list(folder / "price-list.csv", CHANGED)
    assert TOLD in refresh_in_excel(in_excel, folder)
    assert in_excel.shows("Price list", "A6:O18") == expected_cells(prices)
    own = [row[0] for row in in_excel.shows("Price list", "P6:P18")]
    assert own == ["", "ask for 25 L", "", "", "", "=C11*2+$C$6", *[""] * 7]
    assert [row for row in range(6, 19) if sheet.formats[row, 3] == "0.00 [Red]"] == [7]
    assert sheet.notes == {(11, 3): "from the spring offer"}
    assert max(row for row, _ in (*sheet.content, *sheet.formats)) == 18


def test_simulated_excel_tells_every_fault_of_a_list(in_excel: Workbook, folder: Path) -> None:
    write_list(folder / "price-list.csv", [row.replace(",1,2026", ",0,2026") for row in CHANGED])
    assert excel_refused(in_excel, folder).count("from quantity is '0'; it must be whole, 1 to 1e9") == 13


def test_simulated_excel_asks_for_a_list_where_none_is_named(folder: Path, shop: Path, tmp_path: Path) -> None:
    never_saved = Workbook(folder / "my quote.xlsx", saved=False)
    assert f"Read from {shop / 'price-list.csv'}, in USD" in refresh_in_excel(never_saved, shop)
    assert never_saved.shows("Price list", "B2:B2") == [[str(shop / "price-list.csv")]]
    never_saved.sheet("Price list").content.pop((2, 2))
    assert "no price list is named" in excel_refused(never_saved, tmp_path)
    never_saved.picked = str(write_list(tmp_path / "picked.csv", CHANGED))
    assert TOLD in refresh_in_excel(never_saved, tmp_path)


@pytest.mark.parametrize("rows", [CHANGED, BEGIN[:2]])
def test_simulated_excel_puts_everything_back_when_it_fails(in_excel: Workbook, folder: Path, rows: list[str]) -> None:
    sheet = in_excel.sheet("Price list")
    if rows == CHANGED:
        sheet.content |= {(5, 16): "Mine", (8, 16): "=C8*2"}
    before = in_excel.everything()
    write_list(folder / "price-list.csv", rows)
    days = pricesheet.STATED[2].row + 1
    refusals = iter([True])
    sheet.refuses = lambda row, _column: row == days and next(refusals, False)  # the last cell to be written, once
    with pytest.raises(ComError, match="the cell is protected"):
        refresh_in_excel(in_excel, folder)
    assert in_excel.everything() == before


def test_simulated_excel_that_makes_something_else_of_a_value_is_noticed(
    in_excel: Workbook, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = in_excel.everything()
    write_list(folder / "price-list.csv", CHANGED)
    monkeypatch.setattr(excel_refresh, "TEXT_FORMAT", "General")  # as if the format of text kept no text
    with pytest.raises(excel_refresh.NotKept, match="it made something else of row"):
        refresh_in_excel(in_excel, folder)
    assert in_excel.everything()[1] == before[1]
    assert in_excel.shows("Price list", "A5:O19") == Workbook(folder / "my quote.xlsx").shows("Price list", "A5:O19")


def test_simulated_button_refreshes_the_workbook_and_shows_a_box(folder: Path) -> None:
    (folder / "quoting.py").write_text(build_module(), encoding="utf-8")
    with SimulatedExcel(folder) as excel:
        excel.import_functions()
        prices = write_list(folder / "price-list.csv", CHANGED)
        box, cells = excel.press_button(folder / "my quote.xlsx")
        assert box == ["Refresh the price list", f"Read from {prices}, {TOLD}", 64]
        assert cells[:13] == [row[:5] for row in expected_cells(prices)] and cells[13:] == [[""] * 5] * 2
        prices.unlink()
        box, cells = excel.press_button(folder / "my quote.xlsx")
        assert box[1].startswith("Refused: ") and "there is no such file" in box[1] and box[2] == 48
        assert len([row for row in cells if row[0]]) == 4
