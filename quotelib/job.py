"""A job: one design on one item, as it is quoted."""

from dataclasses import dataclass
from typing import ClassVar

from quotelib.kinds import Code, Colours, Day, Flag, Label, Mm, Pieces, Runs, Share, TransferCode
from quotelib.records import Record, entry


@dataclass(frozen=True)
class Job(Record):
    """One design on one item."""

    what: ClassVar[str] = "job"

    design: Label = entry("Design", "Name of the design, as it stands on the order.")
    item: Label = entry("Item", "What is decorated.")
    blank_code: Code = entry("Blank", "Code of the undecorated item in the price list.")
    quote_day: Day = entry("Day of the quote", "Prices valid on this day are used.")
    colours: Colours = entry(
        "Colours", "Colours of the design, each with its own screen, pass or plate; white backing left out."
    )
    image_w_mm: Mm = entry("Image width", "Width of the print, measured along the surface.")
    image_h_mm: Mm = entry("Image height", "Height of the print, measured along the surface.")
    coverage: Share = entry("Coverage", "Share of the image area that one colour covers, averaged over the colours.")
    hand_colours: Colours = entry("Colours over a transfer", "Colours printed by hand where a transfer carries the others.")
    transfer_code: TransferCode = entry(
        "Bought transfer", "Code in the price list of a bought transfer with this many colours."
    )
    good_pieces: Pieces = entry("Good pieces", "Good pieces to deliver from this run.")
    runs_expected: Runs = entry(
        "Runs expected", "Runs of this design over its life, this one included; they share artwork and tools."
    )
    hand_possible: Flag = entry(
        "By hand possible", "TRUE where frames and jigs for this item let it be screen printed by hand."
    )
    transfer_possible: Flag = entry("Transfer possible", "TRUE where the item passes the roller and takes heat.")
    pad_possible: Flag = entry("Pad possible", "TRUE where a pad reaches the print area.")
