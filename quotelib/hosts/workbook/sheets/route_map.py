"""The cheapest route over colours and runs."""

from typing import Any

from quotelib.chapters.choice import route_map
from quotelib.formula import Name
from quotelib.hosts.workbook.layout import WHOLE_JOB, area, page
from quotelib.hosts.workbook.model import Sheet, address
from quotelib.hosts.workbook.styles import INK
from quotelib.routes import ROUTES

MAP_COLOURS = tuple(range(1, 9))
MAP_RUNS = (25, 50, 100, 200, 300, 500, 700, 1000, 2000, 5000)


def fill(sheet: Sheet) -> None:
    """Put the map of cheapest routes, and what a wrong choice loses, on the sheet."""
    sheet.put(0, 0, "Route map", "title")
    sheet.put(1, 0, "The cheapest route for the job on the sheet Job, at other numbers of colours and other runs.", "note")
    tables = (
        ("Cheapest route", "cheapest", "map text"),
        ("How much more the next cheapest costs for a good piece: the least that a wrong choice loses", "next", "map rate"),
    )
    row, width, height = 3, len(MAP_RUNS), len(MAP_COLOURS)
    first, last = (row + 2, 1), (row + 1 + height, width)
    counts, runs = area((first[0], 0), (last[0], 0)), area((first[0] - 1, 1), (first[0] - 1, width))
    for title, figure, style in tables:
        sheet.put(row, 0, title, "heading")
        sheet.put(row + 1, 0, "Colours \\ run", "columns")
        given = figure == "cheapest"
        for across, run in enumerate(MAP_RUNS, 1):
            content = run if given else Name(address(first[0] - 1, across))
            sheet.put(row + 1, across, content, "input count" if given else "total count")
        for down, count in enumerate(MAP_COLOURS, row + 2):
            content = count if given else Name(address(first[0] + down - row - 2, 0))
            sheet.put(down, 0, content, "input count" if given else "total count")
        map_of: Any = route_map
        sheet.put_array(row + 2, 1, map_of(counts, runs, *WHOLE_JOB, figure), width, style, height)
        row += height + 4
    sheet.put(row, 0, "Type other colours and runs into the framed cells of the first table.", "note")

    def finish(workbook: Any, written: Any) -> None:
        rule = {"validate": "integer", "criteria": "between", "minimum": 1}
        written.data_validation(first[0] - 1, 1, first[0] - 1, width, rule | {"maximum": 10**9})
        written.data_validation(first[0], 0, last[0], 0, rule | {"maximum": 24})
        for route, look in zip(ROUTES, MAP_LOOKS, strict=True):
            shade = {"type": "cell", "criteria": "==", "value": f'"{route.title}"', "format": workbook.add_format(look)}
            written.conditional_format(*first, *last, shade)

    sheet.finish.append(finish)
    sheet.finish.append(page((16, *(17 for _ in MAP_RUNS)), frozen=(3, 1), heads=None))


MAP_LOOKS = (
    {"bg_color": "#FFFFFF", "font_color": INK},
    {"bg_color": "#DCE6E1", "font_color": INK},
    {"bg_color": "#A9C0B5", "font_color": INK, "italic": True},
    {"bg_color": "#5E8475", "font_color": "#FFFFFF"},
    {"bg_color": "#24302B", "font_color": "#FFFFFF", "bold": True},
)
"""Shades of one colour for the routes, told apart in black and white too; the words are in the cells."""
