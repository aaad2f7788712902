"""Records: a job, the shop's rates.  A field is declared once, with its kind, and from that come the check when a file is
read, the input row on the sheet with its validation, and the defined name that formulas use.
"""

from collections.abc import Mapping
from dataclasses import Field, dataclass, field, fields, replace
from typing import TYPE_CHECKING, Any, ClassVar, get_args

from quotelib.errors import FileRefused, LookupMiss, QuoteError
from quotelib.formula import Name
from quotelib.kinds import Kind, Rows

if TYPE_CHECKING:
    from pathlib import Path
    from typing import Self  # Python 3.11; LibreOffice 25.2 for Windows brings 3.10


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

    def changed(self, name: str, value: Any) -> "Self":
        """The record with another value in one field."""
        changes: dict[str, Any] = {name: value}
        return replace(self, **changes)

    @classmethod
    def entries(cls) -> list[Entry]:
        """The fields in the order in which a person fills them in."""
        return [Entry(source) for source in fields(cls)]

    @classmethod
    def of_cells(cls) -> "Self":
        """The record whose fields are the workbook's input cells, for writing formulas."""
        return cls(**{each.name: Name(each.name) for each in cls.entries()})

    @classmethod
    def of_ranges(cls, names: Rows, values: Rows) -> "Self":
        """The record from two ranges of a sheet, names and values beside them; rows without a name are passed over."""
        given = {}
        for name_cells, value_cells in zip(names, values, strict=False):
            for name, value in zip(name_cells, value_cells, strict=False):
                if name != "" and name is not None:
                    given[name] = value
        missing = [each.name for each in cls.entries() if each.name not in given]
        if missing:
            lacking = f"{missing[0]} and {len(missing) - 1} more" if len(missing) > 1 else missing[0]
            shown = ", ".join(map(str, given))
            raise LookupMiss(f"{cls.what} names", shown, f"they must hold every input of a {cls.what}, and lack {lacking}")
        return cls(**{each.name: given[each.name] for each in cls.entries()})

    @classmethod
    def faults_of(cls, given: Mapping[str, Any], place: str = "") -> list[str]:
        """What is wrong with the values: each missing, unknown or refused field in a line of its own."""
        known = {each.name: each.kind for each in cls.entries()}
        faults = [f"{place}{name} is missing" for name in known if name not in given]
        faults += [f"{place}{name} is not a field of a {cls.what}" for name in given if name not in known]
        for name, value in given.items():
            if name in known:
                try:
                    known[name].admit(name, value)
                except QuoteError as refusal:
                    faults.append(f"{place}{refusal}")
        return faults

    @classmethod
    def load(cls, path: "Path") -> "Self":
        """The record in a TOML file; tables only group the keys.

        Raises FileRefused with every missing, unknown or refused field, each in a line of its own.
        """
        from quotelib.files.toml import toml_of  # a cell never reads a file, and its Python 3.10 could not read TOML

        content = toml_of(path.read_bytes(), str(path))
        given: dict[str, Any] = {}
        faults = []
        for key, value in content.items():
            for name, field_value in (value if isinstance(value, dict) else {key: value}).items():
                if name in given:
                    faults.append(f"{name} stands twice")
                given[name] = field_value
        faults += cls.faults_of(given)
        if faults:
            raise FileRefused(str(path), faults)
        return cls(**given)
