"""Units of the trade: what suppliers write, and how many quoting units it is.

    unit_size("pail of 5 gal", "ink")        Decimal("18927.05892"), in mL
    unit_size("kg", "film")                  a Refusal: "it is a mass, but film is bought by count, such as ..."
    MATERIALS["ink"].unit                    "mL", the quoting unit

A unit is one of pint's or of the trade's, or is made of them:

    gal, fl oz, kg, yd, m2, sheet, ream, dozen, M (a thousand pieces)
    pail of 5 gal, box of 100 sheets         a pack by what it holds
    roll of 45.72 m x 0.61 m                 a sheet or roll by its sides
    kg at 1.2 kg/L                           a liquid sold by mass, with its density

Gallons, quarts, pints and fluid ounces are those of the US; the others are `imperial gallon` or `imp gal`, and so on.
Sizes are exact decimals.
"""

import math
import re
from decimal import Context, Decimal
from functools import cache, lru_cache
from typing import Any, NamedTuple

import pint

from quotelib.files.faults import Refusal
from quotelib.files.readers import NUMBER


class Dimension(NamedTuple):
    """What a unit measures, and the one unit it is quoted in."""

    phrase: str
    unit: str
    examples: str


DIMENSIONS = {
    "volume": Dimension(
        "a volume", "mL", "mL, L, gal, qt, fl oz, pail of 5 gal, or a mass with its density: kg at 1.2 kg/L"
    ),
    "mass": Dimension("a mass", "g", "g, kg, lb, oz"),
    "area": Dimension("an area", "cm2", "m2, sq ft, yd x 54 in, roll of 45.72 m x 0.61 m, sheet of 500 mm x 700 mm"),
    "length": Dimension("a length", "mm", "m, ft, yd, roll of 55 m"),
    "count": Dimension("a count", "piece", "each, dozen, gross, M, sheet, ream, box of 100"),
}


class Material(NamedTuple):
    """A kind of material: what it is bought by, the unit it is quoted in, and what belongs to it."""

    dimension: str
    unit: str
    covers: str


MATERIALS = {
    "ink": Material("volume", "mL", "screen, pad and transfer inks, adhesives that are printed"),
    "chemical": Material("volume", "mL", "emulsions, hardeners, thinners, washes, primers"),
    "powder": Material("mass", "g", "adhesive powder, pigment, glitter"),
    "fabric": Material("area", "cm2", "mesh, felt, cloth cut to any size"),
    "sheet": Material("count", "sheet", "release film, paper, board used by the sheet"),
    "film": Material("count", "sheet", "film positives"),
    "tape": Material("length", "mm", "screen tape, edge tape"),
    "blade": Material("length", "mm", "squeegee and doctor blade by the length"),
    "blank": Material("count", "piece", "the things that are decorated"),
    "transfer": Material("count", "piece", "transfers bought in"),
    "plate": Material("count", "piece", "pad printing plates"),
    "tool": Material("count", "piece", "pads, frames, jigs, rings"),
    "sundry": Material("count", "piece", "wipes, gloves, cups"),
    "packing": Material("count", "piece", "sleeves, cartons, labels"),
    "service": Material("count", "each", "work done by others, charged each time"),
}
"""Every kind of material that a price list may name, with its quoting unit."""

TRADE_UNITS = (
    "piece = [piece]",
    "sheet = piece",
    "pair = 2 piece",
    "dozen = 12 piece",
    "hundred = 100 piece",
    "gross = 144 piece",
    "great_gross = 1728 piece",
    "ream = 500 sheet",
    "thousand = 1000 piece",
)
"""Units of the trade that pint does not have.  A ream is 500 sheets (ISO 4046); an older one is a `ream of 480`."""

