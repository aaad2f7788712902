"""What the verbs share: how one is declared, and the shop's files that most of them read."""

import argparse
from pathlib import Path
from typing import Any

WORKBOOK = Path(__file__).resolve().parent.parent.parent / "workbook"
"""Where the shop's files lie in a checkout: price list, rates, template workbook, add-in."""


def add_verb(verbs: Any, name: str, work: Any, words: str) -> argparse.ArgumentParser:
    """Add a verb: its name, the function that does it, and what it does in words."""
    sentence = words[0].upper() + words[1:] + "."
    parser: argparse.ArgumentParser = verbs.add_parser(name, help=words, description=sentence)
    parser.set_defaults(work=work)
    return parser


def add_prices(verb: argparse.ArgumentParser) -> None:
    """The option that names the price list."""
    verb.add_argument(
        "--prices", type=Path, default=WORKBOOK / "price-list.csv", help="price list (default: workbook/price-list.csv)"
    )


def add_shop_files(verb: argparse.ArgumentParser) -> None:
    """The options that name the price list and the shop's rates."""
    add_prices(verb)
    verb.add_argument(
        "--rates", type=Path, default=WORKBOOK / "shop-rates.toml", help="shop rates (default: workbook/shop-rates.toml)"
    )


def add_design_verb(verbs: Any, name: str, work: Any, words: str) -> argparse.ArgumentParser:
    """Add a verb for one design of a season."""
    verb = add_verb(verbs, name, work, words)
    verb.add_argument("design", help="name of the design in designs.csv")
    verb.add_argument("--season", type=Path, required=True, help="folder with items.csv and designs.csv")
    add_shop_files(verb)
    return verb


def load_shop(given: argparse.Namespace) -> tuple[Any, Any]:
    """The shop's rates and price list; the faults of both are told together."""
    from quotelib.errors import FileRefused
    from quotelib.prices.pricelist import load_price_list
    from quotelib.rates import load_rates

    loaded: list[Any] = []
    refusals: list[FileRefused] = []
    for load, path in ((load_rates, given.rates), (load_price_list, given.prices)):
        try:
            loaded.append(load(path))
        except FileRefused as refusal:
            refusals.append(refusal)
    if refusals:
        raise FileRefused(
            " and ".join(refusal.argument for refusal in refusals), [fault for each in refusals for fault in each.faults]
        )
    rates, prices = loaded
    missing = rates.codes_not_in(set(prices.table["code"]))
    if missing:
        raise FileRefused(str(given.rates), missing)
    return rates, prices


def named_job(given: argparse.Namespace) -> Any:
    """The design that was asked for, out of its season."""
    from quotelib.errors import LookupMiss
    from quotelib.season.designs import load_jobs

    jobs = {job.design: job for job in load_jobs(given.season)}
    if given.design not in jobs:
        raise LookupMiss("design", given.design, f"it must be one of {', '.join(jobs)}")
    return jobs[given.design]
