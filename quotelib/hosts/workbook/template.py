"""The template workbook: how to begin, one job worked every way, break-even, the shop's rates, prices, the functions.

Nothing of the trade is written here.  The inputs come from the fields of Job and ShopRates, the formulas from the routes
run on the names of the input cells, the help from the registry; this module says where things stand and how they look.
"""

import datetime
from typing import Any, NamedTuple

import pandas

from quotelib._version import __version__
from quotelib.buying import price_row
from quotelib.choice import route_map, route_stretches
from quotelib.curve import change_over_run, line_quantity, run_cost, unit_cost
from quotelib.docstrings import FunctionHelp, help_of
from quotelib.formula import Call, Formula, Name, builtin
from quotelib.guard import input_faults, library_version, reason
from quotelib.hosts.workbook.model import Book, Sheet, address
from quotelib.hosts.workbook.styles import INK, PINE, number_word, word_for_unit
from quotelib.job import Job
from quotelib.kinds import CODE, DayKind, FlagKind, NumberKind
from quotelib.pricelist import PriceList
from quotelib.rates import ShopRates
from quotelib.records import Entry, Record
from quotelib.registry import FUNCTIONS, SheetFunction
from quotelib.routes import PRICE_BANDS, PRICES, ROUTES, CostLine, Route, Step, Workings, cost_lines

RUN_SIZES = (25, 50, 75, 100, 150, 200, 300, 400, 500, 700, 1000, 1500, 2000, 3000, 5000, 10000)
"""Run sizes on the break-even sheet; the user may type others."""

CAUTIONS = (
    "Solvents, inks and washes: read the safety data sheet first; ventilate, wear the gloves and goggles it names, keep "
    "flames away, and store rags and waste as the local code says.",
    "UV lamps: never look into the light or reach under a lit lamp; keep the shields closed, and let the lamp cool first.",
    "Hot roller: keep hands, sleeves and hair out of the nip; know the stop before you start; it stays hot long after.",
    "Blades, knives and pad machines: guard them, cut away from the body, and lock the machine out before you clean it.",
    "Lifting screens, film rolls and stacks of blanks: lift with two, or with a trolley.",
    "Local codes, the safety data sheet and licensed practice go before anything said here. "
    "Costs are for quoting; they are not accounting or tax advice.",
)


class CellWorkings(Workings):
    """Workings on a sheet: a step goes into a named cell, and the routes go on with its name."""

    def __call__(self, name: str, title: str, value: Any, unit: str) -> Any:
        super().__call__(name, title, value, unit)
        return Name(name)


def build_book(job: Job, rates: ShopRates, prices: PriceList) -> Book:
    """The template with a job, the shop's rates and the price list filled in."""
    book = Book()
    begin = book.sheet("Begin")
    job_sheet = book.sheet("Job")
    break_even = book.sheet("Break-even")
    route_map_sheet = book.sheet("Route map")
    rates_sheet = book.sheet("Shop rates")
    price_sheet = book.sheet("Price list")
    functions = book.sheet("Functions")
    _fill_prices(book, price_sheet, prices)
    _fill_rates(book, rates_sheet, rates)
    _fill_job(book, job_sheet, job)
    _fill_break_even(book, break_even)
    _fill_route_map(route_map_sheet)
    _fill_functions(functions)
    _fill_begin(book, begin)
    return book


# --- inputs -----------------------------------------------------------------------------------------------------------


class InputColumns(NamedTuple):
    """Where the parts of an input row stand on a sheet; label, value and unit always come first."""

    meaning: int
    allowed: int
    kind: int
    name: int


LABEL, VALUE, UNIT = 0, 1, 2
ON_RATES = InputColumns(meaning=3, allowed=4, kind=5, name=6)
ON_JOB = InputColumns(meaning=3, allowed=10, kind=13, name=15)


