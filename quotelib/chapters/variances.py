"""After the job: why it cost more or less than quoted, and what the job tickets say of a rate.

A variance is what one cause added: **above zero it cost more than quoted, below zero less.**

    rate variance      (actual rate - quoted rate) x actual quantity         labour: rate; material: price
    quantity variance  (actual quantity - allowed quantity) x quoted rate    labour: efficiency; material: usage
    volume variance    what the quote allows for the run really made, less the quoted cost of a piece x pieces made:
                       setup is spread over another number of pieces than quoted
    rejects            (allowed with the rejects there were - allowed with those quoted) x quoted rate

The allowed quantity is what the quote itself gives for the pieces really made, so that a longer run is not taken for waste.
For one line and for a whole job the variances add up to actual - quoted.
"""

import math
from itertools import combinations
from typing import Any

from quotelib.chapters.intervals import median_places, share_interval
from quotelib.errors import NoSolution, RangeError
from quotelib.kinds import (
    USED_LINES,
    Amount,
    Cells,
    Confidence,
    Flag,
    MixLines,
    Money,
    Observations,
    Pieces,
    PriceRows,
    RouteKey,
    Share,
    SignedMoney,
    TableRows,
    VarianceLines,
    WholePieces,
)
from quotelib.registry import sheet_function

OBSERVATIONS_MOST = 1000
"""Rows that LEARNED_RATE takes: it compares each with every other."""


@sheet_function("After the job")
def rate_variance(quoted_rate: SignedMoney, actual_rate: SignedMoney, actual_quantity: Amount) -> SignedMoney:
    """What was paid more than quoted for each unit: the rate variance of labour, the price variance of a material.

    Parameters
    ----------
    quoted_rate : -1e12 to 1e12 [currency]
        Money for a unit in the quote: an hour, a litre, a blank.
    actual_rate : -1e12 to 1e12 [currency]
        Money for a unit that was really paid.
    actual_quantity : 0 to 1e12 [units]
        Units really used.

    Returns
    -------
    signed money [currency]
        Above zero where it cost more than quoted; not rounded.

    References
    ----------
    (actual rate - standard rate) x actual quantity; Hansen and Mowen, Cornerstones of Cost Management, chapter 9.

    Examples
    --------
    >>> rate_variance(14.0, 14.5, 386)
    193.0
    """
    return (actual_rate - quoted_rate) * actual_quantity


@sheet_function("After the job")
def quantity_variance(allowed_quantity: Amount, actual_quantity: Amount, quoted_rate: SignedMoney) -> SignedMoney:
    """What was used more than the quote allows: the efficiency variance of labour, the usage variance of a material.

    Parameters
    ----------
    allowed_quantity : 0 to 1e12 [units]
        Units that the quote gives for the pieces really made.
    actual_quantity : 0 to 1e12 [units]
        Units really used.
    quoted_rate : -1e12 to 1e12 [currency]
        Money for a unit in the quote.

    Returns
    -------
    signed money [currency]
        Above zero where it cost more than quoted; not rounded.

    References
    ----------
    (actual quantity - standard quantity allowed) x standard rate; any cost-accounting text, from memory.

    Examples
    --------
    >>> quantity_variance(136, 170, 1.8)
    61.2
    """
    return (actual_quantity - allowed_quantity) * quoted_rate


@sheet_function("After the job")
def volume_variance(setup_cost: Money, quoted_pieces: Pieces, good_pieces: WholePieces) -> SignedMoney:
    """Setup that the pieces really made do not carry, at the share of it that was quoted for each piece.

    Parameters
    ----------
    setup_cost : 0 to 1e12 [currency]
        Cost of the run that does not depend on its length.
    quoted_pieces : whole, 1 to 1e9 [pieces]
        Good pieces that the quote spreads it over.
    good_pieces : whole, 0 to 1e9 [pieces]
        Good pieces really made.

    Returns
    -------
    signed money [currency]
        Above zero where fewer pieces carry the setup, below zero where more do; not rounded.

    Notes
    -----
    setup cost - setup cost / quoted pieces x good pieces.

    References
    ----------
    Production-volume variance of fixed overhead: budgeted less applied; any cost-accounting text, from memory.

    Examples
    --------
    >>> volume_variance(420.0, 700, 650)
    30.0
    """
    return setup_cost * (1 - good_pieces / quoted_pieces)


