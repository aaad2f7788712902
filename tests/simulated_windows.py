"""Excel on Windows, simulated: stand-ins for what is not here, so that xlwings' own code can be run on any system.

Stood in for: pywin32's modules, and how pywin32 makes a VARIANT of a Python value (as oleargs.cpp of its build 312 says);
of Excel, ranges with their Value and Value2, and the workbook that VBA is imported into; of VBA, the calls that a wrapper
makes, read from the wrapper's text.  Run as they are: xlwings' udfs.py, com_server.py, conversion and _xlwindows.py, our
quoting.py and the library.  Nothing here shows that COM works, that VBA compiles, or that Excel takes the workbook.

xlwings binds to the system as it is imported, so the simulation runs as a process of its own (`SimulatedExcel`), which
answers requests in JSON, one a line.
"""

import ctypes
import datetime
import decimal
import importlib
import json
import re
import subprocess
import sys
import types
from pathlib import Path
from typing import Any
from unittest.mock import MagicMock

OMITTED = {"omitted": True}
"""An argument left out."""

MISSING = -2147352572
"""DISP_E_PARAMNOTFOUND, the code of an argument left out (from memory of the COM headers; xlwings tests for it)."""

CV_ERRORS = {
    2000: "#NULL!",
    2007: "#DIV/0!",
    2015: "#VALUE!",
    2023: "#REF!",
    2029: "#NAME?",
    2036: "#NUM!",
    2042: "#N/A",
    2045: "#SPILL!",
}
"""XlCVError, learn.microsoft.com/en-us/office/vba/api/excel.xlcverror."""


def cell(value: Any) -> dict[str, Any]:
    """One cell as an argument: a number, text, TRUE or FALSE, or None for a blank.

    {"error": "#N/A"} is a cell in error, {"money": 1.5} one in a currency format, {"day": 45000} one in a date format.
    """
    return {"range": [[value]]}


def cells(rows: Any) -> dict[str, Any]:
    """A range of cells as an argument."""
    return {"range": rows}


def constant(value: Any) -> dict[str, Any]:
    """A value written into the formula."""
    return {"constant": value}


class SimulatedExcel:
    """The process that simulates Excel with the workbook quoting.xlsm, in a folder that holds quoting.py."""

    def __init__(self, folder: Path) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-W", "error", __file__, str(folder)],
            cwd=Path(__file__).parents[1],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            encoding="utf-8",
        )

    def __enter__(self) -> "SimulatedExcel":
        return self

    def __exit__(self, *_: object) -> None:
        assert self.process.stdin and self.process.stdout
        self.process.stdin.close()
        self.process.stdout.close()
        self.process.wait()

    def _ask(self, **request: Any) -> Any:
        assert self.process.stdin and self.process.stdout
        self.process.stdin.write(json.dumps(request) + "\n")
        self.process.stdin.flush()
        reply = json.loads(self.process.stdout.readline())
        if "failed" in reply:
            raise RuntimeError(reply["failed"])
        return reply["reply"]

    def import_functions(self) -> tuple[str, dict[str, dict[str, Any]]]:
        """What the button Import Functions does: the VBA it brings in, and the wizard's entry for each function."""
        text, entries = self._ask(ask="import functions")
        return text, entries

    def press_button(self, workbook: Path) -> list[Any]:
        """What comes of the button on the price sheet of a workbook: the box that it shows, and the cells of that sheet."""
        shown: list[Any] = self._ask(ask="press button", workbook=str(workbook))
        return shown

    def formula(self, name: str, *arguments: dict[str, Any]) -> Any:
        """What a cell shows for a call: a number, text, TRUE or FALSE, {"error": ...}, or rows of them.

        An error that no one meant, because the call itself failed, says so under "failed".
        """
        return self._ask(ask="formula", name=name, arguments=arguments)


# From here on: the process itself.


class TimeType(datetime.datetime):
    """pywintypes.TimeType."""


class ComError(Exception):
    """pywintypes.com_error."""


RANGE_IID = "{00020846-0000-0000-C000-000000000046}"


class RangeInExcel:
    """Excel's Range, as pywin32 hands it to xlwings."""

    def __init__(self, rows: list[list[Any]]) -> None:
        self.rows = rows
        self._oleobj_ = MagicMock()
        self._oleobj_.GetTypeInfo().GetTypeAttr().iid = RANGE_IID
        self.Row = self.Column = 1
        self.Rows = types.SimpleNamespace(Count=len(rows))
        self.Columns = types.SimpleNamespace(Count=len(rows[0]))
        self.Worksheet = types.SimpleNamespace(Parent=types.SimpleNamespace(Application=types.SimpleNamespace(Hwnd=1)))

    @property
    def Value2(self) -> Any:
        """Numbers as they are, whatever their format."""
        return self._each(value2)

    @property
    def Value(self) -> Any:
        """An amount in a currency format as VT_CY, which pywin32 makes a Decimal; a date as VT_DATE."""
        return self._each(value)

    def _each(self, read: Any) -> Any:
        rows = tuple(tuple(read(content) for content in row) for row in self.rows)
        return rows[0][0] if len(rows) == len(rows[0]) == 1 else rows


