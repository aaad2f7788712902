"""The three ways to print a piece, each as cost lines with their drivers.

This is the one statement of what a run costs.  Run on numbers it gives a cost curve; run on the workbook's input cells
(`Job.of_cells()`, `ShopRates.of_cells()`) it gives the formulas that stand in the workbook.  So a route may not branch on a
value: it uses the library's functions and elementwise.py.

Every element of a job's cost has a line, and every line one driver.  How often a driver occurs in a run is written as in
curve.py: `once` for the run, `per_step` for every step of so many good pieces (`every`), and `at_least`.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, NamedTuple

from quotelib.buying import price_breaks, price_on
from quotelib.curve import CurveLine
from quotelib.elementwise import smaller
from quotelib.job import Job
from quotelib.labour import colour_minutes
from quotelib.mesh import ink_film, ink_per_print, plate_ink_per_print
from quotelib.rates import ShopRates
from quotelib.rejects import rolled_yield
from quotelib.setup import annual_equivalent, machine_hour_rate
from quotelib.transfers import transfer_passes, up_per_sheet

PER_DESIGN = "once per design"
PER_COLOUR = "per colour per design"
PER_RUN = "per run"
PER_TOOL = "per tool life"
PER_SHEET = "per sheet"
PER_SESSION = "per session"
PER_PIECE = "per piece"
PER_HOUR = "per machine hour"

BLANK_BANDS = 3
"""Price bands read for a blank, the first included."""


@dataclass(frozen=True)
class CostLine:
    """One cost element of a route: how much of its driver a run takes, and what a unit of that costs.

    The fields hold numbers, or the formulas of cells.  See curve.CurveLine for once, per_step, every and at_least.
    """

    element: str
    driver: str
    unit: str
    rate: Any
    """Money for a unit; for a price with breaks, the row that PRICE_BREAKS gives."""
    source: str
    """Where the rate comes from: the price list and its code, or the shop rate."""
    once: Any = 0
    per_step: Any = 0
    every: Any = 0
    at_least: Any = 0

    def in_numbers(self) -> CurveLine:
        """The line of the cost curve."""
        rate, *more = self.rate[0] if isinstance(self.rate, (tuple, list)) else (self.rate,)
        breaks = [(start, there) for start, there in zip(more[::2], more[1::2], strict=True) if start != ""]
        return CurveLine(self.once, self.per_step, self.every, self.at_least, rate, tuple(breaks))


class Step(NamedTuple):
    """A figure worked out on the way to the lines, with a name of its own."""

    route: str
    name: str
    title: str
    value: Any
    unit: str


class Workings:
    """Where the routes write down their steps, in order."""

    def __init__(self) -> None:
        self.steps: list[Step] = []
        self.route = ""

    def __call__(self, name: str, title: str, value: Any, unit: str) -> Any:
        """Write down a step, and go on with its value."""
        self.steps.append(Step(self.route, name, title, value, unit))
        return value


class Desk:
    """A job, the shop's rates and the price list laid out together, and what every route needs of them."""

    def __init__(self, job: Job, rates: ShopRates, price_rows: Any, note: Workings) -> None:
        self.job, self.rates, self.price_rows, self.note = job, rates, price_rows, note
        labour_hour = rates.labour_rate * (1 + rates.burden)
        self.labour_minute = note("labour_minute", "A minute of one operator", labour_hour / 60, "currency/minute")
        self.image_cm2 = note("image_cm2", "Image area", job.image_w_mm * job.image_h_mm / 100, "cm2")
        self.blank_price = note("blank_price", "A blank, without price breaks", self.price(job.blank_code), "currency")
        self.screen_runs = note(
            "screen_runs", "Runs that share a screen", smaller(job.runs_expected, rates.runs_per_screen), "runs"
        )

    def price(self, code: Any) -> Any:
        """What one quoting unit of a material costs on the day of the quote, taken from stock."""
        return price_on(code, 0, self.job.quote_day, self.price_rows)

    def material(self, element: str, driver: str, unit: str, code: str, **quantity: Any) -> CostLine:
        """A material from the price list, by the name of its code among the rates."""
        return CostLine(element, driver, unit, self.price(getattr(self.rates, code)), f"price list: {code}", **quantity)

    def labour(self, element: str, driver: str, **quantity: Any) -> CostLine:
        """Minutes of one operator."""
        return CostLine(element, driver, "minutes", self.labour_minute, "shop rates: labour_rate", **quantity)

    def machine(self, element: str, name: str, **minutes: Any) -> CostLine:
        """Minutes of one of the shop's machines, whose rates begin with `name`, at its hour rate."""
        rates = self.rates
        cost, salvage, years, running, hours = (
            getattr(rates, f"{name}_{part}") for part in ("cost", "salvage", "years", "running_cost", "hours")
        )
        owning = self.note(
            f"{name}_year", f"{element}: owning it for a year",
            annual_equivalent(cost, salvage, years, rates.annual_rate), "currency/year",
        )  # fmt: skip
        hour = self.note(f"{name}_hour", f"{element}: an hour", machine_hour_rate(owning, running, hours), "currency/hour")
        return CostLine(element, PER_HOUR, "minutes", hour / 60, f"shop rates: {name}_cost", **minutes)

    def artwork(self) -> CostLine:
        """The design's artwork and separations, shared over the runs expected of it."""
        minutes = self.rates.artwork_minutes + self.job.colours * self.rates.separation_minutes
        rate, source = self.rates.artwork_rate / 60, "shop rates: artwork_rate"
        return CostLine(
            "Artwork and separations", PER_DESIGN, "minutes", rate, source, once=minutes / self.job.runs_expected
        )

    def films(self, count: Any) -> CostLine:
        """One film positive for each screen or plate."""
        return self.material("Film positives", PER_COLOUR, "pieces", "film_code", once=count / self.job.runs_expected)

    def screens(self, count: Any, minutes: Any, every: Any) -> list[CostLine]:
        """Screens made and made again when worn (after `every` good pieces), shared over the runs they are kept for."""
        rates, made = self.rates, count / self.screen_runs
        life: dict[str, Any] = {"every": every / self.screen_runs}
        return [
            self.labour("Making screens", PER_COLOUR, per_step=made * minutes, **life),
            self.material("Emulsion", PER_COLOUR, "mL", "emulsion_code", per_step=made * rates.screen_emulsion_ml, **life),
            self.material("Screen tape", PER_COLOUR, "mm", "tape_code", per_step=made * rates.screen_tape_mm, **life),
        ]

    def blanks(self, good_share: Any) -> list[CostLine]:
        """The blanks that are started, at the price of that quantity, less what the rejects still fetch."""
        breaks = price_breaks(self.job.blank_code, self.job.quote_day, self.price_rows, BLANK_BANDS)
        seconds = -self.rates.seconds_share * self.blank_price
        return [
            CostLine("Blanks", PER_PIECE, "pieces", breaks, "price list: blank_code", per_step=1, every=good_share),
            CostLine(
                "Rejects sold as seconds", PER_PIECE, "pieces", seconds, "shop rates: seconds_share",
                per_step=1 / good_share - 1,
            ),
        ]  # fmt: skip


