"""Job tickets: what a piece of work really took, one row for each ticket, as a shop keeps them.

    tickets = load_tickets("examples/season/tickets.csv")

A ticket is one piece of work at one place: a run printed by hand or by pad, a batch of transfer sheets, or some sessions at
the roller.  A job by transfer has one ticket for its sheets and one or more for its pressing.  Tickets name no person.

ticket              number or name of the ticket, once in the file
day                 day the work was done, 2026-11-02
design, item        as on the order
work                hand, sheets, pressing or pad
colours             colours printed; for sheets, passes with white and adhesive; blank for pressing
sessions            for pressing: times the roller was warmed up; blank for the others
ordered_pieces      good pieces asked for; blank where not kept
started_pieces      pieces that entered the first colour or the roller; for sheets, sheets through the first pass
good_pieces         pieces, or sheets, that came out good
rejects             rejects found at each colour in turn, 4 2 3; blank where not kept by colour
makeready_minutes   make-ready of all colours with the first-off approval; for pressing, warm-up of all sessions
running_minutes     minutes of printing or pressing, with make-ready, wash-up, mixing and finishing left out
washup_minutes      wash-up of all colours; blank for pressing
ink_ml              ink of all colours used up; blank where not kept

Minutes are those on the clock: an hour of two people is 60.  Minutes that were not kept are blank, never 0.  What no ticket
can hold is refused with all of it named; a ticket that merely says something unlikely is for `learning` to set aside.
"""

import datetime
import re
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from quotelib.errors import QuoteError
from quotelib.files.tables import Table, read_table
from quotelib.kinds import (
    COLOURS,
    DAY,
    LABEL,
    MINUTES,
    ML,
    PIECES,
    TIMES,
    WHOLE_PIECES,
    ChoiceKind,
    Kind,
    NumberKind,
    day_of,
)

Floats = npt.NDArray[np.float64]


CELLS_MOST = 5_000_000
"""Cells of a file of tickets, at most: some 300,000 tickets."""


class Work(NamedTuple):
    """A kind of work that tickets are kept of."""

    title: str
    counted: str
    """What is counted: pieces or sheets."""
    each: str
    """What make-ready is done for: the column with their number."""


WORKS = {
    "hand": Work("Printing by hand", "pieces", "colours"),
    "sheets": Work("Printing transfer sheets", "sheets", "colours"),
    "pressing": Work("Pressing transfers", "pieces", "sessions"),
    "pad": Work("Printing by pad", "pieces", "colours"),
}
"""The kinds of work by the word in the column `work`."""

WORK = ChoiceKind("work", "", choices=tuple(WORKS))

NUMBERS: dict[str, NumberKind] = {
    "colours": COLOURS,
    "sessions": TIMES,
    "ordered_pieces": PIECES,
    "started_pieces": PIECES,
    "good_pieces": WHOLE_PIECES,
    "makeready_minutes": MINUTES,
    "running_minutes": MINUTES,
    "washup_minutes": MINUTES,
    "ink_ml": ML,
}
"""The columns of numbers and their kinds."""

NEVER_BLANK = ("started_pieces", "good_pieces")

COLUMNS = (
    "ticket", "day", "design", "item", "work", "colours", "sessions", "ordered_pieces", "started_pieces", "good_pieces",
    "rejects", "makeready_minutes", "running_minutes", "washup_minutes", "ink_ml",
)  # fmt: skip

REJECTS = re.compile(r"[0-9]{1,9}( [0-9]{1,9}){0,23}")
REJECTS_ALLOWED = "it must be whole numbers with spaces between, one for each colour, or blank"


@dataclass(frozen=True, eq=False)
class Tickets:
    """Job tickets as columns; a number that is blank is NaN."""

    file: str
    line: npt.NDArray[np.int64]
    """Line in the file, or row of the sheet."""
    ticket: list[str]
    day: npt.NDArray[Any]
    design: list[str]
    item: list[str]
    work: npt.NDArray[Any]
    numbers: dict[str, Floats]
    rejects: list[tuple[int, ...]]
    """Rejects found at each colour in turn; empty where they were not kept by colour."""

    def __len__(self) -> int:
        return len(self.ticket)

    @cached_property
    def each(self) -> Floats:
        """Colours, passes or sessions: what make-ready was done for."""
        return np.where(self.work == "pressing", self.numbers["sessions"], self.numbers["colours"])

    @cached_property
    def spoiled(self) -> Floats:
        """Pieces or sheets started that did not come out good."""
        return self.numbers["started_pieces"] - self.numbers["good_pieces"]

    @cached_property
    def prints(self) -> Floats:
        """Pieces entering each colour, summed over the colours; for sheets, passes of sheets; for pressing, pieces.

        A reject goes no further than the colour where it was found; where that was not kept, half-way is taken.  Sheets go
        through every pass.
        """
        colours = np.where(self.work == "pressing", 1.0, self.numbers["colours"])
        lost = self.spoiled * (colours - 1) / 2
        for place, found in enumerate(self.rejects):
            if found:
                lost[place] = sum(count * (colours[place] - number) for number, count in enumerate(found, 1))
        return self.numbers["started_pieces"] * colours - np.where(self.work == "sheets", 0.0, lost)

    def only(self, chosen: npt.NDArray[np.bool_]) -> "Tickets":
        """The tickets for which it is True."""
        places = np.flatnonzero(chosen).tolist()
        return Tickets(
            self.file,
            self.line[chosen],
            [self.ticket[place] for place in places],
            self.day[chosen],
            [self.design[place] for place in places],
            [self.item[place] for place in places],
            self.work[chosen],
            {name: column[chosen] for name, column in self.numbers.items()},
            [self.rejects[place] for place in places],
        )


