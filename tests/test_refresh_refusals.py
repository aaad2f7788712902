"""The refresh of a closed workbook: what is in the way is told, all at once, and nothing is changed."""

import datetime
import re
import struct
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from quotelib.errors import FileNotReplaced, FileRefused, SheetRefused
from quotelib.hosts.xlsx.refresh import closed_workbook
from tests.workbooks import (
    AFTER,
    BEFORE,
    HEADINGS,
    MAKERS,
    SHORT,
    Book,
    Prices,
    content_types,
    minimal,
    pack,
    relations,
    sheet_rows,
)

STATED = {"price_file": "price-list.csv", "price_currency": "USD", "price_day": datetime.date(2026, 11, 25)}


def refused(path: Path, rows: Prices = AFTER, error: type[FileRefused] = SheetRefused) -> str:
    """The words of a refusal; the folder is as it was."""
    before = {each.name: each.read_bytes() for each in path.parent.iterdir()}
    with pytest.raises(error) as refusal, closed_workbook(path) as book:
        book.refresh(rows, STATED)
    assert {each.name: each.read_bytes() for each in path.parent.iterdir()} == before
    assert type(refusal.value) is error
    return str(refusal.value)


Change = Callable[[Book], Any]
IN_THE_WAY: dict[str, tuple[Change, str]] = {
    "protected": (lambda book: book.sheet.protect(), "sheet 'Price list' is protected; take the protection off"),
    "merged among the prices": (lambda book: book.sheet.merge_range("G8:H8", "x"), "are merged: G8:H8; split them"),
    "merged where the list grows to": (lambda book: book.sheet.merge_range("A15:B16", ""), "are merged: A15:B16"),
    "merged headings": (lambda book: book.sheet.merge_range("A4:A5", "Code"), "are merged: A4:A5"),
    "below, where the list grows to": (lambda book: book.sheet.write("C15", "Total"), "beside the prices: C15; move"),
    "a formula below": (lambda book: book.sheet.write_formula("Z16", "=1+1"), "below or beside the prices: Z16; move"),
    "beside, without a heading": (lambda book: book.sheet.write("Q7", 1), "below or beside the prices: Q7; move"),
    "a column of formulas": (
        lambda book: (book.sheet.write("P5", "Mine"), book.sheet.write_formula("P7", "=C7*2")),
        "below or beside the prices: P7; move",
    ),
    "an array that one formula fills": (
        lambda book: (book.sheet.write("P5", "Mine"), book.sheet.write_array_formula("P6:P13", "{=C6:C13*2}", None, 0)),
        "below or beside the prices: P6, P7, P8, P9, P10, P11, P12, P13; move",
    ),
    "beside a price that ends": (
        lambda book: (book.sheet.write("P5", "Mine"), book.sheet.write("P10", "ask again")),
        "below or beside the prices: P10; move",
    ),
    "a price that is a formula": (lambda book: book.sheet.write_formula("C9", "=C8*2"), "are formulas: C9"),
    "a note at a price that moves": (
        lambda book: book.sheet.write_comment("A9", "dear"),
        "stand at rows that get another price: A9; take them off",
    ),
    "a small chart beside a price": (
        lambda book: book.sheet.add_sparkline("P9", {"range": "Quote!A1:B1"}),
        "stand at rows that get another price: P9; take them off",
    ),
    "a hidden row": (lambda book: book.sheet.set_row(7, None, None, {"hidden": True}), "are hidden; take"),
    "another heading": (lambda book: book.sheet.write("C5", "Price"), "must hold the headings Code, From"),
    "a row of totals": (
        lambda book: book.sheet.add_table("A5:O14", {"total_row": True, "name": "All"}),
        "table All on sheet 'Price list' has a row",
    ),
    "a table over a part": (
        lambda book: book.sheet.add_table("A5:O9", {"name": "Few"}),
        "table Few on sheet 'Price list' covers A5:O9",
    ),
    "a table with a worked out column": (
        lambda book: book.sheet.add_table(
            "A5:P13", {"name": "More", "columns": [{}] * 15 + [{"header": "Double", "formula": "=[@[Unit price]]*2"}]}
        ),
        "table More on sheet 'Price list' has a column worked out by formula",
    ),
}


