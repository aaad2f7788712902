"""The ways to print a piece, each as cost lines with their drivers.

This is the one statement of what a run costs.  Run on numbers it gives a cost curve; run on the workbook's input cells
(`Job.of_cells()`, `ShopRates.of_cells()`) it gives the formulas that stand in the workbook.  So a route may not branch on a
value: it uses the library's functions and elementwise.py.

Every element of a job's cost has a line, and every line one driver.  How often a driver occurs in a run is written as in
curve.py: `once` for the run, `per_step` for every step of so many good pieces (`every`), and `at_least`.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

from quotelib.chapters.buying import price_breaks, price_on
from quotelib.chapters.curve import CurveLine
from quotelib.chapters.labour import colour_minutes, elapsed_minutes
from quotelib.chapters.mesh import hand_colours_felt, ink_film, ink_per_print, plate_ink_per_print
from quotelib.chapters.rejects import pieces_to_start, rolled_yield
from quotelib.chapters.setup import annual_equivalent, machine_hour_rate
from quotelib.chapters.transfers import transfer_passes, up_per_sheet
from quotelib.elementwise import larger, smaller, where
from quotelib.job import Job
from quotelib.rates import ShopRates

PER_DESIGN = "once per design"
PER_COLOUR = "per colour per design"
PER_RUN = "per run"
PER_TOOL = "per tool life"
PER_SHEET = "per sheet"
PER_SESSION = "per session"
PER_PIECE = "per piece"
PER_HOUR = "per machine hour"

PRICES = "price list"
RATES = "shop rates"

MACHINES = {"table": "Hand table", "flat": "Flat press and UV lamp", "roller": "Roller", "pad_machine": "Pad machine"}
"""The shop's machines, by what the names of their rates begin with."""

CENTRES = {
    "artwork": "Artwork",
    "screens": "Screens and plates",
    "flat": "Flat press",
    "roller": "Roller",
    "table": "Hand table",
    "pad_machine": "Pad machine",
    "bench": "Bench",
}
"""The work centres whose hours limit what the shop can promise, in the order in which a job goes through them.

The bench stands for all work beside the machines: mixing, preparing, cutting and finishing.
"""

