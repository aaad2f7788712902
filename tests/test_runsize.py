"""Plans against a shop that works piece by piece, and against every plan tried one by one."""

import math
import random
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
import scipy.stats
from hypothesis import given
from hypothesis import strategies as st

import quotelib
from quotelib.chapters.curve import CostCurve
from quotelib.chapters.demand import outlook_of
from quotelib.chapters.plans import Made, Search, Supply, Terms, expected_season, parts
from quotelib.errors import NoSolution, RangeError
from quotelib.kinds import COST_LINES, DEMAND
from tests.strategies import ordinary

PRICE, SALVAGE, RATE, MONTHS = 9.0, 1.5, 0.24, 6.0
BY_HAND = [[1, "", "", "", 42.0], [0, 1, 0.95, "", 2.1], [0, 1, 20, "", 6.0], ["", 1, "", "", 1.4, 30, 1.2, 60, 1.05]]
SHEETS = [[1, "", "", "", 60.0], [4, 1, 5.6, 12, 1.9]]
PRESSING = [[0, 1, 25, "", 5.0], [0, 1, 0.98, "", 1.1], ["", 1, "", "", 1.4, 30, 1.2, 60, 1.05]]
DEMANDS: list[list[Any]] = [["poisson", 22], ["negative binomial", 25, 12], [12, 30, 41, 7, 30], ["normal", 24, 9]]


class Shop:
    """A season lived through customer by customer: the same story, told in another way than plans.py tells it."""

    def __init__(self, up_front: int, held: int, lot: int) -> None:
        self.lot = lot
        self.shelf = [quotelib.unit_cost(up_front, BY_HAND)] * up_front if up_front else []
        self.transfer = quotelib.unit_cost(held, SHEETS) if held else 0.0
        self.transfers, self.pressed, self.sold, self.lost = held, [], 0.0, 0
        self.half_a_lot = 0.0
        self.first = [*self.shelf], held

    def customer(self) -> None:
        if not self.shelf and not self.pressed and self.transfers:
            size = min(self.lot, self.transfers)
            unit = self.transfer + quotelib.unit_cost(size, PRESSING)
            if not self.half_a_lot:
                self.half_a_lot = size * unit / 2
            self.transfers -= size
            self.pressed = [unit] * size
        for place in (self.shelf, self.pressed):
            if place:
                self.sold += place.pop()
                return
        self.lost += 1

    def costs(self) -> list[float]:
        """Production, holding, write-down, lost sales, all, left over, transfers left over, short."""
        holding = RATE * MONTHS / 12
        shelf, transfers = self.first
        held = (sum(shelf) + sum(self.shelf)) / 2 + self.transfer * (transfers + self.transfers) / 2 + self.half_a_lot
        left = [*self.shelf, *self.pressed]
        down = sum(left) - SALVAGE * len(left) + self.transfer * self.transfers
        money = [self.sold, holding * held, down, PRICE * self.lost]
        return [*money, sum(money), len(left), self.transfers, self.lost]


def chances(demand: list[Any]) -> dict[int, float]:
    """Chance of each number of customers, from scipy."""
    if demand[0] == "poisson":
        reference = scipy.stats.poisson(demand[1])
    elif demand[0] == "negative binomial":
        variance = demand[2] ** 2
        reference = scipy.stats.nbinom(demand[1] ** 2 / (variance - demand[1]), demand[1] / variance)
    else:
        return {sold: demand.count(sold) / len(demand) for sold in set(demand)}
    return {sold: reference.pmf(sold) for sold in range(int(reference.ppf(1 - 1e-13)) + 2)}


def costs(plan: tuple[int, int], demand: list[Any], lot: int = 10) -> tuple[float, ...]:
    row: tuple[float, ...]
    (row,) = quotelib.plan_costs([plan], demand, PRICE, SALVAGE, RATE, MONTHS, BY_HAND, SHEETS, PRESSING, lot)
    return row


def best(policy: str, demand: list[Any], lot: int = 10) -> tuple[int, int, float]:
    ((up_front, held, cost),) = quotelib.best_plan(
        policy, demand, PRICE, SALVAGE, RATE, MONTHS, BY_HAND, SHEETS, PRESSING, lot
    )
    return int(up_front), int(held), cost


