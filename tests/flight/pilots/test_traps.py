"""The classic traps come out of the loop by themselves: no rule writes them down."""

from functools import cache

import numpy as np
import pytest

from ramstill import air, airplane
from ramstill.air.units import FPM, FT, KT
from ramstill.faults import Fault
from ramstill.flight.pilots import Flown, fly, parse_pilot

CLIMB = {
    "start_altitude": "2500 ft",
    "start_speed": "75 kt",
    "task": [{"kind": "climb", "to": "6500 ft", "speed": "72 kt"}],
}
DESCENT = {
    "start_altitude": "6000 ft",
    "start_speed": "88 kt",
    "task": [
        {"kind": "level", "duration": "30 s"},
        {"kind": "descent", "to": "2500 ft", "speed": "88 kt"},
    ],
}
APPROACH = {
    "field_elevation": "400 ft",
    "start_altitude": "3000 ft",
    "start_speed": "75 kt",
    "task": [{"kind": "approach", "to": "900 ft", "speed": "70 kt", "flap": 0.5}],
}
CASES = {
    "climb": ("low-wing-mast", CLIMB, Fault("pitot-inlet-blocked", onset_s=60.0)),
    "climb, inlet and drain": ("high-wing-tube", CLIMB, Fault("pitot-and-drain-blocked", onset_s=60.0)),
    "descent": ("low-wing-mast", DESCENT, Fault("pitot-inlet-blocked", onset_s=20.0)),
    "approach": ("low-wing-mast", APPROACH, Fault("static-ports-blocked", onset_s=60.0)),
    "approach, one port": ("high-wing-tube", APPROACH, Fault("static-ports-blocked", onset_s=60.0)),
}


@cache
def flown(case: str, style: str, faulty: bool = True) -> Flown:
    """The case flown by a style of pilot."""
    name, plan, fault = CASES[case]
    faults = (fault,) if faulty else ()
    return fly(airplane.load(name), parse_pilot(plan | {"style": style}, case), air.Day(), faults)


def at(run: Flown, at_s: float) -> int:
    return int(np.searchsorted(run.path.truth.time_s, at_s))


@pytest.mark.parametrize("case", ["climb", "climb, inlet and drain"])
def test_a_climb_by_a_trapped_needle_ends_in_a_stall(case: str) -> None:
    run = flown(case, "by-airspeed")
    stall, cue = run.first("stall"), run.first("cue")
    assert stall is not None
    assert cue is not None
    begin, end = at(run, 60.0), at(run, stall.at_s)
    shown, cas = run.shown["airspeed"], run.path.truth.cas_m_s
    # the needle rises with altitude, the nose follows it, the speed goes
    risen = run.path.truth.geometric_altitude_m[end] - run.path.truth.geometric_altitude_m[begin]
    assert risen > 200.0 * FT
    assert shown[end] > shown[begin] + 30.0 * KT
    assert run.pitch_rad[end] > run.pitch_rad[begin] + np.radians(5.0)
    assert cas[end] < cas[begin] - 15.0 * KT
    assert shown[end] > 2.0 * cas[end]
    assert cue.at_s > 60.0
    assert run.margin_s == stall.at_s - cue.at_s
    assert stall.at_s < 60.0 + 30.0
    assert (cue.cue, cue.at_s < 60.0 + 5.0) == ("pitch", True)


def test_the_mirror_in_the_descent_is_a_dive() -> None:
    run = flown("descent", "by-airspeed")
    limit, cue = run.first("limit"), run.first("cue")
    assert limit is not None
    assert cue is not None
    assert run.first("stall") is None
    end = at(run, limit.at_s)
    assert run.shown["airspeed"][end] < 40.0 * KT
    assert run.path.truth.cas_m_s[end] > 145.0 * KT - 1e-9  # never_exceed of its file
    assert run.path.truth.climb_m_s[end] < -2000.0 * FPM
    assert limit.at_s - cue.at_s > 10.0


