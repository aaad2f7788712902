"""Mesh and ink: from the threads of a screen, or the etch of a plate, to the ink on a piece.

    opening          = 10000 / threads per cm - thread                          [um]
    open area        = (opening / (opening + thread))^2
    ink film         = open area x fabric thickness x transfer share            [um wet; x volume solids when dry]
    ink of one print = area x coverage x wet film / 10000                       [mL]
    tone value       = share of the area that the dots of a tint cover, by Murray and Davies from densities

1 cm3 of ink on 1 m2 is a film of 1 um, so the theoretical ink volume that weavers state is the same number as the wet film.
"""

import math

from quotelib.elementwise import larger, round_up
from quotelib.errors import RangeError
from quotelib.kinds import (
    Cm2,
    CycleMinutes,
    Density,
    DotGapUm,
    Dots,
    Films,
    Fraction,
    HandColours,
    Impressions,
    Minutes,
    Ml,
    Ruling,
    Share,
    SignedFraction,
    Threads,
    Um,
    YuleNielsen,
)
from quotelib.registry import sheet_function

LN_10 = math.log(10)

TOUCHING = math.pi / 4
"""Share of the area that round dots cover when they just touch their neighbours."""


@sheet_function("Mesh and ink", one_by_one=True)
def mesh_opening(threads_per_cm: Threads, thread_um: Um) -> Um:
    """Width of the openings between the threads of a screen.

    Parameters
    ----------
    threads_per_cm : more than 0, up to 1000 [threads/cm]
        Mesh count; threads per inch / 2.54.
    thread_um : more than 0, up to 1e5 [um]
        Diameter of the thread; less than the pitch, 10000 / threads_per_cm.

    Returns
    -------
    thickness [um]
        Opening, not rounded.

    Notes
    -----
    Geometry of threads that are round and straight.  Stretched fabric measures smaller, and a count in threads/cm and in
    threads/inch on the same label is rounded: where the weaver states measured values, use those and INK_FILM_MEASURED.

    References
    ----------
    Aperture w = p - d of woven wire cloth, ISO 9044; from memory.

    Examples
    --------
    >>> mesh_opening(77, 48)
    81.8701299
    >>> mesh_opening(120, 90)
    Traceback (most recent call last):
    quotelib.errors.RangeError: thread_um is 90; it must be less than the pitch of 83.3333, or no opening is left [um]
    """
    pitch = 10000 / threads_per_cm
    if thread_um >= pitch:
        raise RangeError(
            "thread_um", thread_um, f"it must be less than the pitch of {pitch:.6g}, or no opening is left [um]"
        )
    return pitch - thread_um


@sheet_function("Mesh and ink", one_by_one=True)
def mesh_open_area(threads_per_cm: Threads, thread_um: Um) -> Share:
    """Share of a screen's area that is open to ink.

    Parameters
    ----------
    threads_per_cm : more than 0, up to 1000 [threads/cm]
        Mesh count; threads per inch / 2.54.
    thread_um : more than 0, up to 1e5 [um]
        Diameter of the thread; less than the pitch, 10000 / threads_per_cm.

    Returns
    -------
    share [fraction]
        Open area, not rounded.

    Notes
    -----
    (opening / pitch)^2, geometry alone; published open areas can differ from it by two or three hundredths.

    References
    ----------
    Open screening area A0 = 100 w^2 / (w + d)^2 of ISO 9044, as a fraction; from memory.

    Examples
    --------
    >>> mesh_open_area(77, 48)
    0.3974042
    """
    return (mesh_opening.body(threads_per_cm, thread_um) * threads_per_cm / 10000) ** 2


