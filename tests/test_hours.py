"""Hours, sequences and promises against brute force: every sequence and every selection tried on small instances."""

import datetime
import itertools
import random
from collections.abc import Iterator

import numpy as np
import pytest

import quotelib
from quotelib.chapters.hours import jobs_to_take
from quotelib.chapters.loading import CLOCK_DAY, SLACK, Order, Plan, Shop, WorkCalendar, WorkCentre
from quotelib.chapters.sequence import johnson, sequence_at
from quotelib.errors import LookupMiss, NoSolution, RangeError, TypeInputError
from quotelib.kinds import day_number, day_of

MONDAY = 46328
WEEK = (8, 8, 8, 8, 8, 0, 0)
JOBS = 7


def some_calendar(draw: random.Random, today: int) -> WorkCalendar:
    """Hours on some weekdays, three holidays."""
    week = [draw.choice([0, 4, 7.5, 8]) for _ in range(5)] + [0, draw.choice([0, 3])]
    week[draw.randrange(5)] = 6
    return WorkCalendar(week, [today + draw.randrange(30) for _ in range(3)], today)


def some_jobs(draw: random.Random, today: int, within: int) -> list[tuple[str, int, float]]:
    """Seven jobs: name, due day, hours."""
    return [(f"J{n}", today + draw.randrange(within), draw.choice([1, 2.5, 4, 8, 11.25])) for n in range(JOBS)]


def ends(calendar: WorkCalendar, hours: np.ndarray) -> np.ndarray:
    """The day on which work of so many hours is done, walked day by day."""
    last, total, by_day = calendar.today, 0.0, []
    while total < hours.max() - SLACK:
        total += calendar.hours_on(last)
        by_day.append(total)
        last += 1
    return calendar.today + np.searchsorted(np.array(by_day), hours - SLACK)


PERMUTATIONS = np.array(list(itertools.permutations(range(JOBS))))
"""All 5040 sequences of seven jobs."""


def done_days(calendar: WorkCalendar, hours: np.ndarray) -> np.ndarray:
    """For every sequence the day on which each of its turns is done."""
    return ends(calendar, np.cumsum(hours[PERMUTATIONS], axis=1))


def instances(count: int, within: int) -> Iterator[tuple[WorkCalendar, list[tuple[str, int, float]]]]:
    for seed in range(count):
        draw = random.Random(seed)
        today = MONDAY + draw.randrange(7)
        yield some_calendar(draw, today), some_jobs(draw, today, within)


@pytest.mark.parametrize("within", [12, 25])
def test_by_due_day_no_sequence_of_seven_has_a_smaller_largest_lateness(within: int) -> None:
    """Jackson 1955, in calendar days."""
    for calendar, jobs in instances(15, within):
        table = sequence_at(jobs, WorkCentre(calendar), calendar.today)
        hours, due = np.array([job[2] for job in jobs]), np.array([job[1] for job in jobs])
        best = (done_days(calendar, hours) - due[PERMUTATIONS]).max(axis=1).min()
        assert max(each.done_day - each.due_day for each in table) == best


@pytest.mark.parametrize("within", [6, 14])
def test_fewest_late_has_no_more_late_jobs_than_any_sequence_of_seven(within: int) -> None:
    """Moore 1968."""
    late = 0
    for calendar, jobs in instances(15, within):
        table = sequence_at(jobs, WorkCentre(calendar), calendar.today, fewest_late=True)
        hours, due = np.array([job[2] for job in jobs]), np.array([job[1] for job in jobs])
        fewest = (done_days(calendar, hours) > due[PERMUTATIONS]).sum(axis=1).min()
        assert sum(each.late_days > 0 for each in table) == fewest
        late += int(fewest)
    assert late


def test_fewest_late_is_refused_for_two_machines() -> None:
    with pytest.raises(RangeError, match="rule is 'fewest late'; it must be due day where there are 2 machines"):
        quotelib.due_sequence([["Elk", True, MONDAY, 4]], [[2, *WEEK]], 1, MONDAY, None, "fewest late")


