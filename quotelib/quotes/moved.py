"""What moved: two price lists against each other, and what the change does to the quotes that are open.

    then, now = Side(old_list, day), Side(new_list, day)
    price_moves(then, now)              every price that is new, ended or changed
    quote_moves(quotes, rates, then, now)     each open quote's cost, margin and cheapest route, before and after
    shares_moved(...)                   what each code is of each quote's cost

A side is a price list and the day whose prices are taken: the same list on two days, or two lists on one day.
"""

import datetime
import math
from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np
import pandas as pd

from quotelib.errors import FileRefused, QuoteError
from quotelib.kinds import day_number
from quotelib.prices.pricelist import PriceList
from quotelib.quotes.register import FiledQuote
from quotelib.quoting import Quote, quote
from quotelib.rates import ShopRates
from quotelib.routes import TITLES

AT_RATES = "(shop's rates)"
"""Stands for a code where money goes at the shop's rates; it moves with prices too, as what a rejected blank fetches."""


class Side(NamedTuple):
    """The prices of one list on one day."""

    prices: PriceList
    day: datetime.date

    @property
    def bands(self) -> dict[str, list[tuple[float, float]]]:
        """From quantity and unit price by code, in quoting units, quantities ascending."""
        on = self.prices.on(self.day).sort_values("from in quoting units", kind="stable")
        bands: dict[str, list[tuple[float, float]]] = {}
        columns = (on[name].tolist() for name in ("code", "from in quoting units", "unit price"))
        for code, start, price in zip(*columns, strict=True):
            bands.setdefault(code, []).append((start, price))
        return bands


def price_moves(then: Side, now: Side) -> pd.DataFrame:
    """Every price that is not what it was, the largest change first.

    One row for a code and each quantity from which one of the two sides has a price: both prices there, and the change as a
    share of the old one.  `What` is dearer, cheaper, new or ended.
    """
    before, after = then.bands, now.bands
    described = _descriptions(then.prices) | _descriptions(now.prices)
    rows = []
    for code in sorted({*before, *after}):
        for start in sorted({start for bands in (before, after) for start, _ in bands.get(code, [])}):
            old, new = _price_at(before.get(code, []), start), _price_at(after.get(code, []), start)
            if old is not None and new is not None and math.isclose(old, new, rel_tol=1e-12):
                continue
            if old is None and new is None:
                continue
            what = "new" if old is None else "ended" if new is None else "dearer" if new > old else "cheaper"
            change = new / old - 1 if old is not None and new is not None else math.nan
            description, unit = described[code]
            rows.append((code, description, unit, start, old, new, change, what))
    names = ["Code", "Description", "Quoting unit", "From quantity", "Old price", "New price", "Change", "What"]
    table = pd.DataFrame(rows, columns=names).astype({"Old price": float, "New price": float, "Change": float})
    order = table["Change"].abs().fillna(np.inf)
    return table.loc[order.sort_values(ascending=False, kind="stable").index].reset_index(drop=True)


class Worked(NamedTuple):
    """A filed quote worked out at the prices of one side."""

    quoted: Quote | None
    refusal: str
    """Why it could not be."""
    key: str

    @property
    def unit_cost(self) -> float:
        """Cost of a good piece by the route quoted; not a number where it cannot be worked out."""
        return float(self.quoted.unit_cost(self.key)) if self.quoted and self.key in self.quoted.curves else math.nan

    @property
    def cheapest(self) -> str:
        """Title of the cheapest route."""
        return TITLES[self.quoted.cheapest] if self.quoted else ""


class Pair(NamedTuple):
    """A filed quote, worked out before and after."""

    filed: FiledQuote
    before: Worked
    after: Worked


def worked_out(quotes: Sequence[FiledQuote], rates: ShopRates, then: Side, now: Side) -> list[Pair]:
    """Every open quote, worked out at the prices of both sides.

    Raises FileRefused where a quote is in another currency than the lists.
    """
    faults = [
        f"{filed.terms.number}: currency is {filed.terms.currency!r}; {side.prices.file} is in {side.prices.currency}"
        for filed in quotes
        for side in (then, now)
        if filed.terms.currency != side.prices.currency
    ]
    if faults:
        raise FileRefused("the quotes", faults)
    opened = [filed for filed in quotes if filed.terms.state == "open"]
    return [Pair(filed, _worked(filed, rates, then), _worked(filed, rates, now)) for filed in opened]


def _worked(filed: FiledQuote, rates: ShopRates, side: Side) -> Worked:
    job = filed.job.changed("quote_day", day_number(side.day))
    route = filed.terms.route
    try:
        quoted = quote(job, rates, side.prices.rows)
    except QuoteError as refusal:
        return Worked(None, str(refusal), route)
    return Worked(quoted, quoted.refused.get(route, ""), route)


def quote_moves(pairs: Sequence[Pair]) -> pd.DataFrame:
    """What the new prices do to each open quote: cost, margin against its floor, and the cheapest route."""
    rows = []
    for filed, before, after in pairs:
        terms = filed.terms
        old, new = before.unit_cost, after.unit_cost
        margins = [filed.margin(cost) for cost in (old, new)]
        notes = []
        if margins[1] < 0:
            notes.append("loses money")
        elif margins[1] < terms.margin_floor:
            notes.append("below the floor" + ("" if margins[0] >= terms.margin_floor else ", as before"))
        if before.cheapest and after.cheapest and before.cheapest != after.cheapest:
            notes.append(f"cheapest route is now {after.cheapest.lower()}, was {before.cheapest.lower()}")
        notes += [refusal for refusal in {before.refusal: 0, after.refusal: 0} if refusal]
        quoted = (terms.number, terms.customer, filed.job.design, TITLES[terms.route], int(filed.job.good_pieces))
        rows.append((*quoted, filed.net_price, old, new, new / old - 1, *margins, terms.margin_floor, "; ".join(notes)))
    names = ["Number", "Customer", "Design", "Route", "Run", "Net price", "Old cost", "New cost", "Change"]
    return pd.DataFrame(rows, columns=[*names, "Old margin", "New margin", "Floor", "What it means"])


def shares_moved(pairs: Sequence[Pair]) -> pd.DataFrame:
    """For each open quote and each code whose spending moved: its share of the cost before, and what it adds to a piece.

    What a quote's codes add is what its cost moved by.
    """
    rows = []
    for filed, before, after in pairs:
        if math.isnan(before.unit_cost) or math.isnan(after.unit_cost) or not (before.quoted and after.quoted):
            continue
        pieces = filed.job.good_pieces
        spent = before.quoted.spent_on(before.key)
        for code, added in before.quoted.moved(before.key, after.quoted).items():
            share = spent[code] / pieces / before.unit_cost
            shown = code or AT_RATES
            rows.append((filed.terms.number, filed.job.design, shown, share, added, added / before.unit_cost))
    names = ["Number", "Design", "Code", "Share of the cost", "Adds to a piece", "Adds to the cost"]
    return pd.DataFrame(rows, columns=names).sort_values(
        ["Number", "Adds to a piece"], ascending=[True, False], kind="stable", ignore_index=True
    )


def _price_at(bands: Sequence[tuple[float, float]], quantity: float) -> float | None:
    """The price of the last band that starts at the quantity or below."""
    held = [price for start, price in bands if start <= quantity]
    return held[-1] if held else None


def _descriptions(prices: PriceList) -> dict[str, tuple[Any, Any]]:
    """Description and quoting unit by code."""
    columns = (prices.table[name].tolist() for name in ("code", "description", "quoting unit"))
    return {code: (description, unit) for code, description, unit in zip(*columns, strict=True)}
