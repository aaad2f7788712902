"""A whole job after it was done: variances that add up, allowed by the quote itself, from tickets and in a cell."""

import math
import statistics
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import quotelib
from quotelib.afterwards.against_quote import Used, figures_of, job_variances, quoted_lines, used_of, yields_of
from quotelib.afterwards.tickets import load_tickets
from quotelib.cases import Case
from quotelib.cli import main
from quotelib.errors import LookupMiss, NoSolution, RangeError
from quotelib.formula import CellError
from quotelib.hosts.build import template
from quotelib.hosts.workbook.model import place
from quotelib.hosts.workbook.sheets.after import TICKETS
from quotelib.kinds import Rows
from quotelib.prices.pricelist import load_price_list
from quotelib.quoting import quote
from quotelib.rates import load_rates
from quotelib.season.designs import load_jobs
from tests.invented_tickets import FILE

ROOT = Path(__file__).resolve().parent.parent
SEASON = ROOT / "examples" / "season"
ROUTES_OF = {
    "hand": "Red Lantern",
    "transfer": "Night Ferry",
    "bought": "Night Ferry",
    "over": "Larch Star",
    "pad": "Curlew",
}
MADE = (37, 0.9)
"""Another run than quoted, and another share of good pieces, for each route."""


@pytest.fixture(scope="module")
def cases() -> dict[str, Case]:
    """A case for each route, with two colours or more by hand."""
    rates, rows = (
        load_rates(ROOT / "workbook" / "shop-rates.toml"),
        load_price_list(ROOT / "workbook" / "price-list.csv").rows,
    )
    jobs = {job.design: job for job in load_jobs(SEASON)}
    return {route: Case(replace(jobs[design], hand_colours=2), rates, rows) for route, design in ROUTES_OF.items()}


every_route = pytest.mark.parametrize("route", ROUTES_OF)


@every_route
@pytest.mark.parametrize(("good", "share"), [(37, 0.9), (900, None), (4000, 0.5)])
def test_job_variances_lead_from_the_quote_to_the_actual_cost(
    cases: dict[str, Case], route: str, good: int, share: float | None
) -> None:
    case = cases[route]
    lines = quoted_lines(case, route, good, share)
    names = [line.element for line in lines]
    assert len(set(names)) == len(names)
    used = {names[0]: Used(200.0, 0.7), names[3]: Used(None, 0.1), names[-1]: Used(5.0)}
    *table, total = job_variances(lines, used, case.job.good_pieces, good)
    quoted = quote(case.job, case.rates, case.price_rows)
    assert total[0] == pytest.approx(quoted.curves[route].run_cost(case.job.good_pieces), rel=1e-12)
    for row in (*table, total):
        assert math.fsum(row[:-1]) == pytest.approx(row[-1], rel=1e-12, abs=1e-9)
    assert table[0][-1] == pytest.approx(140.0)
    assert total[1] == pytest.approx(total[0] * (good / case.job.good_pieces - 1), rel=1e-12)


@every_route
def test_allowed_is_what_a_quote_for_the_pieces_made_says(cases: dict[str, Case], route: str) -> None:
    case = cases[route]
    lines = quoted_lines(case, route, MADE[0])
    there = quote(case.job.changed("good_pieces", MADE[0]), case.rates, case.price_rows).opened(route)
    assert [line.allowed for line in lines] == [line.quantity for line in there]
    assert [line.with_rejects for line in lines] == [line.allowed for line in lines]


@every_route
def test_the_yields_give_the_share_of_good_pieces_there_was(cases: dict[str, Case], route: str) -> None:
    """Blanks started: good pieces over the share, whatever route; and setup knows nothing of rejects."""
    case = cases[route]
    good, share = MADE
    lines = {line.element: line for line in quoted_lines(case, route, good, share)}
    blanks = lines["Blanks"]
    assert blanks.with_rejects == math.ceil(good / share - 1e-9)
    same = math.prod(getattr(case.rates, name) ** times for name, times in yields_of(case, route).items())
    assert [line.with_rejects for line in quoted_lines(case, route, good, same)] == pytest.approx(
        [line.allowed for line in lines.values()], rel=1e-9
    )
    setup = lines["Roller warm-up" if route == "bought" else "Make-ready"]
    assert setup.with_rejects == setup.allowed


def test_a_perfect_quote_takes_rejects_too(cases: dict[str, Case]) -> None:
    """Where the quote has no rejects at all, those there were are spread over the colours."""
    case = cases["over"]
    case = replace(case, rates=case.rates.changed("hand_yield", 1).changed("roller_yield", 1))
    blanks = next(line for line in quoted_lines(case, "over", 90, 0.9) if line.element == "Blanks")
    assert (blanks.allowed, blanks.with_rejects) == (90, 100)


