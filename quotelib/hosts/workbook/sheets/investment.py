"""Investment: does a roller, a press or a jig earn its price back, and do transfers pay that are made in the shop."""

from dataclasses import dataclass
from typing import Any, ClassVar

from quotelib.chapters.investment import (
    annual_worth,
    cash_flow_table,
    equipment_break_even,
    equipment_flows,
    equipment_saving,
    make_pays_from,
    make_saving,
    net_present_value,
    payback_years,
    profitability_index,
    rates_of_return,
)
from quotelib.chapters.setup import annual_equivalent
from quotelib.formula import Formula, Name, builtin
from quotelib.hosts.workbook.charts import GRID, SCATTER, chart_of, line, series
from quotelib.hosts.workbook.layout import ON_JOB, faultless, page, possible, put_block, reason_if, shown_if
from quotelib.hosts.workbook.model import Book, Sheet, address
from quotelib.kinds import AnnualPieces, Flag, Money, PositiveMoney, Runs, WholeYears
from quotelib.records import Record, entry
from quotelib.routes import ROUTES

TITLE = "Investment"


@dataclass(frozen=True)
class InvestInputs(Record):
    """A machine or jig that may be bought, and what it saves."""

    what: ClassVar[str] = "invest"

    invest_cost: PositiveMoney = entry("Price", "What it costs now, installed and tried.")
    invest_salvage: Money = entry("Salvage", "What it still fetches at the end.")
    invest_years: WholeYears = entry("Life", "Years it is kept; 20 at most on this sheet.")
    invest_pieces: AnnualPieces = entry("Pieces a year", "Pieces that would be made with it.")
    invest_unit_now: Money = entry("Cost of a piece now", "What would no longer be spent on a piece.")
    invest_unit_with: Money = entry("Cost of a piece with it", "What a piece would cost, its price and upkeep left out.")
    invest_running: Money = entry("Running cost", "Energy, upkeep and floor space for a year.")
    invest_own: Flag = entry(
        "Own cash flows", "TRUE takes the flows that you type below, and not those of the inputs above."
    )
    make_orders: Runs = entry(
        "Orders a year", "Orders of the job on the sheet Job in a year, for making or buying transfers."
    )


EXAMPLE = InvestInputs(
    invest_cost=5400, invest_salvage=300, invest_years=6, invest_pieces=9000, invest_unit_now=0.62, invest_unit_with=0.41,
    invest_running=220, invest_own=False, make_orders=40,
)  # fmt: skip

ROOM = 21
"""Rows for cash flows: now, and twenty years."""

OWN_FLOWS = (-5400, 900, 1700, 1700, 1700, 1200, 1400)
"""Invented flows with a slow first year, and a repair in the fifth."""

RATE_ROWS = 4
"""Rows for rates of return."""

RATES = (0, 0.025, 0.05, 0.075, 0.1, 0.125, 0.15, 0.175, 0.2, 0.225, 0.25, 0.3, 0.35, 0.4, 0.45, 0.5)
"""Rates at which the worth of the flows is shown; the user may type others."""

ROUTE = {route.key: route for route in ROUTES}


def fill(book: Book, sheet: Sheet) -> None:
    """Put the inputs, what they come to, the flows and the question of making or buying on the sheet."""
    sheet.put(0, 0, TITLE, "title")
    words = "Whether a machine or jig pays, at the interest on the sheet Shop rates. Invented: a second jig for paddles."
    sheet.put(1, 0, words, "note")
    row = put_block(book, sheet, 2, "invest", EXAMPLE, ON_JOB) + 1
    flows_at = row + 13 + RATE_ROWS + 9
    _put_verdict(book, sheet, row)
    _put_make_or_buy(book, sheet, row + 13 + RATE_ROWS)
    _put_flows(book, sheet, flows_at)
    sheet.finish.append(page((34, 15, 14, 14, *(13 for _ in range(9)), 16, 11, 18), frozen=(3, 1), heads=None))


IN_ORDER: Formula = builtin("AND", *faultless("invest", "rates"))
"""Whether no input that an investment reads has a fault."""


