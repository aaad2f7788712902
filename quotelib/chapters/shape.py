"""Shape: flat art on a curved piece, prints that grow, and a mesh that stretches down to the piece.

    arc             = 2 x radius x arcsin(chord / (2 x radius))
    sagitta         = how far the curve falls away from flat over a chord
    scale of art    = 1 / (1 + growth), so that the print ends at its true length
    stretch of mesh = its two sides from frame to squeegee, less the span

A chord is a length as seen from straight above, an arc the same length as a tape laid on the piece would measure it.
"""

import math

from quotelib.errors import RangeError
from quotelib.kinds import ExtensionMm, GapMm, Growth, Mm, Scale
from quotelib.registry import sheet_function


@sheet_function("Shape", one_by_one=True)
def arc_length(radius_mm: Mm, chord_mm: Mm) -> Mm:
    """Length along a curve that looks so wide from straight above.

    Parameters
    ----------
    radius_mm : more than 0, up to 1e6 [mm]
        Radius of the curve.
    chord_mm : more than 0, up to 1e6 [mm]
        Width as seen from above; not more than the diameter.

    Returns
    -------
    length [mm]
        Length as a tape on the piece measures it, not rounded.

    Notes
    -----
    2 x radius x arcsin(chord / (2 x radius)).  Art for a screen that rolls or bends with the piece is drawn to the arc.

    References
    ----------
    Arc = radius x angle and chord = 2 x radius x sin(angle / 2): circle geometry, any text.

    Examples
    --------
    >>> arc_length(100, 120)
    128.7002218
    >>> arc_length(100, 210)
    Traceback (most recent call last):
    quotelib.errors.RangeError: chord_mm is 210; it must be no wider than the curve, 200 across [mm]
    """
    _must_fit(radius_mm, chord_mm)
    return 2 * radius_mm * math.asin(chord_mm / (2 * radius_mm))


@sheet_function("Shape", one_by_one=True)
def chord_length(radius_mm: Mm, arc_mm: Mm) -> Mm:
    """Width as seen from straight above of a length laid along a curve.

    Parameters
    ----------
    radius_mm : more than 0, up to 1e6 [mm]
        Radius of the curve.
    arc_mm : more than 0, up to 1e6 [mm]
        Length along the piece; not more than half the way round, since the rest can't be seen from there.

    Returns
    -------
    length [mm]
        Width as seen from above, not rounded.

    Notes
    -----
    2 x radius x sin(arc / (2 x radius)), the inverse of ARC_LENGTH.

    References
    ----------
    Arc = radius x angle and chord = 2 x radius x sin(angle / 2): circle geometry, any text.

    Examples
    --------
    >>> chord_length(100, 128.70022175866)
    120.0
    """
    half_round = math.pi * radius_mm
    if arc_mm > half_round:
        raise RangeError("arc_mm", arc_mm, f"it must be no longer than half the way round, {half_round:.6g} [mm]")
    return 2 * radius_mm * math.sin(arc_mm / (2 * radius_mm))


@sheet_function("Shape", one_by_one=True)
def sagitta(radius_mm: Mm, chord_mm: Mm) -> Mm:
    """How far a curve falls away from flat between the middle of a chord's width and its ends.

    Parameters
    ----------
    radius_mm : more than 0, up to 1e6 [mm]
        Radius of the curve.
    chord_mm : more than 0, up to 1e6 [mm]
        Width as seen from above, such as the width of the image; not more than the diameter.

    Returns
    -------
    length [mm]
        Height of the middle over the ends, not rounded.

    Notes
    -----
    radius - sqrt(radius^2 - (chord / 2)^2), worked out in a form that loses no digits on flat curves.

    References
    ----------
    Circle geometry, any text; with a radius of 100 and a chord of 120 the triangle is 60, 80, 100 and the sagitta 20.

    Examples
    --------
    >>> sagitta(100, 120)
    20.0
    """
    _must_fit(radius_mm, chord_mm)
    half = chord_mm / 2
    return half * half / (radius_mm + math.sqrt((radius_mm - half) * (radius_mm + half)))


