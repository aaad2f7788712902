"""Investment against numpy-financial, numpy's roots of polynomials, and the spreadsheet's own NPV, IRR and PMT."""

import datetime
import math
import random
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import numpy as np
import numpy_financial as npf
import pytest
import xlsxwriter
from hypothesis import given
from hypothesis import strategies as st

import quotelib
from quotelib.chapters.polynomial import zeros
from quotelib.errors import NoSolution, QuoteError, RangeError
from quotelib.hosts.build import EXAMPLE
from quotelib.hosts.calc.session import Calc
from quotelib.prices.pricelist import load_price_list
from quotelib.quoting import quote
from quotelib.rates import load_rates

WORKBOOK = Path(__file__).resolve().parent.parent / "workbook"


def with_rates(rates: Sequence[Fraction]) -> list[float]:
    """Cash flows that have just these rates of return: the product of (1 - (1 + rate) x) in whole numbers."""
    flows = [Fraction(-1)]
    for rate in rates:
        shifted = [Fraction(0), *(-(1 + rate) * flow for flow in flows)]
        flows = [a + b for a, b in zip([*flows, Fraction(0)], shifted, strict=True)]
    scale = math.lcm(*(flow.denominator for flow in flows))
    return [float(flow * scale) for flow in flows]


def exact_worth(flows: Sequence[float], factor: float) -> Fraction:
    """The net present value at a discount factor, without rounding."""
    worth = Fraction(0)
    for flow in reversed(flows):
        worth = worth * Fraction(factor) + Fraction(flow)
    return worth


@given(
    rate=st.floats(-0.9, 3), flows=st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=30),
)  # fmt: skip
def test_net_present_value_is_numpy_financial_s(rate: float, flows: list[float]) -> None:
    sizes = [abs(flow) for flow in flows]
    assert quotelib.net_present_value(rate, flows) == pytest.approx(
        npf.npv(rate, flows), abs=1e-9 * npf.npv(rate, sizes) + 1e-9
    )


def test_net_present_value_takes_an_array_of_rates() -> None:
    rates = np.linspace(-0.5, 1, 7)
    worth = quotelib.net_present_value(rates, [-500, 300, 200, 150])
    assert worth == pytest.approx([npf.npv(rate, [-500, 300, 200, 150]) for rate in rates])


@pytest.mark.parametrize("seed", range(60))
def test_an_outlay_and_what_it_brings_have_numpy_financial_s_rate(seed: int) -> None:
    draw = random.Random(seed)
    flows = [-draw.uniform(100, 1e5), *(draw.uniform(1, 3e4) for _ in range(draw.randint(1, 30)))]
    rate = quotelib.rate_of_return(flows)
    assert rate == pytest.approx(npf.irr(flows), abs=1e-9)
    ((only, below, above),) = quotelib.rates_of_return(flows)
    assert (only, below, above) == (rate, "positive", "negative")


@pytest.mark.parametrize("seed", range(40))
def test_all_rates_that_flows_were_made_with_are_found(seed: int) -> None:
    draw = random.Random(seed)
    wanted = sorted(draw.sample([Fraction(step, 20) for step in range(-12, 60, 3)], draw.randint(1, 6)))
    flows = with_rates(wanted)
    rows = quotelib.rates_of_return(flows)
    assert [row[0] for row in rows] == pytest.approx([float(rate) for rate in wanted], abs=1e-6)
    for (_, _, above), (_, below, _) in pairwise(rows):
        assert above == below
    for rate, below, above in rows:
        assert {below, above} == {"positive", "negative"}
        just_below, just_above = (exact_worth(flows, 1 / (1 + rate + step)) for step in (-0.01, 0.01))
        assert (just_below > 0, just_above > 0) == (below == "positive", above == "positive")