@sheet_function("After the job")
def mix_variance(lines: MixLines) -> SignedMoney:
    """What another mix of inputs than quoted added: more of the dear ink, more hours of the dear operator.

    Parameters
    ----------
    lines : rows of quoted quantity, quoted rate, actual quantity
        One row for each input that can stand in for another, all in one unit.

    Returns
    -------
    signed money [currency]
        Above zero where it cost more than quoted; not rounded.

    Notes
    -----
    Over the inputs: (actual quantity - all that was used x quoted share) x quoted rate.  With MIX_YIELD_VARIANCE it adds up
    to the quantity variances of the inputs.

    References
    ----------
    Direct materials mix variance; Horngren, Datar and Rajan, Cost Accounting, chapter on mix and yield; from memory.

    Examples
    --------
    A mix of inks quoted at 60 and 40 mL, and mixed at 50 and 55:

    >>> mix_variance([[60, 0.03, 50], [40, 0.08, 55]])
    0.65
    """
    share = math.fsum(row[2] for row in lines) / _quoted_in_all(lines)
    return math.fsum((actual - share * quoted) * rate for quoted, rate, actual in lines)


@sheet_function("After the job")
def mix_yield_variance(lines: MixLines) -> SignedMoney:
    """What a larger quantity in all than quoted added, at the quoted mix.

    Parameters
    ----------
    lines : rows of quoted quantity, quoted rate, actual quantity
        One row for each input that can stand in for another, all in one unit.

    Returns
    -------
    signed money [currency]
        Above zero where it cost more than quoted; not rounded.

    Notes
    -----
    (all that was used / all that was quoted - 1) x what the quoted quantities cost.

    References
    ----------
    Direct materials yield variance; Horngren, Datar and Rajan, Cost Accounting, chapter on mix and yield; from memory.

    Examples
    --------
    >>> mix_yield_variance([[60, 0.03, 50], [40, 0.08, 55]])
    0.25
    """
    share = math.fsum(row[2] for row in lines) / _quoted_in_all(lines)
    return (share - 1) * math.fsum(quoted * rate for quoted, rate, _ in lines)


def _quoted_in_all(lines: MixLines) -> float:
    total = math.fsum(row[0] for row in lines)
    if not total:
        raise RangeError("lines", "no quoted quantity", "it must have a quoted quantity above 0 in one row at least")
    return total


