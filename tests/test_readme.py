"""The README as written: its commands, its formulas and its Python."""

import doctest
import re
import shlex
from pathlib import Path
from typing import Any

import pytest

from quotelib.cli import main
from quotelib.hosts.calc.session import Calc
from quotelib.registry import FUNCTIONS

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
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


@pytest.mark.parametrize(("name", "arguments"), FORMULAS)
def test_formula_gives_a_number(name: str, arguments: str) -> None:
    given: list[Any] = [float(argument) for argument in arguments.split(",")]
    assert FUNCTIONS[name](*given) > 0


def test_python_in_the_readme_gives_what_it_says() -> None:
    block = re.search(r"```python\n(.*?)```", README, re.S)
    assert block
    test = doctest.DocTestParser().get_doctest(block[1], {}, "README", None, None)
    assert doctest.DocTestRunner().run(test).failed == 0


def test_every_picture_and_link_of_the_readme_is_there() -> None:
    links = [link for link in re.findall(r"\]\(([^)#]+)\)", README) if "://" not in link]
    assert links
    assert [link for link in links if not (ROOT / link).exists()] == []
