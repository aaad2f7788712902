"""XML that is changed at places: what is not changed stays byte for byte.

A part is parsed for where its elements lie; a change replaces a stretch of bytes.  What is put in is plain ASCII, other
characters as references, so it fits UTF-8 and every encoding like it.
"""

import re
import xml.parsers.expat
from collections.abc import Callable, Iterable
from typing import Any, NoReturn

from quotelib.hosts.xlsx.archive import Archive

MAIN = frozenset(
    ("http://schemas.openxmlformats.org/spreadsheetml/2006/main", "http://purl.oclc.org/ooxml/spreadsheetml/main")
)
"""The namespace of workbooks, transitional and strict (ISO/IEC 29500-1 annex A)."""

TAG = re.compile(rb"<[^\s/>]+(?:\s+[^\s=/>]+\s*=\s*(?:\"[^\"]*\"|'[^']*'))*\s*/?>")
ATTRIBUTE = re.compile(rb"\s+([^\s=/>]+)\s*=\s*(\"[^\"]*\"|'[^']*')")
CHARACTER = re.compile(r"&(?:#x([0-9a-fA-F]+)|#([0-9]+)|(lt|gt|amp|quot|apos));|.", re.DOTALL)
NAMED = {"lt": "<", "gt": ">", "amp": "&", "quot": '"', "apos": "'"}
ILLEGAL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f\ud800-\udfff\ufffe\uffff]|_(?=x[0-9A-Fa-f]{4}_)")
ESCAPED = re.compile(r"_x([0-9A-Fa-f]{4})_")


class Markup:
    """One part, and the changes that are gathered for it."""

    def __init__(self, archive: Archive, part: str) -> None:
        self.archive, self.part = archive, part
        self.content = archive.read(part)
        self._changes: list[tuple[int, int, bytes]] = []

    def refuse(self, words: str) -> NoReturn:
        """Refuse the workbook for what is wrong with this part."""
        self.archive.refuse(f"part {self.part} {words}")

    def parse(self, start: Callable[..., None], end: Callable[..., None], text: Callable[[str], None]) -> None:
        """Hand over the elements.

        `start` gets the namespace, the name, the attributes (those of a namespace under `namespace name`) and the place of
        the tag; `end` gets the namespace, the name, and the place of the closing tag and its end, which are the same for an
        element that closes itself.
        """
        parser = _parser(self.archive, self.part)
        content = self.content
        names: dict[str, tuple[str, str]] = {}
        just_begun = False

        def started(name: str, attributes: dict[str, str]) -> None:
            nonlocal just_begun
            just_begun = True
            if name not in names:
                space, _, local = name.rpartition(" ")
                names[name] = space, local
            start(*names[name], attributes, parser.CurrentByteIndex)

        def ended(name: str) -> None:
            nonlocal just_begun
            place = parser.CurrentByteIndex
            closed_itself = just_begun and content[place - 2 : place] == b"/>"  # expat is past the tag then
            just_begun = False
            end(*names[name], place, place if closed_itself else content.index(b">", place) + 1)

        def written(data: str) -> None:
            nonlocal just_begun
            just_begun = False
            text(data)

        parser.StartElementHandler, parser.EndElementHandler, parser.CharacterDataHandler = started, ended, written
        _feed(parser, self.archive, self.part, [self.content])

    def tag_end(self, place: int) -> int:
        """Where the tag that begins at this place ends."""
        found = TAG.match(self.content, place)
        if not found:
            self.refuse(f"has a tag at byte {place:,} that cannot be read; it must be whole")
        return found.end()

    def prefix(self, place: int) -> bytes:
        """The prefix of the element whose tag begins at this place, with its colon; blank for none."""
        name = re.compile(rb"</?([^\s/>:]+:)?").match(self.content, place)
        return (name[1] or b"") if name else b""

    def change(self, start: int, end: int, new: bytes) -> None:
        """Replace a stretch of bytes."""
        if self.content[start:end] != new:
            self._changes.append((start, end, new))

    def set_attribute(self, place: int, name: str, value: str) -> None:
        """Give the element whose tag begins at this place another value of an attribute."""
        end = self.tag_end(place)
        self.change(place, end, with_attribute(self.content[place:end], name, value))

    def set_text(self, start: int, end: int, change: Callable[[str], list[tuple[int, int, str]]]) -> bool:
        """Change a text between tags: `change` gets it in plain characters, and says what to replace; whether it does."""
        raw = self.content[start:end]
        if b"<" in raw:
            self.refuse(f"has a comment or a section at byte {start:,} within a text; no spreadsheet writes that")
        text, places = plain(raw)
        changes = change(text)
        for first, last, new in changes:
            self.change(start + places[first], start + places[last], escaped(new))
        return bool(changes)

    def forget(self) -> None:
        """Take back every change."""
        self._changes.clear()

    @property
    def changed(self) -> bool:
        """Whether there is any change."""
        return bool(self._changes)

    def result(self) -> bytes:
        """The part with all changes made."""
        pieces, place = [], 0
        for start, end, new in sorted(self._changes, key=lambda change: change[:2]):
            if start < place:
                self.refuse("cannot be changed twice at one place")
            pieces += [self.content[place:start], new]
            place = end
        return b"".join((*pieces, self.content[place:]))


