"""The quoting functions for Excel's cells.  Keep this file beside the workbook quoting.xlsm.

Written by `python -m quotelib build` from the library; a change made here is lost at the next build.
"""
# ruff: noqa: E501
# fmt: off

import xlwings as xw

from quotelib.hosts.excel.cells import CellValues, answer
from quotelib.hosts.excel.refresh import refresh_caller
from quotelib.hosts.excel.wrappers import use_error_values

use_error_values(__name__)


@xw.sub
def REFRESH_PRICES():
    """Replace the rows of the price sheet by those of the shop's price list."""
    refresh_caller(__file__)


@xw.func(category="Quoting: Setup")
@xw.arg("colours", CellValues, doc="Colours of the design, each with its own screen or plate. (whole, 1 to 24 [colours])")
@xw.arg("cost_per_colour", CellValues, doc="Film, screen or plate, and make-ready of one colour. (more than 0, up to 1e12 [currency])")
@xw.arg("cost_per_design", CellValues, doc="Artwork and separations charged to this run. (0 to 1e12 [currency], 0 if left out)")
@xw.arg("cost_per_run", CellValues, doc="What a run costs once more: ink mixing, first-off approval, wash-up. (0 to 1e12 [currency], 0 if left out)")
def SETUP_COST(colours, cost_per_colour, cost_per_design=None, cost_per_run=None):
    """Cost of getting one run ready, whatever its length. Gives: Setup cost of the run, not rounded."""
    return answer("SETUP_COST", colours, cost_per_colour, cost_per_design, cost_per_run)


@xw.func(category="Quoting: Setup")
@xw.arg("setup_cost", CellValues, doc="Cost of getting ready, for one run or for all the runs it serves. (0 to 1e12 [currency])")
@xw.arg("good_pieces", CellValues, doc="Good pieces of one run, rejects left out. (whole, 1 to 1e9 [pieces])")
@xw.arg("runs", CellValues, doc="Runs of that length that share the setup, such as the life of kept screens. (whole, 1 to 1e6 [runs], 1 if left out)")
def SETUP_PER_UNIT(setup_cost, good_pieces, runs=None):
    """Share of a setup cost carried by each good piece. Gives: Setup cost per good piece, not rounded."""
    return answer("SETUP_PER_UNIT", setup_cost, good_pieces, runs)


@xw.func(category="Quoting: Setup")
@xw.arg("impressions", CellValues, doc="Prints made with the tool, rejects included. (0 to 1e12 [impressions])")
@xw.arg("tool_life", CellValues, doc="Prints one set lasts. (1 to 1e12 [impressions])")
def TOOL_SETS(impressions, tool_life):
    """Whole sets of screens, plates, pads or blades that a number of impressions wears out. Gives: Sets needed, at least one."""
    return answer("TOOL_SETS", impressions, tool_life)


@xw.func(category="Quoting: Setup")
@xw.arg("impressions", CellValues, doc="Prints made with the tool, rejects included. (0 to 1e12 [impressions])")
@xw.arg("tool_life", CellValues, doc="Prints one set lasts. (1 to 1e12 [impressions])")
@xw.arg("set_cost", CellValues, doc="Cost of one whole set, made and ready to print. (more than 0, up to 1e12 [currency])")
@xw.arg("whole_sets", CellValues, doc="TRUE charges whole sets, as for contract work; FALSE charges by use, the rest of the life staying in the shop. (TRUE or FALSE, TRUE if left out)")
def TOOL_COST(impressions, tool_life, set_cost, whole_sets=None):
    """Cost of the tools a number of impressions wears out, in whole sets or by use. Gives: Tool cost, not rounded."""
    return answer("TOOL_COST", impressions, tool_life, set_cost, whole_sets)


@xw.func(category="Quoting: Setup")
@xw.arg("impressions", CellValues, doc="Prints made of the colour while its stencil is kept, over all its runs, rejects included. (0 to 1e12 [impressions])")
@xw.arg("stencil_cost", CellValues, doc="Coat, expose, wash out and tape one screen, and reclaim it afterwards. (0 to 1e12 [currency])")
@xw.arg("stretch_cost", CellValues, doc="Fabric and work to stretch a frame once. (0 to 1e12 [currency])")
@xw.arg("stretch_life", CellValues, doc="Prints before the mesh is slack or torn. (1 to 1e12 [impressions])")
@xw.arg("stencils_per_stretch", CellValues, doc="Stencils before the mesh is hazed or torn by reclaiming. (whole, 1 to 1e6 [times])")
@xw.arg("frame_cost", CellValues, doc="Price of a frame. (0 to 1e12 [currency], 0 if left out)")
@xw.arg("stretches_per_frame", CellValues, doc="Times a frame is stretched before it is scrapped. (whole, 1 to 1e6 [times], 1 if left out)")
def SCREEN_COST(impressions, stencil_cost, stretch_cost, stretch_life, stencils_per_stretch, frame_cost=None, stretches_per_frame=None):
    """Cost of the screens of one colour over a number of impressions: stencils, and their share of mesh and frame. Gives: Cost of one colour's screens, not rounded."""
    return answer("SCREEN_COST", impressions, stencil_cost, stretch_cost, stretch_life, stencils_per_stretch, frame_cost, stretches_per_frame)


@xw.func(category="Quoting: Setup")
@xw.arg("cost", CellValues, doc="Price paid, installed. (more than 0, up to 1e12 [currency])")
@xw.arg("salvage", CellValues, doc="What it still fetches at the end; not more than the cost. (0 to 1e12 [currency])")
@xw.arg("years", CellValues, doc="Years it is kept. (more than 0, up to 100 [years])")
def DEPRECIATION_STRAIGHT(cost, salvage, years):
    """Yearly depreciation of a machine or jig by the straight line, interest left out. Gives: Depreciation per year, not rounded."""
    return answer("DEPRECIATION_STRAIGHT", cost, salvage, years)


@xw.func(category="Quoting: Setup")
@xw.arg("cost", CellValues, doc="Price paid, installed. (more than 0, up to 1e12 [currency])")
@xw.arg("salvage", CellValues, doc="What it still fetches at the end; not more than the cost. (0 to 1e12 [currency])")
@xw.arg("impressions", CellValues, doc="Prints made with it in the time that is charged; not more than its life. (0 to 1e12 [impressions])")
@xw.arg("machine_life", CellValues, doc="Prints it makes in all. (1 to 1e12 [impressions])")
def DEPRECIATION_BY_USE(cost, salvage, impressions, machine_life):
    """Depreciation of a machine or jig for the use made of it: the units-of-production method. Gives: Depreciation for that use, not rounded."""
    return answer("DEPRECIATION_BY_USE", cost, salvage, impressions, machine_life)


@xw.func(category="Quoting: Setup")
@xw.arg("cost", CellValues, doc="Price paid, installed. (more than 0, up to 1e12 [currency])")
@xw.arg("salvage", CellValues, doc="What it still fetches at the end; not more than the cost. (0 to 1e12 [currency])")
@xw.arg("years", CellValues, doc="Years it is kept. (more than 0, up to 100 [years])")
@xw.arg("annual_rate", CellValues, doc="Yearly rate of interest the money could earn; at 0 this is straight-line depreciation. (0 to 1 [fraction/year])")
def ANNUAL_EQUIVALENT(cost, salvage, years, annual_rate):
    """Yearly cost of owning a machine or jig: its price recovered over its life, with interest. Gives: Equivalent cost per year, not rounded."""
    return answer("ANNUAL_EQUIVALENT", cost, salvage, years, annual_rate)


@xw.func(category="Quoting: Setup")
@xw.arg("annual_equivalent", CellValues, doc="Yearly cost of owning it, from ANNUAL_EQUIVALENT. (0 to 1e12 [currency])")
@xw.arg("annual_running_cost", CellValues, doc="Energy, maintenance and floor space for a year. (0 to 1e12 [currency])")
@xw.arg("productive_hours", CellValues, doc="Hours a year it prints; not the hours the shop is open. (more than 0, up to 1e5 [hours])")
def MACHINE_HOUR_RATE(annual_equivalent, annual_running_cost, productive_hours):
    """What an hour of a machine costs when it is really used. Gives: Cost of one productive hour, not rounded."""
    return answer("MACHINE_HOUR_RATE", annual_equivalent, annual_running_cost, productive_hours)


@xw.func(category="Quoting: Labour")
@xw.arg("observed_minutes", CellValues, doc="Mean of the readings for one piece. (more than 0, up to 1e5 [minutes])")
@xw.arg("rating", CellValues, doc="Pace of the person timed against the normal pace: 1.1 is a tenth faster. (more than 0, up to 3 [fraction])")
@xw.arg("allowance", CellValues, doc="For rest, personal needs and small delays. (0 to 3 [fraction])")
@xw.arg("of_shift", CellValues, doc="FALSE takes the allowance as a share of the work, TRUE as a share of the whole shift, below 1. (TRUE or FALSE, FALSE if left out)")
def STANDARD_MINUTES(observed_minutes, rating, allowance, of_shift=None):
    """Minutes a trained person needs for a job all day long, from a stopwatch reading. Gives: Standard time of one piece, not rounded."""
    return answer("STANDARD_MINUTES", observed_minutes, rating, allowance, of_shift)


@xw.func(category="Quoting: Labour")
@xw.arg("mean_minutes", CellValues, doc="Mean of the first few readings. (more than 0, up to 1e5 [minutes])")
@xw.arg("deviation_minutes", CellValues, doc="Standard deviation of the first few readings. (more than 0, up to 1e5 [minutes])")
@xw.arg("precision", CellValues, doc="How far the mean may be out, as a share of it. (more than 0, up to 1 [fraction])")
@xw.arg("confidence", CellValues, doc="Chance that it is not further out than that. (more than 0, less than 1 [fraction], 0.95 if left out)")
def TIMINGS_NEEDED(mean_minutes, deviation_minutes, precision, confidence=None):
    """How many pieces to time before the mean can be trusted. Gives: Readings in all, the first few included."""
    return answer("TIMINGS_NEEDED", mean_minutes, deviation_minutes, precision, confidence)


@xw.func(category="Quoting: Labour")
@xw.arg("colours", CellValues, doc="Colours of the design, each printed on its own. (whole, 1 to 24 [colours])")
@xw.arg("pieces", CellValues, doc="Pieces that enter the first colour, rejects included. (whole, 1 to 1e9 [pieces])")
@xw.arg("minutes_per_piece", CellValues, doc="Load, stroke and unload of one colour on one piece. (more than 0, up to 1e5 [minutes])")
@xw.arg("makeready_minutes", CellValues, doc="Make-ready of one colour. (0 to 1e7 [minutes])")
@xw.arg("washup_minutes", CellValues, doc="Wash-up of one colour. (0 to 1e7 [minutes], 0 if left out)")
@xw.arg("yield_per_colour", CellValues, doc="Share of the pieces entering a colour that leave it good; the others go no further. (more than 0, up to 1 [fraction], 1 if left out)")
def COLOUR_MINUTES(colours, pieces, minutes_per_piece, makeready_minutes, washup_minutes=None, yield_per_colour=None):
    """Minutes of work to print a run colour after colour. Gives: Minutes for the whole run, one person or crew at work; not rounded."""
    return answer("COLOUR_MINUTES", colours, pieces, minutes_per_piece, makeready_minutes, washup_minutes, yield_per_colour)


@xw.func(category="Quoting: Labour")
@xw.arg("colours", CellValues, doc="Colours of the design, each printed on its own. (whole, 1 to 24 [colours])")
@xw.arg("pieces", CellValues, doc="Pieces that enter the first colour, rejects included. (whole, 1 to 1e9 [pieces])")
@xw.arg("minutes_per_piece", CellValues, doc="Load, stroke and unload of one colour on one piece, by the whole crew. (more than 0, up to 1e5 [minutes])")
@xw.arg("makeready_minutes", CellValues, doc="Make-ready of one colour. (0 to 1e7 [minutes])")
@xw.arg("hourly_rate", CellValues, doc="Wage of one person for an hour. (more than 0, up to 1e6 [currency/hour])")
@xw.arg("washup_minutes", CellValues, doc="Wash-up of one colour. (0 to 1e7 [minutes], 0 if left out)")
@xw.arg("yield_per_colour", CellValues, doc="Share of the pieces entering a colour that leave it good; CREW_YIELD gives it where several people take turns. (more than 0, up to 1 [fraction], 1 if left out)")
@xw.arg("crew", CellValues, doc="People at work for all of these minutes. (more than 0, up to 100 [people], 1 if left out)")
@xw.arg("burden", CellValues, doc="On-costs as a share of the wage: insurance, holidays, supervision. (0 to 10 [fraction], 0 if left out)")
def COLOUR_LABOUR(colours, pieces, minutes_per_piece, makeready_minutes, hourly_rate, washup_minutes=None, yield_per_colour=None, crew=None, burden=None):
    """Labour cost of printing a run colour after colour. Gives: Labour cost of the run, not rounded."""
    return answer("COLOUR_LABOUR", colours, pieces, minutes_per_piece, makeready_minutes, hourly_rate, washup_minutes, yield_per_colour, crew, burden)


@xw.func(category="Quoting: Labour")
@xw.arg("colours", CellValues, doc="Colours of the design, each printed on its own. (whole, 1 to 24 [colours])")
@xw.arg("pieces", CellValues, doc="Pieces that enter the first colour, rejects included. (whole, 1 to 1e9 [pieces])")
@xw.arg("minutes_per_piece", CellValues, doc="Load, stroke and unload of one colour on one piece. (more than 0, up to 1e5 [minutes])")
@xw.arg("makeready_minutes", CellValues, doc="Make-ready of one colour. (0 to 1e7 [minutes])")
@xw.arg("dry_minutes", CellValues, doc="Time before a printed piece may take the next colour. (0 to 1e7 [minutes])")
@xw.arg("washup_minutes", CellValues, doc="Wash-up of one colour. (0 to 1e7 [minutes], 0 if left out)")
@xw.arg("yield_per_colour", CellValues, doc="Share of the pieces entering a colour that leave it good; the others go no further. (more than 0, up to 1 [fraction], 1 if left out)")
@xw.arg("rack_places", CellValues, doc="Pieces that can be wet at once; a longer run is printed in lots that fill the racks, and a last one with the rest. (whole, 1 to 1e9 [pieces], no limit if left out)")
@xw.arg("screens_stay_up", CellValues, doc="TRUE where every colour keeps its station, so that later lots need no make-ready; FALSE gives each lot its own. (TRUE or FALSE, FALSE if left out)")
def ELAPSED_MINUTES(colours, pieces, minutes_per_piece, makeready_minutes, dry_minutes, washup_minutes=None, yield_per_colour=None, rack_places=None, screens_stay_up=None):
    """Minutes on the clock from the first make-ready of a run until its last colour is done, drying included. Gives: Minutes on the clock, not rounded."""
    return answer("ELAPSED_MINUTES", colours, pieces, minutes_per_piece, makeready_minutes, dry_minutes, washup_minutes, yield_per_colour, rack_places, screens_stay_up)


@xw.func(category="Quoting: Labour")
@xw.arg("colours", CellValues, doc="Colours of the design, each printed on its own. (whole, 1 to 24 [colours])")
@xw.arg("pieces", CellValues, doc="Pieces that enter the first colour, rejects included. (whole, 1 to 1e9 [pieces])")
@xw.arg("minutes_per_piece", CellValues, doc="Load, stroke and unload of one colour on one piece. (more than 0, up to 1e5 [minutes])")
@xw.arg("makeready_minutes", CellValues, doc="Make-ready of one colour. (0 to 1e7 [minutes])")
@xw.arg("dry_minutes", CellValues, doc="Time before a printed piece may take the next colour. (0 to 1e7 [minutes])")
@xw.arg("operators", CellValues, doc="People, each at a station of their own; the first takes colour 1, the second colour 2, and so on in turn. (whole, 1 to 24 [people])")
@xw.arg("washup_minutes", CellValues, doc="Wash-up of one colour. (0 to 1e7 [minutes], 0 if left out)")
@xw.arg("yield_per_colour", CellValues, doc="Share of the pieces entering a colour that leave it good; CREW_YIELD gives it for that many operators. (more than 0, up to 1 [fraction], 1 if left out)")
def SHARED_MINUTES(colours, pieces, minutes_per_piece, makeready_minutes, dry_minutes, operators, washup_minutes=None, yield_per_colour=None):
    """Minutes on the clock for a run whose colours are shared out among operators who print at the same time. Gives: Minutes on the clock, not rounded."""
    return answer("SHARED_MINUTES", colours, pieces, minutes_per_piece, makeready_minutes, dry_minutes, operators, washup_minutes, yield_per_colour)


@xw.func(category="Quoting: Labour")
@xw.arg("first_minutes", CellValues, doc="Minutes of the very first piece. (more than 0, up to 1e5 [minutes])")
@xw.arg("pieces", CellValues, doc="Pieces to make now. (whole, 1 to 1e9 [pieces])")
@xw.arg("curve", CellValues, doc="What is left of the time when the number of pieces doubles: 0.9 is a 90 % curve, 1 is no learning. (more than 0.5, up to 1 [fraction])")
@xw.arg("cumulative_average", CellValues, doc="FALSE: the curve is of each piece's own time (unit theory).  TRUE: of the average so far (cumulative average). (TRUE or FALSE, FALSE if left out)")
@xw.arg("pieces_before", CellValues, doc="Pieces already made and not forgotten; a reprint after a gap starts part-way. (whole, 0 to 1e9 [pieces], 0 if left out)")
def LEARNING_MINUTES(first_minutes, pieces, curve, cumulative_average=None, pieces_before=None):
    """Minutes for all the pieces of a run that gets faster as the hands learn it. Gives: Minutes for all the pieces together, not rounded."""
    return answer("LEARNING_MINUTES", first_minutes, pieces, curve, cumulative_average, pieces_before)


@xw.func(category="Quoting: Labour")
@xw.arg("first_minutes", CellValues, doc="Minutes of the very first piece. (more than 0, up to 1e5 [minutes])")
@xw.arg("pieces", CellValues, doc="Pieces made, the first included; 2 at least. (whole, 1 to 1e9 [pieces])")
@xw.arg("total_minutes", CellValues, doc="Minutes of all of them together. (0 to 1e7 [minutes])")
@xw.arg("cumulative_average", CellValues, doc="As for LEARNING_MINUTES, and to be kept the same there. (TRUE or FALSE, FALSE if left out)")
def LEARNING_CURVE(first_minutes, pieces, total_minutes, cumulative_average=None):
    """The learning curve that a run has shown, from its first piece and its total. Gives: The curve to give to LEARNING_MINUTES, not rounded."""
    return answer("LEARNING_CURVE", first_minutes, pieces, total_minutes, cumulative_average)


