"""The job sheet for the floor: what to set up, how many to start, what to do for how long, and what to take from the store.

It is read off the route's own workings and cost lines, money left out.
"""

from typing import NamedTuple

from quotelib.cautions import CAUTIONS, HAZARDS, LAST_WORD
from quotelib.chapters.series import padded
from quotelib.kinds import Cells, PriceRows, RouteKey, TableRows
from quotelib.registry import sheet_function

SET_UP, WORK, STORE = "Set up", "Work", "From the store"


class FloorStep(NamedTuple):
    """One line of the job sheet."""

    part: str
    """SET_UP, WORK or STORE."""
    step: str
    quantity: float
    unit: str
    where: str
    """The work centre; blank for what is set up or taken from the store."""


@sheet_function("Floor", one_by_one=True)
def floor_steps(
    route: RouteKey,
    job_names: Cells,
    job_values: Cells,
    rate_names: Cells,
    rate_values: Cells,
    price_rows: PriceRows,
    rows: TableRows = 50.0,
) -> Cells:
    """Job sheet of a route: settings, pieces to start, minutes of each step, and materials to take from the store.

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
    rows : whole, 1 to 1000 [rows], 50 if left out
        Rows there is room for.

    Returns
    -------
    cells
        Each row: part, step, quantity, unit, work centre.  Blank rows where there are fewer; where there are more, the last
        row says how many are not shown.

    References
    ----------
    The workings and cost lines of the route; no formula of its own.

    Examples
    --------
    >>> floor_steps("pad", [["design"]], [["Heron"]], [["labour_rate"]], [[24]], [["INK", 0, 0.03, 46000, ""]])
    Traceback (most recent call last):
    quotelib.errors.LookupMiss: job names is 'design'; they must hold every input of a job, and lack item and 13 more
    """
    from quotelib.cases import whole_job
    from quotelib.floorplan import floor_plan

    case = whole_job(job_names, job_values, rate_names, rate_values, price_rows)
    return padded(floor_plan(case, route), rows, len(FloorStep._fields), said_in=1)


@sheet_function("Floor", one_by_one=True)
def floor_cautions(route: RouteKey) -> Cells:
    """What to mind on the floor when a job goes by a route: the usual cautions, a line for each hazard.

    Parameters
    ----------
    route : one of hand, transfer, bought, over, pad
        The route.

    Returns
    -------
    cells
        Six rows of text, blank at the end where a route meets fewer hazards.  The last word is with local codes, the safety
        data sheet and licensed practice.

    References
    ----------
    The usual cautions of the trade; common practice, no source.

    Examples
    --------
    >>> floor_cautions("bought")[1][0]
    'Hot roller: keep hands, sleeves and hair out of the nip; know the stop before you start; it stays hot.'
    """
    lines = [*(CAUTIONS[hazard] for hazard in HAZARDS[route]), LAST_WORD]
    return tuple((line,) for line in lines + [""] * (len(CAUTIONS) + 1 - len(lines)))
