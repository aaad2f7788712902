"""The price list at the door: a CSV file or a sheet, checked as a whole and converted once to the quoting units.

    prices = load_price_list("workbook/price-list.csv")
    prices.rows      what PRICE_ON and PRICE_BREAKS read: plain numbers in quoting units and day numbers
    prices.table     the same as a data frame, in the supplier's units and in the quoting units
    prices.source("INK-HAND")     "price-list.csv line 31"

A list is loaded whole or not at all.  Everything wrong with it is named at once, by sheet, row, column, value and what is
allowed (`errors.FileRefused`).  How a file is read, and what it may be, is in `files.tables`.

What the columns mean
---------------------
code            the shop's own name for the thing; one code is one material
description     what it is, in words
supplier        who sells it
kind            the kind of material, from `MATERIALS`; it settles the quoting unit
pack quantity   how many pack units one pack holds
pack unit       the supplier's unit (`units`): `gal`, `fl oz`, `kg`, `yd`, `m2`, `sheet`, `ream`, `dozen`, `M` (a thousand
                pieces), `pail of 5 gal`, `roll of 45.72 m x 0.61 m`, `kg at 1.2 kg/L` for a liquid sold by mass
price           of one pack
currency        ISO 4217; one list, one currency
from quantity   packs bought of this row from which its price holds, 1 or more
valid from      first day of the price, ISO 8601: 2026-08-01
valid to        last day of the price; blank while it has no end
minimum order   fewest packs the supplier sells at once; blank where any quantity is sold.  This column may be left out
offered         what the supplier asked, in his currency and article number, where the row came from a file of his.  This
                column may be left out

A minimum order is no from quantity: a litre of ink used from stock has the price of the can it came in, however many cans
had to be bought with it.

Price breaks are the rows of one code that hold on the same day.  They may come in packs of several sizes (each, dozen,
gross).  No two may start at the same amount, and a larger amount may not cost more for each unit: nobody needs to buy it
so, and it is nearly always a slip.  A row from 1 pack prices a part of a pack too, charged by use, unless a smaller row of
its code overlaps it in time: its from quantity in quoting units is then 0.

Numbers are exact decimals until the end: price / (pack quantity x size of the pack unit) becomes a float once, unrounded.
"""

import datetime
import difflib
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property
from itertools import pairwise
from operator import attrgetter, itemgetter
from pathlib import Path
from typing import Any, NamedTuple

import pandas as pd

from quotelib.errors import LookupMiss
from quotelib.files.faults import Refusal, column_letters
from quotelib.files.readers import day, free_text, last_day, number
from quotelib.files.tables import DateCell, ErrorCell, Table, read_table
from quotelib.kinds import AMOUNT, PRICE_ROWS, NumberKind, Rows
from quotelib.prices.currencies import currency_code
from quotelib.prices.units import MATERIALS, SOME_UNITS, TWENTY_DIGITS, unit_refusal, unit_size

PACK_QUANTITY = NumberKind("pack quantity", "pack units", above=0, most=1e9)
PRICE = NumberKind("price", "currency", above=0, most=1e9)
FROM_QUANTITY = NumberKind("from quantity", "packs", least=1, most=1e9, whole=True)
MINIMUM_ORDER = NumberKind("minimum order", "packs", least=1, most=1e9, whole=True)

SPREADSHEET_EPOCH = pd.Timestamp(1899, 12, 30)
UNENDED = datetime.date.max.toordinal()


