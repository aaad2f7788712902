"""Functions for quoting decorated hard goods, called from Python, typed into cells, or run over a whole season.

    >>> import quotelib
    >>> quotelib.setup_per_unit(156.5, 700)
    0.2235714

Each chapter of the trade is a module; every function declared in one is also an attribute of this package.
"""

from importlib import import_module
from typing import Any

from quotelib._version import __version__ as __version__
from quotelib.registry import FUNCTIONS

CHAPTERS = (
    "setup", "labour", "mesh", "shape", "rejects", "transfers", "buying", "breakeven", "curve", "pricing", "charges",
    "choice", "floor", "ranges", "demand", "runsize", "pooling", "variances", "hours", "sequence",
    "reorders", "lots", "investment", "guard",
)  # fmt: skip
"""The modules that declare functions, in the order a job goes through them."""

for _chapter in CHAPTERS:
    import_module(f"quotelib.chapters.{_chapter}")


def __getattr__(name: str) -> Any:
    function = FUNCTIONS.get(name.upper()) if name.islower() else None
    if function is None:
        raise AttributeError(f"quotelib has no function {name!r}")
    return function


def __dir__() -> list[str]:
    return [*globals(), *(function.__name__ for function in FUNCTIONS.values())]
