"""The price list at the door: every kind of fault word for word, all at once, and nothing half loaded."""

import csv
import datetime
import re
import subprocess
import sys
import tempfile
import time
from itertools import pairwise
from pathlib import Path

import pandas
import pytest
import xlsxwriter
from hypothesis import example, given, settings
from hypothesis import strategies as st

import quotelib
from quotelib.errors import FileRefused, LookupMiss
from quotelib.files.tables import UNCLOSED
from quotelib.kinds import PRICE_ROWS, day_number
from quotelib.prices.pricelist import COLUMNS, PriceList, load_price_list
from quotelib.prices.units import MATERIALS

HEADER = ",".join(COLUMNS)
GOOD = dict(
    zip(
        COLUMNS,
        ("INK-A", "Ink", "Fellgarth Inks", "ink", "1", "gal", "40.00", "USD", "1", "2026-08-01", "2027-07-31"),
        strict=True,
    )
)
SHOP_LIST = Path(__file__).parents[1] / "workbook" / "price-list.csv"


def line(**changes):
    """A good row with some cells changed; `pack_unit` for `pack unit`."""
    return ",".join({**GOOD, **{name.replace("_", " "): cell for name, cell in changes.items()}}.values())


def load(*lines, header=HEADER):
    """The price list made of these lines."""
    return load_bytes("\n".join([header, *lines]).encode())


def load_bytes(content):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "prices.csv"
        path.write_bytes(content)
        return load_price_list(path)


def faults_of(*lines, **how):
    with pytest.raises(FileRefused) as refused:
        load(*lines, **how)
    return refused.value.faults


def letter_of(fault):
    """The letter of the column that a fault begins with."""
    return "ABCDEFGHIJK"[[bool(re.match(f"{name}\\b", fault)) for name in COLUMNS].index(True)]