@sheet_function("After the job")
def cost_variances(lines: VarianceLines, quoted_pieces: Pieces, good_pieces: Pieces, rows: TableRows = None) -> Cells:
    """Why a job cost more or less than quoted, line by line, adding up to actual - quoted for each line and for the job.

    Parameters
    ----------
    lines : rows of quoted quantity, [allowed], [with rejects], quoted rate, [actual quantity], [actual rate]
        A row for each cost line, in its units and money for one.  What is blank is taken as the one before it, an actual
        rate as quoted, and adds no variance.
    quoted_pieces : whole, 1 to 1e9 [pieces]
        Good pieces that the quote is for.
    good_pieces : whole, 1 to 1e9 [pieces]
        Good pieces really made.
    rows : whole, 1 to 1000 [rows], as many as there are if left out
        Rows of the result before the total, where a sheet keeps room for more lines; further rows are blank.

    Returns
    -------
    cells
        Each row: quoted cost, then what was added by more pieces, volume, rejects, quantity and rate, then actual cost.
        The last row holds the sums.

    Notes
    -----
    Allowed: units that the quote gives for the pieces really made; with rejects: the same with the rejects there were.
    More pieces: the quoted cost of a piece x (pieces made - pieces quoted); no fault of anyone's.  Volume: what the quote
    allows for the pieces made, less the quoted cost of a piece x pieces made.  The five middle steps lead from the quoted
    to the actual cost, so they add up.  Where the run is the one quoted, the first two are zero.

    References
    ----------
    The flexible budget of standard costing, split at rates and quantities; any cost-accounting text, from memory.

    Examples
    --------
    100 minutes at 0.50 took 120 at 0.60, in the run that was quoted:

    >>> cost_variances([[100, "", "", 0.5, 120, 0.6]], 700, 700)
    ((50.0, 0.0, 0.0, 0.0, 10.0, 12.0, 72.0), (50.0, 0.0, 0.0, 0.0, 10.0, 12.0, 72.0))

    700 pieces were quoted and 650 made: 105 minutes of setup took 120, and 364 minutes of printing (338 for 650 pieces, 345
    with the rejects there were) took 360, all at 0.52:

    >>> for row in cost_variances([[105, 105, 105, 0.52, 120, ""], [364, 338, 345, 0.52, 360, ""]], 700, 650):
    ...     print(*(f"{amount:.2f}" for amount in row))
    54.60 -3.90 3.90 0.00 7.80 0.00 62.40
    189.28 -13.52 0.00 3.64 7.80 0.00 187.20
    243.88 -17.42 3.90 3.64 15.60 0.00 249.60
    """
    if rows is not None and rows < len(lines):
        raise RangeError("rows", rows, f"it must be no fewer than the {len(lines)} lines there are")
    table = [_line_variances(good_pieces / quoted_pieces, *line) for line in lines]
    totals = tuple(math.fsum(column) for column in zip(*table, strict=True))
    blank = ("",) * len(totals)
    return (*table, *(blank,) * (int(rows or 0) - len(table)), totals)


def _line_variances(
    share: float,
    quoted: float,
    allowed: float | None,
    with_rejects: float | None,
    rate: float,
    actual: float | None,
    actual_rate: float | None,
) -> tuple[float, ...]:
    """The row of one line: from its quoted cost by five steps to its actual cost."""
    allowed = quoted if allowed is None else allowed
    with_rejects = allowed if with_rejects is None else with_rejects
    actual = with_rejects if actual is None else actual
    actual_rate = rate if actual_rate is None else actual_rate
    return (
        quoted * rate,
        quoted * rate * (share - 1),
        (allowed - quoted * share) * rate,
        (with_rejects - allowed) * rate,
        (actual - with_rejects) * rate,
        actual * (actual_rate - rate),
        actual * actual_rate,
    )


