"""The cost curve: what a run costs at every run size, as a table of lines that anyone can read.

A line is one cost element with one driver.  Its quantity and amount at a run of n good pieces are

    steps(n)    = n / every, rounded up to whole steps; n itself where `every` is blank or 0
    quantity(n) = once + per_step x steps(n), or `at_least` if that is more
    amount(n)   = quantity(n) x rate

That is enough for every driver of the trade: once per design and per run (once), per piece started (every = yield), per
sheet (every = transfers on a sheet), per session (every = pieces in a session), per tool (every = its life), a minimum mix
or order (at_least), and price breaks: after the rate may stand further pairs of a quantity and the rate that holds from
there on, for all of the quantity.  Where a larger order at a better rate costs less, that order is paid for, so a longer
run never costs less for its price breaks.  Breaks that hold only for the quantity beyond them (incremental) are lines of
their own, with a negative `once`: see `incremental`.

The same columns stand on the sheet, so a cell reads the very curve that Python reads.
"""

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any, NamedTuple

from quotelib.elementwise import larger, round_up, where
from quotelib.errors import NoSolution, RangeError
from quotelib.kinds import Amount, CostLines, LineRates, Pieces, PositiveMoney, Rows, SignedAmount, SignedMoney
from quotelib.registry import sheet_function

LONGEST_RUN = 1_000_000
"""The run size up to which a change-over is looked for, unless told otherwise."""

TIE = 1e-9
"""Costs closer than this share of each other are the same cost: more than binary noise, less than a cent in a million."""


class CurveLine(NamedTuple):
    """One line of a cost curve, in numbers."""

    once: float
    per_step: float
    every: float
    at_least: float
    rate: float
    breaks: tuple[tuple[float, float], ...] = ()
    """Pairs of a quantity and the rate from there on, quantities ascending."""

    def need(self, good_pieces: Any) -> Any:
        """Units of the driver that a run (a number or an array of runs) really takes."""
        return self.once + self.per_step * (round_up(good_pieces / self.every) if self.every else good_pieces)

    def quantity(self, good_pieces: Any) -> Any:
        """Units that are paid for: the need or the minimum, or a larger order where that costs less."""
        wanted = larger(self.need(good_pieces), self.at_least)
        order, least = wanted, wanted * self.rate_at(wanted)
        for start, rate_from_there in self.breaks:
            cheaper = (start > wanted) & (start * rate_from_there < least * (1 - TIE))
            order, least = where(cheaper, start, order), where(cheaper, start * rate_from_there, least)
        return order

    def rate_at(self, quantity: Any) -> Any:
        """Money for one unit when so many are paid for."""
        rate: Any = self.rate
        for start, rate_from_there in self.breaks:
            rate = where(quantity >= start, rate_from_there, rate)
        return rate

    def amount(self, good_pieces: Any) -> Any:
        """Money for the run."""
        quantity = self.quantity(good_pieces)
        return quantity * self.rate_at(quantity)

    def kinks(self) -> Iterator[float]:
        """The needs at which the amount bends: the minimum, the breaks, and where the order up to a break begins to pay."""
        yield self.at_least
        rates = [self.rate]
        for start, rate_from_there in self.breaks:
            yield start
            yield from (start * rate_from_there / rate * (1 + TIE) for rate in rates if rate > rate_from_there > 0)
            rates.append(rate_from_there)


class Stretch(NamedTuple):
    """Run sizes from `first` to `last`, both included, over which one route is the cheapest."""

    first: int
    last: int
    cheapest: int
    """Place of the route in the list of curves."""


class CostCurve:
    """The lines of one route, as a function of the run size."""

    def __init__(self, lines: Sequence[CurveLine]) -> None:
        self.lines = tuple(lines)

    @classmethod
    def from_rows(cls, rows: Rows) -> "CostCurve":
        """The curve whose lines stand in rows admitted as COST_LINES."""
        for row in rows:
            if row[:4] == (None,) * 4:
                raise RangeError(
                    "lines", f"a row with the rate {row[4]:.12g} alone", "it must have a quantity, 0 if need be"
                )
        return cls(
            [
                CurveLine(once or 0.0, per_step or 0.0, every or 0.0, at_least or 0.0, rate, _ascending(more))
                for once, per_step, every, at_least, rate, *more in rows
            ]
        )

    def run_cost(self, good_pieces: Any) -> Any:
        """Money for the whole run: one run size or an array of them."""
        return sum(line.amount(good_pieces) for line in self.lines)

    def run_costs(self, last: int) -> list[float]:
        """Money for each run of 0, 1, 2, ... up to the last number of pieces; no run costs nothing."""
        costs = [0.0]
        for start, end in _between_kinks([self], 1, last) if last else ():
            costs += map(_StraightPiece(self, start).cost, range(start, end + 1))
        return costs

    def unit_cost(self, good_pieces: Any) -> Any:
        """Money for one good piece."""
        return self.run_cost(good_pieces) / good_pieces


