"""Rejects against scipy and exact fractions; single values from outside stand in checks/rejects.csv."""

import math
import random
import time
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import nbinom

from quotelib.chapters.rejects import (
    crew_yield,
    pieces_to_start,
    reject_cost,
    reject_cost_of_steps,
    rolled_yield,
    spoiled_after_pressing,
    spoiled_before_pressing,
    yield_of_steps,
)
from quotelib.chapters.transfers import transfer_price, transfer_unit_cost

CONFIDENCES = (0.05, 0.5, 0.8, 0.9, 0.95, 0.99, 0.999, 1 - 1e-9)


def test_the_promised_start_is_scipy_s_quantile_of_the_negative_binomial() -> None:
    chance = random.Random(20261125)
    for _ in range(400):
        good, good_share = int(10 ** chance.uniform(0, 6)), chance.uniform(0.2, 0.9999)
        confidence = chance.choice([*CONFIDENCES, chance.random()])
        expected = good + int(nbinom.ppf(confidence, good, good_share))
        assert pieces_to_start(good, good_share, 1, confidence) == expected, (good, good_share, confidence)


@given(good=st.integers(1, 40), percent=st.integers(30, 99), confidence=st.integers(1, 99))
def test_the_promised_start_is_enough_and_one_less_is_not(good: int, percent: int, confidence: int) -> None:
    good_share = Fraction(percent, 100)

    def chance(started: int) -> Fraction:
        return sum(
            (
                math.comb(started, number) * good_share**number * (1 - good_share) ** (started - number)
                for number in range(good, started + 1)
            ),
            Fraction(0),
        )

    started = pieces_to_start(good, percent / 100, 1, confidence / 100)
    assert started >= good
    assert chance(started) >= Fraction(confidence, 100)
    assert chance(started - 1) < Fraction(confidence, 100)


@given(good=st.integers(1, 10**6), percent=st.integers(50, 100), colours=st.integers(1, 12))
def test_on_the_average_the_start_is_enough_and_one_less_is_not(good: int, percent: int, colours: int) -> None:
    good_share = Fraction(percent, 100) ** colours
    started = pieces_to_start(good, percent / 100, colours)
    assert started * good_share >= good
    assert (started - 1) * good_share < good


@given(good=st.integers(1, 10**5), good_share=st.floats(0.3, 1), colours=st.integers(1, 8))
def test_a_surer_promise_never_takes_fewer_pieces(good: int, good_share: float, colours: int) -> None:
    starts = [pieces_to_start(good, good_share, colours, confidence) for confidence in CONFIDENCES]
    assert starts == sorted(starts)
    assert good <= starts[0]


@pytest.mark.parametrize("good,good_share,colours", [(10**6, 0.95, 4), (10**6, 0.5, 1), (10**3, 0.5, 20)])
def test_a_long_promise_is_worked_out_at_once(good: int, good_share: float, colours: int) -> None:
    started = time.perf_counter()
    pieces = pieces_to_start(good, good_share, colours, 0.95)
    assert time.perf_counter() - started < 1
    assert pieces == good + int(nbinom.ppf(0.95, good, good_share**colours))


@given(steps=st.lists(st.floats(0.01, 1), min_size=1, max_size=10))
def test_the_yield_of_steps_is_their_product_in_a_row_and_in_a_column(steps: list[float]) -> None:
    assert yield_of_steps(steps) == yield_of_steps([[step] for step in steps]) == pytest.approx(math.prod(steps))


@given(good_share=st.floats(0.01, 1), colours=st.integers(1, 24))
def test_equal_colours_are_equal_steps(good_share: float, colours: int) -> None:
    assert rolled_yield(good_share, colours) == pytest.approx(yield_of_steps([good_share] * colours))


@given(good_share=st.floats(0.5, 1), spoiled=st.floats(0, 0.5), crews=st.tuples(st.floats(0.1, 10), st.floats(0.1, 10)))
def test_more_hands_never_keep_the_register_better(good_share: float, spoiled: float, crews: tuple[float, float]) -> None:
    fewer, more = sorted(crews)
    assert crew_yield(good_share, more, spoiled) <= crew_yield(good_share, fewer, spoiled) <= good_share


