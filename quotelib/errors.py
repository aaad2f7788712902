"""What can go wrong with an input, as one family of exceptions.

    QuoteError(ValueError)      an input the library refuses; never raised bare
      TypeInputError            the wrong kind of value: text where a number belongs
      RangeError                the right kind, outside what is allowed
      LookupMiss                a name or code that is not in its list
      NoSolution                good inputs to a question that has no answer
      FileRefused               a file of the shop's with faults in it, all of them named
      SheetRefused              a workbook with things in the way of a refresh of its prices, all of them named
      FileNotReplaced           a file of the user's that could not be replaced, and is as it was

Every message names the argument, shows the value and says what is allowed.  `cell_error` is the error value a
spreadsheet shows for it, so that IFERROR catches it and a SUM over it does not lie.
"""

from typing import ClassVar


class QuoteError(ValueError):
    """An input was refused: which argument, what it was, what is allowed."""

    cell_error: ClassVar[str] = "#VALUE!"

    def __init__(self, argument: str, value: object, allowed: str) -> None:
        self.argument = argument
        self.value = value
        self.allowed = allowed
        super().__init__(f"{argument} is {_shown(value)}; {allowed}")

    def __reduce__(self) -> tuple[type, tuple[str, object, str]]:
        return type(self), (self.argument, self.value, self.allowed)


class TypeInputError(QuoteError):
    """The value is of the wrong kind."""


class RangeError(QuoteError):
    """The value is of the right kind and outside its range."""

    cell_error = "#NUM!"


class LookupMiss(QuoteError):
    """The name or code is not in the list it was looked up in."""

    cell_error = "#N/A"


class NoSolution(QuoteError):
    """The inputs are good, and the question has no answer."""

    cell_error = "#NUM!"


class FileRefused(QuoteError):
    """A file was read and refused as a whole; `faults` holds one line for each thing wrong in it."""

    nothing_done: ClassVar[str] = "it must have none, and nothing was loaded"

    def __init__(self, file: str, faults: list[str]) -> None:
        self.faults = faults
        count = f"{len(faults)} fault" + ("s" if len(faults) != 1 else "")
        allowed = f"{self.nothing_done}:\n  " + "\n  ".join(faults)
        super().__init__(file, count, allowed)
        self.args = (f"{file} has {count}; {allowed}",)

    def __reduce__(self) -> tuple[type, tuple[str, list[str]]]:  # type: ignore[override]
        return type(self), (self.argument, self.faults)


class SheetRefused(FileRefused):
    """A workbook whose price sheet cannot be refreshed as it stands; `faults` holds one line for each thing in the way."""

    nothing_done = "a refresh of its prices must find none, and nothing was changed"


class FileNotReplaced(FileRefused):
    """A file could not be replaced by a new one; `faults` holds one line for each reason."""

    nothing_done = "there must be none, and it is as it was"


def _shown(value: object) -> str:
    """The value as a person would write it: 9 for 9.0, text in quotes, long things cut short."""
    if value is None or (isinstance(value, str) and value == ""):
        return "blank"
    if isinstance(value, bool):
        return str(value).upper()
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    text = repr(value) if isinstance(value, str) else str(value)
    return text if len(text) <= 60 else text[:57] + "..."
