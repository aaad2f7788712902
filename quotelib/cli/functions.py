"""`functions`: the list of the functions, and the help of each."""

import argparse
import json
import sys
import textwrap
from typing import Any

from quotelib.cli.verbs import add_verb


def add_verbs(verbs: Any) -> None:
    """Add the verb to the command line."""
    verb = add_verb(verbs, "functions", _functions, "list the functions that can be typed into cells")
    verb.add_argument("--format", choices=("table", "json"), default="table", help="a table to read, or JSON for programs")
    verb.add_argument("name", nargs="?", help="show the whole help of one function, such as SETUP_COST")


def described() -> list[dict[str, Any]]:
    """Every function with its arguments, ranges and help, as plain data."""
    from quotelib.docstrings import help_of
    from quotelib.registry import FUNCTIONS

    described = []
    for function in FUNCTIONS.values():
        words = help_of(function)
        arguments = [
            {
                "name": argument.name,
                "kind": argument.kind.name,
                "unit": argument.kind.unit,
                "allowed": argument.kind.allowed,
                "required": argument.required,
                "default": argument.default,
                "repeats": argument.repeats,
                "help": words.arguments[argument.name].meaning,
            }
            for argument in function.arguments
        ]
        described.append(
            {
                "name": function.cell_name,
                "chapter": function.chapter,
                "help": words.summary,
                "arguments": arguments,
                "result": {"kind": function.result.name, "unit": function.result.unit, "help": words.returns},
                "source": words.source,
                "example": list(words.example),
            }
        )
    return described


def _functions(given: argparse.Namespace) -> int:
    functions = described()
    if given.name:
        functions = [each for each in functions if each["name"] == given.name.upper()]
        if not functions:
            from quotelib.chapters.guard import reason

            print(f"Refused: {reason(given.name)}", file=sys.stderr)
            return 1
    if given.format == "json":
        print(json.dumps(functions, indent=2))
        return 0
    chapter = ""
    for each in functions:
        if each["chapter"] != chapter:
            chapter = each["chapter"]
            print(f"\n{chapter}")
        names = [one["name"] if one["required"] else f"[{one['name']}]" for one in each["arguments"]]
        print(f"  {each['name']}({', '.join(names)})")
        print(textwrap.fill(each["help"], 110, initial_indent="      ", subsequent_indent="      "))
        for one in each["arguments"] if given.name else ():
            unit = f" [{one['unit']}]" if one["unit"] else ""
            print(textwrap.fill(f"{one['name']}: {one['help']} {one['allowed'].capitalize()}{unit}.", 110,
                                initial_indent="      - ", subsequent_indent="        "))  # fmt: skip
        if given.name:
            if all(each["example"]):
                print(f"      Example: {' gives '.join(each['example'])}")
            print(f"      Source: {each['source']}")
    if not given.name:
        print(f"\n{len(functions)} functions.  python -m quotelib functions NAME shows the help of one.")
    return 0
