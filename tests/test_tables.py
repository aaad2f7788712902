"""Tables from files that anyone may have made: what is read, and what is refused in which words.

Good workbooks are made by XlsxWriter and openpyxl, and read by openpyxl too, as the check from outside; broken and hostile
ones are made by hand.  CSV is as in RFC 4180.
"""

import csv
import datetime
import functools
import io
import os
import re
import struct
import time
import zipfile
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter
from hypothesis import example, given, settings
from hypothesis import strategies as st

from quotelib.errors import FileRefused, RangeError
from quotelib.files.tables import (
    CELL_MOST,
    COLUMNS_MOST,
    ENCODINGS,
    FILE_MOST,
    STRAY_MARK,
    UNCLOSED,
    DateCell,
    ErrorCell,
    NumberCell,
    read_table,
)
from quotelib.files.xlsx import MEMBERS_MOST, NO_RESULT, ROWS_MOST

SECONDS = 5
"""No file, whatever is in it, may take longer; counted in the process, so that a busy machine is no fault."""


@pytest.fixture
def read(tmp_path):
    """Write these bytes to a file and read the table in it."""

    def of(content, name="prices.csv", **how):
        path = tmp_path / name
        path.write_bytes(content)
        start = time.process_time()
        try:
            return read_table(path, **how)
        finally:
            assert time.process_time() - start < SECONDS

    return of


@pytest.fixture
def faults(read):
    """The faults for which a file of these bytes is refused."""

    def of(content, name="prices.csv", **how):
        with pytest.raises(FileRefused) as refused:
            read(content, name, **how)
        assert Path(refused.value.argument).name == name
        return refused.value.faults

    return of


def rows(table):
    return [tuple(row.cells) for row in table.rows]


# --- CSV ---


def test_csv_as_rfc_4180_has_it(read):
    """Its section 2: CRLF, quoted cells with commas, line breaks and doubled marks."""
    table = read(b'aaa,bbb,ccc\r\n"a,1","b\r\n2","c""3"\r\nzzz,yyy,xxx\r\n')
    assert table.header == ("aaa", "bbb", "ccc")
    assert rows(table) == [("a,1", "b 2", 'c"3'), ("zzz", "yyy", "xxx")]
    assert [row.number for row in table.rows] == [2, 4]
    assert (table.file, table.sheet, table.header_row, table.counted) == ("prices.csv", None, 1, "line")


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_line_ends_and_unicode(read, end, encoding):
    table = read(end.join(["code,näme", "A,Zoë ½", "", '"B","x' + end + 'y"', "C,"]).encode(encoding))
    assert table.header == ("code", "näme")
    assert [tuple(row) for row in table.rows] == [(2, ("A", "Zoë ½")), (4, ("B", "x y")), (6, ("C", ""))]


def test_utf_16_of_both_orders(read):
    for mark, order in ((b"\xff\xfe", "utf-16-le"), (b"\xfe\xff", "utf-16-be")):
        assert rows(read(mark + "a\né".encode(order))) == [("é",)]


@pytest.mark.parametrize("encoding", ENCODINGS)
def test_named_encodings(read, encoding):
    text = {"cp1251": "Ж", "cp1253": "Ω", "shift_jis": "日", "gb18030": "日", "big5": "日", "euc_kr": "한"}.get(
        encoding, "ä"
    )
    assert rows(read(f"a\n{text}".encode(encoding), encoding=encoding.upper())) == [(text,)]


def test_an_encoding_is_never_guessed(faults, read):
    content = "code,price\nCafé,1\n".encode("cp1252")
    wanted = "a CSV file must be saved in UTF-8 where no other encoding is named"
    assert faults(content) == [f"line 2: byte 0xE9 is not UTF-8; {wanted}"]
    assert rows(read(content, encoding="cp1252")) == [("Café", "1")]
    assert faults(b"\xff\xfea\0\n\0b", encoding=None) == [f"line 2: byte 0x62 is not UTF-16; {wanted}"]


def test_a_mark_that_gainsays_the_named_encoding(faults):
    wanted = "the file begins with the mark of a Unicode file; it must be read as"
    assert faults("é".encode("utf-8-sig"), encoding="cp1252") == [f"{wanted} utf-8, not cp1252"]
    assert faults("é".encode("utf-16"), encoding="utf-8") == [f"{wanted} utf-16, not utf-8"]
    assert faults("é".encode("utf-16-le"), encoding="utf-16") == [
        "the file has no byte order mark; a file in utf-16 must begin with one"
    ]


@pytest.mark.parametrize("name", ["hex", "utf-7", "idna", "rot13", "nonsense", "", "a\0b", "utf-8\n" * 99])
def test_encodings_that_are_not_allowed(read, name):
    with pytest.raises(RangeError, match=r"^encoding is .*; it must be one of utf-8, utf-16, cp1250"):
        read(b"a\n1", encoding=name)


@pytest.mark.parametrize("mark", [";", "\t", "|"])
def test_other_delimiters(read, mark):
    assert rows(read(f'a{mark}b\n"1{mark}"{mark}2,5\n'.encode(), delimiter=mark)) == [(f"1{mark}".strip(), "2,5")]


