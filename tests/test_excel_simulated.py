"""Excel, as far as it can be simulated without one: xlwings' own code on stand-ins for Windows (simulated_windows.py), the
added VBA in LibreOffice's Basic, and the workbook's file as other programs read it.
"""

import datetime
import html
import importlib.metadata
import importlib.util
import io
import json
import os
import re
import signal
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import openpyxl
import pytest
import xlsxwriter

from quotelib.docstrings import help_of
from quotelib.errors import FileRefused, QuoteError
from quotelib.formula import Call, CellError, Name, value_of
from quotelib.hosts.build import template
from quotelib.hosts.calc.office import find_office
from quotelib.hosts.calc.session import Calc
from quotelib.hosts.excel import vba
from quotelib.hosts.excel.build import LONGEST_HELP, build_module
from quotelib.hosts.excel.cells import ERROR_CODES
from quotelib.hosts.excel.refresh import MACRO, TITLE
from quotelib.hosts.excel.wrappers import OtherXlwings, use_error_values, with_error_values
from quotelib.hosts.workbook.model import place
from quotelib.hosts.workbook.write import book_bytes
from quotelib.kinds import day_number
from quotelib.rates import load_rates
from quotelib.registry import FUNCTIONS
from tests.in_cells import CellCall, documented_calls
from tests.outside import read_checks
from tests.simulated_windows import CV_ERRORS, OMITTED, SimulatedExcel, cell, cells, constant
from tests.strategies import WHOLE_JOBS
from tests.test_workbook import other_inputs

WORKBOOK = Path(__file__).parents[1] / "workbook"

DOCUMENTED = documented_calls()

GOOD = {call.function: call for call, result in reversed(DOCUMENTED) if not isinstance(result, QuoteError)}
"""A call that is not refused, for each function."""


class Imported:
    """The simulated Excel after Import Functions: the VBA, the function wizard's entries, and formulas to try."""

    def __init__(self, excel: SimulatedExcel) -> None:
        self.excel = excel
        self.vba, self.wizard = excel.import_functions()

    def shows(self, name: str, *arguments: Any) -> Any:
        """What a cell shows for a call; arguments as the simulation takes them."""
        return self.excel.formula(name, *arguments)

    def for_call(self, call: CellCall) -> Any:
        """What a cell shows for a call with its arguments in cells."""
        return self.shows(call.function, *map(in_cells, call.arguments))


@pytest.fixture(scope="module")
def excel(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Imported]:
    folder = tmp_path_factory.mktemp("workbook")
    (folder / "quoting.py").write_text(build_module(), encoding="utf-8")
    with SimulatedExcel(folder) as simulation:
        yield Imported(simulation)


def in_cells(value: Any) -> Any:
    """A Python argument as cells that hold it."""
    if value is None:
        return OMITTED
    if isinstance(value, (list, tuple)):
        rows = value if value and isinstance(value[0], (list, tuple)) else [[element] for element in value]
        return cells([[plain(content) for content in row] for row in rows])
    return cell(plain(value))


def plain(value: Any) -> Any:
    """A cell's content: a date is a cell in a date format, a blank text a blank cell."""
    if isinstance(value, datetime.date):
        return {"day": day_number(value)}
    return None if value == "" else value


def as_shown(result: Any) -> Any:
    """What a cell should show for a result of the library."""
    if isinstance(result, QuoteError):
        return {"error": result.cell_error}
    if isinstance(result, (list, tuple)):
        return [[as_shown(element) for element in row] for row in result]
    return float(result) if isinstance(result, int) and not isinstance(result, bool) else result


# What Import Functions brings in


def test_simulated_import_brings_every_function_with_its_arguments(excel: Imported) -> None:
    brought = dict(re.findall(r"(?m)^Function (\w+)\((.*)\)$", excel.vba))
    assert brought == {
        name: ", ".join(
            f"ParamArray {argument.name}()"
            if argument.repeats
            else ("" if argument.required else "Optional ") + argument.name
            for argument in function.arguments
        )
        for name, function in FUNCTIONS.items()
    }


