"""The shop's price list as rows that can be changed and written again: every cell a text, as a person wrote it.

    shop = read_shop_list("workbook/price-list.csv")
    shop.rows[0].cells["price"]       "39.80"
    shop.content(shop.rows)           the bytes of a list with these rows

The list is one that loads (`pricelist.load_price_list`), in a CSV file.  Written again it keeps the order of its columns
and rows, its marks at the ends of lines and its byte order mark.
"""

import csv
import datetime
import hashlib
import io
from codecs import BOM_UTF8
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from pathlib import Path

from quotelib.errors import FileRefused
from quotelib.files.faults import Faults, Refusal
from quotelib.files.tables import Row, Table, read_table
from quotelib.prices.pricelist import FURTHER_COLUMNS, READERS, pack_size, price_list_of
from quotelib.prices.units import unit_size


@dataclass(frozen=True)
class ListRow:
    """One row of the shop's list."""

    cells: dict[str, str]
    """By the names of `pricelist.READERS`."""
    line: int
    """Its line in the file; 0 for one that is new."""

    def __getitem__(self, column: str) -> str:
        return self.cells[column]

    @property
    def code(self) -> str:
        """The code in small letters, by which rows belong together."""
        return self["code"].casefold()

    @cached_property
    def pack(self) -> Decimal:
        """What a pack holds in quoting units."""
        size = unit_size(self["pack unit"], self["kind"].lower())
        pack = pack_size(Decimal(self["pack quantity"]), size if isinstance(size, Decimal) else None)
        if isinstance(pack, Refusal):
            raise TypeError(f"line {self.line} was found in order before: {pack}")
        return pack

    @cached_property
    def price(self) -> Decimal:
        """Of a pack."""
        return Decimal(self["price"])

    @cached_property
    def from_quantity(self) -> int:
        """Packs."""
        return int(Decimal(self["from quantity"]))

    @cached_property
    def minimum_order(self) -> int:
        """Packs; 1 where any quantity is sold."""
        return int(Decimal(self["minimum order"] or 1))

    @cached_property
    def first(self) -> datetime.date:
        """First day of the price."""
        return datetime.date.fromisoformat(self["valid from"])

    @cached_property
    def last(self) -> datetime.date | None:
        """Last day of the price; None while it has no end."""
        return datetime.date.fromisoformat(self["valid to"]) if self["valid to"] else None

    def holds_on(self, day: datetime.date) -> bool:
        """Whether the price holds on a day."""
        return self.first <= day and not self.ends_before(day)

    def ends_before(self, day: datetime.date) -> bool:
        """Whether the price is over by a day."""
        return self.last is not None and self.last < day

    def changed(self, **cells: str) -> "ListRow":
        """The same row with other cells, `valid_to` for `valid to`."""
        return ListRow(self.cells | {name.replace("_", " "): text for name, text in cells.items()}, self.line)


@dataclass(frozen=True)
class ShopList:
    """The shop's price list as it stands in its file."""

    path: Path
    header: tuple[str, ...]
    rows: tuple[ListRow, ...]
    currency: str
    line_end: str
    mark: bytes
    sha256: str

    @property
    def materials(self) -> dict[str, tuple[str, str]]:
        """Codes in small letters, each with its spelling and its kind of material."""
        return {row.code: (row["code"], row["kind"].lower()) for row in self.rows}

    def content(self, rows: Sequence[ListRow]) -> bytes:
        """The bytes of the file with these rows; a further column comes in with the first row that has something there."""
        given = {name.lower() for name in self.header}
        used = [name for name in FURTHER_COLUMNS if name not in given and any(row[name] for row in rows)]
        text = io.StringIO()
        writer = csv.writer(text, lineterminator=self.line_end)
        writer.writerow([*self.header, *used])
        columns = [*(name.lower() for name in self.header), *used]
        writer.writerows([[row[column] for column in columns] for row in rows])
        return self.mark + text.getvalue().encode()

    def faults_with(self, rows: Sequence[ListRow]) -> dict[int, list[str]]:
        """What would be wrong with the list if it had these rows: the faults of each, by its place from 0."""
        name = f"{self.path} as merged"
        faults = Faults(name)
        cells = [Row(place, tuple(row[column] for column in READERS)) for place, row in enumerate(rows, 2)]
        try:
            price_list_of(Table(name, None, 1, tuple(READERS), cells, faults))
        except FileRefused:
            return {place - 2: texts for place, texts in faults.by_row().items()}
        return {}


def read_shop_list(path: str | Path) -> ShopList:
    """The shop's list in a CSV file, or `FileRefused` with everything that is wrong with it."""
    table = read_table(path, refuse=False)
    if table.sheet is not None:
        raise FileRefused(str(path), ["the file is a workbook; the list that offers are merged into must be a CSV file"])
    prices = price_list_of(table)
    content = Path(path).read_bytes()
    header = [name.lower() for name in table.header]
    empty = dict.fromkeys(FURTHER_COLUMNS, "")
    rows = [ListRow(empty | dict(zip(header, map(str, row.cells), strict=True)), row.number) for row in table.rows]
    mark = BOM_UTF8 if content.startswith(BOM_UTF8) else b""
    line_end = "\r\n" if b"\r\n" in content else "\n"
    sha256 = hashlib.sha256(content).hexdigest()
    return ShopList(Path(path), table.header, tuple(rows), prices.currency, line_end, mark, sha256)
