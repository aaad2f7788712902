"""The price sheet: what stands where on the one sheet of a workbook that a refresh replaces.

The template, the refresh of a closed workbook and the refresh from inside Calc or Excel all write what is said here.  Rows
and columns count from 0.  The functions of cells find the prices by the defined names, wherever the user moved or renamed
the sheet.
"""

import datetime
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any, NamedTuple, Protocol

from quotelib.errors import FileRefused, SheetRefused
from quotelib.kinds import day_number

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
    PriceColumn("Quoting unit", "quoting unit", "text", 14),
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


PRICE_FILE = "price_file"
PRICE_CURRENCY = "price_currency"
PRICE_DAY = "price_day"


class Stated(NamedTuple):
    """A statement above the prices: a label in column A, and a named cell beside it."""

    name: str
    label: str
    row: int
    note: str


STATED = (
    Stated(
        PRICE_FILE, "From the file", 1, "The shop's price list that a refresh reads; a path is taken from this workbook."
    ),
    Stated(
        PRICE_CURRENCY, "Currency", 2, "Prices are per quoting unit; the supplier's own pack and price stand to the right."
    ),
    Stated(PRICE_DAY, "Read on", 3, "The day on which these prices were read from the file."),
)


def rows_of(prices: Any) -> list[tuple[Any, ...]]:
    """The rows of a price list (pricelist.PriceList) as cells: texts, numbers, dates, None for no last day."""
    columns = [[_as_cell(value) for value in prices.table[column.source].tolist()] for column in COLUMNS]
    return list(zip(*columns, strict=True))


def stated_of(prices: Any, read_on: datetime.date) -> dict[str, Any]:
    """The values of the named cells above the prices."""
    return {PRICE_FILE: prices.file, PRICE_CURRENCY: prices.currency, PRICE_DAY: read_on}


def _as_cell(value: Any) -> Any:
    """A value of a data frame as a cell holds it."""
    if value != value:  # no last day
        return None
    return value.date() if isinstance(value, datetime.datetime) else value


# --- a refresh: what may be in its way, which file it reads, what it says at the end ---


class Found(NamedTuple):
    """What a refresh found on a workbook's price sheet, from the row of the headings down."""

    sheet: str
    rows: int
    """Rows of prices: the height of the cells named price_rows."""
    columns: int
    """Their width."""
    headings: Sequence[Any]
    """What stands in the row above them, as wide as `COLUMNS`."""
    protected: bool = False
    merged: Sequence[str] = ()
    """Addresses of merged cells among the prices, or where new ones would go."""
    own: Sequence[str] = ()
    """Addresses of cells with something in them below or beside the prices."""
    hidden: bool = False
    """Whether rows of prices are hidden, by a filter or by hand."""
    days_from_1900: bool = True
    """Whether days count from 1899-12-30, as in all workbooks but those set to 1904."""
    read_only: bool = False
    """Whether the workbook is open for reading only."""
    other: Sequence[str] = ()
    """Whatever else is in the way, in words."""


MOST_NAMED = 8
"""Addresses that a refusal names."""


def no_such_name(name: str) -> str:
    """The fault of a workbook without one of the names that the functions find the prices by."""
    return f"no cells have the name {name}, by which the prices are found; take a workbook made from quoting.xlsx"


def refuse_if_in_the_way(workbook: str, found: Found) -> None:
    """Refuse a workbook whose price sheet cannot be refreshed as it stands, with everything that is in the way."""
    faults = []
    sheet = f"sheet {found.sheet!r}"
    if found.columns != READ_COLUMNS or found.rows < 1:
        faults.append(
            f"the name {PRICE_ROWS} stands for {found.rows} x {found.columns} cells; it must be {READ_COLUMNS} wide"
        )
    headings = [column.heading for column in COLUMNS]
    if list(found.headings) != headings:
        faults.append(f"the row above the prices of {sheet} must hold the headings {', '.join(headings)}")
    if found.protected:
        faults.append(f"{sheet} is protected; take the protection off, refresh, and protect it again")
    if found.merged:
        faults.append(f"cells among the prices of {sheet} are merged: {listed(found.merged)}; split them")
    if found.own:
        faults.append(
            f"{sheet} holds something of your own below or beside the prices: {listed(found.own)}; "
            "move it to another sheet or above the headings, as the rows of prices move"
        )
    if found.hidden:
        faults.append(f"rows of prices of {sheet} are hidden; take the filter off and show all rows")
    if not found.days_from_1900:
        faults.append(
            "its days count from 1904 (a setting of the workbook); they must count from 1900, as the functions do"
        )
    if found.read_only:
        faults.append("it is open for reading only; open it for editing")
    faults += found.other
    if faults:
        raise SheetRefused(workbook, faults)


