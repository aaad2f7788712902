"""Reorders: how much to order each time by price breaks, and lot sizes over known demand beside the rule of thumb."""

from dataclasses import dataclass
from typing import Any, ClassVar

from quotelib.chapters.lots import lots_stock, silver_meal_extra, silver_meal_lots, wagner_whitin_lots
from quotelib.chapters.reorders import AT_ONCE, band_orders, best_order, order_costs
from quotelib.formula import Formula, Name, builtin
from quotelib.hosts.workbook.charts import GRID, SCATTER, chart_of, line, series
from quotelib.hosts.workbook.layout import ON_JOB, area, faultless, page, put_block, reason_if, shown_if
from quotelib.hosts.workbook.model import Book, Sheet, place
from quotelib.hosts.workbook.styles import INK, PINE
from quotelib.kinds import (
    AnnualOutput,
    AnnualPieces,
    AnnualRate,
    Flag,
    Money,
    PieceCount,
    PositiveMoney,
    StorageCost,
)
from quotelib.records import Record, entry

TITLE = "Reorders"


@dataclass(frozen=True)
class ReorderInputs(Record):
    """What is ordered again and again, evenly over the year."""

    what: ClassVar[str] = "reorder"

    reorder_annual: AnnualPieces = entry("Pieces a year", "Pieces or transfers used in a year, evenly.")
    reorder_cost: PositiveMoney = entry("Cost of an order", "Set-up charge, paperwork, freight and receiving of one order.")
    reorder_holding_rate: AnnualRate = entry("Holding", "Yearly cost of holding, as a share of the price paid.")
    reorder_storage: StorageCost = entry("Storage", "Yearly cost of a piece in stock beside that, such as its place.")
    reorder_incremental: Flag = entry("Incremental", "TRUE where each price holds only for its own stretch of the order.")
    reorder_made: Flag = entry(
        "Made here", "TRUE where a run comes in piece by piece while it is used; FALSE: all at once."
    )
    reorder_output: AnnualOutput = entry("Output", "Pieces a year that would come in if it were made without a stop.")


@dataclass(frozen=True)
class LotInputs(Record):
    """What a lot and its stock cost, where the demand of each period is known."""

    what: ClassVar[str] = "lot"

    lot_setup: Money = entry("Cost of a lot", "What a lot costs whatever its size.")
    lot_holding: Money = entry("Holding a piece", "Cost of a piece in stock at the end of a period.")
    lot_starting: PieceCount = entry("Stock at the start", "Pieces there are before the first period; used first.")
    lot_final: PieceCount = entry("Stock at the end", "Pieces there shall be after the last period.")


EXAMPLE = ReorderInputs(
    reorder_annual=5200, reorder_cost=58, reorder_holding_rate=0.22, reorder_storage=0.03, reorder_incremental=False,
    reorder_made=False, reorder_output=40_000,
)  # fmt: skip
LOT_EXAMPLE = LotInputs(lot_setup=58, lot_holding=0.06, lot_starting=150, lot_final=100)

BREAKS: tuple[tuple[Any, Any], ...] = ((100, 1.84), (250, 1.12), (500, 0.81), (1000, 0.61), (2500, 0.49), ("", ""))
"""Invented prices of a bought transfer of four colours."""

ORDERS = (250, 350, 499, 500, 600, 750, 999, 1000, 1250, 1500, 2000, 2499, 2500, 3000, 3500, 4000, 5000, 6000)
"""Sizes of order in the table; the user may type others."""

DEMANDS = (
    410, 0, 260, 90, 0, 0, 480, 720, 350, 120, 80, 1150, 940, 300, 0, 60, 210, 180, 530, 760, 420, 150, 60, 1280,
)  # fmt: skip
"""Invented demand by month, two seasons of it."""

COSTS = ("Orders a year", "Buying", "Ordering", "Holding", "Waiting", "Sum of a year", "Most in stock", "Most owed")
COST_WORDS = ("short", "money", "money", "money", "money", "money", "count", "count")


def fill(book: Book, sheet: Sheet) -> None:
    """Put both questions, their answers, tables and charts on the sheet."""
    sheet.put(0, 0, TITLE, "title")
    sheet.put(1, 0, "How much to order or make each time. The figures are an invented example: a bought transfer.", "note")
    row = put_block(book, sheet, 2, "reorder", EXAMPLE, ON_JOB) + 1
    row = _put_best(book, sheet, _put_breaks(book, sheet, row)) + 1
    row = _put_sizes(book, sheet, row) + 1
    sheet.put(row, 0, "Lot sizes: the demand of each period is known", "heading")
    lots_at = row
    sheet.finish.append(lambda _workbook, written: written.set_h_pagebreaks([lots_at]))
    row = put_block(book, sheet, row + 1, "lot", LOT_EXAMPLE, ON_JOB) + 1
    _put_lots(book, sheet, row)
    sheet.finish.append(page((34, 14, 18, 18, 18, 18, *(14 for _ in range(7)), 16, 11, 22), frozen=(3, 1), heads=None))


