"""The functions in the cells of a real LibreOffice Calc, through the built add-in; its installation; recalculation.

Every formula of these workbooks has 999 stored as its result, and no function here gives 999.
"""

import datetime
import json
import math
import os
import re
import shutil
import subprocess
import sys
import time
import zipfile
from pathlib import Path
from typing import Any

import pytest
import xlsxwriter

import quotelib
from quotelib.cli import main
from quotelib.docstrings import help_of
from quotelib.errors import FileRefused, LookupMiss, QuoteError, RangeError
from quotelib.hosts.calc import office
from quotelib.hosts.calc.build import OLDEST_PYTHON, STARTER, addin, argument_help, bundled_modules, members
from quotelib.hosts.calc.install import install, uninstall
from quotelib.hosts.calc.office import OfficeFault, find_office
from quotelib.hosts.calc.recalculate import recalculate
from quotelib.hosts.calc.session import Book, Calc
from quotelib.kinds import NumberKind
from quotelib.registry import FUNCTIONS
from tests.in_cells import CellCall, documented_calls, write_calls
from tests.outside import Check, read_checks

DOCUMENTED = documented_calls()


@pytest.fixture
def book(calc: Calc) -> Any:
    """An empty workbook."""
    with calc.open() as book:
        yield book


def evaluated(book: Book, *formulas: str) -> list[Any]:
    """The values of formulas, each put into a cell of column H."""
    cells = {f"Sheet1!H{number}": formula for number, formula in enumerate(formulas, 1)}
    book.set(cells)
    return list(book.values(list(cells)).values())


def agrees(shown: Any, result: Any) -> bool:
    """Whether a cell, or a range, shows what the library gave."""
    if isinstance(result, QuoteError):
        return bool(shown == {"error": result.cell_error})
    if isinstance(result, (list, tuple)):
        return all(agrees(*pair) for rows in zip(shown, result, strict=True) for pair in zip(*rows, strict=True))
    if isinstance(result, str):
        return bool(shown == result)
    return isinstance(shown, float) and math.isclose(shown, result, rel_tol=1e-9, abs_tol=1e-12)


# The same numbers in cells


def test_every_documented_call_gives_the_same_in_a_cell(calc: Calc, tmp_path: Path) -> None:
    assert {call.function for call, _ in DOCUMENTED} == set(FUNCTIONS)
    addresses = write_calls(tmp_path / "calls.xlsx", [call for call, _ in DOCUMENTED])
    with calc.open(tmp_path / "calls.xlsx") as book:
        shown = book.values(addresses)
    wrong = [
        f"{call}: {shown[address]} in Calc, {result!r} in Python"
        for address, (call, result) in zip(addresses, DOCUMENTED, strict=True)
        if not agrees(shown[address], result)
    ]
    assert not wrong, "\n".join(wrong)


def as_calc_hands_over(check: Check) -> bool:
    """Whether the arguments reach the library as the check means them: Calc makes TRUE 1 and a single blank cell 0."""
    arguments = FUNCTIONS[check.function].arguments
    return not any(
        value == "" or (isinstance(value, bool) and isinstance(argument.kind, NumberKind))
        for value, argument in zip(check.arguments, arguments, strict=False)
    )


def test_every_outside_check_holds_in_a_cell(calc: Calc, tmp_path: Path) -> None:
    checks = [check for check in read_checks() if as_calc_hands_over(check)]
    assert len(checks) > 50
    calls = []
    for check in checks:
        expected = check.error or check.value
        shape = (len(expected), len(expected[0])) if isinstance(expected, tuple) else None
        calls.append(CellCall(check.function, check.arguments, shape))
    addresses = write_calls(tmp_path / "checks.xlsx", calls)
    with calc.open(tmp_path / "checks.xlsx") as book:
        shown = book.values(addresses)
    wrong = []
    for address, check in zip(addresses, checks, strict=True):
        if check.error:
            assert issubclass(check.error, QuoteError)
            good = shown[address] == {"error": check.error.cell_error}
        else:
            good = not isinstance(shown[address], dict) and check.agrees(shown[address])
        if not good:
            wrong.append(check.told(f"{shown[address]} in Calc"))
    assert not wrong, "".join(wrong)