@dataclass(frozen=True, eq=False)
class PriceList:
    """A price list that was found in order, in quoting units."""

    file: str
    """Name of the file it came from."""
    currency: str
    """ISO 4217 code of every price in it."""
    table: pd.DataFrame = field(repr=False)
    """One row for each row of the file: the supplier's columns as written, then the quoting unit, the from quantity and the
    price in it, and the line in the file (of a workbook, the row of the sheet).  Codes keep the order of the file; within
    a code, valid from and then from quantity grow."""
    sheet: str | None = None
    """Name of the sheet it came from; None for a CSV file."""

    @property
    def invented(self) -> bool:
        """Whether it is the example's: a supplier is marked as invented."""
        return any("(invented)" in str(supplier) for supplier in self.table["supplier"])

    @cached_property
    def rows(self) -> Rows:
        """Code, from quantity and unit price in quoting units, first and last day as a spreadsheet numbers days, None
        for no end; in the order of `table`."""
        first, last = (
            [None if pd.isna(days) else int(days) for days in (self.table[column] - SPREADSHEET_EPOCH).dt.days]
            for column in ("valid from", "valid to")
        )
        amounts, prices = (self.table[column].tolist() for column in ("from in quoting units", "unit price"))
        rows = tuple(zip(self.table["code"].tolist(), amounts, prices, first, last, strict=True))
        return PRICE_ROWS.admit("price_rows", rows)

    def on(self, day: datetime.date) -> pd.DataFrame:
        """The rows of the table whose prices hold on a day."""
        at = pd.Timestamp(day)
        starts, ends = self.table["valid from"], self.table["valid to"]
        return self.table[(starts <= at) & (ends.isna() | (ends >= at))]

    def minimum_order(self, code: str, day: datetime.date) -> float:
        """Fewest quoting units of a code that can be bought at once on a day; 0 where any quantity can.

        It is what BUY_COST takes as its minimum order.  Raises LookupMiss for a code without a price on that day.
        """
        prices = self.on(day)
        rows = prices[prices["code"] == code]
        if rows.empty:
            raise LookupMiss("code", code, f"it must be one that {self.file} has a price for on {day}")
        packs = rows["pack in quoting units"] * rows["minimum order"].fillna(0).astype(float)
        return float(pd.concat([packs, rows["from in quoting units"]], axis=1).max(axis=1).min())

    def source(self, code: str) -> str:
        """Where the prices of a code stand: the file and its lines.

        Raises LookupMiss for a code that is not in the list.
        """
        lines = sorted(self.table.loc[self.table["code"] == code, "line in file"].tolist())
        if not lines:
            near = difflib.get_close_matches(str(code), self.table["code"].unique().tolist())
            raise LookupMiss(
                "code", code, f"it must be a code of {self.file}" + ("; near it: " + ", ".join(near)) * bool(near)
            )
        counted = "line" if self.sheet is None else f"sheet {self.sheet!r}, row"
        return f"{self.file} {counted}{'s' * (len(lines) > 1)} {', '.join(map(str, lines))}"


def load_price_list(path: str | Path, sheet: str | None = None) -> PriceList:
    """The price list of a CSV file, or of a sheet of an .xlsx workbook.

    `sheet` is its name; None where the workbook has only one.  Raises FileRefused with everything that is wrong with it.
    """
    return price_list_of(read_table(path, sheet, refuse=False))


def price_list_of(table: Table) -> PriceList:
    """The price list that a table holds; the faults found are in `table.faults` too, and FileRefused is raised for them."""
    reading = _Reading(table)
    reading.check_codes()
    reading.check_currency()
    reading.check_days()
    reading.convert()
    reading.check_breaks()
    reading.faults.refuse()
    return reading.price_list()


class Break(NamedTuple):
    """One price of a code: from which amount, at what price, on which days."""

    row: int
    amount: Decimal
    unit_price: float
    first: datetime.date
    last: datetime.date | None


