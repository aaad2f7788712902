"""The history of the shop's list: kept at every merge, whole whatever interrupts it, good for an old quote to the cent."""

import csv
import datetime
import hashlib
import os
import shutil
import subprocess
import sys
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from quotelib.cli import main
from quotelib.errors import FileNotReplaced, FileRefused, LookupMiss, RangeError
from quotelib.kinds import day_number
from quotelib.prices.currencies import load_exchange_rates
from quotelib.prices.history import HEADINGS, PriceHistory, as_text, price_list_known_on
from quotelib.prices.mappings import load_mapping
from quotelib.prices.merging import FACTOR, KINDS_OF_CHANGE, OLDEST_RATE_DAYS, plan_merge
from quotelib.prices.pricelist import load_price_list
from quotelib.prices.shoplist import read_shop_list
from quotelib.prices.suppliers import read_supplier_file
from quotelib.quoting import quote
from quotelib.rates import load_rates
from quotelib.season.designs import load_jobs
from tests.test_merging import Shop

ROOT = Path(__file__).parents[1]
SUPPLIERS = ROOT / "examples" / "suppliers"


def day(text):
    return datetime.date.fromisoformat(text)


def sha256(path):
    return hashlib.sha256(path.read_bytes()).hexdigest()


@pytest.fixture
def shop(tmp_path):
    return Shop(tmp_path)


