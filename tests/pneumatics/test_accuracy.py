"""The engine against SciPy's Radau at a relative tolerance of 1e-10, through onsets as hard as they come."""

import numpy as np
import pytest
import random_networks
from hangar_cases import END_S, faults, hangar, output_times, short_flight
from independent_rhs import FromThePage
from radau_reference import SameEquations, radau
from random_networks import tree, weather

from ramstill.pneumatics import Inside, Schedule, solve, spun_up

LIMIT_PA = 1.0  # what the engine promises at any tapping; 0.3 ft at sea level
HANGAR = {name: (plane, network) for name, plane, network in hangar()}
FAULTS = tuple(faults(*next(iter(HANGAR.values()))))


HEATS = ("walls", "isothermal", "adiabatic")
LARGE = ("business-jet", "pressurised-turboprop")  # two systems each, which cost Radau a minute in all


def large_in_full(name, *more):
    """A case of an airplane, left for the full counts where it is a large one."""
    return pytest.param(name, *more, marks=pytest.mark.full if name in LARGE else ())


def compared(network, around, times, start, equations=None):
    found = solve(network, around, times, initial_pa=start).pressure_pa
    return float(np.abs(found - radau(network, around, times, start, equations)).max())


@pytest.mark.parametrize("name", [large_in_full(name) for name in sorted(HANGAR)])
@pytest.mark.parametrize("heat", HEATS)
def test_agrees_with_radau_on_the_same_equations(name, heat):
    plane, network = HANGAR[name]
    around, network = short_flight(plane, network), network.with_heat(heat)
    start = spun_up(network, around)
    for fault, faulty in faults(plane, network).items():
        assert compared(faulty, around, output_times(), start) < LIMIT_PA, fault


@pytest.mark.parametrize(
    ("name", "fault", "heat"),
    [
        *(large_in_full(name, fault, "walls") for name in sorted(HANGAR) for fault in FAULTS),
        ("business-jet", FAULTS[0], "walls"),
        ("twin-two-ports", "everything blocked", "adiabatic"),
        ("glass-trainer", "static ports blocked", "isothermal"),
    ],
)
def test_agrees_with_radau_on_equations_written_from_the_page(name, fault, heat):
    plane, network = HANGAR[name]
    around, network = short_flight(plane, network), network.with_heat(heat)
    faulty = faults(plane, network)[fault]
    assert compared(faulty, around, output_times(), spun_up(network, around), FromThePage) < LIMIT_PA


@pytest.mark.parametrize("name", sorted(HANGAR))
@pytest.mark.parametrize("heat", HEATS)
def test_the_page_says_what_the_engine_does_at_any_state(name, heat):
    plane, network = HANGAR[name]
    around, network = short_flight(plane, network), network.with_heat(heat)
    n = len(network.node_names)
    rng = np.random.default_rng(1)
    for faulty in faults(plane, network).values():
        same, page = SameEquations(faulty, around, 0.0, END_S), FromThePage(faulty, around)
        for t in (1.0, 9.0, 15.0):
            pressure = around.at([t])[0, 0] + rng.uniform(-30_000.0, 3000.0, n)
            warmth = network.temperature_k + (0.0 if heat == "isothermal" else rng.uniform(-9.0, 9.0, n))
            y = same.state(Inside(pressure, warmth))
            assert page.state(Inside(pressure, warmth)) == pytest.approx(y, rel=1e-12)
            y[2 * n :] *= 0.9
            one = same.slope(t, y, int(np.searchsorted(same.pieces.begin, t, side="right")) - 1)
            other = page.slope(t, y, None, 99.0)
            for part in (slice(0, n), slice(n, 2 * n), slice(2 * n, None)):
                # flows that cancel in one volume leave rounding of the largest of them
                small = 1e-12 * np.abs(one[part]).max(initial=0.0)
                assert other[part] == pytest.approx(one[part], rel=1e-9, abs=small)


def test_a_jump_outside_is_followed():
    plane, network = HANGAR["high-wing-tube"]
    inlet = next(o.name for o in plane.openings if o.kind == "pitot-inlet")
    breath = Schedule((5.0, 5.0, 9.0, 9.0), (0.0, 2500.0, 2500.0, 0.0))
    around = short_flight(plane, network).with_pressure_change(inlet, breath)
    times = np.unique(np.concatenate([output_times(), [5.001, 5.01, 9.001, 9.01]]))
    assert compared(network, around, times, spun_up(network, around)) < LIMIT_PA


@pytest.mark.parametrize("wild", [False, True])
@pytest.mark.parametrize("seed", [0, 2, 5, 6, 8, 10, 13])  # others take Radau up to a minute
def test_random_plumbing_agrees_with_radau(seed, wild):
    network, around = tree(seed, wild=wild), weather(seed)
    start = np.random.default_rng(seed + 7).uniform(85_000.0, 100_000.0, len(network.node_names))
    times = np.arange(0.0, random_networks.END_S + 0.01, 0.1)
    assert compared(network, around, times, start) < LIMIT_PA


def test_the_error_falls_with_the_tolerance_as_the_order_says():
    # An inlet that closes slowly: smooth, all of it felt. Error of a step goes with h^5, that of the whole
    # with h^5 / h, so error ~ steps^-4 at least as far as the estimate of order 4 sets the steps.
    plane, network = HANGAR["low-wing-mast"]
    around = short_flight(plane, network)
    faulty = faults(plane, network)["inlet slowly nested up"]
    times, start = output_times(), spun_up(network, around)
    truth = radau(faulty, around, times, start)
    tolerances = np.array([0.5, 0.05, 5e-3, 5e-4])
    runs = [solve(faulty, around, times, tolerance, start) for tolerance in tolerances]
    errors = [np.abs(run.pressure_pa - truth).max() for run in runs]
    order = -np.polyfit(np.log([run.steps for run in runs]), np.log(errors), 1)[0]
    assert order > 3.5
    assert (np.diff(errors) < 0.0).all()


def test_radau_itself_is_that_good():
    # the yardstick: a hundred times looser, it moves by less than a thousandth of what is asked of the engine
    plane, network = HANGAR["low-wing-mast"]
    around = short_flight(plane, network)
    faulty, start = faults(plane, network)["pitot line off"], spun_up(network, around)
    fine = radau(faulty, around, output_times(), start)
    coarse = radau(faulty, around, output_times(), start, rtol=1e-8, atol_pa=1e-5)
    assert np.abs(fine - coarse).max() < 1e-2


def test_a_slug_of_water_is_what_the_page_says():
    plane, network = HANGAR["low-wing-mast"]
    around = short_flight(plane, network)
    start = spun_up(network, around)
    pitot = next(line for line in plane.lines if line.serves == "pitot")
    wet = network.with_openness(pitot.name, Schedule.constant(0.0))
    wet = wet.with_slug("slug", pitot.start, pitot.end, 150.0, 250.0, 3e-12)
    assert compared(wet, around, output_times(), start, FromThePage) < LIMIT_PA