class _Reading:
    """A price list being read: its cells as texts and as values, by row of the file, and the faults found so far.

    Each check looks at the rows whose cells it needs are good, so that one bad cell hides no other fault.
    """

    def __init__(self, table: Table) -> None:
        self.table, self.faults = table, table.faults
        header = [name.lower() for name in table.header]
        self._check_header(header)
        if not table.rows and not self.faults:
            self.faults.row(table.header_row + 1, "the list has no rows; it must have one at least")
        self.places = {column: header.index(column) for column in READERS if column in header}
        rows = [row.number for row in table.rows]
        texts = {column: [row.cells[place] for row in table.rows] for column, place in self.places.items()}
        texts = {column: [""] * len(rows) for column in FURTHER_COLUMNS} | texts
        self.texts = pd.DataFrame(texts, index=rows, columns=list(READERS), dtype=object)
        self.values = self.texts.copy()
        self.good = self.texts.notna()
        for column in texts:
            if column in FREE_TEXTS and set(map(type, texts[column])) & {ErrorCell, DateCell}:
                self._check_stored(column)
            self._enter(column, column, (column,), READERS[column])

    def _check_header(self, header: list[str]) -> None:
        """Everything wrong with the headings is one fault."""
        wrong = [f"'{name}' is missing" for name in COLUMNS if name not in header]
        wrong += [
            f"{name[:40]!r} is not one of a price list" if name else f"column {column_letters(place)} has no heading"
            for place, name in enumerate(header)
            if name not in READERS
        ]
        wrong += [f"'{name}' comes twice" for name in READERS if header.count(name) > 1]
        if wrong:
            marks = " with commas between," if self.table.sheet is None else ""
            wanted = f"they must be {', '.join(COLUMNS)}; each once,{marks} in any order"
            wanted += f"; {' and '.join(FURTHER_COLUMNS)} may stand besides"
            self.faults.row(self.table.header_row, f"columns: {', '.join(wrong)}; {wanted}")

    def _check_stored(self, column: str) -> None:
        """Free text would take an error value or a date for a text; readers of other cells know their own."""
        for row, cell in self.texts[column].items():
            if isinstance(cell, ErrorCell | DateCell):
                self.refuse(row, column, f"it must be text, not {'an error' if isinstance(cell, ErrorCell) else 'a date'}")

    def refuse(self, row: Any, column: str, allowed: str) -> None:
        """Note a fault of one cell."""
        self.faults.cell(int(row), self.places[column], column, self.texts.at[row, column], allowed)

    def sound(self, *columns: str) -> pd.DataFrame:
        """The values of the rows whose cells in these columns are good."""
        return self.values.loc[self.good[list(columns)].all(axis=1), list(columns)]

    def _enter(self, target: str, blamed: str, sources: tuple[str, ...], work_out: Callable[..., Any]) -> None:
        """Fill a column from others, working out each distinct case once; a value that is not good is handed over as None.

        A refusal is a fault of the column `blamed`; an empty refusal says that its cause was named before.
        """
        given = list(zip(*(self._known(source) for source in sources), strict=True))
        worked_out = {case: work_out(*case) for case in set(given)}
        results = [worked_out[case] for case in given]
        self.good[target] = [not isinstance(result, Refusal) for result in results]
        self.values[target] = pd.Series(results, index=self.texts.index, dtype=object)
        for row, refusal in self.values.loc[~self.good[target], target].items():
            if refusal:
                self.refuse(row, blamed, refusal)

    def _known(self, column: str) -> list[Any]:
        return [value if good else None for value, good in zip(self.values[column], self.good[column], strict=True)]

    def check_codes(self) -> None:
        """One code is one material, spelled in one way."""
        first: dict[str, tuple[int, str, str]] = {}
        rows = self.sound("code", "kind")
        for row, code, kind in zip(rows.index, rows["code"], rows["kind"], strict=True):
            earlier, spelled, material = first.setdefault(code.casefold(), (row, code, kind))
            if code != spelled:
                self.refuse(row, "code", f"it must be written as in {self._row(earlier)}: {spelled}")
            if kind != material:
                self.refuse(row, "kind", f"it must be {material} as in {self._row(earlier)}: one code is one material")

    def check_currency(self) -> None:
        """One list, one currency: that of most rows."""
        currencies = self.sound("currency")["currency"]
        if currencies.empty:
            return
        usual = currencies.value_counts().idxmax()
        for row in currencies.index[currencies != usual]:
            self.refuse(
                row,
                "currency",
                f"it must be {usual} as in the rest of the list; prices in another currency need their own",
            )

    def check_days(self) -> None:
        """A price ends on the day it starts, or later."""
        rows = self.sound("valid from", "valid to")
        for row, first, last in zip(rows.index, rows["valid from"], rows["valid to"], strict=True):
            if last is not None and last < first:
                self.good.loc[row, "valid to"] = False
                self.refuse(row, "valid to", f"it must not be before valid from, {first}")

    def _row(self, row: int) -> str:
        """Another row of the same file, as a message names it."""
        return f"{self.table.counted} {row}"

    def convert(self) -> None:
        """Packs, price and from quantity in quoting units."""
        self._enter("unit size", "pack unit", ("pack unit", "kind"), _unit_size)
        self._enter("pack", "pack quantity", ("pack quantity", "unit size"), pack_size)
        self._enter("unit price", "price", ("price", "pack"), _unit_price)
        self._enter("amount", "from quantity", ("from quantity", "pack"), _amount)

    def check_breaks(self) -> None:
        """Price breaks of one code: never two for one amount on one day, never dearer for more."""
        rows = self.sound("code", "amount", "unit price", "valid from", "valid to")
        by_code: dict[str, list[Break]] = defaultdict(list)
        for code, *price in zip(rows["code"], rows.index, *(rows[column] for column in rows.columns[1:]), strict=True):
            by_code[code].append(Break(*price))
        smallest: set[int] = set()
        for breaks in by_code.values():
            smallest |= self._sweep(breaks)
        self.values["from in quoting units"] = self.values["amount"].mask(
            self.values.index.isin(list(smallest)) & (self.values["from quantity"] == 1), Decimal(0)
        )

    def _sweep(self, breaks: list[Break]) -> set[int]:
        """Go through the days on which prices of one code start or end, with the prices that stand sorted by amount.

        Gives the rows that have no smaller one at any time.  A price that starts is compared with its two neighbours;
        those further off follow, since the ones that stand already never rise.
        """
        events = [(it.first.toordinal(), True, it) for it in breaks]
        events += [(it.last.toordinal() + 1 if it.last else UNENDED, False, it) for it in breaks]
        standing: list[Break] = []
        smallest: set[int] = set()
        for _, starts, it in sorted(events, key=itemgetter(0, 1)):
            place = bisect_left(standing, it.amount, key=attrgetter("amount"))
            taken = standing[place] if place < len(standing) and standing[place].amount == it.amount else None
            if not starts:
                if taken is it:
                    del standing[place]
            elif taken:
                earlier, later = sorted((it.row, taken.row))
                wanted = f"it must not start at the amount of {self._row(earlier)} on the same days"
                self.refuse(later, "from quantity", wanted)
            else:
                standing.insert(place, it)
                for smaller, larger in pairwise(standing[max(place - 1, 0) : place + 2]):
                    if larger.unit_price > smaller.unit_price * (1 + 1e-12):
                        than = f"the smaller quantity of {self._row(smaller.row)}"
                        self.refuse(larger.row, "price", f"it must not come dearer for each unit than {than}")
                if place == 0:
                    smallest.add(it.row)
                    smallest.difference_update(other.row for other in standing[1:2])
        return smallest

    def price_list(self) -> PriceList:
        """The list, once no fault was found."""
        values = self.values
        table = pd.DataFrame(
            {
                **{column: values[column].astype(str) for column in ("code", "description", "supplier", "kind")},
                "pack quantity": values["pack quantity"].astype(float),
                "pack unit": values["pack unit"].astype(str),
                "price": values["price"].astype(float),
                "currency": values["currency"].astype(str),
                "from quantity": values["from quantity"].astype(int),
                "valid from": pd.to_datetime(values["valid from"]),
                "valid to": pd.to_datetime(values["valid to"]),
                "minimum order": values["minimum order"].astype("Int64"),
                "offered": values["offered"].astype(str),
                "quoting unit": [MATERIALS[kind].unit for kind in values["kind"]],
                "from in quoting units": values["from in quoting units"].astype(float),
                "pack in quoting units": values["pack"].astype(float),
                "unit price": values["unit price"].astype(float),
                "line in file": values.index,
            }
        )
        order = pd.Series(pd.factorize(table["code"])[0], index=table.index)
        table = table.assign(order=order).sort_values(["order", "valid from", "from in quoting units"], kind="stable")
        return PriceList(
            self.table.file, table["currency"].iloc[0], table.drop(columns="order").reset_index(drop=True), self.table.sheet
        )


