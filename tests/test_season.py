"""The invented season priced whole, and what the trade knows of it.

The facts of the trade are common practice, no source.  None is built in: each follows from the invented rates.
"""

import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import openpyxl
import pytest

import quotelib
from quotelib.cli import main
from quotelib.errors import FileRefused
from quotelib.prices.pricelist import PriceList, load_price_list
from quotelib.quoting import Quote, quote
from quotelib.rates import ShopRates, load_rates
from quotelib.routes import Workings, cost_lines
from quotelib.season.designs import RUN_SIZES, load_jobs, quote_season, run_size_table, season_table

ROOT = Path(__file__).resolve().parent.parent
SEASON = ROOT / "examples" / "season"


@pytest.fixture(scope="module")
def rates() -> ShopRates:
    return load_rates(ROOT / "workbook" / "shop-rates.toml")


@pytest.fixture(scope="module")
def prices() -> PriceList:
    return load_price_list(ROOT / "workbook" / "price-list.csv")


@pytest.fixture(scope="module")
def quotes(rates: ShopRates, prices: PriceList) -> list[Quote]:
    return quote_season(load_jobs(SEASON), rates, prices.rows)


def test_season_has_forty_designs_of_one_to_eight_colours(quotes: list[Quote]) -> None:
    assert len(quotes) == 40
    assert {int(each.job.colours) for each in quotes} == set(range(1, 9))


def test_lines_add_up_to_the_run_cost_exactly(quotes: list[Quote]) -> None:
    for each in quotes:
        for key, curve in each.curves.items():
            assert sum(line.amount for line in each.opened(key)) == curve.run_cost(each.job.good_pieces)


def test_cheapest_route_is_the_one_of_least_cost(quotes: list[Quote]) -> None:
    for each in quotes:
        costs = {key: each.unit_cost(key) for key in each.curves}
        assert costs[each.cheapest] == pytest.approx(min(costs.values()), rel=1e-9)


def test_a_run_beyond_a_million_has_a_cheapest_route_too(quotes: list[Quote], rates: ShopRates, prices: PriceList) -> None:
    each = quote(replace(quotes[0].job, good_pieces=3_000_000), rates, prices.rows)
    assert each.cheapest == min(each.curves, key=each.unit_cost)
    assert each.stretches[-1][1] == 3_000_000


def test_at_a_change_over_the_new_route_costs_no_more_and_one_piece_earlier_it_does(quotes: list[Quote]) -> None:
    changes = [(each, change) for each in quotes for change in each.change_overs]
    assert changes
    for each, (run, before, after) in changes:
        assert each.unit_cost(after, run) < each.unit_cost(before, run)
        assert each.unit_cost(before, run - 1) <= each.unit_cost(after, run - 1) * (1 + 1e-9)


def test_a_route_the_item_rules_out_is_left_out_with_its_reason(quotes: list[Quote]) -> None:
    token = next(each for each in quotes if each.job.item == "Token 30")
    assert set(token.curves) == {"pad"}
    assert token.refused["hand"] == f"hand_possible is FALSE for {token.job.design} on Token 30"


def test_every_driver_of_the_trade_has_a_line(quotes: list[Quote]) -> None:
    drivers = {line.driver for each in quotes for lines in each.costings.values() for line in lines}
    assert drivers == {
        "once per design", "per colour per design", "per run", "per tool life", "per sheet", "per session", "per piece",
        "per machine hour",
    }  # fmt: skip


def sled(quotes: list[Quote], rates: ShopRates, prices: PriceList, colours: int, run: int) -> Quote:
    """The season's bent paddle with an image that goes three up, in so many colours."""
    job = next(each.job for each in quotes if each.job.design == "Red Lantern")
    job = replace(job, colours=colours, good_pieces=run, image_w_mm=280, image_h_mm=190, coverage=0.3, runs_expected=1)
    return quote(job, rates, prices.rows)


def decoration(each: Quote, key: str) -> float:
    """A good piece's cost without its blank."""
    blanks = sum(line.amount for line in each.opened(key) if line.element in ("Blanks", "Rejects sold as seconds"))
    return float(each.unit_cost(key) - blanks / each.job.good_pieces)


@pytest.mark.parametrize("run", [700, 1000])
def test_three_colours_by_hand_cost_about_what_five_or_six_by_transfer_do(
    quotes: list[Quote], rates: ShopRates, prices: PriceList, run: int
) -> None:
    """Common practice, no source.  Decoration only: the blank is the same."""

    by_hand = decoration(sled(quotes, rates, prices, 3, run), "hand")
    five, six = (decoration(sled(quotes, rates, prices, colours, run), "transfer") for colours in (5, 6))
    assert 0.75 * five < by_hand < 1.25 * six


