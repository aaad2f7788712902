"""What moved between two price lists, against lists changed by hand and quotes worked out on their own."""

import datetime
import xml.etree.ElementTree as ET
from collections.abc import Callable
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

import openpyxl
import pandas as pd
import pytest

from quotelib.cli import main
from quotelib.errors import FileRefused
from quotelib.pictures.moved import moved_svg
from quotelib.prices.pricelist import PriceList, load_price_list
from quotelib.quotes.moved import Side, price_moves, quote_moves, shares_moved, worked_out
from quotelib.quotes.register import load_quotes, quote_text
from quotelib.quoting import quote
from quotelib.rates import load_rates

ROOT = Path(__file__).resolve().parent.parent
LIST = ROOT / "workbook" / "price-list.csv"
QUOTES = ROOT / "examples" / "quotes"
DAY = datetime.date(2026, 11, 2)
RATES = load_rates(ROOT / "workbook" / "shop-rates.toml")

Changed = Callable[..., PriceList]


@pytest.fixture(scope="module")
def before() -> PriceList:
    return load_price_list(LIST)


@pytest.fixture
def changed(tmp_path: Path) -> Changed:
    """The shop's list with the prices of some codes multiplied, or taken out where the factor is 0."""

    def make(name: str = "after.csv", **factors: float) -> PriceList:
        table = pd.read_csv(LIST, dtype=str, keep_default_na=False)
        named = {code.replace("_", "-"): factor for code, factor in factors.items()}
        table = table[table["code"].map(lambda code: named.get(code, 1) != 0)].copy()
        table["price"] = [
            f"{float(price) * named.get(code, 1):.6f}" for code, price in zip(table["code"], table["price"], strict=True)
        ]
        table.to_csv(tmp_path / name, index=False)
        return load_price_list(tmp_path / name)

    return make


def test_the_same_list_on_the_same_day_has_moved_nowhere(before: PriceList) -> None:
    side = Side(before, DAY)
    assert price_moves(side, side).empty
    pairs = worked_out(load_quotes(QUOTES), RATES, side, side)
    assert (quote_moves(pairs)["Change"].abs() < 1e-15).all()
    assert shares_moved(pairs).empty


def test_every_band_of_a_dearer_code_is_listed_with_its_change(before: PriceList, changed: Changed) -> None:
    moves = price_moves(Side(before, DAY), Side(changed(INK_HAND=1.25), DAY))
    assert set(moves["Code"]) == {"INK-HAND"} and set(moves["What"]) == {"dearer"}
    assert moves["Change"].tolist() == pytest.approx([0.25] * len(moves), rel=1e-5)
    gallon_ml = 3785.411784  # NIST SP 811, US gallon
    assert sorted(moves["From quantity"]) == pytest.approx([0, gallon_ml, 4 * gallon_ml])
    first = moves[moves["From quantity"] == 0].iloc[0]
    assert first["Old price"] == pytest.approx(134.00 / gallon_ml) and first["Quoting unit"] == "mL"


def test_new_and_ended_codes_are_listed_first(before: PriceList, changed: Changed) -> None:
    without, gone = changed(FILM_POSITIVE=0, INK_HAND=2), {"FILM-POSITIVE"}
    ended = price_moves(Side(before, DAY), Side(without, DAY))
    assert set(ended[ended["What"] == "ended"]["Code"]) == gone
    assert ended.iloc[0]["What"] == "ended" and ended.iloc[0]["Change"] != ended.iloc[0]["Change"]
    new = price_moves(Side(without, DAY), Side(before, DAY))
    assert set(new[new["What"] == "new"]["Code"]) == gone


def test_one_list_on_two_days_shows_its_own_history(before: PriceList) -> None:
    """The large sled cost 39.80 until July 2026 and costs 41.50 since August, as the file says."""
    moves = price_moves(Side(before, datetime.date(2026, 7, 1)), Side(before, DAY))
    sled = moves[(moves["Code"] == "BLANK-SLED-LARGE") & (moves["From quantity"] == 0)].iloc[0]
    assert (sled["Old price"], sled["New price"]) == (39.80, 41.50)
    assert sled["Change"] == pytest.approx(1.70 / 39.80)


