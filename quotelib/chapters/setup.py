"""Setup: what it costs to get ready, shared over the good pieces it serves.

    setup cost of a run = per colour x colours + per design / runs expected + per run
    setup per piece     = setup cost / good pieces

Tools wear out by use (screens, plates, pads), machines by time (annual equivalent, then an hour rate).  A screen has three
lives inside each other: the stencil, the mesh that is reclaimed for the next one, and the frame that is stretched again.
"""

import math

from quotelib.elementwise import larger, round_up, where
from quotelib.errors import RangeError
from quotelib.kinds import (
    AnnualRate,
    Colours,
    Flag,
    Hours,
    Impressions,
    Life,
    Money,
    MoneyPerHour,
    Pieces,
    PositiveMoney,
    Runs,
    Times,
    ToolSets,
    Years,
)
from quotelib.registry import sheet_function

NO_INTEREST = 1e-99
"""A yearly rate below this changes no digit of the straight line, and would lose its own."""


@sheet_function("Setup")
def setup_cost(
    colours: Colours, cost_per_colour: PositiveMoney, cost_per_design: Money = 0.0, cost_per_run: Money = 0.0
) -> Money:
    """Cost of getting one run ready, whatever its length.

    Parameters
    ----------
    colours : whole, 1 to 24 [colours]
        Colours of the design, each with its own screen or plate.
    cost_per_colour : more than 0, up to 1e12 [currency]
        Film, screen or plate, and make-ready of one colour.
    cost_per_design : 0 to 1e12 [currency], 0 if left out
        Artwork and separations charged to this run.
    cost_per_run : 0 to 1e12 [currency], 0 if left out
        What a run costs once more: ink mixing, first-off approval, wash-up.

    Returns
    -------
    money [currency]
        Setup cost of the run, not rounded.

    References
    ----------
    Once per design, per colour and per run are the trade's three setup drivers; common practice, no source.

    Examples
    --------
    >>> setup_cost(3, 28.0, 60.0, 12.5)
    156.5
    """
    return colours * cost_per_colour + cost_per_design + cost_per_run


@sheet_function("Setup")
def setup_per_unit(setup_cost: Money, good_pieces: Pieces, runs: Runs = 1.0) -> Money:
    """Share of a setup cost carried by each good piece.

    Parameters
    ----------
    setup_cost : 0 to 1e12 [currency]
        Cost of getting ready, for one run or for all the runs it serves.
    good_pieces : whole, 1 to 1e9 [pieces]
        Good pieces of one run, rejects left out.
    runs : whole, 1 to 1e6 [runs], 1 if left out
        Runs of that length that share the setup, such as the life of kept screens.

    Returns
    -------
    money [currency]
        Setup cost per good piece, not rounded.

    References
    ----------
    Fixed cost per unit, any cost-accounting text; from memory.

    Examples
    --------
    >>> setup_per_unit(156.5, 700)
    0.2235714
    >>> setup_per_unit(156.5, 0)
    Traceback (most recent call last):
    quotelib.errors.RangeError: good_pieces is 0; it must be whole, 1 to 1e9 [pieces]
    """
    return setup_cost / (good_pieces * runs)


@sheet_function("Setup")
def tool_sets(impressions: Impressions, tool_life: Life) -> ToolSets:
    """Whole sets of screens, plates, pads or blades that a number of impressions wears out.

    Parameters
    ----------
    impressions : 0 to 1e12 [impressions]
        Prints made with the tool, rejects included.
    tool_life : 1 to 1e12 [impressions]
        Prints one set lasts.

    Returns
    -------
    tool sets [sets]
        Sets needed, at least one.

    References
    ----------
    Impressions over life, rounded up; common practice, no source.

    Examples
    --------
    >>> tool_sets(45000, 20000)
    3
    >>> tool_sets(700, 20000)
    1
    """
    return larger(round_up(impressions / tool_life), 1)


