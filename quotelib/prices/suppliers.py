"""A supplier's price file, read by its mapping into offers in the shop's own terms.

    file = read_supplier_file("brackmoor-2027.csv", load_mapping("brackmoor.toml"), materials)
    file.offers          one for each price: the shop's code, the pack, the price as asked, from which quantity and day
    file.refused         rows that are not in order, each with its reasons
    file.unmapped        articles that the mapping gives no code for: listed, never lost
    file.absent          articles of the mapping that the file does not have

Prices stay in the supplier's currency and are exact decimals.  A row that is refused holds back the other rows of its code:
half of an article's price breaks would be worse than none.  What is wrong says where: file, sheet, row, column with the
heading as the supplier wrote it, value, what is allowed.

A minimum order is kept as such, in packs.  Breaks that start below it are never reached: the price that holds at the
minimum is then the price of the code, from 1 pack on, since that is what a pack costs whoever orders as little as he may.
"""

import datetime
import hashlib
import math
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from functools import cached_property
from itertools import groupby, pairwise
from pathlib import Path
from typing import NamedTuple

from quotelib.files.faults import Faults, Refusal
from quotelib.files.readers import allows, day, free_text
from quotelib.files.tables import DateCell, ErrorCell, NumberCell, Row, Table, read_table
from quotelib.kinds import NumberKind
from quotelib.prices.currencies import money_text
from quotelib.prices.mappings import FIELDS, FIRST_BREAK, PACKS, Article, SupplierMapping
from quotelib.prices.offers import Offer, Priced, divided, divisor_of, factors, packs_text, says
from quotelib.prices.pricelist import FROM_QUANTITY, MINIMUM_ORDER, PACK_QUANTITY, PRICE, pack_size
from quotelib.prices.units import MATERIALS, unit_size

QUANTITY = NumberKind("quantity", "", least=0, most=1e9)


class RefusedRow(NamedTuple):
    """A row that was not taken, with every reason."""

    row: int
    article: str
    code: str
    """The shop's code; blank where the row does not lead to one."""
    reasons: tuple[str, ...]


class UnmappedRow(NamedTuple):
    """A row whose article has no code in the mapping."""

    row: int
    article: str
    description: str


@dataclass(frozen=True)
class SupplierFile:
    """What a supplier's file says."""

    table: Table
    sha256: str
    mapping: SupplierMapping
    offers: tuple[Offer, ...]
    refused: tuple[RefusedRow, ...]
    unmapped: tuple[UnmappedRow, ...]
    absent: tuple[str, ...]
    notices: tuple[str, ...]
    """What a person may want to know, such as rows that say the same twice."""

    @cached_property
    def codes(self) -> set[str]:
        """The shop's codes that the file has something of, refused rows included; small letters."""
        return {each.code.casefold() for found in (self.offers, self.refused) for each in found if each.code}

    def place(self, row: int) -> str:
        """A row of the file, in words."""
        return f"{self.table.counted} {row}"


def read_supplier_file(
    path: str | Path, mapping: SupplierMapping, materials: Mapping[str, tuple[str, str]]
) -> SupplierFile:
    """The offers in a supplier's file.

    Parameters
    ----------
    path : path
        CSV or .xlsx.
    mapping : SupplierMapping
        How it is to be read.
    materials : mapping from str to (str, str)
        The codes of the shop's list in small letters, each with its spelling and its kind of material.

    Raises FileRefused for a file that cannot be read, or lacks a column that the mapping names.
    """
    table = read_table(path, mapping.sheet, mapping.encoding, mapping.delimiter, mapping.heading_row, refuse=False)
    reading = _Reading(table, mapping, materials)
    for row in table.rows:
        reading.read(row)
    return reading.file(hashlib.sha256(Path(path).read_bytes()).hexdigest())


