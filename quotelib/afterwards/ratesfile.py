"""Writing some of the shop's rates anew in their file: just those values change, the comments and the layout stay.

    text = with_rates(text, {"hand_piece_minutes": 0.56})
    backup = write_rates("workbook/shop-rates.toml", {"hand_piece_minutes": 0.56})

The new text is read back before it is written: it must hold those rates and, beside them, exactly what the old one held.
files/replacing.py says how it takes the place of the old one, and where that is kept.
"""

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from quotelib.errors import FileNotReplaced, NoSolution
from quotelib.files.replacing import replacing
from quotelib.files.toml import toml_of
from quotelib.rates import load_rates


def with_rates(text: str, changes: Mapping[str, float]) -> str:
    """The text of a rates file with other values of some rates.

    Comments that stand in line stay in line where there is room.  Raises NoSolution for a rate that is not written in a
    line of its own, as `name = value`.

    >>> with_rates("rack_places = 400   # Rack places\\n", {"rack_places": 60})
    'rack_places = 60    # Rack places\\n'
    """
    for name, value in changes.items():
        line = re.compile(rf"^([ \t]*{name}[ \t]*=[ \t]*)([-+0-9][-+0-9_.eE]*)([ \t]*)(?=#|$)", re.M)
        found = line.findall(text)
        if len(found) != 1:
            raise NoSolution(name, f"written {len(found)} times", f"it must stand once, in a line such as {name} = 12.5")
        _, old, gap = found[0]
        new = _as_written(value)
        room = max(len(old) + len(gap) - len(new), 1) if gap else 0
        text = line.sub(lambda match, new=new, room=room: match[1] + new + " " * room, text)  # type: ignore[misc]
    return text


def write_rates(path: str | Path, changes: Mapping[str, float]) -> Path:
    """Write rates into their file, and give the path of its backup.

    Raises FileNotReplaced, FileRefused or RangeError, with nothing changed.
    """
    rates = load_rates(path)
    for name, value in changes.items():
        rates = rates.changed(name, value)
    with replacing(path) as new:
        before = new.target.read_bytes().decode()
        after = with_rates(before, changes)
        if toml_of(after.encode(), str(path)) != _changed(toml_of(before.encode(), str(path)), changes):
            raise FileNotReplaced(
                str(path), ["a line that looks like a rate stands within something else; change it by hand"]
            )
        new.write(after.encode())
    return new.backup


def _as_written(value: float) -> str:
    """A rate as a person writes it: 60 for 60.0."""
    return str(int(value)) if float(value).is_integer() and abs(value) < 1e15 else repr(float(value))


def _changed(content: Mapping[str, Any], changes: Mapping[str, float]) -> dict[str, Any]:
    """What the file is to hold; tables only group the rates."""
    return {
        key: _changed_rates(value, changes) if isinstance(value, dict) else changes.get(key, value)
        for key, value in content.items()
    }


def _changed_rates(group: Mapping[str, Any], changes: Mapping[str, float]) -> dict[str, Any]:
    return {name: changes.get(name, rate) for name, rate in group.items()}