def by_hand(desk: Desk) -> list[CostLine]:
    """Screen printing by hand: one operator prints colour after colour through the whole run, on frames bent to shape."""
    job, rates, note = desk.job, desk.rates, desk.note
    good = note("hand_good_share", "Pieces good of those started", rolled_yield(rates.hand_yield, job.colours), "fraction")
    minutes = note(
        "hand_print_minutes", "Printing a piece started, all colours",
        colour_minutes(job.colours, 1, rates.hand_piece_minutes, 0, 0, rates.hand_yield), "minutes",
    )  # fmt: skip
    film = note(
        "hand_film_um", "Wet ink film of a colour",
        ink_film(rates.hand_threads_per_cm, rates.hand_thread_um, rates.hand_fabric_um, rates.hand_transfer_share), "um",
    )  # fmt: skip
    ink = note("hand_ink_ml", "Ink of a colour on a piece", ink_per_print(desk.image_cm2, job.coverage, film), "mL")
    colours = job.colours
    return [
        desk.artwork(),
        desk.films(colours),
        *desk.screens(colours, rates.hand_screen_minutes, rates.screen_life * good),
        desk.material(
            "Mesh", PER_TOOL, "cm2", "mesh_code", per_step=colours * rates.screen_mesh_cm2 / rates.mesh_life, every=good
        ),
        desk.labour("Make-ready", PER_RUN, once=colours * rates.hand_makeready_minutes),
        desk.labour("Mixing inks", PER_RUN, once=colours * rates.hand_mix_minutes),
        desk.labour("First-off approval", PER_RUN, once=rates.hand_approval_minutes),
        desk.labour("Wash-up", PER_RUN, once=colours * rates.hand_washup_minutes),
        desk.material("Screen wash", PER_RUN, "mL", "wash_code", once=colours * rates.hand_wash_ml),
        *desk.blanks(good),
        desk.labour("Preparing pieces", PER_PIECE, per_step=rates.hand_prepare_minutes, every=good),
        desk.material("Wipes", PER_PIECE, "pieces", "wipe_code", per_step=1, every=good),
        desk.material("Primer", PER_PIECE, "mL", "primer_code", per_step=rates.primer_ml, every=good),
        desk.labour("Printing, colour after colour", PER_PIECE, per_step=minutes, every=good),
        desk.material(
            "Ink", PER_PIECE, "mL", "hand_ink_code",
            once=colours * rates.hand_loss_ml, per_step=colours * ink, every=good, at_least=colours * rates.hand_mix_ml,
        ),
        desk.material(
            "Squeegee blades", PER_TOOL, "mm", "blade_code",
            per_step=colours * rates.hand_squeegee_mm / rates.hand_squeegee_life, every=good,
        ),
        CostLine(
            "Jig", PER_TOOL, "pieces", rates.jig_cost / rates.jig_life, "shop rates: jig_cost", per_step=1, every=good
        ),
        desk.machine(
            "Hand table", "table",
            once=colours * (rates.hand_makeready_minutes + rates.hand_washup_minutes), per_step=minutes, every=good,
        ),
        desk.labour("Finishing and packing", PER_PIECE, per_step=rates.hand_finish_minutes),
        desk.material("Packing", PER_PIECE, "pieces", "pack_code", per_step=1),
    ]  # fmt: skip


