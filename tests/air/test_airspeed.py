"""Airspeeds: round trips either side of Mach 1, order, no step at Mach 1, odd below zero."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ramstill import air
from ramstill.air.constants import A0, GAMMA, P0
from ramstill.air.units import KT

few = settings(deadline=None, derandomize=True, max_examples=80)
machs = st.floats(1e-6, 30.0)
pressures = st.floats(111.0, 2e5)
temperatures = st.floats(150.0, 350.0)
REL = 1e-9  # the promise; found to be about 1e-14


@few
@given(machs, pressures)
def test_mach_and_back(m, p):
    assert air.mach(air.impact_pressure_from_mach(m, p), p) == pytest.approx(m, rel=REL)


@few
@given(st.floats(1e-3, 3000.0))
def test_calibrated_and_back(v):
    assert air.calibrated_airspeed(air.impact_pressure(v)) == pytest.approx(v, rel=REL)


@few
@given(st.floats(1e-6, 1e8))
def test_impact_pressure_and_back(q):
    assert air.impact_pressure(air.calibrated_airspeed(q)) == pytest.approx(q, rel=REL)


@few
@given(st.floats(1e-3, 900.0), pressures, temperatures)
def test_true_and_back(v, p, t):
    assert air.true_from_calibrated(air.calibrated_from_true(v, p, t), p, t) == pytest.approx(v, rel=REL)
    assert air.true_airspeed(air.mach_from_true_airspeed(v, t), t) == pytest.approx(v, rel=REL)
    assert air.equivalent_airspeed(air.mach_from_equivalent(v, p), p) == pytest.approx(v, rel=REL)


@few
@given(machs, machs)
def test_faster_means_more(a, b):
    low, high = sorted((a, b))
    if high > low * (1 + 1e-9):
        assert air.impact_pressure_from_mach(high, 5e4) > air.impact_pressure_from_mach(low, 5e4)


@few
@given(st.floats(-900.0, 900.0), pressures)
def test_odd_below_zero(v, p):
    assert air.impact_pressure(-v) == -air.impact_pressure(v)
    q = air.impact_pressure(v)
    assert air.calibrated_airspeed(-q) == -air.calibrated_airspeed(q)
    assert air.mach(-q, p) == -air.mach(q, p)


@few
@given(st.floats(1.0, 250.0), st.floats(0.0, 11000.0))
def test_order_of_the_speeds_aloft(cas, h):
    p = air.static_pressure(h)
    m = air.mach_from_calibrated(cas, p)
    eas, tas = air.equivalent_airspeed(m, p), air.true_airspeed(m, air.standard_temperature(h))
    assert eas <= cas * (1 + 1e-12)
    assert tas >= eas * (1 - 1e-12)


def test_all_four_agree_on_the_standard_ground():
    v = np.linspace(1.0, 330.0, 50)
    m = air.mach_from_calibrated(v, P0)
    np.testing.assert_allclose(m, v / A0, rtol=1e-12)
    np.testing.assert_allclose(air.equivalent_airspeed(m, P0), v, rtol=1e-12)
    np.testing.assert_allclose(air.true_airspeed(m, 288.15), v, rtol=1e-12)


def test_no_step_nor_kink_nor_bend_at_mach_1():
    """A shock loses total pressure with the third power of its strength: two derivatives pass unbroken."""

    def q(m):
        return air.impact_pressure_from_mach(m, 1.0)

    d = 1e-3
    assert q(1.0 - 1e-12) == pytest.approx(q(1.0 + 1e-12), rel=1e-11)
    below, above = (q(1.0) - q(1.0 - d)) / d, (q(1.0 + d) - q(1.0)) / d
    curve_below = (q(1.0) - 2 * q(1.0 - d) + q(1.0 - 2 * d)) / d**2
    curve_above = (q(1.0 + 2 * d) - 2 * q(1.0 + d) + q(1.0)) / d**2
    assert below == pytest.approx(above, rel=3e-3)  # one-sided differences differ by d times the curvature
    assert curve_below == pytest.approx(curve_above, rel=2e-2)
    assert air.mach(q(1.0), 1.0) == pytest.approx(1.0, rel=1e-12)


def test_small_speeds_are_half_rho_v_squared():
    v = np.array([1e-3, 0.1, 1.0])
    # compressibility adds M^2/4: 2e-6 at 1 m/s
    np.testing.assert_allclose(air.impact_pressure(v), GAMMA / 2 * P0 * (v / A0) ** 2, rtol=3e-6)
    assert air.impact_pressure(0.0) == 0.0
    assert air.calibrated_airspeed(0.0) == 0.0


def test_supersonic_and_subsonic_in_one_array():
    v = np.array([[-800.0, 0.0, 60.0], [150.0, 700.0, 900.0]]) * KT
    np.testing.assert_allclose(air.calibrated_airspeed(air.impact_pressure(v)), v, rtol=1e-12)


@pytest.mark.parametrize("p", [0.0, -1.0])
def test_pressure_must_be_positive(p):
    for law in (air.mach, air.impact_pressure_from_mach, air.equivalent_airspeed, air.mach_from_calibrated):
        with pytest.raises(ValueError, match="positive"):
            law(100.0, p)


def test_temperature_must_be_positive():
    for law in (air.true_airspeed, air.mach_from_true_airspeed):
        with pytest.raises(ValueError, match="kelvin"):
            law(0.5, 0.0)
