"""Rejects: how many pieces to start, and what the bad ones add to the good ones.

yield of a design = yield per colour ^ colours
pieces to start   = good pieces / yield, rounded up once, at the end
a reject costs    = what was put into it up to the colour where it is found, less what it still fetches
"""

import math

from quotelib.elementwise import each, geometric_sum, larger, round_up
from quotelib.errors import RangeError
from quotelib.kinds import (
    Colours,
    Confidence,
    Crew,
    Money,
    Pieces,
    Share,
    SignedMoney,
    StepCosts,
    StepNumber,
    StepYields,
    Waste,
    Yield,
)
from quotelib.registry import sheet_function

NEGLIGIBLE = 1e-18
"""A term of a sum that adds less than this share of it is the last one worked out."""

TIE = 1e-12
"""A chance closer than this share to the confidence asked for is the same chance."""

LARGEST_START = 1e12
"""More pieces than this are not worked out: the yield or the colours must be wrong."""


@sheet_function("Rejects")
def rolled_yield(yield_per_colour: Yield, colours: Colours) -> Share:
    """Share of the pieces started that come through all colours good.

    Parameters
    ----------
    yield_per_colour : more than 0, up to 1 [fraction]
        Share of the pieces entering a colour that leave it good.
    colours : whole, 1 to 24 [colours]
        Colours printed one after another.

    Returns
    -------
    share [fraction]
        Yield of the design, not rounded.

    References
    ----------
    Rolled throughput yield, the product of the yields of the steps; from memory.

    Examples
    --------
    >>> rolled_yield(0.97, 4)
    0.88529281
    """
    return yield_per_colour**colours


@sheet_function("Rejects")
def yield_of_steps(step_yields: StepYields) -> Share:
    """Share of the pieces started that come through steps of different yields.

    Parameters
    ----------
    step_yields : rows of yield, then any number of yield
        A row or column of cells, one yield for each step; blank cells are passed over.

    Returns
    -------
    share [fraction]
        Yield of all the steps, not rounded.

    References
    ----------
    Rolled throughput yield, the product of the yields of the steps; from memory.

    Examples
    --------
    >>> yield_of_steps([0.98, 0.95, 0.99])
    0.92169
    """
    product = 1.0
    for row in step_yields:
        for step_yield in row:
            product *= step_yield
    return product


@sheet_function("Rejects")
def crew_yield(yield_per_colour: Yield, crew: Crew, rejects_per_extra: Waste) -> Share:
    """Yield of a colour when several people take turns at it.

    Parameters
    ----------
    yield_per_colour : more than 0, up to 1 [fraction]
        Yield of one person who keeps the register from the first colour to the last.
    crew : more than 0, up to 100 [people]
        People who share the work.
    rejects_per_extra : 0 or more, less than 1 [fraction]
        Share of the pieces that each person beyond the first spoils, by holding or setting a little differently.

    Returns
    -------
    share [fraction]
        Yield to use for yield_per_colour, not rounded.

    Notes
    -----
    Yield x (1 - rejects per extra)^(crew - 1); a crew of one or less changes nothing.

    References
    ----------
    That one pair of hands keeps the register is common practice, no source; the share is for the shop to measure.

    Examples
    --------
    >>> crew_yield(0.97, 2, 0.015)
    0.95545
    """
    return yield_per_colour * (1 - rejects_per_extra) ** larger(crew - 1, 0.0)


@sheet_function("Rejects")
def pieces_to_start(
    good_pieces: Pieces,
    yield_per_colour: Yield,
    colours: Colours,
    confidence: Confidence = None,
) -> Pieces:
    """Whole pieces to start so that enough come through good, on the average or with a stated chance.

    Parameters
    ----------
    good_pieces : whole, 1 to 1e9 [pieces]
        Good pieces promised.
    yield_per_colour : more than 0, up to 1 [fraction]
        Share of the pieces entering a colour that leave it good.
    colours : whole, 1 to 24 [colours]
        Colours printed one after another.
    confidence : more than 0, less than 1 [fraction], on the average if left out
        Chance of having enough good pieces, such as 0.95; on the average, the chance is little better than even.

    Returns
    -------
    pieces [pieces]
        Pieces to start, a whole number.

    Notes
    -----
    On the average: good pieces / yield^colours, rounded up once at the end.  With a confidence: the smallest N for which
    the chance of at least that many good ones among N is not below it, by the binomial distribution, exactly.  That takes
    rejects to come singly; a screen that goes bad for fifty pieces is not covered.

    References
    ----------
    Binomial distribution, any statistics text; N - good pieces is a quantile of the negative binomial.

    Examples
    --------
    >>> pieces_to_start(100, 0.98, 3)
    107
    >>> pieces_to_start(100, 0.98, 3, 0.95)
    111
    >>> pieces_to_start(100, 0.98, 3, 95)
    Traceback (most recent call last):
    quotelib.errors.RangeError: confidence is 95; it must be more than 0, less than 1 [fraction]
    """
    good_share = yield_per_colour**colours
    if confidence is None:
        return round_up(good_pieces / good_share)
    return each(_start_with_confidence, good_pieces, good_share, confidence)


