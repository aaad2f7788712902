"""Records: a job, the shop's rates.  A field is declared once, with its kind, and from that come the check when a file is
read, the input row on the sheet with its validation, and the defined name that formulas use.
"""

from collections.abc import Mapping
from dataclasses import MISSING, Field, dataclass, field, fields
from typing import Any, ClassVar, Self, get_args

from quotelib.errors import FileRefused, QuoteError
from quotelib.formula import Name
from quotelib.kinds import Kind


class Entry:
    """One field of a record: its name, kind, title and help."""

    def __init__(self, source: "Field[Any]") -> None:
        self.name = source.name
        self.kind: Kind = get_args(source.type)[1]
        self.title: str = source.metadata["title"]
        self.help: str = source.metadata["help"]
        self.group: str = source.metadata["group"]


def entry(title: str, help: str, group: str = "") -> Any:
    """Declare a field of a record; the kind is in its annotation."""
    return field(metadata={"title": title, "help": help, "group": group})


@dataclass(frozen=True)
class Record:
    """Base of the records: every field is checked by its kind when the record is made."""

    what: ClassVar[str] = "record"

    def __post_init__(self) -> None:
        for each in self.entries():
            value = getattr(self, each.name)
            if not isinstance(value, Name):
                object.__setattr__(self, each.name, each.kind.admit(each.name, value))

    @classmethod
    def entries(cls) -> list[Entry]:
        """The fields in the order in which a person fills them in."""
        return [Entry(source) for source in fields(cls)]

    @classmethod
    def of_cells(cls) -> Self:
        """The record whose fields are the workbook's input cells, for writing formulas."""
        return cls(**{each.name: Name(each.name) for each in cls.entries()})

    @classmethod
    def checked(cls, given: Mapping[str, Any], file: str, place: str = "") -> Self:
        """The record from a file's values, with every fault of them named at once."""
        faults = cls.faults_of(given, place)
        if faults:
            raise FileRefused(file, faults)
        return cls(**given)

    @classmethod
    def faults_of(cls, given: Mapping[str, Any], place: str = "") -> list[str]:
        """What is wrong with the values: each missing, unknown or refused field in a line of its own."""
        known = {each.name: each.kind for each in cls.entries()}
        optional = {source.name for source in fields(cls) if source.default is not MISSING}
        faults = [f"{place}{name} is missing" for name in known if name not in given and name not in optional]
        faults += [f"{place}{name} is not a field of a {cls.what}" for name in given if name not in known]
        for name, value in given.items():
            if name in known:
                try:
                    known[name].admit(name, value)
                except QuoteError as refusal:
                    faults.append(f"{place}{refusal}")
        return faults