def _put_inputs(book: Book, sheet: Sheet, row: int, entries: list[Entry], record: Record, at: InputColumns) -> int:
    """One row for each field of a record: an input cell with its name, unit, meaning, range and kind."""
    for entry in entries:
        sheet.put(row, LABEL, entry.title)
        sheet.put(row, VALUE, _as_cell(entry, getattr(record, entry.name)), f"input {number_word(entry.kind)}")
        sheet.put(row, UNIT, entry.kind.unit, "unit")
        sheet.put(row, at.meaning, entry.help, "note")
        sheet.put(row, at.allowed, entry.kind.allowed, "note")
        sheet.put(row, at.kind, entry.kind.name, "note")
        sheet.put(row, at.name, entry.name, "note")
        book.define(entry.name, sheet, (row, VALUE))
        sheet.finish.append(_validation(row, VALUE, entry))
        row += 1
    return row


def _put_input_heads(sheet: Sheet, row: int, at: InputColumns) -> None:
    heads = {LABEL: "Input", VALUE: "Value", UNIT: "Unit", at.meaning: "Meaning", at.allowed: "Allowed", at.kind: "Kind"}
    heads[at.name] = "Name in formulas"
    _put_columns(sheet, row, tuple(heads.get(column, "") for column in range(at.name + 1)))


def _define_record(book: Book, sheet: Sheet, what: str, first: int, last: int, at: InputColumns) -> None:
    """The names and the values of a record's inputs as two ranges, for functions that read a whole job."""
    book.define(f"{what}_names", sheet, (first, at.name), (last, at.name))
    book.define(f"{what}_values", sheet, (first, VALUE), (last, VALUE))


def _as_cell(entry: Entry, value: Any) -> Any:
    if isinstance(entry.kind, DayKind):
        return datetime.date(1899, 12, 30) + datetime.timedelta(days=value)
    return value


def _validation(row: int, column: int, entry: Entry) -> Any:
    """What the spreadsheet itself checks as the user types, from the kind."""
    kind = entry.kind
    rule: dict[str, Any]
    if isinstance(kind, NumberKind):
        rule = {"validate": "integer" if kind.whole else "decimal", "criteria": "between"}
        rule |= {"minimum": kind.low, "maximum": kind.high}
        if kind.above == 0:
            rule = {"validate": "decimal", "criteria": ">", "value": 0}
    elif isinstance(kind, FlagKind):
        rule = {"validate": "list", "source": ["TRUE", "FALSE"]}
    elif isinstance(kind, DayKind):
        rule = {"validate": "date", "criteria": "between"}
        rule |= {"minimum": datetime.date(1990, 1, 1), "maximum": datetime.date(2199, 12, 31)}
    elif kind is CODE:
        rule = {"validate": "list", "source": "=price_codes"}
    else:
        rule = {"validate": "length", "criteria": ">", "value": 0}
    rule |= {
        "input_title": entry.title[:32],
        "input_message": f"{entry.help} {kind.allowed}{f' [{kind.unit}]' if kind.unit else ''}"[:255],
        "error_title": f"{entry.title} is refused"[:32],
        "error_message": f"It must be {kind.allowed}."[:255],
        "ignore_blank": False,
    }

    def add(_workbook: Any, written: Any) -> None:
        written.data_validation(row, column, row, column, rule)

    return add


def _guard(first: int, last: int, at: InputColumns) -> Call:
    """The formula that names blank and wrong inputs between two rows."""
    labels, values, kinds = (Name(f"{address(first, c)}:{address(last, c)}") for c in (LABEL, VALUE, at.kind))
    guard: Call = input_faults(labels, values, kinds)
    return guard


def _fill_rates(book: Book, sheet: Sheet, rates: ShopRates) -> None:
    sheet.put(0, 0, "Shop rates", "title")
    sheet.put(1, 0, "Times, yields, machines and settings that every quote uses. Invented figures: put your own.", "note")
    sheet.put(2, 0, "Faults, named here; none if empty")
    row = 5
    groups: dict[str, list[Entry]] = {}
    for entry in ShopRates.entries():
        groups.setdefault(entry.group, []).append(entry)
    _put_input_heads(sheet, 4, ON_RATES)
    first = row
    for group, entries in groups.items():
        sheet.put(row, 0, group, "heading")
        row = _put_inputs(book, sheet, row + 1, entries, rates, ON_RATES)
    sheet.put(2, 1, _guard(first, row - 1, ON_RATES), "guard")
    book.define("rates_faults", sheet, (2, 1))
    _define_record(book, sheet, "rate", first, row - 1, ON_RATES)
    sheet.finish.append(_page(widths=(34, 20, 14, 66, 30, 16, 26), frozen=(5, 1), heads=(4, 4)))


