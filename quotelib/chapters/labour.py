"""Labour: minutes and money that a design takes, colour after colour.

    standard minutes = observed minutes x rating x (1 + allowance)
    minutes of a run = over the colours: make-ready + pieces entering x minutes per piece + wash-up
    labour of a run  = minutes / 60 x hourly rate x crew x (1 + burden)

Of the pieces that start, fewer enter each next colour: the rejects of a colour are not printed again.
"""

import math

from quotelib.elementwise import geometric_sum, round_up
from quotelib.errors import RangeError
from quotelib.kinds import (
    Allowance,
    Burden,
    Colours,
    Confidence,
    Crew,
    Curve,
    CycleMinutes,
    Flag,
    HourlyRate,
    Minutes,
    Money,
    Operators,
    Pieces,
    Rating,
    Share,
    Timings,
    WholePieces,
    Yield,
)
from quotelib.registry import sheet_function

SUMMED = 50
"""Pieces of a learning curve added one by one; from there on a formula is exact to the last digits of a float."""


@sheet_function("Labour", one_by_one=True)
def standard_minutes(
    observed_minutes: CycleMinutes, rating: Rating, allowance: Allowance, of_shift: Flag = False
) -> Minutes:
    """Minutes a trained person needs for a job all day long, from a stopwatch reading.

    Parameters
    ----------
    observed_minutes : more than 0, up to 1e5 [minutes]
        Mean of the readings for one piece.
    rating : more than 0, up to 3 [fraction]
        Pace of the person timed against the normal pace: 1.1 is a tenth faster.
    allowance : 0 to 3 [fraction]
        For rest, personal needs and small delays.
    of_shift : TRUE or FALSE, FALSE if left out
        FALSE takes the allowance as a share of the work, TRUE as a share of the whole shift, below 1.

    Returns
    -------
    minutes [minutes]
        Standard time of one piece, not rounded.

    Notes
    -----
    observed x rating x (1 + allowance), or observed x rating / (1 - allowance) of the shift.  The two differ: 15 % of the
    work is 13 % of the shift.

    References
    ----------
    ILO, Introduction to Work Study, chapters on rating and allowances; from memory.  Krajewski, Ritzman and Malhotra,
    Operations Management, Supplement H, Measuring Output Rates.

    Examples
    --------
    >>> standard_minutes(0.8, 0.95, 0.15)
    0.874
    >>> standard_minutes(0.8, 0.95, 0.15, True)
    0.8941176
    >>> standard_minutes(0.8, 0, 0.15)
    Traceback (most recent call last):
    quotelib.errors.RangeError: rating is 0; it must be more than 0, up to 3 [fraction]
    """
    normal_minutes = observed_minutes * rating
    if not of_shift:
        return normal_minutes * (1 + allowance)
    if allowance >= 1:
        raise RangeError("allowance", allowance, "it must be less than 1 where it is a share of the shift [fraction]")
    return normal_minutes / (1 - allowance)


@sheet_function("Labour", one_by_one=True)
def timings_needed(
    mean_minutes: CycleMinutes, deviation_minutes: CycleMinutes, precision: Share, confidence: Confidence = 0.95
) -> Timings:
    """How many pieces to time before the mean can be trusted.

    Parameters
    ----------
    mean_minutes : more than 0, up to 1e5 [minutes]
        Mean of the first few readings.
    deviation_minutes : more than 0, up to 1e5 [minutes]
        Standard deviation of the first few readings.
    precision : more than 0, up to 1 [fraction]
        How far the mean may be out, as a share of it.
    confidence : more than 0, less than 1 [fraction], 0.95 if left out
        Chance that it is not further out than that.

    Returns
    -------
    timings [timings]
        Readings in all, the first few included.

    Notes
    -----
    (z x deviation / (precision x mean))^2, rounded up, with z of the normal distribution; good from about ten readings on.

    References
    ----------
    Krajewski, Ritzman and Malhotra, Operations Management, Supplement H, Measuring Output Rates.

    Examples
    --------
    >>> timings_needed(0.8, 0.12, 0.05)
    35
    """
    from statistics import NormalDist  # not at the top: it is slow to import, and only this function needs it

    z = -NormalDist().inv_cdf((1 - confidence) / 2)
    return max(round_up((z * deviation_minutes / (precision * mean_minutes)) ** 2), 1)


