"""The few operations a formula needs beyond + - * / **, for one number, a numpy array or a cell alike.

A body written with these serves all three: a float gives a float, an array gives an array, and a `Formula` (a cell not
yet worked out) gives the formula of the cell that depends on it.  numpy is touched only when an array has come in.
"""

import math
from collections.abc import Callable
from typing import Any

from quotelib.formula import Formula, builtin

COUNT_SLACK = 1e-9
"""A count is rounded up only by more than this: 300.0000000001 sheets are 300 sheets, not 301."""

TIE = 1e-14
"""Amounts closer than this share of each other are the same amount: some fifty times the noise of binary fractions."""


def round_up(value: Any) -> Any:
    """The smallest whole number not below `value`, forgiving binary noise of up to 1e-9."""
    if isinstance(value, (float, int)):
        return math.ceil(value - COUNT_SLACK)
    if isinstance(value, Formula):
        return builtin("ROUNDUP", value - COUNT_SLACK, 0)
    return _numpy().ceil(value - COUNT_SLACK)


def smaller(a: Any, b: Any) -> Any:
    """The smaller of two values."""
    if isinstance(a, Formula) or isinstance(b, Formula):
        return builtin("MIN", a, b)
    if isinstance(a, (float, int)) and isinstance(b, (float, int)):
        return min(a, b)
    return _numpy().minimum(a, b)


def larger(a: Any, b: Any) -> Any:
    """The larger of two values."""
    if isinstance(a, Formula) or isinstance(b, Formula):
        return builtin("MAX", a, b)
    if isinstance(a, (float, int)) and isinstance(b, (float, int)):
        return max(a, b)
    return _numpy().maximum(a, b)


def where(condition: Any, value: Any, otherwise: Any) -> Any:
    """`value` where the condition holds, else `otherwise`.  Both are worked out, so neither may divide by zero."""
    if isinstance(condition, bool):
        return value if condition else otherwise
    if isinstance(condition, Formula):
        return builtin("IF", condition, value, otherwise)
    return _numpy().where(condition, value, otherwise)


def largest(value: Any) -> float:
    """The number itself, or the largest of an array."""
    return float(value if isinstance(value, (float, int)) else value.max())


def geometric_sum(ratio: Any, terms: Any) -> Any:
    """1 + ratio + ratio^2 + ... for a few dozen terms at most, summed from the smallest so that nothing is lost."""
    total = 1 + 0 * (ratio * terms)
    for done in range(1, int(largest(terms))):
        total = where(done < terms, 1 + ratio * total, total)
    return total


def each(work: Callable[..., float], *values: Any) -> Any:
    """`work` done on numbers, or on each element where an array came in, for bodies that branch only in a part."""
    if all(isinstance(value, (float, int)) for value in values):
        return work(*values)
    return _numpy().vectorize(work, otypes=[float])(*values)


def _numpy() -> Any:
    import numpy

    return numpy