@sheet_function("Mesh and ink", one_by_one=True)
def ink_film(
    threads_per_cm: Threads, thread_um: Um, fabric_um: Um, transfer_share: Share = 1.0, volume_solids: Share = 1.0
) -> Um:
    """Thickness of the ink that a screen lays down, wet, or dry if told the ink's solids.

    Parameters
    ----------
    threads_per_cm : more than 0, up to 1000 [threads/cm]
        Mesh count; threads per inch / 2.54.
    thread_um : more than 0, up to 1e5 [um]
        Diameter of the thread; less than the pitch, 10000 / threads_per_cm.
    fabric_um : more than 0, up to 1e5 [um]
        Thickness of the stretched fabric.
    transfer_share : more than 0, up to 1 [fraction], 1 if left out
        Share of the ink in the mesh that reaches the piece.
    volume_solids : more than 0, up to 1 [fraction], 1 if left out
        Left out, the film is wet, which is what ink is used up by; given, it is the film left when the solvent has gone.

    Returns
    -------
    thickness [um]
        Ink film, not rounded.

    Notes
    -----
    Open area x fabric x transfer share x volume solids.  The stencil's own thickness is left out.
    Where the open area has been measured, INK_FILM_MEASURED takes it: a function of its own, so that no argument is ever
    given and then not used.

    References
    ----------
    Theoretical ink volume of the weavers' tables, open area x thickness; volume solids as in ISO 3233, from memory.

    Examples
    --------
    >>> ink_film(77, 48, 80)
    31.7923328
    >>> ink_film(77, 48, 80, 0.6, 0.45)
    8.5839299
    """
    open_area = mesh_open_area.body(threads_per_cm, thread_um)
    return ink_film_measured.body(open_area, fabric_um, transfer_share, volume_solids)


@sheet_function("Mesh and ink")
def ink_film_measured(open_area: Share, fabric_um: Um, transfer_share: Share = 1.0, volume_solids: Share = 1.0) -> Um:
    """Thickness of the ink that a screen lays down, from the open area its weaver has measured.

    Parameters
    ----------
    open_area : more than 0, up to 1 [fraction]
        Share of the screen's area that is open, as measured.
    fabric_um : more than 0, up to 1e5 [um]
        Thickness of the stretched fabric.
    transfer_share : more than 0, up to 1 [fraction], 1 if left out
        Share of the ink in the mesh that reaches the piece.
    volume_solids : more than 0, up to 1 [fraction], 1 if left out
        Left out, the film is wet, which is what ink is used up by; given, it is the film left when the solvent has gone.

    Returns
    -------
    thickness [um]
        Ink film, not rounded.

    References
    ----------
    Theoretical ink volume of the weavers' tables, open area x thickness; volume solids as in ISO 3233, from memory.

    Examples
    --------
    >>> ink_film_measured(0.25, 63)
    15.75
    """
    return open_area * fabric_um * transfer_share * volume_solids


@sheet_function("Mesh and ink")
def ink_per_print(area_cm2: Cm2, coverage: Share, film_um: Um) -> Ml:
    """Ink used by one print of one colour.

    Parameters
    ----------
    area_cm2 : more than 0, up to 1e7 [cm2]
        Area of the image, width x height.
    coverage : more than 0, up to 1 [fraction]
        Share of that area the colour covers.
    film_um : more than 0, up to 1e5 [um]
        Wet ink film, from INK_FILM without volume_solids.

    Returns
    -------
    volume [mL]
        Ink on one piece, not rounded; what stays in the screen is left out.

    References
    ----------
    Volume is area x thickness: 1 cm2 x 1 um is 0.0001 mL.

    Examples
    --------
    >>> ink_per_print(120, 0.35, 19.1)
    0.08022
    """
    return area_cm2 * coverage * film_um / 10000


