"""Demand against scipy's distributions, and against plain sums over past sales."""

import math
import random
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import scipy.stats
from hypothesis import given
from hypothesis import strategies as st

import quotelib
from quotelib.chapters.demand import outlook_of
from quotelib.errors import LookupMiss, RangeError, TypeInputError
from quotelib.kinds import DEMAND, DemandFigures
from quotelib.season.simulation import draw_demand
from tests.strategies import ordinary

CHANCES = (0.001, 0.1, 0.5, 0.8, 0.95, 0.999)


def poisson(draw: random.Random) -> tuple[list[Any], Any]:
    mean = draw.choice([draw.uniform(0.05, 5), draw.uniform(5, 500), draw.uniform(500, 20_000)])
    return ["poisson", mean], scipy.stats.poisson(mean)


def negative_binomial(draw: random.Random) -> tuple[list[Any], Any]:
    mean = draw.choice([draw.uniform(0.05, 5), draw.uniform(5, 5000)])
    variance = mean * draw.uniform(1.01, 80)
    demand = ["negative binomial", mean, math.sqrt(variance)]
    return demand, scipy.stats.nbinom(mean * mean / (variance - mean), mean / variance)


@pytest.mark.parametrize("make", [poisson, negative_binomial])
@pytest.mark.parametrize("seed", range(25))
def test_counts_agree_with_scipy(make: Callable[[random.Random], tuple[list[Any], Any]], seed: int) -> None:
    demand, reference = make(random.Random(seed))
    mean, deviation = reference.mean(), reference.std()
    assert quotelib.demand_mean(demand) == pytest.approx(mean, rel=1e-11)
    outlook = outlook_of(DEMAND.admit("demand", demand))
    for pieces in {0, int(mean / 3), int(mean), int(mean + deviation), int(mean + 4 * deviation)}:
        assert quotelib.chance_enough(pieces, demand) == pytest.approx(reference.cdf(pieces), rel=1e-9, abs=1e-12)
        assert outlook.beyond(pieces) == pytest.approx(reference.sf(pieces), rel=1e-8, abs=1e-18)
        assert outlook.below(pieces) == pytest.approx(reference.cdf(pieces - 1), rel=1e-9, abs=1e-12)
    for chance in CHANCES:
        assert quotelib.demand_quantile(chance, demand) == reference.ppf(chance)
    short = int(mean)
    tail = np.arange(short + 1, reference.ppf(1 - 1e-15) + 50)
    assert quotelib.expected_short(short, demand) == pytest.approx(((tail - short) * reference.pmf(tail)).sum(), rel=1e-9)


@pytest.mark.parametrize("seed", range(25))
def test_normal_agrees_with_scipy_truncated_at_zero(seed: int) -> None:
    """What the normal puts below zero counts as no demand: the distribution of max(D, 0)."""
    draw = random.Random(seed)
    mean = draw.uniform(1, 1000)
    deviation = mean * draw.uniform(0.05, 1.2)
    reference, demand = scipy.stats.norm(mean, deviation), ["normal", mean, deviation]
    end = mean + 12 * deviation
    for pieces in (0, mean / 2, mean, mean + deviation, mean + 3 * deviation):
        short = reference.expect(lambda d, pieces=pieces: d - pieces, lb=pieces, ub=end)
        sales = reference.expect(lambda d, pieces=pieces: min(d, pieces), lb=0, ub=end, epsabs=1e-10, limit=200)
        assert quotelib.chance_enough(pieces, demand) == pytest.approx(reference.cdf(pieces), rel=1e-12)
        assert quotelib.expected_short(pieces, demand) == pytest.approx(short, rel=1e-6, abs=1e-6)
        assert quotelib.expected_sales(pieces, demand) == pytest.approx(sales, rel=1e-6, abs=1e-6)
    for chance in CHANCES:
        assert quotelib.demand_quantile(chance, demand) == max(math.ceil(reference.ppf(chance)), 0)


def test_truncation_is_not_the_exclusion_of_what_lies_below_zero() -> None:
    """Both are called truncated: the published 35.38 counts it as no demand, scipy's truncnorm rules it out."""
    ruled_out = scipy.stats.truncnorm(-2.5, np.inf, 50, 20)
    assert quotelib.expected_sales(39, ["normal", 50, 20]) == pytest.approx(35.384, abs=5e-4)
    assert ruled_out.expect(lambda d: min(d, 39)) == pytest.approx(35.605, abs=5e-4)