NUMBER = "written like 1234.5: no comma, no space, no currency sign"
PRICE = f"it must be a number, more than 0, up to 1e9 [currency], {NUMBER}"
DATE = "it must be a date from 1990 to 2199, written year-month-day like 2026-08-01"
FORMULA = "it must not begin with = + - or @, which a spreadsheet would take for a formula"
VOLUME = "volume, such as mL, L, gal, qt, fl oz, pail of 5 gal, or a mass with its density: kg at 1.2 kg/L"
COUNT = "count, such as each, dozen, gross, M, sheet, ream, box of 100"
CELLS = "it must have 11, one for each column of line 1 (a cell with a comma in it needs quotation marks round it)"
ONE_BAD_CELL = [
    ("text in a number", {"price": "twelve"}, f"price is 'twelve'; {PRICE}"),
    ("decimal comma", {"price": '"12,50"'}, f"price is '12,50'; {PRICE}"),
    ("thousands mark", {"price": '"1,250.00"'}, f"price is '1,250.00'; {PRICE}"),
    ("thousands space", {"price": "1 250"}, f"price is '1 250'; {PRICE}"),
    ("currency sign", {"price": "$12.50"}, f"price is '$12.50'; {PRICE}"),
    ("exponent", {"price": "1e3"}, f"price is '1e3'; {PRICE}"),
    ("not a number", {"price": "nan"}, f"price is 'nan'; {PRICE}"),
    ("digits of another script", {"price": "１２"}, f"price is '１２'; {PRICE}"),
    ("blank price", {"price": ""}, f"price is blank; {PRICE}"),
    ("negative price", {"price": "-3"}, "price is '-3'; it must be more than 0, up to 1e9 [currency]"),
    ("zero price", {"price": "0.00"}, "price is '0.00'; it must be more than 0, up to 1e9 [currency]"),
    ("zero pack", {"pack_quantity": "0"}, "pack quantity is '0'; it must be more than 0, up to 1e9 [pack units]"),
    (
        "blank pack",
        {"pack_quantity": ""},
        f"pack quantity is blank; it must be a number, more than 0, up to 1e9 [pack units], {NUMBER}",
    ),
    (
        "pack far too large",
        {"pack_quantity": "1000000000"},
        "pack quantity is '1000000000'; the pack holds 3.78541e+12 quoting units; it must hold 0.001 to 1e9",
    ),
    ("no packs", {"from_quantity": "0"}, "from quantity is '0'; it must be whole, 1 to 1e9 [packs]"),
    ("part of a pack", {"from_quantity": "2.5"}, "from quantity is '2.5'; it must be whole, 1 to 1e9 [packs]"),
    (
        "from far too much",
        {"from_quantity": "999999999"},
        "from quantity is '999999999'; it comes to 3.78541e+12 quoting units; it must be 0 to 1e12",
    ),
    ("unknown unit", {"pack_unit": "galon"}, f"pack unit is 'galon'; it must be a unit of {VOLUME}"),
    (
        "unknown container",
        {"pack_unit": "jugful of 1 gal"},
        f"pack unit is 'jugful of 1 gal'; it must be a unit of {VOLUME}",
    ),
    ("blank unit", {"pack_unit": ""}, "pack unit is blank; it must be a unit, such as gal, kg, m2, yd, dozen or each"),
    (
        "mass for a film",
        {"kind": "film", "pack_unit": "kg"},
        f"pack unit is 'kg'; it is a mass, but film is bought by {COUNT}",
    ),
    ("ounce for a fluid ounce", {"pack_unit": "oz"}, f"pack unit is 'oz'; it is a mass, but ink is bought by {VOLUME}"),
    ("thousand of a liquid", {"pack_unit": "M"}, f"pack unit is 'M'; it is a count, but ink is bought by {VOLUME}"),
    (
        "volume for a fabric",
        {"kind": "fabric", "pack_unit": "yd"},
        "pack unit is 'yd'; it is a length, but fabric is bought by area, such as m2, sq ft, yd x 54 in, "
        "roll of 45.72 m x 0.61 m, sheet of 500 mm x 700 mm",
    ),
    (
        "area for a tape",
        {"kind": "tape", "pack_unit": "roll of 55 m x 48 mm"},
        "pack unit is 'roll of 55 m x 48 mm'; it is an area, but tape is bought by length, such as m, ft, yd, roll of 55 m",
    ),
    ("an hour", {"pack_unit": "hour"}, f"pack unit is 'hour'; it is not a measure of goods, but ink is bought by {VOLUME}"),
    (
        "a share",
        {"kind": "blank", "pack_unit": "percent"},
        f"pack unit is 'percent'; it is not a measure of goods, but blank is bought by {COUNT}",
    ),
    (
        "mil",
        {"kind": "tape", "pack_unit": "mil"},
        "pack unit is 'mil'; it must be thou for a thousandth of an inch: "
        "a mil is read as an angle, and some write it for mL",
    ),
    ("megalitre", {"pack_unit": "ML"}, "pack unit is 'ML'; it must be a size that suppliers use; ML reads as megaliter"),
    (
        "pail of unknown size",
        {"pack_unit": "pail"},
        "pack unit is 'pail'; it must say what it holds, such as pail of 5 L or pail of 100",
    ),
    (
        "bad density",
        {"pack_unit": "kg at 1.2 g"},
        "pack unit is 'kg at 1.2 g'; it must have a density like 1.2 kg/L after the word at",
    ),
    ("unknown kind", {"kind": "paint"}, f"kind is 'paint'; it must be one of {', '.join(MATERIALS)}"),
    (
        "currency sign for a code",
        {"currency": "$"},
        "currency is '$'; it must be the ISO 4217 code of a currency in use, such as USD",
    ),
    (
        "no such currency",
        {"currency": "UDS"},
        "currency is 'UDS'; it must be the ISO 4217 code of a currency in use, such as USD",
    ),
    ("another order of days", {"valid_from": "01/08/2026"}, f"valid from is '01/08/2026'; {DATE}"),
    ("not in the calendar", {"valid_from": "2026-02-30"}, f"valid from is '2026-02-30'; {DATE}"),
    ("ISO week", {"valid_from": "2026-W32"}, f"valid from is '2026-W32'; {DATE}"),
    ("long ago", {"valid_from": "1926-08-01"}, f"valid from is '1926-08-01'; {DATE}"),
    ("blank first day", {"valid_from": ""}, f"valid from is blank; {DATE}"),
    ("words for no end", {"valid_to": "never"}, f"valid to is 'never'; {DATE}, or blank for a price without an end"),
    (
        "ends before it starts",
        {"valid_to": "2026-07-31"},
        "valid to is '2026-07-31'; it must not be before valid from, 2026-08-01",
    ),
    ("formula as a code", {"code": "=1+1"}, f"code is '=1+1'; {FORMULA}"),
    ("plus", {"code": "+44"}, f"code is '+44'; {FORMULA}"),
    ("minus", {"description": "-ink"}, f"description is '-ink'; {FORMULA}"),
    ("at", {"description": "@SUM(A1)"}, f"description is '@SUM(A1)'; {FORMULA}"),
    ("formula as a supplier", {"supplier": "=A1"}, f"supplier is '=A1'; {FORMULA}"),
    ("blank code", {"code": ""}, "code is blank; it must be text of 1 to 40 characters"),
    ("long code", {"code": "A" * 41}, f"code is '{'A' * 41}'; it must be text of 1 to 40 characters"),
    (
        "invisible character",
        {"description": "Ink\u200b"},
        "description is 'Ink\\u200b'; it must have no invisible characters",
    ),
]


