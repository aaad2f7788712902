"""After the job: what was made and used against the quote, and a rate learned from tickets beside the present one."""

from dataclasses import dataclass
from typing import Any, ClassVar

from quotelib.chapters.variances import job_variances, learned_rate
from quotelib.formula import Name, builtin
from quotelib.hosts.workbook.charts import BARS, GRID, chart_of, series
from quotelib.hosts.workbook.layout import (
    ON_JOB,
    WHOLE_JOB,
    area,
    faultless,
    page,
    put_block,
    reason_if,
    shown_if,
    whole_as_count,
)
from quotelib.hosts.workbook.model import Book, Sheet, absolute, address
from quotelib.kinds import Flag, Label, Pieces, RouteKey
from quotelib.records import Record, entry

TITLE = "After the job"


@dataclass(frozen=True)
class AfterInputs(Record):
    """What is known of the job after it was done, and the rate that is asked for."""

    what: ClassVar[str] = "job that was done"

    after_route: RouteKey = entry("Route", "The route that was quoted and made.")
    after_good_pieces: Pieces = entry(
        "Good pieces made", "Good pieces that came of the run; the sheet Job says how many were quoted."
    )
    after_started_pieces: Pieces = entry("Pieces started", "Pieces that were started to get them.")
    after_rate: Label = entry("Rate to learn", "Its name on the sheet Shop rates, for the tickets below.")
    after_fixed_part: Flag = entry(
        "With a fixed part", "TRUE where each ticket has a part of its own, as make-ready has the first-off approval."
    )


EXAMPLE = AfterInputs(
    after_route="pad", after_good_pieces=985, after_started_pieces=1044, after_rate="pad_piece_minutes",
    after_fixed_part=False,
)  # fmt: skip

USED = (
    ("Make-ready", 138, 0.54), ("First-off approval", 12, 0.54), ("Printing, colour after colour", 1320, 0.54),
    ("Wash-up", 45, 0.54), ("Ink", 310, ""), ("Blanks", 1044, 2.43),
)  # fmt: skip
"""The invented minutes, mL and pieces of the example, and what they cost."""

TICKETS = (
    (3180, 966), (2090, 642), (7740, 2205), (4050, 1268), (3120, 15.4), (6090, 1764), (2070, 598), (4620, 1425),
    (1530, 469), (3060, 933),
)  # fmt: skip
"""Pieces entering the colours and running minutes of invented tickets; one has hours in place of minutes."""

USED_ROWS = 16
LINE_ROWS = 50

COLUMNS = (
    ("Line", 34, "text"),
    ("Unit", 15, "text"),
    ("Quoted quantity", 14, "quantity"),
    ("Allowed, with the rejects", 14, "quantity"),
    ("Quoted rate", 12, "rate"),
    ("Quoted cost", 13, "money"),
    ("More pieces", 12, "money"),
    ("Volume", 12, "money"),
    ("Rejects", 12, "money"),
    ("Quantity", 12, "money"),
    ("Rate", 12, "money"),
    ("Actual cost", 13, "money"),
)
"""Heading, width and number format of each column of the table of lines."""

STEPS = (
    (5, "Quoted cost", "For the pieces quoted"),
    (6, "More pieces", "The quoted cost of a piece, for as many more (or fewer) as were made"),
    (7, "Volume", "Setup and steps spread over another number of pieces than quoted"),
    (8, "Rejects", "More or fewer rejects than quoted"),
    (9, "Quantity", "Minutes and materials beyond what the quote allows: efficiency, usage"),
    (10, "Rate", "Wages and prices other than quoted"),
    (11, "Actual cost", "What it really cost"),
)
"""The steps from the quoted to the actual cost: column of the table, title, meaning."""


IN_ORDER = builtin("AND", *faultless("job", "rates", "after"))
"""Whether no input has a fault."""


