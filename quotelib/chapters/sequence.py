"""Sequence: in which order to do the jobs, and the day a new one can be promised.

One machine: by due day, which keeps the largest lateness smallest (Jackson); or by Moore and Hodgson's rule, which makes
the fewest jobs late.  Two machines after each other: by Johnson's rule, which ends soonest.  Several work centres: the
plan of loading.py, backward from the days promised, then pulled ahead.
"""

from collections.abc import Sequence
from heapq import heappop, heappush
from typing import Any, NamedTuple

from quotelib.chapters.hours import hours_by_centre, work_centres
from quotelib.chapters.loading import CLOCK_DAY, SLACK, Order, Plan, Shop, WorkCentre
from quotelib.chapters.series import padded
from quotelib.errors import RangeError
from quotelib.kinds import (
    Calendars,
    Cells,
    Centre,
    Day,
    DayNumber,
    Orders,
    Rule,
    StageHours,
    StageWaits,
    TableRows,
    TwoStepJobs,
    WaitDays,
    WorkHours,
)
from quotelib.registry import sheet_function


class Sequenced(NamedTuple):
    """One order in its turn at a work centre."""

    order: str
    start_day: int
    done_day: int
    due_day: int
    late_days: int


@sheet_function("Sequence", one_by_one=True)
def due_sequence(
    orders: Orders,
    calendars: Calendars,
    centre: Centre,
    today: Day,
    holidays: Cells = None,
    rule: Rule = "due day",
    rows: TableRows = 10.0,
) -> Cells:
    """Sequence of the orders at one work centre with their days, each on the machine that is free first.

    Parameters
    ----------
    orders : rows of order, promised, due day, then any number of [hours]
        Name, TRUE where a day is promised, due day, then the hours at each work centre.
    calendars : rows of machines, [Monday], [Tuesday], [Wednesday], [Thursday], [Friday], [Saturday], [Sunday]
        A row for each work centre: machines, then the hours of one machine on each weekday.
    centre : whole, 1 to 50
        Which work centre: 1 for the first column of hours and the first row of calendars.
    today : a date from 1990 to 2199
        The day the first order begins, at the earliest.
    holidays : a range of cells, none if left out
        Days off.
    rule : one of due day, fewest late, due day if left out
        due day: the order due first goes first.  fewest late: orders that would make others late go last.
    rows : whole, 1 to 1000 [rows], 10 if left out
        Rows there is room for.

    Returns
    -------
    cells
        Each row: order, day it begins, day it is done, due day, days late.  Orders without hours there are left out.  Blank
        rows where there are fewer orders.

    Notes
    -----
    On one machine, due day keeps the largest lateness as small as it can be, and fewest late the number of late orders;
    both exactly.  With more machines due day is a good rule, no more, and fewest late is refused.  What goes before at
    other work centres is not looked at here.

    References
    ----------
    J. R. Jackson, Scheduling a production line to minimize maximum tardiness, UCLA Research Report 43 (1955).  J. M. Moore,
    An n job, one machine sequencing algorithm for minimizing the number of late jobs, Management Science 15 (1968),
    102-109, with Hodgson's form of it.

    Examples
    --------
    Monday 2026-11-02; Fox is due on Wednesday and goes first:

    >>> orders = [["Elk", True, 46331, 20], ["Fox", True, 46330, 12]]
    >>> due_sequence(orders, [[1, 8, 8, 8, 8, 8, 0, 0]], 1, 46328, None, None, 2)
    (('Fox', 46328, 46329, 46330, 0), ('Elk', 46329, 46331, 46331, 0))
    """
    centres = work_centres(calendars, holidays, today)
    if centre > len(centres):
        raise RangeError("centre", centre, f"it must be 1 to the rows of calendars: {len(centres)}")
    place = int(centre) - 1
    by_order = hours_by_centre(orders, len(centres))
    jobs = [(row[0], row[2], hours[place]) for row, hours in zip(orders, by_order, strict=True) if hours[place]]
    return padded(sequence_at(jobs, centres[place], today, rule == "fewest late"), rows, len(Sequenced._fields))


