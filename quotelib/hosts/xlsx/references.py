"""Addresses of cells within formulas and lists of ranges.

Rows and columns count from 1 here, as addresses do.
"""

import re
from collections.abc import Iterator
from typing import NamedTuple, Self

from quotelib.hosts.workbook.model import address as address_of
from quotelib.hosts.workbook.model import place

CELL = r"\$?[A-Za-z]{1,3}\$?[0-9]{1,7}"
TOKEN = re.compile(
    r'"(?:[^"]|"")*"'
    r"|(?P<sheet>'(?:[^']|'')+'!|(?:\[[0-9]+\])?[^\W\d][\w.]*(?::[^\W\d][\w.]*)?!)?"
    rf"(?P<area>{CELL}(?::{CELL})?)(?![\w(.!:#\[\\?])"
    r"|\[(?:[^\[\]]|\[[^\[\]]*\])*\]"
    r"|[\w.\\?$]+!?"
    r"|'(?:[^']|'')*'!?"
    r"|.",
    re.DOTALL,
)
"""Texts, addresses, the insides of brackets (columns of tables, other files), other names, and the rest."""
AREA = re.compile(r"\$?([A-Za-z]{1,3})\$?([0-9]{1,7})(?::\$?([A-Za-z]{1,3})\$?([0-9]{1,7}))?")
FIXED_ROW = re.compile(r"\$[0-9]+")
LAST_DIGITS = re.compile("[0-9]+$")


class Area(NamedTuple):
    """A block of cells."""

    top: int
    left: int
    bottom: int
    right: int

    @classmethod
    def of(cls, address: str) -> Self | None:
        """The block of an address such as A5 or $A$6:$E$85; None when it is no such address."""
        found = AREA.fullmatch(address)
        if not found:
            return None
        first, last = (int(found[2]), column_of(found[1])), (int(found[4] or found[2]), column_of(found[3] or found[1]))
        return cls(min(first[0], last[0]), min(first[1], last[1]), max(first[0], last[0]), max(first[1], last[1]))

    @property
    def one_cell(self) -> bool:
        """Whether it is a single cell."""
        return self.top == self.bottom and self.left == self.right


class Reference(NamedTuple):
    """An address in a formula."""

    sheet: str | None
    """The sheet that it names; None when it names none."""
    area: Area
    fixed: bool
    """Whether its rows are written with $."""
    start: int
    end: int
    """Where the address stands, without the sheet."""


def references(formula: str) -> Iterator[Reference]:
    """The addresses in a formula; none of those in its texts."""
    for found in TOKEN.finditer(formula):
        if not found["area"]:
            continue
        area = Area.of(found["area"])
        if area is None or not 1 <= area.bottom <= 1_048_576 or area.right > 16_384:
            continue
        fixed = len(FIXED_ROW.findall(found["area"])) == 1 + found["area"].count(":")
        yield Reference(_title(found["sheet"]), area, fixed, *found.span("area"))


def _title(written: str | None) -> str | None:
    if not written:
        return None
    name = written[:-1]
    return name[1:-1].replace("''", "'") if name.startswith("'") else name


def address(row: int, column: int) -> str:
    """A5 for row 5, column 1."""
    return address_of(row - 1, column - 1)


def column_of(letters: str) -> int:
    """1 for A."""
    return place(f"{letters.upper()}1")[1] + 1


def area_text(area: Area) -> str:
    """A5:O85."""
    first = address(area.top, area.left)
    return first if area.one_cell else f"{first}:{address(area.bottom, area.right)}"


class Following:
    """Which blocks of cells cover the list of prices, and what becomes of them when it grows or shrinks.

    A block follows when it begins at the headings or at the first price, or above, and ends at the last price.
    """

    def __init__(self, left: int, right: int, first: int, old_last: int, new_last: int) -> None:
        self.left, self.right = left, right
        self.first, self.old_last, self.new_last = first, old_last, new_last

    def covers(self, area: Area) -> bool:
        """Whether a block covers the list as it was, to its last row and no further."""
        begins = area.top in (self.first - 1, self.first) or (
            area.top < self.first and area.left <= self.right and area.right >= self.left
        )
        return begins and area.bottom == self.old_last and not area.one_cell

    def followed(self, written: str) -> str:
        """An address as it is after the refresh, dollars and all."""
        area = Area.of(written)
        if area is None or self.old_last == self.new_last or not self.covers(area):
            return written
        if ":" in written:
            return LAST_DIGITS.sub(str(self.new_last), written)
        return written

    def list_followed(self, written: str) -> str:
        """A list of ranges as it is after the refresh."""
        return " ".join(map(self.followed, written.split()))

    def in_formula(self, formula: str, title: str, own: bool, every: bool = False) -> list[tuple[int, int, str]]:
        """What to replace in a formula so that its addresses of the list follow: those with fixed rows, or every one.

        `own` says whether an address without a sheet is one of the price sheet.
        """
        changes = []
        for found in references(formula):
            here = own if found.sheet is None else found.sheet.casefold() == title.casefold()
            written = formula[found.start : found.end]
            if here and (every or found.fixed) and self.followed(written) != written:
                changes.append((found.start, found.end, self.followed(written)))
        return changes
