"""The library `fluids` (ATMOSPHERE_1976, its `dT` for an off-standard day, isentropic stagnation)."""

import numpy as np
import pytest

from ramstill import air

fluids = pytest.importorskip("fluids", reason="test extra not installed")
HEIGHTS = np.linspace(-2000.0, 46900.0, 163)


def _theirs(offset_k=0.0):
    return [fluids.ATMOSPHERE_1976(float(z), dT=offset_k) for z in air.geometric_from_geopotential(HEIGHTS)]


def test_atmosphere_1976(residual):
    theirs, t = _theirs(), air.standard_temperature(HEIGHTS)
    # R of 1976 is 8314.32/28.9644, 7e-7 above Doc 7488's 287.05287; pressure feels it once a scale height
    pairs = {
        "T": (t, [a.T for a in theirs], 1e-9),
        "p": (air.static_pressure(HEIGHTS), [a.P for a in theirs], 2e-5),
        "rho": (air.standard_density(HEIGHTS), [a.rho for a in theirs], 2e-5),
        "a": (air.speed_of_sound(t), [a.v_sonic for a in theirs], 2e-6),
        "mu": (air.viscosity(t), [a.mu for a in theirs], 1e-6),
        # conductivity: 1976 has 2.64638e-3 where Doc 7488 has 2.648151e-3, 6.7e-4 more
        "k": (air.thermal_conductivity(t), [a.k for a in theirs], 7e-4),
    }
    for name, (ours, other, tolerance) in pairs.items():
        residual(f"{name} [-]", float(np.max(np.abs(ours / np.array(other) - 1.0))), tolerance)


def test_off_standard_density(residual):
    """`fluids` warms the air at each standard pressure, as `Day` does."""
    theirs = np.array([a.rho for a in _theirs(20.0)])
    day = air.Day(temperature_offset_k=20.0)
    height = day.height(air.static_pressure(HEIGHTS))
    ours = air.density(day.pressure(height), day.temperature(height))
    residual("density on a day 20 K warm [-]", float(np.max(np.abs(ours / theirs - 1.0))), 2e-5)


def test_off_standard_thickness(residual):
    """Heights of a warm day against the hydrostatic integral done by quadrature."""
    from scipy.integrate import quad

    from ramstill.air.constants import G0, R_AIR

    day, off = air.Day(100300.0, 17.0), []
    for p in (90e3, 50e3, 20e3, 5e3, 1e3):
        knees = [np.log(air.static_pressure(h)) for h in (11000.0, 20000.0, 32000.0)]
        low, high = np.log(p), np.log(day.sea_level_pressure_pa)
        column, _ = quad(
            lambda x: R_AIR / G0 * (air.standard_temperature(air.pressure_altitude(np.exp(x))) + 17.0),
            low,
            high,
            points=[k for k in knees if low < k < high] or None,
            epsabs=1e-7,
        )
        off.append(abs(day.height(p) - column))
    residual("height of a warm day [m]", max(off), 1e-6)


@pytest.mark.parametrize("mach", [0.1, 0.5, 0.9])
def test_stagnation(mach):
    # isentropic stagnation pressure and temperature; both sides are closed forms
    t, p = 250.0, 30e3
    total = air.total_temperature(t, mach)
    assert fluids.P_stagnation(p, t, total, 1.4) == pytest.approx(
        p + air.impact_pressure_from_mach(mach, p), rel=1e-12
    )