def cheapest_stretches(curves: Sequence[CostCurve], first: int = 1, last: int = LONGEST_RUN) -> list[Stretch]:
    """Every stretch of run sizes with the route that is cheapest there, exactly: steps and price breaks included.

    Of routes that cost the same, the one listed first counts as the cheapest.

    Between its kinks (price breaks, minimum quantities) a curve is straight but for its stairs, and stairs stay within one
    step of the straight line.  Where the lines of two routes are further apart than their stairs can make up for, the order
    cannot change; only the run sizes in between are tried one by one.  So the work does not grow with the range.
    """
    stretches: list[Stretch] = []
    for start, end in _between_kinks(curves, first, last):
        pieces = [_StraightPiece(curve, start) for curve in curves]
        settled = start
        for doubtful_from, doubtful_to in _doubtful(pieces, start, end):
            if doubtful_to - doubtful_from > LONGEST_RUN:
                raise NoSolution("longest_run", last, "the routes stay within a step of each other; it must be shorter")
            if settled < doubtful_from:
                _extend(stretches, settled, doubtful_from - 1, _cheapest(pieces, settled))
            for run in range(doubtful_from, doubtful_to + 1):
                _extend(stretches, run, run, _cheapest(pieces, run))
            settled = doubtful_to + 1
        if settled <= end:
            _extend(stretches, settled, end, _cheapest(pieces, settled))
    return stretches


class _StraightPiece:
    """A curve between two kinks: a straight line with stairs on it, lines with the same step taken together."""

    def __init__(self, curve: CostCurve, start: int) -> None:
        self.base = self.slope = 0.0
        self.stairs: dict[float, float] = {}
        for line in curve.lines:
            need, quantity = line.need(start), line.quantity(start)
            rate = line.rate_at(quantity)
            if quantity > need:
                self.base += quantity * rate
                continue
            self.base += line.once * rate
            if line.every in (0.0, 1.0):
                self.slope += line.per_step * rate
            else:
                self.stairs[line.every] = self.stairs.get(line.every, 0.0) + line.per_step * rate
        self.mean_slope = self.slope + sum(step / every for every, step in self.stairs.items())

    def cost(self, run: int) -> float:
        stairs: float = sum(step * round_up(run / every) for every, step in self.stairs.items())
        return self.base + self.slope * run + stairs


def _between_kinks(curves: Sequence[CostCurve], first: int, last: int) -> Iterator[tuple[int, int]]:
    """The range cut at every run size where a minimum is passed, a price break is reached or a larger order pays."""
    cuts = {first}
    for curve in curves:
        for line in curve.lines:
            for quantity in line.kinks():
                run = _first_run_reaching(line, quantity)
                if first < run <= last:
                    cuts.add(run)
    starts = sorted(cuts)
    yield from zip(starts, [start - 1 for start in starts[1:]] + [last], strict=True)


def _first_run_reaching(line: CurveLine, quantity: float) -> int:
    """The smallest run whose own need, leaving the minimum aside, is that quantity; 0 where there is none."""
    if not line.per_step:
        return 0
    steps = max((quantity - line.once) / line.per_step, 0.0)
    run = max(int((math.ceil(steps) - 1) * line.every if line.every else steps), 1)
    while line.need(run) < quantity:
        run += 1
    while run > 1 and line.need(run - 1) >= quantity:
        run -= 1
    return run


def _doubtful(pieces: Sequence[_StraightPiece], start: int, end: int) -> list[tuple[int, int]]:
    """The run sizes at which the order of two routes is not plain from their straight lines, as few ranges."""
    ranges = []
    for place, a in enumerate(pieces):
        for b in pieces[place + 1 :]:
            base, slope = a.base - b.base, a.mean_slope - b.mean_slope
            noise = TIE * (abs(a.base) + abs(b.base) + (abs(a.mean_slope) + abs(b.mean_slope)) * end)
            stairs = [a.stairs.get(every, 0.0) - b.stairs.get(every, 0.0) for every in {*a.stairs, *b.stairs}]
            if not any(stairs) and abs(slope) * end <= noise:  # two lines that never part
                continue
            least = -sum(step for step in stairs if step > 0) - noise
            most = -sum(step for step in stairs if step < 0) + noise
            if slope:
                left, right = sorted(((least - base) / slope, (most - base) / slope))
                low, high = max(start, math.floor(left)) if left > start else start, min(end, math.ceil(min(right, end)))
            else:
                low, high = (start, end) if least <= base <= most else (end + 1, end)
            if low <= high:
                ranges.append((int(low), int(high)))
    merged: list[tuple[int, int]] = []
    for low, high in sorted(ranges):
        if merged and low <= merged[-1][1] + 1:
            merged[-1] = (merged[-1][0], max(high, merged[-1][1]))
        else:
            merged.append((low, high))
    return merged


