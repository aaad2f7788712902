"""Replacing a file of the user's: what is kept, what is refused, and that it is one step."""

import datetime
import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from quotelib.errors import FileNotReplaced
from quotelib.files import replacing as module
from quotelib.files.replacing import open_elsewhere, replacing

DAY = datetime.date(2026, 11, 25)


@pytest.fixture
def quote(tmp_path: Path) -> Path:
    path = tmp_path / "my quote.xlsx"
    path.write_bytes(b"old")
    return path


def put(path: Path, content: bytes = b"new") -> Path:
    with replacing(path, DAY) as new:
        new.write(content)
    return new.backup


def refused(path: Path, words: str) -> None:
    """Refused in these words, and everything in the folder is as it was."""
    before = {each.name: each.read_bytes() for each in path.parent.iterdir()}
    with pytest.raises(FileNotReplaced, match="there must be none, and it is as it was") as refusal:
        put(path)
    assert words in str(refusal.value)
    assert {each.name: each.read_bytes() for each in path.parent.iterdir()} == before


def test_new_content_and_the_old_one_beside_it(quote: Path) -> None:
    assert put(quote) == quote.with_name("my quote.before-2026-11-25.xlsx")
    assert quote.read_bytes() == b"new"
    assert sorted(each.name for each in quote.parent.iterdir()) == ["my quote.before-2026-11-25.xlsx", "my quote.xlsx"]


@pytest.mark.parametrize("second_names", [True, False])
def test_earlier_backups_are_never_overwritten(quote: Path, monkeypatch: pytest.MonkeyPatch, second_names: bool) -> None:
    if not second_names:
        monkeypatch.setattr(os, "link", cannot)
    backups = [put(quote, f"{number}".encode()) for number in range(4)]
    assert [backup.read_bytes() for backup in backups] == [b"old", b"0", b"1", b"2"]
    assert [backup.name[8:] for backup in backups] == [
        ".before-2026-11-25.xlsx", *(f".before-2026-11-25-{number}.xlsx" for number in (2, 3, 4))
    ]  # fmt: skip
    assert len(list(quote.parent.iterdir())) == 5


def cannot(*_: object) -> None:
    raise PermissionError(1, "Operation not permitted")


def test_block_that_fails_changes_nothing(quote: Path) -> None:
    with pytest.raises(ZeroDivisionError), replacing(quote) as new:
        new.write(b"half")
        _ = 1 / 0
    assert [each.name for each in quote.parent.iterdir()] == ["my quote.xlsx"]
    assert quote.read_bytes() == b"old"


def test_link_stays_a_link(quote: Path, tmp_path: Path) -> None:
    folder = tmp_path / "elsewhere"
    folder.mkdir()
    link = folder / "link.xlsx"
    link.symlink_to(quote)
    assert put(link).parent == quote.parent
    assert link.is_symlink() and quote.read_bytes() == b"new" and os.listdir(folder) == ["link.xlsx"]


def test_mark_beside_the_link_counts_too(quote: Path, tmp_path: Path) -> None:
    folder = tmp_path / "elsewhere"
    folder.mkdir()
    link = folder / "link.xlsx"
    link.symlink_to(quote)
    for mark in (folder / "~$link.xlsx", quote.with_name("~$my quote.xlsx")):
        mark.touch()
        with pytest.raises(FileNotReplaced, match="Excel has it open"):
            replacing(link)
        mark.unlink()


def test_permissions_owner_and_attributes_are_kept(quote: Path) -> None:
    quote.chmod(0o640)
    if hasattr(os, "setxattr"):
        try:
            os.setxattr(quote, "user.shop", b"Tarnwick")
        except OSError:
            pytest.skip("this disk keeps no attributes")
    if os.geteuid() == 0:
        os.chown(quote, 12345, 23456)
    before = quote.stat()
    put(quote)
    after = quote.stat()
    assert stat.S_IMODE(after.st_mode) == 0o640
    assert (after.st_uid, after.st_gid) == (before.st_uid, before.st_gid)
    assert os.getxattr(quote, "user.shop") == b"Tarnwick"
    assert after.st_mtime >= before.st_mtime


@pytest.mark.parametrize(
    ("mark", "content", "words"),
    [
        ("~$my quote.xlsx", b"\x05Maker", "Excel has it open; close it there"),
        (
            ".~lock.my quote.xlsx#",
            b"A Maker,maker,bench,25.11.2026 13:00,file:///home/maker/.config/libreoffice/4;",
            "LibreOffice has it open (A Maker, maker, bench); close it there, and should it be open nowhere, "
            "delete the file .~lock.my quote.xlsx# beside it",
        ),
    ],
)
def test_file_that_a_spreadsheet_has_open_is_refused(quote: Path, mark: str, content: bytes, words: str) -> None:
    quote.with_name(mark).write_bytes(content)
    assert any(words in each for each in open_elsewhere(quote))
    refused(quote, words)


def test_file_opened_while_the_new_one_is_written_is_refused(quote: Path) -> None:
    with pytest.raises(FileNotReplaced, match="Excel has it open"), replacing(quote) as new:
        new.write(b"new")
        quote.with_name("~$my quote.xlsx").touch()
    assert quote.read_bytes() == b"old"


def test_file_changed_meanwhile_is_refused(quote: Path) -> None:
    with pytest.raises(FileNotReplaced, match="someone else changed it meanwhile"), replacing(quote) as new:
        new.write(b"new")
        quote.write_bytes(b"theirs")
    assert quote.read_bytes() == b"theirs" and len(list(quote.parent.iterdir())) == 1


def test_read_only_file_is_refused(quote: Path) -> None:
    quote.chmod(0o444)
    refused(quote, "it is read-only; allow writing to it first")


def test_folder_and_missing_file(quote: Path) -> None:
    with pytest.raises(FileNotReplaced, match="it is a folder"):
        replacing(quote.parent)
    with pytest.raises(FileNotFoundError):
        replacing(quote.with_name("none.xlsx"))


@pytest.mark.skipif(os.name == "nt", reason="this system has no limit on the size of files")
def test_full_disk_is_told(quote: Path) -> None:
    """A limit on the size of a file stands for a disk that is full: the system refuses to write on."""
    script = (
        "import resource, signal, sys\nfrom quotelib.files.replacing import replacing\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\nresource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))\n"
        "with replacing(sys.argv[1]) as new:\n    new.write(bytes(3000))\n"
    )
    done = subprocess.run([sys.executable, "-c", script, str(quote)], capture_output=True, text=True, check=False)
    assert "FileNotReplaced" in done.stderr and "there is no room on the disk for the new file" in done.stderr
    assert quote.read_bytes() == b"old" and len(list(quote.parent.iterdir())) == 1


def test_step_that_the_system_refuses_leaves_no_backup(quote: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module.os, "replace", cannot)
    refused(quote, "the new file could not be written: Operation not permitted")
