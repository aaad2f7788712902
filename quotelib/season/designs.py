"""A whole season: every design on its item, by every route, at its own run and at others.

Two files: the items with the ways each can be printed, and the designs with their item, colours, image and run.
"""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from quotelib.files.readers import rows_by_kind
from quotelib.files.tables import read_table
from quotelib.job import Job
from quotelib.kinds import LABEL, SPREADS
from quotelib.quoting import Quote, quote
from quotelib.rates import ShopRates
from quotelib.routes import ROUTES, TITLES

JOB_KINDS = {each.name: each.kind for each in Job.entries()}
ITEM_KINDS = {"item": LABEL, "description": LABEL} | {
    name: JOB_KINDS[name] for name in ("blank_code", "hand_possible", "transfer_possible", "pad_possible")
}
DESIGN_KINDS = {
    name: JOB_KINDS[name]
    for name in (
        "design", "item", "colours", "image_w_mm", "image_h_mm", "coverage", "hand_colours", "transfer_code",
        "good_pieces", "runs_expected", "quote_day",
    )
}  # fmt: skip
"""What the columns of the two files hold, in their order."""

SPREAD_KINDS = dict(SPREADS.columns)

RUN_SIZES = (50, 100, 200, 400, 700, 1000, 2000, 5000)
"""Run sizes at which a season is priced, besides each design's own."""


def load_jobs(folder: str | Path) -> list[Job]:
    """The jobs of a season, from `items.csv` and `designs.csv` in a folder.

    Raises FileRefused with every fault of the file, by line.
    """
    items = read_table(Path(folder) / "items.csv", refuse=False)
    by_item: dict[str, dict[str, Any]] = {}
    for number, item in rows_by_kind(items, ITEM_KINDS):
        if item.get("item") in by_item:
            items.faults.cell(number, 0, "item", item["item"], "it must stand once in the file")
        by_item[item.get("item", "")] = item
    items.faults.refuse()
    designs = read_table(Path(folder) / "designs.csv", refuse=False)
    jobs: list[Job] = []
    names: set[str] = set()
    for number, design in rows_by_kind(designs, DESIGN_KINDS):
        if design.get("design") in names:
            designs.faults.cell(number, 0, "design", design["design"], "it must stand once in the file")
        names.add(design.get("design", ""))
        if "item" in design and design["item"] not in by_item:
            wanted = f"it must be one of items.csv: {', '.join(by_item)}"
            designs.faults.cell(number, 1, "item", design["item"], wanted)
        elif len(design) == len(DESIGN_KINDS):
            given = design | by_item[design["item"]]
            jobs.append(Job(**{name: given[name] for name in JOB_KINDS}))
    designs.faults.refuse()
    return jobs


def load_spreads(path: str | Path, present: Callable[[str], float]) -> list[tuple[str, float, float, float]]:
    """The uncertain inputs of a CSV file: name, least, likely, most; a likely left blank is the present value.

    `present` gives the present value of an input, 1 for a code of the price list.  Raises FileRefused with every fault.
    """
    table = read_table(path, refuse=False)
    rows = rows_by_kind(table, SPREAD_KINDS, may_be_blank=("likely",))
    table.faults.refuse()
    return [
        (row["name"], row["least"], row["likely"] if "likely" in row else present(row["name"]), row["most"])
        for _, row in rows
    ]


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
