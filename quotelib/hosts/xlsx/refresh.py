"""Refresh the price sheet of a workbook that is closed.

    with closed_workbook("quote.xlsx") as book:
        done = book.refresh(rows, stated)       all of it, or refused with nothing changed
    done.backup                                 the workbook as it was, beside it

What can change: the price sheet, the tables on it, and in the workbook's own part the names that cover the list and the
wish to be worked out anew.  Every other part is copied as it lies in the file.
"""

import datetime
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple, Self

from quotelib.errors import SheetRefused
from quotelib.files.replacing import replacing
from quotelib.hosts.xlsx.archive import Archive
from quotelib.hosts.xlsx.covering import tables_of
from quotelib.hosts.xlsx.elsewhere import referring
from quotelib.hosts.xlsx.package import Block, Package
from quotelib.hosts.xlsx.sheet import PriceSheet, Refill
from quotelib.prices import pricesheet


class Refreshed(NamedTuple):
    """What a refresh did, or would do."""

    changes: pricesheet.Changes
    backup: Path | None
    """The workbook as it was; None where nothing was written."""
    by_address: list[str]
    """What refers to prices by address, and so to other prices than before, or to a part of the list."""
    not_stated: list[str]
    """The names of cells above the list that were left as they are."""


class closed_workbook:
    """A workbook that no spreadsheet has open, taken apart as far as its price sheet."""

    def __init__(self, path: str | Path) -> None:
        self.path = Path(path)
        self.folder = self.path.resolve(strict=True).parent
        self.new = replacing(self.path)
        self.archive = Archive(self.path)

    def __enter__(self) -> Self:
        try:
            self.package = Package(self.archive)
            self.sheet = PriceSheet(self.package, self._block())
        except BaseException:
            self.archive.close()
            raise
        return self

    def __exit__(self, *_: object) -> None:
        self.archive.close()

    def _block(self) -> Block:
        """The cells named price_rows, with what else the functions find the prices by."""
        blocks = {name: self.package.block(name) for name in (pricesheet.PRICE_ROWS, pricesheet.PRICE_CODES)}
        missing = [pricesheet.no_such_name(name) for name, block in blocks.items() if block is None]
        if missing:
            raise SheetRefused(str(self.path), missing)
        rows, codes = blocks[pricesheet.PRICE_ROWS], blocks[pricesheet.PRICE_CODES]
        assert rows is not None
        assert codes is not None
        first = rows.area._replace(right=rows.area.left)
        if (codes.title, codes.area) != (rows.title, first):
            fault = f"the name {pricesheet.PRICE_CODES} must stand for the first column of {pricesheet.PRICE_ROWS}"
            raise SheetRefused(str(self.path), [fault])
        return rows

    def stated(self) -> str:
        """The path of the price list that the workbook names; blank for none."""
        block = self.package.block(pricesheet.PRICE_FILE)
        if block is None or block.title != self.sheet.title:
            return ""
        value = self.sheet.value(block.area.top, block.area.left)
        return value.strip() if isinstance(value, str) else ""

    def refresh(
        self,
        rows: Sequence[tuple[Any, ...]],
        stated: Mapping[str, Any],
        dry_run: bool = False,
        day: datetime.date | None = None,
    ) -> Refreshed:
        """Replace the rows of prices, with a backup.

        Parameters
        ----------
        rows : rows of cells
            As `pricesheet.rows_of` gives them.
        stated : values by name
            What the named cells above the list are to say.
        dry_run : bool
            Whether to work everything out and write nothing.
        day : datetime.date, optional
            The day in the backup's name; today if left out.

        Raises SheetRefused or FileNotReplaced, with the workbook as it was.
        """
        refill = Refill(self.sheet, rows)
        tables = tables_of(refill)
        found = refill.found()
        faults = [fault for table in tables for fault in table.faults()]
        pricesheet.refuse_if_in_the_way(str(self.path), found._replace(other=[*found.other, *faults]))
        by_address = list(dict.fromkeys(referring(self.package, refill))) if refill.moved else []
        for part in (self.sheet, self.package.book):
            part.forget()
        for table in tables:
            table.apply()
        not_stated = refill.apply(stated)
        self.package.follow(self.sheet.title, refill.following)
        self.package.calculate_when_opened()
        changed = {part.part: part.result() for part in (self.sheet, self.package.book, *tables) if part.changed}
        backup = None
        if not dry_run:
            with self.new as new:
                self.archive.write(changed, new.write)
                self.archive.close()
            backup = new.backup
        return Refreshed(pricesheet.changes(refill.old, rows), backup, by_address, not_stated)
