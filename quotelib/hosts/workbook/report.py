"""What a season or a quote came to: as text to read, and as a workbook to keep."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pandas as pd
import xlsxwriter

from quotelib.cases import Case
from quotelib.errors import NoSolution
from quotelib.hosts.workbook.styles import FOOTER, STYLES
from quotelib.hosts.workbook.write import BUILT
from quotelib.prices.pricelist import PriceList
from quotelib.quoting import Quote
from quotelib.routes import ROUTES, TITLES
from quotelib.season.designs import lines_table, run_size_table, season_table
from quotelib.uncertain import Uncertain, change_overs_of, costs_of, quantile, run_at, shares


def shown_table(table: pd.DataFrame) -> str:
    """A table as aligned text: money to the cent, - where there is nothing."""
    shown = pd.DataFrame({name: [_shown(value, name) for value in table[name]] for name in table.columns})
    widths = {name: max(len(name), *(len(text) for text in shown[name])) for name in shown.columns}
    numbers = {name for name in table.columns if _is_number(table[name])}

    def row(cells: list[str]) -> str:
        aligned = (
            text.rjust(widths[name]) if name in numbers else text.ljust(widths[name])
            for name, text in zip(shown.columns, cells, strict=True)
        )
        return "  ".join(aligned).rstrip()

    lines = [row(list(shown.columns)), row(["-" * widths[name] for name in shown.columns])]
    return "\n".join(lines + [row(list(cells)) for cells in shown.itertuples(index=False)])


def _values(column: "pd.Series[Any]") -> list[Any]:
    return list(column)


def _is_number(column: "pd.Series[Any]") -> bool:
    return any(isinstance(value, (int, float)) for value in _values(column))


CHANGES = {"Change", "Adds to the cost"}
"""Columns of shares by which something moved, shown in per cent with their sign."""

PERCENT = {"Margin", "Old margin", "New margin", "Floor", "Share of the cost"} | CHANGES
"""Columns of shares, shown in per cent."""

UNIT_PRICES = {"Old price", "New price", "Adds to a piece", "Adds", "Net a piece"}
"""Columns of money for a quoting unit, which may be a tenth of a cent."""


def _decimals(column: str) -> str:
    return ",.6f" if column in UNIT_PRICES else ",.2f"


def _shown(value: Any, column: str = "") -> str:
    if value is pd.NA or value is None or value == "" or value != value:
        return "-"
    if isinstance(value, float):
        return format(value, "+.2%" if column in CHANGES else ".1%" if column in PERCENT else _decimals(column))
    return f"{value:,}" if isinstance(value, int) else str(value)


def shown_quote(quote: Quote, key: str | None, currency: str) -> str:
    """A quote as text: every route's cost, and one route opened into its lines (the cheapest, unless told)."""
    job, key = quote.job, key or quote.cheapest
    parts = [f"{job.design} on {job.item}: {job.colours:g} colours, {job.good_pieces:,.0f} good pieces, in {currency}", ""]
    rows = []
    for route in ROUTES:
        if route.key in quote.curves:
            cost = quote.unit_cost(route.key)
            note = "cheapest" if route.key == quote.cheapest else ""
            rows.append({"Route": route.title, "Run": cost * job.good_pieces, "A good piece": cost, "": note})
        else:
            rows.append({"Route": route.title, "Run": pd.NA, "A good piece": pd.NA, "": quote.refused[route.key]})
    parts += [shown_table(pd.DataFrame(rows)), "", "Cheapest route by run:"]
    parts += [f"  {first:,} to {last:,}: {TITLES[cheapest]}" for first, last, cheapest in quote.stretches]
    parts += _moves(quote)
    if key not in quote.curves:
        return "\n".join([*parts, "", f"{TITLES[key]} is not possible: {quote.refused[key]}"])
    lines = [
        {"Cost element": line.element, "Driver": line.driver, "Quantity": float(line.quantity), "Unit": line.unit,
         "Rate": f"{line.rate:.5f}", "Amount": float(line.amount), "Rate from": line.source}
        for line in quote.opened(key)
    ]  # fmt: skip
    total = sum(line.amount for line in quote.opened(key))
    parts += ["", f"{TITLES[key]}, line by line:", shown_table(pd.DataFrame(lines)), f"Sum of the lines: {total:,.2f}"]
    return "\n".join(parts)


def _moves(quote: Quote) -> list[str]:
    """The inputs that move the nearest change-over most."""
    change = quote.nearest_change_over
    if not change:
        return []
    _, before, after = change
    now, moves = Case(quote.job, quote.rates, quote.price_rows).change_over_moves(before, after, MOVE)
    if not now:
        return []
    less, more = f"{MOVE:.0%} less", f"{MOVE:.0%} more"
    shown = [
        {"Input": move.title, "Name": move.name, less: move.less or "never", more: move.more or "never"}
        for move in moves[:MOVES_SHOWN]
    ]
    heading = f"From {now:,} pieces on, {TITLES[after].lower()} costs no more than {TITLES[before].lower()}."
    return ["", heading, "What moves that most (whole inputs by one at least):", shown_table(pd.DataFrame(shown))]


