"""Properties of dry air: viscosity, conductivity, density, speed of sound, and temperature in a fast stream.

Assumptions: perfect gas, gamma 1.4, composition of the standard atmosphere, no humidity.
Source: ICAO Doc 7488/3 (1993) and US Standard Atmosphere 1976 (equation 51), unless a docstring says
otherwise.
"""

import numpy as np

from ramstill.air._arrays import Array, require, vectorised
from ramstill.air.constants import (
    CONDUCTIVITY_B,
    CONDUCTIVITY_C,
    CONDUCTIVITY_S,
    GAMMA,
    R_AIR,
    SUTHERLAND_BETA,
    SUTHERLAND_S,
)

_HALF = (GAMMA - 1.0) / 2.0


def _warm(temperature_k: Array) -> None:
    require(~(temperature_k <= 0.0), "temperature must be positive, in kelvin")


@vectorised
def viscosity(temperature_k: Array) -> Array:
    """Dynamic viscosity [Pa s] of air at a temperature [K], by Sutherland's law. ValueError unless T > 0."""
    _warm(temperature_k)
    return np.asarray(SUTHERLAND_BETA * temperature_k**1.5 / (temperature_k + SUTHERLAND_S))


@vectorised
def thermal_conductivity(temperature_k: Array) -> Array:
    """Thermal conductivity [W/(m K)] of air at a temperature [K]. ValueError unless T > 0."""
    _warm(temperature_k)
    bent = CONDUCTIVITY_S * 10.0 ** (-CONDUCTIVITY_C / temperature_k)
    return np.asarray(CONDUCTIVITY_B * temperature_k**1.5 / (temperature_k + bent))


@vectorised
def density(static_pressure_pa: Array, temperature_k: Array) -> Array:
    """Density [kg/m3] of air at a pressure [Pa] and temperature [K]: p / (R T). ValueError unless T > 0."""
    _warm(temperature_k)
    return static_pressure_pa / (R_AIR * temperature_k)


@vectorised
def speed_of_sound(temperature_k: Array) -> Array:
    """Speed of sound [m/s] in air at a temperature [K]: sqrt(gamma R T). ValueError unless T > 0."""
    _warm(temperature_k)
    return np.asarray(np.sqrt(GAMMA * R_AIR * temperature_k))


@vectorised
def total_temperature(temperature_k: Array, mach: Array, recovery: Array | float = 1.0) -> Array:
    """Temperature [K] that a probe shows in air of a temperature [K] at a Mach number [-].

    `recovery` [-] is the part of the rise T (gamma-1)/2 M^2 that the probe feels; 1 gives total temperature.
    Source: W. Gracey, NASA RP-1046 (1980), chapter on temperature (from memory). ValueError unless T > 0.
    """
    _warm(temperature_k)
    return temperature_k * (1.0 + recovery * _HALF * mach * mach)


@vectorised
def outside_temperature(indicated_total_k: Array, mach: Array, recovery: Array | float = 1.0) -> Array:
    """Outside air temperature [K] from a probe's reading [K] at a Mach number [-].

    The inverse of `total_temperature`. ValueError unless the reading is above zero.
    """
    _warm(indicated_total_k)
    return indicated_total_k / (1.0 + recovery * _HALF * mach * mach)
