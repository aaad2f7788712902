"""Buying: what bought-in transfers, blanks, film and ink cost at the quantity ordered.

A price break is a row of a from-quantity and the price from there on; each row holds until the next one begins.

    all units      the price reached holds for the whole order
    incremental    each price holds only for what lies between its own from-quantity and the next

With all-units breaks a larger order can cost less than a smaller one; CHEAPER_ORDER finds it.

A price list adds a code and days of validity to the breaks, so that an old quote can be priced again as it was.
"""

from bisect import bisect_right
from itertools import pairwise
from typing import Any, NamedTuple

from quotelib.elementwise import TIE
from quotelib.errors import LookupMiss, RangeError
from quotelib.kinds import (
    Amount,
    Breaks,
    Cells,
    Code,
    Day,
    DayKind,
    Flag,
    Money,
    PositiveMoney,
    PriceBands,
    PriceRows,
    Quantity,
    RowNumber,
    Rows,
    day_of,
)
from quotelib.registry import sheet_function


@sheet_function("Buying", one_by_one=True)
def price_at(quantity: Quantity, breaks: Breaks) -> PositiveMoney:
    """Price of each unit at the quantity ordered, the same price for the whole order.

    Parameters
    ----------
    quantity : more than 0, up to 1e12 [units]
        Units ordered, in the unit of the breaks.
    breaks : rows of from quantity, price; from quantity growing from row to row
        One row for each price: the quantity from which it holds, and the price of one unit.

    Returns
    -------
    price [currency]
        Price of one unit, as it stands in the breaks.

    Raises
    ------
    RangeError
        Where the quantity is below the first from-quantity.

    References
    ----------
    All-units quantity discount, any operations or inventory text.

    Examples
    --------
    >>> price_at(250, [[100, 0.62], [250, 0.48], [1000, 0.35]])
    0.48
    >>> price_at(60, [[100, 0.62], [250, 0.48], [1000, 0.35]])
    Traceback (most recent call last):
    quotelib.errors.RangeError: quantity is 60; it must be 100 or more, where the prices begin [units]
    """
    return _price(quantity, breaks)


@sheet_function("Buying", one_by_one=True)
def buy_cost(quantity: Quantity, breaks: Breaks, incremental: Flag = False, minimum_order: Amount = 0.0) -> Money:
    """Cost of buying a quantity at a list of price breaks.

    Parameters
    ----------
    quantity : more than 0, up to 1e12 [units]
        Units wanted, in the unit of the breaks.
    breaks : rows of from quantity, price; from quantity growing from row to row
        One row for each price: the quantity from which it holds, and the price of one unit.
    incremental : TRUE or FALSE, FALSE if left out
        FALSE charges the price reached for the whole order; TRUE charges each price only for the units between its own
        from-quantity and the next.
    minimum_order : 0 to 1e12 [units], 0 if left out
        Units paid for at least, however few are wanted.

    Returns
    -------
    money [currency]
        Cost of the order, not rounded.

    Raises
    ------
    RangeError
        Where the units paid for are below the first from-quantity.

    Notes
    -----
    Incremental breaks of 0, 400 and 800 charge the first price for the first 400 units, the second for the next 400, the
    third beyond.  Units below the first from-quantity are charged at the first price.

    References
    ----------
    All-units and incremental quantity discounts, any operations or inventory text.

    Examples
    --------
    >>> buy_cost(500, [[0, 0.75], [400, 0.72], [800, 0.68]])
    360.0
    >>> buy_cost(500, [[0, 0.75], [400, 0.72], [800, 0.68]], True)
    372.0
    >>> buy_cost(30, [[0, 0.75], [400, 0.72], [800, 0.68]], False, 100)
    75.0
    """
    return _order_cost(max(quantity, minimum_order), breaks, incremental)


