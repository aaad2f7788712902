"""The invented job tickets: made from the rates below, with the scatter of a shop and, where asked for, with slips.

    python -m tests.invented_tickets        writes examples/season/tickets.csv anew

Whatever is learned from the tickets can so be held to the rates that they were made with.  The draws are those of
`random.Random`, the same on every machine.
"""

import csv
import datetime
import io
import math
import random
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from quotelib.afterwards.tickets import COLUMNS

FILE = Path(__file__).resolve().parent.parent / "examples" / "season" / "tickets.csv"

TRUE_RATES = {
    "hand_makeready_minutes": 41.0,
    "hand_approval_minutes": 15.0,
    "hand_piece_minutes": 0.56,
    "hand_washup_minutes": 15.0,
    "hand_yield": 0.978,
    "flat_makeready_minutes": 25.0,
    "flat_sheets_per_hour": 235.0,
    "flat_washup_minutes": 12.5,
    "overs_per_pass": 10.0,
    "running_waste": 0.02,
    "roller_warmup_minutes": 31.0,
    "roller_pieces_per_hour": 64.0,
    "roller_yield": 0.98,
    "pieces_per_session": 90.0,
    "pad_makeready_minutes": 26.0,
    "pad_approval_minutes": 10.0,
    "pad_piece_minutes": 0.3,
    "pad_washup_minutes": 12.0,
    "pad_yield": 0.985,
}
"""The rates by which the invented tickets were made."""

LAYERS = 3
"""Passes of white and adhesive on every transfer sheet."""

HAND = (
    ("Heron Dawn", "Paddle straight", 1), ("Frost Fern", "Sled small", 2), ("Otter Run", "Paddle straight", 3),
    ("Larch Star", "Sled racer", 3), ("Moss Line", "Paddle straight", 2), ("Red Lantern", "Paddle bent", 3),
    ("Birch Band", "Sled racer", 4), ("Night Ferry", "Sled large", 3), ("Sorrel", "Paddle bent", 2),
    ("Paper Kite", "Sled racer", 3), ("Loon Call", "Sled large", 5), ("Windrow", "Sled small", 1),
)  # fmt: skip
TRANSFER = (
    ("Tarn Ripple", "Paddle straight", 4), ("Wren Post", "Paddle straight", 5), ("Snowhare", "Sled large", 6),
    ("Iron Kettle", "Sled small", 8), ("Pike Tail", "Sled small", 7), ("Rowan", "Sled large", 4),
    ("Fieldfare", "Paddle bent", 6), ("Gorse", "Sled small", 8), ("Bramble", "Paddle bent", 4),
)  # fmt: skip
PAD = (
    ("Curlew", "Wheel 75", 3), ("Hoarfrost", "Token 30", 2), ("Two Magpies", "Wheel 75", 3), ("Thaw", "Wheel 60", 2),
    ("Kingcup", "Token 30", 3), ("Harbour Bell", "Token 30", 2), ("Tansy", "Wheel 60", 3),
)  # fmt: skip
"""Designs of the invented season with their items and colours."""

SHARES = (("hand", 56), ("sheets", 26), ("pressing", 40), ("pad", 28))
"""Tickets of each kind of work among 150."""

FIRST_DAY = datetime.date(2026, 3, 2)


