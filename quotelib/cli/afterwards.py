"""`variances`, `learn`: job tickets against the quote, and the shop's rates learned from them."""

import argparse
import sys
from pathlib import Path
from typing import Any

from quotelib.cli.verbs import add_route, add_shop_files, add_verb, day, in_columns, load_shop

SHOWN_MOST = 40
"""Tickets that do not fit, shown one by one."""


def add_verbs(verbs: Any) -> None:
    """Add the verbs to the command line."""
    words = "say why a job cost more or less than quoted, from its tickets, adding up to actual - quoted"
    verb = add_verb(verbs, "variances", _variances, words)
    verb.add_argument("tickets", type=Path, help="CSV of job tickets")
    verb.add_argument("ticket", nargs="+", help="the tickets of one job")
    add_route(verb, "the route quoted (default: the tickets')")
    _add_season(verb)
    add_shop_files(verb)

    words = "learn the shop's rates from job tickets, and show what each change would do; nothing changes without a yes"
    verb = add_verb(verbs, "learn", _learn, words)
    verb.add_argument("tickets", type=Path, help="CSV of job tickets")
    verb.add_argument("--since", type=day, help="only tickets from this day on, like 2026-06-01")
    verb.add_argument(
        "--apply",
        nargs="+",
        metavar="RATE",
        help="rates to write into the file of shop rates, or the word all for every rate that changes",
    )
    verb.add_argument("--yes", action="store_true", help="write them without asking again")
    _add_season(verb)
    add_shop_files(verb)


