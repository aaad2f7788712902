"""The cheapest route over colours and run sizes, as a picture."""

import math
from collections.abc import Sequence

from quotelib.cases import Case
from quotelib.chapters.curve import cheapest_stretches
from quotelib.errors import NoSolution, RangeError
from quotelib.pictures.drawing import FILLS, box, drawing, plate, text, width_of
from quotelib.routes import TITLES

MAP_WIDTH = 230.0
BAND = 15.0
LEFT = 26.0
TOP = 24.0
NOTE = "A number is the first run of a new route.  The ring is the job as ordered.  Point at a stretch for its exact runs."


def route_map_svg(case: Case, colours: Sequence[int], runs: tuple[int, int]) -> str:
    """The cheapest route at every run size from the first to the last of `runs`, a band for each number of colours.

    The bands are cut at the exact change-over runs; the axis of run sizes goes by ratio.  A stretch is of class "stretch"
    and names its route, its first and its last run in its own title.  Where the job itself lies, there is a ring.
    """
    first, last = runs
    if not 1 <= first < last:
        raise RangeError("runs", f"{first} to {last}", "they must be a first run of 1 or more and a larger last run")
    if not colours:
        raise RangeError("colours", "an empty list", "it must hold one number of colours at least")
    places = {key: place for place, key in enumerate(TITLES)}

    def across(run: float) -> float:
        return LEFT + MAP_WIDTH * math.log(run / first) / math.log((last + 1) / first)

    bottom = TOP + BAND * len(colours)
    bands: list[str] = []
    labels: list[str] = []
    used: set[str] = set()
    for row, count in enumerate(colours):
        y = TOP + BAND * row
        bands.append(text(LEFT - 3, y + BAND / 2 + 1.4, f"{count:g}", 4, "end"))
        try:
            curves = case.changed("colours", float(count)).curves()
        except NoSolution:
            bands.append(box(LEFT, y, MAP_WIDTH, BAND, "none", "#ffffff", 0.25, "1 1"))
            labels.append(text(LEFT + MAP_WIDTH / 2, y + BAND / 2 + 1.2, "no route prints it", 3.4, "middle"))
            continue
        keys = list(curves)
        number_rows = [LEFT, LEFT]  # how far each row of change-over runs is written, the lower one first
        for start, end, cheapest in cheapest_stretches(list(curves.values()), first, last):
            key = keys[cheapest]
            used.add(key)
            left, right = across(start), across(end + 1)
            told = f"{TITLES[key]}: {count:g} colours, runs of {start} to {end}"
            bands.append(box(left, y, right - left, BAND, "stretch", FILLS[places[key]], 0.25, told=told))
            if width_of(TITLES[key], 3.4) + 3 < right - left:
                labels += plate((left + right) / 2, y + 4.4, TITLES[key], 3.4, "middle")
            end_of_number = left + width_of(str(start), 2.8) + 1.6
            free = [place for place, taken in enumerate(number_rows) if taken <= left]
            if start > first and free and end_of_number < LEFT + MAP_WIDTH:
                labels += plate(left + 0.7, y + BAND - 1.4 - 3.9 * free[0], str(start), 2.8, "start")
                number_rows[free[0]] = end_of_number
    ticks = [
        run for power in range(len(str(last))) for run in (10**power, 2 * 10**power, 5 * 10**power) if first <= run <= last
    ]
    for run in ticks:
        x = across(run)
        bands.append(f'<path d="M{x:.4f} {bottom:.4f}v2" stroke="#000000" stroke-width="0.3"/>')
        labels.append(text(x, bottom + 6, str(run), 3.4, "middle"))
    job = case.job
    if job.colours in colours and first <= job.good_pieces <= last:
        x, y = across(job.good_pieces), TOP + BAND * (list(colours).index(int(job.colours)) + 0.5)
        labels.append(
            f'<circle class="job" cx="{x:.4f}" cy="{y:.4f}" r="1.8" fill="#ffffff" stroke="#000000" stroke-width="0.5"/>'
        )
        labels.append(f'<circle cx="{x:.4f}" cy="{y:.4f}" r="0.7"/>')
    legend: list[str] = []
    x = LEFT
    for key in (key for key in TITLES if key in used):
        legend.append(box(x, bottom + 17, 9, 5.5, "key", FILLS[places[key]], 0.25))
        legend.append(text(x + 11, bottom + 21, TITLES[key], 3.6))
        x += 18 + width_of(TITLES[key], 3.6)
    title = f"Cheapest route for {job.design} on {job.item}"
    heads = [
        text(LEFT, 9, title, 6, weight="bold"),
        text(LEFT, 15.5, NOTE, 3.4),
        text(LEFT - 3, TOP - 2.4, "Colours", 3.6, "end"),
        text(LEFT + MAP_WIDTH / 2, bottom + 12.5, "Good pieces in the run", 3.6, "middle"),
    ]
    return drawing(title, 0, 0, LEFT + MAP_WIDTH + 10, bottom + 27, heads + bands + labels + legend)