@sheet_function("Labour")
def colour_minutes(
    colours: Colours,
    pieces: Pieces,
    minutes_per_piece: CycleMinutes,
    makeready_minutes: Minutes,
    washup_minutes: Minutes = 0.0,
    yield_per_colour: Yield = 1.0,
) -> Minutes:
    """Minutes of work to print a run colour after colour.

    Parameters
    ----------
    colours : whole, 1 to 24 [colours]
        Colours of the design, each printed on its own.
    pieces : whole, 1 to 1e9 [pieces]
        Pieces that enter the first colour, rejects included.
    minutes_per_piece : more than 0, up to 1e5 [minutes]
        Load, stroke and unload of one colour on one piece.
    makeready_minutes : 0 to 1e7 [minutes]
        Make-ready of one colour.
    washup_minutes : 0 to 1e7 [minutes], 0 if left out
        Wash-up of one colour.
    yield_per_colour : more than 0, up to 1 [fraction], 1 if left out
        Share of the pieces entering a colour that leave it good; the others go no further.

    Returns
    -------
    minutes [minutes]
        Minutes for the whole run, one person or crew at work; not rounded.

    Notes
    -----
    Over the colours k: make-ready + pieces x yield^(k-1) x minutes per piece + wash-up.

    References
    ----------
    Colour after colour with rejects taken out is common practice, no source; the pieces left form a geometric series.

    Examples
    --------
    >>> colour_minutes(3, 200, 0.5, 25)
    375.0
    >>> colour_minutes(3, 200, 0.5, 25, 10, 0.95)
    390.25
    """
    prints = pieces * geometric_sum(yield_per_colour, colours)
    return colours * (makeready_minutes + washup_minutes) + prints * minutes_per_piece


@sheet_function("Labour")
def colour_labour(
    colours: Colours,
    pieces: Pieces,
    minutes_per_piece: CycleMinutes,
    makeready_minutes: Minutes,
    hourly_rate: HourlyRate,
    washup_minutes: Minutes = 0.0,
    yield_per_colour: Yield = 1.0,
    crew: Crew = 1.0,
    burden: Burden = 0.0,
) -> Money:
    """Labour cost of printing a run colour after colour.

    Parameters
    ----------
    colours : whole, 1 to 24 [colours]
        Colours of the design, each printed on its own.
    pieces : whole, 1 to 1e9 [pieces]
        Pieces that enter the first colour, rejects included.
    minutes_per_piece : more than 0, up to 1e5 [minutes]
        Load, stroke and unload of one colour on one piece, by the whole crew.
    makeready_minutes : 0 to 1e7 [minutes]
        Make-ready of one colour.
    hourly_rate : more than 0, up to 1e6 [currency/hour]
        Wage of one person for an hour.
    washup_minutes : 0 to 1e7 [minutes], 0 if left out
        Wash-up of one colour.
    yield_per_colour : more than 0, up to 1 [fraction], 1 if left out
        Share of the pieces entering a colour that leave it good; CREW_YIELD gives it where several people take turns.
    crew : more than 0, up to 100 [people], 1 if left out
        People at work for all of these minutes.
    burden : 0 to 10 [fraction], 0 if left out
        On-costs as a share of the wage: insurance, holidays, supervision.

    Returns
    -------
    money [currency]
        Labour cost of the run, not rounded.

    Notes
    -----
    The minutes of COLOUR_MINUTES / 60 x hourly rate x crew x (1 + burden).

    References
    ----------
    Direct labour of any cost-accounting text; from memory.

    Examples
    --------
    >>> colour_labour(3, 200, 0.5, 25, 18.0)
    112.5
    >>> colour_labour(3, 200, 0.5, 25, 18.0, 10, 0.95, 2, 0.25)
    292.6875
    """
    minutes = colour_minutes.body(colours, pieces, minutes_per_piece, makeready_minutes, washup_minutes, yield_per_colour)
    return minutes / 60 * hourly_rate * crew * (1 + burden)


