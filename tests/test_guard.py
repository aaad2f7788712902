"""The guard functions called from Python; test_calc.py calls the same ones from cells."""

import pytest

import quotelib
from quotelib.errors import LookupMiss, TypeInputError


def test_version_is_the_package_s() -> None:
    assert quotelib.library_version() == quotelib.__version__


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (("SETUP_PER_UNIT", 156.5, 700), ""),
        (("setup_per_unit", 156.5, 700, 2), ""),
        (("SETUP_PER_UNIT", 156.5, 0), "good_pieces is 0; it must be whole, 1 to 1e9 [pieces]"),
        (("SETUP_PER_UNIT", 156.5), "good_pieces is blank; it must be a number, whole, 1 to 1e9 [pieces]"),
        (("SETUP_PER_UNIT", "many", 700), "setup_cost is 'many'; it must be a number, 0 to 1e12 [currency]"),
        (
            ("SETUP_PER_UNIT", 1, 2, 3, 4),
            "SETUP_PER_UNIT is '4 arguments'; it takes 3 at most: setup_cost, good_pieces, runs",
        ),
        (("SETUP_PER_UNIT", ((156.5,),), ((700.0,),), None), ""),
        (("LIBRARY_VERSION",), ""),
        (("LIBRARY_VERSION", 1), "LIBRARY_VERSION is '1 arguments'; it takes 0 at most: "),
        (("REASON", "SETUP_PER_UNIT", 156.5, 0), ""),
        (("REASON",), "REASON is '0 arguments'; it needs 1 at least"),
    ],
)
def test_reason_gives_the_message_of_the_call(call: tuple[object, ...], message: str) -> None:
    assert quotelib.reason(*call) == message


def test_reason_over_ranges_names_the_cells_refused() -> None:
    assert quotelib.reason("SETUP_PER_UNIT", 156.5, ((700.0,), (350.0,))) == ""
    assert quotelib.reason("SETUP_PER_UNIT", 156.5, ((700.0,), (0.0,), ("",))) == (
        "row 2: good_pieces is 0, it must be whole, 1 to 1e9 [pieces]; "
        "row 3: good_pieces is blank, it must be a number, whole, 1 to 1e9 [pieces]"
    )
    assert quotelib.reason("SETUP_PER_UNIT", ((1.0, -1.0),), 7).startswith(
        "column 2: setup_cost is -1, it must be 0 to 1e12"
    )
    assert quotelib.reason("SETUP_PER_UNIT", ((1.0, 1.0), (-1.0, 1.0)), 7).startswith("row 2 column 1: setup_cost is -1, ")


def test_reason_over_a_long_range_gives_the_first_few() -> None:
    told = quotelib.reason("SETUP_PER_UNIT", 156.5, [[0.0]] * 1000)
    assert told.startswith("row 1: ") and "row 20: " in told and "row 21: " not in told and told.endswith("; and 980 more")


def test_reason_of_ranges_of_different_shapes_is_one_message() -> None:
    assert "2 x 1 cells" in quotelib.reason("SETUP_PER_UNIT", ((1.0,), (2.0,), (3.0,)), ((700.0,), (0.0,)))


def test_reason_for_a_misspelt_function_names_the_near_ones() -> None:
    with pytest.raises(LookupMiss, match="near it: SETUP_PER_UNIT"):
        quotelib.reason("SETUP_PER_UNITS", 1, 2)


LABELS = ("Labour", "Run size", "Coverage", "Artwork", "", "Rush")
KINDS = ("", "pieces", "Fraction", "money, may be blank", "", "flag")


@pytest.mark.parametrize(
    ("values", "faults"),
    [
        (("", 700.0, 0.3, "", "", 1.0), ""),
        (("", 700.0, 0.3, 60.0, "a note", 0.0), ""),
        (("", "", 3.0, "", "", "  "), "Run size is blank; Coverage is 3, it must be 0 to 1 [fraction]; Rush is blank"),
        (("", 1.5, 0.3, -1.0, "", 1.0), "Run size is 1.5, it must be whole, 1 to 1e9 [pieces]; "
         "Artwork is -1, it must be 0 to 1e12 [currency]"),
        (("", "ten", 0.3, "", "", 1.0), "Run size is 'ten', it must be a number, whole, 1 to 1e9 [pieces]"),
    ],
)  # fmt: skip
def test_input_faults_names_every_fault(values: tuple[object, ...], faults: str) -> None:
    def column(cells: tuple[object, ...]) -> tuple[tuple[object, ...], ...]:
        return tuple((cell,) for cell in cells)

    assert quotelib.input_faults(column(LABELS), column(values), column(KINDS)) == faults


@pytest.mark.parametrize(
    ("code", "faults"),
    [
        ("INK-HAND", ""),
        ("ink-hand ", ""),
        ("INK-HANDS", "Ink is 'INK-HANDS', it must be a code of the price list; near it: INK-HAND, INK-PAD"),
        ("zinc", "Ink is 'zinc', it must be a code of the price list"),
        ("", "Ink is blank"),
        (5.0, "Ink is 5, it must be text, not blank"),
    ],
)
def test_a_code_must_be_in_the_list_where_one_is_given(code: object, faults: str) -> None:
    listed = (("INK-HAND",), ("INK-HAND",), ("INK-PAD",), ("",), (None,))
    assert quotelib.input_faults("Ink", code, "code", listed) == faults
    if isinstance(code, str) and code:
        assert quotelib.input_faults("Ink", code, "code") == ""


def test_input_without_a_label_is_called_by_its_row() -> None:
    assert quotelib.input_faults(["Run size", ""], [1, ""], ["pieces", "money"]) == "row 2 is blank"


def test_ranges_of_different_shapes_are_refused() -> None:
    with pytest.raises(TypeInputError, match="values is '1 x 2 cells'; it must be as large as labels: 1 x 1 cells"):
        quotelib.input_faults("Run size", [1, 2], "pieces")


@pytest.mark.parametrize("value", ["", 5])
def test_unknown_kind_is_refused_even_where_the_input_is_good(value: object) -> None:
    with pytest.raises(LookupMiss, match=r"kinds row 1 is 'peices'; .* near it: pieces"):
        quotelib.input_faults("Run size", value, "peices")


def test_value_whose_kind_was_lost_is_refused() -> None:
    with pytest.raises(LookupMiss, match="kinds row 1 is blank"):
        quotelib.input_faults("Run size", 5, "")