def makespan(jobs: list[tuple[str, float, float]]) -> float:
    """The end of the second machine for jobs in this sequence."""
    first = second = 0.0
    for _, one, two in jobs:
        first += one
        second = max(first, second) + two
    return second


def test_johnson_is_done_no_later_than_any_sequence_of_seven() -> None:
    """Johnson 1954; ties and jobs with nothing on one machine among them."""
    for seed in range(12):
        draw = random.Random(seed)
        jobs = [(f"J{n}", draw.choice([0, 1, 2.5, 4, 7]), draw.choice([0, 1, 3, 4, 6.5])) for n in range(JOBS)]
        best = min(makespan(list(sequence)) for sequence in itertools.permutations(jobs))
        assert quotelib.johnson_hours(jobs) == pytest.approx(best)
        table = johnson(jobs)
        assert sorted(each.job for each in table) == sorted(job[0] for job in jobs)
        assert makespan([next(job for job in jobs if job[0] == each.job) for each in table]) == pytest.approx(best)
        assert all(each.second_start >= each.first_end for each in table)


def test_promise_is_the_earliest_day_of_all_sequences_that_keep_the_promised_ones() -> None:
    """One machine: the new job at every turn of all sequences of six promised jobs."""
    tried = 0
    for calendar, jobs in instances(40, 30):
        *promised, (_, _, new) = jobs
        hours, due = np.array([job[2] for job in jobs]), np.array([job[1] for job in promised] + [10**6])
        days = done_days(calendar, hours)
        kept = (days <= due[PERMUTATIONS]).all(axis=1)
        if not kept.any():
            continue
        tried += 1
        of_the_new = days[PERMUTATIONS == JOBS - 1]
        orders = [[name, True, day, each] for name, day, each in promised]
        rows = [[1, *calendar.week]]
        holidays = [[day] for day in range(calendar.today, calendar.today + 40) if is_holiday(calendar, day)] or None
        assert quotelib.promise_day([[new]], orders, rows, calendar.today, holidays) == of_the_new[kept].min()
    assert tried > 15


def is_holiday(calendar: WorkCalendar, day: int) -> bool:
    return calendar.week[(day - 2) % 7] > 0 and calendar.hours_on(day) == 0


def test_orders_late_anyway_are_late_by_no_more_than_they_must_be_and_never_by_more_for_a_new_one() -> None:
    for calendar, jobs in instances(15, 8):
        orders = [Order.of_hours(name, day, [hours]) for name, day, hours in jobs]
        shop = Shop([WorkCentre(calendar)], calendar.today)
        before = shop.plan(orders).finished
        hours, due = np.array([job[2] for job in jobs]), np.array([job[1] for job in jobs])
        best = (done_days(calendar, hours) - due[PERMUTATIONS]).max(axis=1).min()
        assert max(each.late_days for each in before) == max(best, 0)
        _, plan = shop.first_day(orders, Order.of_hours("new", calendar.today, [5.0]))
        allowed = [max(order.day, calendar.today, each.day) for order, each in zip(orders, before, strict=True)]
        assert all(each.day <= day for each, day in zip(plan.finished, allowed, strict=False))


def check_plan(plan: Plan, shop: Shop, orders: list[Order]) -> None:
    """Every stage once, within the calendar, after the one before and its wait, alone on its machine, not before today."""
    by_machine: dict[tuple[int, int], list[tuple[float, float]]] = {}
    for place, order in enumerate(orders):
        mine = sorted((each for each in plan.placed if each.order == place), key=lambda each: each.stage)
        assert [each.centre for each in mine] == [stage.centre for stage in order.stages]
        ready = shop.opens
        for each, stage in zip(mine, order.stages, strict=True):
            calendar = shop.centres[each.centre].calendar
            assert each.begins >= ready + stage.wait - SLACK
            assert calendar.worked(each.ends) - calendar.worked(each.begins) == pytest.approx(stage.hours, abs=3 * SLACK)
            assert 0 <= each.machine < shop.centres[each.centre].machines
            by_machine.setdefault((each.centre, each.machine), []).append((each.begins, each.ends))
            ready = each.ends
        assert plan.finished[place].day == (ready + order.last_wait) // CLOCK_DAY
    for spans in by_machine.values():
        for (_, end), (begin, _) in itertools.pairwise(sorted(spans)):
            assert begin >= end - 3 * SLACK


