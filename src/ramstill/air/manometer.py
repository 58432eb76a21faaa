"""Columns of water and mercury: pressure difference to height and back, under standard gravity.

The weight of the air beside the column and of the vapour above it is left out (about 0.1 % of water).
"""

import numpy as np

from ramstill.air._arrays import Array, require, vectorised
from ramstill.air.constants import G0
from ramstill.air.units import CELSIUS_ZERO, INCH, INHG

WATER_REFERENCE_K = CELSIUS_ZERO + 20.0  # temperature of the water in published airspeed tables [K]

# Kell's fractional polynomial in degrees Celsius, highest power last
_KELL = (999.83952, 16.945176, -7.9870401e-3, -46.170461e-6, 105.56302e-9, -280.54253e-12)
_KELL_BELOW = 16.879850e-3


@vectorised
def water_density(temperature_k: Array) -> Array:
    """Density [kg/m3] of air-free water at one atmosphere and a temperature [K], 273.15 K to 373.15 K.

    Source: G. S. Kell, J. Chem. Eng. Data 20 (1975) 97, equation 16; within 0.01 kg/m3 of the CIPM formula of
    2001 from 0 to 40 degC. Raises ValueError outside the range.
    """
    t = temperature_k - CELSIUS_ZERO
    require(~((t < -1e-9) | (t > 100.0 + 1e-9)), "water temperature must lie within 273.15 K and 373.15 K")
    above = np.zeros_like(t)
    for c in reversed(_KELL):
        above = above * t + c
    return np.asarray(above / (1.0 + _KELL_BELOW * t))


@vectorised
def water_height(
    pressure_difference_pa: Array, water_temperature_k: Array | float = WATER_REFERENCE_K
) -> Array:
    """Height [m] of the column of water, at a temperature [K], that balances a pressure difference [Pa]."""
    return pressure_difference_pa / (np.asarray(water_density(water_temperature_k)) * G0)


@vectorised
def water_pressure(height_m: Array, water_temperature_k: Array | float = WATER_REFERENCE_K) -> Array:
    """Pressure difference [Pa] that a column of water [m] at a temperature [K] balances."""
    return height_m * (np.asarray(water_density(water_temperature_k)) * G0)


@vectorised
def mercury_height(pressure_difference_pa: Array) -> Array:
    """Height [m] of conventional mercury at 0 degC for a pressure difference [Pa]. NIST SP 811, B.8."""
    return pressure_difference_pa * (INCH / INHG)


@vectorised
def mercury_pressure(height_m: Array) -> Array:
    """Pressure difference [Pa] of a column of conventional mercury at 0 degC [m]. NIST SP 811, B.8."""
    return height_m * (INHG / INCH)
