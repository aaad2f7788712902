"""What to make now of every design of a season: by which route, how many up front, and how many transfers to hold.

    terms = PlanTerms(months=6)
    designs = makables(quotes, load_sales("examples/season/sales.csv"), terms)
    plan_table(plan_designs(designs, terms))
    shared_blanks_table(designs, terms)

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

from quotelib.chapters.curve import CostCurve
from quotelib.chapters.demand import season_demand
from quotelib.chapters.plans import (
    BestPlan,
    Made,
    Parts,
    Terms,
    expected_season,
    parts,
)
from quotelib.chapters.pooling import pooled_deviation, safety_stock, waiting_value
from quotelib.chapters.runsize import MONTHS_A_YEAR
from quotelib.errors import FileRefused, QuoteError
from quotelib.files.readers import as_kind
from quotelib.files.tables import read_table
from quotelib.kinds import DEMAND, POSITIVE_MONEY, SOLD, DemandFigures
from quotelib.quoting import Quote
from quotelib.routes import PER_DESIGN, TITLES, CostLine
from quotelib.season.plan_arrays import NOTHING, ArraySearch, outlook_on_arrays
from quotelib.season.simulation import simulated_plan

HELD_ROUTES = ("transfer", "bought")
"""The routes whose transfers can be held."""


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
    blank: str
    """Code of its blank, which other designs may share."""
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
    made: Made
    cost: Parts
    mean: float
    """Mean demand of the season."""
    fill_rate: float
    months_of_stock: float
    chance_stuck: float
    waiting_saves: float
    """Cost of the best plan that makes everything now, or nothing at all, less that of this one."""


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
    seen: set[str] = set()
    for row in table.rows:
        design, *texts = row.cells
        figures: list[float] = []
        if not design or design in seen:
            faults.cell(row.number, 0, "design", design, "it must be a design, in one row only")
        seen.add(design)
        for place, text in enumerate(texts, 1):
            kind = POSITIVE_MONEY if place == 1 else SOLD
            if place > 1 and not text:
                continue  # before the design was there
            try:
                figures.append(as_kind(kind, text))
            except QuoteError as refusal:
                faults.cell(row.number, place, table.header[place], text, refusal.allowed)
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
    return Makable(
        sales.design,
        quote.job.blank_code,
        demand,
        sales.price,
        dict(quote.curves),
        held,
        int(quote.rates.pieces_per_session),
    )


def held_way(lines: Sequence[CostLine]) -> HeldWay:
    """A route's transfers and their pressing, apart."""

    def curve(chosen: Sequence[CostLine]) -> CostCurve:
        return CostCurve([line.in_numbers() for line in chosen])

    transfers = [line for line in lines if line.held]
    behind_others = [line for line in transfers if line.driver != PER_DESIGN]
    return HeldWay(curve(transfers), curve(behind_others), curve([line for line in lines if not line.held]))


