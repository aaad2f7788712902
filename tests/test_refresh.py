"""The refresh of a closed workbook: workbooks of many makes through it, and back into openpyxl and a real LibreOffice."""

import datetime
import re
import struct
import zipfile
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from quotelib.hosts.calc.session import Calc
from quotelib.hosts.xlsx.refresh import Refreshed, closed_workbook
from quotelib.kinds import day_number
from tests.workbooks import AFTER, BEFORE, FIRST, MAKERS, SAVED_BY_LIBREOFFICE, SHORT, Prices

READ_ON = datetime.date(2026, 11, 25)
STATED = {"price_file": "price-list.csv", "price_currency": "USD", "price_day": READ_ON}
WIDTH = 15

pytestmark = pytest.mark.filterwarnings("ignore::UserWarning:openpyxl")


def refresh(path: Path, rows: Prices, **options: Any) -> Refreshed:
    with closed_workbook(path) as book:
        return book.refresh(rows, STATED, day=READ_ON, **options)


@pytest.fixture(scope="module")
def corpus(tmp_path_factory: pytest.TempPathFactory, calc: Calc) -> dict[str, Path]:
    """Every workbook as it was made, and what LibreOffice saves of some, by name."""
    folder = tmp_path_factory.mktemp("corpus")
    made = {}
    for name, make in MAKERS.items():
        made[name] = folder / name
        make(made[name])
    for name in SAVED_BY_LIBREOFFICE:
        saved = f"libreoffice-{name}"
        made[saved] = folder / saved
        with calc.open(made[name]) as book:
            book.save(made[saved])
    return made


NAMES = [*MAKERS, *(f"libreoffice-{name}" for name in SAVED_BY_LIBREOFFICE)]


def test_corpus_is_large_enough() -> None:
    assert len(NAMES) >= 25


@pytest.fixture(params=NAMES)
def made(request: pytest.FixtureRequest, corpus: dict[str, Path]) -> Path:
    return corpus[request.param]


@pytest.fixture
def workbook(made: Path, tmp_path: Path) -> Path:
    path = tmp_path / made.name
    path.write_bytes(made.read_bytes())
    return path


def members(path: Path) -> Iterator[tuple[zipfile.ZipInfo, bytes]]:
    """Each member in the order of the directory, with its bytes as they lie in the file: header, extra fields, content."""
    content = path.read_bytes()
    with zipfile.ZipFile(path) as archive:
        assert archive.testzip() is None
        for info in archive.infolist():
            assert content[info.header_offset : info.header_offset + 4] == b"PK\x03\x04"
            name, extra = struct.unpack_from("<2H", content, info.header_offset + 26)
            start = info.header_offset + 30 + name
            yield (
                info,
                content[info.header_offset : info.header_offset + 14] + content[start : start + extra + info.compress_size],
            )


def directory_entry(info: zipfile.ZipInfo) -> tuple[Any, ...]:
    """What the directory says of a member, but its place."""
    return (
        info.filename, info.date_time, info.compress_type, info.comment, info.extra, info.create_system,
        info.create_version, info.extract_version, info.flag_bits, info.internal_attr, info.external_attr,
        info.CRC, info.compress_size, info.file_size,
    )  # fmt: skip


def price_part(path: Path) -> tuple[str, str]:
    """The part of the price sheet, and its title as names write it, by way of names and relationships."""
    with zipfile.ZipFile(path) as archive:
        book = archive.read("xl/workbook.xml").decode()
        related = archive.read("xl/_rels/workbook.xml.rels").decode()
    stands_for = re.search(r"name=.price_rows.[^>]*>([^<]*)!", book)
    assert stands_for
    title = unescape(stands_for[1]).strip("'").replace("''", "'")
    sheets = [dict(re.findall(r'([\w:]+)="([^"]*)"', tag)) for tag in re.findall(r"<(?:x:)?sheet [^>]*>", book)]
    identity = next(sheet["r:id"] for sheet in sheets if unescape(sheet["name"]) == title)
    relation = next(one for one in re.findall("<Relationship [^>]*>", related) if f'Id="{identity}"' in one)
    target = re.search('Target="([^"]*)"', relation)
    assert target
    return f"xl/{target[1].removeprefix('/xl/')}", stands_for[1]


def check_members(before: Path, after: Path) -> set[str]:
    """Every member but those that may change is the same byte for byte, in the same place; which have changed."""
    old, new = list(members(before)), list(members(after))
    assert [info.filename for info, _ in old] == [info.filename for info, _ in new]
    changed = set()
    with zipfile.ZipFile(before) as was, zipfile.ZipFile(after) as now:
        assert was.comment == now.comment
        for (info, raw), (info_now, raw_now) in zip(old, new, strict=True):
            if raw != raw_now or directory_entry(info) != directory_entry(info_now):
                assert was.read(info.filename) != now.read(info.filename)
                changed.add(info.filename)
    sheet, _ = price_part(before)
    assert changed >= {sheet}
    assert all(name in (sheet, "xl/workbook.xml") or name.startswith("xl/tables/") for name in changed), changed
    return changed


def as_read(value: Any) -> Any:
    """A value as openpyxl gives it back from a cell."""
    if isinstance(value, datetime.datetime):
        return float(day_number(value.date()))
    if isinstance(value, datetime.date):
        return float(day_number(value))
    return float(value) if isinstance(value, int | float) else (value or None)


