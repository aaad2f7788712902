"""How many to make now: the policies side by side, and the cost of a season against the quantity."""

from dataclasses import dataclass
from typing import Any, ClassVar

from quotelib.chapters.demand import season_demand
from quotelib.chapters.runsize import best_plan, chance_stuck, fill_rate, months_of_stock, plan_costs
from quotelib.formula import Formula, Name, builtin
from quotelib.hosts.workbook.charts import GRID, SCATTER, chart_of, line, series
from quotelib.hosts.workbook.layout import ON_JOB, area, cheapest, faultless, page, possible, put_block, reason_if, shown_if
from quotelib.hosts.workbook.model import Book, Sheet, address
from quotelib.kinds import (
    AnnualRate,
    DemandForm,
    Deviation,
    Flag,
    Fraction,
    Lot,
    MeanDemand,
    Months,
    Periods,
    PositiveMoney,
)
from quotelib.records import Record, entry
from quotelib.routes import ROUTES, Route


@dataclass(frozen=True)
class RunSizeInputs(Record):
    """The season that a run is made for."""

    what: ClassVar[str] = "season"

    plan_on: Flag = entry("Work it out", "FALSE stops this sheet, so that the workbook answers at once while you type.")
    plan_form: DemandForm = entry("Form of demand", "How demand may stray; history takes the past sales below.")
    plan_mean: MeanDemand = entry("Mean demand", "Pieces the season asks for on average; not used for history.")
    plan_deviation: Deviation = entry(
        "Standard deviation", "How far demand strays; for poisson it follows from the mean, and this is not used."
    )
    plan_price: PositiveMoney = entry("Price", "What is lost with each piece asked for and not there.")
    plan_salvage_share: Fraction = entry(
        "Left over fetches", "What a piece left over still fetches, as a share of the price."
    )
    plan_holding_rate: AnnualRate = entry("Holding", "Yearly cost of holding, as a share of what the stock has cost.")
    plan_months: Periods = entry("Season", "Months of the season; past sales are by month.")
    plan_stuck_months: Months = entry("Too long", "Months of stock beyond which you call yourself stuck.")
    plan_lot: Lot = entry("Pressed at a time", "Pieces pressed in one session as they sell.")


EXAMPLE = RunSizeInputs(
    plan_on=True, plan_form="negative binomial", plan_mean=450, plan_deviation=160, plan_price=9.5, plan_salvage_share=0.2,
    plan_holding_rate=0.2, plan_months=6, plan_stuck_months=12, plan_lot=100,
)  # fmt: skip

SALES = (71, 48, 90, 66, 102, 57, 83, 75, 39, 118, 64, 88, 52, 79, 95, 61, 70, 44, 109, 73, 58, 86, 67, 92)
"""Invented past sales by month."""

QUANTITIES = (0, 50, 100, 150, 200, 250, 300, 350, 400, 450, 500, 600, 700, 800, 900, 1000)
"""Quantities at which the policies are opened; the user may type others."""

PARTS = (
    "Production", "Holding", "Write-down", "Lost sales", "Sum", "Pieces left over", "Transfers left over", "Pieces short",
)  # fmt: skip
FIRST_PART, RISKS = 4, 4 + len(PARTS)


def fill(book: Book, sheet: Sheet) -> None:
    """Put the season, the policies and the tables against the quantity on the sheet."""
    sheet.put(0, 0, "How many to make now", "title")
    words = (
        "For the job on the sheet Job, whatever its run: which policy and which quantity cost least in a season. Invented."
    )
    sheet.put(1, 0, words, "note")
    row = put_block(book, sheet, 2, "season", EXAMPLE, ON_JOB) + 1
    row = _put_demand(book, sheet, row) + 1
    row = _put_policies(book, sheet, row) + 1
    _put_tables(sheet, row)
    sheet.finish.append(page((34, 17, 14, 13, *(12 for _ in range(10)), 16, 30), frozen=(3, 1), heads=None))


