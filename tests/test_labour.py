"""Labour against plain sums and a run played through; single values from outside stand in checks/labour.csv."""

import math
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from quotelib.chapters.labour import (
    colour_labour,
    colour_minutes,
    elapsed_minutes,
    learning_curve,
    learning_minutes,
    shared_minutes,
    standard_minutes,
    timings_needed,
)
from quotelib.chapters.rejects import crew_yield, pieces_to_start

CURVES = st.floats(0.501, 1)
LEARNED = st.floats(0.55, 0.99)


def unit_theory(curve: float, first: int, last: int) -> float:
    """The piece times from the first to the last, each worked out and all of them added."""
    power = math.log(curve) / math.log(2)
    return math.fsum(float(piece) ** power for piece in range(first, last + 1))


@given(observed=st.floats(0.01, 100), rating=st.floats(0.5, 1.5), allowance=st.floats(0, 0.9))
def test_an_allowance_of_the_shift_fills_the_shift(observed: float, rating: float, allowance: float) -> None:
    shift = standard_minutes(observed, rating, allowance, True)
    assert shift * (1 - allowance) == pytest.approx(observed * rating, rel=1e-12)
    assert shift >= standard_minutes(observed, rating, allowance) * (1 - 1e-15)


@given(mean=st.floats(0.1, 10), spread=st.floats(0.01, 1), precision=st.floats(0.01, 0.5), confidence=st.floats(0.5, 0.999))
def test_the_timings_needed_are_the_fewest_that_are_precise_enough(
    mean: float, spread: float, precision: float, confidence: float
) -> None:
    count = timings_needed(mean, spread * mean, precision, confidence)
    margin = norm.ppf((1 + confidence) / 2) * spread
    assert margin / math.sqrt(count) <= precision * (1 + 1e-6)
    assert count == 1 or margin / math.sqrt(count - 1) > precision * (1 - 1e-6)


@given(
    colours=st.integers(1, 24),
    pieces=st.integers(1, 10**6),
    minutes=st.floats(0.01, 10),
    makeready=st.floats(0, 120),
    washup=st.floats(0, 60),
    good=st.floats(0.01, 1) | st.floats(1e-16, 1e-6).map(lambda lost: 1 - lost),
)
def test_rejects_of_a_colour_are_not_printed_in_the_next(
    colours: int, pieces: int, minutes: float, makeready: float, washup: float, good: float
) -> None:
    total, entering = 0.0, float(pieces)
    for _ in range(colours):
        total += makeready + entering * minutes + washup
        entering *= good
    assert colour_minutes(colours, pieces, minutes, makeready, washup, good) == pytest.approx(total, rel=1e-12)


def test_labour_is_minutes_at_the_rate_of_the_crew_with_on_costs() -> None:
    minutes = colour_minutes(4, 300, 0.6, 25, 10, 0.97)
    assert colour_labour(4, 300, 0.6, 25, 18.5, 10, 0.97, 2, 0.22) == pytest.approx(minutes / 60 * 18.5 * 2 * 1.22)


def play_through(
    colours: int, pieces: int, cycle: float, makeready: float, dry: float, washup: float
) -> tuple[float, float]:
    """The clock when one operator has washed up the last colour, and when its first piece is dry."""
    clock, dry_at = 0.0, [0.0] * pieces
    for _ in range(colours):
        clock += makeready
        for piece in range(pieces):
            clock = max(clock, dry_at[piece]) + cycle
            dry_at[piece] = clock + dry
        clock += washup
    return clock, dry_at[0]


@given(
    colours=st.integers(1, 6),
    pieces=st.integers(1, 60),
    cycle=st.floats(0.1, 3),
    makeready=st.floats(0, 40),
    dry=st.floats(0, 200),
    washup=st.floats(0, 20),
)
def test_the_elapsed_time_is_that_of_a_run_played_through(
    colours: int, pieces: int, cycle: float, makeready: float, dry: float, washup: float
) -> None:
    elapsed = elapsed_minutes(colours, pieces, cycle, makeready, dry, washup)
    washed_up, first_dry = play_through(colours, pieces, cycle, makeready, dry, washup)
    assert elapsed == pytest.approx(max(washed_up, first_dry - makeready), rel=1e-12)


@given(
    colours=st.integers(1, 6),
    pieces=st.integers(1, 2000),
    racks=st.integers(1, 300),
    makeready=st.floats(0, 40),
    dry=st.floats(0, 200),
    washup=st.floats(0, 20),
    good=st.floats(0.8, 1),
)
def test_the_clock_is_never_behind_the_work_and_screens_that_stay_up_never_cost_time(
    colours: int, pieces: int, racks: int, makeready: float, dry: float, washup: float, good: float
) -> None:
    work = colour_minutes(colours, pieces, 0.5, makeready, washup, good)
    up = elapsed_minutes(colours, pieces, 0.5, makeready, dry, washup, good, racks, True)
    down = elapsed_minutes(colours, pieces, 0.5, makeready, dry, washup, good, racks, False)
    assert work <= up * (1 + 1e-9)
    assert up <= down * (1 + 1e-9)
    if pieces <= racks:
        assert up == down


def test_without_drying_the_clock_shows_the_work() -> None:
    assert elapsed_minutes(4, 300, 0.6, 25, 0, 10, 0.97) == pytest.approx(colour_minutes(4, 300, 0.6, 25, 10, 0.97))