@sheet_function("Shape", one_by_one=True)
def radius_from_sagitta(chord_mm: Mm, sagitta_mm: Mm) -> Mm:
    """Radius of a curve measured with a straight edge: how far it falls away over a chord.

    Parameters
    ----------
    chord_mm : more than 0, up to 1e6 [mm]
        Width of the straight edge, or of the gauge, laid across the curve.
    sagitta_mm : more than 0, up to 1e6 [mm]
        Height of the curve's middle over the ends of the chord; not more than half the chord.

    Returns
    -------
    length [mm]
        Radius, not rounded.

    Notes
    -----
    ((chord / 2)^2 + sagitta^2) / (2 x sagitta), the inverse of SAGITTA.

    References
    ----------
    Circle geometry, any text.

    Examples
    --------
    >>> radius_from_sagitta(120, 20)
    100.0
    """
    if sagitta_mm > chord_mm / 2:
        raise RangeError("sagitta_mm", sagitta_mm, f"it must be no more than half the chord, {chord_mm / 2:.12g} [mm]")
    return chord_mm / sagitta_mm * chord_mm / 8 + sagitta_mm / 2


@sheet_function("Shape", one_by_one=True)
def chord_from_sagitta(radius_mm: Mm, sagitta_mm: Mm) -> Mm:
    """Widest image on a curve that falls away no more than so far at the image's ends.

    Parameters
    ----------
    radius_mm : more than 0, up to 1e6 [mm]
        Radius of the curve.
    sagitta_mm : more than 0, up to 1e6 [mm]
        How far it may fall away, as under a flat screen; not more than the radius.

    Returns
    -------
    length [mm]
        Width as seen from above, not rounded.

    Notes
    -----
    2 x sqrt(sagitta x (2 x radius - sagitta)).

    References
    ----------
    Circle geometry, any text.  That off-contact is kept within about 6 mm along a curve is common practice, no source.

    Examples
    --------
    >>> chord_from_sagitta(100, 20)
    120.0
    """
    if sagitta_mm > radius_mm:
        raise RangeError("sagitta_mm", sagitta_mm, f"it must be no more than the radius, {radius_mm:.12g} [mm]")
    return 2 * math.sqrt(sagitta_mm * (2 * radius_mm - sagitta_mm))


@sheet_function("Shape", one_by_one=True)
def print_growth(art_mm: Mm, printed_mm: Mm) -> Growth:
    """How much longer a print came out than its art.

    Parameters
    ----------
    art_mm : more than 0, up to 1e6 [mm]
        A length on the art.
    printed_mm : more than 0, up to 1e6 [mm]
        The same length on the printed piece; half to twice that of the art.

    Returns
    -------
    growth [fraction]
        Growth as a share of the art, below zero where the print shrank; not rounded.

    Notes
    -----
    (printed - art) / art.  A piece that flexes or slides under the squeegee prints long; measure over the whole image, in
    the direction of the stroke, and across it apart.

    References
    ----------
    Derived.  A print on a flexing, sliding piece grew by about 6 mm (1/4 in); common practice, no source.

    Examples
    --------
    >>> print_growth(300, 306)
    0.02
    """
    if not art_mm / 2 <= printed_mm <= art_mm * 2:
        allowed = f"{art_mm / 2:.12g} to {art_mm * 2:.12g}, half to twice the art"
        raise RangeError("printed_mm", printed_mm, f"it must be {allowed} [mm]")
    return (printed_mm - art_mm) / art_mm


@sheet_function("Shape")
def art_scale(growth: Growth) -> Scale:
    """Scale for the art of a print that grows, so that it ends at its true length.

    Parameters
    ----------
    growth : -0.5 to 1 [fraction]
        How much longer the print comes out than its art, from PRINT_GROWTH; below zero where it shrinks.

    Returns
    -------
    scale [fraction]
        What to multiply the true length by, not rounded: 0.98 makes the art 2 % smaller.

    Notes
    -----
    1 / (1 + growth): not 1 - growth, since the smaller art grows as well.

    References
    ----------
    Derived.  Making the art smaller by what the print grew is common practice, no source.

    Examples
    --------
    >>> art_scale(0.02)
    0.9803922
    """
    return 1 / (1 + growth)


@sheet_function("Shape", one_by_one=True)
def screen_stretch(span_mm: Mm, off_contact_mm: GapMm, squeegee_from_edge_mm: Mm = None) -> ExtensionMm:
    """How much a squeegee stretches the mesh in pressing it down to the piece.

    Parameters
    ----------
    span_mm : more than 0, up to 1e6 [mm]
        Free mesh from frame to frame, in the direction measured.
    off_contact_mm : 0 to 1e6 [mm]
        Gap between the mesh at rest and the piece.
    squeegee_from_edge_mm : more than 0, up to 1e6 [mm], half the span if left out
        Where the squeegee stands: its distance from the frame on one side; less than the span.

    Returns
    -------
    extension [mm]
        Mesh length gained, not rounded.

    Notes
    -----
    With a and b from the squeegee to the frame on either side: sqrt(a^2 + d^2) + sqrt(b^2 + d^2) - (a + b).  It is least
    in mid-span and grows towards the frame.  Where the mesh stretches evenly, no point of the image shifts by more than
    this, so it is the safe figure to hold against a register tolerance.

    References
    ----------
    Pythagoras.  That a print gets longer, and its shift greater, with off-contact: D. Hohl, Controlling Off-Contact, SGIA
    Journal, fourth quarter 1997.

    Examples
    --------
    >>> screen_stretch(400, 3)
    0.0449975
    >>> screen_stretch(400, 3, 50)
    0.1027761
    """
    near, far = _sides(span_mm, squeegee_from_edge_mm)
    squared = off_contact_mm * off_contact_mm
    return sum(squared / (math.hypot(side, off_contact_mm) + side) for side in (near, far))


