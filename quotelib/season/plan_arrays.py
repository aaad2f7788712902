"""The search for the best plans (plans.py) on arrays, for one design against all its routes, and for many designs."""

import math
from typing import Any

import numpy as np

from quotelib.chapters.curve import CostCurve, CurveLine
from quotelib.chapters.demand import Outlook, SummedOutlook, counts_of, outlook_of
from quotelib.chapters.plans import SELDOM, BestPlan, Made, Terms, Weights, up_front_weight
from quotelib.elementwise import round_up
from quotelib.kinds import DemandFigures

NEGLIGIBLE = 1e-15
"""A number of pieces less likely than this, against the likeliest, is left out of the sums."""

NOTHING = CostCurve(())
"""What is not made costs nothing."""


class ArraySearch:
    """The search of plans.Search on arrays, for one design against all its routes."""

    def __init__(self, outlook: Outlook, terms: Terms, lot: int) -> None:
        self.terms, self.lot, self.last = terms, lot, outlook.quantile(1 - SELDOM)
        self.pieces = np.arange(self.last + 1.0)
        self.beyond, self.short = map(np.asarray, outlook.tables(self.last))
        self.short_weight = terms.short_cost - terms.salvage
        self.lots_before = (self.pieces // lot).astype(int)
        self._costs: dict[CostCurve, Any] = {}
        self._weights: dict[CostCurve, Any] = {}

    def made(self, plan: BestPlan, up_front: CostCurve, held: CostCurve, pressing: CostCurve) -> Made:
        """What a plan makes by these curves, and what that costs."""
        full, rest = divmod(plan.held, self.lot)
        lots = self._run_costs(pressing, min(self.lot, self.last))
        costs = self._run_costs(up_front)[plan.up_front], self._run_costs(held)[plan.held], lots[-1], lots[rest]
        return Made(plan.up_front, plan.held, full, self.lot, rest, *map(float, costs))

    def up_front(self, curve: CostCurve) -> BestPlan:
        """All up front by one route."""
        costs = self._up_front(curve) + self.short_weight * self.short
        best = int(np.argmin(costs))
        return BestPlan(best, 0, float(costs[best]))

    def held(self, held: CostCurve, pressing: CostCurve) -> BestPlan:
        """All transfers of one route, one at least."""
        return self._best_held(0, self._held(held, pressing), self.terms.salvage * self.short[0])

    def both(self, curve: CostCurve, held: CostCurve, pressing: CostCurve, limit: float) -> BestPlan:
        """At least one piece up front and one transfer; the best where it costs less than the limit, else any or none."""
        nothing = BestPlan(0, 0, math.inf)
        if self.last < 2:
            return nothing
        up_front = self._up_front(curve)
        rows, bounds = self._bounds(up_front, self._run_costs(held), pressing, limit)
        best, weights = nothing, None
        for place in np.argsort(bounds).tolist():
            if bounds[place] >= min(limit, best.cost):
                break
            row = int(rows[place])
            weights = weights or self._held(held, pressing)
            best = min(best, self._best_held(row, weights, up_front[row]), key=lambda plan: plan.cost)
        return best

    def _run_costs(self, curve: CostCurve, last: int | None = None) -> Any:
        if curve not in self._costs:
            self._costs[curve] = run_costs(curve, self.last if last is None else last)
        return self._costs[curve]

    def _up_front(self, curve: CostCurve) -> Any:
        """The part of the cost that hangs on 0, 1, 2, ... pieces up front, worked out once for each route."""
        if curve not in self._weights:
            costs = self._run_costs(curve)
            self._weights[curve] = up_front_weight(self.pieces, costs, self.short[0], self.short, self.terms)
        return self._weights[curve]

    def _held(self, held: CostCurve, pressing: CostCurve) -> Weights:
        """The weights of 0, 1, 2, ... transfers held, as arrays."""
        rest = self.pieces - self.lots_before * self.lot
        lots = self._run_costs(pressing, min(self.lot, self.last))
        costs = (0.0, self._run_costs(held), lots[-1], lots[rest.astype(int)])
        return Weights.of(Made(0, self.pieces, self.lots_before, self.lot, rest, *costs), self.terms)

    def _best_held(self, up_front: int, weights: Weights, up_front_weight: float) -> BestPlan:
        room = self.last + 1 - up_front
        beyond, before = self.beyond[up_front:], self.lots_before[:room]
        opened = beyond[:: self.lot]
        full_lots = np.concatenate(([0.0], np.cumsum(opened[:-1])))[before]
        costs = (
            weights.held[:room]
            + weights.per_lot[:room] * full_lots
            + weights.per_rest[:room] * opened[before]
            + weights.presses[:room] * beyond[0]
            + self.short_weight * self.short[up_front:]
        )
        best = 1 + int(np.argmin(costs[1:]))
        return BestPlan(up_front, best, float(costs[best] + up_front_weight))

    def _bounds(self, up_front: Any, held_costs: Any, pressing: CostCurve, limit: float) -> tuple[Any, Any]:
        """Numbers of pieces up front, and a cost below which no plan with them can be, as in plans.Search.

        Those are left out whose bound, with no thought of what the lots leave over, is at the limit already.
        """
        terms, lot, last, beyond, short = self.terms, self.lot, self.last, self.beyond, self.short
        rows = np.arange(1, last)
        lots = self._run_costs(pressing, min(lot, last))
        pressed = min(float((lots[1:] / self.pieces[1 : lots.size]).min()), terms.short_cost)
        if pressed <= terms.salvage:
            return rows, np.full(rows.size, -math.inf)
        costs = held_costs * (1 + terms.holding / 2)
        slope = (costs[-1] - costs[1]) / (last - 1)
        start = (costs - slope * self.pieces)[1:].min()
        enough = float((slope * self.pieces + (terms.short_cost - pressed) * short).min())
        bounds = up_front + (pressed - terms.salvage) * short + start - slope * self.pieces
        rows = rows[bounds[1:-1] + enough < limit]
        reach = (
            rows + np.arange(0, last, lot)[:, None]
        )  # for each number of full lots (down) and of pieces up front (across)
        marks = np.minimum(reach, last)
        chances = np.concatenate((beyond, np.zeros(-beyond.size % lot))).reshape(-1, lot)
        opened = np.concatenate((np.zeros(lot), np.cumsum(chances, axis=0).ravel()))  # lots from so many pieces back
        rest = (pressed - terms.salvage) * beyond[marks]
        at = np.searchsorted(short[1:] - short[:-1], -(slope + rest) / (terms.short_cost - terms.salvage))
        at = np.minimum(np.clip(at, np.maximum(reach, rows + 1), reach + lot - 1), last)
        found = slope * at + (terms.short_cost - terms.salvage) * short[at] + rest * (at - reach)
        found += (pressed - terms.salvage) * (lot * (opened[marks] - opened[rows]) - short[rows])
        found[1:] += terms.holding / 2 * lots[-1] * beyond[rows]
        found[reach >= last] = math.inf
        return rows, bounds[rows] + found.min(axis=0)


def run_costs(curve: CostCurve, last: int) -> Any:
    """Money for each run of 0, 1, 2, ... up to the last number of pieces, as an array.

    The steps of lines that climb alike are worked out once, and lines that only climb are taken together.
    """
    pieces = np.arange(1.0, last + 1)
    steps: dict[float, Any] = {}
    slopes: dict[float, float] = {}
    base, costs = 0.0, np.zeros(last + 1)
    for line in curve.lines:
        if line.every not in steps:
            steps[line.every] = round_up(pieces / line.every) if line.every else pieces
            slopes[line.every] = 0.0
        if not line.breaks and line.at_least <= line.once + line.per_step:
            base += line.once * line.rate
            slopes[line.every] += line.per_step * line.rate
            continue
        wanted = np.maximum(line.once + line.per_step * steps[line.every], line.at_least)
        costs[1:] += _amounts(line, wanted) if line.breaks else wanted * line.rate
    costs[1:] += base
    for every, slope in slopes.items():
        if slope:
            costs[1:] += slope * steps[every]
    return costs


def _amounts(line: CurveLine, wanted: Any) -> Any:
    """Money for quantities at price breaks: at the price of the band, or a larger order where that costs less."""
    starts = np.array([start for start, _ in line.breaks])
    rates = np.array([line.rate, *(rate for _, rate in line.breaks)])
    larger_orders = np.append(np.minimum.accumulate((starts * rates[1:])[::-1])[::-1], math.inf)
    band = np.searchsorted(starts, wanted, "right")
    return np.minimum(wanted * rates[band], larger_orders[band])


def outlook_on_arrays(demand: DemandFigures) -> Outlook:
    """The demand, with sums on arrays where it is poisson or negative binomial."""
    if demand.form not in ("poisson", "negative binomial"):
        return outlook_of(demand)
    counts = counts_of(demand)
    mean, wide = demand.figures[0], 12 * (demand.figures[-1] if len(demand.figures) > 1 else math.sqrt(demand.figures[0]))
    first, last = max(int(mean - wide), 0), int(mean + wide) + 20
    while True:
        steps = np.log(counts.ratio(np.arange(first, last, dtype=float)))
        logs = np.concatenate(([0.0], np.cumsum(steps)))
        weights = np.exp(logs - logs.max())
        if weights[-1] < NEGLIGIBLE:
            break
        last += last - first
    chances = weights / weights.sum()
    beyond = np.concatenate((np.cumsum(chances[:0:-1])[::-1], [0.0]))
    short = np.concatenate((np.cumsum(beyond[-2::-1])[::-1], [0.0]))
    return ArrayOutlook(range(first, last + 1), beyond, short)


class ArrayOutlook(SummedOutlook):
    """Poisson or negative binomial demand with its sums on numpy arrays."""

    def tables(self, last: int) -> tuple[Any, Any]:
        first, room = self.pieces[0], last + 1
        given = slice(first, first + len(self.pieces))
        beyond, short = np.zeros(room), np.zeros(room)
        beyond[:first], short[:first] = 1.0, self.mean - np.arange(min(first, room))
        beyond[given], short[given] = self._beyond[: max(room - first, 0)], self._short[: max(room - first, 0)]
        return beyond, short
