"""Choosing a route, against the job quoted case by case."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import quotelib
from quotelib.cases import Case
from quotelib.errors import LookupMiss, NoSolution
from quotelib.job import Job
from quotelib.prices.pricelist import load_price_list
from quotelib.quoting import quote
from quotelib.rates import ShopRates, load_rates
from quotelib.records import Record
from quotelib.routes import TITLES
from quotelib.season.designs import load_jobs

ROOT = Path(__file__).resolve().parent.parent
RATES = load_rates(ROOT / "workbook" / "shop-rates.toml")
ROWS = load_price_list(ROOT / "workbook" / "price-list.csv").rows
JOB = next(job for job in load_jobs(ROOT / "examples" / "season") if job.design == "Red Lantern")
CASE = Case(JOB, RATES, ROWS)

COLOURS, RUNS = list(range(1, 9)), [25, 100, 260, 700, 1000, 5000]


def ranges(record: Record) -> tuple[Any, Any]:
    """A record as a sheet holds it: names, with a blank row among them, and values."""
    names = [entry.name for entry in record.entries()]
    return [[""], *([name] for name in names)], [["heading"], *([getattr(record, name)] for name in names)]


def whole_job(job: Job = JOB, rates: ShopRates = RATES) -> tuple[Any, ...]:
    return (*ranges(job), *ranges(rates), ROWS)


@pytest.mark.parametrize("colours", COLOURS)
def test_the_map_names_what_a_quote_of_each_case_calls_cheapest(colours: int) -> None:
    cheapest, cost, margin = (
        quotelib.route_map([[colours]], [RUNS], *whole_job(), figure)[0] for figure in ("cheapest", "cost", "next")
    )
    for place, run in enumerate(RUNS):
        each = quote(replace(JOB, colours=colours, good_pieces=run), RATES, ROWS)
        costs = sorted((each.unit_cost(key), TITLES[key]) for key in each.curves)
        assert cost[place] == pytest.approx(costs[0][0], rel=1e-12)
        assert margin[place] == pytest.approx(costs[1][0] - costs[0][0], abs=1e-12)
        assert cheapest[place] == TITLES[each.cheapest]


def test_a_map_over_an_array_of_runs_equals_run_by_run() -> None:
    runs = np.arange(1.0, 2001.0)
    for each in CASE.route_costs([2, 5], runs):
        one = next(CASE.route_costs([each.colours], 777.0))
        for key, costs in each.costs.items():
            assert costs[776] == pytest.approx(one.costs[key], rel=1e-12)


def test_from_the_break_even_number_of_colours_on_route_b_costs_no_more() -> None:
    for run in (100, 200, 700, 1000):
        colours = quotelib.break_even_colours("hand", "transfer", run, *whole_job())
        for count in range(1, 13):
            each = quote(replace(JOB, colours=count, good_pieces=run), RATES, ROWS)
            if count >= colours:
                assert each.unit_cost("transfer") <= each.unit_cost("hand")
            elif count == colours - 1:
                assert each.unit_cost("transfer") > each.unit_cost("hand")


def test_more_colours_go_to_transfer_the_longer_the_run() -> None:
    """Common practice, no source: three colours or fewer by hand, more by transfer."""
    changes = [quotelib.break_even_colours("hand", "transfer", run, *whole_job()) for run in (100, 300, 700, 2000)]
    assert changes == sorted(changes, reverse=True)
    assert 2 <= changes[-1] <= 4


def test_where_route_b_is_never_the_cheaper_there_is_no_answer() -> None:
    with pytest.raises(NoSolution, match="route_b is 'over'; it costs more than transfer even at 12 colours"):
        quotelib.break_even_colours("transfer", "over", 700, *whole_job())


def test_each_move_is_the_change_over_of_the_changed_job() -> None:
    now, moves = CASE.change_over_moves("hand", "transfer", 0.1)
    both = quote(JOB, RATES, ROWS)
    assert now == quotelib.change_over_run(*(lines_of(both, key) for key in ("hand", "transfer")))
    by_name = {move.name: move for move in moves}
    slower = quote(JOB, RATES.changed("hand_piece_minutes", RATES.hand_piece_minutes * 1.1), ROWS)
    assert by_name["hand_piece_minutes"].more == quotelib.change_over_run(
        *(lines_of(slower, key) for key in ("hand", "transfer"))
    )
    assert by_name["colours"][2:] == tuple(
        quotelib.change_over_run(
            *(lines_of(quote(replace(JOB, colours=count), RATES, ROWS), key) for key in ("hand", "transfer"))
        )
        for count in (2, 4)
    )
    assert "pad_yield" not in by_name


def lines_of(quoted: Any, key: str) -> list[list[Any]]:
    """A route's lines as rows of cells."""
    return [
        [*line[:5], *(cell for pair in line.breaks for cell in pair)] for line in quoted.curves[key].lines
    ]  # fmt: skip


def test_the_table_gives_the_strongest_moves_and_fills_up_with_blanks() -> None:
    table = quotelib.change_over_table("hand", "transfer", *whole_job(), 0.1, 200)
    _, moves = CASE.change_over_moves("hand", "transfer", 0.1)
    assert len(table) == 200 and table[len(moves)] == ("", "", "")
    assert table[0] == (moves[0].name, *(run or "never" for run in moves[0][2:]))


def test_ranges_that_lack_an_input_are_refused_with_its_name() -> None:
    names, values = ranges(JOB)
    with pytest.raises(LookupMiss, match="they must hold every input of a job, and lack pad_possible"):
        quotelib.route_map([[2]], [[100]], names[:-1], values[:-1], *whole_job()[2:])


def test_prices_are_traced_to_the_row_they_stand_in() -> None:
    each = quote(JOB, RATES, ROWS)
    for key in each.curves:
        for line in each.opened(key):
            if line.source.startswith("price list"):
                code, row = line.source.removeprefix("price list: ").split(", row ")
                assert ROWS[int(row) - 1][0] == code
                assert ROWS[int(row) - 1][2] == line.rate
            else:
                assert hasattr(RATES, line.source.removeprefix("shop rates: "))