def some_shop(seed: int, orders: int) -> tuple[Shop, list[Order]]:
    """Four work centres, one of them with two machines, and orders with waits that go through some of them."""
    draw = random.Random(seed)
    today = MONDAY + draw.randrange(7)
    shop = Shop([WorkCentre(some_calendar(draw, today), 1 + (place == 2)) for place in range(4)], today)
    book = [
        Order.of_hours(
            f"O{n}", today + draw.randrange(5, 60), [draw.choice([0, 0, 2, 5.5, 13]) for _ in range(4)],
            [draw.choice([0, 0, 3, 30]) for _ in range(4)], draw.random() < 0.8,
        )
        for n in range(orders)
    ]  # fmt: skip
    return shop, book


@pytest.mark.parametrize("seed", range(12))
def test_a_plan_holds_to_calendars_machines_and_waits(seed: int) -> None:
    shop, book = some_shop(seed, 14)
    check_plan(shop.plan(book), shop, book)


@pytest.mark.parametrize("seed", range(12))
def test_a_new_order_moves_no_promised_one_beyond_its_day(seed: int) -> None:
    shop, book = some_shop(100 + seed, 10)
    before = shop.plan(book)
    new = Order.of_hours("new", shop.today, [4, 0, 9, 3], [0, 0, 20, 0])
    day, plan = shop.first_day(book, new)
    assert plan.finished[-1].day <= day
    for order, was, now in zip(book, before.finished, plan.finished, strict=False):
        assert now.day <= order.day or was.late_days


