"""The price sheet of a closed workbook: what stands there, what is in the way, and its rows made anew.

A price keeps what the user gave it: the looks of its row and cells, and what he wrote beside it in columns of his own.
They move with it when it comes to stand on another row, and go to the price that takes its place when it ends.  Columns of
his own are those right beside the list that have a heading.  Anything else that belongs to a row and cannot move with its
price (formulas, notes, things beside the list without a heading) is in the way as soon as that row gets another price.
"""

from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from quotelib.hosts.xlsx.cells import Cell, Row, moved_cell, written_cell, written_row
from quotelib.hosts.xlsx.markup import MAIN, Markup, truth
from quotelib.hosts.xlsx.package import Block, Package, ignore, related
from quotelib.hosts.xlsx.references import Area, Following, address, area_text, column_of, references
from quotelib.prices.pricesheet import COLUMNS, Found, Places, formulas_among, listed

WIDTH = len(COLUMNS)
RANGED = frozenset(("autoFilter", "sortState", "sortCondition"))
"""Elements whose `ref` follows the list."""
SPARKLINES = "a small chart"
RULES = {
    "conditionalFormatting": "a conditional format",
    "dataValidation": "a validation",
    "sparkline": SPARKLINES,
}
TEXTS = frozenset(("formula", "formula1", "formula2", "f", "sqref"))
"""Elements, outside the cells, whose text is a formula or a list of ranges."""
ATTACHED = {"comments": "comment", "threadedComment": "threadedComment"}
"""Parts with notes, and the elements of the notes in them."""


class Placed(NamedTuple):
    """An attribute with a range or a list of ranges."""

    place: int
    attribute: str
    text: str
    what: str


class Written(NamedTuple):
    """A text between tags."""

    start: int
    end: int
    text: str
    what: str


class PriceSheet(Markup):
    """The part of the price sheet, read."""

    def __init__(self, package: Package, block: Block) -> None:
        super().__init__(package.archive, package.sheets[block.title])
        self.package, self.title, self.block = package, block.title, block
        self.left, self.right = block.area.left, block.area.left + WIDTH - 1
        self.first, self.last = block.area.top, block.area.bottom
        self.rows: dict[int, Row] = {}
        self.formulas: list[tuple[str, str]] = []
        """Address and text of the formulas of cells outside the list."""
        self.arrays: list[Area] = []
        """Blocks that one formula fills."""
        self.merged: list[Area] = []
        self.protected = False
        self.ranges: list[Placed] = []
        self.links: list[Placed] = []
        self.lists: list[Written] = []
        self.rules: list[Written] = []
        self.dimension: Placed | None = None
        self.prefix_of_cells = b""
        self.data_end = 0
        self.parse(*_Reading(self).handlers())
        above = (cell for row in self.rows.values() if row.number <= self.last for cell in row.cells.values())
        self._strings = package.strings({cell.shared for cell in above} - {None})
        self.own_columns = self._own_columns()

    def value(self, row: int, column: int) -> Any:
        """What a cell holds: a number, a text, or None when empty."""
        cell = self.cell(row, column)
        return None if cell is None else cell.value(self._strings)

    def cell(self, row: int, column: int) -> Cell | None:
        """The cell at a place, where the file has one."""
        return self.rows[row].at(column) if row in self.rows else None

    def values(self) -> list[tuple[Any, ...]]:
        """The rows of prices as they stand."""
        return [
            tuple(self.value(row, column) for column in range(self.left, self.right + 1))
            for row in range(self.first, self.last + 1)
        ]

    def _own_columns(self) -> range:
        """The columns right beside the list that have a heading."""
        column = self.right + 1
        while self.value(self.first - 1, column) not in (None, ""):
            column += 1
        return range(self.right + 1, column)