def test_a_delimiter_is_not_guessed(read):
    assert read(b"a;b\n1;2").header == ("a;b",)
    with pytest.raises(RangeError, match=r"^delimiter is 'x'; it must be one of ',', ';', '\\t', '\|'$"):
        read(b"a", delimiter="x")


def test_control_characters(faults):
    assert faults(b"code,price\nA\0B,1\nC,\x1b[31m2\n") == [
        "line 2, column A: code is 'A\\x00B'; it must have no control characters",
        "line 3, column B: price is '\\x1b[31m2'; it must have no control characters",
    ]
    assert faults("code\u0085\n1".encode()) == [
        "line 1, column A: the cell is 'code\\x85'; it must have no control characters"
    ]


def test_tabs_and_odd_spaces_are_tidied(read):
    assert rows(read("a,b\n\u00a0x\u2003y\t, 1\t2 \n".encode())) == [("x y", "1 2")]


def test_marks_out_of_place(faults):
    """A mark out of place hides no fault after it, and a cell over lines before it is whole."""
    assert faults(b'a,b\n"x\ny",1\n1,"open\n2,"shut"in\n3\n4,"two\nlines"\n') == [
        f"line 4, column B: the cell is 'open'; {UNCLOSED}",
        f"line 5: {STRAY_MARK}",
        "line 6: the row has 1 cell; it must have 2, one for each column of line 1 "
        "(a cell with a comma in it needs quotation marks round it)",
        f"line 7, column B: the cell is 'two'; {UNCLOSED}",
        "line 8: the row has 1 cell; it must have 2, one for each column of line 1 "
        "(a cell with a comma in it needs quotation marks round it)",
    ]


def test_a_file_cut_short_anywhere_is_refused_or_has_whole_rows(read):
    """Every beginning of a good file: rows that are there are those of the whole file, but for the last."""
    whole = b'code,"the price"\r\nA,"1.5"\r\n"B, b","2"\r\n'
    wanted = rows(read(whole))
    for length in range(len(whole)):
        try:
            got = rows(read(whole[:length]))
        except FileRefused:
            continue
        assert got[:-1] == wanted[: max(len(got) - 1, 0)]


@pytest.mark.parametrize("content", [b"", b"\n\n", b"\xef\xbb\xbf", b" , ,\t\n", b"\n a,b\n1,2"])
def test_no_headings(faults, content):
    assert faults(content) == ["line 1: the row is blank; it must hold the headings of the table"]


def test_headings_further_down(read, faults):
    content = b'Prices of Fellgarth Inks (invented)\n"from, August"\ncode,price\nA,1\n'
    table = read(content, header_row=3)
    assert (table.header, rows(table), table.rows[0].number) == (("code", "price"), [("A", "1")], 4)
    assert faults(content, header_row=9) == ["line 9: the row is blank; it must hold the headings of the table"]
    with pytest.raises(RangeError, match="header_row is 0; it must be 1 or more"):
        read(content, header_row=0)


def test_columns_without_heading_or_value_are_no_columns(read):
    assert read(b"a,b,,\n1,2,,\n").header == ("a", "b")
    table = read(b"a,,c,\n1,2,3,4\n")
    assert (table.header, rows(table)) == (("a", "", "c", ""), [("1", "2", "3", "4")])


def test_error_values_in_csv(read):
    cells = read(b"a,b,c,d,e\n#N/A,#REF!,Err:502,#5 mesh,#N/A!\n").rows[0].cells
    assert [isinstance(cell, ErrorCell) for cell in cells] == [True, True, True, False, False]


def test_a_sheet_of_a_csv_file(read):
    with pytest.raises(RangeError, match=r"sheet is 'Prices'; it must be left out: prices.csv is no workbook"):
        read(b"a\n1", sheet="Prices")


def test_faults_can_wait_for_those_of_the_reader(read):
    table = read(b"a,b\n1\n2,\x01\n3,4\n", refuse=False)
    assert [row.number for row in table.rows] == [3, 4]
    table.faults.cell(4, 0, "a", "3", "it must be 5")
    table.faults.cell(3, 1, "b", "\x01", "it must be a number")
    with pytest.raises(FileRefused) as refused:
        table.faults.refuse()
    assert [fault.split(";")[0] for fault in refused.value.faults] == [
        "line 2: the row has 1 cell",
        "line 3, column B: b is '\\x01'",
        "line 4, column A: a is '3'",
    ]


# --- what is too much ---


def test_a_large_file_is_not_read(tmp_path):
    path = tmp_path / "large.csv"
    with path.open("wb") as file:
        file.truncate(500_000_000)
    start = time.process_time()
    with pytest.raises(FileRefused) as refused:
        read_table(path)
    assert refused.value.faults == [f"the file has 500,000,000 bytes; it must have {FILE_MOST:,} at most"]
    assert time.process_time() - start < 0.5


