"""Recorded flights undone: the healthy replay returns the record, and the steps leave no ripple."""

from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import ramstill
from ramstill import air, airplane, flight
from ramstill.air import units
from ramstill.airplane import Airplane
from ramstill.flight import recording
from ramstill.flight.reconstruct import reconstruction

# Half a step of the reading, up to 0.35 of a step where the readings leave no smooth way inside, and the
# tenth of a step at which the search for the pressures stops [steps].
WITHIN = 0.95
Csv = Callable[[dict[str, Sequence[object]]], Path]


def rounded(value: np.ndarray, step: float) -> np.ndarray:
    return np.floor(np.asarray(value) / step + 0.5) * step


def record_of(
    plane: Airplane, table: dict[str, object], steps: tuple[float, float]
) -> dict[str, list[float]]:
    """What a recorder writes down of a healthy flight, once a second."""
    path = flight.plan(flight.parse_flight(table, "a.toml"), plane)
    run = ramstill.simulate(plane, flight.surroundings(plane, path), output_hz=4.0)
    keep = slice(None, None, 4)
    return {
        "time_s": run.time_s[keep].tolist(),
        "ias_kt": rounded(run.pointers["airspeed"][keep] / units.KT, steps[0]).tolist(),
        "altitude_ft": rounded(run.pointers["altimeter"][keep] / units.FT, steps[1]).tolist(),
        "pressure_pa": run.truth.static_pressure_pa[keep].tolist(),
        "needle_fpm": (run.pointers["vertical-speed"][keep] / units.FPM).tolist(),
    }


@settings(max_examples=8, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    name=st.sampled_from(["low-wing-mast", "high-wing-tube", "twin-two-ports"]),
    to_ft=st.floats(3000.0, 9000.0),
    rate_fpm=st.floats(250.0, 1200.0),
    speed_kt=st.floats(75.0, 110.0),
    steps=st.sampled_from([(1.0, 25.0), (1.0, 10.0), (1.0, 100.0), (0.5, 25.0)]),
)
def test_a_healthy_replay_returns_the_record(
    csv: Csv, name: str, to_ft: float, rate_fpm: float, speed_kt: float, steps: tuple[float, float]
) -> None:
    plane = airplane.load(name)
    table = {
        "start_altitude": "2000 ft",
        "start_speed": "85 kt",
        "leg": [
            {"kind": "level", "duration": "30 s"},
            {"kind": "climb", "to": f"{to_ft} ft", "rate": f"{rate_fpm} fpm", "speed": f"{speed_kt} kt"},
            {"kind": "level", "duration": "40 s", "speed": "100 kt"},
            {"kind": "descent", "to": "2500 ft", "rate": "700 fpm"},
        ],
    }
    columns = record_of(plane, table, steps)
    pressure, needle = np.array(columns.pop("pressure_pa")), np.array(columns.pop("needle_fpm"))
    read = recording.read(csv(columns))
    found = reconstruction(plane, read)
    assert found.furthest["altitude"] <= WITHIN
    assert found.furthest["ias"] <= WITHIN
    written = {"ias": ("ias_kt", units.KT, steps[0]), "altitude": ("altitude_ft", units.FT, steps[1])}
    for quantity, (header, unit, step) in written.items():
        again = rounded(found.replay.values[quantity] / unit, step)
        assert np.abs(again - columns[header]).max() <= step
    # the outside pressure comes back within what one step and the friction of the pointer hide
    step_m = (steps[1] + 15.0) * units.FT
    truth = found.surroundings.truth
    assert np.abs(truth.pressure_altitude_m - np.asarray(air.pressure_altitude(pressure))).max() < step_m
    # and the needle of the replay goes where the real one went. A corner of 3 s is hidden by a step that
    # takes longer to fly than that; over the whole flight 2.5 ft/min for each foot of the step and 15 ft of
    # friction is twice what was found. Of what the steps would make the needle ripple a fiftieth was found to
    # be left.
    again = found.replay.values["vertical speed"] / units.FPM
    assert np.sqrt(np.mean((again - needle) ** 2)) < 2.5 * (steps[1] + 15.0)
    ripple = np.sqrt(np.mean(np.diff(again - needle, 2) ** 2))
    from_steps = np.sqrt(np.mean(np.diff(np.diff(columns["altitude_ft"]) * 60.0, 2) ** 2))
    assert ripple < 0.05 * from_steps