def _add_season(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("--season", type=Path, help="folder with items.csv and designs.csv (default: that of the tickets)")


def _learn(given: argparse.Namespace) -> int:
    import numpy as np

    from quotelib.afterwards.learning import effects, learn
    from quotelib.afterwards.tickets import load_tickets
    from quotelib.errors import NoSolution
    from quotelib.season.designs import load_jobs

    rates, prices = load_shop(given)
    tickets = load_tickets(given.tickets)
    if given.since:
        tickets = tickets.only(tickets.day >= np.datetime64(given.since))
        if not len(tickets):
            raise NoSolution("since", given.since.isoformat(), f"{given.tickets.name} has no ticket from that day on")
    lesson = learn(tickets, rates)
    print(
        f"{len(tickets)} tickets from {given.tickets.name}; {len(lesson.misfits)} of them do not fit and were set aside.\n"
    )
    print(_rates_text(lesson.learned))
    print("Least and most hold the true rate 19 times in 20: of twenty rates that are right, one may look wrong by chance.")
    if lesson.refused:
        print("\nNothing can be said of:\n" + "\n".join(f"  {name}: {why}" for name, why in lesson.refused))
    if lesson.misfits:
        shown = [f"  line {each.line}, {each.ticket} ({each.work}): {each.why}" for each in lesson.misfits[:SHOWN_MOST]]
        more = len(lesson.misfits) - len(shown)
        print("\nTickets that do not fit:\n" + "\n".join(shown + [f"  and {more} more"] * (more > 0)))
    chosen = lesson.changes(None if given.apply in (None, ["all"]) else given.apply)
    season = given.season or given.tickets.parent
    if chosen and (given.season or (season / "designs.csv").exists()):
        jobs = load_jobs(season)
        print(f"\nWhat it would do to the {len(jobs)} quotes of {season}, in {prices.currency}:")
        print(_effects_text(effects(jobs, rates, prices.rows, chosen)))
    if given.apply is None:
        print("\nNothing was changed. To change rates: --apply NAME ... or --apply all")
        return 0
    return _apply(given, rates, chosen)


def _apply(given: argparse.Namespace, rates: Any, chosen: dict[str, float]) -> int:
    """Write the chosen rates, after a yes."""
    from quotelib.afterwards.ratesfile import write_rates

    if not chosen:
        print("\nNothing was changed: the tickets speak against none of the present rates.")
        return 0
    print(f"\nTo be written into {given.rates}:")
    for name, value in chosen.items():
        print(f"  {name} = {value:g}   (now {getattr(rates, name):g})")
    if not given.yes and not _said_yes():
        print("Nothing was changed.", file=sys.stderr)
        return 1
    backup = write_rates(given.rates, chosen)
    print(f"Written: {given.rates}. What was there before is kept in {backup}.")
    print("The workbook's sheet Shop rates has rates of its own: type the new ones there, or build the template anew.")
    return 0


def _said_yes() -> bool:
    """Whether the user says yes; no answer at all is a no."""
    try:
        return input("Type yes to write them: ").strip().lower() == "yes"
    except EOFError:
        return False


def _rates_text(learned: list[Any]) -> str:
    """The table of rates: present beside proposed."""
    heads = ("Rate", "Unit", "Present", "Proposed", "Least", "Most", "Tickets", "")
    rows: list[tuple[str, ...]] = []
    for each in learned:
        figures = (f"{each.present:g}", f"{each.proposed:g}", f"{each.least:.4g}", f"{each.most:.4g}", f"{each.used}")
        rows.append((each.name, each.unit, *figures, "change" if each.changes else "keep: within the interval"))
    return in_columns(heads, rows, right=range(2, 7))


def _effects_text(found: list[Any]) -> str:
    """The table of what changes would do to quotes."""
    from quotelib.routes import TITLES

    heads = ("Change", "All quotes", "Difference", "Changes most", "A piece now", "Then", "Cheapest route changes")
    rows: list[tuple[str, ...]] = []
    for each in found:
        flips = ", ".join(f"{design} ({TITLES[was].lower()} to {TITLES[now].lower()})" for design, was, now in each.flips)
        figures = (f"{each.cost:,.2f}", f"{each.change_of_cost:+,.2f}")
        pieces = (f"{each.most_before:,.4f}", f"{each.most_after:,.4f}")
        rows.append((each.change, *figures, each.most, *pieces, flips or "-"))
    return in_columns(heads, rows, right=(1, 2, 4, 5))


def _variances(given: argparse.Namespace) -> int:
    from dataclasses import replace

    from quotelib.afterwards.against_quote import WORKS_OF, figures_of, job_variances, quoted_lines, used_of
    from quotelib.afterwards.tickets import load_tickets
    from quotelib.cases import Case
    from quotelib.errors import LookupMiss
    from quotelib.routes import TITLES
    from quotelib.season.designs import load_jobs

    rates, prices = load_shop(given)
    tickets = load_tickets(given.tickets)
    chosen = [_place(tickets, name, given.tickets.name) for name in given.ticket]
    figures, good, share = figures_of(tickets, chosen)
    routes = [key for key, works in WORKS_OF.items() if set(figures) <= set(works)]
    route = given.route or routes[0]
    if route not in routes:
        raise LookupMiss("route", route, f"it must be one of {', '.join(routes)} for tickets of {' and '.join(figures)}")
    jobs = {job.design: job for job in load_jobs(given.season or given.tickets.parent)}
    design = tickets.design[chosen[0]]
    if design not in jobs or any(tickets.design[place] != design for place in chosen):
        raise LookupMiss("design", design, f"the tickets must be of one design, one of {', '.join(jobs)}")
    job = jobs[design]
    ordered = sum(sums["ordered_pieces"] for work, sums in figures.items() if work != "sheets")
    quoted = ordered if ordered == ordered else job.good_pieces  # not a number where a ticket does not say
    case = Case(replace(job, good_pieces=quoted), rates, prices.rows)
    lines = quoted_lines(case, route, good, share)
    used = used_of(figures, lines, rates)
    *table, total = job_variances(lines, used, quoted, good)
    print(f"{design} on {job.item}, {TITLES[route].lower()}: {quoted:,.0f} pieces quoted, {good:,.0f} good pieces made")
    heads = ("Line", "Quoted", "More pieces", "Volume", "Rejects", "Quantity", "Rate", "Actual", "")
    rows: list[tuple[str, ...]] = []
    for line, row in zip(lines, table, strict=True):
        rows.append((line.element, *map(_money, row), "" if line.element in used else "as allowed"))
    rows.append(("All lines", *map(_money, total), ""))
    print(in_columns(heads, rows, right=range(1, 8)))
    print(f"\nActual - quoted: {total[-1] - total[0]:+,.2f} {prices.currency}. Above zero it cost more than quoted.")
    print("Lines marked as allowed are not on the tickets, and taken to have used what the quote allows.")
    return 0


def _place(tickets: Any, name: str, file: str) -> int:
    import difflib

    from quotelib.errors import LookupMiss

    if name not in tickets.ticket:
        near = ", ".join(difflib.get_close_matches(name, tickets.ticket)) or tickets.ticket[0]
        raise LookupMiss("ticket", name, f"it must be a ticket of {file}, such as {near}")
    return int(tickets.ticket.index(name))


def _money(amount: float) -> str:
    """An amount to the cent; what is less than half of one is 0.00, without a sign."""
    return f"{round(amount, 2) + 0.0:,.2f}"
