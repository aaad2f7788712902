"""What the charts of the sheets share: title, grid, and series that are told apart without colour."""

from typing import Any

from quotelib.hosts.workbook.styles import INK, PINE

SCATTER = {"type": "scatter", "subtype": "straight_with_markers"}

GRID: dict[str, Any] = {"visible": True, "line": {"color": "#D8DEDB", "width": 0.5}}


def chart_of(workbook: Any, kind: dict[str, str], title: str, size: tuple[int, int], legend: bool = True) -> Any:
    """An XlsxWriter chart with its title, its size in pixels, and a legend below or none."""
    chart = workbook.add_chart(kind)
    chart.set_title({"name": title, "name_font": {"size": 12, "color": PINE}})
    chart.set_legend({"position": "bottom"} if legend else {"none": True})
    chart.set_size({"width": size[0], "height": size[1]})
    return chart


def series(sheet: str, name: Any, rows: tuple[int, int], across: int, up: int) -> dict[str, Any]:
    """A series between two rows of a sheet, from the columns `across` and `up`; `name` is words or the row of a heading."""
    first, last = rows
    return {
        "name": [sheet, name, up] if isinstance(name, int) else name,
        "categories": [sheet, first, across, last, across],
        "values": [sheet, first, up, last, up],
    }


def line(dash: str = "solid", mark: str = "circle", size: int = 7) -> dict[str, Any]:
    """The look of a line, told from others by its dash and its marks."""
    return {
        "line": {"color": INK, "width": 1.75, "dash_type": dash},
        "marker": {"type": mark, "size": size, "border": {"color": INK}, "fill": {"color": "#FFFFFF"}},
    }


BARS: dict[str, Any] = {"fill": {"color": PINE}, "border": {"color": INK}, "gap": 60}
"""The look of bars of one series."""
