"""The menu entry Tools > Add-Ons > Refresh the price list, as LibreOffice calls it.

The entry's command is a URL of our own.  LibreOffice asks the handler made here what to do with it, one handler for each
window, so that the workbook meant is the one in that window.  What was done, or why nothing was, comes up in a box; where
no window shows (LibreOffice driven by a program), it comes back as the result of the command alone.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from quotelib.errors import QuoteError
from quotelib.hosts.calc.library import LibraryFault, noted
from quotelib.hosts.calc.refresh import LABEL, refresh, system_path

PROTOCOL = "quotelib.prices:"
COMMAND = PROTOCOL + "refresh"

HANDLER = "quoting.RefreshPrices"
"""The handler's name inside LibreOffice."""

HANDLER_SERVICES = ("com.sun.star.frame.ProtocolHandler",)

MOST_LINES = 30
"""Lines that a box shows; a price list may have more faults than a screen has lines."""


def handler_class() -> Any:
    """The class of the handlers; in a function, so that this module can be imported without LibreOffice."""
    import unohelper
    from com.sun.star.frame import DispatchResultEvent, XDispatchProvider, XNotifyingDispatch
    from com.sun.star.frame.DispatchResultState import FAILURE, SUCCESS
    from com.sun.star.lang import XInitialization, XServiceInfo

    class Handler(unohelper.Base, XServiceInfo, XInitialization, XDispatchProvider, XNotifyingDispatch):  # type: ignore[misc]
        def __init__(self, context: Any) -> None:
            self.context, self.frame = context, None

        def getImplementationName(self) -> str:
            return HANDLER

        def getSupportedServiceNames(self) -> tuple[str, ...]:
            return HANDLER_SERVICES

        def supportsService(self, name: str) -> bool:
            return name in HANDLER_SERVICES

        def initialize(self, arguments: tuple[Any, ...]) -> None:
            self.frame = arguments[0] if arguments else None

        def queryDispatch(self, url: Any, _frame: str, _flags: int) -> Any:
            return self if url.Complete == COMMAND else None

        def queryDispatches(self, requests: Any) -> Any:
            return tuple(self.queryDispatch(each.FeatureURL, each.FrameName, each.SearchFlags) for each in requests)

        def dispatch(self, _url: Any, _arguments: Any) -> None:
            run_entry(self.context, self.frame)

        def dispatchWithNotification(self, _url: Any, _arguments: Any, listener: Any) -> None:
            done, words = run_entry(self.context, self.frame)
            if listener is not None:
                listener.dispatchFinished(DispatchResultEvent(self, SUCCESS if done else FAILURE, words))

        def addStatusListener(self, _listener: Any, _url: Any) -> None:
            """The entry is always there to be chosen; a workbook without prices is told so."""

        def removeStatusListener(self, _listener: Any, _url: Any) -> None:
            """None was kept."""

    return Handler


def run_entry(context: Any, frame: Any) -> tuple[bool, str]:
    """Refresh the workbook in a window: whether it was done, and what is said about it, which a box shows as well."""
    window = Window(context, frame)
    try:
        with window.busy():
            done, words = True, refresh(frame.Controller.Model, noted(window.profile()), window.ask_for_file)
    except (QuoteError, LibraryFault) as refusal:
        done, words = False, f"Refused: {refusal}"
    except Exception as fault:
        done, words = False, f"Nothing was changed: LibreOffice failed ({getattr(fault, 'Message', '') or repr(fault)})"
    if window.shows:
        window.tell(done, words)
    return done, words


class Window:
    """The window that a workbook is in, and the user before it, if it shows."""

    def __init__(self, context: Any, frame: Any) -> None:
        self.context, self.frame = context, frame
        self.shows = bool(frame.ContainerWindow.isVisible())

    def _service(self, name: str) -> Any:
        return self.context.ServiceManager.createInstanceWithContext(name, self.context)

    def profile(self) -> Path:
        """The folder `user` of the user's LibreOffice profile."""
        url = self._service("com.sun.star.util.PathSubstitution").substituteVariables("$(user)", True)
        return system_path(url)

    @contextmanager
    def busy(self) -> Iterator[None]:
        """Say at the foot of the window what is going on."""
        shown = self.frame.createStatusIndicator()
        shown.start("Reading the price list", 1)
        try:
            yield
        finally:
            shown.end()

    def ask_for_file(self) -> Path | None:
        """The price list that the user picks; None where there is no user, or none is picked."""
        if not self.shows:
            return None
        picker = self._service("com.sun.star.ui.dialogs.FilePicker")
        picker.setTitle("The shop's price list")
        picker.appendFilter("Price list (.csv, .xlsx)", "*.csv;*.xlsx")
        return system_path(picker.getFiles()[0]) if picker.execute() else None

    def tell(self, done: bool, words: str) -> None:
        """Show a box with the words, cut to what a screen holds."""
        import uno

        lines = words.split("\n")
        if len(lines) > MOST_LINES:
            more = "python -m quotelib check --prices FILE  names them all"
            lines[MOST_LINES:] = [f"... and {len(lines) - MOST_LINES} lines more; {more}"]
        kind = uno.Enum("com.sun.star.awt.MessageBoxType", "INFOBOX" if done else "ERRORBOX")
        ok = uno.getConstantByName("com.sun.star.awt.MessageBoxButtons.BUTTONS_OK")
        window = self.frame.ContainerWindow
        box = window.Toolkit.createMessageBox(window, kind, ok, LABEL, "\n".join(lines))
        box.execute()
        box.dispose()
