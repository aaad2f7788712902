"""The parts of a workbook, how they refer to each other, and what the workbook's own part says: sheets, names, settings."""

import posixpath
import re
from collections.abc import Iterator, Set
from typing import Any, NamedTuple

from quotelib.errors import SheetRefused
from quotelib.hosts.workbook.model import absolute
from quotelib.hosts.xlsx.archive import Archive
from quotelib.hosts.xlsx.markup import MAIN, Markup, plain, read_cell_text, truth
from quotelib.hosts.xlsx.references import Area, Following, address, references
from quotelib.prices import pricesheet

STRING = re.compile(rb"<((?:[^\s<>/:]+:)?)si[\s/>]")
READING = re.compile(rb"<((?:[^\s<>/:]+:)?)rPh[\s>].*?</\1rPh\s*>", re.DOTALL)
TEXT = re.compile(rb"<(?:[^\s<>/:]+:)?t(?:\s[^<>]*)?>([^<]*)<")


class Related(NamedTuple):
    """A part that another part names as its own."""

    kind: str
    """The last word of the type: worksheet, table, comments."""
    part: str


class DefinedName(NamedTuple):
    """A defined name: what it stands for, and where that is written."""

    name: str
    local: bool
    """Whether it holds on one sheet only."""
    text: str
    start: int
    end: int


class Block(NamedTuple):
    """What a name stands for when it is one block of cells."""

    title: str
    area: Area


def related(archive: Archive, part: str) -> dict[str, Related]:
    """The parts that a part names as its own, by their identity; the workbook as a whole is the part ''."""
    folder, name = posixpath.split(part)
    relations = posixpath.join(folder, "_rels", f"{name}.rels")
    found: dict[str, Related] = {}

    def start(_: str, element: str, attributes: dict[str, str], __: int) -> None:
        if element == "Relationship" and attributes.get("TargetMode") != "External":
            target = posixpath.normpath(posixpath.join("/", folder, attributes.get("Target", ""))).lstrip("/")
            found[attributes.get("Id", "")] = Related(attributes.get("Type", "").rpartition("/")[2], target)

    if archive.holds(relations):
        Markup(archive, relations).parse(start, ignore, ignore)
    return found


def ignore(*_: Any) -> None:
    """A handler for what does not matter."""


