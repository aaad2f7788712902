"""Lot sizes: when to order or make how much, where the demand of each period is known.

    cost of a plan = setup cost of each period with a lot + unit cost x lot + holding cost x stock at the end of each period

WAGNER_WHITIN_LOTS is the exact best plan; SILVER_MEAL_LOTS is the rule of thumb beside it, and SILVER_MEAL_EXTRA says what
it costs more.  LOTS_COST prices any plan, one's own too.  A unit cost may differ from period to period, but not with the
size of the lot: for price breaks, see BEST_ORDER.
"""

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from quotelib.chapters.series import in_rows, one_for_each
from quotelib.elementwise import TIE
from quotelib.errors import RangeError
from quotelib.kinds import Cells, LotSeries, Money, PeriodCosts, PeriodDemands, PieceCount, TableRows
from quotelib.registry import sheet_function

SLACK = 1e-9
"""A stock is short only by more than this share of what was asked for so far: less is binary noise."""


class Costs(NamedTuple):
    """Setup cost of a lot, cost of holding a piece to the end of the period, and cost of a piece, for each period."""

    setup: tuple[float, ...]
    holding: tuple[float, ...]
    unit: tuple[float, ...]

    @classmethod
    def of(cls, periods: int, setup: Sequence[float], holding: Sequence[float], unit: Sequence[float] | None) -> "Costs":
        """The costs for so many periods, each given once or for each period."""
        return cls(
            one_for_each("setup_costs", setup, periods),
            one_for_each("holding_costs", holding, periods),
            one_for_each("unit_costs", (0.0,) if unit is None else unit, periods),
        )

    def of_plan(self, lots: Sequence[float], stocks: Sequence[float]) -> float:
        """What a plan costs, with its stocks at the end of each period."""
        periods = zip(lots, stocks, self.setup, self.holding, self.unit, strict=True)
        return sum((setup if lot else 0.0) + unit * lot + holding * stock for lot, stock, setup, holding, unit in periods)


def best_lots(needs: Sequence[float], costs: Costs) -> list[float]:
    """The lots that cost the least; of plans that cost the same, one of them.

    Wagner and Whitin: in some best plan a lot covers the needs of whole periods up to the next lot.  `least[t]` is the
    least cost of the first t periods, and `covering[s]` what they cost where the last lot is that of period s: each further
    period adds its need, carried from s.  Only sums of costs are formed, so nothing is lost between large and small ones.
    """
    least, began = [0.0], []
    covering: list[float] = []
    carried: list[float] = []
    for period, need in enumerate(needs):
        if period:
            kept = costs.holding[period - 1]
            carried = [cost + kept for cost in carried]
        carried.append(costs.unit[period])
        covering.append(least[-1] + costs.setup[period])
        if need:
            covering = [cost + each * need for cost, each in zip(covering, carried, strict=True)]
            least.append(min(covering))
            began.append(covering.index(least[-1]))
        else:
            least.append(least[-1])
            began.append(-1)
    lots = [0.0] * len(needs)
    period = len(needs) - 1
    while period >= 0:
        start = began[period]
        if start >= 0:
            lots[start] = sum(needs[start : period + 1])
            period = start
        period -= 1
    return lots


def rule_of_thumb_lots(needs: Sequence[float], costs: Costs) -> list[float]:
    """Lots by Silver and Meal: each covers needs until the cost of setup and holding per period covered first rises.

    Periods without need belong to the lot before them: the cost per period is looked at only where a need comes, over the
    periods up to the next.  Looked at in each period it would seem to fall while nothing is needed, and lots would be too
    small.
    """
    lots = [0.0] * len(needs)
    wanted = [period for period, need in enumerate(needs) if need]
    start = -1
    cost = 0.0
    for period, after in pairwise([*wanted, len(needs)]):
        longer = cost + sum(costs.holding[start:period]) * needs[period]
        if start < 0 or longer * (period - start) > cost * (after - start) * (1 + TIE):
            start, longer = period, costs.setup[period]
        cost = longer
        lots[start] += needs[period]
    return lots