SPELLINGS = {
    "M": "thousand",  # pint's M is molar, a concentration
    "C": "hundred",  # pint's C is coulomb
    "each": "piece",
    "ea": "piece",
    "pc": "piece",  # pint's pc is parsec
    "pcs": "piece",
    "gal": "gallon",  # pint's Gal is an acceleration
    "count": "piece",  # pint's count has no dimension
    "doz": "dozen",  # pint's doz is a tenth of an ounce
    "dz": "dozen",
    "fl oz": "fluid_ounce",
    "qt": "quart",
    "pt": "pint",
    "ltr": "liter",
    "mtr": "meter",
    "gm": "gram",
    "kgs": "kilogram",
    "linear m": "meter",  # of a roll whose width is known
    "linear ft": "foot",
    "linear yd": "yard",
    "M sheets": "thousand",
    "M pcs": "thousand",
}
"""How the trade writes units that pint calls otherwise, or takes for something else."""

AMBIGUOUS = {
    "mil": "thou for a thousandth of an inch: a mil is read as an angle, and some write it for mL",
    "ton": "tonne, or a number of lb: a ton is 2000 lb in the US and 2240 lb in the UK",
    "hundredweight": "kg, or a number of lb: a hundredweight is 100 lb in the US and 112 lb in the UK",
    "grain": "g for a gram: gr is a grain, a seven-thousandth of a pound",
    "barrel": "a number of gal: a barrel of one trade is not that of another",
    "dry_barrel": "a number of gal: a barrel of one trade is not that of another",
}
"""Units whose name means one thing to one reader and another to the next, with what to write."""

CONTAINERS = (
    *("bag", "bottle", "box", "bucket", "can", "canister", "carton", "cartridge", "case", "drum", "jar", "jug"),
    *("pack", "packet", "pail", "pallet", "reel", "roll", "sack", "sleeve", "spool", "tin", "tub", "tube"),
)
"""Packs whose name says nothing of their size."""

PREFIXES = frozenset(("", "micro", "milli", "centi", "deci", "deca", "hecto", "kilo"))
"""Metric prefixes a supplier may use.  The others are slips: `ML` would be a million litres, `pin` a picoinch."""

LONGEST = 80
"""Characters in a pack unit, at most."""

SOME_UNITS = "gal, kg, m2, yd, dozen or each"
"""Examples for a message where the kind of material is not known."""

TWENTY_DIGITS = Context(prec=20)
"""What sizes are rounded to, so that 4 qt are 1 gal exactly in spite of pint's 28-digit quotients."""


class Measure(NamedTuple):
    """A number of pint's units."""

    number: Decimal
    units: Any


@cache
def _registry() -> "pint.UnitRegistry[Any]":
    """pint's units and the trade's, with exact decimals; made when the first list is loaded."""
    registry: pint.UnitRegistry[Any] = pint.UnitRegistry(non_int_type=Decimal)
    for definition in TRADE_UNITS:
        registry.define(definition)
    return registry


@lru_cache(4096)
def unit_size(pack_unit: str, kind: str) -> Decimal | Refusal:
    """How many quoting units of a kind of material one pack unit holds, more than 0; or a refusal saying what is allowed.

    `kind` is one of `MATERIALS`; `pack_unit` is the supplier's, spaces tidied.
    """
    dimension = MATERIALS[kind].dimension
    _, unit, examples = DIMENSIONS[dimension]
    measure = _measure(pack_unit)
    if isinstance(measure, Refusal):
        return measure or Refusal(f"it must be a unit of {dimension}, such as {examples}")
    wanted = _units(unit)
    if measure.units.dimensionality != wanted.dimensionality:
        phrases = [
            it.phrase for it in DIMENSIONS.values() if _units(it.unit).dimensionality == measure.units.dimensionality
        ]
        is_a = phrases[0] if phrases else "not a measure of goods"
        return Refusal(f"it is {is_a}, but {kind} is bought by {dimension}, such as {examples}")
    return TWENTY_DIGITS.plus(_registry().Quantity(measure.number, measure.units).to(wanted).magnitude)