def _cheapest(pieces: Sequence[_StraightPiece], run: int) -> int:
    """The place of the cheapest route at one run size; of equals, the first."""
    costs = [piece.cost(run) for piece in pieces]
    least = min(costs)
    return next(place for place, cost in enumerate(costs) if cost - least <= TIE * max(abs(cost), abs(least)))


def incremental(line: CurveLine) -> list[CurveLine]:
    """The lines for price breaks that hold only for the quantity beyond them, in place of one with breaks for all of it.

    >>> lines = incremental(CurveLine(0, 1, 0, 0, 0.75, ((400, 0.72), (800, 0.68))))
    >>> CostCurve(lines).run_cost(500)
    372.0
    """
    lines = [line._replace(breaks=())]
    for start, rate_from_there in line.breaks:
        beyond = line._replace(once=line.once - start, at_least=max(line.at_least - start, 0.0), breaks=())
        lines.append(beyond._replace(rate=rate_from_there - sum(each.rate for each in lines)))
    return lines


def _ascending(cells: Sequence[float]) -> tuple[tuple[float, float], ...]:
    """Pairs of quantity and rate from the further columns of a line."""
    breaks = tuple(zip(cells[::2], cells[1::2], strict=True))
    for (start, _), (later, _) in pairwise(breaks):
        if later <= start:
            raise RangeError("from quantity", later, f"it must be more than the one before it ({start:.12g})")
    return breaks


def _extend(stretches: list[Stretch], first: int, last: int, cheapest: int) -> None:
    """Add run sizes to the list, joined to the stretch before where the same route stays the cheapest."""
    if stretches and stretches[-1].cheapest == cheapest:
        stretches[-1] = stretches[-1]._replace(last=last)
    else:
        stretches.append(Stretch(first, last, cheapest))


@sheet_function("Cost curve", one_by_one=True)
def line_quantity(
    good_pieces: Pieces,
    once: SignedAmount = 0.0,
    per_step: Amount = 0.0,
    every: Amount = 0.0,
    at_least: Amount = 0.0,
    rates: LineRates = None,
) -> Amount:
    """Units of its driver that one cost line uses up in a run, or that are paid for.

    Parameters
    ----------
    good_pieces : whole, 1 to 1e9 [pieces]
        Good pieces of the run, rejects left out.
    once : -1e12 to 1e12 [units], 0 if left out
        Units used whatever the run: minutes of make-ready, screens, overs.  Negative where that many come free.
    per_step : 0 to 1e12 [units], 0 if left out
        Units used for each step of the run.
    every : 0 to 1e12 [units], 0 if left out
        Good pieces that one step covers, rounded up to whole steps: the yield for pieces started, the transfers on a sheet,
        the life of a tool.  0 or blank for one step a piece, without rounding.
    at_least : 0 to 1e12 [units], 0 if left out
        Least that is used or paid for: a minimum mix of ink, a minimum order.
    rates : rows of rate, then any number of from quantity and rate, none if left out
        The rate and its price breaks, where a larger order at a better rate may cost less and is then bought.

    Returns
    -------
    amount [units]
        The larger of at_least and once + per_step x steps, or the larger order that costs less.

    References
    ----------
    The drivers of trade costs: once, per step, at least; common practice, no source.

    Examples
    --------
    Sheets for 700 transfers, three up and 2 % spoiled, with 40 overs:

    >>> line_quantity(700, 40, 1, 3 * 0.98)
    279.0

    Blanks for 460 pieces, where 500 at 2.39 cost less than 484 at 2.62:

    >>> line_quantity(460, 0, 1, 0.95, 0, [[2.62, 500, 2.39]])
    500.0
    """
    rate, *more = rates[0] if rates else (1.0,)
    return float(CurveLine(once, per_step, every, at_least, rate, _ascending(more)).quantity(good_pieces))


