"""Choosing a route: the cheapest over colours and run sizes, what a wrong choice costs, and what moves the change-over.

These functions read a whole job, as it stands on a sheet or in Python, and work it out anew for each case.  On a sheet the
job and the shop's rates are handed over as two ranges each: the names of the inputs, and their values beside them.

The work is done in cases.py, which is imported at the first call: a cell that needs no whole job need not wait for it.
"""

from quotelib.chapters.series import padded
from quotelib.kinds import (
    COLOURS,
    PIECES,
    Cells,
    Colours,
    Day,
    MapFigure,
    Pieces,
    PriceRows,
    RouteKey,
    Share,
    TableRows,
)
from quotelib.registry import sheet_function


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
    from quotelib.cases import whole_job

    counts = [COLOURS.admit("colours", cell) for row in colours for cell in row]
    sizes = [PIECES.admit("runs", cell) for row in runs for cell in row]
    return whole_job(job_names, job_values, rate_names, rate_values, price_rows).route_map(counts, sizes, figure)


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
    from quotelib.cases import whole_job

    case = whole_job(job_names, job_values, rate_names, rate_values, price_rows)
    return case.break_even_colours(route_a, route_b, good_pieces)


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
    from quotelib.cases import whole_job

    case = whole_job(job_names, job_values, rate_names, rate_values, price_rows)
    _, moves = case.change_over_moves(route_a, route_b, share)
    table = [(move.name, *(run if run else "never" for run in (move.less, move.more))) for move in moves[: int(rows)]]
    return tuple(table + [("", "", "")] * (int(rows) - len(table)))


@sheet_function("Choice", one_by_one=True)
def route_stretches(
    job_names: Cells,
    job_values: Cells,
    rate_names: Cells,
    rate_values: Cells,
    price_rows: PriceRows,
    rows: TableRows = 10.0,
) -> Cells:
    """Every stretch of run sizes with the route that is cheapest there, exactly, up to a million pieces or the job's run.

    Parameters
    ----------
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
    rows : whole, 1 to 1000 [rows], 10 if left out
        Rows there is room for.

    Returns
    -------
    cells
        Each row: first run, last run, route.  Blank rows where there are fewer stretches; where there are more, the last
        row says how many are not shown.

    References
    ----------
    Least cost at each run size, from the cost curves of the routes; no formula of its own.

    Examples
    --------
    >>> route_stretches([["design"]], [["Heron"]], [["labour_rate"]], [[24]], [["INK", 0, 0.03, 46000, ""]])
    Traceback (most recent call last):
    quotelib.errors.LookupMiss: job names is 'design'; they must hold every input of a job, and lack item and 13 more
    """
    from quotelib.cases import whole_job

    case = whole_job(job_names, job_values, rate_names, rate_values, price_rows)
    return padded(case.stretches(), rows, 3, said_in=2)


@sheet_function("Choice", one_by_one=True)
def prices_hold_until(
    route: RouteKey,
    job_names: Cells,
    job_values: Cells,
    rate_names: Cells,
    rate_values: Cells,
    price_rows: PriceRows,
) -> Day:
    """Last day on which every price that a route reads on the day of the quote still holds: quote no longer than that.

    Parameters
    ----------
    route : one of hand, transfer, bought, over, pad
        The route.
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
    day
        The earliest last day among the prices read; 31 December 2199 where none of them ends.

    References
    ----------
    Least of the last days; no formula of its own.

    Examples
    --------
    >>> prices_hold_until("pad", [["design"]], [["Heron"]], [["labour_rate"]], [[24]], [["INK", 0, 0.03, 46000, ""]])
    Traceback (most recent call last):
    quotelib.errors.LookupMiss: job names is 'design'; they must hold every input of a job, and lack item and 13 more
    """
    from quotelib.cases import whole_job

    return whole_job(job_names, job_values, rate_names, rate_values, price_rows).prices_hold_until(route)
