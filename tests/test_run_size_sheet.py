"""The sheet How many in a real Calc: what it shows is what the library says, and why when it shows nothing."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import quotelib
from quotelib.formula import CellError
from quotelib.hosts.build import template
from quotelib.hosts.calc.session import Book, Calc
from quotelib.hosts.workbook import model
from quotelib.hosts.workbook.write import book_bytes
from tests.test_workbook import shown

SHEET = "How many"
FOLDER = Path(__file__).resolve().parent.parent / "workbook"


@pytest.fixture(scope="module")
def opened(calc: Calc, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    file = tmp_path_factory.mktemp("sheet") / "quoting.xlsx"
    file.write_bytes(book_bytes(template(FOLDER)))
    with calc.open(file) as book:
        yield book


def differing(opened: Book, book: model.Book) -> dict[str, Any]:
    expected = {f"{sheet}!{cell}": shown(value) for sheet, cell, value in book.formulas() if sheet == SHEET}
    assert len(expected) > 350
    got = {name.replace("'", ""): shown(value) for name, value in opened.values().items()}
    return {
        name: (got[name], value)
        for name, value in expected.items()
        if got[name] != value and not (isinstance(value, float) and got[name] == pytest.approx(value, rel=1e-9, abs=1e-12))
    }


@pytest.mark.parametrize(
    "inputs",
    [
        {},
        {"plan_form": "history", "plan_months": 4, "plan_lot": 30},
        {"plan_form": "poisson", "plan_mean": 120, "plan_stuck_months": 9},
        {"plan_form": "normal", "plan_deviation": 300, "colours": 7, "hand_possible": False},
        {"plan_on": False},
    ],
    ids=str,
)
def test_cells_are_the_library_s(opened: Book, inputs: dict[str, Any]) -> None:
    book = template(FOLDER)
    usual = {name: book.value(book.names[name][0], *model.place(book.names[name][1])) for name in inputs}
    for name, value in inputs.items():
        book.set(name, value)
    opened.set(inputs)
    assert differing(opened, book) == {}
    opened.set(usual)


def test_every_policy_adds_up_and_the_best_is_the_least() -> None:
    book = template(FOLDER)
    title, area = book.names["plan_policies"]
    first, last = (model.place(cell)[0] for cell in area.split(":"))
    rows = [[book.value(title, row, column) for column in range(15)] for row in range(first, last + 1)]
    assert len(rows) == 9
    for row in rows:
        assert row[3] == pytest.approx(row[8], rel=1e-12)
        assert sum(row[4:8]) == pytest.approx(row[8], rel=1e-12)
    best = min(rows, key=lambda row: row[3])
    assert book.value(title, *model.place(book.names["plan_best"][1])) == best[0]
    demand = ("negative binomial", 450, 160)
    assert best[12] == pytest.approx(quotelib.fill_rate(best[1] + best[2], demand))
    assert best[14] == pytest.approx(quotelib.chance_stuck(best[1] + best[2], demand, 6, 12))


def test_a_blank_input_is_named_and_no_policy_looks_best() -> None:
    book = template(FOLDER)
    for name, words in (("plan_price", "Price is blank"), ("plan_mean", "Mean demand is blank"), ("colours", "")):
        kept = book.content(book.names[name][0], *model.place(book.names[name][1]))
        book.set(name, "")
        assert words in book.value(SHEET, *model.place(book.names["season_faults"][1]))
        assert isinstance(book.value(SHEET, *model.place(book.names["plan_best"][1])), CellError)
        book.set(name, kept)