class _Reading:
    """A supplier's file being read."""

    def __init__(self, table: Table, mapping: SupplierMapping, materials: Mapping[str, tuple[str, str]]) -> None:
        self.table, self.mapping, self.materials = table, mapping, materials
        self.places = self._places()
        self.found = table.faults.by_row()
        if 0 in self.found:
            table.faults.refuse()
        self.priced: list[Priced] = []
        self.refused: dict[int, RefusedRow] = {}
        self.unmapped: list[UnmappedRow] = []
        self.notices: list[str] = []
        self.seen: set[str] = set()
        rows = {row.number for row in table.rows}
        for number, texts in self.found.items():
            if number not in rows:
                self.refused[number] = RefusedRow(number, "", "", tuple(texts))

    def _places(self) -> dict[str, int]:
        """Where each heading stands that the mapping names; those that are missing or stand twice refuse the file."""
        named = {" ".join(heading.split()): f"columns.{name}" for name, heading in self.mapping.columns.items()}
        for place, each in enumerate(self.mapping.breaks, 1):
            for heading in each:
                if isinstance(heading, str):
                    named[" ".join(heading.split())] = f"breaks {place}"
        header, faults = self.table.header, Faults(self.table.path, self.table.sheet)
        for heading, where in named.items():
            times = header.count(heading)
            if times != 1:
                wrong = f"the heading {heading!r} stands {times} times" if times else f"there is no heading {heading!r}"
                there = ", ".join(repr(each) for each in header if each)
                faults.row(
                    self.table.header_row, f"{wrong}; {self.mapping.file} names it under {where}; the row has {there}"
                )
        faults.refuse()
        return {heading: header.index(heading) for heading in named}

    def read(self, row: Row) -> None:
        """Read one row into prices, or note why it is refused."""
        line = _Line(self, row)
        article = line.cells["article"]
        known = self.mapping.articles.get(article)
        if known is None and (line.nothing_but("article", "description") or not line.article_refusal):
            self.unmapped.append(UnmappedRow(row.number, article, line.cells["description"]))
            self.notices += self.found.get(row.number, ())
            return
        self.seen.add(article)
        code = self.materials.get(known.code.casefold(), (known.code, ""))[0] if known else ""
        priced = line.prices(known, code) if known else []
        if line.article_refusal:
            line.refuse("article", article, line.article_refusal)
        texts = [*self.found.get(row.number, ()), *line.faults.texts()]
        if texts:
            self.refused[row.number] = RefusedRow(row.number, article, code, tuple(texts))
        else:
            self.priced += priced

    def refuse(self, offer: Offer, heading: str, value: object, allowed: str) -> None:
        """Note what is wrong with an offer among the others of its article."""
        faults = Faults(self.table.path, self.table.sheet)
        if heading in self.places:
            faults.cell(offer.row, self.places[heading], heading, value, allowed)
        else:
            faults.row(offer.row, f"{heading} is {value}; {allowed}")
        before = self.refused.get(offer.row)
        reasons = (*(before.reasons if before else ()), *faults.texts())
        self.refused[offer.row] = RefusedRow(offer.row, offer.article, offer.code, reasons)

    def file(self, sha256: str) -> SupplierFile:
        """All that was read, the other rows of a refused row's code held back."""
        groups: dict[tuple[str, Decimal, datetime.date], list[Priced]] = defaultdict(list)
        for each in self.priced:
            groups[each.offer.code.casefold(), each.offer.pack, each.offer.valid_from].append(each)
        offers = [offer for _, group in sorted(groups.items()) for offer in self._settled(group)]
        culprits: dict[str, int] = {}
        for row in sorted(self.refused):
            culprits.setdefault(self.refused[row].code.casefold(), row)
        culprits.pop("", None)
        held = [offer for offer in offers if offer.code.casefold() in culprits]
        for offer in held:
            reason = (
                f"{self._place(offer.row)}: held back, since {self._place(culprits[offer.code.casefold()])} of the same "
            )
            self.refused.setdefault(
                offer.row, RefusedRow(offer.row, offer.article, offer.code, (f"{reason}code is refused",))
            )
        return SupplierFile(
            self.table,
            sha256,
            self.mapping,
            tuple(offer for offer in offers if offer.code.casefold() not in culprits),
            tuple(sorted(self.refused.values())),
            tuple(self.unmapped),
            tuple(article for article in self.mapping.articles if article not in self.seen),
            tuple(self.notices),
        )

    def _place(self, row: int) -> str:
        return self.table.faults.place(row)

    def _settled(self, group: list[Priced]) -> Iterable[Offer]:
        """The offers of one pack of a code from one day: said once, in whole packs, from the minimum order on."""
        breaks = self._said_once(sorted(group, key=lambda each: (each.start, each.offer.row)))
        for smaller, larger in pairwise(breaks):
            if larger.offer.currency == smaller.offer.currency and larger.offer.price > smaller.offer.price:
                wanted = f"it must not come dearer for more than {self._place(smaller.offer.row)} asks for less"
                price = f"{money_text(larger.offer.price, larger.offer.currency)} from {packs_text(larger.start)} packs"
                self.refuse(larger.offer, self._heading_of("price"), price, wanted)
        divisor = divisor_of([each.start for each in breaks])
        if set(factors(divisor)) - {2, 5}:
            odd = next(each for each in breaks if each.start.denominator != 1)
            wanted = f"it must be whole packs, or quantities that divide {odd.offer.pack_unit} without remainder"
            self.refuse(odd.offer, self._heading_of("from_quantity"), f"{packs_text(odd.start)} packs", wanted)
            return [each.offer for each in breaks]
        return self._from_the_minimum([divided(each, divisor) for each in breaks])

    def _heading_of(self, name: str) -> str:
        return " ".join(self.mapping.columns.get(name, name.replace("_", " ")).split())

    def _said_once(self, breaks: list[Priced]) -> list[Priced]:
        """One price for each from quantity; the same said twice is a notice, another price a fault of both."""
        kept: list[Priced] = []
        for _, same_start in groupby(breaks, key=lambda each: each.start):
            first, *more = alike = list(same_start)
            kept.append(first)
            if len(set(map(says, alike))) == 1:
                self.notices += [
                    f"{self._place(each.offer.row)}: it says the same as {self._place(first.offer.row)}, and is taken once"
                    for each in more
                ]
                continue
            for each in alike:
                other = next(one.offer for one in alike if says(one) != says(each))
                price, currency = money_text(each.offer.price, each.offer.currency), each.offer.currency
                wanted = f"{self._place(other.row)} gives {money_text(other.price, other.currency)} for the same pack of "
                wanted += f"{other.code}, quantity and day; it must be said once"
                self.refuse(each.offer, self._heading_of("price"), f"{price} {currency}", wanted)
        return kept

    def _from_the_minimum(self, breaks: list[Priced]) -> list[Offer]:
        """The offers in whole packs, with the minimum order; those below it are never reached."""
        leasts = {each.least for each in breaks}
        if len(leasts) > 1:
            first = breaks[0].offer
            wanted = "all price breaks of one pack must have the same"
            self.refuse(first, self._heading_of("minimum_order"), "not the same in every row", wanted)
        least = leasts.pop()
        if least is None:
            return [replace(each.offer, from_quantity=int(each.start)) for each in breaks]
        minimum = max(1, math.ceil(breaks[0].start if isinstance(least, str) else least))
        reached = [each for each in breaks if each.start <= minimum]
        if len(reached) > 1:
            below = ", ".join(self._place(each.offer.row) for each in reached[:-1])
            self.notices.append(
                f"{below}: the price starts below the minimum order of {minimum} packs and is never reached"
            )
        offers = [replace(each.offer, from_quantity=int(each.start), minimum_order=minimum) for each in breaks]
        if not reached:
            return offers
        return [replace(offers[len(reached) - 1], from_quantity=1), *offers[len(reached) :]]


