"""Offers merged into the shop's list: every class of price, every refusal, and what must always hold."""

import datetime
import tempfile
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from quotelib.errors import RangeError
from quotelib.prices.currencies import load_exchange_rates
from quotelib.prices.mappings import load_mapping
from quotelib.prices.merging import FACTOR, plan_merge
from quotelib.prices.pricelist import COLUMNS, load_price_list
from quotelib.prices.shoplist import read_shop_list
from quotelib.prices.suppliers import read_supplier_file

DAY = datetime.date(2026, 12, 10)
MAPPING = """
supplier = "Fellgarth"
{top}
[numbers]
decimal_mark = "."
[dates]
written = "YYYY-MM-DD"
[columns]
article = "art"
pack_quantity = "qty"
pack_unit = "unit"
price = "price"
from_quantity = "from"
valid_from = "start"
{columns}
[constants]
currency = "{currency}"
kind = "blank"
description = "A thing"
[articles]
a = "A"
b = "B"
c = "C"
q = "A"
n = "NEW"
t = "THRUSHGILL-ONE"
"""
LIST = """
A,Thing A,Fellgarth,blank,1,each,10.00,USD,1,2026-08-01,2027-07-31
A,Thing A,Fellgarth,blank,1,each,9.00,USD,10,2026-08-01,2027-07-31
A,Thing A,Fellgarth,blank,1,dozen,90.00,USD,2,2026-08-01,
B,Thing B,Fellgarth,blank,1,each,5.00,USD,1,2025-08-01,2026-07-31
B,Thing B,Fellgarth,blank,1,each,5.50,USD,1,2026-08-01,
THRUSHGILL-ONE,Another,Thrushgill,blank,1,each,1.00,USD,1,2026-08-01,2027-01-31
"""


class Shop:
    """A shop's list and a supplier's file in a folder."""

    def __init__(self, folder, rows=LIST):
        self.folder = Path(folder)
        self.path = self.folder / "list.csv"
        self.path.write_text(",".join(COLUMNS) + "\n" + rows.strip() + "\n", encoding="utf-8")

    def plan(self, *lines, top="", columns="", currency="USD", rates=None, day=DAY, **how):
        header = "art,qty,unit,price,from,start" + "".join(
            f",{line.split(' = ')[1][1:-1]}" for line in columns.split("\n") if line
        )
        (self.folder / "offers.csv").write_text("\n".join([header, *lines]), encoding="utf-8")
        mapping = MAPPING.format(top=top, columns=columns, currency=currency)
        (self.folder / "mapping.toml").write_text(mapping, encoding="utf-8")
        if rates:
            (self.folder / "rates.csv").write_text("date,from,to,rate,both ways,source\n" + rates, encoding="utf-8")
            rates = load_exchange_rates(self.folder / "rates.csv")
        shop = read_shop_list(self.path)
        file = read_supplier_file(self.folder / "offers.csv", load_mapping(self.folder / "mapping.toml"), shop.materials)
        return plan_merge(shop, file, rates or None, day, **how)

    def write(self, plan):
        self.path.write_bytes(plan.content)
        load_price_list(self.path)


@pytest.fixture
def shop(tmp_path):
    return Shop(tmp_path)


def told(plan):
    """Each change but the unchanged: what, code, pack, from quantity, was, now, first day, last day."""
    return [
        (it.what, it.code, it.pack, it.from_quantity, *(None if it is None else str(it) for it in (it.was, it.now)),
         str(it.first), it.last and str(it.last))
        for it in plan.changes
        if it.what != "unchanged"
    ]  # fmt: skip


def rows(plan, code):
    return [
        (
            row["pack quantity"] + " " + row["pack unit"],
            row["price"],
            row["from quantity"],
            row["valid from"],
            row["valid to"],
        )
        for row in plan.rows
        if row["code"] == code
    ]


# --- classes of change ---