@sheet_function("Cost curve")
def run_cost(good_pieces: Pieces, lines: CostLines) -> SignedMoney:
    """Cost of a whole run, read from the lines of a route.

    Parameters
    ----------
    good_pieces : whole, 1 to 1e9 [pieces]
        Good pieces of the run, rejects left out.
    lines : rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate
        The cost lines of the route: the columns of LINE_QUANTITY and the rate, then pairs of a quantity and the rate from
        there on, for price breaks.

    Returns
    -------
    signed money [currency]
        Sum of all lines, not rounded.

    References
    ----------
    Sum of quantity x rate over the lines; with one line for fixed and one for unit cost, the textbook's F + v n.

    Examples
    --------
    A setup of 150 and 1.20 a piece:

    >>> run_cost(700, [[1, "", "", "", 150.0], [0, 1, "", "", 1.2]])
    990.0
    >>> run_cost(700, [[1, "", "", "", 150.0], ["0", 1, "", "", 1.2]])
    Traceback (most recent call last):
    quotelib.errors.TypeInputError: lines row 2 once is '0'; it must be a number, -1e12 to 1e12 [units]
    """
    return CostCurve.from_rows(lines).run_cost(good_pieces)


@sheet_function("Cost curve")
def unit_cost(good_pieces: Pieces, lines: CostLines) -> SignedMoney:
    """Cost of one good piece of a run, read from the lines of a route.

    Parameters
    ----------
    good_pieces : whole, 1 to 1e9 [pieces]
        Good pieces of the run, rejects left out.
    lines : rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate
        The cost lines of the route, as for RUN_COST.

    Returns
    -------
    signed money [currency]
        Run cost over good pieces, not rounded.

    References
    ----------
    Average cost (F + v n) / n, any cost-accounting text; from memory.

    Examples
    --------
    >>> unit_cost(200, [[1, "", "", "", 200.0], [0, 1, "", "", 22.5]])
    23.5
    """
    return CostCurve.from_rows(lines).unit_cost(good_pieces)


@sheet_function("Cost curve", one_by_one=True)
def change_over_run(lines_a: CostLines, lines_b: CostLines, longest_run: Pieces = LONGEST_RUN) -> Pieces:
    """Smallest run at which route b costs no more than route a, and from which it stays so.

    Parameters
    ----------
    lines_a : rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate
        The cost lines of the route that is cheaper for short runs.
    lines_b : rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate
        The cost lines of the route it is compared with.
    longest_run : whole, 1 to 1e9 [pieces], 1e6 if left out
        Run size up to which it must stay so.

    Returns
    -------
    pieces [pieces]
        Whole good pieces; steps and price breaks are taken exactly.

    Raises
    ------
    NoSolution
        Where b still costs more than a at the longest run.

    References
    ----------
    Indifference point of process choice, generalised to stepped costs; without steps it is (Fb - Fa) / (va - vb).

    Examples
    --------
    >>> change_over_run([[1, "", "", "", 500.0], [0, 1, "", "", 10.0]], [[1, "", "", "", 1000.0], [0, 1, "", "", 5.0]])
    100
    """
    last = cheapest_stretches([CostCurve.from_rows(lines_b), CostCurve.from_rows(lines_a)], last=int(longest_run))[-1]
    if last.cheapest == 1:
        raise NoSolution(
            "longest_run", longest_run, "route b still costs more than route a there; no run up to it changes over"
        )
    return last.first


@sheet_function("Cost curve", one_by_one=True)
def paying_run(price: PositiveMoney, lines: CostLines, longest_run: Pieces = LONGEST_RUN) -> Pieces:
    """Smallest run that pays at a price: from it on, what the pieces fetch covers what the run costs.

    Parameters
    ----------
    price : more than 0, up to 1e12 [currency]
        Price of one good piece.
    lines : rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate
        The cost lines of the route, as for RUN_COST.
    longest_run : whole, 1 to 1e9 [pieces], 1e6 if left out
        Run size up to which it must stay so.

    Returns
    -------
    pieces [pieces]
        Whole good pieces; steps and price breaks are taken exactly.

    Raises
    ------
    NoSolution
        Where the price does not cover the cost at the longest run.

    References
    ----------
    Break-even volume F / (p - v), generalised to stepped costs.

    Examples
    --------
    >>> paying_run(50, [[1, "", "", "", 108000.0], ["", 1, "", "", 32.0]])
    6000
    """
    revenue = CostCurve([CurveLine(0.0, 1.0, 0.0, 0.0, price)])
    last = cheapest_stretches([CostCurve.from_rows(lines), revenue], last=int(longest_run))[-1]
    if last.cheapest == 1:
        raise NoSolution("price", price, f"it does not cover the cost of a run of {longest_run:g}; it must be more")
    return last.first
