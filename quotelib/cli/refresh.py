"""`refresh`: the price sheet of a workbook that is closed, from the shop's price list."""

import argparse
import datetime
from pathlib import Path
from typing import Any

from quotelib.cli.verbs import WORKBOOK, add_verb


def add_verbs(verbs: Any) -> None:
    """Add the verb to the command line."""
    words = "put the shop's prices into the price sheet of a workbook that is closed; everything else in it stays"
    verb = add_verb(verbs, "refresh", _refresh, words)
    verb.add_argument("workbook", type=Path, nargs="+", help="the .xlsx or .xlsm workbook, or several")
    verb.add_argument(
        "--prices", type=Path, help="price list (default: the one that the workbook names, or else workbook/price-list.csv)"
    )
    verb.add_argument("--dry-run", action="store_true", help="say what would change, and change nothing")


def _refresh(given: argparse.Namespace) -> int:
    refused = 0
    for path in given.workbook:
        refused += not _refreshed(path, given.prices, given.dry_run, several=len(given.workbook) > 1)
    return 1 if refused else 0


def _refreshed(path: Path, prices: Path | None, dry_run: bool, several: bool) -> bool:
    """Refresh one workbook and say what was done; whether it was."""
    import sys

    from quotelib.errors import QuoteError

    try:
        for line in refreshed(path, prices, dry_run):
            print(line)
    except (QuoteError, FileNotFoundError) as refusal:
        if not several:
            raise
        print(f"Refused: {refusal}", file=sys.stderr)
        return False
    return True


def refreshed(path: Path, prices: Path | None, dry_run: bool) -> list[str]:
    """Refresh one workbook, and what to say about it."""
    from quotelib.hosts.xlsx.refresh import closed_workbook
    from quotelib.prices import pricesheet
    from quotelib.prices.pricelist import load_price_list

    with closed_workbook(path) as book:
        usual = WORKBOOK / "price-list.csv"
        source = prices or pricesheet.file_to_read(book.stated(), book.folder, usual) or usual
        prices_read = load_price_list(source)
        stated = pricesheet.stated_of(prices_read, datetime.date.today())
        stated[pricesheet.PRICE_FILE] = pricesheet.stated_file(source.absolute(), book.stated(), book.folder)
        done = book.refresh(pricesheet.rows_of(prices_read), stated, dry_run)
    lines = [f"{path}: {pricesheet.closing_sentence(source, prices_read.currency, done.changes)}"]
    if done.not_stated:
        lines.append(
            f"  Left as they are: the cells named {', '.join(done.not_stated)}; they are not above the list, or formulas."
        )
    if done.by_address:
        lines.append("  These refer to prices by address, and some prices now stand elsewhere; look them over:")
        lines += [f"    {where}" for where in done.by_address]
    if done.backup is None:
        return [*lines, "  Nothing was written (--dry-run)."]
    lines.append(f"  The workbook as it was: {done.backup}")
    return [*lines, "  Excel works its formulas out anew when it opens it; in Calc press Ctrl+Shift+F9 once."]