def test_a_quote_moves_as_it_would_be_quoted_anew(before: PriceList, changed: Changed) -> None:
    after = changed(INK_HAND=1.4, BLANK_SLED_SMALL=1.12)
    filed = load_quotes(QUOTES)
    pairs = worked_out(filed, RATES, Side(before, DAY), Side(after, DAY))
    moves = quote_moves(pairs).set_index("Number")
    opened = [each for each in filed if each.terms.state == "open"]
    assert list(moves.index) == [each.terms.number for each in opened]
    for each in opened:
        row = moves.loc[each.terms.number]
        for column, prices in (("Old cost", before), ("New cost", after)):
            cost = quote(each.job, RATES, prices.rows).unit_cost(each.terms.route)
            assert row[column] == pytest.approx(cost, rel=1e-12)
        net = sum(float(line.amount) for line in each.lines if line.label != "Tax")
        left = net - row["New cost"] * each.job.good_pieces
        assert row["New margin"] == pytest.approx(left / net - each.price.commission)
        assert ("below the floor" in row["What it means"]) == (0 <= row["New margin"] < each.terms.margin_floor)


def test_a_margin_below_its_floor_and_a_loss_are_said(before: PriceList, changed: Changed) -> None:
    dear = quote_moves(worked_out(load_quotes(QUOTES), RATES, Side(before, DAY), Side(changed(BLANK_SLED_SMALL=1.2), DAY)))
    assert dear.set_index("Number").loc["T-1042", "What it means"].startswith("below the floor")
    ruin = quote_moves(worked_out(load_quotes(QUOTES), RATES, Side(before, DAY), Side(changed(BLANK_SLED_SMALL=3), DAY)))
    assert ruin.set_index("Number").loc["T-1042", "What it means"].startswith("loses money")


def test_a_route_that_flips_is_said(before: PriceList, changed: Changed) -> None:
    moves = quote_moves(worked_out(load_quotes(QUOTES), RATES, Side(before, DAY), Side(changed(TRANSFER_4C=1.3), DAY)))
    said = moves.set_index("Number").loc["T-1048", "What it means"]
    assert said == "cheapest route is now heat transfer, was bought transfer"


def test_what_the_codes_add_is_what_the_cost_moved(before: PriceList, changed: Changed) -> None:
    after = changed(INK_HAND=1.4, BLANK_SLED_SMALL=1.12, RELEASE_FILM=0.9, BLANK_WHEEL_75=1.03)
    pairs = worked_out(load_quotes(QUOTES), RATES, Side(before, DAY), Side(after, DAY))
    moves, shares = quote_moves(pairs).set_index("Number"), shares_moved(pairs)
    for number, added in shares.groupby("Number")["Adds to a piece"].sum().items():
        assert added == pytest.approx(moves.loc[number, "New cost"] - moves.loc[number, "Old cost"], rel=1e-9)
    assert (shares["Share of the cost"].abs() < 1).all() and (shares["Code"] == "INK-HAND").any()


def test_a_quote_that_cannot_be_worked_out_any_more_says_why(before: PriceList, changed: Changed) -> None:
    pairs = worked_out(load_quotes(QUOTES), RATES, Side(before, DAY), Side(changed(INK_HAND=0), DAY))
    moves = quote_moves(pairs).set_index("Number")
    assert moves.loc["T-1041", "New cost"] != moves.loc["T-1041", "New cost"]
    assert "INK-HAND" in moves.loc["T-1041", "What it means"]
    assert moves.loc["T-1044", "New cost"] == moves.loc["T-1044", "Old cost"]
    assert "T-1041" not in set(shares_moved(pairs)["Number"])


def test_another_currency_is_refused(before: PriceList) -> None:
    filed = load_quotes(QUOTES)[0]
    other = filed._replace(terms=filed.terms.changed("currency", "EUR"))
    with pytest.raises(FileRefused, match=r"T-1041: currency is 'EUR'; price-list\.csv is in USD"):
        worked_out([other], RATES, Side(before, DAY), Side(before, DAY))


