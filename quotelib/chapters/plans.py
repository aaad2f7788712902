"""A plan for one season of a design: so many pieces made up front, so many transfers held and pressed in lots as they sell.

Pieces made up front sell first.  Then, whenever a customer comes and nothing is pressed, one session presses a lot, until
the transfers are used up; the last lot may be smaller.  Each session is a run of its own, with its warm-up.  Pieces left
over go for their salvage; transfers left over are written off; what is asked for beyond all that is a lost sale.

All the costs of a season are linear in a few figures (`Season`): lots pressed, and pieces asked for beyond three marks.  So
one statement of the arithmetic (`parts`) serves for what is expected and for any one season, for a number and for arrays.
"""

import math
from bisect import bisect_left
from functools import cached_property
from itertools import pairwise
from typing import Any, NamedTuple

from quotelib.chapters.curve import CostCurve
from quotelib.chapters.demand import Outlook
from quotelib.elementwise import larger, where
from quotelib.errors import NoSolution

SELDOM = 1e-6
"""Plans are looked for up to the pieces that are enough in all but so small a share of the seasons."""

LONGEST_SEARCH = 200_000
"""Pieces of a design up to which a cell looks for the best plan."""

MOST_PLANS = 5_000_000
"""Plans of both kinds that a cell works out before it gives up."""


class Terms(NamedTuple):
    """The money of a season beside production."""

    short_cost: float
    """What is lost with each piece asked for and not there."""
    salvage: float
    """What a piece left over still fetches."""
    holding: float
    """Share of its cost that holding a piece or transfer takes from the first day of the season to the last."""


class Supply(NamedTuple):
    """What making costs: a run of pieces up front, a run of transfers, and a session that presses some of them."""

    up_front: CostCurve
    held: CostCurve
    pressing: CostCurve
    lot: int
    """Pieces pressed in one session."""


class Made(NamedTuple):
    """What one plan makes, and what that costs: numbers, or arrays of many plans."""

    up_front: Any
    held: Any
    full_lots: Any
    lot: Any
    rest: Any
    """Pieces of the last lot, smaller than the others; 0 where there is none."""
    up_front_cost: Any
    held_cost: Any
    lot_cost: Any
    rest_cost: Any

    @classmethod
    def by(cls, supply: Supply, up_front: Any, held: Any) -> "Made":
        """The plan made with these supplies."""
        full_lots = held // supply.lot
        rest = held - full_lots * supply.lot
        return cls(
            up_front, held, full_lots, supply.lot, rest,
            _cost(supply.up_front, up_front), _cost(supply.held, held),
            _cost(supply.pressing, supply.lot), _cost(supply.pressing, rest),
        )  # fmt: skip

    @property
    def held_unit(self) -> Any:
        """Cost of one transfer."""
        return self.held_cost / larger(self.held, 1)

    @property
    def half_a_lot(self) -> Any:
        """What half the first lot has cost, without its transfers' share, and the pieces in it."""
        return where(self.full_lots > 0, self.lot_cost, self.rest_cost) / 2, where(
            self.full_lots > 0, self.lot, self.rest
        ) / 2


class Season(NamedTuple):
    """What demand makes of a plan, on average or in one season."""

    demand: Any
    full_lots: Any
    """Full lots pressed."""
    rest: Any
    """Whether the last, smaller lot was pressed, or the chance of it."""
    presses: Any
    """Whether anything was pressed, or the chance of it."""
    beyond_up_front: Any
    """Pieces asked for beyond those made up front."""
    beyond_full_lots: Any
    """Pieces asked for beyond those and the full lots."""
    short: Any
    """Pieces asked for beyond everything."""


class Parts(NamedTuple):
    """The cost of a season in its parts, and what it leaves."""

    production: Any
    """Of what sold."""
    holding: Any
    write_down: Any
    """Cost of what did not sell, less what it still fetches."""
    lost_sales: Any
    left_over: Any
    transfers_left: Any
    short: Any

    @property
    def total(self) -> Any:
        """All the cost."""
        return self.production + self.holding + self.write_down + self.lost_sales


