"""Reorders against every whole order there is, against scipy's minimum over order and backlog, and against a sawtooth."""

import math
import random
from typing import Any

import numpy as np
import pytest
from scipy.optimize import minimize

import quotelib
from quotelib.errors import NoSolution, RangeError

Terms = dict[str, Any]


def drawn(seed: int) -> Terms:
    """Terms small enough that every order can be tried: breaks of both sorts, runs, customers who wait."""
    draw = random.Random(seed)
    starts = [draw.choice([0, 1, 0.5, 20]), *sorted(draw.sample(range(30, 900), draw.randint(0, 4)))]
    prices = sorted((round(draw.uniform(0.2, 6), 2) for _ in starts), reverse=True)
    annual = draw.randint(1, 4000)
    return {
        "annual_pieces": annual,
        "order_cost": round(draw.uniform(0.5, 90), 2),
        "breaks": [list(band) for band in zip(starts, prices, strict=True)],
        "holding_rate": draw.choice([0.0, round(draw.uniform(0.05, 0.6), 3)]),
        "storage_cost": round(draw.uniform(0.01, 3), 3),
        "incremental": draw.random() < 0.5,
        "annual_output": draw.choice([None, annual * draw.uniform(1.01, 5)]),
        "backorder_cost": draw.choice([None, round(draw.uniform(0.05, 20), 2)]),
    }


def year(terms: Terms, order: float, owed: float) -> float:
    """A year's cost, from the sawtooth itself: orders of a size, that many pieces owed when the next one begins."""
    bought = quotelib.buy_cost(order, terms["breaks"], terms["incremental"])
    rise = 1 - terms["annual_pieces"] / terms["annual_output"] if terms["annual_output"] else 1.0
    top = order * rise - owed
    holding = terms["holding_rate"] * bought / order + terms["storage_cost"]
    stock, backlog = top * top / (2 * order * rise), owed * owed / (2 * order * rise)
    yearly = (bought + terms["order_cost"]) * terms["annual_pieces"] / order + holding * stock
    return yearly + (terms["backorder_cost"] * backlog if owed else 0.0)


def best_owed(terms: Terms, order: float) -> float:
    """The backlog that costs least at an order, by searching; the cost is a parabola in it."""
    if not terms["backorder_cost"]:
        return 0.0
    low, high = 0.0, order
    for _ in range(200):
        a, b = low + (high - low) / 3, high - (high - low) / 3
        if year(terms, order, a) < year(terms, order, b):
            high = b
        else:
            low = a
    return (low + high) / 2


@pytest.mark.parametrize("seed", range(40))
def test_best_order_is_the_best_of_every_whole_order(seed: int) -> None:
    terms = drawn(seed)
    best = quotelib.best_order(**terms)
    first = max(math.ceil(terms["breaks"][0][0]), 1)
    costs = quotelib.yearly_order_cost(np.arange(first, 2.0 * best + 2000), **terms)
    least = costs.min()
    assert costs[best - first] == pytest.approx(least, rel=1e-13)
    assert not (costs[: best - first] <= least * (1 - 1e-13)).any()


@pytest.mark.parametrize("seed", range(25))
def test_year_is_that_of_the_sawtooth_with_the_cheapest_backlog(seed: int) -> None:
    terms = drawn(seed)
    for order in (20, 35.5, 160, 900, 2500):
        got = quotelib.yearly_order_cost(order, **terms)
        assert got == pytest.approx(year(terms, order, best_owed(terms, order)), rel=1e-9)
        ((orders, buying, ordering, holding, waiting, total, most_in_stock, most_owed),) = quotelib.order_costs(
            [order], **terms
        )
        assert total == got == pytest.approx(buying + ordering + holding + waiting)
        assert orders * order == pytest.approx(terms["annual_pieces"])
        assert most_owed == pytest.approx(best_owed(terms, order), rel=1e-4, abs=1e-4)
        assert most_in_stock >= 0


@pytest.mark.parametrize(
    ("output", "wait", "incremental"),
    [(None, None, False), (1700, None, False), (None, 5, False), (1700, 5, False), (None, 0.3, True)],
)
def test_order_is_scipy_s_minimum_over_order_and_backlog(output: float, wait: float, incremental: bool) -> None:
    terms: Terms = {"annual_pieces": 1300, "order_cost": 8, "breaks": [[0, 0.75]], "holding_rate": 0.3, "storage_cost": 0.0}
    terms |= {"incremental": incremental, "annual_output": output, "backorder_cost": wait}
    found = minimize(
        lambda at: year(terms, at[0], at[1]), [600.0, 6.0 if wait else 0.0], method="Nelder-Mead",
        bounds=[(1, 5000), (0, 500 if wait else 0)], options={"xatol": 1e-7, "fatol": 1e-12, "maxiter": 5000},
    )  # fmt: skip
    order = quotelib.economic_order_quantity(1300, 8, 0.225, output, wait)
    assert order == pytest.approx(found.x[0], rel=1e-4)
    assert quotelib.yearly_order_cost(order, **terms) == pytest.approx(found.fun, rel=1e-10)
    assert quotelib.best_order(**terms) in (math.floor(order), math.ceil(order))