@xw.func(category="Quoting: Mesh and ink")
@xw.arg("threads_per_cm", CellValues, doc="Mesh count; threads per inch / 2.54. (more than 0, up to 1000 [threads/cm])")
@xw.arg("thread_um", CellValues, doc="Diameter of the thread; less than the pitch, 10000 / threads_per_cm. (more than 0, up to 1e5 [um])")
def MESH_OPENING(threads_per_cm, thread_um):
    """Width of the openings between the threads of a screen. Gives: Opening, not rounded."""
    return answer("MESH_OPENING", threads_per_cm, thread_um)


@xw.func(category="Quoting: Mesh and ink")
@xw.arg("threads_per_cm", CellValues, doc="Mesh count; threads per inch / 2.54. (more than 0, up to 1000 [threads/cm])")
@xw.arg("thread_um", CellValues, doc="Diameter of the thread; less than the pitch, 10000 / threads_per_cm. (more than 0, up to 1e5 [um])")
def MESH_OPEN_AREA(threads_per_cm, thread_um):
    """Share of a screen's area that is open to ink. Gives: Open area, not rounded."""
    return answer("MESH_OPEN_AREA", threads_per_cm, thread_um)


@xw.func(category="Quoting: Mesh and ink")
@xw.arg("threads_per_cm", CellValues, doc="Mesh count; threads per inch / 2.54. (more than 0, up to 1000 [threads/cm])")
@xw.arg("thread_um", CellValues, doc="Diameter of the thread; less than the pitch, 10000 / threads_per_cm. (more than 0, up to 1e5 [um])")
@xw.arg("fabric_um", CellValues, doc="Thickness of the stretched fabric. (more than 0, up to 1e5 [um])")
@xw.arg("transfer_share", CellValues, doc="Share of the ink in the mesh that reaches the piece. (more than 0, up to 1 [fraction], 1 if left out)")
@xw.arg("volume_solids", CellValues, doc="Left out, the film is wet, which is what ink is used up by; given, it is the film left when the solvent has gone. (more than 0, up to 1 [fraction], 1 if left out)")
def INK_FILM(threads_per_cm, thread_um, fabric_um, transfer_share=None, volume_solids=None):
    """Thickness of the ink that a screen lays down, wet, or dry if told the ink's solids. Gives: Ink film, not rounded."""
    return answer("INK_FILM", threads_per_cm, thread_um, fabric_um, transfer_share, volume_solids)


@xw.func(category="Quoting: Mesh and ink")
@xw.arg("open_area", CellValues, doc="Share of the screen's area that is open, as measured. (more than 0, up to 1 [fraction])")
@xw.arg("fabric_um", CellValues, doc="Thickness of the stretched fabric. (more than 0, up to 1e5 [um])")
@xw.arg("transfer_share", CellValues, doc="Share of the ink in the mesh that reaches the piece. (more than 0, up to 1 [fraction], 1 if left out)")
@xw.arg("volume_solids", CellValues, doc="Left out, the film is wet, which is what ink is used up by; given, it is the film left when the solvent has gone. (more than 0, up to 1 [fraction], 1 if left out)")
def INK_FILM_MEASURED(open_area, fabric_um, transfer_share=None, volume_solids=None):
    """Thickness of the ink that a screen lays down, from the open area its weaver has measured. Gives: Ink film, not rounded."""
    return answer("INK_FILM_MEASURED", open_area, fabric_um, transfer_share, volume_solids)


@xw.func(category="Quoting: Mesh and ink")
@xw.arg("area_cm2", CellValues, doc="Area of the image, width x height. (more than 0, up to 1e7 [cm2])")
@xw.arg("coverage", CellValues, doc="Share of that area the colour covers. (more than 0, up to 1 [fraction])")
@xw.arg("film_um", CellValues, doc="Wet ink film, from INK_FILM without volume_solids. (more than 0, up to 1e5 [um])")
def INK_PER_PRINT(area_cm2, coverage, film_um):
    """Ink used by one print of one colour. Gives: Ink on one piece, not rounded; what stays in the screen is left out."""
    return answer("INK_PER_PRINT", area_cm2, coverage, film_um)


@xw.func(category="Quoting: Mesh and ink")
@xw.arg("area_cm2", CellValues, doc="Area of the image, width x height. (more than 0, up to 1e7 [cm2])")
@xw.arg("coverage", CellValues, doc="Share of that area the colour covers. (more than 0, up to 1 [fraction])")
@xw.arg("etch_um", CellValues, doc="Depth of the image in the plate. (more than 0, up to 1e5 [um])")
@xw.arg("dot_share", CellValues, doc="Share of the etched area that holds ink, the standing dots of a screened plate left out. (more than 0, up to 1 [fraction], 1 if left out)")
@xw.arg("release_share", CellValues, doc="Share of the ink in the plate that reaches the piece; about half is usual. (more than 0, up to 1 [fraction], 1 if left out)")
def PLATE_INK_PER_PRINT(area_cm2, coverage, etch_um, dot_share=None, release_share=None):
    """Ink that a pad carries from the plate to one piece, for one colour. Gives: Wet ink on one piece, not rounded."""
    return answer("PLATE_INK_PER_PRINT", area_cm2, coverage, etch_um, dot_share, release_share)


@xw.func(category="Quoting: Mesh and ink")
@xw.arg("prints", CellValues, doc="Prints of the colour, rejects included. (0 to 1e12 [impressions])")
@xw.arg("ink_per_print_ml", CellValues, doc="From INK_PER_PRINT or PLATE_INK_PER_PRINT. (0 to 1e9 [mL])")
@xw.arg("minimum_mix_ml", CellValues, doc="Least ink that can be weighed and mixed, or that fills a cup. (0 to 1e9 [mL], 0 if left out)")
@xw.arg("loss_ml", CellValues, doc="Ink of one mix lost in the screen or cup at wash-up. (0 to 1e9 [mL], 0 if left out)")
@xw.arg("run_minutes", CellValues, doc="Minutes the colour is on the press. (0 to 1e7 [minutes], 0 if left out)")
@xw.arg("pot_life_minutes", CellValues, doc="Minutes a mix stays good; for ink without a hardener, leave it out. (more than 0, up to 1e5 [minutes], no limit if left out)")
def INK_FOR_RUN(prints, ink_per_print_ml, minimum_mix_ml=None, loss_ml=None, run_minutes=None, pot_life_minutes=None):
    """Ink of one colour to mix for a run, with what is lost and what can't be mixed smaller. Gives: Ink to mix in all, not rounded."""
    return answer("INK_FOR_RUN", prints, ink_per_print_ml, minimum_mix_ml, loss_ml, run_minutes, pot_life_minutes)


@xw.func(category="Quoting: Mesh and ink")
@xw.arg("density_tint", CellValues, doc="Density of the tint; between that of the paper and that of the solid. (0 to 6)")
@xw.arg("density_solid", CellValues, doc="Density of a solid of the same ink; more than that of the paper. (0 to 6)")
@xw.arg("density_paper", CellValues, doc="Density of the bare piece or paper; leave it out where the densitometer was zeroed on it. (0 to 6, 0 if left out)")
@xw.arg("yule_nielsen", CellValues, doc="Left out, the dots look as large as light makes them; more than 1 takes out the light that spreads in the paper. (1 to 1e6, 1 if left out)")
def TONE_VALUE(density_tint, density_solid, density_paper=None, yule_nielsen=None):
    """Share of the area that the dots of a printed tint cover, from densitometer readings. Gives: Tone value, not rounded."""
    return answer("TONE_VALUE", density_tint, density_solid, density_paper, yule_nielsen)


@xw.func(category="Quoting: Mesh and ink")
@xw.arg("tone_value_print", CellValues, doc="Tone value on the piece, from TONE_VALUE. (0 to 1 [fraction])")
@xw.arg("tone_value_art", CellValues, doc="Tone value of the art, film or plate. (0 to 1 [fraction])")
def TONE_VALUE_INCREASE(tone_value_print, tone_value_art):
    """How much larger the dots of a tint print than they are on the art: dot gain. Gives: Increase in shares of the area, not of the art's tone value: 50 % that prints as 70 % has an increase of 20 %."""
    return answer("TONE_VALUE_INCREASE", tone_value_print, tone_value_art)


@xw.func(category="Quoting: Mesh and ink")
@xw.arg("tone_value", CellValues, doc="Share of the area covered. (0 to 1 [fraction])")
@xw.arg("density_solid", CellValues, doc="Density of a solid of the same ink; more than that of the paper. (0 to 6)")
@xw.arg("density_paper", CellValues, doc="Density of the bare piece or paper; leave it out where the densitometer was zeroed on it. (0 to 6, 0 if left out)")
@xw.arg("yule_nielsen", CellValues, doc="As for TONE_VALUE, and to be kept the same there. (1 to 1e6, 1 if left out)")
def TINT_DENSITY(tone_value, density_solid, density_paper=None, yule_nielsen=None):
    """Density that a tint must read for its dots to cover a stated share of the area. Gives: Density of the tint, not rounded; the inverse of TONE_VALUE."""
    return answer("TINT_DENSITY", tone_value, density_solid, density_paper, yule_nielsen)


@xw.func(category="Quoting: Mesh and ink")
@xw.arg("ruling_lines_per_cm", CellValues, doc="Rows of dots to the cm of the dot screen; lines per inch / 2.54. (more than 0, up to 1000 [lines/cm])")
@xw.arg("tone_value", CellValues, doc="Share of the area that holds ink. (more than 0, up to 1 [fraction])")
@xw.arg("dots", CellValues, doc="Square or round dots of ink, or ink all round standing dots that hold none, as a screened plate has them. (one of square, round, standing, square if left out)")
def DOT_GAP(ruling_lines_per_cm, tone_value, dots=None):
    """Widest spot without ink between the dots of a plate, which must close before they print as a solid. Gives: Diameter of the largest circle that fits where there is no ink, not rounded; ink must spread half of it from all sides."""
    return answer("DOT_GAP", ruling_lines_per_cm, tone_value, dots)


@xw.func(category="Quoting: Mesh and ink")
@xw.arg("films", CellValues, doc="For each colour and layer its dry film in um, and the share of the image it covers; blank covers all of it. (rows of film, [coverage])")
def TOTAL_FILM(films):
    """Thickness of all the ink on a piece, its colours lying over each other, on the average over the image. Gives: Film of all colours together, not rounded."""
    return answer("TOTAL_FILM", films)


@xw.func(category="Quoting: Mesh and ink")
@xw.arg("transfer_film_um", CellValues, doc="Dry film of the whole transfer, from TOTAL_FILM. (more than 0, up to 1e5 [um])")
@xw.arg("hand_film_um", CellValues, doc="Dry film of one colour printed by hand, from INK_FILM with its volume_solids. (more than 0, up to 1e5 [um])")
def HAND_COLOURS_FELT(transfer_film_um, hand_film_um):
    """How many colours printed by hand a transfer feels like under the finger. Gives: Colours by hand with the same film, not rounded."""
    return answer("HAND_COLOURS_FELT", transfer_film_um, hand_film_um)


@xw.func(category="Quoting: Shape")
@xw.arg("radius_mm", CellValues, doc="Radius of the curve. (more than 0, up to 1e6 [mm])")
@xw.arg("chord_mm", CellValues, doc="Width as seen from above; not more than the diameter. (more than 0, up to 1e6 [mm])")
def ARC_LENGTH(radius_mm, chord_mm):
    """Length along a curve that looks so wide from straight above. Gives: Length as a tape on the piece measures it, not rounded."""
    return answer("ARC_LENGTH", radius_mm, chord_mm)


@xw.func(category="Quoting: Shape")
@xw.arg("radius_mm", CellValues, doc="Radius of the curve. (more than 0, up to 1e6 [mm])")
@xw.arg("arc_mm", CellValues, doc="Length along the piece; not more than half the way round, since the rest can't be seen from there. (more than 0, up to 1e6 [mm])")
def CHORD_LENGTH(radius_mm, arc_mm):
    """Width as seen from straight above of a length laid along a curve. Gives: Width as seen from above, not rounded."""
    return answer("CHORD_LENGTH", radius_mm, arc_mm)


@xw.func(category="Quoting: Shape")
@xw.arg("radius_mm", CellValues, doc="Radius of the curve. (more than 0, up to 1e6 [mm])")
@xw.arg("chord_mm", CellValues, doc="Width as seen from above, such as the width of the image; not more than the diameter. (more than 0, up to 1e6 [mm])")
def SAGITTA(radius_mm, chord_mm):
    """How far a curve falls away from flat between the middle of a chord's width and its ends. Gives: Height of the middle over the ends, not rounded."""
    return answer("SAGITTA", radius_mm, chord_mm)


@xw.func(category="Quoting: Shape")
@xw.arg("chord_mm", CellValues, doc="Width of the straight edge, or of the gauge, laid across the curve. (more than 0, up to 1e6 [mm])")
@xw.arg("sagitta_mm", CellValues, doc="Height of the curve's middle over the ends of the chord; not more than half the chord. (more than 0, up to 1e6 [mm])")
def RADIUS_FROM_SAGITTA(chord_mm, sagitta_mm):
    """Radius of a curve measured with a straight edge: how far it falls away over a chord. Gives: Radius, not rounded."""
    return answer("RADIUS_FROM_SAGITTA", chord_mm, sagitta_mm)


@xw.func(category="Quoting: Shape")
@xw.arg("radius_mm", CellValues, doc="Radius of the curve. (more than 0, up to 1e6 [mm])")
@xw.arg("sagitta_mm", CellValues, doc="How far it may fall away, as under a flat screen; not more than the radius. (more than 0, up to 1e6 [mm])")
def CHORD_FROM_SAGITTA(radius_mm, sagitta_mm):
    """Widest image on a curve that falls away no more than so far at the image's ends. Gives: Width as seen from above, not rounded."""
    return answer("CHORD_FROM_SAGITTA", radius_mm, sagitta_mm)


@xw.func(category="Quoting: Shape")
@xw.arg("art_mm", CellValues, doc="A length on the art. (more than 0, up to 1e6 [mm])")
@xw.arg("printed_mm", CellValues, doc="The same length on the printed piece; half to twice that of the art. (more than 0, up to 1e6 [mm])")
def PRINT_GROWTH(art_mm, printed_mm):
    """How much longer a print came out than its art. Gives: Growth as a share of the art, below zero where the print shrank; not rounded."""
    return answer("PRINT_GROWTH", art_mm, printed_mm)


@xw.func(category="Quoting: Shape")
@xw.arg("growth", CellValues, doc="How much longer the print comes out than its art, from PRINT_GROWTH; below zero where it shrinks. (-0.5 to 1 [fraction])")
def ART_SCALE(growth):
    """Scale for the art of a print that grows, so that it ends at its true length. Gives: What to multiply the true length by, not rounded: 0.98 makes the art 2 % smaller."""
    return answer("ART_SCALE", growth)


@xw.func(category="Quoting: Shape")
@xw.arg("span_mm", CellValues, doc="Free mesh from frame to frame, in the direction measured. (more than 0, up to 1e6 [mm])")
@xw.arg("off_contact_mm", CellValues, doc="Gap between the mesh at rest and the piece. (0 to 1e6 [mm])")
@xw.arg("squeegee_from_edge_mm", CellValues, doc="Where the squeegee stands: its distance from the frame on one side; less than the span. (more than 0, up to 1e6 [mm], half the span if left out)")
def SCREEN_STRETCH(span_mm, off_contact_mm, squeegee_from_edge_mm=None):
    """How much a squeegee stretches the mesh in pressing it down to the piece. Gives: Mesh length gained, not rounded."""
    return answer("SCREEN_STRETCH", span_mm, off_contact_mm, squeegee_from_edge_mm)


@xw.func(category="Quoting: Shape")
@xw.arg("span_mm", CellValues, doc="Free mesh from frame to frame, in the direction measured. (more than 0, up to 1e6 [mm])")
@xw.arg("tolerance_mm", CellValues, doc="How far colours may be out of register. (more than 0, up to 1e6 [mm])")
@xw.arg("squeegee_from_edge_mm", CellValues, doc="Where the squeegee stands at the end of its stroke: its distance from the frame; less than the span. (more than 0, up to 1e6 [mm], half the span if left out)")
def OFF_CONTACT_ALLOWED(span_mm, tolerance_mm, squeegee_from_edge_mm=None):
    """Greatest off-contact that stretches the mesh by no more than a register tolerance. Gives: Off-contact, not rounded; the inverse of SCREEN_STRETCH."""
    return answer("OFF_CONTACT_ALLOWED", span_mm, tolerance_mm, squeegee_from_edge_mm)


@xw.func(category="Quoting: Shape")
@xw.arg("chord_mm", CellValues, doc="Width of the image round the curve, as seen from above; not more than either diameter. (more than 0, up to 1e6 [mm])")
@xw.arg("radius_item_mm", CellValues, doc="Radius of the piece. (more than 0, up to 1e6 [mm])")
@xw.arg("radius_frame_mm", CellValues, doc="Radius of a frame bent to follow the piece. (more than 0, up to 1e6 [mm], a flat frame if left out)")
def OFF_CONTACT_SPREAD(chord_mm, radius_item_mm, radius_frame_mm=None):
    """How much the off-contact differs between the middle and the ends of an image on a curve. Gives: Difference of the gap, not rounded; never below zero, whichever end is closer."""
    return answer("OFF_CONTACT_SPREAD", chord_mm, radius_item_mm, radius_frame_mm)


@xw.func(category="Quoting: Rejects")
@xw.arg("yield_per_colour", CellValues, doc="Share of the pieces entering a colour that leave it good. (more than 0, up to 1 [fraction])")
@xw.arg("colours", CellValues, doc="Colours printed one after another. (whole, 1 to 24 [colours])")
def ROLLED_YIELD(yield_per_colour, colours):
    """Share of the pieces started that come through all colours good. Gives: Yield of the design, not rounded."""
    return answer("ROLLED_YIELD", yield_per_colour, colours)


