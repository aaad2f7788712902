"""Transfers: sheets of decals printed in passes, cut apart and pressed on one by one.

    passes     = colours + white layers + adhesive layers
    sheets     = transfers / images on a sheet, rounded up; more for running waste; and overs for each pass
    unit cost  = transfers used + pressing + warm-up, per good piece, + what spoiled pieces lose

Images lie on a sheet in one way round, or in both, as it holds more.
"""

from bisect import bisect_right
from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

from quotelib.elementwise import larger, largest, round_up
from quotelib.errors import RangeError, TypeInputError
from quotelib.kinds import (
    PIECES,
    UP,
    Colours,
    Count,
    Crew,
    Flag,
    GapMm,
    HourlyRate,
    Minutes,
    Mm,
    Money,
    Passes,
    Pieces,
    PiecesPerHour,
    PositiveMoney,
    Sheets,
    Up,
    Waste,
    WholePieces,
    Yield,
)
from quotelib.registry import sheet_function

STEPS = 720_720_000
"""Steps in the short side of an image: lengths are laid out in whole steps, so that they add up exactly.  All numbers up to
16 go into it, so that three short sides are one long side where they should be, whatever the scale."""

SLACK = 1000
"""Steps that a sheet may be short and still do: three images of a third of the sheet fit on it."""

MIXED_UP_TO = 300
"""Images on a sheet up to which every mixture of the two ways round by straight cuts is tried; beyond, one cut."""

PINWHEEL_UP_TO = 1500
"""Corners of the layout up to which pinwheels are tried as well, so that a cell never waits seconds for its answer."""


class Image(NamedTuple):
    """Where one image lies, from the lower left corner of the sheet, the gripper edge being the lower one [mm]."""

    x_mm: float
    y_mm: float
    w_mm: float
    h_mm: float
    turned: bool


class _Block(NamedTuple):
    """A plain grid of images on the sheet, its lower left corner in steps."""

    x: int
    y: int
    columns: int
    rows: int
    turned: bool


class _Layout(NamedTuple):
    """Blocks of images, with the step that their places are told in."""

    blocks: tuple[_Block, ...]
    image_w: int
    image_h: int
    step_mm: float


@sheet_function("Transfers", one_by_one=True)
def up_per_sheet(
    sheet_w_mm: Mm,
    sheet_h_mm: Mm,
    image_w_mm: Mm,
    image_h_mm: Mm,
    gutter_mm: GapMm = 0.0,
    margin_mm: GapMm = 0.0,
    gripper_mm: GapMm = 0.0,
    turned: Flag = True,
    straight_cuts: Flag = False,
) -> Up:
    """Images that fit on a sheet, laid one way round or both, whichever holds more.

    Parameters
    ----------
    sheet_w_mm : more than 0, up to 1e6 [mm]
        Width of the sheet, along the edge that the press grips.
    sheet_h_mm : more than 0, up to 1e6 [mm]
        Height of the sheet.
    image_w_mm : more than 0, up to 1e6 [mm]
        Width of one image, bleed included.
    image_h_mm : more than 0, up to 1e6 [mm]
        Height of one image, bleed included.
    gutter_mm : 0 to 1e6 [mm], 0 if left out
        Gap between neighbouring images, for cutting.
    margin_mm : 0 to 1e6 [mm], 0 if left out
        Unprinted edge on all four sides.
    gripper_mm : 0 to 1e6 [mm], 0 if left out
        Further unprinted edge, beyond the margin, where the press grips the sheet.
    turned : TRUE or FALSE, TRUE if left out
        TRUE lets images be turned by a quarter, all or some; FALSE keeps them upright.
    straight_cuts : TRUE or FALSE, FALSE if left out
        TRUE keeps to layouts that a guillotine takes apart by cuts from edge to edge; FALSE also tries others.

    Returns
    -------
    images on a sheet [images]
        Images on one sheet, never fewer than the better of the two plain grids.

    Notes
    -----
    Each way round alone; then both, over all layouts that straight cuts take apart strip by strip; then, unless
    straight_cuts and up to some sixty images, four such blocks round a fifth like a pinwheel.  For the odd sheet one image
    more is possible still.  Blades: cut with the guards on, by licensed practice and local codes.

    References
    ----------
    The packing of equal rectangles (pallet loading); five-block layouts: Bischoff and Dowsland, Journal of the Operational
    Research Society 33, 1982; from memory.

    Examples
    --------
    >>> up_per_sheet(700, 500, 120, 80, 4, 10, 12)
    29
    >>> up_per_sheet(700, 500, 120, 80, 4, 10, 12, False)
    25
    >>> up_per_sheet(700, 500, 720, 80)
    Traceback (most recent call last):
    quotelib.errors.RangeError: image_w_mm is 720; it must fit the 700 x 500 that margins and gripper leave [mm]
    """
    found = _layout(sheet_w_mm, sheet_h_mm, image_w_mm, image_h_mm, gutter_mm, margin_mm, gripper_mm, turned, straight_cuts)
    return sum(block.columns * block.rows for block in found.blocks)


