"""A job whose rates, yields and minutes are not known for sure: many draws of them, each worked out as a whole quote.

An uncertain input has a least, a likely and a most; it is drawn from the triangle between them.  The draws are stratified
(a Latin hypercube): of `draws` values of an input, one falls into each slice of equal chance, in an order of its own.  So a
few hundred draws already hold each input's own spread almost exactly, and what is left of chance is how the inputs meet.
The same seed gives the same draws, in every host.
"""

import math
import random
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from operator import mul
from statistics import fmean
from typing import Any

from quotelib.cases import Case, whole_job
from quotelib.errors import LookupMiss, NoSolution, RangeError
from quotelib.job import Job
from quotelib.kinds import PRICE_CODES, PRICE_ROWS, NumberKind, Rows
from quotelib.rates import ShopRates

KINDS = {entry.name: entry.kind for entry in (*Job.entries(), *ShopRates.entries())}
"""The kinds of the inputs of a job and the shop's rates by name."""


@dataclass(frozen=True)
class Uncertain:
    """One input that is not known for sure."""

    name: str
    """An input of the job, a rate of the shop, or a code of the price list, whose prices are then multiplied."""
    least: float
    likely: float
    most: float

    def at(self, chance: float) -> float:
        """The value that the input stays below with that chance."""
        return triangle_value(chance, self.least, self.likely, self.most)


@dataclass(frozen=True)
class Drawn:
    """One draw: the values of the uncertain inputs, and what came of them."""

    values: tuple[float, ...]
    outcome: float


def triangle_value(chance: float, least: float, likely: float, most: float) -> float:
    """The value that stays below with that chance, where the density is a triangle over least, likely and most."""
    if not least <= likely <= most:
        raise RangeError("likely", likely, f"it must lie between least ({least:.12g}) and most ({most:.12g})")
    width, rise = most - least, likely - least
    if not width:
        return least
    if chance * width <= rise:
        return least + math.sqrt(chance * width * rise)
    return most - math.sqrt((1 - chance) * width * (width - rise))


def spreads_of(rows: Rows, case: Case) -> list[Uncertain]:
    """The uncertain inputs that stand in rows of name, least, likely, most; each checked by the kind of its input."""
    codes = {str(row[0]).casefold() for row in case.price_rows}
    spreads = []
    for name, least, likely, most in rows:
        where = f"spreads {name}"
        if not least <= likely <= most:
            raise RangeError(where, f"{least:.12g}, {likely:.12g}, {most:.12g}", "least, likely and most must not fall")
        kind = KINDS.get(name)
        if kind is None and name.casefold() in codes:
            if least <= 0:
                raise RangeError(f"{where} least", least, "it multiplies a price; it must be more than 0")
        elif not isinstance(kind, NumberKind) or name == "good_pieces":
            raise LookupMiss(
                "spreads name", name, "it must be a number among the inputs of the job (but not good_pieces) or the "
                "shop's rates, or a code of the price list"
            )  # fmt: skip
        else:
            for value in (least, likely, most):
                kind.admit(where, value)
        spreads.append(Uncertain(name, least, likely, most))
    names = [each.name.casefold() for each in spreads]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice:
        raise RangeError("spreads name", twice, "each input may stand once")
    return spreads


def present(case: Case, name: str) -> float:
    """The present value of an input; 1, for a code of the price list whose price is multiplied."""
    return float(getattr(case.job, name, getattr(case.rates, name, 1.0)))


def cases_of(case: Case, spreads: Sequence[Uncertain], draws: int, seed: int) -> list[tuple[tuple[float, ...], Case]]:
    """The draws, each as the values of the uncertain inputs and the case they make."""
    chance = random.Random(seed)
    columns = []
    for each in spreads:
        slices = list(range(draws))
        chance.shuffle(slices)
        columns.append([each.at((place + chance.random()) / draws) for place in slices])
    needed = replace(case, price_rows=_needed(case))
    return [(values, _drawn(needed, spreads, values)) for values in zip(*columns, strict=True)]


def _needed(case: Case) -> Rows:
    """The rows of the price list that the job can come to read, which may be a few out of many thousand."""
    entries = [(record, entry) for record in (case.job, case.rates) for entry in record.entries()]
    codes = {str(getattr(record, entry.name)).casefold() for record, entry in entries if entry.kind in PRICE_CODES}
    return tuple(row for row in case.price_rows if str(row[0]).casefold() in codes)


