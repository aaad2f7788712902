"""The register of quotes: one readable file for each, in a folder.

A file holds what was quoted (number, customer, route, until when), the whole job, the terms of price, and the lines of the
quote as they were sent, to the cent.  So a quote can be shown again as it was, and worked out again at the prices of its
day or of any other day.

    number = "T-1041"
    customer = "Fellrun Outfitters (invented)"
    state = "open"
    ...
    [job]
    design = "Red Lantern"
    ...
    [price]
    profit_as = "margin"
    ...
    [reckoning]
    unit_cost = 22.14
    [[line]]
    label = "Goods"
    quantity = 150
    rate = 31.60
    amount = 4740.00
"""

import datetime
import json
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any, ClassVar, NamedTuple

from quotelib.chapters.charges import TAX, Charge, PriceTerms, charged
from quotelib.errors import FileRefused, QuoteError
from quotelib.files.toml import toml_of
from quotelib.job import Job
from quotelib.kinds import (
    LABEL,
    SIGNED_AMOUNT,
    SIGNED_MONEY,
    Day,
    DayKind,
    Kind,
    Label,
    Margin,
    Money,
    QuoteNumber,
    QuoteState,
    RouteKey,
    day_of,
)
from quotelib.quoting import quote
from quotelib.rates import ShopRates
from quotelib.records import Record, entry

LINE_KINDS: dict[str, Kind] = {"label": LABEL, "quantity": SIGNED_AMOUNT, "rate": SIGNED_MONEY, "amount": SIGNED_MONEY}
LINE_FIELDS = tuple(LINE_KINDS)


@dataclass(frozen=True)
class Terms(Record):
    """What was quoted for a job, to whom, and until when."""

    what: ClassVar[str] = "quote"

    number: QuoteNumber = entry("Number", "Number of the quote; no two are the same.")
    customer: Label = entry("Customer", "Who asked for it.")
    state: QuoteState = entry("State", "open while the customer may still order at this price.")
    valid_until: Day = entry("Valid until", "Last day on which the price holds.")
    route: RouteKey = entry("Route", "The way it will be printed.")
    currency: Label = entry("Currency", "ISO 4217 code of the price.")
    margin_floor: Margin = entry("Margin floor", "Share of the net price that must be left over cost and commission.")


@dataclass(frozen=True)
class Reckoning(Record):
    """What the quote rested on when it was filed; for the shop only."""

    what: ClassVar[str] = "reckoning"

    unit_cost: Money = entry("Cost of a good piece", "What a good piece came to when the quote was filed.")


class FiledQuote(NamedTuple):
    """A quote of the register."""

    terms: Terms
    job: Job
    price: PriceTerms
    reckoning: Reckoning
    lines: tuple[Charge, ...]
    """As they were sent: goods, and whatever of set-up, discount, minimum, rush and tax there is."""

    @property
    def net(self) -> Decimal:
        """The sum of the lines before tax."""
        return sum((line.amount for line in self.lines if line.label != TAX), Decimal(0))

    @property
    def total(self) -> Decimal:
        """The sum of all lines."""
        return sum((line.amount for line in self.lines), Decimal(0))

    @property
    def net_price(self) -> float:
        """What a good piece brings, all charges but tax included."""
        return float(self.net) / float(self.job.good_pieces)

    def margin(self, unit_cost: float) -> float:
        """The share of the net price left over a cost of a good piece and the commission."""
        return 1 - unit_cost / self.net_price - float(self.price.commission)


TABLES: dict[str, Any] = {"job": Job, "price": PriceTerms, "reckoning": Reckoning}
"""The records of a quote's file that have a table of their own."""


def drawn_up(terms: Terms, job: Job, price: PriceTerms, rates: ShopRates, price_rows: Any) -> FiledQuote:
    """A quote with its lines worked out at these rates and prices."""
    quoted = quote(job, rates, price_rows)
    found = charged(job.good_pieces, quoted.curve_of(terms.route), price)
    return FiledQuote(terms, job, price, Reckoning(found.cost / job.good_pieces), found.lines)


