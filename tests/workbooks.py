"""Workbooks of many makes with a price sheet in them: what a refresh meets in the field.

`MAKERS` holds a function for each; it writes the workbook to a path.  XlsxWriter and openpyxl write most of them; those
that neither can write are put together by hand, to ECMA-376 (ISO/IEC 29500-1): as Excel lays a file out, with a prefix for
every element, without addresses, in the strict namespace.  What LibreOffice makes of some of them is added by the tests.
"""

import datetime
import io
import re
import struct
import zipfile
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

import openpyxl
import xlsxwriter
from openpyxl.workbook.defined_name import DefinedName

from quotelib.kinds import day_number
from quotelib.prices.pricesheet import COLUMNS

REPOSITORY = Path(__file__).resolve().parents[1]
FIRST = 6
"""The first row of prices, counted from 1."""
DAY = datetime.date(2026, 1, 1)
HEADINGS = [column.heading for column in COLUMNS]

Prices = list[tuple[Any, ...]]


def price(
    code: str,
    amount: float,
    unit_price: float,
    last: datetime.date | None = None,
    words: str = "Something invented",
    day: datetime.date = DAY,
) -> tuple[Any, ...]:
    """A row of the price sheet."""
    return (
        code,
        amount,
        unit_price,
        day,
        last,
        "each",
        words,
        "Invented Supplies",
        "blank",
        1.0,
        "each",
        unit_price,
        "USD",
        1,
        2,
    )


BEFORE: Prices = [
    price("BLANK-SLED", 1, 18.5),
    price("BLANK-SLED", 50, 17.25),
    price("FILM", 1, 0.32, words="Release film"),
    price("INK-HAND", 1, 0.061, datetime.date(2026, 6, 30)),
    price("INK-PAD", 1, 0.092),
    price("TAPE", 1, 0.18),
    price("WASH", 1, 0.0042),
    price("WIPE", 1, 0.03),
]
AFTER: Prices = [
    price("BLANK-PADDLE", 1, 9.75, words="A first code that was not there"),
    price("BLANK-SLED", 1, 18.9),
    price("BLANK-SLED", 50, 17.25),
    price("FILM", 1, 0.35, words='Release film, <matt> & "clear"'),
    price("INK-HAND", 1, 0.061, datetime.date(2026, 6, 30)),
    price("INK-HAND", 1, 0.1 + 0.2, day=datetime.date(2026, 7, 1), words="=1+1"),
    price("=SUM(A1:A9)", 1, 1e-07, words="+1"),
    price("@CODE", 1, 123456789.125, words="-1 Künstlich, zwei\nZeilen "),
    price("-5", 1, 2.0, words="_x0041_ and \x07"),
    price("TAPE", 1, 0.18),
    price("WASH", 1, 0.0042),
    price("WIPE", 1, 0.03),
]
"""Longer: codes new and ended, prices changed, and texts that a spreadsheet could take for something else."""
SHORT: Prices = [price("BLANK-SLED", 1, 20.0), price("FILM", 1, 0.35)]

Maker = Callable[[Path], None]
MAKERS: dict[str, Maker] = {}


def maker(name: str) -> Callable[[Maker], Maker]:
    """List a maker under the name of its file."""

    def listed(make: Maker) -> Maker:
        MAKERS[name] = make
        return make

    return listed


# --- with XlsxWriter ---


class Book:
    """An XlsxWriter workbook with a quote and a price sheet, to which a maker adds what it is about."""

    def __init__(self, path: Path, title: str = "Price list", rows: Prices = BEFORE, **options: Any) -> None:
        self.book = xlsxwriter.Workbook(path, {"strings_to_formulas": False, "strings_to_urls": False, **options})
        self.title = title
        self.day, self.bold = self.book.add_format({"num_format": "yyyy-mm-dd"}), self.book.add_format({"bold": True})
        self.money = self.book.add_format({"num_format": "#,##0.000000", "bottom": 4})
        self.quote = self.book.add_worksheet("Quote")
        self.sheet = self.book.add_worksheet(title)
        self.last = FIRST + len(rows) - 1
        self._fill_quote()
        self._fill_prices(rows)

    def _fill_quote(self) -> None:
        self.quote.write(0, 0, "My own quote")
        self.quote.write_formula(0, 1, "=SUM(INDEX(price_rows,0,3))", None, 999)
        self.quote.write_formula(1, 1, '=VLOOKUP("FILM",price_rows,3,FALSE)', None, 999)
        self.quote.write_formula(2, 1, "=ROWS(price_rows)*100+ROWS(price_codes)", None, 999)

    def _fill_prices(self, rows: Prices) -> None:
        sheet = self.sheet
        sheet.write(0, 0, "Price list", self.bold)
        for row, (name, value) in enumerate((("price_file", "old.csv"), ("price_currency", "USD"), ("price_day", DAY)), 1):
            sheet.write(row, 0, name)
            sheet.write(row, 1, value, self.day if name == "price_day" else None)
            self.define(name, f"$B${row + 1}")
        sheet.write_row(FIRST - 2, 0, HEADINGS, self.bold)
        for number, cells in enumerate(rows, FIRST - 1):
            for place, value in enumerate(cells):
                if isinstance(value, datetime.date) or value is None:
                    sheet.write(number, place, value, self.day)
                else:
                    sheet.write(number, place, value, self.money if place == 2 else None)
        self.define("price_rows", f"$A${FIRST}:$E${self.last}")
        self.define("price_codes", f"$A${FIRST}:$A${self.last}")

    def define(self, name: str, area: str) -> None:
        """A name for cells of the price sheet."""
        quoted = self.title.replace("'", "''")
        self.book.define_name(name, f"='{quoted}'!{area}")

    def __enter__(self) -> "Book":
        return self

    def __exit__(self, *_: object) -> None:
        self.book.close()