def heat_transfer(desk: Desk) -> list[CostLine]:
    """Heat transfer: colours, white and adhesive screen-printed on release film, then pressed on through the roller."""
    job, rates, note = desk.job, desk.rates, desk.note
    passes = note(
        "transfer_passes", "Passes: colours, white, adhesive",
        transfer_passes(job.colours, rates.white_layers, rates.adhesive_layers), "passes",
    )  # fmt: skip
    up = note(
        "transfers_up", "Transfers on a sheet",
        up_per_sheet(
            rates.sheet_w_mm, rates.sheet_h_mm, job.image_w_mm, job.image_h_mm,
            rates.sheet_gutter_mm, rates.sheet_margin_mm, rates.sheet_gripper_mm,
        ), "transfers",
    )  # fmt: skip
    pieces = note(
        "sheet_pieces", "Good pieces from a printed sheet",
        up * (1 - rates.running_waste) * (1 - rates.left_share) * rates.roller_yield, "pieces",
    )  # fmt: skip
    film = note(
        "uv_film_um", "Wet ink film of a pass",
        ink_film(rates.uv_threads_per_cm, rates.uv_thread_um, rates.uv_fabric_um, rates.uv_transfer_share), "um",
    )  # fmt: skip
    ink = note("uv_ink_ml", "Ink of a colour on a sheet", up * ink_per_print(desk.image_cm2, job.coverage, film), "mL")
    backing = note(
        "uv_backing_ml", "White or adhesive layer on a sheet",
        up * ink_per_print(desk.image_cm2, rates.backing_coverage, film), "mL",
    )  # fmt: skip
    overs = note("overs", "Sheets spoiled in make-ready", passes * rates.overs_per_pass, "sheets")
    run_minutes = note("sheet_minutes", "Printing a sheet, all passes", passes * 60 / rates.flat_sheets_per_hour, "minutes")
    press_minutes = note("press_minutes", "Pressing a piece", 60 / rates.roller_pieces_per_hour, "minutes")
    sheets: dict[str, Any] = {"every": pieces}
    pressed: dict[str, Any] = {"every": rates.roller_yield}

    def layers(element: str, code: str, count: Any, each_sheet: Any) -> CostLine:
        """The ink of so many layers on every printed sheet."""
        return desk.material(
            element, PER_SHEET, "mL", code,
            once=count * rates.uv_loss_ml + overs * count * each_sheet, per_step=count * each_sheet, every=pieces,
            at_least=count * rates.uv_mix_ml,
        )  # fmt: skip

    return [
        desk.artwork(),
        desk.films(passes),
        *desk.screens(passes, rates.flat_screen_minutes, rates.screen_life * pieces),
        desk.material(
            "Mesh", PER_TOOL, "cm2", "mesh_code", per_step=passes * rates.screen_mesh_cm2 / rates.mesh_life, every=pieces
        ),
        desk.labour("Make-ready", PER_RUN, once=passes * rates.flat_makeready_minutes),
        desk.labour("Mixing inks", PER_RUN, once=job.colours * rates.flat_mix_minutes),
        desk.labour("Wash-up", PER_RUN, once=passes * rates.flat_washup_minutes),
        desk.material("Screen wash", PER_RUN, "mL", "wash_code", once=passes * rates.uv_wash_ml),
        desk.material("Release film", PER_SHEET, "sheets", "release_film_code", once=overs, per_step=1, **sheets),
        desk.labour("Printing sheets", PER_SHEET, once=overs * run_minutes, per_step=run_minutes, **sheets),
        layers("UV ink", "uv_ink_code", job.colours, ink),
        layers("White", "uv_white_code", rates.white_layers, backing),
        layers("Adhesive", "adhesive_code", rates.adhesive_layers, backing),
        desk.machine(
            "Flat press and UV lamp", "flat",
            once=passes * (rates.flat_makeready_minutes + rates.flat_washup_minutes) + overs * run_minutes,
            per_step=run_minutes, **sheets,
        ),
        desk.labour("Cutting", PER_SHEET, per_step=rates.cut_minutes, **sheets),
        *desk.blanks(rates.roller_yield),
        desk.labour(
            "Roller warm-up", PER_SESSION,
            per_step=rates.roller_crew * rates.roller_warmup_minutes, every=rates.pieces_per_session,
        ),
        desk.labour("Pressing", PER_PIECE, per_step=rates.roller_crew * press_minutes, **pressed),
        desk.machine("Roller", "roller", per_step=press_minutes, **pressed),
        desk.material("Wipes", PER_PIECE, "pieces", "wipe_code", per_step=1, **pressed),
        desk.material("Packing", PER_PIECE, "pieces", "pack_code", per_step=1),
    ]  # fmt: skip


