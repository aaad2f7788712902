"""The command line against what goes wrong: each answer is one clear refusal, and nothing is lost."""

import errno
import re
from pathlib import Path
from typing import Any

import pytest

from quotelib import cli
from quotelib.cli import jobs, main

ROOT = Path(__file__).resolve().parent.parent
SEASON = str(ROOT / "examples" / "season")
QUOTE = str(ROOT / "examples" / "quotes" / "T-1041.toml")
RATES = ROOT / "workbook" / "shop-rates.toml"


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
    [[], ["nothing"], ["quote"], ["quote", "Rime", "--season", SEASON, "--run", "many"], ["range", "--price", "x"]],
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
