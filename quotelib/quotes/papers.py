"""Papers: the quote that a customer is sent, and the job sheet for the floor, each one page.

    quote_paper(filed, letterhead, "de_DE")    the page as the bytes of a small workbook
    floor_paper(case, "pad", "T-1041")

A paper is made from nothing but what belongs on it: the quote from its filed lines, the job sheet from the route without
its rates.  So no cost, margin or supplier can be in the file, on the page or behind it.  Figures are texts, written as
people of the chosen language write them, with as many decimals as the currency has (ISO 4217).
"""

import io
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import ClassVar

import babel
import babel.dates
import babel.numbers
import xlsxwriter

from quotelib.cases import Case
from quotelib.cautions import HAZARDS
from quotelib.chapters.charges import NET, TOTAL, customer_rows
from quotelib.chapters.floor import floor_cautions
from quotelib.errors import LookupMiss
from quotelib.floorplan import floor_plan
from quotelib.hosts.workbook.styles import STYLES
from quotelib.hosts.workbook.write import BUILT
from quotelib.job import Job
from quotelib.kinds import Label, day_of
from quotelib.prices.currencies import CODE_WANTED, CURRENCIES
from quotelib.quotes.register import FiledQuote
from quotelib.records import Record, entry
from quotelib.routes import TITLES

A4 = 9


@dataclass(frozen=True)
class Letterhead(Record):
    """What stands on a quote beside its figures."""

    what: ClassVar[str] = "letterhead"

    shop_name: Label = entry("Shop", "The shop's name, at the head of the page.")
    shop_address: Label = entry("Address", "Where the shop is, and how to reach it.")
    quote_note: Label = entry("Note", "When to pay, and what else holds.")


class Writing:
    """How people of one language write figures and days."""

    def __init__(self, locale: str) -> None:
        try:
            self.locale = babel.Locale.parse(locale.replace("-", "_"))
        except (ValueError, babel.UnknownLocaleError):
            raise LookupMiss("language", locale, "it must be a language and country, such as en_GB or de_DE") from None

    def number(self, value: Decimal, decimals: int) -> str:
        """A figure with so many decimals, or more where it has more."""
        exponent = value.normalize().as_tuple().exponent
        shown = max(decimals, -exponent if isinstance(exponent, int) else 0)
        pattern = "#,##0" + ("." + "0" * shown if shown else "")
        return babel.numbers.format_decimal(value, format=pattern, locale=self.locale)

    def day(self, day: int) -> str:
        """A day, the month in words."""
        return babel.dates.format_date(day_of(day), format="long", locale=self.locale)


def quote_paper(filed: FiledQuote, letterhead: Letterhead, locale: str = "en_US") -> bytes:
    """The quote for the customer, as a workbook with one page."""
    writing, terms, job = Writing(locale), filed.terms, filed.job
    if terms.currency not in CURRENCIES:
        raise LookupMiss("currency", terms.currency, CODE_WANTED)
    decimals = CURRENCIES[terms.currency]
    page = _Page("Quote", (44, 13, 15, 17))
    page.band(letterhead.shop_name)
    page.row(letterhead.shop_address, style="note")
    page.gap()
    page.row("Quote", style="title")
    facts = (("Number", terms.number), ("Date", writing.day(job.quote_day)))
    for label, fact in (*facts, ("Valid until", writing.day(terms.valid_until)), ("For", terms.customer)):
        page.row(label, fact)
    page.gap()
    page.row("What we will make", style="heading")
    for words in _made(job, TITLES[terms.route], writing):
        page.row(words)
    page.gap()
    page.heads("Line", "Quantity", f"Price, {terms.currency}", f"Amount, {terms.currency}")
    for row in customer_rows(filed.lines):
        quantity = "" if row.quantity is None else writing.number(row.quantity, 0)
        price = "" if row.price is None else writing.number(row.price, decimals)
        page.figures(row.words, quantity, price, writing.number(row.amount, decimals), bold=row.words in (NET, TOTAL))
    page.gap()
    page.block(letterhead.quote_note)
    return page.bytes()


