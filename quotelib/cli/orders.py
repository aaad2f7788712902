"""`load`, `promise`: the order book against the hours of the shop, and the day a new job can be promised."""

import argparse
from pathlib import Path
from typing import Any

from quotelib.cli.verbs import (
    add_design_verb,
    add_shop_file,
    add_shop_files,
    add_verb,
    day,
    load_shop,
    named_job,
    write_picture,
)


def add_verbs(verbs: Any) -> None:
    """Add the verbs to the command line."""
    words = "set the orders of a season against the hours of each work centre: load by week, late orders, work to take"
    verb = add_verb(verbs, "load", _load, words)
    verb.add_argument("folder", type=Path, help="folder with orders.csv, items.csv and designs.csv")
    verb.add_argument("--out", type=Path, help="folder for the pictures load.svg and sequence.svg (default: none is drawn)")
    _add_calendar(verb)
    add_shop_files(verb)

    words = "give the earliest day to promise for a design by every route, with every promised order kept"
    verb = add_design_verb(verbs, "promise", _promise, words)
    verb.add_argument("--pieces", type=int, help="good pieces (default: the run in designs.csv)")
    verb.add_argument("--tools-ready", action="store_true", help="artwork, screens or plates are there from an earlier run")
    _add_calendar(verb)


def _add_calendar(verb: argparse.ArgumentParser) -> None:
    add_shop_file(verb, "--calendar", "shop-calendar.toml", "hours of the shop")
    verb.add_argument(
        "--today", type=day, help="first day that can be worked, like 2026-11-16 (default: the day the last order came in)"
    )


def _schedule(given: argparse.Namespace, folder: Path) -> tuple[Any, Any, Any]:
    """The schedule of a season's order book, the shop's rates and its prices."""
    from quotelib.kinds import day_number
    from quotelib.season.designs import load_jobs
    from quotelib.season.schedule import Schedule, load_calendar, load_orders

    today = None if given.today is None else day_number(given.today)
    rates, prices = load_shop(given)
    calendar = load_calendar(given.calendar)
    booked = load_orders(folder / "orders.csv", load_jobs(folder), rates, prices.rows, today)
    return Schedule(booked, calendar, today), rates, prices


def _load(given: argparse.Namespace) -> int:
    import pandas as pd

    from quotelib.cli.shown import shown_table
    from quotelib.kinds import day_of
    from quotelib.routes import CENTRES

    schedule, _, prices = _schedule(given, given.folder)
    count = f"{len(schedule.orders)} orders that take hours, {len(schedule.enquiries)} enquiries for contract work"
    print(f"From {day_of(schedule.today)} on: {count}.\n")
    print("Hours of the orders due in each week, of the hours there are:")
    load, hours = schedule.load("load"), schedule.load("hours")
    table = pd.DataFrame({"Week of": [str(week) for week in load.index]})
    for name in load.columns:
        both = zip(load[name], hours[name], strict=True)
        table[name] = [f"{asked:.0f} of {there:.0f}" if asked else "" for asked, there in both]
    print(shown_table(table))
    bottleneck = CENTRES[schedule.bottleneck]
    share = schedule.totals.loc[bottleneck, "Utilisation"]
    print(f"\nFullest over all the weeks: {bottleneck}, {share:.0%} of its hours.")
    late = schedule.late
    print("\nOrders that miss their day:" if len(late) else "\nEvery order is done by its day.")
    if len(late):
        print(shown_table(late.astype({"Due": str, "Planned": str})))
    if schedule.contract_choice:
        left = schedule.free_bottleneck_hours
        print(f"\nContract work for the {left:.0f} hours left at: {bottleneck}, in {prices.currency}")
        rows = [
            {"Enquiry": each.job, "An hour there": each.per_hour, "Hours": each.hours, "Contribution": each.contribution,
             "": "take" if each.hours else "leave"}
            for each in schedule.contract_choice
        ]  # fmt: skip
        print(shown_table(pd.DataFrame(rows)))
        print("Best together, each as a whole.  What it leaves over is the price less what is bought for it.")
    if given.out:
        from quotelib.pictures.hours import load_svg, sequence_svg

        for name, picture in (("load.svg", load_svg(schedule)), ("sequence.svg", sequence_svg(schedule))):
            write_picture(given.out / name, picture)
            print(f"Written: {given.out / name} (open it in a browser)")
    return 0


def _promise(given: argparse.Namespace) -> int:
    from quotelib.kinds import PIECES, day_of
    from quotelib.routes import CENTRES, TITLES

    schedule, rates, prices = _schedule(given, given.season)
    job = named_job(given)
    if given.pieces is not None:
        job = job.changed("good_pieces", PIECES.admit("pieces", given.pieces))
    promises, refused = schedule.promises(job, rates, prices.rows, given.tools_ready)
    buffer = schedule.calendar.buffer_days
    print(f"{job.design} on {job.item}, {job.good_pieces:,.0f} good pieces, from {day_of(schedule.today)} on.")
    print(f"Every order promised keeps its day; {buffer} calendar days are kept in hand.\n")
    for each in promises:
        print(f"{TITLES[each.route]}: promise {day_of(each.day)}, ready {day_of(each.ready)} as planned")
        for centre, hours, begins, ends in each.stages:
            print(f"    {CENTRES[centre]:<20} {hours:6.1f} hours   {day_of(begins)} to {day_of(ends)}")
    for key, reason in refused.items():
        print(f"{TITLES[key]}: not possible, {reason}")
    print(f"\nReady first: {TITLES[promises[0].route]}.")
    return 0
