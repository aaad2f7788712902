"""How fast it is, measured here and now: python -m tests.benchmark [SECTION ...]

Each section compares with something measured in the same run, so that the figure means the same on any machine.
"""

import sys
import tempfile
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NamedTuple

import xlsxwriter

from quotelib.hosts.calc.build import FILE_NAME, addin
from quotelib.hosts.calc.session import Book, Calc


class Measured(NamedTuple):
    """One line of the table."""

    what: str
    figure: str
    aim: str
    met: bool


# --- Calc: a hard recalculation of 10,000 cells, against an add-in function that only divides ---

CELLS = 10_000

BARE = {
    "META-INF/manifest.xml": """\
<?xml version="1.0" encoding="UTF-8"?>
<manifest:manifest xmlns:manifest="http://openoffice.org/2001/manifest">
<manifest:file-entry manifest:full-path="bare.idl" manifest:media-type="application/vnd.sun.star.uno-typelibrary;type=RDB"/>
<manifest:file-entry manifest:full-path="bare.py" manifest:media-type="application/vnd.sun.star.uno-component;type=Python"/>
<manifest:file-entry manifest:full-path="bare.xcu" manifest:media-type="application/vnd.sun.star.configuration-data"/>
</manifest:manifest>
""",
    "description.xml": """\
<?xml version="1.0" encoding="UTF-8"?>
<description xmlns="http://openoffice.org/extensions/description/2006"><identifier value="bare.division"/></description>
""",
    "bare.idl": "module bare { interface XBare { any BARE_DIVISION([in] any a, [in] any b); }; };\n",
    "bare.xcu": """\
<?xml version="1.0" encoding="UTF-8"?>
<oor:component-data oor:name="CalcAddIns" oor:package="org.openoffice.Office"
                    xmlns:oor="http://openoffice.org/2001/registry">
<node oor:name="AddInInfo"><node oor:name="bare.Division" oor:op="replace"><node oor:name="AddInFunctions">
<node oor:name="BARE_DIVISION" oor:op="replace">
<prop oor:name="DisplayName"><value xml:lang="en">BARE_DIVISION</value></prop>
<prop oor:name="CompatibilityName"><value xml:lang="en-US">BARE_DIVISION</value></prop>
<prop oor:name="Category"><value>Add-In</value></prop>
<node oor:name="Parameters"/>
</node></node></node></node></oor:component-data>
""",
    "bare.py": """\
import uno
import unohelper
from com.sun.star.lang import Locale, XLocalizable, XServiceInfo, XServiceName


class Division(unohelper.Base, uno.getClass("bare.XBare"), XServiceInfo, XServiceName, XLocalizable):
    def __init__(self, context):
        pass

    def getServiceName(self):
        return "bare.Division"

    def getImplementationName(self):
        return "bare.Division"

    def getSupportedServiceNames(self):
        return ("com.sun.star.sheet.AddIn", "bare.Division")

    def supportsService(self, name):
        return name in self.getSupportedServiceNames()

    def setLocale(self, locale):
        pass

    def getLocale(self):
        return Locale("en", "GB", "")

    def BARE_DIVISION(self, a, b):
        return a / b


g_ImplementationHelper = unohelper.ImplementationHelper()
g_ImplementationHelper.addImplementation(Division, "bare.Division", ("com.sun.star.sheet.AddIn", "bare.Division"))
""",
}
"""The least an add-in can be: one function that divides, and checks nothing."""


def calc_cells() -> Iterator[Measured]:
    """10,000 cells of SETUP_PER_UNIT and of a bare division, recalculated by turns in one LibreOffice, the best of 30 each.

    A recalculation takes either the time shown or, often every second time, about 9 us a cell more, whatever the function
    does; three in a row let both functions meet the better case.
    """
    with tempfile.TemporaryDirectory() as scratch:
        ours, bare = Path(scratch, FILE_NAME), Path(scratch, "bare.oxt")
        ours.write_bytes(addin())
        with zipfile.ZipFile(bare, "w") as archive:
            for name, text in BARE.items():
                archive.writestr(name, text)
        with Calc(addins=[ours, bare]) as calc:
            books: dict[str, Book] = {}
            for function in ("SETUP_PER_UNIT", "BARE_DIVISION"):
                path = Path(scratch, f"{function}.xlsx")
                _column_of(function, path)
                books[function] = calc.open(path)
                assert books[function].value(f"Sheet1!C{CELLS}") == CELLS / 7
            times: dict[str, list[float]] = {function: [] for function in books}
            for _ in range(10):
                for function, book in books.items():
                    times[function] += [book.recalculate() for _ in range(3)]
    ours_s, bare_s = (min(measured) for measured in times.values())
    ratio = ours_s / bare_s
    yield Measured(f"Calc, {CELLS:,} cells of SETUP_PER_UNIT", f"{ours_s * 1000:.0f} ms", "", True)
    yield Measured(f"Calc, {CELLS:,} cells of a bare division", f"{bare_s * 1000:.0f} ms", "", True)
    yield Measured("  ours against bare", f"{ratio:.2f}", "3 at most", ratio <= 3)


def _column_of(function: str, path: Path) -> None:
    with xlsxwriter.Workbook(path) as workbook:
        sheet = workbook.add_worksheet()
        for row in range(CELLS):
            sheet.write_row(row, 0, (row + 1, 7))
            sheet.write_formula(row, 2, f"={function}(A{row + 1},B{row + 1})", None, 999)


SECTIONS: dict[str, Callable[[], Iterator[Measured]]] = {"calc": calc_cells}


def main() -> int:
    """Measure the sections named, or all, and print the table; 1 when an aim was missed."""
    chosen = sys.argv[1:] or list(SECTIONS)
    lines = [line for section in chosen for line in SECTIONS[section]()]
    wide = max(len(line.what) for line in lines)
    for line in lines:
        print(f"{line.what:{wide}}  {line.figure:>10}  {line.aim}{'' if line.met else '  MISSED'}")
    return 0 if all(line.met for line in lines) else 1


if __name__ == "__main__":
    sys.exit(main())
