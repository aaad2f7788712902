"""A supplier's offers merged into the shop's price list: decided as a whole first, and written only then.

    plan = plan_merge(read_shop_list("price-list.csv"), file, rates, day=datetime.date(2027, 1, 4))
    plan.changes        what becomes of each price, with its reason
    plan.refused        rows of the supplier's file that are not taken, with theirs
    plan.content        the bytes of the merged list

What becomes of a price
-----------------------
new           the list had none for this pack and quantity
changed       another price, from a day on; the old row ends the day before
corrected     another price from the very day on which the list's own starts: the row is written over
ended         a break of an offered pack that is offered no more; an article or a pack that the supplier's whole list lacks
withdrawn     the same, where the row would start on that very day and so never holds
unchanged     the same price, on the same days

Rows are ended, never deleted; what is written over or withdrawn stays in the history (history.py).

A price belongs to a code, a supplier, a size of pack and a from quantity.  The breaks of one pack are offered together:
what the offer of a pack does not repeat is ended.  Packs that the file does not name stay as they are, unless it is all he
sells.  A new price holds until its own last day, or until the next price that the list has for it.  A last day that the
file does not state is left as the list has it.

Prices in another currency are converted at the newest rate not after their first day, or not after the day of the merge
where that comes first.  The product is exact.  What the supplier asked, with the rate and its day, stands in the column
`offered`.

A code whose price is five times the last one or more, or a fifth or less, is refused until it is confirmed by name: it is
nearly always a slip of a unit or a mark.  (A slip by ten, together with the change of a price, is less than ten or a tenth:
hence five.)  The merged list must itself load without a fault; a code that would break it is
refused.
"""

import datetime
import re
from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Context, Decimal
from functools import cached_property
from typing import NamedTuple

from quotelib.errors import QuoteError, RangeError
from quotelib.files.readers import allows
from quotelib.prices.currencies import ExchangeRate, ExchangeRates, money_text
from quotelib.prices.offers import Offer
from quotelib.prices.pricelist import PRICE
from quotelib.prices.shoplist import ListRow, ShopList
from quotelib.prices.suppliers import RefusedRow, SupplierFile

KINDS_OF_CHANGE = ("new", "changed", "corrected", "ended", "withdrawn", "unchanged")
FACTOR = Decimal(5)
OLDEST_RATE_DAYS = 31
DIGITS = Context(prec=60)
"""Enough for the product of any price and rate."""
DECIMALS_MOST = 30
"""Decimals that a price in the list may have."""
ONE_DAY = datetime.timedelta(1)


class Change(NamedTuple):
    """What becomes of one price."""

    what: str
    code: str
    pack: str
    from_quantity: int
    was: Decimal | None
    """The price of a pack before, in the list's currency; None where there was none."""
    now: Decimal | None
    """The price from now on; None where it has none any more."""
    first: datetime.date
    """The day from which that is so."""
    last: datetime.date | None
    why: str
    row: int
    """The row of the supplier's file; 0 where none is the cause."""
    line: int
    """The line of the list before; 0 where there is none."""

    @property
    def percent(self) -> Decimal | None:
        """By how much the price moves."""
        return None if self.was is None or self.now is None else (self.now / self.was - 1) * 100


@dataclass(frozen=True)
class MergePlan:
    """What a merge would do, all of it decided and nothing of it done."""

    shop: ShopList
    file: SupplierFile
    day: datetime.date
    """The day of the merge."""
    rates_file: str
    """The file of the exchange rates; blank where none was needed."""
    rates: tuple[ExchangeRate, ...]
    """The rates by which prices were converted."""
    rows: tuple[ListRow, ...]
    """The rows of the merged list."""
    changes: tuple[Change, ...]
    refused: tuple[RefusedRow, ...]
    notices: tuple[str, ...]

    @cached_property
    def counts(self) -> dict[str, int]:
        """How many prices of each kind of change, and how many rows refused."""
        counted = Counter(change.what for change in self.changes)
        return {what: counted[what] for what in KINDS_OF_CHANGE} | {"refused": len(self.refused)}

    @cached_property
    def content(self) -> bytes:
        """The bytes of the merged list."""
        return self.shop.content(self.rows)

    @property
    def changes_nothing(self) -> bool:
        """Whether the list stays as it is."""
        return all(change.what == "unchanged" for change in self.changes)


