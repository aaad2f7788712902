"""Choosing a route: the cheapest over colours and run sizes, what a wrong choice costs, and what moves the change-over.

These functions read a whole job, as it stands on a sheet or in Python, and work it out anew for each case.  On a sheet the
job and the shop's rates are handed over as two ranges each: the names of the inputs, and their values beside them.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any, NamedTuple

from quotelib.curve import LONGEST_RUN, cheapest_stretches
from quotelib.errors import NoSolution, QuoteError
from quotelib.job import Job
from quotelib.kinds import (
    COLOURS,
    PIECES,
    Cells,
    Colours,
    MapFigure,
    NumberKind,
    Pieces,
    PriceRows,
    RouteKey,
    Rows,
    Share,
    TableRows,
)
from quotelib.quoting import quote
from quotelib.rates import ShopRates
from quotelib.registry import sheet_function
from quotelib.routes import ROUTES, Route


class RouteCosts(NamedTuple):
    """A good piece's cost by every possible route, at one number of colours and one or more run sizes."""

    colours: int
    costs: dict[str, Any]
    """By the key of the route: a number, or an array with one for each run size."""


def route_costs(job: Job, rates: ShopRates, price_rows: Any, colours: Sequence[float], runs: Any) -> Iterator[RouteCosts]:
    """The job worked out at each number of colours, at the run sizes given (a number or an array)."""
    for count in colours:
        each = quote(replace(job, colours=count), rates, price_rows)
        yield RouteCosts(int(count), {key: curve.unit_cost(runs) for key, curve in each.curves.items()})


@sheet_function("Choice", one_by_one=True)
def route_map(
    colours: Cells,
    runs: Cells,
    job_names: Cells,
    job_values: Cells,
    rate_names: Cells,
    rate_values: Cells,
    price_rows: PriceRows,
    figure: MapFigure = "cheapest",
) -> Cells:
    """Cheapest route for each number of colours (down) and each run size (across), or what a wrong choice would cost.

    Parameters
    ----------
    colours : a range of cells
        Numbers of colours, in a column or a row.
    runs : a range of cells
        Run sizes, in a column or a row.
    job_names : a range of cells
        Names of the job's inputs, as in the column Name of the sheet Job.
    job_values : a range of cells
        Values of the job's inputs, beside their names.
    rate_names : a range of cells
        Names of the shop's rates.
    rate_values : a range of cells
        Values of the shop's rates, beside their names.
    price_rows : rows of code, from quantity, unit price, valid from, [valid to]
        Rows of the price list, as for PRICE_ON.
    figure : one of cheapest, cost, next, cheapest if left out
        cheapest: the name of the route.  cost: its cost of a good piece.  next: how much more the next cheapest costs.

    Returns
    -------
    cells
        One row for each number of colours, one column for each run size.

    Notes
    -----
    Everything else of the job stays as it is.  Routes that the item rules out are left out.

    References
    ----------
    Least cost at each point, from the cost curves of the routes; no formula of its own.

    Examples
    --------
    The sheet Route map uses it with the workbook's own names.

    >>> route_map([[2]], [[500]], [["design"]], [["Heron"]], [["labour_rate"]], [[24]], [["INK", 0, 0.03, 46000, ""]])
    Traceback (most recent call last):
    quotelib.errors.LookupMiss: job names is 'design'; they must hold every input of a job, and lack item and 13 more
    """
    job = Job.of_ranges(job_names, job_values)
    rates = ShopRates.of_ranges(rate_names, rate_values)
    counts = [COLOURS.admit("colours", cell) for cell in _cases(colours)]
    sizes = [PIECES.admit("runs", cell) for cell in _cases(runs)]
    return tuple(
        tuple(_figure({key: curve.unit_cost(size) for key, curve in each.curves.items()}, figure) for size in sizes)
        for each in (quote(replace(job, colours=count), rates, price_rows) for count in counts)
    )


