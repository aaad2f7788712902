"""Saving quotes so that two people at once lose nothing, and quoting again with the difference explained."""

import contextlib
import datetime
import os
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import pandas as pd

from quotelib.errors import FileRefused
from quotelib.files.replacing import write_whole
from quotelib.kinds import day_number, day_of
from quotelib.quotes.register import FiledQuote, drawn_up, quote_text
from quotelib.quoting import quote
from quotelib.rates import ShopRates
from quotelib.routes import TITLES

LOCK_SECONDS = 10.0
"""How long a save waits for another's to end."""

ASIDE = "not-saved"
"""The folder in which a quote is kept that could not be saved over another's changes."""


def save_new(filed: FiledQuote, folder: Path) -> Path:
    """File a new quote under its number.

    Raises FileRefused where there is a file of that name already; it stays as it is.
    """
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"{filed.terms.number}.toml"
    with _alone(path):
        if path.exists():
            raise FileRefused(str(path), [f"{path.name} is there already; number must be one that no quote has"])
        write_whole(path, quote_text(filed).encode())
    return path


def save_changed(filed: FiledQuote, path: Path, read: bytes) -> None:
    """Save a quote over the file it was read from, where that file still holds the bytes that were read.

    Raises FileRefused where someone else has changed it since: theirs stays, and this one is kept in the folder `not-saved`
    beside it.
    """
    with _alone(path):
        if path.exists() and path.read_bytes() == read:
            write_whole(path, quote_text(filed).encode())
            return
        aside = path.parent / ASIDE
        aside.mkdir(exist_ok=True)
        kept = aside / f"{path.stem}-{time.time_ns()}.toml"
        write_whole(kept, quote_text(filed).encode())
    raise FileRefused(
        str(path), [f"someone changed it since it was read; theirs stays, and yours is kept as {aside.name}/{kept.name}"]
    )


@contextlib.contextmanager
def _alone(path: Path) -> Iterator[None]:
    """Hold the file's lock; a lock that stays is named, so that a person can decide."""
    lock = path.with_name(f".{path.name}.lock")
    until = time.monotonic() + LOCK_SECONDS
    while True:
        try:
            os.close(os.open(lock, os.O_CREAT | os.O_EXCL | os.O_WRONLY))
            break
        except FileExistsError:
            if time.monotonic() > until:
                words = f"someone else is saving it; should nobody be, delete the file {lock.name} beside it"
                raise FileRefused(str(path), [words]) from None
            time.sleep(0.02)
    try:
        yield
    finally:
        lock.unlink(missing_ok=True)


def quoted_again(filed: FiledQuote, number: str, day: datetime.date, rates: ShopRates, price_rows: Any) -> FiledQuote:
    """The same job and terms at the rates and prices of another day, as a new quote that holds as many days."""
    job = filed.job.changed("quote_day", day_number(day))
    open_days = filed.terms.valid_until - filed.job.quote_day
    terms = filed.terms.changed("number", number).changed("state", "open")
    terms = terms.changed("valid_until", job.quote_day + open_days)
    return drawn_up(terms, job, filed.price, rates, price_rows)


def difference(filed: FiledQuote, again: FiledQuote, rates: ShopRates, price_rows: Any) -> pd.DataFrame:
    """Why a quote comes to something else now: by rates, by each code of the price list, and by profit and rounding.

    Money for a good piece; the rows add up to the difference of the net prices.  What is left of the old cost at today's
    rates and the old day's prices, as the list has them now, is the change of rates.
    """
    key, pieces = filed.terms.route, filed.job.good_pieces
    then, now = quote(filed.job, rates, price_rows), quote(again.job, rates, price_rows)
    rows = [("Shop's rates, and prices corrected since", then.curve_of(key).unit_cost(pieces) - filed.reckoning.unit_cost)]
    moved = then.moved(key, now)
    rest = moved.pop("", None)
    rows += sorted(((f"Price of {code}", added) for code, added in moved.items()), key=lambda row: -abs(row[1]))
    if rest is not None:
        rows.append(("What rejects fetch, and the like", rest))
    explained = sum(added for _, added in rows)
    rows.append(("Profit, commission, charges and rounding", again.net_price - filed.net_price - explained))
    rows.append(("Difference of the net price", again.net_price - filed.net_price))
    return pd.DataFrame(rows, columns=["For a good piece", "Adds"])


def register_table(quotes: Sequence[FiledQuote]) -> pd.DataFrame:
    """A row for each quote; one beside the other, they can be compared."""
    rows = []
    for filed in quotes:
        terms, job = filed.terms, filed.job
        days = (day_of(int(job.quote_day)).isoformat(), day_of(int(terms.valid_until)).isoformat())
        what = (job.design, job.item, TITLES[terms.route], int(job.colours), int(job.good_pieces))
        money = (float(filed.lines[0].rate), filed.net_price, float(filed.net), float(filed.total))
        margin = filed.margin(filed.reckoning.unit_cost)
        rows.append((terms.number, terms.customer, terms.state, *days, *what, *money, margin, terms.currency))
    names = ["Number", "Customer", "State", "Date", "Valid until", "Design", "Item", "Route", "Colours", "Run"]
    return pd.DataFrame(rows, columns=[*names, "Unit price", "Net a piece", "Net", "Total", "Margin", "Currency"])