# --- prices -----------------------------------------------------------------------------------------------------------

PRICE_COLUMNS = (
    ("Code", "code", "text", 22),
    ("From quantity", "from in quoting units", "number", 13),
    ("Unit price", "unit price", "unit price", 13),
    ("Valid from", "valid from", "day", 11),
    ("Valid to", "valid to", "day", 11),
    ("Quoting unit", "quoting unit", "text", 9),
    ("Description", "description", "text", 44),
    ("Supplier", "supplier", "text", 26),
    ("Kind", "kind", "text", 10),
    ("Pack quantity", "pack quantity", "number", 9),
    ("Pack unit", "pack unit", "text", 24),
    ("Price of a pack", "price", "money", 11),
    ("Currency", "currency", "text", 9),
    ("From packs", "from quantity", "count", 8),
    ("Line in the file", "line in file", "count", 8),
)
"""Heading, column of PriceList.table, number format and width; the first five are what PRICE_ON and PRICE_BREAKS read."""


FIRST_PRICE = 5
"""Rows above the first price."""


def _fill_prices(book: Book, sheet: Sheet, prices: PriceList) -> None:
    sheet.put(0, 0, "Price list", "title")
    sheet.put(1, 0, f"From {prices.file}, in {prices.currency}. Invented suppliers and prices: put your own.", "note")
    sheet.put(2, 0, "Prices are per quoting unit; the supplier's own pack, unit and price stand to the right.", "note")
    for column, (heading, _, word, _) in enumerate(PRICE_COLUMNS):
        sheet.put(4, column, heading, "columns text" if word in ("text", "day") else "columns right")
    first = FIRST_PRICE
    for row, record in enumerate(prices.table.to_dict("records"), first):
        for column, (_, name, word, _) in enumerate(PRICE_COLUMNS):
            sheet.put(row, column, _plain(record[name]), f"result {word}")
    last = first + len(prices.table) - 1
    book.define("price_rows", sheet, (first, 0), (last, 4))
    book.define("price_codes", sheet, (first, 0), (last, 0))
    widths = tuple(width for *_, width in PRICE_COLUMNS)
    sheet.finish.append(_page(widths, frozen=(5, 1), heads=(4, 4), filtered=(4, 0, last, len(widths) - 1)))


def _plain(value: Any) -> Any:
    """A value of a data frame as a cell holds it."""
    if value is pandas.NaT:
        return ""
    return value.date() if isinstance(value, datetime.datetime) else value


# --- the job, every way -------------------------------------------------------------------------------------------------

LINE_COLUMNS = (
    ("Cost element", 32),
    ("Driver", 20),
    ("Unit", 9),
    ("Once", 11),
    ("Per step", 11),
    ("Step (good pieces)", 11),
    ("At least", 10),
    ("Rate", 11),
    *((heading, 11) for _ in range(PRICE_BANDS - 1) for heading in ("From quantity", "Rate from there")),
    ("Quantity of this run", 13),
    ("Amount", 12),
    ("Rate comes from", 28),
    ("Reason, where a rate is refused", 44),
)
ONCE, RATE = 3, 7
QUANTITY = RATE + 1 + 2 * (PRICE_BANDS - 1)