@maker("plain.xlsx")
def plain(path: Path) -> None:
    with Book(path):
        pass


@maker("charts.xlsx")
def charts(path: Path) -> None:
    with Book(path) as book:
        for kind in ("column", "line", "pie", "scatter", "area", "radar", "stock", "doughnut"):
            chart = book.book.add_chart({"type": kind})
            chart.add_series({"values": f"='Price list'!$C$6:$C${book.last}", "categories": "=Quote!$A$1:$A$3"})
            book.quote.insert_chart("D2", chart)
        chart = book.book.add_chart({"type": "bar"})
        chart.add_series({"values": "=Quote!$B$1:$B$3"})
        book.sheet.insert_chart("Q2", chart)
        sheet = book.book.add_chartsheet("Chart of its own")
        chart = book.book.add_chart({"type": "line"})
        chart.add_series({"values": "=Quote!$B$1:$B$3"})
        sheet.set_chart(chart)


@maker("small-charts.xlsx")
def small_charts(path: Path) -> None:
    with Book(path) as book:
        book.quote.add_sparkline("C1", {"range": "Quote!B1:B3", "markers": True})
        book.sheet.add_sparkline("D2", {"range": f"'Price list'!C6:C{book.last}"})


def picture() -> io.BytesIO:
    """A picture of 2 x 2 points (PNG, ISO/IEC 15948)."""
    points = b"".join(b"\0" + bytes((40, 90, 70)) * 2 for _ in range(2))

    def chunk(kind: bytes, content: bytes) -> bytes:
        return struct.pack(">L", len(content)) + kind + content + struct.pack(">L", zlib.crc32(kind + content))

    header = struct.pack(">2L5B", 2, 2, 8, 2, 0, 0, 0)
    return io.BytesIO(
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(points)) + chunk(b"IEND", b"")
    )


@maker("pictures.xlsx")
def pictures(path: Path) -> None:
    with Book(path) as book:
        book.quote.insert_image("D2", "logo.png", {"image_data": picture(), "description": "A square"})
        book.sheet.insert_image("R9", "logo.png", {"image_data": picture()})
        book.quote.embed_image("D9", "logo.png", {"image_data": picture()})
        book.quote.set_background(picture())
        book.quote.set_header("&L&G", {"image_left": "logo.png", "image_data_left": picture()})


@maker("notes.xlsx")
def notes(path: Path) -> None:
    with Book(path) as book:
        book.quote.write_comment("A1", "Mine, and <not> yours")
        book.sheet.write_comment("A1", "A note above the prices")


@maker("macros.xlsm")
def macros(path: Path) -> None:
    with Book(path) as book, zipfile.ZipFile(REPOSITORY / "workbook" / "quoting.xlsm") as template:
        book.book.add_vba_project(io.BytesIO(template.read("xl/vbaProject.bin")), is_stream=True)
        book.quote.insert_button("D2", {"macro": "ImportAll", "caption": "Press"})


@maker("shapes-and-controls.xlsx")
def shapes(path: Path) -> None:
    with Book(path) as book:
        book.quote.insert_textbox("D2", "Words in a box")
        book.sheet.insert_textbox("R2", "More words", {"textlink": "=Quote!$A$1"})
        book.quote.insert_checkbox("D9", True)


