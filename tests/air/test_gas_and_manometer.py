"""Gas properties and manometer columns."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ramstill import air
from ramstill.air.constants import CP_AIR, CV_AIR, G0, GAMMA, P0, R_AIR
from ramstill.air.units import CELSIUS_ZERO, HPA, INCH, INHG

few = settings(deadline=None, derandomize=True, max_examples=60)


@few
@given(st.floats(150.0, 350.0), st.floats(0.0, 5.0), st.floats(0.0, 1.0))
def test_probe_and_back(t, m, recovery):
    shown = air.total_temperature(t, m, recovery)
    assert shown >= t
    assert air.outside_temperature(shown, m, recovery) == pytest.approx(t, rel=1e-12)


def test_recovery_by_name_and_by_default():
    assert air.total_temperature(250.0, 1.0) == pytest.approx(300.0, rel=1e-12)
    assert air.total_temperature(250.0, 1.0, recovery=0.5) == pytest.approx(275.0, rel=1e-12)


def test_gas_constants_fit_together():
    assert abs((CP_AIR - CV_AIR) / R_AIR - 1.0) < 1e-12
    assert abs(CP_AIR / CV_AIR / GAMMA - 1.0) < 1e-12
    t = np.array([220.0, 288.15])
    np.testing.assert_allclose(air.speed_of_sound(t) ** 2 * air.density(P0, t) / P0, GAMMA, rtol=1e-12)


def test_prandtl_number():
    # 0.71 to 0.72 for air at room temperature, any heat-transfer handbook (from memory)
    pr = air.viscosity(288.15) * CP_AIR / air.thermal_conductivity(288.15)
    assert 0.70 < pr < 0.72


@pytest.mark.parametrize("law", [air.viscosity, air.thermal_conductivity, air.speed_of_sound])
def test_absolute_zero(law):
    with pytest.raises(ValueError, match="kelvin"):
        law([288.0, 0.0])


@few
@given(st.floats(-1e5, 1e5), st.floats(CELSIUS_ZERO, CELSIUS_ZERO + 100.0))
def test_columns_and_back(pressure, t):
    assert air.water_pressure(air.water_height(pressure, t), t) == pytest.approx(
        pressure, rel=1e-12, abs=1e-12
    )
    assert air.mercury_pressure(air.mercury_height(pressure)) == pytest.approx(pressure, rel=1e-12, abs=1e-12)


def test_known_columns():
    assert air.mercury_height(P0) == pytest.approx(0.760, abs=1e-6)  # the old definition of the atmosphere
    assert air.mercury_pressure(INCH) == pytest.approx(INHG, rel=1e-15)
    assert air.water_height(HPA, 293.15) == pytest.approx(HPA / (998.204 * G0), rel=1e-6)
    warm, cold = air.water_height(1000.0, 313.15), air.water_height(1000.0, 278.15)
    assert warm > cold


@few
@given(st.floats(CELSIUS_ZERO + 5.0, CELSIUS_ZERO + 99.0))
def test_water_thins_as_it_warms(t):
    assert air.water_density(t) > air.water_density(t + 0.5)


@pytest.mark.parametrize("celsius", [-0.1, 100.1])
def test_water_must_be_water(celsius):
    with pytest.raises(ValueError, match=r"373\.15 K"):
        air.water_density(celsius + CELSIUS_ZERO)