def _fill_job(book: Book, sheet: Sheet, job: Job) -> None:
    sheet.put(0, 0, "One job, every way to print it", "title")
    sheet.put(1, 0, "Fill in the framed cells. Everything else follows. The figures are an invented example.", "note")
    sheet.put(2, 0, "Faults, named here; none if empty")
    _put_input_heads(sheet, 4, ON_JOB)
    end = _put_inputs(book, sheet, 5, Job.entries(), job, ON_JOB)
    sheet.put(2, 1, _guard(5, end - 1, ON_JOB), "guard")
    book.define("job_faults", sheet, (2, 1))
    _define_record(book, sheet, "job", 5, end - 1, ON_JOB)
    summary = end + 1
    start = summary + 4 + len(ROUTES)

    costing = cost_lines(Job.of_cells(), ShopRates.of_cells(), Name("price_rows"), CellWorkings())
    start = _put_steps(book, sheet, start, costing.steps)
    for route in ROUTES:
        start = _put_lines(book, sheet, start + 1, route, costing.lines[route.key])
    _put_summary(book, sheet, summary)
    widths = tuple(width for _, width in LINE_COLUMNS)
    sheet.finish.append(_page(widths, frozen=(3, 1), heads=None))


def _put_summary(book: Book, sheet: Sheet, row: int) -> None:
    """What each route costs, the cheapest, and where it changes."""
    sheet.put(row, 0, "What it comes to", "heading")
    for column, heading in enumerate(("Route", "Cost of the run", "Cost of a good piece", "Changes over to it from")):
        sheet.put(row + 1, column, heading, "columns" if column == 0 else "columns right")
    first = row + 2
    for place, route in enumerate(ROUTES):
        here, lines = first + place, Name(f"{route.key}_lines")
        possible = _possible(route)
        sheet.put(here, 0, route.title)
        run = builtin("IF", possible, run_cost(Name("good_pieces"), lines), builtin("NA"))
        sheet.put(here, 1, run, "result money")
        book.define(f"{route.key}_cost", sheet, (here, 1))
        sheet.put(here, 2, Name(f"{route.key}_cost") / Name("good_pieces"), "result rate")
        if place:
            before = Name(f"{ROUTES[0].key}_lines")
            change = builtin("IF", possible, change_over_run(before, lines), builtin("NA"))
            sheet.put(here, 3, change, "result count")
            sheet.put(
                here, 4, f"Smallest run from which it costs no more than {ROUTES[0].title.lower()}, and stays so.", "note"
            )
    last = first + len(ROUTES) - 1
    names, costs = Name(f"A{first + 1}:A{last + 1}"), Name(f"B{first + 1}:B{last + 1}")
    sheet.put(last + 1, 0, "Cheapest", "total text")
    sheet.put(last + 1, 1, _cheapest(names, costs), "total text")
    book.define("cheapest_route", sheet, (last + 1, 1))
    sheet.put(last + 1, 2, builtin("AGGREGATE", 15, 6, costs, 1) / Name("good_pieces"), "total rate")
    sheet.put(
        last + 1, 4, "#N/A: the route is not possible, never changes over, or an input has a fault (see above).", "note"
    )


def _possible(route: Route) -> Call:
    """Whether no input has a fault, and the job can be printed this way."""
    faultless = [Name(f"{what}_faults").equals("") for what in ("job", "rates")]
    return builtin("AND", *faultless, *(holds for _, holds in route.needs(Job.of_cells())))


def _cheapest(names: Name, costs: Name) -> Call:
    """The name beside the smallest cost, cells in error passed over."""
    return builtin("INDEX", names, builtin("MATCH", builtin("AGGREGATE", 15, 6, costs, 1), costs, 0))


def _put_steps(book: Book, sheet: Sheet, row: int, steps: list[Step]) -> int:
    """The figures worked out on the way, each in a named cell."""
    sheet.put(row, 0, "Workings", "heading")
    heads = {0: "Figure", 1: "Value", 2: "Unit", 4: "For", 6: "Name in formulas", 8: "Reason, where it is refused"}
    _put_columns(sheet, row + 1, tuple(heads.get(column, "") for column in range(ON_JOB.kind + 1)))
    row += 2
    for step in steps:
        sheet.put(row, 0, step.title)
        sheet.put(row, 1, step.value, f"result {word_for_unit(step.unit)}")
        sheet.put(row, 2, step.unit, "unit")
        sheet.put(row, 4, step.route or "All routes", "note")
        sheet.put(row, 6, step.name, "note")
        sheet.put(row, 8, _reason(step.value), "note")
        book.define(step.name, sheet, (row, 1))
        row += 1
    return row


