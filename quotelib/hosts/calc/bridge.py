"""Runs in a Python that has LibreOffice's `uno` module: starts LibreOffice and does what it is asked.

    python bridge.py SOFFICE [PROFILE]

Requests come as JSON, one a line, on standard input, and each gets one line back:

    {"do": "set", "book": 1, "cells": {"Job!B4": 250}}
    {"done": null}                                          or
    {"refused": ["LookupMiss", "cell", "Jub!B4", "..."]}    an error of quotelib.errors and its arguments
    {"failed": "what LibreOffice said"}

When standard input ends, for whatever reason, the LibreOffice that was started here ends too.

It needs the standard library and `uno` alone, and imports nothing of this package: the two run in different Pythons.
"""

import contextlib
import difflib
import json
import os
import re
import signal
import subprocess
import sys
import time
import uuid
from typing import Any

STARTS_WITHIN = 120.0
"""Seconds LibreOffice may take to start; the first start makes its profile."""

FRESH_PROFILE = 81
"""LibreOffice's exit code after it has made a new profile: it wants to be started again."""

ERRORS = {503: "#NUM!", 519: "#VALUE!", 521: "#NULL!", 524: "#REF!", 525: "#NAME?", 532: "#DIV/0!", 32767: "#N/A"}

OPENS_AS = {".xlsx": "Calc MS Excel 2007 XML", ".xlsm": "Calc MS Excel 2007 VBA XML", ".ods": "calc8"}
SAVES_AS = {**OPENS_AS, ".pdf": "calc_pdf_Export"}
"""LibreOffice's filters by the ending of a file's name."""


class Refused(Exception):
    """A request that cannot be done as asked: the name of an error of quotelib.errors, and its arguments."""