def test_changed_ends_the_old_row_the_day_before(shop):
    plan = shop.plan("b,1,each,6.00,1,2027-01-04")
    assert told(plan) == [("changed", "B", "1 each", 1, "5.50", "6.00", "2027-01-04", None)]
    assert plan.changes[0].why == "5.50 until 2027-01-03"
    assert plan.changes[0].percent == pytest.approx(Decimal(100) / 11)
    assert rows(plan, "B") == [
        ("1 each", "5.00", "1", "2025-08-01", "2026-07-31"),
        ("1 each", "5.50", "1", "2026-08-01", "2027-01-03"),
        ("1 each", "6.00", "1", "2027-01-04", ""),
    ]
    assert plan.rows[-2]["offered"] == "article b: 6.00 USD for 1 each"
    assert plan.rows[-2]["description"] == "Thing B", "the shop's own words stay"
    shop.write(plan)


def test_new_code_new_pack_and_new_break(shop):
    plan = shop.plan("n,1,each,7.00,1,2027-01-04", "b,1,each,5.50,1,2027-01-04", "b,1,each,5.00,10,2027-01-04",
                     "b,1,gross,700.00,1,2027-01-04")  # fmt: skip
    assert [(it.code, it.what, it.why) for it in plan.changes] == [
        ("B", "unchanged", "the same price"),
        ("B", "new", "a new break"),
        ("B", "new", "a new pack"),
        ("NEW", "new", "new to the list"),
    ]
    assert plan.rows[-1]["description"] == "A thing"
    assert [row["code"] for row in plan.rows] == ["A", "A", "A", "B", "B", "B", "B", "THRUSHGILL-ONE", "NEW"]
    shop.write(plan)


def test_corrected_from_the_very_day(shop):
    plan = shop.plan("b,1,each,5.75,1,2026-08-01")
    assert told(plan) == [("corrected", "B", "1 each", 1, "5.50", "5.75", "2026-08-01", None)]
    assert plan.changes[0].why == "the list had 5.50 from the same day"
    assert rows(plan, "B")[1:] == [("1 each", "5.75", "1", "2026-08-01", "")]
    assert told(shop.plan("b,1,each,5.25,1,2025-08-01")) == [
        ("corrected", "B", "1 each", 1, "5.00", "5.25", "2025-08-01", "2026-07-31")
    ], "a price that is over may be corrected too, on its own days"


def test_unchanged_leaves_the_list_as_it_is(shop):
    plan = shop.plan(
        "b,1,each,5.50,1,2027-01-04", "b,1,each,5.50,1,2026-08-01", "a,1,each,10,1,2027-01-04", "a,1,each,9.0,10,2027-01-04"
    )
    assert plan.changes_nothing and plan.counts["unchanged"] == 4
    assert plan.content == shop.path.read_bytes()


def test_a_break_that_is_no_longer_offered_is_ended(shop):
    plan = shop.plan("a,1,each,10.50,1,2027-01-04")
    assert told(plan) == [
        ("changed", "A", "1 each", 1, "10.00", "10.50", "2027-01-04", None),
        ("ended", "A", "1 each", 10, "9.00", None, "2027-01-04", None),
    ]
    assert ("1 dozen", "90.00", "2", "2026-08-01", "") in rows(plan, "A"), "another pack stays: the file is no whole list"


def test_a_break_that_would_start_on_the_day_is_withdrawn(shop):
    plan = shop.plan("a,1,each,10.00,1,2026-08-01")
    assert told(plan) == [("withdrawn", "A", "1 each", 10, "9.00", None, "2026-08-01", None)]
    assert len(plan.rows) == len(plan.shop.rows) - 1


def test_the_whole_list_ends_what_it_lacks(shop):
    plan = shop.plan("a,1,each,10.00,1,2027-01-04", "a,1,each,9.00,10,2027-01-04", top="whole_list = 2027-01-04")
    assert told(plan) == [
        ("ended", "A", "1 dozen", 2, "90.00", None, "2027-01-04", None),
        ("ended", "B", "1 each", 1, "5.50", None, "2027-01-04", None),
    ]
    assert [it.why for it in plan.changes if it.what == "ended"] == [
        "the supplier's whole list no longer has this pack",
        "the supplier's whole list no longer has it",
    ]
    assert rows(plan, "THRUSHGILL-ONE") == [("1 each", "1.00", "1", "2026-08-01", "2027-01-31")], "another supplier's"
    without = shop.plan("a,1,each,10.00,1,2027-01-04", "a,1,each,9.00,10,2027-01-04")
    assert without.changes_nothing


