"""What to charge: the terms of price, the lines of the quote, and a ladder of prices over run sizes."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, ClassVar

from quotelib.chapters.charges import PriceTerms, floor_price, price_ladder, quote_lines
from quotelib.chapters.choice import prices_hold_until
from quotelib.formula import Formula, Name, builtin
from quotelib.hosts.workbook.charts import GRID, SCATTER, chart_of, line, series
from quotelib.hosts.workbook.layout import ON_JOB, WHOLE_JOB, area, faultless, page, put_block, reason_if, shown_if
from quotelib.hosts.workbook.model import Book, Sheet, place
from quotelib.kinds import Count, Label, RouteKey
from quotelib.records import entry
from quotelib.routes import ROUTES, Route


@dataclass(frozen=True)
class PriceInputs(PriceTerms):
    """The terms of price, and what is priced."""

    what: ClassVar[str] = "price"

    price_route: RouteKey = entry("Route", "The way the job will be printed.")
    valid_days: Count = entry("Days to order", "Days the price holds, unless prices of the list end sooner.")
    shop_name: Label = entry("Shop", "Your shop's name, at the head of the quote.")
    shop_address: Label = entry("Address", "Where the shop is, and how to reach it.")
    quote_number: Label = entry("Quote number", "Number of the quote.")
    customer: Label = entry("Customer", "Who it is for.")
    quote_note: Label = entry("Note", "When to pay, and what else holds.")


EXAMPLE = PriceInputs(
    profit_as="margin",
    profit=0.35,
    commission=0.05,
    price_step=0.01,
    price_direction="nearest",
    setup_apart=False,
    minimum_charge=150,
    rush=0,
    discount=0,
    tax_rate=0.08,
    minor_unit=0.01,
    price_route="pad",
    valid_days=30,
    shop_name="Tarnwick Sled & Paddle",
    shop_address="Millrace Lane, Tarnwick (an invented shop)",
    quote_number="T-1051",
    customer="Dunnock & Daughters (invented)",
    quote_note="Payment within 30 days of delivery. Colours are matched by eye to the approved first piece.",
)

RUNS = (50, 100, 250, 500, 1000, 2500, 5000)
HEADS = ("Run", "Unit price", "Set-up", "Net", "Tax", "Total", "Total for a piece", "Cost of a piece", "Left of the net")
WORDS = ("count", "money", "money", "money", "money", "money", "rate", "rate", "share")


def fill(book: Book, sheet: Sheet) -> None:
    """Put the terms, the quote's lines, the floor and the ladder on the sheet."""
    sheet.put(0, 0, "Price", "title")
    words = "What to charge for the job on the sheet Job. For the shop's eyes: the customer gets the sheet Quote. Invented."
    sheet.put(1, 0, words, "note")
    row = put_block(book, sheet, 2, "price", EXAMPLE, ON_JOB) + 1
    for name in ("shop_address", "quote_note"):
        sheet.cells[place(book.names[name][1])].style = "input wrapped"
    row = _put_lines(book, sheet, row)
    _put_ladder(book, sheet, row + 1)
    sheet.finish.append(
        page(
            (34, 30, 17, 14, *(15 for _ in range(9)), 16, 11, 18), frozen=(3, 1), heads=None, printed=ON_JOB.kind, below=26
        )
    )


def of_route(what: str) -> Any:
    """The range or cell of the route that is priced, by the end of its name."""
    return by_route(lambda route: Name(f"{route.key}_{what}"))


def by_route(content_of: Callable[[Route], Any]) -> Any:
    """What belongs to the route that is priced."""
    found = content_of(ROUTES[-1])
    for route in reversed(ROUTES[:-1]):
        found = builtin("IF", Name("price_route").equals(route.key), content_of(route), found)
    return found


IN_ORDER: Formula = builtin("AND", *faultless("job", "rates", "price"))
"""Whether no input that a price reads has a fault."""

TERMS = (Name("price_names"), Name("price_values"))


