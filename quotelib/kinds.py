"""The kinds of argument a function can take: unit, allowed range and what a wrong value is told.

A kind is stated once and used by every function, rate and job field that takes such a value.  The spreadsheet's data
validation, the argument help and the check at every call all come from here.

Ranges have an upper end even where the trade has none (money up to 1e12), so that no input can overflow a formula or keep
a cell busy for ever.
"""

import datetime
import math
from dataclasses import dataclass, field
from typing import Annotated, Any, NamedTuple

from quotelib.errors import LookupMiss, RangeError, TypeInputError

Number = Any
"""What a formula is written for: a float, a numpy array or a cell's `Formula` (see elementwise.py)."""

Rows = tuple[tuple[Any, ...], ...]
"""A range of cells as the library sees it: a row is a tuple, a blank cell is an empty text."""


@dataclass(frozen=True)
class Kind:
    """Base of all kinds: a name in the trade's words, a unit, and a sentence of help."""

    name: str
    unit: str

    elementwise = False
    """Whether an array of values stands for many calls (numbers), or for one value (tables, ranges)."""

    @property
    def allowed(self) -> str:
        """What is allowed, in words: `whole, 1 to 24`."""
        raise NotImplementedError

    def admit(self, argument: str, value: Any) -> Any:
        """The value in the form the bodies expect, or the one clear error."""
        raise NotImplementedError

    def refusal(self, wanted: str = "") -> str:
        """The half of an error message that says what is allowed."""
        return f"it must be {wanted}{self.allowed}" + (f" [{self.unit}]" if self.unit else "")


@dataclass(frozen=True)
class NumberKind(Kind):
    """A number within a range; `above` and `below` are ends that are not themselves allowed."""

    least: float = -1e12
    most: float = 1e12
    above: float | None = None
    below: float | None = None
    whole: bool = False
    low: float = field(init=False, default=0.0)
    """The smallest number allowed, made from the ends so that a check is two comparisons."""
    high: float = field(init=False, default=0.0)
    """The largest number allowed."""

    elementwise = True

    def __post_init__(self) -> None:
        low = self.least if self.above is None else math.nextafter(self.above, math.inf)
        high = self.most if self.below is None else math.nextafter(self.below, -math.inf)
        object.__setattr__(self, "low", low)
        object.__setattr__(self, "high", high)

    @property
    def allowed(self) -> str:
        words = "whole, " if self.whole else ""
        if self.above is not None:
            words += f"more than {_plain(self.above)}, "
            words += f"less than {_plain(self.below)}" if self.below is not None else f"up to {_plain(self.most)}"
        elif self.below is not None:
            words += f"{_plain(self.least)} or more, less than {_plain(self.below)}"
        else:
            words += f"{_plain(self.least)} to {_plain(self.most)}"
        return words

    def admit(self, argument: str, value: Any) -> Any:
        if type(value) is not float:
            value = self._as_float(argument, value)
        if not self.low <= value <= self.high or (self.whole and value != int(value)):
            raise RangeError(argument, value, self.refusal())
        return value

    def _as_float(self, argument: str, value: Any) -> float:
        value = _python_s_own(value)
        if isinstance(value, (bool, str, bytes, complex)) or value is None:
            raise TypeInputError(argument, value, self.refusal("a number, "))
        try:
            return float(value)
        except OverflowError:
            raise RangeError(argument, value, self.refusal()) from None
        except (TypeError, ValueError):
            raise TypeInputError(argument, value, self.refusal("a number, ")) from None


@dataclass(frozen=True)
class FlagKind(Kind):
    """Yes or no: TRUE or FALSE, 1 or 0."""

    @property
    def allowed(self) -> str:
        return "TRUE or FALSE"

    def admit(self, argument: str, value: Any) -> bool:
        value = _python_s_own(value)
        if isinstance(value, (bool, float, int)) and value in (0, 1):
            return bool(value)
        raise TypeInputError(argument, value, self.refusal())


@dataclass(frozen=True)
class ChoiceKind(Kind):
    """One of a few words."""

    choices: tuple[str, ...] = ()

    @property
    def allowed(self) -> str:
        return "one of " + ", ".join(self.choices)

    def admit(self, argument: str, value: Any) -> str:
        if not isinstance(value, str):
            raise TypeInputError(argument, value, self.refusal())
        word = value.strip().lower()
        if word not in self.choices:
            raise LookupMiss(argument, value, self.refusal())
        return word


