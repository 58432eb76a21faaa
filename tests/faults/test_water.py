"""Water in a line: a difference held back, either way, and what that does to the pointers."""

from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ramstill import air, airplane, simulate
from ramstill.air.units import FT, KT
from ramstill.errors import InputError
from ramstill.faults import Fault, apply
from ramstill.faults.water import legs, lowest_point
from ramstill.flight import parse_flight, plan, surroundings
from ramstill.pneumatics import Network, Schedule, Surroundings, Truth, compile_network, integrate, water
from ramstill.pneumatics.flow import link_flow

NAME = "low-wing-mast"


@cache
def flown(fault, size, where):
    plane = airplane.load(NAME)
    legs_flown = [
        {"kind": "level", "name": "level", "duration": "40 s"},
        {"kind": "climb", "name": "climb", "to": "5000 ft", "rate": "700 ft/min", "speed": "90 kt"},
        {"kind": "level", "name": "above", "duration": "60 s"},
        {"kind": "descent", "name": "descent", "to": "4000 ft", "rate": "700 ft/min", "speed": "90 kt"},
        {"kind": "level", "name": "end", "duration": "60 s"},
    ]
    table = {"start_altitude": "4000 ft", "start_speed": "90 kt", "leg": legs_flown}
    around = surroundings(plane, plan(parse_flight(table, "test"), plane))
    return simulate(plane, around, [Fault(fault, where=where, size=size, onset_s=10.0)])


def held_by(where, water_m3):
    """The thresholds of some water in a line, from its start to its end and back [Pa]."""
    plane = airplane.load(NAME)
    network = compile_network(plane)
    around = Surroundings.steady(0.0, 1.0, dict.fromkeys(network.boundary_names, 101325.0))
    fault = Fault(f"water-in-{plane.line(where).serves}-line", where=where, size=f"{water_m3 * 1e6} cm3")
    applied = apply([fault], plane, network, around)
    return applied.network.link_size[-1, :2]


def test_the_static_side_is_late_by_what_holds_the_water_in_a_climb_and_in_a_descent():
    where = "static-riser"
    held = held_by(where, 1.5e-6)
    run = flown("water-in-static-line", "1.5 cm3", where)
    off = run.pressure_pa["altimeter.static"] - run.outside_pa["mast-static-inner"]
    starts = {name: at for at, name in run.truth.phases}
    above, end = run.index(starts["descent"] - 2.0), run.index(run.time_s[-1])
    # start of the line is the outer end: in a climb the air inside is above it, by what holds from inside out
    assert off[above] == pytest.approx(held[1], abs=3.0)
    assert off[end] == pytest.approx(-held[0], abs=3.0)
    low = run.change("altimeter")[above] / FT
    assert low < -8.0
    assert abs(run.change("airspeed")[run.index(9.0)]) == 0.0


def test_more_water_holds_more():
    least, most = held_by("static-riser", 0.3e-6), held_by("static-riser", 3e-6)
    assert (most >= least).all()
    assert most.max() > least.max() + 500.0
    rims = float(water.rim_threshold_pa(4.6e-3, airplane.load(NAME).inside.cabin_temperature))
    assert (least >= rims - 1e-9).all()


def test_in_the_pitot_line_it_takes_a_speed_to_move_the_pointer():
    plane = airplane.load(NAME)
    legs_flown = [{"kind": "take-off"}, {"kind": "climb", "to": "1500 ft"}]
    around = surroundings(
        plane, plan(parse_flight({"field_elevation": "500 ft", "leg": legs_flown}, "test"), plane)
    )
    run = simulate(plane, around, [Fault("water-in-pitot-line", where="pitot-cabin", size="1 cm3")])
    held = held_by("pitot-cabin", 1e-6)
    inside = run.pressure_pa["airspeed.pitot"] - run.pressure_pa["airspeed.static"]
    moves = run.time_s[np.flatnonzero(inside > 5.0)[0]]
    speed = run.truth.cas_m_s[run.index(moves)]
    # its start is the outer end; 4 kt: the position error of the airplane and the 5 Pa that count as moving
    assert speed == pytest.approx(float(air.calibrated_airspeed(held[0])), abs=4.0 * KT)
    # on leaving the ground it reads low by what holds; the climb then takes still air away from behind it,
    # until it reads high by what holds the other way
    assert run.change("airspeed")[run.index(24.0)] < -10.0 * KT
    assert 0.0 < run.change("airspeed")[-1] < 3.0 * KT


@given(
    st.floats(5e4, 1.1e5),
    st.floats(-3e3, 3e3),
    st.floats(0.0, 1.5e3),
    st.floats(0.0, 1.5e3),
    st.floats(1e-12, 1e-8),
)
def test_the_engine_flows_as_the_law_of_a_slug_says(p, difference, forward, backward, k):
    expected = water.slug_flow(p + difference, p, forward, backward, k)
    flow = link_flow(p + difference, p, 1.0, 0.5 * k, 0.0, False, forward, backward)
    if (forward if difference >= 0.0 else backward) > 0.0:
        assert flow == pytest.approx(float(expected.flow), rel=1e-9, abs=1e-20)


def test_air_behind_water_stays_within_the_dead_band_whatever_goes_on_outside():
    time = np.linspace(0.0, 120.0, 241)
    outside = 1e5 + 2000.0 * np.sin(time / 9.0)
    network = Network(("case",), np.array([3e-4]), np.array([288.0]), ("port",))
    network = network.with_slug("water", "case", "port", 300.0, 500.0, 1e-9, Schedule.constant(1.0))
    around = Surroundings.from_samples(time, ("port",), outside[:, None], Truth.steady(time))
    inside = integrate(network, around, time, initial_pa=np.array([1e5]))[:, 0]
    # 2 Pa: the bend at the threshold and what drives the slug
    assert (inside - outside).max() < 300.0 + 2.0
    assert (outside - inside).max() < 500.0 + 2.0
    within = np.abs(np.gradient(inside, time)) < 1e-9
    assert within.any()


def test_where_water_comes_to_rest_and_how_high_it_stands():
    plane = airplane.load(NAME)
    line = plane.line("static-riser")  # from the sump up to the panel
    assert line.way[lowest_point(plane, line)][2] == min(point[2] for point in line.way[1:])
    wing = plane.line("pitot-wing")  # its outer end is lowest, but drains
    assert lowest_point(plane, wing) == len(wing.way) - 1
    before, behind = legs(line, 2, 0.05)
    assert 0.0 <= behind <= 0.05
    assert before == 0.0  # the line falls towards the sump there


def test_more_than_the_line_holds_is_refused():
    with pytest.raises(InputError, match="size: read 900 cm3; allowed: less water than pitot-cabin holds"):
        held_by("pitot-cabin", 900e-6)