def value2(content: Any) -> Any:
    """A cell's content as pywin32 makes it from Value2."""
    if not isinstance(content, dict):
        return float(content) if isinstance(content, int) and not isinstance(content, bool) else content
    if "error" in content:
        return -0x80000000 + 0x000A0000 + next(number for number, shown in CV_ERRORS.items() if shown == content["error"])
    return float(content.get("money", content.get("day")))


def value(content: Any) -> Any:
    """A cell's content as pywin32 makes it from Value."""
    if isinstance(content, dict) and "money" in content:
        return decimal.Decimal(str(content["money"])).quantize(decimal.Decimal("0.0001"))
    if isinstance(content, dict) and "day" in content:
        start = TimeType(1899, 12, 30, tzinfo=datetime.UTC)
        return start + datetime.timedelta(days=content["day"])
    return value2(content)


class WorkbookInExcel:
    """The workbook that Import Functions works on."""

    Name = "quoting.xlsm"

    def __init__(self) -> None:
        self.vba = ""
        self.entries: dict[str, dict[str, Any]] = {}
        self.Worksheets = [types.SimpleNamespace(Name=name) for name in ("Quote", "xlwings.conf")]
        self.Application = types.SimpleNamespace(Version="16.0", MacroOptions=self.macro_options)
        self.VBProject = types.SimpleNamespace(VBComponents=self)

    def __call__(self, component: str) -> str:
        if not self.vba:
            raise ComError(f"there is no {component} yet")
        return component

    def Remove(self, _component: str) -> None:
        self.vba = ""

    def Import(self, file: str) -> None:
        self.vba = Path(file).read_text()

    def macro_options(self, macro: str, **entry: Any) -> None:
        for words in [entry["Description"], *(entry["ArgumentDescriptions"] or [])]:
            if len(words) > 255:
                raise ComError(f"{macro}: {words!r} is too long")
        self.entries[macro.removeprefix("'quoting.xlsm'!")] = entry


boxes: list[list[Any]] = []
"""The message boxes shown: title, words, style."""


def press_button(path: str) -> list[Any]:
    """Run the macro as its Sub does, with the button's name for the caller."""
    from tests.simulated_price_sheet import Workbook

    workbook = Workbook(Path(path))
    com_server = importlib.import_module("xlwings.com_server")
    com_server.XLPython().CallUDF("quoting", "REFRESH_PRICES", (), workbook, "Button 1")
    return [boxes.pop(), workbook.shows("Price list", "A6:E20")]


def install_stand_ins() -> None:
    """pywin32's modules, as far as xlwings touches them, and xlwings itself, imported as if on Windows."""
    for needed in ("asyncio", "concurrent.futures", "logging", "numpy", "pandas", "tempfile"):
        importlib.import_module(needed)
    dispatch = type("PyIDispatch", (), {})
    modules: dict[str, dict[str, Any]] = {
        "pywintypes": {"TimeType": TimeType, "IID": str, "com_error": ComError, "error": ComError},
        "win32api": {"MessageBox": lambda _window, words, title, style: boxes.append([title, words, style]) or 1},
        "win32con": {
            "MB_OK": 0,
            "MB_OKCANCEL": 1,
            "MB_YESNO": 4,
            "MB_YESNOCANCEL": 3,
            "MB_ICONINFORMATION": 64,
            "MB_ICONWARNING": 48,
        },
        "win32event": {},
        "win32gui": {},
        "win32process": {"GetWindowThreadProcessId": lambda _window: (1, 1)},
        "win32timezone": {"TimeZoneInfo": MagicMock()},
        "pythoncom": {
            "__file__": "pythoncom",
            "CoInitialize": lambda: None,
            "IID_IDispatch": dispatch,
            "TypeIIDs": {dispatch: dispatch},
        },
        "win32com": {},
        "win32com.client": {
            "CDispatch": type("CDispatch", (), {}),
            "CoClassBaseClass": type("CoClassBaseClass", (), {}),
            "DispatchBaseClass": type("DispatchBaseClass", (), {}),
            "Dispatch": lambda object_, **_: object_,
            "DispatchEx": None,
            "gencache": MagicMock(),
        },
        "win32com.server": {},
        "win32com.server.dispatcher": {},
        "win32com.server.exception": {},
        "win32com.server.policy": {},
        "win32com.server.util": {},
    }
    for name, contents in modules.items():
        module = types.ModuleType(name)
        vars(module).update(contents)
        sys.modules[name] = module
        parent, _, child = name.rpartition(".")
        if parent:
            setattr(sys.modules[parent], child, module)
    platform, pydll = sys.platform, ctypes.PyDLL
    sys.platform = "win32"
    for loader in ("PyDLL", "oledll", "windll"):
        setattr(ctypes, loader, MagicMock())
    try:
        importlib.import_module("xlwings")
    finally:
        sys.platform, ctypes.PyDLL = platform, pydll  # type: ignore[misc]