def test_simulated_wizard_has_the_help_of_the_docstrings(excel: Imported) -> None:
    assert list(excel.wizard) == sorted((*FUNCTIONS, MACRO))
    for name, function in FUNCTIONS.items():
        entry, words = excel.wizard[name], help_of(function)
        assert entry["Category"] == f"Quoting: {function.chapter}"
        assert entry["Description"].startswith(words.summary)
        shown = entry["ArgumentDescriptions"] or []
        assert len(shown) == len(function.arguments)
        for text, argument in zip(shown, function.arguments, strict=True):
            meaning, allowed = words.arguments[argument.name].meaning, words.arguments[argument.name].allowed
            assert meaning in text and allowed in text
        assert all(len(text) <= LONGEST_HELP for text in [entry["Description"], *shown])


def test_simulated_wrappers_never_end_in_text(excel: Imported) -> None:
    assert "Err.Description" not in excel.vba
    assert excel.vba.count("CVErr(xlErrValue)") == len(FUNCTIONS)
    assert excel.vba.count("Private Function WithErrorValues(") == 1
    assert all(len(line) <= 1023 for line in excel.vba.split("\n"))  # VBA's limit; from memory


def test_simulated_import_twice_gives_the_same(excel: Imported) -> None:
    again, _ = excel.excel.import_functions()
    assert again == excel.vba


def test_wrapper_of_another_form_is_refused() -> None:
    with pytest.raises(OtherXlwings, match="its VBA for A_B is not of the form"):
        with_error_values('Function A_B(x)\n    A_B = Py.Call("A_B", x)\nEnd Function\n', ["A_B"])


def test_wrappers_of_other_modules_are_left_alone() -> None:
    text = "Function HELLO(name)\n    HELLO = Err.Description\nEnd Function\n"
    assert with_error_values(text, []) == text


def test_no_function_has_an_argument_of_its_own_name_or_of_a_name_in_its_wrapper() -> None:
    used = {"k", "argsarray", "xlpy", "application", "thisworkbook", "failed", "answer", "caller", "witherrorvalues"}
    for function in FUNCTIONS.values():
        names = {argument.name.lower() for argument in function.arguments}
        assert not names & (used | {function.cell_name.lower()})


# The same results


@pytest.mark.parametrize("name", FUNCTIONS)
def test_simulated_documented_calls_give_the_same_in_a_cell(excel: Imported, name: str) -> None:
    calls = [(call, result) for call, result in DOCUMENTED if call.function == name]
    assert calls
    for call, result in calls:
        assert excel.for_call(call) == as_shown(result), call


def test_simulated_outside_checks_hold_in_a_cell(excel: Imported) -> None:
    checks = read_checks()
    assert len(checks) > 50
    wrong = []
    for check in checks:
        shown = excel.shows(check.function, *map(in_cells, check.arguments))
        if check.error:
            good = shown == {"error": check.error.cell_error}
        else:
            one_cell = isinstance(check.value, tuple) and not isinstance(shown, list)
            good = not isinstance(shown, dict) and check.agrees([[shown]] if one_cell else shown)
        if not good:
            wrong.append(check.told(f"{shown} in the simulated Excel"))
    assert not wrong, "".join(wrong)


def test_simulated_constants_and_arrays_in_the_formula(excel: Imported) -> None:
    assert excel.shows("SETUP_COST", constant(3), constant(28.0)) == 84
    assert excel.shows("SETUP_COST", constant([[3, 4]]), constant(28.0)) == [[84, 112]]
    assert excel.shows("SETUP_COST", constant([[3]]), constant(28.0)) == 84
    assert excel.shows("TOOL_COST", constant(45000), constant(20000), constant(60), constant(False)) == 135
    assert excel.shows("PRICE_AT", constant(30), constant([[1, 2.5], [25, 2.0]])) == 2


def test_simulated_range_for_a_number_gives_a_range(excel: Imported) -> None:
    column = cells([[100], [200], [0]])
    assert excel.shows("SETUP_PER_UNIT", cell(50), column) == [[0.5], [0.25], [{"error": "#NUM!"}]]
    assert excel.shows("SETUP_PER_UNIT", cells([[50, "x", None]]), cell(100)) == [
        [0.5, {"error": "#VALUE!"}, {"error": "#VALUE!"}]
    ]
    assert excel.shows("SETUP_PER_UNIT", cells([[50, 60]]), column) == {"error": "#VALUE!"}
    assert excel.shows("SETUP_COST", cell(3), cell(28), cells([[60, None]])) == [[144, {"error": "#VALUE!"}]]


