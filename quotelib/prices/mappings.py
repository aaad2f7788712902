"""A mapping: how one supplier's price file is to be read, as a small TOML file that a person writes once.

    mapping = load_mapping("examples/suppliers/brackmoor.toml")

Nothing about a file is guessed.  The mapping says which of its columns is what, what the file lacks, how it writes numbers
and dates, and which of its articles are which of the shop's codes.  Everything wrong with a mapping is named at once.

    supplier = "Fellgarth Inks (invented)"     as the shop's list names it
    whole_list = true                          the file is all he sells: what it lacks is ended on its first day (a date may
                                               stand in place of true); left out where it is only a part
    quantities_in = "each"                     what from quantities and minimum orders count; packs if left out
    density_in = "kg/L"                        what a column of densities holds; left out where each says its unit itself

    [file]
    sheet = "Prices"                           of a workbook with several
    heading_row = 3                            1 if left out
    encoding = "cp1252"                        of a CSV file that is not Unicode
    delimiter = ";"                            of a CSV file; a comma if left out

    [numbers]
    decimal_mark = ","
    thousands_mark = "."                       none if left out
    money_sign = "€"                           what may stand before or after a price; none if left out

    [dates]
    written = "DD.MM.YYYY"                     needed where a column holds dates

    [columns]                                  field = "the supplier's heading"
    article = "Art. no."
    pack_unit = "Unit"
    price = "Price"

    [constants]                                field = what holds for every row
    currency = "EUR"
    valid_from = 2027-01-04

    [[breaks]]                                 one for each pair of break columns, in place of price and from_quantity
    from_quantity = 25                         a number, or the heading of a column that holds it
    price = "25 and more"

    [units]                                    "the supplier's unit" = "ours"
    "Ltr." = "L"

    [kinds]                                    "the supplier's group" = "our kind of material"
    "Screen inks" = "ink"

    [articles]                                 "the supplier's article" = "our code", or more about it
    "F-210" = "INK-HAND"
    "F-377" = { code = "INK-UV-WHITE", kind = "ink", density = "1.35 kg/L" }

The fields are those of `FIELDS`.  A minimum order may be the number of a column, a constant, or the constant
`minimum_order = "first break"`: the quantity where his prices begin is the least he sells.
"""

import datetime
import hashlib
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path
from typing import Any, NamedTuple

from quotelib.errors import FileRefused, RangeError
from quotelib.files.faults import Refusal
from quotelib.files.readers import day, free_text, last_day, number
from quotelib.files.tables import DELIMITERS, ENCODINGS, DateCell, NumberCell, content_of
from quotelib.files.toml import toml_of
from quotelib.prices.currencies import currency_code
from quotelib.prices.pricelist import FROM_QUANTITY, MINIMUM_ORDER, PACK_QUANTITY
from quotelib.prices.units import MATERIALS, unit_refusal

FIRST_BREAK = "first break"
PACKS = "packs"
DATE_PARTS = {"DD": r"(?P<day>\d{2})", "D": r"(?P<day>\d{1,2})", "MM": r"(?P<month>\d{2})", "M": r"(?P<month>\d{1,2})",
              "YYYY": r"(?P<year>\d{4})", "YY": r"(?P<year>\d{2})"}  # fmt: skip

DATE_PART = "(D+|M+|Y+)"


def _material(text: str) -> str:
    return text if text in MATERIALS else Refusal("it must be one of " + ", ".join(MATERIALS))


def _unit(text: str) -> str:
    return unit_refusal(text) or text


def _density(text: str) -> str:
    wanted = "it must be a density like 1.2 kg/L or 9.8 lb/gal"
    return text if unit_refusal(f"kg at {text}") is None else Refusal(wanted)


def _least(text: str) -> Any:
    packs = number(MINIMUM_ORDER)(text) if text != FIRST_BREAK else text
    return Refusal(f'{packs}, or "{FIRST_BREAK}"') if isinstance(packs, Refusal) else packs