def needs_of(demands: Sequence[float], starting_stock: float, final_stock: float) -> list[float]:
    """What lots have to bring for each period: the demand, less the stock there is, and the stock wanted at the end."""
    wanted = [*demands[:-1], demands[-1] + final_stock]
    needs = []
    for demand in wanted:
        from_stock = min(demand, starting_stock)
        starting_stock -= from_stock
        needs.append(demand - from_stock)
    return needs


def stocks_of(lots: Sequence[float], demands: Sequence[float], starting_stock: float) -> list[float]:
    """Pieces in stock at the end of each period; a plan that runs out is refused."""
    if len(lots) > len(demands):
        raise RangeError("lots", f"{len(lots)} cells", f"it must be no more than the periods of demands: {len(demands)}")
    stocks = []
    supply, asked = starting_stock, 0.0
    for period, demand in enumerate(demands):
        supply += lots[period] if period < len(lots) else 0.0
        asked += demand
        if supply < asked * (1 - SLACK):
            raise RangeError(
                "lots", f"{supply - starting_stock:.12g} up to period {period + 1}",
                f"with starting_stock it must be {asked:.12g} or more [pieces]",
            )  # fmt: skip
        stocks.append(max(supply - asked, 0.0))
    return stocks


def _plan_cost(lots: Sequence[float], demands: Sequence[float], starting_stock: float, costs: Costs) -> float:
    padded = [*lots, *(0.0 for _ in range(len(demands) - len(lots)))]
    return costs.of_plan(padded, stocks_of(lots, demands, starting_stock))


@sheet_function("Lot sizes", one_by_one=True)
def wagner_whitin_lots(
    demands: PeriodDemands,
    setup_costs: PeriodCosts,
    holding_costs: PeriodCosts,
    unit_costs: PeriodCosts = None,
    starting_stock: PieceCount = 0.0,
    final_stock: PieceCount = 0.0,
    rows: TableRows = None,
) -> Cells:
    """Lot of each period in the plan that costs the least, exactly.

    Parameters
    ----------
    demands : one row or column of up to 1000 cells, each 0 to 1e9 [pieces]
        Pieces asked for in each period.
    setup_costs : one row or column of up to 1000 cells, each 0 to 1e12 [currency]
        Cost of a lot whatever its size: one cell, or one for each period.
    holding_costs : one row or column of up to 1000 cells, each 0 to 1e12 [currency]
        Cost of a piece in stock at the end of a period: one cell, or one for each period.
    unit_costs : one row or column of up to 1000 cells, each 0 to 1e12 [currency], 0 if left out
        Cost of a piece made or bought in a period: one cell, or one for each period.
    starting_stock : 0 to 1e9 [pieces], 0 if left out
        Pieces in stock before the first period; they are used first.
    final_stock : 0 to 1e9 [pieces], 0 if left out
        Pieces that have to be in stock at the end of the last period.
    rows : whole, 1 to 1000 [rows], one for each period if left out
        Rows there is room for.

    Returns
    -------
    cells
        A column: the lot of each period, at its beginning; 0 where there is none. Blank rows after them.

    Notes
    -----
    A unit cost does not depend on the size of the lot; price breaks are not read here.  Of plans that cost the same, one of
    them: compare costs, not lots.  LOTS_COST gives the cost, LOTS_STOCK the stock.

    References
    ----------
    H. M. Wagner and T. M. Whitin, Dynamic version of the economic lot size model, Management Science 5 (1958), 89-96.

    Examples
    --------
    >>> wagner_whitin_lots([18, 30, 42, 5, 20], 80, 2)
    ((48.0,), (0.0,), (67.0,), (0.0,), (0.0,))
    """
    costs = Costs.of(len(demands), setup_costs, holding_costs, unit_costs)
    return in_rows([(lot,) for lot in best_lots(needs_of(demands, starting_stock, final_stock), costs)], rows)