def fill(book: Book, sheet: Sheet) -> None:
    """Put what was made and used, why it cost more or less, and a rate from tickets on the sheet."""
    sheet.put(0, 0, TITLE, "title")
    words = "Why the job on the sheet Job cost more or less than quoted. Above zero it cost more. The figures are invented."
    sheet.put(1, 0, words, "note")
    summary = put_block(book, sheet, 2, "after", EXAMPLE, ON_JOB) + 1
    inputs = summary + len(STEPS) + 6
    table = inputs + USED_ROWS + 5
    used = _put_used(sheet, inputs, area((table + 3, 0), (table + 1 + LINE_ROWS, 0)))
    _put_lines(book, sheet, table, used)
    _put_steps(book, sheet, summary, table + 2)
    _put_rate(book, sheet, inputs)
    sheet.finish.append(page(tuple(width for _, width, _ in COLUMNS), frozen=(3, 1), heads=None))


def _put_used(sheet: Sheet, row: int, lines: Name) -> Name:
    """The table of what is known of the lines."""
    sheet.put(row, 0, "What was used, as far as it is known", "heading")
    for column, head in enumerate(("Line", "Actual quantity", "Actual rate")):
        sheet.put(row + 1, column, head, "columns right" if column else "columns")
    first = row + 2
    for down in range(USED_ROWS):
        cells = USED[down] if down < len(USED) else ("", "", "")
        for column, content in enumerate(cells):
            sheet.put(first + down, column, content, ("input text", "input number", "input rate")[column])
    last = first + USED_ROWS - 1
    sheet.put(last + 1, 0, "Lines as they are called in the table below. What is blank is as the quote allows.", "note")

    def finish(_workbook: Any, written: Any) -> None:
        rule: dict[str, Any] = {"validate": "list", "source": f"={absolute(lines.name)}", "error_type": "warning"}
        rule |= {"input_title": "Line", "input_message": "A line of the table below."}
        written.data_validation(first, 0, last, 0, rule)
        amount = {"validate": "decimal", "criteria": "between", "minimum": 0, "maximum": 1e12}
        amount |= {
            "input_title": "Actual quantity",
            "input_message": "Units really used, in the unit of the line: 0 to 1e12.",
        }
        amount |= {"error_title": "The quantity is refused", "error_message": "It must be a number, 0 to 1e12."}
        written.data_validation(first, 1, last, 1, amount)
        paid = {"validate": "decimal", "criteria": "between", "minimum": -1e12, "maximum": 1e12}
        paid |= {"input_title": "Actual rate", "input_message": "Money really paid for a unit; blank if as quoted."}
        paid |= {"error_title": "The rate is refused", "error_message": "It must be a number, -1e12 to 1e12."}
        written.data_validation(first, 2, last, 2, paid)

    sheet.finish.append(finish)
    return area((first, 0), (last, 2))


def _put_lines(book: Book, sheet: Sheet, row: int, used: Name) -> None:
    """The table of the lines with their variances, the sums first."""
    sheet.put(row, 0, "Line by line, adding up to actual - quoted", "heading")
    for column, (heading, _, word) in enumerate(COLUMNS):
        sheet.put(row + 1, column, heading, "columns right" if word != "text" else "columns text")
    share = Name("after_good_pieces") / Name("after_started_pieces")
    of_job: Any = job_variances
    formula = of_job(Name("after_route"), Name("after_good_pieces"), used, *WHOLE_JOB, share, LINE_ROWS)
    shown = shown_if(IN_ORDER, formula)
    sheet.put_array(row + 2, 0, shown, len(COLUMNS), "result money", LINE_ROWS)
    for down in range(LINE_ROWS):
        for column, (_, _, word) in enumerate(COLUMNS):
            sheet.cells[row + 2 + down, column].style = f"{'result' if down else 'total'} {word}"
    sheet.finish.append(whole_as_count((row + 2, 2), (row + 1 + LINE_ROWS, 3)))
    sheet.finish.append(lambda _workbook, written: written.set_h_pagebreaks([row]))
    sheet.put(row, 2, reason_if(IN_ORDER, formula), "note")
    book.define("after_lines", sheet, (row + 2, 0), (row + 1 + LINE_ROWS, len(COLUMNS) - 1))


