"""What follows from the plumbing and from nothing else, on every airplane of the hangar."""

from functools import cache

import numpy as np
import pytest

from ramstill import air, airplane, bench, flight, simulate
from ramstill.air.units import FPM, FT, KT
from ramstill.faults import Fault, catalogue

FLEET = airplane.hangar()


def with_instruments(*names):
    """The airplanes with instruments of these names: one system, so that its story is one."""
    planes = {name: {i.name for i in airplane.load(name).instruments} for name in FLEET}
    return [name for name, there in planes.items() if set(names) <= there]


WITH_VSI = with_instruments("airspeed", "altimeter", "vertical-speed")
ONSET_S = 40.0


@cache
def flown(name, *faults):
    """Level, climb, level, descend, level at cruising speed; faults (name, size) each."""
    plane = airplane.load(name)
    cruise = f"{plane.speeds.cruise / KT} kt"
    legs = [
        {"kind": "level", "name": "level", "duration": "90 s"},
        {"kind": "climb", "name": "climb", "to": "6000 ft", "rate": "800 ft/min", "speed": cruise},
        {"kind": "level", "name": "above", "duration": "60 s"},
        {"kind": "descent", "name": "descent", "to": "5000 ft", "rate": "800 ft/min", "speed": cruise},
        {"kind": "level", "name": "end", "duration": "60 s"},
    ]
    table = {"start_altitude": "5000 ft", "start_speed": cruise, "leg": legs}
    path = flight.plan(flight.parse_flight(table, "test"), plane)
    put = [Fault(fault, onset_s=ONSET_S, size=size) for fault, size in faults]
    return simulate(plane, flight.surroundings(plane, path), put)


def middle(run, leg, values):
    starts = {title: at for at, title in run.truth.phases}
    end = min((at for at in starts.values() if at > starts[leg]), default=run.time_s[-1])
    return float(np.median(values[(run.time_s >= starts[leg]) & (run.time_s < end)]))


@pytest.mark.parametrize("name", WITH_VSI)
def test_glass_broken_with_the_ports_shut_reverses_and_exaggerates_and_makes_the_others_lag(name):
    run = flown(name, ("static-ports-blocked", None), ("vsi-glass-broken", None))
    rate = run.pointers["vertical-speed"] / FPM
    level = middle(run, "above", rate)
    assert middle(run, "climb", rate) - level < -1000.0
    assert middle(run, "descent", rate) - level > 1000.0
    cabin = np.asarray(air.pressure_altitude(run.outside_pa["cabin"]))
    behind = (np.asarray(air.pressure_altitude(run.pressure_pa["altimeter.static"])) - cabin) / FT
    assert middle(run, "climb", behind) < -40.0
    assert middle(run, "descent", behind) > 40.0
    assert abs(middle(run, "above", behind)) < 10.0  # and they get there in the end


@pytest.mark.parametrize("name", WITH_VSI)
def test_glass_broken_with_the_ports_open_shows_cabin_less_static_and_no_rate(name):
    run = flown(name, ("vsi-glass-broken", None))
    vsi = run.instrument("vertical-speed")
    rate = run.pointers["vertical-speed"] / FPM
    cabin = run.outside_pa["cabin"] - run.pressure_pa["vertical-speed.static"]
    assert (cabin[run.time_s > ONSET_S + 1.0] < 0.0).all()
    assert middle(run, "above", rate) < -100.0  # a cabin below static looks like a descent
    share = middle(run, "above", cabin) / vsi.leak.full_scale_difference
    if vsi.leak.law == "compensated-laminar":
        assert middle(run, "above", rate) == pytest.approx(share * vsi.full_scale / FPM, rel=0.05, abs=30.0)
    for leg in ("climb", "descent"):  # a tenth of the true rate is all that is left of it
        assert abs(middle(run, leg, rate) - middle(run, "above", rate)) < 80.0


@pytest.mark.parametrize(
    "name",
    [n for n in with_instruments("airspeed") if catalogue()["pitot-drain-blocked"].places(airplane.load(n))],
)
def test_an_inlet_blocked_over_a_drain_bleeds_away(name):
    run = flown(name, ("pitot-inlet-blocked", None))
    difference = run.pressure_pa["airspeed.pitot"] - run.pressure_pa["airspeed.static"]
    assert abs(middle(run, "above", difference)) < 0.06 * run.truth.impact_pressure_pa[0]


