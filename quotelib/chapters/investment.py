"""Investment: whether a press, a roller or a jig earns its price back, and whether to make transfers or buy them.

Cash flows stand in a row or a column: the first is now, the next a year from now, and so on; money out is negative.  A rate
is for a year (or for whatever time lies between the flows).

    net present value   = sum of flow / (1 + rate)^year, the first flow at its face value
    rate of return      = a rate at which that is zero: there may be none, one or several, and all are found

What these functions give is for deciding in a shop.  It is not accounting, tax or financial advice.
"""

import math
from collections.abc import Sequence
from itertools import accumulate, pairwise

from quotelib.chapters.breakeven import break_even_volume
from quotelib.chapters.curve import CostCurve
from quotelib.chapters.polynomial import LEAST, MOST, balance, zeros
from quotelib.chapters.series import in_rows
from quotelib.chapters.setup import annual_equivalent, to_recover
from quotelib.elementwise import TIE
from quotelib.errors import NoSolution, RangeError
from quotelib.kinds import (
    PIECES,
    AnnualPieces,
    AnnualRate,
    CashFlows,
    Cells,
    CostLines,
    Money,
    Payback,
    Pieces,
    PositiveMoney,
    RateOfReturn,
    Runs,
    SignedAmount,
    SignedMoney,
    TableRows,
    WholePieces,
    WholeYears,
    Years,
)
from quotelib.registry import sheet_function


@sheet_function("Investment")
def net_present_value(annual_rate: RateOfReturn, flows: CashFlows) -> SignedMoney:
    """Worth today of cash flows, the first of them now.

    Parameters
    ----------
    annual_rate : more than -1, up to 1e9 [fraction/year]
        Yearly rate that the money could earn elsewhere.
    flows : one row or column of up to 400 cells, each -1e12 to 1e12 [currency]
        Cash flows: the first is now, the next a year from now; money out is negative. Write 0 for a year without.

    Returns
    -------
    signed money [currency]
        Net present value, not rounded.

    Notes
    -----
    The spreadsheet's NPV discounts the first flow by a year: NET_PRESENT_VALUE(rate, flows) is first flow + NPV(rate, the
    others).

    References
    ----------
    Net present value, any engineering-economy text; numpy-financial's npv counts in the same way.

    Examples
    --------
    >>> net_present_value(0.06, [-500, 300, 200, 150])
    86.9610484
    """
    worth = 0.0 * annual_rate
    for flow in reversed(flows):
        worth = worth / (1 + annual_rate) + flow
    return worth


@sheet_function("Investment", one_by_one=True)
def cash_flow_table(flows: CashFlows, annual_rate: AnnualRate, rows: TableRows = None) -> Cells:
    """Cash flows opened up, year by year: what they are worth today and what they add up to.

    Parameters
    ----------
    flows : one row or column of up to 400 cells, each -1e12 to 1e12 [currency]
        Cash flows: the first is now, the next a year from now; money out is negative.
    annual_rate : 0 to 1 [fraction/year]
        Yearly rate that the money could earn elsewhere.
    rows : whole, 1 to 1000 [rows], one for each flow if left out
        Rows there is room for.

    Returns
    -------
    cells
        Each row: year, flow, its worth today, the flows so far, their worth today so far. Blank rows after them.

    References
    ----------
    The last cell of the last row is the net present value, any engineering-economy text.

    Examples
    --------
    >>> cash_flow_table([-100, 60, 60], 0.25)
    ((0.0, -100.0, -100.0, -100.0, -100.0), (1.0, 60.0, 48.0, -40.0, -52.0), (2.0, 60.0, 38.4, 20.0, -13.6))
    """
    today = _worth_today(flows, annual_rate)
    columns = (map(float, range(len(flows))), flows, today, accumulate(flows), accumulate(today))
    return in_rows(list(zip(*columns, strict=True)), rows)