@given(curve=CURVES, pieces=st.integers(1, 20_000), before=st.just(0) | st.integers(0, 20_000))
def test_unit_theory_is_the_sum_of_the_pieces(curve: float, pieces: int, before: int) -> None:
    expected = unit_theory(curve, before + 1, before + pieces)
    assert learning_minutes(1, pieces, curve, False, before) == pytest.approx(expected, rel=1e-13)


@pytest.mark.parametrize("curve", [0.500001, 0.7, 0.85, 0.999999])
def test_a_sum_of_a_million_pieces_is_exact_too(curve: float) -> None:
    assert learning_minutes(1, 10**6, curve) == pytest.approx(unit_theory(curve, 1, 10**6), rel=1e-13)


@given(curve=CURVES, average=st.booleans(), now=st.integers(1, 10**9), later=st.integers(1, 10**9))
def test_a_run_in_two_parts_takes_as_long_as_in_one(curve: float, average: bool, now: int, later: int) -> None:
    later = min(later, 10**9 - now)
    if later:
        parts = learning_minutes(2, now, curve, average) + learning_minutes(2, later, curve, average, now)
        assert parts == pytest.approx(learning_minutes(2, now + later, curve, average), rel=1e-12)


@given(curve=CURVES, pieces=st.integers(1, 10**9))
def test_a_cumulative_average_is_of_all_pieces_so_far(curve: float, pieces: int) -> None:
    average = learning_minutes(1, pieces, curve, True) / pieces
    assert average == pytest.approx(curve ** math.log2(pieces), rel=1e-12)
    assert learning_minutes(1, pieces, curve, True) <= learning_minutes(1, pieces, curve) * (1 + 1e-12)


@given(curve=LEARNED, pieces=st.integers(2, 5000), average=st.booleans())
def test_the_curve_is_found_again_from_the_total(curve: float, pieces: int, average: bool) -> None:
    total = learning_minutes(1.5, pieces, curve, average)
    assert learning_curve(1.5, pieces, total, average) == pytest.approx(curve, rel=1e-9)


def test_the_longest_run_is_summed_at_once() -> None:
    started = time.perf_counter()
    total = learning_minutes(1, 10**9, 0.85)
    assert time.perf_counter() - started < 0.2
    power = math.log2(0.85)
    last, before = (10**9) ** (power + 1) / (power + 1), 1 / (power + 1)
    assert last - before < total < last - before + 1, "between the integrals on either side of the sum"


def play_stations(
    colours: int,
    pieces: int,
    cycle: float,
    makeready: float,
    dry: float,
    operators: int,
    washup: float,
    half_lost: bool = False,
) -> float:
    """The clock when the colours shared out among operators are done, each piece printed in turn as soon as it is dry.

    Where half are lost, every second piece goes on to the next colour, the first and the last one among them.
    """
    free = [0.0] * operators
    dry_at = [0.0] * pieces
    first = 0.0
    for colour in range(colours):
        clock = free[colour % operators] + makeready
        for piece, dry_before in enumerate(dry_at):
            begun = max(clock, dry_before)
            first = begun if piece == 0 else first
            clock = begun + cycle
            dry_at[piece] = clock + dry
        free[colour % operators] = clock + washup
        if half_lost:
            middle = len(dry_at) // 2
            dry_at = dry_at[:middle:2] + dry_at[middle + 1 :: 2]
    return max(*free, first - makeready + cycle + dry)


SHARED_RUNS = {
    "colours": st.integers(1, 8),
    "cycle": st.floats(0.1, 3),
    "makeready": st.floats(0, 40),
    "dry": st.floats(0, 200),
    "operators": st.integers(1, 9),
    "washup": st.floats(0, 20),
}


@given(pieces=st.integers(1, 60), **SHARED_RUNS)
def test_shared_colours_take_as_long_as_the_run_played_through(
    colours: int, pieces: int, cycle: float, makeready: float, dry: float, operators: int, washup: float
) -> None:
    shared = shared_minutes(colours, pieces, cycle, makeready, dry, operators, washup)
    played = play_stations(colours, pieces, cycle, makeready, dry, operators, washup)
    assert shared == pytest.approx(played, rel=1e-9)
    alone = elapsed_minutes(colours, pieces, cycle, makeready, dry, washup)
    assert shared_minutes(colours, pieces, cycle, makeready, dry, 1, washup) == pytest.approx(alone, rel=1e-12)
    assert shared <= alone * (1 + 1e-12)
    assert shared_minutes(colours, pieces, cycle, makeready, dry, operators + 1, washup) <= shared * (1 + 1e-12)


@given(**SHARED_RUNS)
def test_rejects_leave_the_next_station_idle_but_not_done_sooner(
    colours: int, cycle: float, makeready: float, dry: float, operators: int, washup: float
) -> None:
    played = play_stations(colours, 2**10, cycle, makeready, dry, operators, washup, half_lost=True)
    shared = shared_minutes(colours, 2**10, cycle, makeready, dry, operators, washup, 0.5)
    assert shared == pytest.approx(played, abs=2 * colours * cycle)


def test_operators_who_share_colours_win_time_and_lose_pieces() -> None:
    """Two or three operators sharing colours lose registration and so pieces; common practice, the 2 % assumed."""
    started, clock = [], []
    for operators in (1, 2, 3):
        good_share = crew_yield(0.985, operators, 0.02)
        started.append(pieces_to_start(700, good_share, 3))
        clock.append(shared_minutes(3, started[-1], 0.52, 35, 45, operators, 15, good_share))
    assert started == sorted(started) and started[0] < started[2]
    assert clock == sorted(clock, reverse=True) and clock[2] < clock[0] / 2
