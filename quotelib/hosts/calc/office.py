"""Find a LibreOffice that is new enough, and a Python that can talk to it.

LibreOffice is looked for in $SOFFICE, on the PATH and in the usual places; the first of at least 25.2 is taken.  Its `uno`
module belongs to LibreOffice's own Python, or on Debian to the system's, seldom to the one that runs this.
"""

import functools
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

OLDEST_OFFICE = (25, 2)
"""Older ones do not read plain function names from an .xlsx file."""

HOW_TO_INSTALL = (
    "install LibreOffice 25.2 or later, with its Calc and its Python support; on Debian and Ubuntu these are the packages "
    "libreoffice-calc (or libreoffice-calc-nogui), libreoffice-script-provider-python and python3-uno"
)

USUAL_PLACES = (
    ("/usr/lib/libreoffice/program", "soffice"),
    ("/opt", "libreoffice*/program/soffice"),
    ("/Applications/LibreOffice.app/Contents/MacOS", "soffice"),
    ("C:/Program Files/LibreOffice/program", "soffice.com"),
)


class OfficeFault(RuntimeError):
    """LibreOffice is missing, too old or has stopped; the message says what to do."""


class Office(NamedTuple):
    """A LibreOffice that can be used."""

    soffice: Path
    version: str
    python: Path
    """The Python that has its `uno` module."""


@functools.cache
def find_office() -> Office:
    """The first LibreOffice that is new enough, with its Python; OfficeFault when there is none."""
    old = ""
    for soffice in _candidates():
        version = _version(soffice)
        if not version:
            continue
        if tuple(map(int, version.split(".")[:2])) >= OLDEST_OFFICE:
            return Office(soffice, version, _python(soffice))
        old = old or f"LibreOffice {version} at {soffice} is too old; "
    raise OfficeFault((old or "no LibreOffice was found; ") + HOW_TO_INSTALL)


def _candidates() -> Iterator[Path]:
    chosen = os.environ.get("SOFFICE")
    if chosen:
        if not Path(chosen).is_file():
            raise OfficeFault(
                f"SOFFICE is set to {chosen}, where there is no file; unset it, or set it to a soffice program"
            )
        yield Path(chosen)
        return
    for name in ("soffice", "libreoffice"):
        found = shutil.which(name)
        if found:
            yield Path(found)
    for folder, pattern in USUAL_PLACES:
        yield from sorted(Path(folder).glob(pattern), reverse=True)


def _version(soffice: Path) -> str:
    """What the program says of its version, such as 25.2.3; blank when it says nothing of the kind."""
    try:
        said = subprocess.run(
            [soffice, "--version"], capture_output=True, text=True, stdin=subprocess.DEVNULL, timeout=60, check=False
        ).stdout
    except (OSError, subprocess.TimeoutExpired):
        return ""
    found = re.search(r"LibreOffice\w* (\d+\.\d+(?:\.\d+)?)", said)
    return found[1] if found else ""


def _python(soffice: Path) -> Path:
    """A Python that has the `uno` module of that LibreOffice."""
    program = soffice.resolve().parent
    places = [program / "python.exe", program / "python", program.parent / "Resources" / "python", Path("/usr/bin/python3")]
    found = shutil.which("python3")
    places += [Path(found)] if found else []
    for python in (*places, Path(sys.executable)):
        if python.is_file() and _has_uno(python):
            return python
    raise OfficeFault(f"no Python here can talk to LibreOffice at {soffice} (none has its 'uno' module); {HOW_TO_INSTALL}")


def _has_uno(python: Path) -> bool:
    trial = subprocess.run(
        [python, "-c", "import uno, unohelper"],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        env=clean_environment(),
        check=False,
    )
    return trial.returncode == 0


def clean_environment() -> dict[str, str]:
    """This environment without what would lead another Python to this one's modules."""
    return {name: value for name, value in os.environ.items() if name not in ("PYTHONPATH", "PYTHONHOME", "VIRTUAL_ENV")}