@xw.func(category="Quoting: Rejects")
@xw.arg("step_yields", CellValues, doc="A row or column of cells, one yield for each step; blank cells are passed over. (rows of yield, then any number of yield)")
def YIELD_OF_STEPS(step_yields):
    """Share of the pieces started that come through steps of different yields. Gives: Yield of all the steps, not rounded."""
    return answer("YIELD_OF_STEPS", step_yields)


@xw.func(category="Quoting: Rejects")
@xw.arg("yield_per_colour", CellValues, doc="Yield of one person who keeps the register from the first colour to the last. (more than 0, up to 1 [fraction])")
@xw.arg("crew", CellValues, doc="People who share the work. (more than 0, up to 100 [people])")
@xw.arg("rejects_per_extra", CellValues, doc="Share of the pieces that each person beyond the first spoils, by holding or setting a little differently. (0 or more, less than 1 [fraction])")
def CREW_YIELD(yield_per_colour, crew, rejects_per_extra):
    """Yield of a colour when several people take turns at it. Gives: Yield to use for yield_per_colour, not rounded."""
    return answer("CREW_YIELD", yield_per_colour, crew, rejects_per_extra)


@xw.func(category="Quoting: Rejects")
@xw.arg("good_pieces", CellValues, doc="Good pieces promised. (whole, 1 to 1e9 [pieces])")
@xw.arg("yield_per_colour", CellValues, doc="Share of the pieces entering a colour that leave it good. (more than 0, up to 1 [fraction])")
@xw.arg("colours", CellValues, doc="Colours printed one after another. (whole, 1 to 24 [colours])")
@xw.arg("confidence", CellValues, doc="Chance of having enough good pieces, such as 0.95; on the average, the chance is little better than even. (more than 0, less than 1 [fraction], on the average if left out)")
def PIECES_TO_START(good_pieces, yield_per_colour, colours, confidence=None):
    """Whole pieces to start so that enough come through good, on the average or with a stated chance. Gives: Pieces to start, a whole number."""
    return answer("PIECES_TO_START", good_pieces, yield_per_colour, colours, confidence)


@xw.func(category="Quoting: Rejects")
@xw.arg("item_cost", CellValues, doc="What is in a piece before its first colour: the blank and its preparation. (0 to 1e12 [currency])")
@xw.arg("cost_per_colour", CellValues, doc="Labour and ink of one colour on one piece. (0 to 1e12 [currency])")
@xw.arg("yield_per_colour", CellValues, doc="Share of the pieces entering a colour that leave it good; the others are found there and go no further. (more than 0, up to 1 [fraction])")
@xw.arg("colours", CellValues, doc="Colours printed one after another. (whole, 1 to 24 [colours])")
@xw.arg("salvage", CellValues, doc="What a reject still fetches: as a second, or as a blank once stripped, less the stripping. (0 to 1e12 [currency], 0 if left out)")
def REJECT_COST(item_cost, cost_per_colour, yield_per_colour, colours, salvage=None):
    """What the rejects of a run add to the cost of each good piece. Gives: Cost of rejects per good piece, not rounded; below zero where a reject fetches more than was put into it."""
    return answer("REJECT_COST", item_cost, cost_per_colour, yield_per_colour, colours, salvage)


@xw.func(category="Quoting: Rejects")
@xw.arg("item_cost", CellValues, doc="What is in a piece before its first step: the blank and its preparation. (0 to 1e12 [currency])")
@xw.arg("steps", CellValues, doc="For each step in order what it puts into a piece, and the share of the pieces entering it that leave it good; the others are found there and go no further. (rows of cost, yield)")
@xw.arg("salvage", CellValues, doc="What a reject still fetches: as a second, or as a blank once stripped, less the stripping. (0 to 1e12 [currency], 0 if left out)")
@xw.arg("at_step", CellValues, doc="The number of one step, for what is lost by the rejects found there alone. (whole, 1 to 1000, all steps if left out)")
def REJECT_COST_OF_STEPS(item_cost, steps, salvage=None, at_step=None):
    """What the rejects of steps of different cost and yield add to each good piece, in all or by the step that finds them. Gives: Money lost per good piece, not rounded; below zero where a reject fetches more than was put into it."""
    return answer("REJECT_COST_OF_STEPS", item_cost, steps, salvage, at_step)


@xw.func(category="Quoting: Rejects")
@xw.arg("transfer_cost", CellValues, doc="One transfer of the order, good or bad. (0 to 1e12 [currency])")
@xw.arg("spoiled_share", CellValues, doc="Share of the transfers found bad, or spoiled in cutting and handling, before pressing. (0 or more, less than 1 [fraction])")
@xw.arg("press_yield", CellValues, doc="Share of the pressed pieces that are good. (more than 0, up to 1 [fraction], 1 if left out)")
def SPOILED_BEFORE_PRESSING(transfer_cost, spoiled_share, press_yield=None):
    """What transfers found bad before pressing add to each good piece: a transfer each time. Gives: Money lost per good piece, not rounded."""
    return answer("SPOILED_BEFORE_PRESSING", transfer_cost, spoiled_share, press_yield)


@xw.func(category="Quoting: Rejects")
@xw.arg("transfer_cost", CellValues, doc="One transfer of the order, good or bad. (0 to 1e12 [currency])")
@xw.arg("pressing_cost", CellValues, doc="Labour and machine to press one piece. (0 to 1e12 [currency])")
@xw.arg("item_cost", CellValues, doc="What a spoiled piece loses: the blank and the work in it, less what it still fetches. (0 to 1e12 [currency])")
@xw.arg("press_yield", CellValues, doc="Share of the pressed pieces that are good. (more than 0, up to 1 [fraction])")
def SPOILED_AFTER_PRESSING(transfer_cost, pressing_cost, item_cost, press_yield):
    """What pieces found bad after pressing add to each good piece: blank, transfer and labour each time. Gives: Money lost per good piece, not rounded."""
    return answer("SPOILED_AFTER_PRESSING", transfer_cost, pressing_cost, item_cost, press_yield)


@xw.func(category="Quoting: Transfers")
@xw.arg("sheet_w_mm", CellValues, doc="Width of the sheet, along the edge that the press grips. (more than 0, up to 1e6 [mm])")
@xw.arg("sheet_h_mm", CellValues, doc="Height of the sheet. (more than 0, up to 1e6 [mm])")
@xw.arg("image_w_mm", CellValues, doc="Width of one image, bleed included. (more than 0, up to 1e6 [mm])")
@xw.arg("image_h_mm", CellValues, doc="Height of one image, bleed included. (more than 0, up to 1e6 [mm])")
@xw.arg("gutter_mm", CellValues, doc="Gap between neighbouring images, for cutting. (0 to 1e6 [mm], 0 if left out)")
@xw.arg("margin_mm", CellValues, doc="Unprinted edge on all four sides. (0 to 1e6 [mm], 0 if left out)")
@xw.arg("gripper_mm", CellValues, doc="Further unprinted edge, beyond the margin, where the press grips the sheet. (0 to 1e6 [mm], 0 if left out)")
@xw.arg("turned", CellValues, doc="TRUE lets images be turned by a quarter, all or some; FALSE keeps them upright. (TRUE or FALSE, TRUE if left out)")
@xw.arg("straight_cuts", CellValues, doc="TRUE keeps to layouts that a guillotine takes apart by cuts from edge to edge; FALSE also tries others. (TRUE or FALSE, FALSE if left out)")
def UP_PER_SHEET(sheet_w_mm, sheet_h_mm, image_w_mm, image_h_mm, gutter_mm=None, margin_mm=None, gripper_mm=None, turned=None, straight_cuts=None):
    """Images that fit on a sheet, laid one way round or both, whichever holds more. Gives: Images on one sheet, never fewer than the better of the two plain grids."""
    return answer("UP_PER_SHEET", sheet_w_mm, sheet_h_mm, image_w_mm, image_h_mm, gutter_mm, margin_mm, gripper_mm, turned, straight_cuts)


@xw.func(category="Quoting: Transfers")
@xw.arg("transfers", CellValues, doc="Good transfers needed. (whole, 1 to 1e9 [pieces])")
@xw.arg("up_per_sheet", CellValues, doc="Images on one sheet, from UP_PER_SHEET. (whole, 1 to 1e5 [images])")
@xw.arg("overs_per_pass", CellValues, doc="Sheets spoiled in getting one pass ready. (whole, 0 to 1e9, 0 if left out)")
@xw.arg("passes", CellValues, doc="Times each sheet goes through the press, from TRANSFER_PASSES. (whole, 1 to 1000 [passes], 1 if left out)")
@xw.arg("running_waste", CellValues, doc="Share of the sheets that are spoiled while the press runs, over all passes. (0 or more, less than 1 [fraction], 0 if left out)")
def SHEETS_FOR(transfers, up_per_sheet, overs_per_pass=None, passes=None, running_waste=None):
    """Whole sheets to print for a number of good transfers. Gives: Sheets to start, a whole number."""
    return answer("SHEETS_FOR", transfers, up_per_sheet, overs_per_pass, passes, running_waste)


@xw.func(category="Quoting: Transfers")
@xw.arg("colours", CellValues, doc="Colours of the design, white backing left out. (whole, 1 to 24 [colours])")
@xw.arg("white_layers", CellValues, doc="Passes of white behind the colours, so that they cover a dark piece. (whole, 0 to 1e9, 1 if left out)")
@xw.arg("adhesive_layers", CellValues, doc="Passes of the adhesive that heat softens, last of all. (whole, 0 to 1e9, 1 if left out)")
def TRANSFER_PASSES(colours, white_layers=None, adhesive_layers=None):
    """Times a sheet of transfers goes through the press. Gives: Passes of the press, a whole number."""
    return answer("TRANSFER_PASSES", colours, white_layers, adhesive_layers)


@xw.func(category="Quoting: Transfers")
@xw.arg("order_cost", CellValues, doc="The whole order: bought in, with surcharges and freight, or printed here. (more than 0, up to 1e12 [currency])")
@xw.arg("transfers", CellValues, doc="Transfers in the order. (whole, 1 to 1e9 [pieces])")
@xw.arg("waste_share", CellValues, doc="Share of them found bad, or spoiled in cutting and handling, before pressing. (0 or more, less than 1 [fraction], 0 if left out)")
@xw.arg("never_pressed", CellValues, doc="Good transfers that will still lie in the drawer when the design is given up. (whole, 0 to 1e9 [pieces], 0 if left out)")
def TRANSFER_PRICE(order_cost, transfers, waste_share=None, never_pressed=None):
    """What one transfer costs that is really pressed, out of an order. Gives: Price of a transfer for TRANSFER_UNIT_COST, not rounded."""
    return answer("TRANSFER_PRICE", order_cost, transfers, waste_share, never_pressed)


@xw.func(category="Quoting: Transfers")
@xw.arg("transfer_price", CellValues, doc="One transfer, cut and ready; TRANSFER_PRICE gives it from an order. (0 to 1e12 [currency])")
@xw.arg("press_pieces_per_hour", CellValues, doc="Pieces pressed in an hour by the whole crew, good or not. (more than 0, up to 1e6 [pieces/hour])")
@xw.arg("hourly_rate", CellValues, doc="One person for an hour, with burden. (more than 0, up to 1e6 [currency/hour])")
@xw.arg("crew", CellValues, doc="People at the press. (more than 0, up to 100 [people], 1 if left out)")
@xw.arg("press_yield", CellValues, doc="Share of the pressed pieces that are good. (more than 0, up to 1 [fraction], 1 if left out)")
@xw.arg("warmup_minutes", CellValues, doc="Minutes of the crew to heat and set up the press, once each session. (0 to 1e7 [minutes], 0 if left out)")
@xw.arg("pieces_per_session", CellValues, doc="Good pieces of one session, as they sell; needed where there is warm-up. (whole, 1 to 1e9 [pieces], none if left out)")
@xw.arg("item_cost", CellValues, doc="What a spoiled piece loses: the blank and the work in it, less what it still fetches. (0 to 1e12 [currency], 0 if left out)")
def TRANSFER_UNIT_COST(transfer_price, press_pieces_per_hour, hourly_rate, crew=None, press_yield=None, warmup_minutes=None, pieces_per_session=None, item_cost=None):
    """Cost of decorating one good piece with a transfer that is at hand. Gives: Cost per good piece, the good piece's own blank left out; not rounded."""
    return answer("TRANSFER_UNIT_COST", transfer_price, press_pieces_per_hour, hourly_rate, crew, press_yield, warmup_minutes, pieces_per_session, item_cost)


@xw.func(category="Quoting: Transfers")
@xw.arg("good_pieces", CellValues, doc="Good pieces wanted. (whole, 1 to 1e9 [pieces])")
@xw.arg("press_pieces_per_hour", CellValues, doc="Pieces pressed in an hour by the whole crew, good or not. (more than 0, up to 1e6 [pieces/hour])")
@xw.arg("press_yield", CellValues, doc="Share of the pressed pieces that are good. (more than 0, up to 1 [fraction], 1 if left out)")
@xw.arg("warmup_minutes", CellValues, doc="Minutes to heat and set up the press, once each session. (0 to 1e7 [minutes], 0 if left out)")
@xw.arg("pieces_per_session", CellValues, doc="Good pieces of one session, as they sell. (whole, 1 to 1e9 [pieces], no limit if left out)")
def PRESSING_MINUTES(good_pieces, press_pieces_per_hour, press_yield=None, warmup_minutes=None, pieces_per_session=None):
    """Minutes to press transfers onto a number of good pieces, in as many sessions as it takes. Gives: Minutes of the press and its crew, not rounded."""
    return answer("PRESSING_MINUTES", good_pieces, press_pieces_per_hour, press_yield, warmup_minutes, pieces_per_session)


@xw.func(category="Quoting: Buying")
@xw.arg("quantity", CellValues, doc="Units ordered, in the unit of the breaks. (more than 0, up to 1e12 [units])")
@xw.arg("breaks", CellValues, doc="One row for each price: the quantity from which it holds, and the price of one unit. (rows of from quantity, price; from quantity growing from row to row)")
def PRICE_AT(quantity, breaks):
    """Price of each unit at the quantity ordered, the same price for the whole order. Gives: Price of one unit, as it stands in the breaks."""
    return answer("PRICE_AT", quantity, breaks)


@xw.func(category="Quoting: Buying")
@xw.arg("quantity", CellValues, doc="Units wanted, in the unit of the breaks. (more than 0, up to 1e12 [units])")
@xw.arg("breaks", CellValues, doc="One row for each price: the quantity from which it holds, and the price of one unit. (rows of from quantity, price; from quantity growing from row to row)")
@xw.arg("incremental", CellValues, doc="FALSE charges the price reached for the whole order; TRUE charges each price only for the units between its own from-quantity and the next. (TRUE or FALSE, FALSE if left out)")
@xw.arg("minimum_order", CellValues, doc="Units paid for at least, however few are wanted. (0 to 1e12 [units], 0 if left out)")
def BUY_COST(quantity, breaks, incremental=None, minimum_order=None):
    """Cost of buying a quantity at a list of price breaks. Gives: Cost of the order, not rounded."""
    return answer("BUY_COST", quantity, breaks, incremental, minimum_order)


@xw.func(category="Quoting: Buying")
@xw.arg("quantity", CellValues, doc="Units wanted, in the unit of the breaks. (more than 0, up to 1e12 [units])")
@xw.arg("breaks", CellValues, doc="One row for each price: the quantity from which it holds, and the price of one unit. (rows of from quantity, price; from quantity growing from row to row)")
@xw.arg("incremental", CellValues, doc="FALSE where the price reached holds for the whole order; TRUE where each price holds only for its own stretch, and ordering more never costs less. (TRUE or FALSE, FALSE if left out)")
@xw.arg("minimum_order", CellValues, doc="Units the supplier sells at least. (0 to 1e12 [units], 0 if left out)")
def CHEAPER_ORDER(quantity, breaks, incremental=None, minimum_order=None):
    """Quantity to order, at least the quantity wanted, that costs the least in total. Gives: Units to order; of orders that cost the same, the smallest."""
    return answer("CHEAPER_ORDER", quantity, breaks, incremental, minimum_order)


@xw.func(category="Quoting: Buying")
@xw.arg("code", CellValues, doc="Code of the material in the price list; capitals make no difference. (text, not blank)")
@xw.arg("quantity", CellValues, doc="Units ordered, in the unit of the price list; 0 for what is taken from stock, at the price that begins at 0. (0 to 1e12 [units])")
@xw.arg("day", CellValues, doc="Day of the order. (a date from 1990 to 2199)")
@xw.arg("price_rows", CellValues, doc="Rows of the price list; first and last day included, a blank last day for a price that still holds. (rows of code, from quantity, unit price, valid from, [valid to])")
def PRICE_ON(code, quantity, day, price_rows):
    """Price of one unit that a price list gives for a code on a day, at the quantity ordered. Gives: Price of one unit, as it stands in the list."""
    return answer("PRICE_ON", code, quantity, day, price_rows)


@xw.func(category="Quoting: Buying")
@xw.arg("code", CellValues, doc="Code of the material in the price list; capitals make no difference. (text, not blank)")
@xw.arg("quantity", CellValues, doc="Units ordered, in the unit of the price list; below the first from-quantity, the row where the prices begin. (0 to 1e12 [units])")
@xw.arg("day", CellValues, doc="Day of the order. (a date from 1990 to 2199)")
@xw.arg("price_rows", CellValues, doc="Rows of the price list, as for PRICE_ON. (rows of code, from quantity, unit price, valid from, [valid to])")
def PRICE_ROW(code, quantity, day, price_rows):
    """Row of the price list that a price comes from, counted from 1 within the list. Gives: The first row of the list is 1; rows blank throughout do not count."""
    return answer("PRICE_ROW", code, quantity, day, price_rows)


@xw.func(category="Quoting: Buying")
@xw.arg("code", CellValues, doc="Code of the material in the price list; capitals make no difference. (text, not blank)")
@xw.arg("day", CellValues, doc="Day of the order. (a date from 1990 to 2199)")
@xw.arg("price_rows", CellValues, doc="Rows of the price list; first and last day included, a blank last day for a price that still holds. (rows of code, from quantity, unit price, valid from, [valid to])")
@xw.arg("bands", CellValues, doc="Price bands there is room for; the row has one cell for the first price and two for each further band. (whole, 1 to 50 [bands])")
def PRICE_BREAKS(code, day, price_rows, bands):
    """Price breaks that a price list gives for a code on a day, as one row of cells."""
    return answer("PRICE_BREAKS", code, day, price_rows, bands)


