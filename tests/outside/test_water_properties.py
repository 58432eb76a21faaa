"""Surface tension of water: NBS/NRC Steam Tables (1984), page 267, see data/README.md."""

import numpy as np
import pytest

from ramstill.air.units import CELSIUS_ZERO
from ramstill.pneumatics.wet import (
    SUBLIMATION,
    surface_tension,
    vapour_pressure,
    vapour_pressure_over_ice,
    water_viscosity,
)


def test_surface_tension(read, residual):
    rows = read("water_surface_tension")
    t = np.array([float(r["temperature_c"]) for r in rows]) + CELSIUS_ZERO
    printed = np.array([float(r["surface_tension_mn_m"]) for r in rows]) * 1e-3
    residual("surface tension [N/m]", np.abs(surface_tension(t) - printed).max(), 1.5e-5)


def test_viscosity():
    """1.002 mPa s at 20 degC, 1.787 at 0 degC: handbooks, from memory; the fit is good to 2.5 %."""
    assert water_viscosity(CELSIUS_ZERO + 20.0) == pytest.approx(1.002e-3, rel=0.01)
    assert water_viscosity(CELSIUS_ZERO) == pytest.approx(1.787e-3, rel=0.025)


def test_vapour_pressure():
    """611 Pa at 0 degC, 2339 Pa at 20 degC, 286.5 over water and 259.9 over ice at -10 degC: from memory."""
    assert vapour_pressure(CELSIUS_ZERO + np.array([0.0, 20.0, -10.0])) == pytest.approx(
        [611.2, 2339.0, 286.5], rel=3e-3
    )
    assert vapour_pressure_over_ice(CELSIUS_ZERO - 10.0) == pytest.approx(259.9, rel=3e-3)


def test_latent_heat_of_sublimation():
    """2.834 MJ/kg: handbooks, from memory."""
    assert pytest.approx(2.834e6, rel=1e-3) == SUBLIMATION