@sheet_function("Labour", one_by_one=True)
def elapsed_minutes(
    colours: Colours,
    pieces: Pieces,
    minutes_per_piece: CycleMinutes,
    makeready_minutes: Minutes,
    dry_minutes: Minutes,
    washup_minutes: Minutes = 0.0,
    yield_per_colour: Yield = 1.0,
    rack_places: Pieces = 1e9,
    screens_stay_up: Flag = False,
) -> Minutes:
    """Minutes on the clock from the first make-ready of a run until its last colour is done, drying included.

    Parameters
    ----------
    colours : whole, 1 to 24 [colours]
        Colours of the design, each printed on its own.
    pieces : whole, 1 to 1e9 [pieces]
        Pieces that enter the first colour, rejects included.
    minutes_per_piece : more than 0, up to 1e5 [minutes]
        Load, stroke and unload of one colour on one piece.
    makeready_minutes : 0 to 1e7 [minutes]
        Make-ready of one colour.
    dry_minutes : 0 to 1e7 [minutes]
        Time before a printed piece may take the next colour.
    washup_minutes : 0 to 1e7 [minutes], 0 if left out
        Wash-up of one colour.
    yield_per_colour : more than 0, up to 1 [fraction], 1 if left out
        Share of the pieces entering a colour that leave it good; the others go no further.
    rack_places : whole, 1 to 1e9 [pieces], no limit if left out
        Pieces that can be wet at once; a longer run is printed in lots that fill the racks, and a last one with the rest.
    screens_stay_up : TRUE or FALSE, FALSE if left out
        TRUE where every colour keeps its station, so that later lots need no make-ready; FALSE gives each lot its own.

    Returns
    -------
    minutes [minutes]
        Minutes on the clock, not rounded.

    Notes
    -----
    For each lot and colour the larger of two: the work on it (make-ready, pieces, wash-up), and drying + one piece, since
    the first piece must be dry before the next colour takes it.  Where screens stay up, the first lot has the make-ready
    and the last lot the wash-up.

    References
    ----------
    Derived from the rule that a wet piece waits; common practice, no source.

    Examples
    --------
    >>> elapsed_minutes(3, 200, 0.5, 25, 45)
    375.0
    >>> elapsed_minutes(3, 40, 0.5, 10, 45)
    136.5
    >>> elapsed_minutes(2, 250, 0.5, 25, 45, 10, 1, 100)
    460.0
    >>> elapsed_minutes(2, 250, 0.5, 25, 45, 10, 1, 100, True)
    341.0
    """
    lots = max(round_up(pieces / rack_places), 1)
    rest = pieces - (lots - 1) * rack_places
    wait = dry_minutes + minutes_per_piece
    first, middle, last = (makeready_minutes, 0.0, washup_minutes) if screens_stay_up and lots > 1 else (
        (makeready_minutes + washup_minutes,) * 3
    )  # fmt: skip
    minutes = 0.0
    for colour in range(int(colours)):
        cycle = minutes_per_piece * yield_per_colour**colour
        full = rack_places * cycle
        minutes += max(last + rest * cycle, wait)
        if lots > 1:
            minutes += max(first + full, wait) + (lots - 2) * max(middle + full, wait)
    return minutes