@given(
    item=st.integers(0, 10**5),
    colour=st.integers(0, 10**4),
    percent=st.integers(50, 100),
    colours=st.integers(1, 12),
    salvage=st.integers(0, 10**4),
)
def test_a_reject_costs_what_was_put_into_it_up_to_its_colour(
    item: int, colour: int, percent: int, colours: int, salvage: int
) -> None:
    good = Fraction(percent, 100)
    lost = sum(good ** (place - 1) * (1 - good) * (item + place * colour - salvage) for place in range(1, colours + 1))
    expected = float(lost / good**colours)
    assert reject_cost(item, colour, percent / 100, colours, salvage) == pytest.approx(expected, rel=1e-9, abs=1e-7)


STEPS = st.lists(st.tuples(st.integers(0, 10**4), st.integers(30, 100)), min_size=1, max_size=8)
"""Cents that each step puts in, and its yield in percent."""


@given(item=st.integers(0, 10**5), steps=STEPS, salvage=st.integers(0, 10**4))
def test_rejects_lose_what_is_put_in_and_not_sold(item: int, steps: list[tuple[int, int]], salvage: int) -> None:
    """All the money put in, less the salvage and what a flawless run of as many good pieces costs."""
    entering, spent = Fraction(1), Fraction(item)
    for cost, percent in steps:
        spent += entering * cost
        entering *= Fraction(percent, 100)
    lost = (spent - (1 - entering) * salvage) / entering - item - sum(cost for cost, _ in steps)
    table = [[cost, percent / 100] for cost, percent in steps]
    got = reject_cost_of_steps(item, table, salvage)
    assert got == pytest.approx(float(lost), rel=1e-9, abs=1e-6)
    by_step = [reject_cost_of_steps(item, table, salvage, place + 1) for place in range(len(steps))]
    assert math.fsum(by_step) == pytest.approx(got, rel=1e-12, abs=1e-9)


@given(
    item=st.floats(0, 100),
    colour=st.floats(0, 20),
    good=st.floats(0.5, 1),
    colours=st.integers(1, 24),
    salvage=st.floats(0, 50),
)
def test_equal_steps_lose_what_equal_colours_do(
    item: float, colour: float, good: float, colours: int, salvage: float
) -> None:
    of_steps = reject_cost_of_steps(item, [[colour, good]] * colours, salvage)
    scale = (item + colours * colour + salvage) / good**colours
    assert of_steps == pytest.approx(reject_cost(item, colour, good, colours, salvage), rel=1e-9, abs=1e-12 * (scale + 1))


@given(item=st.floats(0, 100), costs=st.lists(st.floats(0, 20), min_size=2, max_size=8), good=st.floats(0.5, 1))
def test_a_fault_found_later_never_costs_less(item: float, costs: list[float], good: float) -> None:
    lost = [
        reject_cost_of_steps(item, [[cost, good if place == found else 1] for place, cost in enumerate(costs)])
        for found in range(len(costs))
    ]
    assert all(sooner <= later * (1 + 1e-12) for sooner, later in pairwise(lost))


@given(
    transfer=st.floats(0.01, 5),
    pace=st.floats(10, 300),
    wage=st.floats(5, 60),
    item=st.floats(0, 50),
    spoiled=st.floats(0, 0.5),
    good=st.floats(0.5, 1),
)
def test_what_spoils_before_and_after_pressing_is_all_that_spoiling_adds_to_the_unit_cost(
    transfer: float, pace: float, wage: float, item: float, spoiled: float, good: float
) -> None:
    without = transfer_unit_cost(transfer, pace, wage)
    price = transfer_price(1000 * transfer, 1000, spoiled)
    spoiling = transfer_unit_cost(price, pace, wage, 1, good, 0, None, item)
    before = spoiled_before_pressing(transfer, spoiled, good)
    after = spoiled_after_pressing(transfer, wage / pace, item, good)
    assert without + before + after == pytest.approx(spoiling, rel=1e-12)


def test_a_bad_transfer_is_cheaper_to_find_before_it_is_pressed() -> None:
    """Found before pressing it costs a transfer, found after it costs the blank as well; common practice, no source."""
    assert spoiled_before_pressing(0.6, 0.03) < spoiled_after_pressing(0.6, 0.3, 11, 0.97) / 10