def sequence_at(
    jobs: Sequence[tuple[str, int, float]], centre: WorkCentre, today: int, fewest_late: bool = False
) -> list[Sequenced]:
    """Jobs (name, due day, hours) one after the other at a work centre, each on the machine that is free first."""
    calendar = centre.calendar
    in_turn = sorted(jobs, key=lambda job: job[1])
    if fewest_late:
        if centre.machines > 1:
            raise RangeError("rule", "fewest late", f"it must be due day where there are {centre.machines} machines")
        in_turn = _fewest_late(in_turn, [calendar.worked((due + 1) * CLOCK_DAY) for _, due, _ in in_turn])
    free: list[tuple[float, int]] = [(0.0, machine) for machine in range(centre.machines)]
    table = []
    for name, due, hours in in_turn:
        start, machine = heappop(free)
        heappush(free, (start + hours, machine))
        begins, done = (int(moment // CLOCK_DAY) for moment in (calendar.begun(start), calendar.done(start + hours)))
        table.append(Sequenced(name, begins, done, due, max(done - due, 0)))
    return table


def _fewest_late(in_turn: Sequence[tuple[str, int, float]], ends: Sequence[float]) -> list[tuple[str, int, float]]:
    """Moore and Hodgson: by due day, and whenever one would be late the longest so far goes to the end."""
    on_time: list[tuple[float, int]] = []
    worked, late = 0.0, set()
    for place, (_, _, hours) in enumerate(in_turn):
        heappush(on_time, (-hours, place))
        worked += hours
        if worked > ends[place] + SLACK:
            longest, left_out = heappop(on_time)
            worked += longest
            late.add(left_out)
    return [job for place, job in enumerate(in_turn) if place not in late] + [in_turn[place] for place in sorted(late)]


class TwoSteps(NamedTuple):
    """One job on two machines, in hours from the start of the first job."""

    job: str
    first_start: float
    first_end: float
    second_start: float
    second_end: float


@sheet_function("Sequence", one_by_one=True)
def johnson_sequence(jobs: TwoStepJobs, rows: TableRows = 10.0) -> Cells:
    """Sequence that is done soonest where every job goes over two machines in turn: print, then press.

    Parameters
    ----------
    jobs : rows of job, [first hours], [second hours]
        Name, hours on the first machine, hours on the second.
    rows : whole, 1 to 1000 [rows], 10 if left out
        Rows there is room for.

    Returns
    -------
    cells
        Each row: job, then the hours from the start at which it begins and ends on the first machine and on the second.
        Blank rows where there are fewer jobs.

    Notes
    -----
    Jobs that are shorter on the first machine go first, the shortest of them before the others; then those shorter on the
    second, the shortest of them last.  Equal ones keep the order of the rows.  It holds for one machine of each kind, all
    jobs ready at the start.

    References
    ----------
    S. M. Johnson, Optimal two- and three-stage production schedules with setup times included, Naval Research Logistics
    Quarterly 1 (1954), 61-68.

    Examples
    --------
    >>> johnson_sequence([["Elk", 3, 2], ["Fox", 1, 4]], 2)
    (('Fox', 0.0, 1.0, 1.0, 5.0), ('Elk', 1.0, 4.0, 5.0, 7.0))
    """
    return padded(johnson(jobs), rows, len(TwoSteps._fields))


@sheet_function("Sequence", one_by_one=True)
def johnson_hours(jobs: TwoStepJobs) -> WorkHours:
    """Hours until the last job is done on the second machine, in Johnson's sequence.

    Parameters
    ----------
    jobs : rows of job, [first hours], [second hours]
        Name, hours on the first machine, hours on the second.

    Returns
    -------
    hours of work [hours]
        The makespan: no other sequence is done sooner.

    References
    ----------
    S. M. Johnson, Optimal two- and three-stage production schedules with setup times included, Naval Research Logistics
    Quarterly 1 (1954), 61-68.

    Examples
    --------
    >>> johnson_hours([["Elk", 3, 2], ["Fox", 1, 4]])
    7.0
    """
    return max(each.second_end for each in johnson(jobs))


def johnson(jobs: Any) -> list[TwoSteps]:
    """Johnson's sequence of jobs (name, first hours, second hours), blank for none."""
    given = [(name, first or 0.0, second or 0.0) for name, first, second in jobs]
    shorter_first = sorted((job for job in given if job[1] <= job[2]), key=lambda job: job[1])
    shorter_second = sorted((job for job in given if job[1] > job[2]), key=lambda job: -job[2])
    table: list[TwoSteps] = []
    for name, first, second in (*shorter_first, *shorter_second):
        first_start = table[-1].first_end if table else 0.0
        second_start = max(first_start + first, table[-1].second_end if table else 0.0)
        table.append(TwoSteps(name, first_start, first_start + first, second_start, second_start + second))
    return table


@sheet_function("Sequence", one_by_one=True)
def promise_day(
    hours: StageHours,
    orders: Orders,
    calendars: Calendars,
    today: Day,
    holidays: Cells = None,
    buffer_days: WaitDays = 0.0,
    waits: StageWaits = None,
) -> DayNumber:
    """Earliest day to promise for a new job, with every promised order still done by its own day.

    Parameters
    ----------
    hours : rows of [hours], then any number of [hours]
        One row: the new job's hours at each work centre, blank for none.
    orders : rows of order, promised, due day, then any number of [hours]
        The orders there are; those not promised hold no hours.
    calendars : rows of machines, [Monday], [Tuesday], [Wednesday], [Thursday], [Friday], [Saturday], [Sunday]
        A row for each work centre, in the order in which a job goes through them.
    today : a date from 1990 to 2199
        The first day that can still be worked.
    holidays : a range of cells, none if left out
        Days off at all work centres.
    buffer_days : whole, 0 to 1000 [days], 0 if left out
        Calendar days to keep in hand before every day promised, the new job's and the others'.
    waits : rows of [wait], then any number of [wait], none if left out
        One row: hours on the clock that the new job waits after each work centre: drying, delivery.

    Returns
    -------
    day number [day]
        The day, as a spreadsheet's date.

    Notes
    -----
    Promised orders are loaded backward from their days, each stage as late as its day allows, and the new job with them;
    the earliest day is taken at which all of them fit from today on.  Their days do not move; their work may go ahead or
    after the new job's.  An order that cannot keep its day even so does not become later.  Exact for one work centre with
    one machine; with more, a day that can be kept, and now and then not quite the earliest.

    References
    ----------
    Capable-to-promise by backward loading at finite capacity; common practice, no source.  On one machine it rests on
    Jackson's rule, see DUE_SEQUENCE.

    Examples
    --------
    Monday 2026-11-02.  Elk takes the table for 16 hours and is due on Wednesday, so a new job of 12 hours is done on
    Thursday; had Elk until Friday, the new job could go first.

    >>> week = [[1, 8, 8, 8, 8, 8, 0, 0]]
    >>> promise_day([[12]], [["Elk", True, 46330, 16]], week, 46328)
    46331
    >>> promise_day([[12]], [["Elk", True, 46332, 16]], week, 46328)
    46329
    """
    day, _, _ = promise(hours, orders, calendars, today, holidays, buffer_days, waits)
    return day


@sheet_function("Sequence", one_by_one=True)
def promise_plan(
    hours: StageHours,
    orders: Orders,
    calendars: Calendars,
    today: Day,
    holidays: Cells = None,
    buffer_days: WaitDays = 0.0,
    waits: StageWaits = None,
) -> Cells:
    """When the new job of PROMISE_DAY begins and is done at each work centre.

    Parameters
    ----------
    hours : rows of [hours], then any number of [hours]
        One row: the new job's hours at each work centre, blank for none.
    orders : rows of order, promised, due day, then any number of [hours]
        The orders there are; those not promised hold no hours.
    calendars : rows of machines, [Monday], [Tuesday], [Wednesday], [Thursday], [Friday], [Saturday], [Sunday]
        A row for each work centre, in the order in which a job goes through them.
    today : a date from 1990 to 2199
        The first day that can still be worked.
    holidays : a range of cells, none if left out
        Days off at all work centres.
    buffer_days : whole, 0 to 1000 [days], 0 if left out
        Calendar days to keep in hand before every day promised, the new job's and the others'.
    waits : rows of [wait], then any number of [wait], none if left out
        One row: hours on the clock that the new job waits after each work centre: drying, delivery.

    Returns
    -------
    cells
        Two rows, a column for each work centre: the day it begins there, the day it is done there.  Blank where it has no
        work.

    Notes
    -----
    The plan backward from the days promised, pulled ahead to the first free hours.

    References
    ----------
    Capable-to-promise by backward loading at finite capacity; common practice, no source.

    Examples
    --------
    Screens on Monday, printing after 30 hours of waiting:

    >>> week = [[1, 8, 8, 8, 8, 8, 0, 0], [1, 8, 8, 8, 8, 8, 0, 0]]
    >>> promise_plan([[3, 10]], [["Elk", True, 46340, 16, 8]], week, 46328, None, None, [[30, 0]])
    ((46328, 46330), (46328, 46331))
    """
    _, plan, new = promise(hours, orders, calendars, today, holidays, buffer_days, waits)
    begins: list[Any] = [""] * len(calendars)
    ends: list[Any] = [""] * len(calendars)
    for each in plan.placed:
        if each.order == new:
            begins[each.centre], ends[each.centre] = int(each.begins // CLOCK_DAY), int(each.ends // CLOCK_DAY)
    return tuple(begins), tuple(ends)


def promise(
    hours: Any, orders: Any, calendars: Any, today: int, holidays: Any, buffer_days: float, waits: Any
) -> tuple[int, Plan, int]:
    """The day to promise for a new job, the plan that keeps it, and the new job's place among its orders."""
    centres = work_centres(calendars, holidays, today)
    worked_at = _one_row("hours", hours, len(centres))
    waited_after = _one_row("waits", waits, len(centres)) if waits else ()
    buffer = int(buffer_days)
    by_order = hours_by_centre(orders, len(centres))
    promised = [
        Order.of_hours(name, day - buffer, worked)
        for (name, is_promised, day, *_), worked in zip(orders, by_order, strict=True)
        if is_promised
    ]
    day, plan = Shop(centres, today).first_day(promised, Order.of_hours("", today, worked_at, waited_after))
    return day + buffer, plan, len(promised)


def _one_row(name: str, rows: Any, columns: int) -> list[float]:
    if len(rows) != 1 or len(rows[0]) != columns:
        raise RangeError(name, f"{len(rows)} x {len(rows[0])} cells", f"it must be one row of {columns}, as calendars has")
    return [cell or 0.0 for cell in rows[0]]