@sheet_function("Lot sizes", one_by_one=True)
def silver_meal_lots(
    demands: PeriodDemands,
    setup_costs: PeriodCosts,
    holding_costs: PeriodCosts,
    starting_stock: PieceCount = 0.0,
    final_stock: PieceCount = 0.0,
    rows: TableRows = None,
) -> Cells:
    """Lot of each period by the rule of thumb of Silver and Meal.

    Parameters
    ----------
    demands : one row or column of up to 1000 cells, each 0 to 1e9 [pieces]
        Pieces asked for in each period.
    setup_costs : one row or column of up to 1000 cells, each 0 to 1e12 [currency]
        Cost of a lot whatever its size: one cell, or one for each period.
    holding_costs : one row or column of up to 1000 cells, each 0 to 1e12 [currency]
        Cost of a piece in stock at the end of a period: one cell, or one for each period.
    starting_stock : 0 to 1e9 [pieces], 0 if left out
        Pieces in stock before the first period; they are used first.
    final_stock : 0 to 1e9 [pieces], 0 if left out
        Pieces that have to be in stock at the end of the last period.
    rows : whole, 1 to 1000 [rows], one for each period if left out
        Rows there is room for.

    Returns
    -------
    cells
        A column: the lot of each period, at its beginning; 0 where there is none. Blank rows after them.

    Notes
    -----
    A lot covers one demand more while that does not raise setup and holding cost per period covered.  A lot lasts until the
    next period with demand, and never begins in one without.  The rule looks at no unit costs.

    References
    ----------
    E. A. Silver and H. C. Meal, A heuristic for selecting lot size quantities, Production and Inventory Management 14
    (1973), 64-74.

    Examples
    --------
    >>> silver_meal_lots([18, 30, 42, 5, 20], 80, 2)
    ((48.0,), (0.0,), (47.0,), (0.0,), (20.0,))
    """
    costs = Costs.of(len(demands), setup_costs, holding_costs, None)
    return in_rows([(lot,) for lot in rule_of_thumb_lots(needs_of(demands, starting_stock, final_stock), costs)], rows)


@sheet_function("Lot sizes", one_by_one=True)
def silver_meal_extra(
    demands: PeriodDemands,
    setup_costs: PeriodCosts,
    holding_costs: PeriodCosts,
    unit_costs: PeriodCosts = None,
    starting_stock: PieceCount = 0.0,
    final_stock: PieceCount = 0.0,
) -> Cells:
    """What the rule of thumb of Silver and Meal costs more than the best plan.

    Parameters
    ----------
    demands : one row or column of up to 1000 cells, each 0 to 1e9 [pieces]
        Pieces asked for in each period.
    setup_costs : one row or column of up to 1000 cells, each 0 to 1e12 [currency]
        Cost of a lot whatever its size: one cell, or one for each period.
    holding_costs : one row or column of up to 1000 cells, each 0 to 1e12 [currency]
        Cost of a piece in stock at the end of a period: one cell, or one for each period.
    unit_costs : one row or column of up to 1000 cells, each 0 to 1e12 [currency], 0 if left out
        Cost of a piece made or bought in a period: one cell, or one for each period.
    starting_stock : 0 to 1e9 [pieces], 0 if left out
        Pieces in stock before the first period; they are used first.
    final_stock : 0 to 1e9 [pieces], 0 if left out
        Pieces that have to be in stock at the end of the last period.

    Returns
    -------
    cells
        One row: cost of the best plan, cost by the rule, what the rule costs more, and that as a share of the best plan.

    References
    ----------
    The costs of WAGNER_WHITIN_LOTS and SILVER_MEAL_LOTS, with their sources.

    Examples
    --------
    >>> silver_meal_extra([18, 30, 42, 5, 20], 80, 2)
    ((310.0, 310.0, 0.0, 0.0),)
    >>> silver_meal_extra([10, 40, 30], 50, 1)
    ((130.0, 140.0, 10.0, 0.0769231),)
    """
    costs = Costs.of(len(demands), setup_costs, holding_costs, unit_costs)
    needs = needs_of(demands, starting_stock, final_stock)
    best, by_rule = (
        _plan_cost(lots(needs, costs), demands, starting_stock, costs) for lots in (best_lots, rule_of_thumb_lots)
    )
    extra = max(by_rule - best, 0.0)
    return ((best, by_rule, extra, extra / best if best else 0.0),)


