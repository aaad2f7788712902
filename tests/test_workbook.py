"""The template in a real Calc: every formula cell against its stored value and against the library called directly."""

import datetime
import io
import random
import shutil
import zipfile
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from quotelib.errors import FileNotReplaced
from quotelib.formula import CellError, Formula
from quotelib.hosts.build import EXAMPLE, build, template
from quotelib.hosts.calc.session import Calc
from quotelib.hosts.workbook.model import Book, address, place
from quotelib.hosts.workbook.sheets.begin import PURPOSES
from quotelib.hosts.workbook.write import book_bytes
from quotelib.job import Job
from quotelib.kinds import FlagKind, NumberKind, day_number
from quotelib.prices.pricelist import load_price_list
from quotelib.quoting import quote
from quotelib.rates import ShopRates, load_rates
from quotelib.routes import ROUTES

FOLDER = Path(__file__).resolve().parent.parent / "workbook"


def shown(value: Any) -> Any:
    """A value as Calc gives it: an error by its name, TRUE as 1."""
    if isinstance(value, CellError):
        return {"error": value.shown}
    return float(value) if isinstance(value, (bool, int)) else value


def differing(calculated: dict[str, Any], book: Book) -> dict[str, tuple[Any, Any]]:
    """The formula cells that Calc and the library called directly do not agree on, to 1e-9."""
    expected = {f"{sheet}!{cell}": shown(value) for sheet, cell, value in book.formulas()}
    got = {name.replace("'", ""): shown(value) for name, value in calculated.items()}
    assert len(expected) > 400
    flags = {
        f"{sheet.title}!{address(*where)}"
        for sheet in book.sheets.values()
        for where, cell in sheet.cells.items()
        if isinstance(cell.content, bool)
    }
    assert set(got) - flags == set(expected)  # Calc reads a stored TRUE as the formula =TRUE()
    in_a_range = {"error": "Err:504"}  # what Calc makes of an error that reaches a function inside a range
    return {
        name: (got[name], value)
        for name, value in expected.items()
        if not (isinstance(value, dict) and got[name] == in_a_range)
        and not (
            got[name] == value or (isinstance(value, float) and got[name] == pytest.approx(value, rel=1e-9, abs=1e-12))
        )
    }


@pytest.fixture(scope="module")
def book() -> Book:
    return template(FOLDER)


def test_made_files_in_the_repository_are_what_the_build_makes() -> None:
    assert build(FOLDER, check=True) == [], "run: python -m quotelib build"


def test_build_keeps_a_template_that_someone_worked_in(tmp_path: Path, calc: Calc) -> None:
    shutil.copytree(FOLDER, tmp_path / "workbook")
    folder = tmp_path / "workbook"
    with calc.open(folder / "quoting.xlsx") as opened:
        opened.set({"good_pieces": 777})
        opened.save(tmp_path / "mine.xlsx")
    shutil.copy(tmp_path / "mine.xlsx", folder / "quoting.xlsx")
    mine = (folder / "quoting.xlsx").read_bytes()
    (mark := folder / ".~lock.quoting.xlsx#").write_text("Ann,,,;", encoding="utf-8")
    with pytest.raises(FileNotReplaced, match="LibreOffice has it open"):
        build(folder)
    assert (folder / "quoting.xlsx").read_bytes() == mine
    mark.unlink()
    assert build(folder) == ["quoting.xlsx"]
    (backup,) = folder.glob("quoting.before-*.xlsx")
    assert backup.read_bytes() == mine
    assert build(folder) == []


def test_second_build_is_the_same_to_the_byte(book: Book) -> None:
    assert book_bytes(book) == book_bytes(template(FOLDER))


def test_every_formula_cell_is_in_order_in_the_template(book: Book) -> None:
    """But for the change-over to a route that is never cheaper, which has no answer."""
    in_error = [(sheet, cell) for sheet, cell, value in book.formulas() if isinstance(value, CellError)]
    formulas = [book.content(sheet, *place(cell)).text() for sheet, cell in in_error]
    assert all("CHANGE_OVER_RUN(hand_lines,over_lines)" in text for text in formulas)


def test_stored_values_are_the_library_s(book: Book) -> None:
    stored = openpyxl.load_workbook(FOLDER / "quoting.xlsx", data_only=True)
    for sheet, cell, value in book.formulas():
        found = stored[sheet][cell].value
        if isinstance(found, datetime.datetime):  # what openpyxl makes of a number in a cell that shows days
            found = day_number(found)
        if value == "":
            assert found is None or found == ""
        elif isinstance(value, CellError):
            assert found == value.shown
        else:
            assert found == value or found == pytest.approx(value, rel=1e-12), (sheet, cell)


