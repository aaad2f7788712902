"""A cell not yet worked out: the third thing a formula's body can be run on, after a number and an array.

The routes (see routes.py) are ordinary Python.  Run on numbers they give costs; run on `Name` objects, which stand for the
named input cells of the workbook, they give the very formulas that the workbook's cells hold.  So the sheet and the library
cannot drift apart: there is one text of the arithmetic.

A formula can be written (`text()`) and worked out in Python on named values (`value(cells)`), which is how the template
gets its stored results.  The spreadsheet then works out the text by itself, and a test compares the two.
"""

import math
from collections.abc import Callable, Mapping
from typing import Any, ClassVar

Cells = Mapping[str, Any]
"""Values by defined name or by address (`Job!B7`), as a formula is worked out against them."""


class CellError(Exception):
    """A cell in error: what it shows, such as #N/A.  A formula that depends on it is in error too."""

    def __init__(self, shown: str) -> None:
        self.shown = shown
        super().__init__(shown)


class Formula:
    """Base of all formulas; arithmetic on one gives another."""

    def text(self) -> str:
        """The formula as typed into a cell, without the leading equals sign."""
        raise NotImplementedError

    def value(self, cells: Cells) -> Any:
        """The formula worked out on the given cells."""
        raise NotImplementedError

    def __add__(self, other: Any) -> "Formula":
        return Operation("+", self, other)

    def __radd__(self, other: Any) -> "Formula":
        return Operation("+", other, self)

    def __sub__(self, other: Any) -> "Formula":
        return Operation("-", self, other)

    def __rsub__(self, other: Any) -> "Formula":
        return Operation("-", other, self)

    def __mul__(self, other: Any) -> "Formula":
        return Operation("*", self, other)

    def __rmul__(self, other: Any) -> "Formula":
        return Operation("*", other, self)

    def __truediv__(self, other: Any) -> "Formula":
        return Operation("/", self, other)

    def __rtruediv__(self, other: Any) -> "Formula":
        return Operation("/", other, self)

    def __pow__(self, other: Any) -> "Formula":
        return Operation("^", self, other)

    def __neg__(self) -> "Formula":
        return Operation("*", -1, self)

    def __gt__(self, other: Any) -> "Formula":
        return Operation(">", self, other)

    def __lt__(self, other: Any) -> "Formula":
        return Operation("<", self, other)

    def equals(self, other: Any) -> "Formula":
        """Whether two cells hold the same (a method, since == must stay Python's own)."""
        return Operation("=", self, other)

    def __bool__(self) -> bool:
        raise TypeError(f"the cell formula {self.text()!r} has no truth value yet; use elementwise.where instead of if")


class Name(Formula):
    """A defined name, or the address of a cell or range, in the workbook."""

    def __init__(self, name: str) -> None:
        self.name = name

    def text(self) -> str:
        return self.name

    def value(self, cells: Cells) -> Any:
        return cells[self.name]


class Operation(Formula):
    """Two formulas or constants joined by an operator of the spreadsheet."""

    RANK: ClassVar[dict[str, int]] = {"=": 0, ">": 0, "<": 0, "+": 2, "-": 2, "*": 3, "/": 3, "^": 4}
    WORK: ClassVar[dict[str, Callable[[Any, Any], Any]]] = {
        "=": lambda a, b: a == b,
        ">": lambda a, b: a > b,
        "<": lambda a, b: a < b,
        "+": lambda a, b: a + b,
        "-": lambda a, b: a - b,
        "*": lambda a, b: a * b,
        "/": lambda a, b: a / b,
        "^": lambda a, b: a**b,
    }

    def __init__(self, sign: str, left: Any, right: Any) -> None:
        self.sign, self.left, self.right = sign, left, right

    def text(self) -> str:
        rank = self.RANK[self.sign]
        left, right = text_of(self.left), text_of(self.right)
        if isinstance(self.left, Operation) and self.RANK[self.left.sign] < rank:
            left = f"({left})"
        if isinstance(self.right, Operation) and self.RANK[self.right.sign] <= rank:
            right = f"({right})"
        return f"{left}{self.sign}{right}"

    def value(self, cells: Cells) -> Any:
        return self.WORK[self.sign](value_of(self.left, cells), value_of(self.right, cells))


