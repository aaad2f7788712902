"""After the job: variances against the algebra they rest on, intervals and slopes against scipy; tables are in checks/."""

import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import special, stats

import quotelib
from quotelib.chapters.intervals import beta_chance, beta_quantile, median_places, share_interval, student_quantile
from quotelib.errors import NoSolution, RangeError

EIGHTHS = st.integers(0, 8000).map(lambda number: number / 8)
"""Numbers that a float holds exactly, as their sums and products do."""

LINE = st.tuples(
    EIGHTHS, st.none() | EIGHTHS, st.none() | EIGHTHS, EIGHTHS.map(lambda rate: rate - 500), st.none() | EIGHTHS,
    st.none() | EIGHTHS,
)  # fmt: skip


@given(lines=st.lists(LINE, min_size=1, max_size=6), quoted=st.sampled_from([1, 64, 512]), made=st.integers(1, 2000))
def test_variances_add_up_to_actual_less_quoted_exactly(lines: list[tuple[float, ...]], quoted: int, made: int) -> None:
    """For each line and for the job, on numbers that need no rounding: to the last bit."""
    *rows, total = quotelib.cost_variances([list(line) for line in lines], quoted, made)
    assert len(rows) == len(lines)
    for line, row in zip(lines, rows, strict=True):
        assert row[0] == line[0] * line[3]
        assert math.fsum(row[:-1]) == row[-1]
    assert math.fsum(total[:-1]) == total[-1]
    assert total[-1] == math.fsum(row[-1] for row in rows)


@given(lines=st.lists(LINE, min_size=1, max_size=6), made=st.integers(1, 2000))
def test_each_variance_is_what_its_name_says(lines: list[tuple[float, ...]], made: int) -> None:
    quoted = 512
    *rows, _ = quotelib.cost_variances([list(line) for line in lines], quoted, made)
    for (units, allowed, rejected, rate, used, paid), row in zip(lines, rows, strict=True):
        allowed = units if allowed is None else allowed
        rejected = allowed if rejected is None else rejected
        used = rejected if used is None else used
        paid = rate if paid is None else paid
        carried = Fraction(units) * Fraction(rate) * Fraction(made, quoted)
        assert Fraction(row[1]) == carried - Fraction(units) * Fraction(rate)
        assert Fraction(row[2]) == Fraction(allowed) * Fraction(rate) - carried
        assert row[3] == quotelib.quantity_variance(allowed, rejected, rate)
        assert row[4] == quotelib.quantity_variance(rejected, used, rate)
        assert row[5] == quotelib.rate_variance(rate, paid, used)


@given(setup=EIGHTHS, made=st.integers(0, 2000))
def test_volume_of_setup_is_that_of_a_line_that_is_once_for_the_run(setup: float, made: int) -> None:
    volume = quotelib.volume_variance(setup, 512, made)
    assert volume == setup - setup / 512 * made
    if made:
        assert quotelib.cost_variances([[1, 1, 1, setup, 1, setup]], 512, made)[0][2] == volume


@given(
    lines=st.lists(st.tuples(EIGHTHS, EIGHTHS.filter(bool), EIGHTHS), min_size=1, max_size=6).filter(
        lambda lines: any(line[0] for line in lines)
    )
)
def test_mix_and_yield_add_up_to_the_quantity_variances(lines: list[tuple[float, float, float]]) -> None:
    parts = quotelib.mix_variance(lines) + quotelib.mix_yield_variance(lines)
    whole = math.fsum(quotelib.quantity_variance(quoted, used, rate) for quoted, rate, used in lines)
    assert parts == pytest.approx(whole, rel=1e-9, abs=1e-9 * math.fsum(rate * (q + u) for q, rate, u in lines))


def test_rows_are_kept_for_lines_to_come() -> None:
    table = quotelib.cost_variances([[1, "", "", 2, "", ""], ["", "", "", "", "", ""]], 10, 10, 3)
    assert table == ((2, 0, 0, 0, 0, 0, 2), ("",) * 7, ("",) * 7, (2, 0, 0, 0, 0, 0, 2))
    with pytest.raises(RangeError, match="rows is 1; it must be no fewer than the 2 lines there are"):
        quotelib.cost_variances([[1, "", "", 2, "", ""]] * 2, 10, 10, 1)


