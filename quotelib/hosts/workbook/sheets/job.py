"""The sheet of one job, worked every way."""

from functools import partial
from typing import Any

from quotelib.chapters.buying import price_row
from quotelib.chapters.curve import change_over_run, line_quantity, run_cost
from quotelib.formula import Call, Formula, Name, builtin
from quotelib.hosts.workbook.layout import (
    ON_JOB,
    cheapest,
    page,
    possible,
    put_block,
    put_columns,
    reason_of,
    shown_if,
    whole_as_count,
)
from quotelib.hosts.workbook.model import Book, Sheet, address
from quotelib.hosts.workbook.styles import word_for_unit
from quotelib.job import Job
from quotelib.prices.pricesheet import FIRST_ROW
from quotelib.rates import ShopRates
from quotelib.routes import PER_DESIGN, PER_HOUR, PRICE_BANDS, PRICES, ROUTES, CostLine, Route, Step, Workings, cost_lines


class CellWorkings(Workings):
    """Workings on a sheet: a step goes into a named cell, and the routes go on with its name."""

    def __call__(self, name: str, title: str, value: Any, unit: str) -> Any:
        super().__call__(name, title, value, unit)
        return Name(name)


LINE_COLUMNS = (
    ("Cost element", 32),
    ("Driver", 20),
    ("Unit", 14),
    ("Once", 11),
    ("Per step", 13),
    ("Step (good pieces)", 11),
    ("At least", 10),
    ("Rate", 11),
    *((heading, 11) for _ in range(PRICE_BANDS - 1) for heading in ("From quantity", "Rate from there")),
    ("Quantity of this run", 15),
    ("Amount", 12),
    ("Rate comes from", 28),
    ("Reason, where a rate is refused", 44),
)
ONCE, RATE = 3, 7
QUANTITY = RATE + 1 + 2 * (PRICE_BANDS - 1)
PAGE_ROWS = 84
"""Rows of cost lines that a printed page holds; no route's table is cut in two."""


def fill(book: Book, sheet: Sheet, job: Job) -> None:
    """Put the job's inputs, what it comes to, the workings and the lines of every route on the sheet."""
    sheet.put(0, 0, "One job, every way to print it", "title")
    sheet.put(1, 0, "Fill in the framed cells. Everything else follows. The figures are an invented example.", "note")
    summary = put_block(book, sheet, 2, "job", job, ON_JOB) + 1
    start = summary + 4 + len(ROUTES)

    costing = cost_lines(Job.of_cells(), ShopRates.of_cells(), Name("price_rows"), CellWorkings())
    start = _put_steps(book, sheet, start, costing.steps)
    breaks = [start + 1]
    for route in ROUTES:
        here = start + 1
        start = _put_lines(book, sheet, here, route, costing.lines[route.key])
        if start - breaks[-1] > PAGE_ROWS:
            breaks.append(here)
    _put_summary(book, sheet, summary)
    widths = tuple(width for _, width in LINE_COLUMNS)
    sheet.finish.append(partial(_break_pages, breaks))
    sheet.finish.append(page(widths, frozen=(3, 1), heads=None, printed=len(widths) - 1))


def _break_pages(rows: list[int], _workbook: Any, written: Any) -> None:
    written.set_h_pagebreaks(rows)


def _put_summary(book: Book, sheet: Sheet, row: int) -> None:
    """What each route costs, the cheapest, and where it changes."""
    sheet.put(row, 0, "What it comes to", "heading")
    for column, heading in enumerate(("Route", "Cost of the run", "Cost of a good piece", "Changes over to it from")):
        sheet.put(row + 1, column, heading, "columns" if column == 0 else "columns right")
    first = row + 2
    for place, route in enumerate(ROUTES):
        here, lines = first + place, Name(f"{route.key}_lines")
        can = possible(route)
        sheet.put(here, 0, route.title)
        run = shown_if(can, run_cost(Name("good_pieces"), lines))
        sheet.put(here, 1, run, "result money")
        book.define(f"{route.key}_cost", sheet, (here, 1))
        sheet.put(here, 2, Name(f"{route.key}_cost") / Name("good_pieces"), "result rate")
        if place:
            before = Name(f"{ROUTES[0].key}_lines")
            change = shown_if(can, change_over_run(before, lines))
            sheet.put(here, 3, change, "result count")
            sheet.put(
                here,
                4,
                f"Smallest run from which it costs no more than {ROUTES[0].title.lower()}, and stays so.",
                "note beside",
            )
    last = first + len(ROUTES) - 1
    names, costs = Name(f"A{first + 1}:A{last + 1}"), Name(f"B{first + 1}:B{last + 1}")
    sheet.put(last + 1, 0, "Cheapest", "total text")
    sheet.put(last + 1, 1, cheapest(names, costs), "total text")
    book.define("cheapest_route", sheet, (last + 1, 1))
    sheet.put(last + 1, 2, builtin("AGGREGATE", 15, 6, costs, 1) / Name("good_pieces"), "total rate")
    sheet.put(last + 1, 4, "#N/A: not possible, never changes over, or an input has a fault (see above).", "note beside")


