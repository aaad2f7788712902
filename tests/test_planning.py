"""Seasons drawn at random against what is expected, and the plan of the invented season against the search of a cell."""

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import quotelib
from quotelib.chapters.curve import CostCurve
from quotelib.chapters.demand import outlook_of
from quotelib.chapters.plans import Made, Search, Supply, Terms, expected_season, parts
from quotelib.cli import main
from quotelib.errors import FileRefused
from quotelib.kinds import COST_LINES, DEMAND
from quotelib.prices.pricelist import load_price_list
from quotelib.quoting import Quote
from quotelib.rates import load_rates
from quotelib.season.designs import load_jobs, quote_season
from quotelib.season.plan_arrays import ArraySearch, outlook_on_arrays, run_costs
from quotelib.season.planning import (
    HELD_ROUTES,
    DesignPlan,
    Makable,
    PlanTerms,
    held_way,
    load_sales,
    makables,
    plan_designs,
    plan_table,
    shared_blanks_table,
    simulated_cost,
)
from quotelib.season.simulation import simulated_plan, simulated_waiting_value
from tests.test_runsize import BY_HAND, DEMANDS, PRESSING, SHEETS

ROOT = Path(__file__).resolve().parent.parent
SEASON = ROOT / "examples" / "season"
TERMS = Terms(9.0, 1.5, 0.12)
UP_FRONT, HELD, PRESS = (CostCurve.from_rows(COST_LINES.admit("lines", rows)) for rows in (BY_HAND, SHEETS, PRESSING))


@pytest.fixture(scope="module")
def quotes() -> list[Quote]:
    prices = load_price_list(ROOT / "workbook" / "price-list.csv")
    return quote_season(load_jobs(SEASON), load_rates(ROOT / "workbook" / "shop-rates.toml"), prices.rows)


@pytest.fixture(scope="module")
def designs(quotes: list[Quote]) -> list[Makable]:
    return makables(quotes, load_sales(SEASON / "sales.csv"), PlanTerms())


@pytest.fixture(scope="module")
def plans(designs: list[Makable]) -> list[DesignPlan]:
    return plan_designs(designs, PlanTerms())


@pytest.mark.parametrize("demand", DEMANDS, ids=str)
@pytest.mark.parametrize(("up_front", "held"), [(22, 0), (0, 25), (12, 17)], ids=["up front", "held", "both"])
def test_simulated_seasons_agree_within_their_stated_error(demand: list[Any], up_front: int, held: int) -> None:
    made = Made.by(Supply(UP_FRONT, HELD, PRESS, 8), up_front, held)
    expected = parts(made, expected_season(made, outlook_of(DEMAND.admit("demand", demand))), TERMS)
    seen = simulated_plan(made, demand, TERMS, seasons=400_000, seed=3)
    for name, exact, mean, error in zip(expected._fields, expected, seen.mean, seen.error, strict=True):
        assert abs(mean - exact) <= 4 * error + 1e-9 * abs(exact), name
    assert abs(seen.total[0] - expected.total) <= 4 * seen.total[1]
    assert 0 < seen.total[1] < 0.01 * expected.total


def test_the_stated_error_is_the_spread_of_repeated_simulations() -> None:
    made = Made.by(Supply(UP_FRONT, HELD, PRESS, 8), 12, 17)
    totals = [simulated_plan(made, DEMANDS[1], TERMS, seasons=2_000, seed=seed).total for seed in range(200)]
    spread = np.std([mean for mean, _ in totals], ddof=1)
    assert np.mean([error for _, error in totals]) == pytest.approx(spread, rel=0.2)


def test_the_same_seed_gives_the_same_seasons() -> None:
    made = Made.by(Supply(UP_FRONT, HELD, PRESS, 8), 12, 17)
    first, again, other = (simulated_plan(made, DEMANDS[3], TERMS, 20_000, seed) for seed in (5, 5, 6))
    assert first == again != other


@pytest.mark.parametrize("correlation", [0.0, 0.4, -0.2])
def test_the_value_of_waiting_agrees_with_correlated_seasons(correlation: float) -> None:
    deviations = [40.0, 25.0, 60.0, 10.0]
    mean, error = simulated_waiting_value(deviations, 9, 6, correlation, seasons=200_000, seed=2)
    assert abs(mean - quotelib.waiting_value(deviations, 9, 6, correlation)) <= 4 * error
    assert error < 0.02 * mean


def test_pooled_poisson_demand_needs_what_its_own_quantile_says() -> None:
    """Six designs of 20 pieces each, their sum poisson of 120: the blanks for 95 % against the finished pieces."""
    alone = 6 * (quotelib.demand_quantile(0.95, ["poisson", 20]) - 20)
    pooled = quotelib.demand_quantile(0.95, ["poisson", 120]) - 120
    assert pooled / alone == pytest.approx(1 / math.sqrt(6), rel=0.1)


