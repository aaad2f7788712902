"""The command line: `python -m quotelib VERB ...`.

Each group of verbs is a module with `add_verbs`; what a verb needs is imported when it runs.
"""

import argparse
import sys
from collections.abc import Sequence

from quotelib.cli import (
    afterwards,
    functions,
    jobs,
    making,
    moved,
    offers,
    orders,
    papers,
    plan,
    prices,
    ranges,
    refresh,
    register,
)
from quotelib.errors import QuoteError

GROUPS = (functions, jobs, plan, orders, ranges, prices, offers, moved, register, refresh, papers, afterwards, making)
"""The modules with verbs, in the order of the help."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a verb; 0 when all went well, 1 when an input was refused, 2 for a command that was not understood.

    130 when it was stopped from the keyboard.
    """
    given = _parser().parse_args(arguments)
    try:
        return int(given.work(given) or 0)
    except QuoteError as refusal:
        print(f"Refused: {refusal}", file=sys.stderr)
        return 1
    except BrokenPipeError:
        return 0
    except OSError as fault:
        if fault.filename is None:
            raise
        print(f"Refused: {_unusable(fault)}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("\nStopped.", file=sys.stderr)
        return 130


def _unusable(fault: OSError) -> str:
    """What the system refuses about a file or a folder, in words."""
    name = fault.filename if fault.filename2 is None else fault.filename2
    if isinstance(fault, FileNotFoundError):
        return f"there is no file {name}"
    for kind, words in UNUSABLE.items():
        if isinstance(fault, kind):
            return f"{name} {words}"
    return f"{name} cannot be used: {fault.strerror}"


UNUSABLE = {
    IsADirectoryError: "is a folder; name a file",
    NotADirectoryError: "lies in something that is a file; name a folder",
    FileExistsError: "is a file; name a folder",
    PermissionError: "may not be read or written by you; name another place, or ask whoever owns it",
}
"""What is wrong with a path, by what the system says of it."""


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="python -m quotelib",
        description="Quote decorated hard goods: by hand through screens, by heat transfer, or by pad.",
        epilog="Type a verb and --help for more, for example: python -m quotelib season --help",
    )
    verbs = parser.add_subparsers(metavar="VERB", required=True)
    for group in GROUPS:
        group.add_verbs(verbs)
    return parser
