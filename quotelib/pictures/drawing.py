"""What every picture is drawn with: boxes, words, and fills that stay apart in black and white."""

from collections.abc import Sequence
from html import escape

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


def drawing(title: str, x: float, y: float, width: float, height: float, shapes: Sequence[str], scale: float = 1.0) -> str:
    """The whole picture: its title, white paper, the patterns of the fills and the shapes."""
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


def box(x: float, y: float, w: float, h: float, name: str, fill: str, line: float, dashes: str = "", told: str = "") -> str:
    """A box of a class, with what it tells when pointed at."""
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    box = (
        f'<rect class="{name}" x="{x:.4f}" y="{y:.4f}" width="{w:.4f}" height="{h:.4f}"'
        f' fill="{fill}" stroke="#000000" stroke-width="{line:.4g}"{dashed}'
    )
    return f"{box}><title>{escape(told)}</title></rect>" if told else f"{box}/>"


def text(x: float, y: float, words: str, size: float, anchor: str = "start", weight: str = "normal") -> str:
    """Words at a place."""
    place = f'x="{x:.4f}" y="{y:.4f}" font-size="{size:.4g}" text-anchor="{anchor}" font-weight="{weight}"'
    return f"<text {place}>{escape(words)}</text>"


def plate(x: float, y: float, words: str, size: float, anchor: str) -> list[str]:
    """Words on a white plate, so that they can be read on any fill."""
    width = width_of(words, size) + 0.8
    left = x - width / 2 if anchor == "middle" else x - 0.4
    plate = f'<path fill="#ffffff" d="M{left:.4f} {y - size:.4f}h{width:.4f}v{size * 1.3:.4f}h{-width:.4f}z"/>'
    return [plate, text(x, y, words, size, anchor)]


def width_of(words: str, size: float) -> float:
    """How wide words come out, about. [mm]"""
    return len(words) * size * LETTER
