"""What to make now of every design of a season: by which route, how many up front, and how many transfers to hold.

    sales = load_sales("examples/season/sales.csv")
    plans = plan_season(quotes, sales, PlanTerms())
    plan_table(plans)

For each design the policies of plans.py are held against each other over every whole number of pieces that can matter: all
up front by each route that can print it, transfers (printed or bought) held and pressed as they sell, and some by hand with
transfers behind them.  The arithmetic is that of plans.py, on arrays.
"""

import math
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import pandas as pd

from quotelib.curve import CostCurve, CurveLine
from quotelib.demand import Outlook, SummedOutlook, counts_of, outlook_of, season_demand
from quotelib.elementwise import round_up
from quotelib.errors import FileRefused, QuoteError
from quotelib.kinds import DEMAND, PAST_SALES, POSITIVE_MONEY, DemandFigures
from quotelib.plans import (
    SELDOM,
    BestPlan,
    Made,
    Parts,
    Supply,
    Terms,
    Weights,
    expected_season,
    parts,
    up_front_weight,
)
from quotelib.quoting import Quote
from quotelib.routes import PER_DESIGN, TITLES, CostLine
from quotelib.runsize import MONTHS_A_YEAR
from quotelib.tables import read_table

HELD_ROUTES = ("transfer", "bought")
"""The routes whose transfers can be held."""

NEGLIGIBLE = 1e-15
"""A number of pieces less likely than this, against the likeliest, is left out of the sums."""

NOTHING = CostCurve(())
"""What is not made costs nothing."""


class Sales(NamedTuple):
    """What a design has sold, period by period, and its price."""

    design: str
    price: float
    sold: tuple[float, ...]


@dataclass(frozen=True)
class PlanTerms:
    """How a season is planned."""

    months: int = 6
    """Months of the season; sales.csv has a column for each past month."""
    form: str = "negative binomial"
    """Form of the demand that is made of the past months, as for SEASON_DEMAND."""
    salvage_share: float = 0.2
    """What a piece left over still fetches, as a share of the price."""
    holding_rate: float = 0.2
    """Yearly cost of holding, as a share of what the stock has cost."""
    stuck_months: float = 12
    """Months of stock beyond which the shop calls itself stuck."""


class HeldWay(NamedTuple):
    """Transfers of one route: their cost curve, the same without the design's artwork, and that of pressing them."""

    alone: CostCurve
    behind_others: CostCurve
    pressing: CostCurve


class Makable(NamedTuple):
    """A design as it can be made and sold."""

    design: str
    demand: DemandFigures
    price: float
    up_front: dict[str, CostCurve]
    """By the key of the route."""
    held: dict[str, HeldWay]
    lot: int


class DesignPlan(NamedTuple):
    """The plan that costs least for one design."""

    design: str
    up_front_route: str
    """Key of the route of the pieces made now; blank where there are none."""
    held_route: str
    best: BestPlan
    cost: Parts
    mean: float
    """Mean demand of the season."""
    fill_rate: float
    months_of_stock: float
    chance_stuck: float


def load_sales(path: str | Path) -> list[Sales]:
    """The past sales of a season's designs: a row for each, with its price and a column for each past month.

    Raises FileRefused with every fault of the file.
    """
    table = read_table(path, refuse=False)
    faults = table.faults
    sales: list[Sales] = []
    if table.header[:2] != ("design", "price") or len(table.header) < 4:
        wanted = "the headings must be design, price, and one for each past month, two at least"
        faults.row(table.header_row, wanted)
        faults.refuse()
    sold_kind = PAST_SALES.columns[0][1]
    seen: set[str] = set()
    for row in table.rows:
        design, *texts = row.cells
        figures: list[float] = []
        if not design or design in seen:
            faults.cell(row.number, 0, "design", design, "it must be a design, in one row only")
        seen.add(design)
        for place, text in enumerate(texts, 1):
            kind = POSITIVE_MONEY if place == 1 else sold_kind
            if place > 1 and not text:
                continue  # before the design was there
            try:
                figures.append(kind.admit(table.header[place], float(text)))
            except QuoteError as refusal:
                faults.cell(row.number, place, table.header[place], text, refusal.allowed)
            except ValueError:
                faults.cell(row.number, place, table.header[place], text, kind.refusal("a number, "))
        if len(figures) > 2:
            sales.append(Sales(design, figures[0], tuple(figures[1:])))
        else:
            faults.cell(row.number, 0, "design", design, "it must have sales of two months at least")
    faults.refuse()
    return sales


def makable(quote: Quote, sales: Sales, terms: PlanTerms) -> Makable:
    """A quoted design with the demand that its past sales let expect."""
    demand = DEMAND.admit("demand", season_demand([sales.sold], terms.months, terms.form))
    held = {key: held_way(quote.costings[key]) for key in HELD_ROUTES if key in quote.costings}
    return Makable(sales.design, demand, sales.price, dict(quote.curves), held, int(quote.rates.pieces_per_session))


