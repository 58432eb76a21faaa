"""Capsules that swell: what their cases lose, and where it stops."""

import numpy as np
import pytest

from ramstill.air.constants import P0, R_AIR
from ramstill.airplane import Figure, load
from ramstill.errors import InputError
from ramstill.pneumatics import (
    Network,
    Schedule,
    Surroundings,
    Truth,
    compile_network,
    lag_time_constants,
    settle,
    solve,
)
from ramstill.pneumatics.network import softest
from ramstill.pneumatics.swelling import swollen

INNER, OUTER, SOFT, WARM = 5e-5, 2e-4, 2e-10, 293.15


def indicator(compliance=SOFT, shut=None, heat="walls"):
    """A capsule on `ram` in a case on `still`, either of which may shut."""
    network = Network(
        ("capsule", "case"), np.array([INNER, OUTER]), np.full(2, WARM), ("ram", "still"), heat=heat
    )
    network = network.with_hole("ram", "capsule", "ram", 2e-3, 1e-3).with_hole(
        "still", "case", "still", 2e-3, 1e-3
    )
    if compliance:
        network = network.with_swelling("capsule", "case", compliance)
    return network.with_openness(shut, Schedule.step(1.0, 1.0, 0.0)) if shut else network


def falling(until, ram=0.0):
    """Still air falls from 1 bar from 2 s to 32 s, ram air is above what it began with."""
    t = np.array([0.0, 2.0, 32.0, 200.0])
    pressure = np.stack([np.full(4, 1e5 + ram), np.array([1e5, 1e5, until, until])], axis=1)
    return Surroundings.from_samples(
        t, ("ram", "still"), pressure, Truth.steady(t), kinks_s=(2.0, 32.0), curve="straight"
    )


def test_trapped_air_gets_the_room_the_capsule_makes():
    around = falling(97_000.0)
    found = solve(indicator(shut="ram"), around, [200.0], initial_pa=[1e5, 1e5]).pressure_pa[-1]
    assert found[1] == pytest.approx(97_000.0, abs=0.1)
    most = 0.5 * INNER
    straight = SOFT * (found[0] - 97_000.0)
    room = INNER + straight / np.sqrt(1.0 + (straight / most) ** 2)
    # Boyle, all as warm as before; two tolerances of a step
    assert found[0] * room == pytest.approx(1e5 * INNER, abs=0.1 * INNER)
    assert 98_500.0 < found[0] < 99_500.0


@pytest.mark.parametrize("heat", ["walls", "isothermal", "adiabatic"])
def test_all_shut_keeps_its_mass(heat):
    network = indicator(heat=heat)
    start = np.array([1.03e5, 0.97e5])
    mass = [p * (INNER, OUTER)[i] / (R_AIR * WARM) for i, p in enumerate(start)]
    network = network.with_hole("crack", "capsule", "case", 1e-3, 1e-3)
    for name in ("ram", "still"):
        network = network.with_openness(name, Schedule.constant(0.0))
    found = solve(network, falling(9e4), [0.0, 0.01, 0.1, 10.0], initial_pa=start, with_temperature=True)
    grown = np.array([swollen(float(a - b), SOFT, 0.5 * INNER)[0] for a, b in found.pressure_pa])
    volume = np.stack([INNER + grown, OUTER - grown], axis=1)
    kept = (found.pressure_pa * volume / (R_AIR * found.temperature_k)).sum(axis=1)
    assert kept[3] == pytest.approx(kept[0], rel=1e-9)  # before, capsules are still on their way
    assert kept[0] == pytest.approx(sum(mass), rel=0.01)


def test_the_case_of_a_sealed_capsule_shrinks_as_the_air_thins():
    network = Network(("case",), np.array([OUTER]), np.array([WARM]), ("out",)).with_swelling(
        "case", None, 5e-11
    )
    network = network.with_hole("port", "case", "out", 2e-3, 1e-3)
    shut = network.with_openness("port", Schedule.constant(0.0))
    # half the air let out, then shut: nothing changes; the lag takes d(p V)/dp
    at_rest = settle(shut, [5e4], [5e4])
    assert at_rest == pytest.approx([5e4])
    stiff = Network(("case",), np.array([OUTER]), np.array([WARM]), ("out",)).with_hole(
        "port", "case", "out", 2e-3, 1e-3
    )
    soft, rigid = (lag_time_constants(n, 5e4, WARM)["case"] for n in (network, stiff))
    assert soft / rigid == pytest.approx(1.0 + 5e-11 * (2.0 * 5e4 - P0) / OUTER, rel=1e-9)


def test_settle_says_where_it_comes_to_rest():
    network = indicator().with_openness("ram", Schedule.constant(0.0))
    rest = settle(network, {"ram": 1e5, "still": 97_000.0}, [1e5, 1e5])
    found = solve(network, falling(97_000.0), [200.0], initial_pa=[1e5, 1e5]).pressure_pa[-1]
    assert found == pytest.approx(rest, abs=0.1)


def test_it_is_straight_at_first_and_has_its_stops():
    assert swollen(10.0, 2e-10, 1e-5)[0] == pytest.approx(2e-9, rel=1e-6)
    assert swollen(1e9, 2e-10, 1e-5)[0] == pytest.approx(1e-5, rel=1e-6)
    low, high = swollen(3e4 - 1.0, 2e-10, 1e-5)[0], swollen(3e4 + 1.0, 2e-10, 1e-5)[0]
    assert swollen(3e4, 2e-10, 1e-5)[1] == pytest.approx((high - low) / 2.0, rel=1e-6)


def test_no_difference_uses_up_a_volume():
    found = solve(indicator(), falling(1e4, ram=9e5), [100.0], initial_pa=[1e5, 1e5]).pressure_pa[-1]
    assert found == pytest.approx([1e6, 1e4], abs=0.1)


def test_a_healthy_climb_is_late_by_no_more_for_it():
    around = falling(97_000.0)
    soft, stiff = (solve(indicator(c), around, [20.0]).pressure_pa[-1] for c in (SOFT, 0.0))
    assert soft == pytest.approx(stiff, abs=0.5)


@pytest.mark.parametrize(
    ("ends", "compliance"),
    [
        (("capsule", "case"), 1e-7),
        (("capsule", None), 1e-9),
        (("capsule", "case"), -1.0),
        (("case", "still"), 1e-10),
    ],
)
def test_what_cannot_be_is_refused(ends, compliance):
    with pytest.raises(ValueError, match="swell"):
        indicator(0.0).with_swelling(*ends, compliance)


def test_an_airplane_file_with_too_soft_a_capsule_is_refused_in_one_line():
    plane = load("sailplane")
    soft = Figure(1e-6, "assumed", text="100 cm3/hPa")
    instruments = tuple(
        i.model_copy(update={"capsule_compliance": soft}) if i.name == "airspeed" else i
        for i in plane.instruments
    )
    with pytest.raises(InputError, match=r'instrument "airspeed": capsule_compliance.*100 cm3/hPa'):
        compile_network(plane.model_copy(update={"instruments": instruments}))


def test_capsules_of_the_hangar_are_compiled():
    network = compile_network(load("pressurised-turboprop"))
    kinds = {network.node_names[a]: c for a, c in zip(network.swell_a, network.swell_m3_pa, strict=True)}
    assert kinds["vertical-speed-left.static"] == pytest.approx(2e-10)
    assert all(c <= softest(1.0, sealed=False) for c in kinds.values())