@dataclass(frozen=True)
class TextKind(Kind):
    """A name or code, not blank."""

    @property
    def allowed(self) -> str:
        return "text, not blank"

    def admit(self, argument: str, value: Any) -> str:
        if not isinstance(value, str) or not value.strip():
            raise TypeInputError(argument, "" if type(value) in (int, float) and value == 0 else value, self.refusal())
        return value.strip()


@dataclass(frozen=True)
class FileNameKind(TextKind):
    """A text that a file is named after, on any system."""

    @property
    def allowed(self) -> str:
        return 'text that a file can be named after: none of / \\ : * ? " < > |, and no point at its beginning'

    def admit(self, argument: str, value: Any) -> str:
        name = super().admit(argument, value)
        if name.startswith(".") or any(letter in '/\\:*?"<>|' or ord(letter) < 32 for letter in name):
            raise RangeError(argument, value, self.refusal())
        return name


@dataclass(frozen=True)
class DayKind(Kind):
    """A calendar day: a spreadsheet's date (days since 1899-12-30) or a Python date; the body gets the day's number."""

    @property
    def allowed(self) -> str:
        return "a date from 1990 to 2199"

    EARLIEST = 32874
    LATEST = 109574

    def admit(self, argument: str, value: Any) -> int:
        value = _python_s_own(value)
        if isinstance(value, datetime.date):
            value = day_number(value)
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            raise TypeInputError(argument, value, self.refusal())
        if not self.EARLIEST <= value < self.LATEST + 1:
            raise RangeError(argument, value, self.refusal())
        return int(value)


def day_number(day: datetime.date) -> int:
    """The number a spreadsheet keeps for a day, counted from 1899-12-30.

    >>> day_number(datetime.date(2000, 1, 1))
    36526
    """
    return datetime.date(day.year, day.month, day.day).toordinal() - datetime.date(1899, 12, 30).toordinal()


def day_of(number: int) -> datetime.date:
    """The day a spreadsheet keeps as that number.

    >>> day_of(36526)
    datetime.date(2000, 1, 1)
    """
    return datetime.date(1899, 12, 30) + datetime.timedelta(days=number)


@dataclass(frozen=True)
class RangeKind(Kind):
    """A range of cells taken as it is, blanks and all."""

    @property
    def allowed(self) -> str:
        return "a range of cells"

    def admit(self, argument: str, value: Any) -> Rows:
        return rows_of(value)


class Admitted(tuple):  # type: ignore[type-arg]
    """Rows that a TableKind has already admitted; admitting them again costs nothing."""

    kind: "TableKind | None" = None
    index: Any = None
    """What a function made of the rows to find its way in them, kept for the next call."""


@dataclass(frozen=True)
class TableKind(Kind):
    """Rows with a fixed meaning for each column; rows blank throughout are passed over.

    An optional column, shown in brackets, may be blank (the body sees None).  `ascending` names a column that must grow
    from row to row.  After the columns may stand any number of groups of the columns in `more`; a group blank
    throughout is dropped, unless all its columns are optional, so that its place counts.
    """

    columns: tuple[tuple[str, Kind], ...] = ()
    optional: tuple[str, ...] = ()
    ascending: str = ""
    more: tuple[tuple[str, Kind], ...] = ()

    @property
    def allowed(self) -> str:
        words = "rows of " + ", ".join(f"[{label}]" if label in self.optional else label for label, _ in self.columns)
        if self.more:
            groups = (f"[{label}]" if label in self.optional else label for label, _ in self.more)
            words += ", then any number of " + " and ".join(groups)
        return words + (f"; {self.ascending} growing from row to row" if self.ascending else "")

    def admit(self, argument: str, value: Any) -> Rows:
        if isinstance(value, Admitted) and value.kind is self:
            return value
        admitted = Admitted(self._rows(argument, rows_of(value)))
        admitted.kind = self
        if not admitted:
            raise RangeError(argument, "", f"it must be {self.allowed}; at least one row")
        return admitted

    def _rows(self, argument: str, rows: Rows) -> list[tuple[Any, ...]]:
        admitted: list[tuple[Any, ...]] = []
        keeps_blanks = all(label in self.optional for label, _ in self.more)
        for number, row in enumerate(rows, 1):
            if all(_blank(cell) for cell in row):
                continue
            where = f"{argument} row {number}"
            extra = len(row) - len(self.columns)
            if extra < 0 or (extra % len(self.more) if self.more else extra):
                raise RangeError(where, f"{len(row)} columns", f"it must be {self.allowed}")
            cells = self._cells(where, self.columns, row, self.optional)
            for start in range(len(self.columns), len(row), len(self.more) or 1):
                group = row[start : start + len(self.more)]
                if keeps_blanks or not all(_blank(cell) for cell in group):
                    cells += self._cells(where, self.more, group, self.optional)
            admitted.append(tuple(cells))
            if self.ascending and len(admitted) > 1:
                place = [label for label, _ in self.columns].index(self.ascending)
                if not admitted[-1][place] > admitted[-2][place]:
                    raise RangeError(
                        f"{where} {self.ascending}",
                        admitted[-1][place],
                        f"it must be more than the row before ({_plain(admitted[-2][place])})",
                    )
        return admitted

    @staticmethod
    def _cells(
        where: str, columns: tuple[tuple[str, Kind], ...], row: tuple[Any, ...], optional: tuple[str, ...]
    ) -> list[Any]:
        """The cells of a row, or of a group in it, each admitted by its column's kind."""
        return [
            None if _blank(cell) and label in optional else kind.admit(f"{where} {label}", "" if _blank(cell) else cell)
            for (label, kind), cell in zip(columns, row, strict=False)
        ]