@pytest.mark.parametrize("case", IN_THE_WAY)
@pytest.mark.filterwarnings("ignore::UserWarning:xlsxwriter")
def test_what_is_in_the_way_is_told(tmp_path: Path, case: str) -> None:
    change, words = IN_THE_WAY[case]
    path = tmp_path / "quote.xlsx"
    with Book(path) as book:
        change(book)
        if "table" in words:  # XlsxWriter writes the headings of the table over ours
            book.sheet.write_row(4, 0, HEADINGS)
    told = refused(path)
    assert "a refresh of its prices must find none, and nothing was changed" in told
    assert words in told


def test_everything_is_told_at_once(tmp_path: Path) -> None:
    path = tmp_path / "quote.xlsx"
    with Book(path) as book:
        for case in (
            "protected",
            "merged among the prices",
            "below, where the list grows to",
            "a note at a price that moves",
        ):
            IN_THE_WAY[case][0](book)
    told = refused(path)
    assert "has 4 faults" in told
    assert "is protected" in told and "G8:H8" in told and "C15" in told and "A9" in told


def test_days_from_1904(tmp_path: Path) -> None:
    path = tmp_path / "quote.xlsx"
    with Book(path, date_1904=True):
        pass
    assert "its days count from 1904" in refused(path)


@pytest.mark.parametrize(
    ("name", "area", "words"),
    [
        ("price_rows", "$A$6:$D$13", "stands for 8 x 4 cells; it must be 5 wide"),
        ("price_codes", "$B$6:$B$13", "the name price_codes must stand for the first column of price_rows"),
        ("price_codes", "$A$6:$A$12", "the name price_codes must stand for the first column of price_rows"),
        ("price_rows", "$A$6:$E$9,'Price list'!$A$11:$E$13", "it must stand for one block of cells of one sheet"),
        ("price_rows", "#REF!", "the name price_rows stands for 'Price list'!#REF!; it must stand for one block"),
        ("price_rows", "$A$1:$E$13", "the row above the prices of sheet 'Price list' must hold the headings Code,"),
    ],
)
def test_names_that_stand_for_something_else(tmp_path: Path, name: str, area: str, words: str) -> None:
    path = tmp_path / "quote.xlsx"
    parts = minimal(sheet_rows(BEFORE))
    changed = re.sub(f"(name='{name}'>&apos;Price list&apos;!)[^<]*", rf"\g<1>{area}", parts["xl/workbook.xml"])
    if area.startswith("$A$1"):
        changed = re.sub("(name='price_codes'>&apos;Price list&apos;!)[^<]*", r"\g<1>$A$1:$A$13", changed)
    pack(path, {**parts, "xl/workbook.xml": changed})
    assert words in refused(path)


def test_missing_names(tmp_path: Path) -> None:
    path = tmp_path / "quote.xlsx"
    parts = minimal(sheet_rows(BEFORE))
    for name in ("price_rows", "price_codes"):
        changed = parts["xl/workbook.xml"].replace(f"'{name}'", "'other'")
        pack(path, {**parts, "xl/workbook.xml": changed})
        assert f"no cells have the name {name}" in refused(path)
    pack(path, {**parts, "xl/workbook.xml": parts["xl/workbook.xml"].replace('name="Price list"', 'name="Lost"')})
    assert "no cells have the name price_rows" in refused(path)


def test_nothing_in_the_way_of_prices_that_keep_their_place(tmp_path: Path) -> None:
    """Notes, formulas and things beside the list stay where every price stays on its row."""
    path = tmp_path / "quote.xlsx"
    with Book(path) as book:
        for case in (
            "beside, without a heading",
            "a column of formulas",
            "a note at a price that moves",
            "below, where the list grows to",
        ):
            IN_THE_WAY[case][0](book)
    dearer = [(*row[:2], row[2] * 2, *row[3:]) for row in BEFORE]
    with closed_workbook(path) as workbook:
        done = workbook.refresh(dearer, STATED)
    assert done.changes.changed == len(BEFORE) and done.by_address == []


