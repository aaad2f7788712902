"""`moved`: what new prices do to the quotes that are open."""

import argparse
import datetime
from pathlib import Path
from typing import Any

from quotelib.cli.verbs import add_shop_files, add_verb, day, load_shop, write_picture


def add_verbs(verbs: Any) -> None:
    """Add the verb to the command line."""
    words = "show which prices moved, and what that does to the cost, margin and cheapest route of every open quote"
    verb = add_verb(verbs, "moved", _moved, words)
    verb.add_argument("quotes", type=Path, help="folder of quotes, one .toml file each")
    verb.add_argument("--before", type=Path, help="the price list before (default: the same list as after)")
    verb.add_argument("--day", type=day, help="day of the prices after (default: today)")
    verb.add_argument("--day-before", type=day, help="day of the prices before (default: the same day)")
    verb.add_argument("--out", type=Path, help="folder for the workbook moved.xlsx and the picture moved.svg")
    add_shop_files(verb)


def _moved(given: argparse.Namespace) -> int:
    from quotelib.cli.shown import shown_table
    from quotelib.hosts.workbook.report import write_tables
    from quotelib.pictures.moved import moved_svg
    from quotelib.prices.pricelist import load_price_list
    from quotelib.quotes.moved import Side, price_moves, quote_moves, shares_moved, worked_out
    from quotelib.quotes.register import load_quotes

    rates, after = load_shop(given)
    before = load_price_list(given.before) if given.before else after
    today = given.day or datetime.date.today()
    then, now = Side(before, given.day_before or today), Side(after, today)
    pairs = worked_out(load_quotes(given.quotes), rates, then, now)
    prices, quotes, shares = price_moves(then, now), quote_moves(pairs), shares_moved(pairs)

    sides = f"{then.prices.file} on {then.day} against {now.prices.file} on {now.day}, in {after.currency}"
    print(f"Prices that moved, {sides}:")
    print(shown_table(prices.drop(columns="Description")) if len(prices) else "none")
    print(f"\n{len(pairs)} open quote{'' if len(pairs) == 1 else 's'} at these prices:")
    print(shown_table(quotes) if len(quotes) else "none")
    print("\nWhat each code is of a quote's cost, and what its new price adds:")
    print(shown_table(shares) if len(shares) else "nothing")
    if given.out:
        tables = [
            ("Prices moved", prices, f"{sides}."),
            ("Quotes moved", quotes, "Every open quote: cost, margin and cheapest route, before and after."),
            ("Shares", shares, "What each code is of a quote's cost before, and what its new price adds."),
        ]
        write_tables(given.out / "moved.xlsx", "What moved", tables, after.invented)
        write_picture(given.out / "moved.svg", moved_svg(prices, quotes, sides))
        print(f"\nWritten: {given.out / 'moved.xlsx'} and {given.out / 'moved.svg'} (open the picture in a browser)")
    return 0
