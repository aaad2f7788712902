"""What is charged for a run: from the cost curve and the terms of price to lines that add up to the total, to the cent.

The order is fixed, and said on every quote:

    goods          good pieces x unit price; the unit price is rounded to the price step
    set-up         shown apart, or spread over the pieces and so part of the unit price
    discount       a share of goods and set-up
    to the minimum what brings the order up to the minimum charge
    rush           a share of all that
    net            the sum of these
    tax            a share of net, last
    total

Every amount is a whole number of the currency's smallest unit before it is added, so the lines always add up to what is
shown.  The arithmetic is decimal.

The set-up of a run is what its cost lines take once, whatever the run: their `once` at their rates.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, ClassVar, NamedTuple

from quotelib.chapters.curve import CostCurve
from quotelib.chapters.pricing import as_shown, round_price, whole_steps
from quotelib.errors import RangeError
from quotelib.kinds import (
    MARGIN,
    PIECES,
    Cells,
    Commission,
    CostLines,
    Direction,
    Discount,
    Flag,
    Fraction,
    Markup,
    Money,
    Pieces,
    PositiveMoney,
    ProfitBasis,
    SignedMoney,
)
from quotelib.records import Record, entry
from quotelib.registry import sheet_function


@dataclass(frozen=True)
class PriceTerms(Record):
    """How a shop makes a price of a cost."""

    what: ClassVar[str] = "price"

    profit_as: ProfitBasis = entry("Profit is a", "margin: a share of the price.  markup: a share of the cost.")
    profit: Markup = entry("Profit", "The margin or the markup, after commission.")
    commission: Commission = entry("Commission", "Share of the net price that goes to whoever sold it.")
    price_step: PositiveMoney = entry("Price step", "Unit prices are whole numbers of this.")
    price_direction: Direction = entry("Rounding", "How a unit price is rounded to the price step.")
    setup_apart: Flag = entry("Set-up shown apart", "FALSE spreads the set-up over the pieces.")
    minimum_charge: Money = entry("Minimum charge", "Least that an order is charged, rush and tax left out.")
    rush: Fraction = entry("Rush", "Share added for an order that goes before others.")
    discount: Discount = entry("Discount", "Share taken off goods and set-up.")
    tax_rate: Fraction = entry("Tax", "Sales tax or the like, on the net price; what is due is for a tax adviser to say.")
    minor_unit: PositiveMoney = entry("Smallest unit of money", "0.01 for most currencies, 1 or 0.001 for some (ISO 4217).")

    def price_of(self, cost: float) -> float:
        """The price, not rounded, that pays a cost, the commission and the profit."""
        if self.profit_as == "markup":
            return float(cost * (1 + self.profit) / (1 - self.commission))
        left = 1 - MARGIN.admit("profit", self.profit) - self.commission
        if left <= 0:
            raise RangeError(
                "profit", self.profit, f"with a commission of {self.commission:g} it must be less than the rest"
            )
        return float(cost / left)

    def money(self, amount: float | Decimal) -> Decimal:
        """An amount in whole numbers of the smallest unit, a half going up."""
        return _rounded(amount, self.minor_unit)


class Charge(NamedTuple):
    """One line of a quote."""

    label: str
    quantity: Decimal
    rate: Decimal
    amount: Decimal


class CustomerRow(NamedTuple):
    """A line as the customer reads it."""

    words: str
    quantity: Decimal | None
    price: Decimal | None
    amount: Decimal


class Charged(NamedTuple):
    """A run as it is charged, and what it leaves."""

    unit_price: Decimal
    charges: tuple[Charge, ...]
    """Goods, set-up, discount, to the minimum and rush; those that come to nothing are left out, goods excepted."""
    net: Decimal
    tax_rate: Decimal
    tax: Decimal
    total: Decimal
    cost: float
    commission: Decimal

    @property
    def lines(self) -> tuple[Charge, ...]:
        """The charges, and the tax where there is any."""
        rate = self.tax_rate
        return (*self.charges, Charge(TAX, rate, self.net, self.tax)) if self.tax else self.charges

    @property
    def left(self) -> float:
        """What is left of the net price after cost and commission."""
        return float(self.net - self.commission) - self.cost

    def amount(self, label: str) -> Decimal:
        """The amount of one line, nothing where there is no such line."""
        return sum((charge.amount for charge in self.charges if charge.label == label), Decimal(0))


GOODS, SETUP, DISCOUNT, TO_MINIMUM, RUSH = "Goods", "Set-up", "Discount", "To the minimum charge", "Rush"
NET, TAX, TOTAL = "Net", "Tax", "Total"


def charged(good_pieces: float, curve: CostCurve, terms: PriceTerms) -> Charged:
    """What a run is charged by the terms."""
    cost = float(curve.run_cost(good_pieces))
    setup = sum(line.once * float(line.rate_at(line.quantity(good_pieces))) for line in curve.lines if line.once > 0)
    apart = setup if terms.setup_apart else 0.0
    unit = _rounded(terms.price_of((cost - apart) / good_pieces), terms.price_step, terms.price_direction)
    pieces, one = Decimal(int(good_pieces)), Decimal(1)
    goods, made_ready = terms.money(pieces * unit), terms.money(terms.price_of(apart))
    off, hurry = -as_shown(terms.discount), as_shown(terms.rush)
    discount = terms.money(off * (goods + made_ready))
    so_far = goods + made_ready + discount
    to_minimum = max(terms.money(terms.minimum_charge) - so_far, Decimal(0))
    rush = terms.money(hurry * (so_far + to_minimum))
    found = (
        Charge(GOODS, pieces, unit, goods),
        Charge(SETUP, one, made_ready, made_ready),
        Charge(DISCOUNT, off, goods + made_ready, discount),
        Charge(TO_MINIMUM, one, to_minimum, to_minimum),
        Charge(RUSH, hurry, so_far + to_minimum, rush),
    )
    lines = tuple(charge for charge in found if charge.amount or charge.label == GOODS)
    net = sum((charge.amount for charge in lines), Decimal(0))
    tax_rate = as_shown(terms.tax_rate)
    tax = terms.money(net * tax_rate)
    return Charged(unit, lines, net, tax_rate, tax, net + tax, cost, terms.money(net * as_shown(terms.commission)))


def _rounded(amount: float | Decimal, step: float, direction: str = "nearest") -> Decimal:
    if isinstance(amount, Decimal):
        return whole_steps(amount, as_shown(step), direction)
    return as_shown(round_price(amount, step, direction))


@sheet_function("Charges", one_by_one=True)
def quote_lines(good_pieces: Pieces, lines: CostLines, term_names: Cells, term_values: Cells) -> Cells:
    """Lines of a quote: goods, set-up, discount, to the minimum, rush, net, tax and total, adding up to the cent.

    Parameters
    ----------
    good_pieces : whole, 1 to 1e9 [pieces]
        Good pieces of the run, rejects left out.
    lines : rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate
        The cost lines of the route, as for RUN_COST.
    term_names : a range of cells
        Names of the terms of price, as in the column Name in formulas of the sheet Price.
    term_values : a range of cells
        Values of the terms of price, beside their names.

    Returns
    -------
    cells
        Eight rows in this order: label, quantity or share, price or amount it is taken of, amount.  A line that comes to
        nothing has 0.

    Notes
    -----
    Goods are pieces times a unit price in whole price steps.  The discount is on goods and set-up; the minimum charge comes
    after it, the rush after that, and tax last.

    References
    ----------
    Order of the lines: common practice, no source.  Rounding: half up, General Decimal Arithmetic specification.

    Examples
    --------
    The sheet Price uses it with the workbook's own names.

    >>> quote_lines(100, [[1, "", "", "", 50], ["", 1, "", "", 2]], [["rush"]], [[0.1]])
    Traceback (most recent call last):
    quotelib.errors.LookupMiss: price names is 'rush'; they must hold every input of a price, and lack profit_as and 9 more
    """
    terms = PriceTerms.of_ranges(term_names, term_values)
    found = charged(good_pieces, CostCurve.from_rows(lines), terms)
    by_label = {charge.label: charge for charge in found.charges}
    rows: list[tuple[Any, ...]] = []
    for label in (GOODS, SETUP, DISCOUNT, TO_MINIMUM, RUSH):
        charge = by_label.get(label, Charge(label, Decimal(0), Decimal(0), Decimal(0)))
        rows.append((label, float(charge.quantity), float(charge.rate), float(charge.amount)))
    rows.append((NET, "", "", float(found.net)))
    rows.append((TAX, terms.tax_rate, float(found.net), float(found.tax)))
    rows.append((TOTAL, "", "", float(found.total)))
    return tuple(rows)


@sheet_function("Charges", one_by_one=True)
def customer_lines(good_pieces: Pieces, lines: CostLines, term_names: Cells, term_values: Cells) -> Cells:
    """Lines of a quote as the customer sees them: those that come to something, then net, tax and total.

    Parameters
    ----------
    good_pieces : whole, 1 to 1e9 [pieces]
        Good pieces of the run, rejects left out.
    lines : rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate
        The cost lines of the route, as for RUN_COST.
    term_names : a range of cells
        Names of the terms of price, as in the column Name in formulas of the sheet Price.
    term_values : a range of cells
        Values of the terms of price, beside their names.

    Returns
    -------
    cells
        Eight rows: description, quantity, unit price, amount; blank rows at the end.  No cost is among them.

    References
    ----------
    The lines of QUOTE_LINES.

    Examples
    --------
    The sheet Quote uses it with the workbook's own names.

    >>> customer_lines(100, [[1, "", "", "", 50], ["", 1, "", "", 2]], [["rush"]], [[0.1]])
    Traceback (most recent call last):
    quotelib.errors.LookupMiss: price names is 'rush'; they must hold every input of a price, and lack profit_as and 9 more
    """
    found = charged(good_pieces, CostCurve.from_rows(lines), PriceTerms.of_ranges(term_names, term_values))
    rows = [
        (words, *("" if figure is None else float(figure) for figure in figures))
        for words, *figures in customer_rows(found.lines)
    ]
    return tuple(rows + [("", "", "", "")] * (MOST_ROWS - len(rows)))


MOST_ROWS = 8


def customer_rows(lines: Sequence[Charge]) -> list[CustomerRow]:
    """The lines of a quote as a customer reads them, the shares in words, then net before tax, and the total."""
    rows: list[CustomerRow] = []
    for charge in lines:
        if charge.label == TAX:
            net = sum((row.amount for row in rows), Decimal(0))
            rows.append(CustomerRow(NET, None, None, net))
        words, quantity, price = charge.label, None, None
        if charge.label == GOODS:
            quantity, price = charge.quantity, charge.rate
        elif charge.label in (DISCOUNT, RUSH, TAX):
            words = f"{charge.label}, {float(abs(charge.quantity) * 100):.6g} %"
        rows.append(CustomerRow(words, quantity, price, charge.amount))
    total = sum((charge.amount for charge in lines), Decimal(0))
    return [*rows, CustomerRow(TOTAL, None, None, total)]


@sheet_function("Charges", one_by_one=True)
def price_ladder(runs: Cells, lines: CostLines, term_names: Cells, term_values: Cells) -> Cells:
    """Prices at a column of run sizes: for each the unit price, set-up, net, tax, total, and what is left over the cost.

    Parameters
    ----------
    runs : a range of cells
        Run sizes, in a column or a row: good pieces, whole.
    lines : rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate
        The cost lines of the route, as for RUN_COST.
    term_names : a range of cells
        Names of the terms of price, as in the column Name in formulas of the sheet Price.
    term_values : a range of cells
        Values of the terms of price, beside their names.

    Returns
    -------
    cells
        One row for each run: unit price, set-up, net, tax, total, total for a piece, cost for a piece, and what is left of
        the net price after cost and commission, as a share of it.

    References
    ----------
    QUOTE_LINES for each run; the total for a piece is not rounded.

    Examples
    --------
    The sheet Price uses it with the workbook's own names.

    >>> price_ladder([[100]], [[1, "", "", "", 50], ["", 1, "", "", 2]], [["rush"]], [[0.1]])
    Traceback (most recent call last):
    quotelib.errors.LookupMiss: price names is 'rush'; they must hold every input of a price, and lack profit_as and 9 more
    """
    terms = PriceTerms.of_ranges(term_names, term_values)
    curve = CostCurve.from_rows(lines)
    return tuple(_rung(PIECES.admit("runs", cell), curve, terms) for row in runs for cell in row)


def _rung(run: float, curve: CostCurve, terms: PriceTerms) -> Sequence[float]:
    found = charged(run, curve, terms)
    money = (found.unit_price, found.amount(SETUP), found.net, found.tax, found.total)
    share = found.left / float(found.net) if found.net else 0.0
    return (*map(float, money), float(found.total) / run, found.cost / run, share)


@sheet_function("Charges", one_by_one=True)
def floor_price(
    run_cost: SignedMoney, spent_anyway: Money, good_pieces: Pieces, commission: Commission = 0.0
) -> SignedMoney:
    """Lowest price of a good piece at which taking the job leaves no less money than not taking it.

    Parameters
    ----------
    run_cost : -1e12 to 1e12 [currency]
        Cost of the whole run.
    spent_anyway : 0 to 1e12 [currency]
        The part of it that is spent without the job too: the hours of machines that would stand idle.
    good_pieces : whole, 1 to 1e9 [pieces]
        Good pieces of the run.
    commission : 0 or more, less than 1 [fraction], 0 if left out
        Share of the price that goes to whoever sold it.

    Returns
    -------
    signed money [currency]
        The price at which the contribution is zero, not rounded.  For the shop's eyes only.

    References
    ----------
    Contribution = price - avoidable cost - commission, set to zero; any cost-accounting text.

    Examples
    --------
    >>> floor_price(1500, 300, 1000)
    1.2
    """
    return (run_cost - spent_anyway) / (good_pieces * (1 - commission))