PRICE_BANDS = 5
"""Price bands read for what is bought for a job, the first included."""


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
    """Where the rate comes from: PRICES or RATES."""
    source_name: str
    """The rate it comes from, or the rate or job's field that holds the code in the price list."""
    once: Any = 0
    per_step: Any = 0
    every: Any = 0
    at_least: Any = 0
    held: bool = False
    """Whether it pays for transfers, which can be held and pressed later, and not for pressing them."""
    centre: str = ""
    """The work centre that its minutes keep busy; blank where the machine's own line counts them."""
    people: Any = 1
    """Operators whose minutes the line adds up."""
    wait: Any = 0
    """Minutes on the clock that the job waits when this is done: drying, delivery."""

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
        self.hour = {name: self._machine_hour(name, title) for name, title in MACHINES.items()}

    def _machine_hour(self, name: str, title: str) -> Any:
        """The hour rate of one of the shop's machines, whose rates begin with `name`."""
        cost, salvage, years, running, hours = (
            getattr(self.rates, f"{name}_{part}") for part in ("cost", "salvage", "years", "running_cost", "hours")
        )
        owning = annual_equivalent(cost, salvage, years, self.rates.annual_rate)
        year = self.note(f"{name}_year", f"{title}: owning it for a year", owning, "currency/year")
        return self.note(f"{name}_hour", f"{title}: an hour", machine_hour_rate(year, running, hours), "currency/hour")

    def price(self, code: Any) -> Any:
        """What one quoting unit of a material costs on the day of the quote, taken from stock."""
        return price_on(code, 0, self.job.quote_day, self.price_rows)

    def price_with_breaks(self, code: Any) -> Any:
        """The price bands of a thing bought for the job."""
        return price_breaks(code, self.job.quote_day, self.price_rows, PRICE_BANDS)

    def material(self, element: str, driver: str, unit: str, code: str, **quantity: Any) -> CostLine:
        """A material from the price list, by the name of its code among the rates."""
        return CostLine(element, driver, unit, self.price(getattr(self.rates, code)), PRICES, code, **quantity)

    def labour(self, element: str, driver: str, **quantity: Any) -> CostLine:
        """Minutes of one operator."""
        return CostLine(element, driver, "minutes", self.labour_minute, RATES, "labour_rate", **quantity)

    def machine(self, name: str, **minutes: Any) -> CostLine:
        """Minutes of a machine at its hour rate."""
        rate = self.hour[name] / 60
        return CostLine(MACHINES[name], PER_HOUR, "minutes", rate, RATES, f"{name}_cost", centre=name, **minutes)

    def artwork(self) -> CostLine:
        """The design's artwork and separations, shared over the runs expected of it."""
        minutes = self.rates.artwork_minutes + self.job.colours * self.rates.separation_minutes
        rate, once = self.rates.artwork_rate / 60, minutes / self.job.runs_expected
        return CostLine(
            "Artwork and separations", PER_DESIGN, "minutes", rate, RATES, "artwork_rate", once=once, centre="artwork"
        )

    def films(self, count: Any) -> CostLine:
        """One film positive for each screen or plate."""
        return self.material("Film positives", PER_COLOUR, "pieces", "film_code", once=count / self.job.runs_expected)

    def screens(self, count: Any, minutes: Any, good_pieces_an_impression: Any) -> list[CostLine]:
        """Screens made, and made again when worn, shared over the runs they are kept for; and the wear of the mesh."""
        rates, made = self.rates, count / self.screen_runs
        life: dict[str, Any] = {"every": rates.screen_life * good_pieces_an_impression / self.screen_runs}
        wear = count * rates.screen_mesh_cm2 / rates.mesh_life
        return [
            self.labour("Making screens", PER_COLOUR, per_step=made * minutes, centre="screens", **life),
            self.material("Emulsion", PER_COLOUR, "mL", "emulsion_code", per_step=made * rates.screen_emulsion_ml, **life),
            self.material("Screen tape", PER_COLOUR, "mm", "tape_code", per_step=made * rates.screen_tape_mm, **life),
            self.material("Mesh", PER_TOOL, "cm2", "mesh_code", per_step=wear, every=good_pieces_an_impression),
        ]

    def blanks(self, good_share: Any) -> list[CostLine]:
        """The blanks that are started, at the price of that quantity, less what the rejects still fetch."""
        breaks = self.price_with_breaks(self.job.blank_code)
        rate, rejects = -self.rates.seconds_share * self.blank_price, 1 / good_share - 1
        return [
            CostLine("Blanks", PER_PIECE, "pieces", breaks, PRICES, "blank_code", per_step=1, every=good_share),
            CostLine("Rejects sold as seconds", PER_PIECE, "pieces", rate, RATES, "seconds_share", per_step=rejects),
        ]

    def packing(self) -> CostLine:
        """One sleeve or bag for each good piece."""
        return self.material("Packing", PER_PIECE, "pieces", "pack_code", per_step=1)


