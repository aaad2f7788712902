"""Mesh and ink: from the threads of a screen, or the etch of a plate, to the ink on a piece.

    opening          = 10000 / threads per cm - thread                          [um]
    open area        = (opening / (opening + thread))^2
    ink film         = open area x fabric thickness x transfer share            [um wet; x volume solids when dry]
    ink of one print = area x coverage x wet film / 10000                       [mL]

1 cm3 of ink on 1 m2 is a film of 1 um, so the theoretical ink volume that weavers state is the same number as the wet film.
"""

from quotelib.elementwise import larger, round_up
from quotelib.errors import RangeError
from quotelib.kinds import Cm2, CycleMinutes, Impressions, Minutes, Ml, Share, Threads, Um
from quotelib.registry import sheet_function


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
