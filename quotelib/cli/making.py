"""`build`, `install`, `recalculate`: the files that are made, and LibreOffice."""

import argparse
from pathlib import Path
from typing import Any

from quotelib.cli.verbs import WORKBOOK, add_prices, add_verb
from quotelib.hosts.calc import install, recalculate


def add_verbs(verbs: Any) -> None:
    """Add the verbs to the command line."""
    verb = add_verb(verbs, "build", _build, "make the template workbook, the Calc add-in and the Excel module anew")
    verb.add_argument(
        "--check", action="store_true", help="change nothing; fail where a file differs from what would be made"
    )
    verb.add_argument("--into", type=Path, default=WORKBOOK, help="folder that holds them (default: workbook/)")

    verb = add_verb(verbs, "install", install.run, "install the Calc add-in for this user, or into a given profile")
    install.add_arguments(verb)
    add_prices(verb)
    verb = add_verb(verbs, "recalculate", recalculate.run, "recalculate a workbook in LibreOffice without opening a window")
    recalculate.add_arguments(verb)


def _build(given: argparse.Namespace) -> int:
    from quotelib.hosts.build import build

    differing = build(given.into, check=given.check)
    for name in differing:
        print(f"{name} differs from what the build makes" if given.check else f"made {given.into / name}")
    if given.check and not differing:
        print("Everything in the folder is as the build makes it.")
    return 1 if given.check and differing else 0