@pytest.mark.parametrize("demand", DEMANDS, ids=str)
@pytest.mark.parametrize("lot", [4, 10, 200])
def test_the_search_on_arrays_finds_what_the_search_of_a_cell_finds(demand: list[Any], lot: int) -> None:
    figures = DEMAND.admit("demand", demand)
    cell = Search(Supply(UP_FRONT, HELD, PRESS, lot), outlook_of(figures), TERMS)
    arrays = ArraySearch(outlook_on_arrays(figures), TERMS, lot)
    both = cell.both()
    assert arrays.up_front(UP_FRONT) == pytest.approx(cell.up_front(), rel=1e-9)
    assert arrays.held(HELD, PRESS) == pytest.approx(cell.held(), rel=1e-9)
    assert arrays.both(UP_FRONT, HELD, PRESS, math.inf) == pytest.approx(both, rel=1e-9)
    assert arrays.both(UP_FRONT, HELD, PRESS, both.cost * 1.01) == pytest.approx(both, rel=1e-9)
    assert arrays.both(UP_FRONT, HELD, PRESS, both.cost * 0.99).cost >= both.cost * (1 - 1e-9)


@pytest.mark.parametrize("demand", [*DEMANDS[:2], ["negative binomial", 400, 150], ["poisson", 3]], ids=str)
def test_the_demand_on_arrays_is_the_demand(demand: list[Any]) -> None:
    figures = DEMAND.admit("demand", demand)
    one, other = outlook_of(figures), outlook_on_arrays(figures)
    for pieces in (0, 3, 20, 400, 700.5, 5000):
        assert other.beyond(pieces) == pytest.approx(one.beyond(pieces), rel=1e-9, abs=1e-13)
        assert other.short(pieces) == pytest.approx(one.short(pieces), rel=1e-9, abs=1e-10)
    assert other.quantile(0.97) == one.quantile(0.97)
    for last in (0, 2, 25, 900):
        for table, wanted in zip(other.tables(last), one.tables(last), strict=True):
            assert table == pytest.approx(np.array(wanted), rel=1e-9, abs=1e-10)


def test_run_costs_on_arrays_are_the_curve_s(quotes: list[Quote]) -> None:
    runs = np.arange(1.0, 1201)
    for quote in quotes[::5]:
        for curve in quote.curves.values():
            found = run_costs(curve, 1200)
            assert found[0] == 0
            np.testing.assert_allclose(found[1:], curve.run_cost(runs), rtol=1e-8)
            np.testing.assert_allclose(curve.run_costs(1200)[1:], curve.run_cost(runs), rtol=1e-12)


def test_every_design_gets_the_least_of_its_policies(designs: list[Makable], plans: list[DesignPlan]) -> None:
    for design, plan in zip(designs, plans, strict=True):
        terms = Terms(design.price, 0.2 * design.price, 0.1)
        outlook = outlook_of(design.demand)
        if outlook.quantile(1 - 1e-6) > 250:
            continue  # a cell takes long
        costs = [design.price * outlook.mean]
        for curve in design.up_front.values():
            costs.append(Search(Supply(curve, curve, curve, design.lot), outlook, terms).up_front().cost)
        for way in design.held.values():
            hand = design.up_front["hand"]
            costs.append(Search(Supply(hand, way.alone, way.pressing, design.lot), outlook, terms).held().cost)
            costs.append(Search(Supply(hand, way.behind_others, way.pressing, design.lot), outlook, terms).both().cost)
        assert plan.best.cost == pytest.approx(min(costs), rel=1e-9)
        assert plan.cost.total == pytest.approx(plan.best.cost, rel=1e-9)
        assert plan.cost.short == pytest.approx(outlook.short(plan.best.up_front + plan.best.held), abs=1e-9)


def test_two_workers_plan_what_one_plans(designs: list[Makable], plans: list[DesignPlan]) -> None:
    assert plan_designs(designs, PlanTerms(), workers=2) == plans


def test_a_whole_season_drawn_agrees_within_its_error(designs: list[Makable], plans: list[DesignPlan]) -> None:
    expected = sum(plan.cost.total for plan in plans)
    mean, error = simulated_cost(designs, plans, PlanTerms(), seasons=50_000, seed=4)
    assert abs(mean - expected) < 4 * error
    assert error < 0.001 * expected


