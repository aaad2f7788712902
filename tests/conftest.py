"""What all tests share: how the property tests search, and the LibreOffice Calc that the tests of cells use.

The property tests take the same examples every time, or, with --hypothesis-profile=search, many fresh ones.
"""

import os
from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, settings

from quotelib.hosts.calc.office import OfficeFault, find_office
from quotelib.hosts.calc.session import Calc

settings.register_profile("repeatable", max_examples=40, deadline=None, derandomize=True, database=None)
settings.register_profile(
    "search", max_examples=1000, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much]
)
settings.load_profile("repeatable")


@pytest.fixture(scope="session")
def libreoffice() -> None:
    """Where there is no LibreOffice the test fails under CI and is skipped elsewhere."""
    try:
        find_office()
    except OfficeFault as fault:
        if os.environ.get("CI"):
            pytest.fail(str(fault))
        pytest.skip(str(fault))


@pytest.fixture(scope="session")
def calc(libreoffice: None) -> Iterator[Calc]:
    """Calc with this library's add-in."""
    with Calc() as session:
        yield session