def test_template_recalculated_in_calc_equals_the_library(calc: Calc, book: Book) -> None:
    with calc.open(FOLDER / "quoting.xlsx") as opened:
        assert differing(opened.values(), book) == {}


def other_inputs(seed: int, rates: ShopRates) -> dict[str, Any]:
    """Another job and other rates, drawn around the ones in the template."""
    draw = random.Random(seed)
    inputs: dict[str, Any] = {
        "design": f"Design {seed}",
        "blank_code": draw.choice(["BLANK-WHEEL-75", "BLANK-PADDLE-BENT", "BLANK-SLED-SMALL", "BLANK-TOKEN-30"]),
        "quote_day": datetime.date(2026, draw.randint(9, 12), draw.randint(1, 28)),
        "colours": draw.randint(1, 8),
        "image_w_mm": draw.randint(20, 320),
        "image_h_mm": draw.randint(20, 240),
        "coverage": round(draw.uniform(0.05, 0.9), 2),
        "hand_colours": draw.randint(1, 3),
        "transfer_code": draw.choice(["TRANSFER-2C", "TRANSFER-6C", "TRANSFER-8C"]),
        "good_pieces": draw.choice([1, 7, 60, 100, 333, 700, 1000, 2500, 12000]),
        "runs_expected": draw.randint(1, 5),
        "hand_possible": draw.random() < 0.8,
        "transfer_possible": draw.random() < 0.8,
        "pad_possible": draw.random() < 0.8,
        "pad_whole_sets": draw.random() < 0.5,
    }
    for entry in ShopRates.entries():
        value = getattr(rates, entry.name)
        if isinstance(entry.kind, NumberKind) and draw.random() < 0.5 and not entry.name.startswith("sheet_"):
            moved = value * draw.uniform(0.7, 1.3)
            moved = float(round(moved)) if entry.kind.whole else round(moved, 4)
            inputs[entry.name] = min(max(moved, entry.kind.low), entry.kind.high)
    return inputs


@pytest.mark.parametrize("seed", range(20))
def test_other_inputs_recalculated_in_calc_equal_the_library(calc: Calc, seed: int) -> None:
    book = template(FOLDER)
    inputs = other_inputs(seed, load_rates(FOLDER / "shop-rates.toml"))
    inputs |= dict.fromkeys(("range_on", "plan_on", "hours_on"), seed % 4 == 0)  # the sheets that take long
    for name, value in inputs.items():
        book.set(name, value)
    with calc.open(FOLDER / "quoting.xlsx") as opened:
        opened.set(inputs)
        assert differing(opened.values(), book) == {}


@pytest.mark.parametrize("seed", range(20))
def test_cells_and_quote_agree(seed: int) -> None:
    """The sheet's totals are what `quote` says of the same job, rates and prices."""
    rates = load_rates(FOLDER / "shop-rates.toml")
    inputs = other_inputs(seed, rates)
    book = template(FOLDER)
    for name, value in inputs.items():
        book.set(name, value)
    fields = {entry.name: inputs.get(entry.name, getattr(EXAMPLE, entry.name)) for entry in Job.entries()}
    numbers = {entry.name: inputs.get(entry.name, getattr(rates, entry.name)) for entry in ShopRates.entries()}
    fields |= {name: True for name in fields if name.endswith("_possible")}
    quoted = quote(Job(**fields), ShopRates(**numbers), load_price_list(FOLDER / "price-list.csv").rows)
    for key in (route.key for route in ROUTES):
        sheet, cell = book.names[f"{key}_sum"]
        total = book.value(sheet, *place(cell))
        if key in quoted.curves:
            assert total == pytest.approx(quoted.curves[key].run_cost(fields["good_pieces"]), rel=1e-12)
            assert sum(line.amount for line in quoted.opened(key)) == pytest.approx(total, rel=1e-12)
        elif key not in quoted.ruled_out:
            assert isinstance(total, CellError)


def test_begin_asks_for_the_functions_and_says_what_every_sheet_is_for(book: Book) -> None:
    begin = [cell.content for cell in book.sheets["Begin"].cells.values()]
    assert "LIBRARY_VERSION()" in [content.text() for content in begin if isinstance(content, Formula)]
    assert list(PURPOSES) == [title for title in book.sheets if title != "Begin"]
    assert set(PURPOSES) <= {content for content in begin if isinstance(content, str)}


