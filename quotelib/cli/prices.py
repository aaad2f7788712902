"""`prices`: the shop's price list in quoting units, as the price sheet of a workbook holds it."""

import argparse
import datetime
import json
from typing import Any

from quotelib.cli.verbs import add_prices, add_verb


def add_verbs(verbs: Any) -> None:
    """Add the verb to the command line."""
    verb = add_verb(
        verbs, "prices", _prices, "show the price list in quoting units, as the price sheet of a workbook has it"
    )
    add_prices(verb)
    verb.add_argument("--format", choices=("table", "json"), default="table", help="a table to read, or JSON for programs")


def _prices(given: argparse.Namespace) -> int:
    from quotelib.prices.pricelist import load_price_list
    from quotelib.prices.pricesheet import COLUMNS, rows_of

    prices = load_price_list(given.prices)
    headings, rows = [column.heading for column in COLUMNS], rows_of(prices)
    if given.format == "json":
        print(
            json.dumps({"currency": prices.currency, "headings": headings, "rows": rows}, default=datetime.date.isoformat)
        )
        return 0
    import pandas

    table = pandas.DataFrame(rows, columns=headings)[headings[:8]]
    print(table.to_string(index=False, na_rep="", float_format=lambda number: f"{number:,.6g}"))
    print(f"\n{len(rows)} rows, in {prices.currency} for one quoting unit, from {given.prices}.")
    return 0