def test_a_setting_moves_the_pointer_and_not_the_airplane(csv: Csv, plane: Airplane) -> None:
    time = np.arange(200.0)
    setting = np.where(time < 100, 29.92, 30.12)
    moved = (
        np.asarray(air.pressure_altitude(29.92 * units.INHG)) - air.pressure_altitude(setting * units.INHG)
    ) / units.FT
    columns = {
        "time_s": time.tolist(),
        "ias_kt": [90] * 200,
        "altitude_ft": rounded(4000.0 + moved, 20.0).tolist(),
        "altimeter_setting_inhg": setting.tolist(),
    }
    found = reconstruction(plane, recording.read(csv(columns)))
    assert found.furthest["altitude"] <= WITHIN
    height = found.surroundings.truth.pressure_altitude_m
    # steps of 20 ft rounded differently before and after, and a scale error that differs by 1 ft
    assert np.ptp(height) < 30.0 * units.FT
    assert np.ptp(found.replay.values["altitude"]) == pytest.approx(
        np.ptp(moved) * units.FT, abs=20.0 * units.FT
    )


@pytest.mark.parametrize(
    ("columns", "words"),
    [
        ({"ias_kt": [100, 101, 102] * 20}, "sea level"),
        ({"altitude_ft": [1000, 1020, 1040] * 20}, "cruise speed"),
        ({"altitude_ft": [1000] * 60, "ground_speed_kt": [90, 91, 92] * 20}, "ground speed"),
        ({"ias_kt": [90] * 60, "gps_altitude_ft": list(range(1000, 1600, 10))}, "GPS altitude"),
        ({"vsi_fpm": [500] * 60}, "summed up"),
    ],
)
def test_one_instrument_is_enough_and_the_rest_is_named(
    csv: Csv, plane: Airplane, columns: dict[str, Sequence[object]], words: str
) -> None:
    found = reconstruction(plane, recording.read(csv({"time_s": list(range(60)), **columns})))
    assert any(words in note for note in found.notes)
    assert np.isfinite(found.surroundings.pressure_pa).all()


def test_vertical_speed_alone_climbs_at_its_rate(csv: Csv, plane: Airplane) -> None:
    found = reconstruction(plane, recording.read(csv({"time_s": list(range(60)), "vsi_fpm": [500] * 60})))
    rate = np.diff(found.surroundings.truth.pressure_altitude_m) / units.FPM
    assert rate == pytest.approx(np.full(59, 500.0), rel=0.01)


def test_gaps_and_garbled_readings_are_bridged_and_named(csv: Csv, plane: Airplane) -> None:
    time = np.arange(300.0)
    airspeed = rounded(100.0 + 4.0 * np.sin(time / 20.0), 1.0)
    altitude: list[object] = rounded(3000.0 + 5.0 * time, 25.0).tolist()
    altitude[100:130] = [None] * 30
    airspeed[200] = 12.0
    found = reconstruction(
        plane,
        recording.read(csv({"time_s": time.tolist(), "ias_kt": airspeed.tolist(), "altitude_ft": altitude})),
    )
    assert found.furthest["ias"] <= WITHIN
    assert found.furthest["altitude"] <= WITHIN
    assert found.readings.set_aside["ias"].tolist() == [200.0]
    assert any("200 s" in note for note in found.notes)
    across = np.diff(found.surroundings.truth.pressure_altitude_m)[100:130] / units.FPM
    assert across == pytest.approx(np.full(30, 300.0), rel=0.05)


def test_truth_is_what_the_record_says(csv: Csv, plane: Airplane) -> None:
    n = 60
    columns = {
        "time_s": list(range(n)),
        "ias_kt": [90] * n,
        "altitude_ft": [3000] * n,
        "gps_altitude_ft": [3200] * n,
        "oat_c": [25] * n,
        "ground_speed_kt": [70] * n,
        "power_pct": [65] * n,
    }
    truth = reconstruction(plane, recording.read(csv(columns))).surroundings.truth
    assert truth.geometric_altitude_m == pytest.approx(np.full(n, 3200 * units.FT))
    assert truth.outside_temperature_k == pytest.approx(np.full(n, 298.15))
    assert truth.ground_speed_m_s == pytest.approx(np.full(n, 70 * units.KT))
    assert truth.power == pytest.approx(np.full(n, 0.65))
    # position and scale error of the airplane are within 5 kt and 150 ft of what it shows
    assert truth.cas_m_s / units.KT == pytest.approx(np.full(n, 90.0), abs=5.0)
    assert truth.pressure_altitude_m / units.FT == pytest.approx(np.full(n, 3000.0), abs=150.0)
