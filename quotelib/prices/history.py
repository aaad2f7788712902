"""The history of the shop's price list: what it was on any day, and what made it so.

    history = PriceHistory("workbook/price-list.csv")
    history.merge(plan)                                   the merged list takes the old one's place, and both are kept
    history.keep(day, "new prices typed in by hand")      the list as it stands is kept
    history.known_on(datetime.date(2026, 11, 2))          the file with the list as it was known then
    price_list_known_on("workbook/price-list.csv", day)   the same, loaded

Two days tell a price: the day on which it holds, and the day on which the list is looked at.  The list's own days say the
first.  The history says the second: beside `price-list.csv` stands a folder `price-list-history` with

    history.csv          one line for each entry: its number and day, what was done, which file (SHA-256), how many rows
    0002-list.csv        the list as it was from that entry on, whole
    0002-changes.csv     what became of each price, with its reason

An old quote is worked out again with the list that was known on its day, and comes to the same cent, whatever was merged,
corrected or withdrawn since.

Entries are only added.  An entry is written down as begun before the list is replaced, and as done after.  When that is
interrupted, the list says which it is: begun and in the list is done; begun and not in the list was never done.
"""

import contextlib
import csv
import datetime
import hashlib
import io
import os
import sys
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass, fields, replace
from pathlib import Path

from quotelib.errors import FileNotReplaced, FileRefused, LookupMiss, RangeError
from quotelib.files.faults import Refusal
from quotelib.files.readers import day as read_day
from quotelib.files.replacing import replacing, write_whole
from quotelib.files.tables import read_table
from quotelib.prices.merging import MergePlan
from quotelib.prices.pricelist import PriceList, load_price_list
from quotelib.prices.shoplist import read_shop_list

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

BEGUN, DONE, NOT_DONE = "begun", "done", "not done"


@dataclass(frozen=True)
class Entry:
    """One entry of the history; all of it texts but for the number and the day."""

    number: int
    day: datetime.date
    state: str
    """`done`, `begun`, or `not done` for a merge that was interrupted before the list was replaced."""
    what: str
    """What was done, in words."""
    list: str
    """The file with the list as it was from then on."""
    list_sha256: str
    file: str = ""
    """The supplier's file."""
    file_sha256: str = ""
    mapping: str = ""
    mapping_sha256: str = ""
    exchange_rates: str = ""
    new: str = ""
    changed: str = ""
    corrected: str = ""
    ended: str = ""
    withdrawn: str = ""
    unchanged: str = ""
    refused: str = ""


HEADINGS = tuple(each.name.replace("_", " ") for each in fields(Entry))


