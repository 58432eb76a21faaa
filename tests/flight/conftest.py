"""Airplanes and recorded files that several tests here fly."""

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import pytest

from ramstill import airplane
from ramstill.airplane import Airplane


@pytest.fixture(scope="session")
def plane() -> Airplane:
    return airplane.load("high-wing-tube")


@pytest.fixture
def csv(tmp_path: Path) -> Callable[[Mapping[str, Sequence[object]]], Path]:
    """Writes columns as a CSV file; None is a missing reading."""

    def write(columns: Mapping[str, Sequence[object]]) -> Path:
        path = tmp_path / "record.csv"
        rows = zip(*columns.values(), strict=True)
        lines = [",".join("" if cell is None else str(cell) for cell in row) for row in rows]
        path.write_text("\n".join([",".join(columns), *lines]) + "\n", encoding="utf-8")
        return path

    return write
