"""Ice on openings along a flight: what it needs, what it does, what keeps it off."""

from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ramstill import airplane, simulate
from ramstill.air.units import FT, KT
from ramstill.faults import Fault, apply
from ramstill.faults.icing import in_straight_pieces
from ramstill.flight import parse_flight, plan, surroundings
from ramstill.pneumatics import compile_network

HEATED, BARE = "high-wing-tube", "sailplane"


@cache
def flight(name, start="13000 ft", warmer="0 K"):
    """Level, then down to 1,000 ft and level: into air above freezing on the standard day."""
    plane = airplane.load(name)
    cruise = f"{plane.speeds.cruise / KT} kt"
    legs = [
        {"kind": "level", "duration": "400 s"},
        {"kind": "descent", "to": "1000 ft", "rate": "2000 ft/min", "speed": cruise},
        {"kind": "level", "duration": "600 s"},
    ]
    table = {"start_altitude": start, "start_speed": cruise, "leg": legs}
    from ramstill.air import Day

    day = Day(temperature_offset_k=float(warmer.split()[0])) if warmer != "0 K" else Day()
    return plane, surroundings(plane, plan(parse_flight(table, "test"), plane, day))


def inlet(plane):
    return next(o.name for o in plane.openings if o.kind == "pitot-inlet")


def left_open(faults, name=HEATED, opening=None, **how):
    """The open share of an opening over the flight, each second."""
    plane, around = flight(name, **how)
    applied = apply(faults, plane, compile_network(plane), around)
    schedule = applied.network.openness[applied.network.link_of(opening or inlet(plane))]
    times = np.arange(around.start_s, around.end_s)
    return times, np.ones(len(times)) if schedule is None else np.asarray(schedule.at(times))


CLOUD = Fault("pitot-icing", onset_s=60.0, end_s=360.0)
WET = Fault("pitot-icing", onset_s=60.0, end_s=360.0, size="0.8 g/m3")
BROKEN = Fault("heater-failed")


def test_a_working_heater_keeps_the_inlet_clear():
    assert left_open([CLOUD])[1].min() == 1.0


@pytest.mark.parametrize("other", [BROKEN, Fault("heat-left-off")])
@pytest.mark.parametrize("order", [1, -1])
def test_without_heat_it_closes_in_minutes_stays_closed_in_the_cold_and_opens_in_the_warm(other, order):
    times, share = left_open([CLOUD, other][::order])
    assert (share[times < 60.0] == 1.0).all()
    growing = share[(times > 60.0) & (times < 360.0)]
    assert (np.diff(growing) <= 1e-12).all()
    assert growing[-1] == 0.0
    assert (share[(times > 360.0) & (times < 400.0)] == 0.0).all()  # out of cloud, still freezing
    assert share[-1] == 1.0


def test_heat_that_comes_back_melts_it():
    times, share = left_open([CLOUD, Fault("heater-failed", end_s=250.0)])
    assert share[times == 249.0] < 0.7
    assert (share[times > 600.0] == 1.0).all()
    warmed = share[(times > 251.0) & (times < 600.0)]
    assert (np.diff(warmed) >= 0.0).all()


def test_an_opening_without_a_heater_needs_no_failure():
    assert left_open([WET], BARE)[1].min() == 0.0


def test_warm_air_and_clear_air_leave_it_open():
    assert left_open([CLOUD, BROKEN], warmer="30 K")[1].min() == 1.0
    assert left_open([Fault("pitot-icing", severity=0.0), BROKEN])[1].min() == 1.0


def test_more_water_closes_it_sooner():
    closed = []
    for size in ("0.1 g/m3", "0.3 g/m3", "0.8 g/m3"):
        times, share = left_open([Fault("pitot-icing", onset_s=60.0, size=size), BROKEN])
        closed.append(times[np.flatnonzero(share < 0.5)[0]])
    assert closed[0] > closed[1] > closed[2]
    # severity is a share of the water
    half = left_open([Fault("pitot-icing", onset_s=60.0, severity=0.5, size="0.6 g/m3"), BROKEN])[1]
    np.testing.assert_allclose(
        half, left_open([Fault("pitot-icing", onset_s=60.0, size="0.3 g/m3"), BROKEN])[1]
    )


def test_a_flush_port_ices_slower_than_an_inlet():
    plane, _ = flight(BARE)
    port = next(o.name for o in plane.openings if o.kind == "static-port")
    _, ports = left_open([Fault("static-icing", onset_s=60.0)], BARE, opening=port)
    _, ram = left_open([Fault("pitot-icing", onset_s=60.0)], BARE)
    assert (ports >= ram - 1e-9).all()
    assert ports.min() < 1.0


def test_the_heater_of_an_inlet_warms_all_that_is_heated_on_its_body():
    plane, around = flight(HEATED)
    drain = next(o for o in plane.openings if o.kind == "pitot-drain")
    faults = [Fault("pitot-icing", where=drain.name, onset_s=60.0), BROKEN]
    assert drain.heated
    assert left_open(faults, opening=drain.name)[1].min() < 1.0
    assert left_open(faults[:1], opening=drain.name)[1].min() == 1.0
    applied = apply(faults, plane, compile_network(plane), around)
    # noted in the order of the faults, though the heater is put in first
    assert applied.places[0] == ("opening", drain.name)
    assert applied.places[1] == ("opening", inlet(plane))


def test_an_iced_inlet_over_a_trapped_line_follows_height_and_a_clear_one_speed():
    plane, around = flight(BARE)
    run = simulate(plane, around, [WET], output_hz=2.0)
    wrong = run.change("airspeed") / KT
    level, low = run.index(390.0), run.index(430.0)
    assert abs(wrong[level]) < 5.0  # nothing tells while nothing changes
    assert run.pointers["airspeed"][low] == 0.0
    assert run.healthy_pointers["airspeed"][low] > 30.0 * KT
    assert abs(wrong[-1]) < 2.0  # melted
    assert np.abs(run.change("altimeter")).max() / FT < 30.0


@given(st.lists(st.floats(0.0, 1.0), min_size=2, max_size=60), st.floats(0.001, 0.1))
def test_straight_pieces_stay_within_what_was_asked(values, within):
    times = np.arange(len(values), dtype=float)
    schedule = in_straight_pieces(times, np.array(values), within)
    assert np.abs(np.asarray(schedule.at(times)) - values).max() <= within + 1e-12
    shut = np.isin(values, (0.0, 1.0))
    # what is wholly shut or open is so exactly: trapped air is trapped
    edges = np.flatnonzero(np.diff(shut.astype(int)))
    for i in (*edges, *(edges + 1)):
        assert schedule.at(float(i)) == values[i]
