"""Everything that is made from the registry and the shop's files, in one place: what `python -m quotelib build` writes.

    quoting.xlsx             the template workbook
    quoting.xlsm             the same sheets with the macros that Excel's functions go through
    functions.html           the help of every function as a page to read and search
    quoting.py               the functions as Excel loads them
    quoting-functions.oxt    the functions as LibreOffice Calc loads them

All are made the same to the byte every time, so that a check can hold the files in the folder to them.
"""

import zipfile
from collections.abc import Callable
from pathlib import Path

from quotelib.files.replacing import open_elsewhere, replacing, write_whole
from quotelib.hosts.calc.build import addin
from quotelib.hosts.excel.build import build_module
from quotelib.hosts.excel.vba import add_to
from quotelib.hosts.reference import reference_page
from quotelib.hosts.workbook.model import Book
from quotelib.hosts.workbook.template import build_book
from quotelib.hosts.workbook.write import BUILT, book_bytes
from quotelib.job import Job
from quotelib.prices.pricelist import load_price_list
from quotelib.rates import load_rates

EXAMPLE = Job(
    design="Kittiwake",
    item="Wheel 75",
    blank_code="BLANK-WHEEL-75",
    quote_day=46328,
    colours=4,
    image_w_mm=37,
    image_h_mm=37,
    coverage=0.32,
    hand_colours=1,
    transfer_code="TRANSFER-4C",
    good_pieces=1000,
    runs_expected=2,
    hand_possible=True,
    transfer_possible=True,
    pad_possible=True,
)
"""The invented job in the template: a cart wheel, which every route can print."""


def template(folder: Path) -> Book:
    """The template, with the rates and prices that lie in the folder."""
    return build_book(EXAMPLE, load_rates(folder / "shop-rates.toml"), load_price_list(folder / "price-list.csv"))


def build(folder: Path, check: bool = False) -> list[str]:
    """Write every made file into the folder that holds the shop's files, and give the names of those that changed.

    With `check`, nothing is written.
    """
    book = template(folder)
    makers: dict[str, Callable[[], bytes]] = {
        "quoting.xlsx": lambda: book_bytes(book),
        "quoting.xlsm": lambda: book_bytes(book, add_to),
        "functions.html": lambda: reference_page().encode(),
        "quoting.py": lambda: build_module().encode(),
        "quoting-functions.oxt": addin,
    }
    differing = []
    for name, make in makers.items():
        path, made = folder / name, make()
        if not path.exists() or path.read_bytes() != made:
            differing.append(name)
            if not check:
                _put(path, made)
    return differing


def _put(path: Path, made: bytes) -> None:
    """Write a made file.  A workbook that someone has saved since is kept beside it, and one that is open is left alone."""
    if path.suffix in (".xlsx", ".xlsm") and path.exists() and not _as_made(path):
        with replacing(path) as new:
            new.write(made)
    else:
        write_whole(path, made)


def _as_made(path: Path) -> bool:
    """Whether a workbook says that it was last changed when it was made, as no spreadsheet does that saves it."""
    try:
        with zipfile.ZipFile(path) as package:
            core = package.read("docProps/core.xml").decode()
    except (zipfile.BadZipFile, KeyError, UnicodeDecodeError):
        return False
    return not open_elsewhere(path) and f"{BUILT.isoformat()}Z</dcterms:modified>" in core
