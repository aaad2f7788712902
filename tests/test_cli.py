"""The command line against what goes wrong: each answer is one clear refusal, and nothing is lost."""

import csv
import errno
import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from quotelib import cli
from quotelib.cli import jobs, main

ROOT = Path(__file__).resolve().parent.parent
SEASON = str(ROOT / "examples" / "season")
QUOTE = str(ROOT / "examples" / "quotes" / "T-1041.toml")
SUPPLIERS = ROOT / "examples" / "suppliers"
OFFER = ["offer", str(SUPPLIERS / "fellgarth-2027.csv"), "--mapping", str(SUPPLIERS / "fellgarth.toml")]
FILE = ["file", "Rime", "--season", SEASON, "--into", "folder", "--number", "T-9", "--customer", "C"]

READING: dict[str, tuple[str, list[str]]] = {
    "examples/season/items.csv": ("blank_code", ["quote", "Rime", "--season", "{folder}"]),
    "examples/season/designs.csv": ("good_pieces", ["quote", "Rime", "--season", "{folder}"]),
    "examples/season/orders.csv": ("pieces", ["load", "{folder}"]),
    "examples/season/sales.csv": ("price", ["plan", "{folder}"]),
    "examples/season/spreads.csv": ("least", ["range", "Rime", "--season", SEASON, "--spreads", "{file}"]),
    "examples/season/tickets.csv": ("day", ["learn", "{file}", "--season", SEASON]),
    "workbook/price-list.csv": ("price", ["prices", "--prices", "{file}"]),
    "workbook/shop-rates.toml": ("labour_rate", ["check", "--rates", "{file}"]),
    "workbook/shop-calendar.toml": ("buffer_days", ["load", SEASON, "--calendar", "{file}"]),
    "workbook/price-terms.toml": ("profit", [*FILE, "--terms", "{file}"]),
    "workbook/letterhead.toml": ("shop_name", ["send", QUOTE, "--out", "page.xlsx", "--letterhead", "{file}"]),
    "examples/suppliers/fellgarth.toml": ("supplier", [*OFFER[:3], "{file}"]),
    "examples/quotes/T-1041.toml": ("customer", ["state", "{file}", "lapsed"]),
}
"""Files that a verb reads: a field that is spoiled in each, and the command that reads it."""