@given(flows=st.lists(st.integers(-50, 50), min_size=2, max_size=14).filter(any))
def test_rates_found_are_the_real_roots_above_minus_one(flows: list[int]) -> None:
    """Every simple root of numpy's is found, and whatever is found changes the sign, or all but touches zero."""
    try:
        found = [row[0] for row in quotelib.rates_of_return(flows)]
    except NoSolution:
        found = []
    powers = np.trim_zeros(np.array(flows, dtype=float))
    roots = np.roots(powers) if len(powers) > 1 else np.array([])  # of flow 0 y^n + ... + flow n, with y = 1 + rate
    factors = [float(root.real) for root in roots if abs(root.imag) < 1e-10 * abs(root) and root.real > 1e-6]
    for growth in factors:
        others = [abs(growth - root) for root in roots if root != growth]
        if not others or min(others) > 1e-3 * growth:
            assert any(1 + rate == pytest.approx(growth, rel=1e-6) for rate in found), (growth, found)
    for rate in found:
        assert any(abs(root - 1 - rate) < 1e-4 * (1 + rate) for root in roots), (rate, roots)


@given(flows=st.lists(st.floats(-1e12, 1e12), min_size=1, max_size=25))
def test_rates_are_ascending_and_the_worth_crosses_where_it_is_said_to(flows: list[float]) -> None:
    try:
        rows = quotelib.rates_of_return(flows)
    except NoSolution as refusal:
        assert "net present value" in str(refusal)
        return
    rates = [row[0] for row in rows]
    signs = [np.sign(flow) for flow in flows if flow]
    assert rates == sorted(rates) and rates[0] > -1
    assert len(rates) <= sum(a != b for a, b in pairwise(signs))
    for (rate, _, above), (later, below, _) in pairwise(rows):
        assert above == below
        between = exact_worth(flows, math.sqrt(1 / (1 + rate) / (1 + later)))
        assert (between > 0) == (above == "positive")


def test_several_rates_or_none_are_said_and_never_guessed() -> None:
    assert npf.irr([-1600, 10000, -10000]) == pytest.approx(0.25)  # one of two, without a word
    with pytest.raises(NoSolution, match=r"they have 2 rates of return, 0\.25 and 4, and none is the one"):
        quotelib.rate_of_return([-1600, 10000, -10000])
    with pytest.raises(NoSolution, match=r"they have 4 rates of return, 0\.25, 0\.333333, 0\.428571 and 0\.666667"):
        quotelib.rate_of_return([-252, 1431, -3035, 2850, -1000])
    with pytest.raises(NoSolution, match="no rate up to 1e9 makes their net present value 0: it is negative"):
        quotelib.rate_of_return([-100, -5, -1])
    with pytest.raises(NoSolution, match="it is positive"):
        quotelib.rates_of_return([100, -200, 150])
    with pytest.raises(NoSolution, match="their net present value is 0 at every rate"):
        quotelib.rates_of_return([0, 0, 0])


def test_rates_that_all_but_meet_are_told_apart_or_said_to_touch() -> None:
    apart = quotelib.rates_of_return(with_rates([Fraction(10, 100), Fraction(1001, 10000)]))
    assert [row[0] for row in apart] == pytest.approx([0.1, 0.1001], abs=1e-9)
    ((rate, below, above),) = quotelib.rates_of_return(with_rates([Fraction(1, 10), Fraction(1, 10)]))
    assert rate == pytest.approx(0.1, abs=1e-7) and below == above == "negative"
    thrice = quotelib.rates_of_return(with_rates([Fraction(1, 10)] * 3))
    assert [row[0] for row in thrice] == pytest.approx([0.1] * len(thrice), abs=1e-4)
    assert (thrice[0][1], thrice[-1][2]) == ("positive", "negative")


def test_rates_far_out_are_found() -> None:
    assert quotelib.rate_of_return([-1, 1e8]) == pytest.approx(1e8 - 1)
    assert quotelib.rate_of_return([-1e6, 0, 0, 0, 1e-6]) == pytest.approx(-0.999)
    assert quotelib.rate_of_return([0, 0, -100, 110]) == pytest.approx(0.1)