class Bridge:
    """A LibreOffice started for us, and the workbooks open in it."""

    def __init__(self, soffice: str, profile: str) -> None:
        import uno

        self.uno = uno
        self.soffice = soffice
        self.profile = ["-env:UserInstallation=" + uno.systemPathToFileUrl(profile)] if profile else []
        self.pipe = "quotelib" + uuid.uuid4().hex
        self.books: dict[int, Any] = {}
        self.desktop: Any = None
        self.ours = True
        self.child = self._start("--accept")

    def connect(self) -> None:
        """Wait until LibreOffice answers."""
        self.context = self._resolve()
        self.ours = not self._was_handed_over()
        self.desktop = self._service("com.sun.star.frame.Desktop")

    def _start(self, word: str) -> "subprocess.Popen[bytes]":
        quiet = ("--headless", "--invisible", "--norestore", "--nologo", "--nodefault", "--nofirststartwizard")
        return subprocess.Popen(
            [self.soffice, *self.profile, *quiet, f"{word}=pipe,name={self.pipe};urp;"],
            stdin=subprocess.DEVNULL,
            stdout=sys.stderr,
        )

    def _resolve(self) -> Any:
        local = self.uno.getComponentContext()
        resolver = local.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", local)
        give_up = time.monotonic() + STARTS_WITHIN
        while True:
            try:
                return resolver.resolve(f"uno:pipe,name={self.pipe};urp;StarOffice.ComponentContext")
            except Exception as fault:
                code = self.child.poll()
                if code == FRESH_PROFILE:
                    self.child = self._start("--accept")
                elif code or time.monotonic() > give_up:
                    raise RuntimeError(f"LibreOffice did not start (exit code {code}): {fault}") from None
                time.sleep(0.05)

    def _was_handed_over(self) -> bool:
        """Whether our LibreOffice passed the request to one that the user has open, and left.

        Only the user's own profile can be open elsewhere.
        """
        if self.profile:
            return False
        with contextlib.suppress(subprocess.TimeoutExpired):
            self.child.wait(3)
        return self.child.poll() is not None

    def _service(self, name: str) -> Any:
        return self.context.ServiceManager.createInstanceWithContext(name, self.context)

    def stop(self) -> None:
        """End the LibreOffice started here; leave one that the user has open, and close the door we opened to it."""
        if not self.ours:
            self._start("--unaccept").wait(30)
            return
        for book in list(self.books):
            self.close(book)
        try:
            if self.desktop is None:
                self.child.terminate()
            else:
                with contextlib.suppress(Exception):  # the connection breaks as LibreOffice ends
                    self.desktop.terminate()
            self.child.wait(20)
        except subprocess.TimeoutExpired:
            if os.name == "nt":
                subprocess.run(["taskkill", "/F", "/T", "/PID", str(self.child.pid)], stdout=sys.stderr, check=False)
            else:
                os.killpg(0, signal.SIGKILL)

    # The add-in

    def install(self, path: str) -> bool:
        """Put an extension into the profile, in place of an older one; whether the user had LibreOffice open."""
        manager, nobody = self._extensions()
        manager.addExtension(self.uno.systemPathToFileUrl(path), (), "user", manager.createAbortChannel(), nobody)
        return not self.ours

    def uninstall(self, identifier: str) -> bool:
        """Take an extension out of the profile; False when it was not there."""
        manager, nobody = self._extensions()
        for extension in manager.getDeployedExtensions("user", manager.createAbortChannel(), nobody):
            if extension.getIdentifier().Value == identifier:
                manager.removeExtension(identifier, extension.getName(), "user", manager.createAbortChannel(), nobody)
                return True
        return False

    def user_folder(self) -> str:
        """The folder of the profile that keeps what is the user's."""
        url = self._service("com.sun.star.util.PathSubstitution").substituteVariables("$(user)", True)
        path: str = self.uno.fileUrlToSystemPath(url)
        return path

    def _extensions(self) -> Any:
        """The extension manager, and someone who says yes to its questions, such as whether to replace."""
        import unohelper
        from com.sun.star.task import XInteractionHandler
        from com.sun.star.ucb import XCommandEnvironment

        approval = self.uno.getTypeByName("com.sun.star.task.XInteractionApprove")

        class Approving(unohelper.Base, XInteractionHandler, XCommandEnvironment):  # type: ignore[misc]
            def handle(self, request: Any) -> None:
                for answer in request.getContinuations():
                    yes = answer.queryInterface(approval)
                    if yes:
                        yes.select()
                        return

            def getInteractionHandler(self) -> Any:
                return self

            def getProgressHandler(self) -> None:
                return None

        return self.context.getValueByName("/singletons/com.sun.star.deployment.ExtensionManager"), Approving()

    def functions(self) -> dict[str, Any]:
        """What the function wizard shows of every function: its description, its arguments and their help."""
        wizard = self._service("com.sun.star.sheet.FunctionDescriptions")
        shown = {}
        for place in range(wizard.getCount()):
            parts = {part.Name: part.Value for part in wizard.getByIndex(place)}
            arguments = [[argument.Name, argument.Description] for argument in parts["Arguments"] or ()]
            shown[parts["Name"]] = {"description": parts["Description"], "arguments": arguments}
        return shown

    # Workbooks

    def open(self, path: "str | None") -> int:
        """Open a copy of a workbook, or an empty one; its number."""
        never = 0
        wanted: dict[str, Any] = {"Hidden": True, "AsTemplate": True, "MacroExecutionMode": never, "UpdateDocMode": never}
        url = "private:factory/scalc"
        if path:
            url = self.uno.systemPathToFileUrl(path)
            wanted["FilterName"] = _filter(path, OPENS_AS)
        try:
            document = self.desktop.loadComponentFromURL(url, "_blank", 0, self._properties(**wanted))
        except Exception as fault:
            raise Refused("FileRefused", path, [f"LibreOffice cannot open it: {_said(fault)}"]) from None
        if document is None:
            raise Refused("FileRefused", path, ["LibreOffice cannot open it: it is damaged, or needs a password"])
        number = max(self.books, default=0) + 1
        self.books[number] = document
        return number

    def close(self, book: int) -> None:
        """Close a workbook without saving it."""
        self.books.pop(book).close(True)

    def set(self, book: int, cells: "dict[str, Any]") -> None:
        """Put values or formulas into cells; null empties a cell."""
        document = self.books[book]
        found = [(name, self._range(document, name), value) for name, value in cells.items()]
        for name, area, _ in found:
            if area.Rows.Count > 1 or area.Columns.Count > 1:
                raise Refused("RangeError", name, f"{area.Rows.Count} x {area.Columns.Count} cells", "it must be one cell")
            if area.Spreadsheet.isProtected() and area.CellProtection.IsLocked:
                raise Refused("LookupMiss", name, "locked", "its sheet is protected: only unlocked cells can be set")
        for _, area, value in found:
            cell = area.getCellByPosition(0, 0)
            if value is None:
                cell.setFormula("")
            elif isinstance(value, str) and value.startswith("="):
                cell.setTokens(self._parser(document).parseFormula(value[1:], cell.CellAddress))
            elif isinstance(value, str):
                cell.setString(value)
            else:
                cell.setValue(float(value))

    def recalculate(self, book: int) -> float:
        """Work out every formula anew, whatever results were stored; the seconds it took."""
        start = time.perf_counter()
        self.books[book].calculateAll()
        return time.perf_counter() - start

    def values(self, book: int, cells: "list[str] | None") -> "dict[str, Any]":
        """The values of cells, or the rows of ranges; of all cells with a formula, when none are named."""
        document = self.books[book]
        if cells is not None:
            found = {name: self._range(document, name) for name in cells}
            return {name: self._one_or_rows(name, area) for name, area in found.items()}
        return {name: value for area in self._formula_areas(document) for name, value in _named(area, self._rows(area))}

    def formulas(self, book: int) -> "dict[str, str]":
        """The formula of every cell that has one, written as an .xlsx file keeps it."""
        document = self.books[book]
        parser = self._parser(document)
        found = {}
        for area in self._formula_areas(document):
            for name, cell in _named(area, _cells(area)):
                found[name] = "=" + parser.printFormula(cell.getTokens(), cell.CellAddress)
        return found

    def save(self, book: int, path: str) -> None:
        """Write the workbook to a file; the ending of its name says in which form."""
        properties = self._properties(FilterName=_filter(path, SAVES_AS), Overwrite=True)
        self.books[book].storeToURL(self.uno.systemPathToFileUrl(path), properties)

    def _properties(self, **values: Any) -> "tuple[Any, ...]":
        from com.sun.star.beans import PropertyValue

        made = []
        for name, value in values.items():
            one = PropertyValue()
            one.Name, one.Value = name, value
            made.append(one)
        return tuple(made)

    def _parser(self, document: Any) -> Any:
        """LibreOffice's parser, set to formulas as an .xlsx file writes them: English, commas, Sheet!A1."""
        from com.sun.star.sheet import AddressConvention

        parser = document.createInstance("com.sun.star.sheet.FormulaParser")
        parser.CompileEnglish = True
        parser.FormulaConvention = AddressConvention.XL_OOX
        return parser

    def _range(self, document: Any, name: str) -> Any:
        """The range of a defined name, or of an address such as Job!B4 or 'Price list'!A1:C9."""
        place = re.fullmatch(r"'((?:[^']|'')+)'!([^!]+)|([^'!][^!]*)!([^!]+)", name)
        if place is None:
            return _referred(document.NamedRanges, name)
        sheet_name = place[3] or place[1].replace("''", "'")
        reference = (place[4] or place[2]).replace("$", "")
        if not document.Sheets.hasByName(sheet_name):
            raise Refused("LookupMiss", "sheet", sheet_name, f"the sheets are {', '.join(document.Sheets.ElementNames)}")
        sheet = document.Sheets.getByName(sheet_name)
        if sheet.NamedRanges.hasByName(reference):
            return _referred(sheet.NamedRanges, reference)
        if re.fullmatch(r"[A-Za-z]{1,3}[0-9]{1,7}(:[A-Za-z]{1,3}[0-9]{1,7})?", reference):
            with contextlib.suppress(Exception):  # a row or column that no sheet has
                return sheet.getCellRangeByName(reference)
        raise Refused("LookupMiss", "cell", name, "it must be an address such as Job!B4 or Job!B4:C9, or a defined name")

    def _formula_areas(self, document: Any) -> "list[Any]":
        any_result = 1 | 2 | 4  # numbers, texts, errors
        areas = []
        for sheet in document.Sheets:
            for place in sheet.queryFormulaCells(any_result).RangeAddresses:
                areas.append(sheet.getCellRangeByPosition(place.StartColumn, place.StartRow, place.EndColumn, place.EndRow))
        return areas

    def _one_or_rows(self, name: str, area: Any) -> Any:
        """The value of a cell; the rows of a range, even where it is a range of one, as in A1:A1."""
        rows = self._rows(area)
        return rows if len(rows) > 1 or len(rows[0]) > 1 or ":" in name.rpartition("!")[2] else rows[0][0]

    @staticmethod
    def _rows(area: Any) -> "list[list[Any]]":
        """The values of a range; where a cell is in error LibreOffice gives None, and here the error's name is put."""
        return [
            [_error(area.getCellByPosition(x, y)) if value is None else value for x, value in enumerate(row)]
            for y, row in enumerate(area.getDataArray())
        ]


