"""Pictures as SVG, readable in black and white: the layout of a sheet, and a map of the cheapest route.

Both are drawn in millimetres, with plain shapes that any browser or drawing program shows.
"""

import math
from collections.abc import Sequence
from html import escape

from quotelib.cases import Case
from quotelib.curve import cheapest_stretches
from quotelib.errors import NoSolution, RangeError
from quotelib.routes import TITLES
from quotelib.transfers import layout

FILLS = ("#ffffff", "#d4d4d4", "url(#rising)", "url(#dots)", "url(#falling)", "#8a8a8a", "url(#upright)", "url(#crossed)")
"""Fills that stay apart in black and white; each route has the one at its place in the list of routes."""

PATTERNS = """<defs>
<pattern id="rising" width="3" height="3" patternUnits="userSpaceOnUse" patternTransform="scale(SCALE) rotate(-45)">
<path fill="#ffffff" d="M0 0h3v3h-3z"/><path d="M0 1.5h3" stroke="#000000" stroke-width="0.35"/></pattern>
<pattern id="falling" width="1.6" height="1.6" patternUnits="userSpaceOnUse" patternTransform="scale(SCALE) rotate(45)">
<path fill="#ffffff" d="M0 0h1.6v1.6h-1.6z"/><path d="M0 0.8h1.6" stroke="#000000" stroke-width="0.6"/></pattern>
<pattern id="upright" width="2" height="2" patternUnits="userSpaceOnUse" patternTransform="scale(SCALE)">
<path fill="#ffffff" d="M0 0h2v2h-2z"/><path d="M1 0v2" stroke="#000000" stroke-width="0.3"/></pattern>
<pattern id="crossed" width="2.4" height="2.4" patternUnits="userSpaceOnUse" patternTransform="scale(SCALE)">
<path fill="#ffffff" d="M0 0h2.4v2.4h-2.4z"/><path d="M1.2 0v2.4M0 1.2h2.4" stroke="#000000" stroke-width="0.3"/></pattern>
<pattern id="dots" width="2.4" height="2.4" patternUnits="userSpaceOnUse" patternTransform="scale(SCALE)">
<path fill="#ffffff" d="M0 0h2.4v2.4h-2.4z"/><circle cx="0.8" cy="0.8" r="0.45"/></pattern>
</defs>"""

LETTER = 0.56
"""Width of a letter of plain sans type as a share of its height, on average; from memory."""

MAP_WIDTH = 230.0
BAND = 15.0
LEFT = 26.0
TOP = 24.0
NOTE = "A number is the first run of a new route.  The ring is the job as ordered.  Point at a stretch for its exact runs."


