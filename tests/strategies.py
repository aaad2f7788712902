"""Inputs for the property tests, made from the kinds in the registry: whatever is declared gets tried.

`any_allowed` reaches the ends of a kind's range; `ordinary` stays where a shop's figures lie, so that most calls have an
answer; `refused` gives what the kind must turn away.
"""

import math
from typing import Any

import numpy as np
from hypothesis import strategies as st
from hypothesis.strategies import SearchStrategy

from quotelib.kinds import (
    CODE,
    ChoiceKind,
    DayKind,
    DemandKind,
    FlagKind,
    Kind,
    NumberKind,
    RangeKind,
    SeriesKind,
    TableKind,
    TextKind,
)
from quotelib.registry import FUNCTIONS, Argument, SheetFunction

CODES = ("FILM", "INK-K", "BLANK-7")
"""Few codes, so that one drawn for a price list is often the one asked for."""

SEASON = (46000, 46100)
"""Days of one season, so that a price is often valid on the day asked for."""

SHOP_MOST = 5000.0
"""Beyond a shop's ordinary figures."""

WHOLE_JOBS = {
    name
    for name, function in FUNCTIONS.items()
    if any(argument.name in ("job_names", "term_names") for argument in function.arguments)
}
"""Functions that read a whole job from ranges, which cells drawn at random never make; test_choice.py and test_ranges.py
hold them to quotes case by case."""

Strategy = SearchStrategy[Any]


def any_allowed(kind: Kind) -> Strategy:
    """Any value of a kind, the ends of its range included."""
    if isinstance(kind, NumberKind):
        if kind.whole:
            low, high = math.ceil(kind.low), math.floor(kind.high)
            return st.sampled_from([low, high]) | st.integers(low, high)
        return st.sampled_from([kind.low, kind.high]) | st.floats(kind.low, kind.high)
    return _other(kind, any_allowed)


def ordinary(kind: Kind) -> Strategy:
    """A value of a kind as it occurs in a shop."""
    if isinstance(kind, NumberKind):
        low, high = max(kind.low, 0.0), min(kind.high, SHOP_MOST)
        if kind.whole:
            return st.integers(math.ceil(low), min(math.ceil(low) + 20, int(high))) | st.integers(math.ceil(low), int(high))
        if high <= 3:
            return st.floats(low + 0.01 * (high - low), low + 0.99 * (high - low))
        return st.floats(max(low, 0.01), high) | st.floats(max(low, 0.01), min(high, 50.0))
    return _other(kind, ordinary)


def _other(kind: Kind, number: Any) -> Strategy:
    """A value of a kind that is not a number; numbers inside a table are drawn by `number`."""
    if isinstance(kind, FlagKind):
        return st.booleans()
    if isinstance(kind, ChoiceKind):
        return st.sampled_from(kind.choices)
    if isinstance(kind, DayKind):
        days = st.integers(*SEASON)
        return days if number is ordinary else days | st.integers(kind.EARLIEST, kind.LATEST)
    if isinstance(kind, TextKind):
        named = st.text(st.characters(codec="ascii"), min_size=1).filter(str.strip)  # spaces alone are a blank
        return st.sampled_from(CODES) if kind is CODE else named
    if isinstance(kind, TableKind):
        return _table(kind, number)
    if isinstance(kind, SeriesKind):
        return _series(kind, number)
    if isinstance(kind, DemandKind):
        return _demand(kind.most if number is any_allowed else 60.0)
    assert isinstance(kind, RangeKind), f"no strategy for {kind}"
    cell = st.none() | st.text(max_size=5) | st.floats(allow_nan=False)
    return st.integers(1, 3).flatmap(
        lambda width: st.lists(st.lists(cell, min_size=width, max_size=width), min_size=1, max_size=3)
    )


@st.composite
def _table(draw: Any, kind: TableKind, number: Any) -> list[list[Any]]:
    """Rows for a table; an ascending column ascends, an optional cell is sometimes blank, and every row is as wide."""
    groups = draw(st.integers(0, 2)) if kind.more else 0
    rows = [
        [
            "" if label in kind.optional and draw(st.booleans()) else draw(number(column))
            for label, column in kind.columns + kind.more * groups
        ]
        for _ in range(draw(st.integers(1, 4)))
    ]
    if kind.ascending:
        place = [label for label, _ in kind.columns].index(kind.ascending)
        starts = sorted({row[place] for row in rows})
        rows = [[*row[:place], start, *row[place + 1 :]] for start, row in zip(starts, rows, strict=False)]
    return rows


