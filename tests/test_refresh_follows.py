"""The refresh of a closed workbook: what follows the list, what moves with its price, and what is told about the rest."""

import datetime
import re
import zipfile
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotelib.cli import main
from quotelib.hosts.xlsx.markup import cell_text, plain, read_cell_text
from quotelib.hosts.xlsx.references import Area, Following, references
from quotelib.hosts.xlsx.refresh import Refreshed, closed_workbook
from quotelib.prices.pricesheet import Changes
from tests.workbooks import (
    AFTER,
    BEFORE,
    DAY,
    FIRST,
    HEADINGS,
    MAKERS,
    SHORT,
    Book,
    Prices,
    minimal,
    pack,
    price,
    sheet_rows,
)

READ_ON = datetime.date(2026, 11, 25)
STATED = {"price_file": "price-list.csv", "price_currency": "USD", "price_day": READ_ON}

pytestmark = pytest.mark.filterwarnings("ignore::UserWarning:openpyxl")


def refresh(path: Path, rows: Prices) -> Refreshed:
    with closed_workbook(path) as book:
        return book.refresh(rows, STATED)


def make(name: str, folder: Path) -> Path:
    path = folder / name
    MAKERS[name](path)
    return path


def part(path: Path, name: str) -> str:
    with zipfile.ZipFile(path) as archive:
        return archive.read(name).decode()


def names_of(path: Path) -> dict[str, str]:
    """What every name of the workbook or of the price sheet stands for, as written."""
    names = re.findall(r'<definedName name="([^"]*)"([^>]*)>([^<]*)<', part(path, "xl/workbook.xml"))
    return {name: text for name, scope, text in names if 'localSheetId="0"' not in scope}


# --- what follows ---


def test_rules_follow(tmp_path: Path) -> None:
    path = make("rules.xlsx", tmp_path)
    refresh(path, AFTER)
    xml = part(path, "xl/worksheets/sheet2.xml")
    assert sorted(re.findall(r'sqref="([^"]*)"|<xm:sqref>([^<]*)<', xml)) == sorted(
        [(area, "") for area in ("C6:C17", "B3", "F6:F17", "A6:A17", "C6:C17", "L6:L17", "A6:O17", "A6:A17")]
        + [("", "C6:C17")]
    )
    assert "<formula1>$F$6:$F$17</formula1>" in xml and "COUNTIF($A$6:$A$17,$A6)&gt;1" in xml
    refresh(path, SHORT)
    xml = part(path, "xl/worksheets/sheet2.xml")
    assert 'sqref="A6:O7"' in xml and "<xm:sqref>C6:C7</xm:sqref>" in xml and "COUNTIF($A$6:$A$7,$A6)&gt;1" in xml


def test_names_filters_and_printing_follow(tmp_path: Path) -> None:
    path = make("filter-and-printing.xlsx", tmp_path)
    before = names_of(path)
    done = refresh(path, AFTER)
    after = names_of(path)
    changed = {name: after[name] for name in after if after[name] != before[name]}
    assert changed == {
        "_xlnm._FilterDatabase": "'Price list'!$A$5:$O$17",
        "_xlnm.Print_Area": "'Price list'!$A$1:$O$17",
        "price_rows": "'Price list'!$A$6:$E$17",
        "price_codes": "'Price list'!$A$6:$A$17",
        "my_units": "'Price list'!$F$6:$F$17",
    }
    assert after["my_film"] == "'Price list'!$C$8" and done.by_address == ["the name my_film"]
    assert 'autoFilter ref="A5:O17"' in part(path, "xl/worksheets/sheet2.xml")


def test_table_follows(tmp_path: Path) -> None:
    path = make("table-over-the-list.xlsx", tmp_path)
    refresh(path, AFTER)
    tables = {
        name: openpyxl.load_workbook(path)[sheet].tables[name]
        for sheet, name in (("Price list", "Prices"), ("Quote", "Mine"))
    }
    assert (tables["Prices"].ref, tables["Prices"].autoFilter.ref) == ("A5:O17", "A5:O17")
    assert tables["Mine"].ref == "D5:E8"


def test_table_with_a_column_of_my_own_follows(tmp_path: Path) -> None:
    path = tmp_path / "quote.xlsx"
    with Book(path) as book:
        columns = [{"header": heading} for heading in (*HEADINGS, "Mine")]
        book.sheet.add_table(f"A5:P{book.last}", {"name": "Prices", "columns": columns})
        book.sheet.write("P8", "on the film")
    refresh(path, AFTER)
    sheet: Any = openpyxl.load_workbook(path)["Price list"]
    assert sheet.tables["Prices"].ref == "A5:P17" and sheet["P9"].value == "on the film" and sheet["P8"].value is None


