"""Demand: how many pieces of a design a season will ask for, as a range of chances instead of one figure.

Every function here takes demand in the same form, a few cells in a row or a column:

    normal, mean, standard deviation             what it puts below zero counts as no demand (truncated at zero)
    poisson, mean                                many customers, each buying one piece by chance
    negative binomial, mean, standard deviation  the same, where nobody knows beforehand how well a design takes on
    past sales alone                             each past period is as likely as any other; a period is a season long

All are worked out exactly: the normal by its closed form, the others by sums over every number of pieces that can matter.
"""

import math
from array import array
from bisect import bisect_left, bisect_right
from functools import lru_cache
from typing import Any, NamedTuple

from quotelib.errors import RangeError
from quotelib.kinds import (
    Cells,
    Confidence,
    Demand,
    DemandFigures,
    DemandForm,
    Fraction,
    PastSales,
    Periods,
    PieceCount,
    WholePieces,
)
from quotelib.registry import sheet_function

NEGLIGIBLE = 1e-20
"""A number of pieces less likely than this, against the likeliest, is left out of the sums."""

TIE = 1e-12
"""A chance closer than this to the one asked for is the same chance."""

WIDEST = 1e4
"""The largest variance of a negative binomial, in means, so that no cell sums for minutes."""


class Outlook:
    """Demand of one season: how likely it is to go beyond a number of pieces, and by how much on average."""

    mean: float

    def beyond(self, pieces: float) -> float:
        """Chance that more than so many pieces are asked for."""
        raise NotImplementedError

    def below(self, pieces: float) -> float:
        """Chance that fewer than so many pieces are asked for."""
        return 1.0 - self.beyond(pieces) if pieces > 0 else 0.0

    def short(self, pieces: float) -> float:
        """Pieces asked for beyond so many, on average."""
        raise NotImplementedError

    def left_over(self, pieces: float) -> float:
        """Pieces of so many that are not asked for, on average."""
        return max(pieces - self.mean + self.short(pieces), 0.0)

    def quantile(self, chance: float) -> int:
        """The smallest whole number of pieces that is enough with that chance."""
        raise NotImplementedError

    def fill_rate(self, pieces: float) -> float:
        """Share of the pieces asked for that so many can serve, on average."""
        return min(max(1.0 - self.short(pieces) / self.mean, 0.0), 1.0)

    def months_of_stock(self, pieces: float, season_months: float) -> float:
        """Months that so many pieces last at the mean rate of sale."""
        return pieces * season_months / self.mean

    def chance_stuck(self, pieces: float, season_months: float, stuck_months: float) -> float:
        """Chance that so many pieces last longer than a number of months, at the rate that the season shows."""
        reach = pieces * season_months / stuck_months
        whole = round(reach)
        return self.below(whole if abs(reach - whole) <= TIE * reach else reach)

    def tables(self, last: int) -> tuple[Any, Any]:
        """`beyond` and `short` of 0, 1, ... up to the last number of pieces."""
        return [self.beyond(pieces) for pieces in range(last + 1)], [self.short(pieces) for pieces in range(last + 1)]


class NormalOutlook(Outlook):
    """Normal demand; what falls below zero counts as no demand."""

    def __init__(self, mean: float, deviation: float) -> None:
        self.centre, self.deviation = mean, deviation
        self.mean = self.short(0.0)

    def beyond(self, pieces: float) -> float:
        return math.erfc((pieces - self.centre) / self.deviation / math.sqrt(2)) / 2

    def short(self, pieces: float) -> float:
        z = (pieces - self.centre) / self.deviation
        density = math.exp(-z * z / 2) / math.sqrt(2 * math.pi)
        return max(self.deviation * (density - z * self.beyond(pieces)), 0.0)

    def quantile(self, chance: float) -> int:
        from statistics import NormalDist  # at the first call: it takes long to import

        wanted = NormalDist(self.centre, self.deviation).inv_cdf(chance)
        return max(math.ceil(wanted - TIE * abs(wanted)), 0)