@sheet_function("Lot sizes", one_by_one=True)
def lots_cost(
    lots: LotSeries,
    demands: PeriodDemands,
    setup_costs: PeriodCosts,
    holding_costs: PeriodCosts,
    unit_costs: PeriodCosts = None,
    starting_stock: PieceCount = 0.0,
) -> Money:
    """Cost of a plan of lots: setups, pieces, and stock at the end of each period.

    Parameters
    ----------
    lots : one row or column of up to 1000 cells, each 0 to 1e12 [pieces]
        Lot of each period, at its beginning; 0 for none. Periods left out at the end have none.
    demands : one row or column of up to 1000 cells, each 0 to 1e9 [pieces]
        Pieces asked for in each period.
    setup_costs : one row or column of up to 1000 cells, each 0 to 1e12 [currency]
        Cost of a lot whatever its size: one cell, or one for each period.
    holding_costs : one row or column of up to 1000 cells, each 0 to 1e12 [currency]
        Cost of a piece in stock at the end of a period, the last one included: one cell, or one for each period.
    unit_costs : one row or column of up to 1000 cells, each 0 to 1e12 [currency], 0 if left out
        Cost of a piece made or bought in a period: one cell, or one for each period.
    starting_stock : 0 to 1e9 [pieces], 0 if left out
        Pieces in stock before the first period.

    Returns
    -------
    money [currency]
        Cost of all periods, not rounded.

    Raises
    ------
    RangeError
        Where the plan runs out of pieces in some period.

    References
    ----------
    H. M. Wagner and T. M. Whitin, Dynamic version of the economic lot size model, Management Science 5 (1958), 89-96.

    Examples
    --------
    >>> lots_cost([48, 0, 47, 0, 20], [18, 30, 42, 5, 20], 80, 2)
    310.0
    >>> lots_cost([40, 0, 55, 0, 20], [18, 30, 42, 5, 20], 80, 2)
    Traceback (most recent call last):
    quotelib.errors.RangeError: lots is '40 up to period 2'; with starting_stock it must be 48 or more [pieces]
    """
    return _plan_cost(lots, demands, starting_stock, Costs.of(len(demands), setup_costs, holding_costs, unit_costs))


@sheet_function("Lot sizes", one_by_one=True)
def lots_stock(lots: LotSeries, demands: PeriodDemands, starting_stock: PieceCount = 0.0, rows: TableRows = None) -> Cells:
    """Stock at the end of each period of a plan of lots.

    Parameters
    ----------
    lots : one row or column of up to 1000 cells, each 0 to 1e12 [pieces]
        Lot of each period, at its beginning; 0 for none. Periods left out at the end have none.
    demands : one row or column of up to 1000 cells, each 0 to 1e9 [pieces]
        Pieces asked for in each period.
    starting_stock : 0 to 1e9 [pieces], 0 if left out
        Pieces in stock before the first period.
    rows : whole, 1 to 1000 [rows], one for each period if left out
        Rows there is room for.

    Returns
    -------
    cells
        A column: pieces in stock at the end of each period. Blank rows after them.

    Raises
    ------
    RangeError
        Where the plan runs out of pieces in some period.

    References
    ----------
    Stock before, plus the lot, less the demand; no source needed.

    Examples
    --------
    >>> lots_stock([48, 0, 47, 0, 20], [18, 30, 42, 5, 20])
    ((30.0,), (0.0,), (5.0,), (0.0,), (0.0,))
    """
    return in_rows([(stock,) for stock in stocks_of(lots, demands, starting_stock)], rows)
