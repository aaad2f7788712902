"""Suppliers' files: the mapping that says how one is read, and the offers read by it."""

import datetime
import tempfile
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quotelib.errors import FileRefused
from quotelib.prices.mappings import load_mapping
from quotelib.prices.suppliers import read_supplier_file

EXAMPLES = Path(__file__).parents[1] / "examples" / "suppliers"
LISTED = {"ink-a": ("INK-A", "ink"), "token": ("TOKEN", "blank"), "wash": ("WASH", "chemical")}
FORMULA = "it must not begin with = + - or @, which a spreadsheet would take for a formula"
MAPPING = """
supplier = "Fellgarth Inks"
{top}
[file]
delimiter = ";"
[numbers]
decimal_mark = ","
thousands_mark = "."
money_sign = "€"
[dates]
written = "DD.MM.YYYY"
[columns]
article = "Artikel"
pack_unit = "Einheit"
price = "Preis"
{columns}
[constants]
currency = "EUR"
valid_from = 2027-01-04
{constants}
{breaks}
[units]
"Ltr." = "L"
[articles]
"7" = "INK-A"
"8" = "TOKEN"
"9" = {{ code = "WASH", density = "1.2 kg/L" }}
"10" = "NEW-INK"
"""


def mapping_of(tmp_path, text=None, valid_from=None, **parts):
    path = tmp_path / "mapping.toml"
    if text is None:
        text = MAPPING.format(**{"top": "", "columns": "", "constants": "", "breaks": ""} | parts)
    path.write_text(text, encoding="utf-8")
    return load_mapping(path, valid_from)


def mapping_faults(tmp_path, text, **how):
    with pytest.raises(FileRefused) as refused:
        mapping_of(tmp_path, text, **how)
    return refused.value.faults


def read(tmp_path, *lines, header="Artikel;Einheit;Preis", text=None, valid_from=None, **parts):
    path = tmp_path / "prices.csv"
    path.write_text("\n".join([header, *lines]), encoding="utf-8")
    return read_supplier_file(path, mapping_of(tmp_path, text, valid_from, **parts), LISTED)


def reasons(file):
    return [reason for row in file.refused for reason in row.reasons]


# --- the mapping file ---


def test_every_fault_of_a_mapping_is_named_at_once(tmp_path):
    faults = mapping_faults(
        tmp_path,
        """
        whole_list = "yes"
        quantities_in = "galon"
        density_in = "kg"
        colour = 1
        [file]
        delimiter = ":"
        encoding = "latin"
        heading_row = 0
        colour = 1
        [numbers]
        decimal_mark = "·"
        thousands_mark = "x"
        money_sign = "1$"
        [dates]
        written = "DD.MM"
        [columns]
        article = 7
        prise = "Preis"
        kind = "Gruppe"
        valid_from = "ab"
        [constants]
        currency = "EURO"
        price = 4
        kind = "paint"
        minimum_order = "second break"
        from_quantity = 1.5
        [[breaks]]
        price = "Preis 1"
        from_quantity = 25
        [[breaks]]
        price = "Preis 1"
        from_quantity = 10
        [[breaks]]
        from = 3
        [units]
        "Ltr." = "lit er"
        "Stk" = 1
        [kinds]
        "Farben" = "paint"
        [articles]
        "1" = 5
        "2" = { code = "=A1", kind = "paint", colour = "red" }
        """,
    )
    told = {fault.split(" is ")[0].split(" name ")[0]: fault for fault in faults}
    for key in (
        "colour", "supplier", "whole_list", "quantities_in", "density_in", "file.delimiter", "file.encoding",
        "file.heading_row", "file.colour", "numbers.decimal_mark", "numbers.thousands_mark", "numbers.money_sign",
        "dates.written", "columns.article", "columns.prise", "constants.price", "constants.currency", "constants.kind",
        "constants.minimum_order", "constants.from_quantity", "breaks", "breaks 2.from_quantity", "breaks 3.from",
        "breaks 3.from_quantity", "breaks 3.price", "units.Ltr.", "units.Stk", "kinds.Farben", "articles.1",
        "articles.2.code", "articles.2.kind", "articles.2.colour",
    ):  # fmt: skip
        assert key in told, key
    assert told["columns.prise"] == (
        "columns.prise is unknown; it must be one of article, description, kind, pack_quantity, pack_unit, density, price, "
        "currency, from_quantity, minimum_order, valid_from, valid_to"
    )
    assert told["breaks 2.from_quantity"] == (
        "breaks 2.from_quantity is 10; it must be more than that of the break before it, 25"
    )
    assert told["numbers.decimal_mark"] == "numbers.decimal_mark is '·'; it must be one of '.' ','"
    assert told["constants.currency"].endswith("it must be the ISO 4217 code of a currency in use, such as USD")
    assert "kind stands under columns, and constants gives it too; it must be given once" in faults
    assert len(faults) == len(set(faults))


