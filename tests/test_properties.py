"""What holds for every function whatever the inputs, and what the trade's arithmetic promises of a few."""

import math
from fractions import Fraction
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import Phase, assume, find, given, settings
from hypothesis import strategies as st
from hypothesis.errors import NoSuchExample

import quotelib
from quotelib.errors import LookupMiss, NoSolution, QuoteError, RangeError
from quotelib.formula import Formula, Name
from quotelib.kinds import (
    BREAKS,
    CODE,
    DAY,
    MARGIN,
    PRICE_ROWS,
    QUANTITY,
    SIGNED_MONEY,
    Kind,
    NumberKind,
    RangeKind,
    SeriesKind,
    TableKind,
    TextKind,
    rows_of,
)
from quotelib.registry import FUNCTIONS, SheetFunction
from tests.outside import as_typed
from tests.strategies import WHOLE_JOBS, any_allowed, calls, given_for, ordinary, refused

Function = SheetFunction[..., Any]


def each(functions: list[Function]) -> pytest.MarkDecorator:
    """The test once for each of these functions."""
    return pytest.mark.parametrize("function", functions, ids=[function.cell_name for function in functions])


ALL = list(FUNCTIONS.values())
WITH_ARGUMENTS = [function for function in ALL if function.arguments]
GIVING_NUMBERS = [function for function in ALL if isinstance(function.result, NumberKind)]
ON_NUMBERS = [
    function for function in GIVING_NUMBERS if any(isinstance(argument.kind, NumberKind) for argument in function.arguments)
]


def outcome(function: Function, arguments: list[Any]) -> Any:
    """The result of a call, or the class of its refusal."""
    try:
        return function(*arguments)
    except QuoteError as refusal:
        return type(refusal)


@each(ALL)
@given(data=st.data())
@settings(max_examples=25)
def test_allowed_inputs_give_an_answer_or_a_refusal(function: Function, data: st.DataObject) -> None:
    arguments = data.draw(calls(function, any_allowed))
    try:
        result = function(*arguments)
    except QuoteError as refusal:
        assert str(refusal)
        return
    kind = function.result
    if isinstance(kind, NumberKind):
        assert type(result) is (int if kind.whole else float), (
            f"{type(result)} {as_typed(function.cell_name, tuple(arguments))}"
        )
        assert math.isfinite(result)
        least = kind.least if kind.above is None else kind.above
        assert result >= least or least < 0
        assert result <= kind.most * (1 + 1e-12) or kind.most > 1
    elif isinstance(kind, TextKind):
        assert isinstance(result, str)
    else:
        assert isinstance(kind, RangeKind)
        assert all(isinstance(cell, (float, str)) for row in result for cell in row)


@each([function for function in WITH_ARGUMENTS if not function.repeats])
@given(data=st.data())
@settings(max_examples=2)
def test_what_is_not_allowed_is_refused_by_name(function: Function, data: st.DataObject) -> None:
    arguments = data.draw(calls(function, ordinary))
    for place, argument in enumerate(function.arguments):
        for wrong in refused(argument):
            tried = [*arguments[:place], wrong, *arguments[place + 1 :]]
            with pytest.raises(QuoteError) as refusal:
                function(*tried)
            named = refusal.value.argument
            assert named == argument.name or named.startswith(f"{argument.name} "), f"{wrong!r}: {refusal.value}"


@each(ON_NUMBERS)
@given(data=st.data())
@settings(max_examples=15)
def test_an_array_gives_what_its_elements_give(function: Function, data: st.DataObject) -> None:
    arguments = data.draw(calls(function, ordinary))
    shapes = data.draw(st.sampled_from([[(3,)], [(2, 3), (3,)], [(2, 1), (3,)], [(1,)]]))
    numbers = [place for place, argument in enumerate(function.arguments) if isinstance(argument.kind, NumberKind)]
    mapped = data.draw(st.lists(st.sampled_from(numbers), min_size=1, unique=True))
    for turn, place in enumerate(mapped):
        shape = shapes[turn % len(shapes)]
        size = math.prod(shape)
        cells = data.draw(st.lists(ordinary(function.arguments[place].kind), min_size=size, max_size=size))
        arguments[place] = np.array(cells, dtype=float).reshape(shape)
    spread = np.broadcast_arrays(*(arguments[place] for place in mapped))
    expected = []
    for index in np.ndindex(spread[0].shape):
        one = list(arguments)
        for place, values in zip(mapped, spread, strict=True):
            one[place] = float(values[index])
        expected.append(outcome(function, one))
    got = outcome(function, arguments)
    refusals = [one for one in expected if isinstance(one, type)]
    if refusals:
        assert got in refusals
    else:
        assert got.shape == spread[0].shape
        np.testing.assert_allclose(got.ravel(), np.array(expected, dtype=float), rtol=1e-12, atol=1e-300)