class DemandFigures(NamedTuple):
    """Demand for one season as it was handed over: the word for its form, and its figures."""

    form: str
    figures: tuple[float, ...]


@dataclass(frozen=True)
class DemandKind(Kind):
    """Demand for one season in a row or a column of cells: a word and its figures, or past sales alone.

    Blank cells are passed over, but for the first, which says how the others are meant.
    """

    most: float = 1e5

    FORMS = {"normal": 2, "poisson": 1, "negative binomial": 2}  # noqa: RUF012  (a constant, no field)
    """How many figures follow each word: the mean, and the standard deviation where there are two."""

    @property
    def allowed(self) -> str:
        return "normal or negative binomial, mean, standard deviation; poisson, mean; or past sales, two at least"

    def admit(self, argument: str, value: Any) -> DemandFigures:
        if isinstance(value, DemandFigures):
            return value
        rows = rows_of(value)
        if len(rows) > 1 and any(len(row) > 1 for row in rows):
            raise RangeError(argument, f"{len(rows)} x {len(rows[0])} cells", "it must be one row or one column")
        first, *others = [cell for row in rows for cell in row] or [""]
        if _blank(first):
            raise TypeInputError(argument, "", self.refusal())
        if not isinstance(first, str):
            return DemandFigures("history", self._past_sales(argument, [first, *others]))
        form = first.strip().lower()
        if form not in self.FORMS:
            raise LookupMiss(argument, first, self.refusal())
        given = [cell for cell in others if not _blank(cell)]
        if len(given) != self.FORMS[form]:
            raise RangeError(argument, ", ".join(map(str, (first, *given))), self.refusal())
        figure = NumberKind("figure", self.unit, above=0, most=self.most)
        names = ("mean", "standard deviation")
        figures = tuple(figure.admit(f"{argument} {name}", cell) for name, cell in zip(names, given, strict=False))
        return DemandFigures(form, figures)

    def _past_sales(self, argument: str, cells: list[Any]) -> tuple[float, ...]:
        sold = NumberKind("sold", self.unit, least=0, most=self.most, whole=True)
        sales = tuple(
            sold.admit(f"{argument} period {period}", cell) for period, cell in enumerate(cells, 1) if not _blank(cell)
        )
        if len(sales) < 2 or not any(sales):
            shown = ", ".join(f"{sale:g}" for sale in sales)
            raise RangeError(argument, shown, self.refusal() + ", not all of them 0")
        return sales


@dataclass(frozen=True)
class SeriesKind(Kind):
    """Figures one after the other in one row or one column of cells; blank cells at the end are dropped.

    A blank cell between others is refused, since whatever came after it would move to another period.
    """

    cell: NumberKind = field(default_factory=lambda: NumberKind("figure", ""))
    most_cells: int = 1000

    @property
    def allowed(self) -> str:
        return f"one row or column of up to {self.most_cells} cells, each {self.cell.allowed}"

    def admit(self, argument: str, value: Any) -> tuple[float, ...]:
        rows = rows_of(value)
        if len(rows) > 1 and any(len(row) > 1 for row in rows):
            raise RangeError(argument, f"{len(rows)} x {len(rows[0])} cells", self.refusal())
        cells = [cell for row in rows for cell in row]
        while cells and _blank(cells[-1]):
            cells.pop()
        if not cells:
            raise TypeInputError(argument, "", self.refusal())
        if len(cells) > self.most_cells:
            raise RangeError(argument, f"{len(cells)} cells", self.refusal())
        return tuple(
            self.cell.admit(f"{argument} cell {place}", "" if _blank(cell) else cell) for place, cell in enumerate(cells, 1)
        )


