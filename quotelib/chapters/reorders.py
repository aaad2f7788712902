"""Reorders: how much to order or make each time, where demand is even over the year.

    yearly cost = buying + ordering + holding + waiting
    ordering    = order cost x annual pieces / order
    holding     = (holding rate x price + storage cost) x pieces in stock on average
    waiting     = backorder cost x pieces owed on average, where customers may be made to wait

An order may be bought, delivered at once, or made in the shop at a finite rate while it is used.  Price breaks are the
table of BUY_COST: all units, or incremental.  Best orders are whole pieces and exact; of orders that cost the same, the
smallest.  Where demand differs from period to period, see lots.py.
"""

import math
from itertools import pairwise
from typing import NamedTuple

from quotelib.chapters.buying import buy_cost
from quotelib.chapters.series import in_rows
from quotelib.elementwise import TIE
from quotelib.errors import NoSolution, RangeError
from quotelib.kinds import (
    ANNUAL_OUTPUT,
    PIECES,
    POSITIVE_MONEY,
    AnnualOutput,
    AnnualPieces,
    AnnualRate,
    Breaks,
    Cells,
    Flag,
    HoldingCost,
    Money,
    OrderSizes,
    Pieces,
    PositiveMoney,
    Quantity,
    StorageCost,
    TableRows,
)
from quotelib.registry import sheet_function

AT_ONCE = ANNUAL_OUTPUT.most
"""The output that stands for an order delivered at once."""

NEVER_WAIT = POSITIVE_MONEY.most
"""The backorder cost that stands for customers who are never made to wait."""


class Reorder(NamedTuple):
    """What decides an order: the demand, and what ordering, holding and waiting cost."""

    annual_pieces: float
    order_cost: float
    breaks: Breaks
    holding_rate: float = 0.0
    storage_cost: float = 0.0
    incremental: bool = False
    annual_output: float = AT_ONCE
    backorder_cost: float = NEVER_WAIT

    def costs(self, order: float) -> "OrderCosts":
        """What an order of that size comes to in a year."""
        least = self.breaks[0][0]
        if order < least:
            raise RangeError("order", order, f"it must be {least:.12g} or more, where the prices begin [pieces]")
        bought = buy_cost.body(order, self.breaks, self.incremental)
        holding = self.holding_rate * bought / order + self.storage_cost
        kept = _kept_share(holding, self.backorder_cost)
        highest = order * _build_up_share(self.annual_pieces, self.annual_output)
        cycles = self.annual_pieces / order
        held = holding * kept * kept * highest / 2
        owed = 0.0 if kept == 1 else self.backorder_cost * (1 - kept) ** 2 * highest / 2
        buying, ordering = cycles * bought, cycles * self.order_cost
        total = buying + ordering + held + owed
        return OrderCosts(cycles, buying, ordering, held, owed, total, highest * kept, highest * (1 - kept))

    def best_in_bands(self) -> "list[BandOrder]":
        """The best whole order in each price band; bands without a whole quantity are left out."""
        found = []
        paid_ahead = 0.0
        for (start, price), (end, next_price) in pairwise([*self.breaks, (math.inf, 0.0)]):
            first, last = max(math.ceil(start), 1), math.ceil(min(end, PIECES.most + 1)) - 1
            if first <= last:
                ahead = paid_ahead if self.incremental else 0.0
                order = self._best_between(first, last, price, ahead)
                found.append(BandOrder(start, price, order, self.costs(order).total))
            paid_ahead += end * (price - next_price) if end < math.inf else 0.0
        if not found:
            raise NoSolution("breaks", self.breaks[0][0], f"there is no order from there to {PIECES.most:g} pieces")
        return found

    def best(self) -> int:
        """The whole order that costs the least in a year; of equals, the smallest."""
        bands = self.best_in_bands()
        lowest = min(band.yearly_cost for band in bands) * (1 + TIE)
        return next(band.order for band in bands if band.yearly_cost <= lowest)

    def _best_between(self, first: int, last: int, price: float, ahead: float) -> int:
        """The first whole order, from `first` to `last` in one price band, that a further piece does not improve.

        An order of q costs `ahead` + price x q there.  A further piece saves (order cost + ahead) x demand / (q (q + 1)),
        and adds holding and waiting.  What it saves times q (q + 1) stays the same and what it adds times q (q + 1) only
        grows, so the one place where they meet is found by halving, with no two costs subtracted from each other.
        """
        slope, level = self.holding_rate * price + self.storage_cost, self.holding_rate * ahead
        saved = (self.order_cost + ahead) * self.annual_pieces
        half = _build_up_share(self.annual_pieces, self.annual_output) / 2
        wait = self.backorder_cost

        def settled(order: int) -> bool:
            added = slope * order * (order + 1.0)
            if wait < NEVER_WAIT:
                steep = slope + wait
                bend = (steep + level / order) * (steep + level / (order + 1.0))
                added = wait / steep * (added + wait * level * level / bend)
            return half * added >= saved * (1 - TIE)

        if not settled(last):
            if last == PIECES.most:
                raise NoSolution("order_cost", self.order_cost, f"the best order is more than {PIECES.most:g} pieces")
            return last
        while first < last:
            middle = (first + last) // 2
            if settled(middle):
                last = middle
            else:
                first = middle + 1
        return first