def layout(
    sheet_w_mm: float,
    sheet_h_mm: float,
    image_w_mm: float,
    image_h_mm: float,
    gutter_mm: float = 0.0,
    margin_mm: float = 0.0,
    gripper_mm: float = 0.0,
    turned: bool = True,
    straight_cuts: bool = False,
) -> list[Image]:
    """The images that UP_PER_SHEET counts, each where it lies; what it refuses is refused here."""
    sizes = sheet_w_mm, sheet_h_mm, image_w_mm, image_h_mm, gutter_mm, margin_mm, gripper_mm
    up_per_sheet(*sizes, turned, straight_cuts)
    found = _layout(*sizes, turned, straight_cuts)
    images = []
    for block in found.blocks:
        w, h = (found.image_h, found.image_w) if block.turned else (found.image_w, found.image_h)
        w_mm, h_mm = (image_h_mm, image_w_mm) if block.turned else (image_w_mm, image_h_mm)
        for row in range(block.rows):
            for column in range(block.columns):
                x_mm = margin_mm + (block.x + column * w) * found.step_mm
                y_mm = margin_mm + gripper_mm + (block.y + row * h) * found.step_mm
                images.append(Image(x_mm, y_mm, w_mm, h_mm, block.turned))
    return images


@sheet_function("Transfers")
def sheets_for(
    transfers: Pieces, up_per_sheet: Up, overs_per_pass: Count = 0.0, passes: Passes = 1.0, running_waste: Waste = 0.0
) -> Sheets:
    """Whole sheets to print for a number of good transfers.

    Parameters
    ----------
    transfers : whole, 1 to 1e9 [pieces]
        Good transfers needed.
    up_per_sheet : whole, 1 to 1e5 [images]
        Images on one sheet, from UP_PER_SHEET.
    overs_per_pass : whole, 0 to 1e9, 0 if left out
        Sheets spoiled in getting one pass ready.
    passes : whole, 1 to 1000 [passes], 1 if left out
        Times each sheet goes through the press, from TRANSFER_PASSES.
    running_waste : 0 or more, less than 1 [fraction], 0 if left out
        Share of the sheets that are spoiled while the press runs, over all passes.

    Returns
    -------
    sheets [sheets]
        Sheets to start, a whole number.

    Notes
    -----
    Good sheets = transfers / images on a sheet, rounded up; sheets = good sheets / (1 - running waste), rounded up, + overs
    x passes.

    References
    ----------
    Make-ready in sheets, running waste as a share of the sheets run: American Printer, Determining your paper waste,
    January 1996.

    Examples
    --------
    >>> sheets_for(500, 26)
    20
    >>> sheets_for(500, 26, 3, 6, 0.04)
    39
    """
    good_sheets = round_up(transfers / up_per_sheet)
    return round_up(good_sheets / (1 - running_waste)) + overs_per_pass * passes


