"""Lot sizes against every plan of twelve periods, and against a mixed-integer programme solved by scipy's HiGHS."""

import random
from itertools import accumulate
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

import quotelib
from quotelib.errors import RangeError, TypeInputError

Plan = dict[str, Any]


def drawn(seed: int, periods: int, lumpy: bool) -> Plan:
    """Demands and costs of each period, with stock before and after."""
    draw = random.Random(seed)
    return {
        "demands": [0 if lumpy and draw.random() < 0.5 else draw.randint(1, 90) for _ in range(periods)],
        "setup_costs": [draw.choice([0, 20, 60, 150]) + draw.randint(0, 40) for _ in range(periods)],
        "holding_costs": [round(draw.choice([0, 0.2, 1, 3]) * draw.random(), 2) for _ in range(periods)],
        "unit_costs": draw.choice([None, [3], [round(draw.uniform(1, 5), 2) for _ in range(periods)]]),
        "starting_stock": draw.choice([0, 0, 37, 500]),
        "final_stock": draw.choice([0, 0, 25]),
    }


def lots_of(plan: Plan) -> list[float]:
    return [lot for (lot,) in quotelib.wagner_whitin_lots(**plan)]


def cost_of(lots: list[float], plan: Plan) -> float:
    return float(quotelib.lots_cost(lots, **{name: value for name, value in plan.items() if name != "final_stock"}))


def cost_of_every_plan(plan: Plan) -> Any:
    """The costs of all plans in which a lot covers the needs up to the next one: one for each set of periods with lots."""
    periods = len(plan["demands"])
    asked = np.cumsum([*plan["demands"][:-1], plan["demands"][-1] + plan["final_stock"]])
    needed = np.maximum(asked - plan["starting_stock"], 0)
    choices = (np.arange(2**periods)[:, None] >> np.arange(periods)) & 1 == 1
    made = np.zeros(len(choices))
    costs = np.zeros(len(choices))
    unit = np.broadcast_to(np.array(plan["unit_costs"] or [0.0], dtype=float), periods)
    for period in range(periods):
        later = choices[:, period + 1 :]
        stop = np.where(later.any(axis=1), period + 1 + later.argmax(axis=1), periods) if later.size else periods
        lot = np.where(choices[:, period], needed[np.asarray(stop) - 1] - made, 0)
        made = made + lot
        costs += np.where(lot > 0, plan["setup_costs"][period], 0) + unit[period] * lot
        stock = made + plan["starting_stock"] - np.cumsum(plan["demands"])[period]
        costs += plan["holding_costs"][period] * stock
        costs[made < needed[period]] = np.inf
    return costs


@pytest.mark.parametrize("seed", range(30))
def test_no_plan_of_twelve_periods_costs_less(seed: int) -> None:
    plan = drawn(seed, 12, lumpy=seed % 2 == 0)
    assert cost_of(lots_of(plan), plan) == pytest.approx(cost_of_every_plan(plan).min(), rel=1e-12)


@pytest.mark.parametrize("seed", range(100, 112))
def test_no_plan_at_all_costs_less(seed: int) -> None:
    """Lots of any size, split as one likes: minimise set-ups, pieces and stock subject to stock never below zero."""
    plan = drawn(seed, 8, lumpy=seed % 2 == 0)
    periods = len(plan["demands"])
    unit = np.broadcast_to(np.array(plan["unit_costs"] or [0.0], dtype=float), periods)
    holding, asked = np.array(plan["holding_costs"]), np.cumsum(plan["demands"])
    wanted = asked.astype(float)
    wanted[-1] += plan["final_stock"]
    most = float(wanted[-1]) + 1
    carried = np.cumsum(holding[::-1])[::-1]  # a piece made in a period is counted in every stock from there on
    sums = np.tril(np.ones((periods, periods)))
    found = milp(
        np.concatenate([unit + carried, plan["setup_costs"]]),
        constraints=[
            LinearConstraint(np.hstack([sums, np.zeros_like(sums)]), wanted - plan["starting_stock"], np.inf),
            LinearConstraint(np.hstack([np.eye(periods), -most * np.eye(periods)]), -np.inf, 0),
        ],
        integrality=np.repeat([0, 1], periods),
        bounds=Bounds(0, np.repeat([np.inf, 1], periods)),
        options={"mip_rel_gap": 0},
    )
    constant = float(holding @ (plan["starting_stock"] - asked))
    assert cost_of(lots_of(plan), plan) == pytest.approx(found.fun + constant, rel=1e-6)


