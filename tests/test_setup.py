"""Setup against exact arithmetic and numpy-financial; single values from outside stand in checks/setup.csv."""

from fractions import Fraction

import numpy_financial
import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotelib.chapters.setup import (
    annual_equivalent,
    depreciation_by_use,
    depreciation_straight,
    machine_hour_rate,
    screen_cost,
    tool_cost,
    tool_sets,
)

MONEY = st.floats(1, 1e6)


@given(cost=MONEY, share=st.floats(0, 1), years=st.floats(0.5, 60), rate=st.floats(1e-3, 1))
def test_annual_equivalent_is_the_payment_of_numpy_financial(cost: float, share: float, years: float, rate: float) -> None:
    expected = -numpy_financial.pmt(rate, years, cost, -cost * share)
    assert annual_equivalent(cost, cost * share, years, rate) == pytest.approx(expected, rel=1e-10)


@given(cost=st.integers(1, 10**6), share=st.integers(0, 100), years=st.integers(1, 60), percent=st.integers(1, 100))
def test_the_yearly_costs_and_the_salvage_are_worth_the_price(cost: int, share: int, years: int, percent: int) -> None:
    salvage, growth = Fraction(cost * share, 100), 1 + Fraction(percent, 100)
    yearly = Fraction(annual_equivalent(cost, float(salvage), years, percent / 100))
    worth = sum(yearly / growth**year for year in range(1, years + 1)) + salvage / growth**years
    assert float(worth) == pytest.approx(cost, rel=1e-12)


@given(cost=MONEY, share=st.floats(0, 1), years=st.floats(0.5, 60))
def test_a_vanishing_rate_leaves_the_straight_line(cost: float, share: float, years: float) -> None:
    straight = annual_equivalent(cost, cost * share, years, 0)
    assert straight == (cost - cost * share) / years
    assert annual_equivalent(cost, cost * share, years, 1e-13) == pytest.approx(straight, rel=1e-9, abs=cost * 1e-12)


@given(cost=MONEY, share=st.floats(0, 0.99), years=st.floats(0.5, 60), rates=st.tuples(st.floats(0, 1), st.floats(0, 1)))
def test_dearer_money_never_makes_a_machine_cheaper(
    cost: float, share: float, years: float, rates: tuple[float, float]
) -> None:
    low, high = (annual_equivalent(cost, cost * share, years, rate) for rate in sorted(rates))
    assert low <= high * (1 + 1e-12)


@given(impressions=st.integers(0, 10**9), life=st.integers(1, 10**6), set_cost=MONEY)
def test_tools_by_use_never_cost_more_than_whole_sets(impressions: int, life: int, set_cost: float) -> None:
    by_use = tool_cost(impressions, life, set_cost, False)
    whole = tool_cost(impressions, life, set_cost)
    assert by_use <= whole * (1 + 1e-12)
    assert whole == set_cost * max(-(-impressions // life), 1) == set_cost * tool_sets(impressions, life)


def test_an_idle_machine_costs_more_an_hour() -> None:
    assert machine_hour_rate(3000, 900, 500) == 2 * machine_hour_rate(3000, 900, 1000)


@given(cost=MONEY, share=st.floats(0, 1), uses=st.lists(st.integers(0, 10**6), min_size=1, max_size=20))
def test_a_life_of_use_writes_off_what_is_not_salvage(cost: float, share: float, uses: list[int]) -> None:
    life = max(sum(uses), 1)
    written_off = sum(depreciation_by_use(cost, cost * share, use, life) for use in uses)
    assert written_off == pytest.approx((cost - cost * share) * sum(uses) / life, rel=1e-9, abs=1e-9 * cost)


@given(cost=MONEY, share=st.floats(0, 1), years=st.integers(1, 60))
def test_even_use_is_the_straight_line(cost: float, share: float, years: int) -> None:
    yearly = depreciation_straight(cost, cost * share, years)
    assert yearly == pytest.approx(depreciation_by_use(cost, cost * share, 1, years), rel=1e-12)
    assert yearly == annual_equivalent(cost, cost * share, years, 0)


@given(
    impressions=st.integers(0, 10**6),
    stencil=st.floats(0, 100),
    stretch=st.floats(0, 200),
    life=st.integers(100, 10**5),
    reclaims=st.integers(1, 40),
    frame=st.floats(0.01, 300),
    stretches=st.integers(1, 40),
)
def test_a_screen_is_a_stencil_and_shares_of_two_tools(
    impressions: int, stencil: float, stretch: float, life: int, reclaims: int, frame: float, stretches: int
) -> None:
    total = screen_cost(impressions, stencil, stretch, life, reclaims, frame, stretches)
    stencils = max(-(-impressions // life), 1)
    used = max(Fraction(impressions, life), Fraction(stencils, reclaims))
    assert total == pytest.approx(stencils * stencil + float(used) * (stretch + frame / stretches), rel=1e-12)
    assert total >= tool_cost(stencils, stretches * reclaims, frame, False) * (1 - 1e-12)
    assert screen_cost(impressions + 1, stencil, stretch, life, reclaims, frame, stretches) >= total