def parts(made: Made, season: Season, terms: Terms) -> Parts:
    """What the plan costs, by parts."""
    unit, held_unit = made.up_front_cost / larger(made.up_front, 1), made.held_unit
    lot_unit, rest_unit = held_unit + made.lot_cost / made.lot, held_unit + made.rest_cost / larger(made.rest, 1)
    unsold = made.up_front - season.demand + season.beyond_up_front
    lots_sold = season.beyond_up_front - season.beyond_full_lots
    rest_sold = season.beyond_full_lots - season.short
    pressed = season.full_lots * made.lot + season.rest * made.rest
    lots_unsold, rest_unsold = season.full_lots * made.lot - lots_sold, season.rest * made.rest - rest_sold
    left, half = made.held - pressed, made.half_a_lot
    return Parts(
        production=unit * (made.up_front - unsold) + lot_unit * lots_sold + rest_unit * rest_sold,
        holding=terms.holding
        * (
            unit * (made.up_front + unsold) / 2
            + held_unit * (made.held + left) / 2
            + (half[0] + half[1] * held_unit) * season.presses
        ),
        write_down=(unit - terms.salvage) * unsold
        + (lot_unit - terms.salvage) * lots_unsold
        + (rest_unit - terms.salvage) * rest_unsold
        + held_unit * left,
        lost_sales=terms.short_cost * season.short,
        left_over=unsold + lots_unsold + rest_unsold,
        transfers_left=left,
        short=season.short,
    )


def expected_season(made: Made, outlook: Outlook) -> Season:
    """What a plan may expect of a season, exactly: sums over the lots, closed forms or sums for the rest."""
    full_lots, opened = 0.0, int(made.full_lots)
    for before in range(opened):
        chance = outlook.beyond(made.up_front + before * made.lot)
        if chance < 1e-18:
            break
        full_lots += chance
    last = made.up_front + opened * made.lot
    return Season(
        demand=outlook.mean,
        full_lots=full_lots,
        rest=outlook.beyond(last) if made.rest else 0.0,
        presses=outlook.beyond(made.up_front) if made.held else 0.0,
        beyond_up_front=outlook.short(made.up_front),
        beyond_full_lots=outlook.short(last),
        short=outlook.short(made.up_front + made.held),
    )


class Weights(NamedTuple):
    """The same cost as in `parts`, sorted by what it hangs on, for a search through many plans.

    cost = up_front(h) + held(T) + per_lot(T) x full lots + per_rest(T) x rest + presses(T) x chance that any is pressed
           + (short_cost - salvage) x short
    """

    held: Any
    per_lot: Any
    per_rest: Any
    presses: Any

    @classmethod
    def of(cls, made: Made, terms: Terms) -> "Weights":
        """The weights of a number of transfers held."""
        pressed_value = terms.salvage + terms.holding / 2 * made.held_unit
        half = made.half_a_lot
        return cls(
            held=made.held_cost * (1 + terms.holding),
            per_lot=made.lot_cost - pressed_value * made.lot,
            per_rest=made.rest_cost - pressed_value * made.rest,
            presses=terms.holding * (half[0] + half[1] * made.held_unit),
        )


def up_front_weight(up_front: Any, cost: Any, mean: float, beyond: Any, terms: Terms) -> Any:
    """The part of the cost that hangs on the pieces made up front alone; `beyond` is what is asked for beyond them."""
    unsold = up_front - mean + beyond
    value = terms.holding / 2 * cost / larger(up_front, 1) - terms.salvage
    return cost * (1 + terms.holding / 2) + unsold * value + terms.salvage * beyond


class BestPlan(NamedTuple):
    """The plan that costs least."""

    up_front: int
    held: int
    cost: float


