"""Is a recording fit to be diagnosed: a unit is named, another airplane refused, and a fault is neither."""

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from ramstill import air, airplane
from ramstill.air import units
from ramstill.airplane import Airplane
from ramstill.diagnosis import soundness
from ramstill.errors import InputError
from ramstill.flight.columns import COLUMNS
from ramstill.flight.recording import Recording

Array = NDArray[np.float64]
NAMES = {
    "time": "time_s",
    "ias": "ias_kt",
    "altitude": "altitude_ft",
    "vertical speed": "vsi_fpm",
    "ground speed": "ground_speed_kt",
    "track": "track_deg",
    "gps altitude": "gps_altitude_ft",
    "outside temperature": "oat_c",
}
ROUNDED = {"ias": 1.0, "altitude": 10.0, "vertical speed": 50.0, "ground speed": 1.0, "gps altitude": 10.0}
WIND = 20.0 * units.KT  # from the north
PANEL = ("ias", "altitude", "vertical speed")


@pytest.fixture(scope="module")
def plane() -> Airplane:
    return airplane.load("low-wing-mast")


def flight(speed_kt: float = 95.0, columns: Mapping[str, str] | None = None) -> Recording:
    """Twenty minutes: up, level, down, level, with a turn every two minutes, on a standard day, by algebra.

    columns: quantity -> our name of the column in which its readings are written, which is not the one that
    the header (that of `NAMES`) says.
    """
    time = np.arange(1200.0)
    climb = np.interp(time, [0, 20, 480, 500, 700, 720, 1080, 1100], [0, 700, 700, 0, 0, -500, -500, 0])
    climb = climb * units.FPM
    height = 300.0 + np.concatenate([[0.0], np.cumsum(climb[1:])])
    cas = units.KT * (speed_kt - 15.0 * (climb > 0.5) + 3.0 * np.sin(time / 40.0))
    static = np.asarray(air.static_pressure(height))
    warmth = np.asarray(air.standard_temperature(height)) + 5.0
    tas = np.asarray(air.true_airspeed(air.mach(air.impact_pressure(cas), static), warmth))
    heading = 1.9 * np.floor(time / 120.0)
    north, east = tas * np.cos(heading) - WIND, tas * np.sin(heading)
    true = {
        "ias": cas,
        "altitude": height,
        "vertical speed": climb,
        "ground speed": np.hypot(north, east),
        "track": np.arctan2(east, north) % (2.0 * np.pi),
        "gps altitude": height * 1.02 + 40.0,
        "outside temperature": warmth,
    }
    values = {}
    for quantity, value in true.items():
        stated = COLUMNS[NAMES[quantity]]
        held = COLUMNS[(columns or {}).get(quantity, NAMES[quantity])]
        step = ROUNDED.get(quantity, 0.1) * (stated.factor / held.factor if held != stated else 1.0)
        written = np.round((value - held.offset) / held.factor / step) * step
        values[quantity] = written * stated.factor + stated.offset
    return recorded(time, values)


def recorded(time_s: Array, values: Mapping[str, Array]) -> Recording:
    header = {quantity: (NAMES[quantity], NAMES[quantity]) for quantity in ("time", *values)}
    return Recording("log.csv", time_s, values, {}, {}, columns=header)


def only(recording: Recording, *quantities: str) -> Recording:
    kept = {quantity: recording.values[quantity] for quantity in quantities}
    return recorded(recording.time_s, kept)


def refusal(plane: Airplane, recording: Recording) -> str:
    with pytest.raises(InputError) as caught:
        soundness.check(plane, recording)
    line = caught.value.line()
    assert "\n" not in line
    assert line.startswith("log.csv")
    return line


@pytest.mark.parametrize(
    "kept", [tuple(NAMES)[1:], PANEL, ("ias",), ("altitude",), ("vertical speed",), ("ias", "ground speed")]
)
def test_nothing_is_said_of_a_sound_recording(plane: Airplane, kept: tuple[str, ...]) -> None:
    assert soundness.check(plane, only(flight(), *kept)) == ()


@pytest.mark.parametrize(
    ("quantity", "holds", "factor"),
    [
        ("ias", "ias_kmh", "1.852"),
        ("ias", "ias_mph", "1.151"),
        ("ias", "ias_mps", "0.5144"),
        ("altitude", "altitude_m", "0.3048"),
        ("gps altitude", "gps_altitude_m", "0.3048"),
        ("vertical speed", "vsi_mps", "0.00508"),
        ("ground speed", "ground_speed_kmh", "1.852"),
        ("ground speed", "ground_speed_mps", "0.5144"),
        ("outside temperature", "oat_f", ""),
    ],
)
def test_a_column_in_another_unit_is_named(plane: Airplane, quantity: str, holds: str, factor: str) -> None:
    line = refusal(plane, flight(columns={quantity: holds}))
    assert f"line 1, {NAMES[quantity]}: read values that look like" in line
    assert f"name the column {holds}" in line
    assert factor in line


def test_either_of_two_columns_is_named_where_either_may_be_it(plane: Airplane) -> None:
    """Knots under a header of km/h look as a ground speed in km/h under one of knots does."""
    sound = flight()
    values = dict(sound.values) | {"ias": sound.values["ias"] / units.KT * units.KM_H}
    columns = dict(sound.columns) | {"ias": ("ias_kmh", "ias_kmh")}
    line = refusal(plane, replace(sound, values=values, columns=columns))
    assert "line 1, ias_kmh or ground_speed_kt" in line
    assert "look like knots in ias_kmh or km/h in ground_speed_kt" in line


