"""Pooling: what is gained by waiting, when many designs share the same blanks.

A stock of finished pieces must cover the ups and downs of each design.  Blanks that are decorated as the pieces sell need
only cover the ups and downs of all the designs together, which partly cancel: with k designs that have nothing in common,
the deviation of the whole is the root of k times that of one, and not k times.
"""

import math
from typing import Any

from quotelib.elementwise import each
from quotelib.errors import RangeError
from quotelib.kinds import (
    Confidence,
    Correlation,
    Deviation,
    Deviations,
    Money,
    PieceCount,
    PositiveMoney,
    Quantity,
)
from quotelib.registry import sheet_function

TIE = 1e-12
"""A variance this far below zero, as a share, is binary noise."""


@sheet_function("Pooling")
def safety_stock(standard_deviation: Deviation, chance: Confidence, lead_periods: Quantity = 1.0) -> PieceCount:
    """Stock above the mean that is enough with a given chance while more is on its way.

    Parameters
    ----------
    standard_deviation : 0 to 1e9 [pieces]
        Standard deviation of demand in one period.
    chance : more than 0, less than 1 [fraction]
        Chance that the stock is enough.
    lead_periods : more than 0, up to 1e12 [units], 1 if left out
        Periods until more arrives: blanks on order, a session at the roller.

    Returns
    -------
    piece count [pieces]
        z x standard deviation x root of the periods, not rounded; 0 for a chance of a half or less.

    References
    ----------
    Safety stock z s sqrt(L) for normal demand, any operations text.

    Examples
    --------
    >>> safety_stock(180, 0.98, 20)
    1653.23598
    """
    return each(_safety_stock, standard_deviation, chance, lead_periods)


@sheet_function("Pooling", one_by_one=True)
def pooled_deviation(deviations: Deviations, correlation: Correlation = 0.0) -> Deviation:
    """Standard deviation of the demand of several designs together, as for the blanks that they share.

    Parameters
    ----------
    deviations : rows of standard deviation, then any number of standard deviation
        Standard deviation of each design's demand, in a row or a column.
    correlation : -1 to 1, 0 if left out
        How far the designs sell well or badly together, from each to each other: 0 where they have nothing in common.

    Returns
    -------
    standard deviation [pieces]
        Not rounded.

    Raises
    ------
    RangeError
        Where so many designs cannot all go against each other as much as the correlation says.

    References
    ----------
    Variance of a sum: the variances and twice the covariances, any statistics text.

    Examples
    --------
    >>> pooled_deviation([40, 40, 40, 40])
    80.0
    """
    return _pooled(_flat(deviations), correlation)


@sheet_function("Pooling", one_by_one=True)
def waiting_value(
    deviations: Deviations, short_cost: PositiveMoney, left_cost: PositiveMoney, correlation: Correlation = 0.0
) -> Money:
    """What waiting is worth: the money saved when designs share blanks and are decorated as they sell.

    Parameters
    ----------
    deviations : rows of standard deviation, then any number of standard deviation
        Standard deviation of each design's demand, in a row or a column.
    short_cost : more than 0, up to 1e12 [currency]
        Lost with each piece asked for and not there, beyond what it would have cost: its contribution.
    left_cost : more than 0, up to 1e12 [currency]
        Lost with each piece or blank left over: its cost less what it still fetches, and the holding of it.
    correlation : -1 to 1, 0 if left out
        How far the designs sell well or badly together.

    Returns
    -------
    money [currency]
        Expected cost of being short or left over with a stock for each design, less that with one stock for all, each
        stock the best for normal demand.  Not rounded.

    Raises
    ------
    RangeError
        Where so many designs cannot all go against each other as much as the correlation says.

    Notes
    -----
    (short + left) x density of the critical ratio's z x (sum of the deviations - pooled deviation).  The normal is not
    truncated here; that matters only where the deviation comes near the mean.

    References
    ----------
    Risk pooling, Eppen, Management Science 25 (1979): cost k x deviation in each place, and of the pooled one; from memory.

    Examples
    --------
    Four designs that share their blanks, each with a deviation of 40:

    >>> waiting_value([40, 40, 40, 40], 9, 6)
    463.61104
    """
    from statistics import NormalDist  # at the first call: it takes long to import

    alone, ratio = _flat(deviations), short_cost / (short_cost + left_cost)
    normal = NormalDist()
    density = normal.pdf(normal.inv_cdf(ratio)) if 0 < ratio < 1 else 0.0
    return max((short_cost + left_cost) * density * (math.fsum(alone) - _pooled(alone, correlation)), 0.0)


def _safety_stock(standard_deviation: float, chance: float, lead_periods: float) -> float:
    from statistics import NormalDist  # at the first call: it takes long to import

    return max(NormalDist().inv_cdf(chance), 0.0) * standard_deviation * math.sqrt(lead_periods)


def _pooled(deviations: list[float], correlation: float) -> float:
    """Root of the variance of the sum; the covariances come from the square of the sum of the deviations."""
    squares = math.fsum(one * one for one in deviations)
    variance = squares + correlation * (math.fsum(deviations) ** 2 - squares)
    if variance < -TIE * squares:
        least = -squares / (math.fsum(deviations) ** 2 - squares)
        raise RangeError("correlation", correlation, f"it must be {least:.6g} or more for these {len(deviations)} designs")
    return math.sqrt(max(variance, 0.0))


def _flat(deviations: Any) -> list[float]:
    return [cell for row in deviations for cell in row]