def rows_of(value: Any) -> Rows:
    """A cell, a row, rows, a numpy array or a data frame, as rows of cells."""
    if hasattr(value, "to_numpy"):
        value = value.to_numpy()
    if hasattr(value, "tolist"):
        value = value.tolist()
    if not isinstance(value, (list, tuple)):
        return ((value,),)
    if value and not isinstance(value[0], (list, tuple)):
        return (tuple(value),)
    return tuple(tuple(row) for row in value)


def _python_s_own(value: Any) -> Any:
    """A single value of numpy's as the bool, number or date it stands for."""
    return value.item() if hasattr(value, "item") and getattr(value, "ndim", None) == 0 else value


def _blank(cell: Any) -> bool:
    return cell is None or (isinstance(cell, str) and not cell.strip()) or (isinstance(cell, float) and math.isnan(cell))


def _plain(number: float) -> str:
    """A bound as a person writes it: 24, 0.5, 125000, 1e12."""
    digits, power = f"{number:.11e}".split("e")
    if int(power) >= 5 and not digits.rstrip("0").split(".")[1]:
        return f"{digits.split('.')[0]}e{int(power)}"
    return f"{number:.12g}"


MONEY = NumberKind("money", "currency", least=0)
POSITIVE_MONEY = NumberKind("price", "currency", above=0)
SIGNED_MONEY = NumberKind("signed money", "currency")
MONEY_PER_HOUR = NumberKind("money per hour", "currency/hour", least=0)
HOURLY_RATE = NumberKind("hourly rate", "currency/hour", above=0, most=1e6)
PIECES = NumberKind("pieces", "pieces", least=1, most=1e9, whole=True)
PIECE_COUNT = NumberKind("piece count", "pieces", least=0, most=1e9)
WHOLE_PIECES = NumberKind("whole pieces", "pieces", least=0, most=1e9, whole=True)
PIECES_PER_HOUR = NumberKind("pieces per hour", "pieces/hour", above=0, most=1e6)
COLOURS = NumberKind("colours", "colours", least=1, most=24, whole=True)
RUNS = NumberKind("runs", "runs", least=1, most=1e6, whole=True)
TOOL_SETS = NumberKind("tool sets", "sets", least=0, whole=True)
UP = NumberKind("images on a sheet", "images", least=1, most=1e5, whole=True)
DRAWS = NumberKind("draws", "draws", least=20, most=10_000, whole=True)
SHEETS = NumberKind("sheets", "sheets", least=0, whole=True)
PASSES = NumberKind("passes", "passes", least=1, most=1000, whole=True)
TIMINGS = NumberKind("timings", "timings", least=1, whole=True)
TABLE_ROWS = NumberKind("table rows", "rows", least=1, most=1000, whole=True)
ROW_NUMBER = NumberKind("row", "rows", least=1, most=1e7, whole=True)
COUNT = NumberKind("count", "", least=0, most=1e9, whole=True)
TIMES = NumberKind("times", "times", least=1, most=1e6, whole=True)
STEP_NUMBER = NumberKind("step number", "", least=1, most=1000, whole=True)
PRICE_BANDS = NumberKind("price bands", "bands", least=1, most=50, whole=True)
QUANTITY = NumberKind("quantity", "units", above=0)
AMOUNT = NumberKind("amount", "units", least=0)
SIGNED_AMOUNT = NumberKind("signed amount", "units")
IMPRESSIONS = NumberKind("impressions", "impressions", least=0, most=1e12)
LIFE = NumberKind("life", "impressions", least=1, most=1e12)
MINUTES = NumberKind("minutes", "minutes", least=0, most=1e7)
CYCLE_MINUTES = NumberKind("cycle minutes", "minutes", above=0, most=1e5)
HOURS = NumberKind("hours", "hours", above=0, most=1e5)
YEARS = NumberKind("years", "years", above=0, most=100)
ANNUAL_RATE = NumberKind("annual rate", "fraction/year", least=0, most=1)
FRACTION = NumberKind("fraction", "fraction", least=0, most=1)
SIGNED_FRACTION = NumberKind("signed fraction", "fraction", most=1)
YIELD = NumberKind("yield", "fraction", above=0, most=1)
WASTE = NumberKind("waste", "fraction", least=0, below=1)
CURVE = NumberKind("learning curve", "fraction", above=0.5, most=1)
SHARE = NumberKind("share", "fraction", above=0, most=1)
MARGIN = NumberKind("margin", "fraction", least=0, below=1)
MARKUP = NumberKind("markup", "fraction", least=0, most=100)
DISCOUNT = NumberKind("discount", "fraction", least=0, below=1)
COMMISSION = NumberKind("commission", "fraction", least=0, below=1)
CONFIDENCE = NumberKind("confidence", "fraction", above=0, below=1)
RATING = NumberKind("rating", "fraction", above=0, most=3)
ALLOWANCE = NumberKind("allowance", "fraction", least=0, most=3)
BURDEN = NumberKind("burden", "fraction", least=0, most=10)
CREW = NumberKind("crew", "people", above=0, most=100)
OPERATORS = NumberKind("operators", "people", least=1, most=24, whole=True)
MM = NumberKind("length", "mm", above=0, most=1e6)
GAP_MM = NumberKind("gap", "mm", least=0, most=1e6)
EXTENSION_MM = NumberKind("extension", "mm", least=0, most=1e6)
GROWTH = NumberKind("growth", "fraction", least=-0.5, most=1)
SCALE = NumberKind("scale", "fraction", least=0.5, most=2)
UM = NumberKind("thickness", "um", above=0, most=1e5)
DOT_GAP_UM = NumberKind("dot gap", "um", least=0, most=1e12)
CM2 = NumberKind("area", "cm2", above=0, most=1e7)
ML = NumberKind("volume", "mL", least=0, most=1e9)
THREADS = NumberKind("mesh count", "threads/cm", above=0, most=1000)
RULING = NumberKind("screen ruling", "lines/cm", above=0, most=1000)
DENSITY = NumberKind("optical density", "", least=0, most=6)
YULE_NIELSEN = NumberKind("Yule-Nielsen factor", "", least=1, most=1e6)
HAND_COLOURS = NumberKind("hand colours", "colours", above=0)
FLAG = FlagKind("flag", "")
QUOTE_STATE = ChoiceKind("state of a quote", "", choices=("open", "ordered", "declined", "lapsed"))
ROUTE = ChoiceKind("route", "", choices=("hand", "transfer", "bought", "over", "pad"))
MAP_FIGURE = ChoiceKind("map figure", "", choices=("cheapest", "cost", "next"))
PROFIT_BASIS = ChoiceKind("profit basis", "", choices=("margin", "markup"))
DIRECTION = ChoiceKind("direction", "", choices=("nearest", "up", "down"))
DOTS = ChoiceKind("dots", "", choices=("square", "round", "standing"))
DAY = DayKind("day", "")
CODE = TextKind("code", "")
TRANSFER_CODE = TextKind("transfer code", "")
PRICE_CODES = (CODE, TRANSFER_CODE)
"""The kinds of an input that names a code of the price list."""