@pytest.mark.parametrize("ending", ["xlsx", "ods"])
def test_plain_names_survive_saving_and_opening(calc: Calc, tmp_path: Path, ending: str) -> None:
    write_calls(tmp_path / "calls.xlsx", [call for call, _ in DOCUMENTED])
    with calc.open(tmp_path / "calls.xlsx") as book:
        formulas, values = book.formulas(), book.values()
        book.save(tmp_path / f"again.{ending}")
    with calc.open(tmp_path / f"again.{ending}") as book:
        assert book.formulas() == formulas
        assert book.values() == values
    for call, _ in DOCUMENTED:
        assert any(formula.startswith(f"={call.function}(") for formula in formulas.values())
    if ending == "xlsx":
        with zipfile.ZipFile(tmp_path / "again.xlsx") as archive:
            stored = archive.read("xl/worksheets/sheet2.xml").decode()
        kept = {re.sub(r"\(.*", "", formula) for formula in re.findall(r"<f[^>]*>([^<]*)</f>", stored)}
        assert kept == set(FUNCTIONS)


# Errors


@pytest.mark.parametrize(
    ("formula", "error"),
    [
        ("SETUP_PER_UNIT(156.5,0)", "#NUM!"),
        ('CHANGE_OVER_RUN({0,1,"","",1},{0,1,"","",2})', "#NUM!"),
        ('SETUP_PER_UNIT("many",700)', "#VALUE!"),
        ("SETUP_PER_UNIT(156.5)", "#VALUE!"),
        ('REASON("SETUP_PER_UNITS")', "#N/A"),
        ("SETUP_PER_UNIT(1/0,700)", "#DIV/0!"),
        ("SETUP_PER_UNIT(NA(),700)", "#N/A"),
        ("SETUP_PER_UNIT(SETUP_COST(0,28),700)", "#NUM!"),
    ],
)
def test_refusal_is_a_proper_error_value(book: Book, formula: str, error: str) -> None:
    shown = evaluated(
        book,
        f"={formula}",
        f'=IFERROR({formula},"caught")',
        f"=SUM(1,{formula})",
        "=SUM(1,H1)",
        "=ISERROR(H1)",
        f"=1+{formula}",
    )
    assert shown == [{"error": error}, "caught", {"error": error}, {"error": error}, 1.0, {"error": error}]


def test_too_many_arguments_are_an_error(book: Book) -> None:
    assert evaluated(book, "=SETUP_PER_UNIT(1,2,3,4)") == [{"error": "Err:504"}]


def test_single_results_work_inside_the_spreadsheet_s_own_functions(book: Book) -> None:
    book.set({f"Sheet1!A{row}": 10.0 * row for row in range(1, 6)})
    call = "TOOL_SETS(45000,20000)"
    assert evaluated(
        book,
        f"={call}*2",
        f'=IF({call}>2,"three","fewer")',
        f"=INDEX(A1:A5,{call})",
        f'=CHOOSE({call},"a","b","c")',
        f'=TEXT({call},"0.00")',
        f"=ROUND({call}/7,2)",
        f"=MATCH({call}*10,A1:A5,0)",
        f"=COUNT({call})",
        f"=ISNUMBER({call})",
        f"=SUMPRODUCT({call}*A1:A5)",
        "=TOOL_COST(TOOL_SETS(45000,20000)*1000,20000,60)",
        f'={call}&" sets"',
    ) == [6, "three", 30, "c", "3.00", 0.43, 3, 1, 1, 450, 60, "3 sets"]


# Blanks, ranges, arguments left out


def test_single_blank_cell_counts_as_zero(book: Book) -> None:
    assert evaluated(
        book,
        "=SETUP_PER_UNIT(156.5,A1)",
        "=SETUP_PER_UNIT(A1,700)",
        "=TOOL_COST(45000,20000,60,A1)",
        '=REASON("SETUP_PER_UNIT",156.5,A1)',
    ) == [{"error": "#NUM!"}, 0.0, 135.0, "good_pieces is 0; it must be whole, 1 to 1e9 [pieces]"]


