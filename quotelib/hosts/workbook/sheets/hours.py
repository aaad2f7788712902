"""Hours and dates: the orders against the hours of each work centre, their sequence, and the day to promise."""

import datetime
from dataclasses import dataclass
from typing import Any, ClassVar

from quotelib.chapters.hours import contract_choice, load_by_week, route_hours
from quotelib.chapters.sequence import due_sequence, johnson_hours, johnson_sequence, promise_day
from quotelib.formula import Formula, Name, builtin
from quotelib.hosts.workbook.charts import GRID, chart_of, series
from quotelib.hosts.workbook.layout import (
    DATES,
    ON_JOB,
    WHOLE_JOB,
    area,
    cheapest,
    faultless,
    page,
    possible,
    put_block,
    reason_if,
    shown_if,
)
from quotelib.hosts.workbook.model import Book, Sheet, address
from quotelib.hosts.workbook.styles import INK, PINE
from quotelib.kinds import Centre, Day, Flag, Rule, WaitDays
from quotelib.records import Record, entry
from quotelib.routes import CENTRES, ROUTES

TITLE = "Hours"


@dataclass(frozen=True)
class HoursInputs(Record):
    """What is asked of the order book."""

    what: ClassVar[str] = "hours"

    hours_on: Flag = entry("Work it out", "FALSE stops this sheet, so that the workbook answers at once while you type.")
    hours_today: Day = entry("Today", "The first day that can still be worked; nothing is planned before it.")
    hours_buffer: WaitDays = entry("Days in hand", "Calendar days kept in hand before every day that is promised.")
    hours_centre: Centre = entry("Work centre", "Whose sequence and free hours are shown: 1 for the first, and so on.")
    hours_rule: Rule = entry("Sequence by", "due day, or fewest late (for a work centre with one machine).")
    hours_tools_ready: Flag = entry(
        "Tools ready", "TRUE where the job on the sheet Job has its artwork, screens or plates."
    )


EXAMPLE = HoursInputs(
    hours_on=True, hours_today=46342, hours_buffer=2, hours_centre=5, hours_rule="due day", hours_tools_ready=False
)

WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
LONG, SHORT = (8, 8, 8, 8, 6, 0, 0), (7, 7, 7, 7, 5, 0, 0)
CALENDARS = (
    (1, 6, 6, 6, 6, 4, 0, 0), (1, *LONG), (1, 6, 6, 6, 6, 4, 0, 0), (1, 6, 6, 6, 6, 4, 0, 0), (1, *SHORT), (1, *SHORT),
    (2, *LONG),
)  # fmt: skip
"""One for each of CENTRES; invented."""

HOLIDAYS = ("2026-12-24", "2026-12-25", "2026-12-31", "2027-01-01")

ORDERS = (
    ("T-2303", True, "2026-11-18", "", "", "", "", 14.5, "", 6.6, "Otter Run, 400, by hand"),
    ("T-2308", True, "2026-11-19", 2.2, 1.8, "", "", 6.8, "", 2.9, "Red Lantern, 150, by hand"),
    ("T-2305", True, "2026-11-20", 2.5, 2.3, "", "", 9, "", 3.1, "Tarn Ripple, 150, by hand"),
    ("T-2312", True, "2026-11-20", "", "", "", "", 9, "", 6.5, "Moss Line, 400, by hand"),
    ("T-2301", True, "2026-11-27", 1.8, 0.6, "", "", 5.5, "", 7.8, "Heron Dawn, 500, by hand"),
    ("T-2309", True, "2026-11-30", 2.2, 1, "", "", "", 17.6, 3.8, "Curlew, 1000, by pad"),
    ("T-2313", True, "2026-12-01", 2, 0.7, "", "", "", 42.2, 13.7, "Hoarfrost, 4000, contract, by pad"),
    ("T-2310", True, "2026-12-02", 3.5, 4.6, 11.8, 1.9, "", "", 1.5, "Iron Kettle, 100, heat transfer"),
    ("T-2307", True, "2026-12-09", 3, 3.8, 9.5, 4.9, "", "", 1.3, "Snowhare, 250, heat transfer"),
    ("T-2318", True, "2026-12-15", 2.5, 2.3, "", "", 14.4, "", 5.4, "Rowan, 300, by hand"),
    ("T-2322", True, "2026-12-18", 3, 3.8, 9.5, 4.9, "", "", 1.3, "Fieldfare, 250, heat transfer"),
    ("T-2326", False, "2026-12-22", 2.2, 1.8, "", "", 9.5, "", 4.4, "Cold Harbour, 250, by hand, for stock"),
)
"""Order, promised, due day, hours at each work centre, what it is; invented."""