@maker("rules.xlsx")
def rules(path: Path) -> None:
    """Validations and conditional formats over the list, of the older and the newer kind, and others beside it."""
    with Book(path) as book:
        sheet, last = book.sheet, book.last
        sheet.data_validation(f"C6:C{last}", {"validate": "decimal", "criteria": ">", "value": 0})
        sheet.data_validation("B3", {"validate": "list", "source": ["USD", "EUR"]})
        sheet.data_validation(f"F6:F{last}", {"validate": "list", "source": f"=$F$6:$F${last}"})
        sheet.conditional_format(f"A6:A{last}", {"type": "duplicate", "format": book.bold})
        sheet.conditional_format(f"C6:C{last}", {"type": "data_bar", "data_bar_2010": True, "bar_no_border": True})
        sheet.conditional_format(f"L6:L{last}", {"type": "icon_set", "icon_style": "3_arrows"})
        sheet.conditional_format(
            f"A6:O{last}", {"type": "formula", "criteria": f"=COUNTIF($A$6:$A${last},$A6)>1", "format": book.bold}
        )
        book.quote.conditional_format("B1:B3", {"type": "3_color_scale"})
        sheet.ignore_errors({"number_stored_as_text": f"A6:A{last}"})


@maker("table-over-the-list.xlsx")
def table_over_the_list(path: Path) -> None:
    with Book(path) as book:
        columns = [{"header": heading} for heading in HEADINGS]
        book.sheet.add_table(f"A5:O{book.last}", {"name": "Prices", "columns": columns})
        book.quote.add_table("D5:E8", {"name": "Mine", "total_row": True})


@maker("filter-and-printing.xlsx")
def filter_and_printing(path: Path) -> None:
    with Book(path) as book:
        book.sheet.autofilter(f"A5:O{book.last}")
        book.sheet.print_area(f"A1:O{book.last}")
        book.sheet.repeat_rows(4)
        book.sheet.freeze_panes(5, 1)
        book.sheet.set_h_pagebreaks([20])
        book.define("my_units", f"$F$6:$F${book.last}")
        book.define("my_film", "$C$8")
        book.quote.print_area("A1:B3")
        book.quote.autofilter("A1:B3")


@maker("renamed-sheet.xlsx")
def renamed(path: Path) -> None:
    with Book(path, title="Käufe & 'Preise' <1>") as book:
        book.sheet.autofilter(f"A5:O{book.last}")


@maker("protected-elsewhere.xlsx")
def protected_elsewhere(path: Path) -> None:
    with Book(path) as book:
        book.quote.protect("secret")
        hidden = book.book.add_worksheet("Hidden")
        hidden.very_hidden()


@maker("columns-of-my-own.xlsx")
def own_columns(path: Path) -> None:
    """Two columns beside the list with headings, values and links; cells and formulas far from any price that moves."""
    with Book(path) as book:
        book.sheet.write(4, 15, "Call")
        book.sheet.write(4, 16, "My note")
        for row in (0, 2):  # prices that every later list has
            book.sheet.write(FIRST - 1 + row, 15, f"call {BEFORE[row][0]}", book.bold)
        book.sheet.write_url(7, 16, "https://example.com/film", string="film maker")
        book.sheet.write(40, 2, "far below")
        book.sheet.write_formula(41, 2, "=1+1", None, 2)


@maker("looks.xlsx")
def looks(path: Path) -> None:
    with Book(path) as book:
        book.sheet.set_column(0, 0, 30)
        book.sheet.set_column(8, 10, None, None, {"level": 1, "hidden": True})
        book.sheet.set_row(7, 30, book.bold)
        book.sheet.write(7, 2, 0.32, book.bold)
        book.sheet.set_row(60, 36)
        book.sheet.write_blank(61, 3, None, book.bold)
        book.quote.set_zoom(150)
        book.sheet.set_tab_color("green")
        book.sheet.outline_settings(True, False, True, False)


@maker("new-functions.xlsx")
def new_functions(path: Path) -> None:
    with Book(path, use_future_functions=True) as book:
        book.quote.write_dynamic_array_formula("D1:D3", "=SORT(B1:B3)", None, 0)
        book.quote.write_formula("E1", "=LAMBDA(_xlpm.x, _xlpm.x*2)(3)", None, 6)
        book.quote.write_array_formula("F1:F3", "{=B1:B3*2}", None, 0)
        book.quote.write_rich_string("G1", "It is ", book.bold, "bold")


@maker("row-by-row.xlsx")
def row_by_row(path: Path) -> None:
    """Texts within their cells."""
    with Book(path, constant_memory=True):
        pass


@maker("zip64.xlsx")
def zip64(path: Path) -> None:
    with Book(path) as book:
        book.book.use_zip64()