def _made(job: Job, route: str, writing: Writing) -> list[str]:
    """What is made, in words."""
    pieces = writing.number(Decimal(int(job.good_pieces)), 0)
    sides = " x ".join(writing.number(Decimal(str(side)), 0) for side in (job.image_w_mm, job.image_h_mm))
    colours = f"{job.colours:g} colour{'s' if job.colours > 1 else ''}"
    return [f"{pieces} x {job.item}, design {job.design}", f"Print: {sides} mm, {colours}, {route.lower()}"]


def floor_paper(case: Case, route: str, number: str = "", locale: str = "en_US") -> bytes:
    """The job sheet for the floor, as a workbook with one page."""
    writing, job = Writing(locale), case.job
    plan = floor_plan(case, route)
    page = _Page("Job sheet", (60, 14, 14, 22))
    page.row("Job sheet for the floor", style="title")
    for label, fact in (("Quote", number), ("Design", job.design), ("Item", job.item), ("Route", TITLES[route])):
        if fact:
            page.row(label, fact)
    part = ""
    for step in plan:
        if step.part != part:
            part = step.part
            page.gap()
            page.heads(part, "Quantity", "Unit", "Where")
        shown = Decimal(f"{step.quantity:.2f}") if step.quantity >= 1 else Decimal(f"{step.quantity:.2g}")
        page.figures(step.step, writing.number(shown, 0), step.unit, step.where)
    page.gap()
    page.row("Mind your hands, eyes and lungs", style="heading")
    for (words,) in floor_cautions(route)[: len(HAZARDS[route]) + 1]:
        page.block(words, style="caution")
    return page.bytes()


class _Page:
    """One printed page, written from the top down."""

    def __init__(self, title: str, widths: Sequence[float]) -> None:
        self.buffer = io.BytesIO()
        self.book = xlsxwriter.Workbook(self.buffer, {"in_memory": True, "strings_to_formulas": False})
        self.book.set_properties({"title": title, "created": BUILT, "author": ""})
        self.sheet = self.book.add_worksheet(title)
        self.formats = {name: self.book.add_format(style) for name, style in STYLES.items()}
        right = {"align": "right"}
        self.formats["figure"] = self.book.add_format(STYLES["text"] | right)
        self.formats["sum"] = self.book.add_format(STYLES["text"] | right | {"bold": True, "top": 1})
        self.formats["sum text"] = self.book.add_format(STYLES["text"] | {"bold": True, "top": 1})
        self.last = len(widths) - 1
        self.at = 0
        for column, width in enumerate(widths):
            self.sheet.set_column(column, column, width)

    def gap(self) -> None:
        """An empty row."""
        self.at += 1

    def row(self, words: str, fact: str = "", style: str = "text") -> None:
        """Words, and a fact beside them."""
        self.sheet.write_string(self.at, 0, words, self.formats[style])
        if fact:
            self.sheet.write_string(self.at, 1, fact, self.formats["text"])
        self.at += 1

    def band(self, words: str) -> None:
        """The head of the page."""
        self.sheet.merge_range(self.at, 0, self.at, self.last, words, self.formats["brand"])
        self.sheet.set_row(self.at, 30)
        self.at += 1

    def heads(self, first: str, *others: str) -> None:
        """Column headings."""
        self.sheet.write_string(self.at, 0, first, self.formats["columns"])
        for column, words in enumerate(others, 1):
            self.sheet.write_string(self.at, column, words, self.formats["columns right"])
        self.at += 1

    def figures(self, words: str, *others: str, bold: bool = False) -> None:
        """A row of figures, already written out."""
        self.sheet.write_string(self.at, 0, words, self.formats["sum text" if bold else "text"])
        for column, shown in enumerate(others, 1):
            self.sheet.write_string(self.at, column, shown, self.formats["sum" if bold else "figure"])
        self.at += 1

    def block(self, words: str, style: str = "wrapped") -> None:
        """A paragraph over the width of the page."""
        self.sheet.merge_range(self.at, 0, self.at, self.last, words, self.formats[style])
        self.sheet.set_row(self.at, 14 * (1 + len(words) // 95))
        self.at += 1

    def bytes(self) -> bytes:
        """The finished workbook."""
        self.sheet.set_portrait()
        self.sheet.set_paper(A4)
        self.sheet.print_area(0, 0, self.at, self.last)
        self.sheet.fit_to_pages(1, 1)
        self.sheet.set_margins(0.8, 0.8, 0.8, 0.8)
        self.sheet.hide_gridlines(2)
        self.book.close()
        return self.buffer.getvalue()