def test_layout_of_the_desktop_program(tmp_path: Path) -> None:
    path = make("as-excel-lays-it-out.xlsx", tmp_path)
    refresh(path, AFTER)
    xml, book = part(path, "xl/worksheets/sheet1.xml"), part(path, "xl/workbook.xml")
    assert '<dimension ref="A1:O17"/>' in xml and 'sqref="A6:A17 C6:C17"' in xml and 'sqref="M6:M17 B3"' in xml
    assert "MAX($C$6:$C$17)=$C6" in xml and "<xm:sqref>C6:C17</xm:sqref>" in xml and 'activeCell="C9" sqref="C9"' in xml
    rows = re.findall(r"<row [^>]*>", xml)
    assert rows[5:] == [f'<row r="{row}" x14ac:dyDescent="0.25">' for row in range(6, 18)]
    assert "\"'Price list'!$A$6:$E$13\"" in book  # a text
    assert '<calcPr calcId="191029" calcMode="auto" fullCalcOnLoad="1"/>' in book


def test_cells_without_addresses_below_the_list_keep_their_row(tmp_path: Path) -> None:
    path = make("minimal-without-addresses.xlsx", tmp_path)
    for rows in (AFTER, SHORT):
        refresh(path, rows)
        sheet: Any = openpyxl.load_workbook(path)["Price list"]
        assert sheet["A22"].value == 77
        assert [sheet.cell(row, 1).value for row in range(FIRST, 22)] == [r[0] for r in rows] + [None] * (16 - len(rows))


# --- what moves with its price ---


def test_columns_of_my_own_move_with_their_price(tmp_path: Path) -> None:
    path = make("columns-of-my-own.xlsx", tmp_path)
    for rows, sled, film in ((AFTER, 7, 9), (SHORT, 6, 7), (BEFORE, 6, 8)):
        refresh(path, rows)
        sheet: Any = openpyxl.load_workbook(path)["Price list"]
        beside = {cell.coordinate: cell.value for row in sheet.iter_rows(min_row=5, max_row=30, min_col=16) for cell in row}
        assert {place: value for place, value in beside.items() if value is not None} == {
            "P5": "Call", "Q5": "My note", f"P{sled}": "call BLANK-SLED", f"P{film}": "call FILM", f"Q{film}": "film maker",
        }  # fmt: skip
        assert sheet[f"P{film}"].font.bold
        assert [(cell, sheet[cell].hyperlink.target) for cell in (f"Q{film}",)] == [
            (f"Q{film}", "https://example.com/film")
        ]
        assert (sheet["C41"].value, sheet["C42"].value) == ("far below", "=1+1")


def test_what_is_beside_a_price_goes_to_the_one_that_takes_its_place(tmp_path: Path) -> None:
    """A note on a code stays with the code when its price of January becomes one of July."""
    path = make("columns-of-my-own.xlsx", tmp_path)
    july = datetime.date(2026, 7, 1)
    rows = [price("AAA", 1, 1.0), *(price(row[0], row[1], row[2], day=july) for row in BEFORE)]
    done = refresh(path, rows)
    assert (done.changes.new, done.changes.ended) == (9, 8)
    sheet: Any = openpyxl.load_workbook(path)["Price list"]
    beside = {sheet.cell(row, 1).value: sheet.cell(row, 16).value for row in range(6, 15) if sheet.cell(row, 16).value}
    assert beside == {"BLANK-SLED": "call BLANK-SLED", "FILM": "call FILM"} and sheet["Q9"].value == "film maker"
    with closed_workbook(path) as book, pytest.raises(ValueError, match="beside the prices: P7"):
        book.refresh([price("FILM", 1, 0.4, day=DAY), price("FILM", 1, 0.5, day=datetime.date(2027, 1, 1))], STATED)


def test_looks_move_with_their_price_and_new_ones_look_like_most(tmp_path: Path) -> None:
    path = make("looks.xlsx", tmp_path)
    refresh(path, AFTER)
    sheet: Any = openpyxl.load_workbook(path)["Price list"]
    assert [row for row in range(1, 30) if sheet.row_dimensions[row].height == 30] == [9]  # FILM
    assert [row for row in range(6, 18) if sheet.cell(row, 3).font.bold] == [9]
    assert {sheet.cell(row, 3).number_format for row in range(6, 18) if row != 9} == {"#,##0.000000"}
    assert {sheet.cell(row, 4).number_format for row in range(6, 18)} == {"yyyy-mm-dd"}
    assert {sheet.cell(row, 5).number_format for row in range(6, 18)} == {"yyyy-mm-dd"}  # also where there is no last day
    assert sheet.row_dimensions[61].height == 36 and sheet["D62"].font.bold
    assert sheet.column_dimensions["I"].hidden


