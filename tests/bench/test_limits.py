"""Limits that protect instruments: which was passed, from when to when, and how far."""

import numpy as np
import pytest

from ramstill import air, airplane, bench, simulate
from ramstill.air import units
from ramstill.airplane import Airplane
from ramstill.bench import near, passed

TIME = np.arange(0.0, 10.0)


@pytest.fixture(scope="module")
def plane() -> Airplane:
    return airplane.load("high-wing-tube")


def test_nothing_passed_in_ordinary_flight(plane: Airplane) -> None:
    pointers = {
        "airspeed": np.full(10, 100.0 * units.KT),
        "altimeter": np.full(10, 1000.0),
        "vertical-speed": np.zeros(10),
        "encoder": np.full(10, 1000.0),
    }
    assert passed(plane, TIME, pointers) == ()


def test_a_pointer_on_its_stop_has_passed_it(plane: Airplane) -> None:
    top = next(i for i in plane.instruments if i.kind == "vertical-speed-indicator").full_scale
    shown = np.where((TIME >= 3) & (TIME <= 6), -top, 0.0)
    (found,) = passed(plane, TIME, {"vertical-speed": shown})
    assert (found.instrument, found.limit_name) == ("vertical-speed", "full scale down")
    assert (found.from_s, found.until_s) == (3.0, 6.0)


def test_pressures_tell_more_than_a_pointer_that_pins(plane: Airplane) -> None:
    suction = np.where(TIME >= 5, -1000.0, 0.0)
    pressure = {"airspeed.pitot": 101325.0 + suction, "airspeed.static": np.full(10, 101325.0)}
    pinned = {"airspeed": np.zeros(10)}
    assert passed(plane, TIME, pinned) == ()
    (found,) = passed(plane, TIME, pinned, pressure)
    assert found.limit_name == "below zero"
    assert found.from_s == 5.0
    assert found.worst == pytest.approx(-air.calibrated_airspeed(1000.0))


def test_twice_over_is_told_twice(plane: Airplane) -> None:
    speed = np.where(np.isin(TIME, [2, 3, 7]), 400.0, 150.0) * units.KT
    pressure = {
        "airspeed.pitot": 101325.0 + air.impact_pressure(speed),
        "airspeed.static": np.full(10, 101325.0),
    }
    found = passed(plane, TIME, {"airspeed": speed}, pressure)
    assert [(p.from_s, p.until_s) for p in found] == [(2.0, 3.0), (7.0, 7.0)]
    assert all(p.limit_name == "top mark" and p.worst > p.limit for p in found)


def test_suction_on_the_static_ports_drives_the_airspeed_past_its_top_mark(plane: Airplane) -> None:
    """With the inlet free, the first 1,000 ft are worth 148 kt: that is what bends capsules."""
    step = {
        "what": "test-set",
        "opening": "static-ports",
        "from": "0 s",
        "to_altitude": "2000 ft",
        "rate": "3000 ft/min",
        "hold": "5 s",
    }
    finger = {"what": "finger", "opening": "alternate-source", "from": "0 s", "for": "60 s"}
    programme = bench.parse_bench({"apply": [step, finger], "duration": "60 s"}, "b.toml")
    run = simulate(plane, bench.surroundings(plane, programme))
    found = passed(plane, run.time_s, run.pointers, run.pressure_pa)
    names = {(p.instrument, p.limit_name) for p in found}
    assert ("airspeed", "top mark") in names
    assert ("vertical-speed", "full scale up") in names


def test_how_near_each_limit_is_at_one_moment(plane: Airplane) -> None:
    felt = {"airspeed.pitot": 104325.0, "airspeed.static": 101325.0}
    found = {
        (n.instrument, n.limit_name): n for n in near(plane, {"airspeed": 60.0, "altimeter": 500.0}, felt)
    }
    top = found["airspeed", "top mark"]
    # what the capsule feels, not what the pointer says
    assert top.value == pytest.approx(air.calibrated_airspeed(3000.0), rel=1e-12)
    assert top.share == pytest.approx(top.value / top.limit)
    assert found["airspeed", "below zero"].share == 0.0
    high = found["altimeter", "top of the range"]
    assert high.share == pytest.approx(500.0 / high.limit)
    assert all(name != "vertical-speed" for name, _ in found)