def _reason(formula: Any) -> Any:
    """The formula that says why a call is refused; nothing where the formula is not a plain call of ours."""
    if isinstance(formula, Call) and formula.name in FUNCTIONS:
        return reason(formula.name, *formula.arguments)
    return ""


def _source(line: CostLine, quantity: Name) -> Any:
    """Where a line's rate stands: the row of the price list, or the name of the shop's rate."""
    if line.source != PRICES:
        return f"Shop rates: {line.source_name}"
    bought = quantity if isinstance(line.rate, Call) and line.rate.name == "PRICE_BREAKS" else 0
    row: Formula = price_row(Name(line.source_name), bought, Name("quote_day"), Name("price_rows"))
    return builtin("CONCATENATE", "Price list: row ", row + FIRST_PRICE)


def _put_lines(book: Book, sheet: Sheet, row: int, route: Route, lines: list[CostLine]) -> int:
    """The cost lines of a route, and their sum."""
    sheet.put(row, 0, route.title, "heading")
    for column, (heading, _) in enumerate(LINE_COLUMNS):
        sheet.put(row + 1, column, heading, "columns right" if ONCE <= column <= QUANTITY + 1 else "columns")
    first = row + 2
    for here, line in enumerate(lines, first):
        for column, content in enumerate((line.element, line.driver, line.unit)):
            sheet.put(here, column, content, "text")
        for column, content in enumerate((line.once, line.per_step, line.every, line.at_least), ONCE):
            if isinstance(content, Formula) or content:
                sheet.put(here, column, content, "result number")
        if isinstance(line.rate, Call) and line.rate.name == "PRICE_BREAKS":
            sheet.put_array(here, RATE, line.rate, 2 * PRICE_BANDS - 1, "result rate")
        else:
            sheet.put(here, RATE, line.rate, "result rate")
        once, per_step, every, at_least = (Name(address(here, column)) for column in range(ONCE, RATE))
        rates = Name(f"{address(here, RATE)}:{address(here, QUANTITY - 1)}")
        paid = line_quantity(Name("good_pieces"), once, per_step, every, at_least, rates)
        sheet.put(here, QUANTITY, paid, "result number")
        numbers = Name(f"{address(here, ONCE)}:{address(here, QUANTITY - 1)}")
        sheet.put(here, QUANTITY + 1, run_cost(Name("good_pieces"), numbers), "result money")
        sheet.put(here, QUANTITY + 2, _source(line, Name(address(here, QUANTITY))), "note")
        sheet.put(here, QUANTITY + 3, _reason(line.rate), "note")
    last = first + len(lines) - 1
    book.define(f"{route.key}_lines", sheet, (first, ONCE), (last, QUANTITY - 1))
    sheet.put(last + 1, 0, "Sum of the lines", "total text")
    for column in range(1, QUANTITY + 1):
        sheet.put(last + 1, column, "", "total text")
    amounts = Name(f"{address(first, QUANTITY + 1)}:{address(last, QUANTITY + 1)}")
    sheet.put(last + 1, QUANTITY + 1, builtin("SUM", amounts), "total money")
    book.define(f"{route.key}_sum", sheet, (last + 1, QUANTITY + 1))
    return last + 3


# --- break-even -----------------------------------------------------------------------------------------------------------


