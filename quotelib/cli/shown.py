"""What the verbs print: texts in columns, tables, a quote opened into its lines, a quote as a range."""

from collections.abc import Sequence

import pandas as pd

from quotelib.cases import Case
from quotelib.cli.verbs import in_columns
from quotelib.errors import NoSolution
from quotelib.hosts.workbook.report import figure_text, holds_numbers
from quotelib.quoting import Quote
from quotelib.routes import ROUTES, TITLES
from quotelib.uncertain import Uncertain, change_overs_of, costs_of, quantile, run_at, shares

CHANCES = (0.1, 0.5, 0.9)

MOVE = 0.1
"""How much less and more each input is taken."""

MOVES_SHOWN = 6


def shown_table(table: pd.DataFrame) -> str:
    """A table as text in columns: money to the cent, - where there is nothing."""
    names = [str(name) for name in table.columns]
    columns = [[figure_text(value, name) for value in table[name]] for name in names]
    right = [place for place, name in enumerate(names) if holds_numbers(table[name])]
    return in_columns(names, list(zip(*columns, strict=True)), right)


def shown_quote(quote: Quote, key: str | None, currency: str) -> str:
    """A quote as text: every route's cost, and one route opened into its lines (the cheapest, unless told)."""
    job, key = quote.job, key or quote.cheapest
    parts = [f"{job.design} on {job.item}: {job.colours:g} colours, {job.good_pieces:,.0f} good pieces, in {currency}", ""]
    rows = []
    for route in ROUTES:
        if route.key in quote.curves:
            cost = quote.unit_cost(route.key)
            note = "cheapest" if route.key == quote.cheapest else ""
            rows.append({"Route": route.title, "Run": cost * job.good_pieces, "A good piece": cost, "": note})
        else:
            rows.append({"Route": route.title, "Run": pd.NA, "A good piece": pd.NA, "": quote.refused[route.key]})
    parts += [shown_table(pd.DataFrame(rows)), "", "Cheapest route by run:"]
    parts += [f"  {first:,} to {last:,}: {TITLES[cheapest]}" for first, last, cheapest in quote.stretches]
    parts += _moves(quote)
    if key not in quote.curves:
        return "\n".join([*parts, "", f"{TITLES[key]} is not possible: {quote.refused[key]}"])
    lines = [
        {"Cost element": line.element, "Driver": line.driver, "Quantity": float(line.quantity), "Unit": line.unit,
         "Rate": f"{line.rate:.5f}", "Amount": float(line.amount), "Rate from": line.source}
        for line in quote.opened(key)
    ]  # fmt: skip
    total = sum(line.amount for line in quote.opened(key))
    parts += ["", f"{TITLES[key]}, line by line:", shown_table(pd.DataFrame(lines)), f"Sum of the lines: {total:,.2f}"]
    return "\n".join(parts)


def _moves(quote: Quote) -> list[str]:
    """The inputs that move the nearest change-over most."""
    change = quote.nearest_change_over
    if not change:
        return []
    _, before, after = change
    now, moves = Case(quote.job, quote.rates, quote.price_rows).change_over_moves(before, after, MOVE)
    if not now:
        return []
    less, more = f"{MOVE:.0%} less", f"{MOVE:.0%} more"
    shown = [
        {"Input": move.title, "Name": move.name, less: move.less or "never", more: move.more or "never"}
        for move in moves[:MOVES_SHOWN]
    ]
    heading = f"From {now:,} pieces on, {TITLES[after].lower()} costs no more than {TITLES[before].lower()}."
    return ["", heading, "What moves that most (whole inputs by one at least):", shown_table(pd.DataFrame(shown))]


def shown_range(
    case: Case, spreads: Sequence[Uncertain], key: str, price: float | None, draws: int, seed: int, currency: str
) -> str:
    """A quote as a range, as text: P10, P50 and P90 of the cost and of each change-over, a loss, and the inputs' shares."""
    job, curves = case.job, case.curves()
    if key not in curves:
        raise NoSolution("route", key, f"it cannot print {job.design}; its routes are {', '.join(curves)}")
    drawn = costs_of(case, spreads, key, draws, seed)
    outcomes = [each.outcome for each in drawn]
    heads = [f"P{100 * chance:.0f}" for chance in CHANCES]
    figures = [quantile(outcomes, chance) for chance in CHANCES]
    row = {"Figure": f"Cost of a good piece, {TITLES[key].lower()}", "As quoted": curves[key].unit_cost(job.good_pieces)}
    table = [row | dict(zip(heads, figures, strict=True))]
    run = f"{job.good_pieces:,.0f} good pieces"
    parts = [f"{job.design} on {job.item}: {run}, in {currency}; {draws:,} draws, seed {seed}", ""]
    for other in curves:
        now = case.change_over(key, other)
        if other == key or now is None:
            continue
        runs = change_overs_of(case, spreads, key, other, draws, seed)
        reached = [run_at(runs, chance) for chance in CHANCES]
        row = {"Figure": f"{TITLES[other]} is cheaper from a run of", "As quoted": now}
        table.append(row | {head: int(run) if run else "never" for head, run in zip(heads, reached, strict=True)})
    parts.append(shown_table(pd.DataFrame(table, dtype=object)))
    parts.append("P10: one time in ten it is less. P50: as often less as more. P90: one time in ten it is more.")
    if price is not None:
        loss = sum(outcome > price for outcome in outcomes) / draws
        parts += ["", f"At a price of {price:,.2f}, the chance to lose money is {loss:.1%}."]
    found = sorted(zip((each.name for each in spreads), shares(drawn), strict=True), key=lambda row: -row[1])
    rows = [{"Input": name, "Share": f"{share:.1%}", "": "#" * round(40 * share)} for name, share in found]
    parts += ["", "What the spread of the cost comes from:", shown_table(pd.DataFrame(rows))]
    return "\n".join(parts)