@given(sales=st.lists(st.integers(0, 500), min_size=2, max_size=30).filter(any), pieces=st.integers(0, 600))
def test_a_history_is_the_mean_over_its_periods(sales: list[int], pieces: int) -> None:
    sold = np.array(sales)
    assert quotelib.demand_mean(sales) == pytest.approx(sold.mean())
    assert quotelib.chance_enough(pieces, sales) == pytest.approx((sold <= pieces).mean())
    assert quotelib.expected_sales(pieces, sales) == pytest.approx(np.minimum(sold, pieces).mean(), abs=1e-9)
    assert quotelib.expected_left_over(pieces, sales) == pytest.approx(np.maximum(pieces - sold, 0).mean(), abs=1e-9)
    assert quotelib.expected_short(pieces, sales) == pytest.approx(np.maximum(sold - pieces, 0).mean(), abs=1e-9)
    for chance in CHANCES:
        assert quotelib.demand_quantile(chance, sales) == np.quantile(sold, chance, method="inverted_cdf")
    assert outlook_of(DEMAND.admit("demand", sales)).below(pieces) == pytest.approx((sold < pieces).mean())


@given(demand=ordinary(DEMAND), pieces=st.integers(0, 400))
def test_sold_and_left_over_and_short_add_up(demand: Any, pieces: int) -> None:
    sold, mean = quotelib.expected_sales(pieces, demand), quotelib.demand_mean(demand)
    assert sold + quotelib.expected_left_over(pieces, demand) == pytest.approx(pieces, abs=1e-7)
    assert sold + quotelib.expected_short(pieces, demand) == pytest.approx(mean, abs=1e-7)
    assert quotelib.expected_sales(pieces + 1, demand) >= sold - 1e-9


@given(demand=ordinary(DEMAND), chance=st.floats(0.001, 0.999))
def test_the_quantile_is_the_smallest_number_that_is_enough(demand: Any, chance: float) -> None:
    pieces = quotelib.demand_quantile(chance, demand)
    assert quotelib.chance_enough(pieces, demand) >= chance - 1e-9
    assert pieces == 0 or quotelib.chance_enough(pieces - 1, demand) < chance + 1e-9


@given(demand=ordinary(DEMAND))
def test_tables_are_the_single_figures(demand: Any) -> None:
    outlook = outlook_of(DEMAND.admit("demand", demand))
    for last in (0, 5, 150):
        beyond, short = outlook.tables(last)
        assert beyond == pytest.approx([outlook.beyond(pieces) for pieces in range(last + 1)])
        assert short == pytest.approx([outlook.short(pieces) for pieces in range(last + 1)], abs=1e-9)


@pytest.mark.parametrize(
    "demand", [["normal", 250, 100], ["poisson", 250], ["negative binomial", 250, 100], [180, 260, 310, 0]], ids=str
)
def test_a_million_seasons_drawn_agree_within_their_error(demand: list[Any]) -> None:
    figures = DEMAND.admit("demand", demand)
    drawn = draw_demand(figures, 1_000_000, np.random.default_rng(11))
    outlook = outlook_of(figures)
    error = drawn.std() / 1000
    assert abs(drawn.mean() - outlook.mean) < 4 * error
    for pieces in (150, 250, 300):
        short = np.maximum(drawn - pieces, 0)
        assert abs(short.mean() - outlook.short(pieces)) < 4 * short.std() / 1000 + 1e-12
        chance = outlook.beyond(pieces)
        assert abs((drawn > pieces).mean() - chance) < 4 * math.sqrt(chance * (1 - chance)) / 1000 + 1e-12


def test_a_blank_form_is_not_taken_for_a_history() -> None:
    with pytest.raises(TypeInputError, match="demand is blank"):
        quotelib.demand_mean([["", 50, 20]])
    with pytest.raises(RangeError, match="demand is 'normal, 50'; it must be normal or negative binomial, mean, standard"):
        quotelib.demand_mean([["normal"], [50], [""]])
    with pytest.raises(LookupMiss, match="demand is 'gaussian'"):
        quotelib.demand_mean(["gaussian", 50, 20])
    with pytest.raises(RangeError, match="demand standard deviation is 5; it must be more than 5, the root of the mean"):
        quotelib.demand_mean(["negative binomial", 25, 5])
    with pytest.raises(RangeError, match=r"demand period 2 is 12.5; it must be whole"):
        quotelib.demand_mean([10, 12.5])


def test_a_column_is_read_like_a_row_and_blanks_are_passed_over() -> None:
    assert DEMAND.admit("demand", [["Poisson"], [30], [""]]) == DemandFigures("poisson", (30.0,))
    assert DEMAND.admit("demand", [[10], [""], [0]]) == DemandFigures("history", (10.0, 0.0))


def test_season_demand_can_be_handed_on() -> None:
    months = [[12, 31, 8, 19, 25, 40]]
    for form in ("normal", "poisson", "negative binomial", "history"):
        season = quotelib.season_demand(months, 4, form)
        assert quotelib.demand_mean(season) == pytest.approx(90 if form != "history" else 245 / 3, rel=0.01)
    with pytest.raises(RangeError, match="past_sales is '6 periods'; it must be 7 or more for history demand"):
        quotelib.season_demand(months, 6, "history")
    with pytest.raises(RangeError, match="it must differ from period to period"):
        quotelib.season_demand([[0, 0, 0]], 6)