def test_arguments_left_out_take_their_defaults(book: Book) -> None:
    assert evaluated(
        book,
        "=SETUP_COST(3,28)",
        "=SETUP_COST(3,28,60)",
        "=SETUP_COST(3,28,,12.5)",
        "=SETUP_COST(3,28,60,12.5)",
        "=TOOL_COST(45000,20000,60,FALSE())",
    ) == [84.0, 144.0, 96.5, 156.5, 135.0]


def test_range_gives_one_result_for_each_cell(calc: Calc, tmp_path: Path) -> None:
    pieces = ((700, 350), (0, "ten"), ("", 1.5))
    calls = [
        CellCall("SETUP_PER_UNIT", (156.5, pieces), (3, 2)),
        CellCall("SETUP_PER_UNIT", (((700,), (350,)), ((7,), (10,))), (2, 1)),
        CellCall("REASON", ("SETUP_PER_UNIT", 156.5, pieces)),
        CellCall("SETUP_PER_UNIT", (((1,), (2,)), ((1, 2),)), (1, 1)),
    ]
    addresses = write_calls(tmp_path / "ranges.xlsx", calls)
    with calc.open(tmp_path / "ranges.xlsx") as book:
        each, paired, reasons, mixed = book.values(addresses).values()
        book.set(
            {
                "Results!D1": "=SUM(SETUP_PER_UNIT(156.5,Inputs!B1:C1))",
                "Results!D2": "=SUM(SETUP_PER_UNIT(156.5,Inputs!B1:C3))",
            }
        )
        sums = list(book.values(["Results!D1", "Results!D2"]).values())
    number, value = {"error": "#NUM!"}, {"error": "#VALUE!"}
    assert each == [[156.5 / 700, 156.5 / 350], [number, value], [value, number]]
    assert paired == [[100.0], [35.0]]
    assert reasons == quotelib.reason("SETUP_PER_UNIT", 156.5, pieces) and reasons.count("good_pieces is") == 4
    assert mixed == [[value]]
    good, refused = sums
    assert good == pytest.approx(156.5 / 700 + 156.5 / 350)
    assert "error" in refused  # which of the two errors is left to the processor's sum of two NaN


def test_whole_number_beyond_32_bits_comes_back(book: Book) -> None:
    assert evaluated(book, "=TOOL_SETS(1E12,1)") == [1e12]


# The guard


def test_guard_in_cells(book: Book) -> None:
    rows = [
        ("Labour", None, None),
        ("Run size", None, "pieces"),
        ("Coverage", 3.0, "fraction"),
        ("Artwork", None, "money, may be blank"),
        (None, None, None),
        ("Rush", True, "flag"),
        ("Due", datetime.date(2026, 3, 1), "day"),
        ("Film", 0.0, "code"),
    ]
    for number, cells in enumerate(rows, 1):
        book.set({f"Sheet1!{column}{number}": cell for column, cell in zip("ABE", cells, strict=True)})
    faults = "=INPUT_FAULTS(A1:A8,B1:B8,E1:E8)"
    version, reason, good, told = evaluated(
        book, "=LIBRARY_VERSION()", '=REASON("Setup_Per_Unit",156.5,0)', '=REASON("SETUP_PER_UNIT",156.5,700)', faults
    )
    assert version == quotelib.__version__
    assert (reason, good) == ("good_pieces is 0; it must be whole, 1 to 1e9 [pieces]", "")
    assert (
        told == "Run size is blank; Coverage is 3, it must be 0 to 1 [fraction]; Film is blank, it must be text, not blank"
    )
    book.set({"Sheet1!B2": 700, "Sheet1!B3": 0.3, "Sheet1!B8": "FILM-A"})
    assert evaluated(book, faults) == [""]
    book.set({"Sheet1!B3": "=1/0"})
    assert evaluated(book, faults) == [{"error": "Err:504"}]


def test_words_compare_as_typed_ones_do(book: Book) -> None:
    good = 'REASON("SETUP_PER_UNIT",1,1)'
    version = quotelib.__version__
    assert evaluated(
        book,
        f'={good}=""',
        f'=IF({good}="","good","bad")',
        f'=LIBRARY_VERSION()="{version}"',
        "=LIBRARY_VERSION()",
        f'=H4="{version}"',
        f'=MATCH("{version}",H4:H4,0)',
        f'=COUNTIF(H4:H4,"{version}")',
        f"=LEN({good})",
    ) == [1.0, "good", 1.0, version, 1.0, 1.0, 1.0, 0.0]


