"""Pictures as SVG in millimetres, readable in black and white, of plain shapes that any browser or drawing tool shows."""

from quotelib.pictures.route_map import route_map_svg
from quotelib.pictures.sheet_layout import sheet_layout_svg

__all__ = ["route_map_svg", "sheet_layout_svg"]
