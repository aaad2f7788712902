"""A LibreOffice Calc that a program drives: workbooks opened, inputs set, recalculated, read and saved.

    with Calc() as calc, calc.open("quote.xlsx") as book:
        book.set({"run_size": 250, "Job!B5": 3})
        print(book.values(["unit_cost", "Quote!A1:C9"]))

It is LibreOffice itself, without a window, in a profile of its own with this library's add-in in it; a workbook is opened
as a copy and never changed on disk.  A value read is always worked out anew, never one that the file had stored.
"""

import contextlib
import datetime
import hashlib
import json
import os
import queue
import signal
import subprocess
import tempfile
import threading
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from quotelib import errors
from quotelib.hosts.calc import bridge
from quotelib.hosts.calc.build import FILE_NAME, addin
from quotelib.hosts.calc.office import Office, OfficeFault, clean_environment, find_office
from quotelib.kinds import day_number

Value = Any
"""What a cell holds: a number, a text (blank for an empty cell), or {"error": "#NUM!"} for a cell in error."""


class Session:
    """A LibreOffice in one profile, and the line to it.  Use it in a `with` statement, so that it ends."""

    program = bridge.__file__
    """What runs at the other end of the line."""

    def __init__(self, profile: Path | None, *, timeout: float = 120.0) -> None:
        self.profile = profile
        self.timeout = timeout
        self.office: Office = find_office()

    def __enter__(self) -> Self:
        with contextlib.ExitStack() as stack:
            self._begin(stack)
            self._stack = stack.pop_all()
        return self

    def __exit__(self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None) -> None:
        self._stack.close()

    def _begin(self, stack: contextlib.ExitStack) -> None:
        """Start LibreOffice; what has to be undone afterwards goes on the stack."""
        self._answers: queue.SimpleQueue[str] = queue.SimpleQueue()
        self._log = stack.enter_context(tempfile.TemporaryFile("w+"))  # noqa: SIM115
        command = [self.office.python, "-u", self.program, self.office.soffice]
        self._bridge = subprocess.Popen(
            [str(word) for word in command] + ([str(self.profile.resolve())] if self.profile else []),
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=self._log,
            encoding="utf-8",
            env=clean_environment(),
            start_new_session=True,
        )
        listener = threading.Thread(target=self._listen, daemon=True)
        listener.start()
        stack.callback(self._end, listener)
        self._answer(bridge.STARTS_WITHIN + 10)

    def _listen(self) -> None:
        assert self._bridge.stdout is not None
        for line in self._bridge.stdout:
            self._answers.put(line)
        self._answers.put("")

    def _end(self, listener: threading.Thread) -> None:
        """Let the bridge end LibreOffice and then itself; should it not, end both the hard way."""
        assert self._bridge.stdin is not None
        assert self._bridge.stdout is not None
        with contextlib.suppress(OSError):
            self._bridge.stdin.close()
        with contextlib.suppress(subprocess.TimeoutExpired):
            self._bridge.wait(30)
        self._kill()
        listener.join()
        self._bridge.stdout.close()

    def _kill(self) -> None:
        """End the bridge and every process it started, at once."""
        if os.name != "nt":
            with contextlib.suppress(ProcessLookupError):
                os.killpg(self._bridge.pid, signal.SIGKILL)
        elif self._bridge.poll() is None:
            subprocess.run(["taskkill", "/F", "/T", "/PID", str(self._bridge.pid)], capture_output=True, check=False)
        self._bridge.wait()

    def ask(self, do: str, **details: Any) -> Any:
        """Have the bridge do one thing (see bridge.py), and wait for its answer."""
        assert self._bridge.stdin is not None
        with contextlib.suppress(OSError):  # it has ended: the answer says so
            self._bridge.stdin.write(json.dumps({"do": do, **details}) + "\n")
            self._bridge.stdin.flush()
        return self._answer(self.timeout)

    def open(self, path: str | os.PathLike[str] | None = None) -> "Book":
        """A copy of a workbook, or an empty one."""
        if path is not None and not (Path(path).is_file() and Path(path).stat().st_size):
            raise errors.FileRefused(str(path), ["the file is empty" if Path(path).is_file() else "there is no such file"])
        return Book(self, self.ask("open", path=None if path is None else str(Path(path).resolve())))

    def functions(self) -> dict[str, Any]:
        """What Calc's function wizard shows: `{"SUM": {"description": ..., "arguments": [[name, help], ...]}, ...}`."""
        return self.ask("functions")  # type: ignore[no-any-return]

    def _answer(self, within: float) -> Any:
        try:
            line = self._answers.get(timeout=within)
        except queue.Empty:
            self._kill()
            raise OfficeFault(f"LibreOffice did not answer within {within:g} s, and was ended") from None
        if not line:
            self._answers.put("")
            self._log.seek(0)
            said = self._log.read().strip().split("\n")[-1]
            raise OfficeFault(f"LibreOffice has stopped: {said or 'it said nothing'}")
        answer = json.loads(line)
        if "refused" in answer:
            kind, *arguments = answer["refused"]
            raise getattr(errors, kind)(*arguments)
        if "failed" in answer:
            raise OfficeFault(f"LibreOffice failed: {answer['failed']}")
        return answer["done"]


