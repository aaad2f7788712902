"""Filing quotes: two people at once lose nothing, and a quote made again says why it differs."""

import datetime
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pandas as pd
import pytest

from quotelib.cli import main
from quotelib.errors import FileRefused
from quotelib.prices.pricelist import PriceList, load_price_list
from quotelib.quotes import filing
from quotelib.quotes.filing import difference, quoted_again, save_changed, save_new
from quotelib.quotes.register import FiledQuote, load_quotes, quote_of
from quotelib.quoting import quote
from quotelib.rates import load_rates

ROOT = Path(__file__).resolve().parent.parent
SEASON = str(ROOT / "examples" / "season")
LIST = ROOT / "workbook" / "price-list.csv"
RATES = load_rates(ROOT / "workbook" / "shop-rates.toml")
PRICES = load_price_list(LIST)
FILED = load_quotes(ROOT / "examples" / "quotes")
DAY = datetime.date(2026, 11, 25)


def numbered(number: str) -> FiledQuote:
    return next(filed for filed in FILED if filed.terms.number == number)


@pytest.fixture
def dearer(tmp_path: Path) -> Callable[..., PriceList]:
    """The shop's list in which prices of some codes rise on 20 November 2026; what held before ends the day before."""

    def make(**factors: float) -> PriceList:
        table = pd.read_csv(LIST, dtype=str, keep_default_na=False)
        named = {code.replace("_", "-"): factor for code, factor in factors.items()}
        rises = table["code"].isin(named) & (table["valid from"] == "2026-08-01")
        new = table[rises].copy()
        new["price"] = [f"{float(p) * named[c]:.6f}" for c, p in zip(new["code"], new["price"], strict=True)]
        new["valid from"] = "2026-11-20"
        table.loc[rises, "valid to"] = "2026-11-19"
        pd.concat([table, new]).to_csv(tmp_path / "list.csv", index=False)
        return load_price_list(tmp_path / "list.csv")

    return make


def test_a_new_quote_never_takes_another_s_place(tmp_path: Path) -> None:
    path = save_new(numbered("T-1041"), tmp_path)
    before = path.read_bytes()
    other = numbered("T-1042")._replace(terms=numbered("T-1042").terms.changed("number", "T-1041"))
    with pytest.raises(FileRefused, match="is there already"):
        save_new(other, tmp_path)
    assert path.read_bytes() == before and [file.name for file in tmp_path.iterdir()] == ["T-1041.toml"]


def test_a_change_made_meanwhile_is_kept_and_so_is_mine(tmp_path: Path) -> None:
    filed = numbered("T-1041")
    path = save_new(filed, tmp_path)
    read = path.read_bytes()
    theirs = filed._replace(terms=filed.terms.changed("state", "ordered"))
    save_changed(theirs, path, read)
    mine = filed._replace(terms=filed.terms.changed("customer", "Another (invented)"))
    with pytest.raises(FileRefused, match=r"theirs stays, and yours is kept as not-saved/T-1041-\d+\.toml"):
        save_changed(mine, path, read)
    assert quote_of(path.read_bytes(), "T-1041.toml").terms.state == "ordered"
    (kept,) = (tmp_path / "not-saved").iterdir()
    assert quote_of(kept.read_bytes(), kept.name) == mine
    assert load_quotes(tmp_path) == [theirs]


def test_people_who_save_at_once_lose_nothing(tmp_path: Path) -> None:
    """Eight processes read the same quote and save it with their own customer: one wins, the others are kept aside."""
    path = save_new(numbered("T-1041"), tmp_path)
    program = (
        "import sys; from pathlib import Path\n"
        "from quotelib.quotes.register import quote_of; from quotelib.quotes.filing import *\n"
        "path = Path(sys.argv[1]); read = path.read_bytes(); filed = quote_of(read, 'it')\n"
        "print('ready', flush=True); sys.stdin.readline()\n"
        "filed = filed._replace(terms=filed.terms.changed('customer', sys.argv[2]))\n"
        "try: save_changed(filed, path, read)\n"
        "except FileRefused: pass\n"
    )
    people = [
        subprocess.Popen(
            [sys.executable, "-c", program, str(path), f"Person {number}"],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, cwd=ROOT,
        )
        for number in range(8)
    ]  # fmt: skip
    for person in people:
        assert person.stdout is not None and person.stdout.readline() == "ready\n"
    for person in people:
        assert person.stdin is not None
        person.stdin.write("go\n")
        person.stdin.flush()
    for person in people:
        person.communicate(timeout=60)
        assert person.returncode == 0
    saved = [quote_of(file.read_bytes(), file.name) for file in (path, *(tmp_path / "not-saved").iterdir())]
    assert sorted(filed.terms.customer for filed in saved) == [f"Person {number}" for number in range(8)]
    assert not list(tmp_path.glob(".*"))