def hand_colours(desk: Desk, tag: str, colours: Any) -> tuple[Any, list[CostLine]]:
    """Colours screen-printed by hand: the share of pieces that come through good, and the lines of printing them.

    One operator prints colour after colour through the whole run, on frames bent to the shape of the piece.
    """
    job, rates, note = desk.job, desk.rates, desk.note
    good = note(f"{tag}_good_share", "Pieces good of those started", rolled_yield(rates.hand_yield, colours), "fraction")
    minutes = note(
        f"{tag}_print_minutes", "Printing a piece started, colours by hand",
        colour_minutes(colours, 1, rates.hand_piece_minutes, 0, 0, rates.hand_yield), "minutes",
    )  # fmt: skip
    film = note(
        f"{tag}_film_um", "Wet ink film of a colour by hand",
        ink_film(rates.hand_threads_per_cm, rates.hand_thread_um, rates.hand_fabric_um, rates.hand_transfer_share), "um",
    )  # fmt: skip
    ink = note(f"{tag}_ink_ml", "Ink of a colour on a piece", ink_per_print(desk.image_cm2, job.coverage, film), "mL")
    start = pieces_to_start(job.good_pieces, rates.hand_yield, colours, rates.promise)
    started = note(f"{tag}_start", "Pieces to start to keep the promise", start, "pieces")
    elapsed = note(
        f"{tag}_elapsed_minutes", "On the clock, drying included, one operator",
        elapsed_minutes(
            colours, started, rates.hand_piece_minutes, rates.hand_makeready_minutes, rates.hand_dry_minutes,
            rates.hand_washup_minutes, rates.hand_yield, rates.rack_places,
        ), "minutes",
    )  # fmt: skip
    work = colour_minutes(
        colours, started, rates.hand_piece_minutes, rates.hand_makeready_minutes, rates.hand_washup_minutes,
        rates.hand_yield,
    )  # fmt: skip
    blade_mm = colours * rates.hand_squeegee_mm / rates.hand_squeegee_life
    return good, [
        desk.films(colours),
        *desk.screens(colours, rates.hand_screen_minutes, good),
        desk.labour("Make-ready", PER_RUN, once=colours * rates.hand_makeready_minutes),
        desk.labour("Mixing inks", PER_RUN, once=colours * rates.hand_mix_minutes, centre="bench"),
        desk.labour("First-off approval", PER_RUN, once=rates.hand_approval_minutes, centre="table"),
        desk.labour("Wash-up", PER_RUN, once=colours * rates.hand_washup_minutes),
        desk.material("Screen wash", PER_RUN, "mL", "wash_code", once=colours * rates.hand_wash_ml),
        desk.labour("Preparing pieces", PER_PIECE, per_step=rates.hand_prepare_minutes, every=good, centre="bench"),
        desk.material("Wipes", PER_PIECE, "pieces", "wipe_code", per_step=1, every=good),
        desk.material("Primer", PER_PIECE, "mL", "primer_code", per_step=rates.primer_ml, every=good),
        desk.labour("Printing, colour after colour", PER_PIECE, per_step=minutes, every=good),
        desk.material(
            "Ink", PER_PIECE, "mL", "hand_ink_code",
            once=colours * rates.hand_loss_ml, per_step=colours * ink, every=good, at_least=colours * rates.hand_mix_ml,
        ),
        desk.material("Squeegee blades", PER_TOOL, "mm", "blade_code", per_step=blade_mm, every=good),
        CostLine(
            "Jig", PER_TOOL, "pieces", rates.jig_cost / rates.jig_life, RATES, "jig_cost", per_step=1, every=good
        ),
        desk.machine(
            "table",
            once=colours * (rates.hand_makeready_minutes + rates.hand_washup_minutes), per_step=minutes, every=good,
            wait=elapsed - work,
        ),
        desk.labour("Finishing", PER_PIECE, per_step=rates.hand_finish_minutes, centre="bench"),
    ]  # fmt: skip


def _hand_colours_felt(rates: ShopRates, colours: Any) -> Any:
    """How many hand colours the dry film of a transfer's colours makes, all lying over each other."""
    by_hand = ink_film(
        rates.hand_threads_per_cm, rates.hand_thread_um, rates.hand_fabric_um, rates.hand_transfer_share, rates.hand_solids
    )
    by_transfer = ink_film(
        rates.uv_threads_per_cm, rates.uv_thread_um, rates.uv_fabric_um, rates.uv_transfer_share, rates.uv_solids
    )
    return hand_colours_felt(colours * by_transfer, by_hand)


