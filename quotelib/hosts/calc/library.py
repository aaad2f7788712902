"""The whole library, asked from inside LibreOffice.

A cell calls the functions in LibreOffice's own Python, which has neither pandas nor pint.  A price list is loaded by the
Python that `python -m quotelib install` ran in.  The installation notes which one that is, in a file in the user's
LibreOffice profile; here that Python is started, asked, and its answer read.  Standard library only.
"""

import datetime
import json
import os
import subprocess
from pathlib import Path
from typing import Any, NamedTuple

from quotelib.hosts.calc.office import clean_environment
from quotelib.kinds import day_number
from quotelib.prices.pricesheet import COLUMNS

NOTE = "quotelib.json"
"""The file in the folder `user` of a LibreOffice profile."""

ANSWERS_WITHIN = 60.0
"""Seconds the library may take."""

HOW_TO_NOTE = "type  python -m quotelib install  where the library is, start LibreOffice again, and try once more"


class LibraryFault(RuntimeError):
    """The library refused what was asked, with every fault named, or cannot be asked; then the message says what to do."""


class Library(NamedTuple):
    """Where the library is."""

    python: str
    """The Python that has it."""
    folder: str
    """The folder that holds the package."""
    prices: str | None = None
    """The shop's usual price list."""


def write_note(profile: Path, library: Library) -> None:
    """Note where the library is, in the folder `user` of a LibreOffice profile."""
    (profile / NOTE).write_text(json.dumps(library._asdict(), indent=2), encoding="utf-8")


def noted(profile: Path) -> Library | None:
    """Where the library is by the note in a profile; None where there is no note, or none of this form."""
    try:
        return Library(**json.loads((profile / NOTE).read_text(encoding="utf-8")))
    except (FileNotFoundError, ValueError, TypeError):
        return None


def price_rows(library: Library, path: Path, within: float = ANSWERS_WITHIN) -> tuple[str, list[tuple[Any, ...]]]:
    """The currency and the rows of a price list, days as the numbers a spreadsheet keeps for them.

    Raises LibraryFault where the list is refused or the library cannot be asked.
    """
    answer = json.loads(_ask(library, "prices", "--format", "json", "--prices", str(path), within=within))
    if answer["headings"] != [column.heading for column in COLUMNS]:
        raise LibraryFault(f"the library in {library.folder} and this add-in are of different versions; {HOW_TO_NOTE}")
    days = [column.word == "day" for column in COLUMNS]
    return answer["currency"], [
        tuple(_day(cell) if is_day and cell else cell for is_day, cell in zip(days, row, strict=True))
        for row in answer["rows"]
    ]


def _day(text: str) -> int:
    return day_number(datetime.date.fromisoformat(text))


def _ask(library: Library, *words: str, within: float) -> str:
    """What a verb of the command line prints."""
    command = [library.python, "-m", "quotelib", *words]
    nowhere: dict[str, Any] = {"creationflags": 0x08000000} if os.name == "nt" else {}  # CREATE_NO_WINDOW
    try:
        done = subprocess.run(
            [word if os.name == "nt" else word.encode() for word in command],
            cwd=library.folder,
            env={**clean_environment(), "PYTHONUTF8": "1"},
            stdin=subprocess.DEVNULL,
            capture_output=True,
            timeout=within,
            check=False,
            **nowhere,
        )
    except OSError as fault:
        raise LibraryFault(f"the Python noted for the library cannot be started ({fault}); {HOW_TO_NOTE}") from None
    except subprocess.TimeoutExpired:
        raise LibraryFault(f"the library did not answer within {within:g} s; try again") from None
    told = done.stderr.decode("utf-8", "replace").strip()
    if done.returncode == 1 and told.startswith("Refused: "):
        raise LibraryFault(told.removeprefix("Refused: "))
    if done.returncode:
        last = told.split("\n")[-1] or f"exit code {done.returncode}"
        raise LibraryFault(f"the library in {library.folder} does not run ({last}); {HOW_TO_NOTE}")
    return str(done.stdout, "utf-8")
