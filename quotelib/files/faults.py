"""What is wrong with a table that came in, gathered cell by cell, so that all of it is named at once.

    faults = Faults("prices.csv")
    faults.cell(12, 6, "price", "1,20", "it must be a number")     line 12, column G: price is '1,20'; it must be a number
    faults.row(13, "the row has 2 cells; it must have 11")         line 13: the row has 2 cells; it must have 11
    faults.refuse()                                                raises FileRefused, in the order of the file

In a workbook a place is `sheet 'Prices', row 12, column G`; in a CSV file it is `line 12, column G`, since a quoted cell
may go over several lines there, and an editor counts those.
"""

from pathlib import Path
from typing import NoReturn

from quotelib.errors import FileRefused, RangeError

FAULTS_MOST = 10_000
"""Faults that are named; where there are more, reading stops, since a file of such a kind is another matter."""


class Refusal(str):
    """What is allowed, in the words of a message: what a reader of cells gives where the value is not that."""


def column_letters(column: int) -> str:
    """The letters of a column as a spreadsheet heads it, from its place counted from 0."""
    letters, place = "", column + 1
    while place:
        place, letter = divmod(place - 1, 26)
        letters = chr(65 + letter) + letters
    return letters


class Faults:
    """The faults of one file, or of one sheet of it."""

    def __init__(self, path: str | Path, sheet: str | None = None) -> None:
        self.path = str(path)
        self.sheet = sheet
        self._found: list[tuple[int, int, str]] = []
        self._cells: set[tuple[int, int]] = set()

    def __bool__(self) -> bool:
        return bool(self._found)

    @property
    def counted(self) -> str:
        """What is counted: rows of a sheet, or lines of a CSV file."""
        return "line" if self.sheet is None else "row"

    def place(self, row: int, column: int | None = None) -> str:
        """A row, or a cell of it, in words; rows are counted from 1 and columns from 0."""
        words = f"{self.counted} {row}" if self.sheet is None else f"sheet {self.sheet!r}, {self.counted} {row}"
        return words if column is None else f"{words}, column {column_letters(column)}"

    def cell(self, row: int, column: int, heading: str, value: object, allowed: str) -> None:
        """Note what is wrong with one cell: where it stands, what its column is called, what is in it, what is allowed.

        The first fault of a cell is kept; more of the same cell say little that is new.
        """
        if (row, column) in self._cells:
            return
        self._cells.add((row, column))
        named = f"{self.place(row, column)}: {heading or 'the cell'}"
        self._note(row, column, str(RangeError(named, value, allowed)))

    def row(self, row: int, text: str) -> None:
        """Note what is wrong with a row as a whole."""
        self._note(row, -1, f"{self.place(row)}: {text}")

    def whole(self, text: str) -> None:
        """Note what is wrong with the file or the sheet as a whole."""
        self._note(0, -1, text if self.sheet is None else f"sheet {self.sheet!r}: {text}")

    def _note(self, row: int, column: int, text: str) -> None:
        self._found.append((row, column, text))
        if len(self._found) >= FAULTS_MOST:
            self.refuse()

    def texts(self) -> list[str]:
        """One line for each fault, in the order of the file."""
        texts = [text for _, _, text in sorted(self._found)]
        if len(texts) >= FAULTS_MOST:
            texts.append(f"there may be more: reading stopped after {len(texts):,} faults")
        return texts

    def by_row(self) -> dict[int, list[str]]:
        """The faults of each row; those of the file or sheet as a whole stand under 0."""
        rows: dict[int, list[str]] = {}
        for row, _, text in sorted(self._found):
            rows.setdefault(row, []).append(text)
        return rows

    def stop(self, text: str) -> NoReturn:
        """Note what is wrong with the file or the sheet as a whole, and raise FileRefused: nothing more can be read."""
        self.whole(text)
        raise FileRefused(self.path, self.texts())

    def refuse(self) -> None:
        """Raise FileRefused if there is any fault."""
        if self._found:
            raise FileRefused(self.path, self.texts())
