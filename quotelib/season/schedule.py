"""The order book: every order's hours at each work centre, the plan that keeps their days, and what is left to sell.

    calendar = load_calendar("workbook/shop-calendar.toml")
    book = load_orders("examples/season/orders.csv", load_jobs("examples/season"), rates, prices.rows)
    schedule = Schedule(book, calendar)
    schedule.load("utilisation")         a table by week and work centre
    schedule.late                        the orders that miss their day
    schedule.contract_choice             which contract work to take in the hours left

An order that is promised holds its hours and its day.  One of the shop's own that is not promised, work for stock, takes
the hours after that.  Contract work that is not promised is an enquiry: it holds nothing, and is ranked for the hours left.
"""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any, ClassVar, NamedTuple

import pandas as pd

from quotelib.cases import Case
from quotelib.chapters.hours import Taken, jobs_to_take, load_by_week, working_hours
from quotelib.chapters.loading import Order, Plan, Shop, WorkCalendar, WorkCentre, monday_of
from quotelib.errors import FileRefused, QuoteError, RangeError
from quotelib.files.readers import rows_by_kind
from quotelib.files.tables import read_table
from quotelib.files.toml import toml_of
from quotelib.job import Job
from quotelib.kinds import (
    DAY,
    DAY_HOURS,
    MACHINES,
    ROUTE,
    WAIT_DAYS,
    Day,
    Flag,
    Label,
    Money,
    Pieces,
    day_of,
)
from quotelib.quoting import quote
from quotelib.rates import ShopRates
from quotelib.records import Record, entry
from quotelib.routes import CENTRES
from quotelib.stages import StageHours, first_run, stage_hours

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


@dataclass(frozen=True)
class ShopCalendar:
    """The hours of a shop."""

    machines: tuple[int, ...]
    """One for each of CENTRES."""
    weeks: tuple[tuple[float, ...], ...]
    """For each of CENTRES the hours of one machine from Monday to Sunday."""
    holidays: tuple[int, ...]
    buffer_days: int
    """Calendar days kept in hand before every day promised."""

    @property
    def rows(self) -> list[tuple[float, ...]]:
        """The calendars as functions for cells take them: a row for each work centre, machines first."""
        return [(machines, *week) for machines, week in zip(self.machines, self.weeks, strict=True)]

    @property
    def holiday_rows(self) -> list[list[int]] | None:
        """The holidays as functions for cells take them."""
        return [[day] for day in self.holidays] or None

    def shop(self, today: int) -> Shop:
        """The work centres from the morning of a day on."""
        both = zip(self.machines, self.weeks, strict=True)
        return Shop([WorkCentre(WorkCalendar(week, self.holidays, today), machines) for machines, week in both], today)


def load_calendar(file: str | Path) -> ShopCalendar:
    """Read the shop's calendar from a TOML file.

    Raises FileRefused with every fault, each in a line of its own.
    """
    path = Path(file)
    content = toml_of(path.read_bytes(), str(path))
    faults: list[str] = []

    def admitted(kind: Any, name: str, value: Any) -> Any:
        try:
            return kind.admit(name, value)
        except QuoteError as refusal:
            faults.append(str(refusal))

    wanted = ("buffer_days", "holidays", *CENTRES)
    faults += [f"{name} is missing" for name in wanted if name not in content]
    faults += [f"{name} is not known; there are {', '.join(wanted)}" for name in content if name not in wanted]
    buffer_days = admitted(WAIT_DAYS, "buffer_days", content.get("buffer_days", 0))
    days = content.get("holidays", [])
    if not isinstance(days, list):
        faults.append(f"holidays is {days!r}; it must be a list of days, which may be empty")
        days = []
    holidays = [admitted(DAY, f"holidays {place}", day) for place, day in enumerate(days, 1)]
    machines, weeks = [], []
    for name in CENTRES:
        centre = content.get(name, {"machines": 1, "week": [0] * 7})
        week = centre.get("week") if isinstance(centre, dict) else None
        if not isinstance(centre, dict) or set(centre) != {"machines", "week"} or not isinstance(week, list):
            faults.append(f"{name} must be a table of machines and week, and nothing else")
            continue
        if len(week) != len(WEEKDAYS):
            faults.append(f"{name} week has {len(week)} days; it must have 7, from Monday to Sunday")
        machines.append(admitted(MACHINES, f"{name} machines", centre["machines"]))
        named = zip(WEEKDAYS, week, strict=False)
        weeks.append(tuple(admitted(DAY_HOURS, f"{name} {weekday}", hours) for weekday, hours in named))
    if faults:
        raise FileRefused(str(path), faults)
    return ShopCalendar(tuple(map(int, machines)), tuple(weeks), tuple(holidays), int(buffer_days))