def makables(quotes: Sequence[Quote], sales: Sequence[Sales], terms: PlanTerms) -> list[Makable]:
    """Every design that has past sales, ready to be planned.

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
        raise FileRefused("sales.csv", faults)
    return designs


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
    money = _money(design, terms)
    outlook = outlook_on_arrays(design.demand)
    search = ArraySearch(outlook, money, design.lot)
    best, routes, curves = BestPlan(0, 0, money.short_cost * outlook.mean), ("", ""), (NOTHING, NOTHING, NOTHING)
    for key, curve in design.up_front.items():
        found = search.up_front(curve)
        if found.cost < best.cost:
            best, routes, curves = found, (key, ""), (curve, NOTHING, NOTHING)
    making_now = best.cost
    for key, way in design.held.items():
        found = search.held(way.alone, way.pressing)
        if found.cost < best.cost:
            best, routes, curves = found, ("", key), (NOTHING, way.alone, way.pressing)
    by_hand = design.up_front.get("hand", NOTHING)
    for key, way in design.held.items() if by_hand is not NOTHING else ():
        found = search.both(by_hand, way.behind_others, way.pressing, best.cost)
        if found.cost < best.cost:
            best, routes, curves = found, ("hand", key), (by_hand, way.behind_others, way.pressing)
    made = search.made(best, *curves)
    pieces = best.up_front + best.held
    return DesignPlan(
        design.design, *routes, best, made, parts(made, expected_season(made, outlook), money), outlook.mean,
        outlook.fill_rate(pieces), outlook.months_of_stock(pieces, terms.months),
        outlook.chance_stuck(pieces, terms.months, terms.stuck_months), making_now - best.cost,
    )  # fmt: skip


def _money(design: Makable, terms: PlanTerms) -> Terms:
    """The money of a season for one design."""
    return Terms(design.price, terms.salvage_share * design.price, terms.holding_rate * terms.months / MONTHS_A_YEAR)


def simulated_cost(
    designs: Sequence[Makable], plans: Sequence[DesignPlan], terms: PlanTerms, seasons: int, seed: int = 1
) -> tuple[float, float]:
    """The cost of all the plans over so many seasons drawn, and its standard error; each design sells by itself."""
    seen = [
        simulated_plan(plan.made, design.demand, _money(design, terms), seasons, seed + place).total
        for place, (design, plan) in enumerate(zip(designs, plans, strict=True))
    ]
    return math.fsum(mean for mean, _ in seen), math.sqrt(math.fsum(error * error for _, error in seen))


def shared_blanks_table(
    designs: Sequence[Makable], terms: PlanTerms, chance: float = 0.95, correlation: float = 0.0
) -> Any:
    """What waiting is worth for each blank that several designs share: safety stock and money, apart and together.

    Apart, each design has its own finished stock; together, the blanks are decorated as they sell.  A piece short loses the
    price less the unit cost at the mean demand, one left over its cost and holding less salvage, each as the designs'
    average weighted by their deviations.
    """
    rows = []
    for blank in dict.fromkeys(design.blank for design in designs):
        sharing = [design for design in designs if design.blank == blank]
        if len(sharing) < 2:
            continue
        deviations = [_deviation(design.demand) for design in sharing]
        means = [outlook_on_arrays(design.demand).mean for design in sharing]
        units = [
            min(curve.unit_cost(max(round(mean), 1)) for curve in design.up_front.values())
            for design, mean in zip(sharing, means, strict=True)
        ]
        holding = terms.holding_rate * terms.months / MONTHS_A_YEAR
        short = [max(design.price - unit, 0.0) for design, unit in zip(sharing, units, strict=True)]
        left = [
            max(unit * (1 + holding) - terms.salvage_share * design.price, 0.0)
            for design, unit in zip(sharing, units, strict=True)
        ]
        short_cost, left_cost = (float(np.average(each, weights=deviations)) for each in (short, left))
        pooled = pooled_deviation(deviations, correlation)
        worth = waiting_value(deviations, short_cost, left_cost, correlation) if short_cost and left_cost else 0.0
        rows.append(
            {
                "Blank": blank,
                "Designs": len(sharing),
                "Mean": round(sum(means)),
                "Stock above the mean, apart": sum(safety_stock(each, chance) for each in deviations),
                "Together": safety_stock(pooled, chance),
                "Waiting is worth": worth,
            }
        )
    return pd.DataFrame(rows)


def _deviation(demand: DemandFigures) -> float:
    """Standard deviation of demand as it was handed over."""
    if demand.form == "history":
        return float(np.std(demand.figures))
    return math.sqrt(demand.figures[0]) if demand.form == "poisson" else demand.figures[1]


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
                "Waiting saves": plan.waiting_saves,
            }
        )
    return pd.DataFrame(rows)


def _policy(plan: DesignPlan) -> str:
    if plan.up_front_route:
        return "both" if plan.held_route else "up front"
    return "held" if plan.held_route else "make none"
