"""Orders loaded onto work centres that have only so many hours.

Time is counted two ways.  On the clock, a moment is 24 x the day's number + the hours since the shop opened that morning.
At a work centre, it is the hours that one machine has worked since the morning of `today`; nights, days off and holidays do
not count.  Nothing is ever placed before `today`.

An order goes through its work centres in their order, one machine at each, and waits on the clock where it has to dry or be
delivered.  Work once begun goes on, over nights and days off, until it is done.

A plan is made in two passes.  Backward: the order due last is placed first, each stage as late as its day allows, so that
the hours before stay free for orders due earlier.  Where that fits, every order can be done by its day.  Forward: in the
order in which they begin there, the stages are then pulled ahead to the first free hours; no order becomes later by that.

With one machine the first pass finds a plan whenever there is one, since only the order of the due days matters then
(Jackson 1955).  With several machines or work centres it is a rule of thumb: now and then it misses a plan that there is.
"""

from bisect import bisect_left, insort
from collections.abc import Sequence
from itertools import accumulate
from typing import NamedTuple

from quotelib.errors import NoSolution
from quotelib.kinds import DayKind

SLACK = 1e-6
"""Hours that do not count: more than binary noise, less than a person can tell."""

CLOCK_DAY = 24.0

RETRIES = 10
"""How often the order of placing is changed before a plan is given up."""

TOO_LATE = "they must be worked by the year 2199"


class WorkCalendar:
    """The hours of one machine of a work centre: by weekday, without holidays, from the morning of `today` on."""

    def __init__(self, week: Sequence[float], holidays: Sequence[int], today: int) -> None:
        self.week, self.today = tuple(week), today
        self.week_hours = sum(week)
        self._week_before = (0.0, *accumulate(week))
        self._holidays = sorted(day for day in set(holidays) if week[_weekday(day)])
        self._lost = (0.0, *accumulate(week[_weekday(day)] for day in self._holidays))
        self._zero = 0.0
        self._zero = self.hours_before(today)

    def hours_before(self, day: int) -> float:
        """Hours from the morning of today to the morning of a day; negative for a day that is past."""
        weeks, rest = divmod(day - _A_MONDAY, 7)
        worked = weeks * self.week_hours + self._week_before[rest] - self._lost[bisect_left(self._holidays, day)]
        return worked - self._zero

    def hours_on(self, day: int) -> float:
        """Hours of a day."""
        place = bisect_left(self._holidays, day)
        holiday = place < len(self._holidays) and self._holidays[place] == day
        return 0.0 if holiday else self.week[_weekday(day)]

    def worked(self, moment: float) -> float:
        """Hours worked until a moment on the clock."""
        day, hour = divmod(moment, CLOCK_DAY)
        return self.hours_before(int(day)) + min(hour, self.hours_on(int(day)))

    def done(self, hours: float) -> float:
        """The moment at which so many hours are worked: at the end of a day, not on the next morning."""
        return self._moment(hours - SLACK, hours)

    def begun(self, hours: float) -> float:
        """The moment at which work goes on after so many hours: on the next morning, not at the end of a day."""
        return self._moment(hours + SLACK, hours)

    def _moment(self, reached: float, hours: float) -> float:
        """The moment `hours` on the first day at whose end more than `reached` hours are worked."""
        if not self.week_hours:
            raise NoSolution("calendars", "a week without hours", "the work centre must have hours on one weekday at least")
        low = self.today + 7 * max(int(reached / self.week_hours) - 1, 0)
        step = 1
        while self.hours_before(low + step) <= reached:  # the day is low + step - 1 or later
            low, step = low + step, step * 2
            if low > DayKind.LATEST:
                raise NoSolution("hours", hours, TOO_LATE)
        first, last = low, low + step - 1
        while first < last:
            middle = (first + last) // 2
            first, last = (middle + 1, last) if self.hours_before(middle + 1) <= reached else (first, middle)
        if first > DayKind.LATEST:
            raise NoSolution("hours", hours, TOO_LATE)
        return first * CLOCK_DAY + max(hours - self.hours_before(first), 0.0)


_A_MONDAY = 2
"""1900-01-01."""


def _weekday(day: int) -> int:
    """0 for a Monday."""
    return (day - _A_MONDAY) % 7


def monday_of(day: int) -> int:
    """The Monday of a day's week."""
    return day - _weekday(day)


class WorkCentre(NamedTuple):
    """Machines that work by one calendar."""

    calendar: WorkCalendar
    machines: int = 1


class Stage(NamedTuple):
    """What an order asks of one work centre."""

    centre: int
    """Place of the work centre among those of the shop."""
    hours: float
    """Hours of one machine, more than 0."""
    wait: float = 0.0
    """Hours on the clock that must pass before it may begin: since the stage before, or since the morning of today."""


