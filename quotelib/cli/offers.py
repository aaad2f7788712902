"""`offer`, `history`: a supplier's price file against the shop's list, and the list as it was known on a day."""

import argparse
import datetime
import sys
from decimal import Decimal
from pathlib import Path
from typing import Any

from quotelib.cli.verbs import add_prices, add_shop_file, add_verb, day, in_columns

MOST_SHOWN = 20
"""Articles without a code that are shown; the others are counted."""


def add_verbs(verbs: Any) -> None:
    """Add the verbs to the command line."""
    words = "show what a supplier's price file changes in the shop's list; with --yes, write it"
    verb = add_verb(verbs, "offer", _offer, words)
    verb.add_argument("file", type=Path, help="the supplier's file, CSV or .xlsx")
    verb.add_argument("--mapping", type=Path, required=True, help="TOML file that says how his files are read")
    add_prices(verb)
    add_shop_file(verb, "--exchange-rates", "exchange-rates.csv", "CSV of date, from, to, rate, both ways, source")
    verb.add_argument("--oldest-rate", type=int, default=31, metavar="DAYS", help="days a rate may be old (default: 31)")
    verb.add_argument("--valid-from", type=day, metavar="DAY", help="first day of the prices, where the file has none")
    verb.add_argument(
        "--factor",
        type=_factor,
        default=Decimal(5),
        help="a price so many times the last one or a fraction of it must be confirmed (default: 5)",
    )
    verb.add_argument(
        "--confirm",
        action="append",
        default=[],
        metavar="CODE",
        help="a code whose new price is right, however far it moved",
    )
    verb.add_argument(
        "--take-good", type=Path, metavar="REST", help="take the good rows, and list the refused ones in this file"
    )
    verb.add_argument("--all", action="store_true", help="show unchanged prices too")
    verb.add_argument("--yes", action="store_true", help="write the merged list; without it nothing is written")
    _add_day(verb, "day of the merge")

    verb = add_verb(
        verbs, "history", _history, "show what was done to the price list, and the list as it was known on a day"
    )
    add_prices(verb)
    verb.add_argument("--on", type=day, metavar="DAY", help="show the list as it was known at the end of this day")
    verb.add_argument("--code", help="show this code only (as known on --on, or else on --day)")
    verb.add_argument("--keep", metavar="WHY", help="keep the list as it stands, after a change by hand")
    _add_day(verb, "day of the entry")


def _add_day(verb: argparse.ArgumentParser, words: str) -> None:
    verb.add_argument("--day", type=day, default=datetime.date.today(), help=f"{words} (default: today)")


def _factor(text: str) -> Decimal:
    from quotelib.files.faults import Refusal
    from quotelib.files.readers import number
    from quotelib.kinds import NumberKind

    found = number(NumberKind("factor", "", above=1, most=1e6))(text)
    if isinstance(found, Refusal):
        raise argparse.ArgumentTypeError(f"{text!r}: {found}")
    return found


def _offer(given: argparse.Namespace) -> int:
    from quotelib.kinds import WAIT_DAYS
    from quotelib.prices.currencies import load_exchange_rates
    from quotelib.prices.history import PriceHistory
    from quotelib.prices.mappings import load_mapping
    from quotelib.prices.merging import plan_merge
    from quotelib.prices.shoplist import read_shop_list
    from quotelib.prices.suppliers import read_supplier_file

    oldest = int(WAIT_DAYS.admit("--oldest-rate", given.oldest_rate))
    mapping = load_mapping(given.mapping, given.valid_from)
    shop = read_shop_list(given.prices)
    file = read_supplier_file(given.file, mapping, shop.materials)
    foreign = any(offer.currency != shop.currency for offer in file.offers)
    rates = load_exchange_rates(given.exchange_rates) if foreign else None
    plan = plan_merge(shop, file, rates, given.day, oldest, given.factor, given.confirm)
    history = PriceHistory(given.prices)
    _show(plan, given.all)
    before = history.merged_before(file.sha256)
    if before:
        print(f"\nThis very file was merged on {before.day} (entry {before.number} of the history).")
    if plan.refused and not given.take_good:
        rows = _counted(len(plan.refused), "row")
        print(f"\nRefused: {rows} of {given.file}, so nothing is written.", file=sys.stderr)
        print("Put them right, or take the others with --take-good REST.csv.", file=sys.stderr)
        return 1
    if plan.changes_nothing:
        print("\nNothing to write: the list has all of it already.")
    elif not given.yes:
        print("\nNothing was written. Add --yes to write it.")
    if not given.yes:
        return 0
    if plan.refused:
        _list_the_rest(plan, given.take_good)
        print(f"Written: {given.take_good} ({_counted(len(plan.refused), 'row')} that were not taken)")
    entry = history.merge(plan)
    if entry:
        print(f"\nWritten: {given.prices}, {len(plan.rows)} rows; kept as entry {entry.number} in {history.folder}.")
    return 0