def _demand(most: float) -> Strategy:
    """Demand in each of its forms, up to a mean of so many."""
    mean, more = st.floats(0.01, most), st.floats(1.01, 20.0)
    return (
        st.tuples(st.just("normal"), mean, mean)
        | st.tuples(st.just("poisson"), mean)
        | st.tuples(mean, more).map(lambda drawn: ("negative binomial", drawn[0], math.sqrt(drawn[0] * drawn[1])))
        | st.lists(st.integers(0, int(most)), min_size=2, max_size=8).filter(any)
    )


def _series(kind: SeriesKind, number: Any) -> Strategy:
    """A row of figures, or the same as a column; with both signs where the kind has both."""
    figure = number(kind.cell)
    if kind.cell.low < 0:
        figure = figure | figure.map(lambda drawn: -drawn)
    figures = st.lists(figure, min_size=1, max_size=6)
    return figures | figures.map(lambda drawn: [[cell] for cell in drawn])


def calls(function: SheetFunction[..., Any], make: Any) -> SearchStrategy[list[Any]]:
    """All the arguments of a call, drawn by any_allowed or ordinary."""
    return st.tuples(*(given_for(argument, make) for argument in function.arguments)).map(
        lambda given: [*given[:-1], *given[-1]] if function.repeats else list(given)
    )


def given_for(argument: Argument, make: Any) -> Strategy:
    """A value for one argument; one that may be left out sometimes is, and one that repeats is a list."""
    if argument.repeats:
        return st.lists(make(argument.kind), max_size=3)
    value = make(argument.kind)
    return value if argument.required or make is ordinary else st.none() | value


def refused(argument: Argument) -> list[Any]:
    """Values that the argument's kind must turn away; a range of cells takes anything."""
    kind = argument.kind
    if isinstance(kind, RangeKind):
        return []
    wrong: list[Any] = [math.nan, math.inf, -math.inf, 10**400, 1 + 2j, b"7", object(), {}]
    if argument.required:
        wrong += [None, ""]
    if not isinstance(kind, (TableKind, DemandKind, SeriesKind)):
        wrong += [[1, 2], np.array([[1, 2]], dtype=object)]
    if isinstance(kind, NumberKind):
        wrong += ["", "12", "many", True, False, math.nextafter(kind.high, math.inf), math.nextafter(kind.low, -math.inf)]
        wrong += [kind.high * 10 + 1, kind.low - 1]
        wrong += [kind.low + 0.5, int(kind.low) - 1, int(kind.high) + 1] if kind.whole else []
    elif isinstance(kind, FlagKind):
        wrong += ["", "yes", 2, -1, 0.5]
    elif isinstance(kind, ChoiceKind):
        wrong += ["", "sideways", 1, True]
    elif isinstance(kind, DayKind):
        wrong += ["2026-03-01", True, 0, kind.EARLIEST - 1, kind.LATEST + 1]
    elif isinstance(kind, TextKind):
        wrong += [" ", 0, 7, True]
    elif isinstance(kind, DemandKind):
        wrong += ["text", True, 0, [], [["normal"]], [["normal", 50]], [["poisson", 50, 2]], [["normal", -1, 2]], [[0, 0]]]
        wrong += [
            [["", 50, 20]],
            [["normal", 50, 20, 3]],
            [[12, "many"]],
            [[12, 0.5]],
            [[12, 7], [3, 4]],
            [["poisson", 2e5]],
        ]
    elif isinstance(kind, SeriesKind):
        wrong += ["", "text", True, [], [[]], [["", ""]], [[None]], [["a"]], [[1, 2], [3, 4]], [1, "", 2], [1, None, 2]]
        wrong += [[[1], ["2"]], [1] * (kind.most_cells + 1), [1, math.nan, 2], [1, kind.cell.high * 10 + 1]]
    elif isinstance(kind, TableKind):
        wrong += ["", "text", True, [], [[]], [["", ""]], [[None]], [["a"] * len(kind.columns)]]
    return wrong