def test_a_merge_keeps_the_list_before_and_after(shop):
    before = shop.path.read_bytes()
    plan = shop.plan("b,1,each,6.00,1,2027-01-04", "a,1,each,10.00,1,2027-01-04")
    history = PriceHistory(shop.path)
    entry = history.merge(plan)
    assert shop.path.read_bytes() == plan.content != before
    assert sorted(path.name for path in history.folder.iterdir()) == [
        ".lock",
        "0001-list.csv", "0002-changes.csv", "0002-list.csv", "history.csv",
    ]  # fmt: skip
    assert (history.folder / "0001-list.csv").read_bytes() == before
    assert (history.folder / "0002-list.csv").read_bytes() == plan.content
    assert sorted(path.name for path in shop.folder.iterdir()) == [
        "list-history", "list.csv", "mapping.toml", "offers.csv",
    ], "no temporary file and no second backup is left"  # fmt: skip
    assert (entry.file, entry.file_sha256) == ("offers.csv", sha256(shop.folder / "offers.csv"))
    assert (entry.mapping, entry.mapping_sha256) == ("mapping.toml", sha256(shop.folder / "mapping.toml"))
    assert (entry.changed, entry.ended, entry.unchanged, entry.refused) == ("1", "1", "1", "0")
    assert PriceHistory(shop.path).entries == history.entries
    with open(history.folder / "0002-changes.csv", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert [(row["what"], row["code"], row["price before"], row["price now"]) for row in rows] == [
        ("unchanged", "A", "10.00", "10.00"), ("ended", "A", "9.00", ""), ("changed", "B", "5.50", "6.00"),
    ]  # fmt: skip
    assert set(KINDS_OF_CHANGE) < set(HEADINGS)


def test_merged_twice_changes_nothing_and_adds_no_entry(shop):
    history = PriceHistory(shop.path)
    history.merge(shop.plan("b,1,each,6.00,1,2027-01-04"))
    content, kept = shop.path.read_bytes(), sorted(history.folder.iterdir())
    assert history.merge(shop.plan("b,1,each,6.00,1,2027-01-04")) is None
    assert shop.path.read_bytes() == content and sorted(history.folder.iterdir()) == kept
    assert history.merged_before(sha256(shop.folder / "offers.csv")).number == 2
    assert history.merged_before("0" * 64) is None


def test_the_list_as_it_was_known(shop):
    history = PriceHistory(shop.path)
    with pytest.raises(LookupMiss, match="it must have an entry"):
        history.known_on(day("2026-12-10"))
    lists = [shop.path.read_bytes()]
    for on, price in (("2026-12-10", "6.00"), ("2026-12-20", "6.50"), ("2026-12-20", "6.25"), ("2027-01-10", "7.00")):
        history.merge(shop.plan(f"b,1,each,{price},1,2027-01-04", day=day(on)))
        lists.append(shop.path.read_bytes())
    days = ["2020-01-01", "2026-12-09", "2026-12-10", "2026-12-19", "2026-12-20", "2027-01-09", "2027-01-10", "2030-01-01"]
    known = [history.known_on(day(on))[1].read_bytes() for on in days]
    assert [lists.index(content) for content in known] == [0, 0, 1, 1, 3, 3, 4, 4]
    assert [entry.corrected for entry in history.entries] == ["", "0", "1", "1", "1"]
    prices = price_list_known_on(shop.path, day("2026-12-19")).table
    assert prices[prices["code"] == "B"]["price"].tolist() == [5.0, 5.5, 6.0]


def test_a_change_by_hand_is_kept_too(shop):
    history = PriceHistory(shop.path)
    history.merge(shop.plan("b,1,each,6.00,1,2027-01-04", day=day("2026-12-10")))
    by_hand = shop.path.read_text().replace(",6.00,", ",6.10,")
    shop.path.write_text(by_hand)
    assert PriceHistory(shop.path).changed_since
    history.merge(shop.plan("b,1,each,6.20,1,2027-02-01", day=day("2026-12-20")))
    assert [entry.what for entry in history.entries] == [
        "the list as it was found",
        "offers of Fellgarth merged",
        "the list as it was found, changed otherwise",
        "offers of Fellgarth merged",
    ]
    assert (history.folder / "0003-list.csv").read_text() == by_hand
    assert history.keep(day("2026-12-21"), "x") is None, "the last entry has it"
    shop.path.write_text(by_hand)
    assert history.keep(day("2026-12-22"), "put back").number == 5
    assert history.known_on(day("2026-12-20"))[0].number == 4, "what was merged was known, though it was put back later"


def test_days_do_not_go_back(shop):
    history = PriceHistory(shop.path)
    history.merge(shop.plan("b,1,each,6.00,1,2027-01-04", day=day("2026-12-10")))
    content = shop.path.read_bytes()
    with pytest.raises(RangeError, match="day is 2026-12-09; it must not be before that of the last entry, 2026-12-10"):
        history.merge(shop.plan("b,1,each,6.50,1,2027-02-01", day=day("2026-12-09")))
    assert shop.path.read_bytes() == content


def test_a_list_that_changed_under_the_merge(shop):
    plan = shop.plan("b,1,each,6.00,1,2027-01-04")
    changed = shop.path.read_text().replace("5.00", "5.01")
    shop.path.write_text(changed)
    with pytest.raises(FileRefused, match="it was changed since the merge was worked out; work it out again"):
        PriceHistory(shop.path).merge(plan)
    assert shop.path.read_text() == changed and not PriceHistory(shop.path).entries


def test_a_list_that_is_open_elsewhere(shop):
    plan, before = shop.plan("b,1,each,6.00,1,2027-01-04"), shop.path.read_bytes()
    (shop.folder / ".~lock.list.csv#").write_text(",someone,here,,")
    with pytest.raises(FileNotReplaced, match="LibreOffice has it open"):
        PriceHistory(shop.path).merge(plan)
    assert shop.path.read_bytes() == before and not PriceHistory(shop.path).entries


@pytest.mark.skipif(not hasattr(os, "fork"), reason="it takes this system's own kind of lock")
def test_two_who_merge_at_once(shop):
    import fcntl

    history, plan, before = PriceHistory(shop.path), shop.plan("b,1,each,6.00,1,2027-01-04"), shop.path.read_bytes()
    history.folder.mkdir()
    with open(history.folder / ".lock", "wb") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        with pytest.raises(FileNotReplaced, match="somebody else is just writing its history"):
            history.merge(plan)
    assert shop.path.read_bytes() == before
    other = PriceHistory(shop.path)
    assert history.merge(plan).number == 2
    assert other.merge(shop.plan("b,1,each,6.00,1,2027-01-04", "b,1,each,5.00,10,2027-01-04")).number == 3, "it reads again"
    assert [entry.number for entry in PriceHistory(shop.path).done] == [1, 2, 3]


def test_a_kept_list_or_journal_that_was_changed(shop):
    history = PriceHistory(shop.path)
    history.merge(shop.plan("b,1,each,6.00,1,2027-01-04"))
    kept = history.folder / "0001-list.csv"
    kept.write_text(kept.read_text().replace("5.50", "5.40"))
    with pytest.raises(FileRefused, match="the kept list is missing or was changed"):
        history.known_on(day("2026-12-01"))
    journal = history.journal.read_text()
    for old, new, fault in (
        ("\n2,", "\n3,", "line 3, column A: number is '3'; it must be 2: entries are only added"),
        ("2026-12-10", "10.12.2026", "line 2, column B: day is '10.12.2026'; it must be a date"),
        (",done,", ",kept,", "line 2, column C: state is 'kept'; it must be begun, done or not done"),
        ("number,", "no,", "line 1: columns are no, day,"),
    ):
        history.journal.write_text(journal.replace(old, new, 1))
        with pytest.raises(FileRefused) as refused:
            PriceHistory(shop.path)
        assert refused.value.faults[0].startswith(fault)


KILLED = """
import os, pathlib, shutil, sys
from dataclasses import replace
sys.path.insert(0, {root!r})
from tests.test_merging import Shop
from quotelib.prices.history import PriceHistory

folder = pathlib.Path({folder!r})
base = folder / "base"
base.mkdir()
shop = Shop(base)
PriceHistory(shop.path).merge(shop.plan("b,1,each,6.00,1,2027-01-04"))
made = shop.plan("b,1,each,6.50,1,2027-01-04", "n,1,each,1.00,1,2027-01-04")
(base / "merged.csv").write_bytes(made.content)
for step in range(1, 60):
    place = folder / str(step)
    shutil.copytree(base, place)
    plan = replace(made, shop=replace(made.shop, path=place / "list.csv"))
    child = os.fork()
    if not child:
        left = [step]
        def counted(name):
            call = getattr(os, name)
            def work(*given, **more):
                left[0] -= 1
                if not left[0]:
                    os._exit(9)
                return call(*given, **more)
            setattr(os, name, work)
        for name in ("replace", "link", "unlink", "fsync"):
            counted(name)
        PriceHistory(plan.shop.path).merge(plan)
        os._exit(0)
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    if not code:
        break
print(step)
"""


@pytest.mark.skipif(not hasattr(os, "fork"), reason="a process is killed by its own copy, which this system cannot make")
def test_killed_between_any_two_steps(tmp_path):
    """The process ends without a word before each renaming, linking, deleting and writing down to the disk in turn."""
    script = KILLED.format(root=str(ROOT), folder=str(tmp_path))
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, cwd=ROOT)
    assert done.returncode == 0, done.stderr
    steps = int(done.stdout)
    assert 15 < steps < 59
    seen = set()
    for step in range(1, steps + 1):
        path = tmp_path / str(step) / "list.csv"
        content, merged = path.read_bytes(), (tmp_path / str(step) / "merged.csv").read_bytes()
        history = PriceHistory(path)
        before = (history.folder / "0002-list.csv").read_bytes()
        assert content in (before, merged), "the old list or the new one, whole"
        assert not history.changed_since, "what the history says is in the list"
        assert history.known_on(day("2030-01-01"))[1].read_bytes() == content
        seen.add((content == merged, history.entries[-1].state if len(history.entries) > 2 else "none"))
        load_price_list(path)
        shop = Shop.__new__(Shop)
        shop.folder, shop.path = path.parent, path
        again = shop.plan("b,1,each,6.50,1,2027-01-04", "n,1,each,1.00,1,2027-01-04")
        history.merge(again)
        assert path.read_bytes() == merged, "begun again, it ends as it should have"
        assert PriceHistory(path).known_on(day("2030-01-01"))[1].read_bytes() == merged
        assert len(PriceHistory(path).done) == 3
    assert seen == {(False, "none"), (False, "not done"), (True, "done")}