def _put_steps(book: Book, sheet: Sheet, row: int, steps: list[Step]) -> int:
    """The figures worked out on the way, each in a named cell."""
    sheet.put(row, 0, "Workings", "heading")
    heads = {0: "Figure", 1: "Value", 2: "Unit", 4: "For", 6: "Name in formulas", 8: "Reason, where it is refused"}
    put_columns(sheet, row + 1, tuple(heads.get(column, "") for column in range(ON_JOB.kind + 1)))
    row += 2
    sheet.finish.append(whole_as_count((row, 1), (row + len(steps) - 1, 1)))
    for step in steps:
        word = word_for_unit(step.unit)
        sheet.put(row, 0, step.title)
        sheet.put(row, 1, step.value, f"result {'quantity' if word == 'number' else word}")
        sheet.put(row, 2, step.unit, "unit")
        sheet.put(row, 4, step.route or "All routes", "note beside")
        sheet.put(row, 6, step.name, "note beside")
        sheet.put(row, 8, reason_of(step.value), "note beside")
        book.define(step.name, sheet, (row, 1))
        row += 1
    return row


def _source(line: CostLine, quantity: Name) -> Any:
    """Where a line's rate stands: the row of the price list, or the name of the shop's rate."""
    if line.source != PRICES:
        return f"Shop rates: {line.source_name}"
    bought = quantity if isinstance(line.rate, Call) and line.rate.name == "PRICE_BREAKS" else 0
    row: Formula = price_row(Name(line.source_name), bought, Name("quote_day"), Name("price_rows"))
    return builtin("CONCATENATE", "Price list: row ", row + FIRST_ROW)


def _put_lines(book: Book, sheet: Sheet, row: int, route: Route, lines: list[CostLine]) -> int:
    """The cost lines of a route, and their sum."""
    sheet.put(row, 0, route.title, "heading")
    for column, (heading, _) in enumerate(LINE_COLUMNS):
        right = ONCE <= column <= QUANTITY + 1
        sheet.put(row + 1, column, heading, "columns right" if right else "columns text" if column > ONCE else "columns")
    first = row + 2
    for here, line in enumerate(lines, first):
        for column, content in enumerate((line.element, line.driver, line.unit)):
            sheet.put(here, column, content, "text")
        for column, content in enumerate((line.once, line.per_step, line.every, line.at_least), ONCE):
            if isinstance(content, Formula) or content:
                sheet.put(here, column, content, "result quantity")
        if isinstance(line.rate, Call) and line.rate.name == "PRICE_BREAKS":
            sheet.put_array(here, RATE, line.rate, 2 * PRICE_BANDS - 1, "result rate")
            for column in range(RATE + 1, QUANTITY, 2):
                sheet.cells[here, column].style = "result quantity"
        else:
            sheet.put(here, RATE, line.rate, "result rate")
        once, per_step, every, at_least = (Name(address(here, column)) for column in range(ONCE, RATE))
        rates = Name(f"{address(here, RATE)}:{address(here, QUANTITY - 1)}")
        paid = line_quantity(Name("good_pieces"), once, per_step, every, at_least, rates)
        sheet.put(here, QUANTITY, paid, "result quantity")
        numbers = Name(f"{address(here, ONCE)}:{address(here, QUANTITY - 1)}")
        sheet.put(here, QUANTITY + 1, run_cost(Name("good_pieces"), numbers), "result money")
        sheet.put(here, QUANTITY + 2, _source(line, Name(address(here, QUANTITY))), "note beside")
        sheet.put(here, QUANTITY + 3, reason_of(line.rate), "note beside")
    last = first + len(lines) - 1
    sheet.finish.append(whole_as_count((first, ONCE), (last, RATE - 1)))
    for column in range(RATE + 1, QUANTITY + 1, 2):
        sheet.finish.append(whole_as_count((first, column), (last, column)))
    book.define(f"{route.key}_lines", sheet, (first, ONCE), (last, QUANTITY - 1))
    transfers = sum(line.held for line in lines)
    if transfers:  # they can be held and pressed later; behind pieces made by hand the artwork is there already
        artwork = sum(line.held and line.driver == PER_DESIGN for line in lines)
        book.define(f"{route.key}_held_lines", sheet, (first, ONCE), (first + transfers - 1, QUANTITY - 1))
        book.define(f"{route.key}_behind_lines", sheet, (first + artwork, ONCE), (first + transfers - 1, QUANTITY - 1))
        book.define(f"{route.key}_pressing_lines", sheet, (first + transfers, ONCE), (last, QUANTITY - 1))
    sheet.put(last + 1, 0, "Sum of the lines", "total text")
    for column in range(1, QUANTITY + 1):
        sheet.put(last + 1, column, "", "total text")
    amounts = Name(f"{address(first, QUANTITY + 1)}:{address(last, QUANTITY + 1)}")
    sheet.put(last + 1, QUANTITY + 1, builtin("SUM", amounts), "total money")
    book.define(f"{route.key}_sum", sheet, (last + 1, QUANTITY + 1))
    drivers = Name(f"{address(first, 1)}:{address(last, 1)}")
    sheet.put(last + 2, 0, "Of it, hours of machines", "note")
    sheet.put(last + 2, QUANTITY + 1, builtin("SUMIF", drivers, PER_HOUR, amounts), "result money")
    book.define(f"{route.key}_machines", sheet, (last + 2, QUANTITY + 1))
    return last + 4