@pytest.mark.parametrize(("changes", "fault"), [case[1:] for case in ONE_BAD_CELL], ids=[case[0] for case in ONE_BAD_CELL])
def test_one_bad_cell_is_named(changes, fault):
    assert faults_of(line(code="INK-B"), line(**changes)) == [f"line 3, column {letter_of(fault)}: {fault}"]


def test_rows_that_are_not_rows():
    assert faults_of("a,b", line() + ",more", 'x,"y,z', line(price="12,50")) == [
        f"line 2: the row has 2 cells; {CELLS}",
        f"line 3: the row has 12 cells; {CELLS}",
        f"line 4, column B: the cell is 'y,z'; {UNCLOSED}",
        f"line 5: the row has 12 cells; {CELLS}",
    ]


def test_another_currency():
    assert faults_of(line(), line(code="B"), line(code="C", currency="EUR")) == [
        "line 4, column H: currency is 'EUR'; "
        "it must be USD as in the rest of the list; prices in another currency need their own"
    ]


def test_the_odd_currency_is_named_not_the_rest():
    assert len(faults_of(line(currency="EUR"), line(code="B"), line(code="C"))) == 1


def test_one_code_is_one_material_spelled_one_way():
    assert faults_of(line(), line(kind="chemical", from_quantity="2"), line(code="ink-a", from_quantity="3")) == [
        "line 3, column D: kind is 'chemical'; it must be ink as in line 2: one code is one material",
        "line 4, column A: code is 'ink-a'; it must be written as in line 2: INK-A",
    ]


def test_two_prices_for_one_quantity_on_one_day():
    assert faults_of(line(), line(valid_from="2027-07-31", valid_to="")) == [
        "line 3, column I: from quantity is '1'; it must not start at the amount of line 2 on the same days"
    ]
    assert faults_of(line(), line(pack_unit="qt", from_quantity="4", price="10")) == [
        "line 3, column I: from quantity is '4'; it must not start at the amount of line 2 on the same days"
    ]
    assert faults_of(line(pack_unit="qt"), line(pack_unit="pt", from_quantity="2", price="20")) == [
        "line 3, column I: from quantity is '2'; it must not start at the amount of line 2 on the same days"
    ]
    assert len(load(line(), line(valid_from="2027-08-01", valid_to="")).table) == 2


def test_a_price_that_never_holds_is_no_second_price():
    assert [fault.split(";")[0] for fault in faults_of(line(), line(valid_to="2026-07-31"))] == [
        "line 3, column K: valid to is '2026-07-31'"
    ]


def test_a_price_that_rises_with_quantity():
    assert faults_of(line(), line(from_quantity="4", price="40.01")) == [
        "line 3, column G: price is '40.01'; it must not come dearer for each unit than the smaller quantity of line 2"
    ]
    assert faults_of(line(), line(pack_unit="qt", price="9.99")) == [
        "line 2, column G: price is '40.00'; it must not come dearer for each unit than the smaller quantity of line 3"
    ]
    assert len(load(line(), line(from_quantity="4", price="40.00")).table) == 2, "the same price is no rise"
    assert len(load(line(), line(pack_unit="qt", price="10.00")).table) == 2, "a quarter of the price is no rise"
    kilogram = {"pack_unit": "kg at 1.2 kg/L"}
    five = line(**kilogram, price="47.95", pack_quantity="5")
    assert len(load(line(**kilogram, price="9.59"), five).table) == 2, "binary noise is no rise"
    assert len(load(line(), line(from_quantity="4", price="44", valid_from="2027-08-01", valid_to="")).table) == 2