def unit_refusal(pack_unit: str) -> Refusal | None:
    """Why this is no unit of the trade at all, whatever the kind of material; None for one that is."""
    measure = _measure(pack_unit)
    return (measure or Refusal(f"it must be a unit, such as {SOME_UNITS}")) if isinstance(measure, Refusal) else None


def _measure(pack_unit: str) -> Measure | Refusal:
    """What a pack unit holds; an empty refusal where it is not known.

    pack unit = [container "of"] content ["at" density]; content = side {"x" side}; side = number, unit, or number and unit.
    """
    if not pack_unit or len(pack_unit) > LONGEST:
        return Refusal(f"it must be a unit of 1 to {LONGEST} characters, such as {SOME_UNITS}")
    container, of, content = pack_unit.removeprefix("per ").partition(" of ")
    if not of:
        content = container
        if container.lower() in CONTAINERS:
            return Refusal(f"it must say what it holds, such as {container.lower()} of 5 L or {container.lower()} of 100")
    elif container.lower() not in (*CONTAINERS, "sheet", "ream"):
        return Refusal()
    content, at, density = content.partition(" at ")
    number, units = Decimal(1), []
    for side in re.split(r" x |(?<=\d)x(?=\d)| ?× ?", content):
        split = re.fullmatch(rf"({NUMBER})? ?([^\W\d].*)?", side)
        if not split or not side:
            return Refusal()
        number *= Decimal(split[1] or 1)
        if not number:
            return Refusal("it holds nothing; it must hold more than 0")
        if split[2]:
            units.append(_units(split[2]))
            if isinstance(units[-1], Refusal):
                return units[-1]
    measure = Measure(number, math.prod(units[1:], start=units[0]) if units else _units("piece"))
    return _by_density(measure, density) if at else measure


def _by_density(measure: Measure, density: str) -> Measure | Refusal:
    """A mass as a volume, or a volume as a mass, by a density such as `1.2 kg/L`."""
    split = re.fullmatch(rf"({NUMBER}) ?([^/]+)/([^/]+)", density)
    if not split or not Decimal(split[1]):
        return Refusal("it must have a density like 1.2 kg/L after the word at")
    number, mass, volume = Decimal(split[1]), _units(split[2]), _units(split[3])
    for units in (mass, volume):
        if isinstance(units, Refusal):
            return units
    if measure.units.dimensionality == mass.dimensionality:
        return Measure(measure.number / number, measure.units * volume / mass)
    return Measure(measure.number * number, measure.units * mass / volume)


def _units(name: str) -> Any:
    """The pint units of one name, or a refusal; an empty one where the name is not known."""
    name, power = re.sub(r"\.(?= |$)", "", name), 1
    name = re.sub(r"^sq(?=(m|ft|in|yd)$)", "sq ", name, flags=re.IGNORECASE)
    if split := re.fullmatch(r"(sq|square|cu|cubic) (.+)", name, re.IGNORECASE):
        name, power = split[2], 2 if split[1].lower().startswith("s") else 3
    elif split := re.fullmatch(r"(\D+?)\^?([23²³])", name):
        name, power = split[1], 2 if split[2] in "2²" else 3
    spelled = SPELLINGS.get(name) or SPELLINGS.get(name.lower()) or name
    if split := re.fullmatch(r"(imp|imperial|uk|us) (.+)", name, re.IGNORECASE):
        of, name = split[1].lower(), split[2]
        spelled = ("" if of == "us" else "imperial_") + (SPELLINGS.get(name.lower()) or name)
    for spelling in (spelled, spelled.lower()):
        for prefix, unit, _ in _registry().parse_unit_name(spelling.replace(" ", "_")):
            if unit in AMBIGUOUS:
                return Refusal(f"it must be {AMBIGUOUS[unit]}")
            if prefix not in PREFIXES:
                return Refusal(f"it must be a size that suppliers use; {name} reads as {prefix}{unit}")
            try:
                return _registry().Unit(prefix + unit) ** power
            except pint.OffsetUnitCalculusError:  # a prefix on a temperature or a logarithm
                return Refusal()
    return Refusal()
