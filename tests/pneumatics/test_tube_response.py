"""Tubes and volumes in oscillation: the limits that can be worked out by hand."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ramstill import air
from ramstill.air.constants import GAMMA, P0, R_AIR, T0
from ramstill.pneumatics import tube_response
from ramstill.pneumatics.tube_response import bessel_ratio

FEW = settings(deadline=None, derandomize=True, max_examples=40)
tubes = st.lists(
    st.tuples(st.floats(0.01, 5.0), st.floats(1e-4, 5e-3), st.floats(0.0, 1e-3)), min_size=1, max_size=5
)


def test_shape_and_frequency_zero():
    f = np.array([[0.0, 1.0], [10.0, 0.0]])
    h = tube_response([3.0], [2.3e-3], [2.5e-4], f)
    assert h.shape == (2, 2)
    assert h.dtype == np.complex128
    assert h[0, 0] == h[1, 1] == 1.0
    assert tube_response([3.0], [2.3e-3], [2.5e-4], 1.0).shape == ()
    assert tube_response(3.0, 2.3e-3, 0.0, []).shape == (0,)


@pytest.mark.parametrize("exponent", [1.0, 1.2, 1.4])
def test_slow_changes_lag_as_the_published_formula_says(exponent):
    """lambda = 128 mu L V / (pi d^4 p), the volume as much smaller as its exponent is larger."""
    length, bore, volume, p, t = 2.0, 1e-3, 1e-3, 8e4, 270.0
    lag = 128.0 * air.viscosity(t) * length * volume / exponent / (np.pi * bore**4 * p)
    f = np.array([0.01, 0.1, 1.0]) / (2.0 * np.pi * lag)
    h = tube_response([length], [bore / 2.0], [volume], f, p, t, exponent)
    # the tube's own 1.6 cm3 counts for half of its share, 0.16 %; inertia for less
    assert np.abs(h * (1.0 + 2j * np.pi * f * lag) - 1.0).max() < 2e-3


def test_without_friction_a_neck_and_a_volume_resonate_where_helmholtz_says():
    """A wide short neck on a large volume: f = a/(2 pi) sqrt(S/(L V)), phase -90 degrees there."""
    length, radius, volume = 0.5, 0.02, 0.1
    helmholtz = air.speed_of_sound(T0) / (2.0 * np.pi) * np.sqrt(np.pi * radius**2 / length / volume)
    f = np.linspace(0.9, 1.1, 2001) * helmholtz
    h = tube_response([length], [radius], [volume], f)
    # friction in a boundary layer of 0.7 mm of 20 mm slows it by 2 %; the neck's own air by 0.1 %
    assert f[np.argmax(np.abs(h))] == pytest.approx(helmholtz, rel=0.03)
    assert np.abs(h).max() > 5.0


def test_a_line_with_a_case_rings_near_eight_hertz():
    """3 m of 4.6 mm bore with 0.25 l: 8.1 Hz without friction; friction and the line's air bring it down."""
    length, radius, volume = 3.0, 2.3e-3, 2.5e-4
    ideal = air.speed_of_sound(T0) / (2.0 * np.pi) * np.sqrt(np.pi * radius**2 / length / volume)
    assert ideal == pytest.approx(8.06, abs=0.01)
    f = np.linspace(0.1, 20.0, 4000)
    h = tube_response([length], [radius], [volume], f)
    across = f[np.argmax(np.angle(h) < -np.pi / 2.0)]
    assert 6.5 < across < ideal
    assert 1.5 < np.abs(h).max() < 4.0


def test_a_closed_tube_without_friction_is_a_quarter_wave():
    length, radius = 1.0, 0.02
    quarter = air.speed_of_sound(T0) / (4.0 * length)
    f = np.linspace(0.9, 1.05, 2001) * quarter
    h = tube_response([length], [radius], [0.0], f)
    assert f[np.argmax(np.abs(h))] == pytest.approx(quarter, rel=0.02)


