"""The papers: what a customer is sent holds the quote to the cent and nothing of the shop's reckoning."""

import io
import re
import zipfile
from decimal import Decimal
from pathlib import Path

import babel.numbers
import openpyxl
import pypdf
import pytest

from quotelib.cases import Case
from quotelib.cautions import CAUTIONS, HAZARDS, LAST_WORD
from quotelib.chapters.charges import TAX
from quotelib.cli import main
from quotelib.errors import LookupMiss, NoSolution
from quotelib.floorplan import floor_plan
from quotelib.hosts.calc.session import Calc
from quotelib.prices.pricelist import load_price_list
from quotelib.quotes.papers import Letterhead, floor_paper, quote_paper
from quotelib.quotes.register import FiledQuote, load_quotes
from quotelib.quoting import quote
from quotelib.rates import load_rates
from quotelib.routes import ROUTES

ROOT = Path(__file__).resolve().parent.parent
PRICES = load_price_list(ROOT / "workbook" / "price-list.csv")
RATES = load_rates(ROOT / "workbook" / "shop-rates.toml")
FILED = load_quotes(ROOT / "examples" / "quotes")
HEAD = Letterhead.load(ROOT / "workbook" / "letterhead.toml")


def texts(paper: bytes) -> list[str]:
    sheet = openpyxl.load_workbook(io.BytesIO(paper)).active
    assert sheet is not None
    return [str(cell.value) for row in sheet.iter_rows() for cell in row if cell.value is not None]


@pytest.mark.parametrize("filed", FILED, ids=lambda filed: filed.terms.number)
def test_customer_s_page_shows_the_lines_and_the_total(filed: FiledQuote) -> None:
    shown = texts(quote_paper(filed, HEAD))
    amounts = [Decimal(text.replace(",", "")) for text in shown if re.fullmatch(r"-?[\d,]+\.\d\d", text)]
    assert amounts[-1] == filed.total == sum(line.amount for line in filed.lines)
    assert filed.net in amounts
    assert {filed.terms.number, filed.terms.customer, HEAD.shop_name} <= set(shown)
    tax = next(line for line in filed.lines if line.label == TAX)
    assert f"Tax, {float(tax.quantity) * 100:g} %" in shown


@pytest.mark.parametrize("filed", FILED, ids=lambda filed: filed.terms.number)
def test_customer_s_file_holds_no_cost_margin_or_supplier(filed: FiledQuote) -> None:
    """In no part of the file, compressed or not: no supplier, no code, no unit cost, no margin, no floor."""
    package = zipfile.ZipFile(io.BytesIO(quote_paper(filed, HEAD)))
    content = " ".join(package.read(name).decode("utf-8", "replace") for name in package.namelist())
    words = " ".join(texts(quote_paper(filed, HEAD)))
    hidden = {*PRICES.table["supplier"], *PRICES.table["code"], "margin", "cost", "supplier", "commission", "floor"}
    assert not [word for word in hidden if word.casefold() in words.casefold()]
    assert not [name for name in PRICES.table["supplier"] if name in content]
    quoted = quote(filed.job, RATES, PRICES.rows)
    cost = quoted.unit_cost(filed.terms.route)
    figures = {f"{cost:.2f}", f"{cost:.4f}", f"{cost * filed.job.good_pieces:,.2f}", f"{filed.price.profit:.3f}"}
    assert not figures & set(re.findall(r"[\d,]+\.\d+", words))


def test_figures_are_written_as_the_language_writes_them() -> None:
    filed = next(each for each in FILED if each.terms.number == "T-1043")
    for locale in ("en_US", "de_DE", "fr_FR", "hi_IN"):
        wanted = babel.numbers.format_decimal(filed.total, format="#,##0.00", locale=locale)
        assert wanted in texts(quote_paper(filed, HEAD, locale))
    assert "2. November 2026" in texts(quote_paper(filed, HEAD, "de-DE"))
    with pytest.raises(LookupMiss, match="language is 'xx_YY'"):
        quote_paper(filed, HEAD, "xx_YY")