class Maker:
    """Makes one ticket after another, drawing the scatter of a shop."""

    def __init__(self, seed: int, rates: dict[str, float], scatter: float) -> None:
        self.draw, self.rates, self.scatter = random.Random(seed), rates, scatter

    def about(self, value: float, spread: float) -> float:
        """The value with a scatter of that share about it, right on the average."""
        spread *= self.scatter
        return value * math.exp(self.draw.gauss(0, spread) - spread * spread / 2)

    def times(self, count: int, each: float, spread: float) -> float:
        """The sum of so many that scatter each for itself."""
        return sum(self.about(each, spread) for _ in range(count))

    def spoiled(self, pieces: int, share: float) -> int:
        """Rejects among so many pieces: the pieces between two of them have a geometric distribution."""
        found, at = 0, 0
        while share > 0:
            at += int(math.log(1 - self.draw.random()) / math.log1p(-share)) + 1
            if at > pieces:
                break
            found += 1
        return found

    def ticket(self, work: str) -> dict[str, Any]:
        """One ticket of a kind of work."""
        designs = {"hand": HAND, "pad": PAD}.get(work, TRANSFER)
        design, item, colours = self.draw.choice(designs)
        made: dict[str, Any] = {"design": design, "item": item, "work": work}
        return made | {"hand": self.printed, "pad": self.printed, "sheets": self.sheets, "pressing": self.pressed}[work](
            work, colours
        )

    def printed(self, work: str, colours: int) -> dict[str, Any]:
        """A run by hand or by pad, colour after colour."""
        rate = {name.removeprefix(f"{work}_"): value for name, value in self.rates.items() if name.startswith(work)}
        runs = (60, 100, 150, 200, 300, 400, 500, 700) if work == "hand" else (500, 800, 1000, 1500, 2000, 2500)
        ordered = self.draw.choice(runs)
        started = math.ceil(1.015 * ordered / rate["yield"] ** colours)
        bad = 1 - self.about(rate["yield"], 0.004)
        entering, prints, rejects = started, 0, []
        for _ in range(colours):
            prints += entering
            rejects.append(self.spoiled(entering, max(bad, 0.0)))
            entering -= rejects[-1]
        return {
            "colours": colours,
            "ordered_pieces": ordered,
            "started_pieces": started,
            "good_pieces": entering,
            "rejects": " ".join(map(str, rejects)) if self.draw.random() < 0.6 else "",
            "makeready_minutes": round(
                self.times(colours, rate["makeready_minutes"], 0.2) + self.about(rate["approval_minutes"], 0.3)
            ),
            "running_minutes": round(self.about(prints * rate["piece_minutes"], 0.09)),
            "washup_minutes": round(self.times(colours, rate["washup_minutes"], 0.2)),
            "ink_ml": round(self.times(colours, 130 + 0.5 * ordered if work == "hand" else 65, 0.15)),
        }

    def sheets(self, _work: str, colours: int) -> dict[str, Any]:
        """Transfers printed on sheets, all passes."""
        rate, passes = self.rates, colours + LAYERS
        ordered = self.draw.choice((40, 70, 100, 150, 200, 280, 360))
        overs = round(self.times(passes, rate["overs_per_pass"], 0.3))
        started = math.ceil(ordered / (1 - rate["running_waste"])) + round(passes * rate["overs_per_pass"])
        good = started - overs
        good -= self.spoiled(good, rate["running_waste"])
        return {
            "colours": passes,
            "ordered_pieces": ordered,
            "started_pieces": started,
            "good_pieces": good,
            "makeready_minutes": round(self.times(passes, rate["flat_makeready_minutes"], 0.2)),
            "running_minutes": round(self.about(started * passes * 60 / rate["flat_sheets_per_hour"], 0.08)),
            "washup_minutes": round(self.times(passes, rate["flat_washup_minutes"], 0.2)),
        }

    def pressed(self, _work: str, _colours: int) -> dict[str, Any]:
        """Some sessions at the roller, as the pieces sold."""
        rate = self.rates
        sessions = self.draw.choice((1, 1, 2, 2, 3, 4, 5))
        started = max(round(self.times(sessions, rate["pieces_per_session"] / rate["roller_yield"], 0.25)), 1)
        good = started - self.spoiled(started, 1 - self.about(rate["roller_yield"], 0.004))
        return {
            "sessions": sessions,
            "ordered_pieces": good,
            "started_pieces": started,
            "good_pieces": good,
            "makeready_minutes": round(self.times(sessions, rate["roller_warmup_minutes"], 0.15)),
            "running_minutes": round(self.about(started * 60 / rate["roller_pieces_per_hour"], 0.07)),
        }


def hours_written(ticket: dict[str, Any], draw: random.Random) -> None:
    """Hours where minutes belong, in one of the columns."""
    name = draw.choice([name for name in ("makeready_minutes", "running_minutes") if ticket.get(name)])
    ticket[name] = round(ticket[name] / 60, 2)


def colours_mistyped(ticket: dict[str, Any], _draw: random.Random) -> None:
    """Another number of colours or sessions: twice as many and one."""
    name = "sessions" if ticket["work"] == "pressing" else "colours"
    ticket[name] = min(2 * ticket[name] + 1, 24)
    ticket["rejects"] = ""


def nought_too_many(ticket: dict[str, Any], _draw: random.Random) -> None:
    """Ten times the pieces."""
    for name in ("started_pieces", "good_pieces"):
        ticket[name] *= 10
    ticket["rejects"] = ""


def swapped(ticket: dict[str, Any], _draw: random.Random) -> None:
    """Make-ready and running minutes in each other's column."""
    ticket["makeready_minutes"], ticket["running_minutes"] = ticket["running_minutes"], ticket["makeready_minutes"]


Slip = Callable[[dict[str, Any], random.Random], None]

SLIPS: Sequence[Slip] = (
    hours_written, colours_mistyped, nought_too_many, swapped,
)  # fmt: skip


def invented_tickets(
    seed: int = 1, count: int = 150, wrong: float = 0.0, rates: dict[str, float] = TRUE_RATES, scatter: float = 1.0
) -> tuple[list[dict[str, Any]], dict[str, str]]:
    """So many tickets in the order of their days, and the slip made in each of those with one, by ticket.

    `wrong` is the share of tickets with a slip, and `scatter` how much they scatter as a multiple of what a shop does.
    """
    maker = Maker(seed, rates, scatter)
    tickets = []
    done = 0.0
    for work, share in SHARES:
        start, done = round(done), done + share * count / 150
        tickets += [maker.ticket(work) for _ in range(round(done) - start)]
    maker.draw.shuffle(tickets)
    for number, ticket in enumerate(tickets):
        ticket["ticket"] = f"T{number + 1:03d}"
        ticket["day"] = (FIRST_DAY + datetime.timedelta(days=(number * 230 // max(count, 230)) % 60_000)).isoformat()
    slips = {}
    for number, place in enumerate(sorted(maker.draw.sample(range(count), round(wrong * count)))):
        slip = SLIPS[number % len(SLIPS)]
        slip(tickets[place], maker.draw)
        slips[tickets[place]["ticket"]] = slip.__name__
    return tickets, slips


def as_csv(tickets: list[dict[str, Any]]) -> str:
    """The tickets as the text of a CSV file."""
    text = io.StringIO()
    writer = csv.DictWriter(text, COLUMNS, restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(tickets)
    return text.getvalue()


EXAMPLE_WRONG = 0.04
"""The share of slips in the example: six of its 150 tickets."""


def example() -> str:
    """The text of examples/season/tickets.csv."""
    return as_csv(invented_tickets(seed=26, wrong=EXAMPLE_WRONG)[0])


if __name__ == "__main__":
    FILE.write_text(example(), encoding="utf-8")
    print(f"Written: {FILE}")