LABEL = TextKind("label", "")
QUOTE_NUMBER = FileNameKind("number of a quote", "")
CELLS = RangeKind("cells", "")
STEP_YIELDS = TableKind("yields", "", columns=(("yield", YIELD),), more=(("yield", YIELD),))
STEP_COSTS = TableKind("steps", "", columns=(("cost", MONEY), ("yield", YIELD)))
FILMS = TableKind("films", "", columns=(("film", UM), ("coverage", SHARE)), optional=("coverage",))
BREAKS = TableKind(
    "price breaks", "", columns=(("from quantity", AMOUNT), ("price", POSITIVE_MONEY)), ascending="from quantity"
)
PRICE_ROWS = TableKind(
    "price list",
    "",
    columns=(
        ("code", CODE),
        ("from quantity", AMOUNT),
        ("unit price", POSITIVE_MONEY),
        ("valid from", DAY),
        ("valid to", DAY),
    ),
    optional=("valid to",),
)

SPREADS = TableKind(
    "spreads",
    "",
    columns=(("name", LABEL), ("least", SIGNED_AMOUNT), ("likely", SIGNED_AMOUNT), ("most", SIGNED_AMOUNT)),
)
LINE_RATES = TableKind(
    "line rates", "", columns=(("rate", SIGNED_MONEY),), more=(("from quantity", AMOUNT), ("rate", SIGNED_MONEY))
)
COST_LINES = TableKind(
    "cost lines",
    "",
    columns=(
        ("once", SIGNED_AMOUNT),
        ("per step", AMOUNT),
        ("every", AMOUNT),
        ("at least", AMOUNT),
        ("rate", SIGNED_MONEY),
    ),
    optional=("once", "per step", "every", "at least"),
    more=LINE_RATES.more,
)