def _cases(rows: Rows) -> list[Any]:
    return [cell for row in rows for cell in row if cell is not None]


TITLES = {route.key: route.title for route in ROUTES}


def _figure(costs: dict[str, float], figure: str) -> Any:
    cheapest = min(costs, key=costs.__getitem__)
    if figure == "cheapest":
        return TITLES[cheapest]
    least = costs.pop(cheapest)
    if figure == "cost":
        return least
    return min(costs.values()) - least if costs else ""


def _route(argument: str, key: str) -> Route:
    return next(route for route in ROUTES if route.key == key)


@sheet_function("Choice", one_by_one=True)
def break_even_colours(
    route_a: RouteKey,
    route_b: RouteKey,
    good_pieces: Pieces,
    job_names: Cells,
    job_values: Cells,
    rate_names: Cells,
    rate_values: Cells,
    price_rows: PriceRows,
) -> Colours:
    """Smallest number of colours at which route b costs no more than route a in a run, and from which it stays so.

    Parameters
    ----------
    route_a : one of hand, transfer, bought, over, pad
        The route that is cheaper for few colours.
    route_b : one of hand, transfer, bought, over, pad
        The route it is compared with.
    good_pieces : whole, 1 to 1e9 [pieces]
        Good pieces of the run, rejects left out.
    job_names : a range of cells
        Names of the job's inputs.
    job_values : a range of cells
        Values of the job's inputs, beside their names.
    rate_names : a range of cells
        Names of the shop's rates.
    rate_values : a range of cells
        Values of the shop's rates, beside their names.
    price_rows : rows of code, from quantity, unit price, valid from, [valid to]
        Rows of the price list, as for PRICE_ON.

    Returns
    -------
    colours [colours]
        Up to 12 colours are looked at.

    Raises
    ------
    NoSolution
        Where route b still costs more than a at 12 colours.

    References
    ----------
    Least cost at each number of colours, from the cost curves of the routes; no formula of its own.

    Examples
    --------
    >>> break_even_colours("hand", "stamp", 700, [[""]], [[""]], [[""]], [[""]], [["INK", 0, 0.03, 46000, ""]])
    Traceback (most recent call last):
    quotelib.errors.LookupMiss: route_b is 'stamp'; it must be one of hand, transfer, bought, over, pad
    """
    job = Job.of_ranges(job_names, job_values)
    rates = ShopRates.of_ranges(rate_names, rate_values)
    pair = [_route("route_a", route_a), _route("route_b", route_b)]
    smallest = 0
    for colours in range(MOST_COLOURS, 0, -1):
        curves = quote(replace(job, colours=colours), rates, price_rows, pair).curves
        costs = {key: curve.run_cost(good_pieces) for key, curve in curves.items()}
        if route_a in costs and costs.get(route_b, math.inf) > costs[route_a]:
            break
        smallest = colours
    if not smallest:
        at = f"at {MOST_COLOURS} colours in a run of {good_pieces:g}"
        raise NoSolution("route_b", route_b, f"it costs more than {route_a} even {at}")
    return smallest


MOST_COLOURS = 12
"""Colours up to which a change-over is looked for."""


class Move(NamedTuple):
    """How far one input moves the change-over."""

    name: str
    title: str
    less: int | None
    """Change-over run when the input is less by the share; None where route b never becomes the cheaper."""
    more: int | None
    """The same when it is more."""


