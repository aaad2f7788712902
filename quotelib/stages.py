"""What a job asks of each work centre, read from the cost lines of a route."""

from typing import NamedTuple

from quotelib.cases import Case
from quotelib.errors import NoSolution
from quotelib.quoting import Quote, quote
from quotelib.routes import CENTRES

TOOLING = ("artwork", "screens")
"""Work centres with nothing to do for a job whose films, screens or plates are ready."""


class StageHours(NamedTuple):
    """Hours at each work centre, in the order of CENTRES, and hours on the clock to wait after each."""

    hours: tuple[float, ...]
    waits: tuple[float, ...]


def stage_hours(quoted: Quote, key: str, tools_ready: bool = False) -> StageHours:
    """The hours of a job's run by one route, rejects included."""
    hours, waits = dict.fromkeys(CENTRES, 0.0), dict.fromkeys(CENTRES, 0.0)
    for line, numbers in zip(quoted.costings[key], quoted.curves[key].lines, strict=True):
        if line.centre and not (tools_ready and line.centre in TOOLING):
            hours[line.centre] += numbers.quantity(quoted.job.good_pieces) / 60 / line.people
        if line.centre:
            waits[line.centre] += max(line.wait, 0.0) / 60
    return StageHours(tuple(hours.values()), tuple(waits.values()))


def first_run(case: Case, key: str | None = None) -> Quote:
    """The job quoted as if this run had to bear all its tools, since none of their hours were spent before.

    Raises NoSolution where the route, if one is named, cannot print it.
    """
    quoted = quote(case.job.changed("runs_expected", 1.0), case.rates, case.price_rows)
    if key is not None and key in quoted.refused:
        raise NoSolution("route", key, quoted.refused[key])
    return quoted
