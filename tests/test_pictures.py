"""Pictures: what is drawn against what is counted and priced elsewhere, and the SVG read by an XML parser."""

import itertools
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from quotelib.cases import TITLES, Case
from quotelib.chapters.transfers import Image, layout, up_per_sheet
from quotelib.cli import main
from quotelib.errors import RangeError
from quotelib.pictures.drawing import FILLS
from quotelib.pictures.route_map import route_map_svg
from quotelib.pictures.sheet_layout import sheet_layout_svg
from quotelib.prices.pricelist import load_price_list
from quotelib.rates import load_rates
from quotelib.season.designs import load_jobs

ROOT = Path(__file__).resolve().parent.parent
SEASON = ROOT / "examples" / "season"
SVG = "{http://www.w3.org/2000/svg}"

SIZES = st.tuples(
    st.floats(200, 900), st.floats(200, 900), st.floats(20, 190), st.floats(20, 190),
    st.floats(0, 10), st.floats(0, 10), st.floats(0, 15), st.booleans(), st.booleans(),
)  # fmt: skip


def drawn(picture: str, kind: str) -> list[ET.Element]:
    """The rectangles of one class, in a picture that must be well-formed XML."""
    return [each for each in ET.fromstring(picture).iter(f"{SVG}rect") if each.get("class", "").split()[0] == kind]


def clear_of_each_other(images: list[Image], gap: float) -> bool:
    """True where any two images are at least the gap apart, sideways or upwards."""
    return all(
        max(b.x_mm - a.x_mm - a.w_mm, a.x_mm - b.x_mm - b.w_mm, b.y_mm - a.y_mm - a.h_mm, a.y_mm - b.y_mm - b.h_mm)
        >= gap - 1e-3
        for a, b in itertools.combinations(images, 2)
    )


def shape_is_kept(image: Image, w: float, h: float) -> bool:
    return (image.w_mm, image.h_mm) == ((h, w) if image.turned else (w, h))


def check_layout(sizes: tuple[float, ...]) -> None:
    sheet_w, sheet_h, w, h, gutter, margin, gripper, turned, _ = sizes
    images = layout(*sizes)
    assert len(images) == up_per_sheet(*sizes)
    for image in images:
        assert shape_is_kept(image, w, h) and (turned or not image.turned)
        assert margin <= image.x_mm and image.x_mm + image.w_mm <= sheet_w - margin + 1e-3
        assert margin + gripper <= image.y_mm and image.y_mm + image.h_mm <= sheet_h - margin + 1e-3
    assert clear_of_each_other(images, gutter)


@given(sizes=SIZES)
def test_as_many_images_lie_on_the_sheet_as_are_counted_inside_it_and_a_gutter_apart(sizes: tuple[float, ...]) -> None:
    sheet_w, sheet_h, w, h, _, margin, gripper, *_ = sizes
    assume(w <= sheet_w - 2 * margin and h <= sheet_h - 2 * margin - gripper)
    check_layout(sizes)


@pytest.mark.parametrize(
    "sizes,count",
    [
        ((700, 500, 120, 80, 4, 10, 12, True, False), 29),  # both ways round, by straight cuts
        ((5, 5, 3, 2, 0, 0, 0, True, False), 4),  # a true pinwheel: four round a hole; straight cuts give one fewer
        ((5, 5, 3, 2, 0, 0, 0, True, True), 3),
        ((700, 500, 30, 20.5, 1, 0, 0, True, False), 520),  # one cut: 8 columns of 23 upright, 21 of 16 turned
    ],
)
def test_every_kind_of_layout_can_be_laid_out(sizes: tuple[float, ...], count: int) -> None:
    assert up_per_sheet(*sizes) == count
    check_layout(sizes)


@given(sizes=SIZES)
def test_the_drawn_sheet_holds_each_image_where_the_layout_has_it(sizes: tuple[float, ...]) -> None:
    sheet_w, sheet_h, w, h, _, margin, gripper, *_ = sizes
    assume(w <= sheet_w - 2 * margin and h <= sheet_h - 2 * margin - gripper)
    picture = sheet_layout_svg(*sizes)
    images = layout(*sizes)
    shown = drawn(picture, "image")
    assert len(shown) == len(images)
    for rectangle, image in zip(shown, images, strict=True):
        x, y, width, height = (float(rectangle.get(name, "")) for name in ("x", "y", "width", "height"))
        assert (x, width, height) == pytest.approx((image.x_mm, image.w_mm, image.h_mm), abs=1e-3)
        assert sheet_h - y - height == pytest.approx(image.y_mm, abs=1e-3)
        assert ("turned" in rectangle.get("class", "")) == image.turned
    numbers = [each.text for each in ET.fromstring(picture).iter(f"{SVG}text") if each.get("text-anchor") == "middle"]
    assert numbers == [str(number + 1) for number in range(len(images))]
    assert str(ET.fromstring(picture).findtext(f"{SVG}title")).startswith(f"{len(images)} image")