def test_zeros_of_many_changes_of_sign_are_found() -> None:
    """Chebyshev's polynomial of degree 12 moved to 1..3: all twelve zeros, known in closed form."""
    moved = np.polynomial.Chebyshev.basis(12, domain=[1, 3]).convert(kind=np.polynomial.Polynomial)
    wanted = sorted(2 + math.cos((2 * place + 1) * math.pi / 24) for place in range(12))
    assert zeros([float(term) for term in moved.coef]) == pytest.approx(wanted, rel=1e-5)


@given(
    outlay=st.integers(1, 5000), flows=st.lists(st.integers(-300, 2000), min_size=1, max_size=12),
    rate=st.sampled_from([0.0, 0.08, 0.5]),
)  # fmt: skip
def test_from_payback_on_the_money_is_back_for_good(outlay: int, flows: list[int], rate: float) -> None:
    so_far = np.cumsum([-outlay, *(flow / (1 + rate) ** year for year, flow in enumerate(flows, 1))])
    years = np.arange(len(so_far))
    try:
        payback = quotelib.payback_years([-outlay, *flows], rate)
    except NoSolution:
        assert so_far[-1] < 0
        return
    noise = 1e-9 * (outlay + sum(map(abs, flows)))
    assert abs(np.interp(payback, years, so_far)) <= noise
    assert (so_far[years >= payback] >= -noise).all()


def test_payback_says_what_is_lacking_and_counts_later_costs() -> None:
    with pytest.raises(NoSolution, match="they never pay back: 300 is lacking at the end"):
        quotelib.payback_years([-500, 100, 100])
    assert quotelib.payback_years([-100, 200, -150, 100]) == 2.5
    assert quotelib.payback_years([100, 50]) == 0


@pytest.mark.parametrize("seed", range(20))
def test_annual_worth_is_the_payment_of_numpy_financial(seed: int) -> None:
    draw = random.Random(seed)
    flows = [draw.uniform(-9000, 9000) for _ in range(draw.randint(2, 25))]
    rate = draw.choice([0.0, draw.uniform(0.001, 0.4)])
    worth = npf.npv(rate, flows)
    assert quotelib.annual_worth(flows, rate) == pytest.approx(-npf.pmt(rate, len(flows) - 1, worth))


@pytest.mark.parametrize("seed", range(20))
def test_a_machine_s_saving_is_the_annual_worth_of_its_flows(seed: int) -> None:
    draw = random.Random(seed)
    cost, years, rate = round(draw.uniform(500, 50_000), 2), draw.randint(1, 20), draw.choice([0.0, 0.07, 0.3])
    machine = (cost, round(draw.uniform(0, cost), 2), years)
    now = round(draw.uniform(0.5, 3), 2)
    units = (now, round(now * draw.uniform(0.3, 0.95), 3), round(draw.uniform(0, 900), 2))
    pieces = draw.randint(100, 60_000)
    flows = [flow for (flow,) in quotelib.equipment_flows(*machine, pieces, *units)]
    saving = quotelib.equipment_saving(pieces, *machine, rate, *units)
    assert saving == pytest.approx(quotelib.annual_worth(flows, rate), abs=1e-6)
    least = quotelib.equipment_break_even(*machine, rate, *units)
    assert quotelib.equipment_saving(least, *machine, rate, *units) >= -1e-6
    assert least <= 1 or quotelib.equipment_saving(least - 1, *machine, rate, *units) < 1e-6
    table = quotelib.cash_flow_table(flows, rate, 25)
    assert table[years][4] == pytest.approx(quotelib.net_present_value(rate, flows)) and table[years + 1] == ("",) * 5
    assert quotelib.profitability_index(flows, rate) == pytest.approx(1 + table[years][4] / cost)


