"""A whole job worked out case by case: other colours, other runs, each input a little less or more."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

from quotelib.chapters.buying import last_day
from quotelib.chapters.curve import LONGEST_RUN, CostCurve, cheapest_stretches
from quotelib.errors import NoSolution, QuoteError
from quotelib.job import Job
from quotelib.kinds import NumberKind, Rows
from quotelib.quoting import quote
from quotelib.rates import ShopRates
from quotelib.routes import ROUTES, TITLES

MOST_COLOURS = 12
"""Colours up to which a change-over is looked for."""


class RouteCosts(NamedTuple):
    """A good piece's cost by every possible route, at one number of colours and one or more run sizes."""

    colours: int
    costs: dict[str, Any]
    """By the key of the route: a number, or an array with one for each run size."""


class Move(NamedTuple):
    """How far one input moves the change-over."""

    name: str
    title: str
    less: int | None
    """Change-over run when the input is less by the share; None where route b never becomes the cheaper."""
    more: int | None
    """The same when it is more."""


@dataclass(frozen=True)
class Case:
    """A job with the shop's rates and prices, from which other cases are made."""

    job: Job
    rates: ShopRates
    price_rows: Any

    def curves(self, *keys: str) -> dict[str, CostCurve]:
        """The cost curves of the possible routes, or of those named."""
        routes = [route for route in ROUTES if not keys or route.key in keys]
        return quote(self.job, self.rates, self.price_rows, routes).curves

    def changed(self, name: str, value: float) -> "Case":
        """The case with another value in one input of the job or the rates."""
        if hasattr(self.job, name):
            return replace(self, job=self.job.changed(name, value))
        return replace(self, rates=self.rates.changed(name, value))

    def route_costs(self, colours: Sequence[float], runs: Any) -> Iterator[RouteCosts]:
        """The job at each number of colours, at the run sizes given (a number or an array)."""
        for count in colours:
            curves = self.changed("colours", count).curves()
            yield RouteCosts(int(count), {key: curve.unit_cost(runs) for key, curve in curves.items()})

    def route_map(self, colours: Sequence[float], runs: Sequence[float], figure: str) -> Rows:
        """The cheapest route, its cost, or how much more the next costs, at each number of colours and each run."""
        curves = [self.changed("colours", count).curves() for count in colours]
        return tuple(
            tuple(_figure({key: curve.unit_cost(run) for key, curve in routes.items()}, figure) for run in runs)
            for routes in curves
        )

    def prices_hold_until(self, route: str) -> int:
        """The last day on which every price that the route reads on the day of the quote still holds."""
        quoted = quote(self.job, self.rates, self.price_rows, [each for each in ROUTES if each.key == route])
        codes = {quoted.code_of(line) for line in quoted.costings[route]} - {""}
        return min(last_day(code, self.job.quote_day, self.price_rows) for code in codes)

    def stretches(self) -> list[tuple[Any, Any, str]]:
        """First run, last run and title of the route that is cheapest over every stretch of run sizes."""
        found = quote(self.job, self.rates, self.price_rows).stretches
        return [(first, last, TITLES[key]) for first, last, key in found]

    def break_even_colours(self, route_a: str, route_b: str, good_pieces: float) -> int:
        """Smallest number of colours from which b costs no more than a, and stays so."""
        smallest = 0
        for colours in range(MOST_COLOURS, 0, -1):
            curves = self.changed("colours", float(colours)).curves(route_a, route_b)
            costs = {key: curve.run_cost(good_pieces) for key, curve in curves.items()}
            if route_a in costs and costs.get(route_b, math.inf) > costs[route_a]:
                break
            smallest = colours
        if not smallest:
            at = f"at {MOST_COLOURS} colours in a run of {good_pieces:g}"
            raise NoSolution("route_b", route_b, f"it costs more than {route_a} even {at}")
        return smallest

    def change_over(self, route_a: str, route_b: str) -> int | None:
        """The run from which b costs no more than a, and stays so; None where it never does or one is not possible."""
        curves = self.curves(route_a, route_b)
        if route_a not in curves or route_b not in curves:
            return None
        last = cheapest_stretches([curves[route_b], curves[route_a]])[-1]
        return last.first if last.cheapest == 0 else None

    def change_over_moves(self, route_a: str, route_b: str, share: float = 0.1) -> tuple[int | None, list[Move]]:
        """The change-over run, and where it goes when each input is a share less or more, the strongest first."""
        now = self.change_over(route_a, route_b)
        moves = []
        for entry in (*Job.entries(), *ShopRates.entries()):
            if not isinstance(entry.kind, NumberKind) or entry.name == "good_pieces":
                continue
            value = getattr(self.job if hasattr(self.job, entry.name) else self.rates, entry.name)
            less, more = (
                self._moved_change_over(entry.name, _moved(entry.kind, value, factor), route_a, route_b)
                for factor in (1 - share, 1 + share)
            )
            if (less, more) != (now, now):
                moves.append(Move(entry.name, entry.title, less, more))
        return now, sorted(moves, key=lambda move: _distance(now, move), reverse=True)

    def _moved_change_over(self, name: str, value: float, route_a: str, route_b: str) -> int | None:
        try:
            return self.changed(name, value).change_over(route_a, route_b)
        except QuoteError:  # the moved input makes a route impossible, such as a sheet smaller than the image
            return None


def whole_job(job_names: Rows, job_values: Rows, rate_names: Rows, rate_values: Rows, price_rows: Rows) -> Case:
    """The case that stands on a sheet."""
    job, rates = Job.of_ranges(job_names, job_values), ShopRates.of_ranges(rate_names, rate_values)
    return Case(job, rates, price_rows)


def _figure(costs: dict[str, float], figure: str) -> Any:
    cheapest = min(costs, key=costs.__getitem__)
    if figure == "cheapest":
        return TITLES[cheapest]
    least = costs.pop(cheapest)
    if figure == "cost":
        return least
    return min(costs.values()) - least if costs else ""


def _moved(kind: NumberKind, value: float, factor: float) -> float:
    """The value times a factor, kept whole where it must be (by one at least), and within its range."""
    moved = value * factor
    if kind.whole:
        moved = float(max(round(moved), value + 1) if factor > 1 else min(round(moved), value - 1))
    return min(max(moved, kind.low), kind.high)


def _distance(now: int | None, move: Move) -> float:
    """How far a move goes, as a ratio of runs; to or from never is farthest of all."""
    never = float(LONGEST_RUN) * 10
    runs = [float(run) if run else never for run in (now, move.less, move.more)]
    return max(max(run / runs[0], runs[0] / run) for run in runs[1:])
