"""What is charged, against a recomputation in decimals that shares no code with the library."""

import random
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal
from typing import Any

import pytest

import quotelib
from quotelib.chapters.charges import SETUP, PriceTerms, charged
from quotelib.chapters.curve import CostCurve, CurveLine
from quotelib.errors import RangeError

PLAIN: dict[str, Any] = {
    "profit_as": "margin",
    "profit": 0.3,
    "commission": 0.0,
    "price_step": 0.01,
    "price_direction": "nearest",
    "setup_apart": False,
    "minimum_charge": 0.0,
    "rush": 0.0,
    "discount": 0.0,
    "tax_rate": 0.0,
    "minor_unit": 0.01,
}


def terms(**changes: Any) -> PriceTerms:
    return PriceTerms(**{**PLAIN, **changes})


def drawn(seed: int) -> tuple[int, CostCurve, PriceTerms]:
    """A run, its lines and the terms, at random."""
    draw = random.Random(seed)
    lines = [
        CurveLine(draw.choice([1.0, 3.0]), 0.0, 0.0, 0.0, round(draw.uniform(5, 300), 2)),
        CurveLine(0.0, 1.0, draw.choice([0.0, 0.95, 12.0]), draw.choice([0.0, 50.0]), round(draw.uniform(0.2, 9), 4)),
        CurveLine(2.0, 1.0, 0.0, 0.0, round(draw.uniform(0.01, 3), 4), ((200.0, 0.009),) if draw.random() < 0.3 else ()),
    ]
    unit = draw.choice([0.01, 0.01, 0.01, 1, 0.001])
    made = terms(
        profit_as=draw.choice(["margin", "markup"]), profit=round(draw.uniform(0, 0.6), 3),
        commission=draw.choice([0, 0.05, 0.1]), price_step=draw.choice([unit, 5 * unit, 0.25, 1]),
        price_direction=draw.choice(["nearest", "up"]), setup_apart=draw.random() < 0.5,
        minimum_charge=draw.choice([0, 75, 400.01]), rush=draw.choice([0, 0.1, 0.25, 0.333]),
        discount=draw.choice([0, 0.02, 0.05, 0.125]), tax_rate=draw.choice([0, 0.0825, 0.19, 0.2]), minor_unit=unit,
    )  # fmt: skip
    return draw.randint(1, 3000), CostCurve(lines), made


@pytest.mark.parametrize("seed", range(1000))
def test_lines_of_a_random_quote_add_up_to_its_total_with_tax_on_the_net(seed: int) -> None:
    run, curve, made = drawn(seed)
    found = charged(run, curve, made)
    unit = Decimal(str(made.minor_unit))
    amounts = {charge.label: charge.amount for charge in found.charges}
    assert all(amount % unit == 0 for amount in (*amounts.values(), found.net, found.tax, found.total))
    assert sum(amounts.values()) == found.net and found.net + found.tax == found.total

    def whole(amount: Decimal) -> Decimal:
        return (amount / unit).to_integral_value(ROUND_HALF_UP) * unit

    goods, setup = amounts["Goods"], amounts.get("Set-up", Decimal(0))
    assert goods == whole(found.unit_price * run)
    assert amounts.get("Discount", Decimal(0)) == -whole((goods + setup) * Decimal(str(made.discount)))
    before_rush = sum(amount for label, amount in amounts.items() if label != "Rush")
    assert before_rush >= whole(Decimal(str(made.minimum_charge)))
    assert amounts.get("Rush", Decimal(0)) == whole(before_rush * Decimal(str(made.rush)))
    assert found.tax == whole(found.net * Decimal(str(made.tax_rate)))


@pytest.mark.parametrize("seed", range(0, 300, 3))
def test_unit_price_pays_cost_commission_and_profit(seed: int) -> None:
    """Before rounding, what is left after commission is the margin of the price or the markup of the cost."""
    run, curve, made = drawn(seed)
    cost = Decimal(str(curve.run_cost(run)))
    setup = Decimal(0)
    if made.setup_apart:
        setup = sum((Decimal(str(line.once * line.rate_at(line.quantity(run)))) for line in curve.lines), Decimal(0))
    one = (cost - setup) / run
    profit, commission, step = (Decimal(str(each)) for each in (made.profit, made.commission, made.price_step))
    exact = one * (1 + profit) / (1 - commission) if made.profit_as == "markup" else one / (1 - profit - commission)
    rounding = ROUND_CEILING if made.price_direction == "up" else ROUND_HALF_UP
    wanted = (exact.quantize(Decimal("1e-11")) / step).to_integral_value(rounding) * step
    assert charged(run, curve, made).unit_price == wanted


def test_setup_shown_apart_and_spread_ask_the_same_money() -> None:
    """But for rounding: less than a price step a piece."""
    run, curve, _ = drawn(5)
    apart, spread = (charged(run, curve, terms(setup_apart=shown)) for shown in (True, False))
    assert apart.amount(SETUP) > 0 and spread.amount(SETUP) == 0
    assert abs(apart.net - spread.net) <= Decimal("0.01") * run
    assert apart.unit_price < spread.unit_price


def test_what_is_left_is_the_margin_asked_for() -> None:
    run, curve, _ = drawn(7)
    found = charged(run, curve, terms(profit=0.3, commission=0.1, price_step=0.0001))
    assert found.left / float(found.net) == pytest.approx(0.3, abs=1e-3)
    assert found.commission == (found.net / 10).quantize(Decimal("0.01"), ROUND_HALF_UP)


def test_a_margin_with_its_commission_must_leave_something_for_the_cost() -> None:
    run, curve, _ = drawn(1)
    with pytest.raises(RangeError, match=r"profit is 0\.95; with a commission of 0\.1"):
        charged(run, curve, terms(profit=0.95, commission=0.1))
    with pytest.raises(RangeError, match=r"profit is 1\.5; it must be 0 or more, less than 1"):
        charged(run, curve, terms(profit=1.5))
    assert charged(run, curve, terms(profit_as="markup", profit=1.5)).net > 0


def test_a_ladder_is_the_quotes_of_its_runs() -> None:
    _, curve, made = drawn(11)
    lines = [[*line[:5], *(cell for pair in line.breaks for cell in pair)] for line in curve.lines]
    width = max(map(len, lines))
    lines = [line + [""] * (width - len(line)) for line in lines]
    names = [[entry.name] for entry in made.entries()]
    values = [[getattr(made, entry.name)] for entry in made.entries()]
    runs = [[25], [250], [2500]]
    for (run,), rung in zip(runs, quotelib.price_ladder(runs, lines, names, values), strict=True):
        *_, net, tax, total = quotelib.quote_lines(run, lines, names, values)
        assert (rung[2], rung[3], rung[4]) == (net[3], tax[3], total[3])
        assert rung[5] == total[3] / run and rung[6] == pytest.approx(curve.unit_cost(run))
