"""The sheets Reorders and Investment in a real Calc, with other inputs: every formula cell against the library."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.utils import get_column_letter

from quotelib.formula import Formula
from quotelib.hosts.build import template
from quotelib.hosts.calc.session import Book as Opened
from quotelib.hosts.calc.session import Calc
from quotelib.hosts.workbook.model import Book, address, place
from quotelib.hosts.workbook.sheets import investment, reorders
from quotelib.hosts.workbook.write import book_bytes
from tests.test_workbook import FOLDER, shown

TITLES = (reorders.TITLE, investment.TITLE)


@pytest.fixture(scope="module")
def book() -> Book:
    return template(FOLDER)


@pytest.fixture(scope="module")
def path(book: Book, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The template as a file."""
    path = tmp_path_factory.mktemp("sheets") / "book.xlsx"
    path.write_bytes(book_bytes(book))
    return path


@pytest.fixture(scope="module")
def opened(calc: Calc, path: Path) -> Iterator[Opened]:
    with calc.open(path) as workbook:
        yield workbook


def put(book: Book, opened: Opened, inputs: dict[str, Any]) -> None:
    """Type the same into the book in Python and into Calc; a cell is named, or the n-th of a named range: name#n."""
    typed = {}
    for name, value in inputs.items():
        name, _, number = name.partition("#")
        title, area = book.names[name]
        row, column = place(area.split(":")[0])
        row += int(number or 1) - 1
        book.sheets[title].cells[row, column].content = value
        typed[f"{title}!{chr(65 + column)}{row + 1}"] = value
    book._worked_out.clear()
    opened.set(typed)


def differing(book: Book, opened: Opened) -> dict[str, Any]:
    """The formula cells of the two sheets that Calc and the library do not agree on."""
    got = {name.replace("'", ""): shown(value) for name, value in opened.values().items()}
    expected = {
        f"{title}!{address(*where)}": shown(book.value(title, *where))
        for title in TITLES
        for where, cell in book.sheets[title].cells.items()
        if isinstance(cell.content, Formula)
    }
    assert len(expected) > 400
    return {
        cell: (got[cell], value)
        for cell, value in expected.items()
        if got[cell] != value
        and not (isinstance(value, float) and got[cell] == pytest.approx(value, rel=1e-9, abs=1e-12))
        and not (isinstance(value, dict) and got[cell] == {"error": "Err:504"})  # an error inside a range, as Calc says it
    }


@pytest.mark.parametrize(
    "inputs",
    [
        {},
        {"reorder_incremental": True, "reorder_annual": 900, "reorder_storage": 0.5, "invest_own": True},
        {"reorder_made": True, "reorder_output": 9000, "lot_starting": 2000, "lot_final": 0, "lot_holding": 0.01},
        {"lot_demands#24": "", "lot_demands#23": "", "lot_demands#1": 0, "invest_years": 20, "make_orders": 3},
        {"invest_own": True, "invest_own_flows#1": -1600, "invest_own_flows#2": 10000, "invest_own_flows#3": -10000}
        | {f"invest_own_flows#{row}": "" for row in range(4, 8)},
    ],
    ids=["as built", "incremental, own flows", "made here", "fewer periods", "two rates"],
)  # fmt: skip
def test_other_inputs_recalculated_in_calc_equal_the_library(inputs: dict[str, Any], book: Book, opened: Opened) -> None:
    before = {name: _held(book, name) for name in inputs}
    put(book, opened, inputs)
    try:
        assert differing(book, opened) == {}
        if inputs.get("invest_own_flows#2") == 10000:
            title, area = book.names["invest_rates"]
            row, column = place(area.split(":")[0])
            rates = [book.value(title, row + down, column) for down in range(3)]
            assert rates[:2] == pytest.approx([0.25, 4]) and rates[2] == ""
    finally:
        put(book, opened, before)


def _held(book: Book, name: str) -> Any:
    name, _, number = name.partition("#")
    title, area = book.names[name]
    row, column = place(area.split(":")[0])
    return book.content(title, row + int(number or 1) - 1, column)


def test_blank_and_wrong_inputs_are_named_and_no_figure_stands(book: Book, opened: Opened) -> None:
    for name, wrong, fault, figure in (
        ("reorder_cost", None, "Cost of an order is blank", "reorder_best"),
        ("lot_holding", "much", "Holding a piece is 'much', it must be a number", "lot_costs"),
        ("invest_cost", -1, "Price is -1, it must be more than 0", "invest_worth"),
    ):
        what = name.split("_")[0]
        opened.set({name: wrong})
        assert fault in opened.value(f"{what}_faults")
        title, area = book.names[figure]
        assert opened.value(f"{title}!{area.split(':')[0]}") == {"error": "#N/A"}
        opened.set({name: _held(book, name)})
    assert opened.value("reorder_faults") == opened.value("lot_faults") == opened.value("invest_faults") == ""


def test_a_refused_figure_has_its_reason_beside_it(book: Book, opened: Opened) -> None:
    put(book, opened, {"invest_unit_with": 0.7, "reorder_made": True, "reorder_output": 5000})
    texts = [value for value in opened.values().values() if isinstance(value, str)]
    for words in (
        "unit_with is 0.7; no volume pays; it must be less than unit_now (0.62)",
        "annual_output is 5000; it must be more than annual_pieces (5200) [pieces/year]",
        "they never pay back",
    ):
        assert any(words in text for text in texts), words
    put(book, opened, {"invest_unit_with": 0.41, "reorder_made": False, "reorder_output": 40_000})


def test_inputs_of_the_sheets_are_validated(path: Path) -> None:
    workbook = openpyxl.load_workbook(path)
    for title, records in (
        (TITLES[0], (reorders.ReorderInputs, reorders.LotInputs)),
        (TITLES[1], (investment.InvestInputs,)),
    ):
        rules = workbook[title].data_validations.dataValidation
        covered = [area for rule in rules for area in rule.sqref.ranges]
        for record in records:
            for entry in record.entries():
                cell = workbook.defined_names[entry.name].attr_text.replace("$", "").split("!")[1]
                assert any(cell in area for area in map(_cells, covered)), entry.name
        assert len(workbook[title]._charts) == (2 if title == TITLES[0] else 1)


def _cells(area: Any) -> set[str]:
    return {f"{get_column_letter(column)}{row}" for row, column in area.cells}