@pytest.mark.parametrize("case", ["approach", "approach, one port"])
def test_an_approach_with_the_static_ports_blocked_slows_to_the_stall(case: str) -> None:
    run = flown(case, "by-airspeed")
    stall = run.first("stall")
    assert stall is not None
    begin, end = at(run, 63.0), at(run, stall.at_s)
    truth, shown = run.path.truth, run.shown
    assert np.ptp(shown["altimeter"][begin : end + 1]) < 10.0 * FT
    assert truth.geometric_altitude_m[begin] - truth.geometric_altitude_m[end] > 80.0 * FT
    # the needle is kept near 70 kt all the time
    assert np.abs(shown["airspeed"][begin : end + 1] - 70.0 * KT).max() < 9.0 * KT
    assert truth.cas_m_s[end] < 52.0 * KT
    assert run.margin_s is not None
    assert run.margin_s > 10.0


@pytest.mark.parametrize("case", list(CASES))
def test_the_cross_checking_pilot_does_not_stall(case: str) -> None:
    run = flown(case, "cross-check")
    cue, recognised = run.first("cue"), run.first("recognised")
    assert cue is not None
    assert recognised is not None
    assert cue.at_s + 5.0 < recognised.at_s < cue.at_s + 15.0
    assert run.trouble is None
    assert run.margin_s is None
    own = [event.text for event in run.events if event.kind == "action"]
    assert own[0].startswith("level flight")


def test_pitch_and_power_do_not_mind() -> None:
    for case in ("climb", "descent", "approach"):
        assert flown(case, "by-pitch-and-power").trouble is None


def test_the_alternate_source_gives_the_pointers_back() -> None:
    run = flown("approach, one port", "cross-check")
    added = [fault for fault in run.faults if fault.name == "alternate-static-open"]
    assert len(added) == 1
    assert added[0].onset_s > 60.0
    assert run.first("trusts") is not None
    assert run.events[-1].kind == "task"
    assert run.shown["altimeter"][-1] == pytest.approx(900.0 * FT, abs=60.0 * FT)


def test_heat_melts_the_ice_and_the_pointers_are_trusted_again() -> None:
    plan = {
        "style": "cross-check",
        "start_altitude": "6000 ft",
        "task": [
            {"kind": "level", "duration": "4 min"},
            {"kind": "climb", "to": "7500 ft"},
            {"kind": "level", "duration": "6 min"},
        ],
    }
    ice = Fault("pitot-icing", onset_s=10.0, size="0.6 g/m3")
    day = air.Day(temperature_offset_k=-14.0)
    run = fly(airplane.load("high-wing-tube"), parse_pilot(plan, "ice"), day, (ice, Fault("heat-left-off")))
    off = next(fault for fault in run.faults if fault.name == "heat-left-off")
    recognised = run.first("recognised")
    assert recognised is not None
    # 2 s later, with the next thing that is seen: every second
    assert recognised.at_s + 2.0 <= off.end_s <= recognised.at_s + 3.0
    assert run.first("trusts") is not None
    assert run.trouble is None
    end = run.path.truth
    assert run.shown["airspeed"][-1] == pytest.approx(end.cas_m_s[-1], abs=4.0 * KT)


def test_a_reading_that_goes_blank_is_a_cue() -> None:
    plan = CLIMB | {"start_speed": "85 kt", "task": [{"kind": "climb", "to": "6500 ft", "speed": "80 kt"}]}
    for style in ("by-airspeed", "cross-check"):
        run = fly(
            airplane.load("glass-trainer"),
            parse_pilot(plan | {"style": style}, "x"),
            faults=(Fault("pitot-line-off", onset_s=60.0),),
        )
        assert np.isnan(run.shown["air-data.airspeed"][-1])
        cue = run.first("cue")
        assert cue is not None
        assert run.trouble is None
        assert (run.first("recognised") is None) == (style == "by-airspeed")


def test_a_pointer_that_alone_disagrees_is_set_aside() -> None:
    plan = {
        "style": "cross-check",
        "start_altitude": "3000 ft",
        "task": [{"kind": "climb", "to": "4500 ft"}, {"kind": "level", "duration": "60 s"}],
    }
    broken = Fault("vsi-glass-broken", onset_s=30.0)
    run = fly(airplane.load("low-wing-mast"), parse_pilot(plan, "x"), faults=(broken,))
    kinds = [event.kind for event in run.events]
    assert kinds.count("recognised") == 1
    assert kinds.count("trusts") == 1
    assert run.events[-1].kind == "task"
