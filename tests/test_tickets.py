"""Job tickets at the door: what a row means, and everything wrong with a file named at once, by line."""

import csv
from pathlib import Path

import numpy as np
import pytest

from quotelib.afterwards.tickets import COLUMNS, WORKS, load_tickets
from quotelib.errors import FileRefused
from quotelib.season.designs import load_jobs
from tests.invented_tickets import FILE, LAYERS, as_csv, example, invented_tickets

HEAD = ",".join(COLUMNS)
GOOD = "A1,2026-03-02,Heron Dawn,Paddle straight,hand,3,,100,110,100,4 3 3,120,165,44,"


def written(folder: Path, *rows: str, head: str = HEAD) -> Path:
    path = folder / "tickets.csv"
    path.write_text("\n".join([head, *rows]) + "\n", encoding="utf-8")
    return path


def faults_of(folder: Path, *rows: str, head: str = HEAD) -> list[str]:
    with pytest.raises(FileRefused) as refusal:
        load_tickets(written(folder, *rows, head=head))
    return refusal.value.faults


def test_the_example_is_what_its_maker_makes() -> None:
    assert FILE.read_text(encoding="utf-8") == example(), "run: python -m tests.invented_tickets"


def test_the_example_holds_150_tickets_of_all_works_and_no_person() -> None:
    tickets = load_tickets(FILE)
    assert len(tickets) == 150
    assert set(tickets.work) == set(WORKS)
    with FILE.open(encoding="utf-8", newline="") as table:
        assert next(csv.reader(table)) == list(COLUMNS)
    assert not {"name", "operator", "printer", "person"} & set(COLUMNS)


def test_the_example_is_of_the_designs_of_the_season() -> None:
    jobs = {job.design: job for job in load_jobs(FILE.parent)}
    tickets, slips = invented_tickets(seed=26)
    assert not slips
    for ticket in tickets:
        job = jobs[ticket["design"]]
        assert ticket["item"] == job.item
        if ticket["work"] != "pressing":
            assert ticket["colours"] == job.colours + (LAYERS if ticket["work"] == "sheets" else 0)


def test_pieces_entering_the_colours_are_counted_to_where_each_reject_was_found(tmp_path: Path) -> None:
    rows = [
        GOOD,  # 4 rejects at the first colour, 3 at the second, 3 at the third
        GOOD.replace("A1", "A2").replace("4 3 3", ""),  # half-way: the second
        "B1,2026-03-02,Rowan,Sled large,sheets,7,,70,150,75,,170,260,90,",
        "C1,2026-03-02,Rowan,Sled large,pressing,,2,90,95,90,,60,85,,",
    ]
    tickets = load_tickets(written(tmp_path, *rows))
    assert tickets.prints.tolist() == [110 + 106 + 103, 110 * 3 - 10, 150 * 7, 95]
    assert tickets.spoiled.tolist() == [10, 10, 75, 5]
    assert tickets.each.tolist() == [3, 3, 7, 2]
    assert np.isnan(tickets.numbers["ink_ml"]).all()
    assert tickets.only(tickets.work == "sheets").ticket == ["B1"]
    assert tickets.day[0] == np.datetime64("2026-03-02")


def test_columns_may_stand_in_any_order_and_blank_lines_between(tmp_path: Path) -> None:
    order = COLUMNS[::-1]
    rows = [",".join(GOOD.split(",")[::-1]), "", ",".join(GOOD.replace("A1", "A2").split(",")[::-1])]
    tickets = load_tickets(written(tmp_path, *rows, head=",".join(order)))
    assert tickets.ticket == ["A1", "A2"]
    assert tickets.line.tolist() == [2, 4]


def test_everything_wrong_is_named_at_once(tmp_path: Path) -> None:
    assert faults_of(
        tmp_path,
        GOOD,
        GOOD.replace("hand", "lathe"),
        "A3,2026-13-02,Heron Dawn,Paddle straight,hand,,2,100,110.5,-1,4 x,2h,165,44,",
        "A4,03/02/2026,,Paddle straight,pressing,2,,100,many,,,120,1_000,nan,1e99",
        "A5,1950-01-01,Heron Dawn,Paddle straight,hand,25,,0,110,100,,120,165,44,",
    ) == [
        "line 3, column A: ticket is 'A1'; it must stand once; line 2 has it too",
        "line 3, column E: work is 'lathe'; it must be one of hand, sheets, pressing, pad",
        "line 4, column B: day is '2026-13-02'; it must be a date from 1990 to 2199, such as 2026-11-02",
        "line 4, column F: colours is blank; it must be whole, 1 to 24 [colours] for the work hand",
        "line 4, column G: sessions is '2'; it must be blank for the work hand",
        "line 4, column I: started_pieces is '110.5'; it must be whole, 1 to 1e9 [pieces]",
        "line 4, column J: good_pieces is '-1'; it must be whole, 0 to 1e9 [pieces]",
        "line 4, column K: rejects is '4 x'; it must be whole numbers with spaces between, one for each colour, or blank",
        "line 4, column L: makeready_minutes is '2h'; it must be 0 to 1e7 [minutes]",
        "line 5, column B: day is '03/02/2026'; it must be a date from 1990 to 2199, such as 2026-11-02",
        "line 5, column C: design is blank; it must be text, not blank",
        "line 5, column F: colours is '2'; it must be blank for the work pressing",
        "line 5, column G: sessions is blank; it must be whole, 1 to 1e6 [times] for the work pressing",
        "line 5, column I: started_pieces is 'many'; it must be whole, 1 to 1e9 [pieces]",
        "line 5, column J: good_pieces is blank; it must be whole, 0 to 1e9 [pieces]",
        "line 5, column M: running_minutes is '1_000'; it must be 0 to 1e7 [minutes]",
        "line 5, column N: washup_minutes is 'nan'; it must be 0 to 1e7 [minutes]",
        "line 5, column O: ink_ml is '1e99'; it must be 0 to 1e9 [mL]",
        "line 6, column B: day is '1950-01-01'; it must be a date from 1990 to 2199, such as 2026-11-02",
        "line 6, column F: colours is '25'; it must be whole, 1 to 24 [colours]",
        "line 6, column H: ordered_pieces is '0'; it must be whole, 1 to 1e9 [pieces]",
    ]


def test_wrong_headings_are_named(tmp_path: Path) -> None:
    faults = faults_of(tmp_path, GOOD + ",Ann", head=HEAD.replace("sessions", "colours") + ",operator")
    assert faults == [
        "line 1: the column 'operator' is not one of a ticket; they are " + ", ".join(COLUMNS),
        "line 1: the column colours stands 2 times; it must stand once",
        "line 1: the column sessions is missing; it must stand once",
    ]


def test_a_file_without_tickets_is_refused(tmp_path: Path) -> None:
    assert faults_of(tmp_path) == ["the file holds no ticket; it must hold one at least"]


def test_many_invented_tickets_all_come_in(tmp_path: Path) -> None:
    path = tmp_path / "tickets.csv"
    made, slips = invented_tickets(seed=3, count=600, wrong=0.1)
    path.write_text(as_csv(made), encoding="utf-8")
    assert len(slips) == 60
    assert load_tickets(path).ticket == [ticket["ticket"] for ticket in made]