def plan_merge(
    shop: ShopList,
    file: SupplierFile,
    rates: ExchangeRates | None,
    day: datetime.date,
    oldest_rate_days: int = OLDEST_RATE_DAYS,
    factor: Decimal = FACTOR,
    confirmed: Collection[str] = (),
) -> MergePlan:
    """Decide what a supplier's file does to the shop's list.

    Parameters
    ----------
    shop : ShopList
        The list as it stands.
    file : SupplierFile
        The offers.
    rates : ExchangeRates, optional
        For prices in other currencies.
    day : date
        The day of the merge.
    oldest_rate_days : int
        Days that an exchange rate may be old.
    factor : Decimal
        How many times the last price is taken for a slip, more than 1.
    confirmed : str, any number
        Codes whose prices were looked at and are right, however far they moved.
    """
    if not factor > 1:
        raise RangeError("factor", factor, "it must be more than 1")
    return _Merge(shop, file, rates, day, oldest_rate_days, factor, confirmed).plan()


class _Converted(NamedTuple):
    """An offer in the currency of the list."""

    offer: Offer
    price: Decimal
    rate: ExchangeRate | None


class _Merge:
    """A merge being decided."""

    def __init__(
        self,
        shop: ShopList,
        file: SupplierFile,
        rates: ExchangeRates | None,
        day: datetime.date,
        oldest_rate_days: int,
        factor: Decimal,
        confirmed: Collection[str],
    ) -> None:
        self.shop, self.file, self.rates, self.day = shop, file, rates, day
        self.oldest_rate_days, self.factor = oldest_rate_days, factor
        self.confirmed = {code.casefold() for code in confirmed}
        self.supplier = file.mapping.supplier
        self.refused: dict[int, RefusedRow] = {row.row: row for row in file.refused}
        self.notices = list(file.notices)
        self.listed: dict[str, list[ListRow]] = defaultdict(list)
        for row in shop.rows:
            self.listed[row.code].append(row)
        self.offers: dict[str, list[Offer]] = defaultdict(list)
        for offer in file.offers:
            self.offers[offer.code.casefold()].append(offer)
        self.merged: dict[str, _Code] = {}

    def plan(self) -> MergePlan:
        """Decide it code by code; then look at the list as a whole."""
        if not any(row["supplier"] == self.supplier for row in self.shop.rows):
            self.notices.append(f"the list has nothing from {self.supplier} yet")
        for code in sorted(self.offers):
            converted = self._converted(code)
            if converted is None or self._refused_for_another_supplier(code):
                continue
            merged = _Code(self.listed[code], self.supplier, self.shop.currency)
            merged.take(converted)
            if not self._refused_for_a_leap(code, merged, converted):
                self.merged[code] = merged
        self._end_what_is_not_offered()
        rows = self._rows()
        while rows != list(self.shop.rows) and (faults := self.shop.faults_with(rows)):
            self._refuse_for(faults, rows)
            rows = self._rows()
        changes = [change for merged in self.merged.values() for change in merged.changes]
        changes.sort(key=lambda change: (change.code.casefold(), change.first, change.pack, change.from_quantity))
        used = {rate for merged in self.merged.values() for rate in merged.rates}
        return MergePlan(
            self.shop,
            self.file,
            self.day,
            self.rates.file if self.rates and used else "",
            tuple(sorted(used)),
            tuple(rows),
            tuple(changes),
            tuple(sorted(self.refused.values())),
            tuple(self.notices),
        )

    def _refuse(self, code: str, reason: str, own: Mapping[Offer, str] | None = None) -> None:
        """Refuse every offer of a code, each for its own reason if it has one."""
        self.merged.pop(code, None)
        for offer in self.offers[code]:
            told = f"{self.file.table.faults.place(offer.row)}: {(own or {}).get(offer, reason)}"
            before = self.refused.get(offer.row)
            reasons = before.reasons if before else ()
            if told not in reasons:
                self.refused[offer.row] = RefusedRow(offer.row, offer.article, offer.code, (*reasons, told))

    def _converted(self, code: str) -> list[_Converted] | None:
        """The offers of a code in the currency of the list; None where that cannot be, and the code is refused."""
        converted: list[_Converted] = []
        wrong: dict[Offer, str] = {}
        for offer in self.offers[code]:
            try:
                converted.append(self._in_our_currency(offer))
            except QuoteError as refusal:
                wrong[offer] = str(refusal)
        if not wrong:
            return converted
        first = next(iter(wrong))
        held = f"held back, since {self.file.table.faults.place(first.row)} of the same code is refused"
        self._refuse(code, held, wrong)
        return None

    def _in_our_currency(self, offer: Offer) -> _Converted:
        if offer.currency == self.shop.currency:
            return _Converted(offer, offer.price, None)
        pair = f"{offer.currency} to {self.shop.currency}"
        if self.rates is None:
            raise RangeError("exchange rate", pair, "a table of exchange rates must be given")
        day = min(offer.valid_from, self.day)
        rate = self.rates.on(day, offer.currency, self.shop.currency, self.oldest_rate_days)
        price = DIGITS.multiply(offer.price, rate.value)
        if -int(price.as_tuple().exponent) > DECIMALS_MOST:
            price = price.quantize(Decimal(1).scaleb(-DECIMALS_MOST), context=DIGITS)
        if not allows(PRICE, price):
            raise RangeError(f"the price in {self.shop.currency}", price, PRICE.refusal())
        return _Converted(offer, price, rate)

    def _refused_for_another_supplier(self, code: str) -> bool:
        """A code is bought from one supplier at a time."""
        for offer in self.offers[code]:
            others = [
                row
                for row in self.listed[code]
                if row["supplier"] != self.supplier and not row.ends_before(offer.valid_from)
            ]
            if others:
                until = f"until {others[0].last}" if others[0].last else "without an end"
                self._refuse(
                    code,
                    f"{offer.code} is bought from {others[0]['supplier']} {until} (line {others[0].line} of the list); "
                    "end those prices first, or give this article a code of its own in the mapping",
                )
                return True
        return False

    def _refused_for_a_leap(self, code: str, merged: "_Code", offers: Iterable[_Converted]) -> bool:
        """A price many times the last one is nearly always a slip."""
        leaps = {}
        confirm = f"{self.offers[code][0].code} must be confirmed by name if that is right"
        for each in offers:
            last = merged.last_price(each.offer)
            if last is None:
                continue
            ratio = DIGITS.divide(each.price * last.pack, last.price * each.offer.pack)
            if ratio >= self.factor or ratio * self.factor <= 1:
                times = f"{ratio:.4g} times" if ratio > 1 else f"1/{1 / ratio:.4g} of"
                price = money_text(each.price, self.shop.currency)
                leaps[each.offer] = (
                    f"the price {price} {self.shop.currency} is {times} the last one for each unit, {last['price']} "
                    f"for {_pack_text(last)} (line {last.line} of the list); {confirm}"
                )
        if not leaps or code in self.confirmed:
            return False
        self._refuse(code, f"held back, since another price of it leaps; {confirm}", leaps)
        return True

    def _end_what_is_not_offered(self) -> None:
        """A file that is all he sells ends the rest of what the list has from him."""
        first = self.file.mapping.whole_list_from
        if first is None:
            return
        unreadable = [self.file.place(row.row) for row in self.refused.values() if not row.code]
        for code, rows in self.listed.items():
            if code not in self.file.codes:
                theirs = _Code(rows, self.supplier, self.shop.currency)
                theirs.end(first, set(), "the supplier's whole list no longer has it")
                if theirs.changes and unreadable:
                    self.notices.append(
                        f"{rows[0]['code']} is not ended, though the file lacks it: {unreadable[0]} could not be read"
                    )
                elif theirs.changes:
                    self.merged[code] = theirs
            elif code in self.merged:
                packs = {offer.pack for offer in self.offers[code]}
                self.merged[code].end(first, packs, "the supplier's whole list no longer has this pack")

    def _rows(self) -> list[ListRow]:
        """The rows of the merged list: each code's new rows after its last, new codes at the end."""
        rows: list[ListRow] = []
        left = Counter(row.code for row in self.shop.rows)
        for row in self.shop.rows:
            merged = self.merged.get(row.code)
            left[row.code] -= 1
            rows += [row] if merged is None else [new for new in merged.rows if new.line == row.line]
            if merged is not None and not left[row.code]:
                rows += merged.new_rows()
        for code in sorted(self.merged):
            if code not in left:
                rows += self.merged[code].new_rows()
        return rows

    def _refuse_for(self, faults: dict[int, list[str]], rows: Sequence[ListRow]) -> None:
        """Refuse the codes that would break the list."""
        wrong: dict[str, list[str]] = defaultdict(list)
        for place, texts in faults.items():
            wrong[rows[place].code] += [_in_place(text, rows) for text in texts]
        for code, texts in wrong.items():
            if code not in self.merged:
                raise RuntimeError(f"the list was found in order, and now is not: {texts[0]}")
            self._refuse(code, f"the merged list would be wrong; {'; '.join(dict.fromkeys(texts))}")