class SummedOutlook(Outlook):
    """Demand in whole pieces, by sums: the numbers of pieces that can be asked for, ascending, and their weights."""

    def __init__(self, pieces: "range | list[int]", beyond: Any, short: Any) -> None:
        """`beyond` and `short` of each number of pieces, as arrays of Python or of numpy."""
        self.pieces, self._beyond, self._short = pieces, beyond, short
        self.mean = self.short(0.0)

    @classmethod
    def of(cls, pieces: "range | list[int]", weights: list[float]) -> "SummedOutlook":
        """Demand that asks for each of the numbers of pieces with a chance in proportion to its weight."""
        total, room = math.fsum(weights), bytes(8 * len(pieces))
        beyond, short = array("d", room), array("d", room)
        for place in range(len(pieces) - 2, -1, -1):  # from the far end, so that small chances are not lost
            beyond[place] = beyond[place + 1] + weights[place + 1] / total
            short[place] = short[place + 1] + (pieces[place + 1] - pieces[place]) * beyond[place]
        return cls(pieces, beyond, short)

    def beyond(self, pieces: float) -> float:
        place = bisect_right(self.pieces, pieces) - 1
        return float(self._beyond[place]) if place >= 0 else 1.0

    def below(self, pieces: float) -> float:
        place = bisect_left(self.pieces, pieces) - 1
        return 1.0 - float(self._beyond[place]) if place >= 0 else 0.0

    def short(self, pieces: float) -> float:
        place = bisect_right(self.pieces, pieces) - 1
        if place < 0:
            return self.pieces[0] - pieces + float(self._short[0])
        return max(float(self._short[place] - (pieces - self.pieces[place]) * self._beyond[place]), 0.0)

    def quantile(self, chance: float) -> int:
        enough = bisect_left(self._beyond, chance - 1.0 - TIE, key=lambda beyond: -beyond)
        return self.pieces[min(enough, len(self.pieces) - 1)]

    def tables(self, last: int) -> tuple[Any, Any]:
        if not isinstance(self.pieces, range):
            return super().tables(last)
        first, room = self.pieces[0], last + 1
        beyond = [1.0] * min(first, room) + self._beyond[: max(room - first, 0)].tolist()
        short = [self.mean - pieces for pieces in range(min(first, room))] + self._short[: max(room - first, 0)].tolist()
        rest = [0.0] * (room - len(beyond))
        return beyond + rest, short + rest


@lru_cache(maxsize=64)
def outlook_of(demand: DemandFigures) -> Outlook:
    """The demand that a function was given, ready to be asked; kept for the next cells that ask about the same."""
    form, figures = demand
    if form == "normal":
        return NormalOutlook(*figures)
    if form == "history":
        sales = sorted(int(sold) for sold in figures)
        different = sorted(set(sales))
        return SummedOutlook.of(different, [float(sales.count(sold)) for sold in different])
    return _summed(counts_of(demand))


class Counts(NamedTuple):
    """Poisson or negative binomial demand, as the ratio of each chance to the one before."""

    size: float
    """(size + n) x again / (n + 1) is the chance of n + 1 pieces, in chances of n; for poisson, size is without end."""
    again: float
    mean: float

    @property
    def likeliest(self) -> int:
        """The number of pieces with the largest chance."""
        return math.floor(self.mean if self.size == math.inf else max((self.size - 1) * self.again / (1 - self.again), 0))

    def ratio(self, pieces: Any) -> Any:
        """Chance of one more piece, in chances of so many; a number or an array."""
        if self.size == math.inf:
            return self.mean / (pieces + 1)
        return (self.size + pieces) * self.again / (pieces + 1)


def counts_of(demand: DemandFigures) -> Counts:
    """The ratios of poisson or negative binomial demand."""
    if demand.form == "poisson":
        return Counts(math.inf, 0.0, demand.figures[0])
    mean, deviation = demand.figures
    variance = deviation * deviation
    if not mean < variance <= WIDEST * mean:
        least, most = math.sqrt(mean), math.sqrt(WIDEST * mean)
        allowed = f"it must be more than {least:.6g}, the root of the mean (or use poisson), up to {most:.6g} [pieces]"
        raise RangeError("demand standard deviation", deviation, allowed)
    return Counts(mean * mean / (variance - mean), 1 - mean / variance, mean)


