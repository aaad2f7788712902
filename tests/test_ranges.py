"""A quote as a range: the draws against the distributions they come from, and every draw against a quote of its own."""

from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from statistics import fmean, pvariance
from typing import Any

import pytest
from scipy import stats

import quotelib
from quotelib.cli import main
from quotelib.errors import LookupMiss, NoSolution, RangeError
from quotelib.quoting import quote
from quotelib.uncertain import Uncertain, cases_of, drawn_costs
from tests.test_choice import CASE, JOB, RATES, ROOT, ROWS, ranges

WHOLE = tuple(tuple(tuple(row) for row in each) for each in (*ranges(JOB), *ranges(RATES)))
CHANCES = [[0.1, 0.5, 0.9]]
WAGE = ("labour_rate", 18.0, 24.0, 36.0)
SPREADS = (WAGE, ("hand_piece_minutes", 0.4, 0.5, 0.9), ("hand_yield", 0.95, 0.98, 0.99), ("ink-hand", 0.9, 1.0, 1.4))


def of_whole(function: str, *args: Any, spreads: Any = SPREADS, **more: Any) -> Any:
    return getattr(quotelib, function)(*args, *WHOLE, ROWS, spreads, **more)


def wage_costs(wage: float) -> float:
    return float(quote(JOB, replace(RATES, labour_rate=wage), ROWS).unit_cost("hand"))


def test_cost_that_is_linear_in_one_input_has_its_quantiles() -> None:
    """The cost by hand is a straight line in the wage, so its P10, P50 and P90 are at those of the triangle (scipy)."""
    (found,) = of_whole("cost_range", CHANCES, "hand", spreads=(WAGE,), draws=2000)
    low, likely, high = WAGE[1:]
    wages = stats.triang.ppf(CHANCES[0], (likely - low) / (high - low), loc=low, scale=high - low)
    spread = wage_costs(high) - wage_costs(low)
    for cost, wage in zip(found, wages, strict=True):
        assert abs(cost - wage_costs(float(wage))) < 0.002 * spread  # 2,000 slices: a quantile is off by a slice at most


def test_draws_of_an_input_have_the_mean_and_variance_of_its_triangle() -> None:
    """Mean (a + b + c) / 3 and variance (a2 + b2 + c2 - ab - ac - bc) / 18; scipy.stats.triang gives the same."""
    draws = [values[0] for values, _ in cases_of(CASE, [Uncertain(*WAGE)], 1000, 3)]
    low, likely, high = WAGE[1:]
    law = stats.triang((likely - low) / (high - low), loc=low, scale=high - low)
    assert fmean(draws) == pytest.approx(law.mean(), rel=1e-3)
    assert pvariance(draws) == pytest.approx(law.var(), rel=5e-3)
    assert stats.kstest(draws, law.cdf).statistic <= 1 / 1000 + 1e-9  # one draw in each slice of a thousandth


def test_every_draw_is_a_quote_of_its_own() -> None:
    drawn = drawn_costs((*WHOLE, ROWS), quotelib.kinds.SPREADS.admit("spreads", SPREADS), "hand", 20, 7)
    for each in drawn:
        wage, minutes, yield_, factor = each.values
        rows = tuple((c, q, p * factor if c == "INK-HAND" else p, first, last) for c, q, p, first, last in ROWS)
        rates = replace(RATES, labour_rate=wage, hand_piece_minutes=minutes, hand_yield=yield_)
        assert each.outcome == pytest.approx(quote(JOB, rates, rows).unit_cost("hand"), rel=1e-12)


@pytest.mark.parametrize("route", ["bought", "transfer", "over"])
def test_a_sure_input_costs_what_the_quote_says_by_every_route(route: str) -> None:
    sure = (("labour_rate", RATES.labour_rate, RATES.labour_rate, RATES.labour_rate),)
    ((cost,),) = of_whole("cost_range", [[0.5]], route, spreads=sure, draws=20)
    assert cost == pytest.approx(quote(JOB, RATES, ROWS).unit_cost(route), rel=1e-12)


def test_shares_of_two_linear_inputs_are_their_shares_of_the_variance() -> None:
    """For a sum of independent terms the squared correlation is a term's variance over the sum of the variances."""
    spreads = (("artwork_minutes", 30.0, 60.0, 240.0), ("hand_approval_minutes", 5.0, 10.0, 90.0))
    named = dict(of_whole("spread_shares", "hand", spreads=spreads, draws=4000, rows=2))
    found = [named[name] for name, *_ in spreads]
    variances = []
    for name, low, likely, high in spreads:
        law = stats.triang((likely - low) / (high - low), loc=low, scale=high - low)
        slope = (CASE.changed(name, high).curves("hand")["hand"].unit_cost(JOB.good_pieces)
                 - CASE.changed(name, low).curves("hand")["hand"].unit_cost(JOB.good_pieces)) / (high - low)  # fmt: skip
        variances.append(slope**2 * law.var())
    for share, variance in zip(found, variances, strict=True):
        assert share == pytest.approx(variance / sum(variances), abs=0.02)
    assert sum(found) == pytest.approx(1, abs=0.04)


