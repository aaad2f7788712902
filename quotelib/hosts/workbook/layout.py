"""What the template's sheets share: input rows with their checks, headings, guards, page set-up."""

from typing import Any, NamedTuple

from quotelib.chapters.guard import input_faults, reason
from quotelib.formula import Call, Formula, Name, builtin
from quotelib.hosts.workbook.model import Book, Sheet, address
from quotelib.hosts.workbook.styles import FOOTER, NUMBERS, number_word
from quotelib.job import Job
from quotelib.kinds import PRICE_CODES, ChoiceKind, DayKind, FlagKind, NumberKind, day_of
from quotelib.records import Entry, Record
from quotelib.registry import FUNCTIONS
from quotelib.routes import Route


class InputColumns(NamedTuple):
    """Where the parts of an input row stand on a sheet; label, value and unit always come first."""

    meaning: int
    allowed: int
    kind: int
    name: int


LABEL, VALUE, UNIT = 0, 1, 2
ON_RATES = InputColumns(meaning=3, allowed=4, kind=5, name=6)
ON_JOB = InputColumns(meaning=3, allowed=10, kind=13, name=15)

DATES = {
    "validate": "date", "criteria": "between", "minimum": day_of(DayKind.EARLIEST), "maximum": day_of(DayKind.LATEST),
}  # fmt: skip
"""What the spreadsheet checks of a day as the user types."""


def put_inputs(book: Book, sheet: Sheet, row: int, entries: list[Entry], record: Record, at: InputColumns) -> int:
    """One row for each field of a record: an input cell with its name, unit, meaning, range and kind."""
    for entry in entries:
        sheet.put(row, LABEL, entry.title)
        sheet.put(row, VALUE, _as_cell(entry, getattr(record, entry.name)), f"input {number_word(entry.kind)}")
        sheet.put(row, UNIT, entry.kind.unit, "unit")
        sheet.put(row, at.meaning, entry.help, "note beside")
        sheet.put(row, at.allowed, entry.kind.allowed, "note beside")
        sheet.put(row, at.kind, entry.kind.name, "note beside")
        sheet.put(row, at.name, entry.name, "note beside")
        book.define(entry.name, sheet, (row, VALUE))
        sheet.finish.append(_validation(row, VALUE, entry))
        row += 1
    return row


def put_input_heads(sheet: Sheet, row: int, at: InputColumns) -> None:
    """The headings above input rows."""
    heads = {LABEL: "Input", VALUE: "Value", UNIT: "Unit", at.meaning: "Meaning", at.allowed: "Allowed", at.kind: "Kind"}
    heads[at.name] = "Name in formulas"
    put_columns(sheet, row, tuple(heads.get(column, "") for column in range(at.name + 1)))
    sheet.cells[row, VALUE].style = "columns"


def put_block(book: Book, sheet: Sheet, row: int, what: str, record: Record, at: InputColumns) -> int:
    """A block of inputs from a record: the guard, named `<what>_faults`, then headings and a row for each field.

    Gives the row below the block.
    """
    sheet.put(row, LABEL, "Faults, named here; none if empty")
    put_input_heads(sheet, row + 2, at)
    end = put_inputs(book, sheet, row + 3, record.entries(), record, at)
    sheet.put(row, VALUE, guard(row + 3, end - 1, at), "guard")
    book.define(f"{what}_faults", sheet, (row, VALUE))
    define_record(book, sheet, what, row + 3, end - 1, at)
    return end


def define_record(book: Book, sheet: Sheet, what: str, first: int, last: int, at: InputColumns) -> None:
    """The names and the values of a record's inputs as two ranges, for functions that read a whole job."""
    book.define(f"{what}_names", sheet, (first, at.name), (last, at.name))
    book.define(f"{what}_values", sheet, (first, VALUE), (last, VALUE))


def _as_cell(entry: Entry, value: Any) -> Any:
    if isinstance(entry.kind, DayKind):
        return day_of(value)
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
    elif isinstance(kind, ChoiceKind):
        rule = {"validate": "list", "source": list(kind.choices)}
    elif isinstance(kind, DayKind):
        rule = dict(DATES)
    elif kind in PRICE_CODES:
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


def guard(first: int, last: int, at: InputColumns) -> Call:
    """The formula that names blank and wrong inputs between two rows, and codes that the price list does not have."""
    labels, values, kinds = (area((first, column), (last, column)) for column in (LABEL, VALUE, at.kind))
    faults: Call = input_faults(labels, values, kinds, Name("price_codes"))
    return faults


def area(first: tuple[int, int], last: tuple[int, int]) -> Name:
    """The range between two cells of the sheet it is used on."""
    return Name(f"{address(*first)}:{address(*last)}")


def put_columns(sheet: Sheet, row: int, headings: tuple[str, ...]) -> None:
    """Column headings in a row, from the first column on."""
    for column, heading in enumerate(headings):
        sheet.put(row, column, heading, "columns text" if column else "columns")


def page(
    widths: tuple[float, ...],
    frozen: tuple[int, int] | None,
    heads: tuple[int, int] | None,
    filtered: tuple[int, int, int, int] | None = None,
    landscape: bool = True,
    printed: int | None = None,
    below: int = 0,
) -> Any:
    """Column widths, frozen panes and print set-up of a sheet: one page wide, headings repeated, pages numbered.

    `printed` is the number of columns that go on paper, all that is there if left out; `below` the rows below the last
    cell that a chart needs.
    """

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
        if printed:
            written.print_area(0, 0, written.dim_rowmax + below, printed - 1)
        written.fit_to_pages(1, 0)
        written.set_margins(0.5, 0.5, 0.6, 0.6)
        written.set_footer(FOOTER)
        written.hide_gridlines(2)

    return finish


def whole_as_count(first: tuple[int, int], last: tuple[int, int]) -> Any:
    """Whole numbers between two cells are shown without decimals, the others as their style says."""

    def finish(workbook: Any, written: Any) -> None:
        whole = f"=IFERROR(MOD({address(*first)},1)=0,FALSE)"
        look = workbook.add_format({"num_format": NUMBERS["count"]})
        written.conditional_format(*first, *last, {"type": "formula", "criteria": whole, "format": look})

    return finish


WHOLE_JOB = tuple(Name(name) for name in ("job_names", "job_values", "rate_names", "rate_values", "price_rows"))
"""The ranges that a function of a whole job reads."""


def faultless(*whats: str) -> list[Formula]:
    """For each of these blocks of inputs, that it has no fault."""
    return [Name(f"{what}_faults").equals("") for what in whats]


def possible(route: Route) -> Call:
    """Whether no input has a fault, and the job can be printed this way."""
    return builtin("AND", *faultless("job", "rates"), *(holds for _, holds in route.needs(Job.of_cells())))


def shown_if(holds: Formula, formula: Any) -> Call:
    """A result where something holds, and #N/A where not."""
    return builtin("IF", holds, formula, builtin("NA"))


def reason_if(holds: Formula, formula: Any) -> Call:
    """Why a call is refused, where something holds; blank where not: then the guards say what is wrong."""
    return builtin("IF", holds, reason_of(formula), "")


def cheapest(names: Name, costs: Name) -> Call:
    """The name beside the smallest cost, cells in error passed over."""
    return builtin("INDEX", names, builtin("MATCH", builtin("AGGREGATE", 15, 6, costs, 1), costs, 0))


def reason_of(formula: Any) -> Any:
    """The formula that says why a call is refused; nothing where the formula is not a plain call of ours."""
    if isinstance(formula, Call) and formula.name in FUNCTIONS:
        return reason(formula.name, *formula.arguments)
    return ""
