"""What is read depends on its own part of the plumbing only: worked out alone, it is what it was."""

from pathlib import Path

import numpy as np
import pytest

from ramstill.airplane import Airplane
from ramstill.faults import Fault
from ramstill.pneumatics import Surroundings
from ramstill.run import Run, simulate_batch
from ramstill.run.scenario import from_tables

LEFT = ("airspeed-left", "altimeter-left", "vertical-speed-left")
# of the steps' errors, which are not the same in a larger network; 1 Pa at the slowest speed flown here
CLOSE = {"airspeed-left": 0.02, "altimeter-left": 0.1, "vertical-speed-left": 0.05}


def flown(airplane: str) -> Run:
    """Half a minute level and two minutes of climb at 160 kt."""
    level = {"kind": "level", "duration": "30 s"}
    climb = {"kind": "climb", "duration": "120 s", "rate": "1000 ft/min"}
    flight = {"start_altitude": "3000 ft", "start_speed": "160 kt", "leg": [level, climb]}
    tables = {"format": 1, "title": "A test", "airplane": airplane, "flight": flight}
    return from_tables(tables, "test", Path()).run()


@pytest.fixture(scope="module")
def turboprop() -> Run:
    return flown("pressurised-turboprop")


@pytest.fixture(scope="module")
def plane(turboprop: Run) -> Airplane:
    return turboprop.airplane


@pytest.fixture(scope="module")
def around(turboprop: Run) -> Surroundings:
    return turboprop.surroundings


def test_the_other_system_does_nothing(plane: Airplane, around: Surroundings) -> None:
    cases = [
        [Fault("static-line-leak", "static-to-altimeter-right")],
        [Fault("pitot-inlet-blocked", "right-inlet", onset_s=20.0)],
        [Fault("pointer-stuck", "altimeter-right")],
        [Fault("encoder-offset", "encoder")],
    ]
    batch = simulate_batch(plane, around, cases, pointers=LEFT, progress=False)
    assert (batch.values == batch.healthy).all()


def test_a_part_alone_shows_what_the_whole_does(plane: Airplane, around: Surroundings) -> None:
    cases = [
        [],
        [Fault("static-line-leak", "static-to-altimeter-left", onset_s=15.0)],
        [Fault("pitot-inlet-blocked", "left-inlet")],
        [Fault("port-deformed", "left-fore-port", onset_s=25.0)],
        [Fault("cabin-pressure-lost", onset_s=25.0), Fault("vsi-glass-broken", "vertical-speed-left")],
        [Fault("altimeter-sticking", "altimeter-left")],
    ]
    some = simulate_batch(plane, around, cases, pointers=LEFT, dtype=np.float64, progress=False)
    whole = simulate_batch(plane, around, cases, dtype=np.float64, progress=False)
    for name, close in CLOSE.items():
        np.testing.assert_allclose(some.of(name), whole.of(name), rtol=0.0, atol=close, err_msg=name)


def test_a_fault_that_joins_two_parts_is_worked_out_with_both() -> None:
    jet = flown("business-jet")
    plane, around = jet.airplane, jet.surroundings
    crossed = [[Fault("lines-crossed", "air-data-left", onset_s=10.0)]]
    name = "air-data-left.airspeed"
    some = simulate_batch(plane, around, crossed, pointers=[name], dtype=np.float64, progress=False)
    whole = simulate_batch(plane, around, crossed, dtype=np.float64, progress=False)
    np.testing.assert_array_equal(some.of(name)[0][-40:], whole.of(name)[0][-40:])
    assert not np.allclose(some.of(name)[0][-40:], some.healthy[-40:, 0], atol=5.0, equal_nan=True)