def test_what_a_mapping_must_have(tmp_path):
    assert mapping_faults(tmp_path, "") == [
        "supplier is missing; it must be who sends the file, as the shop's list names him",
        "article is missing; columns must have it: the column with the supplier's article numbers",
        "pack_unit is missing; columns or constants must have it: the unit that a pack is counted in",
        "price is missing; columns must have it: the column with the price of a pack, or [[breaks]]",
        "currency is missing; columns or constants must have it: the currency of the prices",
        "valid_from is missing; columns or constants must have it: "
        "the first day of the prices, or the command's --valid-from",
        "articles is missing; it must say which of the supplier's articles are which of our codes",
        "numbers.decimal_mark is missing; it must be one of '.' ','",
    ]


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("supplier = ", "it is not TOML: "),
        ('[numbers]\ndecimal_mark = ","\nthousands_mark = ","', "numbers.thousands_mark is ','; it must be another mark"),
        ("whole_list = true", "whole_list is TRUE; it must be the day from which the file is all he sells"),
        ('[columns]\nvalid_to = "bis"', "dates.written is missing; it must say how 'bis' is written, like DD.MM.YYYY"),
        (
            "[constants]\nvalid_from = 2027-01-04\nvalid_to = 2027-01-03",
            "constants.valid_to is '2027-01-03'; it must not be",
        ),
        ('columns = "x"', "columns is 'x'; it must be a table, headed [columns]"),
        ("breaks = 1", "breaks is 1; it must be one table for each pair of break columns, each headed [[breaks]]"),
    ],
)
def test_one_fault_of_a_mapping(tmp_path, text, fault):
    assert any(each.startswith(fault) for each in mapping_faults(tmp_path, text))


def test_a_mapping_that_is_not_there_or_not_text(tmp_path):
    with pytest.raises(FileRefused, match="the file cannot be read: No such file"):
        load_mapping(tmp_path / "none.toml")
    (tmp_path / "latin.toml").write_bytes("supplier = 'Café'".encode("cp1252"))
    with pytest.raises(FileRefused, match="it is not UTF-8 text"):
        load_mapping(tmp_path / "latin.toml")


def test_the_first_day_may_come_from_the_command(tmp_path):
    day = datetime.date(2028, 1, 3)
    assert read(tmp_path, "7;L;1,00", valid_from=day).offers[0].valid_from == day
    faults = mapping_faults(tmp_path, MAPPING.format(top="", columns='valid_from = "ab"', constants="", breaks="").replace(
        "valid_from = 2027-01-04\n", ""), valid_from=day)  # fmt: skip
    assert faults == ["valid_from stands under columns, and the command gives it too; it must be given once"]


# --- numbers, dates, units ---


@pytest.mark.parametrize(
    ("written", "value"),
    [("12,50", "12.50"), ("1.250,00", "1250.00"), ("1.234.567,8", "1234567.8"), ("1250", "1250"), ("€ 12,50", "12.50"),
     ("12,50 €", "12.50")],
)  # fmt: skip
def test_numbers_as_the_mapping_says(tmp_path, written, value):
    assert str(read(tmp_path, f"7;L;{written}").offers[0].price) == value