@sheet_function("After the job", one_by_one=True)
def job_variances(
    route: RouteKey,
    good_pieces: Pieces,
    used: Cells,
    job_names: Cells,
    job_values: Cells,
    rate_names: Cells,
    rate_values: Cells,
    price_rows: PriceRows,
    good_share: Share = None,
    rows: TableRows = 50.0,
) -> Cells:
    """Why a whole job cost more or less than quoted, line by line, adding up to actual - quoted.

    Parameters
    ----------
    route : one of hand, transfer, bought, over, pad
        The route that was quoted and made.
    good_pieces : whole, 1 to 1e9 [pieces]
        Good pieces really made.
    used : a range of cells
        Rows of line, actual quantity, actual rate, for what is known of the job; what is blank is as the quote allows.
    job_names : a range of cells
        Names of the job's inputs.
    job_values : a range of cells
        Values of the job's inputs as quoted, beside their names.
    rate_names : a range of cells
        Names of the shop's rates.
    rate_values : a range of cells
        Values of the shop's rates as quoted, beside their names.
    price_rows : rows of code, from quantity, unit price, valid from, [valid to]
        Rows of the price list, as for PRICE_ON.
    good_share : more than 0, up to 1 [fraction], as quoted if left out
        Good pieces as a share of those started.
    rows : whole, 1 to 1000 [rows], 50 if left out
        Rows there is room for, the sums included.

    Returns
    -------
    cells
        Each row: line, unit, quoted quantity, allowed with the rejects there were, quoted rate, quoted cost, then more
        pieces, volume, rejects, quantity and rate as of COST_VARIANCES, and actual cost.  The first row holds the sums;
        rows after the lines are blank.

    Notes
    -----
    What is allowed is the quote worked out anew for the pieces made, and once more with yields that give the share of good
    pieces there was; so steps, minimum mixes and larger orders count as they do in the quote.  Of lines of one name, the
    second is called so: Make-ready (2).

    References
    ----------
    The flexible budget of standard costing, with the quote as the standard; from memory.

    Examples
    --------
    The sheet After the job uses it with the workbook's own names.

    >>> job_variances("hand", 650, [["Wash-up", 60, ""]], [[""]], [[""]], [[""]], [[""]], [["INK", 0, 0.03, 46000, ""]])
    Traceback (most recent call last):
    quotelib.errors.LookupMiss: job names is blank; they must hold every input of a job, and lack design and 14 more
    """
    from quotelib.afterwards import against_quote
    from quotelib.cases import whole_job

    told = [row for row in used if any(cell not in (None, "") for cell in row)]
    known: dict[str, against_quote.Used] = {}
    for line, quantity, rate in USED_LINES.admit("used", told) if told else ():
        if line in known:
            raise RangeError("used line", line, "it must stand once")
        known[line] = against_quote.Used(quantity, rate)
    case = whole_job(job_names, job_values, rate_names, rate_values, price_rows)
    lines = against_quote.quoted_lines(case, route, good_pieces, good_share)
    *table, total = against_quote.job_variances(lines, known, case.job.good_pieces, good_pieces)
    if len(table) >= rows:
        raise RangeError("rows", rows, f"it must be more than the {len(table)} lines of the route")
    shown: list[tuple[Any, ...]] = [("All lines", "", "", "", "", *total)]
    shown += [
        (line.element, line.unit, float(line.quoted), float(line.with_rejects), float(line.rate), *row)
        for line, row in zip(lines, table, strict=True)
    ]
    return (*shown, *(("",) * len(shown[0]),) * (int(rows) - len(shown)))


@sheet_function("After the job")
def reject_share_range(rejects: WholePieces, pieces: Pieces, confidence: Confidence = 0.95) -> Cells:
    """Share of rejects found, and between which values the true share lies.

    Parameters
    ----------
    rejects : whole, 0 to 1e9 [pieces]
        Rejects counted, in one colour or over several.
    pieces : whole, 1 to 1e9 [pieces]
        Pieces that entered the colour, or the sum over several colours.
    confidence : more than 0, less than 1 [fraction], 0.95 if left out
        Chance that the true share lies between the two values.

    Returns
    -------
    cells
        One row: share of rejects, least, most.

    Notes
    -----
    Exact by the binomial distribution, and so never too narrow; it takes rejects to come singly.  A yield per colour is
    1 - the share.

    References
    ----------
    Clopper and Pearson, Biometrika 26, 1934.

    Examples
    --------
    >>> reject_share_range(3, 100)
    ((0.03, 0.00622997, 0.08517605),)
    >>> reject_share_range(101, 100)
    Traceback (most recent call last):
    quotelib.errors.RangeError: rejects is 101; it must be no more than the 100 pieces [pieces]
    """
    if rejects > pieces:
        raise RangeError("rejects", rejects, f"it must be no more than the {pieces:.12g} pieces [pieces]")
    return ((rejects / pieces, *share_interval(rejects, pieces, confidence)),)