def test_the_whole_list_ends_nothing_that_it_might_have(shop):
    """A refused row keeps its code; a row that cannot be told keeps all of them."""
    whole = {"top": "whole_list = 2027-01-04"}
    assert "ended" not in {
        it.what for it in shop.plan("a,1,each,x,1,2027-01-04", "b,1,each,5.50,1,2027-01-04", **whole).changes
    }
    plan = shop.plan(
        "a,1,each,10.00,1,2027-01-04", "a,1,each,9.00,10,2027-01-04", "a,1,dozen,90,2,2027-01-04", "b,1", **whole
    )
    assert told(plan) == []
    assert plan.notices == ("B is not ended, though the file lacks it: line 5 could not be read",)


def test_a_price_holds_until_the_next_that_the_list_has(tmp_path):
    shop = Shop(tmp_path, LIST + "B,Thing B,Fellgarth,blank,1,each,6.50,USD,1,2027-08-01,\n".replace("B,", "B,", 1))
    shop = Shop(tmp_path, LIST.replace("5.50,USD,1,2026-08-01,", "5.50,USD,1,2026-08-01,2027-07-31") +
                "B,Thing B,Fellgarth,blank,1,each,6.50,USD,1,2027-08-01,")  # fmt: skip
    plan = shop.plan("b,1,each,6.00,1,2027-01-04")
    assert told(plan) == [("changed", "B", "1 each", 1, "5.50", "6.00", "2027-01-04", "2027-07-31")]
    assert plan.changes[0].why == "5.50 until 2027-01-03; the list has the next price from 2027-08-01"
    shop.write(plan)


def test_last_days(shop):
    """A stated last day is taken over; one that is not stated leaves the list's."""
    ends = {"columns": 'valid_to = "end"'}
    plan = shop.plan("b,1,each,5.50,1,2027-01-04,2027-12-31", **ends)
    assert told(plan) == [("changed", "B", "1 each", 1, "5.50", "5.50", "2027-01-04", "2027-12-31")]
    assert plan.changes[0].why == "the same price; its last day was none and is 2027-12-31"
    assert rows(plan, "B")[1] == ("1 each", "5.50", "1", "2026-08-01", "2027-12-31")
    assert shop.plan("a,1,each,10.00,1,2027-01-04,", "a,1,each,9,10,2027-01-04,", **ends).changes_nothing
    over = shop.plan("a,1,each,10.00,1,2027-08-01,", "a,1,each,9,10,2027-08-01,", **ends)
    assert [it.why for it in over.changes] == ["the price before it ended on 2027-07-31"] * 2


def test_a_minimum_order_is_kept(shop):
    least = {"columns": 'minimum_order = "least"'}
    plan = shop.plan(
        "b,1,each,6.00,1,2027-01-04,4", "a,1,each,10.00,1,2026-08-01,", "a,1,each,9.00,10,2026-08-01,", **least
    )
    assert plan.changes[-1].why == "5.50 with no minimum order until 2027-01-03"
    assert plan.content.decode().splitlines()[0].endswith(",valid to,minimum order,offered")
    shop.write(plan)
    prices = load_price_list(shop.path)
    assert [prices.minimum_order("B", datetime.date(2027, 1, day)) for day in (3, 4)] == [0, 4]
    assert shop.plan("b,1,each,6.00,1,2027-01-04").changes_nothing, "a file that says nothing of it leaves it"
    assert told(shop.plan("b,1,each,6.00,1,2027-01-04,", **least))[0][0] == "corrected", "one that says none takes it away"


def test_two_prices_to_come_in_one_file(shop):
    plan = shop.plan("b,1,each,6.50,1,2027-06-01", "b,1,each,6.00,1,2027-01-04")
    assert rows(plan, "B")[1:] == [
        ("1 each", "5.50", "1", "2026-08-01", "2027-01-03"),
        ("1 each", "6.00", "1", "2027-01-04", "2027-05-31"),
        ("1 each", "6.50", "1", "2027-06-01", ""),
    ]


