"""The loop against the rest of the program: the same outside pressures, the same pointers in the end."""

import numpy as np
import pytest

import ramstill as rs
from ramstill import air, airplane
from ramstill.air.units import FPM, FT, KT
from ramstill.airplane.reading import hangar
from ramstill.faults import Fault
from ramstill.flight import outside, point_mass
from ramstill.flight.pilots import Flown, fly, parse_pilot
from ramstill.flight.pilots.onward import ROW, fly_on, layout

LEVEL_AND_CLIMB = {
    "style": "by-airspeed",
    "start_altitude": "4000 ft",
    "start_speed": "80 kt",
    "task": [
        {"kind": "level", "duration": "40 s"},
        {"kind": "climb", "to": "4700 ft", "speed": "75 kt"},
        {"kind": "level", "duration": "60 s"},
    ],
}


@pytest.mark.parametrize("name", list(hangar()))
def test_outside_pressures_are_those_of_a_path(name: str) -> None:
    plane = airplane.load(name)
    plan = {
        "style": "by-pitch-and-power",
        "start_altitude": "6000 ft",
        "task": [{"kind": "descent", "duration": "20 s"}],
    }
    run = fly(plane, parse_pilot(plan, name))
    wanted = outside.pressures(plane, run.path.truth)
    flyer, openings = point_mass.flyer(plane, air.Day()), layout(plane)
    truth = run.path.truth
    rows, found = np.zeros((1, ROW)), np.zeros((1, wanted.shape[1]))
    for i in range(0, len(truth.time_s), 16):
        path = float(np.arcsin(truth.climb_m_s[i] / truth.tas_m_s[i]))
        state = point_mass.state(
            truth.tas_m_s[i],
            truth.geometric_altitude_m[i],
            path,
            path + truth.angle_of_attack_rad[i],
            truth.power[i],
        )
        controls = point_mass.controls(
            pitch_rad=state[point_mass.PITCH], flap=truth.flap[i], gear=truth.gear[i]
        )
        fly_on(flyer, openings, state, controls, 0.0, 0.0, rows, found, 0)
        # the same laws: only a pressurised cabin comes from a table, 1 Pa off at most
        assert found[0] == pytest.approx(wanted[i], abs=1.0 if plane.inside.pressurisation else 1e-6)


def agree(run: Flown, plane: airplane.Airplane, speed: float, altitude: float, rate: float) -> None:
    """The run, worked out again from the flown path, shows what was seen in the loop, [kt], [ft], [fpm].

    Between its knots the loop goes in straight lines and the run on a spline; both are within the engine's
    tolerance of 0.05 Pa. Left out: half a second from where something opens at once.
    """
    worked = rs.simulate(plane, run.surroundings, run.faults)
    time = run.path.truth.time_s
    sudden = [fault.onset_s for fault in run.faults] + [fault.end_s or 0.0 for fault in run.faults]
    calm = np.all([np.abs(time - at) > 0.5 for at in (*sudden, -1.0)], axis=0)
    sizes = {"airspeed": speed * KT, "altitude": altitude * FT, "vertical-speed": rate * FPM}
    for name, seen in run.shown.items():
        pointer = worked.pointer(name)
        if pointer.kind == "encoder":  # a step may come a moment sooner or later
            continue
        again = np.interp(time, worked.time_s, worked.pointers[name])
        there = calm & ~np.isnan(seen) & ~np.isnan(again)
        assert np.abs(again - seen)[there].max() < sizes[pointer.shows], name


@pytest.mark.parametrize("name", ["low-wing-mast", "high-wing-tube"])
def test_the_run_shows_what_the_pilot_saw(name: str) -> None:
    plane = airplane.load(name)
    agree(fly(plane, parse_pilot(LEVEL_AND_CLIMB, "x")), plane, 0.2, 1.0, 15.0)


def test_and_with_faults_that_follow_the_path() -> None:
    plane = airplane.load("high-wing-tube")
    bent = Fault("port-deformed", onset_s=30.0, size="0.15")
    leak = Fault("static-line-leak", onset_s=50.0)
    # the bend comes within a step of the loop and at once in the run, which the vertical speed remembers
    agree(fly(plane, parse_pilot(LEVEL_AND_CLIMB, "x"), faults=(bent, leak)), plane, 0.3, 2.0, 45.0)


def test_and_with_ice() -> None:
    plane = airplane.load("high-wing-tube")
    day = air.Day(temperature_offset_k=-16.0)
    faults = (Fault("pitot-icing", size="0.9 g/m3"), Fault("heat-left-off"))
    run = fly(plane, parse_pilot(LEVEL_AND_CLIMB, "x"), day, faults)
    # how far ice leaves the inlet open is foreseen 5 s at a time in the loop
    agree(run, plane, 1.0, 1.0, 15.0)


def test_the_same_seed_flies_the_same_flight_and_another_a_little_different_one() -> None:
    plane = airplane.load("low-wing-mast")
    runs = [fly(plane, parse_pilot(LEVEL_AND_CLIMB | {"seed": seed}, "x")) for seed in (1, 1, 2)]
    paths = [run.path.truth.geometric_altitude_m for run in runs]
    assert np.array_equal(paths[0], paths[1])
    assert runs[0].events == runs[1].events
    shorter = min(len(paths[0]), len(paths[2]))
    between = np.abs(paths[0][:shorter] - paths[2][:shorter]).max()
    assert 0.0 < between < 100.0 * FT


def test_power_and_pitch_are_where_the_truth_has_them() -> None:
    run = fly(airplane.load("low-wing-mast"), parse_pilot(LEVEL_AND_CLIMB, "x"))
    truth = run.path.truth
    path = run.pitch_rad - truth.angle_of_attack_rad
    assert truth.tas_m_s * np.sin(path) == pytest.approx(truth.climb_m_s, abs=1e-9)
    assert (truth.power >= 0.0).all()
    assert (truth.power <= 1.0).all()