@pytest.mark.parametrize(
    "written",
    ["12.50", "1.25", "12,50,1", "1.2500,0", "1,250.00", "12,", ",5", "1e3", "$12", "auf Anfrage", "", "１２", "#N/A"],
)
def test_numbers_are_never_guessed(tmp_path, written):
    shown = repr(written) if written else "blank"
    assert reasons(read(tmp_path, f"7;L;{written}")) == [
        f"line 2, column C: Preis is {shown}; it must be a number, more than 0, up to 1e9 [currency], written like 1.234,5"
    ]


@pytest.mark.parametrize(("written", "told"), [("0", "0"), ("-12,50", "-12,50"), ("2000000000", "2000000000")])
def test_prices_that_are_none(tmp_path, written, told):
    assert reasons(read(tmp_path, f"7;L;{written}")) == [
        f"line 2, column C: Preis is '{told}'; it must be more than 0, up to 1e9 [currency]"
    ]


@pytest.mark.parametrize(
    ("form", "written", "day"),
    [("DD.MM.YYYY", "04.01.2027", "2027-01-04"), ("M/D/YY", "1/4/27", "2027-01-04"), ("YYYYMMDD", "20270104", "2027-01-04"),
     ("DD.MM.YYYY", "4.1.2027", None), ("DD.MM.YYYY", "31.02.2027", None), ("MM/DD/YYYY", "13/01/2027", None),
     ("DD.MM.YYYY", "", None)],
)  # fmt: skip
def test_dates_as_the_mapping_says(tmp_path, form, written, day):
    text = MAPPING.format(top="", columns='valid_from = "ab"', constants="", breaks="")
    text = text.replace("valid_from = 2027-01-04\n", "").replace("DD.MM.YYYY", form)
    file = read(tmp_path, f"7;L;1,00;{written}", header="Artikel;Einheit;Preis;ab", text=text)
    if day:
        assert str(file.offers[0].valid_from) == day
    else:
        shown = repr(written) if written else "blank"
        assert reasons(file) == [f"line 2, column D: ab is {shown}; it must be a date from 1990 to 2199, written {form}"]


def test_units_in_the_suppliers_words(tmp_path):
    file = read(tmp_path, "7;Ltr.;1,00", "7;Kanister;2,00")
    assert file.offers == ()
    assert reasons(file)[1].startswith("line 3, column B: Einheit is 'Kanister'; it must ")
    assert reasons(file)[0] == "line 2: held back, since line 3 of the same code is refused"
    assert read(tmp_path, "7;Ltr.;1,00").offers[0].pack == 1000


def test_a_unit_of_the_wrong_dimension(tmp_path):
    text = MAPPING.format(top="", columns="", constants="", breaks="").replace('"L"', '"m2"')
    (told,) = reasons(read(tmp_path, "7;Ltr.;1,00", text=text))
    assert told.startswith("line 2, column B: Einheit is 'Ltr.'; it is an area, but ink is bought by volume, such as")
    assert told.endswith("; mapping.toml reads it as m2")


def test_density_of_an_article_and_of_a_column(tmp_path):
    """A pound is 0.45359237 kg and a US gallon 3.785411784 L exactly (NIST SP 811, appendix B)."""
    assert read(tmp_path, "9;kg;1,00").offers[0].pack == pytest.approx(Decimal(1000) / Decimal("1.2"))
    file = read(
        tmp_path, "10;lb;1,00;9,8", header="Artikel;Einheit;Preis;Dichte", top='density_in = "lb/gal"',
        columns='density = "Dichte"', constants='kind = "ink"',
    )  # fmt: skip
    exact = Fraction("3785.411784") / Fraction("9.8")
    assert float(file.offers[0].pack) == pytest.approx(float(exact), rel=1e-15)
    assert file.offers[0].pack_unit == "lb at 9.8 lb/gal"
    assert "bought by volume" in reasons(read(tmp_path, "7;kg;1,00"))[0], "no density, no volume"


