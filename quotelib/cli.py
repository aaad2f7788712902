"""The command line: `python -m quotelib VERB ...`.  Each verb imports only what it needs."""

import argparse
import json
import sys
import textwrap
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from quotelib.errors import QuoteError

WORKBOOK = Path(__file__).resolve().parent.parent / "workbook"
"""Where the shop's files lie in a checkout: price list, rates, template workbook, add-in."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a verb; 0 when all went well, 1 when an input was refused, 2 for a command that was not understood."""
    given = _parser().parse_args(arguments)
    try:
        return int(given.work(given) or 0)
    except QuoteError as refusal:
        print(f"Refused: {refusal}", file=sys.stderr)
        return 1
    except FileNotFoundError as missing:
        print(f"Refused: there is no file {missing.filename}", file=sys.stderr)
        return 1
    except BrokenPipeError:
        return 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="python -m quotelib",
        description="Quote decorated hard goods: by hand through screens, by heat transfer, or by pad.",
        epilog="Type a verb and --help for more, for example: python -m quotelib season --help",
    )
    verbs = parser.add_subparsers(metavar="VERB", required=True)

    verb = _verb(verbs, "functions", _functions, "list the functions that can be typed into cells")
    verb.add_argument("--format", choices=("table", "json"), default="table", help="a table to read, or JSON for programs")
    verb.add_argument("name", nargs="?", help="show the whole help of one function, such as SETUP_COST")

    verb = _verb(verbs, "season", _season, "price every design of a season by every route, and write it as a workbook")
    verb.add_argument("folder", type=Path, help="folder with items.csv and designs.csv")
    verb.add_argument("--out", type=Path, default=Path(), help="folder for the workbook season.xlsx (default: here)")
    _shop_files(verb)

    verb = _verb(verbs, "quote", _quote, "price one design by every route, line by line")
    verb.add_argument("design", help="name of the design in designs.csv")
    verb.add_argument("--season", type=Path, required=True, help="folder with items.csv and designs.csv")
    verb.add_argument("--run", type=int, help="good pieces, in place of the run in designs.csv")
    verb.add_argument("--route", choices=("hand", "transfer", "pad"), help="open this route (default: the cheapest)")
    _shop_files(verb)

    verb = _verb(verbs, "map", _map, "draw the cheapest route of a design over colours and run sizes, as an SVG picture")
    verb.add_argument("design", help="name of the design in designs.csv")
    verb.add_argument("--season", type=Path, required=True, help="folder with items.csv and designs.csv")
    verb.add_argument("--out", type=Path, default=Path("route-map.svg"), help="file to write (default: route-map.svg here)")
    _shop_files(verb)

    verb = _verb(verbs, "sheet", _sheet, "draw the sheet of transfers of a design, as an SVG picture")
    verb.add_argument("design", help="name of the design in designs.csv")
    verb.add_argument("--season", type=Path, required=True, help="folder with items.csv and designs.csv")
    verb.add_argument("--out", type=Path, default=Path("sheet.svg"), help="file to write (default: sheet.svg here)")
    _shop_files(verb)

    verb = _verb(verbs, "check", _check, "read the price list and the shop rates, and name every fault in them")
    _shop_files(verb)

    verb = _verb(verbs, "build", _build, "make the template workbook, the Calc add-in and the Excel module anew")
    verb.add_argument(
        "--check", action="store_true", help="change nothing; fail where a file differs from what would be made"
    )
    verb.add_argument("--into", type=Path, default=WORKBOOK, help="folder that holds them (default: workbook/)")

    from quotelib.hosts.calc import install, recalculate

    verb = _verb(verbs, "install", install.run, "install the Calc add-in for this user, or into a given profile")
    install.add_arguments(verb)
    verb = _verb(verbs, "recalculate", recalculate.run, "recalculate a workbook in LibreOffice without opening a window")
    recalculate.add_arguments(verb)
    return parser


def _verb(verbs: Any, name: str, work: Any, words: str) -> argparse.ArgumentParser:
    sentence = words[0].upper() + words[1:] + "."
    parser: argparse.ArgumentParser = verbs.add_parser(name, help=words, description=sentence)
    parser.set_defaults(work=work)
    return parser


def _shop_files(verb: argparse.ArgumentParser) -> None:
    verb.add_argument(
        "--prices", type=Path, default=WORKBOOK / "price-list.csv", help="price list (default: workbook/price-list.csv)"
    )
    verb.add_argument(
        "--rates", type=Path, default=WORKBOOK / "shop-rates.toml", help="shop rates (default: workbook/shop-rates.toml)"
    )


# --- functions ---


def described() -> list[dict[str, Any]]:
    """Every function with its arguments, ranges and help, as plain data."""
    from quotelib.docstrings import help_of
    from quotelib.registry import FUNCTIONS

    described = []
    for function in FUNCTIONS.values():
        words = help_of(function)
        arguments = [
            {
                "name": argument.name,
                "kind": argument.kind.name,
                "unit": argument.kind.unit,
                "allowed": argument.kind.allowed,
                "required": argument.required,
                "default": argument.default,
                "repeats": argument.repeats,
                "help": words.arguments[argument.name].meaning,
            }
            for argument in function.arguments
        ]
        described.append(
            {
                "name": function.cell_name,
                "chapter": function.chapter,
                "help": words.summary,
                "arguments": arguments,
                "result": {"kind": function.result.name, "unit": function.result.unit, "help": words.returns},
                "source": words.source,
                "example": list(words.example),
            }
        )
    return described