def _fill_break_even(book: Book, sheet: Sheet) -> None:
    sheet.put(0, 0, "Break-even", "title")
    sheet.put(
        1,
        0,
        "Cost of a good piece against the run, for the job on the sheet Job. Type other run sizes if you like.",
        "note",
    )
    headings = ("Run", *(route.title for route in ROUTES), "Cheapest")
    for column, heading in enumerate(headings):
        sheet.put(3, column, heading, "columns right" if 0 < column <= len(ROUTES) else "columns")
    first, last = 4, 3 + len(RUN_SIZES)
    names = Name(f"$B$4:{_absolute(address(3, len(ROUTES)))}")
    for row, run in enumerate(RUN_SIZES, first):
        here = sheet.put(row, 0, run, "input count")
        for column, route in enumerate(ROUTES, 1):
            cost = builtin("IF", _possible(route), unit_cost(here, Name(f"{route.key}_lines")), builtin("NA"))
            sheet.put(row, column, cost, "result rate")
        costs = Name(f"{address(row, 1)}:{address(row, len(ROUTES))}")
        sheet.put(row, len(ROUTES) + 1, _cheapest(names, costs), "result text")
    sheet.put(
        last + 2, 0, "#N/A: the item cannot be printed this way, or an input has a fault; the sheet Job says which.", "note"
    )

    sheet.put(last + 4, 0, "The cheapest route at every run, exactly: steps and price breaks included", "heading")
    _put_columns(sheet, last + 5, ("First run", "Last run", "Route"))
    stretches: Any = route_stretches
    sheet.put_array(last + 6, 0, stretches(*WHOLE_JOB, STRETCH_ROWS), 3, "result count", STRETCH_ROWS)

    def finish(workbook: Any, written: Any) -> None:
        rule = {"validate": "integer", "criteria": "between", "minimum": 1, "maximum": 10**9}
        rule |= {"input_title": "Run", "input_message": "Good pieces of the run: whole, 1 to 1e9."}
        rule |= {"error_title": "The run is refused", "error_message": "It must be a whole number, 1 to 1e9."}
        written.data_validation(first, 0, last, 0, rule)
        chart = workbook.add_chart({"type": "scatter", "subtype": "straight_with_markers"})
        for column, (dash, marker) in enumerate(CHART_LINES, 1):
            chart.add_series(
                {
                    "name": ["Break-even", 3, column],
                    "categories": ["Break-even", first, 0, last, 0],
                    "values": ["Break-even", first, column, last, column],
                    "line": {"color": INK, "width": 1.75, "dash_type": dash},
                    "marker": {"type": marker, "size": 7, "border": {"color": INK}, "fill": {"color": "#FFFFFF"}},
                }
            )
        chart.set_title({"name": "Cost of a good piece against the run", "name_font": {"size": 12, "color": PINE}})
        grid = {"visible": True, "line": {"color": "#D8DEDB", "width": 0.5}}
        chart.set_x_axis(
            {"name": "Good pieces in the run", "log_base": 10, "min": 10, "major_gridlines": grid, "num_format": "#,##0"}
        )
        chart.set_y_axis({"name": "Cost of a good piece", "major_gridlines": grid, "num_format": "#,##0.00"})
        chart.set_legend({"position": "bottom"})
        chart.set_size({"width": 760, "height": 440})
        written.insert_chart(3, len(headings) + 1, chart, {"description": "Unit cost of the routes against run size"})

    sheet.finish.append(finish)
    sheet.finish.append(_page((12, *(14 for _ in ROUTES), 16), frozen=(4, 1), heads=None))


CHART_LINES = (
    ("solid", "circle"),
    ("dash", "square"),
    ("long_dash", "triangle"),
    ("dash_dot", "x"),
    ("round_dot", "diamond"),
)
"""Dash and marker for each route: told apart without colour."""


def _absolute(text: str) -> str:
    letters = text.rstrip("0123456789")
    return f"${letters}${text[len(letters) :]}"


# --- route map ----------------------------------------------------------------------------------------------------------

STRETCH_ROWS = 14
"""Rows kept for the stretches of run sizes."""

MAP_COLOURS = tuple(range(1, 9))
MAP_RUNS = (25, 50, 100, 200, 300, 500, 700, 1000, 2000, 5000)
WHOLE_JOB = tuple(Name(name) for name in ("job_names", "job_values", "rate_names", "rate_values", "price_rows"))


