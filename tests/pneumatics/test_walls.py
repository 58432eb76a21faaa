"""Heat between the air and its walls: the two limits, what lies between, and what is kept."""

from dataclasses import replace

import numpy as np
import pytest
from random_networks import END_S, tree, weather

from ramstill.air.constants import CP_AIR, GAMMA, R_AIR
from ramstill.air.gas import density, thermal_conductivity
from ramstill.airplane import load
from ramstill.pneumatics import (
    Network,
    Schedule,
    Surroundings,
    Truth,
    case_time_constant,
    compile_network,
    integrate,
    solve,
    tube_time_constant,
)
from ramstill.pneumatics.walls import case_heat, tube_heat

WARM = 293.15


def flask(heat="walls", heat_w_k=None, volume=2.5e-4):
    given = None if heat_w_k is None else np.array([heat_w_k])
    network = Network(("flask",), np.array([volume]), np.array([WARM]), ("out",), heat=heat, heat_w_k=given)
    return network.with_hole("hole", "flask", "out", 2e-3, 1e-3)


def steady(pressure):
    return Surroundings.steady(0.0, 1.0, {"out": pressure})


def ramp(rate, seconds):
    t = np.array([0.0, seconds])
    return Surroundings.from_samples(t, ("out",), 95_000.0 + rate * t, Truth.steady(t))


def test_heat_is_that_of_the_time_constants():
    for bore in (2e-3, 4.6e-3):  # the bore does not matter
        assert tube_heat(bore, 2.0, WARM) == pytest.approx(8.0 * np.pi * thermal_conductivity(WARM) * 2.0)
        tau = tube_time_constant(bore, 9e4, WARM, "steady-change")
        mass = density(9e4, WARM) * np.pi / 4.0 * bore**2 * 2.0
        assert tube_heat(bore, 2.0, WARM) == pytest.approx(mass * CP_AIR / tau)
    radius = (0.75 * 2.5e-4 / np.pi) ** (1.0 / 3.0)
    assert case_heat(2.5e-4, WARM) == pytest.approx(20.0 * np.pi * thermal_conductivity(WARM) * radius)


@pytest.mark.parametrize("seed", range(6))
def test_walls_that_pass_all_heat_or_none_are_the_two_limits(seed):
    network, around = tree(seed), weather(seed)
    n, times = len(network.node_names), np.linspace(0.0, END_S, 31)
    start = np.random.default_rng(seed).uniform(85_000.0, 100_000.0, n)

    def found(changed):
        return integrate(changed, around, times, initial_pa=start)

    none, all_of_it = (found(replace(network, heat_w_k=np.full(n, h))) for h in (0.0, 1e9))
    # 0.1 Pa: two tolerances
    assert none == pytest.approx(found(network.with_heat("adiabatic")), abs=0.1)
    assert all_of_it == pytest.approx(found(network.with_heat("isothermal")), abs=0.1)
    assert np.abs(none - all_of_it).max() > 1.0


def test_air_let_out_without_heat_cools_as_the_textbook_has_it():
    found = solve(flask("adiabatic"), steady(60_000.0), [20.0], initial_pa=[100_000.0]).end
    # what stays inside expands without friction or heat: T goes with p^((gamma - 1) / gamma)
    assert found.pressure_pa[0] == pytest.approx(60_000.0, abs=0.1)
    assert found.temperature_k[0] == pytest.approx(WARM * 0.6 ** ((GAMMA - 1.0) / GAMMA), rel=1e-5)


def test_filling_an_empty_flask_heats_it():
    found = solve(flask("adiabatic"), steady(100_000.0), [60.0], initial_pa=[1.0]).end
    # enthalpy comes in and stays as internal energy: gamma times as hot (any textbook)
    assert found.temperature_k[0] == pytest.approx(GAMMA * WARM, rel=1e-4)