@each([function for function in WITH_ARGUMENTS if not function.repeats])
@given(data=st.data())
@settings(max_examples=5)
def test_a_call_on_cells_is_the_formula_of_that_call(function: Function, data: st.DataObject) -> None:
    arguments = data.draw(calls(function, ordinary))
    names = [f"in_{argument.name}" for argument in function.arguments]
    formula = function(*(Name(name) for name in names))
    assert isinstance(formula, Formula)
    assert formula.text() == f"{function.cell_name}({','.join(names)})"
    cells = dict(zip(names, arguments, strict=True))
    assert outcome(lambda: formula.value(cells), []) == outcome(function, arguments)  # type: ignore[arg-type]


def in_currency(kind: Kind) -> bool:
    """Whether a kind is money, or a table with money in it."""
    if isinstance(kind, TableKind):
        return any(in_currency(column) for _, column in kind.columns)
    return kind.unit.startswith("currency")


def doubled(kind: Kind, value: Any) -> Any:
    """A value with every amount of money in it doubled."""
    if isinstance(kind, SeriesKind):
        return [doubled(kind.cell, cell) for row in rows_of(value) for cell in row]
    if isinstance(kind, TableKind):
        columns = [column for _, column in kind.columns]
        more = [column for _, column in kind.more]
        return [
            [
                doubled(columns[place] if place < len(columns) else more[(place - len(columns)) % len(more)], cell)
                for place, cell in enumerate(row)
            ]
            for row in value
        ]
    return value * 2 if in_currency(kind) and value != "" else value


@each([function for function in GIVING_NUMBERS if any(in_currency(argument.kind) for argument in function.arguments)])
@given(data=st.data())
def test_doubling_all_money_doubles_money_and_nothing_else(function: Function, data: st.DataObject) -> None:
    arguments = data.draw(calls(function, ordinary))
    before = outcome(function, arguments)
    twice = [doubled(argument.kind, value) for argument, value in zip(function.arguments, arguments, strict=True)]
    after = outcome(function, twice)
    if isinstance(before, type):
        assert after is before
    else:
        assert after == pytest.approx(before * 2 if in_currency(function.result) else before, rel=1e-12)


BY_HAND = [[0, 1, "", "", 1.0]]
BY_BOXES_OF_100 = [[0, 1, "", "", 0.5], [0, 1, 100, "", 40.0]]

EIGHT_A_DAY = [1, 8, 8, 8, 8, 8, "", ""]
TWO_ORDERS = [["Elk", True, 46330, 16, 4], ["Fox", True, 46339, 30, ""]]
TWO_CENTRES = [EIGHT_A_DAY, [2, 6, 6, 6, 6, 6, "", ""]]
PROMISED = [[[12, 3]], TWO_ORDERS, TWO_CENTRES, 46328, [[46300]], 0, [[0, 0]]]
IN_TURN = [TWO_ORDERS, TWO_CENTRES, 1, 46328, [[46300]], "due day", 3]
BY_WEEK = [TWO_ORDERS, TWO_CENTRES, 46328, 2, [[46300]], "hours"]