@given(
    demands=st.lists(st.integers(0, 50), min_size=1, max_size=20), setup=st.integers(0, 300), holding=st.integers(0, 5),
    stock=st.integers(0, 80), final=st.integers(0, 30),
)  # fmt: skip
def test_plans_are_enough_never_too_much_and_the_rule_never_cheaper(
    demands: list[int], setup: int, holding: int, stock: int, final: int
) -> None:
    terms = (demands, setup, holding)
    best = [lot for (lot,) in quotelib.wagner_whitin_lots(*terms, None, stock, final)]
    rule = [lot for (lot,) in quotelib.silver_meal_lots(*terms, stock, final)]
    asked = sum(demands) + final
    for lots in (best, rule):
        assert sum(lots) == max(asked - stock, 0)
        stocks = [left for (left,) in quotelib.lots_stock(lots, demands, stock)]
        assert stocks == [stock + made - used for made, used in zip(accumulate(lots), accumulate(demands), strict=True)]
        assert stocks[-1] >= final
    best_cost, rule_cost = (quotelib.lots_cost(lots, *terms, None, stock) for lots in (best, rule))
    ((least, by_rule, extra, share),) = quotelib.silver_meal_extra(*terms, None, stock, final)
    assert (least, by_rule, extra) == (best_cost, rule_cost, rule_cost - best_cost)
    assert extra >= 0 and share == (extra / best_cost if best_cost else 0)
    for period, lot in enumerate(rule):
        assert not lot or demands[period] or (period == len(demands) - 1 and final)


def test_rule_of_thumb_waits_for_demand_before_it_begins_a_lot() -> None:
    assert quotelib.silver_meal_lots([0, 0, 30, 0, 40, 0], 100, 1) == ((0.0,), (0.0,), (70.0,), (0.0,), (0.0,), (0.0,))
    assert quotelib.silver_meal_lots([0, 0, 0], 100, 1) == ((0.0,), (0.0,), (0.0,))


def test_rule_of_thumb_stops_at_the_first_rise_though_more_would_pay() -> None:
    """20, and 20 again four months later: 80 to carry them and 100 for a lot, yet 180 / 5 is more than 100 / 4."""
    assert quotelib.silver_meal_extra([20, 0, 0, 0, 20], 100, 1) == ((180.0, 200.0, 20.0, 20 / 180),)


def test_rule_of_thumb_does_not_take_months_without_demand_for_cheap_ones() -> None:
    """Month by month 100, 50, then 180 / 3 = 60 would end the lot; over what it lasts, 100 / 2 and 180 / 4 do not."""
    assert quotelib.silver_meal_lots([30, 0, 40, 0], 100, 1) == ((70.0,), (0.0,), (0.0,), (0.0,))


def test_five_hundred_and_twenty_weeks_agree_with_the_same_weeks_in_one_cost_each() -> None:
    """With demand, set-up and holding the same every week, lots of k weeks cost set-up / k + holding (k - 1) / 2 a week."""
    lots = [lot for (lot,) in quotelib.wagner_whitin_lots([10.0] * 520, 90, 1)]
    cost = quotelib.lots_cost(lots, [10.0] * 520, 90, 1)
    best_weeks = min(90 / weeks + 10 * (weeks - 1) / 2 for weeks in range(1, 30))
    assert best_weeks * 520 <= cost <= best_weeks * 520 * 1.001
    assert cost == 130 * (90 + 10 + 20 + 30)  # lots of four weeks: 37.5 a week


def test_a_row_a_column_and_one_cost_for_all_say_the_same() -> None:
    demands = [18, 30, 42, 5, 20]
    row = quotelib.wagner_whitin_lots(demands, 80, 2)
    column = quotelib.wagner_whitin_lots([[asked] for asked in demands], [80] * 5, [[2]] * 5)
    assert row == column == quotelib.wagner_whitin_lots(np.array(demands), [80], [[2]])


def test_blank_periods_at_the_end_are_none_and_a_gap_is_refused() -> None:
    with_room = quotelib.wagner_whitin_lots([[18], [30], [42], [5], [20], [""], [None]], 80, 2, None, 0, 0, 7)
    assert with_room == (*quotelib.wagner_whitin_lots([18, 30, 42, 5, 20], 80, 2), ("",), ("",))
    lots = [[cell] for (cell,) in with_room]
    assert quotelib.lots_cost(lots, [18, 30, 42, 5, 20], 80, 2) == 310
    with pytest.raises(TypeInputError, match="demands cell 2 is blank"):
        quotelib.wagner_whitin_lots([18, "", 42], 80, 2)
    with pytest.raises(RangeError, match="rows is 3; it must be 5 or more"):
        quotelib.wagner_whitin_lots([18, 30, 42, 5, 20], 80, 2, None, 0, 0, 3)
    with pytest.raises(RangeError, match="setup_costs is '2 cells'; it must be one cell, or one for each period: 3"):
        quotelib.wagner_whitin_lots([18, 30, 42], [80, 90], 2)
    with pytest.raises(RangeError, match="demands is '2 x 2 cells'"):
        quotelib.wagner_whitin_lots([[18, 30], [42, 5]], 80, 2)


def test_own_plan_is_priced_and_one_that_runs_out_is_refused() -> None:
    asked = ([18, 30, 42, 5, 20], 80, 2)
    assert quotelib.lots_cost([18, 30, 42, 25], *asked) == 4 * 80 + 2 * 20
    with pytest.raises(RangeError, match="lots is '90 up to period 4'; with starting_stock it must be 95 or more"):
        quotelib.lots_cost([18, 30, 42], *asked)
    with pytest.raises(RangeError, match="lots is '6 cells'; it must be no more than the periods of demands: 5"):
        quotelib.lots_cost([115, 0, 0, 0, 0, 0], *asked)