def test_waiting_saves_the_difference_to_making_everything_now(designs: list[Makable], plans: list[DesignPlan]) -> None:
    now = plan_designs([design._replace(held={}) for design in designs], PlanTerms())
    for plan, without in zip(plans, now, strict=True):
        assert plan.waiting_saves == pytest.approx(without.best.cost - plan.best.cost, abs=1e-9)
        assert plan.waiting_saves >= 0 and without.waiting_saves == 0
    assert sum(plan.waiting_saves for plan in plans) > 0


def test_shared_blanks_need_less_together_than_apart(designs: list[Makable]) -> None:
    table, alike = shared_blanks_table(designs, PlanTerms()), shared_blanks_table(designs, PlanTerms(), correlation=1.0)
    assert len(table) >= 5 and (table["Designs"] >= 2).all()
    apart, together = table["Stock above the mean, apart"], table["Together"]
    assert (together < apart).all()
    assert (together >= apart / np.sqrt(table["Designs"]) - 1e-9).all(), "no less than by the square-root law"
    assert (table["Waiting is worth"] > 0).all()
    assert alike["Waiting is worth"].to_numpy() == pytest.approx(0, abs=1e-6)
    assert alike["Together"].to_numpy() == pytest.approx(apart.to_numpy())


def test_held_lines_are_those_of_the_transfers(quotes: list[Quote]) -> None:
    for quote in quotes:
        for key in ("transfer", "bought"):
            if key in quote.costings:
                lines = quote.costings[key]
                marks = [line.held for line in lines]
                assert marks == sorted(marks, reverse=True), "the lines of the transfers come first"
                pressed = {line.element for line in lines if not line.held}
                assert {"Roller warm-up", "Pressing", "Blanks", "Packing"} <= pressed
                assert not pressed & {"Release film", "Bought transfers", "Film positives", "Artwork and separations"}


def test_held_transfers_and_their_pressing_are_the_whole_route_and_artwork_is_paid_once(quotes: list[Quote]) -> None:
    for quote in quotes:
        for key in HELD_ROUTES:
            if key in quote.costings:
                way = held_way(quote.costings[key])
                assert way.alone.run_cost(300) + way.pressing.run_cost(300) == pytest.approx(
                    quote.curves[key].run_cost(300)
                )
                artwork = next(line for line in quote.opened(key, 300) if line.element == "Artwork and separations")
                assert way.alone.run_cost(300) - way.behind_others.run_cost(300) == pytest.approx(artwork.amount)


def test_the_invented_season_shows_what_the_trade_knows(plans: list[DesignPlan], quotes: list[Quote]) -> None:
    """Common practice, no source; none of it is built in."""
    runs = {quote.job.design: quote.job.good_pieces for quote in quotes}
    table = plan_table(plans)
    assert {"up front", "held", "make none"} <= set(table["Policy"])
    held = [plan for plan in plans if plan.held_route]
    assert all(plan.cost.transfers_left < plan.best.held for plan in held)
    years = [runs[plan.design] / plan.mean / 2 for plan in plans]
    assert max(years) > 2, "a run that looks cheap by the piece can be years of stock"
    tokens = [plan for plan in plans if plan.up_front_route == "pad"]
    assert all(not plan.best.held for plan in tokens)


def test_sales_with_faults_are_refused_whole(tmp_path: Path, quotes: list[Quote]) -> None:
    file = tmp_path / "sales.csv"
    file.write_text(
        "design,price,2026-01,2026-02,2026-03\nHeron Dawn,29.5,3,many,4\nFrost Fern,0,1,2,3\nRime,5,,,7\nRime,5,1,2,3\n"
    )
    with pytest.raises(FileRefused) as refusal:
        load_sales(file)
    message = str(refusal.value)
    assert len(refusal.value.faults) == 4
    for words in ("line 2", "many", "line 3", "price", "line 4", "two months", "line 5", "one row only"):
        assert words in message, message
    file.write_text("design,sold\nRime,4\n")
    with pytest.raises(FileRefused, match="the headings must be design, price, and one for each past month"):
        load_sales(file)
    file.write_text("design,price,2026-01,2026-02\nUnheard Of,29.5,3,5\n")
    with pytest.raises(FileRefused, match="'Unheard Of' has sales and is not a design of the season"):
        makables(quotes, load_sales(file), PlanTerms())


def test_plan_on_the_command_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", str(SEASON), "--months", "12", "--stuck", "24", "--seasons", "1000"]) == 0
    printed = capsys.readouterr().out
    assert "40 designs for 12 months" in printed
    assert "held" in printed and "up front" in printed
    assert "Waiting is worth" in printed and "1,000 seasons of each drawn at random" in printed
    assert main(["plan", str(SEASON), "--salvage", "2"]) == 1
    assert "--salvage is 2; it must be 0 to 1" in capsys.readouterr().err