def _summed(counts: Counts) -> SummedOutlook:
    """The sums over every number of pieces that is not negligible, from the likeliest both ways."""
    above, weight, pieces = [1.0], 1.0, counts.likeliest
    while weight > NEGLIGIBLE:
        weight *= counts.ratio(pieces)
        pieces += 1
        above.append(weight)
    below: list[float] = []
    weight, pieces = 1.0, counts.likeliest
    while weight > NEGLIGIBLE and pieces > 0:
        pieces -= 1
        weight /= counts.ratio(pieces)
        below.append(weight)
    return SummedOutlook.of(range(pieces, pieces + len(below) + len(above)), below[::-1] + above)


@sheet_function("Demand", one_by_one=True)
def demand_mean(demand: Demand) -> PieceCount:
    """Pieces that a season asks for on average.

    Parameters
    ----------
    demand : normal or negative binomial, mean, standard deviation; poisson, mean; or past sales, two at least [pieces]
        The form of demand and its figures, or past sales alone.

    Returns
    -------
    piece count [pieces]
        Not rounded.  For normal demand a little above the mean given, since what falls below zero counts as none.

    References
    ----------
    Expected value; for the normal, mean of max(D, 0) = m + s L(m / s), L the normal loss function; from memory.

    Examples
    --------
    >>> demand_mean(["poisson", 240])
    240.0
    >>> demand_mean([180, 260, 310])
    250.0
    """
    return outlook_of(demand).mean


@sheet_function("Demand", one_by_one=True)
def chance_enough(pieces: PieceCount, demand: Demand) -> Fraction:
    """Chance that so many pieces are enough for the season.

    Parameters
    ----------
    pieces : 0 to 1e9 [pieces]
        Pieces there are.
    demand : normal or negative binomial, mean, standard deviation; poisson, mean; or past sales, two at least [pieces]
        The form of demand and its figures, or past sales alone.

    Returns
    -------
    fraction [fraction]
        Chance that no more than the pieces are asked for.

    References
    ----------
    Distribution function of demand, P(D <= n), any statistics text.

    Examples
    --------
    >>> chance_enough(300, ["normal", 250, 50])
    0.8413447
    """
    return 1.0 - outlook_of(demand).beyond(pieces)


@sheet_function("Demand", one_by_one=True)
def demand_quantile(chance: Confidence, demand: Demand) -> WholePieces:
    """Smallest whole number of pieces that is enough for the season with a given chance.

    Parameters
    ----------
    chance : more than 0, less than 1 [fraction]
        Chance that the pieces are enough, such as a critical ratio.
    demand : normal or negative binomial, mean, standard deviation; poisson, mean; or past sales, two at least [pieces]
        The form of demand and its figures, or past sales alone.

    Returns
    -------
    whole pieces [pieces]
        Rounded up once, at the end.

    References
    ----------
    Quantile of demand, the smallest n with P(D <= n) >= chance, any statistics text.

    Examples
    --------
    >>> demand_quantile(0.9, ["normal", 250, 50])
    315
    """
    return outlook_of(demand).quantile(chance)


@sheet_function("Demand", one_by_one=True)
def expected_sales(pieces: PieceCount, demand: Demand) -> PieceCount:
    """Pieces sold in the season on average, when there are so many.

    Parameters
    ----------
    pieces : 0 to 1e9 [pieces]
        Pieces there are.
    demand : normal or negative binomial, mean, standard deviation; poisson, mean; or past sales, two at least [pieces]
        The form of demand and its figures, or past sales alone.

    Returns
    -------
    piece count [pieces]
        Mean of the smaller of demand and pieces, not rounded.

    References
    ----------
    E min(D, n) = mean - expected short; newsvendor model, any operations text.

    Examples
    --------
    >>> expected_sales(39, ["normal", 50, 20])
    35.38396
    """
    outlook = outlook_of(demand)
    return max(outlook.mean - outlook.short(pieces), 0.0)