@sheet_function("Shape", one_by_one=True)
def off_contact_allowed(span_mm: Mm, tolerance_mm: Mm, squeegee_from_edge_mm: Mm = None) -> Mm:
    """Greatest off-contact that stretches the mesh by no more than a register tolerance.

    Parameters
    ----------
    span_mm : more than 0, up to 1e6 [mm]
        Free mesh from frame to frame, in the direction measured.
    tolerance_mm : more than 0, up to 1e6 [mm]
        How far colours may be out of register.
    squeegee_from_edge_mm : more than 0, up to 1e6 [mm], half the span if left out
        Where the squeegee stands at the end of its stroke: its distance from the frame; less than the span.

    Returns
    -------
    length [mm]
        Off-contact, not rounded; the inverse of SCREEN_STRETCH.

    Notes
    -----
    With e the tolerance, s the span, and a and b from the squeegee to the frame on either side:
    sqrt(e (2s + e) (2a + e) (2b + e)) / (2 (s + e)), the height of an ellipse whose foci are the edges of the frame.  The
    mesh must still clear the piece behind the squeegee: a gap too small smears.

    References
    ----------
    Derived: the two sides of the mesh add up to span + tolerance, which is an ellipse.

    Examples
    --------
    >>> off_contact_allowed(400, 0.05)
    3.1623764
    >>> off_contact_allowed(400, 0.05, 50)
    2.0920515
    """
    near, far = _sides(span_mm, squeegee_from_edge_mm)
    longer = span_mm + tolerance_mm
    across = math.sqrt(2 * near + tolerance_mm) * math.sqrt(2 * far + tolerance_mm)
    return math.sqrt(tolerance_mm) * math.sqrt(span_mm + longer) * across / (2 * longer)


@sheet_function("Shape", one_by_one=True)
def off_contact_spread(chord_mm: Mm, radius_item_mm: Mm, radius_frame_mm: Mm = None) -> GapMm:
    """How much the off-contact differs between the middle and the ends of an image on a curve.

    Parameters
    ----------
    chord_mm : more than 0, up to 1e6 [mm]
        Width of the image round the curve, as seen from above; not more than either diameter.
    radius_item_mm : more than 0, up to 1e6 [mm]
        Radius of the piece.
    radius_frame_mm : more than 0, up to 1e6 [mm], a flat frame if left out
        Radius of a frame bent to follow the piece.

    Returns
    -------
    gap [mm]
        Difference of the gap, not rounded; never below zero, whichever end is closer.

    Notes
    -----
    The sagitta of the piece less that of the frame, over the image.  Added to the least off-contact it is the most.

    References
    ----------
    Circle geometry.  That off-contact along a curve is kept within about 6 mm is common practice, no source.

    Examples
    --------
    >>> off_contact_spread(200, 400)
    12.7016654
    >>> off_contact_spread(200, 400, 420)
    0.6232265
    """
    frame = 0.0 if radius_frame_mm is None else sagitta.body(radius_frame_mm, chord_mm)
    return abs(sagitta.body(radius_item_mm, chord_mm) - frame)


def _must_fit(radius_mm: float, chord_mm: float) -> None:
    """Refuse a chord that is wider than its circle."""
    if chord_mm > 2 * radius_mm:
        raise RangeError("chord_mm", chord_mm, f"it must be no wider than the curve, {2 * radius_mm:.12g} across [mm]")


def _sides(span_mm: float, squeegee_from_edge_mm: float | None) -> tuple[float, float]:
    """The mesh on either side of the squeegee."""
    if squeegee_from_edge_mm is None:
        return span_mm / 2, span_mm / 2
    if squeegee_from_edge_mm >= span_mm:
        raise RangeError(
            "squeegee_from_edge_mm", squeegee_from_edge_mm, f"it must be less than the span of {span_mm:.12g} [mm]"
        )
    return squeegee_from_edge_mm, span_mm - squeegee_from_edge_mm