@sheet_function("Labour", one_by_one=True)
def shared_minutes(
    colours: Colours,
    pieces: Pieces,
    minutes_per_piece: CycleMinutes,
    makeready_minutes: Minutes,
    dry_minutes: Minutes,
    operators: Operators,
    washup_minutes: Minutes = 0.0,
    yield_per_colour: Yield = 1.0,
) -> Minutes:
    """Minutes on the clock for a run whose colours are shared out among operators who print at the same time.

    Parameters
    ----------
    colours : whole, 1 to 24 [colours]
        Colours of the design, each printed on its own.
    pieces : whole, 1 to 1e9 [pieces]
        Pieces that enter the first colour, rejects included.
    minutes_per_piece : more than 0, up to 1e5 [minutes]
        Load, stroke and unload of one colour on one piece.
    makeready_minutes : 0 to 1e7 [minutes]
        Make-ready of one colour.
    dry_minutes : 0 to 1e7 [minutes]
        Time before a printed piece may take the next colour.
    operators : whole, 1 to 24 [people]
        People, each at a station of their own; the first takes colour 1, the second colour 2, and so on in turn.
    washup_minutes : 0 to 1e7 [minutes], 0 if left out
        Wash-up of one colour.
    yield_per_colour : more than 0, up to 1 [fraction], 1 if left out
        Share of the pieces entering a colour that leave it good; CREW_YIELD gives it for that many operators.

    Returns
    -------
    minutes [minutes]
        Minutes on the clock, not rounded.

    Notes
    -----
    A colour starts when its operator is free and, drying + one piece after the colour before it, the first piece is dry;
    it ends no sooner than the last piece of the colour before it has dried and been printed.  One operator takes as long
    as by ELAPSED_MINUTES with racks for all.  The price of the time won is register: start more pieces, PIECES_TO_START
    with CREW_YIELD.  The labour is COLOUR_LABOUR with that yield and a crew of 1, each colour being one person's, and more
    where an operator can do nothing else while waiting.

    References
    ----------
    Derived: a flow line with drying between its stations.  That two or three operators lose register is common practice,
    no source.

    Examples
    --------
    >>> shared_minutes(3, 200, 0.5, 25, 45, 1)
    375.0
    >>> shared_minutes(3, 200, 0.5, 25, 45, 3)
    216.0
    >>> shared_minutes(3, 200, 0.5, 25, 45, 2, 10, 0.95545)
    261.2884703
    """
    wait = dry_minutes + minutes_per_piece
    free = [0.0] * int(operators)
    begun, done = -wait, -wait
    for colour in range(int(colours)):
        operator = colour % len(free)
        begun = max(free[operator], begun + wait)
        printing = pieces * yield_per_colour**colour * minutes_per_piece
        done = max(begun + makeready_minutes + printing, done + wait)
        free[operator] = done + washup_minutes
    return max(*free, begun + wait)


@sheet_function("Labour", one_by_one=True)
def learning_minutes(
    first_minutes: CycleMinutes,
    pieces: Pieces,
    curve: Curve,
    cumulative_average: Flag = False,
    pieces_before: WholePieces = 0.0,
) -> Minutes:
    """Minutes for all the pieces of a run that gets faster as the hands learn it.

    Parameters
    ----------
    first_minutes : more than 0, up to 1e5 [minutes]
        Minutes of the very first piece.
    pieces : whole, 1 to 1e9 [pieces]
        Pieces to make now.
    curve : more than 0.5, up to 1 [fraction]
        What is left of the time when the number of pieces doubles: 0.9 is a 90 % curve, 1 is no learning.
    cumulative_average : TRUE or FALSE, FALSE if left out
        FALSE: the curve is of each piece's own time (unit theory).  TRUE: of the average so far (cumulative average).
    pieces_before : whole, 0 to 1e9 [pieces], 0 if left out
        Pieces already made and not forgotten; a reprint after a gap starts part-way.

    Returns
    -------
    minutes [minutes]
        Minutes for all the pieces together, not rounded.

    Notes
    -----
    Unit theory: piece n takes first x n^b, with b = log2(curve).  Cumulative average: the first n take n x first x n^b
    together, and a piece's own time falls faster.  Ask whoever states a curve which is meant: at 80 %, four pieces take
    3.14 times the first by the one and 2.56 by the other.

    References
    ----------
    Unit theory: J. R. Crawford, 1944; cumulative average: T. P. Wright, Factors Affecting the Cost of Airplanes, Journal
    of the Aeronautical Sciences 3, 1936; both from memory.  Long sums by the Euler-Maclaurin formula.

    Examples
    --------
    >>> learning_minutes(10, 4, 0.8)
    31.4210
    >>> learning_minutes(10, 4, 0.8, True)
    25.6
    >>> learning_minutes(10, 1, 0.8, False, 4)
    5.9563734
    """
    before = int(pieces_before)
    if cumulative_average:
        return first_minutes * _power_growth(math.log2(2 * curve), before, pieces)
    return first_minutes * _sum_of_powers(curve, before + 1, before + int(pieces))