def test_the_same_pack_in_other_words_is_the_same_pack(shop):
    plan = shop.plan("q,12,each,91.00,2,2027-01-04")
    assert told(plan) == [("changed", "A", "12 each", 2, "90.00", "91.00", "2027-01-04", None)]


# --- refusals ---


def test_a_leap_must_be_confirmed_by_name(shop):
    plan = shop.plan("b,1,each,56.00,1,2027-01-04", "a,1,each,10,1,2027-01-04", "a,1,each,9,10,2027-01-04")
    assert [row.reasons for row in plan.refused] == [
        ("line 2: the price 56.00 USD is 10.18 times the last one for each unit, 5.50 for 1 each (line 6 of the list); "
         "B must be confirmed by name if that is right",)
    ]  # fmt: skip
    assert told(shop.plan("b,1,each,56.00,1,2027-01-04", confirmed=["b"]))[0][0] == "changed"
    assert not shop.plan("b,1,each,27.49,1,2027-01-04").refused and shop.plan("b,1,each,27.50,1,2027-01-04").refused
    assert not shop.plan("b,1,each,1.11,1,2027-01-04").refused and shop.plan("b,1,each,1.10,1,2027-01-04").refused
    assert not shop.plan("b,1,each,54.99,1,2027-01-04", factor=Decimal(10)).refused
    with pytest.raises(RangeError, match="factor is 1; it must be more than 1"):
        shop.plan("b,1,each,6,1,2027-01-04", factor=Decimal(1))


def test_a_slip_by_ten_is_caught_though_the_price_moved_too(shop):
    """5.50 up by 5 % and its point misplaced is 0.578, more than a tenth; down by 9 % it is 50.00, less than ten times."""
    assert FACTOR < 10
    assert shop.plan("b,1,each,0.578,1,2027-01-04").refused and shop.plan("b,1,each,50.00,1,2027-01-04").refused


def test_a_leap_is_told_for_each_unit_whatever_the_pack(shop):
    (row,) = shop.plan("b,1,M,5.75,1,2027-01-04").refused
    assert "5.75 USD is 1/956.5 of the last one for each unit" in row.reasons[0], "the price of one, said of a thousand"
    assert not shop.plan("b,1,M,5400,1,2027-01-04").refused


def test_another_suppliers_code(shop):
    (row,) = shop.plan("t,1,each,1.00,1,2027-01-04").refused
    assert row.reasons == (
        "line 2: THRUSHGILL-ONE is bought from Thrushgill until 2027-01-31 (line 7 of the list); "
        "end those prices first, or give this article a code of its own in the mapping",
    )
    assert told(shop.plan("t,1,each,1.00,1,2027-02-01"))[0][0] == "new", "from the day on which the other's are over"


def test_what_would_break_the_list(shop):
    (row,) = shop.plan("q,1,dozen,130.00,2,2027-01-04").refused
    assert row.reasons == (
        "line 2: the merged list would be wrong; A in packs of 1 dozen from 2 (new): price is '130.00'; it must not come "
        "dearer for each unit than the smaller quantity of A in packs of 1 each from 10 (line 3 of the list)",
    )


def test_good_codes_are_taken_beside_refused_ones(shop):
    plan = shop.plan("q,1,dozen,130.00,2,2027-01-04", "b,1,each,6.00,1,2027-01-04", "c,1,each,-1,1,2027-01-04")
    assert [(it.what, it.code) for it in plan.changes] == [("changed", "B")]
    assert [(row.row, row.code) for row in plan.refused] == [(2, "A"), (4, "C")]
    shop.write(plan)


def test_a_new_supplier_is_noticed(shop):
    shop.path.write_text(shop.path.read_text().replace("Fellgarth", "Someone"))
    plan = shop.plan("n,1,each,7.00,1,2027-01-04")
    assert plan.notices == ("the list has nothing from Fellgarth yet",)


# --- currencies ---