def test_reason_takes_every_argument_of_the_longest_function(book: Book) -> None:
    longest = max(FUNCTIONS.values(), key=lambda function: len(function.arguments))
    arguments = ",".join(["-1"] * len(longest.arguments))
    (told,) = evaluated(book, f'=REASON("{longest.cell_name}",{arguments})')
    assert told == quotelib.reason(longest.cell_name, *[-1.0] * len(longest.arguments)) != ""


# The function wizard


def test_wizard_shows_every_function_and_argument_with_its_help(calc: Calc) -> None:
    shown = calc.functions()
    for name, function in FUNCTIONS.items():
        words = help_of(function)
        assert shown[name]["description"] == f"{function.chapter}: {words.summary}"
        assert shown[name]["arguments"] == [
            [argument.name, argument_help(words.arguments[argument.name])] for argument in function.arguments
        ]
        for argument in function.arguments:
            told = argument_help(words.arguments[argument.name])
            assert words.arguments[argument.name].meaning and argument.kind.allowed in told and argument.kind.unit in told


# The add-in's file


def test_build_gives_the_same_bytes_every_time() -> None:
    program = "import sys; from quotelib.hosts.calc.build import addin; sys.stdout.buffer.write(addin())"
    built = [
        subprocess.run(
            [sys.executable, "-c", program], env={**os.environ, "PYTHONHASHSEED": seed}, capture_output=True, check=True
        ).stdout
        for seed in ("1", "2")
    ]
    assert built == [addin(), addin()]


IN_ISOLATION = """\
import json, sys
sys.path.insert(0, sys.argv[1])
from quotelib.hosts.calc.component import method_of
from quotelib.registry import FUNCTIONS
calls = json.load(sys.stdin)
results = [method_of(FUNCTIONS[name])(None, *arguments) for name, arguments in calls]
outside = {name.split(".")[0] for name in sys.modules} - set(sys.stdlib_module_names) - {"__main__", "quotelib"}
json.dump([results, list(outside)], sys.stdout)
"""


def pythons() -> list[str]:
    """This Python, and every other one here that a LibreOffice could bring."""
    usable = [sys.executable]
    for minor in range(OLDEST_PYTHON[1], 15):
        found = shutil.which(f"python3.{minor}")
        if (
            found
            and minor != sys.version_info[1]
            and subprocess.run([found, "-V"], capture_output=True, check=False).returncode == 0
        ):
            usable.append(found)
    return usable


