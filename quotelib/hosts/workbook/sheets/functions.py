"""The help of every function."""

from typing import Any

from quotelib.docstrings import FunctionHelp, help_of
from quotelib.hosts.workbook.layout import page, put_columns
from quotelib.hosts.workbook.model import Sheet
from quotelib.registry import FUNCTIONS, SheetFunction


def fill(sheet: Sheet) -> None:
    """List every function with its arguments."""
    sheet.put(0, 0, "Functions", "title")
    sheet.put(1, 0, "Type them into any cell. An argument in brackets may be left out.", "note")
    put_columns(sheet, 3, ("Function or argument", "What it gives or is", "Allowed", "Example or source", "Chapter"))
    row = 4
    for function in FUNCTIONS.values():
        words = help_of(function)
        shown = [f"[{each.name}]" if not each.required else each.name for each in function.arguments]
        sheet.put(row, 0, f"{function.cell_name}({', '.join(shown)})", "function")
        sheet.put(row, 1, words.summary, "function text")
        sheet.put(
            row,
            2,
            f"gives {function.result.name}" + (f" [{function.result.unit}]" if function.result.unit else ""),
            "function text",
        )
        sheet.put(row, 3, _example(function, words), "function text")
        sheet.put(row, 4, function.chapter, "function text")
        row += 1
        for each in function.arguments:
            sheet.put(row, 0, f"    {each.name}", "code")
            sheet.put(row, 1, words.arguments[each.name].meaning, "wrapped")
            sheet.put(row, 2, words.arguments[each.name].allowed, "note wrapped")
            row += 1
        sheet.put(row, 1, f"Source: {words.source}", "note wrapped")
        row += 1
    sheet.finish.append(page((44, 70, 40, 52, 14), frozen=(4, 1), heads=(3, 3)))


def _example(function: SheetFunction[..., Any], words: FunctionHelp) -> str:
    """The docstring's first example, as typed into a cell."""
    call, result = words.example
    call = call.replace(function.__name__, f"={function.cell_name}", 1)
    for python, cell in (("True", "TRUE"), ("False", "FALSE"), ("[[", "{"), ("]]", "}"), ("], [", "; "), ("'", '"')):
        call = call.replace(python, cell)
    return f"{call} gives {result}" if result else call
