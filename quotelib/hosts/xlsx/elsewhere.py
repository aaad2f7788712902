"""What in the rest of a workbook refers to prices by address, and so no longer means what it did when prices move.

These parts stay byte for byte; the user is told where to look.  A part without the sheet's title in it is not parsed.
"""

import re
from collections.abc import Iterator
from pathlib import PurePosixPath

from quotelib.hosts.xlsx.markup import parse_in_pieces
from quotelib.hosts.xlsx.package import Package, related
from quotelib.hosts.xlsx.references import Area
from quotelib.hosts.xlsx.sheet import Refill
from quotelib.prices.pricesheet import listed

FORMULAS = frozenset(("f", "formula", "formula1", "formula2", "calculatedColumnFormula"))
"""Elements whose text is a formula: of cells, rules, charts, small charts."""
WRITTEN = frozenset(("textlink", "fmlaLink", "fmlaRange", "fmlaGroup", "location"))
"""Attributes that are one: of text boxes, form controls, links."""
KINDS = {
    "charts": "a chart",
    "chartEx": "a chart",
    "drawings": "a drawing",
    "pivotCache": "a pivot table",
    "ctrlProps": "a form control",
    "tables": "a table",
}
"""What a part is, by its folder."""
SEARCHED = re.compile(r"(?:worksheets|charts|drawings|pivotCache|ctrlProps|tables)/[^/]+\.xml$", re.IGNORECASE)
PLAIN_WORD = re.compile(r"[\w .-]+", re.ASCII)


def referring(package: Package, refill: Refill) -> Iterator[str]:
    """Where prices that move are referred to by address, in words."""
    sheet = refill.sheet
    for name in package.names:
        ours = name.name.startswith("_xlnm.")
        if not ours and refill.formula_misses(name.text, own=False, following=True):
            yield f"the name {name.name}"
    yield from _on_sheet(list(refill.formulas_that_miss()), sheet.title)
    yield from refill.rules_that_miss()
    titles = {part: title for title, part in package.sheets.items()}
    owners = _owners(package)
    word = max(PLAIN_WORD.findall(sheet.title), key=len, default="").encode()
    for member in package.archive.members:
        part = member.name
        if part != sheet.part and (part in titles or SEARCHED.search(part)) and _mentions(package, part, word, sheet.title):
            where = owners.get(part)
            kind = KINDS.get(PurePosixPath(part).parent.name, "")
            found = _found(package, part, refill)
            if part in titles:
                yield from _on_sheet(found, titles[part])
            elif found:
                yield f"{kind} on sheet {where!r}" if where else f"{kind} ({part})"


def _on_sheet(cells: list[str], title: str) -> Iterator[str]:
    """The cells of a sheet in words; a blank stands for what is in no cell."""
    addresses = [cell for cell in cells if cell]
    if addresses:
        yield f"{listed(addresses)} of sheet {title!r}"
    if "" in cells:
        yield f"a validation, a conditional format, a link or a small chart of sheet {title!r}"


def _mentions(package: Package, part: str, word: bytes, title: str) -> bool:
    """Whether a part has the title in it; for one without a letter or digit that cannot be told, and it is parsed."""
    if not word or not title:
        return True
    rest = b""
    for piece in package.archive.pieces(part):
        if word in piece or word in rest + piece[: len(word)]:
            return True
        rest = piece[-len(word) :]
    return False


def _found(package: Package, part: str, refill: Refill) -> list[str]:
    """The cells of a part whose formulas refer to prices by address, or '' for what is in no cell."""
    found: list[str] = []
    cell = ""
    words: list[str] = []
    inside = False
    title = refill.sheet.title

    def start(name: str, attributes: dict[str, str]) -> None:
        nonlocal cell, inside
        if name == "c":
            cell = attributes.get("r", "")
        elif name in FORMULAS:
            inside = True
            words.clear()
        elif name == "worksheetSource" and attributes.get("sheet", "").casefold() == title.casefold():
            area = Area.of(attributes.get("ref", ""))
            if area is not None and refill.misses(area):
                found.append("")
        for key in attributes.keys() & WRITTEN:
            if refill.formula_misses(attributes[key], own=False):
                found.append(cell)

    def end(name: str) -> None:
        nonlocal cell, inside
        if name in FORMULAS and inside:
            inside = False
            if refill.formula_misses("".join(words), own=False):
                found.append(cell)
        elif name == "c":
            cell = ""

    def text(data: str) -> None:
        if inside:
            words.append(data)

    parse_in_pieces(package.archive, part, start, end, text)
    return list(dict.fromkeys(found))


def _owners(package: Package) -> dict[str, str]:
    """The title of the sheet on which each drawing, chart, table or control stands."""
    owners: dict[str, str] = {}
    for title, part in package.sheets.items():
        parts = [part]
        while parts:
            for each in related(package.archive, parts.pop()).values():
                if each.part not in owners and each.part not in package.sheets.values():
                    owners[each.part] = title
                    parts.append(each.part)
    return owners
