"""A recorded flight taken back to the pressures outside, and flown again by healthy airplanes.

Source: decoded Mode S messages of a real jet's climb, sample data of the Python package `traffic` 2.13 (MIT
licence); data/README.md. No airplane of the hangar is that jet: pressures do not know the range of a dial, so
the law without stops is compared. The record has quirks: readings held over for up to four seconds, and one
garbled message at 1258 s, which is listed and not led through.
"""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from ramstill import airplane
from ramstill.air import units
from ramstill.flight import recording
from ramstill.flight.reconstruct import Reconstruction, reconstruction

FILE = Path(__file__).parent / "data" / "recorded_flight_climb.csv"
Residual = Callable[[str, float, float], None]
STEPS = {"ias": 1.0 * units.KT, "altitude": 25.0 * units.FT}


@pytest.fixture(scope="module")
def read() -> recording.Recording:
    return recording.read(FILE)


@pytest.fixture(scope="module", params=["low-wing-mast", "high-wing-tube", "twin-two-ports"])
def found(request: pytest.FixtureRequest, read: recording.Recording) -> Reconstruction:
    return reconstruction(airplane.load(request.param), read)


def column(name: str) -> np.ndarray:
    raw = np.genfromtxt(FILE, delimiter=",", names=True)
    return np.asarray(raw[name], dtype=float)


def test_what_the_record_is_written_in(read: recording.Recording) -> None:
    assert read.steps["ias"] == pytest.approx(1.0 * units.KT)
    assert read.steps["altitude"] == pytest.approx(25.0 * units.FT)
    assert any("pressure altitude" in note for note in read.notes)


def test_every_row_but_the_garbled_one_comes_back_within_one_step(
    read: recording.Recording, found: Reconstruction, residual: Residual
) -> None:
    assert {q: out.tolist() for q, out in found.readings.set_aside.items()} == {"ias": [1258.0]}
    for quantity, step in STEPS.items():
        sound = ~np.isin(read.time_s, found.readings.set_aside.get(quantity, np.empty(0)))
        again = np.floor(found.replay.values[quantity] / step + 0.5)
        off = np.abs(again - np.round(read.values[quantity] / step))[sound]
        residual(f"{quantity} of the replay, rounded [steps]", off.max(), 1.0)
        # and unrounded: 0.85 of a step where a held-over reading leaves no smooth way, 0.1 where the search
        # stops
        residual(f"{quantity} of the replay, not rounded [steps]", found.furthest[quantity], 0.95)


def test_no_ripple_of_the_steps_reaches_the_vertical_speed(found: Reconstruction, residual: Residual) -> None:
    needle = found.replay.values["vertical speed"] / units.FPM
    # from second to second: the needle against what 25 ft steps once a second would show
    steps = np.diff(column("altitude_ft")) * 60.0
    ripple = np.sqrt(np.mean(np.diff(needle, 2) ** 2)) / np.sqrt(np.mean(np.diff(steps, 2) ** 2))
    residual("ripple of the needle as a share of that of the steps", ripple, 0.01)


def test_the_outside_rate_is_the_inertial_one(found: Reconstruction, residual: Residual) -> None:
    """The transmitted inertial vertical speed knows nothing of pressure: the pressure rate finds it again.

    It comes in 32 ft/min, held over for up to four seconds; a second of a climb that changes by 30 ft/min a
    second is 30 ft/min. The pressure rate is one of pressure altitude: on that day 3 % off the true one.
    """
    truth = found.surroundings.truth
    rate = np.gradient(truth.pressure_altitude_m, truth.time_s) / units.FPM
    inertial = column("inertial_vertical_speed_fpm")
    residual("median difference of rate [ft/min]", float(np.median(np.abs(rate - inertial))), 60.0)
    residual(
        "root mean square difference of rate [ft/min]", float(np.sqrt(np.mean((rate - inertial) ** 2))), 130.0
    )


def test_the_needle_is_late_by_its_own_time(found: Reconstruction, residual: Residual) -> None:
    """A healthy needle follows the inertial rate some seconds later, and best at a lag it may have."""
    needle = found.replay.values["vertical speed"] / units.FPM
    inertial = column("inertial_vertical_speed_fpm")
    late = [np.sqrt(np.mean((needle[n:] - inertial[: len(inertial) - n]) ** 2)) for n in range(25)]
    assert 1 <= int(np.argmin(late)) <= 15
    residual("needle against the rate of some seconds before, root mean square [ft/min]", min(late), 130.0)
