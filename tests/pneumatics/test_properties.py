"""What must hold for any plumbing."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from random_networks import END_S, tree, weather

from ramstill.air.constants import GAMMA, R_AIR
from ramstill.pneumatics import Network, Schedule, Surroundings, Truth, integrate, settle, solve

FEW = settings(max_examples=25, deadline=None, derandomize=True)
SEEDS = st.integers(0, 5000)
TIMES = np.linspace(0.0, END_S, 31)


def anything(seed, network):
    return np.random.default_rng(seed + 7).uniform(60_000.0, 110_000.0, len(network.node_names))


def air(network, start, times, heat="walls"):
    """Mass [kg] and energy [J] of all the air at each time; the last is that of the last step itself."""
    network = network.with_heat(heat)
    found = solve(network, weather(1), times, initial_pa=start, with_temperature=True)
    pressure = np.vstack([found.pressure_pa, found.end.pressure_pa])
    mass = pressure * network.volume_m3 / (R_AIR * np.vstack([found.temperature_k, found.end.temperature_k]))
    return mass.sum(axis=1), (pressure * network.volume_m3).sum(axis=1) / (GAMMA - 1.0)


@FEW
@given(SEEDS, st.booleans(), st.sampled_from(["walls", "isothermal", "adiabatic"]))
def test_a_shut_system_keeps_its_mass(seed, wild, heat):
    network = tree(seed, openings=False, wild=wild)
    found, _ = air(network, anything(seed, network), TIMES, heat)
    # some hundred steps, each rounded
    assert found == pytest.approx(np.full(len(found), found[0]), rel=1e-12)


@FEW
@given(SEEDS, st.booleans())
def test_a_shut_system_without_heat_keeps_its_energy(seed, wild):
    network = tree(seed, openings=False, wild=wild)
    _, found = air(network, anything(seed, network), TIMES, "adiabatic")
    assert found[-1] == pytest.approx(found[0], rel=1e-12)  # some hundred steps, each rounded
    # between steps the interpolant adds and takes away up to a hundred times what a rush moves in one
    assert found == pytest.approx(np.full(len(found), found[0]), rel=1e-11)


@FEW
@given(SEEDS, st.booleans())
def test_with_every_opening_shut_nothing_moves_at_all(seed, wild):
    network = tree(seed, wild=wild)
    for name in network.link_names:
        if name.startswith("o"):
            network = network.with_openness(name, Schedule.constant(0.0))
    start = np.full(len(network.node_names), 93_217.123)
    found = integrate(network, weather(seed), TIMES, initial_pa=start)
    # the temperature, worked out from pressure and mass, is off the walls' by rounding
    assert found == pytest.approx(np.tile(start, (len(TIMES), 1)), rel=1e-14)
    assert (integrate(network.with_heat("isothermal"), weather(seed), TIMES, initial_pa=start) == start).all()


@FEW
@given(SEEDS, st.booleans())
def test_sealed_volumes_hold_for_ever(seed, wild):
    network = tree(seed, wild=wild)
    for name in network.link_names:
        network = network.with_openness(name, Schedule.constant(0.0))
    start = anything(seed, network)
    assert integrate(network, weather(seed), [0.0, 1e6], initial_pa=start)[-1] == pytest.approx(
        start, rel=1e-14
    )


@FEW
@given(SEEDS, st.booleans())
def test_pressures_stay_between_those_they_touch(seed, wild):
    network, around = tree(seed, wild=wild), weather(seed)
    start = anything(seed, network)
    found = integrate(network, around, TIMES, initial_pa=start)
    outside = around.at(np.linspace(0.0, END_S, 2001))
    assert np.isfinite(found).all()
    # 1 Pa: what the engine promises
    assert found.min() >= min(start.min(), outside.min()) - 1.0
    assert found.max() <= max(start.max(), outside.max()) + 1.0


@FEW
@given(SEEDS, st.floats(0.05, 0.95))
def test_more_blockage_never_means_less_lag(seed, less):
    """One opening, a steady ramp outside: every volume is later the smaller the opening is."""
    network = tree(seed, openings=False).with_hole("o", "v0", "still", 1e-3, 1e-3)
    t = np.array([0.0, 20.0])
    slope = np.array([0.0, -60.0])
    around = Surroundings.from_samples(t, ("ram", "still"), 95_000.0 + np.outer(t, slope), Truth.steady(t))
    start = np.full(len(network.node_names), 95_000.0)
    wide = integrate(network, around, [20.0], initial_pa=start)
    tight = integrate(network.with_openness("o", Schedule.constant(less)), around, [20.0], initial_pa=start)
    assert (tight >= wide - 0.1).all()  # twice the tolerance of a step


@FEW
@given(SEEDS, st.booleans())
def test_left_alone_it_comes_to_rest_where_settle_says(seed, wild):
    network = tree(seed, wild=wild)
    held = tuple(s and Schedule.constant(s.at(3.0)) for s in network.openness)
    network, start = replace(network, openness=held), anything(seed, network)
    outside = {"ram": 95_000.0, "still": 90_000.0}
    found = integrate(network, Surroundings.steady(0.0, 1.0, outside), [1e9], initial_pa=start)[-1]
    rest = settle(network, outside, start)
    # 0.1 Pa: two tolerances; the narrowest leaks need years
    assert found == pytest.approx(rest, abs=0.1)


@FEW
@given(SEEDS)
def test_absurd_networks_are_solved_without_creeping(seed):
    network, around = tree(seed, wild=True), weather(seed)
    solution = solve(network, around, TIMES, initial_pa=anything(seed, network))
    assert np.isfinite(solution.pressure_pa).all()
    # the hardest of a thousand such took some seven hundred
    assert solution.steps + solution.rejected < 3000


def test_a_thimble_with_a_hole_one_could_put_a_thumb_through():
    network = Network(("thimble",), np.array([1e-6]), np.array([288.15]), ("out",))
    network = network.with_hole("hole", "thimble", "out", 20e-3, 0.0, Schedule.step(1.0, 0.0, 1.0))
    around = Surroundings.steady(0.0, 2.0, {"out": 50_000.0})
    found = solve(network, around, [0.999, 1.0, 1.001, 2.0], initial_pa=[100_000.0])
    assert found.pressure_pa[:2, 0].tolist() == [100_000.0, 100_000.0]
    # 0.02 Pa: within the tolerance of a step
    assert found.pressure_pa[2:, 0] == pytest.approx([50_000.0, 50_000.0], abs=0.02)
