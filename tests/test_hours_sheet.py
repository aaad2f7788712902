"""The sheet Hours, worked out in Python; test_workbook.py holds its cells to a real Calc."""

import datetime
from pathlib import Path
from typing import Any

import pytest

import quotelib
from quotelib.cases import Case
from quotelib.formula import CellError
from quotelib.hosts.build import EXAMPLE, template
from quotelib.hosts.workbook.model import Book, place
from quotelib.hosts.workbook.sheets.hours import CALENDARS, HOLIDAYS, ORDERS
from quotelib.kinds import DAY
from quotelib.prices.pricelist import load_price_list
from quotelib.rates import load_rates
from quotelib.routes import CENTRES, ROUTES
from quotelib.stages import first_run, stage_hours

FOLDER = Path(__file__).resolve().parent.parent / "workbook"
TODAY = 46342


@pytest.fixture
def book() -> Book:
    return template(FOLDER)


def shown(book: Book, name: str) -> Any:
    """The value of a named cell, or the rows of a named range."""
    title, area = book.names[name]
    first, _, last = area.partition(":")
    top, left = place(first)
    if not last:
        return book.value(title, top, left)
    bottom, right = place(last)
    return [[book.value(title, row, column) for column in range(left, right + 1)] for row in range(top, bottom + 1)]


def day(text: str) -> int:
    return int(DAY.admit("day", datetime.date.fromisoformat(text)))


def test_promises_are_those_of_the_library_called_directly(book: Book) -> None:
    case = Case(EXAMPLE, load_rates(FOLDER / "shop-rates.toml"), load_price_list(FOLDER / "price-list.csv").rows)
    orders = [[name, promised, day(due), *rest[: len(CENTRES)]] for name, promised, due, *rest in ORDERS]
    holidays = [[day(text)] for text in HOLIDAYS]
    days = {}
    for route in ROUTES:
        hours, waits = stage_hours(first_run(case, route.key), route.key)
        days[route.title] = quotelib.promise_day([hours], orders, CALENDARS, TODAY, holidays, 2, [waits])
        assert shown(book, f"hours_{route.key}_promise") == days[route.title]
        title, cell = book.names[f"hours_{route.key}_promise"]
        row, _ = place(cell)
        on_sheet = [[book.value(title, row + down, 3 + column) for column in range(len(CENTRES))] for down in (0, 1)]
        assert on_sheet == [list(hours), list(waits)]
    assert shown(book, "hours_first_route") == min(days, key=days.__getitem__)


def test_a_blank_input_is_named_and_stops_the_sheet(book: Book) -> None:
    assert shown(book, "hours_faults") == ""
    book.set("hours_today", "")
    assert shown(book, "hours_faults") == "Today is blank"
    assert all(isinstance(cell, CellError) for row in shown(book, "hours_utilisation") for cell in row)
    assert isinstance(shown(book, "hours_hand_promise"), CellError)


def test_a_fault_in_a_table_is_named_with_its_row_and_column(book: Book) -> None:
    title, area = book.names["hours_orders"]
    top, left = place(area.split(":")[0])
    book.sheets[title].cells[top + 2, left + 2].content = "Friday"
    assert shown(book, "hours_load_reason") == "orders row 3 due day is 'Friday'; it must be a date from 1990 to 2199"
    assert isinstance(shown(book, "hours_pad_promise"), CellError)


def test_another_work_centre_has_its_own_sequence_and_hours_left(book: Book) -> None:
    assert [row[0] for row in shown(book, "hours_sequence")][:2] == ["T-2303", "T-2308"]
    at_the_table = shown(book, "hours_free")
    book.set("hours_centre", 6)
    assert [row[0] for row in shown(book, "hours_sequence")][:3] == ["T-2309", "T-2313", ""]
    assert shown(book, "hours_free") == shown(book, "hours_left")[0][5] != at_the_table


def test_the_hours_left_decide_which_enquiries_to_take(book: Book) -> None:
    taken = {row[0] for row in shown(book, "hours_choice") if row[2]}
    assert taken == {"Cinder", "Kingcup"}
    assert sum(row[2] for row in shown(book, "hours_choice") if row[0]) <= shown(book, "hours_free")