@sheet_function("Investment", one_by_one=True)
def rates_of_return(flows: CashFlows, rows: TableRows = None) -> Cells:
    """Every internal rate of return of the cash flows: each rate at which their net present value is zero.

    Parameters
    ----------
    flows : one row or column of up to 400 cells, each -1e12 to 1e12 [currency]
        Cash flows: the first is now, the next a year from now; money out is negative.
    rows : whole, 1 to 1000 [rows], one for each rate if left out
        Rows there is room for.

    Returns
    -------
    cells
        Each row: a rate, then whether the net present value is positive or negative at rates just below it, and just above.
        Rates grow from row to row. Blank rows after them.

    Raises
    ------
    NoSolution
        Where no rate makes the net present value zero.

    Notes
    -----
    All real rates above -1 are found, up to 1e9 a year; the changes of sign of the flows say how many there can be at most
    (Descartes).  Where the net present value touches zero without crossing it, the sign is the same on both sides.  Rates
    so close that rounding hides what lies between them count as one.  With several rates none of them is the rate of return
    of the undertaking: go by NET_PRESENT_VALUE at the rate that the money costs.

    References
    ----------
    Internal rates of return as roots of a polynomial, and Descartes' rule of signs: any engineering-economy text.

    Examples
    --------
    >>> rates_of_return([-100, 230, -132])
    ((0.1, 'negative', 'positive'), (0.2, 'positive', 'negative'))
    >>> rates_of_return([100, -200, 150])
    Traceback (most recent call last):
    quotelib.errors.NoSolution: flows is '100, -200, 150'; no rate up to 1e9 makes their net present value 0: it is positive
    """
    rates = _rates_of_return(flows)
    factors = [1 / (1 + rate) for rate in rates]
    between = [math.sqrt(a * b) for a, b in pairwise([MOST, *factors, LEAST])]
    signs = ["positive" if balance(flows, factor)[0] > 0 else "negative" for factor in between]
    return in_rows(list(zip(rates, signs, signs[1:], strict=False)), rows)


@sheet_function("Investment", one_by_one=True)
def rate_of_return(flows: CashFlows) -> RateOfReturn:
    """The internal rate of return of cash flows that have just one.

    Parameters
    ----------
    flows : one row or column of up to 400 cells, each -1e12 to 1e12 [currency]
        Cash flows: the first is now, the next a year from now; money out is negative.

    Returns
    -------
    rate of return [fraction/year]
        The yearly rate at which the net present value is zero.

    Raises
    ------
    NoSolution
        Where there is no such rate, or more than one: the message names them all.

    References
    ----------
    Internal rate of return, any engineering-economy text.

    Examples
    --------
    >>> rate_of_return([-500, 300, 200, 150])
    0.1646
    >>> rate_of_return([-100, 230, -132])
    Traceback (most recent call last):
    quotelib.errors.NoSolution: flows is '-100, 230, -132'; they have 2 rates of return, 0.1 and 0.2, and none is the one
    """
    first, *others = _rates_of_return(flows)
    if others:
        shown = ", ".join(f"{rate:.6g}" for rate in [first, *others[:-1]]) + f" and {others[-1]:.6g}"
        raise NoSolution(
            "flows", _shown(flows),
            f"they have {1 + len(others)} rates of return, {shown}, and none is the one",
        )  # fmt: skip
    return first


@sheet_function("Investment", one_by_one=True)
def payback_years(flows: CashFlows, annual_rate: AnnualRate = 0.0) -> Payback:
    """Years until the money put in has come back, and stays so.

    Parameters
    ----------
    flows : one row or column of up to 400 cells, each -1e12 to 1e12 [currency]
        Cash flows: the first is now, the next a year from now; money out is negative.
    annual_rate : 0 to 1 [fraction/year], 0 if left out
        Yearly rate for the discounted payback; at 0 the simple payback.

    Returns
    -------
    payback [years]
        Years with their fraction, each year's flow taken as coming in evenly over it.

    Raises
    ------
    NoSolution
        Where the money has not come back at the end.

    Notes
    -----
    Whole years until the last one that ends short, and the shortfall over the next year's flow.  Payback says nothing of
    what comes after it.

    References
    ----------
    Payback and discounted payback, any finance text.

    Examples
    --------
    >>> payback_years([-500, 300, 200, 150])
    2.0
    >>> payback_years([-5200, 2800, 3700, 5100, 4300], 0.14)
    1.9637622
    """
    today = _worth_today(flows, annual_rate)
    noise = TIE * math.fsum(map(abs, today))
    balances = [0.0 if abs(balance) <= noise else balance for balance in accumulate(today)]
    short = [year for year, balance in enumerate(balances) if balance < 0]
    if not short:
        return 0.0
    last = short[-1]
    if last == len(flows) - 1:
        raise NoSolution("flows", _shown(flows), f"they never pay back: {-balances[-1]:.6g} is lacking at the end")
    return last + balances[last] / (balances[last] - balances[last + 1])