@maker("properties.xlsx")
def properties(path: Path) -> None:
    with Book(path) as book:
        book.book.set_properties({"title": "A quote", "keywords": "sled"})
        book.book.set_custom_property("Checked", True)
        book.book.set_calc_mode("manual")
        book.book.read_only_recommended()
        for number in range(40):
            book.book.add_worksheet(f"Sheet {number}").write_formula(0, 0, "=Quote!B1", None, 999)


@maker("addresses.xlsx")
def addresses(path: Path) -> None:
    """Formulas that refer to prices by address."""
    with Book(path) as book:
        book.quote.write_formula("C1", "='Price list'!C8", None, 0.32)
        book.quote.write_formula("C2", f"=SUM('Price list'!$C$6:$C${book.last})", None, 0)
        book.quote.write_formula("C3", "=SUM('Price list'!C:C)", None, 0)
        book.quote.write_formula("C4", "='Price list'!B3&\"'Price list'!C8\"", None, "USD")
        book.sheet.write_formula("L1", f"=COUNTA(A6:A{book.last})", None, 8)
        book.quote.data_validation("D1", {"validate": "list", "source": "='Price list'!$A$6:$A$9"})


@maker("template.xlsx")
def template(path: Path) -> None:
    path.write_bytes((REPOSITORY / "workbook" / "quoting.xlsx").read_bytes())


@maker("template-macros.xlsm")
def template_macros(path: Path) -> None:
    path.write_bytes((REPOSITORY / "workbook" / "quoting.xlsm").read_bytes())


# --- with openpyxl ---


@maker("openpyxl.xlsx")
def with_openpyxl(path: Path) -> None:
    book = openpyxl.Workbook()
    _openpyxl_sheets(book)
    book.save(path)


@maker("openpyxl-write-only.xlsx")
def with_openpyxl_write_only(path: Path) -> None:
    book = openpyxl.Workbook(write_only=True)
    _openpyxl_sheets(book)
    book.save(path)


def _openpyxl_sheets(book: Any) -> None:
    quote = book.create_sheet("Quote")
    for formula in (
        "=SUM(INDEX(price_rows,0,3))",
        '=VLOOKUP("FILM",price_rows,3,FALSE)',
        "=ROWS(price_rows)*100+ROWS(price_codes)",
    ):
        quote.append(["", formula])
    sheet = book.create_sheet("Price list")
    for row in (["Price list"], ["", "old.csv"], ["", "USD"], ["", DAY], HEADINGS, *BEFORE):
        sheet.append(list(row))
    for name, area in (*NAMED.items(), ("price_rows", "$A$6:$E$13"), ("price_codes", "$A$6:$A$13")):
        book.defined_names[name] = DefinedName(name, attr_text=f"'Price list'!{area}")


NAMED = {"price_file": "$B$2", "price_currency": "$B$3", "price_day": "$B$4"}


# --- by hand ---

TRANSITIONAL = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
STRICT = "http://purl.oclc.org/ooxml/spreadsheetml/main"
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
STRICT_OFFICE = "http://purl.oclc.org/ooxml/officeDocument/relationships"
PACKAGE = "http://schemas.openxmlformats.org/package/2006"
HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
BOOK_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml"


def relations(targets: dict[str, tuple[str, str]], office: str = OFFICE) -> str:
    """A part of relationships: kind (or a whole type) and target by identity."""
    lines = "".join(
        f'<Relationship Id="{identity}" Type="{kind if ":" in kind else f"{office}/{kind}"}" Target="{target}"/>'
        for identity, (kind, target) in targets.items()
    )
    return f'{HEAD}<Relationships xmlns="{PACKAGE}/relationships">{lines}</Relationships>'


def content_types(overrides: dict[str, str]) -> str:
    """The part that says what each part is."""
    lines = "".join(f'<Override PartName="/{part}" ContentType="{kind}"/>' for part, kind in overrides.items())
    return (
        f'{HEAD}<Types xmlns="{PACKAGE}/content-types">'
        '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        '<Default Extension="xml" ContentType="application/xml"/>'
        '<Default Extension="bin" ContentType="application/octet-stream"/>'
        '<Default Extension="vml" ContentType="application/vnd.openxmlformats-officedocument.vmlDrawing"/>'
        f"{lines}</Types>"
    )