def other_cells(book: Any, sheet: Any, last: int) -> dict[str, Any]:
    """What stands in every cell but those of the list and the three above it."""
    cells = {}
    for each in book.worksheets:
        for row in each.iter_rows():
            for cell in row:
                ours = each is sheet and FIRST <= cell.row <= last
                stated = each is sheet and cell.coordinate in ("B2", "B3", "B4")
                if cell.value is not None and not ours and not stated:
                    cells[f"{each.title}!{cell.coordinate}"] = (
                        cell.data_type,
                        str(getattr(cell.value, "text", cell.value)),
                        cell.style_id,
                    )
    return cells


def check_values(before: Path, after: Path, rows: Prices) -> None:
    """The prices, texts as texts, the names and the statements, as openpyxl reads them; every other cell as it was."""
    if before.name == "strict.xlsx":  # which openpyxl does not read
        return
    was, now = openpyxl.load_workbook(before), openpyxl.load_workbook(after)
    area = now.defined_names["price_rows"].attr_text
    title = area.rpartition("!")[0].strip("'").replace("''", "'")
    sheet = now[title]
    last = FIRST + len(rows) - 1
    assert area.rpartition("!")[2] == f"$A${FIRST}:$E${last}"
    assert now.defined_names["price_codes"].attr_text.rpartition("!")[2] == f"$A${FIRST}:$A${last}"
    for number, values in enumerate(rows, FIRST):
        cells = [sheet.cell(number, column) for column in range(1, WIDTH + 1)]
        assert [as_read(cell.value) for cell in cells] == [as_read(as_stored(value)) for value in values], number
        assert {cell.data_type for cell in cells if isinstance(cell.value, str)} <= {"s", "inlineStr"}
    assert [sheet[cell].value for cell in ("B2", "B3")] == ["price-list.csv", "USD"]
    assert as_read(sheet["B4"].value) == day_number(READ_ON)
    old_last = int(was.defined_names["price_rows"].attr_text.rpartition("$")[2])
    reach = max(last, old_last)
    assert other_cells(now, sheet, reach) == other_cells(was, was[title], reach)


def as_stored(value: Any) -> Any:
    """A text as a file holds it, which is how openpyxl hands it over (ECMA-376 part 1, 22.9.2.19)."""
    return {"_x0041_ and \x07": "_x005F_x0041_ and _x0007_"}.get(value, value) if isinstance(value, str) else value


def test_longer_list(workbook: Path, made: Path, calc: Calc) -> None:
    done = refresh(workbook, AFTER)
    check_members(made, workbook)
    check_values(made, workbook, AFTER)
    assert done.backup is not None and done.backup.read_bytes() == made.read_bytes()
    check_in_calc(calc, workbook, AFTER)


def test_shorter_list(workbook: Path, made: Path) -> None:
    refresh(workbook, SHORT)
    check_members(made, workbook)
    check_values(made, workbook, SHORT)


def check_in_calc(calc: Calc, path: Path, rows: Prices) -> None:
    """A real LibreOffice reads the prices by their name, and formulas on another sheet find them."""
    with calc.open(path) as book:
        read = book.values(["price_rows", "price_day"])
        assert read["price_day"] == day_number(READ_ON)
        for row, values in zip(read["price_rows"], rows, strict=True):
            assert [as_read(cell) for cell in row] == [as_read(value) for value in values[:5]]
        if not path.name.startswith("template"):
            total, film, count = (book.value(f"Quote!B{row}") for row in (1, 2, 3))
            assert total == pytest.approx(sum(row[2] for row in rows), rel=1e-12)
            assert film == next(row[2] for row in rows if row[0] == "FILM")
            assert count == 101 * len(rows)


def test_second_refresh_brings_the_first_file_back(workbook: Path, made: Path) -> None:
    """There and back: the sheet's cells are those of the start, but for the statements above them."""
    refresh(workbook, AFTER)
    if workbook.name.startswith("template"):
        return
    refresh(workbook, BEFORE)
    check_values(made, workbook, BEFORE)


def test_everything_around_the_rows_stays(workbook: Path, made: Path) -> None:
    """The XML before and after the cells differs in the last row of what covers the list, and in nothing else."""
    refresh(workbook, AFTER)
    part, title = price_part(made)
    with zipfile.ZipFile(made) as was, zipfile.ZipFile(workbook) as now:
        sheets, books = ([each.read(name).decode() for each in (was, now)] for name in (part, "xl/workbook.xml"))
    last = re.search(r"name=.price_rows.[^>]*>[^<]*\$(\d+)<", books[0])
    assert last
    new_last = str(FIRST + len(AFTER) - 1)
    sheets = [re.sub(r"<(\w*:?)sheetData>.*</\1sheetData>", "", text, flags=re.DOTALL) for text in sheets]
    sheets = [re.sub(r'<(dimension|hyperlink) ref="[^"]*"', "", text) for text in sheets]
    assert re.sub(rf'(?<=[A-Z$]){last[1]}(?=[ "<),])', new_last, sheets[0]) == sheets[1]
    books = [re.sub(r' fullCalcOnLoad="[^"]*"|<\w*:?calcPr fullCalcOnLoad="1"/>', "", text) for text in books]
    ours = rf"({re.escape(title)}!\$[A-Z]+\$\d+:\$[A-Z]+\$){last[1]}(?=<)"
    assert re.sub(ours, rf"\g<1>{new_last}", books[0]) == books[1]
