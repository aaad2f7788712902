"""Every function against values from outside the project; see outside.py for the tables."""

import json
from collections import Counter

import pytest

from quotelib.cells import call_from_cell
from quotelib.errors import QuoteError
from quotelib.kinds import TextKind
from quotelib.registry import FUNCTIONS
from tests.outside import STATUSES, Check, read_checks
from tests.strategies import WHOLE_JOBS

CHECKS = read_checks()


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.place.replace(" ", "_"))
def test_value_from_outside(check: Check) -> None:
    function = FUNCTIONS[check.function]
    for call in (function, lambda *arguments: call_from_cell(function, arguments)):
        try:
            got = call(*check.arguments)
        except QuoteError as refusal:
            assert type(refusal).__name__ == check.expected, check.told(f"{type(refusal).__name__}: {refusal}")
        else:
            assert check.error is None and check.agrees(got), check.told(repr(got))


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.place.replace(" ", "_"))
def test_row_is_complete(check: Check) -> None:
    assert check.case.strip(), f"{check.place} has no case"
    assert check.source.strip(), f"{check.place} ({check.case}) names no source"
    assert check.status in STATUSES, f"{check.place} ({check.case}): status must be one of {', '.join(STATUSES)}"
    assert check.function in FUNCTIONS, f"{check.place} ({check.case}): there is no function {check.function}"
    assert isinstance(json.loads(check.inputs), list), f"{check.place} ({check.case}): inputs must be a JSON list"


def test_every_case_stands_once() -> None:
    repeated = [case for case, times in Counter(check.case for check in CHECKS).items() if times > 1]
    assert not repeated, f"cases named more than once: {', '.join(repeated)}"


WORDS_ABOUT_THE_LIBRARY = {name for name, function in FUNCTIONS.items() if isinstance(function.result, TextKind)}
"""Functions that answer in words of our own, which nothing outside can confirm; test_guard.py holds them."""


@pytest.mark.parametrize("cell_name", [name for name in FUNCTIONS if name not in WORDS_ABOUT_THE_LIBRARY | WHOLE_JOBS])
def test_function_is_checked_from_outside(cell_name: str) -> None:
    assert any(check.function == cell_name for check in CHECKS), f"{cell_name} has no row in tests/checks"
