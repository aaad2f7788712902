"""Replace a file of the user's in one step, with a backup: at every moment the old file or the new one is there whole.

    with replacing("quote.xlsx") as new:        refused if a spreadsheet has it open, or it may not be written
        new.write(content)
    new.backup                                  quote.before-2026-11-25.xlsx, beside it

The new content goes to a file beside the old one, down to the disk; then the old file gets a second name, its backup; then
the new one takes its place.  The last step is one that the system does whole or not at all.  An earlier backup is never
overwritten.  A symbolic link stays a link: what it leads to is replaced.  The new file has the old one's permissions, and
its owner as far as the system allows.
"""

import contextlib
import datetime
import errno
import itertools
import os
import shutil
import stat
import tempfile
from collections.abc import Iterator
from pathlib import Path
from types import TracebackType
from typing import Self

from quotelib.errors import FileNotReplaced

PIECE = 1 << 20
"""Bytes written at once."""

NO_ROOM = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
"""How the system says that the disk, or the user's share of it, is full."""

LOCKS = (("~${name}", "Excel"), (".~lock.{name}#", "LibreOffice"))
"""The files that spreadsheets put beside a workbook while they have it open."""


def open_elsewhere(path: Path) -> list[str]:
    """Which spreadsheet has a file open, in words, from the mark it puts beside the file; nothing when none has."""
    words = []
    places = dict.fromkeys((path.absolute(), path.resolve()))  # a link and what it leads to
    for place, (pattern, program) in itertools.product(places, LOCKS):
        mark = place.with_name(pattern.replace("{name}", place.name))
        if mark.exists():
            who = f" ({user})" if (user := _user(mark)) else ""
            last = f"should it be open nowhere, delete the file {mark.name} beside it"
            words.append(f"{program} has it open{who}; close it there, and {last}")
    return words


def _user(mark: Path) -> str:
    """Who has it open: LibreOffice writes the user's name first, then the account and the machine."""
    if not mark.name.startswith(".~lock."):
        return ""
    try:
        told = mark.read_text(encoding="utf-8", errors="replace").split(",")
    except OSError:
        return ""
    return ", ".join(word.strip() for word in told[:3] if word.strip())[:100]


def not_replaceable(path: Path) -> list[str]:
    """Why a file may not be replaced just now, in words; nothing when it may."""
    if path.is_dir():
        return ["it is a folder"]
    words = open_elsewhere(path)
    known = path.stat()
    if not known.st_mode & (stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH) or not os.access(path, os.W_OK):
        words.append("it is read-only; allow writing to it first")
    folder = path.resolve().parent
    if not os.access(folder, os.W_OK):
        words.append(f"nothing may be written in its folder {folder}; allow writing there first")
    return words