def test_twelve_different_faults_are_named_together():
    faults = faults_of(
        *(
            line(code=f"C{number}", **changes)
            for number, changes in enumerate(
                [
                    {"price": "twelve"},
                    {"price": "-3"},
                    {"pack_quantity": "0"},
                    {"pack_unit": "galon"},
                    {"pack_unit": "kg"},
                    {"kind": "paint"},
                    {"currency": "EUR"},
                    {"from_quantity": "1.5"},
                    {"valid_from": "1/8/26"},
                    {"valid_to": "2025-01-01"},
                    {"description": "=A1"},
                ]
            )
        ),
        "short,row",
        line(code="GOOD"),
    )
    assert [re.match(r"line (\d+)(?:, column .)?: (?:the row|(.+?) is)", fault).groups() for fault in faults] == [
        ("2", "price"),
        ("3", "price"),
        ("4", "pack quantity"),
        ("5", "pack unit"),
        ("6", "pack unit"),
        ("7", "kind"),
        ("8", "currency"),
        ("9", "from quantity"),
        ("10", "valid from"),
        ("11", "valid to"),
        ("12", "description"),
        ("13", None),
    ]


def test_every_fault_of_one_row_is_named():
    faults = faults_of("=x,,@y,ink,0,kg,-1,USD,0,x,y")
    assert [fault.split(" is ")[0] for fault in faults] == [
        f"line 2, column {letter_of(name)}: {name}" for name in COLUMNS if name not in ("kind", "currency")
    ]


def test_the_message_says_that_nothing_was_loaded():
    with pytest.raises(
        FileRefused,
        match=r"prices.csv has 1 fault; it must have none, and nothing was loaded:\n  line 2, column G: price is",
    ):
        load(line(price="0"))


# --- the file as a whole ---


def test_columns():
    wanted = f"they must be {', '.join(COLUMNS)}; each once, with commas between, in any order; "
    wanted += "minimum order and offered may stand besides"
    assert faults_of(header=HEADER.replace(",price,", ",")) == [f"line 1: columns: 'price' is missing; {wanted}"]
    assert faults_of(line() + ",red", header=HEADER + ",colour") == [
        f"line 1: columns: 'colour' is not one of a price list; {wanted}"
    ]
    assert faults_of(line() + ",red", header=HEADER + ",Price") == [f"line 1: columns: 'price' comes twice; {wanted}"]
    assert "'a;b' is not one of a price list" in faults_of(header="a;b")[0]


def test_a_missing_column_hides_no_other_fault():
    faults = faults_of(line(price="0").replace(",USD,", ","), header=HEADER.replace(",currency,", ","))
    assert [fault.split(";")[0] for fault in faults] == [
        "line 1: columns: 'currency' is missing",
        "line 2, column G: price is '0'",
    ]


def test_columns_may_stand_in_any_order():
    turned = load(",".join(reversed(GOOD.values())), header=",".join(reversed(COLUMNS)).upper())
    assert turned.rows == load(line()).rows


BLANK = "line 1: the row is blank; it must hold the headings of the table"


@pytest.mark.parametrize(
    ("content", "fault"),
    [
        (b"", BLANK),
        (b"\xef\xbb\xbf \r\n", BLANK),
        (HEADER.encode(), "line 2: the list has no rows; it must have one at least"),
        (HEADER.encode() + b"\n,,,\n\n", "line 2: the list has no rows; it must have one at least"),
        (
            f"{HEADER}\n{line()}\n{line(description='Café')}".encode("cp1252"),
            "line 3: byte 0xE9 is not UTF-8; a CSV file must be saved in UTF-8 where no other encoding is named",
        ),
        (
            b"\xef\xbb\xbf" + f"{HEADER}\r{line()}\r\né".encode("cp1252"),
            "line 3: byte 0xE9 is not UTF-8; a CSV file must be saved in UTF-8 where no other encoding is named",
        ),
    ],
    ids=["empty", "blank", "header alone", "blank rows alone", "Windows letters", "Windows letter after a mark"],
)
def test_files_that_are_not_price_lists(content, fault):
    with pytest.raises(FileRefused) as refused:
        load_bytes(content)
    assert refused.value.faults == [fault]


def test_a_file_that_cannot_be_read(tmp_path):
    for path in (tmp_path / "none.csv", tmp_path, "a\0b"):
        with pytest.raises(FileRefused, match="the file cannot be read: "):
            load_price_list(path)


def test_line_ends_byte_order_mark_and_blank_lines():
    plain = f"{HEADER}\n{line()}\n"
    wanted = load_bytes(plain.encode()).table
    for content in (
        plain.encode("utf-8-sig"),
        plain.encode("utf-16"),
        plain.replace("\n", "\r\n").encode(),
        plain.replace("\n", "\r").encode(),
        plain.rstrip().encode(),
        (plain + "\n,,,,,,,,,,\n").encode(),
        plain.replace("Ink,", '"Ink",').encode(),
        plain.replace("40.00", " 40.00\t").encode(),
    ):
        pandas.testing.assert_frame_equal(load_bytes(content).table, wanted)


