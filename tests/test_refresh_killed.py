"""A power cut in the middle of a refresh: the workbook is wholly the old one or the new one, and no backup is lost."""

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from tests.workbooks import AFTER, MAKERS

CHILD = '''
"""Refresh copies of a workbook, each in a process of its own that ends at one of its steps, as in a power cut."""
import datetime, json, os, sys
from pathlib import Path

sys.path.insert(0, sys.argv[1])
source, folder, second_names = Path(sys.argv[2]), Path(sys.argv[3]), sys.argv[4] == "links"
from quotelib.hosts.xlsx.refresh import closed_workbook
from tests.workbooks import AFTER

STEPS = "open write fsync link replace rename chown chmod utime unlink close".split()
real = {name: getattr(os, name) for name in STEPS}
state = {"left": 0, "half": False}
steps = []


def step(name):
    def work(*arguments, **options):
        steps.append(name)
        state["left"] -= 1
        if state["left"] == 0:
            if name == "write" and state["half"]:
                real["write"](arguments[0], bytes(arguments[1])[: len(arguments[1]) // 2])
            os._exit(77)
        if name == "link" and not second_names:
            raise PermissionError(1, "Operation not permitted")
        return real[name](*arguments, **options)
    return work


def run(number, half):
    """A copy refreshed in a child that ends at step `number`; whether it came to the end, and its steps."""
    place = folder / f"{number}{'-half' if half else ''}"
    place.mkdir()
    workbook = place / "quote.xlsx"
    workbook.write_bytes(source.read_bytes())
    (place / "quote.before-2026-11-25.xlsx").write_bytes(b"an earlier backup")
    child = os.fork()
    if not child:
        try:
            with closed_workbook(workbook) as book:
                state.update(left=number, half=half)
                for name in STEPS:
                    setattr(os, name, step(name))
                book.refresh(AFTER, {"price_file": "new.csv"}, day=datetime.date(2026, 11, 25))
            real["write"](int(sys.argv[5]), json.dumps(steps).encode())
            os._exit(0)
        finally:
            os._exit(1)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


ends = {}
number = 0
while True:
    number += 1
    code = run(number, False)
    if code == 0:
        break
    ends[f"{number}"] = code
    ends[f"{number}-half"] = run(number, True)
print(json.dumps(ends))
'''


@pytest.mark.skipif(sys.platform == "win32", reason="needs fork")
@pytest.mark.parametrize("second_names", ["links", "copies"])
def test_process_ended_at_every_step(tmp_path: Path, second_names: str) -> None:
    source, folder, told = tmp_path / "quote.xlsx", tmp_path / "killed", tmp_path / "steps.json"
    folder.mkdir()
    MAKERS["pictures.xlsx"](source)
    old = source.read_bytes()
    root = Path(__file__).resolve().parents[1]
    with open(told, "wb") as steps:
        words = [sys.executable, "-W", "ignore", "-c", CHILD, str(root), str(source), str(folder), second_names]
        done = subprocess.run(
            [*words, str(steps.fileno())], capture_output=True, text=True, check=False, pass_fds=[steps.fileno()]
        )
    assert done.returncode == 0, done.stderr
    ends = json.loads(done.stdout)
    assert set(ends.values()) == {77} and len(ends) >= 2 * 15
    taken = json.loads(told.read_text())
    assert {"write", "fsync", "replace", "link", "unlink", "chown"} <= set(taken)
    assert taken.count("fsync") >= 3 and taken.count("write") >= 5
    new = (folder / str(len(ends) // 2 + 1) / "quote.xlsx").read_bytes()
    check(new, tmp_path)
    assert new != old
    seen: dict[str, int] = {"old": 0, "new": 0}
    for name in ends:
        place = folder / name
        content = (place / "quote.xlsx").read_bytes()
        assert content in (old, new), name
        seen["new" if content == new else "old"] += 1
        backups = {each.name: each.read_bytes() for each in place.glob("quote.before-*")}
        assert backups.pop("quote.before-2026-11-25.xlsx") == b"an earlier backup"
        if content == new:
            assert list(backups.values()) == [old], name
        else:
            assert set(backups.values()) <= {old, b""}, name  # blank: a name taken just before the whole copy gets it
    assert seen["old"] >= 10 and seen["new"] >= 2, seen


def check(content: bytes, folder: Path) -> None:
    """The new workbook opens and holds the new prices."""
    path = folder / "new.xlsx"
    path.write_bytes(content)
    sheet: Any = openpyxl.load_workbook(path)["Price list"]
    assert [sheet.cell(row, 1).value for row in range(6, 18)] == [row[0] for row in AFTER]