@sheet_function("Rejects")
def reject_cost(
    item_cost: Money, cost_per_colour: Money, yield_per_colour: Yield, colours: Colours, salvage: Money = 0.0
) -> SignedMoney:
    """What the rejects of a run add to the cost of each good piece.

    Parameters
    ----------
    item_cost : 0 to 1e12 [currency]
        What is in a piece before its first colour: the blank and its preparation.
    cost_per_colour : 0 to 1e12 [currency]
        Labour and ink of one colour on one piece.
    yield_per_colour : more than 0, up to 1 [fraction]
        Share of the pieces entering a colour that leave it good; the others are found there and go no further.
    colours : whole, 1 to 24 [colours]
        Colours printed one after another.
    salvage : 0 to 1e12 [currency], 0 if left out
        What a reject still fetches: as a second, or as a blank once stripped, less the stripping.

    Returns
    -------
    signed money [currency]
        Cost of rejects per good piece, not rounded; below zero where a reject fetches more than was put into it.

    Notes
    -----
    With Y = yield^colours and S = 1 + yield + ... + yield^(colours-1), the colours printed on a piece started, on the
    average: (1 - Y) / Y x (item cost - salvage) + (S / Y - colours) x cost per colour.

    References
    ----------
    Derived: all money put in per good piece, less salvage, less the cost of a piece with no rejects.

    Examples
    --------
    >>> reject_cost(12.0, 1.5, 0.97, 4)
    2.033326
    >>> reject_cost(12.0, 1.5, 0.97, 4, 5.0)
    1.385478
    """
    good_share = yield_per_colour**colours
    prints = geometric_sum(yield_per_colour, colours)
    lost_items = (1 - good_share) / good_share * (item_cost - salvage)
    return lost_items + (prints / good_share - colours) * cost_per_colour


@sheet_function("Rejects", one_by_one=True)
def reject_cost_of_steps(
    item_cost: Money, steps: StepCosts, salvage: Money = 0.0, at_step: StepNumber = None
) -> SignedMoney:
    """What the rejects of steps of different cost and yield add to each good piece, in all or by the step that finds them.

    Parameters
    ----------
    item_cost : 0 to 1e12 [currency]
        What is in a piece before its first step: the blank and its preparation.
    steps : rows of cost, yield
        For each step in order what it puts into a piece, and the share of the pieces entering it that leave it good; the
        others are found there and go no further.
    salvage : 0 to 1e12 [currency], 0 if left out
        What a reject still fetches: as a second, or as a blank once stripped, less the stripping.
    at_step : whole, 1 to 1000, all steps if left out
        The number of one step, for what is lost by the rejects found there alone.

    Returns
    -------
    signed money [currency]
        Money lost per good piece, not rounded; below zero where a reject fetches more than was put into it.

    Notes
    -----
    Over the steps: (cost put in so far - salvage) x rejects found there / good pieces.  With equal steps it is REJECT_COST.

    References
    ----------
    Derived: a reject costs what was put into it up to the step where it is found.

    Examples
    --------
    >>> reject_cost_of_steps(12.0, [[1.5, 0.97], [1.5, 0.97], [4.0, 0.95]])
    1.9414279
    >>> reject_cost_of_steps(12.0, [[1.5, 0.97], [1.5, 0.97], [4.0, 0.95]], 0, 3)
    1.0
    >>> reject_cost_of_steps(12.0, [[1.5, 0.97], [1.5, 0.97], [4.0, 0.95]], 0, 4)
    Traceback (most recent call last):
    quotelib.errors.RangeError: at_step is 4; it must be no more than the 3 steps there are
    """
    if at_step is not None and at_step > len(steps):
        raise RangeError("at_step", at_step, f"it must be no more than the {len(steps)} steps there are")
    put_in, entering, lost = item_cost - salvage, 1.0, []
    for cost, step_yield in steps:
        put_in += cost
        lost.append(put_in * entering * (1 - step_yield))
        entering *= step_yield
    return (math.fsum(lost) if at_step is None else lost[int(at_step) - 1]) / entering


