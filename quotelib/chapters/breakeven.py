"""Break-even: from which run one route beats another, and from which volume a price pays.

    run cost of a route = setup + unit x pieces            b beats a from (setup_b - setup_a) / (unit_a - unit_b)
    profit              = (price - unit cost) x pieces - fixed cost

These are the straight-line cases.  Where sheets, tools or price breaks make steps, use CHANGE_OVER_RUN.
"""

import math

from quotelib.elementwise import TIE
from quotelib.errors import NoSolution
from quotelib.kinds import Money, PieceCount, Pieces, PositiveMoney, SignedFraction, WholePieces
from quotelib.registry import sheet_function


@sheet_function("Break-even", one_by_one=True)
def break_even_run(setup_a: Money, unit_a: Money, setup_b: Money, unit_b: Money) -> Pieces:
    """Smallest run at which route b costs no more than route a, and from which it stays so.

    Parameters
    ----------
    setup_a : 0 to 1e12 [currency]
        Setup cost of route a, the one that is cheaper for short runs.
    unit_a : 0 to 1e12 [currency]
        Cost of each further piece by route a.
    setup_b : 0 to 1e12 [currency]
        Setup cost of route b, the one it is compared with.
    unit_b : 0 to 1e12 [currency]
        Cost of each further piece by route b.

    Returns
    -------
    pieces [pieces]
        Whole good pieces, 1 where b is never dearer.

    Raises
    ------
    NoSolution
        Where b never wins, or wins only below some run.

    Notes
    -----
    (setup_b - setup_a) / (unit_a - unit_b), rounded up.  Where they cross on a whole run the two cost the same there, and
    that run is the answer: totals within a part in 1e14 of each other count as the same, since 0.1 and its like have no
    exact binary form.

    References
    ----------
    Indifference point of process choice, any operations text.

    Examples
    --------
    Route a: 500 and 10 a piece.  Route b: 1000 and 5 a piece.

    >>> break_even_run(500, 10, 1000, 5)
    100
    >>> break_even_run(1000, 5, 500, 10)
    Traceback (most recent call last):
    quotelib.errors.NoSolution: unit_b is 10; b costs no more than a only up to 100 pieces; it must be less than unit_a (5)
    """
    more_setup, saving = _difference(setup_b, setup_a), _difference(unit_a, unit_b)
    last = 0
    if saving == 0:
        if more_setup <= 0:
            return 1
    else:
        crossing, tie = _crossing(more_setup, saving, setup_a + setup_b, unit_a + unit_b)
        if saving > 0:
            return max(math.ceil(crossing - tie), 1)
        last = math.floor(crossing + tie)
    outcome = f"no more than a only up to {last} pieces" if last > 0 else "more than a at every run"
    raise NoSolution("unit_b", unit_b, f"b costs {outcome}; it must be less than unit_a ({unit_a:.12g})")


@sheet_function("Break-even", one_by_one=True)
def break_even_volume(fixed_cost: Money, price: PositiveMoney, unit_cost: Money) -> WholePieces:
    """Smallest number of pieces whose sales cover the fixed cost and their own.

    Parameters
    ----------
    fixed_cost : 0 to 1e12 [currency]
        What has to be earned back: setup, artwork, a machine.
    price : more than 0, up to 1e12 [currency]
        Selling price of a piece.
    unit_cost : 0 to 1e12 [currency]
        Cost of each further piece.

    Returns
    -------
    whole pieces [pieces]
        Whole pieces to sell; 0 where there is nothing to earn back.

    Raises
    ------
    NoSolution
        Where the price does not exceed the unit cost.

    Notes
    -----
    fixed_cost / (price - unit_cost), rounded up, whole crossings as for BREAK_EVEN_RUN.

    References
    ----------
    Break-even point in units, any cost-accounting text.

    Examples
    --------
    >>> break_even_volume(20000, 400, 250)
    134
    """
    earned = _difference(price, unit_cost)
    if earned <= 0:
        raise NoSolution(
            "price", price, f"no volume earns the fixed cost back; it must be more than unit_cost ({unit_cost:.12g})"
        )
    crossing, tie = _crossing(fixed_cost, earned, fixed_cost, price + unit_cost)
    return math.ceil(crossing - tie)


@sheet_function("Break-even")
def margin_of_safety(good_pieces: Pieces, break_even_pieces: PieceCount) -> SignedFraction:
    """Share of the pieces that may go unsold before a loss begins.

    Parameters
    ----------
    good_pieces : whole, 1 to 1e9 [pieces]
        Good pieces made and expected to sell.
    break_even_pieces : 0 to 1e9 [pieces]
        Pieces at which the cost is just covered, from BREAK_EVEN_VOLUME.

    Returns
    -------
    signed fraction [fraction]
        Share of good_pieces above break-even; negative where they fall short of it.

    References
    ----------
    (sales - break-even sales) / sales, any cost-accounting text.

    Examples
    --------
    >>> margin_of_safety(8000, 6000)
    0.25
    """
    return (good_pieces - break_even_pieces) / good_pieces


@sheet_function("Break-even")
def break_even_price(fixed_cost: Money, unit_cost: Money, good_pieces: Pieces) -> Money:
    """Price at which a number of pieces just covers its cost.

    Parameters
    ----------
    fixed_cost : 0 to 1e12 [currency]
        What the pieces have to earn back: setup, artwork, a machine.
    unit_cost : 0 to 1e12 [currency]
        Cost of each further piece.
    good_pieces : whole, 1 to 1e9 [pieces]
        Good pieces that will be sold.

    Returns
    -------
    money [currency]
        Price of a piece, not rounded.

    References
    ----------
    Average cost (F + v n) / n, any cost-accounting text.

    Examples
    --------
    >>> break_even_price(200, 22.5, 200)
    23.5
    """
    return unit_cost + fixed_cost / good_pieces


def _difference(a: float, b: float) -> float:
    """a - b, and 0 where that is no more than binary noise."""
    return 0.0 if abs(a - b) <= TIE * (a + b) else a - b


def _crossing(more_to_start: float, saved_by_each: float, fixed: float, per_piece: float) -> tuple[float, float]:
    """The run, not yet whole, at which two totals cross, and by how much binary noise may have moved it."""
    crossing = more_to_start / saved_by_each
    if math.isinf(crossing):
        raise OverflowError
    return crossing, TIE * (fixed + per_piece * abs(crossing)) / abs(saved_by_each)
