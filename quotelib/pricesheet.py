"""The price sheet: what stands where on the one sheet of a workbook that a refresh replaces.

The template, the refresh of a closed workbook and the refresh from inside Calc or Excel all write what is said here.  Rows
and columns count from 0.  The functions of cells find the prices by the defined names, wherever the user moved or renamed
the sheet.
"""

import datetime
from typing import Any, NamedTuple

TITLE = "Price list"


class PriceColumn(NamedTuple):
    """One column of the price sheet."""

    heading: str
    source: str
    """The column of `PriceList.table` it shows."""
    word: str
    """The kind of its number format, as in hosts/workbook/styles.py."""
    width: int


COLUMNS = (
    PriceColumn("Code", "code", "text", 22),
    PriceColumn("From quantity", "from in quoting units", "number", 13),
    PriceColumn("Unit price", "unit price", "unit price", 13),
    PriceColumn("Valid from", "valid from", "day", 11),
    PriceColumn("Valid to", "valid to", "day", 11),
    PriceColumn("Quoting unit", "quoting unit", "text", 9),
    PriceColumn("Description", "description", "text", 44),
    PriceColumn("Supplier", "supplier", "text", 26),
    PriceColumn("Kind", "kind", "text", 10),
    PriceColumn("Pack quantity", "pack quantity", "number", 9),
    PriceColumn("Pack unit", "pack unit", "text", 24),
    PriceColumn("Price of a pack", "price", "money", 11),
    PriceColumn("Currency", "currency", "text", 9),
    PriceColumn("From packs", "from quantity", "count", 8),
    PriceColumn("Line in the file", "line in file", "count", 8),
)
"""The columns from A on; the first five are what PRICE_ON and PRICE_BREAKS read."""

HEADINGS_ROW = 4
FIRST_ROW = 5
"""The first row of prices."""

PRICE_ROWS = "price_rows"
"""Defined name of the first five columns of the prices."""
PRICE_CODES = "price_codes"
"""Defined name of the first column."""
READ_COLUMNS = 5


class Stated(NamedTuple):
    """A statement above the prices: a label in column A, and a named cell beside it."""

    name: str
    label: str
    row: int
    note: str


STATED = (
    Stated("price_file", "From the file", 1, "The shop's price list that a refresh reads; a path is taken from this workbook."),
    Stated("price_currency", "Currency", 2, "Prices are per quoting unit; the supplier's own pack and price stand to the right."),
    Stated("price_day", "Read on", 3, "The day on which these prices were read from the file."),
)


def rows_of(prices: Any) -> list[tuple[Any, ...]]:
    """The rows of a price list (pricelist.PriceList) as cells: texts, numbers, dates, None for no last day."""
    columns = [[_as_cell(value) for value in prices.table[column.source].tolist()] for column in COLUMNS]
    return list(zip(*columns, strict=True))


def stated_of(prices: Any, read_on: datetime.date) -> dict[str, Any]:
    """The values of the named cells above the prices."""
    return {"price_file": prices.file, "price_currency": prices.currency, "price_day": read_on}


def _as_cell(value: Any) -> Any:
    """A value of a data frame as a cell holds it."""
    if value != value:  # no last day
        return None
    return value.date() if isinstance(value, datetime.datetime) else value
