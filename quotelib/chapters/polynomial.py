"""Polynomials with many terms and few changes of sign, such as a present value in the discount factor: all their zeros."""

import math
from collections.abc import Sequence
from itertools import pairwise

LEAST, MOST = 1e-9, 1e15
"""Between these the zeros are looked for."""


def zeros(terms: Sequence[float]) -> list[float]:
    """The factors x, ascending, at which the sum of terms[k] x^k is zero, from LEAST to MOST.

    >>> [round(1 / factor - 1, 9) for factor in zeros([-100, 230, -132])]
    [0.2, 0.1]

    By the argument that proves Descartes' rule of signs.  Divide the sum by x^m, where the m-th term is the last before the
    first change of sign, and take the derivative: its terms (k - m) terms[k] x^(k - m - 1) change sign once less, and
    between two of its zeros the divided sum only rises or only falls.  So the zeros of the last derivative, which has no
    change of sign and no zero, separate those of the one before, and so on back to the sum itself.
    """
    derivatives = [list(terms)]
    while (place := _first_change(derivatives[-1])) is not None:
        slopes = [(power - place) * term for power, term in enumerate(derivatives[-1])]
        largest = max(map(abs, slopes))
        derivatives.append([slope / largest for slope in slopes])
    apart: list[float] = []
    for sums in reversed(derivatives[:-1]):
        found = [zero for zero in apart if _sign(sums, zero) == 0]
        for low, high in pairwise([LEAST, *apart, MOST]):
            if _sign(sums, low) * _sign(sums, high) < 0:
                found.append(_crossing(sums, low, high))
        apart = sorted(found)
    return apart


def _first_change(terms: Sequence[float]) -> int | None:
    """Place of the last term before the first change of sign, zeros passed over; None where there is none."""
    previous = None
    for place, term in enumerate(terms):
        if term:
            if previous is not None and (term > 0) != (terms[previous] > 0):
                return previous
            previous = place
    return None


def balance(terms: Sequence[float], factor: float) -> tuple[float, float]:
    """The sum of terms[k] x^k, and the same of their sizes, both over the largest power so that neither overflows."""
    total = size = 0.0
    step, in_turn = (factor, reversed(terms)) if factor <= 1 else (1 / factor, iter(terms))
    for term in in_turn:
        total = total * step + term
        size = size * step + abs(term)
    return total, size


def _sign(terms: Sequence[float], factor: float) -> int:
    """The sign of the sum at a factor; 0 where the sum is no more than the rounding of its terms."""
    total, size = balance(terms, factor)
    if abs(total) <= 4 * len(terms) * 2.0**-53 * size:
        return 0
    return 1 if total > 0 else -1


def _crossing(terms: Sequence[float], low: float, high: float) -> float:
    """The factor between two at which the sum changes sign, by halving to the last digit."""
    rising = balance(terms, high)[0] > 0
    while True:
        middle = math.sqrt(low * high) if high > 2 * low else (low + high) / 2
        if not low < middle < high:
            return middle
        if (balance(terms, middle)[0] > 0) == rising:
            high = middle
        else:
            low = middle
