"""Oscillations in the whole plumbing: what it must agree with, and where the quasi-steady engine ends."""

import numpy as np
import pytest
from hangar_cases import hangar
from hypothesis import given, settings
from hypothesis import strategies as st

from ramstill.air.constants import P0, T0
from ramstill.pneumatics import (
    Network,
    Schedule,
    frequency_response,
    lag_time_constants,
    quasi_steady_limit_hz,
    quasi_steady_limits_hz,
    tube_response,
)
from ramstill.pneumatics.laws import end_length
from ramstill.pneumatics.tube_response import volume_admittance, wave

FEW = settings(deadline=None, derandomize=True, max_examples=25)
F = np.array([0.0, 0.01, 0.5, 3.0, 8.0, 40.0, 200.0])
ROWS = st.lists(
    st.tuples(st.floats(0.05, 4.0), st.floats(5e-4, 8e-3), st.floats(1e-7, 1e-3)), min_size=1, max_size=5
)


def row_of(tubes, branches=()):
    """Tubes of (length, bore, volume at the far end) in a row from the outside; branches hang on a volume."""
    names = [f"v{i}" for i in range(len(tubes) + len(branches))]
    own = [row[2] for row in tubes] + [row[3] for row in branches]
    network = Network(tuple(names), np.array(own), np.full(len(names), T0), ("outside", "elsewhere"))
    ends = ["outside", *names]
    links = [(ends[i], ends[i + 1], *row[:2]) for i, row in enumerate(tubes)]
    links += [
        (names[at], names[len(tubes) + k], length, bore) for k, (at, length, bore, _) in enumerate(branches)
    ]
    for i, (a, b, length, bore) in enumerate(links):
        network = network.with_tube(f"t{i}", a, b, length, bore)
        for end in (a, b):
            if end in names:
                half = np.pi / 8.0 * bore**2 * length
                network = network.with_volume(end, float(network.volume_m3[network.index_of(end)]) + half)
    return network


def lengthened(tubes):
    return [row[0] + float(end_length(row[1])) for row in tubes]


@FEW
@given(ROWS, st.floats(1.0, 1.4))
def test_a_row_of_tubes_is_the_published_recursion(tubes, exponent):
    network = row_of(tubes)
    found = frequency_response(network, "outside", f"v{len(tubes) - 1}", F, polytropic_exponent=exponent)
    _, bores, volumes = (np.array(column) for column in zip(*tubes, strict=True))
    expected = tube_response(lengthened(tubes), bores / 2.0, volumes, F, polytropic_exponent=exponent)
    # 1e-6: the linear system loses digits that the recursion keeps where next to nothing arrives
    assert found == pytest.approx(expected, rel=1e-6, abs=1e-12)


@FEW
@given(ROWS, st.floats(0.05, 4.0), st.floats(5e-4, 8e-3), st.floats(1e-7, 1e-3))
def test_a_side_branch_is_one_more_admittance(tubes, length, bore, volume):
    """By hand: the branch's input admittance added at its place, then transfer matrices along the row."""
    network = row_of(tubes, [(0, length, bore, volume)])
    f = F[1:]
    phi, own = wave(bore / 2.0, f)
    reach, load = phi * (length + float(end_length(bore))), volume_admittance(volume, f, T0, 1.4)
    branch = (
        own * (np.sinh(reach) * own + np.cosh(reach) * load) / (np.cosh(reach) * own + np.sinh(reach) * load)
    )
    pressure, flow = np.ones(len(f), complex), np.zeros(len(f), complex)
    for i in reversed(range(len(tubes))):
        flow = (
            flow
            + volume_admittance(tubes[i][2], f, T0, 1.4) * pressure
            + (branch * pressure if i == 0 else 0.0)
        )
        phi, own = wave(tubes[i][1] / 2.0, f)
        reach = phi * lengthened(tubes)[i]
        pressure, flow = (
            np.cosh(reach) * pressure + np.sinh(reach) / own * flow,
            np.sinh(reach) * own * pressure + np.cosh(reach) * flow,
        )
    found = frequency_response(network, "outside", f"v{len(tubes) - 1}", f)
    assert found == pytest.approx(1.0 / pressure, rel=1e-6, abs=1e-12)