@pytest.mark.parametrize("name", with_instruments("airspeed"))
def test_suction_at_the_static_ports_drives_airspeed_up_148_kt_in_the_first_1000_ft(name):
    plane = airplane.load(name)
    pull = {
        "opening": "static-ports",
        "what": "test-set",
        "to_altitude": "1000 ft",
        "rate": "1000 ft/min",
        "from": "5 s",
        "hold": "30 s",
    }
    run = simulate(plane, bench.surroundings(plane, bench.parse_bench({"apply": [pull]}, "test")))
    held = run.index(90.0)
    # 148.5 kt by the laws of air; scale error and friction of the instrument stay under 3 kt
    assert run.pointers["airspeed"][held] / KT == pytest.approx(148.0, abs=3.0)


@pytest.mark.parametrize("name", with_instruments("airspeed", "altimeter"))
def test_a_leak_sized_by_a_leak_test_loses_that_much_in_one(name):
    """1,000 ft above ambient, everything shut, 500 ft/min lost at first; air behind leaks comes late."""
    plane = airplane.load(name)
    pull = {
        "opening": "static-ports",
        "what": "test-set",
        "to_altitude": "1000 ft",
        "rate": "1000 ft/min",
        "from": "5 s",
        "hold": "120 s",
    }
    surroundings = bench.surroundings(plane, bench.parse_bench({"apply": [pull]}, "test"))
    faults = [
        Fault("everything-blocked", onset_s=100.0),
        Fault("static-line-leak", onset_s=110.0, size="500 ft/min"),
    ]
    run = simulate(plane, surroundings, faults)
    altitude = np.asarray(air.pressure_altitude(run.pressure_pa["altimeter.static"])) / FT
    before, after = run.index(125.0), run.index(130.0)
    lost = (altitude[before] - altitude[after]) * 60.0 / 5.0
    # as the difference is used up the flow falls with it: at 127.5 s to about (h / 1000 ft)^0.5
    left = 0.5 * (altitude[before] + altitude[after]) / 1000.0
    assert 500.0 * left * 0.93 < lost < 500.0 * left**0.5 * 1.07
    assert altitude[run.index(109.0)] == pytest.approx(1000.0, abs=3.0)  # sealed until then


def test_lines_crossed_at_the_mast_turn_everything_round_and_at_the_indicator_only_the_airspeed():
    everything, one = flown_crossed("mast"), flown_crossed("airspeed")
    for run in (everything, one):
        assert run.pointers["airspeed"][run.index(80.0)] == 0.0  # below zero: on its pin
    assert middle(everything, "above", everything.change("altimeter")) / FT < -100.0  # fed with ram air
    assert abs(middle(one, "above", one.change("altimeter"))) / FT < 15.0


@cache
def flown_crossed(where):
    healthy = flown("low-wing-mast")
    fault = Fault("lines-crossed", where=where, onset_s=ONSET_S)
    return simulate(healthy.airplane, healthy.surroundings, [fault])


@cache
def hopped(name):
    """A minute of everything: level, up and down again, above the freezing level."""
    plane = airplane.load(name)
    cruise = f"{plane.speeds.cruise / KT} kt"
    legs = [
        {"kind": "level", "duration": "25 s"},
        {"kind": "climb", "rate": "800 ft/min", "duration": "20 s", "speed": cruise},
        {"kind": "descent", "rate": "800 ft/min", "duration": "20 s", "speed": cruise},
    ]
    table = {"start_altitude": "11000 ft", "start_speed": cruise, "leg": legs}
    path = flight.plan(flight.parse_flight(table, "test"), plane)
    return plane, flight.surroundings(plane, path)


@pytest.mark.parametrize("name", FLEET)
@pytest.mark.parametrize("fault", list(catalogue()))
def test_every_fault_flies_at_every_place(name, fault):
    """Pressures stay between the extremes of what they touch: nothing is made of nothing."""
    plane, surroundings = hopped(name)
    around = surroundings.at(surroundings.knots_s)
    for place in catalogue()[fault].places(plane):
        run = simulate(plane, surroundings, [Fault(fault, where=place, onset_s=20.0)], output_hz=1.0)
        outside = np.array(list(run.outside_pa.values()))
        lowest, highest = min(outside.min(), around.min()), max(outside.max(), around.max())
        for tapping, pressure in run.pressure_pa.items():
            assert np.isfinite(pressure).all()
            # 0.5 Pa: ten times the engine's error control
            assert lowest - 0.5 < pressure.min(), (place, tapping)
            assert pressure.max() < highest + 0.5, (place, tapping)
        dead = {edit.instrument for edit in run.applied.pointer_edits if edit.what == "blank"}
        for pointer in run.panel:
            shown = np.isfinite(run.pointers[pointer.name])
            if pointer.instrument.name in dead:
                assert not shown[run.time_s > 20.0].any()
            elif pointer.kind != "air-data-computer":
                assert shown.all()
            assert shown[run.time_s < 20.0].all()
