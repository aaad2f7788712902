"""What a refusal says, word for word: the argument, its value, what is allowed."""

import pickle
from typing import Any

import numpy as np
import pytest

import quotelib
from quotelib.cells import call_from_cell
from quotelib.errors import FileRefused, LookupMiss, NoSolution, QuoteError, RangeError, TypeInputError
from quotelib.kinds import BREAKS, COST_LINES, PRICE_ROWS, STEP_YIELDS

BREAK_ROWS = [[1, 0.62], [250, 0.48]]
LIST_ROWS = [["FILM", 1, 0.9, 45658, 46022], ["FILM", 1, 0.95, 46100, ""], ["FOIL", 1, 2.0, 45658, ""]]

REFUSALS: list[tuple[type[QuoteError], str, tuple[Any, ...], str]] = [
    # the wrong kind of value
    (TypeInputError, "SETUP_COST", ("three", 28), "colours is 'three'; it must be a number, whole, 1 to 24 [colours]"),
    (TypeInputError, "SETUP_COST", ("3", 28), "colours is '3'; it must be a number, whole, 1 to 24 [colours]"),
    (TypeInputError, "SETUP_COST", ("", 28), "colours is blank; it must be a number, whole, 1 to 24 [colours]"),
    (TypeInputError, "SETUP_COST", (None, 28), "colours is blank; it must be a number, whole, 1 to 24 [colours]"),
    (TypeInputError, "SETUP_COST", (True, 28), "colours is TRUE; it must be a number, whole, 1 to 24 [colours]"),
    (
        TypeInputError,
        "SETUP_COST",
        (3,),
        "cost_per_colour is blank; it must be a number, more than 0, up to 1e12 [currency]",
    ),
    (TypeInputError, "TOOL_COST", (1, 2, 3, "yes"), "whole_sets is 'yes'; it must be TRUE or FALSE"),
    (TypeInputError, "TOOL_COST", (1, 2, 3, 2), "whole_sets is 2; it must be TRUE or FALSE"),
    (TypeInputError, "ROUND_PRICE", (1, 0.01, 1), "direction is 1; it must be one of nearest, up, down"),
    (TypeInputError, "PRICE_ON", ("FILM", 1, "today", LIST_ROWS), "day is 'today'; it must be a date from 1990 to 2199"),
    (TypeInputError, "PRICE_ON", (7, 1, 46000, LIST_ROWS), "code is 7; it must be text, not blank"),
    (TypeInputError, "PRICE_ON", (0.0, 1, 46000, LIST_ROWS), "code is blank; it must be text, not blank"),
    (
        TypeInputError,
        "MARGIN_PRICE",
        (1, 0.2, 3),
        "MARGIN_PRICE is '3 arguments'; it takes 2 at most: cost, margin",
    ),
    (
        TypeInputError,
        "SETUP_COST",
        ("a" * 80, 28),
        "colours is '" + "a" * 56 + "...; it must be a number, whole, 1 to 24 [colours]",
    ),
    # the right kind, out of range
    (RangeError, "SETUP_COST", (0, 28), "colours is 0; it must be whole, 1 to 24 [colours]"),
    (RangeError, "SETUP_COST", (2.5, 28), "colours is 2.5; it must be whole, 1 to 24 [colours]"),
    (RangeError, "SETUP_COST", (3, 0.0), "cost_per_colour is 0; it must be more than 0, up to 1e12 [currency]"),
    (RangeError, "SETUP_COST", (3, float("nan")), "cost_per_colour is nan; it must be more than 0, up to 1e12 [currency]"),
    (
        RangeError,
        "SETUP_COST",
        (3, 2e12),
        "cost_per_colour is 2000000000000; it must be more than 0, up to 1e12 [currency]",
    ),
    (RangeError, "MARGIN_PRICE", (5, 1), "margin is 1; it must be 0 or more, less than 1 [fraction]"),
    (RangeError, "MARGIN_PRICE", (-5, 0.1), "cost is -5; it must be 0 to 1e12 [currency]"),
    (
        RangeError,
        "ANNUAL_EQUIVALENT",
        (100, 200, 5, 0),
        "salvage is 200; it must not be more than the cost (100) [currency]",
    ),
    (
        RangeError,
        "PRICE_ON",
        ("FILM", 1, 40000.0, LIST_ROWS[:0]),
        "price_rows is blank; it must be rows of code, from quantity, unit price, valid from, [valid to]; at least one row",
    ),
    (RangeError, "PRICE_ON", ("FILM", 1, 3, LIST_ROWS), "day is 3; it must be a date from 1990 to 2199"),
    (RangeError, "PRICE_ON", ("FILM", 1, 109575, LIST_ROWS), "day is 109575; it must be a date from 1990 to 2199"),
    (RangeError, "PRICE_AT", (0.5, BREAK_ROWS), "quantity is 0.5; it must be 1 or more, where the prices begin [units]"),
    (
        RangeError,
        "PRICE_BREAKS",
        ("FILM", 46000, [["FILM", 1, 0.9, 45658, ""], ["FILM", 9, 0.8, 45658, ""]], 1),
        "bands is 1; it must be 2 or more: the bands FILM has on 2025-12-09",
    ),
    # not in the list
    (LookupMiss, "ROUND_PRICE", (1, 0.01, "sideways"), "direction is 'sideways'; it must be one of nearest, up, down"),
    (
        LookupMiss,
        "PRICE_ON",
        ("FILMS", 1, 46000, LIST_ROWS),
        "code is 'FILMS'; it must be a code of the price list, such as FILM or FOIL",
    ),
    (
        LookupMiss,
        "PRICE_ON",
        ("FILM", 1, 46050, LIST_ROWS),
        "code is 'FILM'; the price list has no price for it on 2026-01-28, only from 2025-01-01 to 2025-12-31"
        " and from 2026-03-19 on",
    ),
    # no answer
    (
        NoSolution,
        "BREAK_EVEN_RUN",
        (1000, 5, 500, 10),
        "unit_b is 10; b costs no more than a only up to 100 pieces; it must be less than unit_a (5)",
    ),
    (
        NoSolution,
        "BREAK_EVEN_RUN",
        (500, 5, 1000, 5),
        "unit_b is 5; b costs more than a at every run; it must be less than unit_a (5)",
    ),
    (
        NoSolution,
        "BREAK_EVEN_VOLUME",
        (500, 5, 5),
        "price is 5; no volume earns the fixed cost back; it must be more than unit_cost (5)",
    ),
    (NoSolution, "BREAK_EVEN_VOLUME", (1e12, 5e-324, 0), "BREAK_EVEN_VOLUME is 'too large to state'; use smaller inputs"),
    # tables
    (
        TypeInputError,
        "PRICE_AT",
        (5, [[1, 0.62], [250, "0.48"]]),
        "breaks row 2 price is '0.48'; it must be a number, more than 0, up to 1e12 [currency]",
    ),
    (
        TypeInputError,
        "PRICE_AT",
        (5, [["", ""], [1, ""]]),
        "breaks row 2 price is blank; it must be a number, more than 0, up to 1e12 [currency]",
    ),
    (
        RangeError,
        "PRICE_AT",
        (5, [[1, 0.62], [250, 0]]),
        "breaks row 2 price is 0; it must be more than 0, up to 1e12 [currency]",
    ),
    (
        RangeError,
        "PRICE_AT",
        (5, [[250, 0.48], [1, 0.62]]),
        "breaks row 2 from quantity is 1; it must be more than the row before (250)",
    ),
    (
        RangeError,
        "PRICE_AT",
        (5, [[1, 0.62], [1, 0.48]]),
        "breaks row 2 from quantity is 1; it must be more than the row before (1)",
    ),
    (
        RangeError,
        "PRICE_AT",
        (5, [[1, 0.62, 3]]),
        "breaks row 1 is '3 columns'; it must be rows of from quantity, price; from quantity growing from row to row",
    ),
    (
        RangeError,
        "PRICE_AT",
        (5, [["", None]]),
        "breaks is blank; it must be rows of from quantity, price; from quantity growing from row to row; at least one row",
    ),
    (
        TypeInputError,
        "PRICE_ON",
        ("FILM", 1, 46000, [["FILM", 1, 0.9, "spring", ""]]),
        "price_rows row 1 valid from is 'spring'; it must be a date from 1990 to 2199",
    ),
    (
        RangeError,
        "PRICE_ON",
        ("FILM", 1, 46000, [*LIST_ROWS, ["FILM", 1, 0.8, 45900, ""]]),
        "price_rows FILM from quantity is 1; it must stand in one row for any day, and two hold on 2025-12-09",
    ),
    (
        RangeError,
        "PRICE_ON",
        ("FILM", 1, 46000, [["FOIL", 1, 2.0, 45658, 45657]]),
        "price_rows FOIL valid to is 2024-12-31; it must not be before valid from, 2025-01-01",
    ),
    (
        RangeError,
        "RUN_COST",
        (10, [[1, "", "", "", 5.0, 100, 4.0, 50, 3.0]]),
        "from quantity is 50; it must be more than the one before it (100)",
    ),
    (
        TypeInputError,
        "RUN_COST",
        (10, [[1, "", "", "", 5.0, 100, ""]]),
        "lines row 1 rate is blank; it must be a number, -1e12 to 1e12 [currency]",
    ),
]