def _error(cell: Any) -> "dict[str, str]":
    number = cell.getError()
    return {"error": ERRORS.get(number, f"Err:{number}")}


def _cells(area: Any) -> "list[list[Any]]":
    return [[area.getCellByPosition(x, y) for x in range(area.Columns.Count)] for y in range(area.Rows.Count)]


def _named(area: Any, rows: "list[list[Any]]") -> "list[tuple[str, Any]]":
    """Everything in the rows, each with the address of its cell."""
    sheet = area.Spreadsheet.Name
    if not re.fullmatch(r"[^\W\d]\w*", sheet):
        sheet = "'" + sheet.replace("'", "''") + "'"
    start = area.RangeAddress
    return [
        (f"{sheet}!{_column(start.StartColumn + x)}{start.StartRow + y + 1}", thing)
        for y, row in enumerate(rows)
        for x, thing in enumerate(row)
    ]


def _column(number: int) -> str:
    """The letters of a column, counted from 0.

    >>> _column(0), _column(25), _column(26), _column(702)
    ('A', 'Z', 'AA', 'AAA')
    """
    letters = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def _filter(path: str, filters: "dict[str, str]") -> str:
    ending = os.path.splitext(path)[1].lower()
    if ending not in filters:
        raise Refused("LookupMiss", "path", path, f"its name must end in one of {', '.join(filters)}")
    return filters[ending]