def test_from_euros_for_a_pound_to_euros_for_a_millilitre_through_the_chain(tmp_path):
    """12 lb at 9.8 lb/gal: 12 x 0.45359237 kg / (9.8 x 0.45359237 kg / 3785.411784 mL)."""
    file = read(tmp_path, "10;tub of 12 lb;61,20;9,8", header="Artikel;Einheit;Preis;Dichte", top='density_in = "lb/gal"',
                columns='density = "Dichte"', constants='kind = "ink"')  # fmt: skip
    offer = file.offers[0]
    assert float(offer.price / offer.pack) == pytest.approx(61.20 / (12 / 9.8 * 3785.411784), rel=1e-15)


# --- articles and codes ---


def test_articles_without_a_code_are_listed(tmp_path):
    file = read(tmp_path, "7;L;1,00", "77;L;auf Anfrage", "Sonstiges;;", ";;", header="Artikel;Einheit;Preis")
    assert [(row.row, row.article) for row in file.unmapped] == [(3, "77"), (4, "Sonstiges")]
    assert file.absent == ("8", "9", "10")
    assert len(file.offers) == 1 and not file.refused


def test_a_price_without_an_article(tmp_path):
    assert reasons(read(tmp_path, ";L;1,00", "=7;L;1,00", "#REF!;L;1,00")) == [
        "line 2, column A: Artikel is blank; it must be text of 1 to 80 characters",
        f"line 3, column A: Artikel is '=7'; {FORMULA}",
        "line 4, column A: Artikel is '#REF!'; it must be text, not an error value or a date",
    ]


def test_a_new_code_needs_a_kind(tmp_path):
    assert reasons(read(tmp_path, "10;L;1,00")) == [
        "line 2: NEW-INK is new to the shop's list, and mapping.toml must give its kind of material"
    ]
    assert read(tmp_path, "10;L;1,00", constants='kind = "ink"').offers[0].kind == "ink"


def test_kinds_in_the_suppliers_words(tmp_path):
    kinds = {"header": "Artikel;Einheit;Preis;Gruppe", "columns": 'kind = "Gruppe"'}
    text = MAPPING.format(top="", columns=kinds["columns"], constants="", breaks="") + '[kinds]\n"Farben" = "ink"\n'
    assert read(tmp_path, "10;L;1,00;Farben", header=kinds["header"], text=text).offers[0].kind == "ink"
    told = reasons(read(tmp_path, "7;L;1,00;powder", "10;L;1,00;Lacke", header=kinds["header"], text=text))
    assert told[0] == "line 2, column D: Gruppe is 'powder'; it must be ink as in the shop's list: one code is one material"
    assert told[1].startswith("line 3, column D: Gruppe is 'Lacke'; it must be one of Farben, ink, chemical,")


def test_descriptions_and_control_characters(tmp_path):
    told = reasons(
        read(tmp_path, "7;L;1,00;@SUM(A1)", "8;each;1,00;Token\x07", "9;kg;1,00;Wash\u200b",
             header="Artikel;Einheit;Preis;Text", columns='description = "Text"')
    )  # fmt: skip
    assert told[0] == f"line 2, column D: Text is '@SUM(A1)'; {FORMULA}"
    assert "line 3, column D: Text is 'Token\\x07'; it must have no control characters" in told
    assert told[-1] == "line 4, column D: Text is 'Wash\\u200b'; it must have no invisible characters"


def test_a_row_that_cannot_be_taken_apart(tmp_path):
    file = read(tmp_path, "7;L", "8;each;1,00")
    assert [(row.row, row.code) for row in file.refused] == [(2, "")]
    assert "the row has 2 cells; it must have 3" in reasons(file)[0]
    assert [offer.code for offer in file.offers] == ["TOKEN"]


def test_headings_that_are_not_there(tmp_path):
    with pytest.raises(FileRefused) as refused:
        read(tmp_path, "7;L;1,00;x", header="Artikel;Preis;Preis;Text")
    assert refused.value.faults == [
        "line 1: the heading 'Preis' stands 2 times; mapping.toml names it under columns.price; "
        "the row has 'Artikel', 'Preis', 'Preis', 'Text'",
        "line 1: there is no heading 'Einheit'; mapping.toml names it under columns.pack_unit; "
        "the row has 'Artikel', 'Preis', 'Preis', 'Text'",
    ]