def test_an_old_quote_comes_to_the_same_cent(tmp_path):
    """Quotes of the season, worked out on their day; then merges, a correction of prices already in force, and an end."""
    path = tmp_path / "price-list.csv"
    shutil.copy(ROOT / "workbook" / "price-list.csv", path)
    rates = load_rates(ROOT / "workbook" / "shop-rates.toml")
    jobs = load_jobs(ROOT / "examples" / "season")[::9]
    assert {job.quote_day for job in jobs} == {day_number(day("2026-11-02"))}

    def cost(prices):
        return [quote(job, rates, prices.rows).unit_cost(key) for job in jobs for key in ("hand", "transfer")
                if key in quote(job, rates, prices.rows).curves]  # fmt: skip

    then = cost(load_price_list(path))
    history = PriceHistory(path)
    for name, on, text, corrected in (
        ("fellgarth-2027.csv", "2026-12-10", ("", ""), 0),
        ("brackmoor-2027.xlsx", "2026-12-11", ("", ""), 0),
        ("oxenhow-2027.csv", "2026-12-12", ("", ""), 0),
        ("brackmoor-2027.xlsx", "2026-12-15", ("valid_from = 2027-01-04", "valid_from = 2026-08-01"), 20),
    ):
        mapping = tmp_path / "mapping.toml"
        mapping.write_text(
            (SUPPLIERS / f"{name.partition('-')[0]}.toml").read_text(encoding="utf-8").replace(*text), encoding="utf-8"
        )
        shop = read_shop_list(path)
        file = read_supplier_file(SUPPLIERS / name, load_mapping(mapping), shop.materials)
        plan = plan_merge(shop, file, load_exchange_rates(ROOT / "workbook" / "exchange-rates.csv"), day(on))
        assert not plan.refused and plan.counts["corrected"] >= corrected
        history.merge(plan)
    now = cost(load_price_list(path))
    assert now != then, "the list of today says otherwise of that day: prices in force were corrected"
    assert cost(price_list_known_on(path, day("2026-11-02"))) == then
    assert cost(price_list_known_on(path, day("2026-12-14"))) == then, "prices to come change no quote of an earlier day"
    assert cost(price_list_known_on(path, day("2026-12-15"))) == now
    jobs = [replace(job, quote_day=day("2027-01-05")) for job in jobs]
    assert cost(load_price_list(path)) != now, "and from 2027-01-04 the new prices hold"