def test_line_numbers_are_those_of_the_file():
    assert faults_of("", line(), "", line(code="B", price="0"))[0].startswith("line 5, column G: price is '0'")


# --- what a good list gives ---


def test_rows_and_table():
    prices = load(
        line(from_quantity="4", price="36"),
        line(valid_to=""),
        line(code="PADDLE", kind="blank", pack_unit="dozen", price="120", description='"Paddle, 24"" blade"'),
        line(code="PADDLE", kind="blank", pack_unit="each", price="11"),
        line(code="PADDLE", kind="blank", pack_unit="each", price="10.50", valid_from="2025-08-01", valid_to="2026-07-31"),
    )
    first, last = day_number(datetime.date(2026, 8, 1)), day_number(datetime.date(2027, 7, 31))
    gallon = 3785.411784
    assert prices.rows == (
        ("INK-A", 0, 40 / gallon, first, None),
        ("INK-A", pytest.approx(4 * gallon), 36 / gallon, first, last),
        ("PADDLE", 0, 10.5, first - 365, first - 1),
        ("PADDLE", 0, 11, first, last),
        ("PADDLE", 12, 10, first, last),
    )
    assert list(prices.table.columns) == [
        *COLUMNS,
        "minimum order",
        "offered",
        "quoting unit",
        "from in quoting units",
        "pack in quoting units",
        "unit price",
        "line in file",
    ]
    assert prices.table["line in file"].tolist() == [3, 2, 6, 5, 4]
    assert prices.table["quoting unit"].tolist() == ["mL", "mL", "piece", "piece", "piece"]
    assert prices.table["description"].iloc[4] == 'Paddle, 24" blade'
    assert prices.table["valid from"].iloc[0] == pandas.Timestamp(2026, 8, 1)
    assert prices.table["valid to"].isna().tolist() == [True, False, False, False, False]
    assert (prices.file, prices.currency) == ("prices.csv", "USD")


def test_a_first_from_quantity_stays_the_first():
    """A row from 2 packs is not sold in less; one from 1 pack is charged by use."""
    assert [row[1] for row in load(line(kind="blank", pack_unit="each", from_quantity="2")).rows] == [2]
    assert [row[1] for row in load(line(kind="blank", pack_unit="M")).rows] == [0]


def test_a_minimum_order_is_no_from_quantity():
    """What is used from stock has the price of the can it came in, however many cans had to be bought."""
    header, first = HEADER + ",minimum order,offered", line()
    prices = load(first + ",4,", line(pack_unit="qt", price="11") + ",,article 7 at 10.00 EUR a qt", header=header)
    assert [row[1] for row in prices.rows] == [0, pytest.approx(3785.411784)]
    day = datetime.date(2026, 8, 1)
    assert prices.minimum_order("INK-A", day) == 0, "a quart can be bought by itself"
    assert load(first + ",4,", header=header).minimum_order("INK-A", day) == pytest.approx(4 * 3785.411784)
    assert load(line(from_quantity="2")).minimum_order("INK-A", day) == pytest.approx(2 * 3785.411784)
    assert prices.table["offered"].tolist() == ["article 7 at 10.00 EUR a qt", ""]
    with pytest.raises(LookupMiss, match=r"it must be one that prices\.csv has a price for on 2025-01-01"):
        prices.minimum_order("INK-A", datetime.date(2025, 1, 1))


def test_faults_of_the_further_columns():
    assert faults_of(line() + ",0,", line(code="B") + ",,@A1", header=HEADER + ",minimum order,offered") == [
        "line 2, column L: minimum order is '0'; it must be whole, 1 to 1e9 [packs], or blank where any quantity is sold",
        f"line 3, column M: offered is '@A1'; {FORMULA}",
    ]


def test_prices_are_exact_until_the_end():
    """0.1 + 0.2 in binary is not 0.3; 0.3 of a currency over 3 pieces is the float nearest to a tenth."""
    assert load(line(kind="blank", pack_unit="3 x 1 piece", price="0.3")).rows[0][2] == 0.1
    assert load(line(kind="blank", pack_unit="M", price="2.675")).rows[0][2] == 0.002675


def test_source_names_file_and_lines():
    prices = load(line(code="B"), line(), line(from_quantity="2"))
    assert prices.source("B") == "prices.csv line 2"
    assert prices.source("INK-A") == "prices.csv lines 3, 4"
    with pytest.raises(LookupMiss, match=r"code is 'INK-AA'; it must be a code of prices.csv; near it: INK-A$"):
        prices.source("INK-AA")
    with pytest.raises(LookupMiss, match=r"code is 'zzz'; it must be a code of prices.csv$"):
        prices.source("zzz")


