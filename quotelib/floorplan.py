"""How a job sheet is read off a route; imported at the first call of a cell that asks for one."""

from quotelib.cases import Case
from quotelib.chapters.floor import SET_UP, STORE, WORK, FloorStep
from quotelib.chapters.rejects import pieces_to_start
from quotelib.errors import NoSolution
from quotelib.rates import ShopRates
from quotelib.routes import CENTRES, PER_HOUR, PRICES, ROUTES, CostLine, Desk, Workings

SETTINGS = {
    "hand": ("hand_threads_per_cm", "hand_thread_um", "hand_dry_minutes", "rack_places"),
    "sheets": ("uv_threads_per_cm", "uv_thread_um", "white_layers", "adhesive_layers", "flat_sheets_per_hour"),
    "roller": ("roller_pieces_per_hour", "roller_warmup_minutes", "pieces_per_session"),
    "pad": ("pad_etch_um",),
}
"""The shop's settings that belong on a job sheet, by what is done with them."""

DONE = {
    "hand": ("hand",),
    "transfer": ("sheets", "roller"),
    "bought": ("roller",),
    "over": ("sheets", "roller", "hand"),
    "pad": ("pad",),
}
"""What each route does, in order."""

MINUTES = "minutes"


def floor_plan(case: Case, key: str) -> list[FloorStep]:
    """The lines of the job sheet for a route; films, screens and plates in full, as if this run were the only one.

    Raises NoSolution where the job rules the route out.
    """
    route = next(each for each in ROUTES if each.key == key)
    if reason := route.ruled_out(case.job):
        raise NoSolution("route", key, reason)
    job, rates = case.job.changed("runs_expected", 1), case.rates.changed("pad_whole_sets", True)
    note = Workings()
    desk = Desk(job, rates, case.price_rows, note)
    general = len(note.steps)
    lines = route.lines(desk)
    (blanks,) = (line for line in lines if line.source_name == "blank_code")
    start = pieces_to_start(job.good_pieces, blanks.every, 1, rates.promise)
    plan = [
        FloorStep(SET_UP, "Good pieces to deliver", job.good_pieces, "pieces", ""),
        FloorStep(SET_UP, f"Pieces to start, so that {rates.promise:.0%} of the time enough are good", start, "pieces", ""),
        FloorStep(SET_UP, "Colours", job.colours, "colours", ""),
        FloorStep(SET_UP, "Image width", job.image_w_mm, "mm", ""),
        FloorStep(SET_UP, "Image height", job.image_h_mm, "mm", ""),
    ]
    plan += [FloorStep(SET_UP, *_setting(rates, name), "") for done in DONE[key] for name in SETTINGS[done]]
    plan += [
        FloorStep(SET_UP, step.title, step.value, step.unit, "")
        for step in note.steps[general:]
        if step.unit not in ("fraction", "minutes", "pieces")
    ]
    for line in lines:
        if line.unit == MINUTES and line.source_name != "artwork_rate":
            step = f"{line.element}, occupied" if line.driver == PER_HOUR else line.element
            plan.append(FloorStep(WORK, step, _need(line, job.good_pieces), line.unit, CENTRES.get(line.centre, "")))
    for line in lines:
        if line.source == PRICES and line.unit != MINUTES:
            need = start if line is blanks else _need(line, job.good_pieces)
            plan.append(FloorStep(STORE, line.element, need, line.unit, ""))
    return plan


def _setting(rates: ShopRates, name: str) -> tuple[str, float, str]:
    entry = next(each for each in rates.entries() if each.name == name)
    return f"{entry.title} ({entry.group.lower()})", getattr(rates, name), entry.kind.unit


def _need(line: CostLine, good_pieces: float) -> float:
    """How much of a line's driver the run takes, as expected."""
    return float(line.in_numbers().need(good_pieces))