class _Reading:
    """The elements of the sheet as they come by."""

    def __init__(self, sheet: PriceSheet) -> None:
        self.sheet = sheet
        self.in_data = self.in_value = self.in_reading = self.in_formula = False
        self.row: Row | None = None
        self.cell: Cell | None = None
        self.words: list[str] = []
        self.where = 0
        self.rule = ""
        self.number = self.column = 0
        self.columns: dict[str, int] = {}

    def handlers(self) -> tuple[Any, Any, Any]:
        return self.start, self.end, self.text

    def text(self, data: str) -> None:
        if self.in_value or self.in_formula:
            self.words.append(data)

    def start(self, space: str, name: str, attributes: dict[str, str], place: int) -> None:
        if self.in_data and space in MAIN:
            if name == "c":
                self._start_cell(attributes, place)
            elif name in ("v", "t"):
                self.in_value = not self.in_reading
            elif name == "f":
                self.in_formula = True
                if self.cell is not None:
                    self.cell.formula = ""
                area = Area.of(attributes.get("ref", "")) if attributes.get("t") in ("array", "dataTable") else None
                if area is not None:
                    self.sheet.arrays.append(area)
            elif name == "row":
                self._start_row(attributes, place)
            elif name == "rPh":
                self.in_reading = True
            return
        self._start_other(space, name, attributes, place)

    def _start_row(self, attributes: dict[str, str], place: int) -> None:
        written = attributes.get("r")
        number = self.number + 1 if written is None else int(written) if written.isdecimal() and len(written) < 8 else 0
        if not self.number < number <= 1_048_576:
            self.sheet.refuse(f"is damaged: row {written} comes after row {self.number}; rows must come in order")
        self.number, self.column = number, 0
        end = self.sheet.tag_end(place)
        self.row = Row(number, place, end, written is not None, truth(attributes.get("hidden")))
        self.sheet.rows[number] = self.row

    def _start_cell(self, attributes: dict[str, str], place: int) -> None:
        name = attributes.get("r")
        column = self.column + 1
        if name is not None:
            letters = name.rstrip("0123456789")
            column = self.columns.get(letters, 0)
            if not column:
                area = Area.of(name)
                column = self.columns[letters] = column_of(letters) if area and area.one_cell else 0
        if column <= self.column or column > 16_384 or self.row is None:
            self.sheet.refuse(f"is damaged: cell {name} of row {self.number} is out of place; cells must come in order")
        self.column = column
        self.cell = Cell(column, place, attributes)
        self.words.clear()

    def end(self, space: str, name: str, place: int, after: int) -> None:
        if space not in MAIN or not self.in_data:
            self._end_other(name, place)
        elif name == "c" and self.cell is not None and self.row is not None:
            self.cell.end = after
            self.row.cells[self.cell.column] = self.cell
            if self.cell.formula and not self._in_list(self.cell.column):
                self.sheet.formulas.append((address(self.number, self.cell.column), self.cell.formula))
            self.cell = None
        elif name in ("v", "t") and self.cell is not None:
            self.in_value = False
            self.cell.text += "".join(self.words)
            self.words.clear()
        elif name == "f" and self.cell is not None:
            self.in_formula = False
            self.cell.formula = "".join(self.words)
            self.words.clear()
        elif name == "rPh":
            self.in_reading = False
        elif name == "row" and self.row is not None:
            self.row.end = after
        elif name == "sheetData":
            self.in_data = False
            self.sheet.data_end = place

    def _in_list(self, column: int) -> bool:
        sheet = self.sheet
        return sheet.first <= self.number <= sheet.last and sheet.left <= column <= sheet.right

    def _start_other(self, space: str, name: str, attributes: dict[str, str], place: int) -> None:
        sheet = self.sheet
        if name == "sheetData" and space in MAIN:
            self.in_data = True
            sheet.prefix_of_cells = sheet.prefix(place)
        elif name == "dimension":
            sheet.dimension = Placed(place, "ref", attributes.get("ref", ""), name)
        elif name == "sheetProtection":
            sheet.protected = truth(attributes.get("sheet"))
        elif name == "mergeCell":
            area = Area.of(attributes.get("ref", ""))
            if area is not None:
                sheet.merged.append(area)
        elif name == "hyperlink":
            sheet.links.append(Placed(place, "ref", attributes.get("ref", ""), name))
        elif name in RANGED and "ref" in attributes:
            sheet.ranges.append(Placed(place, "ref", attributes["ref"], "a filter"))
        elif "sqref" in attributes and name != "selection":
            sheet.ranges.append(Placed(place, "sqref", attributes["sqref"], RULES.get(name, f"an entry {name}")))
        self.rule = RULES.get(name, self.rule)
        if name in TEXTS:
            self.in_formula, self.where = True, sheet.tag_end(place)
            self.words.clear()

    def _end_other(self, name: str, place: int) -> None:
        if not self.in_formula or name not in TEXTS:
            return
        self.in_formula = False
        if self.where <= place:
            found = Written(self.where, place, "".join(self.words), self.rule)
            (self.sheet.lists if name == "sqref" else self.sheet.rules).append(found)