def test_a_sheet_that_is_too_small_is_refused_as_the_count_refuses_it() -> None:
    with pytest.raises(RangeError, match="image_w_mm is 720; it must fit"):
        sheet_layout_svg(700, 500, 720, 80)


def a_case(design: str = "Heron Dawn") -> Case:
    job = next(job for job in load_jobs(SEASON) if job.design == design)
    prices = load_price_list(ROOT / "workbook" / "price-list.csv")
    return Case(job, load_rates(ROOT / "workbook" / "shop-rates.toml"), prices.rows)


def test_every_route_has_a_fill_of_its_own() -> None:
    assert len(set(FILLS)) == len(FILLS) >= len(TITLES)


def test_each_stretch_of_the_map_is_cheapest_by_price_at_both_its_ends_and_none_is_missing() -> None:
    case, colours, runs = a_case(), [1, 4, 6], (10, 5000)
    stretches = drawn(route_map_svg(case, colours, runs), "stretch")
    fills = dict(zip(TITLES.values(), FILLS, strict=False))
    met: dict[int, list[tuple[int, int]]] = {count: [] for count in colours}
    ends: dict[int, float] = {}
    for stretch in stretches:
        route, _, told = str(stretch.findtext(f"{SVG}title")).partition(": ")
        count, first, last = (int(word) for word in told.replace(",", "").split() if word.isdigit())
        assert stretch.get("fill") == fills[route]
        costs = {TITLES[key]: curve for key, curve in case.changed("colours", float(count)).curves().items()}
        for run in (first, last):
            least = min(curve.unit_cost(run) for curve in costs.values())
            assert costs[route].unit_cost(run) == pytest.approx(least, rel=1e-8)
        x, width = float(stretch.get("x", "")), float(stretch.get("width", ""))
        assert x == pytest.approx(ends.get(count, float(stretches[0].get("x", ""))), abs=1e-3), "no gap in a band"
        ends[count] = x + width
        met[count].append((first, last))
    for found in met.values():
        assert (found[0][0], found[-1][1]) == runs
        assert all(before[1] + 1 == after[0] for before, after in itertools.pairwise(found))
    assert len(met[4]) > 1
    assert len({round(end, 3) for end in ends.values()}) == 1


def test_equal_ratios_of_runs_are_equally_wide_on_the_map() -> None:
    picture = ET.fromstring(route_map_svg(a_case(), [1], (10, 9999)))
    places = {each.text: float(each.get("x", "")) for each in picture.iter(f"{SVG}text")}
    assert places["100"] - places["10"] == pytest.approx(places["1000"] - places["100"], abs=1e-3)


def test_names_with_signs_of_their_own_in_xml_are_drawn_as_they_are() -> None:
    case = a_case()
    case = Case(case.job.changed("design", "Fox & <Hare>"), case.rates, case.price_rows)
    assert "Fox & <Hare>" in str(ET.fromstring(route_map_svg(case, [1], (10, 100))).findtext(f"{SVG}title"))


@pytest.mark.parametrize(
    "colours,runs,told",
    [([1], (100, 100), "runs is '100 to 100'; they must be"), ([], (10, 100), "colours is 'an empty list'; it must")],
)
def test_a_map_of_nothing_is_refused(colours: list[int], runs: tuple[int, int], told: str) -> None:
    with pytest.raises(RangeError, match=told):
        route_map_svg(a_case(), colours, runs)


@pytest.mark.parametrize("verb,kind", [("map", "stretch"), ("sheet", "image")])
def test_pictures_are_written_where_asked_or_here_and_it_is_said(
    verb: str, kind: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    asked = tmp_path / "new folder" / "mine.svg"
    usual = Path("route-map.svg" if verb == "map" else "sheet.svg")
    assert main([verb, "Heron Dawn", "--season", str(SEASON), "--out", str(asked)]) == 0
    assert str(asked) in capsys.readouterr().out
    assert main([verb, "Heron Dawn", "--season", str(SEASON)]) == 0
    assert str(usual) in capsys.readouterr().out
    assert usual.read_text(encoding="utf-8") == asked.read_text(encoding="utf-8")
    assert drawn(asked.read_text(encoding="utf-8"), kind)
    assert main([verb, "No Such", "--season", str(SEASON)]) == 1
    assert "design is 'No Such'; it must be one of Heron Dawn" in capsys.readouterr().err
