"""A whole season: every design on its item, by every route, at its own run and at others.

Two files: the items with the ways each can be printed, and the designs with their item, colours, image and run.
"""

import datetime
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from quotelib.errors import FileRefused
from quotelib.job import Job
from quotelib.kinds import DayKind, FlagKind, NumberKind
from quotelib.quoting import Quote, quote
from quotelib.rates import ShopRates
from quotelib.routes import ROUTES, TITLES

ITEM_COLUMNS = ("item", "description", "blank_code", "hand_possible", "transfer_possible", "pad_possible")
DESIGN_COLUMNS = (
    "design", "item", "colours", "image_w_mm", "image_h_mm", "coverage", "hand_colours", "transfer_code",
    "good_pieces", "runs_expected", "quote_day",
)  # fmt: skip

SPREAD_COLUMNS = ("name", "least", "likely", "most")

RUN_SIZES = (50, 100, 200, 400, 700, 1000, 2000, 5000)
"""Run sizes at which a season is priced, besides each design's own."""


def load_jobs(folder: str | Path) -> list[Job]:
    """The jobs of a season, from `items.csv` and `designs.csv` in a folder.

    Raises FileRefused with every fault of either file, by line.
    """
    items = _read(Path(folder) / "items.csv", ITEM_COLUMNS)
    designs = _read(Path(folder) / "designs.csv", DESIGN_COLUMNS)
    by_item = {str(row["item"]): row for row in _rows(items)}
    jobs, faults = [], []
    for line, row in enumerate(_rows(designs), 2):
        item = by_item.get(row["item"])
        if item is None:
            faults.append(f"line {line}: item is {row['item']!r}; it must be one of items.csv: {', '.join(by_item)}")
            continue
        given: dict[str, Any] = row | item
        given = {entry.name: _typed(entry.kind, given[entry.name]) for entry in Job.entries()}
        wrong = Job.faults_of(given, f"line {line}: ")
        faults += wrong
        if not wrong:
            jobs.append(Job(**given))
    if faults:
        raise FileRefused(str(Path(folder) / "designs.csv"), faults)
    return jobs


def load_spreads(path: str | Path, record_of: Callable[[str], Any]) -> list[tuple[str, float, float, float]]:
    """The uncertain inputs of a CSV file: name, least, likely, most; a likely left blank is the present value.

    `record_of` gives the present value of an input, 1 for a code of the price list.  Raises FileRefused with every fault.
    """
    rows: list[tuple[str, float, float, float]] = []
    faults = []
    for line, row in enumerate(_rows(_read(Path(path), SPREAD_COLUMNS)), 2):
        figures: list[float] = []
        for column in SPREAD_COLUMNS[1:]:
            text = row[column].strip()
            try:
                figures.append(float(text if text or column != "likely" else record_of(row["name"])))
            except ValueError:
                faults.append(f"line {line}: {column} is {text!r}; it must be a number")
        if len(figures) == 3:
            rows.append((row["name"].strip(), figures[0], figures[1], figures[2]))
    if faults:
        raise FileRefused(str(path), faults)
    return rows


def _read(path: Path, columns: tuple[str, ...]) -> pd.DataFrame:
    """A CSV file with just these columns, every cell as text."""
    try:
        table = pd.read_csv(path, dtype=str, keep_default_na=False, encoding="utf-8-sig")
    except (UnicodeDecodeError, pd.errors.ParserError, pd.errors.EmptyDataError) as fault:
        raise FileRefused(str(path), [f"it cannot be read as CSV: {fault}"]) from None
    if tuple(table.columns) != columns:
        raise FileRefused(str(path), [f"its columns are {', '.join(table.columns)}; they must be {', '.join(columns)}"])
    return table


def _rows(table: pd.DataFrame) -> list[dict[str, Any]]:
    return [{str(name): cell for name, cell in row.items()} for row in table.to_dict("records")]


def _typed(kind: Any, text: str) -> Any:
    """The text of a cell as what its kind expects; left as text, to be refused, where it is not that."""
    words = {"TRUE": True, "FALSE": False}
    try:
        if isinstance(kind, NumberKind):
            return float(text)
        if isinstance(kind, FlagKind):
            return words[text.upper()]
        if isinstance(kind, DayKind):
            return datetime.date.fromisoformat(text)
    except (ValueError, KeyError):
        return text
    return text


def quote_season(
    jobs: list[Job], rates: ShopRates, price_rows: Any, progress: Callable[[int, int], None] | None = None
) -> list[Quote]:
    """Every job quoted; `progress` is told how many are done."""
    quotes = []
    for done, job in enumerate(jobs, 1):
        quotes.append(quote(job, rates, price_rows))
        if progress:
            progress(done, len(jobs))
    return quotes


def season_table(quotes: list[Quote]) -> pd.DataFrame:
    """One row for each design: what it costs by each route, which is cheapest, and where that changes."""
    rows = []
    for each in quotes:
        row: dict[str, Any] = {"Design": each.job.design, "Item": each.job.item}
        row |= {"Colours": int(each.job.colours), "Run": int(each.job.good_pieces)}
        row |= {TITLES[key]: each.unit_cost(key) if key in each.curves else np.nan for key in TITLES}
        row["Cheapest"] = TITLES[each.cheapest]
        change = each.nearest_change_over
        row["Break-even run"] = change[0] if change else pd.NA
        row["There it changes"] = f"{TITLES[change[1]]} to {TITLES[change[2]].lower()}" if change else ""
        rows.append(row)
    return pd.DataFrame(rows)


def run_size_table(quotes: list[Quote], run_sizes: tuple[int, ...] = RUN_SIZES) -> pd.DataFrame:
    """Unit cost of every design by every possible route at a row of run sizes."""
    runs = np.array(run_sizes, dtype=float)
    rows = []
    for each in quotes:
        for route in ROUTES:
            if route.key in each.curves:
                costs = each.unit_cost(route.key, runs)
                named = {str(run): cost for run, cost in zip(run_sizes, costs, strict=True)}
                rows.append({"Design": each.job.design, "Item": each.job.item, "Route": route.title} | named)
    return pd.DataFrame(rows)


def lines_table(quotes: list[Quote]) -> pd.DataFrame:
    """Every cost line of every design by every possible route at its own run: the figures opened up."""
    rows = []
    for each in quotes:
        for route in ROUTES:
            if route.key in each.curves:
                start = {"Design": each.job.design, "Route": route.title}
                rows += [start | line._asdict() for line in each.opened(route.key)]
    table = pd.DataFrame(rows)
    return table.rename(columns={name: name.replace("_", " ").capitalize() for name in table.columns})