def printed_sheets(desk: Desk, tag: str, colours: Any, good_share: Any) -> list[CostLine]:
    """Transfers screen-printed on release film: colours, white and adhesive, several up, each layer a pass.

    `good_share` is the share of the transfers pressed that end as good pieces.
    """
    job, rates, note = desk.job, desk.rates, desk.note
    felt = _hand_colours_felt(rates, colours)
    note(f"{tag}_feel", "Feels like so many hand colours", felt, "colours")
    passes = note(
        f"{tag}_passes", "Passes: colours, white, adhesive",
        transfer_passes(colours, rates.white_layers, rates.adhesive_layers), "passes",
    )  # fmt: skip
    up = note(
        f"{tag}_up", "Transfers on a sheet",
        up_per_sheet(
            rates.sheet_w_mm, rates.sheet_h_mm, job.image_w_mm, job.image_h_mm,
            rates.sheet_gutter_mm, rates.sheet_margin_mm, rates.sheet_gripper_mm,
        ), "transfers",
    )  # fmt: skip
    pieces = note(
        f"{tag}_sheet_pieces", "Good pieces from a printed sheet",
        up * (1 - rates.running_waste) * (1 - rates.left_share) * good_share, "pieces",
    )  # fmt: skip
    film = note(
        f"{tag}_film_um", "Wet ink film of a pass",
        ink_film(rates.uv_threads_per_cm, rates.uv_thread_um, rates.uv_fabric_um, rates.uv_transfer_share), "um",
    )  # fmt: skip
    ink = note(f"{tag}_ink_ml", "Ink of a colour on a sheet", up * ink_per_print(desk.image_cm2, job.coverage, film), "mL")
    backing = note(
        f"{tag}_backing_ml", "White or adhesive layer on a sheet",
        up * ink_per_print(desk.image_cm2, rates.backing_coverage, film), "mL",
    )  # fmt: skip
    overs = note(f"{tag}_overs", "Sheets spoiled in make-ready", passes * rates.overs_per_pass, "sheets")
    minutes = note(
        f"{tag}_sheet_minutes", "Printing a sheet, all passes", passes * 60 / rates.flat_sheets_per_hour, "minutes"
    )

    def layers(element: str, code: str, count: Any, ml_on_a_sheet: Any) -> CostLine:
        """The ink of so many layers on every sheet printed, overs included."""
        once = count * (rates.uv_loss_ml + overs * ml_on_a_sheet)
        per_step, at_least = count * ml_on_a_sheet, count * rates.uv_mix_ml
        return desk.material(element, PER_SHEET, "mL", code, once=once, per_step=per_step, every=pieces, at_least=at_least)

    return [
        desk.films(passes),
        *desk.screens(passes, rates.flat_screen_minutes, pieces),
        desk.labour("Make-ready", PER_RUN, once=passes * rates.flat_makeready_minutes),
        desk.labour("Mixing inks", PER_RUN, once=colours * rates.flat_mix_minutes, centre="bench"),
        desk.labour("Wash-up", PER_RUN, once=passes * rates.flat_washup_minutes),
        desk.material("Screen wash", PER_RUN, "mL", "wash_code", once=passes * rates.uv_wash_ml),
        desk.material("Release film", PER_SHEET, "sheets", "release_film_code", once=overs, per_step=1, every=pieces),
        desk.labour("Printing sheets", PER_SHEET, once=overs * minutes, per_step=minutes, every=pieces),
        layers("UV ink", "uv_ink_code", colours, ink),
        layers("White", "uv_white_code", rates.white_layers, backing),
        layers("Adhesive", "adhesive_code", rates.adhesive_layers, backing),
        desk.machine(
            "flat",
            once=passes * (rates.flat_makeready_minutes + rates.flat_washup_minutes) + overs * minutes,
            per_step=minutes, every=pieces,
        ),
        desk.labour("Cutting", PER_SHEET, per_step=rates.cut_minutes, every=pieces, centre="bench"),
    ]  # fmt: skip


def held(*lines: CostLine) -> list[CostLine]:
    """Lines that pay for transfers, marked as such."""
    return [replace(line, held=True) for line in lines]


def pressing(desk: Desk, good_share: Any) -> list[CostLine]:
    """Transfers pressed on through the roller, a session at a time as pieces sell."""
    rates = desk.rates
    minutes, crew = 60 / rates.roller_pieces_per_hour, rates.roller_crew
    warm_up, session = rates.roller_warmup_minutes, rates.pieces_per_session
    return [
        desk.labour("Roller warm-up", PER_SESSION, per_step=crew * warm_up, every=session, centre="roller", people=crew),
        desk.labour("Pressing", PER_PIECE, per_step=crew * minutes, every=good_share),
        desk.machine("roller", per_step=minutes, every=good_share),
        desk.material("Wipes", PER_PIECE, "pieces", "wipe_code", per_step=1, every=good_share),
    ]