def test_a_price_in_another_currency_through_the_whole_chain(tmp_path):
    """EUR for a US gallon to USD for a millilitre.

    A US gallon is 231 cubic inches and an inch 2.54 cm, exactly: 3785.411784 mL (NIST SP 811, appendix B)."""
    shop = Shop(tmp_path, "INK,Ink,Fellgarth,ink,1,gal,40.00,USD,1,2026-08-01,")
    mapped = MAPPING.replace('a = "A"', 'a = "INK"')
    shop.path.with_name("mapping.toml").write_text(mapped)
    plan = plan_of_text(shop, mapped, "a,1,gal,40.00,1,2027-01-04", rates="2026-12-01,EUR,USD,1.0861,no,bank\n")
    assert rows(plan, "INK")[1] == ("1 gal", "43.444", "1", "2027-01-04", "")
    assert plan.rows[1]["offered"] == "article a: 40.00 EUR for 1 gal; 1 EUR = 1.0861 USD of 2026-12-01"
    shop.write(plan)
    assert load_price_list(shop.path).rows[1][2] == 43.444 / (231 * 2.54**3)


def plan_of_text(shop, text, *lines, rates, day=DAY, **how):
    (shop.folder / "offers.csv").write_text("\n".join(["art,qty,unit,price,from,start", *lines]), encoding="utf-8")
    (shop.folder / "mapping.toml").write_text(text.format(top="", columns="", currency="EUR"), encoding="utf-8")
    (shop.folder / "rates.csv").write_text("date,from,to,rate,both ways,source\n" + rates, encoding="utf-8")
    list_ = read_shop_list(shop.path)
    file = read_supplier_file(shop.folder / "offers.csv", load_mapping(shop.folder / "mapping.toml"), list_.materials)
    return plan_merge(list_, file, load_exchange_rates(shop.folder / "rates.csv"), day, **how)


RATES = "2026-11-20,EUR,USD,1.10,yes,bank\n2026-12-05,EUR,USD,1.25,yes,bank\n2026-12-20,EUR,USD,1.50,yes,bank\n"


@pytest.mark.parametrize(
    ("start", "day", "price"),
    [
        ("2026-12-01", "2026-12-10", "6.60"),  # the rate of its first day, which is past
        ("2027-01-04", "2026-12-10", "7.50"),  # of the day of the merge, which comes first
        ("2026-12-20", "2027-01-30", "9.00"),
    ],
)
def test_the_rate_of_the_first_day_or_of_the_merge(shop, start, day, price):
    plan = shop.plan(f"b,1,each,6.00,1,{start}", currency="EUR", rates=RATES, day=datetime.date.fromisoformat(day))
    assert plan.changes[0].now == Decimal(price)
    assert plan.rates_file == "rates.csv"


def test_a_rate_that_is_missing_or_too_old_refuses_the_code(shop):
    for currency, start, reason in (
        ("EUR", "2026-11-19", "line 2: exchange rate is 'EUR to USD'; rates.csv must have one that is not after 2026-11-19"
                              "; its first is of 2026-11-20"),
        ("GBP", "2026-12-05", "line 2: exchange rate is 'GBP to USD'; rates.csv must have it; it has EUR to USD"),
    ):  # fmt: skip
        plan = shop.plan(f"b,1,each,6.00,1,{start}", currency=currency, rates=RATES)
        assert [row.reasons for row in plan.refused] == [(reason,)]
    (row,) = shop.plan("b,1,each,6,1,2027-03-01", currency="EUR", rates=RATES, day=datetime.date(2027, 3, 1)).refused
    assert "is 71; it must be 0 to 31 [days]" in row.reasons[0]
    assert not shop.plan(
        "b,1,each,6,1,2027-03-01", currency="EUR", rates=RATES, day=datetime.date(2027, 3, 1), oldest_rate_days=71
    ).refused
    (row,) = shop.plan("b,1,each,6.00,1,2027-01-04", currency="EUR").refused
    assert "a table of exchange rates must be given" in row.reasons[0]


def test_a_converted_price_is_exact_and_stays_on_another_day(shop):
    plan = shop.plan("b,1,each,6.37,1,2026-12-06", currency="EUR", rates="2026-12-05,EUR,USD,1.08427,no,bank\n")
    assert plan.changes[0].now == Decimal("6.37") * Decimal("1.08427") == Decimal("6.9067999")
    shop.write(plan)
    later = shop.plan(
        "b,1,each,6.37,1,2026-12-06", currency="EUR", day=datetime.date(2026, 12, 30),
        rates="2026-12-05,EUR,USD,1.08427,no,bank\n2026-12-29,EUR,USD,1.2,no,bank\n",
    )  # fmt: skip
    assert later.changes_nothing, "its rate is that of its first day, whatever came since"