def sheet_rows(
    rows: Prices, addressed: bool = True, prefix: str = "", strings: list[str] | None = None, looks: str = ""
) -> str:
    """The rows of the price sheet as XML; texts within their cells, or numbered into `strings`."""
    lines = [
        ["Price list"],
        ["From the file", "old.csv"],
        ["Currency", "USD"],
        ["Read on", DAY],
        HEADINGS,
        *map(list, rows),
    ]
    written = []
    for number, cells in enumerate(lines, 1):
        row = ""
        for place, value in enumerate(cells):
            at = f' r="{chr(65 + place)}{number}"' if addressed else ""
            if value is None:
                row += f"<{prefix}c{at}/>"
            elif isinstance(value, str) and strings is not None:
                strings.append(value)
                row += f'<{prefix}c{at} t="s"><{prefix}v>{len(strings) - 1}</{prefix}v></{prefix}c>'
            elif isinstance(value, str):
                text = f"<{prefix}is><{prefix}t>{escape(value)}</{prefix}t></{prefix}is>"
                row += f'<{prefix}c{at} t="inlineStr">{text}</{prefix}c>'
            else:
                figure = day_number(value) if isinstance(value, datetime.date) else value
                row += f"<{prefix}c{at}><{prefix}v>{figure!r}</{prefix}v></{prefix}c>"
        at = f' r="{number}"{looks}' if addressed else ""
        written.append(f"<{prefix}row{at}>{row}</{prefix}row>")
    return "\n".join(written)


def names(last: int, prefix: str = "") -> str:
    """The defined names, as XML."""
    areas = {**NAMED, "price_rows": f"$A$6:$E${last}", "price_codes": f"$A$6:$A${last}"}
    lines = "".join(
        f"<{prefix}definedName name='{name}'>&apos;Price list&apos;!{area}</{prefix}definedName>"
        for name, area in areas.items()
    )
    return f"<{prefix}definedNames>{lines}</{prefix}definedNames>"


def minimal(sheet: str, space: str = TRANSITIONAL, office: str = OFFICE, prefix: str = "") -> dict[str, str]:
    """The parts of the least workbook there can be around a price sheet."""
    declared = f'xmlns{":" + prefix[:-1] if prefix else ""}="{space}"'
    return {
        "[Content_Types].xml": content_types(
            {
                "xl/workbook.xml": f"{BOOK_TYPE}.sheet.main+xml",
                "xl/worksheets/sheet1.xml": f"{BOOK_TYPE}.worksheet+xml",
                "xl/worksheets/sheet2.xml": f"{BOOK_TYPE}.worksheet+xml",
            }
        ),
        "_rels/.rels": relations({"rId1": ("officeDocument", "xl/workbook.xml")}, office),
        "xl/_rels/workbook.xml.rels": relations(
            {"a": ("worksheet", "worksheets/sheet1.xml"), "b": ("worksheet", "/xl/worksheets/sheet2.xml")}, office
        ),
        "xl/workbook.xml": (
            f'{HEAD}<{prefix}workbook {declared} xmlns:r="{office}"><{prefix}sheets>'
            f'<{prefix}sheet name="Price list" sheetId="1" r:id="a"/><{prefix}sheet name="Quote" sheetId="2" r:id="b"/>'
            f"</{prefix}sheets>{names(FIRST + len(BEFORE) - 1, prefix)}</{prefix}workbook>"
        ),
        "xl/worksheets/sheet1.xml": (
            f"{HEAD}<{prefix}worksheet {declared}>\n<{prefix}sheetData>{sheet}</{prefix}sheetData>\n</{prefix}worksheet>\n"
        ),
        "xl/worksheets/sheet2.xml": (
            f"{HEAD}<{prefix}worksheet {declared}><{prefix}sheetData><{prefix}row><{prefix}c/>"
            f"<{prefix}c><{prefix}f>SUM(INDEX(price_rows,0,3))</{prefix}f></{prefix}c></{prefix}row><{prefix}row>"
            f"<{prefix}c/>"
            f'<{prefix}c><{prefix}f>VLOOKUP("FILM",price_rows,3,FALSE)</{prefix}f></{prefix}c></{prefix}row><{prefix}row>'
            f"<{prefix}c/><{prefix}c><{prefix}f>ROWS(price_rows)*100+ROWS(price_codes)</{prefix}f></{prefix}c>"
            f"</{prefix}row>"
            f"</{prefix}sheetData></{prefix}worksheet>"
        ),
    }


def pack(path: Path, parts: dict[str, str | bytes], method: int = zipfile.ZIP_DEFLATED) -> None:
    """A zip of these parts."""
    with zipfile.ZipFile(path, "w", method) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)


@maker("minimal.xlsx")
def by_hand(path: Path) -> None:
    pack(path, dict(minimal(sheet_rows(BEFORE))))


@maker("minimal-without-addresses.xlsx")
def without_addresses(path: Path) -> None:
    below = "<row/><row/><row/><row/><row/><row/><row/><row/><row><c><v>77</v></c></row>"
    pack(path, dict(minimal(sheet_rows(BEFORE, addressed=False) + below)))