def parse_in_pieces(
    archive: Archive,
    part: str,
    start: Callable[[str, dict[str, str]], None],
    end: Callable[[str], None],
    text: Callable[[str], None],
) -> None:
    """Hand over the elements of a part that may be large, by their names alone, without holding it."""
    parser = _parser(archive, part)
    parser.StartElementHandler = lambda name, attributes: start(name.rpartition(" ")[2], attributes)
    parser.EndElementHandler = lambda name: end(name.rpartition(" ")[2])
    parser.CharacterDataHandler = text
    _feed(parser, archive, part, archive.pieces(part))


def _parser(archive: Archive, part: str) -> Any:
    """A parser that refuses what a workbook must not have, and encodings in which ASCII is not ASCII."""

    def declared(_: str, encoding: str | None, __: int) -> None:
        if (encoding or "utf-8").lower() not in ("utf-8", "us-ascii"):
            again = "open the workbook in your spreadsheet, save it, and begin again"
            archive.refuse(f"part {part} is written in {encoding}; {again}")

    def doctype(*_: Any) -> None:
        archive.refuse(f"part {part} has a document type declaration; a workbook must have none")

    parser = xml.parsers.expat.ParserCreate(namespace_separator=" ")
    parser.buffer_text = True
    parser.XmlDeclHandler, parser.StartDoctypeDeclHandler = declared, doctype
    return parser


def _feed(parser: Any, archive: Archive, part: str, pieces: Iterable[bytes]) -> None:
    begun = False
    try:
        for piece in pieces:
            if not begun and piece[:2] in (b"\xfe\xff", b"\xff\xfe"):
                archive.refuse(
                    f"part {part} is written in UTF-16; save the workbook anew in your spreadsheet, and begin again"
                )
            begun = True
            parser.Parse(piece)
        parser.Parse(b"", True)
    except xml.parsers.expat.ExpatError as fault:
        archive.refuse(f"part {part} is damaged ({fault}); it must be whole")


def with_attribute(tag: bytes, name: str, value: str) -> bytes:
    """A start tag with another value of an attribute, or with one more."""
    new = escaped(value).replace(b'"', b"&quot;")
    for found in ATTRIBUTE.finditer(tag):
        if found[1] == name.encode():
            return tag[: found.start(2)] + b'"' + new + b'"' + tag[found.end(2) :]
    end = -2 if tag.endswith(b"/>") else -1
    return tag[:end].rstrip() + b" " + name.encode() + b'="' + new + b'"' + tag[end:]


def without_attribute(tag: bytes, name: str) -> bytes:
    """A start tag without an attribute."""
    for found in ATTRIBUTE.finditer(tag):
        if found[1] == name.encode():
            return tag[: found.start()] + tag[found.end() :]
    return tag


def attribute(tag: bytes, name: str) -> str | None:
    """The value of an attribute in a start tag."""
    for found in ATTRIBUTE.finditer(tag):
        if found[1] == name.encode():
            return plain(found[2][1:-1])[0]
    return None


def plain(raw: bytes) -> tuple[str, list[int]]:
    """Characters of XML as plain text, with the place of each in the bytes, and of the end."""
    characters, places, place = [], [], 0
    for found in CHARACTER.finditer(raw.decode("utf-8")):
        if found[1] or found[2]:
            characters.append(chr(int(found[1], 16) if found[1] else int(found[2])))
        else:
            characters.append(NAMED[found[3]] if found[3] else found[0])
        places.append(place)
        place += len(found[0].encode("utf-8"))
    return "".join(characters), [*places, place]


def escaped(text: str) -> bytes:
    """Plain text as XML in ASCII."""
    text = text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return text.encode("ascii", "xmlcharrefreplace")


def cell_text(text: str) -> bytes:
    """The text of a cell: characters that XML may not hold become _x001F_ and the like (ECMA-376 part 1, 22.9.2.19)."""
    return escaped(ILLEGAL.sub(lambda found: f"_x{ord(found[0]):04X}_", text))


def read_cell_text(text: str) -> str:
    """A text as a cell means it."""
    return ESCAPED.sub(lambda code: chr(int(code[1], 16)), text) if "_x" in text else text


def truth(value: str | None) -> bool:
    """An attribute that says yes."""
    return value in ("1", "true", "on")