def held_way(lines: Sequence[CostLine]) -> HeldWay:
    """A route's transfers and their pressing, apart."""

    def curve(chosen: Sequence[CostLine]) -> CostCurve:
        return CostCurve([line.in_numbers() for line in chosen])

    transfers = [line for line in lines if line.held]
    behind_others = [line for line in transfers if line.driver != PER_DESIGN]
    return HeldWay(curve(transfers), curve(behind_others), curve([line for line in lines if not line.held]))


def plan_season(quotes: Sequence[Quote], sales: Sequence[Sales], terms: PlanTerms) -> list[DesignPlan]:
    """The best plan of every design that has past sales.

    Raises FileRefused where sales are of a design that is not quoted, or too few to plan with.
    """
    by_design = {quote.job.design: quote for quote in quotes}
    designs, faults = [], []
    for each in sales:
        if each.design not in by_design:
            faults.append(f"{each.design!r} has sales and is not a design of the season")
            continue
        try:
            designs.append(makable(by_design[each.design], each, terms))
        except QuoteError as refusal:
            faults.append(f"{each.design}: {refusal}")
    if faults:
        raise FileRefused("sales", faults)
    return plan_designs(designs, terms)


def plan_designs(designs: Sequence[Makable], terms: PlanTerms, workers: int = 1) -> list[DesignPlan]:
    """The best plan of each design; `workers` is the number of processors to use."""
    if workers == 1:
        return [plan_design(design, terms) for design in designs]
    with ProcessPoolExecutor(workers, initializer=_hand_over, initargs=(designs, terms)) as pool:
        return list(pool.map(_plan_place, range(len(designs)), chunksize=max(len(designs) // (8 * workers), 1)))


_IN_WORKER: list[Any] = []
"""What a worker was handed at its start, so that the designs need not travel one by one."""


def _hand_over(designs: Sequence[Makable], terms: PlanTerms) -> None:
    _IN_WORKER[:] = designs, terms


def _plan_place(place: int) -> DesignPlan:
    designs, terms = _IN_WORKER
    return plan_design(designs[place], terms)


def plan_design(design: Makable, terms: PlanTerms) -> DesignPlan:
    """The plan of one design that costs least, of all policies and routes; of equals, the first tried."""
    money = Terms(design.price, terms.salvage_share * design.price, terms.holding_rate * terms.months / MONTHS_A_YEAR)
    outlook = outlook_on_arrays(design.demand)
    search = ArraySearch(outlook, money, design.lot)
    best, routes, supply = BestPlan(0, 0, money.short_cost * outlook.mean), ("", ""), search.supply()
    for key, curve in design.up_front.items():
        found = search.up_front(curve)
        if found.cost < best.cost:
            best, routes, supply = found, (key, ""), search.supply(up_front=curve)
    for key, way in design.held.items():
        found = search.held(way.alone, way.pressing)
        if found.cost < best.cost:
            best, routes, supply = found, ("", key), search.supply(held=way.alone, pressing=way.pressing)
    by_hand = design.up_front.get("hand", NOTHING)
    for key, way in design.held.items() if by_hand is not NOTHING else ():
        found = search.both(by_hand, way.behind_others, way.pressing, best.cost)
        if found.cost < best.cost:
            best, routes, supply = found, ("hand", key), search.supply(by_hand, way.behind_others, way.pressing)
    made = Made.by(supply, best.up_front, best.held)
    pieces = best.up_front + best.held
    return DesignPlan(
        design.design, *routes, best, parts(made, expected_season(made, outlook), money), outlook.mean,
        outlook.fill_rate(pieces), outlook.months_of_stock(pieces, terms.months),
        outlook.chance_stuck(pieces, terms.months, terms.stuck_months),
    )  # fmt: skip


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

    def supply(self, up_front: CostCurve = NOTHING, held: CostCurve = NOTHING, pressing: CostCurve = NOTHING) -> Supply:
        """What a plan is made by."""
        return Supply(up_front, held, pressing, self.lot)

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


def plan_table(plans: Sequence[DesignPlan]) -> pd.DataFrame:
    """One row for each design: what to make now, what to hold, what the season is expected to cost and to leave."""
    rows = []
    for plan in plans:
        ways = [TITLES[key] for key in (plan.up_front_route, plan.held_route) if key]
        rows.append(
            {
                "Design": plan.design,
                "Mean": round(plan.mean),
                "Policy": _policy(plan),
                "Make now": plan.best.up_front,
                "Hold": plan.best.held,
                "By": ", then ".join(ways),
                "Cost": plan.cost.total,
                "Production": plan.cost.production,
                "Holding": plan.cost.holding,
                "Write-down": plan.cost.write_down,
                "Lost sales": plan.cost.lost_sales,
                "Left over": plan.cost.left_over,
                "Transfers left": plan.cost.transfers_left,
                "Short": plan.cost.short,
                "Fill": plan.fill_rate,
                "Months": plan.months_of_stock,
                "Stuck": plan.chance_stuck,
            }
        )
    return pd.DataFrame(rows)


def _policy(plan: DesignPlan) -> str:
    if plan.up_front_route:
        return "both" if plan.held_route else "up front"
    return "held" if plan.held_route else "make none"
