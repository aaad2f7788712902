"""`send`, `floor`: a filed quote as the page for the customer, and as the job sheet for the floor."""

import argparse
import sys
import tempfile
from pathlib import Path
from typing import Any

from quotelib.cli.verbs import add_shop_file, add_shop_files, add_verb, load_shop


def add_verbs(verbs: Any) -> None:
    """Add the verbs to the command line."""
    verb = _paper_verb(verbs, "send", _send, "make the page of a filed quote for the customer, as PDF or as a workbook")
    add_shop_file(verb, "--letterhead", "letterhead.toml", "the shop's name, address and note")
    verb = _paper_verb(verbs, "floor", _floor, "make the job sheet of a filed quote for the floor, as PDF or as a workbook")
    add_shop_files(verb)


def _paper_verb(verbs: Any, name: str, work: Any, words: str) -> argparse.ArgumentParser:
    verb = add_verb(verbs, name, work, words)
    verb.add_argument("quote", type=Path, help="the file of a quote, such as examples/quotes/T-1041.toml")
    verb.add_argument("--out", type=Path, help="file to write, .pdf or .xlsx (default: a .pdf named for the quote, here)")
    verb.add_argument(
        "--language", default="en_US", help="how figures and days are written, such as de_DE (default: en_US)"
    )
    return verb


def _send(given: argparse.Namespace) -> int:
    from quotelib.quotes.papers import Letterhead, quote_paper
    from quotelib.quotes.register import load_quote

    filed = load_quote(given.quote)
    page = quote_paper(filed, Letterhead.load(given.letterhead), given.language)
    return _write(page, given.out or Path(f"quote-{filed.terms.number}.pdf"))


def _floor(given: argparse.Namespace) -> int:
    from quotelib.cases import Case
    from quotelib.quotes.papers import floor_paper
    from quotelib.quotes.register import load_quote

    filed = load_quote(given.quote)
    rates, prices = load_shop(given)
    page = floor_paper(Case(filed.job, rates, prices.rows), filed.terms.route, filed.terms.number, given.language)
    return _write(page, given.out or Path(f"floor-{filed.terms.number}.pdf"))


def _write(page: bytes, target: Path) -> int:
    """The page as a file: a workbook as it is, a PDF through LibreOffice."""
    from quotelib.errors import LookupMiss
    from quotelib.files.replacing import write_whole
    from quotelib.hosts.calc.office import OfficeFault
    from quotelib.hosts.calc.session import Calc

    if target.suffix.lower() not in (".pdf", ".xlsx"):
        raise LookupMiss("out", target.name, "it must end in .pdf or .xlsx")
    target.parent.mkdir(parents=True, exist_ok=True)
    if target.suffix.lower() == ".xlsx":
        write_whole(target, page)
    else:
        try:
            with tempfile.TemporaryDirectory(prefix="quotelib-") as scratch, Calc() as calc:
                source = Path(scratch, "page.xlsx")
                source.write_bytes(page)
                made = source.with_suffix(".pdf")
                with calc.open(source) as book:
                    book.save(made)
                write_whole(target, made.read_bytes())
        except OfficeFault as fault:
            print(fault, file=sys.stderr)
            return 1
    print(f"Written: {target}")
    return 0
