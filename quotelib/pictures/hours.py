"""The load of the work centres by week, and the sequence of the orders at them, as pictures."""

import datetime

from quotelib.chapters.loading import CLOCK_DAY
from quotelib.kinds import day_of
from quotelib.pictures.drawing import FILLS, box, drawing, plate, text, width_of
from quotelib.routes import CENTRES
from quotelib.season.schedule import Schedule

LEFT = 40.0
TOP = 26.0
WEEK_WIDTH = 26.0
BAR = 3.4
"""Width of the bar of one week and work centre."""
LOAD_HEIGHT = 90.0
SEQUENCE_WIDTH = 240.0
LANE = 8.0
LOAD_NOTE = "The hours of the orders due in a week, as a share of the hours there are.  Point at a bar for its hours."
SEQUENCE_NOTE = "An order at a machine, from its start to its end.  Shaded: it misses its day.  Grey: no work."


def load_svg(schedule: Schedule) -> str:
    """Utilisation of every work centre by week: a group of bars for each week, a line where all hours are taken.

    A bar is of class "bar" and tells its work centre, week and hours when pointed at.
    """
    shares = schedule.load("utilisation")
    load, there = (schedule.load(figure).to_numpy(dtype=float).tolist() for figure in ("load", "hours"))
    names = list(CENTRES.values())
    places = [place for place in range(len(names)) if any(row[place] for row in load)]
    first_monday: datetime.date = shares.index[0]
    numbers = [[share if share != "" else 0.0 for share in row] for row in shares.to_numpy().tolist()]
    most = max(1.25, *(share for row in numbers for share in row))
    group = BAR * len(places) + 6
    bottom, width = TOP + LOAD_HEIGHT, max(group, WEEK_WIDTH)

    def height(share: float) -> float:
        return LOAD_HEIGHT * share / most

    shapes: list[str] = []
    step = 0.25 if most <= 2 else 0.5 if most <= 4 else 1.0
    for tick in range(int(most / step) + 1):
        y = bottom - height(tick * step)
        shapes.append(f'<path d="M{LEFT:.4f} {y:.4f}h{width * len(numbers):.4f}" stroke="#b8b8b8" stroke-width="0.2"/>')
        shapes.append(text(LEFT - 2, y + 1.2, f"{tick * step:.0%}", 3.4, "end"))
    for week, row in enumerate(numbers):
        left = LEFT + width * week
        first = day_of(schedule.today) if week == 0 else first_monday + datetime.timedelta(weeks=week)
        shapes.append(text(left + width / 2, bottom + 5, f"{first:%d %b}", 3.4, "middle"))
        for turn, place in enumerate(places):
            hours = f"{load[week][place]:.1f} of {there[week][place]:.1f} hours"
            told = f"{names[place]}, week of {first}: {hours}"
            tall = height(row[place])
            shapes.append(box(left + 3 + BAR * turn, bottom - tall, BAR, tall, "bar", FILLS[place], 0.25, told=told))
    full = f"M{LEFT:.4f} {bottom - height(1.0):.4f}h{width * len(numbers):.4f}"
    shapes.append(f'<path class="full" d="{full}" stroke="#000000" stroke-width="0.6"/>')
    legend: list[str] = []
    x = LEFT
    for place in places:
        legend.append(box(x, bottom + 11, 7, 4.5, "key", FILLS[place], 0.25))
        legend.append(text(x + 9, bottom + 14.4, names[place], 3.4))
        x += 14 + width_of(names[place], 3.4)
    title = "Load by week"
    heads = [text(LEFT, 9, title, 6, weight="bold"), text(LEFT, 15.5, LOAD_NOTE, 3.2)]
    right = max(LEFT + width * len(numbers), x, LEFT + width_of(LOAD_NOTE, 3.2)) + 8
    return drawing(title, 0, 0, right, bottom + 21, heads + shapes + legend)


def sequence_svg(schedule: Schedule) -> str:
    """The plan: a lane for each machine that has work, the orders on it over the days.

    A bar is of class "order" or "order late" and tells its order, work centre and days when pointed at.
    """
    plan, shop = schedule.plan, schedule.calendar.shop(schedule.today)
    lanes = sorted({(each.centre, each.machine) for each in plan.placed})
    first = schedule.today
    days = max((int(each.ends // CLOCK_DAY) for each in plan.placed), default=first) - first + 1
    day_width = SEQUENCE_WIDTH / days

    def across(moment: float, centre: int) -> float:
        """A working day fills its column from the opening to the close of that work centre."""
        day, hour = divmod(moment, CLOCK_DAY)
        open_hours = shop.centres[centre].calendar.hours_on(int(day)) or CLOCK_DAY
        return LEFT + day_width * (day - first + min(hour / open_hours, 1.0))

    bottom = TOP + LANE * len(lanes)
    shapes: list[str] = []
    for day in range(first, first + days):
        x = LEFT + day_width * (day - first)
        date = day_of(day)
        if not any(centre.calendar.hours_on(day) for centre in shop.centres):
            closed = f"M{x:.4f} {TOP:.4f}h{day_width:.4f}V{bottom:.4f}h{-day_width:.4f}z"
            shapes.append(f'<path fill="#e6e6e6" d="{closed}"/>')
        if date.weekday() == 0 or day == first:
            line = f"M{x:.4f} {TOP:.4f}v{LANE * len(lanes) + 2:.4f}"
            shapes.append(f'<path d="{line}" stroke="#000000" stroke-width="0.2"/>')
            shapes.append(text(x, bottom + 6, f"{date:%d %b}", 3.2))
    for row, (centre, machine) in enumerate(lanes):
        name = list(CENTRES.values())[centre]
        if shop.centres[centre].machines > 1:
            name += f" {machine + 1}"
        shapes.append(text(LEFT - 2, TOP + LANE * row + LANE * 0.65, name, 3.4, "end"))
    labels: list[str] = []
    for each in plan.placed:
        order, finished = schedule.orders[each.order], plan.finished[each.order]
        left, right = across(each.begins, each.centre), across(each.ends, each.centre)
        y = TOP + LANE * lanes.index((each.centre, each.machine)) + 1
        begins, ends = (day_of(int(moment // CLOCK_DAY)) for moment in (each.begins, each.ends))
        told = f"{order.order.order} {order.order.design}, {list(CENTRES.values())[each.centre]}: {_span(begins, ends)}"
        told += f"; due {day_of(order.order.due)}" + (f", {finished.late_days} days late" if finished.late_days else "")
        late = bool(finished.late_days)
        fill = "url(#rising)" if late else "#ffffff"
        shapes.append(box(left, y, right - left, LANE - 2, "order late" if late else "order", fill, 0.25, told=told))
        if width_of(order.order.order, 2.6) + 1.4 < right - left:
            labels += plate((left + right) / 2, y + LANE / 2, order.order.order, 2.6, "middle")
    title = "Sequence of the orders"
    heads = [text(LEFT, 9, title, 6, weight="bold"), text(LEFT, 15.5, SEQUENCE_NOTE, 3.2)]
    return drawing(title, 0, 0, LEFT + SEQUENCE_WIDTH + 10, bottom + 12, heads + shapes + labels)


def _span(first: datetime.date, last: datetime.date) -> str:
    return str(first) if first == last else f"{first} to {last}"