class replacing:
    """New content for a file that is there; it takes effect when the `with` block ends well, and not at all otherwise.

    Raises FileNotReplaced, with the old file as it was, when it is open elsewhere, may not be written, was changed by
    someone else meanwhile, or the disk is full.  FileNotFoundError when there is no such file.

    Parameters
    ----------
    path : path
        The file.
    day : datetime.date, optional
        The day in the backup's name; today if left out.
    """

    def __init__(self, path: str | os.PathLike[str], day: datetime.date | None = None) -> None:
        self.path = Path(path)
        self.target = self.path.resolve(strict=True)
        self.day = day or datetime.date.today()
        self.backup = self.target
        """The backup, once the block has ended."""
        self.known = self.target.stat()
        """What the file was when it was begun with."""
        self._refuse(not_replaceable(self.path))

    def __enter__(self) -> Self:
        with self._told():
            self._number, name = tempfile.mkstemp(dir=self.target.parent, prefix=f".{self.target.name}.", suffix=".part")
        self._new = Path(name)
        self._open = True
        return self

    def write(self, content: bytes | bytearray | memoryview) -> None:
        """Add to the new content."""
        rest = memoryview(content)
        with self._told():
            while rest:
                rest = rest[os.write(self._number, rest[:PIECE]) :]

    def __exit__(self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None) -> None:
        try:
            if fault is None:
                with self._told():
                    self._take_place()
        finally:
            self._close()
            with contextlib.suppress(FileNotFoundError):
                os.unlink(self._new)

    def _take_place(self) -> None:
        """Down to the disk, then the backup, then the one step."""
        self._keep_marks()
        os.fsync(self._number)
        self._close()
        self._refuse(not_replaceable(self.path))
        now = self.target.stat()
        if (now.st_ino, now.st_size, now.st_mtime_ns) != (self.known.st_ino, self.known.st_size, self.known.st_mtime_ns):
            self._refuse(["someone else changed it meanwhile; begin again"])
        self.backup = second_name(self.target, self.day)
        _settle(self.target.parent)
        try:
            os.replace(self._new, self.target)
        except OSError:
            os.unlink(self.backup)
            raise
        _settle(self.target.parent)

    def _keep_marks(self) -> None:
        """The old file's permissions, extended attributes and, as far as allowed, its owner; the time is now."""
        if hasattr(os, "chown"):
            with contextlib.suppress(PermissionError):
                os.chown(self._new, self.known.st_uid, self.known.st_gid)
        shutil.copystat(self.target, self._new)
        os.utime(self._new)

    def _close(self) -> None:
        if self._open:
            self._open = False
            os.close(self._number)

    def _refuse(self, faults: list[str]) -> None:
        if faults:
            raise FileNotReplaced(str(self.path), faults)

    @contextlib.contextmanager
    def _told(self) -> Iterator[None]:
        """What the system refuses, in words."""
        try:
            yield
        except FileNotReplaced:
            raise
        except OSError as fault:
            words = f"the new file could not be written: {fault.strerror or fault}"
            if fault.errno in NO_ROOM:
                words = f"there is no room on the disk for the new file ({fault.strerror}); make room and begin again"
            raise FileNotReplaced(str(self.path), [words]) from fault


def write_whole(path: Path, content: bytes) -> None:
    """A file of our own, new or in place of another, down to the disk: there whole, or not at all."""
    part = path.with_name(f".{path.name}.part")
    try:
        with open(part, "wb") as new:
            new.write(content)
            new.flush()
            os.fsync(new.fileno())
        os.replace(part, path)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    _settle(path.parent)


def second_name(path: Path, day: datetime.date) -> Path:
    """Give a file a second name, that of its backup, where none is yet; a copy where the disk knows no second names."""
    number = 1
    while True:
        count = f"-{number}" if number > 1 else ""
        backup = path.with_name(f"{path.stem}.before-{day.isoformat()}{count}{path.suffix}")
        try:
            os.link(path, backup)
            return backup
        except FileExistsError:
            number += 1
        except OSError:
            if not backup.exists():
                return _copied(path, backup)
            number += 1


def _copied(path: Path, backup: Path) -> Path:
    """A copy under a name that is free; it has the name only once it is whole."""
    number, name = tempfile.mkstemp(dir=path.parent, prefix=f".{backup.name}.", suffix=".part")
    try:
        with open(path, "rb") as old:
            while piece := old.read(PIECE):
                rest = memoryview(piece)
                while rest:
                    rest = rest[os.write(number, rest) :]
        os.fsync(number)
        os.close(number)
        number = -1
        shutil.copystat(path, name)
        os.close(os.open(backup, os.O_CREAT | os.O_EXCL | os.O_WRONLY))
        os.replace(name, backup)
    except BaseException:
        if number >= 0:
            os.close(number)
        with contextlib.suppress(FileNotFoundError):
            os.unlink(name)
        raise
    return backup


def _settle(folder: Path) -> None:
    """Have the folder's names written down to the disk now, on systems and disks that can."""
    with contextlib.suppress(OSError):  # else they are written down a little later, in the same order
        number = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(number)
        finally:
            os.close(number)
