"""Calls of the library's functions laid out in a workbook, and the calls that the docstrings show."""

import datetime
import doctest
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NamedTuple

import xlsxwriter
from xlsxwriter.utility import xl_rowcol_to_cell

from quotelib.errors import QuoteError
from quotelib.kinds import day_number, rows_of
from quotelib.registry import FUNCTIONS

STALE = 999
"""Stored as the result of every formula, so that a value never worked out anew is caught."""


class CellCall(NamedTuple):
    """A call to lay out; `shape` is the height and width of its result, None for one cell."""

    function: str
    arguments: tuple[Any, ...]
    shape: tuple[int, int] | None = None


def write_calls(path: Path, calls: Sequence[CellCall]) -> list[str]:
    """Write a workbook with each argument in cells of its own and each call in a formula; the addresses of the results."""
    with xlsxwriter.Workbook(path) as workbook:
        inputs, results = workbook.add_worksheet("Inputs"), workbook.add_worksheet("Results")
        addresses = []
        input_row = result_row = 0
        for call in calls:
            column, height, typed = 0, 1, []
            for argument in call.arguments:
                if argument is None:
                    typed.append("")
                    continue
                rows = rows_of(argument)
                for y, row in enumerate(rows):
                    for x, value in enumerate(row):
                        if isinstance(value, datetime.date):
                            value = day_number(value)
                        if isinstance(value, float) and float(f"{value:.16G}") != value:  # what XlsxWriter would round
                            inputs.write_formula(input_row + y, column + x, f"={value!r}", None, STALE)
                        elif value is not None and value != "":
                            inputs.write(input_row + y, column + x, value)
                last = (input_row + len(rows) - 1, column + len(rows[0]) - 1)
                one = not isinstance(argument, (list, tuple))
                typed.append("Inputs!" + (xl_rowcol_to_cell(*last) if one else _range(input_row, column, *last)))
                column += len(rows[0])
                height = max(height, len(rows))
            formula = f"={call.function}({','.join(typed)})"
            if call.shape is None:
                results.write_formula(result_row, 0, formula, None, STALE)
                addresses.append(f"Results!{xl_rowcol_to_cell(result_row, 0)}")
            else:
                bottom, right = result_row + call.shape[0] - 1, call.shape[1] - 1
                results.write_array_formula(result_row, 0, bottom, right, "{" + formula + "}", None, STALE)
                addresses.append(f"Results!{_range(result_row, 0, bottom, right)}")
            input_row += height
            result_row += call.shape[0] if call.shape else 1
    return addresses


def _range(top: int, left: int, bottom: int, right: int) -> str:
    """The address of a range, of one cell too: A1:A1."""
    return f"{xl_rowcol_to_cell(top, left)}:{xl_rowcol_to_cell(bottom, right)}"


def documented_calls() -> list[tuple[CellCall, Any]]:
    """Every call in the functions' docstrings with its result, a QuoteError where it is refused."""
    found: list[tuple[CellCall, Any]] = []
    for name, function in FUNCTIONS.items():

        def recorded(*arguments: Any, _name: str = name, _function: Any = function, **named: Any) -> Any:
            if named:
                arguments = tuple(_function._in_order(arguments, named))
            try:
                result = _function(*arguments)
            except QuoteError as refusal:
                result = refusal
            shape = (len(result), len(result[0])) if isinstance(result, (list, tuple)) else None
            found.append((CellCall(_name, arguments, shape), result))
            return result

        names = {**vars(sys.modules[function.__module__]), function.__name__: recorded}
        for example in doctest.DocTestParser().get_examples(function.__doc__ or ""):
            exec(example.source, names)
    return found