def _put_lines(book: Book, sheet: Sheet, row: int) -> int:
    """The lines of the quote for the job's own run, and what the shop should know beside them."""
    sheet.put(row, 0, "The job's own run", "heading")
    for column, head in enumerate(("Line", "Quantity or share", "Price, or taken of", "Amount")):
        sheet.put(row + 1, column, head, "columns right" if column else "columns text")
    lines_of: Any = quote_lines
    lines = lines_of(Name("good_pieces"), of_route("lines"), *TERMS)
    first = row + 2
    sheet.put_array(first, 0, shown_if(IN_ORDER, lines), 4, "result number", 8)
    for down in range(first, first + 8):
        for column, style in enumerate(("result text", "result number if any", "result number if any", "result money")):
            sheet.cells[down, column].style = style
    sheet.put(first, 4, reason_if(IN_ORDER, lines), "note beside")
    book.define("quote_lines", sheet, (first, 0), (first + 7, 3))
    for name, down in (("quote_net", 5), ("quote_tax", 6), ("quote_total", 7)):
        book.define(name, sheet, (first + down, 3))

    below = first + 9
    holds: Any = prices_hold_until
    floor_of: Any = floor_price
    floor = floor_of(of_route("cost"), of_route("machines"), Name("good_pieces"), Name("commission"))
    facts: tuple[tuple[str, str, Formula, str, str], ...] = (
        ("Floor price", "price_floor", floor,
         "rate", "The contribution is zero there: lower, the job costs money. Hours of machines count as spent anyway."),
        ("Prices of the list hold until", "prices_until", holds(Name("price_route"), *WHOLE_JOB),
         "day", "The earliest last day among the prices this route reads."),
        ("Valid until", "valid_until", builtin("MIN", Name("prices_until"), Name("quote_day") + Name("valid_days")),
         "day", "What the quote says: the earlier of that and the days to order."),
    )  # fmt: skip
    for down, (label, name, formula, word, note) in enumerate(facts):
        sheet.put(below + down, 0, label)
        sheet.put(below + down, 1, shown_if(IN_ORDER, formula), f"result {word}")
        sheet.put(below + down, 3, note, "note beside")
        book.define(name, sheet, (below + down, 1))
    return below + len(facts)


def _put_ladder(book: Book, sheet: Sheet, row: int) -> None:
    """Prices over run sizes, which the user may type, with their chart."""
    sheet.put(row, 0, "Price ladder", "heading")
    for column, head in enumerate(HEADS):
        sheet.put(row + 1, column, head, "columns right")
    first, last = row + 2, row + 1 + len(RUNS)
    for down, run in enumerate(RUNS):
        sheet.put(first + down, 0, run, "input count")
    ladder_of: Any = price_ladder
    ladder = ladder_of(area((first, 0), (last, 0)), of_route("lines"), *TERMS)
    sheet.put_array(first, 1, shown_if(IN_ORDER, ladder), len(HEADS) - 1, "result money", len(RUNS))
    for column, word in enumerate(WORDS[1:], 1):
        for down in range(len(RUNS)):
            sheet.cells[first + down, column].style = f"result {word}"
    sheet.put(last + 1, 0, reason_if(IN_ORDER, ladder), "note")
    book.define("ladder", sheet, (first, 0), (last, len(HEADS) - 1))

    def finish(workbook: Any, written: Any) -> None:
        rule = {"validate": "integer", "criteria": "between", "minimum": 1, "maximum": 10**9}
        written.data_validation(first, 0, last, 0, rule)
        chart = chart_of(workbook, SCATTER, "Price and cost of a piece against the run", (700, 340))
        for column, dash, marker in ((1, "solid", "circle"), (6, "dash", "square"), (7, "round_dot", "triangle")):
            chart.add_series(series(sheet.title, row + 1, (first, last), 0, column) | line(dash, marker))
        chart.set_x_axis({"name": "Good pieces in the run", "log_base": 10, "min": 10, "major_gridlines": GRID})
        chart.set_y_axis({"major_gridlines": GRID, "num_format": "#,##0.00"})
        words = "Unit price, total and cost of a piece against run size"
        written.insert_chart(last + 6, 0, chart, {"description": words})

    sheet.finish.append(finish)