def _put_demand(book: Book, sheet: Sheet, row: int) -> int:
    """Past sales, what they say, and demand as the functions take it."""
    sheet.put(row, 0, "Past sales, month by month", "heading")
    sheet.put(row, 5, "Leave months blank before the design was there; write 0 where nothing sold.", "note")
    half = len(SALES) // 2
    for place, sold in enumerate(SALES):
        sheet.put(row + 1 + place // half, 1 + place % half, sold, "input count")
    sheet.put(row + 1, 0, "Sold")
    book.define("plan_sales", sheet, (row + 1, 1), (row + 2, half))
    said: Any = season_demand
    sheet.put(row + 3, 0, "A season like these months")
    said_of = said(Name("plan_sales"), Name("plan_months"), "normal")
    sheet.put_array(row + 3, 1, _if_on(said_of), 3, "result short")
    sheet.cells[row + 3, 1].style = "result text"
    sheet.put(row + 3, 5, "Type the mean and the standard deviation above, or choose history.", "note")
    sheet.put(row + 4, 0, "Demand as the functions take it")
    sheet.put(row + 4, 1, Name("plan_form"), "result text")
    sheet.put(row + 4, 2, Name("plan_mean"), "result short")
    deviation = builtin("IF", Name("plan_form").equals("poisson"), "", Name("plan_deviation"))
    sheet.put(row + 4, 3, deviation, "result short")
    sheet.put(row + 4, 5, "For history, the sales of every stretch of so many months in a row, each as likely.", "note")
    book.define("plan_figures", sheet, (row + 4, 1), (row + 4, 3))

    def finish(_workbook: Any, written: Any) -> None:
        rule = {"validate": "integer", "criteria": "between", "minimum": 0, "maximum": 100_000}
        rule |= {"input_title": "Sold", "input_message": "Pieces sold in the month: whole, 0 to 100,000; or blank."}
        written.data_validation(row + 1, 1, row + 2, half, rule)

    sheet.finish.append(finish)
    return row + 5


def _demand() -> Formula:
    history: Any = season_demand
    stretches = history(Name("plan_sales"), Name("plan_months"), "history")
    return builtin("IF", Name("plan_form").equals("history"), stretches, Name("plan_figures"))


def _terms() -> tuple[Any, ...]:
    """Demand and money, as BEST_PLAN and PLAN_COSTS take them."""
    price: Formula = Name("plan_price")
    return _demand(), price, price * Name("plan_salvage_share"), Name("plan_holding_rate"), Name("plan_months")


def _on(*routes: Route) -> Formula:
    """Whether the sheet is to work, no input has a fault, and the routes can print the job."""
    guards = faultless("job", "rates", "season")
    return builtin("AND", Name("plan_on"), *guards, *(possible(route) for route in routes))


def _if_on(formula: Any, *routes: Route) -> Formula:
    return shown_if(_on(*routes), formula)


HAND = ROUTES[0]
HELD = tuple(route for route in ROUTES if route.key in ("transfer", "bought"))


def _transfer_lines(route: Route, held: str) -> tuple[str, ...]:
    """The ranges of cost lines for a policy that holds transfers: by hand, the transfers, pressing them."""
    return "hand_lines", f"{route.key}_{held}_lines", f"{route.key}_pressing_lines"


POLICIES: tuple[tuple[str, str, tuple[Route, ...], tuple[str, ...]], ...] = (
    *((f"All up front: {route.title.lower()}", "up front", (route,), (f"{route.key}_lines",)) for route in ROUTES),
    *((f"Held: {route.title.lower()}", "held", (route,), _transfer_lines(route, "held")) for route in HELD),
    *((f"By hand, then {route.title.lower()}", "both", (HAND, route), _transfer_lines(route, "behind")) for route in HELD),
)
"""Each policy in words, its name for BEST_PLAN, the routes it needs, and the ranges of cost lines it reads."""


def _put_policies(book: Book, sheet: Sheet, row: int) -> int:
    """The best plan of every policy, its cost in parts, and its risks."""
    sheet.put(row, 0, "The policies, each at its best", "heading")
    heads = (
        "Policy",
        "Make now",
        "Hold transfers",
        "Least cost",
        *PARTS,
        "Fill rate",
        "Months of stock",
        "Chance to be stuck",
    )
    for column, head in enumerate((*heads, "Reason, where it is refused")):
        sheet.put(
            row + 1, column, head, "columns right" if 0 < column < len(heads) else "columns text" if column else "columns"
        )
    first = row + 2
    functions: tuple[Any, ...] = (best_plan, plan_costs, fill_rate, months_of_stock, chance_stuck)
    best_of, costs_of, fill_of, months_of, stuck_of = functions
    for here, (words, policy, routes, lines) in enumerate(POLICIES, first):
        given = (*_terms(), *(Name(name) for name in lines), *((Name("plan_lot"),) if len(lines) > 1 else ()))
        best = best_of(policy, *given)
        sheet.put(here, 0, words)
        sheet.put_array(here, 1, _if_on(best, *routes), 3, "result count")
        sheet.cells[here, 3].style = "result money"
        plan = area((here, 1), (here, 2))
        sheet.put_array(here, FIRST_PART, _if_on(costs_of(plan, *given), *routes), len(PARTS), "result money")
        _style_pieces(sheet, here)
        pieces: Formula = Name(address(here, 1)) + Name(address(here, 2))
        demand, months, too_long = _demand(), Name("plan_months"), Name("plan_stuck_months")
        sheet.put(here, RISKS, fill_of(pieces, demand), "result share")
        sheet.put(here, RISKS + 1, months_of(pieces, demand, months), "result short")
        sheet.put(here, RISKS + 2, stuck_of(pieces, demand, months, too_long), "result share")
        sheet.put(here, RISKS + 3, reason_if(_on(*routes), best), "note beside")
    last = first + len(POLICIES) - 1
    book.define("plan_policies", sheet, (first, 0), (last, 3))
    sheet.put(last + 1, 0, "Costs least", "total text")
    sheet.put(last + 1, 1, _if_on(cheapest(area((first, 0), (last, 0)), area((first, 3), (last, 3)))), "total text")
    book.define("plan_best", sheet, (last + 1, 1))
    words = "#N/A: not possible for this item, an input has a fault, or the sheet is told not to work. 0 and 0: make none."
    sheet.put(last + 2, 0, words, "note")
    words = "Transfers are counted by the good pieces they make; those never pressed (sheet Shop rates) come on top."
    sheet.put(last + 3, 0, words, "note")
    words = "Costs are expected ones, for deciding what to make; they are not accounting or tax advice."
    sheet.put(last + 4, 0, words, "note")
    return last + 5


def _style_pieces(sheet: Sheet, row: int) -> None:
    """Pieces that are expected, among the parts of a plan's cost: to a tenth, not as money."""
    for column, part in enumerate(PARTS, FIRST_PART):
        if "left over" in part or "short" in part:
            sheet.cells[row, column].style = "result short"


def _put_tables(sheet: Sheet, row: int) -> None:
    """By hand up front, and transfers held, at every quantity of a list; and the chart of both."""
    costs_of: Any = plan_costs
    tables = (
        ("All up front by hand, at other quantities", (HAND,), ("hand_lines",)),
        ("Transfers held and pressed as they sell, at other quantities", HELD[:1], _transfer_lines(HELD[0], "held")),
    )
    starts: list[int] = []
    for title, routes, lines in tables:
        sheet.put(row, 0, title, "heading")
        for column, head in ((0, "Make now"), (1, "Hold transfers"), *enumerate(PARTS, FIRST_PART)):
            sheet.put(row + 1, column, head, "columns right")
        first, last = row + 2, row + 1 + len(QUANTITIES)
        up_front = not starts
        for here, quantity in enumerate(QUANTITIES, first):
            typed = quantity if up_front else Name(address(starts[0] + here - first, 0))
            sheet.put(here, 0 if up_front else 1, typed, "input count" if up_front else "result count")
            sheet.put(here, 1 if up_front else 0, 0, "result count")
        given = (*_terms(), *(Name(name) for name in lines), *((Name("plan_lot"),) if len(lines) > 1 else ()))
        costs = costs_of(area((first, 0), (last, 1)), *given)
        sheet.put_array(first, FIRST_PART, _if_on(costs, *routes), len(PARTS), "result money", len(QUANTITIES))
        for here in range(first, last + 1):
            _style_pieces(sheet, here)
        starts.append(first)
        row = last + 2
    sheet.put(row - 1, 0, "Type other quantities into the framed cells.", "note")

    def finish(workbook: Any, written: Any) -> None:
        rule = {"validate": "integer", "criteria": "between", "minimum": 0, "maximum": 10**9}
        written.data_validation(starts[0], 0, starts[0] + len(QUANTITIES) - 1, 0, rule)
        chart = chart_of(workbook, SCATTER, "Expected cost of the season", (620, 380))
        for first, column, name, dash, marker in (
            (starts[0], 0, "All up front by hand", "solid", "circle"),
            (starts[1], 1, "Transfers held", "dash", "square"),
        ):
            last = first + len(QUANTITIES) - 1
            total = FIRST_PART + PARTS.index("Sum")
            chart.add_series(series(sheet.title, name, (first, last), column, total) | line(dash, marker))
        chart.set_x_axis(
            {"name": "Pieces made now, or transfers held", "min": 0, "major_gridlines": GRID, "num_format": "#,##0"}
        )
        chart.set_y_axis({"name": "Cost, lost sales included", "major_gridlines": GRID, "num_format": "#,##0"})
        written.insert_chart(
            starts[0] - 2, RISKS + 1, chart, {"description": "Expected cost of a season against the quantity"}
        )

    sheet.finish.append(finish)
