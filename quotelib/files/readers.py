"""Readers of the cells of a table: each takes a text and gives a value, or a `Refusal` that says what is allowed.

rows = rows_by_kind(table, {"design": LABEL, "price": MONEY})      whole rows, each cell as its column's kind admits it
table.faults.refuse()                                              what was wrong is noted there, cell by cell
"""

import datetime
import re
from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Any

from quotelib.errors import QuoteError
from quotelib.files.faults import Refusal
from quotelib.files.tables import Table
from quotelib.kinds import DayKind, FlagKind, Kind, NumberKind

NUMBER = r"(?:[0-9]{1,15}(?:\.[0-9]{0,30})?|\.[0-9]{1,30})"
"""A plain number as texts of the trade write it: digits, and a point where there are decimals."""
SIGNED_NUMBER = re.compile("-?" + NUMBER)
PLAINLY = ", written like 1234.5: no comma, no space, no currency sign"
DAY_WANTED = Refusal("it must be a date from 1990 to 2199, written year-month-day like 2026-08-01")


def free_text(most: int) -> Callable[[str], str]:
    """A reader of free text."""

    def read(text: str) -> str:
        if not text or len(text) > most:
            return Refusal(f"it must be text of 1 to {most} characters")
        if text[0] in "=+-@":
            return Refusal("it must not begin with = + - or @, which a spreadsheet would take for a formula")
        if not text.isprintable():
            return Refusal("it must have no invisible characters")
        return text

    return read


def number(kind: NumberKind) -> Callable[[str], Decimal | Refusal]:
    """A reader of plain numbers of a kind, exact."""

    def read(text: str) -> Decimal | Refusal:
        if not SIGNED_NUMBER.fullmatch(text):
            return Refusal(kind.refusal("a number, ") + PLAINLY)
        value = Decimal(text)
        return value if allows(kind, value) else Refusal(kind.refusal())

    return read


def allows(kind: NumberKind, value: Decimal) -> bool:
    """Whether an exact number is one that a kind admits."""
    return kind.low <= value <= kind.high and not (kind.whole and value % 1)


def day(text: str) -> datetime.date | Refusal:
    """A reader of days, ISO 8601."""
    try:
        found = datetime.date.fromisoformat(text) if re.fullmatch(r"\d{4}-\d\d-\d\d", text, re.ASCII) else None
    except ValueError:
        found = None
    return found if found is not None and 1990 <= found.year <= 2199 else DAY_WANTED


def last_day(text: str) -> datetime.date | Refusal | None:
    """A reader of last days, which may be blank."""
    found = day(text) if text else None
    return Refusal(f"{found}, or blank for a price without an end") if isinstance(found, Refusal) else found


def as_kind(kind: Kind, text: str) -> Any:
    """A cell as a kind admits it: a plain number, TRUE or FALSE, a day in ISO 8601, or the text as it is.

    Raises QuoteError.
    """
    value: Any = text
    if isinstance(kind, NumberKind) and SIGNED_NUMBER.fullmatch(text):
        value = float(text)
    elif isinstance(kind, FlagKind):
        value = {"TRUE": True, "FALSE": False}.get(text.upper(), text)
    elif isinstance(kind, DayKind):
        found = day(text)
        value = text if isinstance(found, Refusal) else found
    return kind.admit("", value)


def rows_by_kind(
    table: Table, kinds: Mapping[str, Kind], may_be_blank: tuple[str, ...] = ()
) -> list[tuple[int, dict[str, Any]]]:
    """The rows of a table with these columns: the number of each, and its cells as their kinds admit them.

    A cell that is refused is noted in the table's faults and left out of its row, as is one that may be blank and is.
    Raises FileRefused where the headings are others.
    """
    if table.header != tuple(kinds):
        table.faults.row(table.header_row, f"the headings are {', '.join(table.header)}; they must be {', '.join(kinds)}")
        table.faults.refuse()
    rows = []
    for row in table.rows:
        cells: dict[str, Any] = {}
        for place, ((name, kind), text) in enumerate(zip(kinds.items(), row.cells, strict=True)):
            if text or name not in may_be_blank:
                try:
                    cells[name] = as_kind(kind, text)
                except QuoteError as refusal:
                    table.faults.cell(row.number, place, name, text, refusal.allowed)
        rows.append((row.number, cells))
    return rows