@sheet_function("Setup")
def tool_cost(impressions: Impressions, tool_life: Life, set_cost: PositiveMoney, whole_sets: Flag = True) -> Money:
    """Cost of the tools a number of impressions wears out, in whole sets or by use.

    Parameters
    ----------
    impressions : 0 to 1e12 [impressions]
        Prints made with the tool, rejects included.
    tool_life : 1 to 1e12 [impressions]
        Prints one set lasts.
    set_cost : more than 0, up to 1e12 [currency]
        Cost of one whole set, made and ready to print.
    whole_sets : TRUE or FALSE, TRUE if left out
        TRUE charges whole sets, as for contract work; FALSE charges by use, the rest of the life staying in the shop.

    Returns
    -------
    money [currency]
        Tool cost, not rounded.

    References
    ----------
    Both policies are common practice, no source; by use is the units-of-production method of depreciation.

    Examples
    --------
    >>> tool_cost(45000, 20000, 60.0)
    180.0
    >>> tool_cost(45000, 20000, 60.0, False)
    135.0
    """
    return set_cost * where(whole_sets, larger(round_up(impressions / tool_life), 1), impressions / tool_life)


@sheet_function("Setup")
def screen_cost(
    impressions: Impressions,
    stencil_cost: Money,
    stretch_cost: Money,
    stretch_life: Life,
    stencils_per_stretch: Times,
    frame_cost: Money = 0.0,
    stretches_per_frame: Times = 1.0,
) -> Money:
    """Cost of the screens of one colour over a number of impressions: stencils, and their share of mesh and frame.

    Parameters
    ----------
    impressions : 0 to 1e12 [impressions]
        Prints made of the colour while its stencil is kept, over all its runs, rejects included.
    stencil_cost : 0 to 1e12 [currency]
        Coat, expose, wash out and tape one screen, and reclaim it afterwards.
    stretch_cost : 0 to 1e12 [currency]
        Fabric and work to stretch a frame once.
    stretch_life : 1 to 1e12 [impressions]
        Prints before the mesh is slack or torn.
    stencils_per_stretch : whole, 1 to 1e6 [times]
        Stencils before the mesh is hazed or torn by reclaiming.
    frame_cost : 0 to 1e12 [currency], 0 if left out
        Price of a frame.
    stretches_per_frame : whole, 1 to 1e6 [times], 1 if left out
        Times a frame is stretched before it is scrapped.

    Returns
    -------
    money [currency]
        Cost of one colour's screens, not rounded.

    Notes
    -----
    Stencils = impressions / stretch life, rounded up, one at least, since a stencil goes with its mesh.  The share of a
    stretch used up is the larger of two: impressions / stretch life, and stencils / stencils per stretch.  Emulsion
    removers and haze pastes burn skin and eyes: gloves, goggles, and the safety data sheet.

    References
    ----------
    That screens are reclaimed, and frames stretched again, is common practice, no source.

    Examples
    --------
    >>> screen_cost(1500, 14.0, 30.0, 40000, 12, 45.0, 15)
    16.75
    >>> screen_cost(8000, 14.0, 30.0, 40000, 12, 45.0, 15)
    20.6
    """
    stencils = tool_sets.body(impressions, stretch_life)
    stretches = larger(impressions / stretch_life, stencils / stencils_per_stretch)
    return stencils * stencil_cost + stretches * (stretch_cost + frame_cost / stretches_per_frame)


@sheet_function("Setup", one_by_one=True)
def depreciation_straight(cost: PositiveMoney, salvage: Money, years: Years) -> Money:
    """Yearly depreciation of a machine or jig by the straight line, interest left out.

    Parameters
    ----------
    cost : more than 0, up to 1e12 [currency]
        Price paid, installed.
    salvage : 0 to 1e12 [currency]
        What it still fetches at the end; not more than the cost.
    years : more than 0, up to 100 [years]
        Years it is kept.

    Returns
    -------
    money [currency]
        Depreciation per year, not rounded.

    Notes
    -----
    (cost - salvage) / years, the same as the spreadsheet's SLN.  It leaves out what the money could have earned; for a
    quote use ANNUAL_EQUIVALENT.

    References
    ----------
    Straight-line depreciation, any accounting text.

    Examples
    --------
    >>> depreciation_straight(12000, 2000, 5)
    2000.0
    """
    return to_recover(cost, salvage) / years