@sheet_function("Rejects")
def spoiled_before_pressing(transfer_cost: Money, spoiled_share: Waste, press_yield: Yield = 1.0) -> Money:
    """What transfers found bad before pressing add to each good piece: a transfer each time.

    Parameters
    ----------
    transfer_cost : 0 to 1e12 [currency]
        One transfer of the order, good or bad.
    spoiled_share : 0 or more, less than 1 [fraction]
        Share of the transfers found bad, or spoiled in cutting and handling, before pressing.
    press_yield : more than 0, up to 1 [fraction], 1 if left out
        Share of the pressed pieces that are good.

    Returns
    -------
    money [currency]
        Money lost per good piece, not rounded.

    Notes
    -----
    Transfer cost x spoiled share / (1 - spoiled share) / press yield.

    References
    ----------
    Derived: the spoiled transfers over the good pieces.

    Examples
    --------
    >>> spoiled_before_pressing(0.6, 0.04, 0.96)
    0.0260417
    """
    return transfer_cost * spoiled_share / ((1 - spoiled_share) * press_yield)


@sheet_function("Rejects")
def spoiled_after_pressing(transfer_cost: Money, pressing_cost: Money, item_cost: Money, press_yield: Yield) -> Money:
    """What pieces found bad after pressing add to each good piece: blank, transfer and labour each time.

    Parameters
    ----------
    transfer_cost : 0 to 1e12 [currency]
        One transfer of the order, good or bad.
    pressing_cost : 0 to 1e12 [currency]
        Labour and machine to press one piece.
    item_cost : 0 to 1e12 [currency]
        What a spoiled piece loses: the blank and the work in it, less what it still fetches.
    press_yield : more than 0, up to 1 [fraction]
        Share of the pressed pieces that are good.

    Returns
    -------
    money [currency]
        Money lost per good piece, not rounded.

    Notes
    -----
    (Item cost + transfer cost + pressing cost) x (1 - press yield) / press yield.  With SPOILED_BEFORE_PRESSING it is all
    that bad transfers add to TRANSFER_UNIT_COST: look sharply at transfers before pressing where this is the larger.

    References
    ----------
    Derived: the spoiled pieces over the good ones.

    Examples
    --------
    >>> spoiled_after_pressing(0.6, 0.2, 11.0, 0.96)
    0.4916667
    """
    return (item_cost + transfer_cost + pressing_cost) * ((1 - press_yield) / press_yield)


def _start_with_confidence(good_pieces: float, good_share: float, confidence: float) -> float:
    """The smallest number to start, looked for in growing steps from the normal approximation, then by halving."""
    from statistics import NormalDist  # not at the top: it is slow to import, and only this function needs it

    good = int(good_pieces)
    if good_share == 1:
        return good
    if good / good_share > LARGEST_START:
        raise OverflowError
    spread = math.sqrt(good * (1 - good_share)) / good_share
    low, high = good - 1, max(good, int(good / good_share + NormalDist().inv_cdf(confidence) * spread))
    step = 1
    while not _enough(high, good, good_share, confidence):
        low, high, step = high, high + step, 2 * step
    step = 1
    while high - step > low and _enough(high - step, good, good_share, confidence):
        high, step = high - step, 2 * step
    low = max(low, high - step)
    while high - low > 1:
        middle = (low + high) // 2
        if _enough(middle, good, good_share, confidence):
            high = middle
        else:
            low = middle
    return high


def _enough(started: int, good: int, good_share: float, confidence: float) -> bool:
    """Whether `good` good ones or more among those started are at least as likely as the confidence.

    The chances of each number of good ones are summed on either side, in units of the chance of `good` of them exactly,
    from which each next one follows by a simple ratio.  So nothing large is ever divided by anything large.
    """
    odds = good_share / (1 - good_share)
    term, enough, number = 1.0, 1.0, good
    while number < started and NEGLIGIBLE * enough < term:
        term *= (started - number) / (number + 1) * odds
        enough += term
        number += 1
    term, short, number = 1.0, 0.0, good
    while number > 0 and NEGLIGIBLE * short < term:
        term *= number / (started - number + 1) / odds
        short += term
        number -= 1
    return enough * (1 - confidence) >= short * confidence * (1 - TIE)