class Calc(Session):
    """A session in a private profile that has the add-in: this library's own, or the ones named.

    Parameters
    ----------
    profile : Path, optional
        A folder to keep the profile in, so that the next session starts sooner.  If left out, one is made and thrown away.
    addins : paths of .oxt files, optional
        The add-ins to have; if left out, this library's, built anew.
    timeout : float
        Seconds any one request may take.
    """

    def __init__(
        self, profile: Path | None = None, *, addins: Iterable[Path] | None = None, timeout: float = 120.0
    ) -> None:
        super().__init__(profile, timeout=timeout)
        self._addins = None if addins is None else list(addins)

    def _begin(self, stack: contextlib.ExitStack) -> None:
        scratch = Path(
            stack.enter_context(tempfile.TemporaryDirectory(prefix="quotelib-calc-", ignore_cleanup_errors=True))
        )
        if self.profile is None:
            self.profile = scratch / "profile"
            stack.callback(setattr, self, "profile", None)
        addins = self._addins
        if addins is None:
            addins = [scratch / FILE_NAME]
            addins[0].write_bytes(addin())
        self._install(self.profile, addins)
        super()._begin(stack)

    def _install(self, profile: Path, addins: Sequence[Path]) -> None:
        """Install the add-ins that the profile has not, in a LibreOffice of their own.

        One that has just installed an add-in calls its functions 20 times as slowly as one started after that (measured
        in 25.2.3).
        """
        marks = {path: profile / f"{path.name}.sha256" for path in addins}
        digests = {path: hashlib.sha256(path.read_bytes()).hexdigest() for path in addins}
        missing = [path for path, mark in marks.items() if not mark.is_file() or mark.read_text() != digests[path]]
        if missing:
            with Session(profile, timeout=self.timeout) as session:
                for path in missing:
                    session.ask("install", path=str(path.resolve()))
                    marks[path].write_text(digests[path])


class Book:
    """A workbook open in a session.  Cells are named `Job!B4`, `'Price list'!A1:C9`, or by a defined name."""

    def __init__(self, session: Session, number: int) -> None:
        self._session = session
        self._number = number
        self._stale = True

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None) -> None:
        if not isinstance(fault, OfficeFault):
            self.close()

    def _ask(self, do: str, **details: Any) -> Any:
        return self._session.ask(do, book=self._number, **details)

    def set(self, cells: Mapping[str, Value]) -> None:
        """Put numbers, texts, days or formulas (texts that begin with =) into cells; None empties one."""
        days = {name: day_number(value) for name, value in cells.items() if isinstance(value, datetime.date)}
        self._ask("set", cells={**cells, **days})
        self._stale = True

    def recalculate(self) -> float:
        """Work out every formula anew, stored results or not; the seconds LibreOffice took."""
        seconds: float = self._ask("recalculate")
        self._stale = False
        return seconds

    def _refresh(self) -> None:
        if self._stale:
            self.recalculate()

    def values(self, cells: Sequence[str] | None = None) -> dict[str, Value]:
        """The value of each cell named, a range as a list of rows; of every cell with a formula, when none are named."""
        self._refresh()
        return self._ask("values", cells=None if cells is None else list(cells))  # type: ignore[no-any-return]

    def value(self, cell: str) -> Value:
        """The value of one cell, or the rows of one range."""
        return self.values([cell])[cell]

    def formulas(self) -> dict[str, str]:
        """The formula of every cell that has one, as an .xlsx file writes it."""
        return self._ask("formulas")  # type: ignore[no-any-return]

    def save(self, path: str | os.PathLike[str]) -> None:
        """Write it as .xlsx, .xlsm, .ods or .pdf, by the ending of the name."""
        self._refresh()
        self._ask("save", path=str(Path(path).resolve()))

    def close(self) -> None:
        """Close it; nothing is saved."""
        self._ask("close")