def by_pad(desk: Desk) -> list[CostLine]:
    """Pad printing: from photopolymer plates, exposed to the art and then to a dot screen, by silicone pad."""
    job, rates, note = desk.job, desk.rates, desk.note
    good = note("pad_good_share", "Pieces good of those started", rolled_yield(rates.pad_yield, job.colours), "fraction")
    minutes = note(
        "pad_print_minutes", "Printing a piece started, all colours",
        colour_minutes(job.colours, 1, rates.pad_piece_minutes, 0, 0, rates.pad_yield), "minutes",
    )  # fmt: skip
    ink = note(
        "pad_ink_ml", "Ink of a colour on a piece",
        plate_ink_per_print(desk.image_cm2, job.coverage, rates.pad_etch_um, rates.pad_dot_share, rates.pad_release_share),
        "mL",
    )  # fmt: skip
    colours = job.colours
    plates = note("plates_each_run", "Plates in a set, a run's share", colours / job.runs_expected, "plates")
    life: dict[str, Any] = {"every": rates.pad_plate_life * good / job.runs_expected}
    return [
        desk.artwork(),
        desk.films(colours),
        desk.material("Plates", PER_TOOL, "pieces", "plate_code", per_step=plates, **life),
        desk.labour("Making plates", PER_TOOL, per_step=plates * rates.pad_plate_minutes, **life),
        desk.material("Pads", PER_TOOL, "pieces", "pad_code", per_step=colours / rates.pad_life, every=good),
        desk.labour("Make-ready", PER_RUN, once=colours * rates.pad_makeready_minutes),
        desk.labour("Mixing inks", PER_RUN, once=colours * rates.pad_mix_minutes),
        desk.labour("First-off approval", PER_RUN, once=rates.pad_approval_minutes),
        desk.labour("Wash-up", PER_RUN, once=colours * rates.pad_washup_minutes),
        desk.material("Wash", PER_RUN, "mL", "wash_code", once=colours * rates.pad_wash_ml),
        *desk.blanks(good),
        desk.labour("Preparing pieces", PER_PIECE, per_step=rates.pad_prepare_minutes, every=good),
        desk.material("Wipes", PER_PIECE, "pieces", "wipe_code", per_step=1, every=good),
        desk.labour("Printing, colour after colour", PER_PIECE, per_step=minutes, every=good),
        desk.material(
            "Ink", PER_PIECE, "mL", "pad_ink_code",
            per_step=colours * ink, every=good, at_least=colours * rates.pad_mix_ml,
        ),
        desk.machine(
            "Pad machine", "pad_machine",
            once=colours * (rates.pad_makeready_minutes + rates.pad_washup_minutes), per_step=minutes, every=good,
        ),
        desk.labour("Finishing and packing", PER_PIECE, per_step=rates.pad_finish_minutes),
        desk.material("Packing", PER_PIECE, "pieces", "pack_code", per_step=1),
    ]  # fmt: skip


class Route(NamedTuple):
    """A way to print."""

    key: str
    title: str
    lines: Callable[[Desk], list[CostLine]]

    @property
    def possible_name(self) -> str:
        """The job's field that says whether the item can be printed this way."""
        return f"{self.key}_possible"


ROUTES = (
    Route("hand", "By hand", by_hand),
    Route("transfer", "Heat transfer", heat_transfer),
    Route("pad", "By pad", by_pad),
)


class Costing(NamedTuple):
    """A job worked out by every way there is: the steps, and each route's lines."""

    steps: list[Step]
    lines: dict[str, list[CostLine]]
    """By the key of the route."""


def cost_lines(job: Job, rates: ShopRates, price_rows: Any, note: Workings, routes: tuple[Route, ...] = ROUTES) -> Costing:
    """Work out a job by the given routes."""
    desk = Desk(job, rates, price_rows, note)
    lines = {}
    for route in routes:
        note.route = route.title
        lines[route.key] = route.lines(desk)
    return Costing(note.steps, lines)
