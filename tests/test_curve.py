"""The cost curve against naive exact arithmetic: every run size tried, one by one.

The inputs are decimals of at most four places, so whole numbers of ten-thousandths hold them exactly.
"""

import random
from fractions import Fraction

import numpy as np
import pytest

from quotelib.chapters.curve import CostCurve, CurveLine, cheapest_stretches

LONGEST = 1200


TEN_THOUSANDTHS = 10_000


def exactly(number: float) -> int:
    """The decimal that a person typed, in ten-thousandths."""
    scaled = Fraction(repr(number)) * TEN_THOUSANDTHS
    assert scaled.denominator == 1
    return int(scaled)


def naive_costs(curve: CostCurve, runs: range) -> list[int]:
    """The curve at every run by the definition alone, in hundred-millionths of the currency."""
    total = [0] * len(runs)
    for line in curve.lines:
        once, per_step, every, at_least, rate = (exactly(number) for number in line[:5])
        rates = [(0, rate), *((exactly(start), exactly(there)) for start, there in line.breaks)]
        for place, run in enumerate(runs):
            steps = -(-run * TEN_THOUSANDTHS // every) if every else run
            quantity = max(at_least, once + per_step * steps)
            reached = next(there for start, there in reversed(rates) if quantity >= start)
            larger_orders = [start * there for start, there in rates if start > quantity]
            total[place] += min(quantity * reached, *larger_orders, quantity * reached)
    return total


def random_line(draw: random.Random) -> CurveLine:
    breaks = [(), ((50.0, 0.61), (400.0, 0.45)), ((200.0, 0.8),), ((1000.0, 0.25),)]
    return CurveLine(
        once=draw.choice([0.0, 0.0, 3.0, 40.0, 12.5]),
        per_step=draw.choice([0.0, 1.0, 2.5, 0.4]),
        every=draw.choice([0.0, 1.0, 3.0, 2.94, 0.97, 100.0, 250.0]),
        at_least=draw.choice([0.0, 0.0, 60.0, 500.0]),
        rate=round(draw.uniform(0.1, 2.0), 2),
        breaks=draw.choice(breaks),
    )


def random_curves(draw: random.Random) -> list[CostCurve]:
    curves = []
    for _ in range(3):
        setup = CurveLine(1.0, 0.0, 0.0, 0.0, float(draw.choice([90, 250, 400.5, 800])))
        blanks = CurveLine(0.0, 1.0, draw.choice([0.9, 0.97, 1.0]), 0.0, round(draw.uniform(0.5, 2.5), 2))
        credit = CurveLine(0.0, 0.031, 0.0, 0.0, -0.4)
        curves.append(CostCurve([setup, blanks, credit, *(random_line(draw) for _ in range(draw.randint(0, 4)))]))
    return curves


@pytest.mark.parametrize("seed", range(20))
def test_cheapest_stretches_agree_with_every_run_tried_exactly(seed: int) -> None:
    draw = random.Random(seed)
    for _ in range(25):
        curves = random_curves(draw)
        stretches = cheapest_stretches(curves, last=LONGEST)
        found = [stretch.cheapest for stretch in stretches for _ in range(stretch.first, stretch.last + 1)]
        every_run = zip(*(naive_costs(curve, range(1, LONGEST + 1)) for curve in curves), strict=True)
        assert found == [costs.index(min(costs)) for costs in every_run], curves


@pytest.mark.parametrize("seed", range(20))
def test_run_cost_agrees_with_exact_arithmetic(seed: int) -> None:
    for curve in random_curves(random.Random(seed)):
        exact = [cost / TEN_THOUSANDTHS**2 for cost in naive_costs(curve, range(1, LONGEST + 1))]
        np.testing.assert_allclose(curve.run_cost(np.arange(1.0, LONGEST + 1)), exact, rtol=1e-12)
        assert curve.run_cost(700.0) == pytest.approx(exact[699], rel=1e-12)


def test_work_does_not_grow_with_the_range() -> None:
    """The same change-overs are found up to ten million pieces, where trying each run would take minutes."""
    curves = random_curves(random.Random(5))
    far = cheapest_stretches(curves, last=10_000_000)
    assert far[-1].last == 10_000_000
    near = cheapest_stretches(curves, last=LONGEST)
    assert [stretch[:1] for stretch in near] == [stretch[:1] for stretch in far if stretch.first <= LONGEST]


def test_of_equal_costs_the_route_listed_first_is_the_cheapest() -> None:
    same = [CostCurve([CurveLine(0.0, 1.0, 0.0, 0.0, 0.1)]), CostCurve([CurveLine(0.0, 3.0, 3.0, 0.0, 0.1)])]
    assert [stretch.cheapest for stretch in cheapest_stretches(same, last=30)] == [0]
    assert {stretch.cheapest for stretch in cheapest_stretches(same[::-1], last=30)} == {0, 1}
