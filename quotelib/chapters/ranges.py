"""A quote as a range: what a good piece may cost when rates, yields and minutes are not known for sure.

These functions read a whole job as those of the chapter Choice do, and a table of uncertain inputs, each with a least, a
likely and a most.  uncertain.py, which says how they are drawn, is imported at the first call.
"""

from quotelib.kinds import (
    CONFIDENCE,
    Cells,
    Confidence,
    Count,
    Draws,
    Fraction,
    PositiveMoney,
    PriceRows,
    RouteKey,
    SignedAmount,
    Spreads,
    TableRows,
)
from quotelib.registry import sheet_function


@sheet_function("Range", one_by_one=True)
def spread_value(chance: Confidence, least: SignedAmount, likely: SignedAmount, most: SignedAmount) -> SignedAmount:
    """Value that an uncertain input stays below with a given chance, drawn from the triangle of least, likely and most.

    Parameters
    ----------
    chance : more than 0, less than 1 [fraction]
        Chance to stay below it: 0.1 for P10.
    least : -1e12 to 1e12 [units]
        Smallest value it can take.
    likely : -1e12 to 1e12 [units]
        The most likely value.
    most : -1e12 to 1e12 [units]
        Largest value it can take.

    Returns
    -------
    signed amount [units]
        The value.

    Notes
    -----
    The density rises in a straight line from least to likely and falls to most; its mean is the mean of the three.

    References
    ----------
    Triangular distribution, inverse of its cumulative distribution; any textbook of simulation.

    Examples
    --------
    >>> spread_value(0.5, 10, 12, 18)
    13.101021
    """
    from quotelib.uncertain import triangle_value

    return triangle_value(chance, least, likely, most)


@sheet_function("Range", one_by_one=True)
def cost_range(
    chances: Cells,
    route: RouteKey,
    job_names: Cells,
    job_values: Cells,
    rate_names: Cells,
    rate_values: Cells,
    price_rows: PriceRows,
    spreads: Spreads,
    draws: Draws = 200,
    seed: Count = 1,
) -> Cells:
    """Cost of a good piece that is not exceeded with given chances: P10, P50, P90, or others.

    Parameters
    ----------
    chances : a range of cells
        Chances between 0 and 1, such as 0.1, 0.5 and 0.9.
    route : one of hand, transfer, bought, over, pad
        The route.
    job_names : a range of cells
        Names of the job's inputs, as in the column Name of the sheet Job.
    job_values : a range of cells
        Values of the job's inputs, beside their names.
    rate_names : a range of cells
        Names of the shop's rates.
    rate_values : a range of cells
        Values of the shop's rates, beside their names.
    price_rows : rows of code, from quantity, unit price, valid from, [valid to]
        Rows of the price list, as for PRICE_ON.
    spreads : rows of name, least, likely, most
        The uncertain inputs: numbers among the inputs of the job or the shop's rates, or codes of the price list, whose
        prices are then multiplied by 0.9 to 1.2, say.
    draws : whole, 20 to 10000 [draws], 200 if left out
        How many times the inputs are drawn.
    seed : whole, 0 to 1e9, 1 if left out
        The same seed gives the same draws.

    Returns
    -------
    cells
        The cost at each chance, in the shape of `chances`. [currency/piece]

    Notes
    -----
    The inputs are drawn independently of each other, in a Latin hypercube, and every draw is a whole quote.  Between two
    draws the cost is read in a straight line.

    References
    ----------
    Latin hypercube: M. D. McKay, R. J. Beckman, W. J. Conover, Technometrics 21 (1979), 239-245.

    Examples
    --------
    The sheet Range uses it with the workbook's own names.

    >>> cost_range([[0.5]], "hand", [["item"]], [["Elk"]], [[""]], [[0]], [["K", 0, 1, 4e4, ""]], [["burden", 0, 0, 1]])
    Traceback (most recent call last):
    quotelib.errors.LookupMiss: job names is 'item'; they must hold every input of a job, and lack design and 13 more
    """
    from quotelib.uncertain import drawn_costs, quantile

    wanted = [[CONFIDENCE.admit("chances", cell) for cell in row] for row in chances]
    whole = (job_names, job_values, rate_names, rate_values, price_rows)
    outcomes = [each.outcome for each in drawn_costs(whole, spreads, route, int(draws), int(seed))]
    return tuple(tuple(quantile(outcomes, chance) for chance in row) for row in wanted)