REORDER, LOT = faultless("reorder", "lot")
"""Whether the inputs of the two questions have no fault."""


def _put_heads(sheet: Sheet, row: int, heads: tuple[str, ...]) -> None:
    for column, head in enumerate(heads):
        sheet.put(row, column, head, "columns right" if head else "columns")


def _put_table(
    sheet: Sheet, row: int, column: int, formula: Any, words: tuple[str, ...], holds: Formula, height: int = 1
) -> None:
    """An array of results, with a number format for each column."""
    sheet.put_array(row, column, shown_if(holds, formula), len(words), "result number", height)
    for down in range(height):
        for across, word in enumerate(words):
            sheet.cells[row + down, column + across].style = f"result {word}"


def _put_breaks(book: Book, sheet: Sheet, row: int) -> int:
    """The price breaks, with the best order within each band beside them."""
    sheet.put(row, 0, "Price breaks", "heading")
    _put_heads(sheet, row + 1, ("From quantity", "Price"))
    sheet.put(
        row + 1, 3, "One row where there is one price. Nothing smaller than the first from-quantity is ordered.", "note"
    )
    for down, (start, price) in enumerate(BREAKS, row + 2):
        sheet.put(down, 0, start, "input count")
        sheet.put(down, 1, price, "input rate")
    last = row + 1 + len(BREAKS)
    book.define("reorder_breaks", sheet, (row + 2, 0), (last, 1))

    def finish(_workbook: Any, written: Any) -> None:
        for column, least in ((0, 0), (1, 1e-9)):
            rule = {"validate": "decimal", "criteria": "between", "minimum": least, "maximum": 1e12}
            written.data_validation(row + 2, column, last, column, rule)

    sheet.finish.append(finish)
    return last + 2


def _terms() -> tuple[Any, ...]:
    """What decides an order, in the order of the arguments of BEST_ORDER."""
    output = builtin("IF", Name("reorder_made"), Name("reorder_output"), AT_ONCE)
    rest = ("cost", "breaks", "holding_rate", "storage", "incremental")
    return (Name("reorder_annual"), *(Name(f"reorder_{name}") for name in rest), output)


def _put_best(book: Book, sheet: Sheet, row: int) -> int:
    """The best order, what a year costs with it, and the best order within each band."""
    sheet.put(row, 0, "Best order", "heading")
    best: Any = best_order(*_terms())
    sheet.put(row + 1, 0, "Pieces to order each time")
    sheet.put(row + 1, 1, shown_if(REORDER, best), "total count")
    book.define("reorder_best", sheet, (row + 1, 1))
    sheet.put(row + 1, 3, reason_if(REORDER, best), "note")
    _put_heads(sheet, row + 2, ("", *COSTS))
    costs: Any = order_costs
    sheet.put(row + 3, 0, "A year of such orders")
    _put_table(sheet, row + 3, 1, costs(Name("reorder_best"), *_terms()), COST_WORDS, REORDER)
    book.define("reorder_best_cost", sheet, (row + 3, 6))
    bands: Any = band_orders
    _put_heads(sheet, row + 5, ("From quantity", "Price", "Best order there", "Sum of a year"))
    table = bands(*_terms(), None, len(BREAKS))
    _put_table(sheet, row + 6, 0, table, ("count", "rate", "count", "money"), REORDER, len(BREAKS))
    return row + 6 + len(BREAKS)