@sheet_function("Transfers")
def transfer_passes(colours: Colours, white_layers: Count = 1.0, adhesive_layers: Count = 1.0) -> Passes:
    """Times a sheet of transfers goes through the press.

    Parameters
    ----------
    colours : whole, 1 to 24 [colours]
        Colours of the design, white backing left out.
    white_layers : whole, 0 to 1e9, 1 if left out
        Passes of white behind the colours, so that they cover a dark piece.
    adhesive_layers : whole, 0 to 1e9, 1 if left out
        Passes of the adhesive that heat softens, last of all.

    Returns
    -------
    passes [passes]
        Passes of the press, a whole number.

    Notes
    -----
    Each pass needs its screen, its make-ready and its cure.  UV lamps harm eyes and skin: keep their shields closed, and
    follow the ink's safety data sheet and local codes.

    References
    ----------
    One pass for each layer is common practice, no source.

    Examples
    --------
    >>> transfer_passes(4)
    6
    >>> transfer_passes(4, 2, 1)
    7
    """
    return colours + white_layers + adhesive_layers


@sheet_function("Transfers", one_by_one=True)
def transfer_price(
    order_cost: PositiveMoney, transfers: Pieces, waste_share: Waste = 0.0, never_pressed: WholePieces = 0.0
) -> Money:
    """What one transfer costs that is really pressed, out of an order.

    Parameters
    ----------
    order_cost : more than 0, up to 1e12 [currency]
        The whole order: bought in, with surcharges and freight, or printed here.
    transfers : whole, 1 to 1e9 [pieces]
        Transfers in the order.
    waste_share : 0 or more, less than 1 [fraction], 0 if left out
        Share of them found bad, or spoiled in cutting and handling, before pressing.
    never_pressed : whole, 0 to 1e9 [pieces], 0 if left out
        Good transfers that will still lie in the drawer when the design is given up.

    Returns
    -------
    money [currency]
        Price of a transfer for TRANSFER_UNIT_COST, not rounded.

    Notes
    -----
    Order cost / (transfers x (1 - waste share) - never pressed).

    References
    ----------
    Derived: all of the order is paid by the transfers that are used.

    Examples
    --------
    >>> transfer_price(520, 1000)
    0.52
    >>> transfer_price(520, 1000, 0.02, 180)
    0.65
    """
    usable = transfers * (1 - waste_share)
    if never_pressed >= usable:
        raise RangeError(
            "never_pressed", never_pressed, f"it must be fewer than the {usable:.12g} usable transfers [pieces]"
        )
    return order_cost / (usable - never_pressed)


@sheet_function("Transfers")
def transfer_unit_cost(
    transfer_price: Money,
    press_pieces_per_hour: PiecesPerHour,
    hourly_rate: HourlyRate,
    crew: Crew = 1.0,
    press_yield: Yield = 1.0,
    warmup_minutes: Minutes = 0.0,
    pieces_per_session: Pieces = None,
    item_cost: Money = 0.0,
) -> Money:
    """Cost of decorating one good piece with a transfer that is at hand.

    Parameters
    ----------
    transfer_price : 0 to 1e12 [currency]
        One transfer, cut and ready; TRANSFER_PRICE gives it from an order.
    press_pieces_per_hour : more than 0, up to 1e6 [pieces/hour]
        Pieces pressed in an hour by the whole crew, good or not.
    hourly_rate : more than 0, up to 1e6 [currency/hour]
        One person for an hour, with burden.
    crew : more than 0, up to 100 [people], 1 if left out
        People at the press.
    press_yield : more than 0, up to 1 [fraction], 1 if left out
        Share of the pressed pieces that are good.
    warmup_minutes : 0 to 1e7 [minutes], 0 if left out
        Minutes of the crew to heat and set up the press, once each session.
    pieces_per_session : whole, 1 to 1e9 [pieces], none if left out
        Good pieces of one session, as they sell; needed where there is warm-up.
    item_cost : 0 to 1e12 [currency], 0 if left out
        What a spoiled piece loses: the blank and the work in it, less what it still fetches.

    Returns
    -------
    money [currency]
        Cost per good piece, the good piece's own blank left out; not rounded.

    Notes
    -----
    With a crew hour of hourly rate x crew: (transfer price + crew hour / pieces per hour) / press yield + crew hour x
    warm-up / 60 / pieces per session + item cost x (1 - press yield) / press yield.  Hot rollers burn and draw in fingers
    and sleeves: count the pace with the guards on, by licensed practice and local codes.

    References
    ----------
    Derived from the elements of pressing; common practice, no source.

    Examples
    --------
    >>> transfer_unit_cost(0.65, 90, 18.0)
    0.85
    >>> transfer_unit_cost(0.65, 90, 18.0, 1, 0.96, 15, 24, 11.0)
    1.53125
    >>> transfer_unit_cost(0.65, 90, 18.0, 1, 0.96, 15)
    Traceback (most recent call last):
    quotelib.errors.TypeInputError: pieces_per_session is blank; where there is warm-up it must be whole, 1 to 1e9 [pieces]
    """
    crew_hour = hourly_rate * crew
    warmup = crew_hour * warmup_minutes / 60
    if pieces_per_session is not None:
        warmup = warmup / pieces_per_session
    elif largest(warmup) > 0:
        raise TypeInputError("pieces_per_session", None, f"where there is warm-up {PIECES.refusal()}")
    pressed = transfer_price + crew_hour / press_pieces_per_hour
    return (pressed + item_cost * (1 - press_yield)) / press_yield + warmup