@maker("empty-elements.xlsx")
def empty_elements(path: Path) -> None:
    """Elements that close themselves at the end of rows and of the sheet."""
    rows = re.sub(r'(<row r="(\d+)">.*)</row>', r'\1<c r="P\2"/></row>', sheet_rows(BEFORE))
    rows = rows.replace('<c r="B2" t="inlineStr"><is><t>old.csv</t></is></c>', '<c r="B2"/>')
    pack(path, dict(minimal(rows + '<row r="14"/>')))


@maker("prefixed.xlsx")
def prefixed(path: Path) -> None:
    pack(path, dict(minimal(sheet_rows(BEFORE, prefix="x:"), prefix="x:")))


@maker("strict.xlsx")
def strict(path: Path) -> None:
    pack(path, dict(minimal(sheet_rows(BEFORE), space=STRICT, office=STRICT_OFFICE)))


@maker("zip-in-other-ways.xlsx")
def other_zip(path: Path) -> None:
    """Members stored, descriptors after the data, extra fields, notes; the directory in another order than the data."""
    parts = minimal(sheet_rows(BEFORE))
    stream = Unseekable(path)
    with stream, zipfile.ZipFile(stream, "w") as archive:
        archive.comment = b"a note about the whole"
        for number, (name, content) in enumerate(reversed(parts.items())):
            info = zipfile.ZipInfo(name, (2026, 1, 2, 3, 4, 6))
            info.compress_type = zipfile.ZIP_STORED if number % 2 else zipfile.ZIP_DEFLATED
            info.extra = struct.pack("<2H4s", 0xA220, 4, b"pads")
            info.comment = f"member {number}".encode()
            info.external_attr = 0o644 << 16
            archive.writestr(info, content)
        archive.filelist.reverse()


class Unseekable:
    """A file that cannot be gone back in, so that sizes come after the data."""

    def __init__(self, path: Path) -> None:
        self.file = open(path, "wb")  # noqa: SIM115

    def write(self, content: bytes) -> int:
        return self.file.write(content)

    def flush(self) -> None:
        self.file.flush()

    def __enter__(self) -> "Unseekable":
        return self

    def __exit__(self, *_: object) -> None:
        self.file.close()


