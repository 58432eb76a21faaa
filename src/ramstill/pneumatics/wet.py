"""Water and ice: what the laws of ice.py and water.py need to know of them.

Values at 0 degC where nothing else is said, from memory unless a source says that it was seen.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ramstill.air.units import CELSIUS_ZERO

FloatArray = NDArray[np.float64]

FREEZING_K = CELSIUS_ZERO  # at one atmosphere [K]
FUSION = 333.6e3  # latent heat of freezing [J/kg]
EVAPORATION = 2.501e6  # latent heat of evaporation [J/kg]
SUBLIMATION = FUSION + EVAPORATION  # [J/kg]
WATER_HEAT = 4217.0  # specific heat of water [J/(kg K)]
ICE_HEAT = 2100.0  # specific heat of ice [J/(kg K)]
ICE_DENSITY = 917.0  # without bubbles [kg/m3]
DROPLET_DENSITY = 1000.0  # [kg/m3]
VAPOUR_RATIO = 0.622  # molar mass of water over that of air [-]

_CRITICAL_K = 647.096


def vapour_pressure(temperature_k: ArrayLike) -> FloatArray:
    """Saturation pressure over liquid water, also supercooled [Pa].

    Magnus formula of WMO-No. 8, Guide to Instruments and Methods of Observation, annex 4.B (from memory):
    within 0.3 % from -45 to 60 degC.
    """
    t = np.asarray(temperature_k, dtype=float) - FREEZING_K
    return np.asarray(611.2 * np.exp(17.62 * t / (243.12 + t)))


def vapour_pressure_over_ice(temperature_k: ArrayLike) -> FloatArray:
    """Saturation pressure over ice [Pa]; source and accuracy as for water, below 0 degC."""
    t = np.asarray(temperature_k, dtype=float) - FREEZING_K
    return np.asarray(611.2 * np.exp(22.46 * t / (272.62 + t)))


def vapour_slope_over_ice(temperature_k: ArrayLike) -> FloatArray:
    """Slope of the saturation pressure over ice [Pa/K]."""
    t = np.asarray(temperature_k, dtype=float) - FREEZING_K
    return np.asarray(vapour_pressure_over_ice(temperature_k) * 22.46 * 272.62 / (272.62 + t) ** 2)


def surface_tension(temperature_k: ArrayLike) -> FloatArray:
    """Surface tension of clean water against air [N/m]: IAPWS R1-76 (2014), formula from memory.

    Dirt and soap lower it, to less than half. ValueError outside 233.15 to 647.096 K.
    """
    temperature = np.asarray(temperature_k, dtype=float)
    if not ((temperature >= 233.15) & (temperature <= _CRITICAL_K)).all():
        raise ValueError("the temperature of water must be from 233.15 to 647.096 K")
    tau = 1.0 - temperature / _CRITICAL_K
    return np.asarray(0.2358 * tau**1.256 * (1.0 - 0.625 * tau))


def water_viscosity(temperature_k: ArrayLike) -> FloatArray:
    """Dynamic viscosity of water [Pa s], 2.414e-5 x 10^(247.8 / (T - 140)): textbooks, from memory.

    Within 2.5 % from 0 to 100 degC. ValueError outside 253.15 to 373.15 K.
    """
    temperature = np.asarray(temperature_k, dtype=float)
    if not ((temperature >= 253.15) & (temperature <= 373.15)).all():
        raise ValueError("the temperature of water must be from 253.15 to 373.15 K")
    return np.asarray(2.414e-5 * 10.0 ** (247.8 / (temperature - 140.0)))