def to_variant(result: Any) -> tuple[str, Any]:
    """The VARIANT that pywin32 makes of what Python returns: its type, and its value."""
    if isinstance(result, str):
        return "VT_BSTR", result
    if isinstance(result, bool):
        return "VT_BOOL", result
    if isinstance(result, int):
        return ("VT_I4" if -(2**31) <= result < 2**31 else "VT_I8"), result
    if isinstance(result, float):
        return "VT_R8", result
    if result is None:
        return "VT_NULL", None
    if isinstance(result, (list, tuple)):
        return "VT_ARRAY", [to_variant(element) for element in result]
    raise TypeError(f"Objects of type {type(result)} can not be converted to a COM VARIANT")


def with_error_values(variant: tuple[str, Any]) -> tuple[str, Any]:
    """What the VBA of quotelib/hosts/excel/wrappers.py does."""
    kind, content = variant
    if kind == "VT_ARRAY":
        return kind, [with_error_values(element) for element in content]
    return ("VT_ERROR", content) if kind == "VT_I4" else variant


def shown(variant: tuple[str, Any]) -> Any:
    """What the cell shows; an array of one dimension is a row."""
    kind, content = variant
    if kind == "VT_ARRAY":
        rows = content if content[0][0] == "VT_ARRAY" else [variant]
        return [[shown(element) for element in row] for _, row in rows]
    if kind == "VT_NULL":
        return {"error": "#VALUE!", "failed": "VT_NULL"}  # xlwings issue 390
    return {"error": CV_ERRORS.get(content & 0xFFFF, f"error {content}")} if kind == "VT_ERROR" else content


class Wrapper:
    """A VBA function that calls Python, as far as its text tells what it does."""

    def __init__(self, vba: str, name: str) -> None:
        self.text = re.search(rf"(?ms)^Function {name}\(.*?^End Function$", vba)[0].replace(" _\n", "")  # type: ignore[index]
        parameters = re.match(r"Function \w+\((.*)\)\n", self.text)[1]  # type: ignore[index]
        self.parameters = parameters.split(", ") if parameters else []
        call = r'(WithErrorValues\()?XLPy\.CallUDF\("(\w+)", "(\w+)", .*, ThisWorkbook, Application\.Caller\)\)?'
        found = re.search(rf"(?m)^ +{name} = {call}$", self.text)
        assert found, self.text
        self.our_vba, self.module, self.function = found.groups()

    def call(self, arguments: list[Any], workbook: WorkbookInExcel) -> Any:
        """What the function returns to the cell."""
        com_server = importlib.import_module("xlwings.com_server")
        passed = list(arguments)
        if self.parameters and self.parameters[-1].startswith("ParamArray"):
            # argsArray(k) = arguments(k) takes a range's default property, which is Value.
            fixed = len(self.parameters) - 1
            passed[fixed:] = [given.Value if isinstance(given, RangeInExcel) else given for given in passed[fixed:]]
        else:
            assert len(passed) <= len(self.parameters), f"{self.function} takes {self.parameters}"
            for parameter in self.parameters[len(passed) :]:
                assert parameter.startswith("Optional "), f"{self.function} needs {parameter}"
                passed.append(MISSING)
        try:
            caller = RangeInExcel([[None]])
            variant = to_variant(com_server.XLPython().CallUDF(self.module, self.function, tuple(passed), workbook, caller))
        except Exception as fault:
            return {"error": "#VALUE!", "failed": f"{type(fault).__name__}: {fault}"}
        return shown(with_error_values(variant) if self.our_vba else variant)


def argument(given: dict[str, Any]) -> Any:
    """An argument as VBA has it in hand."""
    if "range" in given:
        return RangeInExcel(given["range"])
    if "omitted" in given:
        return MISSING
    content = given["constant"]
    return tuple(tuple(map(value2, row)) for row in content) if isinstance(content, list) else value2(content)


def serve(folder: str) -> None:
    """Answer requests until there are no more."""
    sys.path[:0] = [folder, str(Path(__file__).parents[1])]
    install_stand_ins()
    workbook = WorkbookInExcel()
    replies = sys.stdout
    sys.stdout = sys.stderr
    for line in sys.stdin:
        request = json.loads(line)
        try:
            if request["ask"] == "import functions":
                importlib.import_module("xlwings").import_udfs("quoting", workbook)
                reply: Any = [workbook.vba, workbook.entries]
            elif request["ask"] == "press button":
                reply = press_button(request["workbook"])
            else:
                wrapper = Wrapper(workbook.vba, request["name"])
                reply = wrapper.call([argument(given) for given in request["arguments"]], workbook)
            answer = {"reply": reply}
        except Exception as fault:
            answer = {"failed": f"{type(fault).__name__}: {fault}"}
        replies.write(json.dumps(answer) + "\n")
        replies.flush()
    importlib.import_module("xlwings.com_server").loop.close()


if __name__ == "__main__":
    serve(sys.argv[1])