ENQUIRIES = (("Slate Wave", 10100, 88.8), ("Cinder", 10800, 85.5), ("Kingcup", 5200, 58), ("Tansy", 2900, 40))
"""Contract work that is asked for: what it leaves over, and its hours at the work centre that is shown; invented."""

ORDER_ROWS, HOLIDAY_ROWS, ENQUIRY_ROWS, WEEKS = 16, 12, 6, 8
FIRST_HOURS = 3
"""Column of the first work centre's hours in the table of orders."""
NOTE = FIRST_HOURS + len(CENTRES)

PATTERNS = (
    "percent_5",
    "percent_25",
    "wide_upward_diagonal",
    "percent_50",
    "dark_downward_diagonal",
    "percent_75",
    "light_vertical",
)


def fill(book: Book, sheet: Sheet) -> None:
    """Put the calendar, the orders and what follows from them on the sheet."""
    sheet.put(0, 0, "Hours and dates", "title")
    words = "The orders against the hours there are, the sequence at a work centre, and the day to promise. All invented."
    sheet.put(1, 0, words, "note")
    row = put_block(book, sheet, 2, "hours", EXAMPLE, ON_JOB) + 1
    row = _put_calendars(book, sheet, row) + 1
    row = _put_orders(book, sheet, row) + 1
    row = _put_load(book, sheet, row) + 1
    row = _put_sequence(book, sheet, row) + 1
    row = _put_two_steps(book, sheet, row) + 1
    row = _put_promise(book, sheet, row) + 1
    _put_enquiries(book, sheet, row)
    sheet.finish.append(page((30, 14, 14, *(18 for _ in CENTRES), 34, 11, 11, 16, 11, 18), frozen=(3, 1), heads=None))


def _on(*more: Formula) -> Formula:
    return builtin("AND", Name("hours_on"), *faultless("hours"), *more)


def _if_on(formula: Any, *more: Formula) -> Formula:
    return shown_if(_on(*more), formula)


def _reason(formula: Any, *more: Formula) -> Formula:
    return reason_if(_on(*more), formula)


def _heads(sheet: Sheet, row: int, heads: tuple[str, ...], left: int = 1, results: tuple[int, ...] = ()) -> None:
    """Headings of a table, the first `left` of them over text that is typed, `results` over texts and days worked out."""
    for column, head in enumerate(heads):
        style = "columns text" if column in results else "columns" if column < left else "columns right"
        sheet.put(row, column, head, style)


