"""Put the add-in into a LibreOffice.

    python -m quotelib install [OXT] [--prices FILE] [--profile DIR] [--uninstall]

Installs for the current user, as root too, in place of an older one, and then asks a cell for LIBRARY_VERSION to see that
the functions are there.  Where this library is, and the shop's price list, is noted for the menu entry (library.py).
"""

import argparse
import sys
import tempfile
from pathlib import Path

import quotelib
from quotelib.errors import FileRefused
from quotelib.hosts.calc import EXTENSION
from quotelib.hosts.calc.build import FILE_NAME, addin
from quotelib.hosts.calc.library import NOTE, Library, write_note
from quotelib.hosts.calc.office import OfficeFault
from quotelib.hosts.calc.session import Session


def install(oxt: Path | None = None, profile: Path | None = None, prices: Path | None = None) -> str:
    """Install the add-in, and say what was done.

    Parameters
    ----------
    oxt : Path, optional
        A built add-in; if left out, one is built from this library.
    profile : Path, optional
        A LibreOffice profile to put it in; if left out, the current user's own.
    prices : Path, optional
        The shop's price list, which a refresh from the menu reads where a workbook names none.
    """
    usual = str(prices.resolve()) if prices is not None and prices.is_file() else None
    library = Library(sys.executable, str(Path(quotelib.__file__).resolve().parents[1]), usual)
    if oxt is not None and not oxt.is_file():
        raise FileRefused(str(oxt), ["there is no such file"])
    with tempfile.TemporaryDirectory(prefix="quotelib-install-") as scratch, Session(profile) as session:
        if oxt is None:
            oxt = Path(scratch, FILE_NAME)
            oxt.write_bytes(addin())
        where = f"LibreOffice {session.office.version}" + (f", profile {profile}" if profile else "")
        write_note(Path(session.ask("user_folder")), library)
        if session.ask("install", path=str(oxt.resolve())):
            return (
                f"The quoting functions are installed in {where}, which is open: close it and start it again to use them."
            )
    # Started anew: a LibreOffice that knew the functions of an older add-in does not see those of another.
    with Session(profile) as session, session.open() as book:
        book.set({"Sheet1!A1": "=LIBRARY_VERSION()"})
        version = book.value("Sheet1!A1")
    if not isinstance(version, str):
        raise OfficeFault(f"the add-in is in {where}, but =LIBRARY_VERSION() shows {version['error']} in a cell")
    return f"The quoting functions, version {version}, are installed in {where}. Type =LIBRARY_VERSION() into a cell."


def uninstall(profile: Path | None = None) -> str:
    """Take the add-in out again, and say what was done."""
    with Session(profile) as session:
        found = session.ask("uninstall", identifier=EXTENSION)
        Path(session.ask("user_folder"), NOTE).unlink(missing_ok=True)
    return "The quoting functions are uninstalled." if found else "The quoting functions were not installed."


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """What the command takes."""
    parser.add_argument("oxt", nargs="?", type=Path, help="a built add-in; this library's own, built anew, if left out")
    parser.add_argument("--profile", type=Path, help="the LibreOffice profile to use; your own if left out")
    parser.add_argument("--uninstall", action="store_true", help="take it out again")


def run(options: argparse.Namespace) -> int:
    """Do what the command was given."""
    try:
        print(uninstall(options.profile) if options.uninstall else install(options.oxt, options.profile, options.prices))
    except OfficeFault as fault:
        print(fault, file=sys.stderr)
        return 1
    return 0
