"""The register of quotes: one readable file for each, in a folder.

A file holds what was offered (number, customer, route, price, until when) and the whole job, so that the quote can be
worked out again at the prices of its day or of any other day.

    number = "T-1041"
    customer = "Fellrun Outfitters (invented)"
    state = "open"
    route = "hand"
    unit_price = 6.4
    ...
    [job]
    design = "Red Lantern"
    ...
"""

import datetime
import json
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any, ClassVar, NamedTuple

from quotelib.errors import FileRefused
from quotelib.job import Job
from quotelib.kinds import Day, DayKind, Label, Margin, PositiveMoney, QuoteState, RouteKey, day_of
from quotelib.records import Record, entry


@dataclass(frozen=True)
class Terms(Record):
    """What was offered for a job."""

    what: ClassVar[str] = "quote"

    number: Label = entry("Number", "Number of the quote; no two are the same.")
    customer: Label = entry("Customer", "Who asked for it.")
    state: QuoteState = entry("State", "open while the customer may still order at this price.")
    valid_until: Day = entry("Valid until", "Last day on which the price holds.")
    route: RouteKey = entry("Route", "The way it will be printed.")
    unit_price: PositiveMoney = entry("Price", "Price of a good piece, as offered.")
    currency: Label = entry("Currency", "ISO 4217 code of the price.")
    margin_floor: Margin = entry("Margin floor", "Share of the price that must be left over the cost.")


class FiledQuote(NamedTuple):
    """A quote of the register."""

    terms: Terms
    job: Job


def load_quotes(folder: str | Path) -> list[FiledQuote]:
    """Every quote in a folder, by the names of the files.

    Raises FileRefused with every fault of every file.
    """
    files = sorted(Path(folder).glob("*.toml"))
    if not files:
        raise FileRefused(str(folder), ["it holds no quote; a quote is a file that ends in .toml"])
    quotes: list[FiledQuote] = []
    faults: list[str] = []
    numbers: dict[str, str] = {}
    for file in files:
        content, wrong = _read(file)
        faults += wrong
        if wrong:
            continue
        filed = FiledQuote(
            Terms(**{name: value for name, value in content.items() if name != "job"}), Job(**content["job"])
        )
        number = filed.terms.number
        if number in numbers:
            faults.append(f"{file.name}: number is {number!r}; {numbers[number]} has it too")
        numbers[number] = file.name
        quotes.append(filed)
    if faults:
        raise FileRefused(str(folder), faults)
    return quotes


def _read(file: Path) -> tuple[dict[str, Any], list[str]]:
    """What a file holds, and what is wrong with it."""
    try:
        content = tomllib.loads(file.read_text(encoding="utf-8"))
    except tomllib.TOMLDecodeError as fault:
        return {}, [f"{file.name}: it is not TOML: {fault}"]
    except UnicodeDecodeError as fault:
        return {}, [f"{file.name}: it is not UTF-8 text: {fault.reason} at byte {fault.start}"]
    job = content.get("job")
    faults = Terms.faults_of({name: value for name, value in content.items() if name != "job"}, f"{file.name}: ")
    if not isinstance(job, dict):
        return {}, [*faults, f"{file.name}: job is missing; it must be a table [job] with the fields of a job"]
    faults += Job.faults_of(job, f"{file.name}: job ")
    return content, faults


def quote_text(filed: FiledQuote) -> str:
    """A quote as the text of its file."""
    lines = [*_fields(filed.terms), "", "[job]", *_fields(filed.job)]
    return "\n".join(lines) + "\n"


def _fields(record: Record) -> list[str]:
    """A line for each field, with what it means."""
    lines = []
    for each in record.entries():
        value = getattr(record, each.name)
        shown: Any = day_of(value) if isinstance(each.kind, DayKind) else value
        if isinstance(shown, float) and shown.is_integer():
            shown = int(shown)
        written = shown.isoformat() if isinstance(shown, datetime.date) else json.dumps(shown, ensure_ascii=False)
        lines.append(f"{each.name} = {written}".ljust(44) + f"# {each.help}")
    return lines