def test_two_ways_round_are_as_good_as_their_sum():
    """A loop: two like tubes side by side, or each from an opening of its own that moves like the other."""
    one = row_of([(2.0, 4e-3, 1e-4)])
    loop = one.with_tube("again", "outside", "v0", 2.0, 4e-3)
    loop = loop.with_volume("v0", float(loop.volume_m3[0]) + np.pi / 8.0 * 4e-3**2 * 2.0)
    halves = row_of([(2.0, 4e-3, 5e-5)])
    expected = frequency_response(halves, "outside", "v0", F)
    assert frequency_response(loop, "outside", "v0", F) == pytest.approx(expected, rel=1e-9)


@FEW
@given(ROWS, st.floats(0.05, 4.0), st.floats(5e-4, 8e-3), st.floats(1e-5, 1e-3))
def test_slow_changes_lag_as_the_engine_does(tubes, length, bore, volume):
    """To first order in frequency the response is 1 - i w lag, lag that of the engine's slow even change."""
    network = row_of(tubes, [(0, length, bore, volume)]).with_hole("mouth", "v0", "elsewhere", 2e-3, 1e-3)
    lags = lag_time_constants(network, P0, T0)
    f = 1e-4 / (2.0 * np.pi * (0.1 + max(lags.values())))  # slow for inertia too
    for name, lag in lags.items():
        h = frequency_response(network, None, name, f, temperature_k=T0, polytropic_exponent=1.0)
        # 10 %: a wide short tube with next to no volume has a tenth of its air in what stands for its ends
        assert -np.angle(h) / (2.0 * np.pi * f) == pytest.approx(lag, rel=0.1)
        assert abs(h) == pytest.approx(1.0, abs=1e-6)


def test_hangar():
    for name, plane, network in hangar():
        limits = quasi_steady_limits_hz(plane)
        felt = [tapping for i in plane.instruments for tapping in i.ports if not hasattr(i, "leak")]
        for instrument in felt:
            h = frequency_response(network, None, instrument, [0.0, 0.01, 0.1])
            assert np.abs(h - 1.0).max() < 0.1, name
            assert 0.2 < limits[instrument] < 20.0, name
        assert quasi_steady_limit_hz(network) == min(v for k, v in limits.items() if "." in k)
        assert quasi_steady_limit_hz(plane, felt[0]) == limits[felt[0]]


def test_one_port_of_two_moves_the_line_half_as_far():
    for name, _, network in hangar():
        if name == "low-wing-mast":
            h = frequency_response(network, "mast-static-inner", "altimeter.static", 0.0)
            assert h == pytest.approx(0.5, abs=1e-6)


def test_the_limit_is_where_it_is_said_to_be():
    """A line with a case: the engine has a lag only; by hand at the frequency found."""
    length, bore, volume = 3.0, 4.6e-3, 2.5e-4
    network = row_of([(length, bore, volume)])
    limit = quasi_steady_limit_hz(network, "v0", "outside", polytropic_exponent=1.4)
    lag = lag_time_constants(network, P0, T0)["v0"] / 1.4
    full = tube_response(lengthened([(length, bore)]), [bore / 2.0], [volume], [limit * 0.999, limit * 1.001])
    engine = 1.0 / (1.0 + 2j * np.pi * limit * np.array([0.999, 1.001]) * lag)
    ratio = engine / full
    off = np.maximum(np.abs(np.abs(ratio) - 1.0) / 0.05, np.abs(np.degrees(np.angle(ratio))) / 10.0)
    assert off[0] < 1.0 < off[1]
    # ringing near 8 Hz has raised the amplitude by a twentieth at some fifth of it
    assert 1.0 < limit < 3.0


def test_shut_off_is_still_and_never_off_limits():
    network = row_of([(1.0, 4e-3, 1e-4)]).with_openness("t0", Schedule.step(5.0, 1.0, 0.0))
    assert frequency_response(network, "outside", "v0", 0.0, at_s=0.0) == pytest.approx(1.0)
    assert (frequency_response(network, "outside", "v0", F, at_s=6.0) == 0.0).all()
    assert quasi_steady_limit_hz(network, at_s=6.0) == np.inf


@pytest.mark.parametrize(
    "bad",
    [
        {"moving": "nowhere"},
        {"tapping": "nowhere"},
        {"frequency_hz": -1.0},
        {"temperature_k": 0.0},
        {"mean_pressure_pa": float("nan")},
        {"polytropic_exponent": 0.9},
    ],
)
def test_bad_input(bad):
    good = {
        "plumbing": row_of([(1.0, 4e-3, 1e-4)]),
        "moving": "outside",
        "tapping": "v0",
        "frequency_hz": 1.0,
    }
    with pytest.raises(ValueError, match=r"no |must|at least"):
        frequency_response(**(good | bad))