def test_simulated_money_format_loses_no_digits(excel: Imported) -> None:
    assert excel.shows("SETUP_PER_UNIT", cell({"money": 0.123456789}), cell(1)) == 0.123456789
    breaks = cells([[1, {"money": 0.123456789}]])
    assert excel.shows("PRICE_AT", cell(1), breaks) == 0.123456789


def test_simulated_day_comes_as_a_date_cell_or_a_number(excel: Imported) -> None:
    call = next(call for call in GOOD.values() if call.function == "PRICE_ON")
    day = [argument.name for argument in FUNCTIONS["PRICE_ON"].arguments].index("day")
    number = day_number(call.arguments[day]) if isinstance(call.arguments[day], datetime.date) else call.arguments[day]
    given = list(map(in_cells, call.arguments))
    expected = excel.for_call(call)
    for content in ({"day": number}, {"day": number + 0.75}, number):
        given[day] = cell(content)
        assert excel.shows("PRICE_ON", *given) == expected
        assert excel.shows("REASON", constant("PRICE_ON"), *given) == ""


def test_simulated_text_and_true_are_no_numbers(excel: Imported) -> None:
    for wrong in ("12", True):
        assert excel.shows("SETUP_PER_UNIT", cell(156.5), cell(wrong)) == {"error": "#VALUE!"}
        assert excel.shows("SETUP_PER_UNIT", cell(156.5), constant(wrong)) == {"error": "#VALUE!"}