@maker("as-excel-lays-it-out.xlsx")
def excel_like(path: Path) -> None:
    """Shared strings, calcChain, spans, extensions, a thread, a pivot table, printer settings: the layout of the desktop
    program, from ECMA-376 parts 1 and 2 and [MS-XLSX]; not saved by it."""
    strings: list[str] = []
    last = FIRST + len(BEFORE) - 1
    looks = ' spans="1:15" x14ac:dyDescent="0.25"'
    rows = sheet_rows(BEFORE, strings=strings, looks=looks)
    rich = "<si><r><t>Pri</t></r><r><rPr><b/></rPr><t>ce list</t></r><rPh sb='0' eb='1'><t>reading</t></rPh></si>"
    texts = rich + "".join(f"<si><t>{escape(text)}</t></si>" for text in strings[1:])
    parts: dict[str, str | bytes] = dict(minimal(""))
    more = {
        "xl/sharedStrings.xml": f"{BOOK_TYPE}.sharedStrings+xml",
        "xl/calcChain.xml": f"{BOOK_TYPE}.calcChain+xml",
        "xl/persons/person.xml": "application/vnd.ms-excel.person+xml",
        "xl/threadedComments/threadedComment1.xml": "application/vnd.ms-excel.threadedcomments+xml",
        "xl/comments1.xml": f"{BOOK_TYPE}.comments+xml",
        "xl/pivotCache/pivotCacheDefinition1.xml": f"{BOOK_TYPE}.pivotCacheDefinition+xml",
        "xl/pivotCache/pivotCacheRecords1.xml": f"{BOOK_TYPE}.pivotCacheRecords+xml",
        "xl/pivotTables/pivotTable1.xml": f"{BOOK_TYPE}.pivotTable+xml",
    }
    kinds = {"xl/workbook.xml": f"{BOOK_TYPE}.sheet.main+xml"}
    kinds |= {f"xl/worksheets/sheet{number}.xml": f"{BOOK_TYPE}.worksheet+xml" for number in (1, 2)}
    parts["[Content_Types].xml"] = content_types(kinds | more)
    parts["xl/_rels/workbook.xml.rels"] = relations(
        {
            "rId1": ("worksheet", "worksheets/sheet1.xml"),
            "rId2": ("worksheet", "worksheets/sheet2.xml"),
            "rId3": ("sharedStrings", "sharedStrings.xml"),
            "rId4": ("calcChain", "calcChain.xml"),
            "rId5": ("http://schemas.microsoft.com/office/2017/10/relationships/person", "persons/person.xml"),
            "rId6": ("pivotCacheDefinition", "pivotCache/pivotCacheDefinition1.xml"),
        }
    )
    areas = "".join(f"<definedName name=\"{name}\">'Price list'!{area}</definedName>" for name, area in NAMED.items())
    parts["xl/workbook.xml"] = (
        f'{HEAD}<workbook xmlns="{TRANSITIONAL}" xmlns:r="{OFFICE}" xmlns:mc="http://schemas.openxmlformats.org/'
        'markup-compatibility/2006" mc:Ignorable="x15" '
        'xmlns:x15="http://schemas.microsoft.com/office/spreadsheetml/2010/11/main">'
        '<fileVersion appName="xl" lastEdited="7" lowestEdited="7" rupBuild="28000"/><workbookPr defaultThemeVersion="1"/>'
        '<bookViews><workbookView xWindow="0" yWindow="0" windowWidth="20000" windowHeight="9000"/></bookViews><sheets>'
        '<sheet name="Price list" sheetId="3" r:id="rId1"/><sheet name="Quote" sheetId="7" r:id="rId2"/></sheets>'
        "<definedNames>"
        f'<definedName name="_xlnm._FilterDatabase" localSheetId="0" hidden="1">\'Price list\'!$A$5:$O${last}</definedName>'
        f'<definedName name="_xlnm.Print_Area" localSheetId="0">\'Price list\'!$A$1:$O${last}</definedName>'
        '<definedName name="_xlnm.Print_Titles" localSheetId="0">\'Price list\'!$5:$5</definedName>'
        f"{areas}<definedName name=\"price_codes\">'Price list'!$A$6:$A${last}</definedName>"
        f"<definedName name=\"price_rows\">'Price list'!$A$6:$E${last}</definedName>"
        '<definedName name="words">"\'Price list\'!$A$6:$E$13"</definedName></definedNames>'
        '<calcPr calcId="191029" calcMode="auto"/><pivotCaches><pivotCache cacheId="1" r:id="rId6"/></pivotCaches>'
        "</workbook>"
    )
    parts["xl/worksheets/sheet1.xml"] = (
        f'{HEAD}<worksheet xmlns="{TRANSITIONAL}" xmlns:r="{OFFICE}" xmlns:mc="http://schemas.openxmlformats.org/'
        'markup-compatibility/2006" mc:Ignorable="x14ac" '
        'xmlns:x14ac="http://schemas.microsoft.com/office/spreadsheetml/2009/9/ac">'
        f'<sheetPr filterMode="0"/><dimension ref="A1:O{last}"/><sheetViews><sheetView workbookViewId="0">'
        '<selection activeCell="C9" sqref="C9"/></sheetView></sheetViews>'
        '<sheetFormatPr defaultRowHeight="15" x14ac:dyDescent="0.25"/>'
        f'<cols><col min="1" max="1" width="22" customWidth="1"/></cols><sheetData>{rows}</sheetData>'
        f'<autoFilter ref="A5:O{last}"/><conditionalFormatting sqref="A6:A{last} C6:C{last}">'
        f'<cfRule type="expression" priority="1"><formula>COUNTIF($A$6:$A${last},$A6)&gt;1</formula></cfRule>'
        f'</conditionalFormatting><dataValidations count="1">'
        f'<dataValidation type="list" allowBlank="1" sqref="M6:M{last} B3"><formula1>$M$6:$M${last}</formula1>'
        "</dataValidation></dataValidations>"
        '<pageMargins left="0.7" right="0.7" top="0.75" bottom="0.75" header="0.3" footer="0.3"/>'
        '<pageSetup orientation="portrait" r:id="rId1"/><extLst><ext '
        'xmlns:x14="http://schemas.microsoft.com/office/spreadsheetml/2009/9/main" '
        'uri="{78C0D931-6437-407d-A8EE-F0AAD7539E65}"><x14:conditionalFormattings><x14:conditionalFormatting '
        'xmlns:xm="http://schemas.microsoft.com/office/excel/2006/main"><x14:cfRule type="expression" priority="2" '
        f'id="{{00000000-000E-0000-0000-000001000000}}"><xm:f>MAX($C$6:$C${last})=$C6</xm:f></x14:cfRule>'
        f"<xm:sqref>C6:C{last}"
        "</xm:sqref></x14:conditionalFormatting></x14:conditionalFormattings></ext></extLst></worksheet>"
    )
    parts["xl/worksheets/_rels/sheet1.xml.rels"] = relations(
        {"rId1": ("printerSettings", "../printerSettings/printerSettings1.bin")}
    )
    parts["xl/printerSettings/printerSettings1.bin"] = bytes(range(256)) * 3
    parts["xl/sharedStrings.xml"] = (
        f'{HEAD}<sst xmlns="{TRANSITIONAL}" count="{len(strings)}" uniqueCount="{len(strings)}">{texts}</sst>'
    )
    parts["xl/calcChain.xml"] = (
        f'{HEAD}<calcChain xmlns="{TRANSITIONAL}"><c r="B1" i="7"/><c r="B2"/><c r="B3"/></calcChain>'
    )
    parts["xl/worksheets/_rels/sheet2.xml.rels"] = relations(
        {
            "rId1": ("comments", "../comments1.xml"),
            "rId2": (
                "http://schemas.microsoft.com/office/2017/10/relationships/threadedComment",
                "../threadedComments/threadedComment1.xml",
            ),
            "rId3": ("pivotTable", "../pivotTables/pivotTable1.xml"),
        }
    )
    who = "{11111111-1111-4111-8111-111111111111}"
    thread = "http://schemas.microsoft.com/office/spreadsheetml/2018/threadedcomments"
    parts["xl/persons/person.xml"] = (
        f'{HEAD}<personList xmlns="{thread}"><person displayName="Shop" id="{who}" userId="shop" providerId="None"/>'
        "</personList>"
    )
    parts["xl/threadedComments/threadedComment1.xml"] = (
        f'{HEAD}<ThreadedComments xmlns="{thread}"><threadedComment ref="A1" dT="2026-01-02T03:04:05.00" personId="{who}" '
        'id="{22222222-2222-4222-8222-222222222222}"><text>Ask again</text></threadedComment></ThreadedComments>'
    )
    parts["xl/comments1.xml"] = (
        f'{HEAD}<comments xmlns="{TRANSITIONAL}"><authors><author>tc={{22222222-2222-4222-8222-222222222222}}</author>'
        '</authors><commentList><comment ref="A1" authorId="0"><text><t>Ask again</t></text></comment></commentList>'
        "</comments>"
    )
    fields = "".join(f'<cacheField name="{heading}" numFmtId="0"><sharedItems/></cacheField>' for heading in HEADINGS)
    parts["xl/pivotCache/pivotCacheDefinition1.xml"] = (
        f'{HEAD}<pivotCacheDefinition xmlns="{TRANSITIONAL}" xmlns:r="{OFFICE}" r:id="rId1" refreshOnLoad="1" '
        f'recordCount="0"><cacheSource type="worksheet"><worksheetSource ref="A5:O{last}" sheet="Price list"/>'
        f"</cacheSource>"
        f'<cacheFields count="{len(HEADINGS)}">{fields}</cacheFields></pivotCacheDefinition>'
    )
    parts["xl/pivotCache/_rels/pivotCacheDefinition1.xml.rels"] = relations(
        {"rId1": ("pivotCacheRecords", "pivotCacheRecords1.xml")}
    )
    parts["xl/pivotCache/pivotCacheRecords1.xml"] = f'{HEAD}<pivotCacheRecords xmlns="{TRANSITIONAL}" count="0"/>'
    pivot_fields = '<pivotField axis="axisRow" showAll="0"><items count="1"><item t="default"/></items></pivotField>'
    pivot_fields += '<pivotField showAll="0"/>' * (len(HEADINGS) - 1)
    parts["xl/pivotTables/pivotTable1.xml"] = (
        f'{HEAD}<pivotTableDefinition xmlns="{TRANSITIONAL}" name="Pivot" cacheId="1" dataCaption="Values">'
        '<location ref="H3:H5" firstHeaderRow="1" firstDataRow="1" firstDataCol="0"/>'
        f'<pivotFields count="{len(HEADINGS)}">{pivot_fields}</pivotFields></pivotTableDefinition>'
    )
    parts["xl/pivotTables/_rels/pivotTable1.xml.rels"] = relations(
        {"rId1": ("pivotCacheDefinition", "../pivotCache/pivotCacheDefinition1.xml")}
    )
    pack(path, parts)


SAVED_BY_LIBREOFFICE = (
    "plain.xlsx", "charts.xlsx", "pictures.xlsx", "notes.xlsx", "rules.xlsx", "table-over-the-list.xlsx",
    "filter-and-printing.xlsx", "renamed-sheet.xlsx", "columns-of-my-own.xlsx", "addresses.xlsx",
)  # fmt: skip
"""The workbooks that LibreOffice opens and saves again for the tests."""