@xw.func(category="Quoting: Break-even")
@xw.arg("setup_a", CellValues, doc="Setup cost of route a, the one that is cheaper for short runs. (0 to 1e12 [currency])")
@xw.arg("unit_a", CellValues, doc="Cost of each further piece by route a. (0 to 1e12 [currency])")
@xw.arg("setup_b", CellValues, doc="Setup cost of route b, the one it is compared with. (0 to 1e12 [currency])")
@xw.arg("unit_b", CellValues, doc="Cost of each further piece by route b. (0 to 1e12 [currency])")
def BREAK_EVEN_RUN(setup_a, unit_a, setup_b, unit_b):
    """Smallest run at which route b costs no more than route a, and from which it stays so. Gives: Whole good pieces, 1 where b is never dearer."""
    return answer("BREAK_EVEN_RUN", setup_a, unit_a, setup_b, unit_b)


@xw.func(category="Quoting: Break-even")
@xw.arg("fixed_cost", CellValues, doc="What has to be earned back: setup, artwork, a machine. (0 to 1e12 [currency])")
@xw.arg("price", CellValues, doc="Selling price of a piece. (more than 0, up to 1e12 [currency])")
@xw.arg("unit_cost", CellValues, doc="Cost of each further piece. (0 to 1e12 [currency])")
def BREAK_EVEN_VOLUME(fixed_cost, price, unit_cost):
    """Smallest number of pieces whose sales cover the fixed cost and their own. Gives: Whole pieces to sell; 0 where there is nothing to earn back."""
    return answer("BREAK_EVEN_VOLUME", fixed_cost, price, unit_cost)


@xw.func(category="Quoting: Break-even")
@xw.arg("good_pieces", CellValues, doc="Good pieces made and expected to sell. (whole, 1 to 1e9 [pieces])")
@xw.arg("break_even_pieces", CellValues, doc="Pieces at which the cost is just covered, from BREAK_EVEN_VOLUME. (0 to 1e9 [pieces])")
def MARGIN_OF_SAFETY(good_pieces, break_even_pieces):
    """Share of the pieces that may go unsold before a loss begins. Gives: Share of good_pieces above break-even; negative where they fall short of it."""
    return answer("MARGIN_OF_SAFETY", good_pieces, break_even_pieces)


@xw.func(category="Quoting: Break-even")
@xw.arg("fixed_cost", CellValues, doc="What the pieces have to earn back: setup, artwork, a machine. (0 to 1e12 [currency])")
@xw.arg("unit_cost", CellValues, doc="Cost of each further piece. (0 to 1e12 [currency])")
@xw.arg("good_pieces", CellValues, doc="Good pieces that will be sold. (whole, 1 to 1e9 [pieces])")
def BREAK_EVEN_PRICE(fixed_cost, unit_cost, good_pieces):
    """Price at which a number of pieces just covers its cost. Gives: Price of a piece, not rounded."""
    return answer("BREAK_EVEN_PRICE", fixed_cost, unit_cost, good_pieces)


@xw.func(category="Quoting: Cost curve")
@xw.arg("good_pieces", CellValues, doc="Good pieces of the run, rejects left out. (whole, 1 to 1e9 [pieces])")
@xw.arg("once", CellValues, doc="Units used whatever the run: minutes of make-ready, screens, overs.  Negative where that many come free. (-1e12 to 1e12 [units], 0 if left out)")
@xw.arg("per_step", CellValues, doc="Units used for each step of the run. (0 to 1e12 [units], 0 if left out)")
@xw.arg("every", CellValues, doc="Good pieces that one step covers, rounded up to whole steps: the yield for pieces started, the transfers on a sheet, the life of a tool.  0 or blank for one step a piece, without rounding. (0 to 1e12 [units], 0 if left out)")
@xw.arg("at_least", CellValues, doc="Least that is used or paid for: a minimum mix of ink, a minimum order. (0 to 1e12 [units], 0 if left out)")
@xw.arg("rates", CellValues, doc="The rate and its price breaks, where a larger order at a better rate may cost less and is then bought. (rows of rate, then any number of from quantity and rate, none if left out)")
def LINE_QUANTITY(good_pieces, once=None, per_step=None, every=None, at_least=None, rates=None):
    """Units of its driver that one cost line uses up in a run, or that are paid for. Gives: The larger of at_least and once + per_step x steps, or the larger order that costs less."""
    return answer("LINE_QUANTITY", good_pieces, once, per_step, every, at_least, rates)


@xw.func(category="Quoting: Cost curve")
@xw.arg("good_pieces", CellValues, doc="Good pieces of the run, rejects left out. (whole, 1 to 1e9 [pieces])")
@xw.arg("lines", CellValues, doc="The cost lines of the route: the columns of LINE_QUANTITY and the rate, then pairs of a quantity and the rate from there on, for price breaks. (rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate)")
def RUN_COST(good_pieces, lines):
    """Cost of a whole run, read from the lines of a route. Gives: Sum of all lines, not rounded."""
    return answer("RUN_COST", good_pieces, lines)


@xw.func(category="Quoting: Cost curve")
@xw.arg("good_pieces", CellValues, doc="Good pieces of the run, rejects left out. (whole, 1 to 1e9 [pieces])")
@xw.arg("lines", CellValues, doc="The cost lines of the route, as for RUN_COST. (rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate)")
def UNIT_COST(good_pieces, lines):
    """Cost of one good piece of a run, read from the lines of a route. Gives: Run cost over good pieces, not rounded."""
    return answer("UNIT_COST", good_pieces, lines)


@xw.func(category="Quoting: Cost curve")
@xw.arg("lines_a", CellValues, doc="The cost lines of the route that is cheaper for short runs. (rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate)")
@xw.arg("lines_b", CellValues, doc="The cost lines of the route it is compared with. (rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate)")
@xw.arg("longest_run", CellValues, doc="Run size up to which it must stay so. (whole, 1 to 1e9 [pieces], 1e6 if left out)")
def CHANGE_OVER_RUN(lines_a, lines_b, longest_run=None):
    """Smallest run at which route b costs no more than route a, and from which it stays so. Gives: Whole good pieces; steps and price breaks are taken exactly."""
    return answer("CHANGE_OVER_RUN", lines_a, lines_b, longest_run)


@xw.func(category="Quoting: Cost curve")
@xw.arg("price", CellValues, doc="Price of one good piece. (more than 0, up to 1e12 [currency])")
@xw.arg("lines", CellValues, doc="The cost lines of the route, as for RUN_COST. (rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate)")
@xw.arg("longest_run", CellValues, doc="Run size up to which it must stay so. (whole, 1 to 1e9 [pieces], 1e6 if left out)")
def PAYING_RUN(price, lines, longest_run=None):
    """Smallest run that pays at a price: from it on, what the pieces fetch covers what the run costs. Gives: Whole good pieces; steps and price breaks are taken exactly."""
    return answer("PAYING_RUN", price, lines, longest_run)


@xw.func(category="Quoting: Price")
@xw.arg("cost", CellValues, doc="Cost of the piece, run or line. (0 to 1e12 [currency])")
@xw.arg("margin", CellValues, doc="Share of the price to be left over the cost. (0 or more, less than 1 [fraction])")
def MARGIN_PRICE(cost, margin):
    """Price that leaves a margin, a share of the price itself. Gives: Price, not rounded."""
    return answer("MARGIN_PRICE", cost, margin)


@xw.func(category="Quoting: Price")
@xw.arg("cost", CellValues, doc="Cost of the piece, run or line. (0 to 1e12 [currency])")
@xw.arg("markup", CellValues, doc="Share of the cost that is added. (0 to 100 [fraction])")
def MARKUP_PRICE(cost, markup):
    """Price with a markup, a share of the cost put on top of it. Gives: Price, not rounded."""
    return answer("MARKUP_PRICE", cost, markup)


@xw.func(category="Quoting: Price")
@xw.arg("markup", CellValues, doc="Share of the cost that is added. (0 to 100 [fraction])")
def MARGIN_OF_MARKUP(markup):
    """Margin that a markup leaves. Gives: Share of the price left over the cost."""
    return answer("MARGIN_OF_MARKUP", markup)


@xw.func(category="Quoting: Price")
@xw.arg("margin", CellValues, doc="Share of the price to be left over the cost. (0 or more, less than 1 [fraction])")
def MARKUP_OF_MARGIN(margin):
    """Markup that leaves a margin. Gives: Share of the cost to be added."""
    return answer("MARKUP_OF_MARGIN", margin)


@xw.func(category="Quoting: Price")
@xw.arg("price", CellValues, doc="Price, line total or discount to be rounded. (-1e12 to 1e12 [currency])")
@xw.arg("price_step", CellValues, doc="Smallest step a price may take: 0.01, 0.05, 1. (more than 0, up to 1e12 [currency])")
@xw.arg("direction", CellValues, doc="Up is away from zero and down towards it, so that a discount of 1.25 rounds like a price of 1.25. (one of nearest, up, down, nearest if left out)")
def ROUND_PRICE(price, price_step, direction=None):
    """Price rounded to whole steps, as on paper: a half goes up. Gives: Price, rounded to price_step."""
    return answer("ROUND_PRICE", price, price_step, direction)


@xw.func(category="Quoting: Charges")
@xw.arg("good_pieces", CellValues, doc="Good pieces of the run, rejects left out. (whole, 1 to 1e9 [pieces])")
@xw.arg("lines", CellValues, doc="The cost lines of the route, as for RUN_COST. (rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate)")
@xw.arg("term_names", CellValues, doc="Names of the terms of price, as in the column Name in formulas of the sheet Price. (a range of cells)")
@xw.arg("term_values", CellValues, doc="Values of the terms of price, beside their names. (a range of cells)")
def QUOTE_LINES(good_pieces, lines, term_names, term_values):
    """Lines of a quote: goods, set-up, discount, to the minimum, rush, net, tax and total, adding up to the cent. Gives: Eight rows in this order: label, quantity or share, price or amount it is taken of, amount. A line that comes to nothing has 0."""
    return answer("QUOTE_LINES", good_pieces, lines, term_names, term_values)


@xw.func(category="Quoting: Charges")
@xw.arg("good_pieces", CellValues, doc="Good pieces of the run, rejects left out. (whole, 1 to 1e9 [pieces])")
@xw.arg("lines", CellValues, doc="The cost lines of the route, as for RUN_COST. (rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate)")
@xw.arg("term_names", CellValues, doc="Names of the terms of price, as in the column Name in formulas of the sheet Price. (a range of cells)")
@xw.arg("term_values", CellValues, doc="Values of the terms of price, beside their names. (a range of cells)")
def CUSTOMER_LINES(good_pieces, lines, term_names, term_values):
    """Lines of a quote as the customer sees them: those that come to something, then net, tax and total. Gives: Eight rows: description, quantity, unit price, amount; blank rows at the end. No cost is among them."""
    return answer("CUSTOMER_LINES", good_pieces, lines, term_names, term_values)


@xw.func(category="Quoting: Charges")
@xw.arg("runs", CellValues, doc="Run sizes, in a column or a row: good pieces, whole. (a range of cells)")
@xw.arg("lines", CellValues, doc="The cost lines of the route, as for RUN_COST. (rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate)")
@xw.arg("term_names", CellValues, doc="Names of the terms of price, as in the column Name in formulas of the sheet Price. (a range of cells)")
@xw.arg("term_values", CellValues, doc="Values of the terms of price, beside their names. (a range of cells)")
def PRICE_LADDER(runs, lines, term_names, term_values):
    """Prices at a column of run sizes: for each the unit price, set-up, net, tax, total, and what is left over the cost."""
    return answer("PRICE_LADDER", runs, lines, term_names, term_values)


@xw.func(category="Quoting: Charges")
@xw.arg("run_cost", CellValues, doc="Cost of the whole run. (-1e12 to 1e12 [currency])")
@xw.arg("spent_anyway", CellValues, doc="The part of it that is spent without the job too: the hours of machines that would stand idle. (0 to 1e12 [currency])")
@xw.arg("good_pieces", CellValues, doc="Good pieces of the run. (whole, 1 to 1e9 [pieces])")
@xw.arg("commission", CellValues, doc="Share of the price that goes to whoever sold it. (0 or more, less than 1 [fraction], 0 if left out)")
def FLOOR_PRICE(run_cost, spent_anyway, good_pieces, commission=None):
    """Lowest price of a good piece at which taking the job leaves no less money than not taking it. Gives: The price at which the contribution is zero, not rounded. For the shop's eyes only."""
    return answer("FLOOR_PRICE", run_cost, spent_anyway, good_pieces, commission)


@xw.func(category="Quoting: Choice")
@xw.arg("colours", CellValues, doc="Numbers of colours, in a column or a row. (a range of cells)")
@xw.arg("runs", CellValues, doc="Run sizes, in a column or a row. (a range of cells)")
@xw.arg("job_names", CellValues, doc="Names of the job's inputs, as in the column Name of the sheet Job. (a range of cells)")
@xw.arg("job_values", CellValues, doc="Values of the job's inputs, beside their names. (a range of cells)")
@xw.arg("rate_names", CellValues, doc="Names of the shop's rates. (a range of cells)")
@xw.arg("rate_values", CellValues, doc="Values of the shop's rates, beside their names. (a range of cells)")
@xw.arg("price_rows", CellValues, doc="Rows of the price list, as for PRICE_ON. (rows of code, from quantity, unit price, valid from, [valid to])")
@xw.arg("figure", CellValues, doc="cheapest: the name of the route.  cost: its cost of a good piece.  next: how much more the next cheapest costs. (one of cheapest, cost, next, cheapest if left out)")
def ROUTE_MAP(colours, runs, job_names, job_values, rate_names, rate_values, price_rows, figure=None):
    """Cheapest route for each number of colours (down) and each run size (across), or what a wrong choice would cost. Gives: One row for each number of colours, one column for each run size."""
    return answer("ROUTE_MAP", colours, runs, job_names, job_values, rate_names, rate_values, price_rows, figure)


@xw.func(category="Quoting: Choice")
@xw.arg("route_a", CellValues, doc="The route that is cheaper for few colours. (one of hand, transfer, bought, over, pad)")
@xw.arg("route_b", CellValues, doc="The route it is compared with. (one of hand, transfer, bought, over, pad)")
@xw.arg("good_pieces", CellValues, doc="Good pieces of the run, rejects left out. (whole, 1 to 1e9 [pieces])")
@xw.arg("job_names", CellValues, doc="Names of the job's inputs. (a range of cells)")
@xw.arg("job_values", CellValues, doc="Values of the job's inputs, beside their names. (a range of cells)")
@xw.arg("rate_names", CellValues, doc="Names of the shop's rates. (a range of cells)")
@xw.arg("rate_values", CellValues, doc="Values of the shop's rates, beside their names. (a range of cells)")
@xw.arg("price_rows", CellValues, doc="Rows of the price list, as for PRICE_ON. (rows of code, from quantity, unit price, valid from, [valid to])")
def BREAK_EVEN_COLOURS(route_a, route_b, good_pieces, job_names, job_values, rate_names, rate_values, price_rows):
    """Smallest number of colours at which route b costs no more than route a in a run, and from which it stays so. Gives: Up to 12 colours are looked at."""
    return answer("BREAK_EVEN_COLOURS", route_a, route_b, good_pieces, job_names, job_values, rate_names, rate_values, price_rows)


@xw.func(category="Quoting: Choice")
@xw.arg("route_a", CellValues, doc="The route that is cheaper for short runs. (one of hand, transfer, bought, over, pad)")
@xw.arg("route_b", CellValues, doc="The route it is compared with. (one of hand, transfer, bought, over, pad)")
@xw.arg("job_names", CellValues, doc="Names of the job's inputs. (a range of cells)")
@xw.arg("job_values", CellValues, doc="Values of the job's inputs, beside their names. (a range of cells)")
@xw.arg("rate_names", CellValues, doc="Names of the shop's rates. (a range of cells)")
@xw.arg("rate_values", CellValues, doc="Values of the shop's rates, beside their names. (a range of cells)")
@xw.arg("price_rows", CellValues, doc="Rows of the price list, as for PRICE_ON. (rows of code, from quantity, unit price, valid from, [valid to])")
@xw.arg("share", CellValues, doc="How much less and more each input is taken. (more than 0, up to 1 [fraction], 0.1 if left out)")
@xw.arg("rows", CellValues, doc="Rows of the table: the strongest so many inputs. (whole, 1 to 1000 [rows], 10 if left out)")
def CHANGE_OVER_TABLE(route_a, route_b, job_names, job_values, rate_names, rate_values, price_rows, share=None, rows=None):
    """The inputs that move the change-over run from route a to route b most, and how far."""
    return answer("CHANGE_OVER_TABLE", route_a, route_b, job_names, job_values, rate_names, rate_values, price_rows, share, rows)


@xw.func(category="Quoting: Choice")
@xw.arg("job_names", CellValues, doc="Names of the job's inputs. (a range of cells)")
@xw.arg("job_values", CellValues, doc="Values of the job's inputs, beside their names. (a range of cells)")
@xw.arg("rate_names", CellValues, doc="Names of the shop's rates. (a range of cells)")
@xw.arg("rate_values", CellValues, doc="Values of the shop's rates, beside their names. (a range of cells)")
@xw.arg("price_rows", CellValues, doc="Rows of the price list, as for PRICE_ON. (rows of code, from quantity, unit price, valid from, [valid to])")
@xw.arg("rows", CellValues, doc="Rows there is room for. (whole, 1 to 1000 [rows], 10 if left out)")
def ROUTE_STRETCHES(job_names, job_values, rate_names, rate_values, price_rows, rows=None):
    """Every stretch of run sizes with the route that is cheapest there, exactly, up to a million pieces or the job's run."""
    return answer("ROUTE_STRETCHES", job_names, job_values, rate_names, rate_values, price_rows, rows)