class Refill:
    """Other rows in the place of the prices: worked out, with everything that is in the way, before anything is changed."""

    def __init__(self, sheet: PriceSheet, rows: Sequence[tuple[Any, ...]]) -> None:
        self.sheet, self.new = sheet, rows
        self.first, self.last = sheet.first, sheet.last
        self.new_last = self.first + len(rows) - 1
        self.reach = max(self.last, self.new_last)
        self.following = Following(sheet.left, sheet.right, self.first, self.last, self.new_last)
        self.old = sheet.values()
        self.places = Places(self.old, rows)
        self.was = {new + self.first: old + self.first for new, old in self.places.was.items()}
        """The row on which the price of a row stood, by the new row."""
        self.now = {old: new for new, old in self.was.items()}
        """The row on which the price of a row will stand, by the old row."""
        self.moved = {
            row for row in range(self.first, self.reach + 1) if not (row <= self.last and self.now.get(row) == row)
        }
        """Rows that get another price, or none, or had none."""

    # --- what is in the way ---

    def found(self) -> Found:
        """What may be in the way of these rows."""
        sheet = self.sheet
        heads = self.first - 1
        blocks = [Area(heads, sheet.left, self.reach, sheet.right)]
        blocks += [Area(self.first, 1, self.reach, 16_384)] if self.moved else []
        return Found(
            sheet=sheet.title,
            rows=self.last - self.first + 1,
            columns=sheet.block.area.right - sheet.left + 1,
            headings=[sheet.value(heads, column) for column in range(sheet.left, sheet.right + 1)],
            protected=sheet.protected,
            merged=[area_text(area) for area in sheet.merged if any(meets(area, block) for block in blocks)],
            own=list(self._own()),
            hidden=any(sheet.rows[row].hidden for row in range(self.first, self.last + 1) if row in sheet.rows),
            days_from_1900=not sheet.package.from_1904,
            other=list(self._other()),
        )

    def _own(self) -> Iterator[str]:
        """Addresses of the user's cells that cannot stay and cannot move with their price."""
        sheet = self.sheet
        for number in range(self.first, self.reach + 1):
            for cell in sheet.rows[number].cells.values() if number in sheet.rows else ():
                if not cell.filled or (number <= self.last and sheet.left <= cell.column <= sheet.right):
                    continue
                moves = cell.column in sheet.own_columns and not self._worked_out(number, cell)
                if self.places.in_the_way(number - self.first, moves):
                    yield address(number, cell.column)

    def _worked_out(self, row: int, cell: Cell) -> bool:
        """Whether a cell has a formula, or shows a part of the result of one."""
        place = Area(row, cell.column, row, cell.column)
        return cell.formula is not None or any(meets(place, area) for area in self.sheet.arrays)

    def _other(self) -> Iterator[str]:
        sheet = self.sheet
        where = f"sheet {sheet.title!r}"
        formulas = [
            address(number, cell.column)
            for number in range(self.first, self.last + 1)
            for cell in (sheet.rows[number].cells.values() if number in sheet.rows else ())
            if sheet.left <= cell.column <= sheet.right and self._worked_out(number, cell)
        ]
        if formulas:
            yield formulas_among(sheet.title, formulas)
        attached = [text for text, area in self._attached() if area.bottom >= self.first and area.top <= self.reach
                    and any(area.top <= row <= area.bottom for row in self.moved)]  # fmt: skip
        if attached:
            yield (
                f"notes, links or small charts of {where} stand at rows that get another price: {listed(attached)}; "
                "take them off, or put what they say into a column of your own beside the list"
            )
        if self.sheet.package.signed:
            yield "it is signed, and any change breaks the signature; take the signature off"

    def _attached(self) -> Iterator[tuple[str, Area]]:
        """What belongs to a cell without being in it: notes, threads, small charts, links that cannot move with a price."""
        sheet = self.sheet
        places: list[str] = []
        for each in related(sheet.archive, sheet.part).values():
            if each.kind in ATTACHED and sheet.archive.holds(each.part):
                wanted = ATTACHED[each.kind]

                def start(_: str, name: str, attributes: dict[str, str], __: int, wanted: str = wanted) -> None:
                    if name == wanted:
                        places.append(attributes.get("ref", ""))

                Markup(sheet.archive, each.part).parse(start, ignore, ignore)
        places += [written.text for written in sheet.lists if written.what == SPARKLINES]
        places += [link.text for link in sheet.links if not self._moves(link)]
        for text in dict.fromkeys(places):
            area = Area.of(text)
            if area is not None:
                yield text, area

    def _moves(self, link: Placed) -> bool:
        """Whether a link moves with its price."""
        area = Area.of(link.text)
        return area is not None and area.one_cell and area.top in self.now

    # --- the changes ---

    def apply(self, stated: Mapping[str, Any]) -> list[str]:
        """Put in the rows, the statements above them and all that follows the list; which names were left out."""
        sheet = self.sheet
        self._replace_rows()
        for placed in sheet.ranges:
            sheet.set_attribute(placed.place, placed.attribute, self.following.list_followed(placed.text))
        for link in sheet.links:
            area = Area.of(link.text)
            if area is not None and self._moves(link):
                sheet.set_attribute(link.place, "ref", address(self.now[area.top], area.left))
        for written in sheet.lists:
            text = self.following.list_followed(written.text)
            if text != written.text:
                sheet.set_text(written.start, written.end, lambda old, new=text: [(0, len(old), new)])  # type: ignore[misc]
        for written in sheet.rules:
            sheet.set_text(written.start, written.end, self._rule_follows(written))
        self._set_dimension()
        return [name for name, value in stated.items() if not self._state(name, value)]

    def _rule_follows(self, written: Written) -> Callable[[str], list[tuple[int, int, str]]]:
        """What changes in the formula of a rule; one with rows that are not fixed counts from the cell it is for."""
        every = written.what == SPARKLINES
        return lambda text: self.following.in_formula(text, self.sheet.title, own=True, every=every)

    def _replace_rows(self) -> None:
        sheet = self.sheet
        numbers = sorted(sheet.rows)
        replaced = [sheet.rows[number] for number in numbers if self.first <= number <= self.reach]
        after = [sheet.rows[number] for number in numbers if number > self.reach]
        start = replaced[0].start if replaced else after[0].start if after else sheet.data_end
        end = replaced[-1].end if replaced else start
        sheet.change(start, end, b"".join(self._rows()))
        for row in after:
            if not row.named:
                sheet.set_attribute(row.start, "r", str(row.number))

    def _rows(self) -> Iterator[bytes]:
        """The new rows."""
        sheet, prefix = self.sheet, self.sheet.prefix_of_cells
        usual = self._usual_styles()
        model = next((sheet.rows[row] for row in range(self.first, self.last + 1) if row in sheet.rows), None)
        for number, values in enumerate(self.new, self.first):
            source = sheet.rows.get(self.was.get(number, 0))
            looks = source or model
            cells: dict[int, bytes] = {}
            for column, value in enumerate(values, sheet.left):
                old = source.at(column) if source else None
                cells[column] = written_cell(prefix, number, column, old.style if old else usual.get(column), value)
            if source is not None:
                cells |= {cell.column: moved_cell(sheet, cell, number) for cell in self._beside(source)}
            else:
                bare = sheet.rows.get(number) if number > self.last else None
                for cell in (*self._beside(model), *self._beside(bare)):
                    cells[cell.column] = written_cell(prefix, number, cell.column, cell.style, None)
            tag = sheet.content[looks.start : looks.tag_end] if looks else None
            yield written_row(prefix, tag, number, cells.items())

    def _beside(self, row: Row | None) -> list[Cell]:
        """The cells of a row outside the list."""
        return (
            [cell for cell in row.cells.values() if not self.sheet.left <= cell.column <= self.sheet.right] if row else []
        )

    def _usual_styles(self) -> dict[int, str | None]:
        """The style that most prices have, by column."""
        styles: defaultdict[int, Counter[str | None]] = defaultdict(Counter)
        for number in range(self.first, self.last + 1):
            for cell in self.sheet.rows[number].cells.values() if number in self.sheet.rows else ():
                styles[cell.column][cell.style] += 1
        return {column: counted.most_common(1)[0][0] for column, counted in styles.items()}

    def _set_dimension(self) -> None:
        """The block that the sheet says its cells lie in."""
        sheet = self.sheet
        area = Area.of(sheet.dimension.text) if sheet.dimension else None
        if sheet.dimension is None or area is None or area.one_cell:
            return
        below = (number for number, row in sheet.rows.items() if number > self.reach and row.cells)
        area = area._replace(bottom=max(self.new_last, *below, 0), right=max(area.right, sheet.right))
        sheet.set_attribute(sheet.dimension.place, "ref", area_text(area))

    def _state(self, name: str, value: Any) -> bool:
        """Put a value into a named cell above the list; whether that could be done."""
        block = self.sheet.package.block(name)
        if block is None or block.title != self.sheet.title or block.area.top >= self.first - 1:
            return False
        cell = self.sheet.cell(block.area.top, block.area.left)
        if cell is None or cell.formula is not None:
            return False
        new = written_cell(self.sheet.prefix_of_cells, block.area.top, block.area.left, cell.style, value)
        self.sheet.change(cell.start, cell.end, new)
        return True

    # --- what refers to prices by address ---

    def misses(self, area: Area) -> bool:
        """Whether an address means something else after the refresh: part of a list that grew, or a price that moved."""
        sheet = self.sheet
        if area.bottom < self.first or area.top > self.reach:
            return False
        if area.right < sheet.left or area.left > max(sheet.right, sheet.own_columns.stop - 1):
            return False
        if area.top <= self.first and area.bottom >= self.last:  # all prices
            return area.bottom < self.new_last or area.bottom == self.last != self.new_last
        return any(area.top <= row <= area.bottom for row in self.moved)

    def formulas_that_miss(self) -> Iterator[str]:
        """The cells of the price sheet itself whose formulas mean something else after the refresh."""
        for where, formula in self.sheet.formulas:
            if self.formula_misses(formula, own=True):
                yield where

    def rules_that_miss(self) -> Iterator[str]:
        """The filters, formats and validations of the price sheet that stand at prices that move, and do not follow."""
        sheet = self.sheet
        ranged = [(each.text, each.what) for each in sheet.ranges] + [(each.text, each.what) for each in sheet.lists]
        for addresses, what in ranged:
            for text in addresses.split():
                area = Area.of(text)
                if area is not None and not self.following.covers(area) and self.misses(area):
                    yield f"{what} of {text} on sheet {sheet.title!r}"
        for written in sheet.rules:
            if self.formula_misses(written.text, own=True, every=written.what == SPARKLINES, following=True):
                yield f"{written.what} on sheet {sheet.title!r}"

    def formula_misses(self, formula: str, own: bool, every: bool = True, following: bool = False) -> bool:
        """Whether a formula refers to prices by an address that means something else after the refresh.

        `own` says whether an address without a sheet is one of the price sheet, `every` whether those count whose rows are
        not fixed, and `following` whether those that cover the list will follow it.
        """
        title = self.sheet.title.casefold()
        return any(
            self.misses(found.area)
            for found in references(formula)
            if (own if found.sheet is None else found.sheet.casefold() == title)
            and (every or found.fixed)
            and not (following and self.following.covers(found.area))
        )


def meets(one: Area, other: Area) -> bool:
    """Whether two blocks have a cell in common."""
    return one.top <= other.bottom and one.bottom >= other.top and one.left <= other.right and one.right >= other.left
