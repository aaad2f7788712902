"""The order book, the shop's calendar, the verbs and the pictures; the season is invented."""

import datetime
import itertools
import shutil
import xml.etree.ElementTree as ET
from dataclasses import replace
from pathlib import Path

import pytest

from quotelib.cases import Case
from quotelib.chapters.loading import CLOCK_DAY
from quotelib.cli import main
from quotelib.errors import FileRefused, NoSolution
from quotelib.hosts.build import EXAMPLE
from quotelib.kinds import day_number
from quotelib.pictures.hours import load_svg, sequence_svg
from quotelib.prices.pricelist import PriceList, load_price_list
from quotelib.quoting import quote
from quotelib.rates import ShopRates, load_rates
from quotelib.routes import CENTRES, ROUTES
from quotelib.season.designs import load_jobs
from quotelib.season.schedule import BookedOrder, Schedule, ShopCalendar, book_order, load_calendar, load_orders
from quotelib.stages import first_run, stage_hours

ROOT = Path(__file__).resolve().parent.parent
SEASON = ROOT / "examples" / "season"
CALENDAR = ROOT / "workbook" / "shop-calendar.toml"
SVG = "{http://www.w3.org/2000/svg}"
PLACES = {key: place for place, key in enumerate(CENTRES)}


@pytest.fixture(scope="module")
def rates() -> ShopRates:
    return load_rates(ROOT / "workbook" / "shop-rates.toml")


@pytest.fixture(scope="module")
def prices() -> PriceList:
    return load_price_list(ROOT / "workbook" / "price-list.csv")


@pytest.fixture(scope="module")
def booked(rates: ShopRates, prices: PriceList) -> list[BookedOrder]:
    return load_orders(SEASON / "orders.csv", load_jobs(SEASON), rates, prices.rows)


@pytest.fixture(scope="module")
def calendar() -> ShopCalendar:
    return load_calendar(CALENDAR)


@pytest.fixture(scope="module")
def schedule(booked: list[BookedOrder], calendar: ShopCalendar) -> Schedule:
    return Schedule(booked, calendar)


@pytest.fixture
def case(rates: ShopRates, prices: PriceList) -> Case:
    """The template's job, which every route can print."""
    return Case(EXAMPLE, rates, prices.rows)


def test_hours_by_hand_are_those_of_the_rates(case: Case) -> None:
    """Worked out here from the shop's rates, line by line."""
    job, rates = case.job, case.rates
    hours, waits = stage_hours(first_run(case, "hand"), "hand")
    started = job.good_pieces / rates.hand_yield**job.colours
    prints = sum(started * rates.hand_yield**colour for colour in range(int(job.colours)))
    table = job.colours * (rates.hand_makeready_minutes + rates.hand_washup_minutes) + rates.hand_approval_minutes
    expected = {
        "artwork": rates.artwork_minutes + job.colours * rates.separation_minutes,
        "screens": job.colours * rates.hand_screen_minutes,
        "table": table + prints * rates.hand_piece_minutes,
        "bench": job.colours * rates.hand_mix_minutes
        + started * rates.hand_prepare_minutes
        + job.good_pieces * rates.hand_finish_minutes,
    }
    for key, place in PLACES.items():
        assert hours[place] == pytest.approx(expected.get(key, 0.0) / 60, rel=2e-3), key  # pieces started are whole
    assert waits[PLACES["table"]] > 0 and sum(waits) == waits[PLACES["table"]]


