"""Shape against numerical integration, root finding and 60 digits; single values from outside stand in checks/shape.csv."""

import math
from decimal import Decimal, localcontext

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq

from quotelib.chapters.shape import (
    arc_length,
    art_scale,
    chord_from_sagitta,
    chord_length,
    off_contact_allowed,
    off_contact_spread,
    print_growth,
    radius_from_sagitta,
    sagitta,
    screen_stretch,
)

RADII = st.floats(1, 1e5)
SHARES = st.floats(0.001, 0.999)
SPANS = st.floats(10, 3000)
GAPS = st.floats(1e-6, 60)

QUARTER_INCH_MM = 6.35
"""Within about this, 6 mm or 1/4 in, off-contact is kept along a curve; common practice, no source."""


def stretch_in_60_digits(span: float, gap: float, edge: float) -> Decimal:
    """The mesh's two sides less the span, by plain subtraction with digits to spare."""
    with localcontext(prec=60):
        near, height = Decimal(edge), Decimal(gap)
        far = Decimal(span) - near
        sides = (near * near + height * height).sqrt() + (far * far + height * height).sqrt()
        return sides - Decimal(span)


@given(radius=RADII, share=SHARES)
def test_the_arc_is_the_length_of_the_curve_over_its_chord(radius: float, share: float) -> None:
    half = radius * share
    length, _ = quad(lambda x: radius / math.sqrt((radius - x) * (radius + x)), 0, half, epsrel=1e-12)
    assert arc_length(radius, 2 * half) == pytest.approx(2 * length, rel=1e-9)


@given(radius=RADII, share=SHARES)
def test_chord_and_arc_are_inverses(radius: float, share: float) -> None:
    chord = 2 * radius * share
    arc = arc_length(radius, chord)
    assert chord * (1 - 1e-15) <= arc <= math.pi / 2 * chord
    assert chord_length(radius, arc) == pytest.approx(chord, rel=1e-12)


@given(radius=RADII, share=st.floats(1e-6, 1))
def test_radius_chord_and_sagitta_give_each_other(radius: float, share: float) -> None:
    chord = 2 * radius * share
    height = sagitta(radius, chord)
    assert radius_from_sagitta(chord, height) == pytest.approx(radius, rel=1e-9)
    assert chord_from_sagitta(radius, height) == pytest.approx(chord, rel=1e-9)
    assert chord_from_sagitta(radius, height) ** 2 / 4 + (radius - height) ** 2 == pytest.approx(radius**2, rel=1e-9)


@given(radius=st.floats(1, 1e6), chord=st.floats(1e-3, 2))
def test_a_flat_curve_loses_no_digits_of_its_sagitta(radius: float, chord: float) -> None:
    with localcontext(prec=60):
        exact = Decimal(radius) - (Decimal(radius) ** 2 - (Decimal(chord) / 2) ** 2).sqrt()
    assert sagitta(radius, chord) == pytest.approx(float(exact), rel=1e-13)


@given(art=st.floats(1, 5000), growth=st.floats(-0.5, 1))
def test_scaled_art_ends_at_its_true_length(art: float, growth: float) -> None:
    assert art * art_scale(growth) * (1 + growth) == pytest.approx(art, rel=1e-14)


@given(art=st.floats(1, 5000), printed=st.floats(0.5, 2))
def test_the_scale_is_the_art_over_the_print(art: float, printed: float) -> None:
    assume(art / 2 <= art * printed <= art * 2)
    assert art_scale(print_growth(art, art * printed)) == pytest.approx(1 / printed, rel=1e-12)


def test_a_print_that_grows_a_quarter_inch_needs_smaller_art() -> None:
    """A print on a flexing, sliding piece grew by about 6 mm and the art had to be made smaller; common practice."""
    scale = art_scale(print_growth(300, 300 + QUARTER_INCH_MM))
    assert scale < 1
    assert 300 * scale * (300 + QUARTER_INCH_MM) / 300 == pytest.approx(300)
    assert 300 * scale > 300 - QUARTER_INCH_MM, "taking off all that it grew would print short"


@given(span=SPANS, gap=GAPS, place=SHARES)
def test_no_digit_of_a_small_stretch_is_lost(span: float, gap: float, place: float) -> None:
    edge = span * place
    assert screen_stretch(span, gap, edge) == pytest.approx(float(stretch_in_60_digits(span, gap, edge)), rel=1e-12)
    assert screen_stretch(span, gap) == pytest.approx(float(stretch_in_60_digits(span, gap, span / 2)), rel=1e-12)