def test_a_shut_flask_warms_with_its_own_time_constant():
    network = flask().with_openness("hole", Schedule.step(10.0, 1.0, 0.0))
    around = Surroundings.from_samples(
        np.array([0.0, 8.0, 9.9, 10.0, 60.0]),
        ("out",),
        np.array([1e5, 1e5, 8e4, 8e4, 8e4]),
        Truth.steady(np.array([0.0, 8.0, 9.9, 10.0, 60.0])),
        kinks_s=(8.0, 9.9),
    )
    found = solve(network, around, [10.0, 11.0, 14.0], initial_pa=[1e5], with_temperature=True)
    missing = WARM - found.temperature_k[:, 0]
    mass = found.pressure_pa[0, 0] * 2.5e-4 / (R_AIR * found.temperature_k[0, 0])
    tau = mass * CP_AIR / GAMMA / float(case_heat(2.5e-4, WARM))  # shut in, it is c_v that counts
    assert missing[0] > 5.0
    assert missing[1:] == pytest.approx(missing[0] * np.exp(-np.array([1.0, 4.0]) / tau), rel=1e-3)


@pytest.mark.parametrize("rate", [-60.0, 200.0])
def test_in_a_steady_change_it_is_off_by_what_conduction_says(rate):
    found = solve(flask(), ramp(rate, 100.0), [100.0], initial_pa=[95_000.0], tolerance_pa=1e-3).end
    p = float(found.pressure_pa[0])
    # rho cp dT/dt = dp/dt less what the walls take: tau dp/dt / (rho cp), which heat.py derives
    tau = float(case_time_constant(2.5e-4, p, WARM, "steady-change"))
    expected = tau * rate / (float(density(p, WARM)) * CP_AIR)
    # the pressure, and so the time constant, goes on changing
    assert found.temperature_k[0] - WARM == pytest.approx(expected, rel=0.02)


def test_a_case_that_cools_shows_the_rate_of_climb_all_the_same():
    isothermal, walls = (
        integrate(flask(heat), ramp(-60.0, 100.0), [99.0, 100.0], initial_pa=[95_000.0])
        for heat in ("isothermal", "walls")
    )
    assert np.diff(walls[:, 0]) == pytest.approx(np.diff(isothermal[:, 0]), rel=1e-3)


def test_temperatures_at_either_end_are_those_of_the_walls():
    network = Network(("cold", "warm"), np.full(2, 1e-4), np.array([250.0, 300.0]), ("out",))
    network = network.with_tube("line", "cold", "warm", 1.0, 4e-3).with_hole(
        "port", "cold", "out", 2e-3, 1e-3
    )
    for heat in ("walls", "isothermal"):
        found = solve(network.with_heat(heat), steady(95_000.0), [200.0], initial_pa=[1e5, 1e5]).end
        assert found.temperature_k == pytest.approx([250.0, 300.0], rel=1e-6)
        assert found.pressure_pa == pytest.approx([95_000.0, 95_000.0], abs=0.1)


def test_lines_outside_are_as_cold_as_it_is_there():
    plane = load("low-wing-mast")
    warm, cold = compile_network(plane), compile_network(plane, outside_temperature_k=250.0)
    cabin = float(plane.inside.cabin_temperature)
    assert set(warm.temperature_k) == {cabin}
    by_name = dict(zip(cold.node_names, cold.temperature_k.tolist(), strict=True))
    assert by_name["mast-ram"] == pytest.approx(250.0)
    assert by_name["airspeed.static"] == pytest.approx(cabin)
    assert min(by_name.values()) >= 250.0
    assert max(by_name.values()) <= cabin


@pytest.mark.parametrize(
    "changes", [{"heat": "sometimes"}, {"heat_w_k": np.array([-1.0])}, {"heat_w_k": np.array([1.0, 2.0])}]
)
def test_walls_that_make_no_sense_are_refused(changes):
    with pytest.raises(ValueError, match=r"heat|walls"):
        replace(flask(), **changes)