@pytest.mark.parametrize(("currency", "wanted"), [("JPY", "7,862.18"), ("KWD", "7,862.180"), ("MGA", "7,862.18")])
def test_decimals_are_the_currency_s_own(currency: str, wanted: str) -> None:
    """ISO 4217: KWD has three, MGA two (babel's own table says none); an amount never loses a decimal it has."""
    filed = next(each for each in FILED if each.terms.number == "T-1043")
    other = filed._replace(terms=filed.terms.changed("currency", currency))
    assert wanted in texts(quote_paper(other, HEAD))


@pytest.mark.parametrize("route", [route.key for route in ROUTES])
def test_job_sheet_has_the_cautions_of_its_route_and_no_money(route: str) -> None:
    filed = next(each for each in FILED if each.terms.number == "T-1044")
    job = filed.job.changed("transfer_possible", True).changed("hand_possible", True)
    shown = texts(floor_paper(Case(job, RATES, PRICES.rows), route, "T-1044"))
    assert [CAUTIONS[hazard] for hazard in HAZARDS[route]] == [text for text in shown if text in CAUTIONS.values()]
    assert LAST_WORD in shown
    assert not [text for text in shown if "USD" in text or "price" in text.casefold() or "cost" in text.casefold()]
    assert not [name for name in PRICES.table["supplier"] if name in " ".join(shown)]


def test_job_sheet_counts_tools_in_full_and_starts_enough_pieces() -> None:
    """Screens are made for every colour, whatever runs share their cost; blanks are taken for every piece started."""
    filed = next(each for each in FILED if each.terms.number == "T-1041")
    assert filed.job.runs_expected == 3 and filed.job.colours == 3
    plan = {step.step: step for step in floor_plan(Case(filed.job, RATES, PRICES.rows), "hand")}
    assert plan["Film positives"].quantity == 3
    assert plan["Making screens"].quantity == 3 * RATES.hand_screen_minutes
    start = next(step.quantity for name, step in plan.items() if name.startswith("Pieces to start"))
    assert plan["Blanks"].quantity == start > filed.job.good_pieces


def test_job_sheet_of_a_route_that_is_ruled_out_is_refused() -> None:
    filed = next(each for each in FILED if each.terms.number == "T-1041")
    with pytest.raises(NoSolution, match="pad_possible is FALSE for Red Lantern"):
        floor_paper(Case(filed.job, RATES, PRICES.rows), "pad")


def test_send_and_floor_on_the_command_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = str(ROOT / "examples" / "quotes" / "T-1043.toml")
    assert main(["send", file, "--out", str(tmp_path / "page.xlsx"), "--language", "de_DE"]) == 0
    assert "7.862,18" in texts((tmp_path / "page.xlsx").read_bytes())
    assert main(["floor", file, "--out", str(tmp_path / "floor.xlsx")]) == 0
    assert "Job sheet for the floor" in texts((tmp_path / "floor.xlsx").read_bytes())
    assert main(["send", file, "--out", str(tmp_path / "page.doc")]) == 1
    assert "it must end in .pdf or .xlsx" in capsys.readouterr().err


def test_pdf_of_the_quote_is_one_page_with_the_same_words(calc: Calc, tmp_path: Path) -> None:
    filed = FILED[0]
    (tmp_path / "page.xlsx").write_bytes(quote_paper(filed, HEAD))
    with calc.open(tmp_path / "page.xlsx") as book:
        book.save(tmp_path / "page.pdf")
    (page,) = pypdf.PdfReader(tmp_path / "page.pdf").pages
    shown = page.extract_text()
    assert f"{filed.total:,.2f}" in shown and filed.terms.customer in shown and HEAD.shop_name in shown
    assert "Fellgarth" not in shown and "margin" not in shown.casefold()
