"""A whole job after it was done: what the quote allows for what was really made, and what the tickets say was used.

    lines = quoted_lines(case, "hand", 650, 0.93)          line by line: quoted, allowed, allowed with those rejects, rate
    used = used_of(tickets, case, "hand")                  what tickets say of each line
    table = job_variances(lines, used, 700, 650)           from quoted to actual cost, adding up

The quote itself says what is allowed: it is worked out anew for the pieces really made, and once more with yields that give
the rejects there were.  So steps, minimum mixes and price breaks count here as they do in the quote.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, NamedTuple

from quotelib.cases import Case
from quotelib.chapters.variances import cost_variances
from quotelib.errors import LookupMiss, NoSolution
from quotelib.quoting import LineCost, quote
from quotelib.rates import ShopRates
from quotelib.routes import MACHINES, ROUTES


class QuotedLine(NamedTuple):
    """A cost line of a quote, set against the run that was really made."""

    element: str
    unit: str
    quoted: float
    """Units in the quote."""
    allowed: float
    """Units that the quote gives for the pieces really made."""
    with_rejects: float
    """The same with the rejects there were."""
    rate: float
    """Money for a unit, as quoted."""


class Used(NamedTuple):
    """What was really used of a line: units, and money for each, where they are known."""

    quantity: float | None
    rate: float | None = None


def quoted_lines(case: Case, route: str, good_pieces: float, good_share: float | None = None) -> list[QuotedLine]:
    """The lines of a route as quoted, and as allowed for the good pieces made and their share of those started.

    The rate is that of the quote throughout: a price break that the longer or shorter run met is part of the rate variance.
    """
    made = replace(case, job=case.job.changed("good_pieces", good_pieces))
    rejecting = made if good_share is None else _with_good_share(made, route, good_share)
    quoted, allowed, with_rejects = (_opened(each, route) for each in (case, made, rejecting))
    names = _told_apart([line.element for line in quoted])
    return [
        QuotedLine(name, line.unit, line.quantity, there.quantity, rejected.quantity, line.rate)
        for name, line, there, rejected in zip(names, quoted, allowed, with_rejects, strict=True)
    ]


def _told_apart(names: list[str]) -> list[str]:
    """Names that each stand once: the second Make-ready of a route is Make-ready (2)."""
    seen: dict[str, int] = {}
    told = []
    for name in names:
        seen[name] = seen.get(name, 0) + 1
        told.append(f"{name} ({seen[name]})" if seen[name] > 1 else name)
    return told


def _opened(case: Case, route: str) -> list[LineCost]:
    """The lines of one route at the job's run."""
    found = quote(case.job, case.rates, case.price_rows, [each for each in ROUTES if each.key == route])
    return found.opened(route)


def yields_of(case: Case, route: str) -> dict[str, float]:
    """The yields that a route's share of good pieces is made of, by the rate's name, and how often each counts."""
    colours, over = float(case.job.colours), float(case.job.hand_colours)
    return {
        "hand": {"hand_yield": colours},
        "transfer": {"roller_yield": 1.0},
        "bought": {"roller_yield": 1.0},
        "over": {"roller_yield": 1.0, "hand_yield": over},
        "pad": {"pad_yield": colours},
    }[route]


def _with_good_share(case: Case, route: str, good_share: float) -> Case:
    """The case with yields that give this share of good pieces, each moved in the same proportion of its logarithm."""
    times = yields_of(case, route)
    rates = case.rates
    quoted = sum(count * math.log(getattr(rates, name)) for name, count in times.items())
    for name, count in times.items():
        part = math.log(getattr(rates, name)) / quoted if quoted else 1 / sum(times.values()) if count else 0.0
        rates = rates.changed(name, math.exp(math.log(good_share) * part))
    return replace(case, rates=rates)


# --- what tickets say of the lines ---

