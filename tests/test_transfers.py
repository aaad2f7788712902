"""Transfers: layouts against exhaustive search and bounds; single values from outside stand in checks/transfers.csv."""

from fractions import Fraction
from functools import cache

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from quotelib.chapters.transfers import (
    pressing_minutes,
    sheets_for,
    transfer_passes,
    transfer_price,
    transfer_unit_cost,
    up_per_sheet,
)
from quotelib.errors import RangeError

SIDES = st.integers(1, 60)
IMAGES = st.integers(1, 25)


def grid(sheet: tuple[int, int], image: tuple[int, int]) -> int:
    return (sheet[0] // image[0]) * (sheet[1] // image[1])


def fits(sheet: tuple[int, int], image: tuple[int, int]) -> bool:
    return grid(sheet, image) + grid(sheet, (image[1], image[0])) > 0


def by_all_straight_cuts(sheet: tuple[int, int], image: tuple[int, int]) -> int:
    """The most images that straight cuts take apart, found by trying every cut of every piece."""

    @cache
    def most(width: int, height: int) -> int:
        if (width, height) in (image, (image[1], image[0])):
            return 1
        best = 0
        for cut in range(1, width // 2 + 1):
            best = max(best, most(cut, height) + most(width - cut, height))
        for cut in range(1, height // 2 + 1):
            best = max(best, most(width, cut) + most(width, height - cut))
        return best

    return most(*sheet)


def by_all_layouts(sheet: tuple[int, int], image: tuple[int, int]) -> int:
    """The most images in any layout at all, found by laying one or none with its corner on each square in turn."""
    width, height = sheet
    shapes = {image, (image[1], image[0])}

    @cache
    def most(square: int, taken: int) -> int:
        if square == width * height:
            return 0
        best = most(square + 1, taken)
        x, y = square % width, square // width
        for w, h in shapes:
            if x + w <= width and y + h <= height:
                mask = sum(((1 << w) - 1) << (x + row * width) for row in range(y, y + h))
                if not taken & mask:
                    best = max(best, 1 + most(square + 1, taken | mask))
        return best

    return most(0, 0)


@given(sheet=st.tuples(SIDES, SIDES), image=st.tuples(IMAGES, IMAGES))
def test_turning_some_is_never_worse_than_a_plain_grid_nor_more_than_the_area_holds(
    sheet: tuple[int, int], image: tuple[int, int]
) -> None:
    assume(fits(sheet, image))
    turned = (image[1], image[0])
    straight = up_per_sheet(*sheet, *image, straight_cuts=True)
    assert max(grid(sheet, image), grid(sheet, turned)) <= straight <= up_per_sheet(*sheet, *image)
    assert up_per_sheet(*sheet, *image) <= sheet[0] * sheet[1] // (image[0] * image[1])
    if grid(sheet, image):
        assert up_per_sheet(*sheet, *image, turned=False) == grid(sheet, image)


@given(
    sheet=st.tuples(st.floats(200, 1200), st.floats(200, 1200)),
    image=st.tuples(st.floats(12, 180), st.floats(12, 180)),
    gutter=st.floats(0, 10),
    margin=st.floats(0, 10),
    gripper=st.floats(0, 15),
)
def test_gutter_margin_and_gripper_are_kept_clear(
    sheet: tuple[float, float], image: tuple[float, float], gutter: float, margin: float, gripper: float
) -> None:
    got = up_per_sheet(*sheet, *image, gutter, margin, gripper)
    width, height = sheet[0] - 2 * margin + gutter, sheet[1] - 2 * margin - gripper + gutter
    w, h = image[0] + gutter, image[1] + gutter
    grids = max((width // w) * (height // h), (width // h) * (height // w))
    assert grids <= got <= width * height / (w * h) * (1 + 1e-4)
    assert got == up_per_sheet(width, height, w, h), "a gutter is part of each image and of the sheet"


@given(sheet=st.tuples(st.integers(4, 32), st.integers(4, 24)), image=st.tuples(st.integers(2, 11), st.integers(2, 11)))
def test_straight_cuts_reach_the_best_that_any_straight_cuts_reach(sheet: tuple[int, int], image: tuple[int, int]) -> None:
    assume(fits(sheet, image))
    assert up_per_sheet(*sheet, *image, straight_cuts=True) == by_all_straight_cuts(sheet, image)


@given(sheet=st.tuples(st.integers(3, 7), st.integers(3, 6)), image=st.tuples(st.integers(2, 4), st.integers(2, 5)))
def test_a_small_sheet_holds_what_the_best_layout_of_all_holds(sheet: tuple[int, int], image: tuple[int, int]) -> None:
    assume(fits(sheet, image))
    assert up_per_sheet(*sheet, *image) == by_all_layouts(sheet, image)


@given(sheet=st.tuples(SIDES, SIDES), image=st.tuples(IMAGES, IMAGES), scale=st.floats(0.3, 30))
def test_neither_a_turned_sheet_nor_another_scale_changes_the_layout(
    sheet: tuple[int, int], image: tuple[int, int], scale: float
) -> None:
    assume(fits(sheet, image))
    up = up_per_sheet(*sheet, *image)
    assert up_per_sheet(*sheet[::-1], *image) == up == up_per_sheet(*sheet, *image[::-1])
    assert up_per_sheet(*(side * scale for side in sheet), *(side * scale for side in image)) == up


@pytest.mark.parametrize(
    "sizes,told",
    [
        ((700, 500, 720, 80), "image_w_mm is 720; it must fit the 700 x 500 that margins and gripper leave [mm]"),
        ((700, 500, 80, 720), "image_h_mm is 720; it must fit the 700 x 500 that margins and gripper leave [mm]"),
        (
            (700, 500, 690, 490, 0, 5, 12),
            "image_h_mm is 490; it must fit the 690 x 478 that margins and gripper leave [mm]",
        ),
        ((700, 500, 10, 10, 0, 250), "margin_mm is 250; it must leave room on the 700 x 500 sheet [mm]"),
        ((700, 500, 10, 10, 0, 5, 490), "gripper_mm is 490; it must leave room on the 700 x 500 sheet [mm]"),
        ((9000, 9000, 1, 1), "image_w_mm is 1; it must be larger; 100000 images at most on a sheet [mm]"),
    ],
)
def test_what_does_not_fit_is_named(sizes: tuple[float, ...], told: str) -> None:
    with pytest.raises(RangeError) as refusal:
        up_per_sheet(*sizes)
    assert str(refusal.value) == told


@given(
    transfers=st.integers(1, 10**6),
    up=st.integers(1, 500),
    overs=st.integers(0, 20),
    passes=st.integers(1, 30),
    percent=st.integers(0, 50),
)
def test_the_sheets_left_after_waste_hold_the_transfers_and_one_less_would_not(
    transfers: int, up: int, overs: int, passes: int, percent: int
) -> None:
    run = sheets_for(transfers, up, overs, passes, percent / 100) - overs * passes
    good = 1 - Fraction(percent, 100)
    assert run * good * up >= transfers
    assert (run - 1) * good < -(-transfers // up), "a sheet less would not leave enough whole sheets"


def test_passes_are_the_layers_of_the_transfer() -> None:
    assert [transfer_passes(colours, white, 1) for colours, white in ((1, 0), (4, 1), (8, 2))] == [2, 6, 11]


@given(
    price=st.integers(0, 500),
    pace=st.integers(10, 500),
    rate=st.integers(800, 4000),
    crew=st.integers(1, 4),
    percent=st.integers(50, 100),
    warmup=st.integers(0, 60),
    session=st.integers(1, 200),
    item=st.integers(0, 5000),
)
def test_the_unit_cost_is_all_the_money_of_a_season_over_its_good_pieces(
    price: int, pace: int, rate: int, crew: int, percent: int, warmup: int, session: int, item: int
) -> None:
    sessions = 10
    good = Fraction(session * sessions)
    pressed = good / Fraction(percent, 100)
    hours = pressed / pace + Fraction(sessions * warmup, 60)
    money = pressed * price + hours * rate * crew + (pressed - good) * item
    got = transfer_unit_cost(price, pace, rate, crew, percent / 100, warmup, session, item)
    assert got == pytest.approx(float(money / good), rel=1e-12)
    assert pressing_minutes(int(good), pace, percent / 100, warmup, session) == pytest.approx(float(hours * 60), rel=1e-12)


@given(cost=st.integers(1, 10**6), count=st.integers(1, 10**5), percent=st.integers(0, 90), left=st.integers(0, 10**5))
def test_the_transfers_pressed_pay_for_the_order(cost: int, count: int, percent: int, left: int) -> None:
    usable = count * (1 - Fraction(percent, 100))
    if left >= usable:
        with pytest.raises(RangeError, match="never_pressed"):
            transfer_price(cost, count, percent / 100, left)
    else:
        assert transfer_price(cost, count, percent / 100, left) == pytest.approx(float(cost / (usable - left)), rel=1e-9)
