"""Hours: what the jobs ask of each work centre, against the hours there are, and which jobs to take for the hours left.

    utilisation  = hours of load / hours there are
    lead time    = jobs in the shop / jobs done a day                       (Little's law)
    worth        = (price - what the job costs extra) / hours at the work centre that limits the shop

Orders stand in rows: name, whether they are promised, due day, then their hours at each work centre.  Calendars stand in
rows, one for each work centre in the same order: machines, then the hours of one machine from Monday to Sunday.
"""

from collections.abc import Sequence
from typing import Any, NamedTuple

from quotelib.chapters.loading import CLOCK_DAY, SLACK, WorkCalendar, WorkCentre, monday_of
from quotelib.chapters.series import padded
from quotelib.elementwise import TIE, round_up
from quotelib.errors import NoSolution, RangeError
from quotelib.kinds import (
    DAY,
    Calendars,
    Cells,
    Day,
    DayNumber,
    Flag,
    Hours,
    Jobs,
    JobsADay,
    LeadDays,
    LoadFigure,
    Money,
    Orders,
    PriceRows,
    RouteKey,
    SignedMoney,
    TableRows,
    Utilised,
    Weeks,
    WorkHours,
    Worth,
)
from quotelib.registry import sheet_function

MOST_CHOICES = 200_000
"""Selections of jobs looked at side by side, at most."""


def holidays_of(holidays: Any) -> list[int]:
    """The days in a range of cells, blanks passed over."""
    cells = [(number, cell) for number, row in enumerate(holidays or (), 1) for cell in row]
    return [DAY.admit(f"holidays row {number}", cell) for number, cell in cells if cell is not None and cell != ""]


def work_centres(calendars: Any, holidays: Any, today: int) -> list[WorkCentre]:
    """The work centres whose calendars stand in rows, from the morning of today on."""
    days = holidays_of(holidays)
    return [
        WorkCentre(WorkCalendar([hours or 0.0 for hours in week], days, today), int(machines))
        for machines, *week in calendars
    ]


def one_centre(calendar: Any, holidays: Any, today: int) -> WorkCentre:
    """The work centre of a calendar that must be one row."""
    if len(calendar) != 1:
        raise RangeError("calendar", f"{len(calendar)} rows", "it must be one row: machines, then Monday to Sunday")
    return work_centres(calendar, holidays, today)[0]


def hours_by_centre(orders: Any, centres: int) -> list[list[float]]:
    """Each order's hours at each work centre; there must be a column for each calendar."""
    for name, _, _, *hours in orders:
        if len(hours) != centres:
            allowed = f"it must have one for each row of calendars: {centres}"
            raise RangeError(f"order {name}", f"{len(hours)} columns of hours", allowed)
    return [[cell or 0.0 for cell in hours] for _, _, _, *hours in orders]


@sheet_function("Hours")
def utilisation(load_hours: WorkHours, hours: Hours) -> Utilised:
    """Share of a work centre's hours that its load takes up; more than 1 is more than can be done.

    Parameters
    ----------
    load_hours : 0 to 1e5 [hours]
        Hours that the jobs ask for.
    hours : more than 0, up to 1e5 [hours]
        Hours there are, of all machines together.

    Returns
    -------
    utilisation [fraction]
        Load / hours.

    References
    ----------
    Definition; Heizer and Render, Operations Management, chapter on capacity; from memory.

    Examples
    --------
    >>> utilisation(34, 40)
    0.85
    """
    return load_hours / hours


@sheet_function("Hours")
def lead_time(jobs_in_shop: Jobs, jobs_per_day: JobsADay) -> LeadDays:
    """Days a job spends in the shop on average, from its arrival until it leaves.

    Parameters
    ----------
    jobs_in_shop : 0 to 1e9 [jobs]
        Jobs begun or waiting, on average.
    jobs_per_day : more than 0, up to 1e6 [jobs/day]
        Jobs that leave the shop in a day, on average; as many must come in.

    Returns
    -------
    lead time [days]
        Jobs in the shop / jobs a day.

    Notes
    -----
    It holds for any shop over a long time, whatever the order of the work.  Fewer jobs begun at once means each is done
    sooner.

    References
    ----------
    J. D. C. Little, A proof for the queuing formula L = lambda W, Operations Research 9 (1961), 383-387.

    Examples
    --------
    >>> lead_time(18, 3)
    6.0
    """
    return jobs_in_shop / jobs_per_day


