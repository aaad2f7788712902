"""`range`: a quote as a range, where rates, yields and minutes are not known for sure."""

import argparse
import sys
from functools import partial
from pathlib import Path
from typing import Any

from quotelib.cli.verbs import add_design_verb, add_route, load_shop, named_job


def add_verbs(verbs: Any) -> None:
    """Add the verb to the command line."""
    words = "give a quote as a range: what a good piece may cost when rates, yields and minutes are not known for sure"
    verb = add_design_verb(verbs, "range", _range, words)
    verb.add_argument("--spreads", type=Path, help="CSV of name, least, likely, most (default: spreads.csv of the season)")
    add_route(verb, "the route asked for (default: the cheapest)")
    verb.add_argument("--price", type=float, help="price of a good piece that you think of asking")
    verb.add_argument("--draws", type=int, default=1000, help="how many times the inputs are drawn (default: 1000)")
    verb.add_argument("--seed", type=int, default=1, help="the same seed gives the same draws (default: 1)")


def _range(given: argparse.Namespace) -> int:
    from quotelib.cases import Case
    from quotelib.cli.shown import shown_range
    from quotelib.errors import FileRefused, QuoteError
    from quotelib.kinds import COUNT, DRAWS, POSITIVE_MONEY, SPREADS
    from quotelib.quoting import quote
    from quotelib.season.designs import load_spreads
    from quotelib.uncertain import present, spreads_of

    draws, seed = int(DRAWS.admit("draws", given.draws)), int(COUNT.admit("seed", given.seed))
    price = None if given.price is None else float(POSITIVE_MONEY.admit("price", given.price))
    rates, prices = load_shop(given)
    case = Case(named_job(given), rates, prices.rows)
    file = given.spreads or given.season / "spreads.csv"
    rows = load_spreads(file, partial(present, case))
    try:
        spreads = spreads_of(SPREADS.admit("spreads", rows), case)
    except QuoteError as refusal:
        raise FileRefused(str(file), [str(refusal)]) from None
    route = given.route or quote(case.job, rates, prices.rows).cheapest
    if sys.stderr.isatty():
        print(f"Working {case.job.design} out {draws:,} times over; a thousand take some seconds ...", file=sys.stderr)
    print(shown_range(case, spreads, route, price, draws, seed, prices.currency))
    return 0
