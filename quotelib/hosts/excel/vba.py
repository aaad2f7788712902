"""The VBA project inside quoting.xlsm.

It is the project of the workbook that xlwings ships for a new start (quickstart.xlsm, outside `pro/`, BSD 3-clause licence)
byte for byte: a reference to xlwings' add-in, which brings XLPy, and one small macro of theirs.  Our functions are not in
it, nor is the macro of the button: Import Functions writes them into the user's own copy of the workbook (wrappers.py).

Its modules are named for the workbook and its first two sheets.  Excel makes modules for the other sheets when it opens the
workbook, as it did for those who reported XlsxWriter's issues 246 and 438.
"""

import hashlib
import importlib.resources
import io
import zipfile

import xlsxwriter

from quotelib.errors import FileRefused
from quotelib.hosts.excel.build import MODULE
from quotelib.hosts.excel.refresh import MACRO, TITLE
from quotelib.prices import pricesheet

PROJECT_SHA256 = "df2a1914f58fb2af9c8cec418be991d0546a5f9194bdb11e42580e463def6b12"
"""The project as xlwings 0.33 to 0.37 ship it; another one is not built into a workbook unseen."""

WORKBOOK_CODE_NAME = "ThisWorkbook"
SHEET_CODE_NAMES = ("Sheet1", "Sheet2")

SETTINGS_SHEET = "xlwings.conf"
"""Where xlwings' add-in looks for settings of this workbook."""

SETTINGS = {"UDF MODULES": MODULE}
"""Named here, the module is found under whatever name the workbook is saved."""


def vba_project() -> bytes:
    """The bytes of vbaProject.bin, from the installed xlwings."""
    start = importlib.resources.files("xlwings") / "quickstart.xlsm"
    with zipfile.ZipFile(io.BytesIO(start.read_bytes())) as archive:
        project = archive.read("xl/vbaProject.bin")
    if hashlib.sha256(project).hexdigest() != PROJECT_SHA256:
        raise FileRefused(str(start), ["its VBA project is not the one that xlwings 0.33 to 0.37 ship; look at it first"])
    return project


def add_to(workbook: "xlsxwriter.Workbook") -> None:
    """Make a finished workbook one with the VBA project, a button on the price sheet, and a hidden sheet of settings."""
    prices = workbook.get_worksheet_by_name(pricesheet.TITLE)
    if prices is not None:
        prices.insert_button(0, 1, {"macro": MACRO, "caption": TITLE, "width": 176, "height": 24})
    settings = workbook.add_worksheet(SETTINGS_SHEET)
    for row, setting in enumerate(SETTINGS.items()):
        settings.write_row(row, 0, setting)
    settings.hide()
    workbook.add_vba_project(io.BytesIO(vba_project()), is_stream=True)
    workbook.set_vba_name(WORKBOOK_CODE_NAME)
    for sheet, name in zip(workbook.worksheets(), SHEET_CODE_NAMES, strict=False):
        sheet.set_vba_name(name)