class Search:
    """The best plans of each policy, found exactly: every whole number of pieces that can matter is tried."""

    def __init__(self, supply: Supply, outlook: Outlook, terms: Terms) -> None:
        self.supply, self.terms = supply, terms
        self.last = outlook.quantile(1 - SELDOM)
        if self.last > LONGEST_SEARCH:
            allowed = f"plans are looked for up to {LONGEST_SEARCH} pieces; it must be less"
            raise NoSolution("demand", f"up to {self.last}", allowed)
        self.beyond, self.short = outlook.tables(self.last)
        self.short_weight = terms.short_cost - terms.salvage

    def up_front(self) -> BestPlan:
        """All up front, or nothing at all."""
        weights = zip(self._up_front, self.short, strict=True)
        costs = [weight + self.short_weight * short for weight, short in weights]
        least = min(costs)
        return BestPlan(costs.index(least), 0, least)

    def held(self) -> BestPlan:
        """All transfers, pressed as they sell, or nothing at all."""
        cost, held = self._best_held(0)
        nothing = self.terms.short_cost * self.short[0]
        return BestPlan(0, 0, nothing) if nothing <= cost else BestPlan(0, held, cost)

    def both(self) -> BestPlan:
        """At least one piece up front, and at least one transfer."""
        best, tried = BestPlan(0, 0, math.inf), 0
        bounds = self._bounds()
        for pieces in sorted(range(1, self.last), key=bounds.__getitem__):
            if bounds[pieces] >= best.cost:
                break
            tried += self.last - pieces
            if tried > MOST_PLANS:
                allowed = f"more than {MOST_PLANS} plans would have to be tried; it must be less"
                raise NoSolution("demand", f"up to {self.last}", allowed)
            cost, held = self._best_held(pieces)
            if cost < best.cost:
                best = BestPlan(pieces, held, cost)
        if not best.held:
            raise NoSolution("demand", f"up to {self.last}", "some of both are two pieces at least; it must be more")
        return best

    @cached_property
    def _up_front(self) -> list[float]:
        """The part of the cost that hangs on 0, 1, 2, ... pieces up front."""
        costs = self.supply.up_front.run_costs(self.last)
        return [
            up_front_weight(pieces, cost, self.short[0], beyond, self.terms)
            for pieces, (cost, beyond) in enumerate(zip(costs, self.short, strict=True))
        ]

    @cached_property
    def _held_costs(self) -> list[float]:
        return self.supply.held.run_costs(self.last)

    @cached_property
    def _lot_costs(self) -> list[float]:
        """The cost of pressing 0, 1, 2, ... pieces in a session."""
        return self.supply.pressing.run_costs(min(self.supply.lot, self.last))

    @cached_property
    def _held(self) -> list[Weights]:
        """The weights of 0, 1, 2, ... transfers held."""
        lot, lots = self.supply.lot, self._lot_costs
        return [
            Weights.of(Made(0, held, held // lot, lot, held % lot, 0.0, cost, lots[-1], lots[held % lot]), self.terms)
            for held, cost in enumerate(self._held_costs)
        ]

    def _best_held(self, up_front: int) -> tuple[float, int]:
        """The least cost with so many pieces up front, and the transfers held for it, one at least."""
        lot, last = self.supply.lot, self.last
        presses, full_lots, least, best = self.beyond[up_front], 0.0, math.inf, 0
        for start in range(0, last - up_front + 1, lot):
            rest = self.beyond[up_front + start]
            first, end = max(start, 1), min(start + lot, last - up_front + 1)
            costs = [
                held + per_lot * full_lots + per_rest * rest + per_any * presses + self.short_weight * short
                for (held, per_lot, per_rest, per_any), short in zip(
                    self._held[first:end], self.short[up_front + first : up_front + end], strict=True
                )
            ]
            cheapest = min(costs, default=math.inf)
            if cheapest < least:
                least, best = cheapest, first + costs.index(cheapest)
            full_lots += rest
        return least + self._up_front[up_front], best

    def _bounds(self) -> list[float]:
        """A cost below which no plan with so many pieces up front can be: the least of its bounds by full lots held.

        Transfers cost no less than a straight line under their curve, and a piece pressed no less than in the best lot.
        Then, for a number of full lots, one number of pieces in all is best: where a further one stops to pay, or as near
        to it as so many lots come.
        """
        terms, lot, last, beyond, short = self.terms, self.supply.lot, self.last, self.beyond, self.short
        lots = self._lot_costs
        pressed = min(terms.short_cost, *(cost / pieces for pieces, cost in enumerate(lots) if pieces))
        if pressed <= terms.salvage:
            return [-math.inf] * (last + 1)
        costs = [cost * (1 + terms.holding / 2) for cost in self._held_costs]
        slope = (costs[-1] - costs[1]) / max(last - 1, 1)
        start = min(cost - slope * held for held, cost in enumerate(costs) if held)
        changes = [after - before for before, after in pairwise(short)]
        margin, value = terms.short_cost - terms.salvage, pressed - terms.salvage
        bounds, opened = [math.inf] * (last + 1), [0.0] * (last + 1)
        for full in range(0, last, lot):
            half_a_lot = terms.holding / 2 * lots[-1] if full else 0.0
            for row in range(last - full):
                rest = value * beyond[row + full]
                at = bisect_left(changes, -(slope + rest) / margin)
                at = min(max(at, row + full, row + 1), row + full + lot - 1, last)
                found = slope * (at - row) + margin * short[at] + rest * (at - row - full) + half_a_lot * beyond[row]
                bounds[row] = min(bounds[row], found + value * lot * opened[row])
                opened[row] += beyond[row + full]
        return [bound + start + weight for bound, weight in zip(bounds, self._up_front, strict=True)]


def _cost(curve: CostCurve, pieces: Any) -> Any:
    """What a run costs; nothing where there is none."""
    if isinstance(pieces, (int, float)):
        return curve.run_cost(pieces) if pieces else 0.0
    return where(pieces > 0, curve.run_cost(larger(pieces, 1)), 0.0)