def _put_steps(book: Book, sheet: Sheet, row: int, first: int) -> None:
    """From the quoted to the actual cost, and the chart of what lies between."""
    sheet.put(row, 0, "From the quoted to the actual cost", "heading")
    sheet.put(row + 1, 0, "Step", "columns")
    sheet.put(row + 1, 1, "Money", "columns right")
    here = row + 2
    for down, (column, title, meaning) in enumerate(STEPS):
        ends = down in (0, len(STEPS) - 1)
        sheet.put(here + down, 0, title, "total text" if ends else "text")
        sheet.put(here + down, 1, Name(address(first, column)), "total money" if ends else "result money")
        sheet.put(here + down, 3, meaning, "note")
    last = here + len(STEPS) - 1
    causes = area((here + 1, 1), (last - 1, 1))
    sheet.put(last + 1, 0, "Actual - quoted")
    sheet.put(last + 1, 1, Name(address(last, 1)) - Name(address(here, 1)), "result money")
    sheet.put(last + 2, 0, "Sum of the five causes")
    sheet.put(last + 2, 1, builtin("SUM", causes), "result money")
    book.define("after_difference", sheet, (last + 1, 1))
    book.define("after_causes", sheet, (last + 2, 1))

    def finish(workbook: Any, written: Any) -> None:
        chart = chart_of(workbook, {"type": "bar"}, "What it cost more (or less) than quoted", (520, 260), legend=False)
        labels = {"data_labels": {"value": True, "num_format": "#,##0.00"}}
        chart.add_series(series(TITLE, "More than quoted", (here + 1, last - 1), 0, 1) | BARS | labels)
        chart.set_x_axis({"num_format": "#,##0", "major_gridlines": GRID, "name": "Money; left of zero it cost less"})
        chart.set_y_axis({"reverse": True, "label_position": "low"})
        description = "What more pieces, volume, rejects, quantities and rates added to the cost of the job"
        written.insert_chart(row, 8, chart, {"description": description})

    sheet.finish.append(finish)


def _put_rate(book: Book, sheet: Sheet, row: int) -> None:
    """A table of tickets, and the rate they show beside the present one."""
    left = 4
    sheet.put(row, left, "A rate from tickets, hardly moved by a few wrong ones", "heading")
    for column, head in enumerate(("Driver", "Amount")):
        sheet.put(row + 1, left + column, head, "columns right")
    first, last = row + 2, row + 1 + USED_ROWS
    for down in range(USED_ROWS):
        cells = TICKETS[down] if down < len(TICKETS) else ("", "")
        for column, content in enumerate(cells):
            sheet.put(first + down, left + column, content, "input number")
    words = "Driver: colours, pieces entering the colours, sessions. Amount: minutes. A ticket to each row."
    sheet.put(last + 1, left, words, "note")
    of_tickets: Any = learned_rate
    formula = of_tickets(area((first, left), (last, left + 1)), Name("after_fixed_part"))
    at = left + 3
    for column, head in enumerate(("Rate", "Least", "Most", "Fixed part")):
        sheet.put(row + 1, at + column, head, "columns right")
    (good,) = faultless("after")
    sheet.put_array(first, at, shown_if(good, formula), 4, "result rate")
    present = builtin("INDEX", Name("rate_values"), builtin("MATCH", Name("after_rate"), Name("rate_names"), 0))
    sheet.put(first + 1, at, present, "result rate")
    sheet.put(first + 1, at + 1, "at present", "note beside")
    now, least, most = (Name(address(*cell)) for cell in ((first + 1, at), (first, at + 1), (first, at + 2)))
    keep, change = "The present rate lies within the interval: keep it.", "The tickets speak against the present rate."
    verdict = builtin("IF", least > now, change, builtin("IF", now > most, change, keep))
    sheet.put(first + 2, at, verdict, "note")
    sheet.put(first + 3, at, reason_if(good, formula), "note")
    sheet.put(first + 4, at, "Nothing changes by itself: type the rate into the sheet Shop rates if you agree.", "note")
    sheet.put(first + 5, at, "For all rates, from a file of tickets: python -m quotelib learn tickets.csv", "note")
    book.define("after_learned", sheet, (first, at), (first, at + 3))
    book.define("after_present", sheet, (first + 1, at))

    def finish(_workbook: Any, written: Any) -> None:
        rule = {"validate": "decimal", "criteria": "between", "minimum": 0, "maximum": 1e12}
        rule |= {"error_title": "The number is refused", "error_message": "It must be a number, 0 to 1e12."}
        written.data_validation(first, left, last, left + 1, rule)

    sheet.finish.append(finish)
