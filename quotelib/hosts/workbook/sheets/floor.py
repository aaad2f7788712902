"""The job sheet for the floor: set-up, work and materials of the route that is priced, with its cautions."""

from typing import Any

from quotelib.cautions import CAUTIONS
from quotelib.chapters.floor import floor_cautions, floor_steps
from quotelib.formula import Name
from quotelib.hosts.workbook.layout import WHOLE_JOB, reason_if, shown_if, whole_as_count
from quotelib.hosts.workbook.model import Book, Sheet
from quotelib.hosts.workbook.sheets.price import IN_ORDER
from quotelib.hosts.workbook.styles import FOOTER

ROWS = 44
WIDTHS = (16, 62, 12, 14, 22)


def fill(book: Book, sheet: Sheet) -> None:
    """Put the job sheet on one page, without money."""
    sheet.put(0, 0, "Job sheet for the floor", "title")
    for down, (label, name, style) in enumerate(
        (("Design", "design", "result text"), ("Item", "item", "result text"), ("Route", "price_route", "result text")), 1
    ):
        sheet.put(down, 0, label)
        sheet.put(down, 1, Name(name), style)
    heads = (("Part", "columns"), ("Step", "columns"), ("Quantity", "columns right"), ("Unit", "columns text"),
             ("Where", "columns"))  # fmt: skip
    for column, (heading, style) in enumerate(heads):
        sheet.put(5, column, heading, style)
    steps_of: Any = floor_steps
    steps = steps_of(Name("price_route"), *WHOLE_JOB, ROWS)
    sheet.put_array(6, 0, shown_if(IN_ORDER, steps), len(WIDTHS), "plain text", ROWS)
    for down in range(ROWS):
        sheet.cells[6 + down, 2].style = "plain quantity"
        sheet.cells[6 + down, 3].style = "unit"
    sheet.finish.append(whole_as_count((6, 2), (5 + ROWS, 2)))
    sheet.put(4, 1, reason_if(IN_ORDER, steps), "note")
    book.define("floor_steps_shown", sheet, (6, 0), (5 + ROWS, len(WIDTHS) - 1))
    below = 7 + ROWS
    sheet.put(below, 0, "Mind your hands, eyes and lungs", "heading")
    cautions: Any = floor_cautions
    sheet.put_array(below + 1, 0, cautions(Name("price_route")), 1, "caution line", len(CAUTIONS) + 1)

    def finish(workbook: Any, written: Any) -> None:
        for column, width in enumerate(WIDTHS):
            written.set_column(column, column, width)
        written.freeze_panes(6, 0)
        written.set_portrait()
        written.set_paper(9)
        written.print_area(0, 0, below + 1 + len(CAUTIONS), len(WIDTHS) - 1)
        written.fit_to_pages(1, 1)
        written.set_margins(0.5, 0.5, 0.6, 0.6)
        written.set_footer(FOOTER)
        written.hide_gridlines(2)

    sheet.finish.append(finish)