@sheet_function("Mesh and ink")
def plate_ink_per_print(
    area_cm2: Cm2, coverage: Share, etch_um: Um, dot_share: Share = 1.0, release_share: Share = 1.0
) -> Ml:
    """Ink that a pad carries from the plate to one piece, for one colour.

    Parameters
    ----------
    area_cm2 : more than 0, up to 1e7 [cm2]
        Area of the image, width x height.
    coverage : more than 0, up to 1 [fraction]
        Share of that area the colour covers.
    etch_um : more than 0, up to 1e5 [um]
        Depth of the image in the plate.
    dot_share : more than 0, up to 1 [fraction], 1 if left out
        Share of the etched area that holds ink, the standing dots of a screened plate left out.
    release_share : more than 0, up to 1 [fraction], 1 if left out
        Share of the ink in the plate that reaches the piece; about half is usual.

    Returns
    -------
    volume [mL]
        Wet ink on one piece, not rounded.

    Notes
    -----
    Area x coverage x etch depth x dot share x release share / 10000.

    References
    ----------
    Volume is area x depth.  A pad that lifts 12 um out of a 25 um etch is stated by makers of pad-printing plates.

    Examples
    --------
    >>> plate_ink_per_print(6, 0.4, 25, 0.8, 0.48)
    0.002304
    """
    return area_cm2 * coverage * etch_um * dot_share * release_share / 10000


@sheet_function("Mesh and ink")
def ink_for_run(
    prints: Impressions,
    ink_per_print_ml: Ml,
    minimum_mix_ml: Ml = 0.0,
    loss_ml: Ml = 0.0,
    run_minutes: Minutes = 0.0,
    pot_life_minutes: CycleMinutes = 1e5,
) -> Ml:
    """Ink of one colour to mix for a run, with what is lost and what can't be mixed smaller.

    Parameters
    ----------
    prints : 0 to 1e12 [impressions]
        Prints of the colour, rejects included.
    ink_per_print_ml : 0 to 1e9 [mL]
        From INK_PER_PRINT or PLATE_INK_PER_PRINT.
    minimum_mix_ml : 0 to 1e9 [mL], 0 if left out
        Least ink that can be weighed and mixed, or that fills a cup.
    loss_ml : 0 to 1e9 [mL], 0 if left out
        Ink of one mix lost in the screen or cup at wash-up.
    run_minutes : 0 to 1e7 [minutes], 0 if left out
        Minutes the colour is on the press.
    pot_life_minutes : more than 0, up to 1e5 [minutes], no limit if left out
        Minutes a mix stays good; for ink without a hardener, leave it out.

    Returns
    -------
    volume [mL]
        Ink to mix in all, not rounded.

    Notes
    -----
    Mixes = run minutes / pot life, rounded up, one at least; each mix is its share of the prints + loss, or the minimum mix
    if that is more.  Hardeners, solvents and UV inks harm skin, eyes and lungs: mix, ventilate and dispose of the rest as
    the safety data sheet and local codes say.

    References
    ----------
    Minimum mix, pot life and wash-up loss are common practice, no source.

    Examples
    --------
    >>> ink_for_run(600, 0.08, 100, 15)
    100.0
    >>> ink_for_run(600, 0.4, 100, 15, 600, 480)
    270.0
    """
    mixes = larger(round_up(run_minutes / pot_life_minutes), 1)
    return mixes * larger(prints * ink_per_print_ml / mixes + loss_ml, minimum_mix_ml)


@sheet_function("Mesh and ink", one_by_one=True)
def tone_value(
    density_tint: Density, density_solid: Density, density_paper: Density = 0.0, yule_nielsen: YuleNielsen = 1.0
) -> Fraction:
    """Share of the area that the dots of a printed tint cover, from densitometer readings.

    Parameters
    ----------
    density_tint : 0 to 6
        Density of the tint; between that of the paper and that of the solid.
    density_solid : 0 to 6
        Density of a solid of the same ink; more than that of the paper.
    density_paper : 0 to 6, 0 if left out
        Density of the bare piece or paper; leave it out where the densitometer was zeroed on it.
    yule_nielsen : 1 to 1e6, 1 if left out
        Left out, the dots look as large as light makes them; more than 1 takes out the light that spreads in the paper.

    Returns
    -------
    fraction [fraction]
        Tone value, not rounded.

    Notes
    -----
    (1 - 10^-((Dt - D0) / n)) / (1 - 10^-((Ds - D0) / n)), with n the Yule-Nielsen factor.  The larger n, the smaller the
    dots are found to be; 1.7 is a usual choice.

    References
    ----------
    A. Murray, Journal of the Franklin Institute 221, 1936; J. A. C. Yule and W. J. Nielsen, TAGA Proceedings 3, 1951; both
    from memory.

    Examples
    --------
    >>> tone_value(0.2812, 1.33)
    0.5000287
    >>> tone_value(0.35, 1.4, 0.06, 1.7)
    0.3880174
    >>> tone_value(1.5, 1.4)
    Traceback (most recent call last):
    quotelib.errors.RangeError: density_tint is 1.5; it must be 0 to 1.4, from the paper to the solid
    """
    _solid_over_paper(density_solid, density_paper)
    if not density_paper <= density_tint <= density_solid:
        allowed = f"it must be {density_paper:.12g} to {density_solid:.12g}, from the paper to the solid"
        raise RangeError("density_tint", density_tint, allowed)
    return _absorbed(density_tint - density_paper, yule_nielsen) / _absorbed(density_solid - density_paper, yule_nielsen)