def load_tickets(path: str | Path) -> Tickets:
    """The tickets of a file, or `FileRefused` with everything that is wrong with it."""
    table = read_table(path, refuse=False, cells_most=CELLS_MOST)
    _check_headings(table)
    reading = _Reading(table)
    tickets = reading.tickets()
    table.faults.refuse()
    return tickets


def _check_headings(table: Table) -> None:
    """Every column once, and no other."""
    for name in COLUMNS:
        times = table.header.count(name)
        if times != 1:
            found = f"stands {times} times" if times else "is missing"
            table.faults.row(table.header_row, f"the column {name} {found}; it must stand once")
    for heading in dict.fromkeys(table.header):
        if heading not in COLUMNS:
            table.faults.row(
                table.header_row, f"the column {heading!r} is not one of a ticket; they are {', '.join(COLUMNS)}"
            )
    if not table.rows:
        table.faults.whole("the file holds no ticket; it must hold one at least")
    if sorted(table.header) != sorted(COLUMNS) or not table.rows:
        table.faults.refuse()


class _Reading:
    """A table of tickets on its way in, column by column; what is wrong goes to the table's faults."""

    def __init__(self, table: Table) -> None:
        self.table = table
        self.lines = [row.number for row in table.rows]
        self.texts = dict(zip(table.header, map(list, zip(*(row.cells for row in table.rows), strict=True)), strict=True))
        self.blank = {name: np.array([not text for text in texts]) for name, texts in self.texts.items()}

    def tickets(self) -> Tickets:
        """The tickets, good only where no fault was noted."""
        work = np.array(self.admitted(WORK, "work"), dtype="U8")
        numbers = {name: self.numbers(name, kind) for name, kind in NUMBERS.items()}
        for name in ("colours", "sessions"):
            self.check_blanks(name, work)
        for name in ("ticket", "design", "item"):
            for place in np.flatnonzero(self.blank[name]).tolist():
                self.refuse(place, name, LABEL.refusal())
        self.check_names()
        return Tickets(
            self.table.file,
            np.array(self.lines, dtype=np.int64),
            self.texts["ticket"],
            np.array(self.days(), dtype="datetime64[D]"),
            self.texts["design"],
            self.texts["item"],
            work,
            numbers,
            self.rejects(),
        )

    def refuse(self, place: int, name: str, allowed: str) -> None:
        """Note the cell of a column as a fault."""
        column = self.table.header.index(name)
        self.table.faults.cell(self.lines[place], column, name, self.texts[name][place], allowed)

    def admitted(self, kind: Kind, name: str) -> list[str]:
        """The column as the kind admits it; each text is tried once, however often it stands."""
        known: dict[str, str | QuoteError] = {}
        for text in dict.fromkeys(self.texts[name]):
            try:
                known[text] = kind.admit(name, text)
            except QuoteError as refusal:
                known[text] = refusal
        for place, text in enumerate(self.texts[name]):
            found = known[text]
            if isinstance(found, QuoteError):
                self.refuse(place, name, found.allowed)
        return [str(known[text]) for text in self.texts[name]]

    def numbers(self, name: str, kind: NumberKind) -> Floats:
        """A column of numbers, NaN where it is blank."""
        texts = self.texts[name]
        try:
            if "_" in "".join(texts):  # Python would read 1_000
                raise ValueError
            values = np.array([text or "nan" for text in texts], dtype=float)
        except ValueError:
            values = np.array([_float(text) for text in texts])
        wrong = ~((values >= kind.low) & (values <= kind.high))
        if kind.whole:
            wrong |= values != np.trunc(values)
        if name not in NEVER_BLANK:
            wrong &= ~self.blank[name]
        for place in np.flatnonzero(wrong).tolist():
            self.refuse(place, name, kind.refusal())
        return values

    def check_blanks(self, name: str, work: npt.NDArray[Any]) -> None:
        """Colours belong to some kinds of work, and sessions to the others."""
        known = np.isin(work, list(WORKS))
        belongs = np.isin(work, [key for key, each in WORKS.items() if each.each == name])
        for place in np.flatnonzero(known & (self.blank[name] == belongs)).tolist():
            allowed = NUMBERS[name].refusal() if belongs[place] else "it must be blank"
            self.refuse(place, name, f"{allowed} for the work {work[place]}")

    def check_names(self) -> None:
        """Every ticket stands once."""
        first: dict[str, int] = {}
        for place, name in enumerate(self.texts["ticket"]):
            line = first.setdefault(name, self.lines[place])
            if line != self.lines[place]:
                self.refuse(place, "ticket", f"it must stand once; line {line} has it too")

    def days(self) -> list[str]:
        """The column of days in ISO 8601."""
        days = dict.fromkeys(self.texts["day"], "NaT")
        for text in days:
            try:
                days[text] = day_of(DAY.admit("day", datetime.date.fromisoformat(text))).isoformat()
            except ValueError:  # no date at all, or one that is refused
                continue
        for place, text in enumerate(self.texts["day"]):
            if days[text] == "NaT":
                self.refuse(place, "day", f"{DAY.refusal()}, such as 2026-11-02")
        return [days[text] for text in self.texts["day"]]

    def rejects(self) -> list[tuple[int, ...]]:
        """The column of rejects by colour."""
        found: list[tuple[int, ...]] = []
        for place, text in enumerate(self.texts["rejects"]):
            if text and not REJECTS.fullmatch(text):
                self.refuse(place, "rejects", REJECTS_ALLOWED)
                text = ""
            found.append(tuple(map(int, text.split())))
        return found


def _float(text: str) -> float:
    """The number of a text; NaN where it is none."""
    try:
        return float("nan" if "_" in text else text)
    except ValueError:
        return float("nan")
