"""Healthy airplanes flown by every kind of pilot: the tasks are done, and nothing cries wolf."""

import numpy as np
import pytest

from ramstill import airplane
from ramstill.air.units import FT, KT
from ramstill.flight.pilots import STYLES, fly, parse_pilot

FROM_TO = {
    "low-wing-mast": (2000, 3200),
    "high-wing-tube": (2000, 3200),
    "twin-two-ports": (3000, 5000),
    "pressurised-turboprop": (10000, 12500),
    "business-jet": (15000, 18500),
    "glass-trainer": (2000, 3200),
}


@pytest.mark.parametrize("style", list(STYLES))
@pytest.mark.parametrize("name", list(FROM_TO))
def test_every_airplane_does_its_tasks_and_no_cue_comes(name: str, style: str) -> None:
    low, high = FROM_TO[name]
    plane = airplane.load(name)
    plan = {
        "style": style,
        "start_altitude": f"{low} ft",
        "task": [
            {"kind": "level", "duration": "30 s"},
            {"kind": "climb", "to": f"{high} ft"},
            {"kind": "level", "duration": "90 s"},
            {"kind": "descent", "to": f"{low + 500} ft"},
            {"kind": "level", "duration": "30 s"},
            {"kind": "approach", "to": f"{low} ft"},
        ],
    }
    run = fly(plane, parse_pilot(plan, "x"))
    assert {event.kind for event in run.events} == {"task"}
    assert len(run.path.truth.phases) == 6
    truth, phases = run.path.truth, [*run.path.truth.phases, (run.path.truth.time_s[-1], "")]
    settled = (truth.time_s > phases[2][0] + 60.0) & (truth.time_s < phases[3][0])
    altimeter = next(name for name in run.shown if "altimeter" in name or name.endswith(".altitude"))
    held = run.shown[altimeter][settled] / FT
    # by pitch and power alone nothing holds the altitude after the level-off
    assert np.abs(held - high).max() < (500.0 if style == "by-pitch-and-power" else 100.0)
    if style in ("by-airspeed", "cross-check"):
        assert np.ptp(truth.cas_m_s[settled]) < 8.0 * KT


@pytest.mark.parametrize("style", list(STYLES))
def test_a_sailplane_comes_down_to_where_it_is_to(style: str) -> None:
    plan = {"style": style, "start_altitude": "4000 ft", "task": [{"kind": "descent", "to": "3000 ft"}]}
    run = fly(airplane.load("sailplane"), parse_pilot(plan, "x"))
    assert [event.kind for event in run.events] == ["task"]
    assert run.shown["altimeter"][-1] == pytest.approx(3000.0 * FT, abs=60.0 * FT)


def test_an_autopilot_holds_the_static_line_and_not_the_altimeter() -> None:
    plan = {
        "style": "altitude-hold",
        "start_altitude": "5000 ft",
        "task": [{"kind": "level", "duration": "3 min"}],
    }
    from ramstill.faults import Fault

    stuck = Fault("altimeter-sticking", onset_s=10.0)
    opened = Fault("alternate-static-open", onset_s=60.0)
    run = fly(airplane.load("high-wing-tube"), parse_pilot(plan, "x"), faults=(stuck, opened))
    truth = run.path.truth
    before, after = (truth.geometric_altitude_m[truth.time_s.searchsorted(t)] for t in (55.0, 175.0))
    # the cabin is at a lower pressure than the port: the line feels too high, and the airplane goes down
    assert after < before - 20.0 * FT