def test_what_cannot_pay_is_refused_with_its_reason() -> None:
    with pytest.raises(NoSolution, match="unit_with is 2; no volume pays; it must be less than unit_now \\(2\\)"):
        quotelib.equipment_break_even(9000, 0, 5, 0.1, 2, 2)
    with pytest.raises(RangeError, match="salvage is 9001; it must not be more than the cost"):
        quotelib.equipment_flows(9000, 9001, 5, 100, 2, 1)
    with pytest.raises(RangeError, match="flows cell 1 is 500; it must be an outlay"):
        quotelib.profitability_index([500, -100], 0.1)
    with pytest.raises(RangeError, match="it must be two cells at least"):
        quotelib.annual_worth([-100], 0.1)
    with pytest.raises(RangeError, match="rows is 3; it must be 6 or more"):
        quotelib.equipment_flows(9000, 0, 5, 100, 2, 1, 0, 3)
    with pytest.raises(QuoteError, match="flows cell 2 is blank"):
        quotelib.net_present_value(0.1, [-100, "", 100])


def test_making_pays_from_the_first_number_of_orders_that_earns_the_press() -> None:
    """Transfers printed in the shop against bought ones, by the routes of the template's own job."""
    priced = quote(EXAMPLE, load_rates(WORKBOOK / "shop-rates.toml"), load_price_list(WORKBOOK / "price-list.csv").rows)
    lines = {
        key: [
            [
                line.once,
                line.per_step,
                line.every,
                line.at_least,
                line.rate,
                *(cell for pair in line.breaks for cell in pair),
            ]
            for line in priced.curves[key].lines
        ]
        for key in ("transfer", "bought")
    }
    widest = {key: max(map(len, rows)) for key, rows in lines.items()}
    make, buy = ([row + [""] * (widest[key] - len(row)) for row in rows] for key, rows in lines.items())
    press = quotelib.annual_equivalent(38_000, 5000, 10, 0.08) + 4200
    for order in (500, 1000, 2000):
        saved = priced.curves["bought"].run_cost(order) - priced.curves["transfer"].run_cost(order)
        if saved <= 0:
            with pytest.raises(NoSolution, match="no volume pays"):
                quotelib.make_pays_from(order, make, buy, press)
            continue
        first = next(orders for orders in range(1, 10_000) if orders * saved >= press)
        assert quotelib.make_pays_from(order, make, buy, press) == first * order
        assert quotelib.make_saving(order, first, make, buy, press) >= 0
        assert first == 1 or quotelib.make_saving(order, first - 1, make, buy, press) < 0


def test_calc_s_own_functions_agree(calc: Calc, tmp_path: Path) -> None:
    """NET_PRESENT_VALUE is first + NPV(rate, others); RATE_OF_RETURN is IRR, ANNUAL_WORTH is -PMT of the worth."""
    flows = [-5400, 900, 1700, -300, 2600, 1200, 1400]
    typed = [
        ("=NET_PRESENT_VALUE(0.08,A1:A7)", "=A1+NPV(0.08,A2:A7)"),
        ("=RATE_OF_RETURN(A1:A7)", "=IRR(A1:A7)"),
        ("=ANNUAL_WORTH(A1:A7,0.08)", "=-PMT(0.08,6,A1+NPV(0.08,A2:A7))"),
        ("=EQUIPMENT_SAVING(8000,9000,1000,5,0.1,1.5,0.9,400)", "=8000*0.6-400+PMT(0.1,5,9000,-1000)"),
        ("=LOTS_COST(WAGNER_WHITIN_LOTS({18,30,42,5,20},80,2),{18,30,42,5,20},80,2)", "=310"),
        ("=BEST_ORDER(800,60,{0,53;100,49.5;200,48},0.3)", "=200"),
    ]
    path = tmp_path / "agree.xlsx"
    with xlsxwriter.Workbook(path) as workbook:
        workbook.set_properties({"created": datetime.datetime(2026, 1, 1)})
        sheet = workbook.add_worksheet("S")
        sheet.write_column(0, 0, flows)
        for row, pair in enumerate(typed):
            for column, formula in enumerate(pair, 2):
                sheet.write_formula(row, column, formula, None, 999)
    with calc.open(path) as opened:
        for row, (ours, _) in enumerate(typed, 1):
            assert opened.value(f"S!C{row}") == pytest.approx(opened.value(f"S!D{row}"), rel=1e-9), ours