class _Code:
    """The rows of one code while a supplier's offers are taken into them."""

    def __init__(self, rows: Sequence[ListRow], supplier: str, currency: str) -> None:
        self.before, self.rows = tuple(rows), list(rows)
        self.supplier, self.currency = supplier, currency
        self.changes: list[Change] = []
        self.rates: set[ExchangeRate] = set()

    def new_rows(self) -> list[ListRow]:
        """The rows that the list did not have, by day, pack and from quantity."""
        return sorted((row for row in self.rows if not row.line), key=lambda row: (row.first, row.pack, row.from_quantity))

    def last_price(self, offer: Offer) -> ListRow | None:
        """The price that the list had last for as much as the offer's from quantity, in whatever pack."""
        begun = [row for row in self.before if row.first <= offer.valid_from] or list(self.before)
        latest = max((row.last or datetime.date.max for row in begun if row.first <= offer.valid_from), default=None)
        if latest is not None:
            standing = [row for row in begun if row.holds_on(offer.valid_from)]
            begun = standing or [row for row in begun if row.last == latest]
        amount = offer.from_quantity * offer.pack
        reached = [row for row in begun if row.from_quantity * row.pack <= amount]
        if reached:
            return max(reached, key=lambda row: row.from_quantity * row.pack)
        return min(begun, key=lambda row: row.from_quantity * row.pack, default=None)

    def take(self, offers: Iterable[_Converted]) -> None:
        """Take the offers in, each pack's from each first day together, in the order of the days."""
        together: dict[tuple[datetime.date, Decimal], list[_Converted]] = defaultdict(list)
        for each in offers:
            if each.rate:
                self.rates.add(each.rate)
            together[each.offer.valid_from, each.offer.pack].append(each)
        for (first, pack), breaks in sorted(together.items()):
            following = min((day for day, other in together if other == pack and day > first), default=None)
            before = [row for row in self.rows if row["supplier"] == self.supplier and row.pack == pack]
            for each in sorted(breaks, key=lambda one: one.offer.from_quantity):
                same = [row for row in before if row.from_quantity == each.offer.from_quantity]
                self._take(each, same, following)
            offered = {each.offer.from_quantity for each in breaks}
            for row in before:
                if row.from_quantity not in offered and row.holds_on(first):
                    self._end(row, first, "this break is no longer offered")

    def _take(self, each: _Converted, same: Sequence[ListRow], following: datetime.date | None) -> None:
        """Take one price in, among the rows of the same pack and from quantity; the file's next for it is `following`."""
        offer, first = each.offer, each.offer.valid_from
        later = min((row.first for row in same if row.first > first), default=None)
        ends = [offer.valid_to, *(day - ONE_DAY for day in (later, following) if day)]
        last = min((day for day in ends if day), default=None)
        standing = next((row for row in same if row.holds_on(first)), None)
        earlier = max((row for row in same if row.first < first), key=lambda row: row.first, default=None)
        model = standing or earlier
        minimum = offer.minimum_order or (model.minimum_order if model else 1)
        capped = f"; the list has the next price from {later}" if later is not None else ""
        if standing is None:
            why = "new to the list" if not self.before else "a new break" if self._has(offer.pack) else "a new pack"
            if earlier is not None:
                why = f"the price before it ended on {earlier.last}"
            self._add(each, minimum, last)
            self._note("changed" if earlier else "new", each, earlier, last, why + capped)
        elif standing.price == each.price and standing.minimum_order == minimum:
            if offer.valid_to is None or last == standing.last:
                self._note("unchanged", each, standing, standing.last, "the same price")
                return
            self._replace(standing, standing.changed(valid_to=_day_text(last)))
            why = f"the same price; its last day was {standing.last or 'none'} and is {last or 'none'}{capped}"
            self._note("changed", each, standing, last, why)
        else:
            why = _difference(standing, minimum)
            if standing.first == first:
                last = last if offer.valid_to is not None else standing.last
                self._replace(standing, replace(self._row(each, minimum, last, standing), line=standing.line))
                self._note("corrected", each, standing, last, f"the list had {why} from the same day")
            else:
                self._replace(standing, standing.changed(valid_to=_day_text(first - ONE_DAY)))
                self._add(each, minimum, last, standing)
                self._note("changed", each, standing, last, f"{why} until {first - ONE_DAY}{capped}")

    def _has(self, pack: Decimal) -> bool:
        return any(row.pack == pack and row["supplier"] == self.supplier for row in self.before)

    def end(self, first: datetime.date, kept: Collection[Decimal], why: str) -> None:
        """End what the supplier has of the code from a day on, but for packs of these sizes."""
        for row in tuple(self.rows):
            if row["supplier"] == self.supplier and row.pack not in kept and row.holds_on(first):
                self._end(row, first, why)

    def _end(self, row: ListRow, first: datetime.date, why: str) -> None:
        """End a row the day before; one that starts on the day itself never holds and is withdrawn."""
        what = "ended" if row.first < first else "withdrawn"
        if what == "ended":
            self._replace(row, row.changed(valid_to=_day_text(first - ONE_DAY)))
        else:
            self.rows.remove(row)
        self.changes.append(
            Change(what, row["code"], _pack_text(row), row.from_quantity, row.price, None, first, None, why, 0, row.line)
        )

    def _replace(self, old: ListRow, new: ListRow) -> None:
        self.rows[self.rows.index(old)] = new

    def _add(self, each: _Converted, minimum: int, last: datetime.date | None, model: ListRow | None = None) -> None:
        self.rows.append(self._row(each, minimum, last, model))

    def _row(self, each: _Converted, minimum: int, last: datetime.date | None, model: ListRow | None) -> ListRow:
        """A row of the list for an offer; how the list describes the code already stays."""
        offer, known = each.offer, model or (self.before[-1] if self.before else None)
        rate = f"; {each.rate}" if each.rate else ""
        return ListRow(
            {
                "code": offer.code,
                "description": known["description"] if known else offer.description,
                "supplier": self.supplier,
                "kind": offer.kind,
                "pack quantity": f"{offer.pack_quantity.normalize():f}",
                "pack unit": offer.pack_unit,
                "price": money_text(each.price, self.currency),
                "currency": self.currency,
                "from quantity": str(offer.from_quantity),
                "valid from": _day_text(offer.valid_from),
                "valid to": _day_text(last),
                "minimum order": str(minimum) if minimum > 1 else "",
                "offered": f"article {offer.article}: {offer.asked}{rate}",
            },
            line=0,
        )

    def _note(self, what: str, each: _Converted, row: ListRow | None, last: datetime.date | None, why: str) -> None:
        offer, was = each.offer, row.price if row else None
        pack = f"{offer.pack_quantity.normalize():f} {offer.pack_unit}"
        line = row.line if row else 0
        self.changes.append(
            Change(
                what, offer.code, pack, offer.from_quantity, was, each.price, offer.valid_from, last, why, offer.row, line
            )
        )


def _pack_text(row: ListRow) -> str:
    return f"{row['pack quantity']} {row['pack unit']}"


def _in_place(fault: str, rows: Sequence[ListRow]) -> str:
    """A fault of the merged list, its rows named by what they are: that list has no lines yet."""

    def named(found: re.Match[str]) -> str:
        row = rows[int(found[1]) - 2]
        where = f"line {row.line} of the list" if row.line else "new"
        return f"{row['code']} in packs of {_pack_text(row)} from {row.from_quantity} ({where})"

    return re.sub(r"line (\d+)(?:, column [A-Z]+)?", named, fault)


def _day_text(day: datetime.date | None) -> str:
    return day.isoformat() if day else ""


def _difference(row: ListRow, minimum: int) -> str:
    """What the list had, where it is not what is offered."""
    if row.minimum_order == minimum:
        return row["price"]
    return (
        f"{row['price']} with {f'a minimum order of {row.minimum_order}' if row.minimum_order > 1 else 'no minimum order'}"
    )