def _put_calendars(book: Book, sheet: Sheet, row: int) -> int:
    """Machines and hours of each work centre, and the holidays beside them."""
    sheet.put(row, 0, "Hours of one machine on each weekday", "heading")
    _heads(sheet, row + 1, ("Work centre", "Machines", *WEEKDAYS))
    first = row + 2
    for down, (title, calendar) in enumerate(zip(CENTRES.values(), CALENDARS, strict=True)):
        sheet.put(first + down, 0, f"{down + 1}  {title}")
        for column, content in enumerate(calendar, 1):
            sheet.put(first + down, column, content, "input count" if column == 1 else "input number")
    last = first + len(CENTRES) - 1
    book.define("hours_calendars", sheet, (first, 1), (last, 8))
    sheet.put(last + 1, 0, "Days off at all work centres")
    for place in range(HOLIDAY_ROWS):
        day = datetime.date.fromisoformat(HOLIDAYS[place]) if place < len(HOLIDAYS) else ""
        sheet.put(last + 1 + place // 6, 1 + place % 6, day, "input day")
    book.define("hours_holidays", sheet, (last + 1, 1), (last + 2, 6))
    sheet.put(last + 3, 0, "The bench is all work beside the machines: mixing, preparing, cutting, finishing.", "note")

    def finish(_workbook: Any, written: Any) -> None:
        written.data_validation(first, 1, last, 1, _numbers("Machines", "integer", 1, 100))
        written.data_validation(first, 2, last, 8, _numbers("Hours of a day", "decimal", 0, 24))
        written.data_validation(last + 1, 1, last + 2, 6, _days("Day off", "A date, or blank."))

    sheet.finish.append(finish)
    return last + 4


def _numbers(title: str, rule: str, least: float, most: float) -> dict[str, Any]:
    """What the spreadsheet checks of a number as the user types."""
    checks: dict[str, Any] = {"validate": rule, "criteria": "between", "minimum": least, "maximum": most}
    checks |= {"input_title": title, "input_message": f"{least:g} to {most:g}, or blank.", "error_title": "It is refused"}
    return checks | {"error_message": f"It must be {'whole, ' if rule == 'integer' else ''}{least:g} to {most:g}."}


def _days(title: str, words: str) -> dict[str, Any]:
    """What the spreadsheet checks of a day as the user types."""
    checks: dict[str, Any] = DATES | {"input_title": title, "input_message": words, "error_title": "It is refused"}
    return checks | {"error_message": "It must be a date from 1990 to 2199."}


def _put_orders(book: Book, sheet: Sheet, row: int) -> int:
    """The table of orders, which the user fills."""
    sheet.put(row, 0, "Orders, with the hours each still takes at each work centre", "heading")
    _heads(sheet, row + 1, ("Order", "Promised", "Due day", *CENTRES.values()), 3)
    sheet.put(row + 1, NOTE, "What it is", "columns text")
    first, last = row + 2, row + 1 + ORDER_ROWS
    for down in range(ORDER_ROWS):
        cells = ORDERS[down] if down < len(ORDERS) else ("",) * (NOTE + 1)
        for column, content in enumerate(cells):
            style = {0: "text", 1: "flag", 2: "day", NOTE: "text"}.get(column, "number")
            is_day = column == 2 and content
            sheet.put(
                first + down, column, datetime.date.fromisoformat(str(content)) if is_day else content, f"input {style}"
            )
    book.define("hours_orders", sheet, (first, 0), (last, NOTE - 1))

    def finish(_workbook: Any, written: Any) -> None:
        words = "TRUE where the day is promised; an order that is not holds no hours against a new promise."
        rule = {"validate": "list", "source": ["TRUE", "FALSE"], "input_title": "Promised", "input_message": words}
        written.data_validation(first, 1, last, 1, rule)
        written.data_validation(first, 2, last, 2, _days("Due day", "Last day on which the order may be done."))
        written.data_validation(first, FIRST_HOURS, last, NOTE - 1, _numbers("Hours", "decimal", 0, 100_000))

    sheet.finish.append(finish)
    return last + 1


BOOK = (Name("hours_orders"), Name("hours_calendars"))


def _put_load(book: Book, sheet: Sheet, row: int) -> int:
    """Utilisation and free hours by week and work centre, with their chart."""
    today: Formula = Name("hours_today")
    figures: Any = load_by_week
    tables = {
        figure: figures(*BOOK, Name("hours_today"), WEEKS, Name("hours_holidays"), figure)
        for figure in ("utilisation", "free")
    }
    titles = {
        "utilisation": "Hours of the orders due in the week, as a share of the hours there are",
        "free": "Hours left in the week, less than none where too many are due in it",
    }
    place = row
    for figure, formula in tables.items():
        sheet.put(place, 0, titles[figure], "heading")
        _heads(sheet, place + 1, ("Week of", *CENTRES.values()), results=(0,))
        first = place + 2
        for down in range(WEEKS):
            monday = today - builtin("MOD", today - 2, 7) + 7 * down
            sheet.put(first + down, 0, monday, "result day")
        word = "share" if figure == "utilisation" else "number"
        sheet.put_array(first, 1, _if_on(formula), len(CENTRES), f"result {word}", WEEKS)
        book.define(f"hours_{figure}", sheet, (first, 1), (first + WEEKS - 1, len(CENTRES)))
        place = first + WEEKS + 1
    sheet.put(place - 1, 0, "All these weeks", "total text")
    for column in range(1, len(CENTRES) + 1):
        total = builtin("SUM", area((place - 1 - WEEKS, column), (place - 2, column)))
        sheet.put(place - 1, column, total, "total number")
    book.define("hours_left", sheet, (place - 1, 1), (place - 1, len(CENTRES)))
    sheet.put(place, 0, "Reason, where a table is refused")
    sheet.put(place, 1, _reason(tables["utilisation"]), "guard")
    book.define("hours_load_reason", sheet, (place, 1))
    first = row + 2

    def finish(workbook: Any, written: Any) -> None:
        chart = chart_of(workbook, {"type": "column"}, "Load by week, as a share of the hours there are", (760, 420))
        for column, pattern in enumerate(PATTERNS, 1):
            hatched = {"pattern": pattern, "fg_color": INK, "bg_color": "#FFFFFF"}
            look = {"pattern": hatched, "border": {"color": INK}, "gap": 60}
            chart.add_series(series(TITLE, row + 1, (first, first + WEEKS - 1), 0, column) | look)
        chart.set_x_axis({"num_format": "d mmm", "text_axis": True})
        chart.set_y_axis({"num_format": "0%", "min": 0, "major_gridlines": GRID})
        written.insert_chart(row, NOTE, chart, {"description": "Utilisation of each work centre by week"})

    sheet.finish.append(finish)
    return place + 1


def _put_sequence(book: Book, sheet: Sheet, row: int) -> int:
    """The sequence at the chosen work centre, with its chart."""
    sequence: Any = due_sequence
    centre, today = Name("hours_centre"), Name("hours_today")
    formula = sequence(*BOOK, centre, today, Name("hours_holidays"), Name("hours_rule"), ORDER_ROWS)
    sheet.put(row, 0, "Sequence at the work centre, by itself", "heading")
    _heads(
        sheet,
        row + 1,
        ("Order", "Begins", "Done", "Due day", "Days late", "Days from today", "Days on it"),
        results=(0, 1, 2, 3),
    )
    first, last = row + 2, row + 1 + ORDER_ROWS
    sheet.put_array(first, 0, _if_on(formula), 5, "result count", ORDER_ROWS)
    for down in range(first, last + 1):
        sheet.cells[down, 0].style = "result text"
        for column in (1, 2, 3):
            sheet.cells[down, column].style = "result day"
        begins, done = (Name(address(down, column)) for column in (1, 2))
        filled = builtin("LEN", begins) > 0  # to Calc, a blank text out of an array is not equal to ""
        sheet.put(down, 5, builtin("IF", filled, begins - today, ""), "result count")
        sheet.put(down, 6, builtin("IF", filled, done - begins + 1, ""), "result count")
    book.define("hours_sequence", sheet, (first, 0), (last, 4))
    sheet.put(last + 1, 0, "Reason, where it is refused")
    sheet.put(last + 1, 1, _reason(formula), "guard")

    def finish(workbook: Any, written: Any) -> None:
        chart = chart_of(
            workbook,
            {"type": "bar", "subtype": "stacked"},
            "Sequence: from its first to its last day",
            (760, 420),
            legend=False,
        )
        for column, look in ((5, {"fill": {"none": True}, "border": {"none": True}}), (6, {"fill": {"color": PINE}})):
            chart.add_series(series(TITLE, row + 1, (first, last), 0, column) | {"gap": 40} | look)
        chart.set_x_axis({"name": "Days from today", "min": 0, "major_gridlines": GRID, "num_format": "0"})
        chart.set_y_axis({"reverse": True})
        written.insert_chart(row + 3, NOTE, chart, {"description": "When each order is at the work centre"})
        written.set_h_pagebreaks([row])

    sheet.finish.append(finish)
    return last + 2


def _put_two_steps(book: Book, sheet: Sheet, row: int) -> int:
    """Johnson's sequence of the orders that go over the flat press and then the roller."""
    press, roller = (FIRST_HOURS + list(CENTRES).index(key) for key in ("flat", "roller"))
    orders = _first_row(book, "hours_orders")
    sheet.put(row, 0, "Print, then press: the sequence of the transfers that is done soonest", "heading")
    _heads(sheet, row + 1, ("Order", "Flat press", "Roller"), results=(0,))
    for column, head in enumerate(("Sequence", "Prints from", "to", "Presses from", "to"), 4):
        sheet.put(row + 1, column, head, "columns text" if column == 4 else "columns right")
    first, last = row + 2, row + 1 + ORDER_ROWS
    for down in range(ORDER_ROWS):
        name, one, two = (Name(address(orders + down, column)) for column in (0, press, roller))
        for column, content in enumerate((name, one, two)):
            shown = builtin("IF", one + two > 0, content, "")
            sheet.put(first + down, column, shown, "result number" if column else "result text")
    jobs = area((first, 0), (last, 2))
    sequence: Any = johnson_sequence
    total: Any = johnson_hours
    sheet.put_array(first, 4, _if_on(sequence(jobs, ORDER_ROWS)), 5, "result number", ORDER_ROWS)
    for down in range(first, last + 1):
        sheet.cells[down, 4].style = "result text"
    sheet.put(last + 1, 0, "Hours until the last is pressed", "total text")
    sheet.put(last + 1, 1, _if_on(total(jobs)), "total number")
    book.define("hours_johnson", sheet, (first, 4), (last, 8))
    book.define("hours_johnson_total", sheet, (last + 1, 1))
    sheet.put(last + 1, 4, _reason(total(jobs)), "note")
    sheet.put(last + 2, 0, "In working hours from the start, one press and one roller, every job ready.", "note")
    return last + 3


def _first_row(book: Book, name: str) -> int:
    """The first row of a named range."""
    _, text = book.names[name]
    digits = text.split(":")[0].lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
    return int(digits) - 1


def _put_promise(book: Book, sheet: Sheet, row: int) -> int:
    """The day to promise for the job on the sheet Job, by every route."""
    sheet.put(row, 0, "The job on the sheet Job: the earliest day to promise, every promised order kept", "heading")
    _heads(sheet, row + 1, ("Route", "Promise", "", *CENTRES.values()), results=(1,))
    sheet.put(row + 1, NOTE, "Reason, where it is refused", "columns text")
    hours_of: Any = route_hours
    day_of: Any = promise_day
    first = row + 2
    for place, route in enumerate(ROUTES):
        here = first + 2 * place
        can = possible(route)
        hours, waits = (area((here + down, FIRST_HOURS), (here + down, NOTE - 1)) for down in (0, 1))
        formula = hours_of(route.key, *WHOLE_JOB, Name("hours_tools_ready"))
        promised = day_of(hours, *BOOK, Name("hours_today"), Name("hours_holidays"), Name("hours_buffer"), waits)
        sheet.put(here, 0, route.title)
        sheet.put(here, 1, _if_on(promised, can), "result day")
        sheet.put(here, 2, "hours", "unit")
        sheet.put(here + 1, 2, "waits after it", "unit")
        sheet.put_array(here, FIRST_HOURS, _if_on(formula, can), len(CENTRES), "result hours", 2)
        sheet.put(here, NOTE, _reason(promised, can), "note beside")
        book.define(f"hours_{route.key}_promise", sheet, (here, 1))
    last = first + 2 * len(ROUTES) - 1
    titles, days = (area((first, column), (last, column)) for column in (0, 1))
    sheet.put(last + 1, 0, "Ready first", "total text")
    sheet.put(last + 1, 1, _if_on(cheapest(titles, days)), "total text")
    book.define("hours_first_route", sheet, (last + 1, 1))
    words = "#N/A: the route is not possible, or an input has a fault. Waits are hours on the clock: drying, delivery."
    sheet.put(last + 2, 0, words, "note")
    return last + 3


def _put_enquiries(book: Book, sheet: Sheet, row: int) -> None:
    """Contract work for the hours left at the chosen work centre."""
    sheet.put(row, 0, "Contract work for the hours left at the work centre", "heading")
    free = builtin("MAX", builtin("INDEX", Name("hours_left"), Name("hours_centre")), 0)
    sheet.put(row + 1, 0, "Hours left in all these weeks")
    sheet.put(row + 1, 1, _if_on(free), "result number")
    book.define("hours_free", sheet, (row + 1, 1))
    _heads(sheet, row + 2, ("Enquiry", "Leaves over", "Hours there"))
    heads = ("Ranking", "For an hour", "Hours to give it", "Leaves over")
    for column, head in enumerate(heads, 4):
        sheet.put(row + 2, column, head, "columns text" if column == 4 else "columns right")
    first, last = row + 3, row + 2 + ENQUIRY_ROWS
    for down in range(ENQUIRY_ROWS):
        for column, content in enumerate(ENQUIRIES[down] if down < len(ENQUIRIES) else ("", "", "")):
            sheet.put(first + down, column, content, f"input {('text', 'money', 'number')[column]}")
    choice: Any = contract_choice
    formula = choice(area((first, 0), (last, 2)), Name("hours_free"), True, ENQUIRY_ROWS)
    sheet.put_array(first, 4, _if_on(formula), 4, "result money", ENQUIRY_ROWS)
    for down in range(first, last + 1):
        sheet.cells[down, 4].style = "result text"
    book.define("hours_choice", sheet, (first, 4), (last, 7))
    sheet.put(last + 1, 0, "Reason, where it is refused")
    sheet.put(last + 1, 1, _reason(formula), "guard")
    words = "Each enquiry whole or not at all: the choice that leaves over most. That need not be the best per hour first."
    sheet.put(last + 2, 0, words, "note")

    def finish(_workbook: Any, written: Any) -> None:
        written.data_validation(first, 1, last, 1, _numbers("Leaves over", "decimal", -1e12, 1e12))
        written.data_validation(first, 2, last, 2, _numbers("Hours there", "decimal", 0, 100_000))

    sheet.finish.append(finish)
