"""Mesh and ink where a table can't say it; single values from outside stand in checks/mesh.csv."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.ndimage import distance_transform_edt
from scipy.optimize import brentq

from quotelib.chapters.mesh import (
    dot_gap,
    hand_colours_felt,
    ink_film,
    ink_film_measured,
    ink_for_run,
    ink_per_print,
    mesh_open_area,
    mesh_opening,
    tint_density,
    tone_value,
    total_film,
)

MESHES = st.tuples(st.floats(5, 200), st.floats(0.05, 0.95)).map(lambda mesh: (mesh[0], mesh[1] * 10000 / mesh[0]))
"""Threads per cm, and a thread that leaves an opening."""


@given(mesh=MESHES)
def test_thread_and_opening_make_the_pitch(mesh: tuple[float, float]) -> None:
    threads, thread = mesh
    assert (mesh_opening(threads, thread) + thread) * threads == pytest.approx(10000, rel=1e-12)


@pytest.mark.parametrize("threads,thread", [(90, 40), (43, 80), (140, 34)])
def test_the_open_area_is_the_share_of_points_that_no_thread_covers(threads: float, thread: float) -> None:
    centimetre = (np.arange(4000) + 0.5) * 10000 / 4000
    free = centimetre % (10000 / threads) >= thread
    assert mesh_open_area(threads, thread) == pytest.approx(float(np.outer(free, free).mean()), abs=0.005)


@given(mesh=MESHES, fabric=st.floats(20, 300), shares=st.tuples(st.floats(0.1, 1), st.floats(0.1, 1)))
def test_the_film_comes_from_the_open_area_whether_reckoned_or_measured(
    mesh: tuple[float, float], fabric: float, shares: tuple[float, float]
) -> None:
    assert ink_film(*mesh, fabric, *shares) == ink_film_measured(mesh_open_area(*mesh), fabric, *shares)


@given(mesh=MESHES, fabric=st.floats(20, 300), solids=st.floats(0.1, 1))
def test_a_dry_film_is_never_thicker_than_the_wet_one(mesh: tuple[float, float], fabric: float, solids: float) -> None:
    assert ink_film(*mesh, fabric, 0.7, solids) <= ink_film(*mesh, fabric, 0.7) <= fabric


@given(
    prints=st.integers(0, 10**6),
    each=st.floats(0, 1),
    mix=st.floats(0, 500),
    loss=st.floats(0, 100),
    minutes=st.floats(0, 5000),
    pot_life=st.floats(60, 2000),
)
def test_the_ink_mixed_covers_prints_losses_and_every_minimum_mix(
    prints: int, each: float, mix: float, loss: float, minutes: float, pot_life: float
) -> None:
    mixes = max(int(np.ceil(minutes / pot_life - 1e-9)), 1)
    total = ink_for_run(prints, each, mix, loss, minutes, pot_life)
    assert total >= max(prints * each + mixes * loss, mixes * mix) * (1 - 1e-12)
    assert total <= (prints * each + mixes * (loss + mix)) * (1 + 1e-12)


def test_a_print_of_two_colours_over_each_other_uses_the_ink_of_both() -> None:
    solid, detail = ink_per_print(150, 0.8, 22), ink_per_print(150, 0.15, 22)
    assert solid + detail == pytest.approx(ink_per_print(150, 0.95, 22))


DENSITIES = st.tuples(st.floats(0, 0.5), st.floats(0.1, 4), st.floats(1, 5)).map(
    lambda drawn: (drawn[0] + drawn[1], drawn[0], drawn[2])
)
"""Of a solid and its paper, with a Yule-Nielsen factor."""


@given(covered=st.floats(0, 1), readings=DENSITIES)
def test_tone_value_and_density_are_inverses(covered: float, readings: tuple[float, float, float]) -> None:
    solid, paper, _ = readings
    density = min(max(tint_density(covered, *readings), paper), solid)
    assert tone_value(density, *readings) == pytest.approx(covered, abs=1e-9)


@given(covered=st.floats(0.01, 0.99), readings=DENSITIES)
def test_light_from_dots_and_paper_adds_up_to_that_of_the_tint(
    covered: float, readings: tuple[float, float, float]
) -> None:
    solid, paper, n = readings

    def light(density: float) -> float:
        return 10 ** (-density / n)

    mixed = covered * light(solid) + (1 - covered) * light(paper)
    expected = brentq(lambda density: light(density) - mixed, paper, solid, xtol=1e-14, rtol=1e-14)
    assert tint_density(covered, *readings) == pytest.approx(expected, abs=1e-9)


@given(densities=st.tuples(st.floats(0.1, 3), st.floats(0.01, 0.99)), factors=st.tuples(st.floats(1, 50), st.floats(1, 50)))
def test_the_larger_the_yule_nielsen_factor_the_smaller_the_dots(
    densities: tuple[float, float], factors: tuple[float, float]
) -> None:
    solid, tint = densities[0], densities[0] * densities[1]
    fewer, more = sorted(factors)
    values = [tone_value(tint, solid, 0, n) for n in (1, fewer, more, 1e6)]
    assert all(smaller <= larger + 1e-12 for larger, smaller in pairwise(values))
    assert values[-1] == pytest.approx(tint / solid, rel=1e-5)


def inked(shape: str, covered: float, points: int) -> np.ndarray:
    """One cell of the dot grid as points with ink and without, its dot in the middle."""
    middle = np.abs((np.arange(points) + 0.5) / points - 0.5)
    x, y = np.meshgrid(middle, middle)
    if shape == "square":
        return np.maximum(x, y) <= math.sqrt(covered) / 2
    dot = np.hypot(x, y) <= math.sqrt((covered if shape == "round" else 1 - covered) / math.pi)
    return dot if shape == "round" else ~dot


@pytest.mark.parametrize(
    "shape,covered",
    [("square", 0.3), ("square", 0.85), ("round", 0.2), ("round", 0.7), ("standing", 0.4), ("standing", 0.85)],
)
def test_the_gap_is_the_largest_circle_without_ink(shape: str, covered: float) -> None:
    points = 300
    cell = inked(shape, covered, points)
    assert cell.mean() == pytest.approx(covered, abs=0.005)
    farthest = distance_transform_edt(~np.tile(cell, (3, 3)))[points : 2 * points, points : 2 * points].max()
    pitch = 10000 / 80
    assert dot_gap(80, covered, shape) == pytest.approx(2 * farthest / points * pitch, abs=3 * pitch / points)


@pytest.mark.parametrize("shape,least,most", [("square", 0.01, 1), ("round", 0.01, 0.785), ("standing", 0.215, 1)])
def test_the_more_ink_the_less_gap_to_close(shape: str, least: float, most: float) -> None:
    gaps = [dot_gap(80, covered, shape) for covered in np.linspace(least, most, 50)]
    assert gaps == sorted(gaps, reverse=True)
    assert dot_gap(160, (least + most) / 2, shape) == pytest.approx(dot_gap(80, (least + most) / 2, shape) / 2)


@given(
    layers=st.lists(st.tuples(st.floats(0.5, 100), st.floats(0.01, 1)), min_size=1, max_size=12),
    area=st.floats(1, 1000),
)
def test_the_total_film_is_the_ink_of_all_colours_over_the_image(layers: list[tuple[float, float]], area: float) -> None:
    ink = sum(ink_per_print(area, coverage, film) for film, coverage in layers)
    assert total_film(layers) == pytest.approx(ink * 10000 / area, rel=1e-12)


def test_five_transfer_colours_feel_like_one_or_two_by_hand() -> None:
    """Common practice, no source; the shares are assumed: solid UV ink through fine mesh, solvent ink through coarse."""
    one_by_hand = ink_film(43, 80, 130, 0.75, 0.5)
    one_by_transfer = ink_film(150, 31, 48, 0.6)
    assert 2 < one_by_hand / one_by_transfer < 6, "hand printing lays down several times the film"
    assert 1 < hand_colours_felt(total_film([[one_by_transfer, ""]] * 5), one_by_hand) < 2