def _put_facts(book: Book, sheet: Sheet, row: int, facts: tuple[tuple[str, str, Any, str, str], ...]) -> None:
    """Figures one below the other: label, name, formula, number format, note; the reason where one is refused."""
    for down, (label, name, formula, word, note) in enumerate(facts, row):
        sheet.put(down, 0, label)
        sheet.put(down, 1, shown_if(IN_ORDER, formula), f"result {word}")
        sheet.put(down, 3, note, "note")
        sheet.put(down, 9, reason_if(IN_ORDER, formula), "note")
        book.define(name, sheet, (down, 1))


def _used_flows() -> Formula:
    return builtin("IF", Name("invest_own"), Name("invest_own_flows"), Name("invest_flows"))


def _put_verdict(book: Book, sheet: Sheet, row: int) -> None:
    """What the machine saves, from which volume it pays, and what its cash flows are worth."""
    sheet.put(row, 0, "Does it pay", "heading")
    sheet.put(row, 9, "Reason, where a figure is refused", "note")
    rate, flows = Name("annual_rate"), _used_flows()
    cost, salvage, years, running = (Name(f"invest_{name}") for name in ("cost", "salvage", "years", "running"))
    units = (Name("invest_unit_now"), Name("invest_unit_with"))
    _put_facts(book, sheet, row + 1, (
        ("Saving of a year over its cost", "invest_saving",
         equipment_saving(Name("invest_pieces"), cost, salvage, years, rate, *units, running), "money",
         "Price and interest spread over its life, and its upkeep, taken off."),
        ("It pays from, pieces a year", "invest_break_even",
         equipment_break_even(cost, salvage, years, rate, *units, running), "count",
         "Fewer pieces a year do not earn its yearly cost."),
        ("Net present value", "invest_worth", net_present_value(rate, flows), "money",
         "What the cash flows below are worth today; above 0 it pays."),
        ("Annual worth", "invest_annual_worth", annual_worth(flows, rate), "money", "The same as an even amount a year."),
        ("Payback, years", "invest_payback", payback_years(flows), "short", "Until the money is back, interest left out."),
        ("Payback with interest, years", "invest_discounted_payback", payback_years(flows, rate), "short",
         "Until the money is back with interest."),
        ("Worth back for 1 laid out", "invest_index", profitability_index(flows, rate), "number", "Above 1 it pays."),
    ))  # fmt: skip
    returns: Any = rates_of_return
    every = returns(flows, RATE_ROWS)
    sheet.put(row + 9, 0, "Rates of return: all there are", "heading")
    for column, head in enumerate(("Rate", "Worth below it", "Worth above it")):
        sheet.put(row + 10, column, head, "columns right" if column == 0 else "columns text")
    sheet.put_array(row + 11, 0, shown_if(IN_ORDER, every), 3, "result share", RATE_ROWS)
    for down in range(row + 11, row + 11 + RATE_ROWS):
        for column in (1, 2):
            sheet.cells[down, column].style = "result text"
    book.define("invest_rates", sheet, (row + 11, 0), (row + 10 + RATE_ROWS, 2))
    words = "With one rate it pays while money costs less than that. With several, go by the net present value."
    sheet.put(row + 10, 4, words, "note")
    sheet.put(row + 11, 4, reason_if(IN_ORDER, every), "note")