def listed(addresses: Sequence[str]) -> str:
    """The first few, and how many more there are."""
    more = len(addresses) - MOST_NAMED
    return ", ".join(addresses[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")


def file_to_read(stated: str, folder: Path | None, usual: Path | None) -> Path | None:
    """The price list that a workbook names, or else the shop's usual one; None where neither is known.

    Parameters
    ----------
    stated : str
        What stands in the cell price_file: a path, from the workbook's folder unless it is a whole one; or blank.
    folder : Path, optional
        The workbook's folder; None while it has not been saved.
    usual : Path, optional
        The shop's usual price list.  It serves where nothing is stated, or a file of its name that is not there: a quote
        saved in a folder of its own still says price-list.csv.
    """
    if not stated:
        return usual
    path = Path(stated)
    if folder is not None or path.is_absolute():
        path = folder / path if folder else path
        if path.is_file():
            return path
    if usual is not None and stated == usual.name:
        return usual
    fault = f"there is no such file; the cell named {PRICE_FILE} must hold its path, from the workbook's folder on or whole"
    if folder is None and not path.is_absolute():
        fault = (
            f"the workbook has no folder yet to find it from; save it, or put a whole path into the cell named {PRICE_FILE}"
        )
    raise FileRefused(str(path), [fault])


def stated_file(path: Path, stated: str, folder: Path | None) -> str:
    """What the cell price_file says after a refresh: the same while it leads to the file, or else what does."""
    if stated and folder is not None and (folder / stated).is_file() and (folder / stated).samefile(path):
        return stated
    return path.name if folder is not None and path.parent == folder else str(path)


class Changes(NamedTuple):
    """What a refresh changed: rows before and after, and prices new, changed, ended and as they were.

    A price is told by its code, its from quantity and its first day.  It is changed when its amount, its last day, its
    quoting unit or its currency is another one, and ended when it is no longer in the list.
    """

    rows_before: int
    rows_after: int
    new: int
    changed: int
    ended: int
    unchanged: int


def changes(before: Iterable[Sequence[Any]], after: Iterable[Sequence[Any]]) -> Changes:
    """Compare the rows of a price sheet, as any host reads them, with those that replace them."""
    old, new = list(before), list(after)
    was, now = dict(map(_compared, old)), dict(map(_compared, new))
    both = was.keys() & now.keys()
    changed = sum(was[key] != now[key] for key in both)
    return Changes(len(old), len(new), len(now) - len(both), changed, len(was) - len(both), len(both) - changed)


def _compared(row: Sequence[Any]) -> tuple[tuple[Any, ...], tuple[Any, ...]]:
    """By what a price is told, and what of it may change."""
    by_source = {column.source: _alike(cell) for column, cell in zip(COLUMNS, row, strict=True)}
    return told_by(row), tuple(by_source[source] for source in ("unit price", "valid to", "quoting unit", "currency"))


def told_by(row: Sequence[Any]) -> tuple[Any, ...]:
    """By what a price is told: its code, from quantity and first day, alike whichever host read the row."""
    by_source = {column.source: cell for column, cell in zip(COLUMNS, row, strict=True)}
    return tuple(_alike(by_source[source]) for source in ("code", "from in quoting units", "valid from"))


def _alike(cell: Any) -> Any:
    """The same for what hosts give differently: days and their numbers, blanks, the last digits of a number."""
    if isinstance(cell, datetime.date):
        return float(day_number(cell))
    if isinstance(cell, (int, float)):
        return float(f"{cell:.12g}")
    return None if cell == "" else cell


def closing_sentence(path: Path, currency: str, done: Changes) -> str:
    """What a refresh says at the end."""
    return (
        f"Read from {path}, in {currency}. Rows: {done.rows_before} before, {done.rows_after} now. "
        f"Prices: {done.new} new, {done.changed} changed, {done.ended} ended, {done.unchanged} as they were."
    )


def _by_first(told: dict[int, tuple[Any, ...]], parts: int) -> defaultdict[tuple[Any, ...], list[int]]:
    """The rows by the first parts of what their prices are told by."""
    rows = defaultdict(list)
    for row, key in told.items():
        rows[key[:parts]].append(row)
    return rows


class Places:
    """Where the rows of prices go, each by the price on it; rows count from 0, the first one of the list.

    A price that is told by no row of before takes the place of one that ends, when they are the only two such of their code
    and from quantity: the price of July that of January.
    """

    def __init__(self, before: Sequence[Sequence[Any]], after: Sequence[Sequence[Any]]) -> None:
        self.was: dict[int, int] = {}
        """The old row of each new one that held its price before, or the one whose place it takes."""
        old, new = (dict(enumerate(map(told_by, rows))) for rows in (before, after))
        for parts in (3, 2):
            stood, stands = _by_first(old, parts), _by_first(new, parts)
            for told in stood.keys() & stands.keys():
                if len(stood[told]) == len(stands[told]) == 1:
                    self.was[stands[told][0]] = stood[told][0]
                    del old[stood[told][0]], new[stands[told][0]]
        self.now = {old: place for place, old in self.was.items()}
        self.before, self.after = len(before), len(after)

    @property
    def reach(self) -> int:
        """Rows that hold a price before or after."""
        return max(self.before, self.after)

    def in_the_way(self, row: int, moves_with_its_price: bool) -> bool:
        """Whether a cell of the user's beside a row, or below the list, could neither stay nor move."""
        if row >= self.reach or self.now.get(row) == row:
            return False
        return not (moves_with_its_price and row in self.now)

    def runs(self) -> Iterator[tuple[int, int, int]]:
        """The rows that go elsewhere, in blocks: first old row, first new row, how many."""
        first = length = 0
        for place in range(self.after + 1):
            old = self.was.get(place)
            if length and old == self.was[first] + length:
                length += 1
                continue
            if length:
                yield self.was[first], first, length
            first, length = place, int(old is not None and old != place)

    def fresh(self) -> Iterator[tuple[int, int]]:
        """The new rows whose price is new, in blocks: first row, how many."""
        first = 0
        for place in range(self.after + 1):
            if place in self.was or place == self.after:
                if first < place:
                    yield first, place - first
                first = place + 1


def formulas_among(sheet: str, addresses: Sequence[str]) -> str:
    """The fault of prices that the user made formulas of."""
    words = "put them in a column of your own beside the list, or on another sheet"
    return f"prices of sheet {sheet!r} are formulas: {listed(addresses)}; {words}"


def notes_of_ended(sheet: str, addresses: Sequence[str]) -> str:
    """The fault of notes at prices that are no longer in the list."""
    return f"notes of sheet {sheet!r} stand at prices that have ended: {listed(addresses)}; delete them, or move them"


class OpenSheet(Protocol):
    """The price sheet of a workbook that is open in Calc or Excel."""

    title: str
    """The workbook's name, for messages."""
    folder: Path | None
    """The workbook's folder; None while it has not been saved."""

    def found(self, places: Places) -> Found:
        """What may be in the way of rows that go to these places."""

    def stated(self) -> str:
        """The path in the cell price_file."""

    def rows(self) -> Sequence[Sequence[Any]]:
        """The rows of prices as they stand."""

    def replace(self, rows: Sequence[Sequence[Any]], places: Places, stated: dict[str, Any]) -> None:
        """Put other rows in their place, and other values into the named cells above; all of it or nothing.

        What the user gave a price moves with it: the looks of its row, notes, and what stands beside it in columns of the
        user's own, which are those right beside the list that have a heading.
        """


def refresh_open(
    sheet: OpenSheet,
    load: Callable[[Path], tuple[str, Sequence[Sequence[Any]]]],
    usual: Path | None,
    ask_for_file: Callable[[], Path | None],
) -> str:
    """Refresh the price sheet of an open workbook, and say what changed.

    Parameters
    ----------
    sheet : OpenSheet
        The price sheet.
    load : callable
        Gives the currency and the rows of a price list, days as a spreadsheet numbers them.
    usual : Path, optional
        The shop's usual price list.
    ask_for_file : callable
        Asks the user for a price list where none is known; None where there is no answer.
    """
    path = file_to_read(sheet.stated(), sheet.folder, usual) or ask_for_file()
    if path is None:
        raise SheetRefused(sheet.title, [f"no price list is named; put its path into the cell named {PRICE_FILE}"])
    currency, rows = load(path)
    before = sheet.rows()
    places = Places(before, rows)
    refuse_if_in_the_way(sheet.title, sheet.found(places))
    file = stated_file(path, sheet.stated(), sheet.folder)
    stated = {PRICE_FILE: file, PRICE_CURRENCY: currency, PRICE_DAY: day_number(datetime.date.today())}
    sheet.replace(rows, places, stated)
    return closing_sentence(path, currency, changes(before, rows))
