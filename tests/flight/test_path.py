"""Planned flights: they hit what they aim at, on any day, and say what cannot be flown."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ramstill import air, airplane, flight
from ramstill.air import units
from ramstill.air.constants import G0, GAMMA
from ramstill.airplane import Airplane
from ramstill.errors import InputError
from ramstill.flight import FlightPath

WHOLE = {
    "field_elevation": "1200 ft",
    "leg": [
        {"kind": "take-off"},
        {"kind": "climb", "to": "5000 ft", "name": "away"},
        {"kind": "level", "duration": "60 s", "speed": "100 kt"},
        {"kind": "turn", "degrees": "90 deg", "bank": "30 deg"},
        {"kind": "speed-change", "speed": "75 kt"},
        {"kind": "descent", "to": "2500 ft", "rate": "600 fpm"},
        {"kind": "approach"},
        {"kind": "landing"},
    ],
}
DAYS = [{}, {"sea_level_pressure": "985 hPa", "temperature_offset": "-20 K"}, {"temperature_offset": "25 K"}]


def flown(table: dict[str, Any], plane: Airplane, day: dict[str, Any] | None = None) -> FlightPath:
    return flight.plan(
        flight.parse_flight(table, "a.toml"), plane, flight.parse_day(day or {}, "a.toml"), "a.toml"
    )


def shown_ft(path: FlightPath) -> np.ndarray:
    truth = path.truth
    return np.asarray(air.indicated_altitude(truth.static_pressure_pa, truth.altimeter_setting_pa)) / units.FT


@pytest.mark.parametrize("day", DAYS)
def test_legs_end_where_they_aim(plane: Airplane, day: dict[str, Any]) -> None:
    path = flown(WHOLE, plane, day)
    truth, shown = path.truth, shown_ft(path)
    start = {name: np.searchsorted(truth.time_s, when - 1e-6) for when, name in truth.phases}
    # a thousandth of a foot and of a knot: smoothstep integrals are exact, only rounding is left
    assert shown[0] == pytest.approx(1200.0, abs=1e-3)
    assert shown[start["level"]] == pytest.approx(5000.0, abs=1e-3)
    assert shown[start["descent"]] == pytest.approx(5000.0, abs=1e-3)
    assert shown[start["approach"]] == pytest.approx(2500.0, abs=1e-3)
    assert shown[start["landing"]] == pytest.approx(1250.0, abs=1e-3)
    assert shown[-1] == pytest.approx(1200.0, abs=1e-3)
    knots = truth.cas_m_s / units.KT
    assert knots[start["turn"]] == pytest.approx(100.0, abs=1e-3)
    assert knots[start["descent"]] == pytest.approx(75.0, abs=1e-3)
    assert knots[start["landing"]] == pytest.approx(plane.speeds.approach / units.KT, abs=1e-3)
    assert knots[-1] == 0.0
    assert (knots >= 0.0).all()
    turned = np.degrees(path.heading_rad[start["speed-change"]] - path.heading_rad[start["turn"]])
    assert turned == pytest.approx(90.0, abs=0.01)  # summed up from samples 0.2 s apart
    assert path.load_factor[(start["turn"] + start["speed-change"]) // 2] == pytest.approx(
        1.0 / np.cos(np.radians(30.0)), rel=1e-6
    )


@pytest.mark.parametrize("day", DAYS)
def test_truth_hangs_together(plane: Airplane, day: dict[str, Any]) -> None:
    path = flown(WHOLE, plane, day)
    truth = path.truth
    # the altimeter is right on the field, whatever the day
    assert truth.geometric_altitude_m[0] == pytest.approx(1200.0 * units.FT, abs=1e-6)
    assert truth.height_over_ground_m[[0, -1]] == pytest.approx([0.0, 0.0], abs=1e-6)
    assert air.static_pressure(truth.pressure_altitude_m) == pytest.approx(
        truth.static_pressure_pa, rel=1e-12
    )
    assert air.impact_pressure(truth.cas_m_s) == pytest.approx(truth.impact_pressure_pa, rel=1e-12)
    # true rate of climb is the slope of true altitude; the trapezium rule is off by r'' dt^3 / 12, with 0.2 s
    # between samples and 6 * 3.6 m/s / (3 s)^2 below 1.6 mm
    rise = 0.5 * (truth.climb_m_s[1:] + truth.climb_m_s[:-1]) * np.diff(truth.time_s)
    assert np.diff(truth.geometric_altitude_m) == pytest.approx(rise, abs=2e-3)
    # the wing carries weight times load factor in flight
    cruise = np.searchsorted(truth.time_s, {name: when for when, name in truth.phases}["turn"])
    wing = plane.wing
    assert wing is not None
    mach = float(air.mach(truth.impact_pressure_pa[cruise], truth.static_pressure_pa[cruise]))
    pressure = 0.5 * GAMMA * truth.static_pressure_pa[cruise] * mach**2
    lift = wing.lift_slope * (truth.angle_of_attack_rad[cruise] - wing.zero_lift_angle) * pressure * wing.area
    assert lift == pytest.approx(wing.mass * G0, rel=1e-6)


@given(
    st.floats(2000.0, 18000.0),
    st.floats(200.0, 2000.0),
    st.floats(55.0, 140.0),
    st.floats(0.5, 8.0),
    st.sampled_from(DAYS),
)
def test_any_climb_and_descent_arrive(
    to_ft: float, rate_fpm: float, speed_kt: float, onset_s: float, day: dict[str, Any]
) -> None:
    plane = airplane.load("high-wing-tube")
    more = {"speed": f"{speed_kt} kt", "rate": f"{rate_fpm} fpm", "onset": f"{onset_s} s"}
    table = {
        "start_altitude": "1000 ft",
        "leg": [{"kind": "climb", "to": f"{to_ft} ft", **more}, {"kind": "descent", "to": "500 ft", **more}],
    }
    path = flown(table, plane, day)
    truth, shown = path.truth, shown_ft(path)
    assert shown.max() == pytest.approx(to_ft, abs=1e-3)
    assert shown[-1] == pytest.approx(500.0, abs=1e-3)
    assert truth.cas_m_s[-1] / units.KT == pytest.approx(speed_kt, abs=1e-3)
    # nothing jumps: rates and accelerations need at least a good part of an onset to be reached
    rate = np.diff(truth.pressure_altitude_m) / np.diff(truth.time_s) / units.FPM
    assert np.abs(rate).max() <= rate_fpm * (1.0 + 1e-6)
    assert np.abs(np.diff(rate)).max() <= 1.5 * rate_fpm * 0.4 / min(onset_s, 1.0) + 1e-6
    assert (np.diff(truth.time_s) > 0.0).all()


def test_a_climb_goes_on_into_the_next_without_levelling(plane: Airplane) -> None:
    table = {
        "start_altitude": "1000 ft",
        "leg": [
            {"kind": "climb", "to": "3000 ft", "rate": "700 fpm"},
            {"kind": "climb", "to": "4000 ft", "rate": "400 fpm"},
        ],
    }
    truth = flown(table, plane).truth
    middle = (truth.pressure_altitude_m > 1500.0 * units.FT) & (truth.pressure_altitude_m < 3800.0 * units.FT)
    assert truth.climb_m_s[middle].min() > 399.0 * units.FPM


def test_a_wrong_setting_changes_what_is_set_and_nothing_else(plane: Airplane) -> None:
    right, wrong = flown(WHOLE, plane), flown({**WHOLE, "altimeter_setting": "30.42 inHg"}, plane)
    assert wrong.truth.altimeter_setting_pa[0] == pytest.approx(30.42 * units.INHG)
    assert wrong.truth.static_pressure_pa == pytest.approx(right.truth.static_pressure_pa)


def test_sideslip_flap_gear_and_power_are_flown(plane: Airplane) -> None:
    leg = {
        "kind": "level",
        "duration": "60 s",
        "sideslip": "10 deg",
        "flap": "50%",
        "gear": "up",
        "power": 0.4,
    }
    truth = flown({"start_altitude": "3000 ft", "leg": [leg]}, plane).truth
    assert np.degrees(truth.sideslip_rad[-1]) == pytest.approx(10.0)
    assert (truth.flap[-1], truth.gear[-1], truth.power[-1]) == (0.5, 0.0, 0.4)


START = {"start_altitude": "3000 ft"}


@pytest.mark.parametrize(
    ("table", "field"),
    [
        ({"leg": [{"kind": "level", "duration": "9 s"}]}, "flight.start_altitude"),
        ({**START, "leg": [{"kind": "take-off"}]}, "flight.start_altitude"),
        (
            {**START, "field_elevation": "4000 ft", "leg": [{"kind": "level", "duration": "9 s"}]},
            "start_altitude",
        ),
        ({**START, "leg": [{"kind": "climb", "to": "2000 ft"}]}, "flight.leg[1].to (climb)"),
        ({**START, "leg": [{"kind": "descent", "to": "4000 ft"}]}, "flight.leg[1].to (descent)"),
        ({**START, "leg": [{"kind": "descent", "to": "-900 ft"}]}, "flight.leg[1].to (descent)"),
        ({**START, "leg": [{"kind": "descent", "duration": "3 h"}]}, "flight.leg[1].duration (descent)"),
        ({**START, "leg": [{"kind": "climb", "to": "60 km", "name": "up"}]}, "flight.leg[1].to (up)"),
        ({**START, "leg": [{"kind": "climb", "duration": "2 s"}]}, "flight.leg[1].duration (climb)"),
        (
            {**START, "leg": [{"kind": "level", "duration": "2 s", "speed": "60 kt"}]},
            "leg[1].duration (level)",
        ),
        ({**START, "leg": [{"kind": "speed-change", "speed": "60 kt"}] * 2}, "flight.leg[2].speed"),
        ({**START, "leg": [{"kind": "turn", "degrees": "1 deg"}]}, "flight.leg[1].degrees (turn)"),
        ({"leg": [{"kind": "take-off"}, {"kind": "take-off"}]}, "flight.leg[2].kind (take-off)"),
        ({"leg": [{"kind": "take-off", "to": "-9 ft"}]}, "flight.leg[1].to (take-off)"),
        ({"leg": [{"kind": "take-off", "speed": "20 kt"}]}, "flight.leg[1].speed (take-off)"),
        (
            {"leg": [{"kind": "take-off"}, {"kind": "landing"}, {"kind": "level", "until": "1 h"}]},
            "leg[3].kind",
        ),
        ({"altimeter_setting": "1 hPa", "leg": [{"kind": "take-off"}]}, "flight.altimeter_setting"),
        ({"field_elevation": "90 km", "leg": [{"kind": "take-off"}]}, "flight.field_elevation"),
        (
            {"leg": [{"kind": "take-off"}, {"kind": "landing", "touchdown_speed": "300 kt"}]},
            "flight.leg[2].touchdown_speed (landing)",
        ),
    ],
)
def test_what_cannot_be_flown_names_its_leg(plane: Airplane, table: dict[str, Any], field: str) -> None:
    with pytest.raises(InputError) as caught:
        flown(table, plane)
    assert caught.value.source == "a.toml"
    assert field in caught.value.field
    assert "\n" not in caught.value.line()