@pytest.fixture
def there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder to work in, with a folder, an empty file, and TOML files as they go wrong by hand."""
    monkeypatch.chdir(tmp_path)
    Path("folder").mkdir()
    Path("empty").touch()
    Path("unclosed.toml").write_text('supplier = "Fellgarth\n')
    Path("twice.toml").write_text("labour_rate = 1\nlabour_rate = 2\n")
    Path("day.toml").write_text("holidays = [2026-13-45]\n")
    Path("bytes.toml").write_bytes(b"\xff\xfe\x00x")
    return tmp_path


@pytest.mark.parametrize(
    ("command", "words"),
    [
        (["check", "--rates", "folder"], "Refused: folder is a folder; name a file"),
        (["check", "--rates", "none.toml"], "Refused: there is no file none.toml"),
        (
            ["check", "--rates", "unclosed.toml"],
            r"unclosed\.toml .*line 1, column 22\); a quote mark or a bracket is missing",
        ),
        (["check", "--rates", "twice.toml"], r"twice\.toml .*not TOML: Cannot overwrite a value \(at line 2"),
        (["check", "--rates", "day.toml"], r"day\.toml .*not TOML: .*\(at line 1"),
        (["check", "--rates", "bytes.toml"], r"bytes\.toml .*it is not UTF-8 text: invalid start byte at byte 0"),
        (["check", "--rates", "empty"], "empty has [0-9]+ faults; .*labour_rate is missing"),
        (["check", "--prices", "folder"], "folder has 1 fault; .*Is a directory"),
        (["check", "--prices", "empty"], "empty has 1 fault; .*line 1: the row is blank; it must hold the headings"),
        (["season", SEASON, "--out", "empty"], "Refused: empty(/season.xlsx)? is a file; name a folder"),
        (["season", SEASON, "--out", "empty/x"], "Refused: empty/x lies in something that is a file; name a folder"),
        (["sheet", "Night Ferry", "--season", SEASON, "--out", "folder"], "Refused: folder is a folder; name a file"),
        (["sheet", "Night Ferry", "--season", "empty"], "empty/items.csv has 1 fault; .*Not a directory"),
        (["sheet", "Night Fairy", "--season", SEASON], "design is 'Night Fairy'; it must be one of Heron Dawn, "),
        (["again", "folder"], "Refused: folder is a folder; name a file"),
        (["again", "none.toml"], "Refused: there is no file none.toml"),
        (["send", "empty"], "empty: number is missing"),
        (["send", QUOTE, "--out", "quote.doc"], r"out is 'quote\.doc'; it must end in \.pdf or \.xlsx"),
        (["quotes", "folder"], r"folder has 1 fault; .*it holds no quote; a quote is a file that ends in \.toml"),
        (["learn", "folder"], "folder has 1 fault; .*Is a directory"),
        (["refresh", "folder"], "folder has 1 fault; .*it is a folder"),
        (["refresh", "none.xlsx"], "Refused: there is no file none.xlsx"),
        (["history", "--prices", "none.csv"], "none.csv has 1 fault; .*No such file"),
        (["history", "--keep", " "], "--keep is ' '; it must be text, not blank"),
        (["again", QUOTE, "--number", ""], "number is blank; it must be text that a file can be named after"),
        (["send", QUOTE, "--out", "empty/quote.xlsx"], "Refused: empty is a file; name a folder"),
        ([*OFFER, "--oldest-rate", "-1"], r"--oldest-rate is -1; it must be whole, 0 to 1000 \[days\]"),
        ([*FILE, "--days", "-1"], r"--days is -1; it must be whole, 0 to 1000 \[days\]"),
        ([*FILE, "--floor", "nan"], r"margin_floor is nan; it must be 0 or more, less than 1 \[fraction\]"),
        ([*FILE, "--run", "0"], r"good_pieces is 0; it must be whole, 1 to 1e9 \[pieces\]"),
        (["range", "Rime", "--season", SEASON, "--price", "inf"], "price is inf; it must be more than 0, up to 1e12"),
        (["range", "Rime", "--season", SEASON, "--draws", "0"], "draws is 0; it must be whole, 20 to 10000"),
        (["plan", SEASON, "--months", "-1"], "--months is -1; it must be whole, 1 to 1000"),
        (["plan", SEASON, "--salvage", "1e300"], r"--salvage is 1e\+300; it must be 0 to 1 \[fraction\]"),
        (["build", "--into", "empty"], "Refused: empty/shop-rates.toml lies in something that is a file; name a folder"),
    ],
    ids=lambda value: " ".join(value)[-60:] if isinstance(value, list) else "",
)
def test_refusal_says_what_and_where(
    command: list[str], words: str, there: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = {file: file.read_bytes() for file in there.rglob("*") if file.is_file()}
    assert main(command) == 1
    said = capsys.readouterr().err
    assert re.search(f"(?s){words}", said), said
    assert {file: file.read_bytes() for file in there.rglob("*") if file.is_file()} == before


def spoiled(name: str, field: str, text: str) -> Iterator[tuple[str, str]]:
    """What a file becomes as it is spoiled by hand, and what must be named when it is read."""
    lines = text.splitlines(keepends=True)
    if name.endswith(".csv"):
        heads = lines[0].strip().split(",")
        place = heads.index(field)
        for wrong in ("", "text", "-1", "1e300", "nan", "inf", "31.12.2026", "1,5"):
            if field != "blank_code" or not wrong:  # a code may be any text
                cells = next(csv.reader(lines[1:2]))
                cells[place] = wrong
                row = ",".join(f'"{cell}"' for cell in cells) + "\n"
                yield "".join([lines[0], row, *lines[2:]]), f"line 2, .*{field}|spreads labour_rate is"
        yield "".join(lines).replace(field, "nonsense", 1), field
        yield "".join([lines[0], '"' + lines[1], *lines[2:]]), "line 2"
        yield "".join([lines[0], "one cell\n", *lines[1:]]), "line 2: the row has 1 cell"
    else:
        place = next(at for at, line in enumerate(lines) if line.startswith(f"{field} ="))
        for wrong in ('"open', "[]", "nan", "31.12.2026", "{a = 1}"):
            yield "".join([*lines[:place], f"{field} = {wrong}\n", *lines[place + 1 :]]), f"{field}|line {place + 1},"
        yield "".join([*lines[: place + 1], lines[place], *lines[place + 1 :]]), f"line {place + 2},"
        yield "".join([*lines[:place], *lines[place + 1 :]]), field
        yield "nonsense = 1\n" + text, "nonsense"


@pytest.mark.parametrize("name", READING)
def test_a_spoiled_file_is_refused_with_the_place_and_nothing_is_lost(
    name: str, there: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    field, command = READING[name]
    source = ROOT / name
    folder = Path(shutil.copytree(source.parent, there / "own")) if "season" in name else there
    file = folder / source.name
    command = [word.format(folder=folder, file=file) for word in command]
    for content, named in spoiled(name, field, source.read_text(encoding="utf-8")):
        file.write_text(content, encoding="utf-8")
        before = {each: each.read_bytes() for each in there.rglob("*") if each.is_file()}
        assert main(command) == 1, content
        said = capsys.readouterr().err
        assert re.search(named, said), (named, said)
        assert source.name in said
        assert {each: each.read_bytes() for each in there.rglob("*") if each.is_file()} == before


@pytest.mark.parametrize("field", ["quantity", "rate", "amount"])
@pytest.mark.parametrize("wrong", ["nan", "inf", "1e300", "true", '"1"'])
def test_a_line_of_a_quote_holds_figures(field: str, wrong: str, there: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = re.sub(rf"(?m)^{field} = .*", f"{field} = {wrong}", Path(QUOTE).read_text(encoding="utf-8"), count=1)
    Path("quote.toml").write_text(text, encoding="utf-8")
    for command in (["send", "quote.toml", "--out", "page.xlsx"], ["state", "quote.toml", "lapsed"]):
        assert main(command) == 1
        assert f"line 1 {field} is " in capsys.readouterr().err
    assert Path("quote.toml").read_text(encoding="utf-8") == text
    assert not Path("page.xlsx").exists()


@pytest.mark.parametrize("number", ["../T-9", "a/b", "a\\b", "C:x", ".hidden", "what?", "two\nlines"])
def test_a_quote_is_never_filed_outside_its_folder(number: str, there: Path, capsys: pytest.CaptureFixture[str]) -> None:
    command = ["file", "Red Lantern", "--season", SEASON, "--customer", "C", "--into", "folder", "--number", number]
    assert main(command) == 1
    assert "it must be text that a file can be named after" in capsys.readouterr().err
    assert not [
        file for file in (*there.parent.glob("*.toml"), *there.rglob("*.toml")) if "[job]" in file.read_text("latin-1")
    ]


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        (
            PermissionError(errno.EACCES, "Permission denied", "kept.svg"),
            "kept.svg may not be read or written by you; name",
        ),
        (
            OSError(errno.ENOSPC, "No space left on device", "part", None, "kept.svg"),
            "kept.svg cannot be used: No space left",
        ),
    ],
)
def test_what_the_system_refuses_is_told_in_words(
    fault: OSError, words: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def write(*_: Any) -> None:
        raise fault

    monkeypatch.setattr(jobs, "write_picture", write)
    assert main(["sheet", "Night Ferry", "--season", SEASON]) == 1
    assert f"Refused: {words}" in capsys.readouterr().err


def test_a_fault_of_our_own_is_not_taken_for_one_of_a_file(monkeypatch: pytest.MonkeyPatch) -> None:
    def write(*_: Any) -> None:
        raise OSError("no file has a part in this")

    monkeypatch.setattr(jobs, "write_picture", write)
    with pytest.raises(OSError, match="no file has a part"):
        main(["sheet", "Night Ferry", "--season", SEASON])


def test_stopped_from_the_keyboard_it_ends_quietly(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def stop(*_: Any) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(jobs, "write_picture", stop)
    assert main(["sheet", "Night Ferry", "--season", SEASON]) == 130
    assert capsys.readouterr().err.strip() == "Stopped."


@pytest.mark.parametrize(
    "command",
    [
        [],
        ["nothing"],
        ["quote"],
        ["quote", "Rime", "--season", SEASON, "--run", "many"],
        ["range", "--price", "x"],
        ["history", "--on", "31.12.2026"],
        ["load", SEASON, "--today", "2026-02-30"],
        [*FILE, "--days", "1.5"],
        [*OFFER, "--factor", "nan"],
    ],
)
def test_a_command_not_understood_ends_with_2(command: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as end:
        main(command)
    assert end.value.code == 2
    assert "error: " in capsys.readouterr().err


def test_every_verb_says_what_it_does_and_what_each_argument_is() -> None:
    parser = cli._parser()
    verbs = next(action for action in parser._actions if action.choices).choices
    assert verbs is not None
    for name, verb in dict(verbs).items():  # type: ignore[call-overload]
        assert verb.description.endswith("."), name
        for action in verb._actions:
            assert action.help or action.choices, (name, action.dest)


def test_figures_are_called_invented_only_where_they_are(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    own = tmp_path / "prices.csv"
    own.write_text((ROOT / "workbook" / "price-list.csv").read_text(encoding="utf-8").replace(" (invented)", ""), "utf-8")
    folder = tmp_path / "season"
    folder.mkdir()
    for name in ("items.csv", "designs.csv"):
        lines = (ROOT / "examples" / "season" / name).read_text(encoding="utf-8").splitlines(keepends=True)
        (folder / name).write_text("".join(lines if name == "items.csv" else lines[:2]), encoding="utf-8")
    for prices, invented in ((own, False), (ROOT / "workbook" / "price-list.csv", True)):
        assert main(["season", str(folder), "--prices", str(prices), "--out", str(tmp_path)]) == 0
        assert ("invented" in capsys.readouterr().out) == invented
