"""Recalculate a workbook in LibreOffice Calc, with other inputs if need be, and show or save what comes out.

    python -m quotelib recalculate quote.xlsx --set run_size=250 "Job!B5=3" --cells unit_cost --save quote.pdf

The workbook itself stays as it is.  Values are printed as JSON; a cell in error reads {"error": "#NUM!"}.
"""

import argparse
import datetime
import json
import re
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from quotelib.hosts.calc.office import OfficeFault
from quotelib.hosts.calc.session import Calc, Value


def recalculate(
    workbook: Path,
    inputs: Mapping[str, Value] | None = None,
    cells: Sequence[str] | None = None,
    save: Path | None = None,
    profile: Path | None = None,
) -> dict[str, Value]:
    """The values of a workbook's cells, worked out anew in a real Calc.

    Parameters
    ----------
    workbook : Path
        The workbook, .xlsx, .xlsm or .ods.
    inputs : mapping, optional
        What to put into cells first, by address (`Job!B4`) or defined name; a text that begins with = is a formula.
    cells : sequence of str, optional
        The cells and ranges to read; every cell with a formula if left out.
    save : Path, optional
        Where to save the result, as .xlsx, .xlsm, .ods or .pdf.
    profile : Path, optional
        A folder that keeps LibreOffice's profile, so that the next time starts sooner.
    """
    with Calc(profile) as calc, calc.open(workbook) as book:
        book.set(inputs or {})
        values = book.values(cells)
        if save:
            book.save(save)
    return values


def setting(text: str) -> tuple[str, Value]:
    """A setting as typed, NAME=VALUE: the value a number, a day, TRUE or FALSE, a formula, or else text.

    >>> setting("run_size=250"), setting("Job!B4==A1*2"), setting("due=2026-03-01"), setting("note=")
    (('run_size', 250.0), ('Job!B4', '=A1*2'), ('due', datetime.date(2026, 3, 1)), ('note', None))
    """
    name, equals, value = text.partition("=")
    if not name or not equals:
        raise argparse.ArgumentTypeError(f"{text!r} is not of the form NAME=VALUE")
    return name, _typed(value)


def _typed(text: str) -> Any:
    if text.upper() in ("TRUE", "FALSE"):
        return text.upper() == "TRUE"
    if re.fullmatch(r"\d{4}-\d{2}-\d{2}", text):
        return datetime.date.fromisoformat(text)
    if re.fullmatch(r"[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?", text):
        return float(text)
    return text or None


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """What the command takes."""
    parser.add_argument("workbook", type=Path, help="the workbook, .xlsx, .xlsm or .ods; it stays as it is")
    parser.add_argument(
        "--set", nargs="+", action="extend", type=setting, default=[], metavar="NAME=VALUE", help="inputs to set first"
    )
    parser.add_argument("--cells", nargs="+", metavar="CELL", help="cells to show; every cell with a formula if left out")
    parser.add_argument("--save", type=Path, metavar="PATH", help="save the result as .xlsx, .xlsm, .ods or .pdf")
    parser.add_argument("--profile", type=Path, metavar="DIR", help="keep LibreOffice's profile here for the next time")


def run(options: argparse.Namespace) -> int:
    """Do what the command was given."""
    try:
        values = recalculate(options.workbook, dict(options.set), options.cells, options.save, options.profile)
    except OfficeFault as fault:
        print(fault, file=sys.stderr)
        return 1
    print(json.dumps(values, indent=2, ensure_ascii=False))
    return 0