@pytest.mark.parametrize("demand", DEMANDS[:3], ids=str)
@pytest.mark.parametrize(
    ("up_front", "held", "lot"), [(25, 0, 10), (0, 37, 10), (12, 20, 10), (3, 7, 10), (8, 30, 1), (0, 24, 6)]
)
def test_expected_costs_are_those_of_seasons_lived_through(demand: list[Any], up_front: int, held: int, lot: int) -> None:
    expected = np.zeros(8)
    for customers, chance in chances(demand).items():
        shop = Shop(up_front, held, lot)
        for _ in range(customers):
            shop.customer()
        expected += chance * np.array(shop.costs())
    assert costs((up_front, held), demand, lot) == pytest.approx(expected, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("demand", DEMANDS, ids=str)
@pytest.mark.parametrize("lot", [4, 10, 200])
def test_best_plans_are_the_least_of_all_plans(demand: list[Any], lot: int) -> None:
    last = outlook_of(DEMAND.admit("demand", demand)).quantile(1 - 1e-6)
    plans = [(up_front, held) for up_front in range(last + 1) for held in range(last + 1 - up_front)]
    rows = quotelib.plan_costs(plans, demand, PRICE, SALVAGE, RATE, MONTHS, BY_HAND, SHEETS, PRESSING, lot)
    least = dict.fromkeys(("up front", "held", "both"), (math.inf, 0, 0))
    for (up_front, held), row in zip(plans, rows, strict=True):
        for policy in least:
            allowed = {"up front": not held, "held": not up_front, "both": up_front and held}[policy]
            if allowed and row[4] < least[policy][0] - 1e-9:
                least[policy] = (row[4], up_front, held)
    for policy, (cost, *_) in least.items():
        up_front, held, found = best(policy, demand, lot)
        assert found == pytest.approx(cost, rel=1e-12), policy
        assert costs((up_front, held), demand, lot)[4] == pytest.approx(cost, rel=1e-12)


@pytest.mark.parametrize("seed", range(12))
def test_best_plans_on_random_small_instances(seed: int) -> None:
    draw = random.Random(seed)

    def lines() -> list[list[Any]]:
        rows = [[draw.uniform(0, 60), 0, 0, 0, draw.uniform(0.1, 1)]]
        rows += [[0, 1, draw.choice([0, 0.9, 3, 7.5]), draw.choice([0, 5]), draw.uniform(0.1, 3)] for _ in range(3)]
        start, rate = draw.randint(5, 15), draw.uniform(0.5, 2)
        return [[*row, "", ""] for row in rows] + [[0, 1, 0, 0, rate, start, rate * 0.8]]

    curves = [CostCurve.from_rows(COST_LINES.admit("lines", lines())) for _ in range(3)]
    demand = DEMAND.admit(
        "demand", draw.choice([["poisson", draw.uniform(1, 15)], [draw.randint(0, 20) for _ in range(5)] + [9]])
    )
    terms = Terms(draw.uniform(1, 25), draw.choice([0, draw.uniform(0, 4)]), draw.uniform(0, 0.3))
    supply, outlook = Supply(*curves, draw.randint(1, 8)), outlook_of(demand)
    search = Search(supply, outlook, terms)

    def cost(up_front: int, held: int) -> float:
        made = Made.by(supply, up_front, held)
        return float(parts(made, expected_season(made, outlook), terms).total)

    last = search.last
    assert search.up_front().cost == pytest.approx(min(cost(pieces, 0) for pieces in range(last + 1)), rel=1e-11)
    assert search.held().cost == pytest.approx(min(cost(0, pieces) for pieces in range(last + 1)), rel=1e-11)
    both = [cost(up_front, held) for up_front in range(1, last) for held in range(1, last + 1 - up_front)]
    if both:
        found = search.both()
        assert found.cost == pytest.approx(min(both), rel=1e-11)
        assert cost(found.up_front, found.held) == pytest.approx(found.cost, rel=1e-11)
    else:
        with pytest.raises(NoSolution):
            search.both()


@given(demand=ordinary(DEMAND), price=st.floats(2, 30), unit=st.floats(0.5, 20), salvage=st.floats(0, 0.45))
def test_without_steps_the_best_run_is_the_newsvendor_s(demand: Any, price: float, unit: float, salvage: float) -> None:
    lines = [[0, 1, "", "", unit]]
    run = quotelib.newsvendor_run(demand, price, unit, salvage)
    ((found, _, cost),) = quotelib.best_plan("up front", demand, price, salvage, 0, 12, lines)
    rows = quotelib.plan_costs([[run, 0], [found, 0]], demand, price, salvage, 0, 12, lines)
    last = outlook_of(DEMAND.admit("demand", demand)).quantile(1 - 1e-6)
    if run <= last:
        assert rows[0][4] == pytest.approx(cost, rel=1e-9)
    assert rows[1][4] == pytest.approx(cost, rel=1e-9)
    ratio = quotelib.critical_ratio(price, unit, salvage)
    if 0 < ratio < 1 and (isinstance(demand, list) or demand[0] != "normal"):
        assert run == quotelib.demand_quantile(ratio, demand)


def test_a_price_break_moves_the_best_run_off_the_critical_ratio() -> None:
    demand, breaks = ["poisson", 40], [[0, 1, "", "", 5.0, 60, 3.0]]
    assert quotelib.newsvendor_run(demand, 8, 5) == 38
    assert quotelib.best_plan("up front", demand, 8, 0, 0, 12, breaks)[0][0] == 60  # 60 at 3 cost less than 37 at 5


def test_more_doubt_makes_waiting_worth_more() -> None:
    """Common practice, no source: held transfers pay where nobody knows what will sell, a run up front where it is."""
    gains = [
        best("up front", ["negative binomial", 40, sd])[2] - best("held", ["negative binomial", 40, sd])[2]
        for sd in (7, 12, 20, 30)
    ]
    assert all(less < more for less, more in pairwise(gains))
    assert gains[0] < 0 < gains[-1]


def test_a_long_run_of_one_design_is_years_of_stock() -> None:
    """Common practice, no source: 700 pieces of one design can take years to sell."""
    demand = ["negative binomial", 240, 90]
    assert quotelib.months_of_stock(700, demand, 12) == pytest.approx(35)
    assert quotelib.chance_stuck(700, demand, 12, 24) > 0.85


@given(demand=ordinary(DEMAND), pieces=st.integers(1, 300), months=st.floats(1, 60))
def test_the_chance_to_be_stuck_falls_with_the_months(demand: Any, pieces: int, months: float) -> None:
    now, later = (quotelib.chance_stuck(pieces, demand, 12, wait) for wait in (months, months * 1.5))
    assert 0 <= later <= now <= 1
    assert quotelib.chance_stuck(pieces, demand, 12, 12) == pytest.approx(
        outlook_of(DEMAND.admit("d", demand)).below(pieces)
    )


def test_the_square_root_law() -> None:
    for designs in (2, 4, 9, 25):
        alone = designs * quotelib.safety_stock(30, 0.95)
        pooled = quotelib.safety_stock(quotelib.pooled_deviation([30] * designs), 0.95)
        assert pooled / alone == pytest.approx(1 / math.sqrt(designs))


@given(deviations=st.lists(st.floats(0.1, 100), min_size=2, max_size=6), correlation=st.floats(0, 1))
def test_waiting_is_worth_less_the_more_designs_go_together(deviations: list[float], correlation: float) -> None:
    value = quotelib.waiting_value(deviations, 6, 3, correlation)
    assert 0 <= value <= quotelib.waiting_value(deviations, 6, 3) + 1e-9
    assert quotelib.waiting_value(deviations, 6, 3, 1) == pytest.approx(0, abs=1e-6)


def test_what_is_refused() -> None:
    with pytest.raises(RangeError, match="held_lines is blank; it must be given for the policy both"):
        quotelib.best_plan("both", ["poisson", 9], 5, 0, 0, 12, BY_HAND)
    with pytest.raises(NoSolution, match="plans are looked for up to 200000 pieces"):
        quotelib.best_plan("up front", ["normal", 1e5, 1e5], 5, 0, 0, 12, BY_HAND)
    with pytest.raises(NoSolution, match="salvage is 6; a piece left over loses nothing; it must be less than"):
        quotelib.newsvendor_run(["poisson", 9], 8, 5, 6)