def change_over_moves(
    job: Job, rates: ShopRates, price_rows: Any, route_a: str, route_b: str, share: float = 0.1
) -> tuple[int | None, list[Move]]:
    """The change-over run from a to b, and where it goes when each input is a share less or more, the strongest first."""
    pair = [_route("route_a", route_a), _route("route_b", route_b)]

    def change_over(job: Job, rates: ShopRates) -> int | None:
        curves = quote(job, rates, price_rows, pair).curves
        if route_a not in curves or route_b not in curves:
            return None
        last = cheapest_stretches([curves[route_b], curves[route_a]])[-1]
        return last.first if last.cheapest == 0 else None

    now = change_over(job, rates)
    moves = []
    for entry in [*Job.entries(), *ShopRates.entries()]:
        if not isinstance(entry.kind, NumberKind) or entry.name == "good_pieces":
            continue
        ends: list[int | None] = []
        of_job = hasattr(job, entry.name)
        for factor in (1 - share, 1 + share):
            moved = _moved(entry.kind, getattr(job if of_job else rates, entry.name), factor)
            try:
                ends.append(
                    change_over(job.changed(entry.name, moved), rates)
                    if of_job
                    else change_over(job, rates.changed(entry.name, moved))
                )
            except QuoteError:
                ends.append(None)
        if ends != [now, now]:
            moves.append(Move(entry.name, entry.title, *ends))
    return now, sorted(moves, key=lambda move: _distance(now, move), reverse=True)


def _moved(kind: NumberKind, value: float, factor: float) -> float:
    """The value times a factor, kept whole where it must be (by one at least), and within its range."""
    moved = value * factor
    if kind.whole:
        moved = float(max(round(moved), value + 1) if factor > 1 else min(round(moved), value - 1))
    return min(max(moved, kind.low), kind.high)


def _distance(now: int | None, move: Move) -> float:
    """How far a move goes, as a ratio of runs; to or from never is farthest of all."""
    never = float(LONGEST_RUN) * 10
    runs = [float(run) if run else never for run in (now, move.less, move.more)]
    return max(max(run / runs[0], runs[0] / run) for run in runs[1:])


@sheet_function("Choice", one_by_one=True)
def change_over_table(
    route_a: RouteKey,
    route_b: RouteKey,
    job_names: Cells,
    job_values: Cells,
    rate_names: Cells,
    rate_values: Cells,
    price_rows: PriceRows,
    share: Share = 0.1,
    rows: TableRows = 10.0,
) -> Cells:
    """The inputs that move the change-over run from route a to route b most, and how far.

    Parameters
    ----------
    route_a : one of hand, transfer, bought, over, pad
        The route that is cheaper for short runs.
    route_b : one of hand, transfer, bought, over, pad
        The route it is compared with.
    job_names : a range of cells
        Names of the job's inputs.
    job_values : a range of cells
        Values of the job's inputs, beside their names.
    rate_names : a range of cells
        Names of the shop's rates.
    rate_values : a range of cells
        Values of the shop's rates, beside their names.
    price_rows : rows of code, from quantity, unit price, valid from, [valid to]
        Rows of the price list, as for PRICE_ON.
    share : more than 0, up to 1 [fraction], 0.1 if left out
        How much less and more each input is taken.
    rows : whole, 1 to 1000 [rows], 10 if left out
        Rows of the table: the strongest so many inputs.

    Returns
    -------
    cells
        Each row: name of the input, change-over run when it is less, change-over run when it is more; never where
        route b does not become the cheaper.  Blank rows where fewer inputs move it.

    References
    ----------
    One input at a time, all else as it is; common practice, no source.

    Examples
    --------
    >>> change_over_table("hand", "stamp", [[""]], [[""]], [[""]], [[""]], [["INK", 0, 0.03, 46000, ""]])
    Traceback (most recent call last):
    quotelib.errors.LookupMiss: route_b is 'stamp'; it must be one of hand, transfer, bought, over, pad
    """
    job = Job.of_ranges(job_names, job_values)
    rates = ShopRates.of_ranges(rate_names, rate_values)
    _, moves = change_over_moves(job, rates, price_rows, route_a, route_b, share)
    table = [(move.name, *(run if run else "never" for run in (move.less, move.more))) for move in moves[: int(rows)]]
    return tuple(table + [("", "", "")] * (int(rows) - len(table)))
