"""Suppliers' units against values from outside the project, one to a row in units.csv.

pack unit      as a supplier writes it
kind           the kind of material, which settles the quoting unit
quoting unit   the unit the library must quote in
expected       quoting units in one pack unit
tolerance      as a share of what is expected
scipy          the constant of scipy.constants that must say the same (squared where it ends in ^2), where there is one
source         where the expected value comes from
status         published, reference library, from memory, identity
"""

import csv
from pathlib import Path

import pint
import pytest
import scipy.constants

from quotelib.files.faults import Refusal
from quotelib.prices.pricelist import COLUMNS, load_price_list
from quotelib.prices.units import DIMENSIONS, MATERIALS, unit_refusal, unit_size
from tests.outside import STATUSES

with (Path(__file__).parent / "units.csv").open(newline="", encoding="utf-8") as table:
    ROWS = list(csv.DictReader(table))

SI_TO_QUOTING = {"mL": 1e6, "g": 1e3, "cm2": 1e4, "mm": 1e3}


@pytest.fixture(scope="module")
def loaded(tmp_path_factory):
    """The table as a price list: two packs of one unit each, from which the size of one can be read back."""
    path = tmp_path_factory.mktemp("units") / "units.csv"
    lines = [
        f'U{number},"{row["pack unit"]}",tests (invented),{row["kind"]},1,{row["pack unit"]},1,USD,2,2026-08-01,'
        for number, row in enumerate(ROWS)
    ]
    path.write_text("\n".join([",".join(COLUMNS), *lines]), encoding="utf-8")
    return load_price_list(path).table.set_index("code")


@pytest.mark.parametrize(
    "number", range(len(ROWS)), ids=lambda number: f"{ROWS[number]['pack unit']} of {ROWS[number]['kind']}"
)
def test_size_of_a_unit(number, loaded):
    row, got = ROWS[number], loaded.loc[f"U{number}"]
    expected, tolerance = float(row["expected"]), float(row["tolerance"])
    assert got["quoting unit"] == row["quoting unit"]
    assert abs(got["from in quoting units"] / 2 - expected) <= tolerance * expected
    assert got["unit price"] == pytest.approx(1 / expected, rel=max(tolerance, 1e-15))


@pytest.mark.parametrize("row", [row for row in ROWS if row["scipy"]], ids=lambda row: row["pack unit"])
def test_scipy_agrees_with_the_table(row):
    name, _, power = row["scipy"].partition("^")
    si = getattr(scipy.constants, name) ** int(power or 1)
    assert si * SI_TO_QUOTING[row["quoting unit"]] == pytest.approx(
        float(row["expected"]), rel=max(float(row["tolerance"]), 1e-12)
    )


def test_every_row_names_its_source():
    assert len(ROWS) >= 15
    assert all(row["source"] and row["status"] in STATUSES for row in ROWS)


def test_the_traps_are_still_traps():
    """What pint makes of the trade's letters on its own; the reason why units.py has a table of spellings."""
    stock = pint.UnitRegistry()
    assert stock.Quantity(1, "mil").check("") and not stock.Quantity(1, "mil").check("[length]")
    assert stock.Quantity(1, "M").check("[concentration]")
    assert stock.Quantity(1, "Gal").check("[acceleration]")
    assert stock.Quantity(1, "pc").to("m").magnitude > 1e16
    assert stock.Quantity(1, "doz").to("oz").magnitude == pytest.approx(0.1)
    assert stock.Quantity(1, "ML").to("L").magnitude == pytest.approx(1e6)
    assert stock.Quantity(1, "gal").to("L").magnitude == pytest.approx(3.785411784)
    for unknown in ("dozen", "gross", "ream", "sheet"):
        with pytest.raises(pint.UndefinedUnitError):
            stock.Unit(unknown)


def test_every_kind_of_material_is_quoted_by_its_dimension():
    for kind, material in MATERIALS.items():
        unit = DIMENSIONS[material.dimension].unit
        assert material.unit == unit or material.dimension == "count", kind


@pytest.mark.parametrize(
    ("unit", "kind", "allowed"),
    [
        ("mil", "tape", "it must be thou for a thousandth of an inch: a mil is read as an angle, and some write it for mL"),
        ("mils", "ink", "it must be thou for a thousandth of an inch: a mil is read as an angle, and some write it for mL"),
        ("ton", "powder", "it must be tonne, or a number of lb: a ton is 2000 lb in the US and 2240 lb in the UK"),
        ("cwt", "powder", "it must be kg, or a number of lb: a hundredweight is 100 lb in the US and 112 lb in the UK"),
        ("gr", "powder", "it must be g for a gram: gr is a grain, a seven-thousandth of a pound"),
        ("bbl", "ink", "it must be a number of gal: a barrel of one trade is not that of another"),
        ("oz", "ink", f"it is a mass, but ink is bought by volume, such as {DIMENSIONS['volume'].examples}"),
        ("fl oz", "powder", f"it is a volume, but powder is bought by mass, such as {DIMENSIONS['mass'].examples}"),
        ("kg", "film", f"it is a mass, but film is bought by count, such as {DIMENSIONS['count'].examples}"),
        ("linear yd", "fabric", f"it is a length, but fabric is bought by area, such as {DIMENSIONS['area'].examples}"),
        ("roll", "tape", "it must say what it holds, such as roll of 5 L or roll of 100"),
        ("pail of 0 gal", "ink", "it holds nothing; it must hold more than 0"),
        ("kg at 0 kg/L", "ink", "it must have a density like 1.2 kg/L after the word at"),
        ("", "ink", "it must be a unit of 1 to 80 characters, such as gal, kg, m2, yd, dozen or each"),
        ("m" * 81, "tape", "it must be a unit of 1 to 80 characters, such as gal, kg, m2, yd, dozen or each"),
        *(
            (unit, "fabric", f"it must be a unit of area, such as {DIMENSIONS['area'].examples}")
            for unit in ("cu sqm", "sqm2")
        ),
    ],
)
def test_units_that_are_refused(unit, kind, allowed):
    assert unit_size(unit, kind) == allowed
    assert isinstance(unit_size(unit, kind), Refusal)


def test_a_unit_of_an_unknown_kind():
    """Where the kind is not known, a unit is still told from what is none."""
    assert unit_refusal("kg") is None
    assert unit_refusal("galon") == "it must be a unit, such as gal, kg, m2, yd, dozen or each"
    assert unit_refusal("mil") == unit_size("mil", "tape")


def test_names_that_pint_takes_for_another_unit_are_still_those():
    """What the refused names are to pint, which reads each of them without a doubt."""
    stock = pint.UnitRegistry()
    assert stock.Quantity(1, "ton").to("lb").magnitude == pytest.approx(2000)
    assert stock.Quantity(1, "cwt").to("lb").magnitude == pytest.approx(100)
    assert stock.Quantity(1, "gr").to("mg").magnitude == pytest.approx(64.79891)
    assert stock.Quantity(1, "bbl").to("gallon").magnitude == pytest.approx(31.5)