@pytest.mark.parametrize("seed", range(6))
def test_a_promise_through_two_machines_is_that_of_the_best_sequence_while_hours_are_not_short(seed: int) -> None:
    """Two machines after each other: against all sequences that are the same on both.

    It is a rule of thumb there; where hours are short it may give a later day.
    """
    draw = random.Random(seed)
    calendar = WorkCalendar(WEEK, (), MONDAY)
    shop = Shop([WorkCentre(calendar), WorkCentre(calendar)], MONDAY)
    orders = [
        Order.of_hours(f"O{n}", MONDAY + draw.randrange(4, 20), [draw.choice([2, 5, 9]), draw.choice([2, 5, 9])])
        for n in range(5)
    ]
    new = Order.of_hours("new", MONDAY, [6, 4])
    best = None
    for sequence in itertools.permutations([*orders, new]):
        first = second = 0.0
        kept, day = True, 0
        for order in sequence:
            first += order.stages[0].hours
            second = max(first, second) + order.stages[1].hours
            done = int(calendar.done(second) // CLOCK_DAY)
            kept, day = (kept, done) if order is new else (kept and done <= order.day, day)
        if kept:
            best = day if best is None else min(best, day)
    found, _ = shop.first_day(orders, new)
    assert found == best


def test_hours_and_days_are_numpy_s_business_days() -> None:
    """numpy: busday_count and busday_offset, with holidays."""
    draw = random.Random(5)
    for _ in range(60):
        first = MONDAY + draw.randrange(200)
        last = first + draw.randrange(120)
        holidays = [first + draw.randrange(120) for _ in range(5)]
        free = np.array([np.datetime64(day_of(day)) for day in holidays])
        hours = quotelib.working_hours(first, last, [[3, *WEEK]], [[day] for day in holidays])
        assert hours == 24 * np.busday_count(day_of(first), day_of(last + 1), holidays=free)
        days = draw.randrange(1, 60)
        done = np.busday_offset(day_of(first), 0, roll="forward", holidays=free)
        done = np.busday_offset(done, days - 1, holidays=free).astype(datetime.date)
        assert quotelib.done_day(first, 8 * days, [[1, *WEEK]], [[day] for day in holidays]) == day_number(done)
        assert quotelib.done_day(first, 8 * days - 7.5, [[1, *WEEK]], [[day] for day in holidays]) == day_number(done)


def test_nothing_is_planned_before_today() -> None:
    orders = [["Elk", True, MONDAY - 30, 4, 2], ["Fox", True, MONDAY - 2, 9, ""]]
    rows = quotelib.due_sequence(orders, [[1, *WEEK], [1, *WEEK]], 1, MONDAY + 5, None, None, 2)
    assert [row[1] for row in rows] == [MONDAY + 7, MONDAY + 7]  # a Saturday: work begins on Monday
    assert rows[0][4] == 37
    assert quotelib.promise_day([[1, 1]], orders, [[1, *WEEK], [1, *WEEK]], MONDAY + 5) >= MONDAY + 7


def test_two_machines_share_the_orders() -> None:
    orders = [["a", True, MONDAY, 8], ["b", True, MONDAY + 1, 16], ["c", True, MONDAY + 2, 8]]
    rows = quotelib.due_sequence(orders, [[2, *WEEK]], 1, MONDAY, None, None, 3)
    assert [row[:3] for row in rows] == [("a", MONDAY, MONDAY), ("b", MONDAY, MONDAY + 1), ("c", MONDAY + 1, MONDAY + 1)]


def test_rows_that_there_is_no_room_for_are_counted() -> None:
    orders = [[f"O{n}", True, MONDAY + n, 1] for n in range(6)]
    rows = quotelib.due_sequence(orders, [[1, *WEEK]], 1, MONDAY, None, None, 4)
    assert len(rows) == 4 and rows[3] == ("and 3 more", "", "", "", "")


def test_load_keeps_every_hour_that_falls_due_within_the_weeks() -> None:
    draw = random.Random(3)
    orders = [
        [f"O{n}", True, MONDAY + draw.randrange(-20, 60), draw.choice([0, 3, 7.5]), draw.choice(["", 2, 5])]
        for n in range(40)
    ]
    table = quotelib.load_by_week(orders, [[1, *WEEK], [2, *WEEK]], MONDAY + 2, 5)
    for column, place in enumerate((3, 4)):
        due = sum(row[place] or 0 for row in orders if row[2] < MONDAY + 35)
        assert sum(week[column] for week in table) == pytest.approx(due)
    given = ([[1, *WEEK], [2, *WEEK]], MONDAY + 2, 5, [[MONDAY + 9]])
    hours, free, shares = (quotelib.load_by_week(orders, *given, figure) for figure in ("hours", "free", "utilisation"))
    for week in range(5):
        for column in range(2):
            assert free[week][column] == pytest.approx(hours[week][column] - table[week][column])
            assert shares[week][column] == pytest.approx(table[week][column] / hours[week][column])


def test_whole_jobs_leave_over_as_much_as_the_best_of_all_selections() -> None:
    for seed in range(40):
        draw = random.Random(seed)
        jobs = [(f"J{n}", draw.choice([-5.0, 40.0, 90.5, 120.0, 300.0]), draw.randrange(1, 90) / 4) for n in range(10)]
        free = draw.randrange(0, 240) / 4
        best = 0.0
        for size in range(len(jobs) + 1):
            for chosen in itertools.combinations(jobs, size):
                if sum(job[2] for job in chosen) <= free:
                    best = max(best, sum(job[1] for job in chosen))
        taken = jobs_to_take(jobs, free)
        assert sum(each.contribution for each in taken) == pytest.approx(best)
        assert sum(each.hours for each in taken) <= free
        in_part = jobs_to_take(jobs, free, whole_jobs=False)
        assert sum(each.contribution for each in in_part) >= best - 1e-9
        assert [each.per_hour for each in taken] == sorted((each.per_hour for each in taken), reverse=True)


def test_many_enquiries_are_chosen_among_at_once() -> None:
    """Against a table over every whole minute."""
    draw = random.Random(1)
    jobs = [(f"J{n}", float(draw.randrange(20, 900)), draw.randrange(20, 1500) / 60) for n in range(60)]
    best = np.zeros(6001)
    for _, worth, hours in jobs:
        takes = round(hours * 60)
        best[takes:] = np.maximum(best[takes:], best[:-takes] + worth)
    assert sum(each.contribution for each in jobs_to_take(jobs, 100.0)) == pytest.approx(best[-1])


def test_what_is_wrong_is_named() -> None:
    orders = [["Elk", True, MONDAY, 4]]
    with pytest.raises(
        RangeError, match=r"order Elk is '1 columns of hours'; it must have one for each row of calendars: 2"
    ):
        quotelib.load_by_week(orders, [[1, *WEEK], [1, *WEEK]], MONDAY, 2)
    with pytest.raises(RangeError, match="centre is 3; it must be 1 to the rows of calendars: 1"):
        quotelib.due_sequence(orders, [[1, *WEEK]], 3, MONDAY)
    with pytest.raises(TypeInputError, match="orders row 2 due day is blank"):
        quotelib.load_by_week([*orders, ["Fox", True, "", 4]], [[1, *WEEK]], MONDAY, 2)
    with pytest.raises(TypeInputError, match="holidays row 2 is 'Christmas'; it must be a date"):
        quotelib.done_day(MONDAY, 4, [[1, *WEEK]], [[MONDAY], ["Christmas"]])
    with pytest.raises(LookupMiss, match="rule is 'shortest'; it must be one of due day, fewest late"):
        quotelib.due_sequence(orders, [[1, *WEEK]], 1, MONDAY, None, "shortest")
    with pytest.raises(NoSolution, match="a week without hours"):
        quotelib.promise_day([[4]], orders, [[1, 0, 0, 0, 0, 0, 0, 0]], MONDAY)
    with pytest.raises(RangeError, match="calendar is '2 rows'; it must be one row"):
        quotelib.done_day(MONDAY, 4, [[1, *WEEK], [1, *WEEK]])


@pytest.mark.parametrize("seed", range(12))
def test_a_shop_short_of_hours_is_planned_all_the_same(seed: int) -> None:
    """Many orders of the same few days, more than there are hours for, through two machines each."""
    draw = random.Random(seed)
    shop = Shop([WorkCentre(WorkCalendar(WEEK, (), MONDAY)) for _ in range(2)], MONDAY)
    book = [
        Order.of_hours(f"O{n}", MONDAY + draw.randrange(1, 7), [draw.choice([2, 5, 9]), draw.choice([2, 5, 9])])
        for n in range(9)
    ]
    plan = shop.plan(book)
    check_plan(plan, shop, book)
    assert any(each.late_days for each in plan.finished)
    day, after = shop.first_day(book, Order.of_hours("new", MONDAY, [6, 4]))
    assert after.finished[-1].day <= day


def test_where_hours_are_short_promised_orders_go_first() -> None:
    shop = Shop([WorkCentre(WorkCalendar(WEEK, (), MONDAY))], MONDAY)
    for_stock = Order.of_hours("stock", MONDAY, [8], promised=False)
    promised = Order.of_hours("promised", MONDAY + 1, [12])
    assert [each.day for each in shop.plan([for_stock, promised]).finished] == [MONDAY + 2, MONDAY + 1]


def test_what_a_promised_order_waits_for_is_kept_free_before() -> None:
    """Elk is done on Thursday only if it is begun on Monday: 8 hours, two days of drying, 8 hours."""
    shop = Shop([WorkCentre(WorkCalendar(WEEK, (), MONDAY)) for _ in range(2)], MONDAY)
    elk = Order.of_hours("Elk", MONDAY + 3, [8, 8], [48, 0])
    day, plan = shop.first_day([elk], Order.of_hours("new", MONDAY, [8]))
    assert day == MONDAY + 1
    assert [each.day for each in plan.finished] == [MONDAY + 3, MONDAY + 1]
