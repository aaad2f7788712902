"""Guard: what stands beside the figures in a workbook and says why one is missing.

A refused call shows an error value, so that no total is quietly wrong; REASON gives the words for it, INPUT_FAULTS names
every input that is blank or out of range before anything is worked out, and LIBRARY_VERSION shows that the functions are
there at all.
"""

import difflib
from collections.abc import Iterable, Sequence
from typing import Any

from quotelib._version import __version__
from quotelib.cells import ONE_CELL_KINDS, call_from_cell
from quotelib.errors import LookupMiss, QuoteError, TypeInputError
from quotelib.kinds import CODE, KINDS, Cells, Code, Label, Rows
from quotelib.registry import FUNCTIONS, sheet_function

MAY_BE_BLANK = ", may be blank"
"""Written after the name of a kind where an input may be left out: `money, may be blank`."""

MOST_MESSAGES = 20
"""Messages that REASON gives of one range."""


@sheet_function("Guard")
def library_version() -> Label:
    """Version of the library that works out the cells; without the library the cell shows #NAME?.

    Returns
    -------
    label
        The version, as text.

    References
    ----------
    Derived: the version of the installed package.

    Examples
    --------
    >>> library_version()
    '0.1.0'
    """
    return __version__


@sheet_function("Guard")
def reason(function_name: Code, *arguments: Cells) -> Label:
    """Why a call is refused, in words; blank when the call is good.

    Parameters
    ----------
    function_name : text, not blank
        Name of the function, as typed into a cell, in quotes.
    *arguments : a range of cells
        The same cells or numbers, in the same order, as that function was given.

    Returns
    -------
    label
        The message, or a blank text.  Where the call itself would give a range, the first messages, each with its place.

    Notes
    -----
    A cell in error among the arguments is passed on as that error: ask for the reason where it arose.

    References
    ----------
    Derived: it makes the same call and reports the refusal.

    Examples
    --------
    >>> reason("SETUP_PER_UNIT", 156.5, 0)
    'good_pieces is 0; it must be whole, 1 to 1e9 [pieces]'
    >>> reason("SETUP_PER_UNIT", 156.5, 700)
    ''
    """
    function = FUNCTIONS.get(function_name.upper())
    if function is None:
        raise LookupMiss("function_name", function_name, _nearest(function_name.upper(), FUNCTIONS, "a function"))
    try:
        result = call_from_cell(function, tuple(_cell_or_rows(rows) for rows in arguments))
    except QuoteError as refusal:
        return str(refusal)
    if not isinstance(function.result, ONE_CELL_KINDS) or not isinstance(result, list):
        return ""
    height, width = _shape(result)
    messages = [
        f"{f'row {y} ' if height > 1 else ''}{f'column {x} ' if width > 1 else ''}".rstrip() + f": {_joinable(cell)}"
        for y, row in enumerate(result, 1)
        for x, cell in enumerate(row, 1)
        if isinstance(cell, QuoteError)
    ]
    more = len(messages) - MOST_MESSAGES
    return "; ".join(messages[:MOST_MESSAGES] + ([f"and {more} more"] if more > 0 else []))


@sheet_function("Guard")
def input_faults(labels: Cells, values: Cells, kinds: Cells, codes: Cells = None) -> Label:
    """Every input that is blank or not allowed, named in one line; blank when all are good.

    Parameters
    ----------
    labels : a range of cells
        What each input is called, as the message shall call it.
    values : a range of cells
        The inputs, a range of the same shape as the labels.
    kinds : a range of cells
        The kind of each input, such as money or pieces; money, may be blank where it can be left out.
    codes : a range of cells, none if left out
        The codes of the price list, where each input of the kind code must be one of them.

    Returns
    -------
    label
        One fault after the other, joined by semicolons, or a blank text.

    Notes
    -----
    An empty row and a heading, that is a label with neither value nor kind, are passed over.  In Calc a cell in error among
    the inputs makes this an error too.

    References
    ----------
    Derived: the check of each kind, the same as at every call.

    Examples
    --------
    >>> input_faults(["Run size", "Coverage", "Artwork"], ["", 3, ""], ["pieces", "fraction", "money, may be blank"])
    'Run size is blank; Coverage is 3, it must be 0 to 1 [fraction]'
    """
    shape = _shape(labels)
    for name, rows in (("values", values), ("kinds", kinds)):
        if _shape(rows) != shape:
            raise TypeInputError(name, _cells(*_shape(rows)), f"it must be as large as labels: {_cells(*shape)}")
    listed = None if codes is None else {str(code).casefold(): str(code) for code in _flat(codes) if code}
    faults: list[str] = []
    for number, (label, value, kind_name) in enumerate(zip(*map(_flat, (labels, values, kinds)), strict=True), 1):
        label, kind_name = str(label or "").strip(), str(kind_name or "").strip()
        blank = value is None or (isinstance(value, str) and not value.strip())
        if not kind_name and (blank or not label):
            continue
        optional = kind_name.endswith(MAY_BE_BLANK)
        kind = KINDS.get(kind_name.removesuffix(MAY_BE_BLANK).lower())
        if kind is None:
            raise LookupMiss(f"kinds row {number}", kind_name, _nearest(kind_name.lower(), KINDS, "a kind"))
        label = label or f"row {number}"
        if not blank:
            try:
                admitted = kind.admit(label, value)
                if kind is CODE and listed is not None and admitted.casefold() not in listed:
                    near = _near(admitted, listed.values())
                    raise LookupMiss(label, value, f"it must be a code of the price list{near}")
            except QuoteError as refusal:
                faults.append(_joinable(refusal))
        elif not optional:
            faults.append(f"{label} is blank")
    return "; ".join(faults)


def _joinable(refusal: QuoteError) -> str:
    """A message as one part of a list that semicolons divide."""
    return f"{str(refusal).removesuffix('; ' + refusal.allowed)}, {refusal.allowed}"


def _nearest(name: str, known: Iterable[str], what: str) -> str:
    return f"it must be the name of {what} of this library{_near(name, known)}"


def _near(name: str, known: Iterable[str]) -> str:
    near = difflib.get_close_matches(name, known, n=3, cutoff=0.5)
    return f"; near it: {', '.join(near)}" if near else ""


def _cell_or_rows(rows: Rows) -> Any:
    """A range of one cell as that cell's value."""
    return rows[0][0] if _shape(rows) == (1, 1) else rows


def _shape(rows: Sequence[Sequence[Any]]) -> tuple[int, int]:
    return len(rows), len(rows[0]) if rows else 0


def _cells(height: int, width: int) -> str:
    return f"{height} x {width} cells"


def _flat(rows: Rows) -> list[Any]:
    return [cell for row in rows for cell in row]