MINUTES = {
    "hand": (
        ("makeready_minutes", ("Make-ready", "First-off approval")),
        ("running_minutes", ("Printing, colour after colour",)),
        ("washup_minutes", ("Wash-up",)),
        ("ink_ml", ("Ink",)),
    ),
    "sheets": (
        ("makeready_minutes", ("Make-ready",)),
        ("running_minutes", ("Printing sheets",)),
        ("washup_minutes", ("Wash-up",)),
    ),
    "pressing": (("makeready_minutes", ("Roller warm-up",)), ("running_minutes", ("Pressing",))),
}
"""The lines that a column of a ticket measures, by the work; by pad as by hand."""

WORKS_OF = {"hand": ("hand",), "transfer": ("sheets", "pressing"), "bought": ("pressing",), "pad": ("pad",)}
"""The works whose tickets make up a job by each route.  By hand over a transfer, several works share the names of their
lines, so tickets do not say which they mean."""

MACHINE_LINES = {
    "hand": ("table", ("Make-ready", "Printing, colour after colour", "Wash-up")),
    "pad": ("pad_machine", ("Make-ready", "Printing, colour after colour", "Wash-up")),
    "sheets": ("flat", ("Make-ready", "Printing sheets", "Wash-up")),
    "pressing": ("roller", ("Pressing",)),
}
"""The machine of a work, and the lines during whose minutes it is taken."""


def used_of(figures: Mapping[str, Mapping[str, float]], lines: Sequence[QuotedLine], rates: ShopRates) -> dict[str, Used]:
    """What tickets say was used of each line: `figures` are the sums of their columns, by the work.

    Where one column measures two lines, as make-ready does with the first-off approval, it is shared out as allowed.
    """
    allowed = {line.element: line.with_rejects for line in lines}
    used: dict[str, Used] = {}
    for work, sums in figures.items():
        for column, elements in MINUTES["hand" if work == "pad" else work]:
            measured = sums.get(column, math.nan)
            if math.isnan(measured):
                continue
            whole = sum(allowed[element] for element in elements)
            for element in elements:
                share = allowed[element] / whole if whole else 1 / len(elements)
                used[element] = Used(measured * share)
        machine, taken = MACHINE_LINES[work]
        if all(element in used for element in taken):
            used[MACHINES[machine]] = Used(math.fsum(used[element].quantity or 0.0 for element in taken))
        if work == "pressing":  # the roller's lines of labour count everyone at it
            for element in {"Roller warm-up", "Pressing"} & set(used):
                used[element] = Used((used[element].quantity or 0.0) * rates.roller_crew)
    return used


def job_variances(
    lines: Sequence[QuotedLine], used: Mapping[str, Used], quoted_pieces: float, good_pieces: float
) -> tuple[tuple[float, ...], ...]:
    """The rows of COST_VARIANCES for the lines of a job, and their sums; a line not measured is as allowed.

    Raises LookupMiss for what is no line of the route.
    """
    known = [line.element for line in lines]
    for element in used:
        if element not in known:
            raise LookupMiss("line", element, f"it must be one of {', '.join(known)}")
    rows = [[*line[2:], *used.get(line.element, (None, None))] for line in lines]
    table: tuple[tuple[float, ...], ...] = cost_variances(rows, quoted_pieces, good_pieces)
    return table


def figures_of(tickets: Any, chosen: Sequence[int]) -> tuple[dict[str, dict[str, float]], float, float | None]:
    """The sums of some tickets' columns by the work, and the good pieces and their share of those started.

    The pieces are those of the last work: sheets count as pieces only where nothing was pressed yet.  A column that one of
    the tickets leaves blank is blank in the sum.
    """
    figures: dict[str, dict[str, float]] = {}
    for work in dict.fromkeys(str(tickets.work[place]) for place in chosen):
        places = [place for place in chosen if tickets.work[place] == work]
        figures[work] = {name: float(column[places].sum()) for name, column in tickets.numbers.items()}
    pieces = [sums for work, sums in figures.items() if work != "sheets"]
    if len(pieces) != 1:
        raise NoSolution(
            "tickets", " and ".join(figures), "they must hold the pieces of one job: by hand, pressed or by pad"
        )
    started, good = pieces[0]["started_pieces"], pieces[0]["good_pieces"]
    return figures, good, good / started if 0 < good <= started else None