def test_begin_names_what_is_wrong_on_any_sheet(calc: Calc) -> None:
    """Each guard in turn: its first input emptied is named on Begin, in the line of its sheet."""
    book = template(FOLDER)
    guards = [name.removesuffix("_faults") for name in book.names if name.endswith("_faults")]
    assert len(guards) >= 8
    with calc.open(FOLDER / "quoting.xlsx") as opened:
        assert opened.value("all_in_order") == "yes"
        for what in guards:
            title, area = book.names[f"{what}_values" if f"{what}_values" in book.names else "rate_values"]
            first = place(area.split(":")[0])
            kept = book.content(title, *first)
            while isinstance(book.content(title, *first), str) and book.content(title, *first) == "":
                first = first[0] + 1, first[1]
                kept = book.content(title, *first)
            cell = f"{title}!{address(*first)}"
            opened.set({cell: None})
            assert opened.value("all_in_order") == "no: see below", what
            assert "is blank" in opened.value(f"{what}_faults")
            opened.set({cell: kept})
        assert opened.value("all_in_order") == "yes"


def test_blank_input_is_named_and_never_a_free_item(calc: Calc) -> None:
    with calc.open(FOLDER / "quoting.xlsx") as opened:
        for name, words in (("colours", "Colours is blank"), ("coverage", "Coverage is blank")):
            opened.set({name: None})
            assert words in opened.value("job_faults")
            assert opened.value("hand_cost") == {"error": "#N/A"}
            assert opened.value("cheapest_route") != "By pad"
            opened.set({name: getattr(EXAMPLE, name)})
        opened.set({"labour_rate": None})
        assert "Labour rate is blank" in opened.value("rates_faults")
        assert opened.value("pad_cost") == {"error": "#N/A"}


def test_wrong_input_is_named_with_what_is_allowed(calc: Calc) -> None:
    with calc.open(FOLDER / "quoting.xlsx") as opened:
        opened.set({"good_pieces": "many", "coverage": 3})
        faults = opened.value("job_faults")
        assert "Good pieces is 'many', it must be a number, whole, 1 to 1e9 [pieces]" in faults
        assert "Coverage is 3, it must be more than 0, up to 1 [fraction]" in faults


def test_image_larger_than_the_sheet_is_refused_with_its_reason(calc: Calc) -> None:
    with calc.open(FOLDER / "quoting.xlsx") as opened:
        opened.set({"image_w_mm": 900, "image_h_mm": 700})
        values = opened.values()
        assert {"error": "#NUM!"} in values.values()
        assert any(isinstance(value, str) and "900" in value and "image_w_mm" in value for value in values.values())
        assert opened.value("transfer_cost") == {"error": "Err:504"}  # what Calc makes of an error inside a range
        assert opened.value("cheapest_route") == "Bought transfer"


def test_every_input_is_named_validated_and_marked() -> None:
    workbook = openpyxl.load_workbook(FOLDER / "quoting.xlsx")
    for sheet, record in (("Job", Job), ("Shop rates", ShopRates)):
        validated = {str(area) for rule in workbook[sheet].data_validations.dataValidation for area in rule.sqref.ranges}
        for entry in record.entries():
            title, cell = workbook.defined_names[entry.name].attr_text.replace("'", "").replace("$", "").split("!")
            assert title == sheet
            assert cell in validated, entry.name
            assert workbook[sheet][cell].fill.fgColor.rgb == "FFFFF6DE", entry.name
            assert workbook[sheet][cell].border.left.style == "thin", entry.name
            if isinstance(entry.kind, FlagKind):
                assert workbook[sheet][cell].value is True


def _typed(value: Any) -> Any:
    """A cell's content, an array formula by its area and text."""
    return (value.ref, value.text) if hasattr(value, "ref") else value


def test_macro_workbook_has_the_same_sheets(book: Book) -> None:
    plain, macros = (openpyxl.load_workbook(FOLDER / f"quoting.{ending}") for ending in ("xlsx", "xlsm"))
    assert macros.sheetnames[: len(plain.sheetnames)] == plain.sheetnames
    for sheet in plain.sheetnames:
        cells = [[_typed(cell.value) for row in each[sheet].iter_rows() for cell in row] for each in (plain, macros)]
        assert cells[0] == cells[1]
    with zipfile.ZipFile(io.BytesIO((FOLDER / "quoting.xlsm").read_bytes())) as package:
        assert "xl/vbaProject.bin" in package.namelist()
