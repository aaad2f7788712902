"""`plan`: what to make now of every design of a season, when nobody knows how many will sell."""

import argparse
from pathlib import Path
from typing import Any

from quotelib.cli.verbs import add_shop_files, add_verb, invented_words, load_shop
from quotelib.kinds import DEMAND_FORM


def add_verbs(verbs: Any) -> None:
    """Add the verb to the command line."""
    words = "say how many of every design to make now, and how many transfers to hold, from its past sales"
    verb = add_verb(verbs, "plan", _plan, words)
    verb.add_argument(
        "folder", type=Path, help="folder with items.csv, designs.csv and sales.csv (design, price, a month each)"
    )
    verb.add_argument("--months", type=int, default=6, help="months of the season to come (default: 6)")
    forms, usual = DEMAND_FORM.choices, "negative binomial"
    verb.add_argument("--form", choices=forms, default=usual, help=f"form of demand made of the sales (default: {usual})")
    verb.add_argument(
        "--salvage", type=float, default=0.2, help="what a piece left over fetches, as a share of its price (default: 0.2)"
    )
    verb.add_argument(
        "--holding", type=float, default=0.2, help="yearly cost of holding, as a share of what stock cost (default: 0.2)"
    )
    verb.add_argument("--stuck", type=float, default=12, help="months of stock that are too many (default: 12)")
    verb.add_argument("--seasons", type=int, help="draw so many seasons of every design at random, and compare")
    verb.add_argument("--seed", type=int, default=1, help="the same seed gives the same seasons (default: 1)")
    add_shop_files(verb)


def _plan(given: argparse.Namespace) -> int:
    from quotelib.cli.shown import shown_table
    from quotelib.kinds import ANNUAL_RATE, COUNT, FRACTION, MONTHS, PERIODS, SEASONS
    from quotelib.season.designs import load_jobs, quote_season
    from quotelib.season.planning import (
        PlanTerms,
        load_sales,
        makables,
        plan_designs,
        plan_table,
        shared_blanks_table,
        simulated_cost,
    )

    terms = PlanTerms(
        int(PERIODS.admit("--months", given.months)),
        given.form,
        FRACTION.admit("--salvage", given.salvage),
        ANNUAL_RATE.admit("--holding", given.holding),
        MONTHS.admit("--stuck", given.stuck),
    )
    seasons = None if given.seasons is None else int(SEASONS.admit("--seasons", given.seasons))
    seed = int(COUNT.admit("--seed", given.seed))
    rates, prices = load_shop(given)
    sales = load_sales(given.folder / "sales.csv")
    jobs = load_jobs(given.folder)
    designs = makables(quote_season(jobs, rates, prices.rows), sales, terms)
    plans = plan_designs(designs, terms)
    print(shown_table(plan_table(plans)))
    cost, left = sum(plan.cost.total for plan in plans), sum(plan.cost.left_over for plan in plans)
    print(f"\n{len(plans)} designs for {terms.months} months, in {prices.currency}.{invented_words(prices)}")
    print(f"Expected cost in all {cost:,.2f}, lost sales included; {left:,.0f} pieces left over.")
    if seasons:
        mean, error = simulated_cost(designs, plans, terms, seasons, seed)
        print(f"{seasons:,} seasons of each drawn at random: {mean:,.2f}, with a standard error of {error:,.2f}.")
    saved = sum(plan.waiting_saves for plan in plans)
    print(f"Holding transfers saves {saved:,.2f} of what it would cost to make everything now.")
    print(
        "Mean: pieces the season asks for on average. Short: pieces asked for and not there. Fill: share of the demand met."
    )
    print("Months: how long the stock lasts. Waiting saves: what holding transfers saves against making all now.")
    print(f"Stuck: the chance that the stock lasts longer than {terms.stuck_months:g} months at the rate the season shows.")
    print(
        "Held: transfers, pressed a lot at a time as the pieces sell. Costs are for planning, not accounting or tax advice."
    )
    shared = shared_blanks_table(designs, terms)
    if len(shared):
        print("\nBlanks that designs share: enough in 95 of 100 seasons, and what decorating them as they sell is worth")
        print(shown_table(shared))
    without = [job.design for job in jobs if job.design not in {each.design for each in sales}]
    if without:
        print(f"Without past sales, and so without a plan: {', '.join(without)}")
    return 0