def test_what_is_no_file(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    for path in (tmp_path / "pipe", "/dev/zero"):
        with pytest.raises(FileRefused, match="the file cannot be read: it is a pipe or a device; it must be a file"):
            read_table(path)
    for path in (tmp_path, tmp_path / "none", "a\0b", ""):
        with pytest.raises(FileRefused, match="the file cannot be read: "):
            read_table(path)


def test_too_many_cells_columns_and_characters(faults):
    assert faults(b"a\n" + (b"," * 499 + b"\n") * 2_001) == [
        "line 2001: the table has more than 1,000,000 cells up to here; it must have 1,000,000 at most"
    ]
    assert faults(b"," * COLUMNS_MOST + b"a\n") == ["line 1: the row has more than 500 cells; it must have 500 at most"]
    assert faults(b"a,b\n1," + b"x" * (CELL_MOST + 1)) == [
        f"line 2, column B: b is '{'x' * 56}...; it must have 32,767 characters at most"
    ]


def test_a_mark_that_opens_each_of_many_lines(faults):
    """Each of 9,000 lines opens a cell that is never closed; every one is named, and none is read to the file's end."""
    assert len(faults(b'a\n"x\n' + b'"y\n' * 9_000 + b"z\n" * 100_000)) == 9_001


def test_too_many_faults_and_too_many_lines(faults):
    many = faults(b"a,b\n" + b"x\n" * 900_000)
    assert len(many) == 10_001 and many[-1] == "there may be more: reading stopped after 10,000 faults"
    assert faults(b"a\n" + b"\n" * 20_000_000) == ["the file has more than 1,000,000 lines; it must have 1,000,000 at most"]


# --- workbooks ---

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKAGE = "http://schemas.openxmlformats.org/package/2006/relationships"


def relations(**targets):
    items = "".join(
        f'<Relationship Id="r{number}" Type="{OFFICE}/{kind.rstrip("0123456789")}" Target="{target}"/>'
        for number, (kind, target) in enumerate(targets.items())
    )
    return f'<Relationships xmlns="{PACKAGE}">{items}</Relationships>'


def sheet(data, after=""):
    return f'<worksheet xmlns="{MAIN}"><sheetData>{data}</sheetData>{after}</worksheet>'


def workbook(sheet_part, packed=zipfile.ZIP_DEFLATED, **others):
    """A workbook made by hand of this sheet; other parts by their path, None for one to leave out."""
    parts = {
        "_rels/.rels": relations(officeDocument="xl/workbook.xml"),
        "xl/workbook.xml": f'<workbook xmlns="{MAIN}" xmlns:r="{OFFICE}"><sheets>'
        '<sheet name="Prices" sheetId="1" r:id="r0"/></sheets></workbook>',
        "xl/_rels/workbook.xml.rels": relations(
            worksheet="worksheets/s.xml", sharedStrings="/xl/shared.xml", styles="styles.xml"
        ),
        "xl/worksheets/s.xml": sheet_part,
        **others,
    }
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w", packed) as archive:
        for name, text in parts.items():
            if text is not None:
                archive.writestr(name, text)
    return content.getvalue()


def inline(text):
    return f'<c t="inlineStr"><is><t>{text}</t></is></c>'


def number(value):
    return f"<c><v>{value}</v></c>"


HEAD = f"<row>{inline('code')}{inline('price')}</row>"


@pytest.fixture
def made(tmp_path):
    """A workbook that XlsxWriter makes by these instructions."""

    def of(write, options=None):
        path = tmp_path / "made.xlsx"
        with xlsxwriter.Workbook(path, options or {}) as book:
            write(book)
        return path

    return of


def test_cells_of_every_kind(made):
    day = datetime.datetime(2026, 8, 1)

    def write(book):
        page = book.add_worksheet("Prices")
        page.write_row(
            0, 0, ["text", "number", "date", "moment", "time", "flag", "formula", "words", "error", "blank", "rich"]
        )
        formats = {
            code: book.add_format({"num_format": code}) for code in ("dd/mm/yyyy", "yyyy-mm-dd hh:mm", "hh:mm:ss", "0.00")
        }
        page.write_string(1, 0, "  ink,\tred\nand blue ")
        page.write_number(1, 1, 1234.5678, formats["0.00"])
        page.write_datetime(1, 2, day, formats["dd/mm/yyyy"])
        page.write_datetime(1, 3, datetime.datetime(2026, 8, 1, 13, 45, 30), formats["yyyy-mm-dd hh:mm"])
        page.write_datetime(1, 4, datetime.time(6, 30), formats["hh:mm:ss"])
        page.write_boolean(1, 5, True)
        page.write_formula(1, 6, "=1/8", None, 0.125)
        page.write_formula(1, 7, '="a"&"b"', None, "ab")
        page.write_formula(1, 8, "=NA()", None, "#N/A")
        page.write_blank(1, 9, None, formats["dd/mm/yyyy"])
        page.write_rich_string(1, 10, "half ", book.add_format({"bold": True}), "bold")

    path = made(write)
    table = read_table(path)
    (row,) = table.rows
    assert row.cells == (
        *("ink, red and blue", "1234.5678", "2026-08-01", "2026-08-01T13:45:30", "06:30:00"),
        *("TRUE", "0.125", "ab", "#N/A", "", "half bold"),
    )
    assert [type(cell) for cell in row.cells] == [
        *(str, NumberCell, DateCell, DateCell, DateCell, str, NumberCell, str, ErrorCell, str, str)
    ]
    assert (table.sheet, table.counted, row.number) == ("Prices", "row", 2)
    theirs = next(openpyxl.load_workbook(path, data_only=True).active.iter_rows(min_row=2, values_only=True))
    assert float(row.cells[1]) == theirs[1] and float(row.cells[6]) == theirs[6]
    assert [datetime.datetime.fromisoformat(row.cells[place]) for place in (2, 3)] == list(theirs[2:4])
    assert datetime.time.fromisoformat(row.cells[4]) == theirs[4]


@given(st.lists(st.floats(-1e308, 1e308), min_size=1, max_size=8))
@example([1e308, -5e-324])
@settings(max_examples=40, deadline=None)
def test_numbers_are_those_that_openpyxl_reads(numbers):
    """As the nearest floats, and as digits that a decimal can take without an exponent; openpyxl writes 16 digits."""
    content = io.BytesIO()
    book = openpyxl.Workbook()
    book.active.append([f"h{place}" for place in range(len(numbers))])
    book.active.append(numbers)
    book.save(content)
    cells = in_scratch(content.getvalue()).rows[0].cells
    theirs = next(openpyxl.load_workbook(content).active.iter_rows(min_row=2, values_only=True))
    assert [float(cell) for cell in cells] == list(theirs)
    assert all(re.fullmatch(r"-?\d+(\.\d+)?", cell) for cell in cells)


@pytest.mark.parametrize(
    ("stored", "text"),
    [
        *(("1.1000000000000001", "1.1"), ("39.80", "39.80"), ("1E-7", "0.0000001"), ("1.5e3", "1500"), ("-0", "-0")),
        *(("12345678901234567890", "12345678901234567000"), ("007", "7"), ("+5", "5"), (".5", "0.5"), ("5.", "5")),
    ],
)
def test_numbers_as_they_are_stored(read, stored, text):
    assert rows(read(workbook(sheet(f"{HEAD}<row>{inline('A')}{number(stored)}</row>")))) == [("A", text)]


@pytest.mark.parametrize("stored", ["1e309", "nan", "inf", "1,5", "0x10", "1_000", "１", "1e9999999", "9" * 41, "--1", " "])
def test_numbers_that_are_none(faults, stored):
    assert faults(workbook(sheet(f"{HEAD}<row>{inline('A')}{number(stored)}</row>")), "a.xlsx") == [
        f"sheet 'Prices', row 2, column B: the cell is {stored!r}; it must be a number, as its type says"
    ]


def test_days_of_both_calendars(made):
    """1 August 2026 is day 46235 from 1900 and 44773 from 1904 (openpyxl.utils.datetime.to_excel)."""
    day = datetime.datetime(2026, 8, 1)
    for options in ({}, {"date_1904": True}):

        def write(book):
            page = book.add_worksheet()
            page.write_string(0, 0, "day")
            page.write_datetime(1, 0, day, book.add_format({"num_format": "d mmm yy"}))

        assert rows(read_table(made(write, options))) == [("2026-08-01",)]


STYLES = (
    f'<styleSheet xmlns="{MAIN}"><numFmts><numFmt numFmtId="170" formatCode="[h]:mm"/>'
    '<numFmt numFmtId="171" formatCode="&quot;day&quot; 0.00"/></numFmts><cellStyleXfs><xf numFmtId="14"/></cellStyleXfs>'
    '<cellXfs><xf numFmtId="0"/><xf numFmtId="14"/><xf numFmtId="31"/><xf numFmtId="170"/><xf numFmtId="171"/></cellXfs>'
    "</styleSheet>"
)


@pytest.mark.parametrize(
    ("style", "stored", "text", "kind"),
    [
        ("0", "46235", "46235", NumberCell),
        ("1", "46235", "2026-08-01", DateCell),
        ("2", "46235", "2026-08-01", DateCell),
        ("3", "1.5", "1.5", NumberCell),
        ("4", "46235", "46235", NumberCell),
        ("99", "46235", "46235", NumberCell),
        ("x", "46235", "46235", NumberCell),
        ("1", "-1", "-1 as a date", ErrorCell),
        ("1", "99999999", "99999999 as a date", ErrorCell),
    ],
)
def test_which_numbers_are_dates(read, style, stored, text, kind):
    cell = f'<c s="{style}"><v>{stored}</v></c>'
    (row,) = read(workbook(sheet(f"<row>{inline('day')}</row><row>{cell}</row>"), **{"xl/styles.xml": STYLES})).rows
    assert (row.cells[0], type(row.cells[0])) == (text, kind)


def test_a_formula_whose_result_was_not_saved(tmp_path):
    """As openpyxl writes every formula: it does not pass for a blank cell."""
    book = openpyxl.Workbook()
    book.active.append(["code", "price"])
    book.active.append(["A", "=1+1"])
    book.save(tmp_path / "a.xlsx")
    cell = read_table(tmp_path / "a.xlsx").rows[0].cells[1]
    assert isinstance(cell, ErrorCell) and cell == NO_RESULT


def test_hidden_rows_columns_and_sheets_are_read(made):
    def write(book):
        page = book.add_worksheet("Prices")
        page.write_row(0, 0, ["code", "price"])
        page.write_row(1, 0, ["A", 1])
        page.write_row(2, 0, ["B", 2])
        page.set_row(1, None, None, {"hidden": True})
        page.set_column(1, 1, None, None, {"hidden": True})
        book.add_worksheet("Other").hide()

    path = made(write)
    assert rows(read_table(path, "Prices")) == [("A", "1"), ("B", "2")]
    with pytest.raises(FileRefused) as refused:
        read_table(path)
    assert refused.value.faults == ["the workbook has 2 sheets; the one to read must be named: 'Prices', 'Other'"]
    with pytest.raises(FileRefused) as refused:
        read_table(path, "prices")
    assert refused.value.faults == ["the workbook has no sheet 'prices'; it must be one of 'Prices', 'Other'"]
    with pytest.raises(FileRefused) as refused:
        read_table(path, "Other")
    assert refused.value.faults == ["sheet 'Other', row 1: the row is blank; it must hold the headings of the table"]


def test_merged_headings_head_each_of_their_columns(made):
    def write(book):
        page = book.add_worksheet()
        page.merge_range(0, 0, 1, 0, "code")
        page.merge_range(0, 1, 0, 2, "price")
        page.write_row(1, 1, ["each", "dozen"])
        page.write_row(2, 0, ["A", 1, 10])

    path = made(write)
    assert read_table(path).header == ("code", "price", "price")
    assert read_table(path, header_row=2).header == ("code", "each", "dozen")
    assert rows(read_table(path, header_row=2)) == [("A", "1", "10")]


def test_blank_rows_and_short_rows(read):
    data = f'<row r="2">{inline("code")}{inline("price")}</row><row r="5"/><row r="7"><c r="B7"><v>1</v></c></row>'
    table = read(workbook(sheet(data)), header_row=2)
    assert [tuple(row) for row in table.rows] == [(7, ("", "1"))]
    table = read(workbook(sheet(f'{HEAD}<row r="{ROWS_MOST}">{inline("A")}<c/><c/>{inline("note")}</row>')))
    assert (table.header, rows(table)) == (("code", "price", "", ""), [("A", "", "", "note")])


def test_dates_written_as_such_and_text_outside_of_cells(read):
    """A cell of type d holds ISO 8601 (ECMA-376 part 1, 18.18.11); a value that stands in no cell belongs to none."""
    cells = "".join(f'<c t="d"><v>{text}</v></c>' for text in ("2026-08-01", "2026-08-01T00:00:00", "2026-08-01T06:30:00"))
    head = "".join(inline(name) for name in ("a", "b", "c", "d"))
    (row,) = read(workbook(sheet(f"<row>{head}</row><row>{cells}<v>9</v><c/></row>"))).rows
    assert row.cells == ("2026-08-01", "2026-08-01", "2026-08-01T06:30:00", "")
    assert [type(cell) for cell in row.cells] == [DateCell, DateCell, DateCell, str]


def test_a_large_declared_dimension_means_nothing(read):
    part = sheet(f"{HEAD}<row>{inline('A')}{number(1)}</row>").replace(
        "<sheetData>", f'<dimension ref="A1:XFD{ROWS_MOST}"/><sheetData>'
    )
    assert rows(read(workbook(part))) == [("A", "1")]


def test_prefixed_elements_and_drawings_with_rows_of_their_own(read):
    """As some libraries write them; a control's anchor has elements called row and col."""
    part = sheet(
        f"{HEAD}<row>{inline('A')}<c><f>ROW()</f><v>2</v></c></row>",
        "<controls><control><from><xdr:col>9</xdr:col><xdr:row>3</xdr:row></from></control></controls>",
    ).replace(f'xmlns="{MAIN}"', f'xmlns:x="{MAIN}" xmlns:xdr="d"')
    part = re.sub(r"<(/?)(?!xdr)(\w)", r"<\1x:\2", part)
    assert rows(read(workbook(part))) == [("A", "2")]


def test_escapes_and_readings_of_shared_texts(read, faults):
    """_x000D_ is a carriage return in a shared text (ECMA-376 part 1, 22.9.2.19); rPh is a reading aid, no part of it."""
    part = sheet(f'{HEAD}<row><c t="s"><v>0</v></c><c t="s"><v>1</v></c></row>')
    shared = "<sst><si><t>two_x000D_\nlines</t><rPh><t>no</t></rPh></si><si><r><t>a </t></r><r><t>b</t></r></si></sst>"
    assert rows(read(workbook(part, **{"xl/shared.xml": shared}))) == [("two lines", "a b")]
    bad = shared.replace("_x000D_", "_x0000__xD800_")
    assert faults(workbook(part, **{"xl/shared.xml": bad})) == [
        "sheet 'Prices', row 2, column A: code is 'two\\x00\\ud800\\nlines'; it must have no control characters"
    ]


@pytest.mark.parametrize(
    ("data", "fault"),
    [
        ('<row r="3"/><row r="3"/>', "it is damaged: row '3' comes after row 3; rows must come in order, up to 1,048,576"),
        ('<row r="9999999"/>', "it is damaged: row '9999999' comes after row 1; rows must come in order, up to 1,048,576"),
        ('<row r="-1"/>', "it is damaged: row '-1' comes after row 1; rows must come in order, up to 1,048,576"),
        ('<row><c r="B2"/><c r="A2"/></row>', "it is damaged: row 2: cell 'A2' comes after column B"),
        (
            '<row><c r="XFE2"/></row>',
            "it is damaged: row 2 has a cell called 'XFE2'; it must have the name of a place in that row",
        ),
        (
            '<row><c r="2"/></row>',
            "it is damaged: row 2 has a cell called '2'; it must have the name of a place in that row",
        ),
        (
            '<row><c r="A3"/></row>',
            "it is damaged: row 2 has a cell called 'A3'; it must have the name of a place in that row",
        ),
        (
            '<row><v>1</v><c r="A02"/></row>',
            "it is damaged: row 2 has a cell called 'A02'; it must have the name of a place in that row",
        ),
        (
            f"<row>{inline('x' * (CELL_MOST + 1))}</row>",
            "it is damaged: row 2 has a cell of more than 32,767 characters",
        ),
        ("<row></c></row>", "part xl/worksheets/s.xml is damaged (mismatched tag: line 1, column N); it must be whole"),
    ],
)
def test_damaged_sheets(faults, data, fault):
    (got,) = faults(workbook(sheet(HEAD + data)))
    assert re.sub(r"column \d+", "column N", got) == f"sheet 'Prices': {fault}"


@pytest.mark.parametrize(
    ("cell", "fault"),
    [
        ('<c t="s"><v>7</v></c>', "the cell is '7'; it must be the number of a shared text"),
        ('<c t="s"><v>-1</v></c>', "the cell is '-1'; it must be the number of a shared text"),
        ('<c t="b"><v>2</v></c>', "the cell is '2'; it must be what its type 'b' says"),
        ('<c t="d"><v>1/8/26</v></c>', "the cell is '1/8/26'; it must be what its type 'd' says"),
        ('<c t="q"><v>x</v></c>', "the cell is 'x'; it must be what its type 'q' says"),
    ],
)
def test_damaged_cells_are_named_together(faults, cell, fault):
    content = workbook(sheet(f"{HEAD}<row>{cell}</row><row>{number(1)}{cell}</row>"))
    assert faults(content) == [f"sheet 'Prices', row 2, column A: {fault}", f"sheet 'Prices', row 3, column B: {fault}"]


def test_a_cell_far_to_the_right(faults):
    content = workbook(sheet(f'{HEAD}<row><c r="A2"/><c r="XFD2"><v>1</v></c></row>'))
    assert faults(content) == [
        "sheet 'Prices', row 2, column XFD: the cell is '1'; it must be blank: a table must have 500 columns at most"
    ]


# --- files that are no workbook that can be read ---

OLD = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(504)


@pytest.mark.parametrize(
    ("content", "fault"),
    [
        (
            OLD + "Workbook".encode("utf-16-le"),
            "the file is an old .xls workbook or another office file of that age; "
            "it must be saved as .xlsx without a password, or as CSV",
        ),
        (
            OLD + "EncryptedPackage".encode("utf-16-le"),
            "the file is locked with a password; it must be saved as .xlsx without a password, or as CSV",
        ),
        (b"code,price\n", "the file is no .xlsx workbook, whatever its name says; it must be one, or be named .csv"),
        (b"", "the file is no .xlsx workbook, whatever its name says; it must be one, or be named .csv"),
        (
            workbook("", **{"_rels/.rels": None, "mimetype": "application/vnd.oasis.opendocument.spreadsheet"}),
            "the file is a zip archive, but no .xlsx or .xlsm workbook; it must be saved as .xlsx or as CSV",
        ),
        (
            workbook("", **{"_rels/.rels": relations(officeDocument="xl/workbook.bin"), "xl/workbook.bin": "x"}),
            "the file is a zip archive, but no .xlsx or .xlsm workbook; it must be saved as .xlsx or as CSV",
        ),
        (
            workbook("", **{"_rels/.rels": relations(officeDocument="../../etc/passwd")}),
            "the file is a zip archive, but no .xlsx or .xlsm workbook; it must be saved as .xlsx or as CSV",
        ),
        (
            workbook("", **{"xl/_rels/workbook.xml.rels": relations(chartsheet="worksheets/s.xml")}),
            "the workbook has no sheet of cells; it must have one",
        ),
    ],
    ids=["xls", "password", "text", "empty", "ods", "xlsb", "outside", "charts alone"],
)
def test_files_that_are_no_workbook(faults, content, fault):
    assert faults(content, "prices.xlsx") == [fault]


GOOD = workbook(sheet(f"{HEAD}<row>{inline('A')}{number(1)}</row>"))


def test_a_workbook_cut_short_anywhere_is_refused(faults):
    for length in range(4, len(GOOD)):
        (fault,) = faults(GOOD[:length], "prices.xlsx")
        assert re.search(r"is cut short or damaged \(.*\); it must be whole", fault)


def test_an_encrypted_part(faults):
    content = bytearray(GOOD)
    for at in (match.start() for match in re.finditer(b"PK\x01\x02", GOOD)):
        content[at + 8] |= 1
    assert faults(bytes(content)) == ["part _rels/.rels is locked with a password; the workbook must be saved without one"]


def test_a_part_whose_sum_is_wrong(faults):
    content = workbook(sheet(HEAD), packed=zipfile.ZIP_STORED).replace(b"<t>price</t>", b"<t>prize</t>")
    assert faults(content) == [
        "sheet 'Prices': part xl/worksheets/s.xml is cut short or damaged "
        "(Bad CRC-32 for file 'xl/worksheets/s.xml'); it must be whole"
    ]


@pytest.mark.parametrize(
    "part", ["_rels/.rels", "xl/workbook.xml", "xl/shared.xml", "xl/styles.xml", "xl/worksheets/s.xml"]
)
@pytest.mark.parametrize(
    "doctype",
    [
        '<!DOCTYPE a [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;"><!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;">]>',
        '<!DOCTYPE a [<!ENTITY a SYSTEM "file:///etc/passwd">]>',
        '<!DOCTYPE a SYSTEM "http://127.0.0.1/a.dtd">',
    ],
    ids=["entity bomb", "external entity", "external definitions"],
)
def test_document_types_are_refused(faults, part, doctype):
    (fault,) = faults(workbook(sheet(HEAD), **{part: f"{doctype}<a>&c;&a;</a>"}), "a.xlsx")
    assert fault.endswith(f"part {part} has a document type declaration; a workbook must have none")


@pytest.mark.parametrize("encoding", ["U-8", "cp1252", "utf-7", "shift_jis", "hex", "idna"])
def test_parts_in_an_encoding_of_their_own(faults, encoding):
    """Found by changing bytes of good files: the parser looks such names up among Python's codecs."""
    part = f'<?xml version="1.0" encoding="{encoding}"?>' + sheet(HEAD)
    assert faults(workbook(part), "a.xlsx") == [
        f"sheet 'Prices': part xl/worksheets/s.xml has the encoding {encoding!r}; it must be UTF-8 or UTF-16"
    ]


def test_parts_in_utf_16(read):
    part = '<?xml version="1.0" encoding="UTF-16"?>' + sheet(f"{HEAD}<row>{inline('Ä')}{number(1)}</row>")
    assert rows(read(workbook(part.encode("utf-16")))) == [("Ä", "1")]


def bomb(data, size):
    """A sheet part that unpacks to this size and packs to next to nothing."""
    return workbook(sheet(HEAD + data * (size // len(data))))


def test_a_zip_bomb_by_its_ratio(faults):
    (fault,) = faults(bomb(" " * 1000, 40_000_000), "a.xlsx")
    assert fault.startswith(
        "sheet 'Prices': part xl/worksheets/s.xml unpacks to too much; a workbook must have 250,000,000 bytes"
    )


def test_a_zip_bomb_that_lies_about_its_size(faults):
    """The headers claim 1,000 bytes: no more than that is unpacked, and the sum is then wrong."""
    content = bytearray(bomb(" " * 1000, 40_000_000))
    at = [match.start() for match in re.finditer(b"PK\x01\x02", bytes(content))][3]
    struct.pack_into("<I", content, at + 24, 1000)
    assert "is cut short or damaged (" in faults(bytes(content), "a.xlsx")[0]


def test_too_many_parts(faults):
    extra = {f"xl/media/{number}": "" for number in range(MEMBERS_MOST)}
    assert faults(workbook("", **extra), "a.xlsx") == ["the workbook has more than 5,000 parts; it must have 5,000 at most"]


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_two_parts_of_one_name(faults):
    content = io.BytesIO(GOOD)
    with zipfile.ZipFile(content, "a") as archive:
        archive.writestr("xl/worksheets/s.xml", sheet(HEAD))
    assert faults(content.getvalue()) == ["the workbook holds two parts of one name; it must hold each once"]


def noise(seed):
    """Text that does not pack well, so that the ratio says nothing."""
    return "".join(f"{(number * seed) % 1_000_003:x}" for number in range(4_000))


def test_too_many_tags(faults, monkeypatch):
    """The limit is 5 million, of which the reading took 3 s where this was written."""
    monkeypatch.setattr("quotelib.files.xlsx.TAGS_MOST", 50_000)
    (fault,) = faults(workbook(sheet(HEAD + "<a/>" * 50_000)), "a.xlsx")
    assert fault == "sheet 'Prices': the workbook has more than 50,000 XML tags; it must have that many at most"


def test_one_long_text_in_many_cells(faults):
    """A small file may name a long text a million times; its characters are counted as often as they are used."""
    shared = f"<sst><si><t>{noise(7_919)[:20_000]}</t></si></sst>"
    row = "<row>" + '<c t="s"><v>0</v></c>' * 100 + "</row>"
    (fault,) = faults(workbook(sheet(row * 100), **{"xl/shared.xml": shared}))
    assert fault == (
        "sheet 'Prices', row 16: the table has more than 30,000,000 characters up to here; it must have 30,000,000 at most"
    )


def test_one_long_tag(faults):
    """A tag that goes on and on is given up before it is gone over again and again."""
    part = sheet(HEAD + f'<row a="{noise(7_919) * 400}"/>')
    (fault,) = faults(workbook(part), "a.xlsx")
    assert re.search("has a tag of more than 1,000,000 bytes|unpacks to too much", fault)


# --- whatever comes in ---


@functools.cache
def scratch():
    """One file for all examples, so that each is quick."""
    import tempfile

    return Path(tempfile.mkdtemp()) / "any.csv"


def in_scratch(content, **how):
    scratch().write_bytes(content)
    return read_table(scratch(), **how)


def judged(content, **how):
    """The table, or the refusal; anything else, or too long, is a failure."""
    start = time.process_time()
    try:
        table = in_scratch(content, **how)
    except FileRefused as refused:
        assert refused.faults and all(refused.faults)
        return None
    finally:
        assert time.process_time() - start < SECONDS
    assert table.header and any(table.header)
    assert all(len(row.cells) == len(table.header) and any(row.cells) for row in table.rows)
    assert all(a.number < b.number for a, b in zip(table.rows, table.rows[1:], strict=False))
    return table


def mutated(content, changes):
    """The bytes with some put in, taken out or overwritten."""
    content = bytearray(content)
    for how, place, some in changes:
        at = place % (len(content) + 1)
        if how == "put in":
            content[at:at] = some
        elif how == "take out":
            del content[at : at + len(some)]
        else:
            content[at : at + len(some)] = some
    return bytes(content)


CHANGES = st.lists(
    st.tuples(
        st.sampled_from(["put in", "take out", "overwrite"]), st.integers(0, 10**6), st.binary(min_size=1, max_size=6)
    ),
    min_size=1,
    max_size=4,
)
TEXT = b'code,"price, each",day\r\nA,"1.5",2026-08-01\r\n"B ""b""\nb",2,#N/A\r\n'


@given(st.binary(max_size=300), st.sampled_from([None, *ENCODINGS]), st.sampled_from([None, ";", "\t"]))
@example(b"\xff\xfe", None, None)
@example(b"\xff\xfe\x00\xd8", None, None)
@example(b"PK\x03\x04", None, None)
@example(OLD, None, None)
@settings(max_examples=80, deadline=None)
def test_any_bytes(content, encoding, delimiter):
    judged(content, encoding=encoding, delimiter=delimiter)


@given(CHANGES)
@settings(max_examples=80, deadline=None)
def test_a_good_text_with_bytes_changed(changes):
    judged(mutated(TEXT, changes))


@given(st.lists(st.lists(st.text(max_size=8), min_size=1, max_size=4), min_size=1, max_size=5))
@settings(max_examples=80, deadline=None)
def test_what_pythons_own_writer_writes_is_read_back(cells):
    """csv.writer as the reference: what it writes comes back, spaces tidied."""
    cells = [[*row, "", "", ""][:4] for row in cells]
    cells[0] = ["h", *cells[0][1:]]
    text = io.StringIO()
    csv.writer(text).writerows(cells)
    content = text.getvalue().encode("utf-8", "replace")
    table = judged(content)
    if table:
        tidy = [tuple(" ".join(cell.split()) for cell in row) for row in cells]
        wide = len(table.header)
        assert [table.header, *rows(table)] == [tidy[0][:wide], *(row[:wide] for row in tidy[1:] if any(row))]


@functools.cache
def full_workbook():
    """The parts of a workbook with one of everything, by XlsxWriter."""
    content = io.BytesIO()
    with xlsxwriter.Workbook(content) as book:
        page = book.add_worksheet("Prices")
        page.write_row(0, 0, ["code", "price", "day", "flag", "sum"])
        page.write_row(1, 0, ["A", 1.5])
        page.write_datetime(1, 2, datetime.datetime(2026, 8, 1), book.add_format({"num_format": "dd/mm/yyyy"}))
        page.write_boolean(1, 3, True)
        page.write_formula(1, 4, "=B2*2", None, 3)
        page.merge_range(4, 0, 4, 1, "merged")
    with zipfile.ZipFile(content) as archive:
        return content.getvalue(), {name: archive.read(name) for name in archive.namelist()}


@given(CHANGES)
@settings(max_examples=80, deadline=None)
def test_a_good_workbook_with_bytes_changed(changes):
    judged(mutated(full_workbook()[0], changes))


READ_PARTS = (
    *("_rels/.rels", "xl/workbook.xml", "xl/_rels/workbook.xml.rels"),
    *("xl/sharedStrings.xml", "xl/styles.xml", "xl/worksheets/sheet1.xml"),
)
TAGS = (
    b"<row>",
    b"</row>",
    b"<c>",
    b"<v>",
    b'r="9"',
    b't="s"',
    b't="b"',
    b't="e"',
    b't="d"',
    b's="1"',
    b"1e999",
    b"&#0;",
    b"-1",
    b"\0",
)


@given(
    st.sampled_from(READ_PARTS),
    st.lists(
        st.tuples(
            st.sampled_from(["put in", "take out", "overwrite"]),
            st.integers(0, 10**6),
            st.one_of(st.sampled_from(TAGS), st.binary(min_size=1, max_size=6)),
        ),
        min_size=1,
        max_size=4,
    ),
)
@settings(max_examples=120, deadline=None)
def test_a_good_workbook_with_a_part_changed(part, changes):
    parts = dict(full_workbook()[1])
    parts[part] = mutated(parts[part], changes)
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w") as archive:
        for name, some in parts.items():
            archive.writestr(name, some)
    judged(content.getvalue())
