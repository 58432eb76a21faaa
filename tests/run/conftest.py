"""Runs that several tests look at, worked out once."""

from collections.abc import Callable
from pathlib import Path

import pytest

from ramstill.run import Run, bundled, load_scenario
from ramstill.run.scenario import Scenario, from_tables

LEVEL = {"kind": "level", "duration": "120 s"}
CLIMB = {"kind": "climb", "duration": "120 s", "rate": "600 ft/min", "speed": "75 kt"}


def fly(
    *legs: dict[str, str], airplane: str = "low-wing-mast", faults: tuple[dict[str, object], ...] = ()
) -> Scenario:
    """A flight that starts at 3,000 ft and 75 kt."""
    tables = {
        "format": 1,
        "title": "A test",
        "airplane": airplane,
        "flight": {"start_altitude": "3000 ft", "start_speed": "75 kt", "leg": list(legs or (LEVEL,))},
        "fault": list(faults),
    }
    return from_tables(tables, "test", Path())


@pytest.fixture(scope="session")
def flight() -> Callable[..., Scenario]:
    """`fly`: legs and faults to a scenario."""
    return fly


@pytest.fixture(scope="session")
def healthy() -> Run:
    """Two minutes level and a climb, nothing broken."""
    return fly(LEVEL, CLIMB).run()


@pytest.fixture(scope="session")
def nest() -> Run:
    """The same with the inlet shut 30 s into the level leg, on a mast without a drain."""
    return fly(LEVEL, CLIMB, faults=({"name": "pitot-inlet-blocked", "onset": "30 s"},)).run()


@pytest.fixture(scope="session")
def taped() -> Run:
    """The same with the static openings shut since before the start."""
    return fly(LEVEL, CLIMB, faults=({"name": "static-ports-blocked", "onset": "-60 s"},)).run()


@pytest.fixture(scope="session")
def bench() -> Run:
    """A breath, a pull and a finger."""
    assert "breath-on-the-bench" in bundled()
    return load_scenario("breath-on-the-bench").run()
