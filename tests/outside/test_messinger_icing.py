"""How much of the water freezes, and how warm an icing front is.

B. L. Messinger, J. Aeronaut. Sci. 20 (1953) 29, table 1 (data/README.md): a cylinder of 3.75 in in a duct on
Mount Washington, 207 to 252 mph; freezing fraction worked out by him, front temperature measured. He does
not print how much water hit nor how well heat left. The first is taken here from I. Langmuir and K. B.
Blodgett's law for the stagnation line as NASA/CR-2004-212875 gives it (from memory), the second from the law
of `heat_transfer`; the pressure from the standard day at the summit, 6288 ft. His fractions and ours may
differ by what those differ: with a catch known to some tenths, by a tenth.
"""

import numpy as np

from ramstill import air
from ramstill.air.units import CELSIUS_ZERO, FT, INCH
from ramstill.pneumatics.ice import freezing_fraction, heat_transfer, surface_temperature

MPH = 1609.344 / 3600.0
DIAMETER = 3.75 * INCH
SUMMIT = 6288.0 * FT


def stagnation_catch(v, droplet, temperature, pressure):
    """Share of the water in the way of the stagnation line that hits it (Langmuir and Blodgett)."""
    mu = air.viscosity(temperature)
    k = 1000.0 * droplet**2 * v / (9.0 * mu * DIAMETER)
    reynolds = air.density(pressure, temperature) * v * droplet / mu
    k0 = 0.125 + (k - 0.125) / (0.8388 + 0.001483 * reynolds + 0.1847 * reynolds**0.5)
    x = 1.4 * (k0 - 0.125) ** 0.84
    return x / (1.0 + x)


def columns(read):
    rows = read("messinger_cylinder")
    get = {
        name: np.array([float(r[name]) for r in rows])
        for name in rows[0]
        if name not in ("run", "provenance")
    }
    v, t = get["airspeed_mph"] * MPH, (get["air_temperature_f"] - 32.0) / 1.8 + CELSIUS_ZERO
    p = air.static_pressure(SUMMIT)
    water = get["liquid_water_g_m3"] * 1e-3
    catch = stagnation_catch(v, get["droplet_diameter_um"] * 1e-6, t, p) * water * v
    balance = (catch, v, t, heat_transfer(v, DIAMETER, t, p), 0.0, p)
    return get, freezing_fraction(*balance), surface_temperature(*balance)


def test_freezing_fraction(read, residual):
    get, fraction, _ = columns(read)
    off = np.abs(fraction - get["freezing_fraction_printed"])
    residual("freezing fraction, largest [-]", off.max(), 0.11)
    residual("freezing fraction, median [-]", np.median(off), 0.05)
    assert (fraction[get["freezing_fraction_printed"] == 1.0] == 1.0).all()


def test_front_temperature(read, residual):
    get, _, front = columns(read)
    off = np.abs((front - CELSIUS_ZERO) * 1.8 + 32.0 - get["surface_temperature_measured_f"])
    # measured to a degree; a wet front was read at 30 to 34 degF
    residual("front temperature, largest [degF]", off.max(), 4.5)
    residual("front temperature, median [degF]", np.median(off), 1.5)