@sheet_function("Mesh and ink")
def tone_value_increase(tone_value_print: Fraction, tone_value_art: Fraction) -> SignedFraction:
    """How much larger the dots of a tint print than they are on the art: dot gain.

    Parameters
    ----------
    tone_value_print : 0 to 1 [fraction]
        Tone value on the piece, from TONE_VALUE.
    tone_value_art : 0 to 1 [fraction]
        Tone value of the art, film or plate.

    Returns
    -------
    signed fraction [fraction]
        Increase in shares of the area, not of the art's tone value: 50 % that prints as 70 % has an increase of 20 %.

    References
    ----------
    Tone value increase of ISO 12647-1, tone value printed less tone value of the data; from memory.

    Examples
    --------
    >>> tone_value_increase(0.7, 0.5)
    0.2
    """
    return tone_value_print - tone_value_art


@sheet_function("Mesh and ink", one_by_one=True)
def tint_density(
    tone_value: Fraction, density_solid: Density, density_paper: Density = 0.0, yule_nielsen: YuleNielsen = 1.0
) -> Density:
    """Density that a tint must read for its dots to cover a stated share of the area.

    Parameters
    ----------
    tone_value : 0 to 1 [fraction]
        Share of the area covered.
    density_solid : 0 to 6
        Density of a solid of the same ink; more than that of the paper.
    density_paper : 0 to 6, 0 if left out
        Density of the bare piece or paper; leave it out where the densitometer was zeroed on it.
    yule_nielsen : 1 to 1e6, 1 if left out
        As for TONE_VALUE, and to be kept the same there.

    Returns
    -------
    optical density
        Density of the tint, not rounded; the inverse of TONE_VALUE.

    Notes
    -----
    D0 - n x log10(1 - a x (1 - 10^-((Ds - D0) / n))).

    References
    ----------
    As for TONE_VALUE.

    Examples
    --------
    >>> tint_density(0.5, 1.33)
    0.2811773
    >>> tint_density(1, 1.4, 0.06, 1.7)
    1.4
    """
    _solid_over_paper(density_solid, density_paper)
    solid = (density_solid - density_paper) / yule_nielsen
    absorbed = tone_value * _absorbed(density_solid - density_paper, yule_nielsen)
    reflected_log = math.log1p(-absorbed) if absorbed < 0.5 else math.log(1 - tone_value + tone_value * 10**-solid)
    return density_paper - yule_nielsen * reflected_log / LN_10


