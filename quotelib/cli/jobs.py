"""`check`, `season`, `quote`, `map`, `sheet`: the shop's files, a season of designs, and one design."""

import argparse
import sys
from pathlib import Path
from typing import Any

from quotelib.cli.verbs import (
    add_design_verb,
    add_route,
    add_run,
    add_shop_files,
    add_verb,
    invented_words,
    load_shop,
    named_job,
    write_picture,
)


def add_verbs(verbs: Any) -> None:
    """Add the verbs to the command line."""
    verb = add_verb(verbs, "check", _check, "read the price list and the shop rates, and name every fault in them")
    add_shop_files(verb)

    verb = add_verb(verbs, "season", _season, "price every design of a season by every route, and write it as a workbook")
    verb.add_argument("folder", type=Path, help="folder with items.csv and designs.csv")
    verb.add_argument("--out", type=Path, default=Path(), help="folder for the workbook season.xlsx (default: here)")
    add_shop_files(verb)

    verb = add_design_verb(verbs, "quote", _quote, "price one design by every route, line by line")
    add_run(verb)
    add_route(verb, "open this route (default: the cheapest)")

    words = "draw the cheapest route of a design over colours and run sizes, as an SVG picture"
    verb = add_design_verb(verbs, "map", _map, words)
    verb.add_argument("--out", type=Path, default=Path("route-map.svg"), help="file to write (default: route-map.svg here)")

    verb = add_design_verb(verbs, "sheet", _sheet, "draw the sheet of transfers of a design, as an SVG picture")
    verb.add_argument("--out", type=Path, default=Path("sheet.svg"), help="file to write (default: sheet.svg here)")


def _check(given: argparse.Namespace) -> int:
    rates, prices = load_shop(given)
    codes = prices.table["code"].nunique()
    print(f"{given.prices}: {len(prices.table)} rows for {codes} codes, in {prices.currency}; no faults.")
    print(f"{given.rates}: {len(rates.entries())} rates; no faults, and every material code is in the price list.")
    return 0


def _season(given: argparse.Namespace) -> int:
    from quotelib.cli.shown import shown_table
    from quotelib.hosts.workbook.report import season_workbook
    from quotelib.season.designs import load_jobs, quote_season, season_table

    print(f"Reading {given.rates.name}, {given.prices.name} and the season in {given.folder} ...", file=sys.stderr)
    rates, prices = load_shop(given)
    jobs = load_jobs(given.folder)
    quotes = quote_season(jobs, rates, prices.rows, _progress)
    print(shown_table(season_table(quotes)))
    refused = [
        f"  {quote.job.design}: {reason}"
        for quote in quotes
        for key, reason in quote.refused.items()
        if key not in quote.ruled_out
    ]
    if refused:
        print("\nRoutes that cannot print a design as it is:\n" + "\n".join(refused))
    target = given.out / "season.xlsx"
    season_workbook(quotes, prices, target)
    print(f"\n{len(quotes)} designs. Costs are {prices.currency} for one good piece, all in.{invented_words(prices)}")
    print(f"Written: {target} (the season, other run sizes, and every cost line)")
    return 0


def _progress(done: int, of: int) -> None:
    """A line that counts up while a person watches."""
    if sys.stderr.isatty():
        print(f"\rPricing design {done} of {of}", end="\n" if done == of else "", file=sys.stderr, flush=True)


def _quote(given: argparse.Namespace) -> int:
    from quotelib.cli.shown import shown_quote
    from quotelib.quoting import quote

    rates, prices = load_shop(given)
    print(shown_quote(quote(named_job(given), rates, prices.rows), given.route, prices.currency))
    return 0


def _map(given: argparse.Namespace) -> int:
    from quotelib.cases import MOST_COLOURS, Case
    from quotelib.pictures.route_map import route_map_svg

    rates, prices = load_shop(given)
    job = named_job(given)
    colours = range(1, int(max(MOST_COLOURS, job.colours)) + 1)
    runs = int(min(10, job.good_pieces)), int(max(10_000, job.good_pieces))
    _write(given.out, route_map_svg(Case(job, rates, prices.rows), colours, runs), "the cheapest route")
    return 0


def _sheet(given: argparse.Namespace) -> int:
    from quotelib.pictures.sheet_layout import sheet_layout_svg

    rates, _ = load_shop(given)
    job = named_job(given)
    picture = sheet_layout_svg(
        rates.sheet_w_mm, rates.sheet_h_mm, job.image_w_mm, job.image_h_mm,
        rates.sheet_gutter_mm, rates.sheet_margin_mm, rates.sheet_gripper_mm,
    )  # fmt: skip
    _write(given.out, picture, "the sheet of transfers")
    return 0


def _write(target: Path, picture: str, what: str) -> None:
    write_picture(target, picture)
    print(f"Written: {target} ({what}; open it in a browser)")
