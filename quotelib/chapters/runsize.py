"""Run size: how many pieces to make now, when nobody knows how many will sell.

Three policies, each exactly:

    up front    all pieces made now, by hand or by any other route
    held        transfers printed now, and pressed a lot at a time as the pieces sell
    both        some pieces made now, and transfers held for what is asked for beyond them

The cost of a season is production of what sells, holding, write-down of what does not, and lost sales.  Costs are read from
the cost lines of the routes, steps and price breaks included; plans.py holds the arithmetic.  Without steps the best run is
the textbook's critical ratio.

What a plan costs is for deciding what to make.  It is not accounting or tax advice.
"""

from typing import Any

from quotelib.chapters.curve import CostCurve
from quotelib.chapters.demand import outlook_of
from quotelib.chapters.plans import Made, Parts, Search, Supply, Terms, expected_season, parts
from quotelib.elementwise import each
from quotelib.errors import NoSolution, RangeError
from quotelib.kinds import (
    AnnualRate,
    Cells,
    CostLines,
    Demand,
    Fraction,
    Lot,
    Money,
    Months,
    MonthsOfStock,
    PieceCount,
    Plans,
    Policy,
    PositiveMoney,
    WholePieces,
)
from quotelib.registry import sheet_function

MONTHS_A_YEAR = 12


@sheet_function("Run size")
def critical_ratio(price: PositiveMoney, unit_cost: Money, salvage: Money = 0.0, holding_cost: Money = 0.0) -> Fraction:
    """Chance of being enough that the best run has, where there are no setups, steps or price breaks.

    Parameters
    ----------
    price : more than 0, up to 1e12 [currency]
        Price of a piece, or what is lost with a sale.
    unit_cost : 0 to 1e12 [currency]
        Cost of a further piece.
    salvage : 0 to 1e12 [currency], 0 if left out
        What a piece left over still fetches.
    holding_cost : 0 to 1e12 [currency], 0 if left out
        Cost of holding a piece left over to the end of the season.

    Returns
    -------
    fraction [fraction]
        (price - cost) / (price - salvage + holding), not rounded; 0 where a piece costs more than its price.

    Raises
    ------
    NoSolution
        Where a piece left over loses nothing, so that no run is too long.

    References
    ----------
    Critical ratio of the newsvendor model, cost of underage / (underage + overage), any operations text.

    Examples
    --------
    >>> critical_ratio(7, 5)
    0.2857143
    """
    return each(_critical_ratio, price, unit_cost, salvage, holding_cost)


@sheet_function("Run size", one_by_one=True)
def newsvendor_run(
    demand: Demand, price: PositiveMoney, unit_cost: Money, salvage: Money = 0.0, holding_cost: Money = 0.0
) -> WholePieces:
    """Best run where every piece costs the same: no setup, steps or price breaks.

    Parameters
    ----------
    demand : normal or negative binomial, mean, standard deviation; poisson, mean; or past sales, two at least [pieces]
        The form of demand and its figures, or past sales alone.
    price : more than 0, up to 1e12 [currency]
        Price of a piece, or what is lost with a sale.
    unit_cost : 0 to 1e12 [currency]
        Cost of a further piece.
    salvage : 0 to 1e12 [currency], 0 if left out
        What a piece left over still fetches.
    holding_cost : 0 to 1e12 [currency], 0 if left out
        Cost of holding a piece left over to the end of the season.

    Returns
    -------
    whole pieces [pieces]
        The smallest whole run to which no further piece should be added.

    Raises
    ------
    NoSolution
        Where a piece left over loses nothing, so that no run is too long.

    Notes
    -----
    A further piece is worth making while the chance that it sells is more than 1 - critical ratio.

    References
    ----------
    Newsvendor model, marginal analysis, any operations text.

    Examples
    --------
    >>> newsvendor_run(["normal", 50, 20], 7, 5)
    39
    >>> newsvendor_run(["poisson", 6], 5, 1)
    8
    """
    outlook, chance = outlook_of(demand), 1 - _critical_ratio(price, unit_cost, salvage, holding_cost)
    if chance >= 1:
        return 0
    low, high = 0, 1
    while outlook.short(high) - outlook.short(high + 1) > chance + TIE:
        low, high = high, 2 * high
    while low < high:
        middle = (low + high) // 2
        if outlook.short(middle) - outlook.short(middle + 1) > chance + TIE:
            low = middle + 1
        else:
            high = middle
    return low


@sheet_function("Run size", one_by_one=True)
def fill_rate(pieces: PieceCount, demand: Demand) -> Fraction:
    """Share of the pieces asked for that can be sold, on average, when there are so many.

    Parameters
    ----------
    pieces : 0 to 1e9 [pieces]
        Pieces made up front, and transfers held.
    demand : normal or negative binomial, mean, standard deviation; poisson, mean; or past sales, two at least [pieces]
        The form of demand and its figures, or past sales alone.

    Returns
    -------
    fraction [fraction]
        Expected sales over mean demand, not rounded.

    References
    ----------
    Fill rate, E min(D, n) / E D, any operations text.

    Examples
    --------
    >>> fill_rate(300, ["normal", 250, 50])
    0.98333
    """
    return outlook_of(demand).fill_rate(pieces)