def test_the_panel_alone_tells_metres_from_feet_by_the_vertical_speed(plane: Airplane) -> None:
    line = refusal(plane, only(flight(columns={"altitude": "altitude_m"}), *PANEL))
    assert "look like metres, off vsi_fpm by 0.3048" in line


def test_without_anything_to_compare_it_is_only_said(plane: Airplane) -> None:
    feet = flight()
    values = {"ias": feet.values["ias"], "altitude": feet.values["altitude"] / units.FT}
    header = {"time": ("time_s", "t"), "ias": ("ias_kt", "IAS"), "altitude": ("altitude_m", "ALT")}
    (note,) = soundness.check(plane, Recording("log.csv", feet.time_s, values, {}, {}, columns=header))
    assert note.startswith("ALT has values that look like feet")
    assert "--column altitude_ft=ALT" in note


@pytest.mark.parametrize(
    ("name", "factor", "look"),
    [("time_s", 1000.0, "milliseconds"), ("time_ms", 0.001, "seconds")],
)
def test_times_in_another_unit(plane: Airplane, name: str, factor: float, look: str) -> None:
    sound = flight()
    wrong = replace(sound, time_s=sound.time_s * factor, columns=dict(sound.columns) | {"time": (name, name)})
    assert f"which look like {look}" in refusal(plane, wrong)


def frozen_altimeter(values: dict[str, Array]) -> None:
    """Static openings blocked from the tenth part on: ram air is felt against trapped still air."""
    since = 120
    static = np.asarray(air.static_pressure(values["altitude"]))
    total = static + np.asarray(air.impact_pressure(values["ias"]))
    felt = np.maximum(total[since:] - static[since], 0.0)
    values["ias"][since:] = np.asarray(air.calibrated_airspeed(felt))
    values["altitude"][since:] = values["altitude"][since]
    values["vertical speed"][since:] = 0.0


def trapped_ram_air(values: dict[str, Array]) -> None:
    """Inlet and drain blocked on the ground: airspeed follows the altitude, past any scale."""
    static = np.asarray(air.static_pressure(values["altitude"]))
    values["ias"][:] = np.asarray(air.calibrated_airspeed(np.maximum(static[0] - static, 0.0)))


def pegged(values: dict[str, Array]) -> None:
    """The same with a pointer that has a stop."""
    trapped_ram_air(values)
    values["ias"][:] = np.minimum(values["ias"], 160.0 * units.KT)


def no_pressure(values: dict[str, Array]) -> None:
    values["ias"][:] = 0.0


def leaking(values: dict[str, Array]) -> None:
    """A leak that leaves a fixed share of impact pressure: airspeed low by a factor of its own."""
    values["ias"][:] = np.asarray(
        air.calibrated_airspeed(0.75 * np.asarray(air.impact_pressure(values["ias"])))
    )


def plugged(values: dict[str, Array]) -> None:
    """A restrictor that is half plugged doubles the vertical speed."""
    values["vertical speed"] *= 2.0


FAULTS = (frozen_altimeter, trapped_ram_air, pegged, no_pressure, leaking, plugged)


@pytest.mark.parametrize("kept", [tuple(NAMES)[1:], PANEL, (*PANEL, "ground speed"), ("ias", "altitude")])
@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_is_no_unit_and_no_other_airplane(
    plane: Airplane, fault: Callable[[dict[str, Array]], None], kept: tuple[str, ...]
) -> None:
    values = {quantity: value.copy() for quantity, value in flight().values.items()}
    fault(values)
    soundness.check(plane, only(recorded(np.arange(1200.0), values), *kept))


def test_another_airplane_is_refused_where_everything_agrees(plane: Airplane) -> None:
    line = refusal(plane, flight(speed_kt=260.0))
    assert "from another airplane" in line
    assert "a flight of low-wing-mast" in line
    assert "145 kt" in line
    slow = replace(flight(speed_kt=55.0), source="log.csv")
    assert "from another airplane" in refusal(airplane.load("business-jet"), slow)


def test_another_airplane_is_refused_by_what_its_indicator_cannot_show(plane: Airplane) -> None:
    assert "another airplane" in refusal(plane, only(flight(speed_kt=400.0), "ias", "altitude"))


def test_a_little_too_fast_is_the_same_airplane(plane: Airplane) -> None:
    assert soundness.check(plane, flight(speed_kt=150.0)) == ()


def test_gaps_are_named_and_too_little_is_refused(plane: Airplane) -> None:
    sound = flight()
    kept = (sound.time_s < 400.0) | (sound.time_s > 700.0)
    kept &= (sound.time_s < 900.0) | (sound.time_s > 940.0)
    (note,) = soundness.check(
        plane, recorded(sound.time_s[kept], {q: v[kept] for q, v in sound.values.items()})
    )
    assert note.startswith("The recording has 2 gaps, the longest of 302 s from 399 s on")
    few = recorded(sound.time_s[:25], {q: v[:25] for q, v in sound.values.items()})
    assert "25 readings of an instrument over 24 s" in refusal(plane, few)
    missing = {q: np.where(sound.time_s % 100.0 == 0.0, v, np.nan) for q, v in sound.values.items()}
    assert "12 readings of an instrument" in refusal(plane, recorded(sound.time_s, missing))