def load_quotes(folder: str | Path) -> list[FiledQuote]:
    """Every quote in a folder, by the names of the files.

    Raises FileRefused with every fault of every file.
    """
    files = sorted(Path(folder).glob("*.toml"))
    if not files:
        raise FileRefused(str(folder), ["it holds no quote; a quote is a file that ends in .toml"])
    quotes: list[FiledQuote] = []
    faults: list[str] = []
    numbers: dict[str, str] = {}
    for file in files:
        try:
            filed = load_quote(file)
        except FileRefused as refusal:
            faults += refusal.faults
            continue
        number = filed.terms.number
        if number in numbers:
            faults.append(f"{file.name}: number is {number!r}; {numbers[number]} has it too")
        numbers[number] = file.name
        quotes.append(filed)
    if faults:
        raise FileRefused(str(folder), faults)
    return quotes


def load_quote(path: Path) -> FiledQuote:
    """The quote in a file.

    Raises FileRefused with every fault.
    """
    return quote_of(path.read_bytes(), path.name)


def quote_of(content: bytes, file: str) -> FiledQuote:
    """The quote in the bytes of a file.

    Raises FileRefused with every fault.
    """
    given = toml_of(content, file, exact=True, place=f"{file}: ")
    tables = {name: given.pop(name, None) for name in (*TABLES, "line")}
    faults = Terms.faults_of(_plain(given), f"{file}: ")
    for name, record in TABLES.items():
        if isinstance(tables[name], dict):
            faults += record.faults_of(_plain(tables[name]), f"{file}: {name} ")
        else:
            faults.append(f"{file}: {name} is missing; it must be a table [{name}] with the fields of a {name}")
    lines, wrong = _lines(tables["line"], file)
    if faults or wrong:
        raise FileRefused(file, faults + wrong)
    job, price, reckoning = (record(**_plain(tables[name])) for name, record in TABLES.items())
    return FiledQuote(Terms(**_plain(given)), job, price, reckoning, lines)


def _plain(table: dict[str, Any]) -> dict[str, Any]:
    """Figures that were read exactly, as the floats that records hold."""
    return {name: float(value) if isinstance(value, Decimal) else value for name, value in table.items()}


def _lines(tables: Any, file: str) -> tuple[tuple[Charge, ...], list[str]]:
    """The lines of a quote, and what is wrong with them."""
    if not isinstance(tables, list) or not tables:
        return (), [f"{file}: line is missing; a quote must have tables [[line]], each with {', '.join(LINE_FIELDS)}"]
    lines, faults = [], []
    for number, table in enumerate(tables, 1):
        if not isinstance(table, dict) or set(table) != set(LINE_FIELDS):
            faults.append(f"{file}: line {number} must have {', '.join(LINE_FIELDS)}, and nothing else")
            continue
        wrong = []
        for name, value in _plain(table).items():
            try:
                LINE_KINDS[name].admit(f"line {number} {name}", value)
            except QuoteError as refusal:
                wrong.append(f"{file}: {refusal}")
        faults += wrong
        if not wrong:
            lines.append(Charge(table["label"], *(Decimal(table[name]) for name in LINE_FIELDS[1:])))
    return tuple(lines), faults


def quote_text(filed: FiledQuote) -> str:
    """A quote as the text of its file."""
    parts = _fields(filed.terms)
    for name, record in zip(TABLES, (filed.job, filed.price, filed.reckoning), strict=True):
        parts += ["", f"[{name}]", *_fields(record)]
    for line in filed.lines:
        parts += ["", "[[line]]", f"label = {json.dumps(line.label)}"]
        parts += [f"{name} = {getattr(line, name):f}" for name in LINE_FIELDS[1:]]
    return "\n".join(parts) + "\n"


def _fields(record: Record) -> list[str]:
    """A line for each field, with what it means."""
    lines = []
    for each in record.entries():
        value = getattr(record, each.name)
        shown: Any = day_of(value) if isinstance(each.kind, DayKind) else value
        if isinstance(shown, float) and shown.is_integer():
            shown = int(shown)
        written = shown.isoformat() if isinstance(shown, datetime.date) else json.dumps(shown, ensure_ascii=False)
        lines.append(f"{each.name} = {written}".ljust(44) + f"# {each.help}")
    return lines