def _fill_route_map(sheet: Sheet) -> None:
    sheet.put(0, 0, "Route map", "title")
    sheet.put(1, 0, "The cheapest route for the job on the sheet Job, at other numbers of colours and other runs.", "note")
    tables = (
        ("Cheapest route", "cheapest", "map text"),
        ("How much more the next cheapest costs for a good piece: the least that a wrong choice loses", "next", "map rate"),
    )
    row, width, height = 3, len(MAP_RUNS), len(MAP_COLOURS)
    first, last = (row + 2, 1), (row + 1 + height, width)
    counts, runs = _area((first[0], 0), (last[0], 0)), _area((first[0] - 1, 1), (first[0] - 1, width))
    for title, figure, style in tables:
        sheet.put(row, 0, title, "heading")
        sheet.put(row + 1, 0, "Colours \\ run", "columns")
        given = figure == "cheapest"
        for across, run in enumerate(MAP_RUNS, 1):
            content = run if given else Name(address(first[0] - 1, across))
            sheet.put(row + 1, across, content, "input count" if given else "total count")
        for down, count in enumerate(MAP_COLOURS, row + 2):
            content = count if given else Name(address(first[0] + down - row - 2, 0))
            sheet.put(down, 0, content, "input count" if given else "total count")
        map_of: Any = route_map
        sheet.put_array(row + 2, 1, map_of(counts, runs, *WHOLE_JOB, figure), width, style, height)
        row += height + 4
    sheet.put(row, 0, "Type other colours and runs into the framed cells of the first table.", "note")

    def finish(workbook: Any, written: Any) -> None:
        rule = {"validate": "integer", "criteria": "between", "minimum": 1}
        written.data_validation(first[0] - 1, 1, first[0] - 1, width, rule | {"maximum": 10**9})
        written.data_validation(first[0], 0, last[0], 0, rule | {"maximum": 24})
        for route, look in zip(ROUTES, MAP_LOOKS, strict=True):
            shade = {"type": "cell", "criteria": "==", "value": f'"{route.title}"', "format": workbook.add_format(look)}
            written.conditional_format(*first, *last, shade)

    sheet.finish.append(finish)
    sheet.finish.append(_page((16, *(17 for _ in MAP_RUNS)), frozen=(3, 1), heads=None))


def _area(first: tuple[int, int], last: tuple[int, int]) -> Name:
    return Name(f"{address(*first)}:{address(*last)}")


MAP_LOOKS = (
    {"bg_color": "#FFFFFF", "font_color": INK},
    {"bg_color": "#DCE6E1", "font_color": INK},
    {"bg_color": "#A9C0B5", "font_color": INK, "italic": True},
    {"bg_color": "#5E8475", "font_color": "#FFFFFF"},
    {"bg_color": "#24302B", "font_color": "#FFFFFF", "bold": True},
)
"""Shades of one colour for the routes, told apart in black and white too; the words are in the cells."""


# --- the functions, and how to begin ------------------------------------------------------------------------------------


def _fill_functions(sheet: Sheet) -> None:
    sheet.put(0, 0, "Functions", "title")
    sheet.put(1, 0, "Type them into any cell. An argument in brackets may be left out.", "note")
    _put_columns(sheet, 3, ("Function or argument", "What it gives or is", "Allowed", "Example or source", "Chapter"))
    row = 4
    for function in FUNCTIONS.values():
        words = help_of(function)
        shown = [f"[{each.name}]" if not each.required else each.name for each in function.arguments]
        sheet.put(row, 0, f"{function.cell_name}({', '.join(shown)})", "function")
        sheet.put(row, 1, words.summary, "function text")
        sheet.put(
            row,
            2,
            f"gives {function.result.name}" + (f" [{function.result.unit}]" if function.result.unit else ""),
            "function text",
        )
        sheet.put(row, 3, _example(function, words), "function text")
        sheet.put(row, 4, function.chapter, "function text")
        row += 1
        for each in function.arguments:
            sheet.put(row, 0, f"    {each.name}", "code")
            sheet.put(row, 1, words.arguments[each.name].meaning, "wrapped")
            sheet.put(row, 2, words.arguments[each.name].allowed, "note wrapped")
            row += 1
        sheet.put(row, 1, f"Source: {words.source}", "note wrapped")
        row += 1
    sheet.finish.append(_page((44, 70, 40, 52, 14), frozen=(4, 1), heads=(3, 3)))


