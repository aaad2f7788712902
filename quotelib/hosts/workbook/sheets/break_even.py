"""The sheet on which the cheaper way changes."""

from typing import Any

from quotelib.chapters.choice import route_stretches
from quotelib.chapters.curve import unit_cost
from quotelib.formula import Name
from quotelib.hosts.workbook.charts import GRID, SCATTER, chart_of, line, series
from quotelib.hosts.workbook.layout import WHOLE_JOB, area, cheapest, page, possible, shown_if
from quotelib.hosts.workbook.model import Book, Sheet, absolute, address
from quotelib.routes import ROUTES

RUN_SIZES = (25, 50, 75, 100, 150, 200, 300, 400, 500, 700, 1000, 1500, 2000, 3000, 5000, 10000)
"""Run sizes on the sheet; the user may type others."""

STRETCH_ROWS = 14
"""Rows kept for the stretches of run sizes."""


def fill(book: Book, sheet: Sheet) -> None:
    """Put unit costs over run sizes, their chart, and the exact stretches on the sheet."""
    sheet.put(0, 0, "Break-even", "title")
    sheet.put(
        1,
        0,
        "Cost of a good piece against the run, for the job on the sheet Job. Type other run sizes if you like.",
        "note",
    )
    headings = ("Run", *(route.title for route in ROUTES), "Cheapest")
    for column, heading in enumerate(headings):
        sheet.put(
            3, column, heading, "columns right" if 0 < column <= len(ROUTES) else "columns text" if column else "columns"
        )
    first, last = 4, 3 + len(RUN_SIZES)
    names = Name(absolute(area((3, 1), (3, len(ROUTES))).name))
    for row, run in enumerate(RUN_SIZES, first):
        here = sheet.put(row, 0, run, "input count")
        for column, route in enumerate(ROUTES, 1):
            cost = shown_if(possible(route), unit_cost(here, Name(f"{route.key}_lines")))
            sheet.put(row, column, cost, "result rate")
        costs = Name(f"{address(row, 1)}:{address(row, len(ROUTES))}")
        sheet.put(row, len(ROUTES) + 1, cheapest(names, costs), "result text")
    sheet.put(
        last + 2, 0, "#N/A: the item cannot be printed this way, or an input has a fault; the sheet Job says which.", "note"
    )

    sheet.put(last + 4, 0, "The cheapest route at every run, exactly: steps and price breaks included", "heading")
    for column, heading in enumerate(("First run", "Last run", "Route")):
        sheet.put(last + 5, column, heading, "columns right" if column < 2 else "columns text")
    stretches: Any = route_stretches
    sheet.put_array(last + 6, 0, stretches(*WHOLE_JOB, STRETCH_ROWS), 3, "result count", STRETCH_ROWS)
    for row in range(last + 6, last + 6 + STRETCH_ROWS):
        sheet.cells[row, 2].style = "result text"

    def finish(workbook: Any, written: Any) -> None:
        rule = {"validate": "integer", "criteria": "between", "minimum": 1, "maximum": 10**9}
        rule |= {"input_title": "Run", "input_message": "Good pieces of the run: whole, 1 to 1e9."}
        rule |= {"error_title": "The run is refused", "error_message": "It must be a whole number, 1 to 1e9."}
        written.data_validation(first, 0, last, 0, rule)
        chart = chart_of(workbook, SCATTER, "Cost of a good piece against the run", (760, 440))
        for column, (dash, marker) in enumerate(CHART_LINES, 1):
            chart.add_series(series(sheet.title, 3, (first, last), 0, column) | line(dash, marker))
        chart.set_x_axis(
            {"name": "Good pieces in the run", "log_base": 10, "min": 10, "major_gridlines": GRID, "num_format": "#,##0"}
        )
        chart.set_y_axis({"name": "Cost of a good piece", "major_gridlines": GRID, "num_format": "#,##0.00"})
        written.insert_chart(3, len(headings) + 1, chart, {"description": "Unit cost of the routes against run size"})

    sheet.finish.append(finish)
    sheet.finish.append(page((12, *(14 for _ in ROUTES), 16), frozen=(4, 1), heads=None))


CHART_LINES = (
    ("solid", "circle"),
    ("dash", "square"),
    ("long_dash", "triangle"),
    ("dash_dot", "x"),
    ("round_dot", "diamond"),
)
"""Dash and marker for each route: told apart without colour."""