def test_an_input_that_a_route_does_not_use_has_no_share() -> None:
    spreads = (WAGE, ("pad_etch_um", 15.0, 20.0, 40.0))
    first, second, blank = of_whole("spread_shares", "hand", spreads=spreads, rows=3)
    assert first[0] == "labour_rate" and first[1] > 0.97
    assert second[0] == "pad_etch_um" and second[1] < 0.03  # chance alone gives 1/200 on average
    assert blank == ("", "")
    assert of_whole("spread_shares", "hand", spreads=spreads, rows=1) == (first,)
    with pytest.raises(NoSolution, match="none of them moves the cost"):
        of_whole("spread_shares", "hand", spreads=spreads[1:])


def test_chance_of_a_loss_goes_with_the_quantiles() -> None:
    ((low, middle, high),) = of_whole("cost_range", CHANCES, "hand", draws=1000)
    assert low < middle < high
    for chance, price in zip((0.9, 0.5, 0.1), (low, middle, high), strict=True):
        assert of_whole("loss_chance", price, "hand", draws=1000) == pytest.approx(chance, abs=0.0015)
    assert of_whole("loss_chance", low / 2, "hand", draws=1000) == 1
    assert of_whole("loss_chance", high * 9, "hand", draws=1000) == 0


def test_change_over_run_without_spread_is_the_change_over_run() -> None:
    sure = (("labour_rate", RATES.labour_rate, RATES.labour_rate, RATES.labour_rate),)
    (found,) = of_whole("change_over_range", CHANCES, "hand", "transfer", spreads=sure, draws=20)
    assert found == (CASE.change_over("hand", "transfer"),) * 3


def test_change_over_run_moves_with_minutes() -> None:
    """Slower printing by hand brings the change-over down, so the P10 run belongs to the slowest tenth."""
    spreads = (("hand_piece_minutes", 0.3, 0.5, 0.9),)
    ((low, middle, high),) = of_whole("change_over_range", CHANCES, "hand", "transfer", spreads=spreads, draws=100)
    assert low <= middle <= high or high == "never"
    quickest = CASE.changed("hand_piece_minutes", 0.3).change_over("hand", "transfer")
    slowest = CASE.changed("hand_piece_minutes", 0.9).change_over("hand", "transfer")
    assert slowest is not None and slowest <= low and (quickest is None or middle <= quickest)


def test_never_is_beyond_every_run() -> None:
    """Where transfers never pay in part of the draws, the upper chances show never."""
    spreads = (("hand_piece_minutes", 0.01, 0.02, 0.9),)
    (found,) = of_whole("change_over_range", [[0.05, 0.95]], "hand", "transfer", spreads=spreads, draws=40)
    assert isinstance(found[0], float) and found[1] == "never"


def test_same_seed_same_figures_and_another_seed_about_the_same() -> None:
    first, again, other = (of_whole("cost_range", CHANCES, "hand", seed=seed)[0] for seed in (1, 1, 2))
    assert first == again
    assert first != other
    for one, two in zip(first, other, strict=True):
        assert one == pytest.approx(two, rel=0.03)


@pytest.mark.parametrize(
    ("spreads", "refusal", "words"),
    [
        ([("labour_rat", 1, 2, 3)], LookupMiss, "spreads name is 'labour_rat'"),
        ([("good_pieces", 1, 2, 3)], LookupMiss, "but not good_pieces"),
        ([("design", 1, 2, 3)], LookupMiss, "it must be a number among the inputs"),
        ([("labour_rate", 30, 24, 40)], RangeError, "least, likely and most must not fall"),
        ([("hand_yield", 0.9, 0.95, 1.2)], RangeError, "spreads hand_yield is 1.2; it must be more than 0, up to 1"),
        ([("INK-HAND", 0, 1, 2)], RangeError, "it multiplies a price"),
        ([("labour_rate", 20, 24, 30), ("labour_rate", 20, 24, 30)], RangeError, "each input may stand once"),
    ],
)
def test_a_wrong_spread_is_named(spreads: Any, refusal: type[Exception], words: str) -> None:
    with pytest.raises(refusal, match=words):
        of_whole("cost_range", CHANCES, "hand", spreads=spreads)


def test_quantiles_never_fall() -> None:
    chances = [[step / 50 for step in range(1, 50)]]
    (found,) = of_whole("cost_range", chances, "transfer")
    assert all(low <= high for low, high in pairwise(found))


def test_range_on_the_command_line(capsys: pytest.CaptureFixture[str]) -> None:
    season = str(ROOT / "examples" / "season")
    assert main(["range", "Red Lantern", "--season", season, "--price", "22.5", "--draws", "60"]) == 0
    shown = capsys.readouterr().out
    assert "Cost of a good piece, by hand" in shown and "the chance to lose money is" in shown and "hand_yield" in shown
    assert main(["range", "Red Lantern", "--season", season, "--draws", "3"]) == 1
    assert "draws is 3; it must be whole, 20 to 10000 [draws]" in capsys.readouterr().err
    assert main(["range", "Red Lantern", "--season", season, "--route", "pad"]) == 1
    assert "route is 'pad'; it cannot print Red Lantern" in capsys.readouterr().err


def test_wrong_spreads_file_is_named_by_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "spreads.csv"
    file.write_text("name,least,likely,most\nlabour_rate,20,,thirty\n", encoding="utf-8")
    season = str(ROOT / "examples" / "season")
    assert main(["range", "Red Lantern", "--season", season, "--spreads", str(file)]) == 1
    assert "line 2, column D: most is 'thirty'; it must be a number" in capsys.readouterr().err
