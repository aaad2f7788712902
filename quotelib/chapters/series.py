"""Series: figures one after the other, of periods or of years, as they stand in a row or a column of cells."""

from collections.abc import Sequence
from typing import Any

from quotelib.errors import RangeError
from quotelib.kinds import Rows


def one_for_each(argument: str, figures: Sequence[float], periods: int) -> tuple[float, ...]:
    """A figure for each period: one that holds for all of them is repeated."""
    if len(figures) not in (1, periods):
        raise RangeError(argument, f"{len(figures)} cells", f"it must be one cell, or one for each period: {periods}")
    return tuple(figures) * (periods if len(figures) == 1 else 1)


def in_rows(table: Sequence[tuple[Any, ...]], rows: float | None) -> Rows:
    """A table of cells, with blank rows after it where there is room for more; as many rows as it has where None."""
    room = len(table) if rows is None else int(rows)
    if len(table) > room:
        raise RangeError("rows", rows, f"it must be {len(table)} or more, the rows that there are")
    return (*table, *(("",) * len(table[0]) for _ in range(room - len(table))))


def padded(table: Sequence[Sequence[Any]], rows: float, width: int, said_in: int = 0) -> Rows:
    """A table in so many rows: blank ones after it, or a last row that says how many there is no room for.

    `said_in` is the column in which it says so.
    """
    room, shown, blank = int(rows), [tuple(row) for row in table], ("",) * width
    if len(shown) > room:
        last = f"and {len(shown) - room + 1} more"
        shown = [*shown[: room - 1], (*blank[:said_in], last, *blank[said_in + 1 :])]
    return tuple(shown + [blank] * (room - len(shown)))