DEMAND = DemandKind("demand", "pieces")
MONTHS = NumberKind("months", "months", above=0, most=1200)
PERIODS = NumberKind("periods", "periods", least=1, most=1000, whole=True)
SEASONS = NumberKind("seasons", "seasons", least=2, most=1e8, whole=True)
LOT = NumberKind("lot", "pieces", least=1, most=1e6, whole=True)
MEAN_DEMAND = NumberKind("mean demand", "pieces", above=0, most=1e5)
DEVIATION = NumberKind("standard deviation", "pieces", least=0, most=1e9)
DEVIATIONS = TableKind(
    "standard deviations", "", columns=(("standard deviation", DEVIATION),), more=(("standard deviation", DEVIATION),)
)
MONTHS_OF_STOCK = NumberKind("months of stock", "months", least=0)
CORRELATION = NumberKind("correlation", "", least=-1, most=1)
DEMAND_FORM = ChoiceKind("form of demand", "", choices=(*DemandKind.FORMS, "history"))
POLICY = ChoiceKind("policy", "", choices=("up front", "held", "both"))
PLANS = TableKind("plans", "", columns=(("up front", WHOLE_PIECES), ("held", WHOLE_PIECES)))
SOLD = NumberKind("sold", "pieces", least=0, most=1e5, whole=True)
PAST_SALES = TableKind("past sales", "", columns=(("sold", SOLD),), more=(("sold", SOLD),))

VARIANCE_LINES = TableKind(
    "variance lines",
    "",
    columns=(
        ("quoted quantity", AMOUNT),
        ("allowed", AMOUNT),
        ("with rejects", AMOUNT),
        ("quoted rate", SIGNED_MONEY),
        ("actual quantity", AMOUNT),
        ("actual rate", SIGNED_MONEY),
    ),
    optional=("allowed", "with rejects", "actual quantity", "actual rate"),
)
USED_LINES = TableKind(
    "used",
    "",
    columns=(("line", LABEL), ("actual quantity", AMOUNT), ("actual rate", SIGNED_MONEY)),
    optional=("actual quantity", "actual rate"),
)
MIX_LINES = TableKind(
    "mix", "", columns=(("quoted quantity", AMOUNT), ("quoted rate", POSITIVE_MONEY), ("actual quantity", AMOUNT))
)
OBSERVATIONS = TableKind("observations", "", columns=(("driver", AMOUNT), ("amount", AMOUNT)))

WAIT_DAYS = NumberKind("wait", "days", least=0, most=1000, whole=True)
WAIT_HOURS = NumberKind("hours of waiting", "hours", least=0, most=24_000)
WORK_HOURS = NumberKind("hours of work", "hours", least=0, most=1e5)
DAY_HOURS = NumberKind("hours in a day", "hours", least=0, most=24)
MACHINES = NumberKind("machines", "machines", least=1, most=100, whole=True)
WEEKS = NumberKind("weeks", "weeks", least=1, most=520, whole=True)
DAY_NUMBER = NumberKind("day number", "day", least=DayKind.EARLIEST, most=DayKind.LATEST, whole=True)
JOBS_A_DAY = NumberKind("jobs a day", "jobs/day", above=0, most=1e6)
JOBS = NumberKind("jobs", "jobs", least=0, most=1e9)
LEAD_DAYS = NumberKind("lead time", "days", least=0)
UTILISED = NumberKind("utilisation", "fraction", least=0)
CENTRE = NumberKind("work centre", "", least=1, most=50, whole=True)
LOAD_FIGURE = ChoiceKind("load figure", "", choices=("load", "hours", "free", "utilisation"))
RULE = ChoiceKind("rule", "", choices=("due day", "fewest late"))
CALENDARS = TableKind(
    "calendars", "",
    columns=(
        ("machines", MACHINES), ("Monday", DAY_HOURS), ("Tuesday", DAY_HOURS), ("Wednesday", DAY_HOURS),
        ("Thursday", DAY_HOURS), ("Friday", DAY_HOURS), ("Saturday", DAY_HOURS), ("Sunday", DAY_HOURS),
    ),
    optional=("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"),
)  # fmt: skip
ORDERS = TableKind(
    "orders", "", columns=(("order", LABEL), ("promised", FLAG), ("due day", DAY)), optional=("hours",),
    more=(("hours", WORK_HOURS),),
)  # fmt: skip
STAGE_HOURS = TableKind(
    "hours by work centre", "", columns=(("hours", WORK_HOURS),), optional=("hours",), more=(("hours", WORK_HOURS),)
)
STAGE_WAITS = TableKind(
    "waits by work centre", "", columns=(("wait", WAIT_HOURS),), optional=("wait",), more=(("wait", WAIT_HOURS),)
)
TWO_STEP_JOBS = TableKind(
    "two-step jobs", "", columns=(("job", LABEL), ("first hours", WORK_HOURS), ("second hours", WORK_HOURS)),
    optional=("first hours", "second hours"),
)  # fmt: skip
WORTH = TableKind("jobs and their worth", "", columns=(("job", LABEL), ("contribution", SIGNED_MONEY), ("hours", HOURS)))

