"""A function of the library over numpy arrays: checked as a whole, worked out as a whole.

Imported only when an array comes in, since cells run in a Python that may have no numpy.
"""

from typing import TYPE_CHECKING, Any

import numpy as np

from quotelib.errors import NoSolution, RangeError, TypeInputError
from quotelib.kinds import NumberKind

if TYPE_CHECKING:
    from quotelib.registry import SheetFunction

CHUNK = 32_768
"""Elements checked at a time, so that the passes over them stay in the processor's cache."""


def call_on_arrays(function: "SheetFunction[..., Any]", given: tuple[Any, ...]) -> Any:
    """The function on arguments of which at least one is an array; the others hold for every element.

    Arrays must be of shapes that numpy broadcasts.  The first element outside its range is named with its place.
    """
    admitted = []
    mapped = []
    for value, argument in zip(given, function.arguments, strict=True):
        if value is None and not argument.required:
            admitted.append(argument.default)
        elif isinstance(argument.kind, NumberKind) and getattr(value, "ndim", None):
            if not isinstance(function.result, NumberKind):
                raise TypeInputError(argument.name, value, argument.kind.refusal("one number, "))
            mapped.append(len(admitted))
            admitted.append(_admit(argument.name, argument.kind, value))
        else:
            admitted.append(argument.kind.admit(argument.name, value))
    if not mapped:  # the only arrays were tables
        return function.run(*admitted)
    try:
        shape = np.broadcast_shapes(*(admitted[place].shape for place in mapped))
        if 0 in shape:
            return np.empty(shape)
        with np.errstate(all="ignore"):
            if function.one_by_one:
                return _one_by_one(function, admitted, mapped)
            result = function.body(*admitted)
            total = np.sum(result)  # one pass; looked at closely only where it is not finite itself
        if not np.isfinite(total) and not np.isfinite(result).all():
            raise OverflowError
    except (OverflowError, ZeroDivisionError):
        raise NoSolution(function.cell_name, "too large to state", "use smaller inputs") from None
    except ValueError as fault:
        if "broadcast" not in str(fault):
            raise
        shapes = ", ".join(str(np.shape(value)) for value in admitted if np.ndim(value))
        raise TypeInputError(function.cell_name, shapes, "the arrays must be of shapes that go together") from None
    return result


def _admit(name: str, kind: NumberKind, value: Any) -> Any:
    array = np.asarray(value)
    if array.dtype.kind not in "fiu":
        raise TypeInputError(name, array.dtype, kind.refusal("an array of numbers, "))
    flat = array.ravel()
    for start in range(0, flat.size, CHUNK):
        part = flat[start : start + CHUNK]
        good = kind.low <= part.min() and part.max() <= kind.high
        if good and kind.whole and array.dtype.kind == "f":
            good = bool((part == np.rint(part)).all())
        if not good:
            wrong = ~((part >= kind.low) & (part <= kind.high))
            if kind.whole:
                wrong |= part != np.rint(part)
            place = np.unravel_index(start + int(np.argmax(wrong)), array.shape)
            where = ", ".join(str(int(index)) for index in place)
            raise RangeError(f"{name}[{where}]", float(array[place]), kind.refusal())
    return array if array.dtype == np.float64 else array.astype(np.float64)


def _one_by_one(function: "SheetFunction[..., Any]", admitted: list[Any], mapped: list[int]) -> Any:
    """The body called once for each element of the arguments at the places `mapped`, all others held fast."""
    broadcast = np.broadcast_arrays(*(admitted[i] for i in mapped))
    result = np.empty(broadcast[0].shape)
    call = list(admitted)
    for place in np.ndindex(result.shape):
        for i, values in zip(mapped, broadcast, strict=True):
            call[i] = float(values[place])
        result[place] = function.run(*call)
    return result