class OrderCosts(NamedTuple):
    """What an order comes to in a year."""

    orders: float
    buying: float
    ordering: float
    holding: float
    waiting: float
    total: float
    most_in_stock: float
    most_owed: float


class BandOrder(NamedTuple):
    """The best order in one price band."""

    start: float
    price: float
    order: int
    yearly_cost: float


@sheet_function("Reorders", one_by_one=True)
def economic_order_quantity(
    annual_pieces: AnnualPieces,
    order_cost: PositiveMoney,
    holding_cost: HoldingCost,
    annual_output: AnnualOutput = AT_ONCE,
    backorder_cost: PositiveMoney = NEVER_WAIT,
) -> Quantity:
    """Order that costs the least at one price, by the square root of the textbook.

    Parameters
    ----------
    annual_pieces : more than 0, up to 1e9 [pieces/year]
        Pieces used or sold in a year, evenly.
    order_cost : more than 0, up to 1e12 [currency]
        What one order costs whatever its size: paperwork, receiving, or set-up of the run.
    holding_cost : more than 0, up to 1e12 [currency/piece/year]
        Cost of keeping a piece for a year: the price times a yearly rate, and storage.
    annual_output : more than 0, up to 1e12 [pieces/year], no limit if left out
        Pieces a year that come in while an order is being made, the economic production quantity; more than is used.
    backorder_cost : more than 0, up to 1e12 [currency], no limit if left out
        Cost of a piece that customers wait for, for a year of waiting; left out, nobody waits.

    Returns
    -------
    quantity [units]
        Pieces to order, not rounded; for whole pieces and price breaks use BEST_ORDER.

    Notes
    -----
    sqrt(2 K D / (h (1 - D / P))) x sqrt((h + b) / b), with K order cost, D annual pieces, h holding cost, P annual output
    and b backorder cost.

    References
    ----------
    F. W. Harris, How many parts to make at once, Factory 10 (1913); with a finite production rate, E. W. Taft (1918); with
    planned backorders, any inventory text.

    Examples
    --------
    >>> economic_order_quantity(1000, 10, 0.5)
    200.0
    >>> economic_order_quantity(1300, 8, 0.225, 1700)
    626.80849
    """
    per_piece = holding_cost * _build_up_share(annual_pieces, annual_output) * _kept_share(holding_cost, backorder_cost)
    return math.sqrt(2 * order_cost * annual_pieces / per_piece)