def test_importing_the_library_imports_neither_pandas_nor_pint():
    subprocess.run(
        [sys.executable, "-c", "import quotelib, sys; sys.exit('pandas' in sys.modules or 'pint' in sys.modules)"],
        check=True,
    )


def test_a_long_list_takes_seconds():
    """50,000 rows took 1.8 s where this was written; the bound is for a busy machine."""
    lines = [
        line(code=f"ITEM-{number // 4}", from_quantity=str(1 + number % 4), price=f"{900 - number % 4}.{number % 100:02}")
        for number in range(20_000)
    ]
    start = time.process_time()
    assert len(load(*lines).rows) == 20_000
    assert time.process_time() - start < 5


# --- a list in a workbook ---


def sheet_of(path, rows):
    """A workbook with these rows on a sheet called Prices: texts as texts, all else as what it is."""
    with xlsxwriter.Workbook(path, {"strings_to_numbers": False}) as book:
        page = book.add_worksheet("Prices")
        day = book.add_format({"num_format": "dd/mm/yyyy"})
        for number, row in enumerate(rows):
            for place, cell in enumerate(row):
                if isinstance(cell, str) and not cell.startswith("=>"):
                    page.write_string(number, place, cell)
                elif isinstance(cell, str):
                    page.write_formula(number, place, cell.replace(">", ""), None, "#N/A" if "NA()" in cell else 12)
                else:
                    page.write(number, place, cell, *([day] if isinstance(cell, datetime.date) else []))
    return path


def cells_of(text):
    return next(csv.reader([text]))


def test_a_workbook_gives_the_same_list_as_csv(tmp_path):
    """The shop's own list, with numbers and dates stored as such."""
    with SHOP_LIST.open(encoding="utf-8", newline="") as file:
        header, *rows = csv.reader(file)
    kept = {"pack quantity": float, "price": float, "from quantity": int}
    kept |= dict.fromkeys(("valid from", "valid to"), lambda text: datetime.date.fromisoformat(text) if text else "")
    stored = [[kept.get(name, str)(cell) for name, cell in zip(header, row, strict=True)] for row in rows]
    ours = load_price_list(sheet_of(tmp_path / "price-list.xlsx", [header, *stored]), "Prices")
    pandas.testing.assert_frame_equal(ours.table, load_price_list(SHOP_LIST).table)
    assert ours.rows == load_price_list(SHOP_LIST).rows
    code = ours.table["code"].iloc[0]
    assert ours.source(code).startswith("price-list.xlsx sheet 'Prices', rows 2, ")
    assert ours.sheet == "Prices"


def test_texts_in_a_workbook_are_refused_as_in_csv(tmp_path):
    """Every bad cell of the cases above, in one workbook: all named at once, in the words of the CSV file."""
    cases = [case for case in ONE_BAD_CELL if "\t" not in "".join(case[1].values())]
    rows = [cells_of(line(**{"code": f"C{number}", **changes})) for number, (_, changes, _) in enumerate(cases)]
    with pytest.raises(FileRefused) as refused:
        load_price_list(sheet_of(tmp_path / "prices.xlsx", [COLUMNS, *rows]))
    assert refused.value.faults == [
        f"sheet 'Prices', row {number}, column {letter_of(fault)}: {fault}" for number, (_, _, fault) in enumerate(cases, 2)
    ]


def test_what_only_a_workbook_can_hold(tmp_path):
    moment = datetime.datetime(2026, 8, 1, 12, 30)
    day = datetime.date(2026, 2, 1)
    good = dict(zip(COLUMNS, cells_of(line()), strict=True))
    changes = [
        {"code": day},
        {"description": "=>NA()"},
        {"price": True},
        {"price": day},
        {"price": "=>NA()"},
        {"price": "=>6+6"},
        {"valid from": moment},
        {"valid from": 46235},
        {"pack unit": day},
        {"from quantity": 2.5},
        {"currency": 840},
    ]
    rows = [list({**good, "code": f"C{number}", **change}.values()) for number, change in enumerate(changes)]
    with pytest.raises(FileRefused) as refused:
        load_price_list(sheet_of(tmp_path / "prices.xlsx", [COLUMNS, *rows]))
    assert refused.value.faults == [
        "sheet 'Prices', row 2, column A: code is '2026-02-01'; it must be text, not a date",
        "sheet 'Prices', row 3, column B: description is '#N/A'; it must be text, not an error",
        f"sheet 'Prices', row 4, column G: price is 'TRUE'; {PRICE}",
        f"sheet 'Prices', row 5, column G: price is '2026-02-01'; {PRICE}",
        f"sheet 'Prices', row 6, column G: price is '#N/A'; {PRICE}",
        f"sheet 'Prices', row 8, column J: valid from is '2026-08-01T12:30:00'; {DATE}",
        f"sheet 'Prices', row 9, column J: valid from is '46235'; {DATE}",
        f"sheet 'Prices', row 10, column F: pack unit is '2026-02-01'; it must be a unit of {VOLUME}",
        "sheet 'Prices', row 11, column I: from quantity is '2.5'; it must be whole, 1 to 1e9 [packs]",
        "sheet 'Prices', row 12, column H: currency is '840'; "
        "it must be the ISO 4217 code of a currency in use, such as USD",
    ]


