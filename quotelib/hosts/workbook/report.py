"""Tables as a workbook to keep: a season, a register, what moved."""

import io
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pandas as pd
import xlsxwriter

from quotelib.files.replacing import write_whole
from quotelib.hosts.workbook.styles import FOOTER, OWN_FOOTER, STYLES
from quotelib.hosts.workbook.write import BUILT
from quotelib.prices.pricelist import PriceList
from quotelib.quoting import Quote
from quotelib.season.designs import lines_table, run_size_table, season_table


def holds_numbers(column: "pd.Series[Any]") -> bool:
    """Whether a column holds figures, and so stands to the right."""
    values: list[Any] = list(column)
    return any(isinstance(value, (int, float)) for value in values)


CHANGES = {"Change", "Adds to the cost"}
"""Columns of shares by which something moved, shown in per cent with their sign."""

PERCENT = {"Margin", "Old margin", "New margin", "Floor", "Share of the cost"} | CHANGES
"""Columns of shares, shown in per cent."""

UNIT_PRICES = {"Old price", "New price", "Adds to a piece", "Adds", "Net a piece"}
"""Columns of money for a quoting unit, which may be a tenth of a cent."""


def _decimals(column: str) -> str:
    return ",.6f" if column in UNIT_PRICES else ",.2f"


def figure_text(value: Any, column: str = "") -> str:
    """A cell as text: money to the cent, - where there is nothing."""
    if value is pd.NA or value is None or value == "" or value != value:
        return "-"
    if isinstance(value, float):
        return format(value, "+.2%" if column in CHANGES else ".1%" if column in PERCENT else _decimals(column))
    return f"{value:,}" if isinstance(value, int) else str(value)


SHEETS = (
    ("Season", season_table, "Every design at its own run: the cost of one good piece by each route."),
    ("Run sizes", run_size_table, "The cost of one good piece at other run sizes."),
    ("Cost lines", lines_table, "Every cost opened into its lines, at the design's own run."),
)


def season_workbook(quotes: list[Quote], prices: PriceList, path: Path) -> None:
    """Write the season as a workbook: the table, other run sizes, and every cost line."""
    tables = [(title, table_of(quotes), f"{words} In {prices.currency}.") for title, table_of, words in SHEETS]
    write_tables(path, "A season, priced", tables, prices.invented)


def write_tables(path: Path, title: str, tables: Sequence[tuple[str, pd.DataFrame, str]], invented: bool) -> None:
    """Write tables as a workbook, a sheet for each: its title, the table, and a sentence on what it shows.

    The file is there whole or not at all, and its folder is made if need be; `invented` figures are marked on every page.
    """
    written = io.BytesIO()
    with xlsxwriter.Workbook(written, {"strings_to_formulas": False, "nan_inf_to_errors": False}) as workbook:
        workbook.set_properties({"title": title, "created": BUILT})
        formats = {name: workbook.add_format(style) for name, style in STYLES.items()}
        for sheet, table, words in tables:
            page = workbook.add_worksheet(sheet)
            _write_table(page, table, f"{words} All names and figures are invented." if invented else words, formats)
            page.set_footer(FOOTER if invented else OWN_FOOTER)
    path.parent.mkdir(parents=True, exist_ok=True)
    write_whole(path, written.getvalue())


def _word(value: Any, column: str) -> str:
    """The number format of a figure in a column."""
    if isinstance(value, int):
        return "count"
    if column in PERCENT:
        return "share"
    return "unit price" if column in UNIT_PRICES else "rate" if column in ("Rate", "Quantity") else "money"


def _write_table(sheet: Any, table: pd.DataFrame, words: str, formats: dict[str, Any]) -> None:
    sheet.write_string(0, 0, sheet.get_name(), formats["title"])
    sheet.write_string(1, 0, words, formats["note"])
    for column, name in enumerate(table.columns):
        values = list(table[name])
        number = holds_numbers(table[name])
        sheet.write_string(3, column, name, formats["columns right" if number else "columns text"])
        for row, value in enumerate(values, 4):
            if figure_text(value) == "-":
                sheet.write_blank(row, column, None, formats["result text"])
            elif number:
                sheet.write_number(row, column, value, formats[f"result {_word(value, name)}"])
            else:
                sheet.write_string(row, column, str(value), formats["result text"])
        longest = max((len(figure_text(value, name)) for value in values), default=0)
        sheet.set_column(column, column, min(max(len(name), longest) + 2, 40))
    sheet.autofilter(3, 0, 3 + len(table), len(table.columns) - 1)
    sheet.freeze_panes(4, 1)
    sheet.repeat_rows(3)
    sheet.set_landscape()
    sheet.set_paper(9)
    sheet.fit_to_pages(1, 0)
    sheet.hide_gridlines(2)
