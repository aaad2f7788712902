"""Has xlwings' Import Functions write VBA functions that end in error values (why: see quotelib/hosts/excel).

xlwings writes VBA for each function of a module, in which

        NAME = XLPy.CallUDF("quoting", "NAME", Array(...), ThisWorkbook, Application.Caller)
        ...
    failed:
        NAME = Err.Description

Here the answer is passed through WithErrorValues, which makes error values of whole numbers, and a call that failed as a
whole gives #VALUE!.  The rest stays as xlwings wrote it.  Should a later xlwings write something else, Import Functions
stops and says so: with VBA that is half ours, a cell could show a refusal as a number.
"""

import importlib.metadata
import io
import re
import sys
from typing import Any

from quotelib.errors import QuoteError

WITH_ERROR_VALUES = """\
Private Function WithErrorValues(ByVal answer As Variant) As Variant
    Dim y As Long, x As Long, width As Long
    If Not IsArray(answer) Then
        WithErrorValues = WithErrorValue(answer)
        Exit Function
    End If
    width = -1
    On Error Resume Next
    width = UBound(answer, 2)
    On Error GoTo 0
    For y = LBound(answer) To UBound(answer)
        If width < 0 Then
            answer(y) = WithErrorValue(answer(y))
        Else
            For x = 0 To width
                answer(y, x) = WithErrorValue(answer(y, x))
            Next x
        End If
    Next y
    WithErrorValues = answer
End Function

Private Function WithErrorValue(ByVal answer As Variant) As Variant
    If VarType(answer) = vbLong Then WithErrorValue = CVErr(answer And 65535) Else WithErrorValue = answer
End Function
"""
"""The VBA that makes error values of whole numbers, in one value, in rows, or in a single row, which has one dimension."""

_modules: set[str] = set()


class OtherXlwings(QuoteError):
    """This xlwings writes VBA of a form that is not known here."""


def use_error_values(module_name: str) -> None:
    """Have the functions of a module imported into Excel with error values; where there is no Excel, nothing happens."""
    _modules.add(module_name)
    udfs: Any = sys.modules.get("xlwings.udfs")
    if udfs is None or udfs.generate_vba_wrapper.__module__ == __name__:
        return
    written_by_xlwings = udfs.generate_vba_wrapper

    def generate_vba_wrapper(module_name: str, module: Any, file: Any, workbook: Any) -> None:
        text = io.StringIO()
        written_by_xlwings(module_name, module, text, workbook)
        known = [function for function in vars(module).values() if hasattr(function, "__xlfunc__")]
        functions = [function for function in known if not function.__xlfunc__["sub"]]  # a macro gives nothing back
        ours = [function.__name__ for function in functions if function.__module__ in _modules]
        file.write(with_error_values(text.getvalue(), ours))

    udfs.generate_vba_wrapper = generate_vba_wrapper


def with_error_values(text: str, names: list[str]) -> str:
    """VBA that xlwings wrote, with the named functions ending in error values."""
    for name in names:
        call = rf"(?m)^( +{name} = )(XLPy\.CallUDF\((?:[^\n]|(?<= _)\n)*\))$"
        text, calls = re.subn(call, r"\1WithErrorValues(\2)", text)
        text, failures = re.subn(rf"(?m)^( +{name} = )Err\.Description$", r"\1CVErr(xlErrValue)", text)
        if (calls, failures) != (2, 1):
            raise OtherXlwings(
                "xlwings",
                importlib.metadata.version("xlwings"),
                f"its VBA for {name} is not of the form that 0.33 to 0.37 write; install one of those",
            )
    return text + WITH_ERROR_VALUES if names else text