def test_the_picture_shows_each_change_and_each_quote(before: PriceList, changed: Changed) -> None:
    then, now = Side(before, DAY), Side(changed(INK_HAND=1.25, RELEASE_FILM=0.9, BLANK_SLED_SMALL=1.2), DAY)
    prices, quotes = price_moves(then, now), quote_moves(worked_out(load_quotes(QUOTES), RATES, then, now))
    root = ET.fromstring(moved_svg(prices, quotes, "a against b"))
    classes = [element.get("class", "") for element in root.iter()]
    assert classes.count("dearer") == (prices["What"] == "dearer").sum()
    assert classes.count("cheaper") == (prices["What"] == "cheaper").sum()
    below = (quotes["New margin"] < quotes["Floor"]).sum()
    assert below and classes.count("below") == below and classes.count("above") == len(quotes) - below
    longest = max(float(bar.get("width", 0)) for bar in root.iter() if bar.get("class") == "dearer")
    falls = [float(bar.get("width", 0)) for bar in root.iter() if bar.get("class") == "cheaper"]
    assert falls[0] / longest == pytest.approx(0.1 / 0.25, rel=1e-3)


def test_moved_on_the_command_line(changed: Changed, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    changed("after.csv", INK_HAND=1.25)
    given = ["moved", str(QUOTES), "--before", str(LIST), "--prices", str(tmp_path / "after.csv"), "--day", "2026-11-02"]
    assert main([*given, "--out", str(tmp_path / "out")]) == 0
    shown = capsys.readouterr().out
    assert "+25.00%  dearer" in shown and "T-1041" in shown and "8 open quotes" in shown
    book = openpyxl.load_workbook(tmp_path / "out" / "moved.xlsx")
    assert book.sheetnames == ["Prices moved", "Quotes moved", "Shares"]
    assert book["Prices moved"]["G5"].value == pytest.approx(0.25, rel=1e-5)
    assert (tmp_path / "out" / "moved.svg").read_text(encoding="utf-8").startswith("<svg")
    assert main(["moved", str(tmp_path / "nothing"), "--day", "2026-11-02"]) == 1
    assert "it holds no quote" in capsys.readouterr().err


# --- the register ---


def test_a_quote_is_read_back_as_it_was_written(tmp_path: Path) -> None:
    filed = load_quotes(QUOTES)
    for each in filed:
        (tmp_path / f"{each.terms.number}.toml").write_text(quote_text(each), encoding="utf-8")
    assert load_quotes(tmp_path) == filed


def test_every_fault_of_every_quote_is_named(tmp_path: Path) -> None:
    text = (QUOTES / "T-1041.toml").read_text(encoding="utf-8")
    (tmp_path / "a.toml").write_text(text, encoding="utf-8")
    (tmp_path / "b.toml").write_text(text, encoding="utf-8")
    (tmp_path / "c.toml").write_text(text.replace('"hand"', '"by foot"').replace("colours = 3 ", "colours = 99 "), "utf-8")
    (tmp_path / "d.toml").write_text("number = [", encoding="utf-8")
    (tmp_path / "e.toml").write_text(text[: text.index("[job]")], encoding="utf-8")
    with pytest.raises(FileRefused) as refusal:
        load_quotes(tmp_path)
    faults = "\n".join(refusal.value.faults)
    assert "b.toml: number is 'T-1041'; a.toml has it too" in faults
    assert "c.toml: route is 'by foot'; it must be one of hand, transfer, bought, over, pad" in faults
    assert "c.toml: job colours is 99; it must be whole, 1 to 24 [colours]" in faults
    assert "d.toml: it is not TOML" in faults
    assert "e.toml: job is missing" in faults
    assert "e.toml: price is missing" in faults and "e.toml: line is missing" in faults


def test_lines_are_read_exactly_and_add_up() -> None:
    for filed in load_quotes(QUOTES):
        net = sum(line.amount for line in filed.lines if line.label != "Tax")
        tax = next(line for line in filed.lines if line.label == "Tax")
        assert tax.rate == net == filed.net and filed.total == net + tax.amount
        assert tax.amount == (net * tax.quantity).quantize(Decimal("0.01"), ROUND_HALF_UP)


def test_a_line_that_is_no_line_is_named(tmp_path: Path) -> None:
    text = (QUOTES / "T-1041.toml").read_text(encoding="utf-8")
    (tmp_path / "a.toml").write_text(text.replace("amount = 4348.50", 'amount = "4,348.50"'), encoding="utf-8")
    (tmp_path / "b.toml").write_text(text.replace("amount = 4348.50", ""), encoding="utf-8")
    with pytest.raises(FileRefused) as refusal:
        load_quotes(tmp_path)
    assert "a.toml: line 1 amount is '4,348.50'; it must be a number, -1e12 to 1e12 [currency]" in refusal.value.faults
    assert "b.toml: line 1 must have label, quantity, rate, amount, and nothing else" in refusal.value.faults
