"""A bridge (quotelib/hosts/calc/bridge.py) that does as a person does: opens a file itself, chooses from a menu, undoes."""

import importlib.util
from pathlib import Path
from typing import Any

place = Path(__file__).parents[1] / "quotelib" / "hosts" / "calc" / "bridge.py"
spec = importlib.util.spec_from_file_location("bridge", place)
bridge: Any = importlib.util.module_from_spec(spec)  # type: ignore[arg-type]
spec.loader.exec_module(bridge)  # type: ignore[union-attr]


class MenuBridge(bridge.Bridge):  # type: ignore[misc]
    """Workbooks opened themselves, in windows that do not show."""

    def open_itself(self, path: str, read_only: bool) -> int:
        """Open a workbook, not a copy."""
        properties = self._properties(Hidden=True, ReadOnly=read_only)
        number = max(self.books, default=0) + 1
        self.books[number] = self.desktop.loadComponentFromURL(self.uno.systemPathToFileUrl(path), "_blank", 0, properties)
        return number

    def entry(self, book: int, command: str) -> "list[Any]":
        """Choose a menu entry: whether it was done, and what it said."""
        frame = self.books[book].CurrentController.Frame
        result = self._service("com.sun.star.frame.DispatchHelper").executeDispatch(frame, command, "_self", 0, ())
        return [result.State == 1, result.Result]

    def entries(self) -> "list[dict[str, Any]]":
        """The entries that extensions have in the menu Tools > Add-Ons."""
        provider = self._service("com.sun.star.configuration.ConfigurationProvider")
        place = self._properties(nodepath="/org.openoffice.Office.Addons/AddonUI/AddonMenu")
        view = provider.createInstanceWithArguments("com.sun.star.configuration.ConfigurationAccess", place)
        return [
            {key: getattr(view.getByName(name), key) for key in ("Title", "URL", "Context")} for name in view.ElementNames
        ]

    def history(self, book: int) -> "list[str]":
        """The titles of the steps that Undo would take back, the last one first."""
        return list(self.books[book].UndoManager.getAllUndoActionTitles())

    def undo(self, book: int) -> None:
        """Undo one step."""
        self.books[book].UndoManager.undo()

    def modified(self, book: int) -> bool:
        """Whether there is something to save."""
        return bool(self.books[book].isModified())

    def store(self, book: int) -> None:
        """Save it where it is."""
        self.books[book].store()

    def save_flat(self, book: int, path: str) -> None:
        """Write the whole document as one text."""
        wanted = self._properties(FilterName="OpenDocument Spreadsheet Flat XML")
        self.books[book].storeToURL(self.uno.systemPathToFileUrl(path), wanted)

    def script(self, book: int, lines: str) -> Any:
        """Run lines of Python on `document`; what they put into `result`."""
        names = {"document": self.books[book], "uno": self.uno, "result": None}
        exec(lines, names)
        return names["result"]


bridge.Bridge = MenuBridge

if __name__ == "__main__":
    bridge.main()
