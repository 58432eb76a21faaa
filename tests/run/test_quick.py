"""What is too quick for the engine: said where it would show, and only there."""

from dataclasses import replace

import numpy as np
import pytest

from ramstill import air, airplane
from ramstill.air.constants import P0
from ramstill.air.units import KT
from ramstill.pneumatics import Schedule, Surroundings, Truth
from ramstill.run import Run, bundled, limits_in_words, load_scenario, simulate
from ramstill.run.needles import unsaid_si
from ramstill.run.quick_words import TITLE

STEP_S = 0.05


def parked(pressure: dict[str, np.ndarray], shut: Schedule | None = None, seconds: float = 12.0) -> Run:
    """The mast airplane on the ground, pressures [Pa] applied at some openings, every 0.05 s."""
    plane = airplane.load("low-wing-mast")
    time = np.arange(0.0, seconds + STEP_S / 2.0, STEP_S)
    names = [opening.name for opening in plane.openings] + ["cabin", "wing-bay", "outside"]
    columns = np.full((len(time), len(names)), P0)
    for name, values in pressure.items():
        columns[:, names.index(name)] += values
    around = Surroundings.from_samples(
        time,
        names,
        columns,
        Truth.steady(time),
        openness={} if shut is None else {"mast-inlet": shut},
        curve="straight",
    )
    return simulate(plane, around)


def blown_up(lets_go_s: float) -> Run:
    """An inlet pumped up to 110 kt, a finger put on it, the pump taken away; let go from 8 s on."""
    time = np.arange(0.0, 12.0 + STEP_S / 2.0, STEP_S)
    pumped = float(air.impact_pressure(110.0 * KT)) * np.interp(time, [0.5, 3.0, 5.0, 6.0], [0, 1, 1, 0])
    finger = Schedule((4.0, 4.0, 8.0, 8.0 + lets_go_s), (1.0, 0.0, 0.0, 1.0))
    return parked({"mast-inlet": pumped}, finger)


def waving(frequency_hz: float, height_pa: float) -> Run:
    """The air at every static opening going up and down."""
    time = np.arange(0.0, 12.0 + STEP_S / 2.0, STEP_S)
    wave = height_pa * np.sin(2.0 * np.pi * frequency_hz * time)
    wave *= np.interp(time, [0.0, 3.0], [0.0, 1.0])
    return parked(dict.fromkeys(("mast-static-inner", "mast-static-outer", "static-quick-drain"), wave))


def test_a_finger_snapped_off_a_pressurised_inlet_is_told() -> None:
    run = blown_up(0.0)
    told = [one for one in run.too_quick() if one.pointer == "airspeed"]
    assert len(told) == 1
    assert told[0].at_s == pytest.approx(8.0, abs=0.1)
    assert told[0].until_s < 9.0
    assert 2.0 * KT < abs(told[0].off_si) < 40.0 * KT
    (words,) = [p for p in run.words() if p.title == TITLE]
    assert "Airspeed indicator: for about 0." in words.text
    assert "from 8 s" in words.text


def test_a_finger_let_go_slowly_is_not() -> None:
    assert blown_up(3.0).too_quick() == ()


def test_gusts_beyond_the_limit_are_told_and_slower_ones_not() -> None:
    """The static side of this airplane is good to about 0.64 Hz."""
    quick, slow = waving(2.0, 100.0), waving(0.15, 100.0)
    assert {one.pointer for one in quick.too_quick()} >= {"vertical-speed"}
    assert slow.too_quick() == ()
    (told,) = [one for one in quick.too_quick() if one.pointer == "vertical-speed"]
    assert told.until_s - told.at_s > 5.0  # one event from beginning to end, not one for each wave
    assert "0.64 Hz on the static side" in limits_in_words(quick.airplane)


def test_quick_waves_too_small_to_see_are_not_told() -> None:
    assert waving(2.0, 3.0).too_quick() == ()


def test_the_bundled_scenarios_are_told_of_rarely() -> None:
    told = {name: load_scenario(name).run().too_quick() for name in bundled()}
    # a valve turned at once, and a breath let go within a second
    assert {name for name, events in told.items() if events} <= {"alternate-static", "breath-on-the-bench"}
    assert {one.pointer for one in told["alternate-static"]} == {"vertical-speed"}
    assert told["alternate-static"][0].cause == "alternate static open"
    assert max(len(events) for events in told.values()) <= 3


def test_what_is_flown_and_healthy_is_quiet(healthy: Run, nest: Run, taped: Run) -> None:
    for run in (healthy, nest, taped):
        assert run.too_quick() == ()
        assert all(p.title != TITLE for p in run.words())


def test_what_hides_in_friction_is_not_told() -> None:
    run = blown_up(0.0)
    plane = run.airplane
    stiff = plane.model_copy(
        update={
            "instruments": tuple(
                one.model_copy(update={"friction": 60.0 * KT}) if one.kind == "airspeed-indicator" else one
                for one in plane.instruments
            )
        }
    )
    held = replace(run, airplane=stiff)
    assert unsaid_si(held.pointer("airspeed")) == 60.0 * KT
    assert all(one.pointer != "airspeed" for one in held.too_quick())


def test_a_run_of_two_samples_says_nothing() -> None:
    run = parked({}, seconds=1.0)
    short = simulate(run.airplane, run.surroundings, output_hz=1.0)
    assert len(short.time_s) == 2
    assert short.too_quick() == ()
