"""The pump of an instantaneous vertical speed indicator, and its weakness in a turn.

On the airplane with the mast, its indicator fitted with a pump that makes up for the leak at sea level.
"""

from functools import cache

import numpy as np
import pytest

from ramstill import airplane, simulate
from ramstill.air.constants import G0
from ramstill.air.units import FPM
from ramstill.faults import Fault
from ramstill.flight import parse_flight, plan, surroundings
from ramstill.instruments import pump
from ramstill.instruments.mechanics import first_order_lag

RATE = 1000.0
PUMP = {"piston_area": "4 cm2", "travel_per_g": "22 mm", "settling_time": "10 s"}


@cache
def fitted(pumped=True):
    table = airplane.table("low-wing-mast")
    for instrument in table["instrument"]:
        if instrument["kind"] == "vertical-speed-indicator" and pumped:
            instrument["instantaneous"] = PUMP
    return airplane.from_dict(table)


@cache
def flown(*legs, pumped=True, fault=None):
    plane = fitted(pumped)
    table = {"start_altitude": "500 ft", "start_speed": "90 kt", "leg": [dict(leg) for leg in legs]}
    path = plan(parse_flight(table, "test"), plane)
    return simulate(plane, surroundings(plane, path), [Fault(fault)] if fault else [])


LEVEL = (("kind", "level"), ("duration", "30 s"))
CLIMB = (
    ("kind", "climb"),
    ("rate", f"{RATE:g} ft/min"),
    ("duration", "60 s"),
    ("onset", "1 s"),
    ("speed", "90 kt"),
)
TURN = (("kind", "turn"), ("bank", "45 deg"), ("duration", "90 s"))


def shown(run):
    return run.pointers["vertical-speed"] / FPM


def test_it_shows_a_climb_within_about_a_second_where_the_plain_one_takes_several():
    quick, plain = flown(LEVEL, CLIMB), flown(LEVEL, CLIMB, pumped=False)
    true = quick.true("vertical-speed") / FPM
    reached = quick.time_s[np.flatnonzero(true > 0.95 * RATE)[0]]

    def late(run, share):
        """How long after the airplane its pointer has a share of the rate."""
        return run.time_s[np.flatnonzero(shown(run) > share * RATE)[0]] - reached

    assert late(quick, 0.75) < 0.7
    assert late(plain, 0.75) > 2.5
    assert late(plain, 0.93) > 5.0
    # the spring takes back some of it while the leak is still catching up
    there = (quick.time_s > reached + 1.0) & (quick.time_s < reached + 15.0)
    assert shown(quick)[there].min() > 0.75 * RATE
    assert shown(quick).max() < 1.05 * RATE


def test_both_settle_equal():
    quick, plain = flown(LEVEL, CLIMB), flown(LEVEL, CLIMB, pumped=False)
    at = quick.index(87.0)  # before it levels off
    # friction of either pointer, and 1 % for what the spring still takes back after five of its times
    assert shown(quick)[at] == pytest.approx(shown(plain)[at], abs=2.0 * 20.0 + 0.01 * RATE)
    assert shown(quick)[at] == pytest.approx(RATE, rel=0.06)


def test_in_a_level_turn_it_shows_a_climb_that_is_none_and_dies_away():
    run, plain = flown(LEVEL, TURN), flown(LEVEL, TURN, pumped=False)
    false = shown(run) - shown(plain)
    into = (run.time_s > 30.0) & (run.time_s < 50.0)
    assert false[into].max() > 300.0
    in_it = (run.time_s > 90.0) & (run.time_s < 110.0)
    assert np.abs(false[in_it]).max() < 60.0
    assert false[run.time_s > 110.0].min() < -200.0  # and a descent on rolling out


def test_without_glass_it_pumps_in_vain_and_with_the_leak_plugged_what_it_pumped_stays():
    def false(fault):
        return np.abs(
            shown(flown(LEVEL, TURN, fault=fault)) - shown(flown(LEVEL, TURN, pumped=False, fault=fault))
        )

    run = flown(LEVEL, TURN)
    in_it = (run.time_s > 90.0) & (run.time_s < 110.0)
    # a hole of 5 mm lets out at once what a piston pushes in seconds
    assert false("vsi-glass-broken").max() < 60.0
    assert false("vsi-restrictor-plugged")[in_it].min() > 300.0


@pytest.fixture(scope="module")
def work():
    return fitted().instrument("vertical-speed").instantaneous


def test_what_is_pumped_obeys_its_equation(work):
    """Against a hundred times finer steps of d' = p A x' / V - r d, x' = (X a / g - x) / T."""
    time = np.arange(0.0, 20.0, 0.1)
    load = 1.0 + 0.3 * np.sin(time) * (time > np.pi)
    found = pump.pumped_pressure(work, time, load, np.full_like(time, 9e4), 3e-4, np.full_like(time, 0.5))
    fine = np.arange(0.0, 20.0, 0.001)
    x = d = 0.0
    expected = []
    for n in np.interp(fine, time, load):
        expected.append(d)
        speed = (work.travel_per_g * (n - 1.0) - x) / work.settling_time
        d += 0.001 * (9e4 * work.piston_area * speed / 3e-4 - 0.5 * d)
        x += 0.001 * speed
    # 2 % of the largest: the piston's speed is taken as even between samples
    assert np.abs(found - np.interp(time, fine, expected)).max() < 0.02 * np.abs(expected).max()


def test_a_steady_load_from_the_start_pumps_nothing(work):
    time = np.arange(0.0, 10.0, 0.1)
    two_g, half = np.full_like(time, 2.0), np.full_like(time, 0.5)
    pumped = pump.pumped_pressure(work, time, two_g, np.full_like(time, 1e5), 3e-4, half)
    assert np.abs(pumped).max() < 1e-9  # Pa
    np.testing.assert_allclose(first_order_lag(time, two_g, 4.0), 2.0)


def test_it_makes_up_for_the_leak_at_sea_level(work):
    assert work.flow_per_acceleration == pytest.approx(
        work.piston_area * work.travel_per_g / (G0 * work.settling_time)
    )
    assert fitted().instrument("vertical-speed").made_up_share == pytest.approx(1.0, abs=0.1)


def test_the_hangars_own_is_quicker_than_the_plain_one_beside_it():
    plane = airplane.load("pressurised-turboprop")
    legs = [dict(LEVEL), dict(CLIMB) | {"speed": "130 kt"}]
    table = {"start_altitude": "500 ft", "start_speed": "130 kt", "leg": legs}
    run = simulate(plane, surroundings(plane, plan(parse_flight(table, "test"), plane)))
    pumps = {i.name: i.instantaneous is not None for i in plane.instruments_of("vertical-speed-indicator")}
    at = run.index(32.0)
    reading = {pumped: run.pointers[name][at] / FPM for name, pumped in pumps.items()}
    assert reading[True] > reading[False] + 0.2 * RATE