def _drawn(case: Case, spreads: Sequence[Uncertain], values: Sequence[float]) -> Case:
    job: dict[str, Any] = {}
    rates: dict[str, Any] = {}
    factors: dict[str, float] = {}
    for each, value in zip(spreads, values, strict=True):
        kind = KINDS.get(each.name)
        if isinstance(kind, NumberKind) and kind.whole:
            value = float(round(value))
        if hasattr(case.job, each.name):
            job[each.name] = value
        elif hasattr(case.rates, each.name):
            rates[each.name] = value
        else:
            factors[each.name.casefold()] = value
    rows = case.price_rows
    if factors:
        rows = tuple((row[0], row[1], row[2] * factors.get(str(row[0]).casefold(), 1.0), *row[3:]) for row in rows)
    return Case(replace(case.job, **job), replace(case.rates, **rates), PRICE_ROWS.admit("price_rows", rows))


def costs_of(case: Case, spreads: Sequence[Uncertain], route: str, draws: int, seed: int) -> list[Drawn]:
    """The cost of a good piece by a route, draw by draw."""
    drawn = cases_of(case, spreads, draws, seed)
    return [Drawn(values, each.curves(route)[route].unit_cost(each.job.good_pieces)) for values, each in drawn]


def change_overs_of(
    case: Case, spreads: Sequence[Uncertain], route_a: str, route_b: str, draws: int, seed: int
) -> list[float]:
    """The run from which b costs no more than a and stays so, draw by draw; infinite where it never does."""
    runs = [each.change_over(route_a, route_b) for _, each in cases_of(case, spreads, draws, seed)]
    if not any(runs):
        raise NoSolution("route_b", route_b, f"it stays dearer than {route_a}, or is not possible, in every draw")
    return [float(run) if run else math.inf for run in runs]


@lru_cache(maxsize=8)
def drawn_costs(whole: tuple[Rows, ...], rows: Rows, route: str, draws: int, seed: int) -> list[Drawn]:
    """`costs_of` a job that stands on a sheet; several cells that ask the same share the work."""
    case = whole_job(*whole)
    return costs_of(case, spreads_of(rows, case), route, draws, seed)


@lru_cache(maxsize=8)
def drawn_change_overs(
    whole: tuple[Rows, ...], rows: Rows, route_a: str, route_b: str, draws: int, seed: int
) -> list[float]:
    """`change_overs_of` a job that stands on a sheet."""
    case = whole_job(*whole)
    return change_overs_of(case, spreads_of(rows, case), route_a, route_b, draws, seed)


def quantile(outcomes: Sequence[float], chance: float) -> float:
    """The outcome that a share of the draws stays below, in a straight line between the two draws beside it."""
    ordered = sorted(outcomes)
    place = chance * (len(ordered) - 1)
    below = math.floor(place)
    beyond = ordered[min(below + 1, len(ordered) - 1)]
    return ordered[below] + (place - below) * (beyond - ordered[below])


def run_at(runs: Sequence[float], chance: float) -> float | None:
    """The change-over run that a share of the draws has reached; None where that share of them never does."""
    run = sorted(runs)[math.ceil(chance * len(runs)) - 1]
    return None if math.isinf(run) else run


def shares(drawn: Sequence[Drawn]) -> list[float]:
    """The share of each input in the spread of the outcome.

    A plane is laid through the draws by least squares; an input's share is the variance that its slope gives the outcome,
    over the outcome's variance.  Inputs are drawn independently, so the shares add up to 1 but for what is not straight.
    """
    outcomes = [each.outcome for each in drawn]
    if max(outcomes) - min(outcomes) <= 1e-12 * abs(fmean(outcomes)):
        raise NoSolution("spreads", "these", "none of them moves the cost by this route")
    columns = [_deviations(column) for column in zip(*(each.values for each in drawn), strict=True)]
    moving = [column for column in columns if any(column)]
    outcome = _deviations(outcomes)
    slopes = iter(_solution([[_sumprod(a, b) for b in moving] for a in moving], [_sumprod(a, outcome) for a in moving]))
    variance = _sumprod(outcome, outcome)
    return [next(slopes) ** 2 * _sumprod(column, column) / variance if any(column) else 0.0 for column in columns]


def _deviations(values: Sequence[float]) -> list[float]:
    mean = fmean(values)
    return [value - mean for value in values]


def _sumprod(a: Sequence[float], b: Sequence[float]) -> float:
    """The sum of the products, pair by pair."""
    return math.fsum(map(mul, a, b))


def _solution(matrix: list[list[float]], right: list[float]) -> list[float]:
    """The solution of symmetric equations, by elimination; a matrix of sums of squares needs no other pivots."""
    rows = [[*row, value] for row, value in zip(matrix, right, strict=True)]
    for place, pivot in enumerate(rows):
        for row in rows[place + 1 :]:
            factor = row[place] / pivot[place]
            row[place:] = [value - factor * above for value, above in zip(row[place:], pivot[place:], strict=True)]
    found: list[float] = []
    for place in range(len(rows) - 1, -1, -1):
        row = rows[place]
        found.insert(0, (row[-1] - _sumprod(row[place + 1 : -1], found)) / row[place])
    return found