class Call(Formula):
    """A function of the library or of the spreadsheet, applied to formulas and constants."""

    def __init__(self, name: str, work: Callable[..., Any], arguments: tuple[Any, ...]) -> None:
        self.name, self.work, self.arguments = name, work, arguments

    def text(self) -> str:
        return f"{self.name}({','.join(text_of(argument) for argument in self.arguments)})"

    def value(self, cells: Cells) -> Any:
        if self.name == "IF":
            condition, value, otherwise = self.arguments
            return value_of(value if value_of(condition, cells) else otherwise, cells)
        given = [value_of(argument, cells) for argument in self.arguments]
        if self.name not in PASSING_OVER_ERRORS:
            for argument in given:
                _raise_error_in(argument)
        return self.work(*given)


def text_of(part: Any) -> str:
    """A constant or formula as it stands inside a formula."""
    if isinstance(part, Formula):
        return part.text()
    if part is None:
        return ""
    if isinstance(part, bool):
        return "TRUE" if part else "FALSE"
    if isinstance(part, str):
        return '"' + part.replace('"', '""') + '"'
    return repr(part)


def value_of(part: Any, cells: Cells) -> Any:
    """A constant as it is; a formula worked out."""
    return part.value(cells) if isinstance(part, Formula) else part


def _raise_error_in(argument: Any) -> None:
    if isinstance(argument, CellError):
        raise argument
    if isinstance(argument, (list, tuple)):
        for part in argument:
            _raise_error_in(part)


def _cells(arguments: tuple[Any, ...]) -> list[Any]:
    """The cells of single values and ranges, in reading order."""
    found: list[Any] = []
    for argument in arguments:
        found += _cells(tuple(argument)) if isinstance(argument, (list, tuple)) else [argument]
    return found


def _numbers(arguments: tuple[Any, ...]) -> list[float]:
    """The numbers among the cells, as SUM and MIN see them: texts, blanks and TRUE are passed over."""
    return [cell for cell in _cells(arguments) if isinstance(cell, (int, float)) and not isinstance(cell, bool)]


def _as_text(cell: Any) -> str:
    """A cell as it reads in a text: a number by up to 15 digits."""
    return f"{cell:.15g}" if isinstance(cell, (int, float)) else str(cell)


def _not_available() -> Any:
    raise CellError("#N/A")


def _match(value: Any, cells: Any, _exact: int) -> int:
    found = _cells((cells,))
    if value not in found:
        raise CellError("#N/A")
    return found.index(value) + 1


def _aggregate(function: int, passing_over: int, cells: Any, place: int) -> float:
    """AGGREGATE(15, 6, cells, k): the k-th smallest number, cells in error passed over."""
    if (function, passing_over) != (15, 6):
        raise NotImplementedError(f"AGGREGATE({function}, {passing_over}, ...)")
    numbers = sorted(_numbers((cells,)))
    if len(numbers) < place:
        raise CellError("#NUM!")
    return numbers[place - 1]


def _sum_if(cells: Any, wanted: Any, amounts: Any) -> float:
    return math.fsum(amount for cell, amount in zip(_cells((cells,)), _cells((amounts,)), strict=True) if cell == wanted)


PASSING_OVER_ERRORS = ("AGGREGATE", "MATCH", "INDEX")
"""Functions of the spreadsheet that look past cells in error."""

SPREADSHEET: dict[str, Callable[..., Any]] = {
    "SUM": lambda *given: math.fsum(_numbers(given)),
    "SUMIF": _sum_if,
    "MIN": lambda *given: min(_numbers(given)),
    "MAX": lambda *given: max(_numbers(given)),
    "IF": lambda condition, value, otherwise: value if condition else otherwise,
    "NA": _not_available,
    "CONCATENATE": lambda *parts: "".join(_as_text(part) for part in parts),
    "AND": lambda *given: all(given),
    "ROUNDUP": lambda value, places: math.ceil(abs(value)) * (1 if value >= 0 else -1),
    "MATCH": _match,
    "LEN": lambda cell: len(_as_text(cell)),
    "MOD": lambda value, divisor: value % divisor,
    "INDEX": lambda cells, place: _cells((cells,))[int(place) - 1],
    "AGGREGATE": _aggregate,
}
"""The spreadsheet's own functions that our templates use, as Python."""


def builtin(name: str, *arguments: Any) -> Call:
    """A function of the spreadsheet itself, such as SUM or IF."""
    return Call(name, SPREADSHEET[name], arguments)