def _put_make_or_buy(book: Book, sheet: Sheet, row: int) -> None:
    """Transfers printed here against bought ones, with the flat press to be paid for."""
    made, bought = ROUTE["transfer"], ROUTE["bought"]
    sheet.put(row, 0, "Make or buy transfers, for the job on the sheet Job", "heading")
    both = builtin("AND", IN_ORDER, possible(made), possible(bought))
    for down, route in enumerate((made, bought), 1):
        sheet.put(row + down, 0, f"{route.title}: one order")
        cost: Formula = Name(f"{route.key}_cost")
        sheet.put(row + down, 1, shown_if(both, cost - Name(f"{route.key}_machines")), "result money")
        sheet.put(row + down, 3, "Without the hours of machines, which cost the same whether they stand or print.", "note")
        sheet.put(row + down, 9, 1, "result count")
        for column in (10, 11, 12):
            sheet.put(row + down, column, "", "result number")
        sheet.put(row + down, 13, Name(address(row + down, 1)), "result money")
        book.define(f"make_{route.key}_lines", sheet, (row + down, 9), (row + down, 13))
    sheet.put(row, 9, "The same as a cost line", "note")
    press = annual_equivalent(Name("flat_cost"), Name("flat_salvage"), Name("flat_years"), Name("annual_rate"))
    sheet.put(row + 3, 0, "Flat press and UV lamp: one year")
    sheet.put(row + 3, 1, shown_if(both, press + Name("flat_running_cost")), "result money")
    sheet.put(
        row + 3, 3, "Its price spread over its life with interest, and its running cost, from the sheet Shop rates.", "note"
    )
    book.define("make_press", sheet, (row + 3, 1))
    lines = (Name("make_transfer_lines"), Name("make_bought_lines"), Name("make_press"))
    saving = make_saving(Name("good_pieces"), Name("make_orders"), *lines)
    pays = make_pays_from(Name("good_pieces"), *lines)
    for down, label, name, formula, word, note in (
        (4, "Saved in a year by making", "make_saved", saving, "money", "All orders of the year; below 0, buy."),
        (5, "Making pays from, pieces a year", "make_from", pays, "count", "In whole orders of the size on the sheet Job."),
    ):
        sheet.put(row + down, 0, label)
        sheet.put(row + down, 1, shown_if(both, formula), f"total {word}")
        sheet.put(row + down, 3, note, "note")
        sheet.put(row + down, 9, reason_if(both, formula), "note")
        book.define(name, sheet, (row + down, 1))
    sheet.put(row + 6, 0, "For deciding in the shop; not accounting, tax or financial advice.", "note")


def _put_flows(book: Book, sheet: Sheet, row: int) -> None:
    """Cash flows of the inputs, or typed; opened up year by year; and their worth against the rate, with a chart."""
    sheet.put(row, 0, "Cash flows, a year apart; the first is now", "heading")
    heads = (
        "Of the inputs above",
        "Your own",
        "Year",
        "Flow",
        "Worth today",
        "Flows so far",
        "Worth so far",
        "Rate",
        "Net present value",
    )
    for column, head in enumerate(heads):
        sheet.put(row + 1, column, head, "columns right")
    first, last = row + 2, row + 1 + ROOM
    names = ("cost", "salvage", "years", "pieces", "unit_now", "unit_with", "running")
    flows: Any = equipment_flows
    of_inputs = flows(*(Name(f"invest_{name}") for name in names), ROOM)
    sheet.put_array(first, 0, shown_if(IN_ORDER, of_inputs), 1, "result money", ROOM)
    book.define("invest_flows", sheet, (first, 0), (last, 0))
    for down in range(ROOM):
        sheet.put(first + down, 1, OWN_FLOWS[down] if down < len(OWN_FLOWS) else "", "input money")
    book.define("invest_own_flows", sheet, (first, 1), (last, 1))
    table: Any = cash_flow_table
    opened = table(_used_flows(), Name("annual_rate"), ROOM)
    sheet.put_array(first, 2, shown_if(IN_ORDER, opened), 5, "result money", ROOM)
    for down in range(ROOM):
        sheet.cells[first + down, 2].style = "result count"
    for down, at in enumerate(RATES, first):
        here = sheet.put(down, 7, at, "input share")
        sheet.put(down, 8, shown_if(IN_ORDER, net_present_value(here, _used_flows())), "result money")
    words = reason_if(IN_ORDER, of_inputs)
    sheet.put(last + 1, 0, words, "note")
    rates_end = first + len(RATES) - 1

    def finish(workbook: Any, written: Any) -> None:
        money = {"validate": "decimal", "criteria": "between", "minimum": -1e12, "maximum": 1e12}
        written.data_validation(first, 1, last, 1, money)
        share = {"validate": "decimal", "criteria": "between", "minimum": -0.99, "maximum": 1000}
        written.data_validation(first, 7, rates_end, 7, share)
        chart = chart_of(workbook, SCATTER, "Net present value against the rate", (600, 360), legend=False)
        chart.add_series(series(TITLE, "Net present value", (first, rates_end), 7, 8) | line(size=6))
        low = {"label_position": "low", "major_gridlines": GRID}
        chart.set_x_axis({"name": "Rate a year", "num_format": "0%", **low})
        chart.set_y_axis({"name": "Worth today", "num_format": "#,##0", **low})
        written.insert_chart(
            first, 9, chart, {"description": "Net present value of the cash flows against the yearly rate"}
        )

    sheet.finish.append(finish)