@xw.func(category="Quoting: Choice")
@xw.arg("route", CellValues, doc="The route. (one of hand, transfer, bought, over, pad)")
@xw.arg("job_names", CellValues, doc="Names of the job's inputs. (a range of cells)")
@xw.arg("job_values", CellValues, doc="Values of the job's inputs, beside their names. (a range of cells)")
@xw.arg("rate_names", CellValues, doc="Names of the shop's rates. (a range of cells)")
@xw.arg("rate_values", CellValues, doc="Values of the shop's rates, beside their names. (a range of cells)")
@xw.arg("price_rows", CellValues, doc="Rows of the price list, as for PRICE_ON. (rows of code, from quantity, unit price, valid from, [valid to])")
def PRICES_HOLD_UNTIL(route, job_names, job_values, rate_names, rate_values, price_rows):
    """Last day on which every price that a route reads on the day of the quote still holds: quote no longer than that. Gives: The earliest last day among the prices read; 31 December 2199 where none of them ends."""
    return answer("PRICES_HOLD_UNTIL", route, job_names, job_values, rate_names, rate_values, price_rows)


@xw.func(category="Quoting: Floor")
@xw.arg("route", CellValues, doc="The route. (one of hand, transfer, bought, over, pad)")
@xw.arg("job_names", CellValues, doc="Names of the job's inputs. (a range of cells)")
@xw.arg("job_values", CellValues, doc="Values of the job's inputs, beside their names. (a range of cells)")
@xw.arg("rate_names", CellValues, doc="Names of the shop's rates. (a range of cells)")
@xw.arg("rate_values", CellValues, doc="Values of the shop's rates, beside their names. (a range of cells)")
@xw.arg("price_rows", CellValues, doc="Rows of the price list, as for PRICE_ON. (rows of code, from quantity, unit price, valid from, [valid to])")
@xw.arg("rows", CellValues, doc="Rows there is room for. (whole, 1 to 1000 [rows], 50 if left out)")
def FLOOR_STEPS(route, job_names, job_values, rate_names, rate_values, price_rows, rows=None):
    """Job sheet of a route: settings, pieces to start, minutes of each step, and materials to take from the store."""
    return answer("FLOOR_STEPS", route, job_names, job_values, rate_names, rate_values, price_rows, rows)


@xw.func(category="Quoting: Floor")
@xw.arg("route", CellValues, doc="The route. (one of hand, transfer, bought, over, pad)")
def FLOOR_CAUTIONS(route):
    """What to mind on the floor when a job goes by a route: the usual cautions, a line for each hazard. Gives: Six rows of text, blank at the end where a route meets fewer hazards. The last word is with local codes, the safety data sheet and licensed practice."""
    return answer("FLOOR_CAUTIONS", route)


@xw.func(category="Quoting: Range")
@xw.arg("chance", CellValues, doc="Chance to stay below it: 0.1 for P10. (more than 0, less than 1 [fraction])")
@xw.arg("least", CellValues, doc="Smallest value it can take. (-1e12 to 1e12 [units])")
@xw.arg("likely", CellValues, doc="The most likely value. (-1e12 to 1e12 [units])")
@xw.arg("most", CellValues, doc="Largest value it can take. (-1e12 to 1e12 [units])")
def SPREAD_VALUE(chance, least, likely, most):
    """Value that an uncertain input stays below with a given chance, drawn from the triangle of least, likely and most. Gives: The value."""
    return answer("SPREAD_VALUE", chance, least, likely, most)


@xw.func(category="Quoting: Range")
@xw.arg("chances", CellValues, doc="Chances between 0 and 1, such as 0.1, 0.5 and 0.9. (a range of cells)")
@xw.arg("route", CellValues, doc="The route. (one of hand, transfer, bought, over, pad)")
@xw.arg("job_names", CellValues, doc="Names of the job's inputs, as in the column Name of the sheet Job. (a range of cells)")
@xw.arg("job_values", CellValues, doc="Values of the job's inputs, beside their names. (a range of cells)")
@xw.arg("rate_names", CellValues, doc="Names of the shop's rates. (a range of cells)")
@xw.arg("rate_values", CellValues, doc="Values of the shop's rates, beside their names. (a range of cells)")
@xw.arg("price_rows", CellValues, doc="Rows of the price list, as for PRICE_ON. (rows of code, from quantity, unit price, valid from, [valid to])")
@xw.arg("spreads", CellValues, doc="The uncertain inputs: numbers among the inputs of the job or the shop's rates, or codes of the price list, whose prices are then multiplied by 0.9 to 1.2, say. (rows of name, least, likely, most)")
@xw.arg("draws", CellValues, doc="How many times the inputs are drawn. (whole, 20 to 10000 [draws], 200 if left out)")
@xw.arg("seed", CellValues, doc="The same seed gives the same draws. (whole, 0 to 1e9, 1 if left out)")
def COST_RANGE(chances, route, job_names, job_values, rate_names, rate_values, price_rows, spreads, draws=None, seed=None):
    """Cost of a good piece that is not exceeded with given chances: P10, P50, P90, or others. Gives: The cost at each chance, in the shape of `chances`. [currency/piece]"""
    return answer("COST_RANGE", chances, route, job_names, job_values, rate_names, rate_values, price_rows, spreads, draws, seed)


@xw.func(category="Quoting: Range")
@xw.arg("chances", CellValues, doc="Chances between 0 and 1, such as 0.1, 0.5 and 0.9. (a range of cells)")
@xw.arg("route_a", CellValues, doc="The route that short runs go by. (one of hand, transfer, bought, over, pad)")
@xw.arg("route_b", CellValues, doc="The route that may take over. (one of hand, transfer, bought, over, pad)")
@xw.arg("job_names", CellValues, doc="Names of the job's inputs, as in the column Name of the sheet Job. (a range of cells)")
@xw.arg("job_values", CellValues, doc="Values of the job's inputs, beside their names. (a range of cells)")
@xw.arg("rate_names", CellValues, doc="Names of the shop's rates. (a range of cells)")
@xw.arg("rate_values", CellValues, doc="Values of the shop's rates, beside their names. (a range of cells)")
@xw.arg("price_rows", CellValues, doc="Rows of the price list, as for PRICE_ON. (rows of code, from quantity, unit price, valid from, [valid to])")
@xw.arg("spreads", CellValues, doc="The uncertain inputs: numbers among the inputs of the job or the shop's rates, or codes of the price list, whose prices are then multiplied by 0.9 to 1.2, say. (rows of name, least, likely, most)")
@xw.arg("draws", CellValues, doc="How many times the inputs are drawn. (whole, 20 to 10000 [draws], 200 if left out)")
@xw.arg("seed", CellValues, doc="The same seed gives the same draws. (whole, 0 to 1e9, 1 if left out)")
def CHANGE_OVER_RANGE(chances, route_a, route_b, job_names, job_values, rate_names, rate_values, price_rows, spreads, draws=None, seed=None):
    """Run from which one route is the cheaper, with given chances to lie below it; \"never\" where it may not change over. Gives: The run at each chance, in the shape of `chances`: a whole number of pieces, or the word never. [pieces]"""
    return answer("CHANGE_OVER_RANGE", chances, route_a, route_b, job_names, job_values, rate_names, rate_values, price_rows, spreads, draws, seed)


@xw.func(category="Quoting: Range")
@xw.arg("price", CellValues, doc="Price of a good piece. (more than 0, up to 1e12 [currency])")
@xw.arg("route", CellValues, doc="The route. (one of hand, transfer, bought, over, pad)")
@xw.arg("job_names", CellValues, doc="Names of the job's inputs, as in the column Name of the sheet Job. (a range of cells)")
@xw.arg("job_values", CellValues, doc="Values of the job's inputs, beside their names. (a range of cells)")
@xw.arg("rate_names", CellValues, doc="Names of the shop's rates. (a range of cells)")
@xw.arg("rate_values", CellValues, doc="Values of the shop's rates, beside their names. (a range of cells)")
@xw.arg("price_rows", CellValues, doc="Rows of the price list, as for PRICE_ON. (rows of code, from quantity, unit price, valid from, [valid to])")
@xw.arg("spreads", CellValues, doc="The uncertain inputs: numbers among the inputs of the job or the shop's rates, or codes of the price list, whose prices are then multiplied by 0.9 to 1.2, say. (rows of name, least, likely, most)")
@xw.arg("draws", CellValues, doc="How many times the inputs are drawn. (whole, 20 to 10000 [draws], 200 if left out)")
@xw.arg("seed", CellValues, doc="The same seed gives the same draws. (whole, 0 to 1e9, 1 if left out)")
def LOSS_CHANCE(price, route, job_names, job_values, rate_names, rate_values, price_rows, spreads, draws=None, seed=None):
    """Chance that a price does not cover what a good piece costs. Gives: Share of the draws in which the cost is above the price."""
    return answer("LOSS_CHANCE", price, route, job_names, job_values, rate_names, rate_values, price_rows, spreads, draws, seed)


@xw.func(category="Quoting: Range")
@xw.arg("route", CellValues, doc="The route. (one of hand, transfer, bought, over, pad)")
@xw.arg("job_names", CellValues, doc="Names of the job's inputs, as in the column Name of the sheet Job. (a range of cells)")
@xw.arg("job_values", CellValues, doc="Values of the job's inputs, beside their names. (a range of cells)")
@xw.arg("rate_names", CellValues, doc="Names of the shop's rates. (a range of cells)")
@xw.arg("rate_values", CellValues, doc="Values of the shop's rates, beside their names. (a range of cells)")
@xw.arg("price_rows", CellValues, doc="Rows of the price list, as for PRICE_ON. (rows of code, from quantity, unit price, valid from, [valid to])")
@xw.arg("spreads", CellValues, doc="The uncertain inputs: numbers among the inputs of the job or the shop's rates, or codes of the price list, whose prices are then multiplied by 0.9 to 1.2, say. (rows of name, least, likely, most)")
@xw.arg("draws", CellValues, doc="How many times the inputs are drawn. (whole, 20 to 10000 [draws], 200 if left out)")
@xw.arg("seed", CellValues, doc="The same seed gives the same draws. (whole, 0 to 1e9, 1 if left out)")
@xw.arg("rows", CellValues, doc="Rows there is room for. (whole, 1 to 1000 [rows], 12 if left out)")
def SPREAD_SHARES(route, job_names, job_values, rate_names, rate_values, price_rows, spreads, draws=None, seed=None, rows=None):
    """Share of each uncertain input in the spread of the cost: which one to find out more about first. Gives: Each row: name of the input and its share, the largest first. Blank rows where there are fewer inputs; where there are more, the smallest are left out."""
    return answer("SPREAD_SHARES", route, job_names, job_values, rate_names, rate_values, price_rows, spreads, draws, seed, rows)


@xw.func(category="Quoting: Demand")
@xw.arg("demand", CellValues, doc="The form of demand and its figures, or past sales alone. (normal or negative binomial, mean, standard deviation; poisson, mean; or past sales, two at least [pieces])")
def DEMAND_MEAN(demand):
    """Pieces that a season asks for on average. Gives: Not rounded. For normal demand a little above the mean given, since what falls below zero counts as none."""
    return answer("DEMAND_MEAN", demand)


@xw.func(category="Quoting: Demand")
@xw.arg("pieces", CellValues, doc="Pieces there are. (0 to 1e9 [pieces])")
@xw.arg("demand", CellValues, doc="The form of demand and its figures, or past sales alone. (normal or negative binomial, mean, standard deviation; poisson, mean; or past sales, two at least [pieces])")
def CHANCE_ENOUGH(pieces, demand):
    """Chance that so many pieces are enough for the season. Gives: Chance that no more than the pieces are asked for."""
    return answer("CHANCE_ENOUGH", pieces, demand)


@xw.func(category="Quoting: Demand")
@xw.arg("chance", CellValues, doc="Chance that the pieces are enough, such as a critical ratio. (more than 0, less than 1 [fraction])")
@xw.arg("demand", CellValues, doc="The form of demand and its figures, or past sales alone. (normal or negative binomial, mean, standard deviation; poisson, mean; or past sales, two at least [pieces])")
def DEMAND_QUANTILE(chance, demand):
    """Smallest whole number of pieces that is enough for the season with a given chance. Gives: Rounded up once, at the end."""
    return answer("DEMAND_QUANTILE", chance, demand)


@xw.func(category="Quoting: Demand")
@xw.arg("pieces", CellValues, doc="Pieces there are. (0 to 1e9 [pieces])")
@xw.arg("demand", CellValues, doc="The form of demand and its figures, or past sales alone. (normal or negative binomial, mean, standard deviation; poisson, mean; or past sales, two at least [pieces])")
def EXPECTED_SALES(pieces, demand):
    """Pieces sold in the season on average, when there are so many. Gives: Mean of the smaller of demand and pieces, not rounded."""
    return answer("EXPECTED_SALES", pieces, demand)


@xw.func(category="Quoting: Demand")
@xw.arg("pieces", CellValues, doc="Pieces there are. (0 to 1e9 [pieces])")
@xw.arg("demand", CellValues, doc="The form of demand and its figures, or past sales alone. (normal or negative binomial, mean, standard deviation; poisson, mean; or past sales, two at least [pieces])")
def EXPECTED_LEFT_OVER(pieces, demand):
    """Pieces left over at the end of the season on average, when there are so many. Gives: Not rounded."""
    return answer("EXPECTED_LEFT_OVER", pieces, demand)


@xw.func(category="Quoting: Demand")
@xw.arg("pieces", CellValues, doc="Pieces there are. (0 to 1e9 [pieces])")
@xw.arg("demand", CellValues, doc="The form of demand and its figures, or past sales alone. (normal or negative binomial, mean, standard deviation; poisson, mean; or past sales, two at least [pieces])")
def EXPECTED_SHORT(pieces, demand):
    """Pieces asked for and not there, on average, when there are so many. Gives: Not rounded."""
    return answer("EXPECTED_SHORT", pieces, demand)


@xw.func(category="Quoting: Demand")
@xw.arg("past_sales", CellValues, doc="Pieces sold in each past period, in the order of time.  Blanks are passed over: write 0 where nothing sold. (rows of sold, then any number of sold)")
@xw.arg("periods", CellValues, doc="Periods in the season to come: 12 for a year of months. (whole, 1 to 1000 [periods])")
@xw.arg("form", CellValues, doc="Form of demand to make of them. (one of normal, poisson, negative binomial, history, negative binomial if left out)")
def SEASON_DEMAND(past_sales, periods, form=None):
    """Demand of a season of several periods, from past sales by week or month; a row that the other functions take. Gives: One row: the word and its figures; for history, the sales of every stretch of so many periods in a row."""
    return answer("SEASON_DEMAND", past_sales, periods, form)


@xw.func(category="Quoting: Run size")
@xw.arg("price", CellValues, doc="Price of a piece, or what is lost with a sale. (more than 0, up to 1e12 [currency])")
@xw.arg("unit_cost", CellValues, doc="Cost of a further piece. (0 to 1e12 [currency])")
@xw.arg("salvage", CellValues, doc="What a piece left over still fetches. (0 to 1e12 [currency], 0 if left out)")
@xw.arg("holding_cost", CellValues, doc="Cost of holding a piece left over to the end of the season. (0 to 1e12 [currency], 0 if left out)")
def CRITICAL_RATIO(price, unit_cost, salvage=None, holding_cost=None):
    """Chance of being enough that the best run has, where there are no setups, steps or price breaks. Gives: (price - cost) / (price - salvage + holding), not rounded; 0 where a piece costs more than its price."""
    return answer("CRITICAL_RATIO", price, unit_cost, salvage, holding_cost)


@xw.func(category="Quoting: Run size")
@xw.arg("demand", CellValues, doc="The form of demand and its figures, or past sales alone. (normal or negative binomial, mean, standard deviation; poisson, mean; or past sales, two at least [pieces])")
@xw.arg("price", CellValues, doc="Price of a piece, or what is lost with a sale. (more than 0, up to 1e12 [currency])")
@xw.arg("unit_cost", CellValues, doc="Cost of a further piece. (0 to 1e12 [currency])")
@xw.arg("salvage", CellValues, doc="What a piece left over still fetches. (0 to 1e12 [currency], 0 if left out)")
@xw.arg("holding_cost", CellValues, doc="Cost of holding a piece left over to the end of the season. (0 to 1e12 [currency], 0 if left out)")
def NEWSVENDOR_RUN(demand, price, unit_cost, salvage=None, holding_cost=None):
    """Best run where every piece costs the same: no setup, steps or price breaks. Gives: The smallest whole run to which no further piece should be added."""
    return answer("NEWSVENDOR_RUN", demand, price, unit_cost, salvage, holding_cost)


@xw.func(category="Quoting: Run size")
@xw.arg("pieces", CellValues, doc="Pieces made up front, and transfers held. (0 to 1e9 [pieces])")
@xw.arg("demand", CellValues, doc="The form of demand and its figures, or past sales alone. (normal or negative binomial, mean, standard deviation; poisson, mean; or past sales, two at least [pieces])")
def FILL_RATE(pieces, demand):
    """Share of the pieces asked for that can be sold, on average, when there are so many. Gives: Expected sales over mean demand, not rounded."""
    return answer("FILL_RATE", pieces, demand)


@xw.func(category="Quoting: Run size")
@xw.arg("pieces", CellValues, doc="Pieces there are. (0 to 1e9 [pieces])")
@xw.arg("demand", CellValues, doc="The form of demand and its figures, or past sales alone. (normal or negative binomial, mean, standard deviation; poisson, mean; or past sales, two at least [pieces])")
@xw.arg("season_months", CellValues, doc="Months of the season that the demand is for. (more than 0, up to 1200 [months])")
def MONTHS_OF_STOCK(pieces, demand, season_months):
    """Months that so many pieces last at the mean rate of sale. Gives: Not rounded."""
    return answer("MONTHS_OF_STOCK", pieces, demand, season_months)


@xw.func(category="Quoting: Run size")
@xw.arg("pieces", CellValues, doc="Pieces there are. (0 to 1e9 [pieces])")
@xw.arg("demand", CellValues, doc="The form of demand and its figures, or past sales alone. (normal or negative binomial, mean, standard deviation; poisson, mean; or past sales, two at least [pieces])")
@xw.arg("season_months", CellValues, doc="Months of the season that the demand is for. (more than 0, up to 1200 [months])")
@xw.arg("stuck_months", CellValues, doc="Months of stock beyond which the shop calls itself stuck. (more than 0, up to 1200 [months])")
def CHANCE_STUCK(pieces, demand, season_months, stuck_months):
    """Chance that so many pieces last longer than a number of months. Gives: Chance that demand is below pieces x season months / stuck months."""
    return answer("CHANCE_STUCK", pieces, demand, season_months, stuck_months)


