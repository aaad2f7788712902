"""The help of every function."""

from typing import Any

from quotelib.docstrings import help_of, typed_example
from quotelib.hosts.workbook.layout import page
from quotelib.hosts.workbook.model import Sheet
from quotelib.questions import QUESTIONS
from quotelib.registry import FUNCTIONS, SheetFunction


def fill(sheet: Sheet) -> None:
    """Put the questions of a working day, then every function with its arguments on the sheet."""
    sheet.put(0, 0, "Functions", "title")
    sheet.put(1, 0, "Type them into any cell. An argument in brackets may be left out.", "note")
    sheet.put(3, 0, "Which function do I want?", "heading")
    row = 4
    for question in QUESTIONS:
        sheet.put(row, 0, question.words, "wrapped")
        sheet.put(row, 1, ", ".join(question.functions), "wrapped")
        row += 1
    row += 1
    for column, heading in enumerate(("Function or argument", "What it gives or is", "Allowed", "Example", "Chapter")):
        sheet.put(row, column, heading, "columns")
    row += 1
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
        sheet.put(row, 3, _example(function), "function text")
        sheet.put(row, 4, function.chapter, "function text")
        row += 1
        for each in function.arguments:
            sheet.put(row, 0, f"    {each.name}", "code")
            sheet.put(row, 1, words.arguments[each.name].meaning, "wrapped")
            sheet.put(row, 2, words.arguments[each.name].allowed, "note wrapped")
            row += 1
        sheet.put(row, 1, f"Source: {words.source}", "note wrapped")
        row += 1
    sheet.finish.append(page((56, 78, 40, 56, 14), frozen=(3, 1), heads=None))


def _example(function: SheetFunction[..., Any]) -> str:
    call, result = typed_example(function)
    return f"{call} gives {result}" if result else call