@pytest.mark.parametrize("seed", range(4))
def test_simulated_template_shows_what_the_library_gives(
    excel: Imported, seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every formula of the template, its own inputs first, with each call of the library made in the simulated Excel."""
    expected, book = template(WORKBOOK), template(WORKBOOK)
    if seed:
        stopped = dict.fromkeys(("range_on", "plan_on", "hours_on"), False)  # the sheets that take long
        for name, value in (other_inputs(seed, load_rates(WORKBOOK / "shop-rates.toml")) | stopped).items():
            expected.set(name, value)
            book.set(name, value)
    in_python = list(expected.formulas())
    work_out = Call.value
    called: list[str] = []

    def in_excel(call: Call, sheet: Any) -> Any:
        if call.name not in FUNCTIONS:
            return work_out(call, sheet)
        called.append(call.name)
        shown = excel.shows(call.name, *(from_sheet(argument, sheet) for argument in call.arguments))
        if isinstance(shown, dict):
            assert shown.keys() == {"error"}, (call.text(), shown)
            raise CellError(shown["error"])
        return shown

    monkeypatch.setattr(Call, "value", in_excel)
    shown_in_excel = list(book.formulas())
    assert len(called) > 200
    for (sheet, address, shown), (_, _, result) in zip(shown_in_excel, in_python, strict=True):
        same = shown.shown == result.shown if isinstance(result, CellError) else shown == result
        assert same, (sheet, address, shown, result)


def from_sheet(argument: Any, sheet: Any) -> Any:
    """An argument of a call in the template, as the simulation takes it."""
    if argument is None:
        return OMITTED
    try:
        value = value_of(argument, sheet)
    except CellError as error:
        value = error
    if not isinstance(argument, Name):
        return constant(from_cell(value))
    title, area = sheet.book.names.get(argument.name, (sheet.title, argument.name))
    if ":" in area:
        return cells([[from_cell(content) for content in row] for row in value])
    return cell(None if sheet.book.content(title, *place(area)) == "" else from_cell(value))


def from_cell(value: Any) -> Any:
    return {"error": value.shown} if isinstance(value, CellError) else None if value == "" else value


# Blanks, arguments left out, errors


def test_simulated_blank_is_an_argument_left_out(excel: Imported) -> None:
    given = [cell(3), cell(28)]
    whole = excel.shows("SETUP_COST", *given)
    assert excel.shows("SETUP_COST", *given, cell(None), cell(12.5)) == whole + 12.5
    assert excel.shows("SETUP_COST", *given, OMITTED, cell(12.5)) == whole + 12.5


CALLED = [name for name, function in FUNCTIONS.items() if function.arguments and name not in WHOLE_JOBS]
"""Functions with a documented call that succeeds; those that take a whole job are called in the template above."""


@pytest.mark.parametrize("name", CALLED)
def test_simulated_required_blank_is_refused_and_named(excel: Imported, name: str) -> None:
    for number, argument in enumerate(FUNCTIONS[name].arguments):
        if argument.required and name not in ("REASON", "INPUT_FAULTS"):
            given = list(map(in_cells, GOOD[name].arguments))
            given[number] = cell(None)
            shown = excel.shows(name, *given)
            assert shown.keys() == {"error"}, argument
            reason = excel.shows("REASON", constant(name), *given)
            assert reason.startswith(argument.name), reason
            assert "blank" in reason or "at least one row" in reason


@pytest.mark.parametrize("name", CALLED)
def test_simulated_error_in_an_argument_is_passed_on(excel: Imported, name: str) -> None:
    for number in range(len(GOOD[name].arguments)):
        error = {"error": ("#REF!", "#N/A", "#SPILL!")[number % 3]}
        for given_error in (cell(error), constant(error)):
            given = list(map(in_cells, GOOD[name].arguments))
            given[number] = given_error
            assert excel.shows(name, *given) == error


def test_simulated_error_inside_a_range(excel: Imported) -> None:
    costs = cells([[50, {"error": "#DIV/0!"}], [-1, 60]])
    pieces = cells([[{"error": "#NAME?"}, 100], [100, 100]])
    assert excel.shows("SETUP_PER_UNIT", costs, cell(100)) == [[0.5, {"error": "#DIV/0!"}], [{"error": "#NUM!"}, 0.6]]
    assert excel.shows("SETUP_PER_UNIT", costs, pieces) == [
        [{"error": "#NAME?"}, {"error": "#DIV/0!"}],
        [{"error": "#NUM!"}, 0.6],
    ]
    assert excel.shows("PRICE_AT", cell(30), cells([[1, 2.5], [25, {"error": "#REF!"}]])) == {"error": "#REF!"}


@pytest.mark.parametrize(
    ("call", "error"),
    [
        (("SETUP_PER_UNIT", cell(156.5), cell(0)), "#NUM!"),
        (("SETUP_PER_UNIT", cell("many"), cell(700)), "#VALUE!"),
        (("REASON", constant("SETUP_PER_UNITS")), "#N/A"),
    ],
)
def test_simulated_refusal_is_an_error_value(excel: Imported, call: tuple[Any, ...], error: str) -> None:
    assert excel.shows(*call) == {"error": error}


def test_simulated_reason_takes_any_number_of_arguments(excel: Imported) -> None:
    assert excel.shows("REASON", constant("SETUP_COST"), cell(3), cell({"money": 28}), OMITTED, cell(12.5)) == ""
    assert excel.shows("REASON", constant("SETUP_COST"), cell(99), cell(28)).startswith("colours is 99; it must be")
    told = excel.shows("REASON", constant("SETUP_PER_UNIT"), cells([[1, -1]]), cell(10))
    assert told.startswith("column 2: setup_cost is -1")


def test_error_codes_are_the_ones_of_xlwings_and_of_cverr() -> None:
    source = importlib.util.find_spec("xlwings")
    assert source and source.origin
    text = (Path(source.origin).parent / "_xlwindows.py").read_text(encoding="utf-8")
    table = re.search(r"(?s)^cell_errors = \{(.*?)\}", text, re.MULTILINE)
    assert table
    assert {text: int(code) for code, text in re.findall(r'(-\d+): "(.*?)"', table[1])} == ERROR_CODES
    assert {text: CV_ERRORS[code & 0xFFFF] for text, code in ERROR_CODES.items()} == {text: text for text in ERROR_CODES}
    assert {refusal.cell_error for refusal in _refusals(QuoteError)} <= set(ERROR_CODES)


def _refusals(base: type[QuoteError]) -> Iterator[type[QuoteError]]:
    yield base
    for refusal in base.__subclasses__():
        yield from _refusals(refusal)


# The module


def test_module_loads_where_there_is_no_excel(tmp_path: Path) -> None:
    (tmp_path / "quoting.py").write_text(build_module(), encoding="utf-8")
    program = "import quoting, json; print(json.dumps([quoting.SETUP_COST(3.0, 28.0), quoting.SETUP_COST(99.0, 28.0)]))"
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", program],
        cwd=tmp_path,
        env={"PYTHONPATH": str(WORKBOOK.parent)},
        capture_output=True,
        text=True,
        check=True,
    )
    assert json.loads(done.stdout) == [84.0, ERROR_CODES["#NUM!"]]


def test_import_functions_is_not_touched_where_there_is_none() -> None:
    assert "xlwings.udfs" not in sys.modules
    use_error_values("quoting")


def test_module_in_the_workbook_folder_is_the_one_the_library_gives() -> None:
    assert (WORKBOOK / "quoting.py").read_text(encoding="utf-8") == build_module()


# The workbook with the VBA project


def test_workbook_folder_has_the_licence_of_the_project() -> None:
    licence = importlib.metadata.distribution("xlwings").read_text("licenses/LICENSE.txt")
    ours = (WORKBOOK / "xlwings-licence.txt").read_text(encoding="utf-8").split("\n\n", 1)[1]
    assert licence and ours.strip() in licence


def small_workbook() -> bytes:
    """Three sheets and the VBA project."""
    file = io.BytesIO()
    with xlsxwriter.Workbook(file, {"in_memory": True}) as workbook:
        workbook.set_properties({"created": datetime.datetime(2000, 1, 1)})
        for title in ("Quote", "Prices", "Notes"):
            sheet = workbook.add_worksheet(title)
            sheet.write("A1", 20)
            sheet.write_formula("B1", "=A1*2.5", None, 999)
        vba.add_to(workbook)
    return file.getvalue()


def test_simulated_button_on_the_price_sheet_runs_the_macro(excel: Imported) -> None:
    assert re.search(
        rf'(?ms)^Sub {MACRO}\(\)\n.*CallUDF "quoting", "{MACRO}", Array\(\), ThisWorkbook.*?^End Sub$', excel.vba
    )
    book = template(WORKBOOK)
    with zipfile.ZipFile(io.BytesIO(book_bytes(book, vba.add_to))) as archive:
        (drawing,) = (name for name in archive.namelist() if name.endswith(".vml"))
        button = archive.read(drawing).decode()
        (related,) = (name for name in archive.namelist() if "/worksheets/_rels/" in name and b".vml" in archive.read(name))
    assert f"<x:FmlaMacro>[0]!{MACRO}</x:FmlaMacro>" in button and TITLE in button
    number = list(book.sheets).index("Price list") + 1
    assert related == f"xl/worksheets/_rels/sheet{number}.xml.rels"


def test_simulated_workbook_holds_the_project_byte_for_byte() -> None:
    made = small_workbook()
    assert made == small_workbook()
    with zipfile.ZipFile(io.BytesIO(made)) as archive:
        assert archive.testzip() is None
        assert archive.read("xl/vbaProject.bin") == vba.vba_project()
        types = archive.read("[Content_Types].xml").decode()
        assert 'Extension="bin" ContentType="application/vnd.ms-office.vbaProject"' in types
        assert 'PartName="/xl/workbook.xml" ContentType="application/vnd.ms-excel.sheet.macroEnabled.main+xml"' in types
        related = archive.read("xl/_rels/workbook.xml.rels").decode()
        assert 'Type="http://schemas.microsoft.com/office/2006/relationships/vbaProject" Target="vbaProject.bin"' in related
        assert f'codeName="{vba.WORKBOOK_CODE_NAME}"' in archive.read("xl/workbook.xml").decode()
        for number, name in enumerate(vba.SHEET_CODE_NAMES, 1):
            assert f'<sheetPr codeName="{name}"/>' in archive.read(f"xl/worksheets/sheet{number}.xml").decode()


def test_simulated_project_has_modules_for_the_code_names() -> None:
    # A VBA project lists its modules' names, two bytes a letter, in the stream PROJECTwm ([MS-OVBA] 2.3.3).
    listed = vba.vba_project()
    for name in (vba.WORKBOOK_CODE_NAME, *vba.SHEET_CODE_NAMES):
        assert name.encode() + b"\0" + name.encode("utf-16-le") + b"\0\0" in listed


def test_another_project_is_not_built_in_unseen(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(vba, "PROJECT_SHA256", "0" * 64)
    with pytest.raises(FileRefused, match="its VBA project is not the one"):
        vba.vba_project()


def test_simulated_workbook_opens_in_openpyxl_with_project_and_settings(tmp_path: Path) -> None:
    book = openpyxl.load_workbook(io.BytesIO(small_workbook()), keep_vba=True)
    assert book.sheetnames == ["Quote", "Prices", "Notes", vba.SETTINGS_SHEET]
    assert book[vba.SETTINGS_SHEET].sheet_state == "hidden"
    assert [[value.value for value in row] for row in book[vba.SETTINGS_SHEET].rows] == [["UDF MODULES", "quoting"]]
    book.save(tmp_path / "again.xlsm")
    with zipfile.ZipFile(tmp_path / "again.xlsm") as archive:
        assert archive.read("xl/vbaProject.bin") == vba.vba_project()


def test_simulated_workbook_opens_and_recalculates_in_calc(calc: Calc, tmp_path: Path) -> None:
    (tmp_path / "small.xlsm").write_bytes(small_workbook())
    with calc.open(tmp_path / "small.xlsm") as book:
        assert book.values(["Quote!B1", "Notes!B1"]) == {"Quote!B1": 50.0, "Notes!B1": 50.0}


# The VBA, in LibreOffice's Basic

TRIAL = """
Function Kind(content As Variant) As String
    If IsError(content) Then Kind = "error " & CLng(content) Else Kind = TypeName(content) & " " & content
End Function
Sub Main
    Dim rows(1, 1) As Variant, row(2) As Variant, result As Variant
    Open "{file}" For Output As #1
    Print #1, Kind(WithErrorValues(CLng(-2146826252)))
    Print #1, Kind(WithErrorValues(156.5))
    Print #1, Kind(WithErrorValues("text"))
    rows(0, 0) = 1.5: rows(0, 1) = CLng(-2146826246): rows(1, 0) = "x": rows(1, 1) = True
    result = WithErrorValues(rows)
    Print #1, Kind(result(0, 0)) & ", " & Kind(result(0, 1)) & ", " & Kind(result(1, 0)) & ", " & Kind(result(1, 1))
    row(0) = 1.5: row(1) = CLng(-2146826273): row(2) = "x"
    result = WithErrorValues(row)
    Print #1, Kind(result(0)) & ", " & Kind(result(1)) & ", " & Kind(result(2))
    Close #1
End Sub
"""

MODULE = """\
<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE script:module PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "module.dtd">
<script:module xmlns:script="http://openoffice.org/2000/script" script:name="Module1" script:language="StarBasic">{text}
</script:module>
"""

LIBRARY = """\
<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE library:library PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "library.dtd">
<library:library xmlns:library="http://openoffice.org/2000/library" library:name="Standard" library:readonly="false"
 library:passwordprotected="false"><library:element library:name="Module1"/></library:library>
"""


def run_and_end(command: list[Any]) -> None:
    """Run LibreOffice to its end; text that its Basic cannot compile makes it wait for ever."""
    with subprocess.Popen(command, start_new_session=True, stdin=subprocess.DEVNULL) as process:
        try:
            assert process.wait(timeout=60) == 0
        except subprocess.TimeoutExpired:
            os.killpg(process.pid, signal.SIGKILL)
            pytest.fail("LibreOffice does not come to an end: its Basic does not compile the VBA")


def test_simulated_vba_compiles_and_makes_error_values_in_libreoffice(excel: Imported, calc: Calc, tmp_path: Path) -> None:
    office = [find_office().soffice, f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}", "--headless"]
    (tmp_path / "small.xlsm").write_bytes(small_workbook())
    run_and_end([*office, "--convert-to", "ods", "--outdir", tmp_path, tmp_path / "small.xlsm"])
    with zipfile.ZipFile(tmp_path / "small.ods") as archive:
        assert "RunPython" in archive.read("Basic/VBAProject/Module1.xml").decode()

    text = excel.vba.replace('Attribute VB_Name = "xlwings_udfs"\n', "")
    text = re.sub(r"(?ms)^ *#Else\n.*?^ *#End If\n", "", text)
    text = re.sub(r"(?m)^ *#.*\n", "", text)
    text = "Option VBASupport 1\n" + text + TRIAL.format(file=tmp_path / "result.txt")
    standard = tmp_path / "profile" / "user" / "basic" / "Standard"
    (standard / "Module1.xba").write_text(MODULE.format(text=html.escape(text)), encoding="utf-8")
    (standard / "script.xlb").write_text(LIBRARY, encoding="utf-8")
    run_and_end([*office, "macro:///Standard.Module1.Main"])
    assert (tmp_path / "result.txt").read_text().split("\n") == [
        "error 2036",
        "Double 156.5",
        "String text",
        "Double 1.5, error 2042, String x, Boolean True",
        "Double 1.5, error 2015, String x",
        "",
    ]