@sheet_function("Range", one_by_one=True)
def change_over_range(
    chances: Cells,
    route_a: RouteKey,
    route_b: RouteKey,
    job_names: Cells,
    job_values: Cells,
    rate_names: Cells,
    rate_values: Cells,
    price_rows: PriceRows,
    spreads: Spreads,
    draws: Draws = 200,
    seed: Count = 1,
) -> Cells:
    """Run from which one route is the cheaper, with given chances to lie below it; "never" where it may not change over.

    Parameters
    ----------
    chances : a range of cells
        Chances between 0 and 1, such as 0.1, 0.5 and 0.9.
    route_a : one of hand, transfer, bought, over, pad
        The route that short runs go by.
    route_b : one of hand, transfer, bought, over, pad
        The route that may take over.
    job_names : a range of cells
        Names of the job's inputs, as in the column Name of the sheet Job.
    job_values : a range of cells
        Values of the job's inputs, beside their names.
    rate_names : a range of cells
        Names of the shop's rates.
    rate_values : a range of cells
        Values of the shop's rates, beside their names.
    price_rows : rows of code, from quantity, unit price, valid from, [valid to]
        Rows of the price list, as for PRICE_ON.
    spreads : rows of name, least, likely, most
        The uncertain inputs: numbers among the inputs of the job or the shop's rates, or codes of the price list, whose
        prices are then multiplied by 0.9 to 1.2, say.
    draws : whole, 20 to 10000 [draws], 200 if left out
        How many times the inputs are drawn.
    seed : whole, 0 to 1e9, 1 if left out
        The same seed gives the same draws.

    Returns
    -------
    cells
        The run at each chance, in the shape of `chances`: a whole number of pieces, or the word never. [pieces]

    Notes
    -----
    For each draw the run is the smallest from which b costs no more than a, and stays so.  A draw in which b never does
    counts as beyond every run.  Of the draws in order, the one at or just above the chance is shown: a run that one of the
    draws really has.

    References
    ----------
    Latin hypercube: M. D. McKay, R. J. Beckman, W. J. Conover, Technometrics 21 (1979), 239-245.

    Examples
    --------
    The sheet Range uses it with the workbook's own names.

    >>> change_over_range([[.5]], "hand", "pad", [["item"]], [[0]], [[0]], [[0]], [["K", 0, 1, 4e4, ""]], [["x", 0, 0, 0]])
    Traceback (most recent call last):
    quotelib.errors.LookupMiss: job names is 'item'; they must hold every input of a job, and lack design and 13 more
    """
    from quotelib.uncertain import drawn_change_overs, run_at

    wanted = [[CONFIDENCE.admit("chances", cell) for cell in row] for row in chances]
    whole = (job_names, job_values, rate_names, rate_values, price_rows)
    runs = drawn_change_overs(whole, spreads, route_a, route_b, int(draws), int(seed))
    return tuple(tuple(run_at(runs, chance) or "never" for chance in row) for row in wanted)