def test_volume_is_the_setup_that_fewer_pieces_carry(cases: dict[str, Case]) -> None:
    """By hand, half the run: each line that is once for the run leaves half its cost uncarried."""
    case = cases["hand"]
    half = case.job.good_pieces / 2
    lines = quoted_lines(case, "hand", half)
    *table, _ = job_variances(lines, {}, case.job.good_pieces, half)
    for line, row in zip(lines, table, strict=True):
        if line.element in ("Make-ready", "Wash-up", "Mixing inks", "First-off approval"):
            assert row[2] == pytest.approx(quotelib.volume_variance(row[0], case.job.good_pieces, half), rel=1e-12)
            assert row[-1] == row[0]
        if line.element in ("Finishing", "Packing"):
            assert row[2] == pytest.approx(0, abs=1e-9)


def test_what_is_no_line_is_refused_by_name(cases: dict[str, Case]) -> None:
    lines = quoted_lines(cases["pad"], "pad", 10)
    with pytest.raises(LookupMiss, match="line is 'Gilding'; it must be one of Artwork and separations, Film positives"):
        job_variances(lines, {"Gilding": Used(1)}, 10, 10)


# --- from tickets ---


def test_tickets_measure_the_lines_they_speak_of(cases: dict[str, Case]) -> None:
    tickets = load_tickets(FILE)
    place = tickets.ticket.index("T005")
    figures, good, share = figures_of(tickets, [place])
    assert (good, share) == (718, 718 / 760)
    lines = {line.element: line for line in quoted_lines(cases["hand"], "hand", good, share)}
    used = used_of(figures, list(lines.values()), cases["hand"].rates)
    ready, approval = used["Make-ready"].quantity, used["First-off approval"].quantity
    assert ready is not None and approval is not None
    assert ready + approval == pytest.approx(135)
    assert ready / approval == pytest.approx(lines["Make-ready"].allowed / lines["First-off approval"].allowed)
    assert used["Printing, colour after colour"] == Used(1195) and used["Wash-up"] == Used(51) and used["Ink"] == Used(1359)
    table = used["Hand table"].quantity
    assert table == pytest.approx(ready + 1195 + 51)


def test_the_roller_s_minutes_count_everyone_at_it(cases: dict[str, Case]) -> None:
    case = cases["bought"]
    rates = case.rates.changed("roller_crew", 2)
    lines = quoted_lines(replace(case, rates=rates), "bought", 90)
    used = used_of({"pressing": {"makeready_minutes": 30.0, "running_minutes": 80.0}}, lines, rates)
    assert (used["Roller warm-up"], used["Pressing"], used["Roller"]) == (Used(60), Used(160), Used(80))


def test_what_a_ticket_leaves_blank_is_as_allowed(cases: dict[str, Case]) -> None:
    lines = quoted_lines(cases["pad"], "pad", 90)
    used = used_of({"pad": {"makeready_minutes": 30.0, "running_minutes": math.nan}}, lines, cases["pad"].rates)
    assert set(used) == {"Make-ready", "First-off approval"}


def test_tickets_of_two_jobs_are_refused() -> None:
    tickets = load_tickets(FILE)
    hand, pad = list(tickets.work).index("hand"), list(tickets.work).index("pad")
    with pytest.raises(NoSolution, match="they must hold the pieces of one job"):
        figures_of(tickets, [hand, pad])
    with pytest.raises(NoSolution, match="tickets is 'sheets'"):
        figures_of(tickets, [list(tickets.work).index("sheets")])


def test_command_shows_lines_that_add_up(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["variances", str(FILE), "T005"]) == 0
    printed = capsys.readouterr().out
    assert "Night Ferry on Sled large, by hand: 700 pieces quoted, 718 good pieces made" in printed
    total = next(line for line in printed.split("\n") if line.startswith("All lines"))
    quoted, *causes, actual = (float(figure.replace(",", "")) for figure in total.split()[2:])
    assert quoted + sum(causes) == pytest.approx(actual, abs=0.03)
    assert f"Actual - quoted: {actual - quoted:+,.2f}"[:-1] in printed


def test_command_takes_the_tickets_of_a_job_by_transfer_together(capsys: pytest.CaptureFixture[str]) -> None:
    tickets = load_tickets(FILE)
    of_work = {work: {tickets.design[place]: tickets.ticket[place] for place in range(150) if tickets.work[place] == work}
               for work in ("sheets", "pressing")}  # fmt: skip
    design = next(iter(set(of_work["sheets"]) & set(of_work["pressing"])))
    assert main(["variances", str(FILE), of_work["sheets"][design], of_work["pressing"][design]]) == 0
    printed = capsys.readouterr().out
    assert "heat transfer" in printed and "Roller warm-up" in printed and "Printing sheets" in printed


