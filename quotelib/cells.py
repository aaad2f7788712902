"""What a spreadsheet hands over when a cell calls a function, and what it gets back; the same for every host.

A range arrives as rows of cells.  Where a function takes one number, a range stands for as many calls, one for each cell,
and the answer is a range of the same shape.  An element that is refused does not spoil the others: its place holds the
`QuoteError`, which the host turns into its own error value.

Needs the standard library alone.
"""

from typing import Any

from quotelib.errors import QuoteError, TypeInputError
from quotelib.kinds import ChoiceKind, DayKind, FlagKind, NumberKind, TextKind
from quotelib.registry import SheetFunction

ROWS = frozenset((tuple, list))
"""What a range arrives as."""

ONE_CELL_KINDS = (NumberKind, FlagKind, ChoiceKind, TextKind, DayKind)


def call_from_cell(function: SheetFunction[..., Any], given: tuple[Any, ...]) -> Any:
    """The function on the arguments a cell gave: a value, or rows of values and QuoteErrors.

    Raises QuoteError when the call as a whole is refused.
    """
    checks = function.arguments
    if ROWS.isdisjoint(map(type, given)) or (len(given) > len(checks) and not function.repeats):
        return function(*given)
    arguments: list[Any] = []
    ranges: list[tuple[int, str, Any]] = []
    for place, value in enumerate(given):
        argument = checks[min(place, len(checks) - 1)]
        if isinstance(argument.kind, ONE_CELL_KINDS) and isinstance(value, (tuple, list)):
            if len(value) == 1 and len(value[0]) == 1:
                value = value[0][0]
            elif isinstance(argument.kind, NumberKind) and isinstance(function.result, ONE_CELL_KINDS):
                ranges.append((place, argument.name, value))
            else:
                raise TypeInputError(argument.name, f"{len(value)} x {len(value[0])} cells", "it must be one cell")
        arguments.append(value)
    if not ranges:
        return function(*arguments)
    return _for_each_cell(function, arguments, ranges)


def _for_each_cell(
    function: SheetFunction[..., Any], arguments: list[Any], ranges: list[tuple[int, str, Any]]
) -> list[list[Any]]:
    _, first, shape = ranges[0]
    height, width = len(shape), len(shape[0])
    for _, name, rows in ranges[1:]:
        if (len(rows), len(rows[0])) != (height, width):
            raise TypeInputError(
                name,
                f"{len(rows)} x {len(rows[0])} cells",
                f"it must be one cell, or as many as {first}: {height} x {width}",
            )
    result: list[list[Any]] = []
    for y in range(height):
        row: list[Any] = []
        for x in range(width):
            for place, _, rows in ranges:
                arguments[place] = rows[y][x]
            try:
                row.append(function(*arguments))
            except QuoteError as refusal:
                row.append(refusal)
        result.append(row)
    return result