class Field(NamedTuple):
    """What a row of a supplier's file may say."""

    read: Callable[[str], Any]
    """The reader of a constant."""
    needed: str = ""
    """What to say where neither a column nor a constant gives it; nothing where it may be left out."""
    column_only: bool = False


FIELDS = {
    "article": Field(free_text(80), "the column with the supplier's article numbers", column_only=True),
    "description": Field(free_text(200)),
    "kind": Field(_material),
    "pack_quantity": Field(number(PACK_QUANTITY)),
    "pack_unit": Field(_unit, "the unit that a pack is counted in"),
    "density": Field(_density),
    "price": Field(free_text(40), "the column with the price of a pack, or [[breaks]]", column_only=True),
    "currency": Field(currency_code, "the currency of the prices"),
    "from_quantity": Field(number(FROM_QUANTITY)),
    "minimum_order": Field(_least),
    "valid_from": Field(day, "the first day of the prices, or the command's --valid-from"),
    "valid_to": Field(last_day),
}
"""The fields of an offer.  Pack quantity and from quantity are 1 where nothing is said of them."""

OF_AN_ARTICLE = ("description", "kind", "pack_quantity", "pack_unit", "density")
"""Fields that may stand with an article, before what its row says."""


@dataclass(frozen=True)
class Article:
    """What one of the supplier's articles is to the shop."""

    code: str
    fields: Mapping[str, str] = field(default_factory=dict)


class BreakColumns(NamedTuple):
    """A pair of break columns: the from quantity, or the heading of its column, and the heading of the price."""

    from_quantity: Decimal | str
    price: str


@dataclass(frozen=True)
class SupplierMapping:
    """A mapping that was found in order."""

    path: str
    sha256: str
    """Of the file, so that the history can say which mapping it was."""
    supplier: str
    columns: Mapping[str, str]
    constants: Mapping[str, str]
    breaks: tuple[BreakColumns, ...]
    articles: Mapping[str, Article]
    units: Mapping[str, str]
    kinds: Mapping[str, str]
    quantities_in: str
    density_in: str
    whole_list_from: datetime.date | None
    """The first day of a file that is all he sells; None where it is only a part."""
    decimal_mark: str
    thousands_mark: str
    money_sign: str
    dates_written: str
    sheet: str | None
    heading_row: int
    encoding: str | None
    delimiter: str | None

    @property
    def file(self) -> str:
        """The name of the mapping file."""
        return Path(self.path).name

    def number_text(self, text: str, money: bool = False) -> str | None:
        """A number of the supplier's as digits and a point; None where it is not written as the mapping says."""
        if isinstance(text, NumberCell):
            return text
        if money and self.money_sign:
            text = text.removeprefix(self.money_sign).removesuffix(self.money_sign).strip()
        whole = r"\d+"
        if self.thousands_mark:
            whole = rf"(?:\d{{1,3}}(?:{re.escape(self.thousands_mark)}\d{{3}})+|\d+)"
        if not re.fullmatch(rf"-?{whole}(?:{re.escape(self.decimal_mark)}\d+)?", text, re.ASCII):
            return None
        return text.replace(self.thousands_mark, "").replace(self.decimal_mark, ".")

    @property
    def number_example(self) -> str:
        """A number as the supplier writes it."""
        return f"1{self.thousands_mark}234{self.decimal_mark}5"

    def date_text(self, text: str) -> str | None:
        """A date of the supplier's in ISO 8601; None where it is not written as the mapping says."""
        if isinstance(text, DateCell):
            return text[:10]
        found = re.fullmatch(_date_pattern(self.dates_written), text, re.ASCII)
        if not found:
            return None
        year, month, day_of_month = (int(found[part]) for part in ("year", "month", "day"))
        return f"{year + 2000 * (year < 100):04}-{month:02}-{day_of_month:02}"


def _date_pattern(written: str) -> str:
    parts = re.split(DATE_PART, written)
    return "".join(DATE_PARTS.get(part, re.escape(part)) for part in parts)


