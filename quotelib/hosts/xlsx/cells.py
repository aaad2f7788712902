"""The cells of a sheet as they lie in its XML, and cells and rows written anew."""

import datetime
import re
from collections.abc import Iterable, Mapping
from typing import Any

from quotelib.hosts.xlsx.markup import Markup, cell_text, read_cell_text, with_attribute, without_attribute
from quotelib.hosts.xlsx.references import address
from quotelib.kinds import day_number

SHARED = re.compile(r"\s*[0-9]{1,9}\s*")


class Cell:
    """One cell: where it lies, and what is in it."""

    __slots__ = ("column", "end", "formula", "kind", "start", "style", "text")

    def __init__(self, column: int, start: int, attributes: Mapping[str, str]) -> None:
        self.column, self.start, self.end = column, start, start
        self.style, self.kind = attributes.get("s"), attributes.get("t", "n")
        self.text: str = ""
        self.formula: str | None = None
        """Its formula; blank for a further cell of a formula that is written elsewhere."""

    @property
    def filled(self) -> bool:
        """Whether there is anything in it."""
        return bool(self.text) or self.formula is not None

    @property
    def shared(self) -> int | None:
        """The number of its shared text; None where it has none."""
        return int(self.text) if self.kind == "s" and SHARED.fullmatch(self.text) else None

    def value(self, strings: Mapping[int, str]) -> Any:
        """A number, a text, or None when empty."""
        if self.kind == "s":
            shared = self.shared
            return None if shared is None else strings.get(shared)
        if self.kind in ("str", "inlineStr"):
            return read_cell_text(self.text)
        if self.kind == "b":
            return self.text == "1"
        if self.kind == "d" and self.text:
            return _day_number(self.text)
        try:
            return float(self.text) if self.text else None
        except ValueError:
            return self.text


def _day_number(text: str) -> Any:
    """A day that is written as such (ISO 8601), as its number."""
    try:
        return float(day_number(datetime.datetime.fromisoformat(text.removesuffix("Z"))))
    except ValueError:
        return text


class Row:
    """One row: where it lies, and its cells."""

    __slots__ = ("cells", "end", "hidden", "named", "number", "start", "tag_end")

    def __init__(self, number: int, start: int, tag_end: int, named: bool, hidden: bool) -> None:
        self.number, self.start, self.tag_end, self.end = number, start, tag_end, tag_end
        self.named = named
        """Whether its number is written down, and not only its place in the order."""
        self.hidden = hidden
        self.cells: dict[int, Cell] = {}
        """Its cells by column."""

    def at(self, column: int) -> Cell | None:
        """The cell in a column."""
        return self.cells.get(column)


def written_cell(prefix: bytes, row: int, column: int, style: str | None, value: Any) -> bytes:
    """A cell with a constant in it, or with its style alone; texts are within it, so that no other part changes."""
    if value is None and not style:
        return b""
    start = f'c r="{address(row, column)}"' + (f' s="{style}"' if style else "")
    tag = b"<" + prefix + start.encode()
    end = b"</" + prefix + b"c>"
    if value is None or value == "":
        return tag + b"/>"
    if isinstance(value, str):
        space = b' xml:space="preserve"' if value != value.strip() or "\n" in value or "\t" in value else b""
        text = b"<" + prefix + b"t" + space + b">" + cell_text(value) + b"</" + prefix + b"t>"
        return tag + b' t="inlineStr"><' + prefix + b"is>" + text + b"</" + prefix + b"is>" + end
    number = day_number(value) if isinstance(value, datetime.date) else value
    return tag + b"><" + prefix + b"v>" + repr(number).encode() + b"</" + prefix + b"v>" + end


def moved_cell(sheet: Markup, cell: Cell, row: int) -> bytes:
    """A cell as it is, on another row."""
    tag_end = sheet.tag_end(cell.start)
    tag = with_attribute(sheet.content[cell.start : tag_end], "r", address(row, cell.column))
    return tag + sheet.content[tag_end : cell.end]


def written_row(prefix: bytes, tag: bytes | None, number: int, cells: Iterable[tuple[int, bytes]]) -> bytes:
    """A row of cells, with the height and looks of the row whose start tag is given."""
    tag = b"<" + prefix + b"row>" if tag is None else without_attribute(tag, "spans")
    tag = with_attribute(tag, "r", str(number))
    if tag.endswith(b"/>"):
        tag = tag[:-2].rstrip() + b">"
    return tag + b"".join(cell for _, cell in sorted(cells)) + b"</" + prefix + b"row>"
