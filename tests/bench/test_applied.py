"""Pressures applied at the openings: their strength, their shape, their order."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ramstill import air, airplane, bench
from ramstill.air import units
from ramstill.air.quantity import INH2O
from ramstill.airplane import Airplane
from ramstill.errors import InputError
from ramstill.pneumatics import Surroundings, compile_network


@pytest.fixture(scope="module")
def plane() -> Airplane:
    return airplane.load("high-wing-tube")


def applied(
    plane: Airplane, *steps: dict[str, Any], day: air.Day | None = None, **table: Any
) -> Surroundings:
    programme = bench.parse_bench({"apply": list(steps), **table}, "b.toml")
    return bench.surroundings(plane, programme, day=day, source="b.toml")


def over(outside: Surroundings, opening: str, time: float | np.ndarray) -> np.ndarray:
    """Pressure at an opening over that around the airplane [Pa]."""
    there = outside.at(np.atleast_1d(time))
    return there[:, outside.column(opening)] - there[:, outside.column("outside")]


def inlet_of(plane: Airplane) -> str:
    return next(o.name for o in plane.openings if o.kind == "pitot-inlet")


def ports_of(plane: Airplane) -> list[str]:
    return [o.name for o in plane.openings if o.kind == "static-port"]


@pytest.mark.parametrize("name", airplane.hangar())
def test_everything_outside_the_network_has_a_pressure(name: str) -> None:
    plane = airplane.load(name)
    outside = applied(plane, {"what": "breath", "opening": "pitot-inlet", "from": "1 s"})
    assert set(compile_network(plane).boundary_names) == set(outside.boundary_names)
    assert outside.at([0.0])[0] == pytest.approx(np.full(len(outside.boundary_names), 101325.0))


def test_a_light_breath_is_worth_140_to_150_kt(plane: Airplane) -> None:
    """Common practice, no source."""
    outside = applied(plane, {"what": "breath", "opening": "pitot-inlet", "from": "5 s"})
    strength = over(outside, inlet_of(plane), np.arange(0.0, outside.end_s, 0.05))
    knots = air.calibrated_airspeed(strength.max()) / units.KT
    assert 140.0 <= knots <= 150.0
    assert strength.max() / INH2O == pytest.approx(13.87, abs=0.02)  # inches of water, from the airspeed
    assert strength[0] == strength[-1] == 0.0
    assert strength.min() >= -1e-9


def test_a_gentle_pull_on_the_static_ports_is_a_few_hundred_feet(plane: Airplane) -> None:
    """1,000 to 2,000 ft/min and a few hundred feet: common practice, no source."""
    outside = applied(plane, {"what": "breath", "opening": "static-ports", "from": "5 s", "draw": True})
    time = np.arange(0.0, outside.end_s, 0.05)
    height = air.pressure_altitude(outside.at(time)[:, outside.column(ports_of(plane)[0])]) / units.FT
    assert 200.0 <= height.max() <= 400.0
    mean_rate = height.max() / (time[int(np.argmax(height))] - 5.0) * 60.0
    assert 1000.0 <= mean_rate <= 2000.0


def test_a_steady_pressure_and_points(plane: Airplane) -> None:
    inlet = inlet_of(plane)
    outside = applied(
        plane,
        {"what": "pressure", "opening": inlet, "from": "10 s", "for": "10 s", "pressure": "20 inH2O"},
        {
            "what": "pressure",
            "opening": inlet,
            "from": "30 s",
            "points": [["4 s", "-8 hPa"], ["8 s", "-8 hPa"], ["12 s", "4 hPa"]],
        },
    )
    when = np.array([10.0, 10.25, 15.0, 20.0, 32.0, 36.0, 40.0, 42.0, 42.5, 60.0])
    wanted = [0.0, 10 * INH2O, 20 * INH2O, 0.0, -400.0, -800.0, -200.0, 400.0, 0.0, 0.0]
    assert over(outside, inlet, when) == pytest.approx(wanted, abs=1e-6)


def test_a_hand_pump_grows_by_strokes(plane: Airplane) -> None:
    inlet = inlet_of(plane)
    step = {
        "what": "hand-pump",
        "opening": inlet,
        "from": "0 s",
        "pressure": "30 hPa",
        "strokes": 3,
        "stroke": "2 s",
    }
    outside = applied(plane, step)
    assert over(outside, inlet, np.array([1.3, 2.0, 3.3, 4.0, 5.5, 6.0, 15.0, 18.5])) == pytest.approx(
        [1000.0, 1000.0, 2000.0, 2000.0, 3000.0, 3000.0, 3000.0, 0.0], abs=1e-6
    )


def test_a_test_set_goes_to_an_altitude_at_its_rate_and_back(plane: Airplane) -> None:
    step = {
        "what": "test-set",
        "opening": "static-ports",
        "from": "10 s",
        "to_altitude": "3000 ft",
        "rate": "1500 ft/min",
        "hold": "60 s",
        "return": True,
    }
    outside = applied(plane, step)
    pressure = outside.at([10.0, 70.0, 130.0, 190.0, 250.0, 310.0])[:, outside.column(ports_of(plane)[0])]
    assert air.pressure_altitude(pressure) / units.FT == pytest.approx(
        [0.0, 1500.0, 3000.0, 3000.0, 1500.0, 0.0], abs=0.01
    )


def test_an_airspeed_stands_on_the_static_ports_wherever_they_are_led(plane: Airplane) -> None:
    outside = applied(
        plane,
        {
            "what": "test-set",
            "opening": "static-ports",
            "from": "0 s",
            "to_altitude": "4000 ft",
            "rate": "2000 fpm",
        },
        {
            "what": "test-set",
            "opening": "pitot-inlet",
            "from": "0 s",
            "to_airspeed": "120 kt",
            "rate": "240 kt/min",
        },
        duration="300 s",
    )
    inlet, port = outside.column(inlet_of(plane)), outside.column(ports_of(plane)[0])
    at = outside.at([15.0, 40.0, 60.0, 130.0, 280.0])
    knots = air.calibrated_airspeed(at[:, inlet] - at[:, port]) / units.KT
    assert knots == pytest.approx([60.0, 120.0, 120.0, 120.0, 120.0], abs=0.05)


def test_suction_on_the_static_ports_is_an_airspeed_too(plane: Airplane) -> None:
    outside = applied(
        plane, {"what": "test-set", "opening": "static-ports", "from": "0 s", "to_airspeed": "100 kt"}
    )
    suction = -over(outside, ports_of(plane)[0], outside.end_s)[0]
    assert air.calibrated_airspeed(suction) / units.KT == pytest.approx(100.0)


def test_a_step_goes_on_from_what_a_test_set_holds(plane: Airplane) -> None:
    outside = applied(
        plane,
        {
            "what": "test-set",
            "opening": "static-ports",
            "from": "0 s",
            "to_altitude": "2000 ft",
            "hold": "10 s",
        },
        {"what": "test-set", "opening": "static-ports", "from": "200 s", "to_altitude": "1000 ft"},
    )
    pressure = outside.at([150.0, 199.0, 230.0, 280.0])[:, outside.column(ports_of(plane)[0])]
    assert air.pressure_altitude(pressure) / units.FT == pytest.approx([2000, 2000, 1500, 1000], abs=0.01)


def test_a_finger_shuts_its_opening_and_no_other(plane: Airplane) -> None:
    outside = applied(plane, {"what": "finger", "opening": "pitot-inlet", "from": "5 s", "until": "20 s"})
    assert set(outside.openness) == {inlet_of(plane)}
    schedule = outside.openness[inlet_of(plane)]
    assert schedule.at(np.array([4.9, 5.2, 12.0, 19.8, 20.0])) == pytest.approx([1.0, 0.0, 0.0, 0.0, 1.0])
    assert over(outside, inlet_of(plane), 12.0)[0] == 0.0


def test_the_place_and_the_day(plane: Airplane) -> None:
    day = air.Day(99500.0, -15.0)
    step = {"what": "finger", "opening": "pitot-inlet", "from": "5 s", "for": "2 s"}
    outside = applied(plane, step, day=day, elevation="4000 ft")
    truth = outside.truth.at([0.0])
    shown = air.indicated_altitude(truth.static_pressure_pa[0], truth.altimeter_setting_pa[0])
    assert shown / units.FT == pytest.approx(4000.0, abs=1e-6)
    assert truth.static_pressure_pa[0] == pytest.approx(day.pressure(4000.0 * units.FT), rel=1e-4)
    assert truth.cas_m_s[0] == 0.0


@pytest.mark.parametrize(
    ("steps", "field", "allowed"),
    [
        ([{"what": "breath", "opening": "nose", "from": "5 s"}], "bench.apply[1].opening", "static-ports"),
        ([{"what": "breath", "opening": "pitot-inlet", "from": "5 s"}] * 2, "bench.apply[2].from", "is over"),
        (
            [
                {
                    "what": "pressure",
                    "opening": "pitot-inlet",
                    "from": "5 s",
                    "for": "9 s",
                    "pressure": "-1.0125 bar",
                }
            ],
            "bench.apply[1]",
            "suction",
        ),
        (
            [{"what": "test-set", "opening": "static-ports", "from": "5 s", "to_airspeed": "900 kt"}],
            "bench.apply[1]",
            "suction",
        ),
    ],
)
def test_what_cannot_be_applied_names_its_step(
    plane: Airplane, steps: list[dict[str, Any]], field: str, allowed: str
) -> None:
    with pytest.raises(InputError) as caught:
        applied(plane, *steps)
    assert (caught.value.source, caught.value.field) == ("b.toml", field)
    assert allowed in caught.value.allowed


@given(
    pressure=st.floats(-60.0, 60.0),
    what=st.sampled_from(["breath", "pressure", "hand-pump"]),
    begin=st.floats(0.0, 20.0),
)
def test_nothing_is_stronger_than_what_was_asked_for(pressure: float, what: str, begin: float) -> None:
    plane = airplane.load("high-wing-tube")
    step = {"what": what, "opening": "pitot-inlet", "from": f"{begin} s", "pressure": f"{pressure} hPa"}
    more = {"pressure": {"for": "5 s"}, "hand-pump": {"strokes": 4}}
    outside = applied(plane, {**step, **more.get(what, {})})
    found = over(outside, inlet_of(plane), np.arange(0.0, outside.end_s, 0.03))
    # the spline between samples 0.1 s apart may overshoot a smoothstep of 0.6 s by a few thousandths
    assert np.abs(found).max() <= abs(pressure) * 100.0 * 1.005 + 1e-6
    assert np.abs(found).max() >= abs(pressure) * 100.0 * 0.995 - 1e-6
    assert found[-1] == pytest.approx(0.0, abs=1e-6)