def load_mapping(path: str | Path, valid_from: datetime.date | None = None) -> SupplierMapping:
    """The mapping in a TOML file, or `FileRefused` with everything that is wrong with it.

    `valid_from` stands in place of the constant of that name, for a file without dates that comes again and again.
    """
    content = content_of(path)
    given = toml_of(content, str(path), exact=True)
    return _Reader(given).mapping(str(path), hashlib.sha256(content).hexdigest(), valid_from)


class _Reader:
    """A mapping being read, with the faults found so far."""

    def __init__(self, given: dict[str, Any]) -> None:
        self.given, self.faults = given, list[str]()

    def refuse(self, key: str, value: Any, allowed: str) -> None:
        self.faults.append(str(RangeError(key, value, allowed)))

    def table(self, name: str, keys: Any = None) -> dict[str, Any]:
        """A table of the file, empty where it is left out; keys that it may not have are faults."""
        table = self.given.get(name, {})
        if not isinstance(table, dict):
            self.refuse(name, table, f"it must be a table, headed [{name}]")
            return {}
        for key in table:
            if keys is not None and key not in keys:
                self.faults.append(f"{name}.{key} is unknown; it must be one of {', '.join(keys)}")
        return table

    def text(self, key: str, value: Any, allowed: Any = None, most: int = 200) -> str:
        """A text of the file; one of those allowed, if any are named."""
        if not isinstance(value, str) or (allowed is not None and value not in allowed):
            wanted = "it must be text in quotation marks" if allowed is None else f"it must be one of {_quoted(allowed)}"
            self.refuse(key, value, wanted)
            return ""
        if allowed is None and isinstance(refusal := free_text(most)(value), Refusal):
            self.refuse(key, value, refusal)
        return value

    def field(self, key: str, name: str, value: Any) -> str:
        """The value of a field as a cell would hold it."""
        cell: str = str(value)
        if isinstance(value, bool) or not isinstance(value, (str, int, Decimal, datetime.date)):
            self.refuse(key, value, "it must be text in quotation marks, a number or a date")
        elif isinstance(value, datetime.date):
            cell = DateCell(value.isoformat())
        elif not isinstance(value, str):
            cell = NumberCell(f"{value:f}" if isinstance(value, Decimal) else value)
        if isinstance(refusal := FIELDS[name].read(cell), Refusal):
            self.refuse(key, value, refusal)
        return cell

    def mapping(self, path: str, sha256: str, valid_from: datetime.date | None) -> SupplierMapping:
        """The mapping, once no fault was found."""
        tables = ("file", "numbers", "dates", "columns", "constants", "breaks", "units", "kinds", "articles")
        known = ("supplier", "whole_list", "quantities_in", "density_in", *tables)
        self.faults += [f"{key} is unknown; it must be one of {', '.join(known)}" for key in self.given if key not in known]
        if "supplier" not in self.given:
            self.faults.append("supplier is missing; it must be who sends the file, as the shop's list names him")
        file = self.table("file", ("sheet", "heading_row", "encoding", "delimiter"))
        heading_row = file.get("heading_row", 1)
        if isinstance(heading_row, bool) or not isinstance(heading_row, int) or heading_row < 1:
            self.refuse("file.heading_row", heading_row, "it must be a whole number, 1 or more")
        columns = {
            name: self.text(f"columns.{name}", heading)
            for name, heading in self.table("columns", FIELDS).items()
            if name in FIELDS
        }
        constants = self._constants(columns, valid_from)
        breaks = self._breaks(columns, constants)
        for name, each in FIELDS.items():
            broken_down = breaks and name == "price"
            of_articles = name == "pack_unit" and "articles" in self.given
            if each.needed and not (name in columns or name in constants or broken_down or of_articles):
                table = "columns" if each.column_only else "columns or constants"
                self.faults.append(f"{name} is missing; {table} must have it: {each.needed}")
        mapping = SupplierMapping(
            path=path,
            sha256=sha256,
            supplier=self.text("supplier", self.given.get("supplier", "?"), most=80),
            columns=columns,
            constants=constants,
            breaks=breaks,
            articles=self._articles(),
            units=self._words("units", _unit),
            kinds=self._words("kinds", _material),
            quantities_in=self._quantities_in(),
            density_in=self._density_in(),
            whole_list_from=self._whole_list_from(constants),
            **self._numbers(),
            dates_written=self._dates(columns),
            sheet=self.text("file.sheet", file["sheet"]) if "sheet" in file else None,
            heading_row=heading_row,
            encoding=self.text("file.encoding", file["encoding"], ENCODINGS) if "encoding" in file else None,
            delimiter=self.text("file.delimiter", file["delimiter"], DELIMITERS) if "delimiter" in file else None,
        )
        if self.faults:
            raise FileRefused(path, self.faults)
        return mapping

    def _constants(self, columns: dict[str, str], valid_from: datetime.date | None) -> dict[str, str]:
        allowed = [name for name, each in FIELDS.items() if not each.column_only]
        constants = {
            name: self.field(f"constants.{name}", name, value)
            for name, value in self.table("constants", allowed).items()
            if name in allowed
        }
        if valid_from is not None:
            constants["valid_from"] = DateCell(valid_from.isoformat())
        for name in columns:
            if name in constants:
                said = "the command gives" if name == "valid_from" and valid_from is not None else "constants gives"
                self.faults.append(f"{name} stands under columns, and {said} it too; it must be given once")
        first, last = constants.get("valid_from", ""), constants.get("valid_to", "")
        if first and last and last < first:
            self.refuse("constants.valid_to", last, f"it must not be before valid_from, {first}")
        return constants

    def _breaks(self, columns: dict[str, str], constants: dict[str, str]) -> tuple[BreakColumns, ...]:
        given = self.given.get("breaks", [])
        if not isinstance(given, list) or not all(isinstance(each, dict) for each in given):
            self.refuse("breaks", given, "it must be one table for each pair of break columns, each headed [[breaks]]")
            return ()
        breaks: list[BreakColumns] = []
        for place, each in enumerate(given, 1):
            key = f"breaks {place}"
            self.faults += [
                f"{key}.{name} is unknown; it must be one of from_quantity, price"
                for name in each
                if name not in BreakColumns._fields
            ]
            missing = [name for name in BreakColumns._fields if name not in each]
            if missing:
                self.faults += [f"{key}.{name} is missing" for name in missing]
                continue
            start: Any = each["from_quantity"]
            if isinstance(start, str):
                self.text(f"{key}.from_quantity", start)
            else:
                cell = self.field(f"{key}.from_quantity", "from_quantity", start)
                start = Decimal(cell) if isinstance(cell, NumberCell) else Decimal(1)
                before = breaks[-1].from_quantity if breaks else None
                if isinstance(before, Decimal) and start <= before:
                    self.refuse(
                        f"{key}.from_quantity", start, f"it must be more than that of the break before it, {before}"
                    )
            breaks.append(BreakColumns(start, self.text(f"{key}.price", each["price"])))
        headings = [each.price for each in breaks]
        headings += [each.from_quantity for each in breaks if isinstance(each.from_quantity, str)]
        self.faults += [
            f"breaks name the heading {heading!r} twice; each must stand once"
            for heading in dict.fromkeys(headings)
            if headings.count(heading) > 1
        ]
        if breaks:
            for name in ("price", "from_quantity"):
                if name in columns or name in constants:
                    self.faults.append(f"{name} stands both in breaks and elsewhere; it must stand once")
        return tuple(breaks)

    def _articles(self) -> dict[str, Article]:
        articles = {}
        given = self.table("articles")
        if not given:
            self.faults.append("articles is missing; it must say which of the supplier's articles are which of our codes")
        for number_, said in given.items():
            key = f"articles.{number_}"
            if isinstance(said, str):
                said = {"code": said}
            if not isinstance(said, dict) or "code" not in said:
                self.refuse(key, said, 'it must be our code, or { code = "...", and more about it }')
                continue
            self.faults += [
                f"{key}.{name} is unknown; it must be one of code, {', '.join(OF_AN_ARTICLE)}"
                for name in said
                if name not in ("code", *OF_AN_ARTICLE)
            ]
            fields = {name: self.field(f"{key}.{name}", name, said[name]) for name in OF_AN_ARTICLE if name in said}
            articles[number_] = Article(self.text(f"{key}.code", said["code"], most=40), fields)
        return articles

    def _words(self, name: str, read: Callable[[str], Any]) -> dict[str, str]:
        """A table from the supplier's words to ours."""
        words = {}
        for theirs, ours in self.table(name).items():
            if not isinstance(ours, str):
                self.refuse(f"{name}.{theirs}", ours, "it must be text in quotation marks")
            elif isinstance(refusal := read(ours), Refusal):
                self.refuse(f"{name}.{theirs}", ours, refusal)
            else:
                words[" ".join(theirs.split())] = ours
        return words

    def _quantities_in(self) -> str:
        said = self.given.get("quantities_in", PACKS)
        if said != PACKS and (not isinstance(said, str) or unit_refusal(said)):
            self.refuse("quantities_in", said, f"it must be {PACKS}, or a unit such as each, kg or m2")
        return str(said)

    def _density_in(self) -> str:
        said = self.given.get("density_in", "")
        if said != "" and (not isinstance(said, str) or isinstance(_density(f"1 {said}"), Refusal)):
            self.refuse("density_in", said, "it must be a mass for a volume, like kg/L or lb/gal")
        return str(said)

    def _whole_list_from(self, constants: dict[str, str]) -> datetime.date | None:
        said = self.given.get("whole_list", False)
        if isinstance(said, datetime.date) and not isinstance(said, datetime.datetime):
            return said
        if said is True:
            first = day(constants.get("valid_from", ""))
            if isinstance(first, Refusal):
                wanted = "it must be the day from which the file is all he sells, since valid_from is no constant"
                self.refuse("whole_list", said, wanted)
                return None
            return first
        if said is not False:
            self.refuse("whole_list", said, "it must be true, false, or the day from which the file is all he sells")
        return None

    def _numbers(self) -> dict[str, str]:
        numbers = self.table("numbers", ("decimal_mark", "thousands_mark", "money_sign"))
        if "decimal_mark" not in numbers:
            self.faults.append("numbers.decimal_mark is missing; it must be one of '.' ','")
        decimal_mark = self.text("numbers.decimal_mark", numbers.get("decimal_mark", "."), (".", ","))
        thousands_mark = self.text(
            "numbers.thousands_mark", numbers.get("thousands_mark", ""), ("", ".", ",", " ", "'", "\u2019")
        )
        if thousands_mark and thousands_mark == decimal_mark:
            self.refuse("numbers.thousands_mark", thousands_mark, "it must be another mark than the decimal mark")
        sign = numbers.get("money_sign", "")
        if sign != "":
            sign = self.text("numbers.money_sign", sign, most=8).strip()
            if re.search(r"[\d.,+-]", sign):
                self.refuse("numbers.money_sign", sign, "it must have no digit and no mark of a number")
        return {"decimal_mark": decimal_mark, "thousands_mark": thousands_mark, "money_sign": sign}

    def _dates(self, columns: dict[str, str]) -> str:
        dates = self.table("dates", ("written",))
        written = dates.get("written", "")
        in_columns = [name for name in ("valid_from", "valid_to") if name in columns]
        if in_columns and "written" not in dates:
            self.faults.append(
                f"dates.written is missing; it must say how {columns[in_columns[0]]!r} is written, like DD.MM.YYYY"
            )
        parts = re.findall(DATE_PART, written) if isinstance(written, str) else []
        if "written" in dates and (sorted(part[0] for part in parts) != ["D", "M", "Y"] or set(parts) - set(DATE_PARTS)):
            self.refuse("dates.written", written, "it must name day, month and year once each, like DD.MM.YYYY or M/D/YY")
        return str(written)


def _quoted(allowed: Any) -> str:
    return " ".join(map(repr, allowed))