@sheet_function("Labour", one_by_one=True)
def learning_curve(
    first_minutes: CycleMinutes, pieces: Pieces, total_minutes: Minutes, cumulative_average: Flag = False
) -> Curve:
    """The learning curve that a run has shown, from its first piece and its total.

    Parameters
    ----------
    first_minutes : more than 0, up to 1e5 [minutes]
        Minutes of the very first piece.
    pieces : whole, 1 to 1e9 [pieces]
        Pieces made, the first included; 2 at least.
    total_minutes : 0 to 1e7 [minutes]
        Minutes of all of them together.
    cumulative_average : TRUE or FALSE, FALSE if left out
        As for LEARNING_MINUTES, and to be kept the same there.

    Returns
    -------
    learning curve [fraction]
        The curve to give to LEARNING_MINUTES, not rounded.

    Notes
    -----
    The inverse of LEARNING_MINUTES: the curve whose total is the minutes taken.

    References
    ----------
    As for LEARNING_MINUTES.

    Examples
    --------
    >>> learning_curve(6, 16, 42.8, True)
    0.8171337
    """
    if pieces < 2:
        raise RangeError("pieces", pieces, "it must be 2 or more, since one piece shows no learning [pieces]")

    def total(curve: float) -> float:
        return learning_minutes.body(first_minutes, pieces, curve, cumulative_average)  # type: ignore[no-any-return]

    low, high = math.nextafter(0.5, 1), 1.0
    least, most = total(low), total(high)
    if not least <= total_minutes <= most * (1 + 1e-12):
        raise RangeError(
            "total_minutes",
            total_minutes,
            f"it must be {least:.6g} to {most:.6g}, between the fastest learning and none [minutes]",
        )
    while (middle := (low + high) / 2) not in (low, high):
        low, high = (middle, high) if total(middle) < total_minutes else (low, middle)
    return high


def _sum_of_powers(curve: float, first: int, last: int) -> float:
    """n^b added up from the first piece to the last, b = log2(curve)."""
    power = math.log2(curve)
    total = math.fsum(float(n) ** power for n in range(first, min(last, SUMMED) + 1))
    if last > SUMMED:
        start = max(first, SUMMED + 1)
        total += _power_growth(math.log2(2 * curve), start, last - start) / math.log2(2 * curve)
        total += (start**power + last**power) / 2
        factor, coefficients = power, (1 / 12, -1 / 720, 1 / 30240)
        for order, coefficient in zip((1, 3, 5), coefficients, strict=True):
            total += coefficient * factor * (last ** (power - order) - start ** (power - order))
            factor *= (power - order) * (power - order - 1)
    return total


def _power_growth(power: float, start: float, more: float) -> float:
    """(start + more)^power - start^power, without loss where the two are close."""
    if start == 0:
        return math.pow(more, power)
    return math.pow(start, power) * math.expm1(power * math.log1p(more / start))
