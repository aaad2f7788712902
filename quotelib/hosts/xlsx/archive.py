"""The zip that a workbook is: its members read, and some of them replaced while all others stay as they are.

A member that is not replaced is copied as it lies in the file: header, extra fields, packed bytes, data descriptor.  The
directory at the end is written entry by entry with only the offsets changed, so order, comments, dates and flags stay too.
The layout is that of PKWARE's APPNOTE 6.3.10, sections 4.3 and 4.5.3; 2 GB at most, so that 32-bit offsets do.
"""

import os
import struct
import zlib
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import BinaryIO, NamedTuple, NoReturn, Self

from quotelib.errors import SheetRefused

LOCAL = struct.Struct("<4s5H3L2H")
CENTRAL = struct.Struct("<4s6H3L5H2L")
END = struct.Struct("<4s4H2LH")
END64 = struct.Struct("<4sQ2H2L4Q")
LOCATOR64 = struct.Struct("<4sLQL")
NO_ROOM = 0xFFFFFFFF
"""In place of a figure that stands in the zip64 extra field."""

STORED, DEFLATED = 0, 8
ENCRYPTED, DESCRIBED, UNICODE = 1, 8, 1 << 11
"""Flags: encrypted; sizes follow the data; the name is UTF-8."""

FILE_MOST = 2_000_000_000
"""Bytes of a workbook."""
MEMBERS_MOST = 20_000
"""Members of a workbook."""
HELD_MOST = 100_000_000
"""Bytes of a member that is read as a whole, unpacked."""
RATIO_MOST = 500
"""How many times larger a member may be unpacked, once it has a million bytes."""
PIECE = 1 << 18
"""Bytes read at once."""
UNPACKED_PIECE = 1 << 22
"""Bytes unpacked at once."""

COMPOUND = bytes.fromhex("d0cf11e0a1b11ae1")
"""How the older kind of file begins: an .xls, or a workbook encrypted with a password."""


class Member(NamedTuple):
    """One member, from its entry in the directory."""

    name: str
    entry: bytes
    """The whole entry: header, name, extra fields, comment."""
    flags: int
    method: int
    check: int
    packed: int
    size: int
    offset: int