class PriceHistory:
    """The history of one price list, in the folder beside it."""

    def __init__(self, price_list: str | Path) -> None:
        self.price_list = Path(price_list)
        self.folder = self.price_list.with_name(f"{self.price_list.stem}-history")
        self.journal = self.folder / "history.csv"
        self.entries = self._read()
        """All entries in their order, what was interrupted settled."""

    def _read(self) -> tuple[Entry, ...]:
        """The entries as they are written down, what was interrupted settled; a journal with a fault is refused."""
        if not self.journal.exists():
            return ()
        table = read_table(self.journal)
        faults = table.faults
        if table.header != HEADINGS:
            faults.row(table.header_row, f"columns are {', '.join(table.header)}; they must be {', '.join(HEADINGS)}")
            faults.refuse()
        entries = []
        for place, row in enumerate(table.rows, 1):
            day = read_day(row.cells[1])
            if row.cells[0] != str(place):
                faults.cell(row.number, 0, "number", row.cells[0], f"it must be {place}: entries are only added")
            elif isinstance(day, Refusal):
                faults.cell(row.number, 1, "day", row.cells[1], day)
            elif row.cells[2] not in (BEGUN, DONE, NOT_DONE):
                faults.cell(row.number, 2, "state", row.cells[2], f"it must be {BEGUN}, {DONE} or {NOT_DONE}")
            else:
                entries.append(Entry(place, day, *row.cells[2:]))
        faults.refuse()
        if entries and entries[-1].state == BEGUN:
            state = DONE if self._sha256_of_the_list() == entries[-1].list_sha256 else NOT_DONE
            entries[-1] = replace(entries[-1], state=state)
        return tuple(entries)

    def _sha256_of_the_list(self) -> str:
        return _sha256(self.price_list.read_bytes())

    @property
    def done(self) -> list[Entry]:
        """The entries that took place."""
        return [entry for entry in self.entries if entry.state == DONE]

    @property
    def changed_since(self) -> bool:
        """Whether the list was changed otherwise since its last entry."""
        return bool(self.done) and self._sha256_of_the_list() != self.done[-1].list_sha256

    def known_on(self, day: datetime.date) -> tuple[Entry, Path]:
        """The entry that a day's list comes from, and the file that holds it.

        A day has the list of its end.  Days before the first entry have the first list that was kept.  Raises LookupMiss
        where nothing was kept, FileRefused for a kept list that is not what it was.
        """
        if not self.done:
            raise LookupMiss(
                "history", str(self.folder), "it must have an entry; a merge or keeping the list makes the first"
            )
        entry = max((each for each in self.done if each.day <= day), default=self.done[0], key=lambda each: each.number)
        path = self.folder / entry.list
        if not path.is_file() or _sha256(path.read_bytes()) != entry.list_sha256:
            wanted = f"it must be the file that entry {entry.number} of {self.journal.name} tells by its SHA-256"
            raise FileRefused(str(path), [f"the kept list is missing or was changed; {wanted}"])
        return entry, path

    def merged_before(self, file_sha256: str) -> Entry | None:
        """The last entry in which this very file was merged."""
        return next((entry for entry in reversed(self.done) if entry.file_sha256 == file_sha256), None)

    def keep(self, day: datetime.date, why: str) -> Entry | None:
        """Keep the list as it stands; None where the last entry has it already.  A list with faults is refused."""
        read_shop_list(self.price_list)
        with self._alone():
            self._refuse_a_day_before(day)
            return self._keep(self.price_list.read_bytes(), day, why)

    def merge(self, plan: MergePlan) -> Entry | None:
        """Put the merged list in the old one's place, and keep both; None where the merge changes nothing.

        What the supplier's file has refused is for the caller to have settled.  Raises FileNotReplaced where the list is
        open elsewhere or was changed since the plan was made; nothing is changed then.
        """
        if plan.changes_nothing:
            return None
        with self._alone():
            return self._merge(plan)

    def _merge(self, plan: MergePlan) -> Entry:
        self._refuse_a_day_before(plan.day)
        with replacing(self.price_list, plan.day) as new:
            before = self.price_list.read_bytes()
            if _sha256(before) != plan.shop.sha256:
                changed = "it was changed since the merge was worked out; work it out again"
                raise FileRefused(str(self.price_list), [changed])
            self._refuse_a_faulty(plan.content)
            self._keep(before, plan.day, "the list as it was found" + ", changed otherwise" * bool(self.done))
            mapping = plan.file.mapping
            told = {
                "file": plan.file.table.file,
                "file_sha256": plan.file.sha256,
                "mapping": mapping.file,
                "mapping_sha256": mapping.sha256,
                "exchange_rates": plan.rates_file,
                **{what: str(count) for what, count in plan.counts.items()},
            }
            entry = self._entry(plan.content, plan.day, BEGUN, f"offers of {mapping.supplier} merged", **told)
            self._put(f"{entry.number:04}-changes.csv", as_csv(_changes(plan)))
            self._add(entry)
            new.write(plan.content)
        self._write((*self.entries[:-1], replace(entry, state=DONE)))
        new.backup.unlink()  # the history has the same bytes
        return self.entries[-1]

    @contextlib.contextmanager
    def _alone(self) -> Iterator[None]:
        """While nobody else writes the history; a lock that the system lets go of however this ends."""
        if not os.access(self.price_list.parent, os.W_OK):
            raise FileNotReplaced(str(self.price_list), ["nothing may be written in its folder; allow writing there first"])
        self.folder.mkdir(exist_ok=True)
        with open(self.folder / ".lock", "wb") as lock:
            try:
                if sys.platform == "win32":
                    msvcrt.locking(lock.fileno(), msvcrt.LK_NBLCK, 1)
                else:
                    fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except OSError:
                busy = "somebody else is just writing its history; begin again in a moment"
                raise FileNotReplaced(str(self.price_list), [busy]) from None
            self.entries = self._read()
            yield

    def _refuse_a_day_before(self, day: datetime.date) -> None:
        if self.entries and day < self.entries[-1].day:
            raise RangeError("day", day, f"it must not be before that of the last entry, {self.entries[-1].day}")

    def _refuse_a_faulty(self, content: bytes) -> None:
        """The merged list must load as every list must, read back from a file."""
        name = "merged-list.csv"
        self._put(name, content)
        try:
            load_price_list(self.folder / name)
        finally:
            (self.folder / name).unlink()

    def _keep(self, content: bytes, day: datetime.date, what: str) -> Entry | None:
        if self.done and self.done[-1].list_sha256 == _sha256(content):
            return None
        entry = self._entry(content, day, DONE, what)
        self._add(entry)
        return entry

    def _entry(self, content: bytes, day: datetime.date, state: str, what: str, **told: str) -> Entry:
        """An entry, its list kept; it is none until it is added."""
        number = len(self.entries) + 1
        name = f"{number:04}-list.csv"
        self._put(name, content)
        return Entry(number, day, state, what, name, _sha256(content), **told)

    def _put(self, name: str, content: bytes) -> None:
        self.folder.mkdir(exist_ok=True)
        write_whole(self.folder / name, content)

    def _add(self, entry: Entry) -> None:
        self._write((*self.entries, entry))

    def _write(self, entries: tuple[Entry, ...]) -> None:
        rows = [[str(value) for value in asdict(entry).values()] for entry in entries]
        self._put(self.journal.name, as_csv([HEADINGS, *rows]))
        self.entries = entries


def price_list_known_on(price_list: str | Path, day: datetime.date) -> PriceList:
    """The shop's price list as it was known at the end of a day.

    Raises LookupMiss where the list has no history.
    """
    return load_price_list(PriceHistory(price_list).known_on(day)[1])


def _changes(plan: MergePlan) -> Iterable[Sequence[str]]:
    """What became of each price, as rows of texts; then what was refused."""
    headings = "what,code,pack,from quantity,price before,price now,from,to,why,line of the list,row of the file"
    yield headings.split(",")
    for each in plan.changes:
        was, now, last = ("" if value is None else str(value) for value in (each.was, each.now, each.last))
        numbers = ("" if not number else str(number) for number in (each.line, each.row))
        yield each.what, each.code, each.pack, str(each.from_quantity), was, now, str(each.first), last, each.why, *numbers
    for refused in plan.refused:
        yield "refused", refused.code, *[""] * 6, "; ".join(refused.reasons), "", str(refused.row)


def as_csv(rows: Iterable[Sequence[str]]) -> bytes:
    """Rows of texts as the bytes of a CSV file."""
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows([as_text(cell) for cell in row] for row in rows)
    return text.getvalue().encode()


def as_text(cell: str) -> str:
    """A cell that no spreadsheet takes for a formula."""
    return f"'{cell}" if cell.startswith(("=", "+", "-", "@")) else cell


def _sha256(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()