@pytest.mark.parametrize("python", pythons())
def test_bundled_package_works_with_the_standard_library_alone(tmp_path: Path, python: str) -> None:
    for name, text in bundled_modules().items():
        file = tmp_path / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
    good = [(call, result) for call, result in DOCUMENTED if not isinstance(result, QuoteError)]
    calls = [[call.function, call.arguments] for call, _ in good if not FUNCTIONS[call.function].repeats]
    expected = [result for call, result in good if not FUNCTIONS[call.function].repeats]
    done = subprocess.run(
        [python, "-S", "-I", "-B", "-c", IN_ISOLATION, str(tmp_path)],
        input=json.dumps(calls),
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    results, outside = json.loads(done.stdout)
    assert outside == []
    for call, rows, result in zip(calls, results, expected, strict=True):
        assert agrees(rows if isinstance(result, (list, tuple, str)) else rows[0][0], result), call


def test_bundle_holds_what_a_cell_needs_and_no_more() -> None:
    modules = bundled_modules()
    assert {f"quotelib/chapters/{chapter}.py" for chapter in quotelib.CHAPTERS} <= set(modules)
    assert not {name for name in modules if re.search(r"arrays|pricelist|season|cli|excel|workbook|build|session", name)}
    assert {"quoting_functions.py", "pythonpath/quotelib/__init__.py"} <= set(members()) and members()[
        "quoting_functions.py"
    ] == STARTER


# Without it, and installed


def test_without_the_add_in_a_cell_says_name(tmp_path: Path, calc: Calc) -> None:
    write_calls(tmp_path / "calls.xlsx", [CellCall("SETUP_PER_UNIT", (156.5, 700))])
    with Calc(addins=()) as bare, bare.open(tmp_path / "calls.xlsx") as book:
        book.set({"Inputs!Z1": "=LIBRARY_VERSION()"})
        assert book.values() == {"Inputs!Z1": {"error": "#NAME?"}, "Results!A1": {"error": "#NAME?"}}
        book.save(tmp_path / "saved.xlsx")
    with calc.open(tmp_path / "saved.xlsx") as book:
        assert book.values() == {"Inputs!Z1": quotelib.__version__, "Results!A1": pytest.approx(156.5 / 700)}


def test_install_into_a_profile_replaces_and_uninstalls(calc: Calc, tmp_path: Path) -> None:
    profile, oxt = tmp_path / "profile", tmp_path / "quoting-functions.oxt"
    older = {name: text.replace(quotelib.__version__, "0.0.9") for name, text in members().items()}
    older["quoting.idl"] = re.sub(r"(?m)^.*\bSETUP_COST\(.*\n", "", older["quoting.idl"])  # a function that came later
    with zipfile.ZipFile(oxt, "w") as archive:
        for name, text in older.items():
            archive.writestr(name, text)
    assert "version 0.0.9" in install(oxt, profile)
    oxt.write_bytes(addin())
    for given in (oxt, oxt, None):
        assert f"version {quotelib.__version__}, are installed" in install(given, profile)
    assert uninstall(profile) == "The quoting functions are uninstalled."
    assert uninstall(profile) == "The quoting functions were not installed."
    with pytest.raises(FileRefused, match="no such file"):
        install(tmp_path / "nowhere.oxt", profile)


@pytest.fixture
def other_office(monkeypatch: pytest.MonkeyPatch) -> Any:
    """Lets a test look for LibreOffice elsewhere."""
    find_office.cache_clear()
    yield monkeypatch
    find_office.cache_clear()


@pytest.mark.skipif(os.name == "nt", reason="the stand-in for an old LibreOffice is a shell script")
def test_older_office_is_refused(
    other_office: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    old = tmp_path / "soffice"
    old.write_text("#!/bin/sh\necho 'LibreOffice 24.8.7.2 40(Build:2)'\n")
    old.chmod(0o755)
    other_office.setenv("SOFFICE", str(old))
    with pytest.raises(OfficeFault, match=r"LibreOffice 24\.8\.7 at .* is too old; install LibreOffice 25\.2 or later"):
        find_office()
    assert main(["install", "--profile", str(tmp_path / "profile")]) == 1
    assert "is too old; install LibreOffice 25.2 or later" in capsys.readouterr().err
    assert not (tmp_path / "profile").exists()


def test_missing_office_says_what_to_install(other_office: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    other_office.setenv("PATH", "")
    other_office.delenv("SOFFICE", raising=False)
    other_office.setattr(office, "USUAL_PLACES", ())
    with pytest.raises(OfficeFault, match=r"no LibreOffice was found; install LibreOffice 25\.2 or later"):
        Calc()
    assert main(["recalculate", "nothing.xlsx"]) == 1
    assert "no LibreOffice was found" in capsys.readouterr().err
    other_office.setenv("SOFFICE", "/nowhere/soffice")
    with pytest.raises(OfficeFault, match="SOFFICE is set to /nowhere/soffice, where there is no file"):
        find_office()


# Recalculation


@pytest.fixture
def quote(tmp_path: Path) -> Path:
    """A small workbook with names, a text, a stale result and a protected sheet."""
    path = tmp_path / "a quote.xlsx"
    with xlsxwriter.Workbook(path) as workbook:
        job, locked = workbook.add_worksheet("Job"), workbook.add_worksheet("Shop's rates")
        job.write_column("A1", ["Run size", "Setup cost", "Each"])
        job.write_column("B1", [700, 156.5])
        job.write_formula("B3", "=SETUP_PER_UNIT(setup_cost,run_size)", None, 999)
        job.write_formula("B4", "=B3*'Shop''s rates'!A1", None, 999)
        job.write_formula("B5", '="for "&run_size', None, "for 999")
        locked.write("A1", 2)
        locked.write("A2", 0, workbook.add_format({"locked": False}))
        locked.protect()
        for name, cell in {"run_size": "B1", "setup_cost": "B2", "each_piece": "B3", "whole_job": "A1:B5"}.items():
            absolute = ":".join(re.sub(r"(\w)(\d)", r"$\1$\2", part) for part in cell.split(":"))
            workbook.define_name(name, f"=Job!{absolute}")
        workbook.define_name("tax", "=0.2")
    return path


def test_stored_results_do_not_survive(calc: Calc, quote: Path) -> None:
    with calc.open(quote) as book:
        assert book.values() == {
            "Job!B3": pytest.approx(156.5 / 700),
            "Job!B4": pytest.approx(313 / 700),
            "Job!B5": "for 700",
        }
        assert book.recalculate() > 0


def test_many_sets_of_inputs_in_one_session(calc: Calc, quote: Path) -> None:
    with calc.open(quote) as book:
        for size in range(100, 2100, 100):
            book.set({"run_size": size, "Job!B2": 300, "'Shop''s rates'!A2": "unlocked"})
            shown = book.values(["each_piece", "Job!$B$4", "Shop's rates!A1:A2"])
            assert shown == {
                "each_piece": pytest.approx(300 / size),
                "Job!$B$4": pytest.approx(600 / size),
                "Shop's rates!A1:A2": [[2.0], ["unlocked"]],
            }


def test_values_texts_days_blanks_and_formulas_are_set(book: Book) -> None:
    book.set(
        {"Sheet1!A1": datetime.date(2026, 3, 1), "Sheet1!A2": "12", "Sheet1!A3": True, "Sheet1!A4": "=A1+1", "Sheet1!A5": 5}
    )
    book.set({"Sheet1!A5": None})
    assert book.value("Sheet1!A1:A5") == [[46082.0], ["12"], [1.0], [46083.0], [""]]
    assert book.formulas() == {"Sheet1!A4": "=A1+1"}


@pytest.mark.parametrize(
    ("cells", "kind", "message"),
    [
        ({"run_sise": 1}, LookupMiss, "cell is 'run_sise'; .* defined name of the workbook, such as run_size"),
        ({"Jobs!A1": 1}, LookupMiss, "sheet is 'Jobs'; the sheets are Job, Shop's rates"),
        ({"Job!run size": 1}, LookupMiss, "it must be an address such as Job!B4"),
        ({"Job!A0": 1}, LookupMiss, "it must be an address such as Job!B4"),
        ({"tax": 1}, LookupMiss, "this one is a formula's"),
        ({"whole_job": 1}, RangeError, "whole_job is '5 x 2 cells'; it must be one cell"),
        ({"Job!B1": 5, "Shop's rates!A1": 1}, LookupMiss, "its sheet is protected"),
    ],
)
def test_setting_what_cannot_be_set_is_refused_and_sets_nothing(
    calc: Calc, quote: Path, cells: dict[str, Any], kind: type[QuoteError], message: str
) -> None:
    with calc.open(quote) as book:
        with pytest.raises(kind, match=message):
            book.set(cells)
        assert book.value("Job!B1") == 700


def test_files_that_cannot_be_read_or_written_are_refused(calc: Calc, quote: Path, tmp_path: Path) -> None:
    garbage, empty, folder = tmp_path / "garbage.xlsx", tmp_path / "empty.xlsx", tmp_path / "folder.xlsx"
    garbage.write_bytes(b"\x00\x01garbage")
    empty.touch()
    folder.mkdir()
    for path, told in (
        (garbage, "LibreOffice cannot open it"),
        (empty, "the file is empty"),
        (tmp_path / "none.xlsx", "there is no such file"),
    ):
        with pytest.raises(FileRefused, match=told):
            calc.open(path)
    with pytest.raises(LookupMiss, match=r"its name must end in one of \.xlsx, \.xlsm, \.ods$"):
        calc.open(Path(__file__))
    with calc.open(quote) as book:
        with pytest.raises(LookupMiss, match=r"its name must end in one of \.xlsx, \.xlsm, \.ods, \.pdf$"):
            book.save(tmp_path / "quote.doc")
        with pytest.raises(OfficeFault, match=r"LibreOffice failed: .*folder\.xlsx"):
            book.save(folder)
        assert book.value("Job!B1") == 700


def test_workbook_itself_stays_as_it_is(calc: Calc, quote: Path) -> None:
    before = quote.read_bytes()
    with calc.open(quote) as book:
        book.set({"run_size": 1})
        book.recalculate()
    assert quote.read_bytes() == before
    assert [file.name for file in quote.parent.iterdir()] == [quote.name]


def test_command_sets_shows_and_saves(quote: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], calc: Calc) -> None:
    keep = ["--profile", str(tmp_path / "profile")]
    saved = tmp_path / "saved.xlsx"
    done = main(
        [
            "recalculate",
            str(quote),
            "--set",
            "run_size=350",
            "setup_cost==7*10",
            "--cells",
            "each_piece",
            "--save",
            str(saved),
            *keep,
        ]
    )
    assert done == 0
    assert json.loads(capsys.readouterr().out) == {"each_piece": 0.2}
    assert recalculate(saved, save=tmp_path / "saved.pdf", profile=tmp_path / "profile")["Job!B3"] == 0.2
    assert (tmp_path / "saved.pdf").read_bytes().startswith(b"%PDF")
    assert main(["recalculate", str(quote), "--cells", "Job!A9999999", *keep]) == 1
    assert "Refused: cell is 'Job!A9999999'" in capsys.readouterr().err
    with pytest.raises(SystemExit):
        main(["recalculate", str(quote), "--set", "run_size"])
    assert "'run_size' is not of the form NAME=VALUE" in capsys.readouterr().err


# Its processes


PROCESSES = Path("/proc")

on_linux = pytest.mark.skipif(not PROCESSES.is_dir(), reason="reads the processes from /proc")


def alive(group: int) -> dict[int, str]:
    """The processes of a group that still run: their numbers and names."""
    found = {}
    for stat in PROCESSES.glob("[0-9]*/stat"):
        try:
            number, name, state, _, its_group = re.fullmatch(
                r"(\d+) \((.*)\) (\S) (\d+) (\d+) .*\n", stat.read_text()
            ).groups()
        except (FileNotFoundError, ProcessLookupError):  # it has just ended
            continue
        if int(its_group) == group and state != "Z":
            found[int(number)] = name
    return found


@on_linux
def test_nothing_is_left_running(calc: Calc) -> None:
    with Calc(addins=()) as other:
        group = other._bridge.pid
        assert "soffice.bin" in alive(group).values()
        assert group != calc._bridge.pid
    assert alive(group) == {}


@on_linux
def test_no_answer_in_time_ends_it(calc: Calc) -> None:
    with pytest.raises(OfficeFault, match=r"did not answer within 0\.001 s"), Calc(addins=()) as slow:
        group = slow._bridge.pid
        slow.timeout = 0.001
        slow.functions()
    assert alive(group) == {}


@on_linux
def test_its_end_is_told(calc: Calc) -> None:
    with pytest.raises(OfficeFault, match="LibreOffice"), Calc(addins=()) as broken:
        group = broken._bridge.pid
        (office_process,) = (number for number, name in alive(group).items() if name == "soffice.bin")
        os.kill(office_process, 9)
        broken.functions()
    assert alive(group) == {}


@on_linux
def test_it_ends_with_the_program_that_started_it(calc: Calc, tmp_path: Path) -> None:
    program = (
        "import os, signal\nfrom quotelib.hosts.calc.session import Calc\n"
        "with Calc(addins=()) as calc:\n    print(calc._bridge.pid, flush=True)\n    os.kill(os.getpid(), signal.SIGKILL)\n"
    )
    environment = {**os.environ, "TMPDIR": str(tmp_path)}  # a program killed so leaves its scratch folder behind
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, env=environment, check=False)
    group = int(done.stdout)
    give_up = datetime.datetime.now() + datetime.timedelta(seconds=30)
    while alive(group) and datetime.datetime.now() < give_up:
        time.sleep(0.1)
    assert alive(group) == {}