@sheet_function("Transfers")
def pressing_minutes(
    good_pieces: Pieces,
    press_pieces_per_hour: PiecesPerHour,
    press_yield: Yield = 1.0,
    warmup_minutes: Minutes = 0.0,
    pieces_per_session: Pieces = 1e9,
) -> Minutes:
    """Minutes to press transfers onto a number of good pieces, in as many sessions as it takes.

    Parameters
    ----------
    good_pieces : whole, 1 to 1e9 [pieces]
        Good pieces wanted.
    press_pieces_per_hour : more than 0, up to 1e6 [pieces/hour]
        Pieces pressed in an hour by the whole crew, good or not.
    press_yield : more than 0, up to 1 [fraction], 1 if left out
        Share of the pressed pieces that are good.
    warmup_minutes : 0 to 1e7 [minutes], 0 if left out
        Minutes to heat and set up the press, once each session.
    pieces_per_session : whole, 1 to 1e9 [pieces], no limit if left out
        Good pieces of one session, as they sell.

    Returns
    -------
    minutes [minutes]
        Minutes of the press and its crew, not rounded.

    Notes
    -----
    Good pieces / press yield / pieces per hour x 60 + warm-up x sessions, the sessions rounded up.

    References
    ----------
    Derived from the elements of pressing; common practice, no source.

    Examples
    --------
    >>> pressing_minutes(240, 90)
    160.0
    >>> pressing_minutes(240, 90, 0.96, 15, 24)
    316.6666667
    """
    sessions = larger(round_up(good_pieces / pieces_per_session), 1)
    return good_pieces / press_yield / press_pieces_per_hour * 60 + warmup_minutes * sessions