@pytest.mark.parametrize(
    ("names", "words"),
    [
        (["T999"], "ticket is 'T999'; it must be a ticket of tickets.csv, such as T099"),
        (["T001", "--route", "pad"], "route is 'pad'; it must be one of hand for tickets of hand"),
        (["T001", "T005"], "the tickets must be of one design"),
    ],
)
def test_command_says_what_is_wrong(names: list[str], words: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["variances", str(FILE), *names]) == 1
    assert words in capsys.readouterr().err


# --- in a cell ---


def on_a_sheet(case: Case) -> tuple[Rows, ...]:
    job, rates = case.job, case.rates
    return (
        [[each.name] for each in job.entries()], [[getattr(job, each.name)] for each in job.entries()],
        [[each.name] for each in rates.entries()], [[getattr(rates, each.name)] for each in rates.entries()],
        case.price_rows,
    )  # type: ignore[return-value]  # fmt: skip


@every_route
def test_cell_gives_the_same_table(cases: dict[str, Case], route: str) -> None:
    case = cases[route]
    lines = quoted_lines(case, route, *MADE)
    typed = [[lines[2].element, 7, ""], ["", "", ""], [lines[4].element, "", 0.25]]
    table = quotelib.job_variances(route, MADE[0], typed, *on_a_sheet(case), MADE[1])
    used = {lines[2].element: Used(7), lines[4].element: Used(None, 0.25)}
    *rows, total = job_variances(lines, used, case.job.good_pieces, MADE[0])
    assert len(table) == 50
    assert table[0] == ("All lines", "", "", "", "", *total)
    for got, line, row in zip(table[1:], lines, rows, strict=False):
        assert got == (line.element, line.unit, line.quoted, line.with_rejects, line.rate, *row)
    assert set(table[len(lines) + 1 :]) == {("",) * 12}


def test_cell_takes_a_table_of_nothing_and_refuses_what_it_cannot_place(cases: dict[str, Case]) -> None:
    case = cases["hand"]
    given = on_a_sheet(case)
    nothing = quotelib.job_variances("hand", case.job.good_pieces, [["", "", ""]], *given)
    total = nothing[0]
    assert total[5] == total[-1] and not any(total[6:-1])
    with pytest.raises(RangeError, match="used line is 'Ink'; it must stand once"):
        quotelib.job_variances("hand", 10, [["Ink", 5, ""], ["Ink", 6, ""]], *given)
    with pytest.raises(RangeError, match="used row 1 actual quantity is -5"):
        quotelib.job_variances("hand", 10, [["Ink", -5, ""]], *given)
    with pytest.raises(RangeError, match="rows is 20; it must be more than the"):
        quotelib.job_variances("hand", 10, [["", "", ""]], *given, None, 20)


# --- on the template's sheet ---


def test_sheet_leads_from_the_quoted_to_the_actual_cost() -> None:
    """With its own inputs and with others, and in error where an input has a fault; Calc is held to it by test_workbook."""
    book = template(ROOT / "workbook")

    def named(name: str) -> Any:
        title, cell = book.names[name]
        return book.value(title, *place(cell.split(":")[0]))

    for route, good, started in (("pad", 985, 1044), ("hand", 400, 1000), ("over", 3000, 3000)):
        for name, value in (("after_route", route), ("after_good_pieces", good), ("after_started_pieces", started)):
            book.set(name, value)
        title, cell = book.names["after_lines"]
        first, _ = place(cell.split(":")[0])
        total = [book.value(title, first, column) for column in range(12)]
        if route == "over":  # the example's Make-ready is one of two there, which is no fault, and its Ink too
            assert book.value(title, first + 1, 0) == "Artwork and separations"
        assert total[0] == "All lines"
        assert named("after_difference") == pytest.approx(total[11] - total[5], rel=1e-12)
        assert named("after_causes") == pytest.approx(named("after_difference"), rel=1e-9)
        assert total[5] == pytest.approx(named(f"{route}_sum"), rel=1e-12)
    book.set("after_good_pieces", None)
    assert named("after_faults") == "Good pieces made is blank"
    assert named("after_difference") == CellError("#N/A") or str(named("after_difference")) == "#N/A"


def test_sheet_shows_the_rate_learned_beside_the_present_one() -> None:
    book = template(ROOT / "workbook")
    title, cell = book.names["after_learned"]
    row, column = place(cell.split(":")[0])
    rate, least, most, fixed = (book.value(title, row, column + across) for across in range(4))
    pairs = [tuple(map(float, pair)) for pair in TICKETS]
    ratios = sorted(amount / driver for driver, amount in pairs)
    assert rate == pytest.approx(statistics.median(ratios)) and fixed == 0
    assert least < 0.3 < most < 0.31
    assert book.value(title, row + 1, column) == 0.3
    assert "keep it" in book.value(title, row + 2, column)
    book.set("pad_piece_minutes", 0.35)
    assert "speak against" in book.value(title, row + 2, column)