SELDOM_MATTERS: dict[tuple[str, str], tuple[list[Any], Any]] = {
    ("CHANGE_OVER_RUN", "longest_run"): ([BY_HAND, BY_BOXES_OF_100, 100], 1000),
    ("PAYING_RUN", "longest_run"): ([1.0, BY_BOXES_OF_100, 100], 1000),
    ("WORKING_HOURS", "holidays"): ([46328, 46341, [EIGHT_A_DAY], [[46300]]], [[46330]]),
    ("DONE_DAY", "holidays"): ([46328, 20, [EIGHT_A_DAY], [[46300]]], [[46330]]),
    ("LOAD_BY_WEEK", "calendars"): (BY_WEEK, [EIGHT_A_DAY, EIGHT_A_DAY]),
    ("LOAD_BY_WEEK", "holidays"): (BY_WEEK, [[46330]]),
    ("DUE_SEQUENCE", "orders"): (IN_TURN, [["Elk", True, 46330, 24, 4]]),
    ("DUE_SEQUENCE", "calendars"): (IN_TURN, [[1, 4, 4, 4, 4, 4, 4, 4], EIGHT_A_DAY]),
    ("DUE_SEQUENCE", "centre"): (IN_TURN, 2),
    ("DUE_SEQUENCE", "today"): (IN_TURN, 46329),
    ("DUE_SEQUENCE", "holidays"): (IN_TURN, [[46328]]),
    ("DUE_SEQUENCE", "rule"): (
        [[["Elk", True, 46328, 80], ["Fox", True, 46330, 8]], [EIGHT_A_DAY], *IN_TURN[2:]],
        "fewest late",
    ),
    **{
        (name, argument): (PROMISED, other)
        for name in ("PROMISE_DAY", "PROMISE_PLAN")
        for argument, other in (
            ("hours", [[20, 3]]),
            ("orders", [["Elk", True, 46330, 16, 4], ["Fox", True, 46331, 16, ""]]),
            ("calendars", [[1, 4, 4, 4, 4, 4, 4, 4], EIGHT_A_DAY]),
            ("today", 46330),
            ("holidays", [[46328]]),
            ("buffer_days", 3),
            ("waits", [[100, 0]]),
        )
    },
    ("UP_PER_SHEET", "straight_cuts"): ([22, 16, 5, 3, 0, 0, 0, True, False], True),
}
"""Arguments that change few results: a call, and another value of the argument with which it gives another result."""


@pytest.mark.parametrize(
    ("function", "place"),
    [
        pytest.param(function, place, id=f"{function.cell_name}-{argument.name}")
        for function in ALL
        if not isinstance(function.result, TextKind) and function.cell_name not in WHOLE_JOBS
        for place, argument in enumerate(function.arguments)
    ],
)
def test_every_argument_can_change_the_result(function: Function, place: int) -> None:
    argument = function.arguments[place]
    known = SELDOM_MATTERS.get((function.cell_name, argument.name))

    def changes(drawn: tuple[list[Any], Any]) -> bool:
        arguments, other = drawn
        tail = other if argument.repeats else [other, *arguments[place + 1 :]]
        results = [outcome(function, arguments), outcome(function, [*arguments[:place], *tail])]
        return results[0] != results[1] and not any(isinstance(result, type) for result in results)

    try:
        find(
            st.just(known) if known else st.tuples(calls(function, ordinary), given_for(argument, ordinary)),
            changes,
            settings=settings(max_examples=3000, phases=[Phase.generate], database=None, derandomize=True),
        )
    except NoSuchExample:
        pytest.fail(f"{function.cell_name} takes no notice of {argument.name}")


def cents(least: int = 0, most: int = 1_000_000) -> st.SearchStrategy[Fraction]:
    """Money as a person types it, exactly: up to 10,000 in steps of a cent."""
    return st.integers(least, most).map(lambda whole: Fraction(whole, 100))


@given(setup_cost=cents(), runs=st.integers(1, 50), pieces=st.lists(st.integers(1, 10**9), min_size=2, max_size=2))
def test_setup_cost_of_a_piece_never_rises_with_the_run(setup_cost: Fraction, runs: int, pieces: list[int]) -> None:
    short, long = sorted(pieces)
    assert quotelib.setup_per_unit(float(setup_cost), long, runs) <= quotelib.setup_per_unit(float(setup_cost), short, runs)