def _layout(
    sheet_w_mm: float,
    sheet_h_mm: float,
    image_w_mm: float,
    image_h_mm: float,
    gutter_mm: float,
    margin_mm: float,
    gripper_mm: float,
    turned: bool,
    straight_cuts: bool,
) -> _Layout:
    """The fullest layout found, the gutter being part of image and sheet."""
    room_w = sheet_w_mm - 2 * margin_mm
    room_h = sheet_h_mm - 2 * margin_mm - gripper_mm
    if min(room_w, room_h) <= 0:
        name, value = (
            ("margin_mm", margin_mm) if 2 * margin_mm >= min(sheet_w_mm, sheet_h_mm) else ("gripper_mm", gripper_mm)
        )
        raise RangeError(name, value, f"it must leave room on the {sheet_w_mm:.12g} x {sheet_h_mm:.12g} sheet [mm]")
    step = (min(image_w_mm, image_h_mm) + gutter_mm) / STEPS
    image_w, image_h, sheet_w, sheet_h = (
        round((length_mm + gutter_mm) / step) for length_mm in (image_w_mm, image_h_mm, room_w, room_h)
    )
    sheet_w, sheet_h = sheet_w + SLACK, sheet_h + SLACK
    upright = _grid(sheet_w, sheet_h, image_w, image_h)
    either_way = max(upright, _grid(sheet_w, sheet_h, image_h, image_w)) if turned else upright
    if either_way == 0:
        if turned and (image_w > image_h) != (sheet_w > sheet_h):
            sheet_w = sheet_h
        name, value = ("image_w_mm", image_w_mm) if image_w > sheet_w else ("image_h_mm", image_h_mm)
        raise RangeError(name, value, f"it must fit the {room_w:.12g} x {room_h:.12g} that margins and gripper leave [mm]")
    if either_way > UP.most:
        raise RangeError("image_w_mm", image_w_mm, f"it must be larger; {UP.most:.0f} images at most on a sheet [mm]")
    if turned:
        blocks = _mixed(sheet_w, sheet_h, image_w, image_h, straight_cuts)
    else:
        blocks = (_Block(0, 0, sheet_w // image_w, sheet_h // image_h, False),)
    return _Layout(blocks, image_w, image_h, step)


def _grid(sheet_w: int, sheet_h: int, image_w: int, image_h: int) -> int:
    return (sheet_w // image_w) * (sheet_h // image_h)


@lru_cache(maxsize=4096)
def _mixed(sheet_w: int, sheet_h: int, image_w: int, image_h: int, straight_cuts: bool) -> tuple[_Block, ...]:
    """The most images on a sheet with some turned, the gutter being part of image and sheet."""
    either_way = _either_way(sheet_w, sheet_h, image_w, image_h)
    if image_w == image_h or either_way == sheet_w * sheet_h // (image_w * image_h):
        return (_plain(0, 0, sheet_w, sheet_h, image_w, image_h),)
    if either_way > MIXED_UP_TO:
        return _one_cut(sheet_w, sheet_h, image_w, image_h)
    strips = _Strips(_places(sheet_w, image_w, image_h), _places(sheet_h, image_w, image_h), image_w, image_h)
    if straight_cuts or len(strips.across) * len(strips.upward) > PINWHEEL_UP_TO:
        return tuple(strips.blocks(len(strips.across) - 1, len(strips.upward) - 1))
    return _pinwheel(strips, image_w * image_h)


def _either_way(sheet_w: int, sheet_h: int, image_w: int, image_h: int) -> int:
    return max(_grid(sheet_w, sheet_h, image_w, image_h), _grid(sheet_w, sheet_h, image_h, image_w))


def _plain(x: int, y: int, sheet_w: int, sheet_h: int, image_w: int, image_h: int) -> _Block:
    """The better of the two plain grids on a part of the sheet."""
    turned = _grid(sheet_w, sheet_h, image_w, image_h) < _grid(sheet_w, sheet_h, image_h, image_w)
    w, h = (image_h, image_w) if turned else (image_w, image_h)
    return _Block(x, y, sheet_w // w, sheet_h // h, turned)


def _one_cut(sheet_w: int, sheet_h: int, image_w: int, image_h: int) -> tuple[_Block, ...]:
    """The best of one straight cut in either direction with a plain grid on each side of it."""
    most, best_cut, best_across = 0, 0, True
    for long, other, across in ((sheet_w, sheet_h, True), (sheet_h, sheet_w, False)):
        for size in (image_w, image_h):
            for cut in range(size, long + 1, size):
                both = _either_way(cut, other, image_w, image_h) + _either_way(long - cut, other, image_w, image_h)
                if both > most:
                    most, best_cut, best_across = both, cut, across
    if best_across:
        parts = (0, 0, best_cut, sheet_h), (best_cut, 0, sheet_w - best_cut, sheet_h)
    else:
        parts = (0, 0, sheet_w, best_cut), (0, best_cut, sheet_w, sheet_h - best_cut)
    return tuple(_plain(*part, image_w, image_h) for part in parts)


def _places(length: int, image_w: int, image_h: int) -> list[int]:
    """Where an image or a cut can lie along an edge: at every sum of widths and heights, in order."""
    return sorted(
        {
            wide * image_w + high * image_h
            for wide in range(length // image_w + 1)
            for high in range((length - wide * image_w) // image_h + 1)
        }
    )


class _Strips:
    """The most images on every corner of the sheet, across[i] by upward[j], cut apart one strip of images after another."""

    def __init__(self, across: list[int], upward: list[int], image_w: int, image_h: int) -> None:
        self.across, self.upward = across, upward
        self.ways = [
            (w, h, [bisect_right(across, x - w) - 1 for x in across], [bisect_right(upward, y - h) - 1 for y in upward])
            for w, h in ((image_w, image_h), (image_h, image_w))
        ]
        self.counts = counts = [[0] * len(upward) for _ in across]
        for i, x in enumerate(across):
            for j, y in enumerate(upward):
                for w, h, column_off, row_off in self.ways:
                    if column_off[i] >= 0 and row_off[j] >= 0:
                        counts[i][j] = max(counts[i][j], y // h + counts[column_off[i]][j], x // w + counts[i][row_off[j]])

    def blocks(self, i: int, j: int, x: int = 0, y: int = 0) -> Iterator[_Block]:
        """The strips that make up the count of a corner, the corner itself lying at x and y."""
        while self.counts[i][j]:
            x, y, i, j, block = self._strip(x, y, i, j)
            yield block

    def _strip(self, x: int, y: int, i: int, j: int) -> tuple[int, int, int, int, _Block]:
        """One strip off a corner, and what is left: a strip with which the count of the rest adds up to its count."""
        for turned, (w, h, column_off, row_off) in zip((False, True), self.ways, strict=True):
            if column_off[i] >= 0 and row_off[j] >= 0:
                columns, rows = self.across[i] // w, self.upward[j] // h
                if self.counts[i][j] == rows + self.counts[column_off[i]][j]:
                    return x + w, y, column_off[i], j, _Block(x, y, 1, rows, turned)
                if self.counts[i][j] == columns + self.counts[i][row_off[j]]:
                    return x, y + h, i, row_off[j], _Block(x, y, columns, 1, turned)
        raise AssertionError(f"no strip leads to the count at {i}, {j}")


def _pinwheel(strips: _Strips, image_area: int) -> tuple[_Block, ...]:
    """The most images on the sheet in five blocks, four round the fifth, each cut apart by strips.

    The blocks are A x2 by y1 below left, B right of it up to y2, C above B from x1, D above A, and E in the middle.
    `spare` is the area that may lie idle if one image more is to fit; blocks that leave more than that idle are passed over
    at once.
    """
    across, upward, counts = strips.across, strips.upward, strips.counts
    rest_w, rest_h = _rests(across), _rests(upward)
    width, height = across[-1], upward[-1]
    most = counts[-1][-1]
    best = [(len(across) - 1, len(upward) - 1, 0, 0)]
    spare = width * height - (most + 1) * image_area
    for i2 in range(1, len(across)):
        for j1 in range(1, len(upward)):
            a = counts[i2][j1]
            idle_a = across[i2] * upward[j1] - a * image_area
            if idle_a > spare:
                continue
            for j2 in range(j1 + 1, len(upward)):
                b = counts[rest_w[-1][i2]][j2]
                idle_b = idle_a + (width - across[i2]) * upward[j2] - b * image_area
                if idle_b > spare:
                    continue
                for i1 in range(i2):
                    d = counts[i1][rest_h[-1][j1]]
                    if idle_b + across[i1] * (height - upward[j1]) - d * image_area > spare:
                        continue
                    c = counts[rest_w[-1][i1]][rest_h[-1][j2]]
                    e = counts[rest_w[i2][i1]][rest_h[j2][j1]]
                    if a + b + c + d + e > most:
                        most = a + b + c + d + e
                        spare = width * height - (most + 1) * image_area
                        x1, x2, y1, y2 = across[i1], across[i2], upward[j1], upward[j2]
                        best = [
                            (i2, j1, 0, 0),
                            (rest_w[-1][i2], j2, x2, 0),
                            (rest_w[-1][i1], rest_h[-1][j2], x1, y2),
                            (i1, rest_h[-1][j1], 0, y1),
                            (rest_w[i2][i1], rest_h[j2][j1], x1, y1),
                        ]
    return tuple(block for corner in best for block in strips.blocks(*corner))


def _rests(places: list[int]) -> list[list[int]]:
    """For each place and each before it, the number of the last place within what lies between them."""
    return [[bisect_right(places, end - cut) - 1 for cut in places[: i + 1]] for i, end in enumerate(places)]