def by_hand(desk: Desk) -> list[CostLine]:
    """All colours screen-printed by hand."""
    good, printing = hand_colours(desk, "hand", desk.job.colours)
    return [desk.artwork(), *printing, *desk.blanks(good), desk.packing()]


def heat_transfer(desk: Desk) -> list[CostLine]:
    """Transfers printed in the shop, and pressed on."""
    good = desk.rates.roller_yield
    sheets = printed_sheets(desk, "transfer", desk.job.colours, good)
    return [*held(desk.artwork(), *sheets), *pressing(desk, good), *desk.blanks(good), desk.packing()]


def bought_transfer(desk: Desk) -> list[CostLine]:
    """Transfers bought in at price breaks, and pressed on."""
    job, rates, note = desk.job, desk.rates, desk.note
    good = rates.roller_yield
    used = note("bought_used_share", "Good pieces from a bought transfer", good * (1 - rates.left_share), "fraction")
    extra = note("bought_extra_colours", "Colours charged extra", larger(job.colours - rates.bought_colours, 0), "colours")
    breaks, surcharge = desk.price_with_breaks(job.transfer_code), extra * rates.bought_surcharge
    transfers = held(
        replace(desk.artwork(), wait=rates.bought_days * 24 * 60),
        desk.material("Supplier's setup", PER_COLOUR, "colours", "bought_setup_code", once=job.colours / job.runs_expected),
        CostLine("Freight", PER_RUN, "orders", rates.bought_freight, RATES, "bought_freight", once=1),
        CostLine(
            "Bought transfers", PER_PIECE, "pieces", breaks, PRICES, "transfer_code",
            per_step=1, every=used, at_least=rates.bought_order,
        ),
        CostLine(
            "Colours charged extra", PER_PIECE, "pieces", surcharge, RATES, "bought_surcharge",
            per_step=1, every=used, at_least=rates.bought_order,
        ),
    )  # fmt: skip
    return [*transfers, *pressing(desk, good), *desk.blanks(good), desk.packing()]


def hand_over_transfer(desk: Desk) -> list[CostLine]:
    """Some colours by hand over a transfer that carries the others."""
    job, rates = desk.job, desk.rates
    hand_good, printing = hand_colours(desk, "over_hand", job.hand_colours)
    good = desk.note("over_good_share", "Pieces good after roller and hand", rates.roller_yield * hand_good, "fraction")
    sheets = printed_sheets(desk, "over_transfer", job.colours - job.hand_colours, good)
    return [desk.artwork(), *sheets, *pressing(desk, good), *printing, *desk.blanks(good), desk.packing()]


