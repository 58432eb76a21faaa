"""Reading the published figures in tests/outside/data; data/README.md says where each file comes from."""

import csv
from collections.abc import Callable
from pathlib import Path

import pytest

Rows = list[dict[str, str]]
DATA = Path(__file__).parent / "data"


@pytest.fixture(scope="session")
def read() -> Callable[[str], Rows]:
    """Rows of one CSV by its name without suffix."""

    def rows(name: str) -> Rows:
        with (DATA / f"{name}.csv").open(newline="", encoding="utf-8") as file:
            return list(csv.DictReader(file))

    return rows


@pytest.fixture
def residual(record_property: Callable[[str, object], None]) -> Callable[[str, float, float], None]:
    """Assert that a source's largest residual is within its tolerance; print it and put it in the report."""

    def check(what: str, largest: float, tolerance: float) -> None:
        print(f"{what}: largest residual {largest:.3g}, tolerance {tolerance:.3g}")
        record_property(what, float(largest))
        assert largest <= tolerance, f"{what}: largest residual {largest:.6g}, tolerance {tolerance:.6g}"

    return check