def test_stock_seen_hour_by_hour_is_the_stock_that_is_charged() -> None:
    """A run of 600 at 4 pieces an hour while 2.5 an hour are used, up to 90 owed, in steps of a thousandth of the cycle."""
    use, make, run = 2.5, 4.0, 600.0
    holding, wait = 0.6, 3.4
    ((_, _, _, held, waited, _, most, owed),) = quotelib.order_costs([run], use, 1, [[0, 1]], 0, holding, False, make, wait)
    hours = np.linspace(0, run / use, 400_001)
    stock = -owed + np.where(
        hours < run / make, hours * (make - use), run / make * (make - use) - (hours - run / make) * use
    )
    assert stock.max() == pytest.approx(most, rel=1e-5)
    assert np.clip(stock, 0, None).mean() * holding == pytest.approx(held, rel=1e-4)
    assert np.clip(-stock, 0, None).mean() * wait == pytest.approx(waited, rel=1e-4)


def test_of_orders_that_cost_the_same_the_smallest_is_taken() -> None:
    """At 2 and at 3 pieces the year costs 2.5 beside buying; 2 (2 + 1) = 2 x 3 x 1 / 1."""
    assert quotelib.yearly_order_cost(2, 1, 3, [[0, 1]], 0, 1) == quotelib.yearly_order_cost(3, 1, 3, [[0, 1]], 0, 1)
    assert quotelib.best_order(1, 3, [[0, 1]], 0, 1) == 2


def test_a_break_just_above_the_best_order_is_taken_where_it_saves() -> None:
    cheap, dear = [[0, 1.0], [205, 0.99]], [[0, 1.0], [205, 1.0]]
    assert quotelib.best_order(1000, 10, cheap, 0, 0.5) == 205
    assert quotelib.best_order(1000, 10, dear, 0, 0.5) == 200


def test_holding_as_a_share_of_the_price_and_by_the_piece_agree_at_one_price() -> None:
    for order in (3, 70, 1200):
        by_share = quotelib.yearly_order_cost(order, 900, 12, [[0, 2.5]], 0.2)
        assert by_share == pytest.approx(quotelib.yearly_order_cost(order, 900, 12, [[0, 2.5]], 0, 0.5))


def test_incremental_breaks_cost_what_buying_says() -> None:
    breaks = [[0, 2.0], [100, 1.5], [400, 1.2]]
    ((_, buying, _, holding, *_),) = quotelib.order_costs([500], 1000, 10, breaks, 0.2, 0, True)
    assert buying == pytest.approx(2 * quotelib.buy_cost(500, breaks, True))
    assert holding == pytest.approx(0.2 * quotelib.buy_cost(500, breaks, True) / 2)


def test_best_order_is_the_cheapest_of_its_bands() -> None:
    terms = drawn(7) | {"breaks": [[10, 4.0], [200, 3.7], [900, 3.1]]}
    rows = quotelib.band_orders(**terms, rows=5)
    bands = [row for row in rows if row[0] != ""]
    assert len(rows) == 5 and [row[:2] for row in bands] == [(10, 4.0), (200, 3.7), (900, 3.1)]
    assert min(bands, key=lambda row: row[3])[2] == quotelib.best_order(**terms)
    with pytest.raises(RangeError, match="rows is 2; it must be 3 or more"):
        quotelib.band_orders(**terms, rows=2)


def test_what_has_no_best_order_is_refused_with_its_reason() -> None:
    with pytest.raises(NoSolution, match="holding_rate is 0; no order is too large"):
        quotelib.best_order(900, 12, [[0, 2.5]])
    with pytest.raises(NoSolution, match="the best order is more than 1e\\+09 pieces"):
        quotelib.best_order(1e9, 1e12, [[0, 1e-6]], 0.01)
    with pytest.raises(NoSolution, match="there is no order from there"):
        quotelib.best_order(900, 12, [[2e9, 2.5]], 0.1)
    with pytest.raises(RangeError, match="annual_output is 900; it must be more than annual_pieces"):
        quotelib.best_order(900, 12, [[0, 2.5]], 0.1, 0, False, 900)
    with pytest.raises(RangeError, match="order is 99; it must be 100 or more, where the prices begin"):
        quotelib.yearly_order_cost(99, 900, 12, [[100, 2.5]], 0.1)
    with pytest.raises(RangeError, match="it must not exceed the price before it"):
        quotelib.best_order(900, 12, [[0, 2.5], [50, 3]], 0.1, 0, True, None, 4)