def sheet_layout_svg(
    sheet_w_mm: float,
    sheet_h_mm: float,
    image_w_mm: float,
    image_h_mm: float,
    gutter_mm: float = 0.0,
    margin_mm: float = 0.0,
    gripper_mm: float = 0.0,
    turned: bool = True,
    straight_cuts: bool = False,
) -> str:
    """The sheet with its images as UP_PER_SHEET counts them: true to scale, the gripper edge below.

    Images are of class "image", those turned by a quarter of class "image turned" and shaded.  In each an arrow points to
    its top.
    """
    images = layout(sheet_w_mm, sheet_h_mm, image_w_mm, image_h_mm, gutter_mm, margin_mm, gripper_mm, turned, straight_cuts)
    unit = max(sheet_w_mm, sheet_h_mm) / 100
    line = min(unit * 0.18, min(image_w_mm, image_h_mm) / 60)
    count = len(images)
    quarter = sum(image.turned for image in images)
    title = f"{count} {'image' if count == 1 else 'images'} of {image_w_mm:.12g} x {image_h_mm:.12g} mm on a sheet"
    facts = [f"Sheet {sheet_w_mm:.12g} x {sheet_h_mm:.12g} mm"]
    facts += [
        f"{name} {size:.12g} mm"
        for name, size in (("gutter", gutter_mm), ("margin", margin_mm), ("gripper", gripper_mm))
        if size
    ]
    key = ["Gripper edge hatched"] if gripper_mm else []
    key += [f"{quarter} turned by a quarter, shaded"] if quarter else []
    shapes = [
        _text(0, -unit * 5.4, title, unit * 3, weight="bold"),
        _text(0, -unit * 1.8, ", ".join(facts), unit * 2),
        _text(0, sheet_h_mm + unit * 3.2, "; ".join(key), unit * 2),
        _box(0, 0, sheet_w_mm, sheet_h_mm, "sheet", "#ffffff", line * 1.6),
    ]
    if gripper_mm:
        shapes.append(_box(0, sheet_h_mm - gripper_mm, sheet_w_mm, gripper_mm, "gripper", "url(#rising)", line))
    if margin_mm:
        room_h = sheet_h_mm - 2 * margin_mm - gripper_mm
        shapes.append(
            _box(margin_mm, margin_mm, sheet_w_mm - 2 * margin_mm, room_h, "room", "none", line, f"{unit:.4g} {unit:.4g}")
        )
    for number, (x, up, w, h, is_turned) in enumerate(images, 1):
        y = sheet_h_mm - up - h
        fill = "#dcdcdc" if is_turned else "#ffffff"
        shapes.append(_box(x, y, w, h, "image turned" if is_turned else "image", fill, line))
        size = min(unit * 3, h * 0.4, w * (0.5 if is_turned else 0.8) / (LETTER * len(str(number))))
        shapes.append(_text(x + w / 2, y + h / 2 + size * 0.36, str(number), size, "middle"))
        tip = min(w, h) * 0.12
        shapes.append(
            f'<path d="M{x + tip:.4f} {y + h / 2:.4f}l{tip:.4f} {-tip / 2:.4f}v{tip:.4f}z"/>'
            if is_turned
            else f'<path d="M{x + w / 2:.4f} {y + tip:.4f}l{-tip / 2:.4f} {tip:.4f}h{tip:.4f}z"/>'
        )
    edge = unit * 3
    width = max(sheet_w_mm, _width(title, unit * 3.3), _width(", ".join(facts), unit * 2)) + 2 * edge
    return _drawing(title, -edge, -unit * 10, width, sheet_h_mm + unit * 15, shapes, unit / 4)


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
        bands.append(_text(LEFT - 3, y + BAND / 2 + 1.4, f"{count:g}", 4, "end"))
        try:
            curves = case.changed("colours", float(count)).curves()
        except NoSolution:
            bands.append(_box(LEFT, y, MAP_WIDTH, BAND, "none", "#ffffff", 0.25, "1 1"))
            labels.append(_text(LEFT + MAP_WIDTH / 2, y + BAND / 2 + 1.2, "no route prints it", 3.4, "middle"))
            continue
        keys = list(curves)
        number_rows = [LEFT, LEFT]  # how far each row of change-over runs is written, the lower one first
        for start, end, cheapest in cheapest_stretches(list(curves.values()), first, last):
            key = keys[cheapest]
            used.add(key)
            left, right = across(start), across(end + 1)
            told = f"{TITLES[key]}: {count:g} colours, runs of {start} to {end}"
            bands.append(_box(left, y, right - left, BAND, "stretch", FILLS[places[key]], 0.25, told=told))
            if _width(TITLES[key], 3.4) + 3 < right - left:
                labels += _plate((left + right) / 2, y + 4.4, TITLES[key], 3.4, "middle")
            end_of_number = left + _width(str(start), 2.8) + 1.6
            free = [place for place, taken in enumerate(number_rows) if taken <= left]
            if start > first and free and end_of_number < LEFT + MAP_WIDTH:
                labels += _plate(left + 0.7, y + BAND - 1.4 - 3.9 * free[0], str(start), 2.8, "start")
                number_rows[free[0]] = end_of_number
    ticks = [
        run for power in range(len(str(last))) for run in (10**power, 2 * 10**power, 5 * 10**power) if first <= run <= last
    ]
    for run in ticks:
        x = across(run)
        bands.append(f'<path d="M{x:.4f} {bottom:.4f}v2" stroke="#000000" stroke-width="0.3"/>')
        labels.append(_text(x, bottom + 6, str(run), 3.4, "middle"))
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
        legend.append(_box(x, bottom + 17, 9, 5.5, "key", FILLS[places[key]], 0.25))
        legend.append(_text(x + 11, bottom + 21, TITLES[key], 3.6))
        x += 18 + _width(TITLES[key], 3.6)
    title = f"Cheapest route for {job.design} on {job.item}"
    heads = [
        _text(LEFT, 9, title, 6, weight="bold"),
        _text(LEFT, 15.5, NOTE, 3.4),
        _text(LEFT - 3, TOP - 2.4, "Colours", 3.6, "end"),
        _text(LEFT + MAP_WIDTH / 2, bottom + 12.5, "Good pieces in the run", 3.6, "middle"),
    ]
    return _drawing(title, 0, 0, LEFT + MAP_WIDTH + 10, bottom + 27, heads + bands + labels + legend)


def _drawing(title: str, x: float, y: float, width: float, height: float, shapes: Sequence[str], scale: float = 1.0) -> str:
    frame = f"{x:.6g} {y:.6g} {width:.6g} {height:.6g}"
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.6g}mm" height="{height:.6g}mm" viewBox="{frame}"'
            ' font-family="sans-serif">',
            f"<title>{escape(title)}</title>",
            PATTERNS.replace("SCALE", f"{scale:.4g}"),
            f'<path class="paper" fill="#ffffff" d="M{x:.6g} {y:.6g}h{width:.6g}v{height:.6g}h{-width:.6g}z"/>',
            *shapes,
            "</svg>\n",
        ]
    )


def _box(
    x: float, y: float, w: float, h: float, name: str, fill: str, line: float, dashes: str = "", told: str = ""
) -> str:
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    box = (
        f'<rect class="{name}" x="{x:.4f}" y="{y:.4f}" width="{w:.4f}" height="{h:.4f}"'
        f' fill="{fill}" stroke="#000000" stroke-width="{line:.4g}"{dashed}'
    )
    return f"{box}><title>{escape(told)}</title></rect>" if told else f"{box}/>"


def _text(x: float, y: float, words: str, size: float, anchor: str = "start", weight: str = "normal") -> str:
    place = f'x="{x:.4f}" y="{y:.4f}" font-size="{size:.4g}" text-anchor="{anchor}" font-weight="{weight}"'
    return f"<text {place}>{escape(words)}</text>"


def _plate(x: float, y: float, words: str, size: float, anchor: str) -> list[str]:
    """Words on a white plate, so that they can be read on any fill."""
    width = _width(words, size) + 0.8
    left = x - width / 2 if anchor == "middle" else x - 0.4
    plate = f'<path fill="#ffffff" d="M{left:.4f} {y - size:.4f}h{width:.4f}v{size * 1.3:.4f}h{-width:.4f}z"/>'
    return [plate, _text(x, y, words, size, anchor)]


def _width(words: str, size: float) -> float:
    return len(words) * size * LETTER
