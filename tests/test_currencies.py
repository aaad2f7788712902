"""Currencies against the table of ISO 4217, and the dated exchange rates: which one serves, and what is refused."""

import datetime
from decimal import Decimal

import pytest

from quotelib.errors import FileRefused, LookupMiss, RangeError
from quotelib.prices.currencies import CURRENCIES, ExchangeRates, load_exchange_rates, money_text

HEADER = "date,from,to,rate,both ways,source"


def rates_of(tmp_path, *lines, header=HEADER) -> ExchangeRates:
    path = tmp_path / "rates.csv"
    path.write_text("\n".join([header, *lines]), encoding="utf-8")
    return load_exchange_rates(path)


def day(text):
    return datetime.date.fromisoformat(text)


@pytest.mark.parametrize(
    ("code", "decimals"),
    [
        # babel 2.18.0, babel.numbers.get_currency_precision(code)
        *(("USD", 2), ("EUR", 2), ("GBP", 2), ("JPY", 0), ("KWD", 3), ("BHD", 3)),
        # ISO 4217 list one, published 2026-01-01; for MGA babel, which follows CLDR, gives 0: the standard is meant here
        *(("MGA", 2), ("LAK", 2), ("IRR", 2), ("HUF", 2), ("IQD", 3), ("CLP", 0), ("ISK", 0), ("UGX", 0), ("TND", 3)),
    ],
)
def test_decimals_of_iso_4217(code, decimals):
    assert CURRENCIES[code] == decimals


def test_iso_4217_as_a_whole():
    """ISO 4217 list one, published 2026-01-01: 155 currencies in use, 16 without decimals, 7 with three."""
    assert len(CURRENCIES) == 155
    assert [list(CURRENCIES.values()).count(decimals) for decimals in (0, 2, 3)] == [16, 132, 7]
    assert not {"XAU", "XXX", "XTS", "XDR", "CLF", "UYI", "ABC", "DEM", "BGN", "ANG"} & set(CURRENCIES)


@pytest.mark.parametrize(
    ("amount", "currency", "text"),
    [("39.8", "USD", "39.80"), ("48.246900", "USD", "48.2469"), ("1250", "JPY", "1250"), ("1.5", "KWD", "1.500"),
     ("0.0123", "EUR", "0.0123"), ("1E+3", "USD", "1000.00"),
     ("12.345678901234567890123456789012", "USD", "12.345678901234567890123456789012")],
)  # fmt: skip
def test_money_text_keeps_every_digit(amount, currency, text):
    assert money_text(Decimal(amount), currency) == text
    assert Decimal(text) == Decimal(amount)


def test_the_newest_that_is_not_after_the_day(tmp_path):
    rates = rates_of(
        tmp_path, "2026-10-01,EUR,USD,1.0842,no,x", "2026-08-03,EUR,USD,1.0790,no,x", "2026-12-01,EUR,USD,1.0861,no,x"
    )
    found = [rates.on(day(on), "EUR", "USD", 99) for on in ("2026-08-03", "2026-09-30", "2026-10-01", "2026-11-30")]
    assert [str(rate.value) for rate in found] == ["1.0790", "1.0790", "1.0842", "1.0842"]
    assert [rate.age_days for rate in found] == [0, 58, 0, 60]
    assert str(found[1]) == "1 EUR = 1.079 USD of 2026-08-03"


def test_the_age_that_is_allowed(tmp_path):
    rates = rates_of(tmp_path, "2026-10-01,EUR,USD,1.0842,no,x")
    assert rates.on(day("2026-11-01"), "EUR", "USD", 31).age_days == 31
    with pytest.raises(RangeError) as refused:
        rates.on(day("2026-11-02"), "EUR", "USD", 31)
    assert str(refused.value) == (
        "age of the exchange rate EUR to USD on 2026-11-02 is 32; it must be 0 to 31 [days], "
        "and the newest in rates.csv is of 2026-10-01"
    )


def test_rates_that_are_not_there(tmp_path):
    rates = rates_of(tmp_path, "2026-10-01,EUR,USD,1.0842,no,x")
    for on, pair, told in (
        ("2026-09-30", ("EUR", "USD"), "rates.csv must have one that is not after 2026-09-30; its first is of 2026-10-01"),
        ("2026-10-01", ("USD", "EUR"), "rates.csv must have it; it has EUR to USD, which does not say yes under both ways"),
        ("2026-10-01", ("GBP", "USD"), "rates.csv must have it; it has EUR to USD"),
    ):
        with pytest.raises(LookupMiss) as refused:
            rates.on(day(on), *pair, 31)
        assert str(refused.value) == f"exchange rate is '{pair[0]} to {pair[1]}'; {told}"


def test_a_rate_turned_round_only_where_the_file_says_so(tmp_path):
    """1/1.25 is 0.8 exactly; the newer of the two ways serves, and of two of one day the one that need not be turned."""
    rates = rates_of(
        tmp_path, "2026-10-01,EUR,USD,1.25,yes,x", "2026-09-01,USD,EUR,0.9,no,x", "2026-11-01,USD,EUR,0.81,no,x",
        "2026-11-01,EUR,USD,1.6,yes,x",
    )  # fmt: skip
    assert [rates.on(day(on), "USD", "EUR", 99).value for on in ("2026-09-02", "2026-10-02", "2026-11-02")] == [
        Decimal("0.9"), Decimal("0.8"), Decimal("0.81"),
    ]  # fmt: skip
    assert str(rates.on(day("2026-10-02"), "USD", "EUR", 99)) == (
        "1 USD = 0.8 EUR of 2026-10-01 (turned round from EUR to USD)"
    )
    assert rates.on(day("2026-10-02"), "USD", "USD", 0).value == 1


def test_every_fault_of_a_table_of_rates(tmp_path):
    with pytest.raises(FileRefused) as refused:
        rates_of(
            tmp_path, "01.10.2026,EUR,USD,1.08,no,x", "2026-10-01,EUR,EURO,1.08,no,x", "2026-10-01,EUR,EUR,1.08,no,x",
            '2026-10-01,EUR,USD,"1,08",no,x', "2026-10-01,EUR,USD,0,maybe,=x", "2026-10-02,EUR,USD,1.1,no,x",
            "2026-10-02,EUR,USD,1.2,no,x",
        )  # fmt: skip
    plain = "written like 1234.5: no comma, no space, no currency sign"
    assert refused.value.faults == [
        "line 2, column A: date is '01.10.2026'; it must be a date from 1990 to 2199, "
        "written year-month-day like 2026-08-01",
        "line 3, column C: to is 'EURO'; it must be the ISO 4217 code of a currency in use, such as USD",
        "line 4, column C: to is 'EUR'; it must be another currency than from",
        f"line 5, column D: rate is '1,08'; it must be a number, more than 0, up to 1e9, {plain}",
        "line 6, column D: rate is '0'; it must be more than 0, up to 1e9",
        "line 6, column E: both ways is 'maybe'; it must be yes or no",
        "line 6, column F: source is '=x'; it must not begin with = + - or @, which a spreadsheet would take for a formula",
        "line 8: EUR to USD of 2026-10-02 stands in line 7 already; it must stand once",
    ]


def test_the_columns_of_a_table_of_rates(tmp_path):
    with pytest.raises(
        FileRefused, match="line 1: columns are date, rate; they must be date, from, to, rate, both ways, source;"
    ):
        rates_of(tmp_path, "2026-10-01,1", header="date,rate")