@sheet_function("Hours")
def contribution_per_hour(price: Money, extra_cost: Money, bottleneck_hours: Hours) -> SignedMoney:
    """What a job leaves over for each hour it takes of the work centre that limits the shop.

    Parameters
    ----------
    price : 0 to 1e12 [currency]
        Price of the whole job.
    extra_cost : 0 to 1e12 [currency]
        What is spent only because of this job: blanks, ink, film, overtime.  Wages and machines paid anyway are left out.
    bottleneck_hours : more than 0, up to 1e5 [hours]
        Hours it takes at that work centre.

    Returns
    -------
    signed money [currency]
        (price - extra cost) / hours.

    Notes
    -----
    Where one work centre is short of hours, the job with the most for each of its hours comes first, whatever its margin.

    References
    ----------
    Contribution per unit of the limiting factor; any textbook of cost accounting; from memory.

    Examples
    --------
    >>> contribution_per_hour(900, 540, 6)
    60.0
    """
    return (price - extra_cost) / bottleneck_hours


@sheet_function("Hours", one_by_one=True)
def working_hours(first_day: Day, last_day: Day, calendar: Calendars, holidays: Cells = None) -> WorkHours:
    """Hours that a work centre works from one day to another, both included, all its machines together.

    Parameters
    ----------
    first_day : a date from 1990 to 2199
        The first day.
    last_day : a date from 1990 to 2199
        The last day; not before the first.
    calendar : rows of machines, [Monday], [Tuesday], [Wednesday], [Thursday], [Friday], [Saturday], [Sunday]
        One row: machines, then the hours of one machine on each weekday.  Blank for a day off.
    holidays : a range of cells, none if left out
        Further days off.

    Returns
    -------
    hours of work [hours]
        Machines x hours of the days that are not holidays.

    References
    ----------
    Counted day by day; no formula of its own.

    Examples
    --------
    Two tables, 8 hours on weekdays but 6 on Fridays, from Monday 2026-11-02 to Sunday 2026-11-15:

    >>> working_hours(46328, 46341, [[2, 8, 8, 8, 8, 6, "", ""]])
    152.0
    """
    if last_day < first_day:
        raise RangeError("last_day", last_day, f"it must not be before the first day ({first_day})")
    centre = one_centre(calendar, holidays, first_day)
    return centre.machines * centre.calendar.hours_before(last_day + 1)