def shown_range(
    case: Case, spreads: Sequence[Uncertain], key: str, price: float | None, draws: int, seed: int, currency: str
) -> str:
    """A quote as a range, as text: P10, P50 and P90 of the cost and of each change-over, a loss, and the inputs' shares."""
    job, curves = case.job, case.curves()
    if key not in curves:
        raise NoSolution("route", key, f"it cannot print {job.design}; its routes are {', '.join(curves)}")
    drawn = costs_of(case, spreads, key, draws, seed)
    outcomes = [each.outcome for each in drawn]
    heads = [f"P{100 * chance:.0f}" for chance in CHANCES]
    figures = [quantile(outcomes, chance) for chance in CHANCES]
    row = {"Figure": f"Cost of a good piece, {TITLES[key].lower()}", "As quoted": curves[key].unit_cost(job.good_pieces)}
    table = [row | dict(zip(heads, figures, strict=True))]
    run = f"{job.good_pieces:,.0f} good pieces"
    parts = [f"{job.design} on {job.item}: {run}, in {currency}; {draws:,} draws, seed {seed}", ""]
    for other in curves:
        now = case.change_over(key, other)
        if other == key or now is None:
            continue
        runs = change_overs_of(case, spreads, key, other, draws, seed)
        reached = [run_at(runs, chance) for chance in CHANCES]
        row = {"Figure": f"{TITLES[other]} is cheaper from a run of", "As quoted": now}
        table.append(row | {head: int(run) if run else "never" for head, run in zip(heads, reached, strict=True)})
    parts.append(shown_table(pd.DataFrame(table, dtype=object)))
    if price is not None:
        loss = sum(outcome > price for outcome in outcomes) / draws
        parts += ["", f"At a price of {price:,.2f}, the chance to lose money is {loss:.1%}."]
    found = sorted(zip((each.name for each in spreads), shares(drawn), strict=True), key=lambda row: -row[1])
    rows = [{"Input": name, "Share": f"{share:.1%}", "": "#" * round(40 * share)} for name, share in found]
    parts += ["", "What the spread of the cost comes from:", shown_table(pd.DataFrame(rows))]
    return "\n".join(parts)


CHANCES = (0.1, 0.5, 0.9)

MOVE = 0.1
"""How much less and more each input is taken."""

MOVES_SHOWN = 6

SHEETS = (
    ("Season", season_table, "Every design at its own run: the cost of one good piece by each route."),
    ("Run sizes", run_size_table, "The cost of one good piece at other run sizes."),
    ("Cost lines", lines_table, "Every cost opened into its lines, at the design's own run."),
)


def season_workbook(quotes: list[Quote], prices: PriceList, path: Path) -> None:
    """Write the season as a workbook: the table, other run sizes, and every cost line."""
    tables = [(title, table_of(quotes), f"{words} In {prices.currency}.") for title, table_of, words in SHEETS]
    write_tables(path, "A season, priced", tables)


def write_tables(path: Path, title: str, tables: Sequence[tuple[str, pd.DataFrame, str]]) -> None:
    """Write tables as a workbook, a sheet for each: its title, the table, and a sentence on what it shows."""
    with xlsxwriter.Workbook(str(path), {"strings_to_formulas": False, "nan_inf_to_errors": False}) as workbook:
        workbook.set_properties({"title": title, "created": BUILT})
        formats = {name: workbook.add_format(style) for name, style in STYLES.items()}
        for sheet, table, words in tables:
            _write_table(workbook.add_worksheet(sheet), table, words, formats)


def _word(value: Any, column: str) -> str:
    """The number format of a figure in a column."""
    if isinstance(value, int):
        return "count"
    if column in PERCENT:
        return "share"
    return "unit price" if column in UNIT_PRICES else "rate" if column in ("Rate", "Quantity") else "money"


def _write_table(sheet: Any, table: pd.DataFrame, words: str, formats: dict[str, Any]) -> None:
    sheet.write_string(0, 0, sheet.get_name(), formats["title"])
    sheet.write_string(1, 0, f"{words} All names and figures are invented.", formats["note"])
    for column, name in enumerate(table.columns):
        values = list(table[name])
        number = _is_number(table[name])
        sheet.write_string(3, column, name, formats["columns right" if number else "columns text"])
        for row, value in enumerate(values, 4):
            if _shown(value) == "-":
                sheet.write_blank(row, column, None, formats["result text"])
            elif number:
                sheet.write_number(row, column, value, formats[f"result {_word(value, name)}"])
            else:
                sheet.write_string(row, column, str(value), formats["result text"])
        longest = max((len(_shown(value, name)) for value in values), default=0)
        sheet.set_column(column, column, min(max(len(name), longest) + 2, 40))
    sheet.autofilter(3, 0, 3 + len(table), len(table.columns) - 1)
    sheet.freeze_panes(4, 1)
    sheet.repeat_rows(3)
    sheet.set_landscape()
    sheet.set_paper(9)
    sheet.fit_to_pages(1, 0)
    sheet.hide_gridlines(2)
    sheet.set_footer(FOOTER)