@sheet_function("Run size", one_by_one=True)
def months_of_stock(pieces: PieceCount, demand: Demand, season_months: Months) -> MonthsOfStock:
    """Months that so many pieces last at the mean rate of sale.

    Parameters
    ----------
    pieces : 0 to 1e9 [pieces]
        Pieces there are.
    demand : normal or negative binomial, mean, standard deviation; poisson, mean; or past sales, two at least [pieces]
        The form of demand and its figures, or past sales alone.
    season_months : more than 0, up to 1200 [months]
        Months of the season that the demand is for.

    Returns
    -------
    months of stock [months]
        Not rounded.

    References
    ----------
    Stock over mean demand of a month; common practice, no source.

    Examples
    --------
    >>> months_of_stock(750, ["poisson", 240], 12)
    37.5
    """
    return outlook_of(demand).months_of_stock(pieces, season_months)


@sheet_function("Run size", one_by_one=True)
def chance_stuck(pieces: PieceCount, demand: Demand, season_months: Months, stuck_months: Months) -> Fraction:
    """Chance that so many pieces last longer than a number of months.

    Parameters
    ----------
    pieces : 0 to 1e9 [pieces]
        Pieces there are.
    demand : normal or negative binomial, mean, standard deviation; poisson, mean; or past sales, two at least [pieces]
        The form of demand and its figures, or past sales alone.
    season_months : more than 0, up to 1200 [months]
        Months of the season that the demand is for.
    stuck_months : more than 0, up to 1200 [months]
        Months of stock beyond which the shop calls itself stuck.

    Returns
    -------
    fraction [fraction]
        Chance that demand is below pieces x season months / stuck months.

    Notes
    -----
    The design is taken to go on selling at the rate that its season shows: a slow design stays slow.

    References
    ----------
    Distribution function of demand at pieces x season / months; derived.

    Examples
    --------
    >>> chance_stuck(750, [180, 260, 310], 12, 36)
    0.3333333
    """
    return outlook_of(demand).chance_stuck(pieces, season_months, stuck_months)


@sheet_function("Run size")
def plan_costs(
    plans: Plans,
    demand: Demand,
    short_cost: Money,
    salvage: Money,
    holding_rate: AnnualRate,
    season_months: Months,
    up_front_lines: CostLines,
    held_lines: CostLines = None,
    pressing_lines: CostLines = None,
    lot: Lot = 100.0,
) -> Cells:
    """Expected cost of a season in its parts, and what it leaves, for one plan or a list of them.

    Parameters
    ----------
    plans : rows of up front, held
        Each row a plan: pieces made up front, and transfers held, counted by the good pieces they make.
    demand : normal or negative binomial, mean, standard deviation; poisson, mean; or past sales, two at least [pieces]
        The form of demand and its figures, or past sales alone.
    short_cost : 0 to 1e12 [currency]
        What is lost with each piece asked for and not there: its price, or what it costs to be late.
    salvage : 0 to 1e12 [currency]
        What a piece left over still fetches.
    holding_rate : 0 to 1 [fraction/year]
        Yearly cost of holding, as a share of what the stock has cost: interest, space, damage.
    season_months : more than 0, up to 1200 [months]
        Months of the season that the demand is for.
    up_front_lines : rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate
        Cost lines of the route that makes the pieces up front, as for RUN_COST.
    held_lines : rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate, none if left out
        Cost lines of making the transfers, apart from pressing.
    pressing_lines : rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate, none if left out
        Cost lines of pressing: roller, blanks, packing.
    lot : whole, 1 to 1e6 [pieces], 100 if left out
        Pieces pressed in one session, whenever none is left; the last session takes what is left of the transfers.

    Returns
    -------
    cells
        A row for each plan: production, holding, write-down, lost sales, their sum, pieces left over, transfers left over,
        pieces short.  Nothing is rounded.

    Raises
    ------
    RangeError
        Where transfers are held and the lines of holding or pressing are not given.

    Notes
    -----
    Production is the cost of what sells.  Write-down is the cost of what does not, less its salvage; transfers left over
    are written off whole.  Holding takes half of what is there at first and at last, and half a lot of what is pressed.
    Each session is a run of its own in the pressing lines.  Whatever the lines allow for transfers never pressed comes on
    top of those left over here.

    References
    ----------
    Newsvendor model with a cost curve in place of a unit cost; sums over the lots.  Derived; see Notes.

    Examples
    --------
    Forty at a setup of 30 and 2.50 a piece, sold at 7, with nothing held:

    >>> plan_costs([[40, 0]], ["poisson", 40], 7, 1, 0, 6, [[1, "", "", "", 30.0], [0, 1, "", "", 2.5]])
    ((121.81688, 0.0, 5.66523, 17.62517, 145.10729, 2.51788, 0.0, 2.51788),)
    """  # noqa: E501
    terms, outlook = Terms(short_cost, salvage, holding_rate * season_months / MONTHS_A_YEAR), outlook_of(demand)
    if any(held for _, held in plans):
        _must_have_lines(held_lines, pressing_lines, "where transfers are held")
    supply = _supply(up_front_lines, held_lines, pressing_lines, lot)
    rows = []
    for up_front, held in plans:
        made = Made.by(supply, up_front, held)
        cost: Parts = parts(made, expected_season(made, outlook), terms)
        money, left = cost[:4], cost[4:]
        rows.append((*money, cost.total, *left))
    return tuple(tuple(float(figure) for figure in row) for row in rows)


