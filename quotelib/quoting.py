"""A job quoted: every possible route, what a run costs, which is cheapest, and where that changes."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Any, NamedTuple

from quotelib.chapters.buying import price_row
from quotelib.chapters.curve import LONGEST_RUN, CostCurve, Stretch, cheapest_stretches
from quotelib.errors import NoSolution, QuoteError
from quotelib.job import Job
from quotelib.rates import ShopRates
from quotelib.routes import PRICES, ROUTES, CostLine, Desk, Route, Workings


class LineCost(NamedTuple):
    """A cost line at one run size: the amount, and how it comes about."""

    element: str
    driver: str
    quantity: float
    unit: str
    rate: float
    amount: float
    source: str
    """The price list with the code and its row, or the name of the shop's rate."""


@dataclass(frozen=True)
class Quote:
    """A job by every route that can print it."""

    job: Job
    rates: ShopRates
    price_rows: Any
    costings: dict[str, list[CostLine]]
    """Lines by the key of the route."""
    refused: dict[str, str]
    """Why a route cannot print the job, by its key."""
    ruled_out: frozenset[str]
    """Keys of those that the job itself rules out; the others' arithmetic refuses it."""

    @cached_property
    def curves(self) -> dict[str, CostCurve]:
        """Cost curves of the possible routes by key."""
        return {key: CostCurve([line.in_numbers() for line in lines]) for key, lines in self.costings.items()}

    @cached_property
    def stretches(self) -> list[tuple[int, int, str]]:
        """(first run, last run, key of the cheapest route) up to a million pieces, or the job's run if longer, exactly."""
        keys = list(self.curves)
        last = max(LONGEST_RUN, int(self.job.good_pieces))
        found: list[Stretch] = cheapest_stretches(list(self.curves.values()), last=last)
        return [(first, last, keys[cheapest]) for first, last, cheapest in found]

    def curve_of(self, key: str) -> CostCurve:
        """The cost curve of one route.

        Raises NoSolution, with the reason, where it cannot print the job.
        """
        if key not in self.curves:
            raise NoSolution("route", key, self.refused[key])
        return self.curves[key]

    def unit_cost(self, key: str, good_pieces: Any = None) -> Any:
        """Cost of a good piece by one route, at the job's run or at other runs."""
        return self.curves[key].unit_cost(self.job.good_pieces if good_pieces is None else good_pieces)

    @property
    def cheapest(self) -> str:
        """Key of the cheapest route at the job's run."""
        return next(key for first, last, key in self.stretches if first <= self.job.good_pieces <= last)

    @property
    def change_overs(self) -> list[tuple[int, str, str]]:
        """Every run at which the cheapest route changes: (first run of the new route, key before, key from there on)."""
        pairs = pairwise(self.stretches)
        return [(first, before, after) for (_, _, before), (first, _, after) in pairs]

    @property
    def nearest_change_over(self) -> tuple[int, str, str] | None:
        """The change-over nearest to the job's run, as a ratio; None where one route is the cheapest at every run."""
        run = self.job.good_pieces
        return min(self.change_overs, key=lambda change: max(change[0] / run, run / change[0]), default=None)

    def opened(self, key: str, good_pieces: float | None = None) -> list[LineCost]:
        """The run's cost by one route, line by line; the amounts add up to the run cost."""
        run = self.job.good_pieces if good_pieces is None else good_pieces
        opened = []
        for line, numbers in zip(self.costings[key], self.curves[key].lines, strict=True):
            quantity = numbers.quantity(run)
            rate = numbers.rate_at(quantity)
            source = f"{line.source}: {line.source_name}"
            if code := self.code_of(line):
                bought = quantity if len(numbers.breaks) else 0
                source = f"{PRICES}: {code}, row {price_row(code, bought, self.job.quote_day, self.price_rows)}"
            opened.append(LineCost(line.element, line.driver, quantity, line.unit, rate, quantity * rate, source))
        return opened

    def code_of(self, line: CostLine) -> str:
        """The code in the price list that a line's rate comes from; blank for a line at the shop's own rates."""
        record = self.job if hasattr(self.job, line.source_name) else self.rates
        return str(getattr(record, line.source_name)) if line.source == PRICES else ""

    def spent_on(self, key: str) -> dict[str, float]:
        """Money of the run by code in the price list, by one route; under a blank code what goes at the shop's rates."""
        spent: dict[str, float] = {}
        for line, numbers in zip(self.costings[key], self.curves[key].lines, strict=True):
            code = self.code_of(line)
            spent[code] = spent.get(code, 0.0) + float(numbers.amount(self.job.good_pieces))
        return spent

    def moved(self, key: str, other: "Quote") -> dict[str, float]:
        """What another quote of the same job adds to a good piece, by code as in `spent_on`; codes that moved."""
        before, after = self.spent_on(key), other.spent_on(key)
        added = {code: (after[code] - before[code]) / self.job.good_pieces for code in before}
        return {code: amount for code, amount in added.items() if abs(amount) > 1e-12}


def quote(job: Job, rates: ShopRates, price_rows: Any, routes: Sequence[Route] = ROUTES) -> Quote:
    """Work a job out by every route that can print it, or by those given.

    A route that the job rules out, or whose arithmetic refuses the job (an image larger than the sheet), is left out with
    its reason.  Raises NoSolution where no route is left.
    """
    desk = Desk(job, rates, price_rows, Workings())
    costings: dict[str, list[CostLine]] = {}
    refused: dict[str, str] = {}
    ruled_out = set()
    for route in routes:
        if reason := route.ruled_out(job):
            refused[route.key] = reason
            ruled_out.add(route.key)
            continue
        try:
            costings[route.key] = route.lines(desk)
        except QuoteError as refusal:
            refused[route.key] = str(refusal)
    if not costings:
        reasons = "; ".join(f"{key}: {reason}" for key, reason in refused.items())
        raise NoSolution(f"design {job.design!r}", "not printable by any route", reasons)
    return Quote(job, rates, price_rows, costings, refused, frozenset(ruled_out))