@given(colours=st.integers(1, 23), costs=st.tuples(cents(1), cents(), cents()))
def test_setup_cost_never_falls_with_another_colour(colours: int, costs: tuple[Fraction, ...]) -> None:
    money = [float(cost) for cost in costs]
    assert quotelib.setup_cost(colours + 1, *money) >= quotelib.setup_cost(colours, *money)


@given(tool_life=cents(100), sets=st.integers(1, 100_000))
def test_a_whole_number_of_tools_is_not_rounded_up(tool_life: Fraction, sets: int) -> None:
    assert quotelib.tool_sets(float(tool_life * sets), float(tool_life)) == sets
    assert quotelib.tool_sets(float(tool_life * sets) + 0.01, float(tool_life)) == sets + 1


@given(setup_a=cents(), unit_a=cents(), setup_b=cents(), unit_b=cents())
def test_break_even_run_is_the_first_at_which_b_costs_no_more_for_good(
    setup_a: Fraction, unit_a: Fraction, setup_b: Fraction, unit_b: Fraction
) -> None:
    def b_costs_no_more(run: int) -> bool:
        return setup_b + unit_b * run <= setup_a + unit_a * run

    try:
        run = quotelib.break_even_run(float(setup_a), float(unit_a), float(setup_b), float(unit_b))
    except NoSolution:
        assert not b_costs_no_more(10**12)
        return
    assert run >= 1
    assert b_costs_no_more(run) and b_costs_no_more(10**12)
    assert run == 1 or not b_costs_no_more(run - 1)


@given(run=st.integers(1, 10**7), unit_b=cents(), saving=cents(1), setup_a=cents())
def test_a_crossing_on_a_whole_run_is_that_run(run: int, unit_b: Fraction, saving: Fraction, setup_a: Fraction) -> None:
    setup_b = setup_a + run * saving
    money = [float(amount) for amount in (setup_a, unit_b + saving, setup_b, unit_b)]
    assert quotelib.break_even_run(*money) == run
    assert quotelib.break_even_volume(float(run * saving), float(unit_b + saving), float(unit_b)) == run


@given(fixed_cost=cents(), price=cents(1), unit_cost=cents())
def test_break_even_volume_is_the_first_that_covers_its_cost(
    fixed_cost: Fraction, price: Fraction, unit_cost: Fraction
) -> None:
    try:
        pieces = quotelib.break_even_volume(float(fixed_cost), float(price), float(unit_cost))
    except NoSolution:
        assert price <= unit_cost
        return
    assert (price - unit_cost) * pieces >= fixed_cost
    assert pieces == 0 or (price - unit_cost) * (pieces - 1) < fixed_cost


@given(setup_a=cents(), unit_a=cents(1), setup_b=cents(), unit_b=cents(1))
def test_the_cost_curve_changes_over_at_the_break_even_run(
    setup_a: Fraction, unit_a: Fraction, setup_b: Fraction, unit_b: Fraction
) -> None:
    def lines(setup: Fraction, unit: Fraction) -> list[list[Any]]:
        return [[1, "", "", "", float(setup)], [0, 1, "", "", float(unit)]]

    run = outcome(quotelib.break_even_run, [float(amount) for amount in (setup_a, unit_a, setup_b, unit_b)])
    assume(run is NoSolution or run < 100_000)
    assert outcome(quotelib.change_over_run, [lines(setup_a, unit_a), lines(setup_b, unit_b)]) == run


@given(fixed_cost=cents(10_000), unit_cost=cents(0, 10_000), pieces=st.integers(1, 10_000))
def test_the_break_even_price_breaks_even(fixed_cost: Fraction, unit_cost: Fraction, pieces: int) -> None:
    price = quotelib.break_even_price(float(fixed_cost), float(unit_cost), pieces)
    assert quotelib.break_even_volume(float(fixed_cost), price, float(unit_cost)) == pieces
    assert quotelib.margin_of_safety(pieces, pieces) == 0


