"""Readers of the cells of a table: each takes a text and gives a value, or a `Refusal` that says what is allowed."""

import datetime
import re
from collections.abc import Callable
from decimal import Decimal

from quotelib.files.faults import Refusal
from quotelib.kinds import NumberKind

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