@sheet_function("Investment", one_by_one=True)
def annual_worth(flows: CashFlows, annual_rate: AnnualRate) -> SignedMoney:
    """The same amount in every year that is worth as much as the cash flows: what an investment earns or costs a year.

    Parameters
    ----------
    flows : one row or column of up to 400 cells, each -1e12 to 1e12 [currency]
        Cash flows: the first is now, the next a year from now, two at least; money out is negative.
    annual_rate : 0 to 1 [fraction/year]
        Yearly rate that the money could earn elsewhere.

    Returns
    -------
    signed money [currency]
        Amount at the end of each year, not rounded; for an outlay and a salvage value alone, minus ANNUAL_EQUIVALENT.

    Notes
    -----
    Net present value x (A/P, i, n), with n the years after now.  It lets investments of different lives be compared,
    if each would be made again and again.

    References
    ----------
    Annual worth, any engineering-economy text.

    Examples
    --------
    >>> annual_worth([-12000, 0, 0, 0, 0, 2000], 0.10)
    -2837.9748
    """
    if len(flows) < 2:
        raise RangeError("flows", _shown(flows), "it must be two cells at least: now, and a year from now")
    recovery = annual_equivalent.body(1.0, 0.0, len(flows) - 1, annual_rate)
    return net_present_value.body(annual_rate, flows) * recovery


@sheet_function("Investment", one_by_one=True)
def profitability_index(flows: CashFlows, annual_rate: AnnualRate) -> SignedAmount:
    """What comes back for each unit of money laid out now, in today's worth; it pays where this is more than 1.

    Parameters
    ----------
    flows : one row or column of up to 400 cells, each -1e12 to 1e12 [currency]
        Cash flows: the first is the outlay now, below 0; the next a year from now.
    annual_rate : 0 to 1 [fraction/year]
        Yearly rate that the money could earn elsewhere.

    Returns
    -------
    signed amount [units]
        Worth today of the later flows, over the outlay.

    References
    ----------
    Profitability index, any finance text.

    Examples
    --------
    >>> profitability_index([-500, 300, 200, 150], 0.06)
    1.1739221
    """
    outlay = -flows[0]
    if outlay <= 0:
        raise RangeError("flows cell 1", flows[0], "it must be an outlay, less than 0 [currency]")
    return (net_present_value.body(annual_rate, flows) + outlay) / outlay


@sheet_function("Investment", one_by_one=True)
def equipment_flows(
    cost: PositiveMoney,
    salvage: Money,
    years: WholeYears,
    annual_pieces: AnnualPieces,
    unit_now: Money,
    unit_with: Money,
    annual_running_cost: Money = 0.0,
    rows: TableRows = None,
) -> Cells:
    """Cash flows of a press, roller or jig that makes a piece cheaper: its price, what it saves each year, its salvage.

    Parameters
    ----------
    cost : more than 0, up to 1e12 [currency]
        Price paid now, installed.
    salvage : 0 to 1e12 [currency]
        What it still fetches at the end; not more than the cost.
    years : whole, 1 to 100 [years]
        Years it is kept.
    annual_pieces : more than 0, up to 1e9 [pieces/year]
        Pieces made in a year.
    unit_now : 0 to 1e12 [currency]
        Cost of a piece without it: what would no longer be spent.
    unit_with : 0 to 1e12 [currency]
        Cost of a piece with it, its own price and running cost left out.
    annual_running_cost : 0 to 1e12 [currency], 0 if left out
        Energy, upkeep and floor space for a year.
    rows : whole, 1 to 1000 [rows], one for each flow if left out
        Rows there is room for.

    Returns
    -------
    cells
        A column: now, then each year. Blank rows after them.

    References
    ----------
    Cash flows of a cost-saving investment, any engineering-economy text.

    Examples
    --------
    >>> equipment_flows(9000, 1000, 3, 8000, 1.5, 0.9, 400)
    ((-9000.0,), (4400.0,), (4400.0,), (5400.0,))
    """
    to_recover(cost, salvage)
    saved = annual_pieces * (unit_now - unit_with) - annual_running_cost
    later = [saved] * (int(years) - 1) + [saved + salvage]
    return in_rows([(flow,) for flow in (-cost, *later)], rows)