@pytest.mark.parametrize(("kind", "cell_name", "arguments", "message"), REFUSALS, ids=[row[3] for row in REFUSALS])
def test_refusal_word_for_word(kind: type[QuoteError], cell_name: str, arguments: tuple[Any, ...], message: str) -> None:
    function = quotelib.registry.FUNCTIONS[cell_name]
    for call in (function, lambda *given: call_from_cell(function, given)):
        with pytest.raises(QuoteError) as refusal:
            call(*arguments)
        assert type(refusal.value) is kind
        assert str(refusal.value) == message


def test_an_unknown_keyword_is_refused() -> None:
    with pytest.raises(TypeInputError) as refusal:
        quotelib.setup_cost(colour=3)
    assert str(refusal.value) == (
        "SETUP_COST is 'colour'; its arguments, each given once, are "
        "colours, cost_per_colour, cost_per_design, cost_per_run"
    )


def test_an_argument_given_twice_is_refused() -> None:
    with pytest.raises(TypeInputError, match="SETUP_COST is 'colours'; its arguments, each given once, are colours, "):
        quotelib.setup_cost(3, colours=3)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (([1.0, 2.0, 0.0], 5.0), "colours[2] is 0; it must be whole, 1 to 24 [colours]"),
        (([[1.0, 2.0], [1.5, 3.0]], 5.0), "colours[1, 0] is 1.5; it must be whole, 1 to 24 [colours]"),
        ((2, [5.0, float("nan")]), "cost_per_colour[1] is nan; it must be more than 0, up to 1e12 [currency]"),
        ((2, [5.0, float("-inf")]), "cost_per_colour[1] is -inf; it must be more than 0, up to 1e12 [currency]"),
        ((["1", "2"], 5.0), "colours is <U1; it must be an array of numbers, whole, 1 to 24 [colours]"),
        (([True, False], 5.0), "colours is bool; it must be an array of numbers, whole, 1 to 24 [colours]"),
        (([1.0, 2.0], [1.0, 2.0, 3.0]), "SETUP_COST is '(2,), (3,)'; the arrays must be of shapes that go together"),
    ],
)
def test_an_array_is_refused_with_the_place(arguments: tuple[Any, ...], message: str) -> None:
    arrays = [np.array(value) if isinstance(value, list) else value for value in arguments]
    with pytest.raises(QuoteError) as refusal:
        quotelib.setup_cost(*arrays)
    assert str(refusal.value) == message