def test_hours_by_transfer_are_those_of_the_rates(case: Case) -> None:
    """The roller: warm-ups and pieces; the warm-up's people are not clock hours."""
    crew = Case(case.job, replace(case.rates, roller_crew=2.0), case.price_rows)
    hours, waits = stage_hours(first_run(crew, "bought"), "bought")
    pressed = case.job.good_pieces / case.rates.roller_yield
    sessions = -(-case.job.good_pieces // case.rates.pieces_per_session)
    clock = sessions * case.rates.roller_warmup_minutes + pressed * 60 / case.rates.roller_pieces_per_hour
    assert hours[PLACES["roller"]] == pytest.approx(clock / 60, rel=2e-3)
    assert hours[PLACES["flat"]] == hours[PLACES["screens"]] == 0
    assert waits[PLACES["artwork"]] == case.rates.bought_days * 24


@pytest.mark.parametrize("key", [route.key for route in ROUTES])
def test_machine_hours_are_those_that_the_machines_are_charged_for(case: Case, key: str) -> None:
    quoted = first_run(case, key)
    hours, _ = stage_hours(quoted, key)
    for line in quoted.opened(key):
        machine = line.source.removeprefix("shop rates: ").removesuffix("_cost")
        if line.driver == "per machine hour":
            assert hours[PLACES[machine]] >= line.quantity / 60


def test_a_run_with_its_tools_ready_takes_no_artwork_and_no_screens(case: Case) -> None:
    quoted = first_run(case, "hand")
    (first, _), (again, _) = (stage_hours(quoted, "hand", ready) for ready in (False, True))
    assert again[:2] == (0, 0) and first[0] > 0 and first[1] > 0
    assert again[2:] == first[2:]


def test_tools_are_made_in_full_even_where_their_cost_is_shared(case: Case) -> None:
    often = replace(case, job=case.job.changed("runs_expected", 5.0))
    assert stage_hours(first_run(often, "pad"), "pad") == stage_hours(first_run(case, "pad"), "pad")


def test_a_route_that_cannot_print_the_job_says_why(case: Case) -> None:
    by_pad_alone = replace(case, job=replace(case.job, hand_possible=False))
    with pytest.raises(NoSolution, match="hand_possible is FALSE"):
        first_run(by_pad_alone, "hand")


def test_an_order_without_a_route_takes_the_cheapest(
    booked: list[BookedOrder], rates: ShopRates, prices: PriceList
) -> None:
    order = next(each for each in booked if each.order.order == "T-2309")
    assert order.route == quote(order.job, rates, prices.rows).cheapest
    named = book_order(order.order, order.job, rates, prices.rows, "hand")
    assert named.route == "hand" and named.stages.hours[PLACES["table"]] > 0
    lines = first_run(Case(order.job, rates, prices.rows), order.route).opened(order.route)
    bought = sum(line.amount for line in lines if line.unit != "minutes")
    assert order.contribution == pytest.approx(order.order.price - bought)


def test_the_weeks_hold_every_hour_of_the_orders_that_take_any(schedule: Schedule) -> None:
    load = schedule.load()
    for place, name in enumerate(CENTRES.values()):
        assert load[name].sum() == pytest.approx(sum(each.stages.hours[place] for each in schedule.orders))
    assert {each.order.order for each in schedule.enquiries} == {f"T-{number}" for number in range(2328, 2333)}
    assert schedule.bottleneck == "table"


def test_the_late_orders_are_those_of_the_plan(schedule: Schedule) -> None:
    late = {row["Order"]: row for row in schedule.late.to_dict("records")}
    assert late
    for each, finished in zip(schedule.orders, schedule.plan.finished, strict=True):
        last = [placed.ends for placed in schedule.plan.placed if schedule.orders[placed.order] is each]
        assert finished.day >= max(last) // CLOCK_DAY
        if finished.day > each.order.due:
            assert late[each.order.order]["Days late"] == finished.day - each.order.due
        else:
            assert each.order.order not in late


def test_a_promise_is_kept_by_the_plan_with_the_new_order_in_it(
    schedule: Schedule, calendar: ShopCalendar, rates: ShopRates, prices: PriceList
) -> None:
    job = next(job for job in load_jobs(SEASON) if job.design == "Gorse")
    promises, refused = schedule.promises(job, rates, prices.rows)
    assert set(refused) == {"pad"}
    assert [each.day for each in promises] == sorted(each.day for each in promises)
    bought = next(each for each in promises if each.route == "bought")
    assert bought.day >= schedule.today + rates.bought_days + calendar.buffer_days
    late = set(schedule.late["Order"])
    for each in promises:
        assert each.ready + calendar.buffer_days <= each.day
        stages = stage_hours(first_run(Case(job, rates, prices.rows), each.route), each.route)
        new = BookedOrder(
            replace(schedule.orders[0].order, order="new", due=each.day, promised=True), job, each.route, stages, 0.0
        )
        kept = [order for order in schedule.orders if order.order.promised]
        assert set(Schedule([*kept, new], calendar, schedule.today).late["Order"]) <= late


def test_orders_not_yet_received_are_not_known(rates: ShopRates, prices: PriceList) -> None:
    today = day_number(datetime.date(2026, 11, 4))
    booked = load_orders(SEASON / "orders.csv", load_jobs(SEASON), rates, prices.rows, today)
    assert len(booked) == 11 and max(each.order.received for each in booked) <= today


def test_all_faults_of_an_order_book_are_named_at_once(tmp_path: Path, rates: ShopRates, prices: PriceList) -> None:
    lines = (SEASON / "orders.csv").read_text().splitlines()
    lines[1] = lines[1].replace("Heron Dawn", "Nemo")
    lines[2] = lines[2].replace(",hand,", ",foot,")
    lines[3] = lines[3].replace("T-2303", "T-2302").replace("2026-11-18", "2026-10-01")
    lines[4] = lines[4].replace(",300,", ",0,").replace("TRUE", "perhaps")
    (tmp_path / "orders.csv").write_text("\n".join(lines) + "\n")
    with pytest.raises(FileRefused) as refusal:
        load_orders(tmp_path / "orders.csv", load_jobs(SEASON), rates, prices.rows)
    assert refusal.value.faults == [
        "line 2, column B: design is 'Nemo'; it must be a design of the season",
        "line 3, column D: route is 'foot'; it must be one of hand, transfer, bought, over, pad",
        "line 4, column A: order is 'T-2302'; it must stand once in the file",
        "line 4, column F: due is '2026-10-01'; it must not be before the day it was received",
        "line 5, column C: pieces is '0'; it must be whole, 1 to 1e9 [pieces]",
        "line 5, column G: promised is 'perhaps'; it must be TRUE or FALSE",
    ]


def test_a_route_the_item_rules_out_is_a_fault_of_its_line(tmp_path: Path, rates: ShopRates, prices: PriceList) -> None:
    lines = (SEASON / "orders.csv").read_text().splitlines()
    lines[3] = lines[3].replace(",hand,", ",pad,")
    (tmp_path / "orders.csv").write_text("\n".join(lines) + "\n")
    with pytest.raises(FileRefused, match="line 4: route is 'pad'; pad_possible is FALSE for Otter Run on Paddle straight"):
        load_orders(tmp_path / "orders.csv", load_jobs(SEASON), rates, prices.rows)


def test_all_faults_of_a_calendar_are_named_at_once(tmp_path: Path) -> None:
    text = CALENDAR.read_text().replace("buffer_days = 2", "buffer_days = -1").replace("2026-12-24", '"Christmas"')
    text = text.replace("[bench]\nmachines = 2", "[bench]\nmachines = 0").replace("[artwork]", "[drawing]")
    text = text.replace("[table]\nmachines = 1\nweek = [7, 7, 7, 7, 5, 0, 0]", "[table]\nmachines = 1\nweek = [7, 25]")
    (tmp_path / "calendar.toml").write_text(text)
    with pytest.raises(FileRefused) as refusal:
        load_calendar(tmp_path / "calendar.toml")
    assert refusal.value.faults == [
        "artwork is missing",
        f"drawing is not known; there are buffer_days, holidays, {', '.join(CENTRES)}",
        "buffer_days is -1; it must be whole, 0 to 1000 [days]",
        "holidays 1 is 'Christmas'; it must be a date from 1990 to 2199",
        "table week has 2 days; it must have 7, from Monday to Sunday",
        "table Tuesday is 25; it must be 0 to 24 [hours]",
        "bench machines is 0; it must be whole, 1 to 100 [machines]",
    ]
    (tmp_path / "calendar.toml").write_text("[artwork\n")
    with pytest.raises(FileRefused, match="it is not TOML"):
        load_calendar(tmp_path / "calendar.toml")


def shapes(picture: str, kind: str) -> list[ET.Element]:
    return [each for each in ET.fromstring(picture).iter(f"{SVG}rect") if each.get("class", "").split()[0] == kind]


def told(shape: ET.Element) -> str:
    return shape.findtext(f"{SVG}title") or ""


def test_bars_of_the_load_are_as_tall_as_the_shares(schedule: Schedule) -> None:
    bars = shapes(load_svg(schedule), "bar")
    shares = schedule.load("utilisation")
    assert len(bars) == shares.size
    heights = sorted(float(bar.get("height", "")) for bar in bars)
    expected = sorted(float(share) for share in shares.to_numpy().ravel())
    most = heights[-1] / expected[-1]
    assert heights == pytest.approx([share * most for share in expected], abs=1e-3)
    first = schedule.load()["Hand table"].iloc[0]
    assert any(told(bar).startswith(f"Hand table, week of 2026-11-16: {first:.1f} of 33.0 hours") for bar in bars)


def test_the_sequence_shows_every_stage_and_no_two_over_each_other(schedule: Schedule) -> None:
    bars = shapes(sequence_svg(schedule), "order")
    assert len(bars) == len(schedule.plan.placed)
    lanes: dict[str, list[tuple[float, float]]] = {}
    for bar in bars:
        x, width = (float(bar.get(name, "")) for name in ("x", "width"))
        lanes.setdefault(bar.get("y", ""), []).append((x, x + width))
    for spans in lanes.values():
        spans.sort()
        assert all(after[0] >= before[1] - 1e-3 for before, after in itertools.pairwise(spans))
    shaded = {told(bar).split()[0] for bar in bars if bar.get("class") == "order late"}
    assert shaded == set(schedule.late["Order"])


def test_command_prints_the_load_and_draws_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["load", str(SEASON), "--out", str(tmp_path)]) == 0
    printed = capsys.readouterr().out
    assert "From 2026-11-16 on: 27 orders that take hours, 5 enquiries for contract work." in printed
    assert "Fullest over all the weeks: Hand table" in printed and "Orders that miss their day" in printed
    assert "Contract work for the" in printed and "take" in printed
    for name in ("load.svg", "sequence.svg"):
        assert ET.fromstring((tmp_path / name).read_text()).tag == f"{SVG}svg"


def test_command_names_the_day_to_promise_and_the_route_ready_first(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["promise", "Gorse", "--season", str(SEASON), "--pieces", "80", "--tools-ready"]) == 0
    printed = capsys.readouterr().out
    assert "Gorse on Sled small, 80 good pieces, from 2026-11-16 on." in printed
    assert "Ready first: " in printed and "By pad: not possible" in printed and "Artwork" not in printed


def test_command_refuses_what_it_cannot_use(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["load", str(SEASON), "--today", "tomorrow"])
    assert "--today: 'tomorrow': it must be a date from 1990 to 2199" in capsys.readouterr().err
    assert main(["promise", "Gorse", "--season", str(SEASON), "--pieces", "0"]) == 1
    assert "pieces is 0; it must be whole, 1 to 1e9" in capsys.readouterr().err
    assert main(["load", str(SEASON), "--today", "2020-01-01"]) == 1
    assert "orders is 'an empty book'; it must hold one order at least" in capsys.readouterr().err
    shutil.copytree(SEASON, tmp_path / "season")
    (tmp_path / "season" / "orders.csv").unlink()
    assert main(["load", str(tmp_path / "season")]) == 1
    assert "orders.csv" in capsys.readouterr().err