@dataclass(frozen=True)
class ShopOrder(Record):
    """One order, as it stands in the order book."""

    what: ClassVar[str] = "order"

    order: Label = entry("Order", "Number or name of the order.")
    design: Label = entry("Design", "A design of the season.")
    pieces: Pieces = entry("Pieces", "Good pieces to deliver.")
    received: Day = entry("Received", "Day on which the order came in.")
    due: Day = entry("Due", "Last day on which it may be done.")
    promised: Flag = entry("Promised", "TRUE where that day is promised to a customer.")
    tools_ready: Flag = entry("Tools ready", "TRUE where artwork, screens or plates are there from an earlier run.")
    contract: Flag = entry("Contract", "TRUE for contract work, FALSE for the shop's own line.")
    price: Money = entry("Price", "Price of the whole order.")


ORDER_KINDS = {each.name: each.kind for each in ShopOrder.entries()[:3]}
ORDER_KINDS |= {"route": ROUTE} | {each.name: each.kind for each in ShopOrder.entries()[3:]}
"""What the columns of the order book hold, in their order."""


@dataclass(frozen=True)
class BookedOrder:
    """An order with the route it takes and what that asks of the shop."""

    order: ShopOrder
    job: Job
    route: str
    """Key of the route: the one named, or the cheapest."""
    stages: StageHours
    contribution: float
    """Price less what is bought for it, materials and wear of tools; wages and machines are paid anyway. [currency]"""

    @property
    def enquiry(self) -> bool:
        """Whether it is contract work that nobody has promised."""
        return self.order.contract and not self.order.promised


def load_orders(
    path: str | Path, jobs: Sequence[Job], rates: ShopRates, price_rows: Any, today: int | None = None
) -> list[BookedOrder]:
    """The order book of a season, worked out; orders received after `today` are left out.

    Raises FileRefused with every fault of the file.
    """
    table = read_table(path, refuse=False)
    faults = table.faults
    by_design = {job.design: job for job in jobs}
    read: list[tuple[int, ShopOrder, str | None]] = []
    seen: set[str] = set()
    for number, values in rows_by_kind(table, ORDER_KINDS, may_be_blank=("route",)):
        if values.get("order", "") in seen:
            faults.cell(number, 0, "order", values["order"], "it must stand once in the file")
        seen.add(values.get("order", ""))
        if values.get("design", "") not in by_design and "design" in values:
            faults.cell(number, 1, "design", values["design"], "it must be a design of the season")
        if {"received", "due"} <= set(values) and values["due"] < values["received"]:
            faults.cell(number, 5, "due", str(day_of(values["due"])), "it must not be before the day it was received")
        route = values.pop("route", None)
        if len(values) == len(ORDER_KINDS) - 1:
            read.append((number, ShopOrder(**values), route))
    faults.refuse()
    booked = []
    for number, order, route in read:
        if today is None or order.received <= today:
            try:
                booked.append(book_order(order, by_design[order.design], rates, price_rows, route))
            except QuoteError as refusal:
                faults.row(number, str(refusal))
    faults.refuse()
    return booked


def book_order(order: ShopOrder, job: Job, rates: ShopRates, price_rows: Any, route: str | None = None) -> BookedOrder:
    """An order by the route named, or by the one that costs least."""
    case = Case(job.changed("good_pieces", order.pieces), rates, price_rows)
    key = route or quote(case.job, rates, price_rows).cheapest
    quoted = first_run(case, key)
    bought = sum(line.amount for line in quoted.opened(key) if line.unit != "minutes")
    return BookedOrder(order, case.job, key, stage_hours(quoted, key, order.tools_ready), order.price - bought)


class RoutePromise(NamedTuple):
    """The day a job can be promised by one route."""

    route: str
    """Key of the route."""
    day: int
    ready: int
    """The day it is planned to be done, before the days kept in hand."""
    stages: tuple[tuple[str, float, int, int], ...]
    """Work centre, hours there, first day and last day there."""