def _put_sizes(book: Book, sheet: Sheet, row: int) -> int:
    """What a year costs at sizes the user may type, with its chart."""
    sheet.put(row, 0, "A year at other sizes of order", "heading")
    _put_heads(sheet, row + 1, ("Order", *COSTS))
    first, last = row + 2, row + 1 + len(ORDERS)
    for down, size in enumerate(ORDERS, first):
        sheet.put(down, 0, size, "input count")
    costs: Any = order_costs
    table = costs(area((first, 0), (last, 0)), *_terms())
    _put_table(sheet, first, 1, table, COST_WORDS, REORDER, len(ORDERS))
    sheet.put(last + 1, 0, reason_if(REORDER, table), "note")
    best, best_cost = (place(book.names[name][1]) for name in ("reorder_best", "reorder_best_cost"))

    def finish(workbook: Any, written: Any) -> None:
        rule = {"validate": "decimal", "criteria": "between", "minimum": 1e-9, "maximum": 1e12}
        written.data_validation(first, 0, last, 0, rule)
        chart = chart_of(workbook, SCATTER, "Cost of a year against the order", (620, 360))
        chart.add_series(series(TITLE, "Sum of a year", (first, last), 0, 6) | line(size=5))
        chart.add_series(
            {
                "name": "Best order",
                "categories": [TITLE, *best, *best],
                "values": [TITLE, *best_cost, *best_cost],
                "line": {"none": True},
                "marker": {"type": "diamond", "size": 11, "border": {"color": INK}, "fill": {"color": PINE}},
            }
        )
        chart.set_x_axis({"name": "Pieces ordered each time", "min": 0, "major_gridlines": GRID, "num_format": "#,##0"})
        chart.set_y_axis({"name": "Cost of a year", "major_gridlines": GRID, "num_format": "#,##0"})
        words = "Yearly cost of buying, ordering and holding against order size, with the best order marked"
        written.insert_chart(first, len(COSTS) + 2, chart, {"description": words})

    sheet.finish.append(finish)
    return last + 2


def _put_lots(book: Book, sheet: Sheet, row: int) -> None:
    """The demand of each period, the best lots and those of the rule of thumb, their stocks and costs, and a chart."""
    periods = len(DEMANDS)
    costs = (Name("lot_setup"), Name("lot_holding"))
    stock = (Name("lot_starting"), Name("lot_final"))
    asked = Name("lot_demands")
    extra: Any = silver_meal_extra
    sheet.put(row, 0, "What it comes to", "heading")
    _put_heads(sheet, row + 1, ("", "Best plan", "Rule of thumb", "More by the rule", "Share of the best plan"))
    sheet.put(row + 2, 0, "Set-ups and holding")
    compared = extra(asked, *costs, 0, *stock)
    _put_table(sheet, row + 2, 1, compared, ("money", "money", "money", "share"), LOT)
    book.define("lot_costs", sheet, (row + 2, 1), (row + 2, 4))
    sheet.put(row + 2, 6, reason_if(LOT, compared), "note")
    sheet.put(
        row + 3,
        0,
        "Best plan: Wagner and Whitin, exact; the rule: Silver and Meal. Price breaks are not read. "
        "If there are fewer periods, leave the last blank; write 0 where nothing is asked for.",
        "note",
    )

    _put_heads(sheet, row + 5, ("Period", "Asked for", "Best lots", "Stock", "Lots by the rule", "Stock by the rule"))
    first, last = row + 6, row + 5 + periods
    for down, demand in enumerate(DEMANDS):
        sheet.put(first + down, 0, down + 1, "result count")
        sheet.put(first + down, 1, demand, "input count")
    book.define("lot_demands", sheet, (first, 1), (last, 1))
    best_lots: Any = wagner_whitin_lots
    rule_lots: Any = silver_meal_lots
    stocks: Any = lots_stock
    for column, lots in ((2, best_lots(asked, *costs, 0, *stock, periods)), (4, rule_lots(asked, *costs, *stock, periods))):
        _put_table(sheet, first, column, lots, ("count if any",), LOT, periods)
        left = stocks(area((first, column), (last, column)), asked, Name("lot_starting"), periods)
        _put_table(sheet, first, column + 1, left, ("count",), LOT, periods)
    book.define("lot_best", sheet, (first, 2), (last, 2))

    def finish(workbook: Any, written: Any) -> None:
        rule = {"validate": "decimal", "criteria": "between", "minimum": 0, "maximum": 1e9}
        written.data_validation(first, 1, last, 1, rule)
        chart = chart_of(workbook, {"type": "line"}, "Stock at the end of each period", (700, 360))
        for name, column, dash, marker in (("Best plan", 3, "solid", "circle"), ("Rule of thumb", 5, "dash", "square")):
            chart.add_series(series(TITLE, name, (first, last), 0, column) | line(dash, marker, size=6))
        chart.set_x_axis({"name": "Period"})
        chart.set_y_axis({"name": "Pieces", "min": 0, "major_gridlines": GRID, "num_format": "#,##0"})
        written.insert_chart(first, 7, chart, {"description": "Stock over the periods by the best plan and by the rule"})

    sheet.finish.append(finish)
