"""What the verbs share: how one is declared, and the shop's files that most of them read."""

import argparse
import datetime
from collections.abc import Collection, Sequence
from pathlib import Path
from typing import Any

from quotelib.kinds import ROUTE

WORKBOOK = Path(__file__).resolve().parent.parent.parent / "workbook"
"""Where the shop's files lie in a checkout: price list, rates, template workbook, add-in."""


def add_verb(verbs: Any, name: str, work: Any, words: str) -> argparse.ArgumentParser:
    """Add a verb: its name, the function that does it, and what it does in words."""
    sentence = words[0].upper() + words[1:] + "."
    parser: argparse.ArgumentParser = verbs.add_parser(name, help=words, description=sentence)
    parser.set_defaults(work=work)
    return parser


def add_shop_file(verb: argparse.ArgumentParser, option: str, name: str, words: str) -> None:
    """An option that names another file in place of one of the shop's, which lie in WORKBOOK."""
    verb.add_argument(option, type=Path, default=WORKBOOK / name, help=f"{words} (default: workbook/{name})")


def add_prices(verb: argparse.ArgumentParser) -> None:
    """The option that names the price list."""
    add_shop_file(verb, "--prices", "price-list.csv", "price list")


def add_shop_files(verb: argparse.ArgumentParser) -> None:
    """The options that name the price list and the shop's rates."""
    add_prices(verb)
    add_shop_file(verb, "--rates", "shop-rates.toml", "shop rates")


def add_design_verb(verbs: Any, name: str, work: Any, words: str) -> argparse.ArgumentParser:
    """Add a verb for one design of a season."""
    verb = add_verb(verbs, name, work, words)
    verb.add_argument("design", help="name of the design in designs.csv")
    verb.add_argument("--season", type=Path, required=True, help="folder with items.csv and designs.csv")
    add_shop_files(verb)
    return verb


def add_route(verb: argparse.ArgumentParser, words: str) -> None:
    """The option that names a route."""
    verb.add_argument("--route", choices=ROUTE.choices, help=words)


def add_run(verb: argparse.ArgumentParser) -> None:
    """The option that takes another run than the season's; `named_job` reads it."""
    verb.add_argument("--run", type=int, help="good pieces, in place of the run in designs.csv")


def day(text: str) -> datetime.date:
    """The day of an option."""
    from quotelib.files.faults import Refusal
    from quotelib.files.readers import day

    found = day(text)
    if isinstance(found, Refusal):
        raise argparse.ArgumentTypeError(f"{text!r}: {found}")
    return found


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


def invented_words(prices: Any) -> str:
    """What is said below figures worked out with the example's price list."""
    return " All figures are invented." if prices.invented else ""


def named_job(given: argparse.Namespace) -> Any:
    """The design that was asked for, out of its season; in the run of `add_run`, where one is given."""
    from quotelib.errors import LookupMiss
    from quotelib.season.designs import load_jobs

    jobs = {job.design: job for job in load_jobs(given.season)}
    if given.design not in jobs:
        raise LookupMiss("design", given.design, f"it must be one of {', '.join(jobs)}")
    run = getattr(given, "run", None)
    return jobs[given.design] if run is None else jobs[given.design].changed("good_pieces", run)


def write_picture(target: Path, picture: str) -> None:
    """A picture as a file, there whole or not at all; its folder is made if need be."""
    from quotelib.files.replacing import write_whole

    target.parent.mkdir(parents=True, exist_ok=True)
    write_whole(target, picture.encode())


def in_columns(headings: Sequence[str], rows: Sequence[Sequence[str]], right: Collection[int]) -> str:
    """Texts in columns under their headings; `right` names the columns that stand to the right, counted from 0."""
    widths = [max(map(len, column)) for column in zip(headings, *rows, strict=True)]
    lines = (headings, ["-" * width for width in widths], *rows)
    return "\n".join(
        "  ".join(
            cell.rjust(width) if place in right else cell.ljust(width)
            for place, (cell, width) in enumerate(zip(line, widths, strict=True))
        ).rstrip()
        for line in lines
    )
