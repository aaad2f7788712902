"""LibreOffice Calc: the add-in that brings the functions into its cells, and a Calc that recalculates for a program.

build.py         writes quoting-functions.oxt from the registry
component.py     runs inside the add-in: one method for each function, made from the registry as it loads
menu.py          runs inside the add-in: the menu entry that refreshes the price list
refresh.py       runs inside the add-in: the price sheet of an open workbook, replaced
library.py       runs inside the add-in: asks the library, in the Python that it was installed from, for a price list
office.py        finds LibreOffice and a Python that can talk to it
bridge.py        runs in that Python: starts LibreOffice and does what it is asked, one JSON line at a time
session.py       the other end: workbooks opened, inputs set, recalculated and read, from any Python
install.py       the command that puts the add-in into a user's LibreOffice
recalculate.py   the command that recalculates one workbook
"""

from typing import Any

from quotelib.kinds import TextKind
from quotelib.registry import SheetFunction

EXTENSION = "quotelib.quoting.functions"
"""The add-in's identifier in the extension manager."""

SERVICE = "quoting.Functions"
"""The service that Calc calls; the functions' long names inside LibreOffice begin with it."""

INTERFACE = "quoting.XFunctions"
"""The interface that declares every function's arguments to LibreOffice."""


def gives_text(function: SheetFunction[..., Any]) -> bool:
    """Whether a function answers in words."""
    return isinstance(function.result, TextKind)


def uno_name(argument: str) -> str:
    """An argument's name as the interface declares it, where underscores and its keywords are not allowed.

    >>> uno_name("cost_per_colour")
    'aCostPerColour'
    """
    return "a" + "".join(word.capitalize() for word in argument.split("_"))