@sheet_function("Demand", one_by_one=True)
def expected_left_over(pieces: PieceCount, demand: Demand) -> PieceCount:
    """Pieces left over at the end of the season on average, when there are so many.

    Parameters
    ----------
    pieces : 0 to 1e9 [pieces]
        Pieces there are.
    demand : normal or negative binomial, mean, standard deviation; poisson, mean; or past sales, two at least [pieces]
        The form of demand and its figures, or past sales alone.

    Returns
    -------
    piece count [pieces]
        Not rounded.

    References
    ----------
    E max(n - D, 0); newsvendor model, any operations text.

    Examples
    --------
    >>> expected_left_over(300, ["poisson", 300])
    6.90796
    """
    return outlook_of(demand).left_over(pieces)


@sheet_function("Demand", one_by_one=True)
def expected_short(pieces: PieceCount, demand: Demand) -> PieceCount:
    """Pieces asked for and not there, on average, when there are so many.

    Parameters
    ----------
    pieces : 0 to 1e9 [pieces]
        Pieces there are.
    demand : normal or negative binomial, mean, standard deviation; poisson, mean; or past sales, two at least [pieces]
        The form of demand and its figures, or past sales alone.

    Returns
    -------
    piece count [pieces]
        Not rounded.

    References
    ----------
    E max(D - n, 0); for the normal s L(z), L the normal loss function, any operations text.

    Examples
    --------
    >>> expected_short(260, [180, 260, 310])
    16.6667
    """
    return outlook_of(demand).short(pieces)


@sheet_function("Demand", one_by_one=True)
def season_demand(past_sales: PastSales, periods: Periods, form: DemandForm = "negative binomial") -> Cells:
    """Demand of a season of several periods, from past sales by week or month; a row that the other functions take.

    Parameters
    ----------
    past_sales : rows of sold, then any number of sold
        Pieces sold in each past period, in the order of time.  Blanks are passed over: write 0 where nothing sold.
    periods : whole, 1 to 1000 [periods]
        Periods in the season to come: 12 for a year of months.
    form : one of normal, poisson, negative binomial, history, negative binomial if left out
        Form of demand to make of them.

    Returns
    -------
    cells
        One row: the word and its figures; for history, the sales of every stretch of so many periods in a row.

    Raises
    ------
    RangeError
        Where there are too few past periods to see how much they differ.

    Notes
    -----
    Mean = mean of a period x periods; standard deviation = sample standard deviation of a period x root of periods, the
    periods taken as independent.  Sales that vary no more than by chance (variance up to the mean) give poisson in place
    of negative binomial.  A pattern within the year counts as doubt.  Stretches of a history overlap, so they show less
    than all that can happen.

    References
    ----------
    Fitting by moments, any statistics text; adding independent periods, variances add.

    Examples
    --------
    >>> season_demand([[12, 31, 8, 19, 25, 40]], 12)
    (('negative binomial', 270.0, 41.496988),)
    >>> season_demand([[12, 31, 8, 19, 25, 40]], 4, "history")
    ((70.0, 83.0, 92.0),)
    """
    from statistics import fmean, variance  # at the first call: it takes long to import

    sold = [cell for row in past_sales for cell in row]
    count, needed = int(periods), int(periods) + 1 if form == "history" else 2
    if len(sold) < needed:
        raise RangeError("past_sales", f"{len(sold)} periods", f"it must be {needed} or more for {form} demand")
    if form == "history":
        return (tuple(math.fsum(sold[start : start + count]) for start in range(len(sold) - count + 1)),)
    mean, spread = fmean(sold), variance(sold)
    figures = mean * count, math.sqrt(spread * count)
    if not mean or (form == "normal" and not spread):
        raise RangeError("past_sales", "the same in every period" if mean else 0, "it must differ from period to period")
    if form == "poisson" or (form == "negative binomial" and spread <= mean):
        return (("poisson", figures[0]),)
    return ((form, *figures),)
