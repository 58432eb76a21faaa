"""The standard atmosphere: round trips, order, limits, and how scalars and arrays are handled."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ramstill import air
from ramstill.air.constants import P0, RHO0, T0

few = settings(deadline=None, derandomize=True, max_examples=60)
inside = st.floats(-2000.0, 47000.0)
# Relative to the altitude, or to 1 m where it is smaller: pressure itself is only known to 1e-16 of itself,
# which is 1e-12 m.
REL = 1e-9


@few
@given(inside)
def test_pressure_and_back(h):
    assert air.pressure_altitude(air.static_pressure(h)) == pytest.approx(h, rel=REL, abs=REL)


@few
@given(st.floats(111.0, 2e6))
def test_altitude_and_back_even_far_below(p):
    h = air.pressure_altitude(p)
    if h >= -2000.0:
        assert air.static_pressure(h) == pytest.approx(p, rel=REL)
    else:
        assert air.pressure_altitude(p * 1.0001) < h


@few
@given(inside)
def test_density_altitude_of_the_standard_day(h):
    found = air.density_altitude(air.static_pressure(h), air.standard_temperature(h))
    assert found == pytest.approx(h, rel=REL, abs=REL)


@few
@given(inside, inside)
def test_pressure_and_density_fall(a, b):
    low, high = sorted((a, b))
    if high - low > 1e-6:
        assert air.static_pressure(low) > air.static_pressure(high)
        assert air.standard_density(low) > air.standard_density(high)


@few
@given(st.floats(-5000.0, 80000.0))
def test_geopotential_and_back(z):
    h = air.geopotential_from_geometric(z)
    assert air.geometric_from_geopotential(h) == pytest.approx(z, rel=REL, abs=REL)
    assert abs(h) <= abs(z) * (1 + 1e-3)


@pytest.mark.parametrize("foot", [0.0, 11000.0, 20000.0, 32000.0])
def test_no_step_between_layers(foot):
    for law in (air.static_pressure, air.standard_temperature, air.standard_density):
        assert law(foot - 1e-7) == pytest.approx(law(foot + 1e-7), rel=1e-10)


def test_sea_level():
    assert air.static_pressure(0.0) == P0
    assert air.standard_temperature(0.0) == T0
    assert air.standard_density(0.0) == pytest.approx(RHO0, rel=1e-15)
    assert air.pressure_altitude(P0) == 0.0


@pytest.mark.parametrize("h", [-2000.1, 47000.1, np.inf, -np.inf])
@pytest.mark.parametrize("law", ["static_pressure", "standard_temperature", "standard_density"])
def test_limits_are_named(law, h):
    with pytest.raises(ValueError, match="-2000 m and 47000 m"):
        getattr(air, law)([0.0, h])


@pytest.mark.parametrize("p", [0.0, -1.0, 110.0])
def test_no_pressure_altitude_above_the_top(p):
    with pytest.raises(ValueError, match=r"at least 110\.91 Pa"):
        air.pressure_altitude(p)


def test_density_altitude_refuses():
    with pytest.raises(ValueError, match="pressure must be positive"):
        air.density_altitude(0.0, 288.0)
    with pytest.raises(ValueError, match="kelvin"):
        air.density_altitude(P0, -3.0)
    with pytest.raises(ValueError, match="thinner"):
        air.density_altitude(200.0, 600.0)


def test_shapes():
    assert type(air.static_pressure(0.0)) is float
    assert type(air.static_pressure(np.float64(0.0))) is float
    assert type(air.static_pressure(np.array(0.0))) is float
    assert type(air.static_pressure(0)) is float
    assert air.static_pressure([0, 1000]).shape == (2,)
    assert air.static_pressure(np.zeros((2, 3))).shape == (2, 3)
    assert air.static_pressure([]).shape == (0,)
    assert air.density_altitude(np.full((3, 1), 9e4), np.full(2, 280.0)).shape == (3, 2)
    assert air.density_altitude(static_pressure_pa=9e4, temperature_k=[280.0]).shape == (1,)


def test_nan_stays_nan():
    assert np.isnan(air.static_pressure([np.nan, 0.0])).tolist() == [True, False]
    assert np.isnan(air.pressure_altitude(np.nan))
    assert np.isnan(air.mach(np.nan, P0))


def test_input_is_left_alone():
    h = np.array([0.0, 12000.0])
    air.static_pressure(h)
    assert h.tolist() == [0.0, 12000.0]