def test_a_heading_and_a_row_short_of_cells(tmp_path):
    rows = [[*COLUMNS, "note"], [*cells_of(line()), "", ""], ["B"]]
    with pytest.raises(FileRefused) as refused:
        load_price_list(sheet_of(tmp_path / "prices.xlsx", rows))
    assert refused.value.faults[0].startswith(
        "sheet 'Prices', row 1: columns: 'note' is not one of a price list; they must be code, description"
    )
    assert refused.value.faults[0].endswith("each once, in any order; minimum order and offered may stand besides")
    assert [fault.split(" is blank")[0] for fault in refused.value.faults[1:]] == [
        f"sheet 'Prices', row 3, column {letter_of(name)}: {name}" for name in COLUMNS if name not in ("code", "valid to")
    ]


# --- the shop's own list ---


def test_the_shops_list_is_in_order():
    prices = load_price_list(SHOP_LIST)
    assert len(prices.table) >= 80 and prices.currency == "USD"
    assert prices.table["supplier"].nunique() == 4
    assert prices.table["supplier"].str.endswith("(invented)").all()
    season = day_number(datetime.date(2026, 11, 2))
    rows = PRICE_ROWS.admit("price_rows", prices.rows)
    for code in prices.table["code"].unique():
        least = min(row[1] for row in rows if row[0] == code)
        assert quotelib.price_on(code, least, season, rows) > 0
        assert prices.source(code).startswith("price-list.csv line")


# --- whatever comes in ---

ODD_CELLS = (
    *GOOD.values(),
    *(
        "",
        "0",
        "-1",
        "1e9",
        '"',
        '"a,b"',
        "=A1",
        "blank",
        "film",
        "fabric",
        "each",
        "M",
        "mil",
        "kg at 1 kg/L",
        "yd x 2 in",
    ),
    *("pail of", "of", " at ", "x", "degC", "2026-13-01", "EUR", "9" * 40, "0" * 15 + ".1", "\0", "\u2028", "ß"),
)
CELL = st.one_of(st.sampled_from(ODD_CELLS), st.text(max_size=12))
UNIT_TEXT = st.text(alphabet="abcdegilmnoqrstxyzMLKG 0123456789./^*()×²³µ", max_size=20)


def judged(content):
    """The outcome of loading these bytes: a list in order, or faults that say where; anything else is a failure."""
    start = time.process_time()
    try:
        prices = load_bytes(content)
    except FileRefused as refused:
        assert time.process_time() - start < 5
        assert refused.faults
        last = content.count(b"\n") + content.count(b"\r") + 2
        for fault in refused.faults:
            where = re.match(r"line (\d+)(?:, column [A-Z]+)?: ", fault)
            assert (where and 1 <= int(where[1]) <= last) or fault.startswith(("the file ", "the workbook "))
        return refused
    assert isinstance(prices, PriceList)
    assert PRICE_ROWS.admit("price_rows", prices.rows) == prices.rows
    assert len(prices.table) == len(prices.rows) > 0
    return prices


@given(st.binary(max_size=200))
@example(b"\xef\xbb\xbf")
@example(b'"')
@example(b"\r\r\r")
@example(b"PK\x03\x04")
@settings(max_examples=60, deadline=None)
def test_any_bytes(content):
    judged(content)
    judged(HEADER.encode() + b"\n" + content)


@given(st.lists(st.lists(CELL, min_size=9, max_size=12), max_size=6))
@settings(max_examples=80, deadline=None)
def test_any_rows(rows):
    judged("\n".join([HEADER, *(",".join(row) for row in rows)]).encode())