@sheet_function("Buying", one_by_one=True)
def cheaper_order(quantity: Quantity, breaks: Breaks, incremental: Flag = False, minimum_order: Amount = 0.0) -> Quantity:
    """Quantity to order, at least the quantity wanted, that costs the least in total.

    Parameters
    ----------
    quantity : more than 0, up to 1e12 [units]
        Units wanted, in the unit of the breaks.
    breaks : rows of from quantity, price; from quantity growing from row to row
        One row for each price: the quantity from which it holds, and the price of one unit.
    incremental : TRUE or FALSE, FALSE if left out
        FALSE where the price reached holds for the whole order; TRUE where each price holds only for its own stretch, and
        ordering more never costs less.
    minimum_order : 0 to 1e12 [units], 0 if left out
        Units the supplier sells at least.

    Returns
    -------
    quantity [units]
        Units to order; of orders that cost the same, the smallest.

    Notes
    -----
    Within a band a larger order costs more, so only the quantity wanted and the from-quantities above it need comparing.
    An order is never less than the minimum or than the first from-quantity.  Storage and waste of the surplus are not
    counted.

    References
    ----------
    All-units quantity discount, any operations or inventory text: the cost falls at a break.

    Examples
    --------
    Two hundred at 4 cost less than 170 at 5:

    >>> cheaper_order(170, [[100, 5.0], [200, 4.0], [500, 3.0]])
    200.0
    """
    least = max(quantity, minimum_order, breaks[0][0])
    orders = [least, *(start for start, _ in breaks if start > least)]
    costs = [_order_cost(order, breaks, incremental) for order in orders]
    lowest = min(costs) * (1 + TIE)
    return next(order for order, cost in zip(orders, costs, strict=True) if cost <= lowest)


@sheet_function("Buying", one_by_one=True)
def price_on(code: Code, quantity: Amount, day: Day, price_rows: PriceRows) -> PositiveMoney:
    """Price of one unit that a price list gives for a code on a day, at the quantity ordered.

    Parameters
    ----------
    code : text, not blank
        Code of the material in the price list; capitals make no difference.
    quantity : 0 to 1e12 [units]
        Units ordered, in the unit of the price list; 0 for what is taken from stock, at the price that begins at 0.
    day : a date from 1990 to 2199
        Day of the order.
    price_rows : rows of code, from quantity, unit price, valid from, [valid to]
        Rows of the price list; first and last day included, a blank last day for a price that still holds.

    Returns
    -------
    price [currency]
        Price of one unit, as it stands in the list.

    Raises
    ------
    LookupMiss
        Where the list has no such code, or no price for it on that day.
    RangeError
        Where the quantity is below the first from-quantity, or two rows give a price for the same day.

    References
    ----------
    The price whose days and whose band the order falls in; common practice, no source.

    Examples
    --------
    >>> price_on("FILM", 600, 46100, [["FILM", 1, 0.32, 46023, ""], ["FILM", 500, 0.27, 46023, ""]])
    0.27
    >>> price_on("FOIL", 600, 46100, [["FILM", 1, 0.32, 46023, ""], ["FILM", 500, 0.27, 46023, ""]])
    Traceback (most recent call last):
    quotelib.errors.LookupMiss: code is 'FOIL'; it must be a code of the price list, such as FILM
    """
    return _band(quantity, _bands_on(code, day, price_rows)).price


@sheet_function("Buying", one_by_one=True)
def price_row(code: Code, quantity: Amount, day: Day, price_rows: PriceRows) -> RowNumber:
    """Row of the price list that a price comes from, counted from 1 within the list.

    Parameters
    ----------
    code : text, not blank
        Code of the material in the price list; capitals make no difference.
    quantity : 0 to 1e12 [units]
        Units ordered, in the unit of the price list; below the first from-quantity, the row where the prices begin.
    day : a date from 1990 to 2199
        Day of the order.
    price_rows : rows of code, from quantity, unit price, valid from, [valid to]
        Rows of the price list, as for PRICE_ON.

    Returns
    -------
    row [rows]
        The first row of the list is 1; rows blank throughout do not count.

    Raises
    ------
    LookupMiss
        Where the list has no such code, or no price for it on that day.
    RangeError
        Where two rows give a price for the same day.

    References
    ----------
    A place in the price list; no formula.

    Examples
    --------
    >>> price_row("FILM", 600, 46100, [["FILM", 1, 0.32, 46023, ""], ["FILM", 500, 0.27, 46023, ""]])
    2
    """
    bands = _bands_on(code, day, price_rows)
    return _band(max(quantity, bands[0].start), bands).row