def test_a_mix_of_nothing_is_refused() -> None:
    with pytest.raises(RangeError, match="lines is 'no quoted quantity'; it must have a quoted quantity above 0"):
        quotelib.mix_variance([[0, 1.0, 5]])


@pytest.mark.parametrize("confidence", [0.8, 0.95, 0.999])
@pytest.mark.parametrize(
    ("rejects", "pieces"), [(0, 1), (1, 1), (0, 40), (3, 100), (40, 40), (17, 90_000), (25_000, 10**6)]
)
def test_reject_share_range_is_scipy_s_exact_interval(rejects: int, pieces: int, confidence: float) -> None:
    ((share, least, most),) = quotelib.reject_share_range(rejects, pieces, confidence)
    reference = stats.binomtest(rejects, pieces).proportion_ci(confidence, "exact")
    assert share == rejects / pieces
    assert (least, most) == pytest.approx((reference.low, reference.high), rel=1e-8)


def test_beta_and_student_are_scipy_s() -> None:
    draw = np.random.default_rng(11)
    for a, b, chance in zip(*10 ** draw.uniform(-0.5, 5, (2, 60)), draw.uniform(0.001, 0.999, 60), strict=True):
        value = float(special.betaincinv(a, b, chance))
        assert beta_chance(value, a, b) == pytest.approx(chance, rel=1e-7)
        assert beta_quantile(float(chance), a, b) == pytest.approx(value, rel=1e-7)
    for degrees in (1, 2, 7, 40, 3000):
        assert student_quantile(0.95, degrees) == pytest.approx(stats.t.ppf(0.975, degrees), rel=1e-10)


def test_counts_made_smaller_widen_the_interval() -> None:
    narrow, wide = share_interval(30, 1000, 0.95), share_interval(15, 500, 0.95)
    assert wide[0] < narrow[0] < 0.03 < narrow[1] < wide[1]


@pytest.mark.parametrize("count", [6, 7, 20, 101, 1000])
def test_places_about_the_median_are_those_of_the_binomial(count: int) -> None:
    low, high = median_places(count, 0.95)
    assert (low, high) == (high - (count - 1 - 2 * low), count - 1 - low)
    assert stats.binom.cdf(low, count, 0.5) <= 0.025 < stats.binom.cdf(low + 1, count, 0.5)


@pytest.mark.parametrize("seed", range(12))
def test_learned_rate_with_a_fixed_part_is_scipy_s_theil_sen(seed: int) -> None:
    draw = np.random.default_rng(seed)
    count = int(draw.integers(5, 60))
    colours = draw.integers(1, 7, count).astype(float)
    minutes = np.round(20 + 35 * colours * draw.lognormal(0, 0.2, count), int(seed % 2))
    reference = stats.theilslopes(minutes, colours, 0.9)
    ((rate, least, most, fixed),) = quotelib.learned_rate(np.column_stack([colours, minutes]), True, 0.9)
    assert (rate, fixed) == pytest.approx((reference.slope, reference.intercept), rel=1e-12)
    assert (least, most) == pytest.approx((reference.low_slope, reference.high_slope), rel=1e-12)


def test_learned_rate_stands_a_third_of_wrong_tickets() -> None:
    draw = np.random.default_rng(5)
    pieces = draw.integers(80, 900, 60).astype(float)
    minutes = 0.52 * pieces * draw.lognormal(0, 0.1, 60)
    right = quotelib.learned_rate(np.column_stack([pieces, minutes]))[0]
    minutes[::3] /= 60  # hours in place of minutes
    wrong = quotelib.learned_rate(np.column_stack([pieces, minutes]))[0]
    assert right[1] < 0.52 < right[2]
    assert wrong[0] == pytest.approx(0.52, rel=0.1)
    assert abs(np.linalg.lstsq(pieces[:, None], minutes)[0][0] / 0.52 - 1) > 0.25  # least squares does not stand it


def test_learned_rate_says_what_it_lacks() -> None:
    with pytest.raises(NoSolution, match=r"rows is 5; there must be more of them for an interval of 0\.95"):
        quotelib.learned_rate([[1, 2]] * 5)
    with pytest.raises(NoSolution, match="their drivers must differ"):
        quotelib.learned_rate([[3, 2], [3, 5]], True)
    with pytest.raises(RangeError, match="it must have 1000 rows at most"):
        quotelib.learned_rate([[1, 2]] * 1001)