def test_a_lock_that_stays_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(filing, "LOCK_SECONDS", 0.05)
    (tmp_path / ".T-1041.toml.lock").touch()
    with pytest.raises(FileRefused, match=r"delete the file \.T-1041\.toml\.lock"):
        save_new(numbered("T-1041"), tmp_path)


def test_why_a_quote_differs_adds_up_and_names_the_code(dearer: Callable[..., PriceList]) -> None:
    rows = dearer(BLANK_SLED_SMALL=1.1, INK_HAND=1.2).rows
    filed = numbered("T-1042")
    again = quoted_again(filed, "T-1060", DAY, RATES, rows)
    table = difference(filed, again, RATES, rows).set_index("For a good piece")["Adds"]
    *parts, whole = table
    assert sum(parts) == pytest.approx(whole) == pytest.approx(again.net_price - filed.net_price)
    assert table.iloc[0] == pytest.approx(0, abs=1e-9)  # no rate has changed
    blanks = quote(filed.job, RATES, rows).spent_on("hand")["BLANK-SLED-SMALL"] / filed.job.good_pieces
    assert table["Price of BLANK-SLED-SMALL"] == pytest.approx(0.1 * blanks, rel=1e-5)
    assert list(table.index[1:3]) == ["Price of BLANK-SLED-SMALL", "Price of INK-HAND"]


def test_a_changed_rate_is_told_apart_from_prices(dearer: Callable[..., PriceList]) -> None:
    rows = dearer(INK_HAND=1.2).rows
    filed = numbered("T-1041")
    rates = RATES.changed("labour_rate", 30)
    table = difference(filed, quoted_again(filed, "T-1060", DAY, rates, rows), rates, rows).set_index("For a good piece")[
        "Adds"
    ]
    dearer_hours = quote(filed.job, rates, rows).unit_cost("hand") - quote(filed.job, RATES, rows).unit_cost("hand")
    assert table.iloc[0] == pytest.approx(dearer_hours)
    assert "Price of INK-HAND" in table.index


def test_a_quote_made_again_holds_as_many_days(dearer: Callable[..., PriceList]) -> None:
    filed = numbered("T-1043")
    again = quoted_again(filed, "T-1060", DAY, RATES, PRICES.rows)
    assert again.terms.valid_until - again.job.quote_day == filed.terms.valid_until - filed.job.quote_day
    assert (again.terms.number, again.terms.state) == ("T-1060", "open")
    assert again.lines == filed.lines  # nothing moved between the two days


def test_the_register_on_the_command_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = str(tmp_path / "quotes")
    given = ["file", "Red Lantern", "--season", SEASON, "--into", folder, "--number", "X-1", "--customer", "Otter Club"]
    assert main([*given, "--run", "400"]) == 0
    assert "margin 35.0%" in capsys.readouterr().out
    assert main(given) == 1
    assert "X-1.toml is there already" in capsys.readouterr().err
    path = f"{folder}/X-1.toml"
    assert main(["again", path, "--day", "2026-12-01", "--number", "X-2"]) == 0
    assert "Difference of the net price" in capsys.readouterr().out
    assert main(["state", path, "ordered"]) == 0
    assert main(["quotes", folder, "--out", str(tmp_path / "register.xlsx")]) == 0
    shown = capsys.readouterr().out
    assert "X-1" in shown and "X-2" in shown and "ordered" in shown and (tmp_path / "register.xlsx").exists()
    assert main(["quotes", folder, "X-2"]) == 0
    assert "X-1" not in capsys.readouterr().out
    assert main(["quotes", folder, "X-9"]) == 1
    assert "number is 'X-9'; it must be one of X-1, X-2" in capsys.readouterr().err