@xw.func(category="Quoting: Run size")
@xw.arg("plans", CellValues, doc="Each row a plan: pieces made up front, and transfers held, counted by the good pieces they make. (rows of up front, held)")
@xw.arg("demand", CellValues, doc="The form of demand and its figures, or past sales alone. (normal or negative binomial, mean, standard deviation; poisson, mean; or past sales, two at least [pieces])")
@xw.arg("short_cost", CellValues, doc="What is lost with each piece asked for and not there: its price, or what it costs to be late. (0 to 1e12 [currency])")
@xw.arg("salvage", CellValues, doc="What a piece left over still fetches. (0 to 1e12 [currency])")
@xw.arg("holding_rate", CellValues, doc="Yearly cost of holding, as a share of what the stock has cost: interest, space, damage. (0 to 1 [fraction/year])")
@xw.arg("season_months", CellValues, doc="Months of the season that the demand is for. (more than 0, up to 1200 [months])")
@xw.arg("up_front_lines", CellValues, doc="Cost lines of the route that makes the pieces up front, as for RUN_COST. (rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate)")
@xw.arg("held_lines", CellValues, doc="Cost lines of making the transfers, apart from pressing. (rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate, none if left out)")
@xw.arg("pressing_lines", CellValues, doc="Cost lines of pressing: roller, blanks, packing. (rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate, none if left out)")
@xw.arg("lot", CellValues, doc="Pieces pressed in one session, whenever none is left; the last session takes what is left of the transfers. (whole, 1 to 1e6 [pieces], 100 if left out)")
def PLAN_COSTS(plans, demand, short_cost, salvage, holding_rate, season_months, up_front_lines, held_lines=None, pressing_lines=None, lot=None):
    """Expected cost of a season in its parts, and what it leaves, for one plan or a list of them. Gives: A row for each plan: production, holding, write-down, lost sales, their sum, pieces left over, transfers left over, pieces short. Nothing is rounded."""
    return answer("PLAN_COSTS", plans, demand, short_cost, salvage, holding_rate, season_months, up_front_lines, held_lines, pressing_lines, lot)


@xw.func(category="Quoting: Run size")
@xw.arg("policy", CellValues, doc="up front: all pieces made now.  held: transfers, pressed as they sell.  both: at least one of each. (one of up front, held, both)")
@xw.arg("demand", CellValues, doc="The form of demand and its figures, or past sales alone. (normal or negative binomial, mean, standard deviation; poisson, mean; or past sales, two at least [pieces])")
@xw.arg("short_cost", CellValues, doc="What is lost with each piece asked for and not there: its price, or what it costs to be late. (0 to 1e12 [currency])")
@xw.arg("salvage", CellValues, doc="What a piece left over still fetches. (0 to 1e12 [currency])")
@xw.arg("holding_rate", CellValues, doc="Yearly cost of holding, as a share of what the stock has cost. (0 to 1 [fraction/year])")
@xw.arg("season_months", CellValues, doc="Months of the season that the demand is for. (more than 0, up to 1200 [months])")
@xw.arg("up_front_lines", CellValues, doc="Cost lines of the route that makes the pieces up front, as for RUN_COST. (rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate)")
@xw.arg("held_lines", CellValues, doc="Cost lines of making the transfers, apart from pressing. (rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate, none if left out)")
@xw.arg("pressing_lines", CellValues, doc="Cost lines of pressing: roller, blanks, packing. (rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate, none if left out)")
@xw.arg("lot", CellValues, doc="Pieces pressed in one session. (whole, 1 to 1e6 [pieces], 100 if left out)")
def BEST_PLAN(policy, demand, short_cost, salvage, holding_rate, season_months, up_front_lines, held_lines=None, pressing_lines=None, lot=None):
    """The plan of a policy that costs least in a season: pieces made up front, transfers held, and the cost. Gives: One row: pieces up front, transfers held, expected cost of the season. 0 and 0 where making nothing costs least."""
    return answer("BEST_PLAN", policy, demand, short_cost, salvage, holding_rate, season_months, up_front_lines, held_lines, pressing_lines, lot)


@xw.func(category="Quoting: Pooling")
@xw.arg("standard_deviation", CellValues, doc="Standard deviation of demand in one period. (0 to 1e9 [pieces])")
@xw.arg("chance", CellValues, doc="Chance that the stock is enough. (more than 0, less than 1 [fraction])")
@xw.arg("lead_periods", CellValues, doc="Periods until more arrives: blanks on order, a session at the roller. (more than 0, up to 1e12 [units], 1 if left out)")
def SAFETY_STOCK(standard_deviation, chance, lead_periods=None):
    """Stock above the mean that is enough with a given chance while more is on its way. Gives: z x standard deviation x root of the periods, not rounded; 0 for a chance of a half or less."""
    return answer("SAFETY_STOCK", standard_deviation, chance, lead_periods)


@xw.func(category="Quoting: Pooling")
@xw.arg("deviations", CellValues, doc="Standard deviation of each design's demand, in a row or a column. (rows of standard deviation, then any number of standard deviation)")
@xw.arg("correlation", CellValues, doc="How far the designs sell well or badly together, from each to each other: 0 where they have nothing in common. (-1 to 1, 0 if left out)")
def POOLED_DEVIATION(deviations, correlation=None):
    """Standard deviation of the demand of several designs together, as for the blanks that they share. Gives: Not rounded."""
    return answer("POOLED_DEVIATION", deviations, correlation)


@xw.func(category="Quoting: Pooling")
@xw.arg("deviations", CellValues, doc="Standard deviation of each design's demand, in a row or a column. (rows of standard deviation, then any number of standard deviation)")
@xw.arg("short_cost", CellValues, doc="Lost with each piece asked for and not there, beyond what it would have cost: its contribution. (more than 0, up to 1e12 [currency])")
@xw.arg("left_cost", CellValues, doc="Lost with each piece or blank left over: its cost less what it still fetches, and the holding of it. (more than 0, up to 1e12 [currency])")
@xw.arg("correlation", CellValues, doc="How far the designs sell well or badly together. (-1 to 1, 0 if left out)")
def WAITING_VALUE(deviations, short_cost, left_cost, correlation=None):
    """What waiting is worth: the money saved when designs share blanks and are decorated as they sell."""
    return answer("WAITING_VALUE", deviations, short_cost, left_cost, correlation)


@xw.func(category="Quoting: After the job")
@xw.arg("quoted_rate", CellValues, doc="Money for a unit in the quote: an hour, a litre, a blank. (-1e12 to 1e12 [currency])")
@xw.arg("actual_rate", CellValues, doc="Money for a unit that was really paid. (-1e12 to 1e12 [currency])")
@xw.arg("actual_quantity", CellValues, doc="Units really used. (0 to 1e12 [units])")
def RATE_VARIANCE(quoted_rate, actual_rate, actual_quantity):
    """What was paid more than quoted for each unit: the rate variance of labour, the price variance of a material. Gives: Above zero where it cost more than quoted; not rounded."""
    return answer("RATE_VARIANCE", quoted_rate, actual_rate, actual_quantity)


@xw.func(category="Quoting: After the job")
@xw.arg("allowed_quantity", CellValues, doc="Units that the quote gives for the pieces really made. (0 to 1e12 [units])")
@xw.arg("actual_quantity", CellValues, doc="Units really used. (0 to 1e12 [units])")
@xw.arg("quoted_rate", CellValues, doc="Money for a unit in the quote. (-1e12 to 1e12 [currency])")
def QUANTITY_VARIANCE(allowed_quantity, actual_quantity, quoted_rate):
    """What was used more than the quote allows: the efficiency variance of labour, the usage variance of a material. Gives: Above zero where it cost more than quoted; not rounded."""
    return answer("QUANTITY_VARIANCE", allowed_quantity, actual_quantity, quoted_rate)


@xw.func(category="Quoting: After the job")
@xw.arg("setup_cost", CellValues, doc="Cost of the run that does not depend on its length. (0 to 1e12 [currency])")
@xw.arg("quoted_pieces", CellValues, doc="Good pieces that the quote spreads it over. (whole, 1 to 1e9 [pieces])")
@xw.arg("good_pieces", CellValues, doc="Good pieces really made. (whole, 0 to 1e9 [pieces])")
def VOLUME_VARIANCE(setup_cost, quoted_pieces, good_pieces):
    """Setup that the pieces really made do not carry, at the share of it that was quoted for each piece. Gives: Above zero where fewer pieces carry the setup, below zero where more do; not rounded."""
    return answer("VOLUME_VARIANCE", setup_cost, quoted_pieces, good_pieces)


@xw.func(category="Quoting: After the job")
@xw.arg("lines", CellValues, doc="One row for each input that can stand in for another, all in one unit. (rows of quoted quantity, quoted rate, actual quantity)")
def MIX_VARIANCE(lines):
    """What another mix of inputs than quoted added: more of the dear ink, more hours of the dear operator. Gives: Above zero where it cost more than quoted; not rounded."""
    return answer("MIX_VARIANCE", lines)


@xw.func(category="Quoting: After the job")
@xw.arg("lines", CellValues, doc="One row for each input that can stand in for another, all in one unit. (rows of quoted quantity, quoted rate, actual quantity)")
def MIX_YIELD_VARIANCE(lines):
    """What a larger quantity in all than quoted added, at the quoted mix. Gives: Above zero where it cost more than quoted; not rounded."""
    return answer("MIX_YIELD_VARIANCE", lines)


@xw.func(category="Quoting: After the job")
@xw.arg("lines", CellValues, doc="A row for each cost line, in its units and money for one.  What is blank is taken as the one before it, an actual rate as quoted, and adds no variance. (rows of quoted quantity, [allowed], [with rejects], quoted rate, [actual quantity], [actual rate])")
@xw.arg("quoted_pieces", CellValues, doc="Good pieces that the quote is for. (whole, 1 to 1e9 [pieces])")
@xw.arg("good_pieces", CellValues, doc="Good pieces really made. (whole, 1 to 1e9 [pieces])")
@xw.arg("rows", CellValues, doc="Rows of the result before the total, where a sheet keeps room for more lines; further rows are blank. (whole, 1 to 1000 [rows], as many as there are if left out)")
def COST_VARIANCES(lines, quoted_pieces, good_pieces, rows=None):
    """Why a job cost more or less than quoted, line by line, adding up to actual - quoted for each line and for the job."""
    return answer("COST_VARIANCES", lines, quoted_pieces, good_pieces, rows)


@xw.func(category="Quoting: After the job")
@xw.arg("route", CellValues, doc="The route that was quoted and made. (one of hand, transfer, bought, over, pad)")
@xw.arg("good_pieces", CellValues, doc="Good pieces really made. (whole, 1 to 1e9 [pieces])")
@xw.arg("used", CellValues, doc="Rows of line, actual quantity, actual rate, for what is known of the job; what is blank is as the quote allows. (a range of cells)")
@xw.arg("job_names", CellValues, doc="Names of the job's inputs. (a range of cells)")
@xw.arg("job_values", CellValues, doc="Values of the job's inputs as quoted, beside their names. (a range of cells)")
@xw.arg("rate_names", CellValues, doc="Names of the shop's rates. (a range of cells)")
@xw.arg("rate_values", CellValues, doc="Values of the shop's rates as quoted, beside their names. (a range of cells)")
@xw.arg("price_rows", CellValues, doc="Rows of the price list, as for PRICE_ON. (rows of code, from quantity, unit price, valid from, [valid to])")
@xw.arg("good_share", CellValues, doc="Good pieces as a share of those started. (more than 0, up to 1 [fraction], as quoted if left out)")
@xw.arg("rows", CellValues, doc="Rows there is room for, the sums included. (whole, 1 to 1000 [rows], 50 if left out)")
def JOB_VARIANCES(route, good_pieces, used, job_names, job_values, rate_names, rate_values, price_rows, good_share=None, rows=None):
    """Why a whole job cost more or less than quoted, line by line, adding up to actual - quoted."""
    return answer("JOB_VARIANCES", route, good_pieces, used, job_names, job_values, rate_names, rate_values, price_rows, good_share, rows)


@xw.func(category="Quoting: After the job")
@xw.arg("rejects", CellValues, doc="Rejects counted, in one colour or over several. (whole, 0 to 1e9 [pieces])")
@xw.arg("pieces", CellValues, doc="Pieces that entered the colour, or the sum over several colours. (whole, 1 to 1e9 [pieces])")
@xw.arg("confidence", CellValues, doc="Chance that the true share lies between the two values. (more than 0, less than 1 [fraction], 0.95 if left out)")
def REJECT_SHARE_RANGE(rejects, pieces, confidence=None):
    """Share of rejects found, and between which values the true share lies. Gives: One row: share of rejects, least, most."""
    return answer("REJECT_SHARE_RANGE", rejects, pieces, confidence)


@xw.func(category="Quoting: After the job")
@xw.arg("observations", CellValues, doc="One row for each ticket: the driver (colours, pieces entering, sessions), and the minutes or units it took. (rows of driver, amount)")
@xw.arg("fixed_part", CellValues, doc="FALSE takes all of the amount to grow with the driver.  TRUE allows for a part that each ticket has once. (TRUE or FALSE, FALSE if left out)")
@xw.arg("confidence", CellValues, doc="Chance that the true rate lies between the two values. (more than 0, less than 1 [fraction], 0.95 if left out)")
def LEARNED_RATE(observations, fixed_part=None, confidence=None):
    """Rate that job tickets show, such as minutes for a piece, hardly moved by a few wrong tickets; with its interval. Gives: One row: rate, least, most, fixed part."""
    return answer("LEARNED_RATE", observations, fixed_part, confidence)


@xw.func(category="Quoting: Hours")
@xw.arg("load_hours", CellValues, doc="Hours that the jobs ask for. (0 to 1e5 [hours])")
@xw.arg("hours", CellValues, doc="Hours there are, of all machines together. (more than 0, up to 1e5 [hours])")
def UTILISATION(load_hours, hours):
    """Share of a work centre's hours that its load takes up; more than 1 is more than can be done. Gives: Load / hours."""
    return answer("UTILISATION", load_hours, hours)


@xw.func(category="Quoting: Hours")
@xw.arg("jobs_in_shop", CellValues, doc="Jobs begun or waiting, on average. (0 to 1e9 [jobs])")
@xw.arg("jobs_per_day", CellValues, doc="Jobs that leave the shop in a day, on average; as many must come in. (more than 0, up to 1e6 [jobs/day])")
def LEAD_TIME(jobs_in_shop, jobs_per_day):
    """Days a job spends in the shop on average, from its arrival until it leaves. Gives: Jobs in the shop / jobs a day."""
    return answer("LEAD_TIME", jobs_in_shop, jobs_per_day)


@xw.func(category="Quoting: Hours")
@xw.arg("price", CellValues, doc="Price of the whole job. (0 to 1e12 [currency])")
@xw.arg("extra_cost", CellValues, doc="What is spent only because of this job: blanks, ink, film, overtime.  Wages and machines paid anyway are left out. (0 to 1e12 [currency])")
@xw.arg("bottleneck_hours", CellValues, doc="Hours it takes at that work centre. (more than 0, up to 1e5 [hours])")
def CONTRIBUTION_PER_HOUR(price, extra_cost, bottleneck_hours):
    """What a job leaves over for each hour it takes of the work centre that limits the shop. Gives: (price - extra cost) / hours."""
    return answer("CONTRIBUTION_PER_HOUR", price, extra_cost, bottleneck_hours)


@xw.func(category="Quoting: Hours")
@xw.arg("first_day", CellValues, doc="The first day. (a date from 1990 to 2199)")
@xw.arg("last_day", CellValues, doc="The last day; not before the first. (a date from 1990 to 2199)")
@xw.arg("calendar", CellValues, doc="One row: machines, then the hours of one machine on each weekday.  Blank for a day off. (rows of machines, [Monday], [Tuesday], [Wednesday], [Thursday], [Friday], [Saturday], [Sunday])")
@xw.arg("holidays", CellValues, doc="Further days off. (a range of cells, none if left out)")
def WORKING_HOURS(first_day, last_day, calendar, holidays=None):
    """Hours that a work centre works from one day to another, both included, all its machines together. Gives: Machines x hours of the days that are not holidays."""
    return answer("WORKING_HOURS", first_day, last_day, calendar, holidays)


@xw.func(category="Quoting: Hours")
@xw.arg("start_day", CellValues, doc="The day it begins, or the first day of work after that. (a date from 1990 to 2199)")
@xw.arg("hours", CellValues, doc="Hours of work on one machine. (0 to 1e5 [hours])")
@xw.arg("calendar", CellValues, doc="One row: machines, then the hours of one machine on each weekday.  Blank for a day off. (rows of machines, [Monday], [Tuesday], [Wednesday], [Thursday], [Friday], [Saturday], [Sunday])")
@xw.arg("holidays", CellValues, doc="Further days off. (a range of cells, none if left out)")
def DONE_DAY(start_day, hours, calendar, holidays=None):
    """Day on which work of so many hours is done on one machine, begun on the morning of a day. Gives: The day, as a spreadsheet's date."""
    return answer("DONE_DAY", start_day, hours, calendar, holidays)


@xw.func(category="Quoting: Hours")
@xw.arg("orders", CellValues, doc="Name, TRUE where a day is promised, due day, then the hours at each work centre. (rows of order, promised, due day, then any number of [hours])")
@xw.arg("calendars", CellValues, doc="A row for each work centre: machines, then the hours of one machine on each weekday. (rows of machines, [Monday], [Tuesday], [Wednesday], [Thursday], [Friday], [Saturday], [Sunday])")
@xw.arg("today", CellValues, doc="The first day that can still be worked.  Weeks begin on Mondays, this one with today. (a date from 1990 to 2199)")
@xw.arg("weeks", CellValues, doc="Weeks to show. (whole, 1 to 520 [weeks])")
@xw.arg("holidays", CellValues, doc="Days off at all work centres. (a range of cells, none if left out)")
@xw.arg("figure", CellValues, doc="load: hours of the orders due in the week.  hours: hours there are.  free: what is left of them, negative where there are too few.  utilisation: load / hours. (one of load, hours, free, utilisation, load if left out)")
def LOAD_BY_WEEK(orders, calendars, today, weeks, holidays=None, figure=None):
    """Load of every work centre by week (down) and centre (across), against the hours there are. Gives: A row for each week, a column for each work centre. Utilisation is 0 in a week without load, and blank where there is load but no hours."""
    return answer("LOAD_BY_WEEK", orders, calendars, today, weeks, holidays, figure)