@sheet_function("Reorders", one_by_one=True)
def yearly_order_cost(
    order: Quantity,
    annual_pieces: AnnualPieces,
    order_cost: PositiveMoney,
    breaks: Breaks,
    holding_rate: AnnualRate = 0.0,
    storage_cost: StorageCost = 0.0,
    incremental: Flag = False,
    annual_output: AnnualOutput = AT_ONCE,
    backorder_cost: PositiveMoney = NEVER_WAIT,
) -> Money:
    """What a year of orders of one size costs: buying, ordering, holding and waiting.

    Parameters
    ----------
    order : more than 0, up to 1e12 [units]
        Pieces of each order.
    annual_pieces : more than 0, up to 1e9 [pieces/year]
        Pieces used or sold in a year, evenly.
    order_cost : more than 0, up to 1e12 [currency]
        What one order costs whatever its size: paperwork, receiving, or set-up of the run.
    breaks : rows of from quantity, price; from quantity growing from row to row
        One row for each price, as for BUY_COST; one row from 0 where there is one price. Nothing smaller than the first
        from-quantity can be ordered.
    holding_rate : 0 to 1 [fraction/year], 0 if left out
        Cost of holding for a year, as a share of the price paid.
    storage_cost : 0 to 1e12 [currency/piece/year], 0 if left out
        Cost of holding a piece for a year that does not go with the price, such as its place.
    incremental : TRUE or FALSE, FALSE if left out
        FALSE where the price reached holds for the whole order; TRUE where each price holds only for its own stretch.
    annual_output : more than 0, up to 1e12 [pieces/year], no limit if left out
        Pieces a year that come in while an order is being made; more than is used. Left out, an order comes at once.
    backorder_cost : more than 0, up to 1e12 [currency], no limit if left out
        Cost of a piece that customers wait for, for a year of waiting; left out, nobody waits.

    Returns
    -------
    money [currency]
        Cost of a year, not rounded.

    Raises
    ------
    RangeError
        Where the order is below the first from-quantity, or the output does not exceed the demand.

    Notes
    -----
    With incremental breaks the price that the holding rate counts is the average of the order.  Where customers may wait,
    they do for the share of pieces that costs least.

    References
    ----------
    Total annual cost of the economic order quantity with quantity discounts, any operations text; incremental: G. Hadley
    and T. M. Whitin, Analysis of Inventory Systems (1963).

    Examples
    --------
    >>> yearly_order_cost(200, 800, 60, [[1, 53], [50, 51.5], [100, 49.5], [200, 48], [500, 47]], 0.3)
    40080.0
    """
    terms = Reorder(
        annual_pieces, order_cost, breaks, holding_rate, storage_cost, incremental, annual_output, backorder_cost
    )
    return terms.costs(order).total


@sheet_function("Reorders", one_by_one=True)
def order_costs(
    orders: OrderSizes,
    annual_pieces: AnnualPieces,
    order_cost: PositiveMoney,
    breaks: Breaks,
    holding_rate: AnnualRate = 0.0,
    storage_cost: StorageCost = 0.0,
    incremental: Flag = False,
    annual_output: AnnualOutput = AT_ONCE,
    backorder_cost: PositiveMoney = NEVER_WAIT,
) -> Cells:
    """What a year costs at several order sizes, opened into its parts: a row for each size.

    Parameters
    ----------
    orders : one row or column of up to 1000 cells, each more than 0, up to 1e12 [pieces]
        Sizes of order to compare.
    annual_pieces : more than 0, up to 1e9 [pieces/year]
        Pieces used or sold in a year, evenly.
    order_cost : more than 0, up to 1e12 [currency]
        What one order costs whatever its size: paperwork, receiving, or set-up of the run.
    breaks : rows of from quantity, price; from quantity growing from row to row
        One row for each price, as for BUY_COST; one row from 0 where there is one price.
    holding_rate : 0 to 1 [fraction/year], 0 if left out
        Cost of holding for a year, as a share of the price paid.
    storage_cost : 0 to 1e12 [currency/piece/year], 0 if left out
        Cost of holding a piece for a year that does not go with the price, such as its place.
    incremental : TRUE or FALSE, FALSE if left out
        FALSE where the price reached holds for the whole order; TRUE where each price holds only for its own stretch.
    annual_output : more than 0, up to 1e12 [pieces/year], no limit if left out
        Pieces a year that come in while an order is being made; more than is used. Left out, an order comes at once.
    backorder_cost : more than 0, up to 1e12 [currency], no limit if left out
        Cost of a piece that customers wait for, for a year of waiting; left out, nobody waits.

    Returns
    -------
    cells
        Each row: orders a year, buying, ordering, holding, waiting, total, most pieces in stock, most pieces owed.

    Raises
    ------
    RangeError
        Where an order is below the first from-quantity, or the output does not exceed the demand.

    References
    ----------
    The parts of YEARLY_ORDER_COST, with its sources.

    Examples
    --------
    >>> order_costs([200], 1000, 10, [[0, 2.5]], 0, 0.5)
    ((5.0, 2500.0, 50.0, 50.0, 0.0, 2600.0, 200.0, 0.0),)
    """
    terms = Reorder(
        annual_pieces, order_cost, breaks, holding_rate, storage_cost, incremental, annual_output, backorder_cost
    )
    return tuple(tuple(terms.costs(order)) for order in orders)


