"""Tables of the user's that cover the list of prices: they follow it, or are in the way."""

from collections.abc import Iterator

from quotelib.hosts.xlsx.markup import Markup
from quotelib.hosts.xlsx.package import ignore, related
from quotelib.hosts.xlsx.references import Area, area_text
from quotelib.hosts.xlsx.sheet import RANGED, Placed, Refill, meets


class CoveringTable(Markup):
    """A table on the price sheet."""

    def __init__(self, refill: Refill, part: str) -> None:
        super().__init__(refill.sheet.archive, part)
        self.refill = refill
        self.name, self.area = "", Area(0, 0, 0, 0)
        self.totals = self.calculated = False
        self.ranges: list[Placed] = []

        def start(_: str, name: str, attributes: dict[str, str], place: int) -> None:
            if name == "table":
                self.name = attributes.get("displayName", attributes.get("name", ""))
                self.totals = attributes.get("totalsRowCount", "0") != "0"
                self.area = Area.of(attributes.get("ref", "")) or self.area
            elif name == "calculatedColumnFormula":
                self.calculated = True
            if name in ("table", *RANGED) and "ref" in attributes:
                self.ranges.append(Placed(place, "ref", attributes["ref"], name))

        self.parse(start, ignore, ignore)

    def faults(self) -> Iterator[str]:
        """What is in the way, in words."""
        refill = self.refill
        sheet = refill.sheet
        if not meets(self.area, Area(refill.first - 1, sheet.left, refill.reach, sheet.right)):
            return
        where = f"table {self.name} on sheet {sheet.title!r}"
        if self.totals:
            yield f"{where} has a row of totals; take it off, or put the totals above the headings"
        elif not refill.following.covers(self.area):
            yield f"{where} covers {area_text(self.area)}, a part of the list; it must cover the whole list or none of it"
        elif self.calculated and refill.moved:
            yield f"{where} has a column worked out by formula; turn it into values, or work it out on another sheet"

    def apply(self) -> None:
        """Have the table follow the list."""
        for placed in self.ranges:
            self.set_attribute(placed.place, placed.attribute, self.refill.following.followed(placed.text))


def tables_of(refill: Refill) -> list[CoveringTable]:
    """The tables on the price sheet."""
    sheet = refill.sheet
    parts = [each.part for each in related(sheet.archive, sheet.part).values() if each.kind == "table"]
    return [CoveringTable(refill, part) for part in parts if sheet.archive.holds(part)]