# --- breaks and minimum orders ---

FROM = {"header": "Artikel;Einheit;Preis;ab", "columns": 'from_quantity = "ab"'}


def breaks_of(file):
    return [(offer.from_quantity, str(offer.price), offer.minimum_order) for offer in file.offers]


def test_one_row_for_each_break(tmp_path):
    assert breaks_of(read(tmp_path, "7;L;9,00;5", "7;L;10,00;1", **FROM)) == [(1, "10.00", None), (5, "9.00", None)]
    assert breaks_of(read(tmp_path, "7;L;10,00;0", **FROM)) == [(1, "10.00", None)], "from 0 is from the first"


def test_breaks_that_are_no_whole_packs(tmp_path):
    assert reasons(read(tmp_path, "7;L;10,00;2,5", "8;each;1,00;-1", "9;kg;1,00;", **FROM)) == [
        "line 2, column D: ab is '2.5'; it must be whole, 1 to 1e9 [packs]",
        "line 3, column D: ab is '-1'; it must be 0 to 1e9",
        "line 4, column D: ab is blank; it must be a number, 0 to 1e9, written like 1.234,5",
    ]


def test_the_same_twice_and_two_prices_for_one(tmp_path):
    file = read(tmp_path, "7;L;10,00;1", "7;L;10,00;1", "8;each;2,00;1", "8;each;3,00;1", **FROM)
    assert breaks_of(file) == [(1, "10.00", None)]
    assert file.notices == ("line 3: it says the same as line 2, and is taken once",)
    assert reasons(file) == [
        "line 4, column C: Preis is '2.00 EUR'; line 5 gives 3.00 for the same pack of TOKEN, quantity and day; "
        "it must be said once",
        "line 5, column C: Preis is '3.00 EUR'; line 4 gives 2.00 for the same pack of TOKEN, quantity and day; "
        "it must be said once",
    ]


def test_dearer_for_more(tmp_path):
    assert reasons(read(tmp_path, "7;L;10,00;1", "7;L;10,01;5", **FROM)) == [
        "line 2: held back, since line 3 of the same code is refused",
        "line 3, column C: Preis is '10.01 from 5 packs'; it must not come dearer for more than line 2 asks for less",
    ]


COLUMNS = {
    "header": "Artikel;Einheit;1+;25+;100+",
    "breaks": "".join(f'[[breaks]]\nfrom_quantity = {start}\nprice = "{start}+"\n' for start in (1, 25, 100)),
}


def in_columns(tmp_path, *lines, **parts):
    text = MAPPING.format(**{"top": "", "columns": "", "constants": "", "breaks": ""} | parts).replace(
        'price = "Preis"\n', ""
    )
    return read(tmp_path, *lines, header=parts.get("header", COLUMNS["header"]), text=text)


def test_one_row_with_several_breaks(tmp_path):
    file = in_columns(tmp_path, "7;L;10,00;9,50;9,00", "8;each;2,00;;1,50", breaks=COLUMNS["breaks"])
    assert breaks_of(file) == [
        (1, "10.00", None),
        (25, "9.50", None),
        (100, "9.00", None),
        (1, "2.00", None),
        (100, "1.50", None),
    ]
    assert reasons(in_columns(tmp_path, "7;L;;;", "8;each;2,00;x;1", breaks=COLUMNS["breaks"])) == [
        "line 2, column C: 1+ is blank; it must be a number, more than 0, up to 1e9 [currency]",
        "line 3, column D: 25+ is 'x'; it must be a number, more than 0, up to 1e9 [currency], written like 1.234,5",
    ]