@sheet_function("Buying")
def price_breaks(code: Code, day: Day, price_rows: PriceRows, bands: PriceBands) -> Cells:
    """Price breaks that a price list gives for a code on a day, as one row of cells.

    Parameters
    ----------
    code : text, not blank
        Code of the material in the price list; capitals make no difference.
    day : a date from 1990 to 2199
        Day of the order.
    price_rows : rows of code, from quantity, unit price, valid from, [valid to]
        Rows of the price list; first and last day included, a blank last day for a price that still holds.
    bands : whole, 1 to 50 [bands]
        Price bands there is room for; the row has one cell for the first price and two for each further band.

    Returns
    -------
    cells
        One row: the first price, then a from-quantity and its price for each further band, blank where there are fewer.
        As the end of a cost line, these are its rate and its breaks.

    Raises
    ------
    LookupMiss
        Where the list has no such code, or no price for it on that day.
    RangeError
        Where the code has more bands than there is room for, or two rows give a price for the same day.

    References
    ----------
    A change of layout of the price list's own rows; no formula.

    Examples
    --------
    >>> price_breaks("FILM", 46100, [["FILM", 1, 0.32, 46023, ""], ["FILM", 500, 0.27, 46023, ""]], 3)
    ((0.32, 500.0, 0.27, '', ''),)
    """
    (_, first_price, *_), *further = _bands_on(code, day, price_rows)
    room = int(bands)
    if len(further) + 1 > room:
        raise RangeError("bands", bands, f"it must be {len(further) + 1} or more: the bands {code} has on {day_of(day)}")
    blank = ("",) * 2 * (room - 1 - len(further))
    return ((first_price, *(cell for band in further for cell in (band.start, band.price)), *blank),)


def _price(quantity: float, breaks: Rows) -> Any:
    """The price of the band a quantity falls in."""
    place = bisect_right(breaks, quantity, key=lambda band: band[0])
    if not place:
        raise RangeError("quantity", quantity, f"it must be {breaks[0][0]:.12g} or more, where the prices begin [units]")
    return breaks[place - 1][1]


def _order_cost(quantity: float, breaks: Rows, incremental: bool) -> float:
    reached: float = _price(quantity, breaks)
    if not incremental:
        return quantity * reached
    cost: float = 0.0
    for start, price in reversed(breaks[1:]):
        if quantity > start:
            cost += (quantity - start) * price
            quantity = start
    cost += quantity * breaks[0][1]
    return cost


class _Band(NamedTuple):
    """One price of a code."""

    start: float
    price: float
    first: int
    last: int | None
    row: int


def _band(quantity: float, bands: list[_Band]) -> _Band:
    """The band a quantity falls in."""
    place = bisect_right(bands, quantity, key=lambda band: band.start)
    if not place:
        raise RangeError("quantity", quantity, f"it must be {bands[0].start:.12g} or more, where the prices begin [units]")
    return bands[place - 1]


def last_day(code: str, day: int, price_rows: PriceRows) -> int:
    """The last day on which all the prices of a code that hold on a day still hold; the last of all days if none ends."""
    return min(band.last or DayKind.LATEST for band in _bands_on(code, day, price_rows))


def _bands_on(code: str, day: int, price_rows: PriceRows) -> list[_Band]:
    """The prices of a code that hold on a day, by ascending from-quantity."""
    if price_rows.index is None:
        price_rows.index = _by_code(price_rows)
    bands = price_rows.index.get(code.casefold())
    if bands is None:
        raise LookupMiss("code", code, "it must be a code of the price list" + _such_as(code, price_rows))
    valid = [band for band in bands if band.first <= day and (band.last is None or day <= band.last)]
    if not valid:
        periods = sorted({(band.first, band.last or 0) for band in bands})
        raise LookupMiss("code", code, f"the price list has no price for it on {day_of(day)}, only {_in_words(periods)}")
    for band, following in pairwise(valid):
        if band.start == following.start:
            raise RangeError(
                f"price_rows {code} from quantity",
                band.start,
                f"it must stand in one row for any day, and two hold on {day_of(day)}",
            )
    return valid


def _by_code(price_rows: Rows) -> dict[str, list[_Band]]:
    """The prices of each code by ascending from-quantity."""
    index: dict[str, list[_Band]] = {}
    for row, (code, start, price, first, last) in enumerate(price_rows, 1):
        if last is not None and last < first:
            raise RangeError(
                f"price_rows {code} valid to", day_of(last), f"it must not be before valid from, {day_of(first)}"
            )
        index.setdefault(code.casefold(), []).append(_Band(start, price, first, last, row))
    for bands in index.values():
        bands.sort(key=lambda band: band.start)
    return index


def _such_as(code: str, price_rows: Rows) -> str:
    """The codes most like a code that is not there, in words."""
    import difflib

    names = {row[0].casefold(): row[0] for row in price_rows}
    near = difflib.get_close_matches(code.casefold(), names, n=3, cutoff=0.4) or list(names)[:3]
    return ", such as " + " or ".join(names[name] for name in near)


def _in_words(periods: list[tuple[int, int]]) -> str:
    """Periods of validity as a person writes them; a last day of 0 stands for none."""
    return " and ".join(f"from {day_of(first)}" + (f" to {day_of(last)}" if last else " on") for first, last in periods)
