"""The shop's rates: times, yields, machines and settings that every quote uses, in a file the shop owns.

Each rate has one name, which is the key in the file, the defined name in the workbook and the attribute here.
"""

from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar

from quotelib.kinds import (
    CODE,
    AnnualRate,
    Burden,
    Cm2,
    Code,
    Confidence,
    Count,
    Crew,
    CycleMinutes,
    Flag,
    Fraction,
    GapMm,
    HourlyRate,
    Hours,
    Life,
    Minutes,
    Ml,
    Mm,
    Money,
    Pieces,
    PiecesPerHour,
    PositiveMoney,
    Runs,
    Share,
    Threads,
    Um,
    WaitDays,
    Years,
    Yield,
)
from quotelib.records import Record, entry

LABOUR = "Labour and artwork"
SCREENS = "Films and screens"
HAND = "By hand"
SHEET = "Transfer sheets"
UV = "Transfer printing"
ROLLER = "Transfer pressing"
BOUGHT = "Bought transfers"
PAD = "By pad"
MACHINES = "Machines"
CODES = "Materials, by code in the price list"


@dataclass(frozen=True)
class ShopRates(Record):
    """The rates of one shop."""

    what: ClassVar[str] = "shop's rates"

    labour_rate: HourlyRate = entry("Labour rate", "Wage of one operator for an hour.", LABOUR)
    burden: Burden = entry("Burden", "On-costs of an hour's wage: insurance, holidays, supervision.", LABOUR)
    artwork_rate: HourlyRate = entry("Artwork rate", "An hour of the artist, on-costs included.", LABOUR)
    artwork_minutes: Minutes = entry(
        "Artwork for a design", "Drawing up and scale correction for the item's shape.", LABOUR
    )
    separation_minutes: Minutes = entry("Separation of a colour", "Making one colour's separation.", LABOUR)
    annual_rate: AnnualRate = entry("Interest", "Yearly rate of interest on money in machines.", LABOUR)
    promise: Confidence = entry("Promise", "Chance that a run started gives enough good pieces.", LABOUR)
    seconds_share: Fraction = entry(
        "Value of a reject", "Share of the blank's price that a rejected piece still fetches.", LABOUR
    )

    screen_life: Life = entry("Life of a screen", "Impressions before a screen is made again.", SCREENS)
    runs_per_screen: Runs = entry("Runs before reclaim", "Runs a screen is kept for before its mesh is reclaimed.", SCREENS)
    screen_tape_mm: Mm = entry("Tape on a screen", "Masking tape for one screen.", SCREENS)
    screen_emulsion_ml: Ml = entry("Emulsion on a screen", "Emulsion to coat one screen.", SCREENS)
    screen_mesh_cm2: Cm2 = entry("Mesh of a screen", "Fabric stretched on one frame, margins included.", SCREENS)
    mesh_life: Life = entry(
        "Life of the mesh", "Impressions before a frame is stretched again, over all reclaims.", SCREENS
    )

    hand_screen_minutes: Minutes = entry(
        "Making a bent screen", "Coat, expose, wash out and tape, on a frame bent to shape.", HAND
    )
    hand_makeready_minutes: Minutes = entry("Make-ready of a colour", "Mount, register and prove one colour.", HAND)
    hand_washup_minutes: Minutes = entry("Wash-up of a colour", "Clean one screen and put it away.", HAND)
    hand_mix_minutes: Minutes = entry("Mixing a colour", "Match and mix one ink.", HAND)
    hand_approval_minutes: Minutes = entry("First-off approval", "Check the first good piece against the proof.", HAND)
    hand_piece_minutes: CycleMinutes = entry("One colour on one piece", "Load, stroke, unload to the rack.", HAND)
    hand_prepare_minutes: Minutes = entry("Preparing a piece", "Wipe and prime before printing.", HAND)
    hand_finish_minutes: Minutes = entry("Finishing a piece", "Clean edges, inspect and pack.", HAND)
    hand_dry_minutes: Minutes = entry("Drying", "Time before a printed piece may take the next colour.", HAND)
    rack_places: Pieces = entry("Rack places", "Pieces that can be wet at once.", HAND)
    hand_yield: Yield = entry("Yield of a colour", "Share of pieces that leave one colour good.", HAND)
    hand_threads_per_cm: Threads = entry("Mesh count", "Threads per cm of the hand screens.", HAND)
    hand_thread_um: Um = entry("Thread", "Thread diameter of the hand screens.", HAND)
    hand_fabric_um: Um = entry("Fabric", "Fabric thickness of the hand screens, stretched.", HAND)
    hand_transfer_share: Share = entry("Ink released", "Share of the ink in the mesh that reaches the piece.", HAND)
    hand_solids: Share = entry("Solids", "Share of the wet film that stays when the ink is dry.", HAND)
    hand_mix_ml: Ml = entry("Smallest mix", "Least ink of one colour that can be mixed.", HAND)
    hand_loss_ml: Ml = entry("Ink left in a screen", "Ink of one colour lost at wash-up.", HAND)
    hand_wash_ml: Ml = entry("Wash for a screen", "Screen wash for one colour.", HAND)
    hand_squeegee_mm: Mm = entry("Squeegee blade", "Length of blade in one squeegee.", HAND)
    hand_squeegee_life: Life = entry("Life of a squeegee edge", "Impressions before the blade is replaced.", HAND)
    jig_cost: PositiveMoney = entry("Jig", "Cost of the jig or table insert that holds an item.", HAND)
    jig_life: Life = entry("Life of a jig", "Pieces a jig holds before it is made again.", HAND)
    primer_ml: Ml = entry("Primer on a piece", "Primer wiped on one piece.", HAND)

    sheet_w_mm: Mm = entry("Sheet width", "Width of a sheet of release film.", SHEET)
    sheet_h_mm: Mm = entry("Sheet height", "Height of a sheet of release film.", SHEET)
    sheet_gutter_mm: GapMm = entry("Gutter", "Gap between transfers, for cutting.", SHEET)
    sheet_margin_mm: GapMm = entry("Margin", "Unprinted edge on all four sides.", SHEET)
    sheet_gripper_mm: GapMm = entry("Gripper", "Further edge on one side that the press holds.", SHEET)
    white_layers: Count = entry("White layers", "Passes of white over the colours.", SHEET)
    adhesive_layers: Count = entry("Adhesive layers", "Passes of heat-activated adhesive, last of all.", SHEET)
    overs_per_pass: Count = entry("Overs for a pass", "Sheets spoiled in getting one pass ready.", SHEET)
    running_waste: Fraction = entry("Running waste", "Share of printed sheets that are not good.", SHEET)
    left_share: Fraction = entry("Transfers never pressed", "Share of good transfers that are left over in the end.", SHEET)
    cut_minutes: Minutes = entry("Cutting a sheet", "Cut one sheet into transfers.", SHEET)

    flat_screen_minutes: Minutes = entry("Making a flat screen", "Coat, expose, wash out and tape.", UV)
    flat_makeready_minutes: Minutes = entry("Make-ready of a pass", "Mount, register and prove one pass.", UV)
    flat_washup_minutes: Minutes = entry("Wash-up of a pass", "Clean one screen and put it away.", UV)
    flat_mix_minutes: Minutes = entry("Mixing a colour", "Match and mix one UV ink.", UV)
    flat_sheets_per_hour: PiecesPerHour = entry("Sheets an hour", "Sheets through one pass and the UV lamp.", UV)
    uv_threads_per_cm: Threads = entry("Mesh count", "Threads per cm of the flat screens.", UV)
    uv_thread_um: Um = entry("Thread", "Thread diameter of the flat screens.", UV)
    uv_fabric_um: Um = entry("Fabric", "Fabric thickness of the flat screens, stretched.", UV)
    uv_transfer_share: Share = entry("Ink released", "Share of the ink in the mesh that reaches the film.", UV)
    uv_solids: Share = entry("Solids", "Share of the wet film that stays when the ink is cured.", UV)
    uv_mix_ml: Ml = entry("Smallest mix", "Least UV ink of one colour that can be mixed.", UV)
    uv_loss_ml: Ml = entry("Ink left in a screen", "Ink of one pass lost at wash-up.", UV)
    uv_wash_ml: Ml = entry("Wash for a screen", "Screen wash for one pass.", UV)
    backing_coverage: Share = entry(
        "Coverage of white and adhesive", "Share of the image area that the last layers cover.", UV
    )

    bought_colours: Count = entry("Colours included", "Colours in the price of a bought transfer.", BOUGHT)
    bought_surcharge: Money = entry("Extra colour", "Charge on each transfer for each colour beyond those.", BOUGHT)
    bought_order: Count = entry("Smallest order", "Transfers that are paid for at least.", BOUGHT)
    bought_freight: Money = entry("Freight", "Freight and handling of one order.", BOUGHT)
    bought_days: WaitDays = entry("Delivery", "Calendar days from the order to the delivery of transfers.", BOUGHT)

    roller_pieces_per_hour: PiecesPerHour = entry("Pieces an hour", "Pieces wiped, pressed, peeled and checked.", ROLLER)
    roller_crew: Crew = entry("People at the roller", "Operators the roller line needs.", ROLLER)
    roller_warmup_minutes: Minutes = entry(
        "Warm-up", "Roller to temperature and first piece proved, for each session.", ROLLER
    )
    pieces_per_session: Pieces = entry("Pieces in a session", "Good pieces pressed at one time, as they sell.", ROLLER)
    roller_yield: Yield = entry("Yield at the roller", "Share of pieces that leave the roller good.", ROLLER)

    pad_plate_minutes: Minutes = entry("Making a plate", "Two exposures (art, then dot screen), wash-out and bake.", PAD)
    pad_plate_life: Life = entry("Life of a plate", "Impressions before a plate is made again.", PAD)
    pad_whole_sets: Flag = entry("Whole sets of plates", "TRUE charges whole sets of plates, FALSE only their wear.", PAD)
    pad_life: Life = entry("Life of a pad", "Impressions before a pad is replaced.", PAD)
    pad_makeready_minutes: Minutes = entry("Make-ready of a colour", "Mount, register and prove one plate and pad.", PAD)
    pad_washup_minutes: Minutes = entry("Wash-up of a colour", "Clean one cup, plate and pad.", PAD)
    pad_mix_minutes: Minutes = entry("Mixing a colour", "Match and mix one ink with hardener and thinner.", PAD)
    pad_approval_minutes: Minutes = entry("First-off approval", "Check the first good piece against the proof.", PAD)
    pad_piece_minutes: CycleMinutes = entry("One colour on one piece", "Load, pick up, print, unload.", PAD)
    pad_prepare_minutes: Minutes = entry("Preparing a piece", "Wipe, flame or prime before printing.", PAD)
    pad_finish_minutes: Minutes = entry("Finishing a piece", "Inspect and pack.", PAD)
    pad_yield: Yield = entry("Yield of a colour", "Share of pieces that leave one colour good.", PAD)
    pad_etch_um: Um = entry("Etch depth", "Depth of the image in the plate.", PAD)
    pad_dot_share: Share = entry(
        "Dots of the plate", "Share of the etched area that the dot screen leaves to hold ink.", PAD
    )
    pad_release_share: Share = entry("Ink released", "Share of the plate's ink that reaches the piece.", PAD)
    pad_mix_ml: Ml = entry("Smallest mix", "Least ink of one colour that fills a cup; what is left hardens.", PAD)
    pad_wash_ml: Ml = entry("Wash for a cup", "Wash for one colour.", PAD)

    table_cost: PositiveMoney = entry("Hand table: price", "Price of a printing table with racks.", MACHINES)
    table_salvage: Money = entry("Hand table: salvage", "What it fetches at the end.", MACHINES)
    table_years: Years = entry("Hand table: life", "Years it is kept.", MACHINES)
    table_running_cost: Money = entry("Hand table: running cost", "Energy, upkeep and floor space for a year.", MACHINES)
    table_hours: Hours = entry("Hand table: hours", "Hours a year it prints.", MACHINES)
    flat_cost: PositiveMoney = entry("Flat press and UV lamp: price", "Price of the flat press with its UV lamp.", MACHINES)
    flat_salvage: Money = entry("Flat press and UV lamp: salvage", "What it fetches at the end.", MACHINES)
    flat_years: Years = entry("Flat press and UV lamp: life", "Years it is kept.", MACHINES)
    flat_running_cost: Money = entry(
        "Flat press and UV lamp: running cost", "Energy, lamps, upkeep and floor space for a year.", MACHINES
    )
    flat_hours: Hours = entry("Flat press and UV lamp: hours", "Hours a year it prints.", MACHINES)
    roller_cost: PositiveMoney = entry("Roller: price", "Price of the heat-transfer roller.", MACHINES)
    roller_salvage: Money = entry("Roller: salvage", "What it fetches at the end.", MACHINES)
    roller_years: Years = entry("Roller: life", "Years it is kept.", MACHINES)
    roller_running_cost: Money = entry("Roller: running cost", "Energy, upkeep and floor space for a year.", MACHINES)
    roller_hours: Hours = entry("Roller: hours", "Hours a year it presses.", MACHINES)
    pad_machine_cost: PositiveMoney = entry("Pad machine: price", "Price of the pad-printing machine.", MACHINES)
    pad_machine_salvage: Money = entry("Pad machine: salvage", "What it fetches at the end.", MACHINES)
    pad_machine_years: Years = entry("Pad machine: life", "Years it is kept.", MACHINES)
    pad_machine_running_cost: Money = entry(
        "Pad machine: running cost", "Energy, upkeep and floor space for a year.", MACHINES
    )
    pad_machine_hours: Hours = entry("Pad machine: hours", "Hours a year it prints.", MACHINES)

    film_code: Code = entry("Film positive", "One film positive.", CODES)
    emulsion_code: Code = entry("Emulsion", "Photo emulsion for screens.", CODES)
    mesh_code: Code = entry("Mesh", "Screen fabric.", CODES)
    tape_code: Code = entry("Tape", "Masking tape for screens.", CODES)
    hand_ink_code: Code = entry("Hand ink", "Ink printed by hand.", CODES)
    wash_code: Code = entry("Wash", "Wash for screens and cups.", CODES)
    blade_code: Code = entry("Squeegee blade", "Blade by length.", CODES)
    primer_code: Code = entry("Primer", "Primer for bare items.", CODES)
    wipe_code: Code = entry("Wipe", "One wipe for a piece.", CODES)
    pack_code: Code = entry("Packing", "Sleeve or bag for a piece.", CODES)
    release_film_code: Code = entry("Release film", "One sheet of release film.", CODES)
    uv_ink_code: Code = entry("UV ink", "UV ink for colours.", CODES)
    uv_white_code: Code = entry("UV white", "UV white for backing.", CODES)
    adhesive_code: Code = entry("Adhesive", "Heat-activated adhesive.", CODES)
    bought_setup_code: Code = entry(
        "Supplier's setup", "What the supplier of transfers charges to set up one colour.", CODES
    )
    plate_code: Code = entry("Plate", "Photopolymer plate.", CODES)
    pad_code: Code = entry("Pad", "Silicone pad.", CODES)
    pad_ink_code: Code = entry("Pad ink", "Ink for pad printing.", CODES)

    def codes_not_in(self, codes: set[str]) -> list[str]:
        """A fault for each material whose code a price list does not have."""
        return [
            f"{each.name} is {getattr(self, each.name)!r}; it must be a code of the price list"
            for each in self.entries()
            if each.kind is CODE and getattr(self, each.name) not in codes
        ]


def load_rates(file: str | Path) -> ShopRates:
    """Read the shop's rates from a TOML file; tables only group the keys.

    Raises FileRefused with every missing, unknown or refused rate, each in a line of its own.
    """
    return ShopRates.load(Path(file))