@sheet_function("Run size")
def best_plan(
    policy: Policy,
    demand: Demand,
    short_cost: Money,
    salvage: Money,
    holding_rate: AnnualRate,
    season_months: Months,
    up_front_lines: CostLines,
    held_lines: CostLines = None,
    pressing_lines: CostLines = None,
    lot: Lot = 100.0,
) -> Cells:
    """The plan of a policy that costs least in a season: pieces made up front, transfers held, and the cost.

    Parameters
    ----------
    policy : one of up front, held, both
        up front: all pieces made now.  held: transfers, pressed as they sell.  both: at least one of each.
    demand : normal or negative binomial, mean, standard deviation; poisson, mean; or past sales, two at least [pieces]
        The form of demand and its figures, or past sales alone.
    short_cost : 0 to 1e12 [currency]
        What is lost with each piece asked for and not there: its price, or what it costs to be late.
    salvage : 0 to 1e12 [currency]
        What a piece left over still fetches.
    holding_rate : 0 to 1 [fraction/year]
        Yearly cost of holding, as a share of what the stock has cost.
    season_months : more than 0, up to 1200 [months]
        Months of the season that the demand is for.
    up_front_lines : rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate
        Cost lines of the route that makes the pieces up front, as for RUN_COST.
    held_lines : rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate, none if left out
        Cost lines of making the transfers, apart from pressing.
    pressing_lines : rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate, none if left out
        Cost lines of pressing: roller, blanks, packing.
    lot : whole, 1 to 1e6 [pieces], 100 if left out
        Pieces pressed in one session.

    Returns
    -------
    cells
        One row: pieces up front, transfers held, expected cost of the season.  0 and 0 where making nothing costs least.

    Raises
    ------
    NoSolution
        Where demand is so large that a cell would search too long.
    RangeError
        Where the policy holds transfers and their lines are not given.

    Notes
    -----
    Every whole number is tried, up to what is enough in all but one season of a million; steps, minimum orders and price
    breaks count exactly.  PLAN_COSTS opens the plan into its parts.

    References
    ----------
    Least expected cost over all plans; without setup and steps, the newsvendor's critical ratio.  Derived; see Notes.

    Examples
    --------
    >>> best_plan("up front", ["poisson", 40], 7, 1, 0, 6, [[1, "", "", "", 30.0], [0, 1, "", "", 2.5]])
    ((44.0, 0.0, 142.24703),)
    """  # noqa: E501  # noqa: E501
    if policy != "up front":
        _must_have_lines(held_lines, pressing_lines, f"for the policy {policy}")
    supply = _supply(up_front_lines, held_lines, pressing_lines, lot)
    search = Search(supply, outlook_of(demand), Terms(short_cost, salvage, holding_rate * season_months / MONTHS_A_YEAR))
    find = {"up front": search.up_front, "held": search.held, "both": search.both}[policy]
    return (tuple(float(figure) for figure in find()),)


TIE = 1e-12
"""Chances closer than this are the same chance."""


def _critical_ratio(price: float, unit_cost: float, salvage: float, holding_cost: float) -> float:
    left_cost = unit_cost - salvage + holding_cost
    if left_cost <= 0:
        allowed = f"a piece left over loses nothing; it must be less than cost and holding, {unit_cost + holding_cost:.12g}"
        raise NoSolution("salvage", salvage, allowed)
    return max(price - unit_cost, 0.0) / (max(price - unit_cost, 0.0) + left_cost)


def _supply(up_front_lines: Any, held_lines: Any, pressing_lines: Any, lot: float) -> Supply:
    up_front, held, pressing = (CostCurve.from_rows(lines or ()) for lines in (up_front_lines, held_lines, pressing_lines))
    return Supply(up_front, held, pressing, int(lot))


def _must_have_lines(held_lines: Any, pressing_lines: Any, when: str) -> None:
    for name, lines in (("held_lines", held_lines), ("pressing_lines", pressing_lines)):
        if not lines:
            raise RangeError(name, "", f"it must be given {when}: rows of cost lines, as for RUN_COST")