class Schedule:
    """An order book against a calendar, from the morning of `today` on: the day the last order came in, unless told."""

    def __init__(self, booked: Sequence[BookedOrder], calendar: ShopCalendar, today: int | None = None) -> None:
        if not booked:
            raise RangeError("orders", "an empty book", "it must hold one order at least")
        self.today = max(each.order.received for each in booked) if today is None else today
        self.calendar = calendar
        self.enquiries = [each for each in booked if each.enquiry]
        self.orders = [each for each in booked if not each.enquiry]
        """The orders that take hours."""

    @cached_property
    def weeks(self) -> int:
        """Weeks from this one to that of the last due day."""
        monday = monday_of(self.today)
        last = max((each.order.due for each in self.orders), default=self.today)
        return max((last - monday) // 7 + 1, 1)

    def load(self, figure: str = "load") -> pd.DataFrame:
        """Load, hours, free hours or utilisation, as LOAD_BY_WEEK has it: a row for each week, a column for each centre."""
        rows = [(each.order.order, each.order.promised, each.order.due, *each.stages.hours) for each in self.orders] or [
            ("none", False, self.today, *(0.0 for _ in CENTRES))
        ]
        table = load_by_week(rows, self.calendar.rows, self.today, self.weeks, self.calendar.holiday_rows, figure)
        monday = day_of(monday_of(self.today))
        weeks = [monday + datetime.timedelta(weeks=week) for week in range(self.weeks)]
        return pd.DataFrame(table, index=pd.Index(weeks, name="Week of"), columns=list(CENTRES.values()))

    @cached_property
    def totals(self) -> pd.DataFrame:
        """Load, hours and utilisation of each work centre over all the weeks."""
        table = pd.DataFrame({"Load": self.load("load").sum(), "Hours": self.load("hours").sum()})
        table["Utilisation"] = [load / hours if hours else float("nan") for load, hours in table.to_numpy()]
        return table

    @cached_property
    def bottleneck(self) -> str:
        """Key of the work centre whose hours are taken up most; one with load and no hours before all others."""
        shares = [
            load / hours if hours else float("inf") if load else 0.0
            for load, hours in self.totals[["Load", "Hours"]].to_numpy()
        ]
        return list(CENTRES)[shares.index(max(shares))]

    def _loaded(self, buffer_days: int = 0) -> list[Order]:
        return [
            Order.of_hours(
                each.order.order, each.order.due - buffer_days, each.stages.hours, each.stages.waits, each.order.promised
            )
            for each in self.orders
        ]

    @cached_property
    def plan(self) -> Plan:
        """Every order at its work centres: each by its day where that can be, promised ones first where hours are short."""
        return self.calendar.shop(self.today).plan(self._loaded())

    @cached_property
    def late(self) -> pd.DataFrame:
        """The orders that are planned to be done after their day."""
        rows = [
            {
                "Order": each.order.order,
                "Design": each.order.design,
                "Promised": "yes" if each.order.promised else "no",
                "Due": day_of(each.order.due),
                "Planned": day_of(finished.day),
                "Days late": finished.late_days,
            }
            for each, finished in zip(self.orders, self.plan.finished, strict=True)
            if finished.late_days
        ]
        return pd.DataFrame(rows, columns=["Order", "Design", "Promised", "Due", "Planned", "Days late"])

    @cached_property
    def free_bottleneck_hours(self) -> float:
        """Hours left at the bottleneck until the last due day, less than none counting as none."""
        place = list(CENTRES).index(self.bottleneck)
        last = max((each.order.due for each in self.orders), default=self.today)
        there = working_hours(self.today, max(last, self.today), [self.calendar.rows[place]], self.calendar.holiday_rows)
        return max(float(there - sum(each.stages.hours[place] for each in self.orders)), 0.0)

    @cached_property
    def contract_choice(self) -> list[Taken]:
        """The contract work nobody has promised, by what it leaves over per hour of the bottleneck, and what to take.

        Enquiries that take no hours there limit nothing, and are left out.
        """
        place = list(CENTRES).index(self.bottleneck)
        asked = [(each.order.order, each.contribution, each.stages.hours[place]) for each in self.enquiries]
        return jobs_to_take([enquiry for enquiry in asked if enquiry[2]], self.free_bottleneck_hours)

    def promises(
        self, job: Job, rates: ShopRates, price_rows: Any, tools_ready: bool = False
    ) -> tuple[list[RoutePromise], dict[str, str]]:
        """The earliest day to promise for a new job by every route that can print it, the first one first.

        Also gives why the others cannot.  Promised orders keep their days; the others make room.
        """
        quoted = first_run(Case(job, rates, price_rows))
        shop, buffer = self.calendar.shop(self.today), self.calendar.buffer_days
        promised = [order for order in self._loaded(buffer) if order.promised]
        found = []
        for key in quoted.curves:
            stages = stage_hours(quoted, key, tools_ready)
            day, plan = shop.first_day(promised, Order.of_hours(job.design, self.today, stages.hours, stages.waits))
            placed = [each for each in plan.placed if each.order == len(promised)]
            rows = tuple(
                (list(CENTRES)[each.centre], stages.hours[each.centre], int(each.begins // 24), int(each.ends // 24))
                for each in sorted(placed, key=lambda each: each.stage)
            )
            found.append(RoutePromise(key, day + buffer, plan.finished[-1].day, rows))
        return sorted(found, key=lambda each: each.day), quoted.refused
