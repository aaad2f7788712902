"""What moved, as a picture: the largest changes of price as bars, and each open quote's margin before and after."""

import pandas as pd

from quotelib.pictures.drawing import box, drawing, text, width_of

MOST_BARS = 16
LEFT = 62.0
WIDTH = 150.0
ROW = 8.0


def moved_svg(prices: pd.DataFrame, quotes: pd.DataFrame, words: str) -> str:
    """Bars of the prices that changed most; under them, for each quote, a line from its old to its new margin.

    A price that rose is of class "dearer" and hatched, one that fell "cheaper" and dark.  In a quote's line the open ring
    is the margin before, the full one the one after, the upright stroke the floor; a quote below its floor is of class
    "below", its words in bold.
    """
    changed = prices[prices["Change"].notna()].head(MOST_BARS)
    shapes = [text(LEFT, 9, "What moved", 6, weight="bold"), text(LEFT, 15.5, words, 3.4)]
    y = _bars(shapes, changed, 26.0)
    left_out = len(prices) - len(changed)
    if left_out:
        shapes.append(text(LEFT, y + 3, f"{left_out} more: new, ended, or smaller changes", 3.2))
        y += 5
    y = _margins(shapes, quotes, y + 12)
    width = max(LEFT + WIDTH + 24, LEFT + width_of(words, 3.4) + 6)
    return drawing("What moved", 0, 0, width, y + 10, shapes)


def _bars(shapes: list[str], changed: pd.DataFrame, y: float) -> float:
    """The bars; gives where they end."""
    shapes.append(text(LEFT - 3, y - 4, "Change of price", 3.8, "end", "bold"))
    if changed.empty:
        shapes.append(text(LEFT, y + 3, "no price changed", 3.6))
        return y + ROW
    falls, rises = float(min(0.0, changed["Change"].min())), float(max(0.0, changed["Change"].max()))
    scale = WIDTH / (rises - falls)
    zero = LEFT - falls * scale
    columns = (changed[name].tolist() for name in ("Code", "From quantity", "Change"))
    for code, start, change in zip(*columns, strict=True):
        label = code if not start else f"{code} from {start:,.0f}"
        shapes.append(text(LEFT - 3, y + ROW * 0.6, label, 3.0, "end"))
        long = abs(change) * scale
        left = zero if change > 0 else zero - long
        name, fill = ("dearer", "url(#rising)") if change > 0 else ("cheaper", "#555555")
        shapes.append(box(left, y + 1, long, ROW - 2.4, name, fill, 0.25, told=f"{label}: {change:+.1%}"))
        shapes.append(text(zero + max(change * scale, 0) + 1.5, y + ROW * 0.6, f"{change:+.1%}", 3.0))
        y += ROW
    shapes.append(f'<path d="M{zero:.4f} {y - ROW * len(changed):.4f}V{y:.4f}" stroke="#000000" stroke-width="0.4"/>')
    return y


def _margins(shapes: list[str], quotes: pd.DataFrame, y: float) -> float:
    """The quotes' margins; gives where they end."""
    shapes.append(text(LEFT - 3, y, "Margin of open quotes", 3.8, "end", "bold"))
    shapes.append(text(LEFT, y, "open ring: before   full: after   stroke: the floor", 3.2))
    known = quotes[quotes["Old margin"].notna() & quotes["New margin"].notna()]
    if known.empty:
        shapes.append(text(LEFT, y + ROW, "none can be worked out", 3.6))
        return y + ROW
    columns = ["Old margin", "New margin", "Floor"]
    least, most = float(min(0.0, known[columns].min().min())), float(known[columns].max().max())

    def across(margin: float) -> float:
        return LEFT + WIDTH * (margin - least) / (most - least)

    top = y + 3
    for number, design, old, new, floor in known[["Number", "Design", *columns]].itertuples(index=False):
        y += ROW
        below = new < floor
        weight = "bold" if below else "normal"
        words = f"{number} {design}"
        told = f"{words}: {old:.1%} to {new:.1%}, floor {floor:.1%}"
        shapes.append(text(LEFT - 3, y + 1.1, words, 3.0, "end", weight))
        shapes.append(
            f'<g class="{"below" if below else "above"}"><title>{told}</title>'
            f'<path d="M{across(old):.4f} {y:.4f}H{across(new):.4f}" stroke="#000000" stroke-width="0.6"/>'
            f'<path d="M{across(floor):.4f} {y - 2.6:.4f}v5.2" stroke="#000000" stroke-width="0.5"/>'
            f'<circle cx="{across(old):.4f}" cy="{y:.4f}" r="1.5" fill="#ffffff" stroke="#000000" stroke-width="0.4"/>'
            f'<circle cx="{across(new):.4f}" cy="{y:.4f}" r="1.5" fill="#000000"/></g>'
        )
        shapes.append(text(LEFT + WIDTH + 3, y + 1.1, f"{new:.1%}", 3.0, "start", weight))
    bottom = y + 4
    for tenths in range(round(least * 10), round(most * 10) + 1):
        x = across(tenths / 10)
        if LEFT <= x <= LEFT + WIDTH:
            shapes.append(f'<path d="M{x:.4f} {top:.4f}V{bottom:.4f}" stroke="#999999" stroke-width="0.15"/>')
            shapes.append(text(x, bottom + 4, f"{tenths / 10:.0%}", 3.0, "middle"))
    return bottom + 5