ANNUAL_PIECES = NumberKind("annual pieces", "pieces/year", above=0, most=1e9)
ANNUAL_OUTPUT = NumberKind("annual output", "pieces/year", above=0)
HOLDING_COST = NumberKind("holding cost", "currency/piece/year", above=0)
STORAGE_COST = NumberKind("storage cost", "currency/piece/year", least=0)
ORDER_SIZES = SeriesKind("order sizes", "pieces", cell=QUANTITY)
PERIOD_DEMANDS = SeriesKind("demands", "pieces", cell=PIECE_COUNT)
LOT_SERIES = SeriesKind("lots", "pieces", cell=NumberKind("lot of a plan", "pieces", least=0))
PERIOD_COSTS = SeriesKind("costs of periods", "currency", cell=MONEY)
CASH_FLOWS = SeriesKind("cash flows", "currency", cell=SIGNED_MONEY, most_cells=400)
RATE_OF_RETURN = NumberKind("rate of return", "fraction/year", above=-1, most=1e9)
PAYBACK = NumberKind("payback", "years", least=0)
WHOLE_YEARS = NumberKind("whole years", "years", least=1, most=100, whole=True)

KINDS: dict[str, Kind] = {kind.name: kind for kind in list(globals().values()) if isinstance(kind, Kind)}
"""Every kind by its name, as the workbook's kind column writes it."""