@FEW
@given(tubes, st.floats(0.01, 0.99), st.floats(0.1, 300.0))
def test_a_tube_cut_in_two_is_the_same_tube(rows, share, f):
    lengths, radii, volumes = (np.array(column) for column in zip(*rows, strict=True))
    cut = tube_response(
        np.concatenate([[lengths[0] * share, lengths[0] * (1.0 - share)], lengths[1:]]),
        np.concatenate([[radii[0]], radii]),
        np.concatenate([[0.0], volumes]),
        f,
    )
    whole = tube_response(lengths, radii, volumes, f)
    assert cut == pytest.approx(whole, rel=1e-9)


@FEW
@given(tubes, st.floats(1e-6, 1e6), st.floats(1e3, 2e5), st.floats(200.0, 330.0))
def test_always_finite_and_one_when_slow(rows, f, p, t):
    lengths, radii, volumes = zip(*rows, strict=True)
    h = tube_response(lengths, radii, volumes, [0.0, 1e-12, f], p, t)
    assert np.isfinite(h).all()
    assert abs(h[1] - 1.0) < 1e-3
    assert h[1].imag <= 0.0


@FEW
@given(tubes, st.floats(0.1, 50.0))
def test_recursion_as_printed(rows, f):
    """The report's own recursion, ratio by ratio from the last tube, with unscaled functions."""
    from scipy.special import jv

    mu, omega = air.viscosity(T0), 2.0 * np.pi * f
    density, sound = P0 / (R_AIR * T0), air.speed_of_sound(T0)
    prandtl = mu * GAMMA * R_AIR / (GAMMA - 1.0) / air.thermal_conductivity(T0)
    ratio, load = 1.0, 0.0
    for length, radius, volume in reversed(rows):
        alpha = 1j**1.5 * radius * np.sqrt(density * omega / mu)
        bend = jv(0, alpha) / jv(2, alpha)
        heat = jv(2, alpha * np.sqrt(prandtl)) / jv(0, alpha * np.sqrt(prandtl))
        n = 1.0 / (1.0 + (GAMMA - 1.0) / GAMMA * heat)
        phi = omega / sound * np.sqrt(bend) * np.sqrt(GAMMA / n)
        tube_volume = np.pi * radius**2 * length
        cosh, sinh = np.cosh(phi * length), np.sinh(phi * length)
        across = tube_volume * phi / length / bend
        here = 1.0 / (cosh + volume / tube_volume / 1.4 * n * phi * length * sinh + load * sinh / across)
        load = across / sinh * (cosh - here)  # the last term of the next tube towards the open end
        ratio *= here
    lengths, radii, volumes = zip(*rows, strict=True)
    assert tube_response(lengths, radii, volumes, f) == pytest.approx(ratio, rel=1e-7)


def test_ratio_of_bessel_functions_at_any_size():
    turn = np.exp(0.75j * np.pi)
    small, large = 1e-5 * turn, np.array([1e5, 0.999e6, 1.001e6, 1e9]) * turn
    assert bessel_ratio(small) == pytest.approx(small**2 / 8.0, rel=1e-9)
    assert bessel_ratio(large) == pytest.approx(-1.0 + 2j / large, rel=2e-10)


@pytest.mark.parametrize(
    "bad",
    [
        {"lengths_m": [1.0, 2.0]},
        {"lengths_m": [], "radii_m": [], "volumes_m3": []},
        {"lengths_m": [[1.0]], "radii_m": [[1e-3]], "volumes_m3": [[0.0]]},
        {"lengths_m": [0.0]},
        {"lengths_m": [float("nan")]},
        {"radii_m": [-1e-3]},
        {"radii_m": [float("inf")]},
        {"volumes_m3": [-1e-9]},
        {"frequency_hz": [1.0, -1.0]},
        {"frequency_hz": float("nan")},
        {"mean_pressure_pa": 0.0},
        {"temperature_k": -1.0},
        {"polytropic_exponent": 0.0},
        {"polytropic_exponent": float("nan")},
    ],
)
def test_bad_input(bad):
    good = {"lengths_m": [1.0], "radii_m": [1e-3], "volumes_m3": [1e-4], "frequency_hz": [1.0]}
    with pytest.raises(ValueError, match=r"must be|are|at least"):
        tube_response(**(good | bad))