def test_the_place_is_right_beyond_the_first_chunk() -> None:
    colours = np.full(40_000, 3)
    colours[33_333] = 99
    with pytest.raises(RangeError, match=r"^colours\[33333\] is 99; it must be whole, 1 to 24 \[colours\]$"):
        quotelib.setup_cost(colours, 5.0)


def test_an_array_where_only_one_value_can_stand_is_refused() -> None:
    with pytest.raises(TypeInputError, match=r"^bands is \[1 2\]; it must be one number, whole, 1 to 50 \[bands\]$"):
        quotelib.price_breaks("FILM", 46000, LIST_ROWS, np.array([1, 2]))
    with pytest.raises(TypeInputError, match=r"^code is \['FILM' 'FOIL'\]; it must be text, not blank$"):
        quotelib.price_on(np.array(["FILM", "FOIL"]), np.array([1, 2]), 46000, LIST_ROWS)


def test_an_empty_array_gives_an_empty_array() -> None:
    assert quotelib.colour_minutes(np.array([]), 100, 0.5, 20).shape == (0,)
    assert quotelib.price_at(np.array([]), BREAK_ROWS).shape == (0,)


def test_an_array_too_large_to_state_is_told_as_one_number_is() -> None:
    for cost in (1e12, np.array([1.0, 1e12])):
        with pytest.raises(NoSolution, match=r"^BREAK_EVEN_VOLUME is 'too large to state'; use smaller inputs$"):
            quotelib.break_even_volume(cost, 5e-324, 0)