def test_numbers_are_written_to_the_last_digit(tmp_path: Path) -> None:
    path = make("plain.xlsx", tmp_path)
    figures = [0.1 + 0.2, 1e-07, 123456789.125, 1 / 3, 5e-324, 1.7976931348623157e308, 2.0, 1234567890123456789]
    refresh(path, [price(f"N{number}", 1, figure) for number, figure in enumerate(figures)])
    sheet: Any = openpyxl.load_workbook(path)["Price list"]
    assert [float(sheet.cell(row, 3).value) for row in range(6, 14)] == [float(figure) for figure in figures]


@given(st.text(max_size=60))
def test_every_text_comes_back(text: str) -> None:
    """Through XML as a parser reads it, back to what was written."""
    raw = cell_text(text)
    assert raw.isascii()
    import xml.etree.ElementTree as ET

    assert read_cell_text(ET.fromstring(b"<t>" + raw + b"</t>").text or "") == text
    assert read_cell_text(plain(raw)[0]) == text


# --- what is told ---


def test_what_refers_to_prices_by_address_is_told(tmp_path: Path) -> None:
    path = make("addresses.xlsx", tmp_path)
    assert refresh(path, AFTER).by_address == [
        "L1 of sheet 'Price list'", "C1, C2 of sheet 'Quote'",
        "a validation, a conditional format, a link or a small chart of sheet 'Quote'",
    ]  # fmt: skip
    path = make("charts.xlsx", tmp_path)
    assert refresh(path, AFTER).by_address == ["a chart on sheet 'Quote'"]
    path = make("as-excel-lays-it-out.xlsx", tmp_path)
    assert refresh(path, AFTER).by_address == ["a pivot table on sheet 'Quote'"]


def test_nothing_is_told_when_prices_keep_their_place(tmp_path: Path) -> None:
    dearer = [(*row[:2], row[2] * 2, *row[3:]) for row in BEFORE]
    for name in ("addresses.xlsx", "charts.xlsx", "as-excel-lays-it-out.xlsx"):
        assert refresh(make(name, tmp_path), dearer).by_address == []


def test_names_on_another_sheet_and_formulas_above_the_list_are_left(tmp_path: Path) -> None:
    path = tmp_path / "quote.xlsx"
    with Book(path) as book:
        book.sheet.write_formula("B4", "=TODAY()")
    assert refresh(path, AFTER).not_stated == ["price_day"]
    parts = minimal(sheet_rows(BEFORE))
    book_xml = re.sub("(name='price_file'>)[^<]*", r"\1Quote!$A$9", parts["xl/workbook.xml"])
    pack(path, {**parts, "xl/workbook.xml": book_xml})
    assert refresh(path, AFTER).not_stated == ["price_file"]


def test_changes_are_counted(tmp_path: Path) -> None:
    done = refresh(make("openpyxl.xlsx", tmp_path), AFTER)
    assert done.changes == Changes(rows_before=8, rows_after=12, new=5, changed=2, ended=1, unchanged=5)
    assert done.changes == refresh(make("as-excel-lays-it-out.xlsx", tmp_path), AFTER).changes


# --- any list after any list ---

CODES = st.sampled_from([f"C{number}" for number in range(12)])


@st.composite
def price_lists(draw: st.DrawFn) -> Prices:
    codes = draw(st.lists(CODES, min_size=1, max_size=12, unique=True))
    return [price(code, 1, draw(st.floats(0.01, 1e6)), words=draw(st.text(max_size=8))) for code in codes]