@sheet_function("Setup", one_by_one=True)
def depreciation_by_use(cost: PositiveMoney, salvage: Money, impressions: Impressions, machine_life: Life) -> Money:
    """Depreciation of a machine or jig for the use made of it: the units-of-production method.

    Parameters
    ----------
    cost : more than 0, up to 1e12 [currency]
        Price paid, installed.
    salvage : 0 to 1e12 [currency]
        What it still fetches at the end; not more than the cost.
    impressions : 0 to 1e12 [impressions]
        Prints made with it in the time that is charged; not more than its life.
    machine_life : 1 to 1e12 [impressions]
        Prints it makes in all.

    Returns
    -------
    money [currency]
        Depreciation for that use, not rounded.

    Notes
    -----
    (cost - salvage) x impressions / life.

    References
    ----------
    Units-of-production depreciation, any accounting text; IRS Publication 946, glossary.

    Examples
    --------
    >>> depreciation_by_use(9000, 600, 30000, 400000)
    630.0
    """
    if impressions > machine_life:
        raise RangeError("impressions", impressions, f"it must not be more than the life ({machine_life:.12g})")
    return to_recover(cost, salvage) * (impressions / machine_life)


@sheet_function("Setup", one_by_one=True)
def annual_equivalent(cost: PositiveMoney, salvage: Money, years: Years, annual_rate: AnnualRate) -> Money:
    """Yearly cost of owning a machine or jig: its price recovered over its life, with interest.

    Parameters
    ----------
    cost : more than 0, up to 1e12 [currency]
        Price paid, installed.
    salvage : 0 to 1e12 [currency]
        What it still fetches at the end; not more than the cost.
    years : more than 0, up to 100 [years]
        Years it is kept.
    annual_rate : 0 to 1 [fraction/year]
        Yearly rate of interest the money could earn; at 0 this is straight-line depreciation.

    Returns
    -------
    money [currency]
        Equivalent cost per year, not rounded.

    Notes
    -----
    (cost - salvage) x i / (1 - (1 + i)^-years) + salvage x i: the capital recovery factor (A/P, i, n) on what is used up,
    and interest on what comes back.

    References
    ----------
    Capital recovery with salvage value, engineering-economy factor tables (A/P, i, n); from memory.  The same as the
    spreadsheet's -PMT(annual_rate, years, cost, -salvage).

    Examples
    --------
    >>> annual_equivalent(12000, 2000, 5, 0.10)
    2837.9748
    >>> annual_equivalent(12000, 2000, 5, 0)
    2000.0
    """
    if annual_rate < NO_INTEREST:
        return depreciation_straight.body(cost, salvage, years)
    recovery = annual_rate / -math.expm1(-years * math.log1p(annual_rate))
    return to_recover(cost, salvage) * recovery + salvage * annual_rate


@sheet_function("Setup")
def machine_hour_rate(annual_equivalent: Money, annual_running_cost: Money, productive_hours: Hours) -> MoneyPerHour:
    """What an hour of a machine costs when it is really used.

    Parameters
    ----------
    annual_equivalent : 0 to 1e12 [currency]
        Yearly cost of owning it, from ANNUAL_EQUIVALENT.
    annual_running_cost : 0 to 1e12 [currency]
        Energy, maintenance and floor space for a year.
    productive_hours : more than 0, up to 1e5 [hours]
        Hours a year it prints; not the hours the shop is open.

    Returns
    -------
    money per hour [currency/hour]
        Cost of one productive hour, not rounded.

    References
    ----------
    Machine-hour rate of cost accounting; common practice, no source.

    Examples
    --------
    >>> machine_hour_rate(2837.97, 900, 1100)
    3.3981545
    """
    return (annual_equivalent + annual_running_cost) / productive_hours


def to_recover(cost: float, salvage: float) -> float:
    """What of a price is used up; refuses to sell for more than was paid."""
    if salvage > cost:
        raise RangeError("salvage", salvage, f"it must not be more than the cost ({cost:.12g}) [currency]")
    return cost - salvage
