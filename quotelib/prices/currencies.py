"""Currencies by ISO 4217, and a dated table of exchange rates.

    rates = load_exchange_rates("workbook/exchange-rates.csv")
    rate = rates.on(datetime.date(2027, 1, 4), "EUR", "USD", oldest_days=31)
    rate.value, rate.day, rate.age_days, rate.source

A rate says how much of one currency one unit of another buys.  The rate used is the newest that is not after the day
asked; one that is older than allowed is refused, as is one that is not there.  A rate serves the other way round only
where its row says so.  Rates are exact decimals; a rate turned round is kept to 12 digits.

What the columns mean
---------------------
date            the day from which the rate holds, ISO 8601
from            the currency that is given, by its ISO 4217 code
to              the currency that is got for it
rate            how much of it one unit gives: from EUR to USD at 1.08 says that 1 EUR gives 1.08 USD
both ways       yes where the rate may be turned round as well, otherwise no
source          who published it
"""

import datetime
from bisect import bisect_right
from collections.abc import Callable
from decimal import Context, Decimal
from pathlib import Path
from typing import Any, NamedTuple

from quotelib.errors import LookupMiss, RangeError
from quotelib.files.faults import Refusal
from quotelib.files.readers import day, free_text, number
from quotelib.files.tables import read_table
from quotelib.kinds import NumberKind

TWO_DECIMALS = """
    AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BMD BND BOB BRL BSD BTN BWP BYN BZD CAD CDF CHF CNY COP CRC CUP CVE
    CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD HKD HNL HTG HUF IDR ILS INR IRR JMD KES KGS KHR
    KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD NGN NIO NOK NPR NZD PAB
    PEN PGK PHP PKR PLN QAR RON RSD RUB SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TOP TRY
    TTD TWD TZS UAH USD UYU UZS VED VES WST XCD XCG YER ZAR ZMW ZWG
"""
NO_DECIMALS = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF"
THREE_DECIMALS = "BHD IQD JOD KWD LYD OMR TND"

CURRENCIES: dict[str, int] = {
    code: decimals
    for codes, decimals in ((TWO_DECIMALS, 2), (NO_DECIMALS, 0), (THREE_DECIMALS, 3))
    for code in codes.split()
}
"""Codes of the currencies in use with their decimals (minor units), from the table of ISO 4217 published on 2026-01-01.

Funds, units of account, metals and test codes are left out.  Tables of how people write money give other decimals for some,
as none for MGA."""

CODE_WANTED = Refusal("it must be the ISO 4217 code of a currency in use, such as USD")
TURNED = Context(prec=12)
"""The digits of a rate that is turned round."""
ALL_DIGITS = Context(prec=99)
RATE = NumberKind("rate", "", above=0, most=1e9)


def currency_code(text: str) -> str:
    """A reader of cells with a currency in them: the code as it stands, or a refusal."""
    return text if text in CURRENCIES else CODE_WANTED


def money_text(amount: Decimal, currency: str) -> str:
    """An amount with all its digits, and at least the decimals of its currency: 48.2469, 39.80."""
    places = max(CURRENCIES[currency], -int(amount.normalize(ALL_DIGITS).as_tuple().exponent))
    return f"{amount:.{places}f}"


class ExchangeRate(NamedTuple):
    """The rate that serves on a day."""

    given: str
    got: str
    value: Decimal
    """How much of `got` one unit of `given` gives."""
    day: datetime.date
    """The day the rate is of."""
    age_days: int
    """Days from there to the day asked."""
    source: str
    turned: bool
    """Whether the table has it the other way round."""

    def __str__(self) -> str:
        way = f" (turned round from {self.got} to {self.given})" if self.turned else ""
        return f"1 {self.given} = {self.value.normalize():f} {self.got} of {self.day}{way}"


class _Dated(NamedTuple):
    day: datetime.date
    value: Decimal
    both_ways: bool
    source: str


