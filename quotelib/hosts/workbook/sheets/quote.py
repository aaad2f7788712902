"""The quote as the customer gets it: one page, with nothing of the shop's own reckoning on it."""

from typing import Any

from quotelib.chapters.charges import MOST_ROWS, customer_lines
from quotelib.formula import Formula, Name, builtin
from quotelib.hosts.workbook.layout import shown_if
from quotelib.hosts.workbook.model import Book, Sheet
from quotelib.hosts.workbook.sheets.price import IN_ORDER, TERMS, by_route, of_route
from quotelib.hosts.workbook.styles import PINE

WIDTHS = (42, 14, 16, 18)


def fill(book: Book, sheet: Sheet) -> None:
    """Put the page together; its inputs are on the sheets Job and Price."""
    sheet.put(0, 0, Name("shop_name"), "brand")
    for column in range(1, len(WIDTHS)):
        sheet.put(0, column, "", "brand")
    sheet.put(1, 0, Name("shop_address"), "note")
    sheet.put(3, 0, "Quote", "title")
    facts: tuple[tuple[str, Any, str], ...] = (
        ("Number", Name("quote_number"), "plain text"),
        ("Date", Name("quote_day"), "plain day"),
        ("Valid until", Name("valid_until"), "plain day"),
        ("For", Name("customer"), "plain text"),
    )
    for down, (label, content, style) in enumerate(facts, 4):
        sheet.put(down, 0, label)
        sheet.put(down, 1, content, style)
    sheet.put(9, 0, "What we will make", "heading")
    made = builtin("CONCATENATE", Name("good_pieces"), " x ", Name("item"), ", design ", Name("design"))
    size = (Name("image_w_mm"), " x ", Name("image_h_mm"), " mm, ")
    sheet.put(10, 0, made)
    sheet.put(11, 0, builtin("CONCATENATE", "Print: ", *size, Name("colours"), " colours, ", _route_title()))
    for column, head in enumerate(("Line", "Quantity", "Price", "Amount")):
        sheet.put(13, column, head, "columns right" if column else "columns")
    lines_of: Any = customer_lines
    lines = lines_of(Name("good_pieces"), of_route("lines"), *TERMS)
    first = 14
    sheet.put_array(first, 0, shown_if(IN_ORDER, lines), len(WIDTHS), "plain money", MOST_ROWS)
    for down in range(MOST_ROWS):
        sheet.cells[first + down, 0].style = "plain text"
        sheet.cells[first + down, 1].style = "plain count"
    book.define("quote_page", sheet, (first, 0), (first + MOST_ROWS - 1, len(WIDTHS) - 1))
    sheet.put(first + MOST_ROWS + 1, 0, builtin("CONCATENATE", "All amounts in ", Name("price_currency"), "."), "note")
    sheet.put(first + MOST_ROWS + 2, 0, Name("quote_note"), "wrapped")
    for column in range(1, len(WIDTHS)):
        sheet.put(first + MOST_ROWS + 2, column, "", "wrapped")
    last = first + MOST_ROWS + 2

    def finish(workbook: Any, written: Any) -> None:
        for column, width in enumerate(WIDTHS):
            written.set_column(column, column, width)
        written.set_row(0, 30)
        written.set_portrait()
        written.set_paper(9)
        written.print_area(0, 0, last, len(WIDTHS) - 1)
        written.fit_to_pages(1, 1)
        written.set_margins(0.8, 0.8, 0.8, 0.8)
        written.hide_gridlines(2)
        sums = f'=OR(LEFT($A{first + 1},5)="Total",LEFT($A{first + 1},3)="Net")'
        rule = {"type": "formula", "criteria": sums, "format": workbook.add_format({"bold": True, "top": 1})}
        written.conditional_format(first, 0, first + MOST_ROWS - 1, len(WIDTHS) - 1, rule)
        written.set_tab_color(PINE)

    sheet.finish.append(finish)


def _route_title() -> Formula:
    """How the job is printed, in words."""
    return builtin("CONCATENATE", by_route(lambda route: route.title.lower()))