# --- how the list is written ---


def test_the_marks_of_the_file_stay(shop):
    shop.path.write_bytes(
        b"\xef\xbb\xbf" + shop.path.read_text().replace("\n", "\r\n").replace("Thing A", '"A, ""thing"""').encode()
    )
    before = shop.path.read_bytes()
    assert shop.plan("b,1,each,5.50,1,2027-01-04").content == before
    shop.write(shop.plan("b,1,each,6.00,1,2027-01-04"))
    assert shop.path.read_bytes().startswith(b"\xef\xbb\xbfcode,") and b'"A, ""thing"""' in shop.path.read_bytes()
    assert b"\r\n" in shop.path.read_bytes() and b"\n" not in shop.path.read_bytes().replace(b"\r\n", b"")


# --- what always holds ---

SCHEDULE = st.tuples(
    st.sampled_from("aaabbbcnt"),
    st.sampled_from(("each", "each", "dozen")),
    st.sampled_from(("2026-08-01", "2026-12-01", "2027-01-04", "2027-08-01")),
    st.sampled_from(("", "", "2027-03-31", "2028-01-31")),
    st.dictionaries(
        st.sampled_from((1, 1, 2, 10, 20)), st.sampled_from((1000, 1000, 550, 550, 900, 20)), min_size=1, max_size=3
    ),
)


def lines_of(schedules):
    """The lines of a file, with prices near those of the list and less for more, so that most are in order."""
    packs, share = {"each": 1, "dozen": 12}, {1: 100, 2: 95, 10: 90, 20: 80}
    return [
        f"{article},1,{unit},{cents * packs[unit] * share[start] / 10000:.4f},{start},{first},{last}"
        for article, unit, first, last, breaks in schedules
        for start, cents in breaks.items()
    ]


@given(st.lists(SCHEDULE, min_size=1, max_size=4), st.booleans(), st.randoms(use_true_random=False))
@example(
    [("b", "each", "2026-12-01", "2028-01-31", {1: 550}), ("b", "each", "2027-01-04", "2027-03-31", {1: 550})], False, None
)
@settings(max_examples=40, deadline=None)
def test_what_always_holds(schedules, whole, chance):
    """Merged again nothing changes; no row of the list is lost; the order of the file's rows is of no account."""
    how = {"columns": 'valid_to = "end"', "top": "whole_list = 2027-01-04" if whole else "", "factor": Decimal(3)}
    lines = lines_of(schedules)
    with tempfile.TemporaryDirectory() as folder:
        shop = Shop(folder)
        plan = shop.plan(*lines, **how)
        turned = lines[::-1]
        if chance:
            chance.shuffle(turned)
        other = shop.plan(*turned, **how)
        assert other.rows == plan.rows
        assert sorted(row.code for row in other.refused) == sorted(row.code for row in plan.refused)
        read = {row.row for row in plan.refused} | {it.row for it in plan.changes if it.row}
        same = {place for place in range(2, len(lines) + 2) if lines[place - 2] in lines[: place - 2]}
        assert read | same == set(range(2, len(lines) + 2)), "every row of the file is told of"
        kept = {row.line: row for row in plan.rows if row.line}
        excused = {it.line for it in plan.changes if it.what in ("corrected", "withdrawn")}
        for row in plan.shop.rows:
            if row.line not in excused:
                assert kept[row.line].cells | {"valid to": ""} == row.cells | {"valid to": ""}
            elif row.line in kept:
                assert (kept[row.line]["code"], kept[row.line].first) == (row["code"], row.first)
        assert all(row["supplier"] != "Thrushgill" or row in plan.rows for row in plan.shop.rows)
        shop.write(plan)
        again = shop.plan(*lines, **how)
        assert again.rows == tuple(read_shop_list(shop.path).rows)
        assert again.changes_nothing
        assert [row.code for row in again.refused] == [row.code for row in plan.refused]