@sheet_function("Reorders", one_by_one=True)
def best_order(
    annual_pieces: AnnualPieces,
    order_cost: PositiveMoney,
    breaks: Breaks,
    holding_rate: AnnualRate = 0.0,
    storage_cost: StorageCost = 0.0,
    incremental: Flag = False,
    annual_output: AnnualOutput = AT_ONCE,
    backorder_cost: PositiveMoney = NEVER_WAIT,
) -> Pieces:
    """Whole pieces to order each time, so that a year costs the least, price breaks included.

    Parameters
    ----------
    annual_pieces : more than 0, up to 1e9 [pieces/year]
        Pieces used or sold in a year, evenly.
    order_cost : more than 0, up to 1e12 [currency]
        What one order costs whatever its size: paperwork, receiving, or set-up of the run.
    breaks : rows of from quantity, price; from quantity growing from row to row
        One row for each price, as for BUY_COST; one row from 0 where there is one price. Nothing smaller than the first
        from-quantity can be ordered.
    holding_rate : 0 to 1 [fraction/year], 0 if left out
        Cost of holding for a year, as a share of the price paid.
    storage_cost : 0 to 1e12 [currency/piece/year], 0 if left out
        Cost of holding a piece for a year that does not go with the price, such as its place.
    incremental : TRUE or FALSE, FALSE if left out
        FALSE where the price reached holds for the whole order; TRUE where each price holds only for its own stretch.
    annual_output : more than 0, up to 1e12 [pieces/year], no limit if left out
        Pieces a year that come in while an order is being made; more than is used. Left out, an order comes at once.
    backorder_cost : more than 0, up to 1e12 [currency], no limit if left out
        Cost of a piece that customers wait for, for a year of waiting; left out, nobody waits.

    Returns
    -------
    pieces [pieces]
        The exact best of all whole orders; of orders that cost the same, the smallest.

    Raises
    ------
    NoSolution
        Where holding costs nothing, so that no order is too large.
    RangeError
        Where the output does not exceed the demand, or incremental prices rise while customers may wait.

    Notes
    -----
    The best whole order of each price band is compared; BAND_ORDERS shows them.

    References
    ----------
    Economic order quantity with all-units and incremental discounts, any operations text; whole pieces by the first order
    that a further piece does not improve, order x (order + 1) >= 2 K D / h.

    Examples
    --------
    >>> best_order(800, 60, [[1, 53], [50, 51.5], [100, 49.5], [200, 48], [500, 47]], 0.3)
    200
    >>> best_order(800, 60, [[1, 53]])
    Traceback (most recent call last):
    quotelib.errors.NoSolution: holding_rate is 0; no order is too large; it or storage_cost must be more than 0
    """
    terms = Reorder(
        annual_pieces, order_cost, breaks, holding_rate, storage_cost, incremental, annual_output, backorder_cost
    )
    return _decidable(terms).best()


