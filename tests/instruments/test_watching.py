"""A panel looked at again and again shows what it shows over a whole run, and can go back."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ramstill import air
from ramstill import airplane as airplanes
from ramstill.errors import InputError
from ramstill.instruments import PointerEdit, Watching, pointers_of, read
from ramstill.instruments import _laws as laws
from ramstill.instruments.altimeter import pressure_altitude
from ramstill.instruments.pump import ways_out
from ramstill.pneumatics import Schedule, Truth, compile_network

CHANCE = np.random.default_rng(7)
# Four looks a second, and some in between: the sailplane, and a class, do not look evenly.
TIME = np.sort(np.concatenate([np.arange(0.0, 40.0, 0.25), CHANCE.uniform(0.0, 40.0, 60)]))
COUNT = len(TIME)
CLOSE = 1e-9  # [m/s, m]: rounding of the same laws worked out one by one

EDITS = {
    "none": None,
    "pointer offset": Schedule.step(25.0, 0.0, 4.0),
    "setting offset": Schedule((5.0, 30.0), (0.0, 900.0)),
    "friction": Schedule((12.0, 30.0), (0.0, 8.0)),
    "stuck": Schedule((18.0, 18.0, 33.0, 33.0), (0.0, 0.8, 0.8, 0.0)),
    "vibrator lost": Schedule.step(10.0, 0.0, 1.0),
    "blank": Schedule((10.0, 10.0, 20.0, 20.0), (0.0, 1.0, 1.0, 0.0)),
}


def felt(network):
    """Pressures (t, n) and (t, b) that wander, load factor, power and setting (t,)."""
    names = network.node_names
    outside = 9e4 + 20.0 * CHANCE.normal(size=COUNT).cumsum()
    pressure = outside[:, None] + 3.0 * CHANCE.normal(size=(COUNT, len(names))).cumsum(axis=0)
    ram = np.array([name.endswith(".pitot") for name in names])
    pressure[:, ram] += np.abs(3000.0 + 150.0 * CHANCE.normal(size=COUNT).cumsum())[:, None]
    beyond = outside[:, None] + 50.0 * CHANCE.normal(size=(COUNT, len(network.boundary_names)))
    load, power = 1.0 + 0.2 * CHANCE.normal(size=COUNT), np.clip(0.2 * CHANCE.normal(size=COUNT), 0.0, 1.0)
    return pressure, beyond, load, power, 101_325.0 + 500.0 * np.sin(TIME)


def over_time(plane, network, felt, edits=()):
    """What `read` shows, (t, p)."""
    pressure, beyond, load, power, setting = felt
    shown = read(
        plane,
        TIME,
        dict(zip(network.node_names, pressure.T, strict=True)),
        setting,
        edits,
        truth=Truth.steady(TIME, load_factor=load, power=power),
        network=network,
        outside_pa=dict(zip(network.boundary_names, beyond.T, strict=True)),
    )
    return np.stack(list(shown.values()), axis=1)


def looked(watching, felt, rows=range(COUNT)):
    pressure, beyond, load, power, setting = felt
    found = []
    for i in rows:
        watching.set_altimeter(setting[i])
        found.append(watching.show(TIME[i], pressure[i], beyond[i], load[i], power[i]))
    return np.array(found)


@pytest.mark.parametrize("name", airplanes.hangar())
@pytest.mark.parametrize("what", EDITS)
def test_it_shows_what_a_whole_run_shows(name: str, what: str) -> None:
    plane = airplanes.load(name)
    network = compile_network(plane)
    schedule = EDITS[what]
    edits = [] if schedule is None else [PointerEdit(one.name, what, schedule) for one in plane.instruments]
    edits += [PointerEdit(edit.instrument, what, Schedule.constant(0.3)) for edit in edits[:1]]
    pressures = felt(network)
    watching = Watching(plane, network, 101_325.0, edits)
    assert watching.names == tuple(pointer.name for pointer in pointers_of(plane))
    usual = over_time(plane, network, pressures, tuple(edits))
    found = looked(watching, pressures)
    # a computer's rate is that of its first two samples, which a run knows beforehand
    first = int(np.argmax(TIME > 0.5))
    np.testing.assert_allclose(found[first:], usual[first:], rtol=0.0, atol=CLOSE)
    slow = [not one.endswith(".vertical-speed") for one in watching.names]
    np.testing.assert_allclose(found[:first, slow], usual[:first, slow], rtol=0.0, atol=CLOSE)


def test_a_pumped_case_empties_as_in_a_whole_run() -> None:
    plane = airplanes.load("pressurised-turboprop")
    pumped = next(one for one in plane.instruments if getattr(one, "instantaneous", None))
    case = pumped.leak_ends[1]
    opens = Schedule((15.0, 15.0, 30.0), (0.0, 1.0, 0.2))
    network = compile_network(plane).with_hole("glass", case, "cabin", 1e-3, 1e-3, opens)
    assert len(ways_out(network, case)) == 2
    pressures = felt(network)
    at = [pointer.name for pointer in pointers_of(plane)].index(pumped.name)
    usual = over_time(plane, network, pressures)[:, at]
    assert np.abs(usual - over_time(plane, compile_network(plane), pressures)[:, at]).max() > 0.1
    watching = Watching(plane, network, 101_325.0)
    np.testing.assert_allclose(looked(watching, pressures)[:, at], usual, rtol=0.0, atol=CLOSE)
    # by name, and unknown: as level with the case
    by_name = watching.show(41.0, pressures[0][0], {"cabin": float(pressures[1][0, 0])})
    assert np.isfinite(by_name).all()


def test_capsules_with_hysteresis_remember_the_way_up() -> None:
    plane = airplanes.load("pressurised-turboprop")
    assert all(float(altimeter.hysteresis) > 0.0 for altimeter in plane.instruments_of("altimeter"))
    network = compile_network(plane)
    pressures = list(felt(network))
    up_and_down = 9e4 - 2e4 * np.sin(np.pi * TIME / 40.0)
    pressures[0] = np.tile(up_and_down[:, None], (1, len(network.node_names)))
    usual = over_time(plane, network, pressures)
    found = looked(Watching(plane, network, 101_325.0), pressures)
    np.testing.assert_allclose(found, usual, rtol=0.0, atol=CLOSE)


def test_it_goes_back_and_takes_another_branch() -> None:
    plane = airplanes.load("pressurised-turboprop")
    network = compile_network(plane)
    pressures = felt(network)
    watching = Watching(plane, network, 101_325.0)
    looked(watching, pressures, range(100))
    there = watching.state()
    whole = looked(watching, pressures, range(100, COUNT))
    stuck = [PointerEdit(watching.names[0], "stuck", Schedule.constant(1.0))]
    watching.restore(there)
    watching.exchange(edits=stuck)
    branch = looked(watching, pressures, range(100, COUNT))
    assert np.ptp(branch[20:, 0]) < CLOSE  # what its lag still had to make up for is through
    np.testing.assert_array_equal(branch[:, 1:], whole[:, 1:])
    other = Watching(plane, compile_network(plane), 90_000.0, stuck)
    other.restore(there)
    assert other.setting_pa == there.setting_pa
    assert other.edits == ()
    np.testing.assert_array_equal(looked(other, pressures, range(100, COUNT)), whole)


def test_what_does_not_fit_is_refused() -> None:
    plane = airplanes.load("low-wing-mast")
    network = compile_network(plane)
    with pytest.raises(InputError, match="nothing"):
        Watching(plane, network, 101_325.0, [PointerEdit("nothing", "stuck", Schedule.constant(1.0))])
    watching = Watching(plane, network, 101_325.0)
    watching.show(1.0, np.full(len(network.node_names), 9e4))
    with pytest.raises(ValueError, match="looked at at 1 s"):
        watching.show(0.5, np.full(len(network.node_names), 9e4))
    with pytest.raises(ValueError, match="one pressure"):
        watching.show(2.0, np.full(3, 9e4))
    with pytest.raises(ValueError, match="same volumes"):
        watching.exchange(compile_network(airplanes.load("sailplane")))
    with pytest.raises(ValueError, match="for the panel to feel"):
        Watching(plane, compile_network(airplanes.load("sailplane")), 101_325.0)
    for setting in (np.nan, np.inf, -1.0):
        with pytest.raises(ValueError, match="a pressure above zero"):
            watching.set_altimeter(setting)
        with pytest.raises(ValueError, match="a pressure above zero"):
            Watching(plane, network, setting)
    pumped = airplanes.load("pressurised-turboprop")
    on = compile_network(pumped)
    panel, level = Watching(pumped, on, 101_325.0), np.full(len(on.node_names), 9e4)
    with pytest.raises(ValueError, match="each boundary"):
        panel.show(0.0, level, [9e4])


@given(st.floats(20.0, 2e5), st.floats(-3e5, 3e5))
@settings(deadline=None, derandomize=True, max_examples=200)
def test_laws_one_by_one_are_those_of_arrays(pressure: float, difference: float) -> None:
    # A few roundings of logarithms and roots, which libraries do each in their own way.
    assert laws.pressure_altitude(pressure) == pytest.approx(
        float(pressure_altitude(pressure)), abs=1e-9, rel=1e-13
    )
    assert laws.airspeed(difference) == pytest.approx(
        float(air.calibrated_airspeed(difference)), abs=1e-12, rel=1e-12
    )
    height = float(np.clip(pressure_altitude(pressure), -2000.0, 47_000.0))
    assert laws.standard_temperature(height) == pytest.approx(
        float(air.standard_temperature(height)), rel=1e-14
    )


@given(st.floats(1.0, 330.0))  # at rest the odd law has a kink
@settings(deadline=None, derandomize=True, max_examples=200)
def test_impact_pressure_and_its_slope_are_those_of_arrays(cas: float) -> None:
    # a few roundings; the slope against a difference over 0.02 m/s, whose own error is near 1e-8
    assert laws.impact_pressure(cas) == pytest.approx(float(air.impact_pressure(cas)), abs=1e-9, rel=1e-12)
    up, down = (float(air.impact_pressure(cas + by)) for by in (0.01, -0.01))
    assert laws.impact_pressure_slope(cas) == pytest.approx((up - down) / 0.02, abs=1e-5, rel=1e-6)


def test_laws_at_the_joints_of_their_layers() -> None:
    for height in (0.0, 11_000.0, 20_000.0, 32_000.0, 46_999.0):
        for near in (height - 1e-6, height, height + 1e-6):
            found = laws.pressure_altitude(float(air.static_pressure(near)))
            assert found == pytest.approx(near, abs=1e-8)
    assert np.isnan(laws.airspeed(np.nan))