class Package:
    """A workbook taken apart as far as its own part."""

    def __init__(self, archive: Archive) -> None:
        self.archive = archive
        kind = archive.read("mimetype", 200) if archive.holds("mimetype") else b""
        if kind.startswith(b"application/vnd.oasis"):
            archive.refuse("it is an .ods file; refresh it from the menu within Calc, or save it as .xlsx and begin again")
        own = related(archive, "")
        part = next((each.part for each in own.values() if each.kind == "officeDocument"), "")
        if part.lower().endswith(".bin"):
            archive.refuse("it is an .xlsb workbook; save it as .xlsx or .xlsm and begin again")
        if not archive.holds(part):
            archive.refuse("it is a zip archive, but no .xlsx or .xlsm workbook; save it as .xlsx and begin again")
        self.signed = any(each.part.startswith("_xmlsignatures/") or each.kind == "origin" for each in own.values())
        self.book = Markup(archive, part)
        self.related = related(archive, part)
        self._read_book()

    def _read_book(self) -> None:
        listed: list[tuple[str, str]] = []
        self.names: list[DefinedName] = []
        self.from_1904 = False
        self._settings: int | None = None
        self._names_end = 0
        inside: dict[str, str] = {}
        where = 0
        words: list[str] = []

        def start(space: str, name: str, attributes: dict[str, str], place: int) -> None:
            nonlocal inside, where
            if space not in MAIN:
                return
            if name == "sheet":
                identity = next((text for key, text in attributes.items() if key.endswith(" id")), "")
                listed.append((attributes.get("name", ""), identity))
            elif name == "workbookPr":
                self.from_1904 = truth(attributes.get("date1904"))
            elif name == "calcPr":
                self._settings = place
            elif name == "definedName":
                inside, where = attributes, self.book.tag_end(place)
                words.clear()

        def end(space: str, name: str, place: int, after: int) -> None:
            if space not in MAIN:
                return
            if name == "definedName":
                if place != after:  # else it stands for nothing
                    local = "localSheetId" in inside
                    self.names.append(DefinedName(inside.get("name", ""), local, "".join(words), where, place))
            elif name == "definedNames":
                self._names_end = after

        self.book.parse(start, end, words.append)
        parts = {identity: each.part for identity, each in self.related.items() if each.kind == "worksheet"}
        self.sheets = {title: parts[identity] for title, identity in listed if identity in parts}
        """The part of each sheet of cells, by its title."""

    def block(self, name: str) -> Block | None:
        """What a name of the whole workbook stands for; None when there is no such name."""
        found = next((each for each in self.names if not each.local and each.name.casefold() == name.casefold()), None)
        if found is None:
            return None
        reading = list(references(found.text))
        if len(reading) != 1 or reading[0].sheet is None or reading[0].end != len(found.text):
            fault = f"the name {name} stands for {found.text}; it must stand for one block of cells of one sheet"
            raise SheetRefused(str(self.archive.path), [fault])
        title = next((each for each in self.sheets if each.casefold() == (reading[0].sheet or "").casefold()), None)
        return None if title is None else Block(title, reading[0].area)

    def follow(self, title: str, following: Following) -> None:
        """Have the names that cover the list stand for all of it."""
        for each in self.names:
            ours = not each.local and each.name.casefold() in (pricesheet.PRICE_ROWS, pricesheet.PRICE_CODES)

            def change(text: str, ours: bool = ours) -> list[tuple[int, int, str]]:
                if not ours:
                    return following.in_formula(text, title, own=False)
                found = next(references(text))
                area = found.area._replace(top=following.first, bottom=following.new_last)
                return [] if area == found.area else [(found.start, found.end, fixed_text(area))]

            self.book.set_text(each.start, each.end, change)

    def calculate_when_opened(self) -> None:
        """Have the spreadsheet work every formula out anew when it opens the workbook."""
        if self._settings is not None:
            self.book.set_attribute(self._settings, "fullCalcOnLoad", "1")
            return
        place = self._names_end
        closing = self.book.content.rindex(b"</", 0, place)
        tag = b"<" + self.book.prefix(closing) + b'calcPr fullCalcOnLoad="1"/>'
        self.book.change(place, place, tag)

    def strings(self, wanted: Set[int | None]) -> dict[int, str]:
        """The shared texts of these numbers."""
        part = next((each.part for each in self.related.values() if each.kind == "sharedStrings"), "")
        if not wanted or not self.archive.holds(part):
            return {}
        found: dict[int, str] = {}
        for number, raw in enumerate(self._raw_strings(part)):
            if number in wanted:
                pieces = TEXT.findall(READING.sub(b"", raw))
                try:
                    found[number] = read_cell_text("".join(plain(piece)[0] for piece in pieces))
                except (ValueError, OverflowError) as fault:
                    self.archive.refuse(f"part {part} is damaged at text {number} ({fault}); it must be whole")
                if len(found) == len(wanted):
                    break
        return found

    def _raw_strings(self, part: str) -> Iterator[bytes]:
        """The shared texts as they are written, one by one."""
        rest = b""
        for piece in self.archive.pieces(part):
            rest += piece
            if b"<!" in rest:
                self.archive.refuse(
                    f"part {part} has comments or sections, as no spreadsheet writes; save the workbook anew"
                )
            begun = max(len(rest) - 1000, 0)
            for number, match in enumerate(STRING.finditer(rest)):
                if number:
                    yield rest[begun : match.start()]
                begun = match.start()
            rest = rest[begun:]
        if STRING.match(rest):
            yield rest


def fixed_text(area: Area) -> str:
    """$A$5:$O$85."""
    return absolute(f"{address(area.top, area.left)}:{address(area.bottom, area.right)}")