@sheet_function("Hours", one_by_one=True)
def done_day(start_day: Day, hours: WorkHours, calendar: Calendars, holidays: Cells = None) -> DayNumber:
    """Day on which work of so many hours is done on one machine, begun on the morning of a day.

    Parameters
    ----------
    start_day : a date from 1990 to 2199
        The day it begins, or the first day of work after that.
    hours : 0 to 1e5 [hours]
        Hours of work on one machine.
    calendar : rows of machines, [Monday], [Tuesday], [Wednesday], [Thursday], [Friday], [Saturday], [Sunday]
        One row: machines, then the hours of one machine on each weekday.  Blank for a day off.
    holidays : a range of cells, none if left out
        Further days off.

    Returns
    -------
    day number [day]
        The day, as a spreadsheet's date.

    Notes
    -----
    Work that fills a day to its end is done on that day.  More machines do not make one job shorter.

    References
    ----------
    Counted day by day; no formula of its own.

    Examples
    --------
    20 hours from Thursday 2026-11-05, 8 hours on weekdays: done on Monday 2026-11-09.

    >>> done_day(46331, 20, [[1, 8, 8, 8, 8, 8, 0, 0]])
    46335
    """
    return int(one_centre(calendar, holidays, start_day).calendar.done(hours) // CLOCK_DAY)


@sheet_function("Hours", one_by_one=True)
def load_by_week(
    orders: Orders,
    calendars: Calendars,
    today: Day,
    weeks: Weeks,
    holidays: Cells = None,
    figure: LoadFigure = "load",
) -> Cells:
    """Load of every work centre by week (down) and centre (across), against the hours there are.

    Parameters
    ----------
    orders : rows of order, promised, due day, then any number of [hours]
        Name, TRUE where a day is promised, due day, then the hours at each work centre.
    calendars : rows of machines, [Monday], [Tuesday], [Wednesday], [Thursday], [Friday], [Saturday], [Sunday]
        A row for each work centre: machines, then the hours of one machine on each weekday.
    today : a date from 1990 to 2199
        The first day that can still be worked.  Weeks begin on Mondays, this one with today.
    weeks : whole, 1 to 520 [weeks]
        Weeks to show.
    holidays : a range of cells, none if left out
        Days off at all work centres.
    figure : one of load, hours, free, utilisation, load if left out
        load: hours of the orders due in the week.  hours: hours there are.  free: what is left of them, negative where
        there are too few.  utilisation: load / hours.

    Returns
    -------
    cells
        A row for each week, a column for each work centre.  Utilisation is 0 in a week without load, and blank where there
        is load but no hours.

    Notes
    -----
    An order counts in the week it is due, one that is overdue in the first; orders due after the last week are left out.
    A week above 1 is no fault where the weeks before have hours free: DUE_SEQUENCE says whether days are missed.

    References
    ----------
    Load against capacity by period, infinite loading; Heizer and Render, Operations Management; from memory.

    Examples
    --------
    Two work centres, two weeks from Monday 2026-11-02; one order of 10 and 6 hours due in each week:

    >>> orders = [["Elk", True, 46332, 10, 6], ["Fox", True, 46339, 10, 6]]
    >>> calendars = [[1, 8, 8, 8, 8, 8, 0, 0], [2, 6, 6, 6, 6, 6, 0, 0]]
    >>> load_by_week(orders, calendars, 46328, 2)
    ((10.0, 6.0), (10.0, 6.0))
    >>> load_by_week(orders, calendars, 46328, 2, None, "utilisation")
    ((0.25, 0.1), (0.25, 0.1))
    """
    centres = work_centres(calendars, holidays, today)
    by_order = hours_by_centre(orders, len(centres))
    monday = monday_of(today)
    count = int(weeks)
    load = [[0.0] * len(centres) for _ in range(count)]
    for (_, _, due, *_), hours in zip(orders, by_order, strict=True):
        week = max(due - monday, 0) // 7
        if week < count:
            load[week] = [sum(both) for both in zip(load[week], hours, strict=True)]
    table = []
    for week, row in enumerate(load):
        first, end = max(monday + 7 * week, today), monday + 7 * week + 7
        there = [each.machines * (each.calendar.hours_before(end) - each.calendar.hours_before(first)) for each in centres]
        table.append(tuple(_figure(figure, *both) for both in zip(row, there, strict=True)))
    return tuple(table)


def _figure(figure: str, load: float, there: float) -> Any:
    if figure == "load":
        return load
    if figure == "hours":
        return there
    if figure == "free":
        return there - load
    return 0.0 if not load else load / there if there > SLACK else ""


class Taken(NamedTuple):
    """A job that could be taken, and how much of it is."""

    job: str
    per_hour: float
    hours: float
    contribution: float


@sheet_function("Hours", one_by_one=True)
def contract_choice(jobs: Worth, free_hours: WorkHours, whole_jobs: Flag = True, rows: TableRows = 10.0) -> Cells:
    """Which jobs to take for the hours left at the work centre that limits the shop, so that they leave over the most.

    Parameters
    ----------
    jobs : rows of job, contribution, hours
        Name, what it leaves over in all, and the hours it takes there.
    free_hours : 0 to 1e5 [hours]
        Hours left at that work centre.
    whole_jobs : TRUE or FALSE, TRUE if left out
        TRUE where a job is taken as a whole or not at all; FALSE where a part of one can be taken.
    rows : whole, 1 to 1000 [rows], 10 if left out
        Rows there is room for.

    Returns
    -------
    cells
        Each row: job, contribution per hour, hours to give it, contribution; the best per hour first.  0 hours for a job
        that is not taken.  Blank rows where there are fewer jobs.

    Notes
    -----
    Going by contribution per hour is exact only where one work centre alone is short and the last job may be taken in part.
    For whole jobs the best selection is found exactly, in whole minutes: hours of a job rounded up, free hours down.

    References
    ----------
    In part: G. B. Dantzig, Discrete-variable extremum problems, Operations Research 5 (1957), 266-277.  Whole: the
    0/1 knapsack problem; G. L. Nemhauser and Z. Ullmann, Management Science 15 (1969), 494-505; from memory.

    Examples
    --------
    10 hours left: two jobs of 5 hours leave over more than the one with the most per hour.

    >>> jobs = [["Otter", 390, 6], ["Wren", 300, 5], ["Hare", 290, 5]]
    >>> contract_choice(jobs, 10, True, 3)
    (('Otter', 65.0, 0.0, 0.0), ('Wren', 60.0, 5.0, 300.0), ('Hare', 58.0, 5.0, 290.0))
    >>> contract_choice(jobs, 10, False, 3)
    (('Otter', 65.0, 6.0, 390.0), ('Wren', 60.0, 4.0, 240.0), ('Hare', 58.0, 0.0, 0.0))
    """
    return padded(jobs_to_take(jobs, free_hours, whole_jobs), rows, len(Taken._fields))


def jobs_to_take(jobs: Any, free_hours: float, whole_jobs: bool = True) -> list[Taken]:
    """The jobs by what they leave over per hour, with the hours given to each."""
    ranked = sorted(jobs, key=lambda job: -job[1] / job[2])
    if whole_jobs:
        in_minutes = [(worth, max(round_up(hours * 60), 1)) for _, worth, hours in ranked]
        chosen = _best_whole(in_minutes, int(free_hours * 60 + SLACK))
        shares = [float(place in chosen) for place in range(len(ranked))]
    else:
        shares = []
        for _, worth, hours in ranked:
            share = min(free_hours / hours, 1.0) if worth > 0 else 0.0
            free_hours -= share * hours
            shares.append(share)
    return [
        Taken(name, worth / hours, share * hours, share * worth)
        for (name, worth, hours), share in zip(ranked, shares, strict=True)
    ]


def _best_whole(jobs: Sequence[tuple[float, int]], minutes: int) -> set[int]:
    """The places of the jobs (contribution, minutes; best per minute first) that together leave over the most.

    Selections are built up job by job.  Dropped are those that take no fewer minutes than another for no more, and those
    that could not reach the best one known even if they went on with parts of jobs.
    """
    known = _filled(jobs, minutes, in_part=False)
    kept: list[tuple[int, float, tuple[int, ...]]] = [(0, 0.0, ())]
    for place, (worth, takes) in enumerate(jobs):
        if worth <= 0:
            break
        grown = [
            (taken + takes, value + worth, (*chosen, place)) for taken, value, chosen in kept if taken + takes <= minutes
        ]
        selections = sorted([*kept, *grown], key=lambda selection: (selection[0], -selection[1]))
        kept, most, rest = [], -1.0, jobs[place + 1 :]
        for taken, value, chosen in selections:
            if value > most and value + _filled(rest, minutes - taken, in_part=True) >= known * (1 - TIE):
                kept.append((taken, value, chosen))
                most = value
        if len(kept) > MOST_CHOICES:
            raise NoSolution("jobs", f"{len(jobs)} jobs", "they are too many to choose among as a whole; leave some out")
    return set(max(kept, key=lambda selection: selection[1])[2])


def _filled(jobs: Sequence[tuple[float, int]], minutes: int, in_part: bool) -> float:
    """What is left over by taking jobs (best per minute first) until the minutes are full, the last in part or not."""
    value = 0.0
    for worth, takes in jobs:
        if worth <= 0 or not minutes:
            break
        if takes <= minutes:
            value, minutes = value + worth, minutes - takes
        elif in_part:
            return value + worth * minutes / takes
    return value


@sheet_function("Hours", one_by_one=True)
def route_hours(
    route: RouteKey,
    job_names: Cells,
    job_values: Cells,
    rate_names: Cells,
    rate_values: Cells,
    price_rows: PriceRows,
    tools_ready: Flag = False,
) -> Cells:
    """Hours that a job's run takes at each work centre by one route, and the hours it waits on the clock after each.

    Parameters
    ----------
    route : one of hand, transfer, bought, over, pad
        The route.
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
    tools_ready : TRUE or FALSE, FALSE if left out
        TRUE where artwork, screens or plates are there from an earlier run, so that they take no hours now.

    Returns
    -------
    cells
        Two rows, a column for each work centre: artwork, screens and plates, flat press, roller, hand table, pad machine,
        bench.  First the hours, rejects included; below them the waits: drying after the hand table, delivery of bought
        transfers after the artwork.

    Notes
    -----
    The minutes of the route's own cost lines, with artwork and tools in full even where their cost is shared by several
    runs. The bench is all work beside the machines: mixing, preparing, cutting, finishing.

    References
    ----------
    Sum of the route's minutes at each work centre; no formula of its own.

    Examples
    --------
    >>> route_hours("hand", [["design"]], [["Heron"]], [["labour_rate"]], [[24]], [["INK", 0, 0.03, 46000, ""]])
    Traceback (most recent call last):
    quotelib.errors.LookupMiss: job names is 'design'; they must hold every input of a job, and lack item and 13 more
    """
    from quotelib.cases import whole_job
    from quotelib.stages import first_run, stage_hours

    case = whole_job(job_names, job_values, rate_names, rate_values, price_rows)
    return tuple(stage_hours(first_run(case, route), route, tools_ready))