# --- the command line ---


@pytest.fixture
def given(tmp_path):
    """A list of its own, and the command line for it."""
    path = tmp_path / "price-list.csv"
    shutil.copy(ROOT / "workbook" / "price-list.csv", path)

    def offer(name, *more, prices=path):
        mapping = SUPPLIERS / f"{name.partition('-')[0]}.toml"
        return main(
            [
                "offer",
                str(SUPPLIERS / name),
                "--mapping",
                str(mapping),
                "--prices",
                str(prices),
                "--day",
                "2026-12-10",
                *more,
            ]
        )

    offer.path = path
    return offer


def test_the_examples_merge_by_the_command(given, capsys):
    before = given.path.read_bytes()
    for name in ("fellgarth-2027.csv", "brackmoor-2027.xlsx", "oxenhow-2027.csv"):
        assert given(name) == 0
        told = capsys.readouterr().out
        assert "Nothing was written. Add --yes to write it." in told and "0 refused." in told
        rate = "Exchange rate for 2026-12-10: 1 EUR = 1.0861 USD of 2026-12-01, 9 days old, invented for the example"
        assert (rate in told) == name.startswith("fellgarth")
    assert given.path.read_bytes() == before and not PriceHistory(given.path).folder.exists()
    for number, name in enumerate(("fellgarth-2027.csv", "brackmoor-2027.xlsx", "oxenhow-2027.csv"), 2):
        assert given(name, "--yes") == 0
        assert f"kept as entry {number} in" in capsys.readouterr().out
    assert given("fellgarth-2027.csv", "--yes", "--all") == 0
    told = capsys.readouterr().out
    assert "Nothing to write: the list has all of it already." in told and "(entry 2 of the history)" in told
    assert "unchanged" in told.splitlines()[4]
    assert main(["history", "--prices", str(given.path)]) == 0
    told = capsys.readouterr().out
    assert "brackmoor-2027.xlsx " in told and len(told.splitlines()) == 6
    assert main(["history", "--prices", str(given.path), "--on", "2027-01-05", "--code", "ink-uv-clear"]) == 0
    told = capsys.readouterr().out
    assert [line.split()[4] for line in told.splitlines()[2:4]] == ["80.3714", "75.48395"]
    assert "2 prices that held on 2027-01-05, as known then: entry 4 of 2026-12-10." in told
    rows = load_price_list(given.path).table.set_index("code")
    assert "1 EUR = 1.0861 USD of 2026-12-01" in rows.loc["INK-UV-CLEAR", "offered"].iloc[0]
    assert rows.loc["RECLAIM-PASTE", "unit price"].iloc[0] == pytest.approx(61.20 / (12 / 9.8 * 3785.411784), rel=1e-12)