def _example(function: SheetFunction[..., Any], words: FunctionHelp) -> str:
    """The docstring's first example, as typed into a cell."""
    call, result = words.example
    call = call.replace(function.__name__, f"={function.cell_name}", 1)
    for python, cell in (("True", "TRUE"), ("False", "FALSE"), ("[[", "{"), ("]]", "}"), ("], [", "; "), ("'", '"')):
        call = call.replace(python, cell)
    return f"{call} gives {result}" if result else call


def _fill_begin(book: Book, sheet: Sheet) -> None:
    sheet.put(0, 0, "Quoting decorated hard goods", "title")
    row = 2
    for text in BEGINNING:
        sheet.put(row, 0, text, "wrapped")
        row += 1
    sheet.put(row + 1, 0, "Is everything in order?", "heading")
    sheet.put(row + 1, 1, "", "heading")
    checks = (
        (f"Functions found (this workbook was made with {__version__})", library_version()),
        ("Faults in the job", Name("job_faults")),
        ("Faults in the shop rates", Name("rates_faults")),
        ("Cheapest way for the job", Name("cheapest_route")),
    )
    for offset, (label, formula) in enumerate(checks, 2):
        sheet.put(row + offset, 0, label)
        sheet.put(row + offset, 1, formula, "result text")
    row += 2 + len(checks)
    sheet.put(row, 0, MISSING_FUNCTIONS, "note wrapped")
    sheet.put(row + 2, 0, "Mind your hands, eyes and lungs", "heading")
    sheet.put(row + 2, 1, "", "heading")
    for offset, text in enumerate(CAUTIONS, 3):
        sheet.put(row + offset, 0, text, "caution")
    sheet.finish.append(_page((100, 34), frozen=None, heads=None, landscape=False))


BEGINNING = (
    "1.  On the sheet Job, type the design, the item and the run into the framed cells. The ways to print it are "
    "worked out below, line by line, each line with its driver.",
    "2.  The sheet Break-even shows at which run the cheaper way changes.",
    "3.  On the sheet Shop rates, put your own times, yields and machines. The sheet Price list holds the prices.",
    "4.  Any function on the sheet Functions can be typed into any cell, here or in your own workbook: =SETUP_COST(3, 28)",
    '5.  A wrong argument gives an error value, so a total never lies. =REASON("SETUP_COST", 0, 28) says what is wrong.',
    "6.  All names and figures in this workbook are invented: Tarnwick Sled & Paddle and its suppliers do not exist.",
)

MISSING_FUNCTIONS = (
    "If the first line shows #NAME?, the functions are not installed on this machine, and every result is in error until "
    "they are. In LibreOffice Calc 25.2 or later: close it, run  python -m quotelib install  (or open "
    "quoting-functions.oxt with the Extension Manager), and open this workbook again. In Excel for Windows: open "
    "quoting.xlsm and follow EXCEL.md beside it. If the version found differs from the one named here, install the newer."
)


# --- shared ---------------------------------------------------------------------------------------------------------------


def _put_columns(sheet: Sheet, row: int, headings: tuple[str, ...]) -> None:
    for column, heading in enumerate(headings):
        sheet.put(row, column, heading, "columns")


def _page(
    widths: tuple[float, ...],
    frozen: tuple[int, int] | None,
    heads: tuple[int, int] | None,
    filtered: tuple[int, int, int, int] | None = None,
    landscape: bool = True,
) -> Any:
    """Column widths, frozen panes and print set-up of a sheet: one page wide, headings repeated, pages numbered."""

    def finish(_workbook: Any, written: Any) -> None:
        for column, width in enumerate(widths):
            written.set_column(column, column, width)
        if frozen:
            written.freeze_panes(*frozen)
        if heads:
            written.repeat_rows(*heads)
        if filtered:
            written.autofilter(*filtered)
        if landscape:
            written.set_landscape()
        written.set_paper(9)
        written.fit_to_pages(1, 0)
        written.set_margins(0.5, 0.5, 0.6, 0.6)
        written.set_footer("&L&A&CInvented figures&RPage &P of &N")
        written.hide_gridlines(2)

    return finish