def _show(plan: Any, unchanged_too: bool) -> None:
    """The plan as tables to read."""
    from quotelib.prices.currencies import CURRENCIES

    decimals = CURRENCIES[plan.shop.currency] + 2

    def money(amount: Decimal | None) -> str:
        if amount is None:
            return ""
        text = f"{amount:.{decimals}f}"
        return text[:-2] if text.endswith("00") and decimals > 2 else text

    shown = [change for change in plan.changes if unchanged_too or change.what != "unchanged"]
    print(
        f"{plan.file.mapping.supplier}: {plan.file.table.file} against {plan.shop.path}, in {plan.shop.currency} a pack.\n"
    )
    rows = [
        (
            change.what, change.code, change.pack, str(change.from_quantity), money(change.was), money(change.now),
            "" if change.percent is None else f"{change.percent:+.1f} %",
            str(change.first), change.why,
        )
        for change in shown
    ]  # fmt: skip
    if rows:
        print(in_columns(("what", "code", "pack", "from", "was", "now", "change", "on", "why"), rows, right=(3, 4, 5, 6)))
    if plan.refused:
        print("\nNot taken:")
        for refused in plan.refused:
            for reason in refused.reasons:
                print(f"  {reason}")
    if plan.file.unmapped:
        print(f"\nArticles without a code in {plan.file.mapping.file}:")
        for each in plan.file.unmapped[:MOST_SHOWN]:
            print(f"  {plan.file.place(each.row)}: {each.article or '(no number)'}  {each.description}".rstrip())
        if len(plan.file.unmapped) > MOST_SHOWN:
            print(f"  and {len(plan.file.unmapped) - MOST_SHOWN} more")
    if plan.file.absent:
        print(f"\nArticles of {plan.file.mapping.file} that the file does not have: {', '.join(plan.file.absent)}")
    for rate in plan.rates:
        asked = rate.day + datetime.timedelta(rate.age_days)
        print(
            f"\nExchange rate for {asked}: {rate}, {_counted(rate.age_days, 'day')} old, {rate.source} ({plan.rates_file})"
        )
    for notice in plan.notices:
        print(f"\nNote: {notice}")
    print("\n" + ", ".join(f"{count} {what}" for what, count in plan.counts.items()) + ".")


def _list_the_rest(plan: Any, path: Path) -> None:
    """The refused rows as the supplier wrote them, each with its reasons, in a file that is not there yet."""
    from quotelib.errors import RangeError
    from quotelib.files.replacing import write_whole
    from quotelib.prices.history import as_csv

    if path.exists():
        raise RangeError("--take-good", str(path), "it must be a file that is not there yet")
    table = plan.file.table
    cells = {row.number: row.cells for row in table.rows}
    rows = [
        (str(refused.row), refused.code, "; ".join(refused.reasons), *cells.get(refused.row, ()))
        for refused in plan.refused
    ]
    write_whole(path, as_csv([(table.counted, "code", "why", *table.header), *rows]))


def _history(given: argparse.Namespace) -> int:
    from quotelib.kinds import LABEL
    from quotelib.prices.history import PriceHistory
    from quotelib.prices.shoplist import read_shop_list

    history = PriceHistory(given.prices)
    if given.keep is not None:
        LABEL.admit("--keep", given.keep)
        entry = history.keep(given.day, given.keep)
        print(
            f"Kept as entry {entry.number} in {history.folder}." if entry else "The last entry has the list as it stands."
        )
        return 0
    if given.on or given.code is not None:
        return _show_known(history, given.on or given.day, given.code)
    if not history.entries:
        read_shop_list(given.prices)  # a list that is not there, or has faults, is another matter
        print(f"{given.prices} has no history yet: a merge makes the first entry, or --keep.")
        return 0
    columns = ("number", "day", "what", "file", "new", "changed", "corrected", "ended", "withdrawn", "refused")
    rows = []
    for entry in history.entries:
        cells = {column: str(getattr(entry, column)) for column in columns}
        cells["file"] = f"{entry.file} {entry.file_sha256[:12]}".strip()
        rows.append((*cells.values(), "" if entry.state == "done" else entry.state))
    print(in_columns((*columns, ""), rows, right=(0, 4, 5, 6, 7, 8, 9)))
    if history.changed_since:
        print("\nThe list was changed since the last entry, and not by a merge. Keep it with --keep WHY.")
    return 0


def _show_known(history: Any, day: datetime.date, code: str | None) -> int:
    """The prices of a day, as they were known then."""
    from quotelib.errors import LookupMiss
    from quotelib.prices.shoplist import read_shop_list

    entry, path = history.known_on(day)
    known_rows = read_shop_list(path).rows
    codes = dict.fromkeys(row["code"] for row in known_rows)
    if code is not None and code.casefold() not in map(str.casefold, codes):
        raise LookupMiss("--code", code, f"it must be one of {', '.join(codes)}")
    rows = [
        (row["code"], f"{row['pack quantity']} {row['pack unit']}", row["from quantity"], row["price"], row["valid from"],
         row["valid to"], row["supplier"])
        for row in known_rows
        if row.holds_on(day) and (code is None or row.code == code.casefold())
    ]  # fmt: skip
    print(in_columns(("code", "pack", "from", "price", "valid from", "valid to", "supplier"), rows, right=(2, 3)))
    known = f"entry {entry.number} of {entry.day}" + ", the first that was kept" * (day < entry.day)
    print(f"\n{_counted(len(rows), 'price')} that held on {day}, as known then: {known}.")
    print(f"The whole list of that entry is {path}; any verb takes it with --prices.")
    return 0


def _counted(number: int, what: str) -> str:
    return f"{number} {what}{'s' * (number != 1)}"