@sheet_function("Investment", one_by_one=True)
def equipment_saving(
    annual_pieces: AnnualPieces,
    cost: PositiveMoney,
    salvage: Money,
    years: Years,
    annual_rate: AnnualRate,
    unit_now: Money,
    unit_with: Money,
    annual_running_cost: Money = 0.0,
) -> SignedMoney:
    """What a press, roller or jig saves in a year over its own yearly cost; it pays where this is above 0.

    Parameters
    ----------
    annual_pieces : more than 0, up to 1e9 [pieces/year]
        Pieces made in a year.
    cost : more than 0, up to 1e12 [currency]
        Price paid now, installed.
    salvage : 0 to 1e12 [currency]
        What it still fetches at the end; not more than the cost.
    years : more than 0, up to 100 [years]
        Years it is kept.
    annual_rate : 0 to 1 [fraction/year]
        Yearly rate that the money could earn elsewhere.
    unit_now : 0 to 1e12 [currency]
        Cost of a piece without it: what would no longer be spent.
    unit_with : 0 to 1e12 [currency]
        Cost of a piece with it, its own price and running cost left out.
    annual_running_cost : 0 to 1e12 [currency], 0 if left out
        Energy, upkeep and floor space for a year.

    Returns
    -------
    signed money [currency]
        Pieces x (unit_now - unit_with), less ANNUAL_EQUIVALENT and the running cost; not rounded.

    References
    ----------
    Annual worth of a cost-saving investment, any engineering-economy text.

    Examples
    --------
    >>> equipment_saving(8000, 9000, 1000, 3, 0, 1.5, 0.9, 400)
    1733.3333
    """
    owned = annual_equivalent.body(cost, salvage, years, annual_rate) + annual_running_cost
    return annual_pieces * (unit_now - unit_with) - owned


@sheet_function("Investment", one_by_one=True)
def equipment_break_even(
    cost: PositiveMoney,
    salvage: Money,
    years: Years,
    annual_rate: AnnualRate,
    unit_now: Money,
    unit_with: Money,
    annual_running_cost: Money = 0.0,
) -> WholePieces:
    """Pieces a year from which a press, roller or jig pays.

    Parameters
    ----------
    cost : more than 0, up to 1e12 [currency]
        Price paid now, installed.
    salvage : 0 to 1e12 [currency]
        What it still fetches at the end; not more than the cost.
    years : more than 0, up to 100 [years]
        Years it is kept.
    annual_rate : 0 to 1 [fraction/year]
        Yearly rate that the money could earn elsewhere.
    unit_now : 0 to 1e12 [currency]
        Cost of a piece without it: what would no longer be spent.
    unit_with : 0 to 1e12 [currency]
        Cost of a piece with it, its own price and running cost left out.
    annual_running_cost : 0 to 1e12 [currency], 0 if left out
        Energy, upkeep and floor space for a year.

    Returns
    -------
    whole pieces [pieces]
        Smallest whole number of pieces a year that saves what it costs.

    Raises
    ------
    NoSolution
        Where a piece costs no less with it.

    References
    ----------
    Break-even volume F / (p - v), with the annual equivalent for F and the saving of a piece for p - v.

    Examples
    --------
    >>> equipment_break_even(9000, 1000, 3, 0, 1.5, 0.9, 400)
    5112
    """
    if unit_with >= unit_now:
        raise NoSolution("unit_with", unit_with, f"no volume pays; it must be less than unit_now ({unit_now:.12g})")
    owned = annual_equivalent.body(cost, salvage, years, annual_rate) + annual_running_cost
    return break_even_volume.body(owned, unit_now, unit_with)