def test_numpy_s_own_values_are_taken_as_python_s() -> None:
    assert quotelib.setup_cost(np.int64(3), np.float32(28)) == 84
    assert quotelib.tool_cost(45000, 20000, 60.0, np.False_) == 135
    assert quotelib.price_on(np.str_("film"), 1, np.int64(46000), LIST_ROWS) == 0.9
    assert quotelib.price_on("FILM", 1, np.datetime64("2025-12-31"), LIST_ROWS) == 0.9
    with pytest.raises(TypeInputError, match=r"^colours is TRUE; "):
        quotelib.setup_cost(np.True_, 28)


@pytest.mark.parametrize("kind", [TypeInputError, RangeError, LookupMiss, NoSolution])
def test_a_refusal_survives_pickling(kind: type[QuoteError]) -> None:
    refusal = kind("colours", 9, "it must be 1 to 6")
    again = pickle.loads(pickle.dumps(refusal))
    assert type(again) is kind
    assert (again.argument, again.value, again.allowed) == ("colours", 9, "it must be 1 to 6")
    assert str(again) == str(refusal) == "colours is 9; it must be 1 to 6"


def test_a_refused_file_survives_pickling() -> None:
    refusal = FileRefused("prices.csv", ["row 2: no code", "row 5: no price"])
    again = pickle.loads(pickle.dumps(refusal))
    assert str(again) == str(refusal)
    assert again.faults == ["row 2: no code", "row 5: no price"]
    assert str(refusal) == (
        "prices.csv has 2 faults; it must have none, and nothing was loaded:\n  row 2: no code\n  row 5: no price"
    )


@pytest.mark.parametrize(
    ("kind", "shown"),
    [
        (TypeInputError, "#VALUE!"),
        (RangeError, "#NUM!"),
        (LookupMiss, "#N/A"),
        (NoSolution, "#NUM!"),
        (FileRefused, "#VALUE!"),
    ],
)
def test_every_refusal_is_a_value_error_with_an_error_value_for_the_cell(kind: type[QuoteError], shown: str) -> None:
    assert issubclass(kind, QuoteError) and issubclass(kind, ValueError)
    assert kind.cell_error == shown


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        (BREAKS, "rows of from quantity, price; from quantity growing from row to row"),
        (PRICE_ROWS, "rows of code, from quantity, unit price, valid from, [valid to]"),
        (STEP_YIELDS, "rows of yield, then any number of yield"),
        (COST_LINES, "rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate"),
    ],
)
def test_a_table_says_what_its_rows_are(kind: Any, words: str) -> None:
    assert kind.allowed == words


def test_a_table_admitted_once_is_not_looked_through_again() -> None:
    admitted = PRICE_ROWS.admit("price_rows", LIST_ROWS)
    assert PRICE_ROWS.admit("price_rows", admitted) is admitted
    assert quotelib.price_on("FILM", 1, 46000, admitted) == 0.9
    index = admitted.index
    assert quotelib.price_on("FOIL", 1, 46000, admitted) == 2.0
    assert admitted.index is index
    with pytest.raises(RangeError, match=r"^breaks row 1 is '5 columns'; "):
        quotelib.price_at(1, admitted)