@sheet_function("Range", one_by_one=True)
def loss_chance(
    price: PositiveMoney,
    route: RouteKey,
    job_names: Cells,
    job_values: Cells,
    rate_names: Cells,
    rate_values: Cells,
    price_rows: PriceRows,
    spreads: Spreads,
    draws: Draws = 200,
    seed: Count = 1,
) -> Fraction:
    """Chance that a price does not cover what a good piece costs.

    Parameters
    ----------
    price : more than 0, up to 1e12 [currency]
        Price of a good piece.
    route : one of hand, transfer, bought, over, pad
        The route.
    job_names : a range of cells
        Names of the job's inputs, as in the column Name of the sheet Job.
    job_values : a range of cells
        Values of the job's inputs, beside their names.
    rate_names : a range of cells
        Names of the shop's rates.
    rate_values : a range of cells
        Values of the shop's rates, beside their names.
    price_rows : rows of code, from quantity, unit price, valid from, [valid to]
        Rows of the price list, as for PRICE_ON.
    spreads : rows of name, least, likely, most
        The uncertain inputs: numbers among the inputs of the job or the shop's rates, or codes of the price list, whose
        prices are then multiplied by 0.9 to 1.2, say.
    draws : whole, 20 to 10000 [draws], 200 if left out
        How many times the inputs are drawn.
    seed : whole, 0 to 1e9, 1 if left out
        The same seed gives the same draws.

    Returns
    -------
    fraction [fraction]
        Share of the draws in which the cost is above the price.

    References
    ----------
    Share of the draws; with n draws its standard error is at most 0.5 / sqrt(n), 0.035 for 200.

    Examples
    --------
    The sheet Range uses it with the workbook's own names.

    >>> loss_chance(5, "hand", [["item"]], [["Elk"]], [["burden"]], [[0]], [["K", 0, 1, 4e4, ""]], [["burden", 0, 0, 1]])
    Traceback (most recent call last):
    quotelib.errors.LookupMiss: job names is 'item'; they must hold every input of a job, and lack design and 13 more
    """
    from quotelib.uncertain import drawn_costs

    whole = (job_names, job_values, rate_names, rate_values, price_rows)
    drawn = drawn_costs(whole, spreads, route, int(draws), int(seed))
    return sum(each.outcome > price for each in drawn) / len(drawn)


@sheet_function("Range", one_by_one=True)
def spread_shares(
    route: RouteKey,
    job_names: Cells,
    job_values: Cells,
    rate_names: Cells,
    rate_values: Cells,
    price_rows: PriceRows,
    spreads: Spreads,
    draws: Draws = 200,
    seed: Count = 1,
    rows: TableRows = 12.0,
) -> Cells:
    """Share of each uncertain input in the spread of the cost: which one to find out more about first.

    Parameters
    ----------
    route : one of hand, transfer, bought, over, pad
        The route.
    job_names : a range of cells
        Names of the job's inputs, as in the column Name of the sheet Job.
    job_values : a range of cells
        Values of the job's inputs, beside their names.
    rate_names : a range of cells
        Names of the shop's rates.
    rate_values : a range of cells
        Values of the shop's rates, beside their names.
    price_rows : rows of code, from quantity, unit price, valid from, [valid to]
        Rows of the price list, as for PRICE_ON.
    spreads : rows of name, least, likely, most
        The uncertain inputs: numbers among the inputs of the job or the shop's rates, or codes of the price list, whose
        prices are then multiplied by 0.9 to 1.2, say.
    draws : whole, 20 to 10000 [draws], 200 if left out
        How many times the inputs are drawn.
    seed : whole, 0 to 1e9, 1 if left out
        The same seed gives the same draws.
    rows : whole, 1 to 1000 [rows], 12 if left out
        Rows there is room for.

    Returns
    -------
    cells
        Each row: name of the input and its share, the largest first.  Blank rows where there are fewer inputs; where there
        are more, the smallest are left out.

    Notes
    -----
    A plane is laid through the draws by least squares.  An input's share is the variance that its slope gives the cost,
    over the variance of the cost.  As the inputs are drawn independently, the shares add up to 1 but for what is not
    straight.

    References
    ----------
    Variance of a sum of independent terms, and least squares; any textbook of statistics.

    Examples
    --------
    The sheet Range uses it with the workbook's own names.

    >>> spread_shares("hand", [["item"]], [["Elk"]], [["burden"]], [[0]], [["K", 0, 1, 4e4, ""]], [["burden", 0, 0, 1]])
    Traceback (most recent call last):
    quotelib.errors.LookupMiss: job names is 'item'; they must hold every input of a job, and lack design and 13 more
    """
    from quotelib.uncertain import drawn_costs, shares

    whole = (job_names, job_values, rate_names, rate_values, price_rows)
    found = shares(drawn_costs(whole, spreads, route, int(draws), int(seed)))
    table = sorted(zip((name for name, *_ in spreads), found, strict=True), key=lambda row: -row[1])
    return tuple((table + [("", "")] * int(rows))[: int(rows)])
