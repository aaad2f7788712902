"""Intervals: between which values a share or a mean may lie, given what was counted.

    share_interval(3, 100, 0.95)     3 rejects in 100: the share lies between 0.0062 and 0.0852
    student_quantile(0.95, 12)       how many standard errors of a mean reach to either side, with 12 degrees of freedom

Both come from the beta distribution, which is worked out here, since a cell has the standard library alone.
"""

import math
from collections.abc import Callable

from quotelib.errors import NoSolution

SETTLED = 1e-15
"""A continued fraction has settled where a term changes it by less than this share."""

TERMS_MOST = 100_000
"""Terms of the continued fraction, which takes about the square root of the larger parameter."""


def beta_chance(value: float, a: float, b: float) -> float:
    """Chance that a beta variable with parameters a and b is at most the value: the incomplete beta function, regularised.

    By its continued fraction, in the form whose terms are all positive where value < (a + 1) / (a + b + 2).
    """
    if value <= 0 or value >= 1:
        return 0.0 if value <= 0 else 1.0
    if value > (a + 1) / (a + b + 2):
        return 1.0 - beta_chance(1 - value, b, a)
    front = math.exp(math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(value) + b * math.log1p(-value))
    above, below, fraction = 1.0, 1.0 / (1 - (a + b) * value / (a + 1)), 1.0 / (1 - (a + b) * value / (a + 1))
    for m in range(1, TERMS_MOST):
        change = 1.0
        for step in (
            m * (b - m) * value / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * value / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            below = 1 / (1 + step * below)
            above = 1 + step / above
            change = above * below
            fraction *= change
        if abs(change - 1) < SETTLED:
            return front * fraction / a
    raise NoSolution("value", value, "the chance cannot be worked out; the counts must be smaller")


def beta_quantile(chance: float, a: float, b: float) -> float:
    """The value that a beta variable with parameters a and b stays below with that chance."""
    return _where(lambda value: beta_chance(value, a, b), chance)


def share_interval(hits: float, trials: float, confidence: float) -> tuple[float, float]:
    """Between which shares the true one lies, given the hits among so many trials; exact (Clopper and Pearson, 1934).

    Hits and trials need not be whole: counts made smaller for their own scatter are taken as well.
    """
    tail = (1 - confidence) / 2
    low = beta_quantile(tail, hits, trials - hits + 1) if hits > 0 else 0.0
    high = beta_quantile(1 - tail, hits + 1, trials - hits) if hits < trials else 1.0
    return low, high


def student_quantile(confidence: float, degrees: float) -> float:
    """Standard errors on either side that Student's distribution stays within, with that confidence."""
    share = beta_quantile(1 - confidence, degrees / 2, 0.5)
    return math.sqrt(degrees * (1 / share - 1))


def median_places(count: int, confidence: float) -> tuple[int, int]:
    """Places, from 0, of the sorted values between which the median lies with that confidence; by the binomial, exactly.

    Raises NoSolution where there are too few values for it.
    """
    tail, term, place = 0.0, 0.5**count, 0
    while tail + term <= (1 - confidence) / 2:
        tail += term
        term *= (count - place) / (place + 1)
        place += 1
    if not place:
        raise NoSolution("rows", count, f"there must be more of them for an interval of {confidence:g}")
    return place - 1, count - place


def _where(chance_of: Callable[[float], float], chance: float) -> float:
    """The value from 0 to 1 at which a growing function reaches the chance, by halving, to the last digit."""
    low, high = 0.0, 1.0
    while True:
        middle = math.sqrt(low * high) if low > 0 and high > 4 * low else (low + high) / 2
        if not low < middle < high:
            return middle
        if chance_of(middle) < chance:
            low = middle
        else:
            high = middle
        if low == 0 and high < 1e-300:
            return 0.0
