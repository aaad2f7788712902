"""The help of a function, read from its docstring, for the function list, the wizard and the help sheet.

The docstring is the only place where help is written.  Its Parameters section names each argument with what is allowed and
its unit, exactly as its kind states them; a test holds the two together.
"""

import inspect
import re
from typing import Any, NamedTuple

from quotelib.registry import SheetFunction

SECTIONS = ("Parameters", "Returns", "Raises", "Notes", "References", "Examples")


class ArgumentHelp(NamedTuple):
    """What the docstring says of one argument."""

    allowed: str
    """The words after the colon: allowed range, unit, and the default."""
    meaning: str


class FunctionHelp(NamedTuple):
    """The docstring of one function, taken apart."""

    summary: str
    arguments: dict[str, ArgumentHelp]
    returns: str
    notes: str
    source: str
    examples: str

    @property
    def example(self) -> tuple[str, str]:
        """The first example that is not a refusal: the call and its result; blank where there is none."""
        found = re.search(r">>> (.+)\n(?!>>>|Traceback)(.+)", self.examples)
        return (found[1], found[2]) if found else ("", "")


def help_of(function: SheetFunction[..., Any]) -> FunctionHelp:
    """The help of a function, from its docstring."""
    parts = _sections(inspect.cleandoc(function.__doc__ or ""))
    return FunctionHelp(
        summary=_one_line(parts[""].split("\n\n")[0]),
        arguments={name: ArgumentHelp(allowed, meaning) for name, allowed, meaning in _entries(parts["Parameters"])},
        returns=" ".join(parts["Returns"].split("\n", 1)[-1].split()),
        notes=_one_line(parts["Notes"]),
        source=_one_line(parts["References"]),
        examples=parts["Examples"],
    )


def typed_example(function: SheetFunction[..., Any]) -> tuple[str, str]:
    """The first example as typed into a cell, and its result; blank where there is none."""
    call, result = help_of(function).example
    call = call.replace(function.__name__, f"={function.cell_name}", 1)
    for python, cell in (("True", "TRUE"), ("False", "FALSE"), ("[[", "{"), ("]]", "}"), ("], [", "; "), ("'", '"')):
        call = call.replace(python, cell)
    return call, result


def _sections(text: str) -> dict[str, str]:
    """The text under each section's underlined title; the summary under an empty title."""
    parts = dict.fromkeys(("", *SECTIONS), "")
    title, lines = "", text.split("\n")
    for number, line in enumerate(lines):
        following = lines[number + 1] if number + 1 < len(lines) else ""
        if line in SECTIONS and following == "-" * len(line):
            title = line
        elif not (title and line == "-" * len(title)):
            parts[title] += line + "\n"
    return {title: part.strip("\n") for title, part in parts.items()}


def _entries(parameters: str) -> list[tuple[str, str, str]]:
    """(name, allowed, meaning) of each entry of a Parameters section."""
    entries: list[tuple[str, str, str]] = []
    for line in parameters.split("\n"):
        head = re.fullmatch(r"(\*?\w+) : (.*)", line)
        if head:
            entries.append((head[1].removeprefix("*"), head[2], ""))
        elif entries:
            name, allowed, meaning = entries[-1]
            entries[-1] = (name, allowed, f"{meaning} {line.strip()}".strip())
    return entries


def _one_line(text: str) -> str:
    return " ".join(text.split())
