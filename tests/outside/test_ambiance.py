"""The library `ambiance` (ICAO standard atmosphere 1993), which shares no code with this one."""

import numpy as np
import pytest

from ramstill import air

ambiance = pytest.importorskip("ambiance", reason="test extra not installed")


def test_from_minus_2_to_47_km(residual):
    h = np.linspace(-2000.0, 47000.0, 491)
    theirs = ambiance.Atmosphere(air.geometric_from_geopotential(h))
    t, p = air.standard_temperature(h), air.static_pressure(h)
    # both start from Doc 7488's constants; ambiance rounds the pressures at the feet of layers
    pairs = {
        "H": (h, theirs.H, 1e-12),
        "T": (t, theirs.temperature, 1e-9),
        "p": (p, theirs.pressure, 3e-5),
        "rho": (air.standard_density(h), theirs.density, 3e-5),
        "a": (air.speed_of_sound(t), theirs.speed_of_sound, 1e-6),
        "mu": (air.viscosity(t), theirs.dynamic_viscosity, 1e-9),
        "k": (air.thermal_conductivity(t), theirs.thermal_conductivity, 1e-9),
    }
    for name, (ours, other, tolerance) in pairs.items():
        scale = np.maximum(np.abs(other), 1.0) if name == "H" else np.abs(other)
        residual(f"{name} [-]", float(np.max(np.abs(ours - other) / scale)), tolerance)


def test_geopotential_height(residual):
    z = np.linspace(-2000.0, 47000.0, 50)
    theirs = ambiance.Atmosphere.geom2geop_height(z)
    residual(
        "geopotential height [m]", float(np.max(np.abs(air.geopotential_from_geometric(z) - theirs))), 1e-6
    )
