"""What the add-in registers when LibreOffice loads it: the functions of cells, and the menu entry of menu.py.

One method for each function of the registry.  Numbers go back as rows of cells, a single one as one row of one, because
Calc takes a range of results only from a method declared to give rows.  Text goes back as it is, because Calc holds a text
from inside rows for different from the same text typed in a formula: =REASON(...)="" would be FALSE.  What a cell then
shows, measured in LibreOffice 25.2.3 and held by the tests:

    the call gives                       the cell, or its place in a range, shows
    a number, TRUE or FALSE              the number, 1 or 0
    text                                 the text
    RangeError, NoSolution               #NUM!
    TypeInputError                       #VALUE!
    LookupMiss                           #N/A
    any other exception: a defect        #VALUE! in every cell of the formula
    a cell of its arguments is in error  that error; a range with a cell in error: Err:504

    without rows around them             NaN shows #NUM!, None #N/A, True 0, a whole number beyond 32 bits #VALUE!
    inside rows                          None shows a blank that counts as 0, so it is never given back

An error is a NaN that carries the number LibreOffice keeps for it.  Were those numbers to change, the cell would still
show an error, only another one.

An empty cell given as an argument arrives as 0.0, a cell of a range that is empty as '', an argument left out as None.
"""

import struct
from collections.abc import Callable
from typing import Any

from quotelib.cells import call_from_cell
from quotelib.errors import QuoteError
from quotelib.hosts.calc import INTERFACE, SERVICE, gives_text
from quotelib.hosts.calc.menu import HANDLER, HANDLER_SERVICES, handler_class
from quotelib.registry import FUNCTIONS, SheetFunction

SERVICES = ("com.sun.star.sheet.AddIn", SERVICE)


def _error(number: int) -> float:
    """A NaN that Calc shows as its error of that number."""
    return float(struct.unpack("<d", struct.pack("<Q", 0x7FF8 << 48 | number))[0])


CELL_ERRORS = {"#NUM!": _error(503), "#VALUE!": _error(519), "#N/A": _error(0x7FFF)}


def method_of(function: SheetFunction[..., Any]) -> Callable[..., Any]:
    """The method that Calc calls for a function."""

    plain = gives_text(function)

    def method(_self: Any, *given: Any) -> Any:
        if function.repeats:
            given = (*given[:-1], *given[-1])
        try:
            result = call_from_cell(function, given)
        except QuoteError as refusal:
            result = refusal
        if isinstance(result, (list, tuple)):
            return tuple(tuple(_cell(value) for value in row) for row in result)
        return _cell(result) if plain else ((_cell(result),),)

    return method


def _cell(value: Any) -> float | str:
    """One result as Calc takes it."""
    if isinstance(value, QuoteError):
        return CELL_ERRORS[value.cell_error]
    if isinstance(value, str):
        return value
    return "" if value is None else float(value)


def factory() -> Any:
    """What LibreOffice makes the component with; in a function, so that this module can be imported without LibreOffice."""
    import uno
    import unohelper
    from com.sun.star.lang import Locale, XLocalizable, XServiceInfo, XServiceName

    class Functions(unohelper.Base, uno.getClass(INTERFACE), XServiceInfo, XServiceName, XLocalizable):  # type: ignore[misc]
        def __init__(self, _context: Any) -> None:
            self.locale = Locale("en", "GB", "")

        def getServiceName(self) -> str:
            return SERVICE

        def getImplementationName(self) -> str:
            return SERVICE

        def getSupportedServiceNames(self) -> tuple[str, ...]:
            return SERVICES

        def supportsService(self, name: str) -> bool:
            return name in SERVICES

        def setLocale(self, locale: Any) -> None:
            self.locale = locale

        def getLocale(self) -> Any:
            return self.locale

    for name, function in FUNCTIONS.items():
        setattr(Functions, name, method_of(function))
    helper = unohelper.ImplementationHelper()
    helper.addImplementation(Functions, SERVICE, SERVICES)
    helper.addImplementation(handler_class(), HANDLER, HANDLER_SERVICES)
    return helper