@sheet_function("Mesh and ink", one_by_one=True)
def dot_gap(ruling_lines_per_cm: Ruling, tone_value: Share, dots: Dots = "square") -> DotGapUm:
    """Widest spot without ink between the dots of a plate, which must close before they print as a solid.

    Parameters
    ----------
    ruling_lines_per_cm : more than 0, up to 1000 [lines/cm]
        Rows of dots to the cm of the dot screen; lines per inch / 2.54.
    tone_value : more than 0, up to 1 [fraction]
        Share of the area that holds ink.
    dots : one of square, round, standing, square if left out
        Square or round dots of ink, or ink all round standing dots that hold none, as a screened plate has them.

    Returns
    -------
    dot gap [um]
        Diameter of the largest circle that fits where there is no ink, not rounded; ink must spread half of it from all
        sides.

    Notes
    -----
    Dots in a square grid, 10000 / ruling apart (p), with a the tone value.  Square: sqrt(2) x p x (1 - sqrt(a)), corner to
    corner.  Round: p x (sqrt(2) - 2 x sqrt(a / pi)), across the grid; they touch at 0.785.  Standing: their diameter, 2 x p
    x sqrt((1 - a) / pi); below 0.215 they touch.

    References
    ----------
    Derived from the geometry.  That the dots of a plate exposed twice, to the art and then to a dot screen, spread to a
    solid is common practice, no source.

    Examples
    --------
    >>> dot_gap(100, 0.81)
    14.1421356
    >>> dot_gap(100, 0.5, "round")
    61.6329002
    >>> dot_gap(100, 0.85, "standing")
    43.7019372
    >>> dot_gap(100, 0.85, "round")
    Traceback (most recent call last):
    quotelib.errors.RangeError: tone_value is 0.85; it must be up to 0.785398, where round dots touch [fraction]
    """
    pitch = 10000 / ruling_lines_per_cm
    if dots == "square":
        return math.sqrt(2) * pitch * (1 - math.sqrt(tone_value))
    if dots == "round":
        if tone_value > TOUCHING:
            allowed = f"it must be up to {TOUCHING:.6g}, where round dots touch [fraction]"
            raise RangeError("tone_value", tone_value, allowed)
        return pitch * (math.sqrt(2) - 2 * math.sqrt(tone_value / math.pi))
    if tone_value < 1 - TOUCHING:
        allowed = f"it must be {1 - TOUCHING:.6g} or more, where standing dots part [fraction]"
        raise RangeError("tone_value", tone_value, allowed)
    return 2 * pitch * math.sqrt((1 - tone_value) / math.pi)


@sheet_function("Mesh and ink")
def total_film(films: Films) -> Um:
    """Thickness of all the ink on a piece, its colours lying over each other, on the average over the image.

    Parameters
    ----------
    films : rows of film, [coverage]
        For each colour and layer its dry film in um, and the share of the image it covers; blank covers all of it.

    Returns
    -------
    thickness [um]
        Film of all colours together, not rounded.

    Notes
    -----
    Films times coverage, added up.  With the coverages blank it is the thickest spot there can be, where all colours lie
    over each other.

    References
    ----------
    Derived: volume of ink over area of image.

    Examples
    --------
    >>> total_film([[8.3, 0.4], [8.3, 0.25], [6, ""]])
    11.395
    """
    return math.fsum(film * (1.0 if coverage is None else coverage) for film, coverage in films)


@sheet_function("Mesh and ink")
def hand_colours_felt(transfer_film_um: Um, hand_film_um: Um) -> HandColours:
    """How many colours printed by hand a transfer feels like under the finger.

    Parameters
    ----------
    transfer_film_um : more than 0, up to 1e5 [um]
        Dry film of the whole transfer, from TOTAL_FILM.
    hand_film_um : more than 0, up to 1e5 [um]
        Dry film of one colour printed by hand, from INK_FILM with its volume_solids.

    Returns
    -------
    hand colours [colours]
        Colours by hand with the same film, not rounded.

    References
    ----------
    The ratio of the films.  That five transfer colours feel like one or two hand colours is common practice, no source.

    Examples
    --------
    >>> hand_colours_felt(30, 20)
    1.5
    """
    return transfer_film_um / hand_film_um


def _solid_over_paper(density_solid: float, density_paper: float) -> None:
    """Refuse a solid that is no darker than what it is printed on."""
    if density_solid <= density_paper:
        allowed = f"it must be more than that of the paper, {density_paper:.12g}"
        raise RangeError("density_solid", density_solid, allowed)


def _absorbed(density: float, yule_nielsen: float) -> float:
    """Share of the light that a density takes, by Yule and Nielsen's reckoning."""
    return -math.expm1(-LN_10 * density / yule_nielsen)
