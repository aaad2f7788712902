"""How to begin, whether everything is in order, and what to mind."""

from quotelib._version import __version__
from quotelib.cautions import CAUTIONS, LAST_WORD, NO_ADVICE
from quotelib.chapters.guard import library_version
from quotelib.formula import Name
from quotelib.hosts.workbook.layout import page
from quotelib.hosts.workbook.model import Book, Sheet


def fill(book: Book, sheet: Sheet) -> None:
    """Put how to begin, the state of things, and the cautions on the sheet."""
    sheet.put(0, 0, "Quoting decorated hard goods", "title")
    row = 2
    for text in BEGINNING:
        sheet.put(row, 0, text, "wrapped")
        row += 1
    sheet.put(row + 1, 0, "Is everything in order?", "heading")
    sheet.put(row + 1, 1, "", "heading")
    checks = (
        (f"Functions found (this workbook was made with {__version__})", library_version()),
        ("Faults in the job", Name("job_faults")),
        ("Faults in the shop rates", Name("rates_faults")),
        ("Cheapest way for the job", Name("cheapest_route")),
    )
    for offset, (label, formula) in enumerate(checks, 2):
        sheet.put(row + offset, 0, label)
        sheet.put(row + offset, 1, formula, "result text")
    row += 2 + len(checks)
    sheet.put(row, 0, MISSING_FUNCTIONS, "note wrapped")
    sheet.put(row + 2, 0, "Mind your hands, eyes and lungs", "heading")
    sheet.put(row + 2, 1, "", "heading")
    for offset, text in enumerate((*CAUTIONS.values(), f"{LAST_WORD} {NO_ADVICE}"), 3):
        sheet.put(row + offset, 0, text, "caution")
    sheet.finish.append(page((100, 34), frozen=None, heads=None, landscape=False))


BEGINNING = (
    "1.  On the sheet Job, type the design, the item and the run into the framed cells. The ways to print it are "
    "worked out below, line by line, each line with its driver.",
    "2.  The sheet Break-even shows at which run the cheaper way changes.",
    "3.  On the sheet Shop rates, put your own times, yields and machines. The sheet Price list holds the prices.",
    "4.  Any function on the sheet Functions can be typed into any cell, here or in your own workbook: =SETUP_COST(3, 28)",
    '5.  A wrong argument gives an error value, so a total never lies. =REASON("SETUP_COST", 0, 28) says what is wrong.',
    "6.  All names and figures in this workbook are invented: Tarnwick Sled & Paddle and its suppliers do not exist.",
)

MISSING_FUNCTIONS = (
    "If the first line shows #NAME?, the functions are not installed on this machine, and every result is in error until "
    "they are. In LibreOffice Calc 25.2 or later: close it, run  python -m quotelib install  (or open "
    "quoting-functions.oxt with the Extension Manager), and open this workbook again. In Excel for Windows: open "
    "quoting.xlsm and follow EXCEL.md beside it. If the version found differs from the one named here, install the newer."
)