def test_refused_rows_refuse_the_whole_by_the_command(given, capsys, tmp_path):
    before = given.path.read_bytes()
    assert given("fellgarth-faulty.csv", "--yes") == 1
    told = capsys.readouterr()
    assert given.path.read_bytes() == before
    assert "Refused: 15 rows of" in told.err and "so nothing is written" in told.err
    for line in (
        "line 2, column E: Preis EUR is '67.20'",
        "line 5, column G: gültig ab is '31.02.2027'",
        "line 8: the price 9.025491 USD is 1/9.750 of the last one",
        "line 14, column A: Artikel is blank",
        "line 16: the row has 4",
    ):
        assert line in told.out
    rest = tmp_path / "rest.csv"
    assert given("fellgarth-faulty.csv", "--take-good", str(rest), "--confirm", "INK-PAD") == 0
    assert not rest.exists() and given.path.read_bytes() == before, "a dry run still"
    assert given("fellgarth-faulty.csv", "--take-good", str(rest), "--confirm", "INK-PAD", "--yes") == 0
    told = capsys.readouterr().out
    assert "0 new, 2 changed" in told and "(13 rows that were not taken)" in told
    with open(rest, encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert [row["line"] for row in rows] == ["2", "3", "4", "5", "6", "7", "10", "11", "12", "13", "14", "16", "17"]
    assert rows[2]["Bezeichnung"] == '\'=HYPERLINK("x")', "it is text for any spreadsheet"
    assert rows[0]["Preis EUR"] == "67.20" and rows[11]["why"].startswith("line 16: the row has 4 cells")
    listed = rest.read_bytes()
    assert given("fellgarth-faulty.csv", "--take-good", str(rest), "--yes") == 1
    assert "it must be a file that is not there yet" in capsys.readouterr().err and rest.read_bytes() == listed


def test_days_and_numbers_of_the_command(given, capsys):
    for wrong in (["--day", "10.12.2026"], ["--factor", "0.5"], ["--valid-from", "soon"]):
        with pytest.raises(SystemExit):
            given("oxenhow-2027.csv", *wrong)
    capsys.readouterr()
    assert given("oxenhow-2027.csv", "--valid-from", "2027-02-01") == 1
    assert "valid_from stands under columns, and the command gives it too" in capsys.readouterr().err
    assert given("fellgarth-2027.csv", "--oldest-rate", "1") == 1
    assert "it must be 0 to 1 [days]" in capsys.readouterr().out
    assert (Decimal(5), 31) == (FACTOR, OLDEST_RATE_DAYS), "as the help says"


def test_keeping_a_list_by_the_command(given, capsys):
    keep = ["history", "--prices", str(given.path), "--day", "2026-12-10"]
    assert main(keep) == 0
    assert "has no history yet" in capsys.readouterr().out
    assert main([*keep, "--on", "2026-12-10"]) == 1
    assert main([*keep, "--keep", "before the new year's prices"]) == 0
    assert main([*keep, "--keep", "again"]) == 0
    assert "The last entry has the list as it stands." in capsys.readouterr().out
    given.path.write_text(given.path.read_text().replace("39.80", "39.90"))
    assert main(keep) == 0
    assert "The list was changed since the last entry" in capsys.readouterr().out


def test_cells_that_no_spreadsheet_takes_for_a_formula():
    assert [as_text(cell) for cell in ("=1", "+1", "-1", "@a", "a=1", "")] == ["'=1", "'+1", "'-1", "'@a", "a=1", ""]