@xw.func(category="Quoting: Hours")
@xw.arg("jobs", CellValues, doc="Name, what it leaves over in all, and the hours it takes there. (rows of job, contribution, hours)")
@xw.arg("free_hours", CellValues, doc="Hours left at that work centre. (0 to 1e5 [hours])")
@xw.arg("whole_jobs", CellValues, doc="TRUE where a job is taken as a whole or not at all; FALSE where a part of one can be taken. (TRUE or FALSE, TRUE if left out)")
@xw.arg("rows", CellValues, doc="Rows there is room for. (whole, 1 to 1000 [rows], 10 if left out)")
def CONTRACT_CHOICE(jobs, free_hours, whole_jobs=None, rows=None):
    """Which jobs to take for the hours left at the work centre that limits the shop, so that they leave over the most."""
    return answer("CONTRACT_CHOICE", jobs, free_hours, whole_jobs, rows)


@xw.func(category="Quoting: Hours")
@xw.arg("route", CellValues, doc="The route. (one of hand, transfer, bought, over, pad)")
@xw.arg("job_names", CellValues, doc="Names of the job's inputs, as in the column Name of the sheet Job. (a range of cells)")
@xw.arg("job_values", CellValues, doc="Values of the job's inputs, beside their names. (a range of cells)")
@xw.arg("rate_names", CellValues, doc="Names of the shop's rates. (a range of cells)")
@xw.arg("rate_values", CellValues, doc="Values of the shop's rates, beside their names. (a range of cells)")
@xw.arg("price_rows", CellValues, doc="Rows of the price list, as for PRICE_ON. (rows of code, from quantity, unit price, valid from, [valid to])")
@xw.arg("tools_ready", CellValues, doc="TRUE where artwork, screens or plates are there from an earlier run, so that they take no hours now. (TRUE or FALSE, FALSE if left out)")
def ROUTE_HOURS(route, job_names, job_values, rate_names, rate_values, price_rows, tools_ready=None):
    """Hours that a job's run takes at each work centre by one route, and the hours it waits on the clock after each."""
    return answer("ROUTE_HOURS", route, job_names, job_values, rate_names, rate_values, price_rows, tools_ready)


@xw.func(category="Quoting: Sequence")
@xw.arg("orders", CellValues, doc="Name, TRUE where a day is promised, due day, then the hours at each work centre. (rows of order, promised, due day, then any number of [hours])")
@xw.arg("calendars", CellValues, doc="A row for each work centre: machines, then the hours of one machine on each weekday. (rows of machines, [Monday], [Tuesday], [Wednesday], [Thursday], [Friday], [Saturday], [Sunday])")
@xw.arg("centre", CellValues, doc="Which work centre: 1 for the first column of hours and the first row of calendars. (whole, 1 to 50)")
@xw.arg("today", CellValues, doc="The day the first order begins, at the earliest. (a date from 1990 to 2199)")
@xw.arg("holidays", CellValues, doc="Days off. (a range of cells, none if left out)")
@xw.arg("rule", CellValues, doc="due day: the order due first goes first.  fewest late: orders that would make others late go last. (one of due day, fewest late, due day if left out)")
@xw.arg("rows", CellValues, doc="Rows there is room for. (whole, 1 to 1000 [rows], 10 if left out)")
def DUE_SEQUENCE(orders, calendars, centre, today, holidays=None, rule=None, rows=None):
    """Sequence of the orders at one work centre with their days, each on the machine that is free first. Gives: Each row: order, day it begins, day it is done, due day, days late. Orders without hours there are left out. Blank rows where there are fewer orders."""
    return answer("DUE_SEQUENCE", orders, calendars, centre, today, holidays, rule, rows)


@xw.func(category="Quoting: Sequence")
@xw.arg("jobs", CellValues, doc="Name, hours on the first machine, hours on the second. (rows of job, [first hours], [second hours])")
@xw.arg("rows", CellValues, doc="Rows there is room for. (whole, 1 to 1000 [rows], 10 if left out)")
def JOHNSON_SEQUENCE(jobs, rows=None):
    """Sequence that is done soonest where every job goes over two machines in turn: print, then press. Gives: Each row: job, then the hours from the start at which it begins and ends on the first machine and on the second. Blank rows where there are fewer jobs."""
    return answer("JOHNSON_SEQUENCE", jobs, rows)


@xw.func(category="Quoting: Sequence")
@xw.arg("jobs", CellValues, doc="Name, hours on the first machine, hours on the second. (rows of job, [first hours], [second hours])")
def JOHNSON_HOURS(jobs):
    """Hours until the last job is done on the second machine, in Johnson's sequence. Gives: The makespan: no other sequence is done sooner."""
    return answer("JOHNSON_HOURS", jobs)


@xw.func(category="Quoting: Sequence")
@xw.arg("hours", CellValues, doc="One row: the new job's hours at each work centre, blank for none. (rows of [hours], then any number of [hours])")
@xw.arg("orders", CellValues, doc="The orders there are; those not promised hold no hours. (rows of order, promised, due day, then any number of [hours])")
@xw.arg("calendars", CellValues, doc="A row for each work centre, in the order in which a job goes through them. (rows of machines, [Monday], [Tuesday], [Wednesday], [Thursday], [Friday], [Saturday], [Sunday])")
@xw.arg("today", CellValues, doc="The first day that can still be worked. (a date from 1990 to 2199)")
@xw.arg("holidays", CellValues, doc="Days off at all work centres. (a range of cells, none if left out)")
@xw.arg("buffer_days", CellValues, doc="Calendar days to keep in hand before every day promised, the new job's and the others'. (whole, 0 to 1000 [days], 0 if left out)")
@xw.arg("waits", CellValues, doc="One row: hours on the clock that the new job waits after each work centre: drying, delivery. (rows of [wait], then any number of [wait], none if left out)")
def PROMISE_DAY(hours, orders, calendars, today, holidays=None, buffer_days=None, waits=None):
    """Earliest day to promise for a new job, with every promised order still done by its own day. Gives: The day, as a spreadsheet's date."""
    return answer("PROMISE_DAY", hours, orders, calendars, today, holidays, buffer_days, waits)


@xw.func(category="Quoting: Sequence")
@xw.arg("hours", CellValues, doc="One row: the new job's hours at each work centre, blank for none. (rows of [hours], then any number of [hours])")
@xw.arg("orders", CellValues, doc="The orders there are; those not promised hold no hours. (rows of order, promised, due day, then any number of [hours])")
@xw.arg("calendars", CellValues, doc="A row for each work centre, in the order in which a job goes through them. (rows of machines, [Monday], [Tuesday], [Wednesday], [Thursday], [Friday], [Saturday], [Sunday])")
@xw.arg("today", CellValues, doc="The first day that can still be worked. (a date from 1990 to 2199)")
@xw.arg("holidays", CellValues, doc="Days off at all work centres. (a range of cells, none if left out)")
@xw.arg("buffer_days", CellValues, doc="Calendar days to keep in hand before every day promised, the new job's and the others'. (whole, 0 to 1000 [days], 0 if left out)")
@xw.arg("waits", CellValues, doc="One row: hours on the clock that the new job waits after each work centre: drying, delivery. (rows of [wait], then any number of [wait], none if left out)")
def PROMISE_PLAN(hours, orders, calendars, today, holidays=None, buffer_days=None, waits=None):
    """When the new job of PROMISE_DAY begins and is done at each work centre. Gives: Two rows, a column for each work centre: the day it begins there, the day it is done there. Blank where it has no work."""
    return answer("PROMISE_PLAN", hours, orders, calendars, today, holidays, buffer_days, waits)


@xw.func(category="Quoting: Reorders")
@xw.arg("annual_pieces", CellValues, doc="Pieces used or sold in a year, evenly. (more than 0, up to 1e9 [pieces/year])")
@xw.arg("order_cost", CellValues, doc="What one order costs whatever its size: paperwork, receiving, or set-up of the run. (more than 0, up to 1e12 [currency])")
@xw.arg("holding_cost", CellValues, doc="Cost of keeping a piece for a year: the price times a yearly rate, and storage. (more than 0, up to 1e12 [currency/piece/year])")
@xw.arg("annual_output", CellValues, doc="Pieces a year that come in while an order is being made, the economic production quantity; more than is used. (more than 0, up to 1e12 [pieces/year], no limit if left out)")
@xw.arg("backorder_cost", CellValues, doc="Cost of a piece that customers wait for, for a year of waiting; left out, nobody waits. (more than 0, up to 1e12 [currency], no limit if left out)")
def ECONOMIC_ORDER_QUANTITY(annual_pieces, order_cost, holding_cost, annual_output=None, backorder_cost=None):
    """Order that costs the least at one price, by the square root of the textbook. Gives: Pieces to order, not rounded; for whole pieces and price breaks use BEST_ORDER."""
    return answer("ECONOMIC_ORDER_QUANTITY", annual_pieces, order_cost, holding_cost, annual_output, backorder_cost)


@xw.func(category="Quoting: Reorders")
@xw.arg("order", CellValues, doc="Pieces of each order. (more than 0, up to 1e12 [units])")
@xw.arg("annual_pieces", CellValues, doc="Pieces used or sold in a year, evenly. (more than 0, up to 1e9 [pieces/year])")
@xw.arg("order_cost", CellValues, doc="What one order costs whatever its size: paperwork, receiving, or set-up of the run. (more than 0, up to 1e12 [currency])")
@xw.arg("breaks", CellValues, doc="One row for each price, as for BUY_COST; one row from 0 where there is one price. Nothing smaller than the first from-quantity can be ordered. (rows of from quantity, price; from quantity growing from row to row)")
@xw.arg("holding_rate", CellValues, doc="Cost of holding for a year, as a share of the price paid. (0 to 1 [fraction/year], 0 if left out)")
@xw.arg("storage_cost", CellValues, doc="Cost of holding a piece for a year that does not go with the price, such as its place. (0 to 1e12 [currency/piece/year], 0 if left out)")
@xw.arg("incremental", CellValues, doc="FALSE where the price reached holds for the whole order; TRUE where each price holds only for its own stretch. (TRUE or FALSE, FALSE if left out)")
@xw.arg("annual_output", CellValues, doc="Pieces a year that come in while an order is being made; more than is used. Left out, an order comes at once. (more than 0, up to 1e12 [pieces/year], no limit if left out)")
@xw.arg("backorder_cost", CellValues, doc="Cost of a piece that customers wait for, for a year of waiting; left out, nobody waits. (more than 0, up to 1e12 [currency], no limit if left out)")
def YEARLY_ORDER_COST(order, annual_pieces, order_cost, breaks, holding_rate=None, storage_cost=None, incremental=None, annual_output=None, backorder_cost=None):
    """What a year of orders of one size costs: buying, ordering, holding and waiting. Gives: Cost of a year, not rounded."""
    return answer("YEARLY_ORDER_COST", order, annual_pieces, order_cost, breaks, holding_rate, storage_cost, incremental, annual_output, backorder_cost)


@xw.func(category="Quoting: Reorders")
@xw.arg("orders", CellValues, doc="Sizes of order to compare. (one row or column of up to 1000 cells, each more than 0, up to 1e12 [pieces])")
@xw.arg("annual_pieces", CellValues, doc="Pieces used or sold in a year, evenly. (more than 0, up to 1e9 [pieces/year])")
@xw.arg("order_cost", CellValues, doc="What one order costs whatever its size: paperwork, receiving, or set-up of the run. (more than 0, up to 1e12 [currency])")
@xw.arg("breaks", CellValues, doc="One row for each price, as for BUY_COST; one row from 0 where there is one price. (rows of from quantity, price; from quantity growing from row to row)")
@xw.arg("holding_rate", CellValues, doc="Cost of holding for a year, as a share of the price paid. (0 to 1 [fraction/year], 0 if left out)")
@xw.arg("storage_cost", CellValues, doc="Cost of holding a piece for a year that does not go with the price, such as its place. (0 to 1e12 [currency/piece/year], 0 if left out)")
@xw.arg("incremental", CellValues, doc="FALSE where the price reached holds for the whole order; TRUE where each price holds only for its own stretch. (TRUE or FALSE, FALSE if left out)")
@xw.arg("annual_output", CellValues, doc="Pieces a year that come in while an order is being made; more than is used. Left out, an order comes at once. (more than 0, up to 1e12 [pieces/year], no limit if left out)")
@xw.arg("backorder_cost", CellValues, doc="Cost of a piece that customers wait for, for a year of waiting; left out, nobody waits. (more than 0, up to 1e12 [currency], no limit if left out)")
def ORDER_COSTS(orders, annual_pieces, order_cost, breaks, holding_rate=None, storage_cost=None, incremental=None, annual_output=None, backorder_cost=None):
    """What a year costs at several order sizes, opened into its parts: a row for each size. Gives: Each row: orders a year, buying, ordering, holding, waiting, total, most pieces in stock, most pieces owed."""
    return answer("ORDER_COSTS", orders, annual_pieces, order_cost, breaks, holding_rate, storage_cost, incremental, annual_output, backorder_cost)


@xw.func(category="Quoting: Reorders")
@xw.arg("annual_pieces", CellValues, doc="Pieces used or sold in a year, evenly. (more than 0, up to 1e9 [pieces/year])")
@xw.arg("order_cost", CellValues, doc="What one order costs whatever its size: paperwork, receiving, or set-up of the run. (more than 0, up to 1e12 [currency])")
@xw.arg("breaks", CellValues, doc="One row for each price, as for BUY_COST; one row from 0 where there is one price. Nothing smaller than the first from-quantity can be ordered. (rows of from quantity, price; from quantity growing from row to row)")
@xw.arg("holding_rate", CellValues, doc="Cost of holding for a year, as a share of the price paid. (0 to 1 [fraction/year], 0 if left out)")
@xw.arg("storage_cost", CellValues, doc="Cost of holding a piece for a year that does not go with the price, such as its place. (0 to 1e12 [currency/piece/year], 0 if left out)")
@xw.arg("incremental", CellValues, doc="FALSE where the price reached holds for the whole order; TRUE where each price holds only for its own stretch. (TRUE or FALSE, FALSE if left out)")
@xw.arg("annual_output", CellValues, doc="Pieces a year that come in while an order is being made; more than is used. Left out, an order comes at once. (more than 0, up to 1e12 [pieces/year], no limit if left out)")
@xw.arg("backorder_cost", CellValues, doc="Cost of a piece that customers wait for, for a year of waiting; left out, nobody waits. (more than 0, up to 1e12 [currency], no limit if left out)")
def BEST_ORDER(annual_pieces, order_cost, breaks, holding_rate=None, storage_cost=None, incremental=None, annual_output=None, backorder_cost=None):
    """Whole pieces to order each time, so that a year costs the least, price breaks included. Gives: The exact best of all whole orders; of orders that cost the same, the smallest."""
    return answer("BEST_ORDER", annual_pieces, order_cost, breaks, holding_rate, storage_cost, incremental, annual_output, backorder_cost)


@xw.func(category="Quoting: Reorders")
@xw.arg("annual_pieces", CellValues, doc="Pieces used or sold in a year, evenly. (more than 0, up to 1e9 [pieces/year])")
@xw.arg("order_cost", CellValues, doc="What one order costs whatever its size: paperwork, receiving, or set-up of the run. (more than 0, up to 1e12 [currency])")
@xw.arg("breaks", CellValues, doc="One row for each price, as for BUY_COST; one row from 0 where there is one price. (rows of from quantity, price; from quantity growing from row to row)")
@xw.arg("holding_rate", CellValues, doc="Cost of holding for a year, as a share of the price paid. (0 to 1 [fraction/year], 0 if left out)")
@xw.arg("storage_cost", CellValues, doc="Cost of holding a piece for a year that does not go with the price, such as its place. (0 to 1e12 [currency/piece/year], 0 if left out)")
@xw.arg("incremental", CellValues, doc="FALSE where the price reached holds for the whole order; TRUE where each price holds only for its own stretch. (TRUE or FALSE, FALSE if left out)")
@xw.arg("annual_output", CellValues, doc="Pieces a year that come in while an order is being made; more than is used. Left out, an order comes at once. (more than 0, up to 1e12 [pieces/year], no limit if left out)")
@xw.arg("backorder_cost", CellValues, doc="Cost of a piece that customers wait for, for a year of waiting; left out, nobody waits. (more than 0, up to 1e12 [currency], no limit if left out)")
@xw.arg("rows", CellValues, doc="Rows there is room for. (whole, 1 to 1000 [rows], one for each band if left out)")
def BAND_ORDERS(annual_pieces, order_cost, breaks, holding_rate=None, storage_cost=None, incremental=None, annual_output=None, backorder_cost=None, rows=None):
    """Best whole order within each price band, and what a year costs with it: why BEST_ORDER is what it is. Gives: Each row: from quantity and price of the band, the best order in it, the cost of a year. Blank rows after them."""
    return answer("BAND_ORDERS", annual_pieces, order_cost, breaks, holding_rate, storage_cost, incremental, annual_output, backorder_cost, rows)


@xw.func(category="Quoting: Lot sizes")
@xw.arg("demands", CellValues, doc="Pieces asked for in each period. (one row or column of up to 1000 cells, each 0 to 1e9 [pieces])")
@xw.arg("setup_costs", CellValues, doc="Cost of a lot whatever its size: one cell, or one for each period. (one row or column of up to 1000 cells, each 0 to 1e12 [currency])")
@xw.arg("holding_costs", CellValues, doc="Cost of a piece in stock at the end of a period: one cell, or one for each period. (one row or column of up to 1000 cells, each 0 to 1e12 [currency])")
@xw.arg("unit_costs", CellValues, doc="Cost of a piece made or bought in a period: one cell, or one for each period. (one row or column of up to 1000 cells, each 0 to 1e12 [currency], 0 if left out)")
@xw.arg("starting_stock", CellValues, doc="Pieces in stock before the first period; they are used first. (0 to 1e9 [pieces], 0 if left out)")
@xw.arg("final_stock", CellValues, doc="Pieces that have to be in stock at the end of the last period. (0 to 1e9 [pieces], 0 if left out)")
@xw.arg("rows", CellValues, doc="Rows there is room for. (whole, 1 to 1000 [rows], one for each period if left out)")
def WAGNER_WHITIN_LOTS(demands, setup_costs, holding_costs, unit_costs=None, starting_stock=None, final_stock=None, rows=None):
    """Lot of each period in the plan that costs the least, exactly. Gives: A column: the lot of each period, at its beginning; 0 where there is none. Blank rows after them."""
    return answer("WAGNER_WHITIN_LOTS", demands, setup_costs, holding_costs, unit_costs, starting_stock, final_stock, rows)