class Archive:
    """A workbook's zip, open for reading.  Use it in a `with` statement, so that the file is closed."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._file: BinaryIO = open(path, "rb")  # noqa: SIM115
        try:
            self._read_directory()
        except BaseException:
            self._file.close()
            raise

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Close the file."""
        self._file.close()

    def refuse(self, fault: str) -> NoReturn:
        """Refuse the workbook for one thing that is wrong with it."""
        raise SheetRefused(str(self.path), [fault])

    def _read_directory(self) -> None:
        length = os.fstat(self._file.fileno()).st_size
        if length > FILE_MOST:
            self.refuse(f"the file has {length:,} bytes; it must have {FILE_MOST:,} at most")
        start = self._file.read(8)
        if start == COMPOUND:
            self.refuse(
                "it is encrypted, or an older .xls file; take the password off, or save it as .xlsx, and begin again"
            )
        if not start.startswith(b"PK"):
            self.refuse("it is no .xlsx or .xlsm workbook; save it as .xlsx and begin again")
        self._read_end(length)
        entries = self._at(self.directory, self._directory_size)
        self.members: list[Member] = []
        place = 0
        while len(self.members) < self._count:
            if entries[place : place + 4] != b"PK\x01\x02" or place + CENTRAL.size > len(entries):
                self._damaged("its directory does not hold what it says")
            member, place = self._member(entries, place)
            self.members.append(member)
        if place != len(entries):
            self._damaged("its directory holds more than it says")
        self._listed = list(self.members)
        self.members.sort(key=lambda member: member.offset)
        self._named = {_key(member.name): member for member in self.members}
        if len(self._named) < len(self.members):
            self._damaged("it holds two members of one name")
        ends = [member.offset for member in self.members[1:]] + [self.directory]
        self._next = dict(zip((member.offset for member in self.members), ends, strict=True))
        for member, end in zip(self.members, ends, strict=True):
            if member.offset + LOCAL.size + member.packed > end:
                self._damaged(f"member {member.name} runs into the next one")

    def _read_end(self, length: int) -> None:
        """The record at the very end, and its zip64 form where there is one."""
        tail = self._at(max(0, length - END.size - 0xFFFF), min(length, END.size + 0xFFFF))
        found = tail.rfind(b"PK\x05\x06")
        while found >= 0 and (
            len(tail) < found + END.size or found + END.size + END.unpack_from(tail, found)[7] != len(tail)
        ):
            found = tail.rfind(b"PK\x05\x06", 0, found)
        if found < 0:
            self._damaged("its directory is missing")
        self._end = tail[found:]
        _, disk, _, _, self._count, self._directory_size, self.directory, _ = END.unpack_from(self._end)
        at = length - len(tail) + found
        before = self._at(at - LOCATOR64.size, LOCATOR64.size) if at > LOCATOR64.size + END64.size else b""
        self._end64 = b""
        if before.startswith(b"PK\x06\x07"):
            _, _, place, _ = LOCATOR64.unpack(before)
            self._end64 = self._at(place, at - LOCATOR64.size - place) if place < at else b""
            if len(self._end64) < END64.size or not self._end64.startswith(b"PK\x06\x06"):
                self._damaged("its zip64 directory is missing")
            *_, self._count, self._directory_size, self.directory = END64.unpack_from(self._end64)
            at = place
        if disk not in (0, 0xFFFF) or self._count > MEMBERS_MOST:
            self._damaged(f"it must be one file of {MEMBERS_MOST:,} members at most")
        if self.directory + self._directory_size != at:
            self._damaged("its directory does not lie where it says")

    def _member(self, entries: bytes, place: int) -> tuple[Member, int]:
        fields = CENTRAL.unpack_from(entries, place)
        flags, method = fields[3], fields[4]
        check, packed, size, name_length, extra_length, note_length = fields[7:13]
        offset = fields[-1]
        extra_from = place + CENTRAL.size + name_length
        end = extra_from + extra_length + note_length
        for kind, _, content in _extras(entries[extra_from : extra_from + extra_length]):
            if kind == 1:
                longer = [number for (number,) in struct.iter_unpack("<Q", content[: len(content) // 8 * 8])]
                size = longer.pop(0) if size == NO_ROOM and longer else size
                packed = longer.pop(0) if packed == NO_ROOM and longer else packed
                offset = longer.pop(0) if offset == NO_ROOM and longer else offset
        raw = entries[extra_from - name_length : extra_from]
        name = raw.decode("utf-8" if flags & UNICODE else "cp437", "replace")
        return Member(name, entries[place:end], flags, method, check, packed, size, offset), end

    def _at(self, place: int, length: int) -> bytes:
        self._file.seek(max(place, 0))
        content = self._file.read(length)
        if len(content) < length:
            self._damaged("it is cut short")
        return content

    def _damaged(self, words: str) -> NoReturn:
        self.refuse(f"the workbook is damaged: {words}; it must be whole")

    def holds(self, part: str) -> bool:
        """Whether there is a member of this name."""
        return _key(part) in self._named

    def pieces(self, part: str) -> Iterator[bytes]:
        """A member unpacked piece by piece, checked against what the directory says of it."""
        if not self.holds(part):
            self._damaged(f"member {part} is missing")
        member = self._named[_key(part)]
        if member.flags & ENCRYPTED:
            self.refuse(f"member {part} is encrypted; take the password off and begin again")
        if member.method not in (STORED, DEFLATED):
            self._damaged(f"member {part} is packed in a way that no workbook is")
        header = self._at(member.offset, LOCAL.size)
        if not header.startswith(b"PK\x03\x04"):
            self._damaged(f"member {part} does not lie where the directory says")
        place = member.offset + LOCAL.size + sum(LOCAL.unpack(header)[-2:])
        left, size, check = member.packed, 0, 0
        unpack = zlib.decompressobj(-15) if member.method == DEFLATED else None
        more = False
        while left or more:
            packed = unpack.unconsumed_tail if unpack else b""
            if not packed and left:
                packed = self._at(place, min(PIECE, left))
                place, left = place + len(packed), left - len(packed)
            try:
                piece = unpack.decompress(packed, UNPACKED_PIECE) if unpack else packed
            except zlib.error as fault:
                self._damaged(f"member {part} cannot be unpacked ({fault})")
            more = unpack is not None and (bool(unpack.unconsumed_tail) or len(piece) == UNPACKED_PIECE)
            size += len(piece)
            if size > 1_000_000 and size > RATIO_MOST * member.packed:
                self.refuse(f"member {part} unpacks to more than {RATIO_MOST} times its packed size; no workbook does")
            check = zlib.crc32(piece, check)
            yield piece
        if (unpack and not unpack.eof) or size != member.size or check != member.check:
            self._damaged(f"member {part} is not what the directory says")

    def read(self, part: str, most: int = HELD_MOST) -> bytes:
        """A member unpacked."""
        pieces, size = [], 0
        for piece in self.pieces(part):
            size += len(piece)
            if size > most:
                self.refuse(f"member {part} has more than {most:,} bytes unpacked; it must have that many at most")
            pieces.append(piece)
        return b"".join(pieces)

    def write(self, replaced: Mapping[str, bytes], put: Callable[[bytes], None]) -> None:
        """Hand over the bytes of the archive with the contents of these members replaced."""
        new = {self._named[_key(part)].offset: content for part, content in replaced.items()}
        entries: dict[int, bytes] = {}
        place = written = 0
        for member in self.members:
            if member.offset in new:
                written += self._copy(place, member.offset, put)
                header, packed, entry = self._repacked(member, new[member.offset])
                entries[member.offset] = _moved(entry, written)
                put(header)
                put(packed)
                written += len(header) + len(packed)
                place = self._next[member.offset]
            else:
                entries[member.offset] = _moved(member.entry, written + member.offset - place)
        directory = written = written + self._copy(place, self.directory, put)
        for member in self._listed:
            put(entries[member.offset])
            written += len(entries[member.offset])
        size = written - directory
        if self._end64:
            fixed = bytearray(self._end64)
            struct.pack_into("<2Q", fixed, END64.size - 16, size, directory)
            put(bytes(fixed) + LOCATOR64.pack(b"PK\x06\x07", 0, written, 1))
        end = bytearray(self._end)
        for at, number in ((12, size), (16, directory)):
            if struct.unpack_from("<L", end, at) != (NO_ROOM,):
                struct.pack_into("<L", end, at, number)
        put(bytes(end))

    def _copy(self, place: int, end: int, put: Callable[[bytes], None]) -> int:
        """Hand over bytes of the file as they are; how many."""
        self._file.seek(place)
        left = end - place
        while left:
            piece = self._file.read(min(1 << 20, left))
            if not piece:
                self._damaged("it is cut short")
            put(piece)
            left -= len(piece)
        return end - place

    def _repacked(self, member: Member, content: bytes) -> tuple[bytes, bytes, bytes]:
        """Header, packed content and directory entry of a member with another content; name, dates and the rest stay."""
        packer = zlib.compressobj(6, zlib.DEFLATED, -15)
        packed = packer.compress(content) + packer.flush()
        sizes = zlib.crc32(content), len(packed), len(content)
        old = self._at(member.offset, LOCAL.size)
        *_, name_length, extra_length = LOCAL.unpack(old)
        rest = self._at(member.offset + LOCAL.size, name_length + extra_length)
        extra = _without_zip64(rest[name_length:])
        fields = list(LOCAL.unpack(old))
        fields[2:4] = member.flags & ~DESCRIBED, DEFLATED
        fields[6:] = *sizes, name_length, len(extra)
        header = LOCAL.pack(*fields) + rest[:name_length] + extra
        fields = list(CENTRAL.unpack_from(member.entry))
        name_length, extra_length = fields[10], fields[11]
        rest = member.entry[CENTRAL.size :]
        extra = _without_zip64(rest[name_length : name_length + extra_length])
        fields[3:5] = member.flags & ~DESCRIBED, DEFLATED
        fields[7:10] = sizes
        fields[11] = len(extra)
        fields[-1] = 0
        return header, packed, CENTRAL.pack(*fields) + rest[:name_length] + extra + rest[name_length + extra_length :]


def _key(name: str) -> str:
    """Names of parts are compared without regard to case (ECMA-376 part 2); some writers turn the slashes round."""
    return name.replace("\\", "/").lstrip("/").lower()


def _extras(extra: bytes) -> Iterator[tuple[int, bytes, bytes]]:
    """The extra fields: kind, the whole field, its content."""
    place = 0
    while place + 4 <= len(extra):
        kind, length = struct.unpack_from("<2H", extra, place)
        end = place + 4 + length
        yield kind, extra[place:end], extra[place + 4 : end]
        place = end
    if place < len(extra):
        yield -1, extra[place:], b""


def _without_zip64(extra: bytes) -> bytes:
    return b"".join(whole for kind, whole, _ in _extras(extra) if kind != 1)


def _moved(entry: bytes, offset: int) -> bytes:
    """An entry of the directory with another offset."""
    changed = bytearray(entry)
    fields = CENTRAL.unpack_from(entry)
    if fields[-1] != NO_ROOM:
        struct.pack_into("<L", changed, CENTRAL.size - 4, offset)
        return bytes(changed)
    place = CENTRAL.size + fields[10]
    for kind, whole, _ in _extras(entry[place : place + fields[11]]):
        if kind == 1:
            before = (fields[9] == NO_ROOM) + (fields[8] == NO_ROOM)  # sizes come first
            struct.pack_into("<Q", changed, place + 4 + 8 * before, offset)
        place += len(whole)
    return bytes(changed)