@sheet_function("Investment", one_by_one=True)
def make_saving(
    order_pieces: Pieces, annual_orders: Runs, lines_make: CostLines, lines_buy: CostLines, annual_cost: Money = 0.0
) -> SignedMoney:
    """What making in the shop saves in a year over buying in; it pays where this is above 0.

    Parameters
    ----------
    order_pieces : whole, 1 to 1e9 [pieces]
        Good pieces of each order.
    annual_orders : whole, 1 to 1e6 [runs]
        Orders in a year.
    lines_make : rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate
        Cost lines of making, such as the route with transfers printed in the shop.
    lines_buy : rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate
        Cost lines of buying, such as the route with bought transfers.
    annual_cost : 0 to 1e12 [currency], 0 if left out
        What making costs for a year whatever the volume: ANNUAL_EQUIVALENT of a press and its running cost, so far as the
        lines of making do not charge them already.

    Returns
    -------
    signed money [currency]
        Orders x (cost bought - cost made), less the yearly cost; not rounded.

    References
    ----------
    Make or buy by relevant costs, any cost-accounting text.

    Examples
    --------
    Made: 300 to set up and 1 a piece; bought: 2 a piece.

    >>> make_saving(500, 12, [[1, "", "", "", 300], ["", 1, "", "", 1]], [["", 1, "", "", 2]], 1500)
    900.0
    """
    return annual_orders * _saved_by_making(order_pieces, lines_make, lines_buy) - annual_cost


@sheet_function("Investment", one_by_one=True)
def make_pays_from(order_pieces: Pieces, lines_make: CostLines, lines_buy: CostLines, annual_cost: Money) -> WholePieces:
    """Pieces a year, in whole orders of one size, from which making in the shop pays.

    Parameters
    ----------
    order_pieces : whole, 1 to 1e9 [pieces]
        Good pieces of each order.
    lines_make : rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate
        Cost lines of making, such as the route with transfers printed in the shop.
    lines_buy : rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate
        Cost lines of buying, such as the route with bought transfers.
    annual_cost : 0 to 1e12 [currency]
        What making costs for a year whatever the volume: ANNUAL_EQUIVALENT of a press and its running cost, so far as the
        lines of making do not charge them already.

    Returns
    -------
    whole pieces [pieces]
        Smallest number of orders that saves the yearly cost, times the pieces of each.

    Raises
    ------
    NoSolution
        Where an order of that size costs no less made than bought.

    References
    ----------
    Break-even volume F / (p - v), with the yearly cost for F and what an order saves for p - v.

    Examples
    --------
    >>> make_pays_from(500, [[1, "", "", "", 300], ["", 1, "", "", 1]], [["", 1, "", "", 2]], 1500)
    4000
    """
    saved = _saved_by_making(order_pieces, lines_make, lines_buy)
    if saved <= 0:
        raise NoSolution(
            "order_pieces", order_pieces, f"no volume pays: an order of that size costs {-saved:.6g} more made than bought"
        )
    orders = math.ceil(annual_cost / saved * (1 - TIE))
    if orders * order_pieces > PIECES.most:
        raise NoSolution("annual_cost", annual_cost, f"making pays only from more than {PIECES.most:g} pieces a year")
    return int(orders * order_pieces)


def _saved_by_making(order_pieces: float, lines_make: CostLines, lines_buy: CostLines) -> float:
    """What one order costs less made than bought; 0 where that is no more than binary noise."""
    bought, made = (float(CostCurve.from_rows(lines).run_cost(order_pieces)) for lines in (lines_buy, lines_make))
    return 0.0 if abs(bought - made) <= TIE * (abs(bought) + abs(made)) else bought - made


def _worth_today(flows: Sequence[float], annual_rate: float) -> list[float]:
    return [flow / (1 + annual_rate) ** year for year, flow in enumerate(flows)]


def _shown(flows: Sequence[float]) -> str:
    return ", ".join(f"{flow:.12g}" for flow in flows)


def _rates_of_return(flows: Sequence[float]) -> list[float]:
    """Every rate of return, ascending."""
    factors = zeros(flows)
    if not factors:
        worth = balance(flows, 1.0)[0] or math.fsum(map(abs, flows))
        if not worth:
            raise NoSolution("flows", _shown(flows), "their net present value is 0 at every rate; one must differ from 0")
        always = "positive" if worth > 0 else "negative"
        raise NoSolution("flows", _shown(flows), f"no rate up to 1e9 makes their net present value 0: it is {always}")
    return [(1 - factor) / factor for factor in reversed(factors)]