def _kind(text: str) -> str:
    return text.lower() if text.lower() in MATERIALS else Refusal("it must be one of " + ", ".join(MATERIALS))


def _pack_unit(text: str) -> str:
    return text or Refusal(f"it must be a unit, such as {SOME_UNITS}")


def _minimum_order(text: str) -> Decimal | Refusal | None:
    packs = number(MINIMUM_ORDER)(text) if text else None
    return Refusal(f"{packs}, or blank where any quantity is sold") if isinstance(packs, Refusal) else packs


def _offered(text: str) -> str:
    return free_text(400)(text) if text else ""


COLUMNS: dict[str, Callable[[str], Any]] = {
    "code": free_text(40),
    "description": free_text(200),
    "supplier": free_text(80),
    "kind": _kind,
    "pack quantity": number(PACK_QUANTITY),
    "pack unit": _pack_unit,
    "price": number(PRICE),
    "currency": currency_code,
    "from quantity": number(FROM_QUANTITY),
    "valid from": day,
    "valid to": last_day,
}
"""The columns of a price list, each with the reader of its cells; they may come in any order."""

FURTHER_COLUMNS: dict[str, Callable[[str], Any]] = {"minimum order": _minimum_order, "offered": _offered}
"""Columns that a price list may have besides."""

READERS = COLUMNS | FURTHER_COLUMNS

FREE_TEXTS = ("code", "description", "supplier", "offered")
"""Columns of which any text may be a cell."""


def _unit_size(pack_unit: str | None, kind: str | None) -> Decimal | Refusal:
    """What one pack unit holds in quoting units."""
    if pack_unit is None:
        return Refusal()
    return unit_size(pack_unit, kind) if kind else unit_refusal(pack_unit) or Refusal()


def pack_size(quantity: Decimal | None, unit_size: Decimal | None) -> Decimal | Refusal:
    """What one pack holds in quoting units."""
    if quantity is None or unit_size is None:
        return Refusal()
    pack = TWENTY_DIGITS.multiply(quantity, unit_size)
    if not Decimal("0.001") <= pack <= 10**9:
        return Refusal(f"the pack holds {pack:.6g} quoting units; it must hold 0.001 to 1e9")
    return pack


def _unit_price(price: Decimal | None, pack: Decimal | None) -> float | Refusal:
    """The price of one quoting unit; the one place where an exact number becomes a float."""
    if price is None or pack is None:
        return Refusal()
    return float(price / pack)


def _amount(quantity: Decimal | None, pack: Decimal | None) -> Decimal | Refusal:
    """The from quantity in quoting units."""
    if quantity is None or pack is None:
        return Refusal()
    amount = quantity * pack
    return (
        amount if amount <= AMOUNT.high else Refusal(f"it comes to {amount:.6g} quoting units; it must be {AMOUNT.allowed}")
    )