class ExchangeRates:
    """A table of exchange rates that was found in order."""

    def __init__(self, file: str, by_pair: dict[tuple[str, str], list[_Dated]]) -> None:
        self.file = file
        """Name of the file it came from."""
        self._by_pair = {pair: sorted(rates) for pair, rates in by_pair.items()}

    def on(self, day: datetime.date, given: str, got: str, oldest_days: int) -> ExchangeRate:
        """The newest rate that is not after a day.

        Parameters
        ----------
        day : date
            The day asked.
        given, got : str
            ISO 4217 codes.
        oldest_days : int
            Days that the rate may lie before the day asked.

        Raises LookupMiss where the table has none, RangeError where it is older.
        """
        if given == got:
            return ExchangeRate(given, got, Decimal(1), day, 0, "one currency", False)
        found = [
            (rate, turned)
            for pair, turned in (((given, got), False), ((got, given), True))
            if (rate := self._newest(pair, day, turned))
        ]
        if not found:
            raise LookupMiss("exchange rate", f"{given} to {got}", f"{self.file} {self._instead(day, given, got)}")
        rate, turned = max(found, key=lambda each: (each[0].day, not each[1]))
        age = (day - rate.day).days
        if age > oldest_days:
            allowed = f"it must be 0 to {oldest_days} [days], and the newest in {self.file} is of {rate.day}"
            raise RangeError(f"age of the exchange rate {given} to {got} on {day}", age, allowed)
        value = TURNED.divide(Decimal(1), rate.value) if turned else rate.value
        return ExchangeRate(given, got, value, rate.day, age, rate.source, turned)

    def _newest(self, pair: tuple[str, str], day: datetime.date, turned: bool) -> _Dated | None:
        rates = [rate for rate in self._by_pair.get(pair, ()) if rate.both_ways or not turned]
        place = bisect_right(rates, day, key=lambda rate: rate.day)
        return rates[place - 1] if place else None

    def _instead(self, day: datetime.date, given: str, got: str) -> str:
        """What the table has in place of the rate that was asked for, in words."""
        there = self._by_pair.get((given, got))
        if there:
            return f"must have one that is not after {day}; its first is of {there[0].day}"
        if (got, given) in self._by_pair:
            return f"must have it; it has {got} to {given}, which does not say yes under both ways"
        pairs = ", ".join(f"{one} to {other}" for one, other in sorted(self._by_pair))
        return f"must have it; it has {pairs}"


def load_exchange_rates(path: str | Path) -> ExchangeRates:
    """The exchange rates of a CSV file, or `FileRefused` with everything that is wrong with it."""
    table = read_table(path, refuse=False)
    faults = table.faults
    header = tuple(name.lower() for name in table.header)
    if sorted(header) != sorted(_READERS):
        wanted = f"they must be {', '.join(_READERS)}; each once, in any order"
        faults.row(table.header_row, f"columns are {', '.join(table.header)}; {wanted}")
        faults.refuse()
    by_pair: dict[tuple[str, str], list[_Dated]] = {}
    first: dict[tuple[str, str, datetime.date], int] = {}
    for row in table.rows:
        cells = dict(zip(header, row.cells, strict=True))
        read = {column: reader(cells[column]) for column, reader in _READERS.items()}
        wrong = {column: value for column, value in read.items() if isinstance(value, Refusal)}
        if not wrong and read["from"] == read["to"]:
            wrong["to"] = Refusal("it must be another currency than from")
        for column, refusal in wrong.items():
            faults.cell(row.number, header.index(column), table.header[header.index(column)], cells[column], refusal)
        if wrong:
            continue
        on, given, got, value, both_ways, source = (read[column] for column in _READERS)
        earlier = first.setdefault((given, got, on), row.number)
        if earlier != row.number:
            wanted = f"{given} to {got} of {on} stands in {table.counted} {earlier} already; it must stand once"
            faults.row(row.number, wanted)
        by_pair.setdefault((given, got), []).append(_Dated(on, value, both_ways, source))
    faults.refuse()
    return ExchangeRates(table.file, by_pair)


def _both_ways(text: str) -> bool | Refusal:
    answers = {"yes": True, "no": False}
    return answers.get(text.lower(), Refusal("it must be yes or no"))


_READERS: dict[str, Callable[[str], Any]] = {
    "date": day,
    "from": currency_code,
    "to": currency_code,
    "rate": number(RATE),
    "both ways": _both_ways,
    "source": free_text(200),
}