def _functions(given: argparse.Namespace) -> int:
    functions = described()
    if given.name:
        functions = [each for each in functions if each["name"] == given.name.upper()]
        if not functions:
            from quotelib.guard import reason

            print(f"Refused: {reason(given.name)}", file=sys.stderr)
            return 1
    if given.format == "json":
        print(json.dumps(functions, indent=2))
        return 0
    chapter = ""
    for each in functions:
        if each["chapter"] != chapter:
            chapter = each["chapter"]
            print(f"\n{chapter}")
        names = [one["name"] if one["required"] else f"[{one['name']}]" for one in each["arguments"]]
        print(f"  {each['name']}({', '.join(names)})")
        print(textwrap.fill(each["help"], 110, initial_indent="      ", subsequent_indent="      "))
        for one in each["arguments"] if given.name else ():
            unit = f" [{one['unit']}]" if one["unit"] else ""
            print(textwrap.fill(f"{one['name']}: {one['help']} {one['allowed'].capitalize()}{unit}.", 110,
                                initial_indent="      - ", subsequent_indent="        "))  # fmt: skip
        if given.name:
            if all(each["example"]):
                print(f"      Example: {' gives '.join(each['example'])}")
            print(f"      Source: {each['source']}")
    if not given.name:
        print(f"\n{len(functions)} functions.  python -m quotelib functions NAME shows the help of one.")
    return 0


# --- the jobs ---


def _shop(given: argparse.Namespace) -> tuple[Any, Any]:
    """The shop's rates and price list; the faults of both are told together."""
    from quotelib.errors import FileRefused
    from quotelib.pricelist import load_price_list
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


def _check(given: argparse.Namespace) -> int:
    rates, prices = _shop(given)
    codes = prices.table["code"].nunique()
    print(f"{given.prices}: {len(prices.table)} rows for {codes} codes, in {prices.currency}; no faults.")
    print(f"{given.rates}: {len(rates.entries())} rates; no faults, and every material code is in the price list.")
    return 0


def _season(given: argparse.Namespace) -> int:
    from quotelib.hosts.workbook.report import season_workbook, shown_table
    from quotelib.season import load_jobs, quote_season, season_table

    print(f"Reading {given.rates.name}, {given.prices.name} and the season in {given.folder} ...", file=sys.stderr)
    rates, prices = _shop(given)
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
    given.out.mkdir(parents=True, exist_ok=True)
    target = given.out / "season.xlsx"
    season_workbook(quotes, prices, target)
    print(f"\n{len(quotes)} designs. Costs are {prices.currency} for one good piece, all in. All figures are invented.")
    print(f"Written: {target} (the season, other run sizes, and every cost line)")
    return 0


def _progress(done: int, of: int) -> None:
    """A line that counts up while a person watches."""
    if sys.stderr.isatty():
        print(f"\rPricing design {done} of {of}", end="\n" if done == of else "", file=sys.stderr, flush=True)


def _named_job(given: argparse.Namespace) -> Any:
    """The design that was asked for, out of its season."""
    from quotelib.errors import LookupMiss
    from quotelib.season import load_jobs

    jobs = {job.design: job for job in load_jobs(given.season)}
    if given.design not in jobs:
        raise LookupMiss("design", given.design, f"it must be one of {', '.join(jobs)}")
    return jobs[given.design]


def _quote(given: argparse.Namespace) -> int:
    from dataclasses import replace

    from quotelib.hosts.workbook.report import shown_quote
    from quotelib.quoting import quote

    rates, prices = _shop(given)
    job = _named_job(given)
    if given.run is not None:
        job = replace(job, good_pieces=given.run)
    print(shown_quote(quote(job, rates, prices.rows), given.route, prices.currency))
    return 0


def _map(given: argparse.Namespace) -> int:
    from quotelib.cases import MOST_COLOURS, Case
    from quotelib.pictures import route_map_svg

    rates, prices = _shop(given)
    job = _named_job(given)
    colours = range(1, int(max(MOST_COLOURS, job.colours)) + 1)
    runs = int(min(10, job.good_pieces)), int(max(10_000, job.good_pieces))
    _write(given.out, route_map_svg(Case(job, rates, prices.rows), colours, runs), "the cheapest route")
    return 0


def _sheet(given: argparse.Namespace) -> int:
    from quotelib.pictures import sheet_layout_svg

    rates, _ = _shop(given)
    job = _named_job(given)
    picture = sheet_layout_svg(
        rates.sheet_w_mm, rates.sheet_h_mm, job.image_w_mm, job.image_h_mm,
        rates.sheet_gutter_mm, rates.sheet_margin_mm, rates.sheet_gripper_mm,
    )  # fmt: skip
    _write(given.out, picture, "the sheet of transfers")
    return 0


def _write(target: Path, picture: str, what: str) -> None:
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_text(picture, encoding="utf-8")
    print(f"Written: {target} ({what}; open it in a browser)")


def _build(given: argparse.Namespace) -> int:
    from quotelib.hosts.build import build

    differing = build(given.into, check=given.check)
    for name in differing:
        print(f"{name} differs from what the build makes" if given.check else f"made {given.into / name}")
    if given.check and not differing:
        print("Everything in the folder is as the build makes it.")
    return 1 if given.check and differing else 0