def test_by_hand_is_kept_for_two_and_three_colours(quotes: list[Quote], rates: ShopRates, prices: PriceList) -> None:
    """Common practice, no source: at the usual run more than three colours go to transfer."""
    cheapest = []
    for colours in range(1, 9):
        each = sled(quotes, rates, prices, colours, 450)
        cheapest.append(min(("hand", "transfer"), key=each.unit_cost))
    assert cheapest == ["hand"] * 3 + ["transfer"] * 5


def test_the_roller_gives_about_seventy_pieces_an_hour(quotes: list[Quote], rates: ShopRates, prices: PriceList) -> None:
    """Common practice, no source: 70 finished pieces an hour with one operator, warm-ups aside."""
    each = sled(quotes, rates, prices, 5, 1000)
    minutes = next(line.quantity for line in each.opened("transfer") if line.element == "Pressing")
    assert 1000 / (minutes / 60) == pytest.approx(70, rel=0.03)


def test_setup_makes_short_runs_by_hand_dear(quotes: list[Quote], rates: ShopRates, prices: PriceList) -> None:
    """Common practice, no source: printing colour after colour makes 700 to 1,000 pieces the usual run."""
    dear, usual, long = (decoration(sled(quotes, rates, prices, 3, run), "hand") for run in (100, 700, 1000))
    assert dear > 1.8 * usual
    assert usual < 1.1 * long


def steps_of(each: Quote, rates: ShopRates, prices: PriceList) -> dict[str, float]:
    """The figures that all routes work out on the way, by name."""
    return {step.name: step.value for step in cost_lines(each.job, rates, prices.rows, Workings()).steps}


def test_hand_printing_lays_down_several_times_the_film_of_a_transfer(
    quotes: list[Quote], rates: ShopRates, prices: PriceList
) -> None:
    """Common practice, no source: and five transfer colours feel like one or two hand colours."""
    steps = steps_of(sled(quotes, rates, prices, 5, 700), rates, prices)
    assert 3 < steps["hand_film_um"] / steps["transfer_film_um"] < 8
    assert 1 <= steps["transfer_feel"] <= 2


def test_about_a_thousand_transfers_are_worth_ordering_at_once(
    quotes: list[Quote], rates: ShopRates, prices: PriceList
) -> None:
    """Common practice, no source: the setup of all passes is well spread by then, and a larger order saves little."""
    at_250, at_1000, at_2000 = (decoration(sled(quotes, rates, prices, 5, run), "transfer") for run in (250, 1000, 2000))
    assert at_1000 < 0.65 * at_250
    assert at_2000 > 0.85 * at_1000


def test_transfers_are_printed_three_up_and_pressed_a_hundred_at_a_time(
    quotes: list[Quote], rates: ShopRates, prices: PriceList
) -> None:
    """Common practice, no source; the image is that of a sled deck."""
    each = sled(quotes, rates, prices, 5, 1000)
    assert steps_of(each, rates, prices)["transfer_up"] == 3
    warm_ups = next(line.quantity for line in each.opened("transfer") if line.element == "Roller warm-up")
    assert warm_ups == 10 * rates.roller_warmup_minutes * rates.roller_crew


def test_two_operators_sharing_the_colours_lose_pieces() -> None:
    """Common practice, no source: one pair of hands keeps the register.  The 2 % for each further one is invented."""
    started = [quotelib.pieces_to_start(700, quotelib.crew_yield(0.985, crew, 0.02), 3) for crew in (1, 2, 3)]
    assert started[0] < started[1] < started[2]


def test_wheels_go_by_pad(quotes: list[Quote]) -> None:
    """Common practice, no source: small round things are printed by pad."""
    wheels = [each for each in quotes if each.job.item.startswith("Wheel")]
    assert wheels and {each.cheapest for each in wheels} == {"pad"}


def test_plates_by_use_are_charged_for_their_wear_and_in_whole_sets_for_all(
    quotes: list[Quote], rates: ShopRates, prices: PriceList
) -> None:
    """Common practice, no source: whole sets for contract work, wear where the rest of the life stays in the shop."""
    job = next(each.job for each in quotes if each.job.design == "Curlew")
    whole, wear = (
        next(line.quantity for line in quote(job, shop, prices.rows).opened("pad") if line.element == "Plates")
        for shop in (rates, replace(rates, pad_whole_sets=False))
    )
    assert whole == job.colours / job.runs_expected
    impressions = job.good_pieces / quotelib.rolled_yield(rates.pad_yield, job.colours)
    assert wear == pytest.approx(job.colours * impressions / rates.pad_plate_life, rel=1e-12)