@sheet_function("After the job")
def learned_rate(observations: Observations, fixed_part: Flag = False, confidence: Confidence = 0.95) -> Cells:
    """Rate that job tickets show, such as minutes for a piece, hardly moved by a few wrong tickets; with its interval.

    Parameters
    ----------
    observations : rows of driver, amount
        One row for each ticket: the driver (colours, pieces entering, sessions), and the minutes or units it took.
    fixed_part : TRUE or FALSE, FALSE if left out
        FALSE takes all of the amount to grow with the driver.  TRUE allows for a part that each ticket has once.
    confidence : more than 0, less than 1 [fraction], 0.95 if left out
        Chance that the true rate lies between the two values.

    Returns
    -------
    cells
        One row: rate, least, most, fixed part.

    Notes
    -----
    Without a fixed part: the median of amount / driver, between two of the sorted ratios, by the binomial.  With one: the
    median of the slopes between every two tickets (Theil-Sen), its interval by Kendall's statistic, and the fixed part that
    goes through the medians.  Nearly half (without) or 29 % (with a fixed part) of the tickets may be wrong.

    References
    ----------
    P. K. Sen, Estimates of the regression coefficient based on Kendall's tau, Journal of the American Statistical
    Association 63, 1968; median and sign test of any statistics text.

    Examples
    --------
    The fifth ticket has hours in place of minutes:

    >>> learned_rate([[100, 52], [220, 117], [150, 80], [400, 204], [300, 2.6], [250, 131]])
    ((0.5220000, 0.0086667, 0.5333333, 0.0),)
    >>> learned_rate([[1, 50], [2, 84], [3, 121], [2, 86], [4, 155], [1, 49], [3, 118]], True)
    ((35.0, 34.0, 37.0, 16.0),)
    """
    if len(observations) > OBSERVATIONS_MOST:
        raise RangeError("observations", f"{len(observations)} rows", f"it must have {OBSERVATIONS_MOST} rows at most")
    if not fixed_part:
        ratios = sorted(amount / driver for driver, amount in observations if driver)
        low, high = median_places(len(ratios), confidence)
        return _finite(_median(ratios), ratios[low], ratios[high], 0.0)
    slopes = sorted((y - b) / (x - a) for (a, b), (x, y) in combinations(observations, 2) if x != a)
    if not slopes:
        raise NoSolution("observations", f"{len(observations)} rows", "their drivers must differ, or there is no telling")
    drivers, amounts = (sorted(column) for column in zip(*observations, strict=True))
    reach = _slopes_apart(drivers, amounts, confidence)
    low, high = round((len(slopes) - reach) / 2) - 1, round((len(slopes) + reach) / 2)
    rate = _median(slopes)
    fixed = _median(amounts) - rate * _median(drivers)
    return _finite(rate, slopes[max(low, 0)], slopes[min(high, len(slopes) - 1)], fixed)


def _finite(*figures: float) -> Cells:
    """One row of figures, none of them too large to state."""
    if not all(map(math.isfinite, figures)):
        raise OverflowError
    return (figures,)


def _slopes_apart(drivers: list[float], amounts: list[float], confidence: float) -> float:
    """How many of the sorted slopes the interval spans: from the deviation of Kendall's statistic, ties allowed for."""
    from statistics import NormalDist  # not at the top: it is slow to import, and only this function needs it

    def pairs(count: int) -> int:
        return count * (count - 1) * (2 * count + 5)

    tied = sum(pairs(times) for values in (drivers, amounts) for times in _times(values))
    deviation = math.sqrt(max(pairs(len(drivers)) - tied, 0) / 18)
    return NormalDist().inv_cdf((1 + confidence) / 2) * deviation


def _times(values: list[float]) -> list[int]:
    """How often each value occurs."""
    counts: dict[float, int] = {}
    for value in values:
        counts[value] = counts.get(value, 0) + 1
    return list(counts.values())


def _median(values: list[float]) -> float:
    """The middle one of sorted values, or between the two in the middle."""
    middle = len(values) // 2
    return values[middle] if len(values) % 2 else (values[middle - 1] + values[middle]) / 2