Money = Annotated[Number, MONEY]
PositiveMoney = Annotated[Number, POSITIVE_MONEY]
SignedMoney = Annotated[Number, SIGNED_MONEY]
MoneyPerHour = Annotated[Number, MONEY_PER_HOUR]
HourlyRate = Annotated[Number, HOURLY_RATE]
Pieces = Annotated[Number, PIECES]
ToolSets = Annotated[Number, TOOL_SETS]
Up = Annotated[Number, UP]
Sheets = Annotated[Number, SHEETS]
Passes = Annotated[Number, PASSES]
Timings = Annotated[Number, TIMINGS]
PieceCount = Annotated[Number, PIECE_COUNT]
WholePieces = Annotated[Number, WHOLE_PIECES]
PiecesPerHour = Annotated[Number, PIECES_PER_HOUR]
Colours = Annotated[Number, COLOURS]
Runs = Annotated[Number, RUNS]
RowNumber = Annotated[Number, ROW_NUMBER]
Count = Annotated[Number, COUNT]
Times = Annotated[Number, TIMES]
StepNumber = Annotated[Number, STEP_NUMBER]
PriceBands = Annotated[Number, PRICE_BANDS]
Quantity = Annotated[Number, QUANTITY]
Amount = Annotated[Number, AMOUNT]
SignedAmount = Annotated[Number, SIGNED_AMOUNT]
Impressions = Annotated[Number, IMPRESSIONS]
Life = Annotated[Number, LIFE]
Minutes = Annotated[Number, MINUTES]
CycleMinutes = Annotated[Number, CYCLE_MINUTES]
Hours = Annotated[Number, HOURS]
Years = Annotated[Number, YEARS]
AnnualRate = Annotated[Number, ANNUAL_RATE]
Fraction = Annotated[Number, FRACTION]
SignedFraction = Annotated[Number, SIGNED_FRACTION]
Yield = Annotated[Number, YIELD]
Waste = Annotated[Number, WASTE]
Curve = Annotated[Number, CURVE]
Share = Annotated[Number, SHARE]
Margin = Annotated[Number, MARGIN]
Markup = Annotated[Number, MARKUP]
Discount = Annotated[Number, DISCOUNT]
Commission = Annotated[Number, COMMISSION]
Confidence = Annotated[Number, CONFIDENCE]
Rating = Annotated[Number, RATING]
Allowance = Annotated[Number, ALLOWANCE]
Burden = Annotated[Number, BURDEN]
Crew = Annotated[Number, CREW]
Operators = Annotated[Number, OPERATORS]
Mm = Annotated[Number, MM]
GapMm = Annotated[Number, GAP_MM]
ExtensionMm = Annotated[Number, EXTENSION_MM]
Growth = Annotated[Number, GROWTH]
Scale = Annotated[Number, SCALE]
Um = Annotated[Number, UM]
DotGapUm = Annotated[Number, DOT_GAP_UM]
Cm2 = Annotated[Number, CM2]
Ml = Annotated[Number, ML]
Threads = Annotated[Number, THREADS]
Ruling = Annotated[Number, RULING]
Density = Annotated[Number, DENSITY]
YuleNielsen = Annotated[Number, YULE_NIELSEN]
HandColours = Annotated[Number, HAND_COLOURS]
Flag = Annotated[bool, FLAG]
ProfitBasis = Annotated[str, PROFIT_BASIS]
Direction = Annotated[str, DIRECTION]
Dots = Annotated[str, DOTS]
Day = Annotated[Any, DAY]
Code = Annotated[Any, CODE]
TransferCode = Annotated[Any, TRANSFER_CODE]
Label = Annotated[Any, LABEL]
QuoteNumber = Annotated[Any, QUOTE_NUMBER]
Cells = Annotated[Any, CELLS]
LineRates = Annotated[Any, LINE_RATES]
CostLines = Annotated[Any, COST_LINES]
StepYields = Annotated[Any, STEP_YIELDS]
StepCosts = Annotated[Any, STEP_COSTS]
Films = Annotated[Any, FILMS]
Breaks = Annotated[Any, BREAKS]
RouteKey = Annotated[Any, ROUTE]
QuoteState = Annotated[Any, QUOTE_STATE]
MapFigure = Annotated[Any, MAP_FIGURE]
TableRows = Annotated[Number, TABLE_ROWS]
PriceRows = Annotated[Any, PRICE_ROWS]
Spreads = Annotated[Any, SPREADS]
Draws = Annotated[Number, DRAWS]
Demand = Annotated[Any, DEMAND]
Months = Annotated[Number, MONTHS]
Periods = Annotated[Number, PERIODS]
Lot = Annotated[Number, LOT]
MeanDemand = Annotated[Number, MEAN_DEMAND]
Deviation = Annotated[Number, DEVIATION]
Deviations = Annotated[Any, DEVIATIONS]
MonthsOfStock = Annotated[Number, MONTHS_OF_STOCK]
Correlation = Annotated[Number, CORRELATION]
DemandForm = Annotated[str, DEMAND_FORM]
Policy = Annotated[str, POLICY]
Plans = Annotated[Any, PLANS]
PastSales = Annotated[Any, PAST_SALES]
VarianceLines = Annotated[Any, VARIANCE_LINES]
MixLines = Annotated[Any, MIX_LINES]
Observations = Annotated[Any, OBSERVATIONS]
WaitDays = Annotated[Number, WAIT_DAYS]
WorkHours = Annotated[Number, WORK_HOURS]
Weeks = Annotated[Number, WEEKS]
DayNumber = Annotated[Number, DAY_NUMBER]
JobsADay = Annotated[Number, JOBS_A_DAY]
Jobs = Annotated[Number, JOBS]
LeadDays = Annotated[Number, LEAD_DAYS]
Utilised = Annotated[Number, UTILISED]
Centre = Annotated[Number, CENTRE]
LoadFigure = Annotated[Any, LOAD_FIGURE]
Rule = Annotated[Any, RULE]
Calendars = Annotated[Any, CALENDARS]
Orders = Annotated[Any, ORDERS]
StageHours = Annotated[Any, STAGE_HOURS]
StageWaits = Annotated[Any, STAGE_WAITS]
TwoStepJobs = Annotated[Any, TWO_STEP_JOBS]
Worth = Annotated[Any, WORTH]
AnnualPieces = Annotated[Number, ANNUAL_PIECES]
AnnualOutput = Annotated[Number, ANNUAL_OUTPUT]
HoldingCost = Annotated[Number, HOLDING_COST]
StorageCost = Annotated[Number, STORAGE_COST]
OrderSizes = Annotated[Any, ORDER_SIZES]
PeriodDemands = Annotated[Any, PERIOD_DEMANDS]
LotSeries = Annotated[Any, LOT_SERIES]
PeriodCosts = Annotated[Any, PERIOD_COSTS]
CashFlows = Annotated[Any, CASH_FLOWS]
RateOfReturn = Annotated[Number, RATE_OF_RETURN]
Payback = Annotated[Number, PAYBACK]
WholeYears = Annotated[Number, WHOLE_YEARS]