@sheet_function("Reorders", one_by_one=True)
def band_orders(
    annual_pieces: AnnualPieces,
    order_cost: PositiveMoney,
    breaks: Breaks,
    holding_rate: AnnualRate = 0.0,
    storage_cost: StorageCost = 0.0,
    incremental: Flag = False,
    annual_output: AnnualOutput = AT_ONCE,
    backorder_cost: PositiveMoney = NEVER_WAIT,
    rows: TableRows = None,
) -> Cells:
    """Best whole order within each price band, and what a year costs with it: why BEST_ORDER is what it is.

    Parameters
    ----------
    annual_pieces : more than 0, up to 1e9 [pieces/year]
        Pieces used or sold in a year, evenly.
    order_cost : more than 0, up to 1e12 [currency]
        What one order costs whatever its size: paperwork, receiving, or set-up of the run.
    breaks : rows of from quantity, price; from quantity growing from row to row
        One row for each price, as for BUY_COST; one row from 0 where there is one price.
    holding_rate : 0 to 1 [fraction/year], 0 if left out
        Cost of holding for a year, as a share of the price paid.
    storage_cost : 0 to 1e12 [currency/piece/year], 0 if left out
        Cost of holding a piece for a year that does not go with the price, such as its place.
    incremental : TRUE or FALSE, FALSE if left out
        FALSE where the price reached holds for the whole order; TRUE where each price holds only for its own stretch.
    annual_output : more than 0, up to 1e12 [pieces/year], no limit if left out
        Pieces a year that come in while an order is being made; more than is used. Left out, an order comes at once.
    backorder_cost : more than 0, up to 1e12 [currency], no limit if left out
        Cost of a piece that customers wait for, for a year of waiting; left out, nobody waits.
    rows : whole, 1 to 1000 [rows], one for each band if left out
        Rows there is room for.

    Returns
    -------
    cells
        Each row: from quantity and price of the band, the best order in it, the cost of a year. Blank rows after them.

    Raises
    ------
    NoSolution
        Where holding costs nothing, so that no order is too large.
    RangeError
        Where the output does not exceed the demand, or there are more bands than rows.

    References
    ----------
    As for BEST_ORDER.

    Examples
    --------
    >>> band_orders(800, 60, [[1, 53], [100, 49.5], [200, 48]], 0.3)
    ((1.0, 53.0, 78.0, 43635.485), (100.0, 49.5, 100.0, 40822.5), (200.0, 48.0, 200.0, 40080.0))
    """
    terms = Reorder(
        annual_pieces, order_cost, breaks, holding_rate, storage_cost, incremental, annual_output, backorder_cost
    )
    return in_rows(
        [(start, price, float(order), cost) for start, price, order, cost in _decidable(terms).best_in_bands()], rows
    )


def _decidable(terms: Reorder) -> Reorder:
    """The terms, refused where they have no best order, or one that cannot be found exactly."""
    if terms.holding_rate == 0 and terms.storage_cost == 0:
        raise NoSolution("holding_rate", 0.0, "no order is too large; it or storage_cost must be more than 0")
    if terms.incremental and terms.backorder_cost < NEVER_WAIT:
        for (_, price), (start, higher) in pairwise(terms.breaks):
            if higher > price:
                raise RangeError(
                    f"breaks price from {start:.12g}", higher,
                    f"it must not exceed the price before it ({price:.12g}) with incremental breaks while customers wait",
                )  # fmt: skip
    return terms


def _build_up_share(annual_pieces: float, annual_output: float) -> float:
    """Share of an order that is in stock when the last of it has come in."""
    if annual_output == AT_ONCE:
        return 1.0
    if annual_output <= annual_pieces:
        raise RangeError(
            "annual_output", annual_output, f"it must be more than annual_pieces ({annual_pieces:.12g}) [pieces/year]"
        )
    return 1 - annual_pieces / annual_output


def _kept_share(holding_cost: float, backorder_cost: float) -> float:
    """Share of the highest stock that is kept where customers may wait for the rest: b / (h + b)."""
    return 1.0 if backorder_cost == NEVER_WAIT else backorder_cost / (holding_cost + backorder_cost)