def by_pad(desk: Desk) -> list[CostLine]:
    """Pad printing: from photopolymer plates, exposed to the art and then to a dot screen, by silicone pad.

    Plates are charged in whole sets, shared over the runs expected; or by use, the rest of their life staying in the shop.
    """
    job, rates, note = desk.job, desk.rates, desk.note
    colours = job.colours
    good = note("pad_good_share", "Pieces good of those started", rolled_yield(rates.pad_yield, colours), "fraction")
    minutes = note(
        "pad_print_minutes", "Printing a piece started, all colours",
        colour_minutes(colours, 1, rates.pad_piece_minutes, 0, 0, rates.pad_yield), "minutes",
    )  # fmt: skip
    ink = note(
        "pad_ink_ml", "Ink of a colour on a piece",
        plate_ink_per_print(desk.image_cm2, job.coverage, rates.pad_etch_um, rates.pad_dot_share, rates.pad_release_share),
        "mL",
    )  # fmt: skip
    start = pieces_to_start(job.good_pieces, rates.pad_yield, colours, rates.promise)
    note("pad_start", "Pieces to start to keep the promise", start, "pieces")
    plates = note("pad_plates", "Plates in a set, a run's share", colours / job.runs_expected, "plates")
    life = rates.pad_plate_life * good / job.runs_expected
    share = where(rates.pad_whole_sets, plates, plates / life)
    worn: dict[str, Any] = {"every": where(rates.pad_whole_sets, life, 0)}
    return [
        desk.artwork(),
        desk.films(colours),
        desk.material("Plates", PER_TOOL, "pieces", "plate_code", per_step=share, **worn),
        desk.labour("Making plates", PER_TOOL, per_step=share * rates.pad_plate_minutes, centre="screens", **worn),
        desk.material("Pads", PER_TOOL, "pieces", "pad_code", per_step=colours / rates.pad_life, every=good),
        desk.labour("Make-ready", PER_RUN, once=colours * rates.pad_makeready_minutes),
        desk.labour("Mixing inks", PER_RUN, once=colours * rates.pad_mix_minutes, centre="bench"),
        desk.labour("First-off approval", PER_RUN, once=rates.pad_approval_minutes, centre="pad_machine"),
        desk.labour("Wash-up", PER_RUN, once=colours * rates.pad_washup_minutes),
        desk.material("Wash", PER_RUN, "mL", "wash_code", once=colours * rates.pad_wash_ml),
        desk.labour("Preparing pieces", PER_PIECE, per_step=rates.pad_prepare_minutes, every=good, centre="bench"),
        desk.material("Wipes", PER_PIECE, "pieces", "wipe_code", per_step=1, every=good),
        desk.labour("Printing, colour after colour", PER_PIECE, per_step=minutes, every=good),
        desk.material(
            "Ink", PER_PIECE, "mL", "pad_ink_code",
            per_step=colours * ink, every=good, at_least=colours * rates.pad_mix_ml,
        ),
        desk.machine(
            "pad_machine",
            once=colours * (rates.pad_makeready_minutes + rates.pad_washup_minutes), per_step=minutes, every=good,
        ),
        desk.labour("Finishing", PER_PIECE, per_step=rates.pad_finish_minutes, centre="bench"),
        *desk.blanks(good),
        desk.packing(),
    ]  # fmt: skip


class Route(NamedTuple):
    """A way to print."""

    key: str
    title: str
    lines: Callable[[Desk], list[CostLine]]
    needs: Callable[[Job], list[tuple[str, Any]]]
    """What must be TRUE of a job for it: the condition in words, and whether it holds."""

    def ruled_out(self, job: Job) -> str:
        """Why a job cannot be printed this way at all; blank where it can."""
        missing = [words for words, holds in self.needs(job) if not holds]
        return f"{' and '.join(missing)} is FALSE for {job.design} on {job.item}" if missing else ""


def _hand(job: Job) -> tuple[str, Any]:
    return "hand_possible", job.hand_possible


def _transfer(job: Job) -> tuple[str, Any]:
    return "transfer_possible", job.transfer_possible


def _some_by_hand(job: Job) -> tuple[str, Any]:
    return "hand_colours below colours", job.hand_colours < job.colours


ROUTES = (
    Route("hand", "By hand", by_hand, lambda job: [_hand(job)]),
    Route("transfer", "Heat transfer", heat_transfer, lambda job: [_transfer(job)]),
    Route("bought", "Bought transfer", bought_transfer, lambda job: [_transfer(job)]),
    Route("over", "Hand over transfer", hand_over_transfer, lambda job: [_hand(job), _transfer(job), _some_by_hand(job)]),
    Route("pad", "By pad", by_pad, lambda job: [("pad_possible", job.pad_possible)]),
)
"""Every route; the first ones are preferred where costs are the same."""

TITLES = {route.key: route.title for route in ROUTES}
"""The routes' titles by their keys."""


class Costing(NamedTuple):
    """A job worked out by every way there is: the steps, and each route's lines."""

    steps: list[Step]
    lines: dict[str, list[CostLine]]
    """By the key of the route."""


def cost_lines(job: Job, rates: ShopRates, price_rows: Any, note: Workings) -> Costing:
    """Work out a job by all routes, possible or not; this is how the workbook's formulas are made."""
    desk = Desk(job, rates, price_rows, note)
    lines = {}
    for route in ROUTES:
        note.route = route.title
        lines[route.key] = route.lines(desk)
    return Costing(note.steps, lines)