@given(quantity=ordinary(QUANTITY), breaks=ordinary(BREAKS), minimum=st.just(0.0) | ordinary(QUANTITY))
def test_no_order_costs_less_than_the_cheaper_order(quantity: float, breaks: list[list[float]], minimum: float) -> None:
    order = quotelib.cheaper_order(quantity, breaks, False, minimum)
    least = max(quantity, minimum, breaks[0][0])
    assert order >= least
    cost = quotelib.buy_cost(order, breaks)
    for other in [least, *(least * 1.01**step for step in range(1, 900, 17)), *(start for start, _ in breaks)]:
        if other >= least:
            assert cost <= quotelib.buy_cost(other, breaks) * (1 + 1e-12)
        if least <= other < order:
            assert cost < quotelib.buy_cost(other, breaks)
    assert quotelib.cheaper_order(quantity, breaks, True, minimum) == least


@given(quantity=ordinary(QUANTITY), breaks=ordinary(BREAKS))
def test_incremental_prices_cost_what_the_stretches_cost(quantity: float, breaks: list[list[float]]) -> None:
    starts = [0.0, *(start for start, _ in breaks[1:]), math.inf]
    stretches = [max(min(quantity, end) - start, 0.0) for start, end in pairwise(starts)]
    got = outcome(quotelib.buy_cost, [quantity, breaks, True])
    if quantity < breaks[0][0]:
        assert got is RangeError
    else:
        assert got == pytest.approx(math.fsum(part * price for part, (_, price) in zip(stretches, breaks, strict=True)))


@given(code=ordinary(CODE), quantity=ordinary(QUANTITY), day=ordinary(DAY), price_rows=ordinary(PRICE_ROWS))
def test_the_price_list_agrees_with_a_search_through_its_rows(
    code: str, quantity: float, day: int, price_rows: list[list[Any]]
) -> None:
    valid = [row for row in price_rows if row[0] == code and row[3] <= day and (row[4] == "" or day <= row[4])]
    ill_dated = any(row[4] != "" and row[4] < row[3] for row in price_rows)
    doubled_up = len({row[1] for row in valid}) < len(valid)
    got = outcome(quotelib.price_on, [code, quantity, day, price_rows])
    admitted = PRICE_ROWS.admit("price_rows", price_rows)
    assert outcome(quotelib.price_on, [code.lower(), quantity, day, admitted]) == got
    if ill_dated or (valid and doubled_up):
        assert got is RangeError
    elif not valid:
        assert got is LookupMiss
    else:
        reached = [row for row in sorted(valid, key=lambda row: row[1]) if row[1] <= quantity]
        assert got == (reached[-1][2] if reached else RangeError)
        ((first, *further),) = quotelib.price_breaks(code, day, admitted, 4)
        assert len(further) == 6
        bands = [(0.0, first), *((further[i], further[i + 1]) for i in range(0, 6, 2) if further[i] != "")]
        if reached:
            assert quotelib.price_at(quantity, bands) == got


@given(cost=cents(1), margin=ordinary(MARGIN))
def test_margin_and_markup_are_two_names_of_one_price(cost: Fraction, margin: float) -> None:
    price = quotelib.margin_price(float(cost), margin)
    assert (price - float(cost)) / price == pytest.approx(margin)
    markup = quotelib.markup_of_margin(margin)
    assert quotelib.markup_price(float(cost), markup) == pytest.approx(price)
    assert quotelib.margin_of_markup(markup) == pytest.approx(margin)


@given(price=ordinary(SIGNED_MONEY), step=st.sampled_from([0.01, 0.05, 0.25, 1.0, 3.0]))
def test_a_rounded_price_is_the_step_on_that_side(price: float, step: float) -> None:
    down, nearest, up = (quotelib.round_price(price, step, way) for way in ("down", "nearest", "up"))
    for rounded in (down, nearest, up):
        assert rounded / step == pytest.approx(round(rounded / step), abs=1e-6)
        assert quotelib.round_price(rounded, step) == rounded
        assert quotelib.round_price(-price, step) == -nearest
    assert down <= price * (1 + 1e-14) and price <= up * (1 + 1e-14)
    assert up - down <= step * (1 + 1e-9)
    assert nearest in (down, up)
    assert abs(price - nearest) <= step / 2 * (1 + 1e-9)