class Order(NamedTuple):
    """An order with the last day on which it may be done."""

    name: str
    day: int
    stages: tuple[Stage, ...]
    last_wait: float = 0.0
    """Hours on the clock from the end of its last stage until it is done."""
    promised: bool = True
    """Whether its day is promised: where hours are short, it goes before those whose day is not."""

    @property
    def turn(self) -> tuple[float, ...]:
        """What orders are sorted by: the day; on the same day by Johnson's rule, for the first and the last stage."""
        if not self.stages:
            return (self.day,)
        first, last = self.stages[0].hours, self.stages[-1].hours
        return (self.day, 0, first) if first <= last else (self.day, 1, -last)

    @classmethod
    def of_hours(
        cls, name: str, day: int, hours: Sequence[float], waits: Sequence[float] = (), promised: bool = True
    ) -> "Order":
        """The order that takes so many hours at each work centre, and waits so long after each, worked at or not."""
        stages, wait = [], 0.0
        for centre, worked in enumerate(hours):
            if worked:
                stages.append(Stage(centre, worked, wait))
                wait = 0.0
            wait += waits[centre] if centre < len(waits) else 0.0
        return cls(name, day, tuple(stages), wait, promised)


class Placed(NamedTuple):
    """One stage of an order on a machine."""

    order: int
    """Place of the order in the list that was loaded."""
    stage: int
    centre: int
    machine: int
    begins: float
    """The moment on the clock."""
    ends: float


class Finished(NamedTuple):
    """When an order is planned to be done."""

    day: int
    late_days: int
    """Days after the last day on which it may be done."""


class Plan(NamedTuple):
    """Orders with the place of each of their stages."""

    orders: tuple[Order, ...]
    placed: tuple[Placed, ...]
    """By the moment at which they begin."""
    finished: tuple[Finished, ...]
    """One for each order."""


class _Machine:
    """What is placed on one machine, by its hours worked."""

    def __init__(self) -> None:
        self.busy: list[tuple[float, float]] = []

    def latest_end(self, hours: float, end: float) -> float | None:
        """The latest end, not after `end`, of so many free hours; None where there are none."""
        for start, until in reversed(self.busy):
            if end - hours >= until - SLACK:
                break
            end = min(end, start)
        return end if end - hours >= -SLACK else None

    def earliest_start(self, hours: float, start: float) -> float:
        """The earliest start, not before `start`, of so many free hours."""
        for begin, end in self.busy:
            if start + hours <= begin + SLACK:
                break
            start = max(start, end)
        return start

    def take(self, start: float, end: float) -> None:
        insort(self.busy, (start, end))