# --- files that are no such workbook ---


def plain(path: Path) -> dict[str, bytes]:
    MAKERS["plain.xlsx"](path)
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def test_other_kinds_of_file(tmp_path: Path) -> None:
    path = tmp_path / "quote.xlsx"
    path.write_bytes(bytes.fromhex("d0cf11e0a1b11ae1") + bytes(1000))
    assert "encrypted, or an older .xls file" in refused(path)
    path.write_text("code,price\n")
    assert "it is no .xlsx or .xlsm workbook" in refused(path)
    path.write_bytes(b"")
    assert "it is no .xlsx or .xlsm workbook" in refused(path)
    pack(path, {"mimetype": "application/vnd.oasis.opendocument.spreadsheet", "content.xml": "<a/>"})
    assert "it is an .ods file; refresh it from the menu within Calc" in refused(path)
    pack(path, {"letter.txt": "dear"})
    assert "it is a zip archive, but no .xlsx or .xlsm workbook" in refused(path)
    binary = relations({"rId1": ("officeDocument", "xl/workbook.bin")})
    pack(path, {"_rels/.rels": binary, "xl/workbook.bin": b"\x83\x01", "[Content_Types].xml": content_types({})})
    assert "it is an .xlsb workbook" in refused(path)


def test_signed_workbook(tmp_path: Path) -> None:
    path = tmp_path / "quote.xlsx"
    parts = minimal(sheet_rows(BEFORE))
    origin = "http://schemas.openxmlformats.org/package/2006/relationships/digital-signature/origin"
    parts["_rels/.rels"] = relations(
        {"rId1": ("officeDocument", "xl/workbook.xml"), "rId2": (origin, "_xmlsignatures/origin.sigs")}
    )
    pack(path, {**parts, "_xmlsignatures/origin.sigs": ""})
    assert "it is signed, and any change breaks the signature" in refused(path)


@pytest.mark.parametrize("part", ["xl/workbook.xml", "xl/worksheets/sheet1.xml", "xl/_rels/workbook.xml.rels"])
@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b'<!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>', "has a document type declaration"),
        (b"<a><b></a>", "is damaged"),
        ("<?xml version='1.0' encoding='UTF-16'?><a/>".encode("utf-16"), "is written in"),
        (b"<?xml version='1.0' encoding='ISO-8859-1'?><a/>", "is written in ISO-8859-1"),
    ],
)
def test_parts_that_cannot_be_read(tmp_path: Path, part: str, content: bytes, words: str) -> None:
    path = tmp_path / "quote.xlsx"
    pack(path, {**minimal(sheet_rows(BEFORE)), part: content})
    told = refused(path)
    assert part in told and words in told


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (b"F\xffLM", "is damaged at text"),
        (b"&#99999999999;", "is damaged at text"),
        (b"<!-- x -->", "has comments or sections"),
    ],
)
def test_shared_texts_that_cannot_be_read(tmp_path: Path, wrong: bytes, words: str) -> None:
    path = tmp_path / "quote.xlsx"
    MAKERS["as-excel-lays-it-out.xlsx"](path)
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    texts = parts["xl/sharedStrings.xml"].replace(b"<t>FILM</t>", b"<t>" + wrong + b"</t>")
    pack(path, {**parts, "xl/sharedStrings.xml": texts})
    told = refused(path)
    assert "xl/sharedStrings.xml" in told and words in told


def test_rows_and_cells_out_of_order(tmp_path: Path) -> None:
    path = tmp_path / "quote.xlsx"
    for wrong, words in (
        ('<row r="3"/>', "row 3 comes after row 13"),
        ('<row r="20"><c r="B20"/><c r="A20"/></row>', "cell A20 of row 20"),
    ):
        pack(path, dict(minimal(sheet_rows(BEFORE) + wrong)))
        assert words in refused(path)