def _referred(names: Any, name: str) -> Any:
    if not names.hasByName(name):
        near = difflib.get_close_matches(name, names.ElementNames, n=5, cutoff=0.4) or sorted(names.ElementNames)[:5]
        such = f", such as {' or '.join(near)}" if near else "; it has none"
        allowed = "it must be an address such as Job!B4, or a defined name of the workbook" + such
        raise Refused("LookupMiss", "cell", name, allowed)
    area = names.getByName(name).getReferredCells()
    if area is None:
        raise Refused("LookupMiss", "cell", name, "it must be the name of a cell or range; this one is a formula's")
    return area


def _said(fault: Exception) -> str:
    return str(getattr(fault, "Message", "") or fault).strip().split("\n")[0]


def serve(bridge: Bridge, requests: Any, answers: Any) -> None:
    """Answer requests until there are no more."""
    for line in requests:
        request = json.loads(line)
        try:
            answer = {"done": getattr(bridge, request.pop("do"))(**request)}
        except Refused as refusal:
            answer = {"refused": list(refusal.args)}
        except Exception as fault:
            answer = {"failed": f"{type(fault).__name__}: {_said(fault)}"}
        answers.write(json.dumps(answer) + "\n")
        answers.flush()


def main() -> None:
    """Start LibreOffice, say so, and serve."""
    for stream in (sys.stdin, sys.stdout):
        stream.reconfigure(encoding="utf-8")  # type: ignore[union-attr]
    soffice, profile = (*sys.argv[1:], "")[:2]
    bridge = Bridge(soffice, profile)
    try:
        bridge.connect()
        print(json.dumps({"done": None}), flush=True)
        serve(bridge, sys.stdin, sys.stdout)
    finally:
        bridge.stop()


if __name__ == "__main__":
    main()
