"""How to begin, whether everything is in order, and what to mind."""

from quotelib._version import __version__
from quotelib.cautions import CAUTIONS, LAST_WORD, NO_ADVICE
from quotelib.chapters.guard import library_version
from quotelib.formula import Call, Name, builtin
from quotelib.hosts.workbook.layout import page
from quotelib.hosts.workbook.model import Book, Sheet


def fill(book: Book, sheet: Sheet) -> None:
    """Put how to begin, what each sheet is for and whether it is in order, and the cautions on the sheet.

    It comes last, when every guard of the other sheets has its name.
    """
    sheet.put(0, 0, "Quoting decorated hard goods", "title")
    row = 2
    for text in BEGINNING:
        for column, content in enumerate(("", text)):
            sheet.put(row, column, content, "wrapped")
        row += 1
    row = _put_state(book, sheet, row + 1) + 1
    _put_heading(sheet, row, "Mind your hands, eyes and lungs")
    for offset, text in enumerate((*CAUTIONS.values(), f"{LAST_WORD} {NO_ADVICE}"), 1):
        sheet.put(row + offset, 1, text, "caution")
    sheet.finish.append(page((18, 92, 46), frozen=None, heads=None))


def _put_heading(sheet: Sheet, row: int, words: str) -> None:
    sheet.put(row, 0, words, "heading")
    for column in (1, 2):
        sheet.put(row, column, "", "heading")


def _put_state(book: Book, sheet: Sheet, row: int) -> int:
    """Whether the functions are there, then a line for each sheet: what it is for, and what is wrong on it."""
    _put_heading(sheet, row, "Is everything in order?")
    guards = {title: [name for name, (on, _) in book.names.items() if name.endswith("_faults") and on == title]
              for title in book.sheets}  # fmt: skip
    faultless = [Name(name).equals("") for names in guards.values() for name in names]
    version = Call(library_version.cell_name, library_version, ())
    in_order = builtin("IF", builtin("AND", *faultless), "yes", "no: see below")
    facts = (
        (f"The functions are found, in this version; made with {__version__}", version),
        ("All inputs of all sheets are filled in and allowed", in_order),
        ("The cheapest way for the job", Name("cheapest_route")),
    )
    for offset, (label, formula) in enumerate(facts, 1):
        sheet.put(row + offset, 1, label)
        sheet.put(row + offset, 2, formula, "result text")
    book.define("all_in_order", sheet, (row + 2, 2))
    row += 1 + len(facts)
    sheet.put(row, 1, MISSING_FUNCTIONS, "note wrapped")
    row += 2
    for column, head in enumerate(("Sheet", "What it is for", "What is wrong on it; nothing if blank")):
        sheet.put(row, column, head, "columns")
    for title, purpose in PURPOSES.items():
        row += 1
        sheet.put(row, 0, title)
        sheet.put(row, 1, purpose, "wrapped")
        faults = [Name(name) for name in guards[title]]
        if faults:
            sheet.put(row, 2, builtin("CONCATENATE", *faults), "guard wrapped")
    return row + 1


BEGINNING = (
    "Save this workbook under a name of your own. Then type the design, the item and the run into the framed cells of the "
    "sheet Job; everything else follows.",
    "Put your own times, yields and machines on the sheet Shop rates. Prices come from a file: see the sheet Price list.",
    "Any function on the sheet Functions can be typed into any cell, here or in a workbook of your own: =SETUP_COST(3, 28)",
    'A wrong argument gives an error value, so a total never lies. =REASON("SETUP_COST", 0, 28) says what is wrong.',
    "All names and figures here are invented: Tarnwick Sled & Paddle, its customers, its suppliers.",
)

PURPOSES = {
    "Job": "One design on one item, worked out by every way to print it, line by line.",
    "Break-even": "The cost of a good piece against the run, and the run at which the cheaper way changes.",
    "Route map": "The cheapest way at other numbers of colours and other runs.",
    "Price": "What to charge: margin, minimum, rush, discount and tax; a ladder of prices; how low you may go.",
    "Quote": "The page for the customer: print it, or save it as PDF. Nothing of your reckoning is on it.",
    "Floor": "The job sheet for the floor: what to set up, how many to start, what to mind.",
    "Range": "How sure the cost is, where rates, yields and minutes are not.",
    "How many": "How many to make now, and how many transfers to hold, when nobody knows what will sell.",
    "Reorders": "How much to order each time, and when, for what is used all year or month by month.",
    "Investment": "Whether a new jig or press pays, and whether to make transfers or buy them.",
    "After the job": "Why the job cost more or less than quoted, and whether a rate was true.",
    "Hours": "The orders against the hours of each work centre; the sequence; the day to promise.",
    "Shop rates": "Your times, yields, machines and settings, which every quote uses.",
    "Price list": "What materials cost, read from your price list.",
    "Functions": "Which function answers which question, and the help of all of them.",
}
"""What each sheet is for, in their order."""

MISSING_FUNCTIONS = (
    "If the first of these lines shows #NAME?, the functions are not installed on this machine, and each result is in error"
    " until they are. In LibreOffice Calc 25.2 or later: close it, run  python -m quotelib install  (or open "
    "quoting-functions.oxt with the Extension Manager), and open this workbook again. In Excel for Windows: open "
    "quoting.xlsm and follow EXCEL.md beside it. If the version found differs from the one named here, install the newer."
)