def test_quantities_of_breaks_in_columns_must_grow(tmp_path):
    breaks = '[[breaks]]\nfrom_quantity = "M1"\nprice = "P1"\n[[breaks]]\nfrom_quantity = "M2"\nprice = "P2"\n'
    header = "Artikel;Einheit;M1;P1;M2;P2"
    assert breaks_of(in_columns(tmp_path, "7;L;1;10,00;6;9,00", header=header, breaks=breaks)) == [
        (1, "10.00", None), (6, "9.00", None)
    ]  # fmt: skip
    assert reasons(in_columns(tmp_path, "7;L;6;10,00;1;9,00", "8;each;1;2,00;;1,00", header=header, breaks=breaks)) == [
        "line 2: the from quantities are 6 and then 1; they must grow from column to column",
        "line 3, column E: M2 is blank; it must be a number, 0 to 1e9, written like 1.234,5",
    ]


def test_quantities_in_pieces_with_prices_for_a_thousand(tmp_path):
    """From 2500 at 310 for 1000 is from 5 packs of 500 at 155; what a piece costs is the same."""
    parts = FROM | {"top": 'quantities_in = "each"'}
    assert breaks_of(read(tmp_path, "8;M;310,00;1", "8;M;290,00;5000", **parts)) == [
        (1, "310.00", None),
        (5, "290.00", None),
    ]
    file = read(tmp_path, "8;M;310,00;500", "8;M;290,00;2500", **parts)
    assert breaks_of(file) == [(1, "155.00", None), (5, "145.00", None)]
    assert [(str(offer.pack_quantity), offer.pack_unit, offer.pack) for offer in file.offers] == [("0.5", "M", 500)] * 2
    assert file.offers[0].asked == "310.00 EUR for 1 M"
    thirds = reasons(read(tmp_path, "8;dozen;10,00;12", "8;dozen;9,00;100", **parts))
    assert thirds[1].startswith("line 3, column D: ab is '8.33333 packs'; it must be whole packs")
    assert (
        "it counts each, and it is a count, but ink is bought by volume"
        in reasons(read(tmp_path, "7;L;1,00;1", **parts))[0]
    )


def test_a_minimum_order_and_breaks_below_it(tmp_path):
    """Whoever orders as little as he may pays the price at the minimum; the prices below it are never reached."""
    parts = {
        "header": "Artikel;Einheit;Preis;ab;mindestens",
        "columns": 'from_quantity = "ab"\nminimum_order = "mindestens"',
    }
    file = read(tmp_path, "7;L;10,00;1;4", "7;L;9,00;3;4", "7;L;8,00;6;4", "8;each;2,00;1;", **parts)
    assert breaks_of(file) == [(1, "9.00", 4), (6, "8.00", 4), (1, "2.00", 1)]
    assert file.notices == ("line 2: the price starts below the minimum order of 4 packs and is never reached",)
    assert (
        "minimum order" in read(tmp_path, "7;L;10,00;1;4", "7;L;9,00;3;5", **parts).refused[0].reasons[0] + "minimum order"
    )
    first = read(tmp_path, "7;L;10,00;25", "7;L;9,00;100", **FROM | {"constants": 'minimum_order = "first break"'})
    assert breaks_of(first) == [(1, "10.00", 25), (100, "9.00", 25)]
    assert breaks_of(read(tmp_path, "7;L;10,00;25", **FROM | {"constants": "minimum_order = 4"})) == [(25, "10.00", 4)]


def test_different_minimum_orders_of_one_pack(tmp_path):
    parts = {
        "header": "Artikel;Einheit;Preis;ab;mindestens",
        "columns": 'from_quantity = "ab"\nminimum_order = "mindestens"',
    }
    assert reasons(read(tmp_path, "7;L;10,00;1;4", "7;L;9,00;3;5", **parts))[0] == (
        "line 2, column E: mindestens is 'not the same in every row'; all price breaks of one pack must have the same"
    )


# --- workbooks, and the examples ---


