"""Files in TOML that a person writes: the shop's rates, calendar and terms, mappings, quotes."""

import tomllib
from decimal import Decimal
from typing import Any

from quotelib.errors import FileRefused


def toml_of(content: bytes, file: str, exact: bool = False, place: str = "") -> dict[str, Any]:
    """What a file in TOML holds.

    Parameters
    ----------
    content : bytes
        The file's bytes.
    file : str
        What it is called.
    exact : bool
        True where numbers with a point are to be exact decimals.
    place : str
        What a fault begins with, where several files are read.

    Raises FileRefused.
    """
    try:
        return tomllib.loads(content.decode("utf-8"), parse_float=Decimal if exact else float)
    except tomllib.TOMLDecodeError as fault:
        hint = "; a quote mark or a bracket is missing before it" if "Illegal character" in str(fault) else ""
        raise FileRefused(file, [f"{place}it is not TOML: {fault}{hint}"]) from None
    except UnicodeDecodeError as fault:
        raise FileRefused(file, [f"{place}it is not UTF-8 text: {fault.reason} at byte {fault.start}"]) from None