@given(before=price_lists(), after=price_lists(), below=st.integers(1, 20))
def test_any_list_after_any_list(
    tmp_path_factory: pytest.TempPathFactory, before: Prices, after: Prices, below: int
) -> None:
    """Prices are those of the list, a note of one's own stays beside its price, what stands below stays or is refused."""
    path = tmp_path_factory.mktemp("any") / "quote.xlsx"
    kept = {row[0] for row in before} & {row[0] for row in after}
    last = FIRST + len(before) - 1
    with Book(path, rows=before) as book:
        book.sheet.write(4, 15, "Mine")
        for number, row in enumerate(before):
            if row[0] in kept:
                book.sheet.write(FIRST - 1 + number, 15, f"note on {row[0]}")
        book.sheet.write(last - 1 + below, 2, "below")
    place = last + below
    if FIRST + len(after) - 1 >= place:
        content = path.read_bytes()
        with pytest.raises(ValueError, match=f"below or beside the prices: C{place};"):
            refresh(path, after)
        assert path.read_bytes() == content
        return
    refresh(path, after)
    sheet: Any = openpyxl.load_workbook(path)["Price list"]
    rows = [(sheet.cell(row, 1).value, sheet.cell(row, 3).value, sheet.cell(row, 16).value) for row in range(FIRST, place)]
    assert rows == [
        (code, unit_price, f"note on {code}" if code in kept else None) for code, _, unit_price, *_ in after
    ] + [(None, None, None)] * (place - FIRST - len(after))
    assert sheet.cell(place, 3).value == "below"


# --- addresses ---


@pytest.mark.parametrize(
    ("formula", "found"),
    [
        ("SUM('Price list'!$A$6:$E$13,B7)", [("Price list", "$A$6:$E$13"), (None, "B7")]),
        ('"A1"&A2&"\'x\'!B3"', [(None, "A2")]),
        ("Prices[Unit price]+Prices[[#This Row],[C6]]*C7", [(None, "C7")]),
        ("LOG10(A1)+ABC12X+my.A1+A1B+T1!A3", [(None, "A1"), ("T1", "A3")]),
        ("[1]Sheet1!A1+'[Book 1.xlsx]Price list'!B2", [("[1]Sheet1", "A1"), ("[Book 1.xlsx]Price list", "B2")]),
        ("'It''s'!C3+Jan:Dec!D4", [("It's", "C3"), ("Jan:Dec", "D4")]),
        ("A:A+5:5+XFD1048576+XFE1+A1048577", [(None, "XFD1048576")]),
        ("A1#+$b$2", [(None, "$b$2")]),
    ],
)
def test_addresses_in_formulas(formula: str, found: list[tuple[str | None, str]]) -> None:
    assert [(each.sheet, formula[each.start : each.end]) for each in references(formula)] == found


def test_blocks_that_cover_the_list() -> None:
    following = Following(left=1, right=15, first=6, old_last=13, new_last=20)
    assert following.list_followed("A6:A13 $A$5:$O$13 A1:B13 Z6:Z13 A6:A12 A7:A13 A6:A14 Z1:Z13 B13 A:A") == (
        "A6:A20 $A$5:$O$20 A1:B20 Z6:Z20 A6:A12 A7:A13 A6:A14 Z1:Z13 B13 A:A"
    )
    assert Area.of("$B$7:A3") == Area(3, 1, 7, 2) and Area.of("A") is None and Area.of("7:9") is None


# --- the command ---


def test_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    head = "code,description,supplier,kind,pack quantity,pack unit,price,currency,from quantity,valid from,valid to\n"
    prices = tmp_path / "new.csv"
    prices.write_text(head + "FILM,Release film,Invented Films,sheet,1,sheet,0.35,USD,1,2026-01-01,\n")
    path = make("addresses.xlsx", tmp_path)
    before = path.read_bytes()
    assert main(["refresh", str(path), "--prices", str(prices), "--dry-run"]) == 0
    told = capsys.readouterr().out
    assert "Rows: 8 before, 1 now. Prices: 1 new, 0 changed, 8 ended, 0 as they were." in told
    assert "C1, C2 of sheet 'Quote'" in told and "Nothing was written (--dry-run)." in told
    assert path.read_bytes() == before
    assert main(["refresh", str(path), "--prices", str(prices)]) == 0
    told = capsys.readouterr().out
    backup = next(tmp_path.glob("addresses.before-*.xlsx"))
    assert str(backup) in told and backup.read_bytes() == before
    sheet: Any = openpyxl.load_workbook(path)["Price list"]
    assert [sheet[cell].value for cell in ("A6", "B2", "B3")] == ["FILM", "new.csv", "USD"]
    assert sheet["B4"].value.date() == datetime.date.today()
    prices.write_text(prices.read_text().replace("0.35", "0.37"))
    assert main(["refresh", str(path)]) == 0  # the list that the workbook names
    assert "1 changed" in capsys.readouterr().out
    (tmp_path / "~$addresses.xlsx").touch()
    other = make("plain.xlsx", tmp_path)
    assert main(["refresh", str(path), str(other), "--prices", str(prices)]) == 1
    told = capsys.readouterr()
    assert "Refused" in told.err and "Excel has it open" in told.err and "plain.xlsx: Read from" in told.out
    assert main(["refresh", str(path), "--prices", str(prices)]) == 1
