"""The quote as a range: uncertain inputs, and what they make of cost, change-over and price."""

from dataclasses import dataclass
from typing import Any, ClassVar

from quotelib.chapters.ranges import change_over_range, cost_range, loss_chance, spread_shares
from quotelib.formula import Formula, Name, builtin
from quotelib.hosts.workbook.charts import BARS, GRID, chart_of, series
from quotelib.hosts.workbook.layout import ON_JOB, WHOLE_JOB, area, faultless, page, put_block, reason_if, shown_if
from quotelib.hosts.workbook.model import Book, Sheet
from quotelib.kinds import Count, Draws, Flag, PositiveMoney, RouteKey
from quotelib.records import Record, entry


@dataclass(frozen=True)
class RangeInputs(Record):
    """What is asked of the range."""

    what: ClassVar[str] = "range"

    range_on: Flag = entry("Work it out", "FALSE stops this sheet, so that the workbook answers at once while you type.")
    range_route: RouteKey = entry("Route", "The route whose cost is asked for.")
    range_to_route: RouteKey = entry("Other route", "The route that may take over from it in long runs.")
    range_price: PositiveMoney = entry("Price", "Price of a good piece that you think of asking.")
    range_draws: Draws = entry("Draws", "How many times the uncertain inputs are drawn.")
    range_seed: Count = entry("Seed", "The same seed gives the same draws; try another to see how much chance is in it.")


EXAMPLE = RangeInputs(
    range_on=True, range_route="hand", range_to_route="transfer", range_price=5, range_draws=100, range_seed=1
)

ROWS = 12
"""Rows for uncertain inputs."""

RATES = ("labour_rate", "hand_makeready_minutes", "hand_piece_minutes", "flat_makeready_minutes", "roller_pieces_per_hour")
YIELDS = ("hand_yield", "roller_yield")
CHANCES = (0.1, 0.5, 0.9)


def fill(book: Book, sheet: Sheet) -> None:
    """Put the questions, the uncertain inputs and what comes of them on the sheet."""
    sheet.put(0, 0, "Range", "title")
    words = "What the job on the sheet Job may cost where rates, yields and minutes are uncertain. Invented spreads."
    sheet.put(1, 0, words, "note")
    row = put_block(book, sheet, 2, "range", EXAMPLE, ON_JOB) + 1
    row = _put_spreads(book, sheet, row)
    _put_outcome(book, sheet, row + 1)
    sheet.finish.append(page((34, 14, 14, 14, *(11 for _ in range(9)), 16, 11, 18), frozen=(3, 1), heads=None))


def _put_spreads(book: Book, sheet: Sheet, row: int) -> int:
    """The table of uncertain inputs; its first rows are filled in around the shop's own rates."""
    sheet.put(row, 0, "Uncertain inputs", "heading")
    heads = ("Name", "Least", "Likely", "Most")
    for column, head in enumerate(heads):
        sheet.put(row + 1, column, head, "columns right" if column else "columns")
    sheet.put(
        row + 1, 5, "Names as in the columns Name in formulas, or a code of the price list with factors on its prices. "
        "Type over any cell.", "note",
    )  # fmt: skip
    first = row + 2
    filled: list[tuple[Any, ...]] = []
    for name in RATES:
        likely: Formula = Name(name)
        filled.append((name, likely * 0.85, likely, likely * 1.3))
    for name in YIELDS:
        share: Formula = Name(name)
        filled.append((name, 1 - (1 - share) * 2.5, share, 1 - (1 - share) * 0.6))
    filled.append((Name("blank_code"), 0.97, 1, 1.1))
    for down in range(ROWS):
        cells = filled[down] if down < len(filled) else ("", "", "", "")
        for column, content in enumerate(cells):
            sheet.put(first + down, column, content, "input number" if column else "input text")
    book.define("range_spreads", sheet, (first, 0), (first + ROWS - 1, 3))
    return first + ROWS


def _put_outcome(book: Book, sheet: Sheet, row: int) -> None:
    sheet.put(row, 0, "What comes of it", "heading")
    for column, head in enumerate(("Figure", "P10", "P50", "P90", "Reason, where it is refused")):
        sheet.put(row + 1, column, head, "columns right" if 0 < column < 4 else "columns text" if column else "columns")
    for column in range(5, 13):
        sheet.put(row + 1, column, "", "columns")
    chances = row + 2
    sheet.put(chances, 0, "Chance to stay below")
    for column, chance in enumerate(CHANCES, 1):
        sheet.put(chances, column, chance, "input share")
    wanted = area((chances, 1), (chances, len(CHANCES)))
    route, to, draws, seed = (Name(f"range_{name}") for name in ("route", "to_route", "draws", "seed"))
    given = (*WHOLE_JOB, Name("range_spreads"), draws, seed)
    on = builtin("AND", Name("range_on"), *faultless("job", "rates", "range"))

    functions: tuple[Any, ...] = (cost_range, change_over_range, loss_chance, spread_shares)
    cost_of, change_over_of, loss_of, shares_of = functions
    cost, change = cost_of(wanted, route, *given), change_over_of(wanted, route, to, *given)
    loss, shares = loss_of(Name("range_price"), route, *given), shares_of(route, *given, ROWS)
    sheet.put(chances + 1, 0, "Cost of a good piece")
    sheet.put_array(chances + 1, 1, shown_if(on, cost), 3, "result rate")
    sheet.put(chances + 2, 0, "The other route is cheaper from a run of")
    sheet.put_array(chances + 2, 1, shown_if(on, change), 3, "result count")
    sheet.put(chances + 3, 0, "Chance that the price loses money")
    sheet.put(chances + 3, 1, shown_if(on, loss), "result share")
    for down, formula in enumerate((cost, change, loss), 1):
        sheet.put(chances + down, 4, reason_if(on, formula), "note beside")
    for name, down in (("range_cost", 1), ("range_change_over", 2)):
        book.define(name, sheet, (chances + down, 1), (chances + down, 3))
    book.define("range_loss", sheet, (chances + 3, 1))

    table = chances + 5
    sheet.put(table, 0, "Share of each input in the spread of the cost: what to find out more about first", "heading")
    sheet.put(table + 1, 0, "Name", "columns text")
    sheet.put(table + 1, 1, "Share", "columns right")
    sheet.put_array(table + 2, 0, shown_if(on, shares), 2, "result share", ROWS)
    for down in range(table + 2, table + 2 + ROWS):
        sheet.cells[down, 0].style = "result text"
    book.define("range_shares", sheet, (table + 2, 0), (table + 1 + ROWS, 1))

    def finish(workbook: Any, written: Any) -> None:
        rule = {"validate": "decimal", "criteria": "between", "minimum": 0.001, "maximum": 0.999}
        written.data_validation(chances, 1, chances, len(CHANCES), rule)
        chart = chart_of(workbook, {"type": "bar"}, "What the spread comes from", (620, 320), legend=False)
        chart.add_series(series("Range", "Share of the spread", (table + 2, table + 1 + ROWS), 0, 1) | BARS)
        chart.set_x_axis({"num_format": "0%", "min": 0, "major_gridlines": GRID})
        chart.set_y_axis({"reverse": True})
        words = "Share of each uncertain input in the spread of the cost"
        written.insert_chart(table, 4, chart, {"description": words})

    sheet.finish.append(finish)