@xw.func(category="Quoting: Lot sizes")
@xw.arg("demands", CellValues, doc="Pieces asked for in each period. (one row or column of up to 1000 cells, each 0 to 1e9 [pieces])")
@xw.arg("setup_costs", CellValues, doc="Cost of a lot whatever its size: one cell, or one for each period. (one row or column of up to 1000 cells, each 0 to 1e12 [currency])")
@xw.arg("holding_costs", CellValues, doc="Cost of a piece in stock at the end of a period: one cell, or one for each period. (one row or column of up to 1000 cells, each 0 to 1e12 [currency])")
@xw.arg("starting_stock", CellValues, doc="Pieces in stock before the first period; they are used first. (0 to 1e9 [pieces], 0 if left out)")
@xw.arg("final_stock", CellValues, doc="Pieces that have to be in stock at the end of the last period. (0 to 1e9 [pieces], 0 if left out)")
@xw.arg("rows", CellValues, doc="Rows there is room for. (whole, 1 to 1000 [rows], one for each period if left out)")
def SILVER_MEAL_LOTS(demands, setup_costs, holding_costs, starting_stock=None, final_stock=None, rows=None):
    """Lot of each period by the rule of thumb of Silver and Meal. Gives: A column: the lot of each period, at its beginning; 0 where there is none. Blank rows after them."""
    return answer("SILVER_MEAL_LOTS", demands, setup_costs, holding_costs, starting_stock, final_stock, rows)


@xw.func(category="Quoting: Lot sizes")
@xw.arg("demands", CellValues, doc="Pieces asked for in each period. (one row or column of up to 1000 cells, each 0 to 1e9 [pieces])")
@xw.arg("setup_costs", CellValues, doc="Cost of a lot whatever its size: one cell, or one for each period. (one row or column of up to 1000 cells, each 0 to 1e12 [currency])")
@xw.arg("holding_costs", CellValues, doc="Cost of a piece in stock at the end of a period: one cell, or one for each period. (one row or column of up to 1000 cells, each 0 to 1e12 [currency])")
@xw.arg("unit_costs", CellValues, doc="Cost of a piece made or bought in a period: one cell, or one for each period. (one row or column of up to 1000 cells, each 0 to 1e12 [currency], 0 if left out)")
@xw.arg("starting_stock", CellValues, doc="Pieces in stock before the first period; they are used first. (0 to 1e9 [pieces], 0 if left out)")
@xw.arg("final_stock", CellValues, doc="Pieces that have to be in stock at the end of the last period. (0 to 1e9 [pieces], 0 if left out)")
def SILVER_MEAL_EXTRA(demands, setup_costs, holding_costs, unit_costs=None, starting_stock=None, final_stock=None):
    """What the rule of thumb of Silver and Meal costs more than the best plan. Gives: One row: cost of the best plan, cost by the rule, what the rule costs more, and that as a share of the best plan."""
    return answer("SILVER_MEAL_EXTRA", demands, setup_costs, holding_costs, unit_costs, starting_stock, final_stock)


@xw.func(category="Quoting: Lot sizes")
@xw.arg("lots", CellValues, doc="Lot of each period, at its beginning; 0 for none. Periods left out at the end have none. (one row or column of up to 1000 cells, each 0 to 1e12 [pieces])")
@xw.arg("demands", CellValues, doc="Pieces asked for in each period. (one row or column of up to 1000 cells, each 0 to 1e9 [pieces])")
@xw.arg("setup_costs", CellValues, doc="Cost of a lot whatever its size: one cell, or one for each period. (one row or column of up to 1000 cells, each 0 to 1e12 [currency])")
@xw.arg("holding_costs", CellValues, doc="Cost of a piece in stock at the end of a period, the last one included: one cell, or one for each period. (one row or column of up to 1000 cells, each 0 to 1e12 [currency])")
@xw.arg("unit_costs", CellValues, doc="Cost of a piece made or bought in a period: one cell, or one for each period. (one row or column of up to 1000 cells, each 0 to 1e12 [currency], 0 if left out)")
@xw.arg("starting_stock", CellValues, doc="Pieces in stock before the first period. (0 to 1e9 [pieces], 0 if left out)")
def LOTS_COST(lots, demands, setup_costs, holding_costs, unit_costs=None, starting_stock=None):
    """Cost of a plan of lots: setups, pieces, and stock at the end of each period. Gives: Cost of all periods, not rounded."""
    return answer("LOTS_COST", lots, demands, setup_costs, holding_costs, unit_costs, starting_stock)


@xw.func(category="Quoting: Lot sizes")
@xw.arg("lots", CellValues, doc="Lot of each period, at its beginning; 0 for none. Periods left out at the end have none. (one row or column of up to 1000 cells, each 0 to 1e12 [pieces])")
@xw.arg("demands", CellValues, doc="Pieces asked for in each period. (one row or column of up to 1000 cells, each 0 to 1e9 [pieces])")
@xw.arg("starting_stock", CellValues, doc="Pieces in stock before the first period. (0 to 1e9 [pieces], 0 if left out)")
@xw.arg("rows", CellValues, doc="Rows there is room for. (whole, 1 to 1000 [rows], one for each period if left out)")
def LOTS_STOCK(lots, demands, starting_stock=None, rows=None):
    """Stock at the end of each period of a plan of lots. Gives: A column: pieces in stock at the end of each period. Blank rows after them."""
    return answer("LOTS_STOCK", lots, demands, starting_stock, rows)


@xw.func(category="Quoting: Investment")
@xw.arg("annual_rate", CellValues, doc="Yearly rate that the money could earn elsewhere. (more than -1, up to 1e9 [fraction/year])")
@xw.arg("flows", CellValues, doc="Cash flows: the first is now, the next a year from now; money out is negative. Write 0 for a year without. (one row or column of up to 400 cells, each -1e12 to 1e12 [currency])")
def NET_PRESENT_VALUE(annual_rate, flows):
    """Worth today of cash flows, the first of them now. Gives: Net present value, not rounded."""
    return answer("NET_PRESENT_VALUE", annual_rate, flows)


@xw.func(category="Quoting: Investment")
@xw.arg("flows", CellValues, doc="Cash flows: the first is now, the next a year from now; money out is negative. (one row or column of up to 400 cells, each -1e12 to 1e12 [currency])")
@xw.arg("annual_rate", CellValues, doc="Yearly rate that the money could earn elsewhere. (0 to 1 [fraction/year])")
@xw.arg("rows", CellValues, doc="Rows there is room for. (whole, 1 to 1000 [rows], one for each flow if left out)")
def CASH_FLOW_TABLE(flows, annual_rate, rows=None):
    """Cash flows opened up, year by year: what they are worth today and what they add up to. Gives: Each row: year, flow, its worth today, the flows so far, their worth today so far. Blank rows after them."""
    return answer("CASH_FLOW_TABLE", flows, annual_rate, rows)


@xw.func(category="Quoting: Investment")
@xw.arg("flows", CellValues, doc="Cash flows: the first is now, the next a year from now; money out is negative. (one row or column of up to 400 cells, each -1e12 to 1e12 [currency])")
@xw.arg("rows", CellValues, doc="Rows there is room for. (whole, 1 to 1000 [rows], one for each rate if left out)")
def RATES_OF_RETURN(flows, rows=None):
    """Every internal rate of return of the cash flows: each rate at which their net present value is zero."""
    return answer("RATES_OF_RETURN", flows, rows)


@xw.func(category="Quoting: Investment")
@xw.arg("flows", CellValues, doc="Cash flows: the first is now, the next a year from now; money out is negative. (one row or column of up to 400 cells, each -1e12 to 1e12 [currency])")
def RATE_OF_RETURN(flows):
    """The internal rate of return of cash flows that have just one. Gives: The yearly rate at which the net present value is zero."""
    return answer("RATE_OF_RETURN", flows)


@xw.func(category="Quoting: Investment")
@xw.arg("flows", CellValues, doc="Cash flows: the first is now, the next a year from now; money out is negative. (one row or column of up to 400 cells, each -1e12 to 1e12 [currency])")
@xw.arg("annual_rate", CellValues, doc="Yearly rate for the discounted payback; at 0 the simple payback. (0 to 1 [fraction/year], 0 if left out)")
def PAYBACK_YEARS(flows, annual_rate=None):
    """Years until the money put in has come back, and stays so. Gives: Years with their fraction, each year's flow taken as coming in evenly over it."""
    return answer("PAYBACK_YEARS", flows, annual_rate)


@xw.func(category="Quoting: Investment")
@xw.arg("flows", CellValues, doc="Cash flows: the first is now, the next a year from now, two at least; money out is negative. (one row or column of up to 400 cells, each -1e12 to 1e12 [currency])")
@xw.arg("annual_rate", CellValues, doc="Yearly rate that the money could earn elsewhere. (0 to 1 [fraction/year])")
def ANNUAL_WORTH(flows, annual_rate):
    """The same amount in every year that is worth as much as the cash flows: what an investment earns or costs a year. Gives: Amount at the end of each year, not rounded; for an outlay and a salvage value alone, minus ANNUAL_EQUIVALENT."""
    return answer("ANNUAL_WORTH", flows, annual_rate)


@xw.func(category="Quoting: Investment")
@xw.arg("flows", CellValues, doc="Cash flows: the first is the outlay now, below 0; the next a year from now. (one row or column of up to 400 cells, each -1e12 to 1e12 [currency])")
@xw.arg("annual_rate", CellValues, doc="Yearly rate that the money could earn elsewhere. (0 to 1 [fraction/year])")
def PROFITABILITY_INDEX(flows, annual_rate):
    """What comes back for each unit of money laid out now, in today's worth; it pays where this is more than 1. Gives: Worth today of the later flows, over the outlay."""
    return answer("PROFITABILITY_INDEX", flows, annual_rate)


@xw.func(category="Quoting: Investment")
@xw.arg("cost", CellValues, doc="Price paid now, installed. (more than 0, up to 1e12 [currency])")
@xw.arg("salvage", CellValues, doc="What it still fetches at the end; not more than the cost. (0 to 1e12 [currency])")
@xw.arg("years", CellValues, doc="Years it is kept. (whole, 1 to 100 [years])")
@xw.arg("annual_pieces", CellValues, doc="Pieces made in a year. (more than 0, up to 1e9 [pieces/year])")
@xw.arg("unit_now", CellValues, doc="Cost of a piece without it: what would no longer be spent. (0 to 1e12 [currency])")
@xw.arg("unit_with", CellValues, doc="Cost of a piece with it, its own price and running cost left out. (0 to 1e12 [currency])")
@xw.arg("annual_running_cost", CellValues, doc="Energy, upkeep and floor space for a year. (0 to 1e12 [currency], 0 if left out)")
@xw.arg("rows", CellValues, doc="Rows there is room for. (whole, 1 to 1000 [rows], one for each flow if left out)")
def EQUIPMENT_FLOWS(cost, salvage, years, annual_pieces, unit_now, unit_with, annual_running_cost=None, rows=None):
    """Cash flows of a press, roller or jig that makes a piece cheaper: its price, what it saves each year, its salvage. Gives: A column: now, then each year. Blank rows after them."""
    return answer("EQUIPMENT_FLOWS", cost, salvage, years, annual_pieces, unit_now, unit_with, annual_running_cost, rows)


@xw.func(category="Quoting: Investment")
@xw.arg("annual_pieces", CellValues, doc="Pieces made in a year. (more than 0, up to 1e9 [pieces/year])")
@xw.arg("cost", CellValues, doc="Price paid now, installed. (more than 0, up to 1e12 [currency])")
@xw.arg("salvage", CellValues, doc="What it still fetches at the end; not more than the cost. (0 to 1e12 [currency])")
@xw.arg("years", CellValues, doc="Years it is kept. (more than 0, up to 100 [years])")
@xw.arg("annual_rate", CellValues, doc="Yearly rate that the money could earn elsewhere. (0 to 1 [fraction/year])")
@xw.arg("unit_now", CellValues, doc="Cost of a piece without it: what would no longer be spent. (0 to 1e12 [currency])")
@xw.arg("unit_with", CellValues, doc="Cost of a piece with it, its own price and running cost left out. (0 to 1e12 [currency])")
@xw.arg("annual_running_cost", CellValues, doc="Energy, upkeep and floor space for a year. (0 to 1e12 [currency], 0 if left out)")
def EQUIPMENT_SAVING(annual_pieces, cost, salvage, years, annual_rate, unit_now, unit_with, annual_running_cost=None):
    """What a press, roller or jig saves in a year over its own yearly cost; it pays where this is above 0. Gives: Pieces x (unit_now - unit_with), less ANNUAL_EQUIVALENT and the running cost; not rounded."""
    return answer("EQUIPMENT_SAVING", annual_pieces, cost, salvage, years, annual_rate, unit_now, unit_with, annual_running_cost)


@xw.func(category="Quoting: Investment")
@xw.arg("cost", CellValues, doc="Price paid now, installed. (more than 0, up to 1e12 [currency])")
@xw.arg("salvage", CellValues, doc="What it still fetches at the end; not more than the cost. (0 to 1e12 [currency])")
@xw.arg("years", CellValues, doc="Years it is kept. (more than 0, up to 100 [years])")
@xw.arg("annual_rate", CellValues, doc="Yearly rate that the money could earn elsewhere. (0 to 1 [fraction/year])")
@xw.arg("unit_now", CellValues, doc="Cost of a piece without it: what would no longer be spent. (0 to 1e12 [currency])")
@xw.arg("unit_with", CellValues, doc="Cost of a piece with it, its own price and running cost left out. (0 to 1e12 [currency])")
@xw.arg("annual_running_cost", CellValues, doc="Energy, upkeep and floor space for a year. (0 to 1e12 [currency], 0 if left out)")
def EQUIPMENT_BREAK_EVEN(cost, salvage, years, annual_rate, unit_now, unit_with, annual_running_cost=None):
    """Pieces a year from which a press, roller or jig pays. Gives: Smallest whole number of pieces a year that saves what it costs."""
    return answer("EQUIPMENT_BREAK_EVEN", cost, salvage, years, annual_rate, unit_now, unit_with, annual_running_cost)


@xw.func(category="Quoting: Investment")
@xw.arg("order_pieces", CellValues, doc="Good pieces of each order. (whole, 1 to 1e9 [pieces])")
@xw.arg("annual_orders", CellValues, doc="Orders in a year. (whole, 1 to 1e6 [runs])")
@xw.arg("lines_make", CellValues, doc="Cost lines of making, such as the route with transfers printed in the shop. (rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate)")
@xw.arg("lines_buy", CellValues, doc="Cost lines of buying, such as the route with bought transfers. (rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate)")
@xw.arg("annual_cost", CellValues, doc="What making costs for a year whatever the volume: ANNUAL_EQUIVALENT of a press and its running cost, so far as the lines of making do not charge them already. (0 to 1e12 [currency], 0 if left out)")
def MAKE_SAVING(order_pieces, annual_orders, lines_make, lines_buy, annual_cost=None):
    """What making in the shop saves in a year over buying in; it pays where this is above 0. Gives: Orders x (cost bought - cost made), less the yearly cost; not rounded."""
    return answer("MAKE_SAVING", order_pieces, annual_orders, lines_make, lines_buy, annual_cost)


@xw.func(category="Quoting: Investment")
@xw.arg("order_pieces", CellValues, doc="Good pieces of each order. (whole, 1 to 1e9 [pieces])")
@xw.arg("lines_make", CellValues, doc="Cost lines of making, such as the route with transfers printed in the shop. (rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate)")
@xw.arg("lines_buy", CellValues, doc="Cost lines of buying, such as the route with bought transfers. (rows of [once], [per step], [every], [at least], rate, then any number of from quantity and rate)")
@xw.arg("annual_cost", CellValues, doc="What making costs for a year whatever the volume: ANNUAL_EQUIVALENT of a press and its running cost, so far as the lines of making do not charge them already. (0 to 1e12 [currency])")
def MAKE_PAYS_FROM(order_pieces, lines_make, lines_buy, annual_cost):
    """Pieces a year, in whole orders of one size, from which making in the shop pays. Gives: Smallest number of orders that saves the yearly cost, times the pieces of each."""
    return answer("MAKE_PAYS_FROM", order_pieces, lines_make, lines_buy, annual_cost)


@xw.func(category="Quoting: Guard")
def LIBRARY_VERSION():
    """Version of the library that works out the cells; without the library the cell shows #NAME?. Gives: The version, as text."""
    return answer("LIBRARY_VERSION")


@xw.func(category="Quoting: Guard")
@xw.arg("function_name", CellValues, doc="Name of the function, as typed into a cell, in quotes. (text, not blank)")
@xw.arg("*arguments", CellValues, doc="The same cells or numbers, in the same order, as that function was given. (a range of cells)")
def REASON(function_name, *arguments):
    """Why a call is refused, in words; blank when the call is good. Gives: The message, or a blank text. Where the call itself would give a range, the first messages, each with its place."""
    return answer("REASON", function_name, *arguments)


@xw.func(category="Quoting: Guard")
@xw.arg("labels", CellValues, doc="What each input is called, as the message shall call it. (a range of cells)")
@xw.arg("values", CellValues, doc="The inputs, a range of the same shape as the labels. (a range of cells)")
@xw.arg("kinds", CellValues, doc="The kind of each input, such as money or pieces; money, may be blank where it can be left out. (a range of cells)")
@xw.arg("codes", CellValues, doc="The codes of the price list, where each input of the kind code must be one of them. (a range of cells, none if left out)")
def INPUT_FAULTS(labels, values, kinds, codes=None):
    """Every input that is blank or not allowed, named in one line; blank when all are good. Gives: One fault after the other, joined by semicolons, or a blank text."""
    return answer("INPUT_FAULTS", labels, values, kinds, codes)