@given(span=SPANS, gap=GAPS, place=SHARES)
def test_stretch_and_off_contact_are_inverses(span: float, gap: float, place: float) -> None:
    for edge in (None, span * place):
        stretch = screen_stretch(span, gap, edge)
        assert off_contact_allowed(span, stretch, edge) == pytest.approx(gap, rel=1e-10)


@given(span=SPANS, tolerance=st.floats(0.001, 1), place=SHARES)
def test_the_off_contact_allowed_is_the_root_that_scipy_finds(span: float, tolerance: float, place: float) -> None:
    edge = span * place
    root = brentq(lambda gap: screen_stretch(span, gap, edge) - tolerance, 0, span + tolerance, xtol=1e-12, rtol=1e-14)
    assert off_contact_allowed(span, tolerance, edge) == pytest.approx(root, rel=1e-9)


def shift(span: float, gap: float, place: float) -> float:
    """How far from its place at rest the mesh that the squeegee presses down has come, where it stretches evenly."""
    near, far = math.hypot(place, gap), math.hypot(span - place, gap)
    return near / (near + far) * span - place


@given(span=SPANS, gaps=st.tuples(GAPS, GAPS), place=st.floats(0.01, 0.49))
def test_the_greater_the_off_contact_the_greater_the_image_shift(
    span: float, gaps: tuple[float, float], place: float
) -> None:
    """D. Hohl, Controlling Off-Contact, SGIA Journal, fourth quarter 1997."""
    low, high = sorted(gaps)
    edge = span * place
    assume(high > low * 1.001)
    assert screen_stretch(span, high, edge) > screen_stretch(span, low, edge)
    assert screen_stretch(span, high) > screen_stretch(span, low)
    assert shift(span, high, edge) >= shift(span, low, edge) - 1e-12 * span


@given(span=SPANS, gap=GAPS, place=SHARES)
def test_no_point_of_the_image_shifts_by_more_than_the_stretch(span: float, gap: float, place: float) -> None:
    moved = shift(span, gap, span * place)
    assert abs(moved) <= screen_stretch(span, gap, span * place) + 1e-12 * span
    assert moved * (0.5 - place) >= -1e-12 * span, "each half moves outwards on the piece: the print gets longer"


@given(span=SPANS, gap=GAPS, places=st.tuples(st.floats(0.001, 0.5), st.floats(0.001, 0.5)))
def test_the_stretch_grows_towards_the_frame(span: float, gap: float, places: tuple[float, float]) -> None:
    near, far = sorted(places)
    assert screen_stretch(span, gap, span * near) >= screen_stretch(span, gap, span * far) * (1 - 1e-12)
    assert screen_stretch(span, gap, span * far) >= screen_stretch(span, gap) * (1 - 1e-12)
    assert screen_stretch(span, gap, span * near) == pytest.approx(screen_stretch(span, gap, span * (1 - near)), rel=1e-9)


@given(radii=st.tuples(RADII, RADII), share=st.floats(0.01, 1))
def test_the_spread_is_that_of_the_gaps_measured_along_the_image(radii: tuple[float, float], share: float) -> None:
    item, frame = radii
    chord = 2 * min(radii) * share
    across = np.linspace(0, chord / 2, 101)

    def height(radius: float) -> np.ndarray:
        return np.sqrt(np.maximum((radius - across) * (radius + across), 0)) - radius

    for spread, gaps in (
        (off_contact_spread(chord, item, frame), height(frame) - height(item)),
        (off_contact_spread(chord, item), -height(item)),
    ):
        assert spread == pytest.approx(float(gaps.max() - gaps.min()), rel=1e-9, abs=1e-9 * max(radii))


def test_an_image_as_wide_as_the_off_contact_lets_it_be() -> None:
    """Off-contact along a curve is kept within about 6 mm: under a flat frame that settles how wide an image can be."""
    widest = chord_from_sagitta(400, QUARTER_INCH_MM)
    assert off_contact_spread(widest, 400) == pytest.approx(QUARTER_INCH_MM)
    assert off_contact_spread(widest * 1.5, 400) > QUARTER_INCH_MM
    assert off_contact_spread(widest * 1.5, 400, 500) < QUARTER_INCH_MM, "a frame bent nearly as much lets it be wider"