def test_bomb(tmp_path: Path) -> None:
    path = tmp_path / "quote.xlsx"
    pack(path, {**minimal(sheet_rows(BEFORE)), "xl/worksheets/sheet1.xml": b"<a>" + bytes(30_000_000)})
    assert "unpacks to more than 500 times its packed size" in refused(path)


def test_archive_cut_short_or_changed_anywhere(tmp_path: Path) -> None:
    """Every cut is refused; a changed byte in what is read is refused, and elsewhere it is carried over as it is."""
    path = tmp_path / "quote.xlsx"
    pack(path, dict(minimal(sheet_rows(BEFORE))))
    whole = path.read_bytes()
    for length in range(0, len(whole), 97):
        path.write_bytes(whole[:length])
        assert "quote.xlsx" in refused(path)
    for place in range(0, len(whole), 23):
        changed = bytearray(whole)
        changed[place] ^= 0x55
        path.write_bytes(changed)
        try:
            with closed_workbook(path) as book:
                book.refresh(AFTER, STATED, dry_run=True)
        except FileRefused as refusal:
            assert "quote.xlsx" in str(refusal)
        assert path.read_bytes() == changed and len(list(tmp_path.iterdir())) == 1


def test_members_that_overlap(tmp_path: Path) -> None:
    """Two entries of the directory for the same bytes, as in a bomb."""
    path = tmp_path / "quote.xlsx"
    pack(path, {**minimal(sheet_rows(BEFORE)), "one.bin": bytes(50), "two.bin": bytes(50)})
    content = bytearray(path.read_bytes())
    with zipfile.ZipFile(path) as archive:
        offset = archive.getinfo("one.bin").header_offset
    struct.pack_into("<L", content, content.rindex(b"two.bin") - 4, offset)
    path.write_bytes(content)
    assert "runs into the next one" in refused(path)


def test_encrypted_member(tmp_path: Path) -> None:
    path = tmp_path / "quote.xlsx"
    pack(path, dict(minimal(sheet_rows(BEFORE))))
    content = bytearray(path.read_bytes())
    place = content.rindex(b"xl/worksheets/sheet1.xml") - 46
    struct.pack_into("<H", content, place + 8, 1)
    path.write_bytes(content)
    assert "member xl/worksheets/sheet1.xml is encrypted" in refused(path)


# --- files that may not be replaced ---


def test_workbook_open_in_a_spreadsheet(tmp_path: Path) -> None:
    path = tmp_path / "quote.xlsx"
    MAKERS["plain.xlsx"](path)
    mark = tmp_path / "~$quote.xlsx"
    mark.touch()
    assert "Excel has it open" in refused(path, error=FileNotReplaced)
    mark.rename(tmp_path / ".~lock.quote.xlsx#")
    assert "LibreOffice has it open" in refused(path, error=FileNotReplaced)


def test_workbook_for_reading_only_and_none(tmp_path: Path) -> None:
    path = tmp_path / "quote.xlsx"
    MAKERS["plain.xlsx"](path)
    path.chmod(0o444)
    assert "it is read-only" in refused(path, error=FileNotReplaced)
    with pytest.raises(FileNotFoundError):
        closed_workbook(tmp_path / "none.xlsx")


def test_dry_run_writes_nothing_and_says_the_same(tmp_path: Path) -> None:
    path = tmp_path / "quote.xlsx"
    MAKERS["addresses.xlsx"](path)
    before = path.read_bytes()
    with closed_workbook(path) as book:
        would = book.refresh(SHORT, STATED, dry_run=True)
    assert path.read_bytes() == before and [each.name for each in tmp_path.iterdir()] == ["quote.xlsx"]
    with closed_workbook(path) as book:
        done = book.refresh(SHORT, STATED)
    assert would == done._replace(backup=None) and done.backup is not None