def test_a_jig_costs_next_to_nothing_a_piece(quotes: list[Quote]) -> None:
    """Common practice, no source: a jig or table can last for millions of pieces."""
    for each in quotes:
        if "hand" in each.curves:
            jig = next(line.amount for line in each.opened("hand") if line.element == "Jig")
            assert 0 < jig < 0.002 * each.curves["hand"].run_cost(each.job.good_pieces)


def test_run_sizes_are_priced_for_every_possible_route(quotes: list[Quote]) -> None:
    table = run_size_table(quotes)
    assert len(table) == sum(len(each.curves) for each in quotes)
    assert np.isfinite(table[[str(run) for run in RUN_SIZES]].to_numpy(dtype=float)).all()


def test_season_table_names_what_the_manager_asks(quotes: list[Quote]) -> None:
    table = season_table(quotes)
    assert list(table.columns) == [
        "Design", "Item", "Colours", "Run", "By hand", "Heat transfer", "Bought transfer",
        "Hand over transfer", "By pad", "Cheapest", "Break-even run",
        "There it changes",
    ]  # fmt: skip


def test_command_prints_the_season_and_writes_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["season", str(SEASON), "--out", str(tmp_path)]) == 0
    printed = capsys.readouterr().out
    assert "Frost Fern" in printed and "Break-even run" in printed and str(tmp_path / "season.xlsx") in printed
    workbook = openpyxl.load_workbook(tmp_path / "season.xlsx")
    assert workbook.sheetnames == ["Season", "Run sizes", "Cost lines"]
    assert workbook["Season"].max_row == 4 + 40


def test_command_opens_one_quote_into_lines(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["quote", "Red Lantern", "--season", str(SEASON), "--run", "500", "--route", "hand"]) == 0
    printed = capsys.readouterr().out
    assert "Printing, colour after colour" in printed and "Sum of the lines" in printed and "500 good pieces" in printed


def test_unknown_design_is_refused_with_the_names_there_are(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["quote", "Nemo", "--season", str(SEASON)]) == 1
    assert "design is 'Nemo'; it must be one of Heron Dawn" in capsys.readouterr().err


def test_all_faults_of_a_season_are_named_at_once(tmp_path: Path) -> None:
    shutil.copytree(SEASON, tmp_path / "season")
    designs = tmp_path / "season" / "designs.csv"
    lines = designs.read_text().splitlines()
    lines[1] = lines[1].replace("Paddle straight", "Canoe")
    lines[2] = lines[2].replace(",2,", ",two,", 1)
    lines[3] = "Otter Run,Paddle straight,3,124,170,1.8,1,TRANSFER-4C,0,1,2026-13-02"
    designs.write_text("\n".join(lines) + "\n")
    with pytest.raises(FileRefused) as refusal:
        load_jobs(tmp_path / "season")
    faults = refusal.value.faults
    assert faults[0].startswith("line 2, column B: item is 'Canoe'; it must be one of items.csv: Sled large")
    assert faults[1] == "line 3, column C: colours is 'two'; it must be a number, whole, 1 to 24 [colours]"
    assert faults[2:] == [
        "line 4, column F: coverage is '1.8'; it must be more than 0, up to 1 [fraction]",
        "line 4, column I: good_pieces is '0'; it must be whole, 1 to 1e9 [pieces]",
        "line 4, column K: quote_day is '2026-13-02'; it must be a date from 1990 to 2199",
    ]


def test_an_item_or_a_design_that_stands_twice_is_refused(tmp_path: Path) -> None:
    shutil.copytree(SEASON, tmp_path / "season")
    for name, heading in (("designs.csv", "design"), ("items.csv", "item")):
        file = tmp_path / "season" / name
        lines = file.read_text().splitlines()
        file.write_text("\n".join([*lines, lines[1]]) + "\n")
        with pytest.raises(FileRefused) as refusal:
            load_jobs(tmp_path / "season")
        first = lines[1].split(",")[0]
        assert refusal.value.faults == [
            f"line {len(lines) + 1}, column A: {heading} is '{first}'; it must stand once in the file"
        ]
