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
    """Run a verb; 0 when all went well, 1 when an input was refused, 2 for a command that was not understood."""
    given = _parser().parse_args(arguments)
    try:
        return int(given.work(given) or 0)
    except QuoteError as refusal:
        print(f"Refused: {refusal}", file=sys.stderr)
        return 1
    except FileNotFoundError as missing:
        print(f"Refused: there is no file {missing.filename}", file=sys.stderr)
        return 1
    except BrokenPipeError:
        return 0


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