class _Line:
    """One row of the file by the fields of the mapping, with its own faults."""

    def __init__(self, reading: _Reading, row: Row) -> None:
        self.reading, self.mapping, self.row = reading, reading.mapping, row
        self.faults = Faults(reading.table.path, reading.table.sheet)
        self.cells = dict.fromkeys(FIELDS, "") | dict(self.mapping.constants)
        for name, heading in self.mapping.columns.items():
            self.cells[name] = row.cells[reading.places[" ".join(heading.split())]]

    def nothing_but(self, *names: str) -> bool:
        """Whether the row is blank but for these fields: a heading among the rows, or a remark."""
        headings = [heading for name, heading in self.mapping.columns.items() if name not in names]
        headings += [each.price for each in self.mapping.breaks]
        return not any(self.row.cells[self.reading.places[" ".join(heading.split())]] for heading in headings)

    def refuse(self, name: str, value: str, allowed: str) -> None:
        """A fault of a field: at its column, or of the row where the mapping gives it otherwise."""
        heading = " ".join(self.mapping.columns.get(name, "").split())
        self.refuse_cell(heading, value, allowed) if heading else self.faults.row(
            self.row.number, f"{name.replace('_', ' ')} is {value!r}, as {self.mapping.file} has it; {allowed}"
        )

    def refuse_cell(self, heading: str, value: str, allowed: str) -> None:
        self.faults.cell(self.row.number, self.reading.places[heading], heading, value, allowed)

    @property
    def article_refusal(self) -> Refusal | None:
        """Why the article is none that a row could be told by."""
        refusal = _sound_text(self.cells["article"], 80)
        return refusal if isinstance(refusal, Refusal) else None

    def prices(self, article: Article, code: str) -> list[Priced]:
        """The prices of the row; faults are noted, and then what is given is of no use."""
        cells = self.cells | dict(article.fields)
        description = cells["description"]
        if description and isinstance(refusal := _sound_text(description), Refusal):
            self.refuse("description", description, refusal)
        kind = self._kind(article, code)
        quantity = self._number("pack_quantity", cells["pack_quantity"] or NumberCell("1"), PACK_QUANTITY)
        if "pack_quantity" in self.mapping.columns and not cells["pack_quantity"]:
            self.refuse("pack_quantity", "", PACK_QUANTITY.refusal())
        unit, pack = self._pack(kind, quantity, cells["pack_unit"], self._density(cells["density"]))
        currency = FIELDS["currency"].read(cells["currency"])
        if isinstance(currency, Refusal):
            self.refuse("currency", cells["currency"], currency)
        first, last = self._day("valid_from", cells["valid_from"]), self._day("valid_to", cells["valid_to"])
        if first and last and last < first:
            self.refuse("valid_to", cells["valid_to"], f"it must not be before valid from, {first}")
        breaks = [(self._packs("from_quantity", start, where, kind, pack), price) for start, where, price in self._breaks()]
        least = self._least(cells["minimum_order"], kind, pack)
        for (start, _), (later, _) in pairwise(breaks):
            if start is not None and later is not None and later <= start:
                wanted = "they must grow from column to column"
                self.faults.row(
                    self.row.number, f"the from quantities are {packs_text(start)} and then {packs_text(later)}; {wanted}"
                )
        if self.faults or not (quantity and pack and first):
            return []
        priced = []
        for start, price in breaks:
            if start is None or price is None:
                return []
            offer = Offer(
                self.row.number, cells["article"], code, description, kind, quantity, unit, pack, price, currency, 1, None,
                first, last, f"{money_text(price, currency)} {currency} for {quantity.normalize():f} {unit}",
            )  # fmt: skip
            priced.append(Priced(offer, start, least))
        return priced

    def _kind(self, article: Article, code: str) -> str:
        """The kind of material: that of the list where the code is known."""
        listed = self.reading.materials.get(code.casefold(), ("", ""))[1]
        said = article.fields.get("kind", "")
        if not said and "kind" in self.mapping.columns:
            written = self.cells["kind"]
            said = self.mapping.kinds.get(written, written.lower())
            if said not in MATERIALS:
                wanted = f"it must be one of {', '.join((*self.mapping.kinds, *MATERIALS))}"
                self.refuse("kind", written, wanted)
                return ""
        if said and listed and said != listed:
            self.refuse("kind", said, f"it must be {listed} as in the shop's list: one code is one material")
            return ""
        kind = listed or said or self.mapping.constants.get("kind", "")
        if not kind:
            wanted = f"{code} is new to the shop's list, and {self.mapping.file} must give its kind of material"
            self.faults.row(self.row.number, wanted)
        return kind

    def _number(self, name: str, text: str, kind: NumberKind, heading: str = "") -> Decimal | None:
        """A number of a field, or of the column of a break; None where it is refused."""
        plain = self.mapping.number_text(text, money=name == "price")
        value = None if plain is None else Decimal(plain)
        if value is not None and allows(kind, value):
            return value
        wanted = kind.refusal()
        if value is None:
            wanted = f"{kind.refusal('a number, ')}, written like {self.mapping.number_example}"
        self.refuse_cell(heading, text, wanted) if heading else self.refuse(name, text, wanted)
        return None

    def _day(self, name: str, text: str) -> datetime.date | None:
        if not text and name == "valid_to":
            return None
        plain = self.mapping.date_text(text)
        found = day(plain) if plain else Refusal()
        if isinstance(found, Refusal):
            written = self.mapping.dates_written or "YYYY-MM-DD"
            self.refuse(name, text, f"it must be a date from 1990 to 2199, written {written}")
            return None
        return found

    def _density(self, text: str) -> str:
        """The density as a unit takes it."""
        if self.mapping.density_in and text == self.cells["density"]:
            plain = self.mapping.number_text(text) if text else None
            text = f"{plain} {self.mapping.density_in}" if plain else text
        if text and isinstance(refusal := FIELDS["density"].read(text), Refusal):
            self.refuse("density", text, refusal)
            return ""
        return text

    def _pack(self, kind: str, quantity: Decimal | None, written: str, density: str) -> tuple[str, Decimal | None]:
        """The unit in our words, and what a pack holds in quoting units."""
        unit = self.mapping.units.get(written, written)
        if not unit:
            self.refuse("pack_unit", written, FIELDS["pack_unit"].read("") or "it must be a unit")
        if not unit or not kind:
            return unit, None
        size = unit_size(unit, kind)
        if isinstance(size, Refusal) and density:
            dense = f"{unit} at {density}"
            by_density = unit_size(dense, kind)
            if not isinstance(by_density, Refusal):
                unit, size = dense, by_density
        if isinstance(size, Refusal):
            as_ours = f"; {self.mapping.file} reads it as {unit}" if unit != written else ""
            self.refuse("pack_unit", written, size + as_ours)
            return unit, None
        pack = pack_size(quantity, size)
        if isinstance(pack, Refusal):
            if pack:
                self.refuse("pack_quantity", str(quantity), pack)
            return unit, None
        return unit, pack

    def _breaks(self) -> list[tuple[Decimal | None, str, Decimal | None]]:
        """The prices of the row, each with its from quantity and the heading of that; blank break columns are none."""
        if not self.mapping.breaks:
            heading = " ".join(self.mapping.columns.get("from_quantity", "").split())
            text = self.cells["from_quantity"]
            start: Decimal | None = Decimal(1)
            if text or heading:
                start = self._number("from_quantity", text, QUANTITY)
            return [(start, heading, self._number("price", self.cells["price"], PRICE))]
        found = []
        for start_at, price_at in self.mapping.breaks:
            heading = " ".join(price_at.split())
            text = self.row.cells[self.reading.places[heading]]
            if not text:
                continue
            if isinstance(start_at, str):
                start_at = " ".join(start_at.split())
                written = self.row.cells[self.reading.places[start_at]]
                start, where = self._number("from_quantity", written, QUANTITY, start_at), start_at
            else:
                start, where = start_at, heading
            found.append((start, where, self._number("price", text, PRICE, heading)))
        if not found:
            self.refuse_cell(" ".join(self.mapping.breaks[0].price.split()), "", PRICE.refusal("a number, "))
        return found

    def _packs(self, name: str, quantity: Decimal | None, heading: str, kind: str, pack: Decimal | None) -> Fraction | None:
        """A quantity of the supplier's in packs; 0 is from the first pack on."""
        if quantity is None or (self.mapping.quantities_in != PACKS and (not kind or pack is None)):
            return None
        if self.mapping.quantities_in == PACKS:
            packs = Fraction(quantity or 1)
            allowed = FROM_QUANTITY if name == "from_quantity" else MINIMUM_ORDER
            if packs.denominator == 1:
                return packs
            wanted = allowed.refusal()
        else:
            size = unit_size(self.mapping.quantities_in, kind)
            if not isinstance(size, Refusal) and pack is not None:
                return Fraction(quantity or 1) * Fraction(size) / Fraction(pack)
            wanted = f"it counts {self.mapping.quantities_in}, and {size}"
        self.refuse_cell(heading, str(quantity), wanted) if heading else self.refuse(name, str(quantity), wanted)
        return None

    def _least(self, text: str, kind: str, pack: Decimal | None) -> Fraction | str | None:
        """The minimum order in packs; None where the mapping says nothing of it."""
        in_column = "minimum_order" in self.mapping.columns
        if text == FIRST_BREAK and not in_column:
            return FIRST_BREAK
        if not text:
            return Fraction(1) if in_column else None
        heading = " ".join(self.mapping.columns.get("minimum_order", "").split())
        return self._packs("minimum_order", self._number("minimum_order", text, QUANTITY), heading, kind, pack)


def _sound_text(text: str, most: int = 200) -> str:
    if isinstance(text, ErrorCell | DateCell):
        return Refusal("it must be text, not an error value or a date")
    return free_text(most)(text)
