"""`file`, `quotes`, `again`, `state`: the register of quotes, one readable file for each."""

import argparse
import datetime
from pathlib import Path
from typing import Any

from quotelib.cli.verbs import (
    add_design_verb,
    add_route,
    add_run,
    add_shop_file,
    add_shop_files,
    add_verb,
    day,
    load_shop,
    named_job,
)
from quotelib.kinds import QUOTE_STATE


def add_verbs(verbs: Any) -> None:
    """Add the verbs to the command line."""
    verb = add_design_verb(verbs, "file", _file, "quote one design of a season by one route, and file the quote")
    verb.add_argument("--into", type=Path, required=True, help="folder of quotes, one .toml file each")
    verb.add_argument("--number", required=True, help="number of the quote; no two are the same")
    verb.add_argument("--customer", required=True, help="who it is for")
    add_route(verb, "the route quoted (default: the cheapest)")
    add_run(verb)
    verb.add_argument("--days", type=int, default=30, help="days it holds, unless prices end sooner (default: 30)")
    verb.add_argument("--floor", type=float, default=0.25, help="margin that must be left (default: 0.25)")
    add_shop_file(verb, "--terms", "price-terms.toml", "terms of price")

    verb = add_verb(verbs, "quotes", _quotes, "show the quotes of a folder side by side, or those named")
    verb.add_argument("folder", type=Path, help="folder of quotes, one .toml file each")
    verb.add_argument("numbers", nargs="*", help="numbers of the quotes to compare; all of them if left out")
    verb.add_argument("--out", type=Path, help="workbook to write the table to as well, such as register.xlsx")

    verb = add_verb(verbs, "again", _again, "quote a filed quote again at another day's prices, and explain the difference")
    verb.add_argument("quote", type=Path, help="the file of the quote")
    verb.add_argument("--day", type=day, help="day of the new prices (default: today)")
    verb.add_argument("--number", help="file it as a new quote of this number; if left out, it is only shown")
    add_shop_files(verb)

    verb = add_verb(verbs, "state", _state, "mark a filed quote as open, ordered, declined or lapsed")
    verb.add_argument("quote", type=Path, help="the file of the quote")
    verb.add_argument("state", choices=QUOTE_STATE.choices)


def _file(given: argparse.Namespace) -> int:
    from quotelib.cases import Case
    from quotelib.chapters.charges import PriceTerms
    from quotelib.kinds import WAIT_DAYS
    from quotelib.quotes.filing import save_new
    from quotelib.quotes.register import Terms, drawn_up
    from quotelib.quoting import quote

    rates, prices = load_shop(given)
    job = named_job(given)
    route = given.route or quote(job, rates, prices.rows).cheapest
    ends = Case(job, rates, prices.rows).prices_hold_until(route)
    until = min(ends, int(job.quote_day) + int(WAIT_DAYS.admit("--days", given.days)))
    terms = Terms(given.number, given.customer, "open", until, route, prices.currency, given.floor)
    filed = drawn_up(terms, job, PriceTerms.load(given.terms), rates, prices.rows)
    path = save_new(filed, given.into)
    rate = filed.lines[0].rate
    each = f"{rate:,.2f}" if rate == round(rate, 2) else f"{rate:,}"
    shown = f"{job.good_pieces:,.0f} x {job.design} on {job.item} {each} each, net {filed.net:,}"
    print(f"{shown}, total {filed.total:,} {prices.currency}; margin {filed.margin(filed.reckoning.unit_cost):.1%}.")
    print(f"Filed: {path}")
    return 0


def _quotes(given: argparse.Namespace) -> int:
    from quotelib.cli.shown import shown_table
    from quotelib.errors import LookupMiss
    from quotelib.hosts.workbook.report import write_tables
    from quotelib.quotes.filing import register_table
    from quotelib.quotes.register import load_quotes

    quotes = load_quotes(given.folder)
    known = {filed.terms.number: filed for filed in quotes}
    for number in given.numbers:
        if number not in known:
            raise LookupMiss("number", number, f"it must be one of {', '.join(known)}")
    table = register_table([known[number] for number in given.numbers] or quotes)
    print(shown_table(table))
    if given.out:
        tables = [("Quotes", table, "The register of quotes, for the shop only.")]
        write_tables(given.out, "Register of quotes", tables, any("(invented)" in filed.terms.customer for filed in quotes))
        print(f"Written: {given.out}")
    return 0


def _again(given: argparse.Namespace) -> int:
    from quotelib.cli.shown import shown_table
    from quotelib.quotes.filing import difference, quoted_again, register_table, save_new
    from quotelib.quotes.register import load_quote

    rates, prices = load_shop(given)
    filed = load_quote(given.quote)
    number = f"{filed.terms.number} again" if given.number is None else given.number
    again = quoted_again(filed, number, given.day or datetime.date.today(), rates, prices.rows)
    print(shown_table(register_table([filed, again])))
    print("\nWhy the net price differs:")
    print(shown_table(difference(filed, again, rates, prices.rows)))
    if given.number is not None:
        print(f"\nFiled: {save_new(again, given.quote.parent)}")
    return 0


def _state(given: argparse.Namespace) -> int:
    from quotelib.quotes.filing import save_changed
    from quotelib.quotes.register import quote_of

    read = given.quote.read_bytes()
    filed = quote_of(read, given.quote.name)
    save_changed(filed._replace(terms=filed.terms.changed("state", given.state)), given.quote, read)
    print(f"{filed.terms.number} is now {given.state}.")
    return 0