STORED = st.one_of(
    CELL.filter(lambda text: text.isprintable()),
    st.floats(allow_nan=False, allow_infinity=False),
    st.integers(-(2**53), 2**53),
    st.booleans(),
    st.dates(datetime.date(1901, 1, 1)),
    st.sampled_from(["=>NA()", "=>6+6"]),
)


@given(st.lists(st.tuples(st.sampled_from(list(COLUMNS)), STORED), max_size=6))
@settings(max_examples=30, deadline=None)
def test_any_cells_of_a_workbook(changes):
    """Good rows, each with one cell changed to something that a workbook can hold."""
    good = dict(zip(COLUMNS, cells_of(line()), strict=True))
    rows = [list({**good, "code": f"C{number}", name: cell}.values()) for number, (name, cell) in enumerate(changes)]
    with tempfile.TemporaryDirectory() as folder:
        path = sheet_of(Path(folder) / "prices.xlsx", [COLUMNS, *rows])
        try:
            assert len(load_price_list(path).table) == len(rows)
        except FileRefused as refused:
            assert all(re.match(r"sheet 'Prices', row \d+(, column [A-K])?: ", fault) for fault in refused.faults)


@given(st.sampled_from(list(COLUMNS)), st.one_of(CELL, UNIT_TEXT))
@settings(max_examples=100, deadline=None)
def test_any_one_cell(column, cell):
    judged("\n".join([HEADER, line(code="FIRST"), line(**{column.replace(" ", "_"): cell})]).encode())


@given(st.sampled_from(list(MATERIALS)), UNIT_TEXT)
@example("ink", "lambda")
@example("ink", "mdegC")
@example("blank", "2.5.1 m")
@example("ink", "kg at 0 kg/L")
@example("tape", "m x m x m x")
@settings(max_examples=120, deadline=None)
def test_any_unit(kind, unit):
    judged("\n".join([HEADER, line(kind=kind, pack_unit=unit)]).encode())


DAYS = st.integers(0, 40).map(lambda days: datetime.date(2026, 8, 1) + datetime.timedelta(days))


@given(
    st.lists(
        st.tuples(st.integers(1, 4), st.integers(1, 5), DAYS, st.one_of(st.none(), st.integers(0, 20))),
        min_size=1,
        max_size=7,
    )
)
@settings(max_examples=100, deadline=None)
def test_breaks_against_every_pair(breaks):
    """The sweep over the days finds a fault just when some pair of rows has one, tried pair by pair."""
    spans = [(first, first + datetime.timedelta(length) if length is not None else None) for *_, first, length in breaks]
    together = [
        (a, b)
        for i, a in enumerate(breaks)
        for j, b in enumerate(breaks[:i])
        if all(spans[y][1] is None or spans[x][0] <= spans[y][1] for x, y in ((i, j), (j, i)))
    ]
    wrong = any(a[0] == b[0] or (a[0] < b[0] and a[1] < b[1]) or (b[0] < a[0] and b[1] < a[1]) for a, b in together)
    content = "\n".join(
        [HEADER]
        + [
            line(
                kind="blank",
                pack_unit="each",
                from_quantity=str(packs),
                price=str(price),
                valid_from=str(first),
                valid_to=str(last or ""),
            )
            for (packs, price, _, _), (first, last) in zip(breaks, spans, strict=True)
        ]
    )
    outcome = judged(content.encode())
    assert isinstance(outcome, FileRefused) == wrong
    if not wrong:
        amounts = {(packs, str(first)): 0 if packs == 1 else packs for packs, _, first, _ in breaks}
        for row in outcome.table.to_dict("records"):
            assert row["from in quoting units"] == amounts[row["from quantity"], str(row["valid from"].date())]
        assert all(a[3] <= b[3] for a, b in pairwise(outcome.rows))


@given(st.integers(1, 999_999), st.integers(1, 500))
@settings(max_examples=15, deadline=None)
def test_unit_price_scales(cents, packs):
    """Twice the price is twice the unit price; twice the pack is half of it; a gallon is four quarts."""
    price = f"{cents // 100}.{cents % 100:02}"
    double = f"{2 * cents // 100}.{2 * cents % 100:02}"

    def unit_price(**changes):
        return load(line(**{"price": price, "pack_quantity": str(packs), **changes})).rows[0][2]

    one = unit_price()
    assert unit_price(price=double) == pytest.approx(2 * one, rel=1e-15)
    assert unit_price(pack_quantity=str(2 * packs)) == pytest.approx(one / 2, rel=1e-15)
    assert unit_price(pack_quantity=str(4 * packs), pack_unit="qt") == pytest.approx(one, rel=1e-15)
