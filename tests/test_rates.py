"""The shop's rates: a file with faults is refused whole, with every fault named."""

from pathlib import Path

import pytest

from quotelib.errors import FileRefused
from quotelib.rates import load_rates

FILE = Path(__file__).resolve().parent.parent / "workbook" / "shop-rates.toml"


def refused(tmp_path: Path, text: str | bytes) -> list[str]:
    target = tmp_path / "rates.toml"
    target.write_bytes(text if isinstance(text, bytes) else text.encode())
    with pytest.raises(FileRefused) as refusal:
        load_rates(target)
    return refusal.value.faults


def test_the_shop_s_own_file_is_in_order() -> None:
    assert load_rates(FILE).labour_rate == 24.0


def test_every_fault_is_named_and_nothing_is_loaded(tmp_path: Path) -> None:
    text = FILE.read_text()
    text = text.replace("labour_rate = 24.0", 'labour_rate = "24"').replace("hand_yield = 0.985", "hand_yield = 1.2")
    text = text.replace("white_layers = 2", "white_layers = 2.5").replace("jig_cost = 650.0", "jigg_cost = 650.0")
    text = text.replace('film_code = "FILM-POSITIVE"', 'film_code = ""')
    assert refused(tmp_path, text) == [
        "jig_cost is missing",
        "jigg_cost is not a field of a shop's rates",
        "labour_rate is '24'; it must be a number, more than 0, up to 1e6 [currency/hour]",
        "hand_yield is 1.2; it must be more than 0, up to 1 [fraction]",
        "white_layers is 2.5; it must be whole, 0 to 1e9",
        "film_code is blank; it must be text, not blank",
    ]


def test_a_rate_that_stands_twice_is_named(tmp_path: Path) -> None:
    assert "labour_rate stands twice" in refused(tmp_path, "labour_rate = 20.0\n" + FILE.read_text())


def test_what_is_not_toml_or_not_utf8_is_refused(tmp_path: Path) -> None:
    assert refused(tmp_path, "labour_rate = ")[0].startswith("it is not TOML: ")
    assert refused(tmp_path, b"labour_rate = 2 # \xff")[0].startswith("it is not UTF-8 text: ")
