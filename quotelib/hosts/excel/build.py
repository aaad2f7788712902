"""Write quoting.py, the module that Excel loads, from the registry.

xlwings needs a Python function with its arguments spelt out for each function in a cell, and help for each argument of at
most 255 characters.  The module holds that, the macro behind the button on the price sheet (refresh.py), and nothing else.
"""

from typing import Any

from quotelib.docstrings import ArgumentHelp, help_of
from quotelib.registry import FUNCTIONS, Argument, SheetFunction

MODULE = "quoting"
"""The module's name: xlwings looks for the workbook's own name, and the workbook's settings sheet says it once more."""

LONGEST_HELP = 255
"""Characters of help that Excel keeps, for a function and for each argument."""

HEAD = '''\
"""The quoting functions for Excel's cells.  Keep this file beside the workbook quoting.xlsm.

Written by `python -m quotelib build` from the library; a change made here is lost at the next build.
"""
# ruff: noqa: E501
# fmt: off

import xlwings as xw

from quotelib.hosts.excel.cells import CellValues, answer
from quotelib.hosts.excel.refresh import refresh_caller
from quotelib.hosts.excel.wrappers import use_error_values

use_error_values(__name__)


@xw.sub
def REFRESH_PRICES():
    """Replace the rows of the price sheet by those of the shop's price list."""
    refresh_caller(__file__)
'''


def build_module() -> str:
    """The text of quoting.py."""
    return HEAD + "".join(f"\n\n{_function(function)}" for function in FUNCTIONS.values())


def _function(function: SheetFunction[..., Any]) -> str:
    words = help_of(function)
    decorators = [f"@xw.func(category={_quoted(f'Quoting: {function.chapter}')})"]
    for argument in function.arguments:
        help_text = argument_help(words.arguments[argument.name])
        decorators.append(f"@xw.arg({_quoted(_starred(argument))}, CellValues, doc={_quoted(help_text)})")
    signature = ", ".join(
        _starred(argument) + ("" if argument.required or argument.repeats else "=None") for argument in function.arguments
    )
    call = ", ".join([_quoted(function.cell_name), *map(_starred, function.arguments)])
    return "\n".join(
        [
            *decorators,
            f"def {function.cell_name}({signature}):",
            f"    {_triple_quoted(function_help(words.summary, words.returns))}",
            f"    return answer({call})",
            "",
        ]
    )


def function_help(summary: str, returns: str) -> str:
    """What Excel's function wizard says of a function: what it is, and what it gives if there is room for it."""
    both = f"{summary} Gives: {returns}"
    return both if len(both) <= LONGEST_HELP else summary


def argument_help(argument: ArgumentHelp) -> str:
    """What Excel's function wizard says of one argument: its meaning, then what is allowed."""
    return f"{argument.meaning} ({argument.allowed})"


def _starred(argument: Argument) -> str:
    return f"*{argument.name}" if argument.repeats else argument.name


def _quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _triple_quoted(text: str) -> str:
    return f'""{_quoted(text)}""'
