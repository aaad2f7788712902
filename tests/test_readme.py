"""The README and the tutorial as written: their commands, formulas and Python."""

import doctest
import re
import shlex
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest

from quotelib.cli import main
from quotelib.hosts.calc.session import Calc
from quotelib.registry import FUNCTIONS

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
TUTORIAL = (ROOT / "examples" / "TUTORIAL.md").read_text(encoding="utf-8")
COMMANDS = re.findall(r"^\.venv/bin/python -m quotelib (.*?)(?:  +#.*)?$", README, re.M)
FORMULAS = re.findall(r"^=([A-Z_]+)\((.*?)\) ", README, re.M)


def test_the_readme_shows_commands_and_formulas() -> None:
    assert len(COMMANDS) >= 8
    assert len(FORMULAS) >= 3


@pytest.mark.parametrize("command", [command for command in COMMANDS if command != "install"])  # test_calc.py installs
def test_command_runs_as_written(
    command: str, calc: Calc, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    for folder in ("workbook", "examples"):
        (tmp_path / folder).symlink_to(ROOT / folder)
    monkeypatch.chdir(tmp_path)
    words = shlex.split(command)
    if words == ["build"]:
        words.append("--check")  # the tests change nothing in the repository
    if "--out" in words:
        words[words.index("--out") + 1] = str(tmp_path / "out")
    assert main(words) == 0, capsys.readouterr()
    assert capsys.readouterr().out.strip()


def test_tutorial_runs_as_written_in_its_order(
    calc: Calc, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """In copies of the folders it names, which it may change as it says."""
    for folder in ("workbook", "examples"):
        shutil.copytree(ROOT / folder, tmp_path / folder, ignore=shutil.ignore_patterns("out"))
    monkeypatch.chdir(tmp_path)
    lines = [line for block in re.findall(r"```sh\n(.*?)```", TUTORIAL, re.S) for line in block.splitlines()]
    assert len(lines) >= 20
    for line in lines:
        python, *command = shlex.split(line)
        if python == "cp":
            subprocess.run([python, *command], check=True)
            if command[-1] == "my-own":
                edit_as_told(Path(command[-1]))
            continue
        assert [python, *command[:2]] == [".venv/bin/python", "-m", "quotelib"]
        assert main(command[2:]) == 0, (line, capsys.readouterr())
        assert capsys.readouterr().out.strip(), line
    made = {"sheet.svg", "route-map.svg", "load.svg", "T-2001.pdf", "T-2001-floor.pdf", "moved.xlsx", "moved.svg"}
    assert made <= {file.name for file in (tmp_path / "my-shop").iterdir()}
    for folder in ("workbook", "examples"):
        kept = {
            file: file.read_bytes() for file in (ROOT / folder).rglob("*") if file.is_file() and "out" not in file.parts
        }
        assert all((tmp_path / file.relative_to(ROOT)).read_bytes() == content for file, content in kept.items())


def edit_as_told(shop: Path) -> None:
    """The edits of the tutorial's last part: rows at the end of the price list, and two new files."""
    prices, items, designs = re.findall(r"```csv\n(.*?)```", TUTORIAL, re.S)
    with (shop / "price-list.csv").open("a", encoding="utf-8") as kept:
        kept.write(prices)
    (shop / "items.csv").write_text(items, encoding="utf-8")
    (shop / "designs.csv").write_text(designs, encoding="utf-8")


@pytest.mark.parametrize(("name", "arguments"), FORMULAS)
def test_formula_gives_a_number(name: str, arguments: str) -> None:
    given: list[Any] = [float(argument) for argument in arguments.split(",")]
    assert FUNCTIONS[name](*given) > 0


def test_python_in_the_readme_gives_what_it_says() -> None:
    block = re.search(r"```python\n(.*?)```", README, re.S)
    assert block
    test = doctest.DocTestParser().get_doctest(block[1], {}, "README", None, None)
    assert doctest.DocTestRunner().run(test).failed == 0


def test_every_picture_and_link_is_there() -> None:
    for text, folder in ((README, ROOT), (TUTORIAL, ROOT / "examples"), (DEVELOPERS, ROOT)):
        links = [link for link in re.findall(r"\]\(([^)#]+)\)", text) if "://" not in link]
        assert [link for link in links if not (folder / link).exists()] == []
    assert re.findall(r"\]\(([^)#]+)\)", README)
