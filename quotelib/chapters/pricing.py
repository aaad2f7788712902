"""Price: from cost to the figure a customer sees.

    margin = (price - cost) / price        the share of the price that is left
    markup = (price - cost) / cost         what is added, as a share of the cost

The two are easily mixed up and far apart: a markup of 50 % is a margin of 33 %.
"""

from decimal import ROUND_DOWN, ROUND_HALF_UP, ROUND_UP, Context, Decimal

from quotelib.kinds import Direction, Margin, Markup, Money, PositiveMoney, SignedMoney
from quotelib.registry import sheet_function

ROUNDINGS = {"nearest": ROUND_HALF_UP, "up": ROUND_UP, "down": ROUND_DOWN}

EXACT = Context(prec=60)
"""Decimal arithmetic with room for the quotient of any price by any step."""


@sheet_function("Price")
def margin_price(cost: Money, margin: Margin) -> Money:
    """Price that leaves a margin, a share of the price itself.

    Parameters
    ----------
    cost : 0 to 1e12 [currency]
        Cost of the piece, run or line.
    margin : 0 or more, less than 1 [fraction]
        Share of the price to be left over the cost.

    Returns
    -------
    money [currency]
        Price, not rounded.

    References
    ----------
    price = cost / (1 - margin), any retail or cost-accounting text.

    Examples
    --------
    >>> margin_price(75, 0.25)
    100.0
    """
    return cost / (1 - margin)


@sheet_function("Price")
def markup_price(cost: Money, markup: Markup) -> Money:
    """Price with a markup, a share of the cost put on top of it.

    Parameters
    ----------
    cost : 0 to 1e12 [currency]
        Cost of the piece, run or line.
    markup : 0 to 100 [fraction]
        Share of the cost that is added.

    Returns
    -------
    money [currency]
        Price, not rounded.

    References
    ----------
    price = cost x (1 + markup), any retail or cost-accounting text.

    Examples
    --------
    >>> markup_price(3.00, 0.5)
    4.5
    """
    return cost * (1 + markup)


@sheet_function("Price")
def margin_of_markup(markup: Markup) -> Margin:
    """Margin that a markup leaves.

    Parameters
    ----------
    markup : 0 to 100 [fraction]
        Share of the cost that is added.

    Returns
    -------
    margin [fraction]
        Share of the price left over the cost.

    References
    ----------
    margin = markup / (1 + markup), from the two definitions.

    Examples
    --------
    >>> margin_of_markup(0.25)
    0.2
    """
    return markup / (1 + markup)


@sheet_function("Price")
def markup_of_margin(margin: Margin) -> Markup:
    """Markup that leaves a margin.

    Parameters
    ----------
    margin : 0 or more, less than 1 [fraction]
        Share of the price to be left over the cost.

    Returns
    -------
    markup [fraction]
        Share of the cost to be added.

    References
    ----------
    markup = margin / (1 - margin), from the two definitions.

    Examples
    --------
    >>> markup_of_margin(0.2)
    0.25
    """
    return margin / (1 - margin)


@sheet_function("Price", one_by_one=True)
def round_price(price: SignedMoney, price_step: PositiveMoney, direction: Direction = "nearest") -> SignedMoney:
    """Price rounded to whole steps, as on paper: a half goes up.

    Parameters
    ----------
    price : -1e12 to 1e12 [currency]
        Price, line total or discount to be rounded.
    price_step : more than 0, up to 1e12 [currency]
        Smallest step a price may take: 0.01, 0.05, 1.
    direction : one of nearest, up, down, nearest if left out
        Up is away from zero and down towards it, so that a discount of 1.25 rounds like a price of 1.25.

    Returns
    -------
    signed money [currency]
        Price, rounded to price_step.

    Notes
    -----
    Worked out in decimal on the 15 digits a cell shows: 2.675 to the cent is 2.68, though the nearest binary fraction lies
    below it, and a computed 0.30000000000000004 does not go up to 0.31.

    References
    ----------
    Half away from zero: round-half-up of the General Decimal Arithmetic specification; up and down as the spreadsheet's
    ROUNDUP and ROUNDDOWN.

    Examples
    --------
    >>> round_price(2.675, 0.01)
    2.68
    >>> round_price(12.31, 0.05, "up")
    12.35
    """
    return float(whole_steps(as_shown(price), as_shown(price_step), direction)) + 0.0


def whole_steps(amount: Decimal, step: Decimal, direction: str = "nearest") -> Decimal:
    """An amount in whole numbers of a step, as `round_price` rounds it; the decimals of the step stay, 3.00 to the cent."""
    steps = EXACT.divide(amount, step).to_integral_value(ROUNDINGS[direction], EXACT)
    return EXACT.multiply(EXACT.add(steps, Decimal(0)), step)


def as_shown(number: float) -> Decimal:
    """The decimal number that a cell shows, to 15 digits."""
    return Decimal(f"{number:.15g}")