def test_a_workbook_with_numbers_and_dates_of_its_own(tmp_path):
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Preise"
    sheet.append(["Preisliste 2027"])
    sheet.append(["Artikel", "Einheit", "Preis", "ab"])
    sheet.append([7, "Ltr.", 1250.5, datetime.date(2027, 2, 1)])
    sheet.append([8, "each", "1.250,50", "01.02.2027"])
    sheet.append([9, "kg", "=1+1", "01.02.2027"])
    book.save(tmp_path / "prices.xlsx")
    text = MAPPING.format(top="", columns='valid_from = "ab"', constants="", breaks="")
    text = text.replace("valid_from = 2027-01-04\n", "").replace('delimiter = ";"', 'sheet = "Preise"\nheading_row = 2')
    file = read_supplier_file(tmp_path / "prices.xlsx", mapping_of(tmp_path, text), LISTED)
    assert [(str(offer.price), str(offer.valid_from)) for offer in file.offers] == [
        ("1250.5", "2027-02-01"), ("1250.50", "2027-02-01")
    ]  # fmt: skip
    assert file.refused[0].row == 5 and reasons(file)[0].startswith("sheet 'Preise', row 5, column C: Preis is ")


@pytest.mark.parametrize(
    ("name", "offers", "unmapped"),
    [("fellgarth-2027.csv", 10, 1), ("oxenhow-2027.csv", 7, 1), ("brackmoor-2027.xlsx", 26, 1)],
)
def test_the_examples_are_read_without_a_fault(name, offers, unmapped):
    from quotelib.prices.shoplist import read_shop_list

    shop = read_shop_list(EXAMPLES.parents[1] / "workbook" / "price-list.csv")
    file = read_supplier_file(EXAMPLES / name, load_mapping(EXAMPLES / f"{name.partition('-')[0]}.toml"), shop.materials)
    assert not file.refused and not file.notices
    assert (len(file.offers), len(file.unmapped)) == (offers, unmapped)


# --- anything at all ---

UNITS = "L each kg dozen M", "12 x 1 L", "pail of 5", "kg at 0 kg/L", "1.2 kg/L", "nan L", "1/3"
NUMBERS = "7 8 9 10 1,00 1.000,50 0 -1 1e9 999999999 0,0000000001 NaN Infinity \u0661", "€ 4"
OTHERS = "04.01.2027 31.12.2199 01.01.1989 #N/A =1 @ ink paint \x00", "a" * 300, ""
ODD = st.sampled_from([cell for first, *more in (UNITS, NUMBERS, OTHERS) for cell in (*first.split(" "), *more)])
ANY = st.one_of(ODD, st.text(st.characters(exclude_characters=';\n\r"', exclude_categories=["Cs"]), max_size=12))


@given(st.lists(st.lists(ANY, min_size=9, max_size=9), max_size=6), st.sampled_from(("packs", "each", "L")))
@settings(max_examples=60)
def test_any_cells(rows, quantities):
    """Whatever stands in a file, each row gives offers, is refused with a place and a reason, or is listed."""
    fields = (
        "article",
        "pack_unit",
        "price",
        "pack_quantity",
        "from_quantity",
        "minimum_order",
        "valid_from",
        "density",
        "kind",
    )
    text = MAPPING.format(
        top=f'quantities_in = "{quantities}"', constants="", breaks="",
        columns="\n".join(f'{name} = "{name}"' for name in fields if name not in ("article", "pack_unit", "price")),
    ).replace("valid_from = 2027-01-04\n", "")  # fmt: skip
    for name, heading in (("article", "Artikel"), ("pack_unit", "Einheit"), ("price", "Preis")):
        text = text.replace(f'{name} = "{heading}"', f'{name} = "{name}"')
    with tempfile.TemporaryDirectory() as folder:
        try:
            file = read(Path(folder), *(";".join(row) for row in rows), header=";".join(fields), text=text)
        except FileRefused as refused:
            assert refused.faults
            return
    for row in file.refused:
        assert row.reasons and all(reason.startswith(f"line {row.row}") for reason in row.reasons)
    for offer in file.offers:
        assert offer.price > 0 and offer.pack > 0 and offer.from_quantity >= 1
    told = {row.row for kind in (file.refused, file.unmapped, file.offers) for row in kind}
    unread = {number for number, row in enumerate(rows, 2) if not any(cell.split() for cell in row)}
    noticed = {number for number in range(2, len(rows) + 2) if any(f"line {number}" in notice for notice in file.notices)}
    assert told | unread | noticed == set(range(2, len(rows) + 2))