class Shop:
    """The shop's work centres from the morning of today on."""

    def __init__(self, centres: Sequence[WorkCentre], today: int) -> None:
        self.centres, self.today = tuple(centres), today
        self.opens = today * CLOCK_DAY

    def plan(self, orders: Sequence[Order]) -> Plan:
        """Every order by its day where that can be; one that cannot is done as soon as the others let it be.

        Where hours are short, orders that are promised go before those that are not.
        """
        kept = self._possible(orders)
        backward = self._backward(kept)
        assert backward is not None
        placed = self._forward(kept, backward, anywhere=True) or self._forward(kept, backward, anywhere=False)
        days = [int(moment // CLOCK_DAY) for moment in self._done(orders, placed or [])]
        finished = [Finished(day, max(day - order.day, 0)) for day, order in zip(days, orders, strict=True)]
        return Plan(tuple(orders), tuple(placed or []), tuple(finished))

    def first_day(self, orders: Sequence[Order], new: Order) -> tuple[int, Plan]:
        """The first day, not before its own, on which a new order can be due, every other still done by its day.

        Orders that are late anyway do not become later.  Gives the plan with the new order at the end of the list too.
        """
        kept = self._possible(orders)
        day = self._first_day(kept, new, len(kept))
        return day, self.plan([*kept, new._replace(day=day)])

    def _possible(self, orders: Sequence[Order]) -> list[Order]:
        """The orders with days for which the backward pass finds a plan: their own, put off only where it must be."""
        wanted = [order._replace(day=max(order.day, self.today)) for order in orders]
        if self._backward(wanted) is None:
            kept: list[int] = []  # places, ascending, so that orders of the same day always stand in the same order
            for place in sorted(range(len(wanted)), key=lambda place: (not wanted[place].promised, wanted[place].day)):
                turn = bisect_left(kept, place)
                day = self._first_day([wanted[each] for each in kept], wanted[place], turn)
                wanted[place] = wanted[place]._replace(day=day)
                kept.insert(turn, place)
        return wanted

    def _first_day(self, orders: Sequence[Order], new: Order, turn: int) -> int:
        """The first day, not before its own, on which a new order can be due beside others that have possible days.

        `turn` is its place among them in the list.  Days are tried at growing distances, then halved; with one machine
        that is exact.
        """

        def fits(day: int) -> bool:
            return self._backward([*orders[:turn], new._replace(day=day), *orders[turn:]]) is not None

        low = max(new.day, int(self._done([new], self._alone(new))[0] // CLOCK_DAY))
        if fits(low):
            return low
        step = 1
        while not fits(low + step):
            low, step = low + step, step * 2
            if low > DayKind.LATEST:
                raise NoSolution("hours", sum(stage.hours for stage in new.stages), TOO_LATE)
        high = low + step
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (low, middle) if fits(middle) else (middle, high)
        return high

    def _alone(self, order: Order) -> list[Placed]:
        """The stages of an order that has the shop to itself."""
        placed: list[Placed] = []
        moment = self.opens
        for number, stage in enumerate(order.stages):
            calendar = self.centres[stage.centre].calendar
            start = calendar.worked(moment + stage.wait)
            moment = calendar.done(start + stage.hours)
            placed.append(Placed(0, number, stage.centre, 0, calendar.begun(start), moment))
        return placed

    def _backward(self, orders: Sequence[Order]) -> list[Placed] | None:
        """Every stage as late as its order's day allows, the order due last first; None where one does not fit.

        Where the hours would do and an order does not fit all the same, it is placed a turn sooner, a few times over.
        """
        sequence = sorted(range(len(orders)), key=lambda place: orders[place].turn)[::-1]
        placed, misfit = self._placed_backward(orders, sequence)
        for _ in range(RETRIES):
            turn = sequence.index(misfit) if misfit is not None else 0
            if not turn or self._overfull(orders):
                break
            sequence.insert(turn - 1, sequence.pop(turn))
            placed, misfit = self._placed_backward(orders, sequence)
        return placed if misfit is None else None

    def _overfull(self, orders: Sequence[Order]) -> bool:
        """Whether by some day more hours are due at a work centre than there are until then."""
        in_turn = sorted(orders, key=lambda order: order.day)
        for place, centre in enumerate(self.centres):
            load = 0.0
            for order in in_turn:
                load += sum(stage.hours for stage in order.stages if stage.centre == place)
                if load and load > centre.machines * centre.calendar.worked((order.day + 1) * CLOCK_DAY) + SLACK:
                    return True
        return False

    def _placed_backward(self, orders: Sequence[Order], sequence: Sequence[int]) -> tuple[list[Placed], int | None]:
        """Every stage as late as it can be, the orders at these places in turn; and the place of one that does not fit."""
        machines = self._machines()
        placed: list[Placed] = []
        for place in sequence:
            order = orders[place]
            limit = (order.day + 1) * CLOCK_DAY - order.last_wait
            for number in reversed(range(len(order.stages))):
                centre, hours, wait = order.stages[number]
                calendar = self.centres[centre].calendar
                until = calendar.worked(limit)
                ends = [machine.latest_end(hours, until) for machine in machines[centre]]
                end = max((end for end in ends if end is not None), default=None)
                if end is None:
                    return placed, place
                start = max(end - hours, 0.0)
                machines[centre][ends.index(end)].take(start, end)
                begins = calendar.begun(start)
                placed.append(Placed(place, number, centre, ends.index(end), begins, calendar.done(end)))
                limit = begins - wait
            if limit < self.opens:
                return placed, place
        return placed, None

    def _forward(self, orders: Sequence[Order], backward: list[Placed], anywhere: bool) -> list[Placed] | None:
        """The stages pulled ahead, each on the machine free first or on its own; None where an order comes too late.

        On their own machines none does: what begins before a stage in the backward plan also ends before it begins.
        """
        machines = self._machines()
        ready = [self.opens] * len(orders)
        placed = []
        for each in sorted(backward, key=lambda each: (each.begins, each.order, each.stage)):
            _, hours, wait = orders[each.order].stages[each.stage]
            calendar = self.centres[each.centre].calendar
            earliest = calendar.worked(ready[each.order] + wait)
            starts = [machine.earliest_start(hours, earliest) for machine in machines[each.centre]]
            machine = starts.index(min(starts)) if anywhere else each.machine
            start, end = starts[machine], starts[machine] + hours
            machines[each.centre][machine].take(start, end)
            ready[each.order] = calendar.done(end)
            placed.append(each._replace(machine=machine, begins=calendar.begun(start), ends=ready[each.order]))
        if anywhere and any(
            done // CLOCK_DAY > order.day for done, order in zip(self._done(orders, placed), orders, strict=True)
        ):
            return None
        return sorted(placed, key=lambda each: (each.begins, each.order, each.stage))

    def _done(self, orders: Sequence[Order], placed: Sequence[Placed]) -> list[float]:
        """The moment at which each order is done, the wait after its last work included."""
        done = [self.opens] * len(orders)
        for each in placed:
            done[each.order] = max(done[each.order], each.ends)
        return [moment + order.last_wait for moment, order in zip(done, orders, strict=True)]

    def _machines(self) -> list[list[_Machine]]:
        return [[_Machine() for _ in range(centre.machines)] for centre in self.centres]
