"""What Excel hands over when a cell calls a function, and what it gets back.

A cell is read by its Value2.  xlwings by itself reads Value, which cuts an amount in a currency format to four decimals
and turns a date into an object (documentation of Range.Value2; xlwings issues 65 and 640); Value2 is the plain number.

What arrives: a number as a float, text, TRUE or FALSE, None for a blank cell or an argument left out, a whole number for a
cell in error, a tuple of rows for a range.  An error is passed on as it is.  A blank is an argument left out: where one is
needed, the refusal says that it is blank.
"""

import datetime
from decimal import Decimal
from typing import Any

from quotelib.cells import call_from_cell
from quotelib.errors import QuoteError
from quotelib.kinds import NumberKind, day_number
from quotelib.registry import FUNCTIONS

ERROR_CODES = {
    "#NULL!": -2146826288,
    "#DIV/0!": -2146826281,
    "#VALUE!": -2146826273,
    "#REF!": -2146826265,
    "#NAME?": -2146826259,
    "#NUM!": -2146826252,
    "#N/A": -2146826246,
}
"""Excel's error values as the whole numbers that pywin32 makes of them: 0x800A0000 and the number that CVErr takes."""


class CellError:
    """A cell in error."""

    def __init__(self, code: int) -> None:
        self.code = code


class CellValues:
    """Reads an argument for xlwings: given to its `arg` decorator, in place of its own conversion."""

    @staticmethod
    def reader(_options: Any) -> Any:
        """What xlwings calls with each argument, as a context that holds the range or, for a constant, the value."""
        return CellValues.read

    @staticmethod
    def read(context: Any) -> None:
        """The argument in the library's terms."""
        value = context.value if context.range is None else context.range.api.Value2
        if isinstance(value, tuple):
            rows = value if value and isinstance(value[0], tuple) else (value,)
            if len(rows) > 1 or len(rows[0]) > 1:
                context.value = tuple(tuple("" if cell is None else _from_excel(cell) for cell in row) for row in rows)
                return
            value = rows[0][0] if rows[0] else None
        context.value = _from_excel(value)


def _from_excel(cell: Any) -> Any:
    if isinstance(cell, int) and not isinstance(cell, bool):
        return CellError(cell) if _is_error(cell) else float(cell)
    if isinstance(cell, Decimal):
        return float(cell)
    if isinstance(cell, datetime.datetime):
        midnight = cell.replace(hour=0, minute=0, second=0, microsecond=0)
        return day_number(cell) + (cell - midnight) / datetime.timedelta(days=1)
    return cell


def _is_error(whole: int) -> bool:
    return whole & 0xFFFF0000 == 0x800A0000


def answer(cell_name: str, *given: Any) -> Any:
    """What the cell gets back from a function: a value, or rows of values, with a whole number in the place of an error."""
    function = FUNCTIONS[cell_name]
    last = len(function.arguments) - 1
    in_ranges: list[tuple[int, int, int]] = []
    for place, value in enumerate(given):
        errors = list(_errors(value))
        if isinstance(value, tuple) and isinstance(function.arguments[min(place, last)].kind, NumberKind):
            in_ranges += errors
        elif errors:
            return errors[0][2]
    try:
        result = call_from_cell(function, given)
    except QuoteError as refusal:
        return _to_excel(refusal)
    if not isinstance(result, (list, tuple)):
        return _to_excel(result)
    rows = [[_to_excel(cell) for cell in row] for row in result]
    for y, x, code in reversed(in_ranges):
        rows[y][x] = code
    return rows


def _errors(value: Any) -> Any:
    """Each error in an argument: its row, its column, its code."""
    for y, row in enumerate(value if isinstance(value, tuple) else ((value,),)):
        for x, cell in enumerate(row):
            if isinstance(cell, CellError):
                yield y, x, cell.code


def _to_excel(cell: Any) -> Any:
    if isinstance(cell, QuoteError):
        return ERROR_CODES[cell.cell_error]
    if isinstance(cell, int) and not isinstance(cell, bool):
        return float(cell)
    return cell
