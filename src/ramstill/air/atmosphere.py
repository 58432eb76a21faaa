"""The standard atmosphere: pressure, temperature and density against geopotential altitude.

Source: ICAO Doc 7488/3 (1993), Manual of the ICAO Standard Atmosphere; the same numbers as the US Standard
Atmosphere 1976 up to 47 km. Assumptions: dry perfect gas in hydrostatic balance, temperature
straight-lined in layers.

Altitudes are geopotential metres unless a name says otherwise. NaN goes in and comes out as NaN.
"""

from functools import cache
from typing import Any

import numpy as np

from ramstill.air._arrays import Array, require, vectorised
from ramstill.air.constants import EARTH_RADIUS, G0, P0, R_AIR, RHO0, T0

LOWEST = -2000.0  # lowest altitude of the standard [m]
HIGHEST = 47000.0  # highest altitude offered here [m]
_SLACK = 1e-3  # [m]; lets a round trip that ends on a limit through

# Layer foot [m] and temperature gradient [K/m], Doc 7488 table D. The lowest also serves below sea level.
_FOOT = np.array([0.0, 11000.0, 20000.0, 32000.0])
_LAPSE = np.array([-6.5e-3, 0.0, 1.0e-3, 2.8e-3])


def _feet() -> tuple[Array, Array, Array]:
    temperature, log_pressure = [T0], [0.0]
    for foot, top, lapse in zip(_FOOT, _FOOT[1:], _LAPSE, strict=False):
        t, dh = temperature[-1], top - foot
        drop = G0 / R_AIR * (np.log1p(lapse * dh / t) / lapse if lapse else dh / t)
        temperature.append(t + lapse * dh)
        log_pressure.append(log_pressure[-1] - drop)
    t_foot, log_p = np.array(temperature), np.array(log_pressure)
    return t_foot, log_p, log_p - np.log(t_foot / T0)


_T_FOOT, _LOG_P_FOOT, _LOG_RHO_FOOT = _feet()  # logarithms of p/P0 and rho/RHO0
LAYERS = (_FOOT, _LAPSE, _T_FOOT, _LOG_P_FOOT)  # feet [m], gradients [K/m], there: T [K] and ln(p/P0) [-]


def _layer(h: Array) -> Any:
    return np.clip(np.searchsorted(_FOOT, h, side="right") - 1, 0, len(_FOOT) - 1)


def temperature_unbounded(h: Array) -> Array:
    """Standard temperature [K] at `h` [m], end layers carried on without limit. Arrays only; no checks."""
    i = _layer(h)
    return np.asarray(_T_FOOT[i] + _LAPSE[i] * (h - _FOOT[i]))


def log_pressure_unbounded(h: Array) -> Array:
    """ln(p/P0) [-] at `h` [m], end layers carried on without limit. Arrays only; no checks."""
    i = _layer(h)
    lapse, t, dh = _LAPSE[i], _T_FOOT[i], h - _FOOT[i]
    flat = lapse == 0.0
    safe = np.where(flat, 1.0, lapse)
    column = np.where(flat, dh / t, np.log1p(np.where(flat, 0.0, lapse) * dh / t) / safe)
    return np.asarray(_LOG_P_FOOT[i] - G0 / R_AIR * column)


def _altitude_of(log_ratio: Array, log_feet: Array, extra: float) -> Array:
    """Invert ln(p/P0) (`extra` 0) or ln(rho/RHO0) (`extra` 1), whose power of T is -(g/(R lapse) + extra)."""
    if log_ratio.size and float(log_ratio.min()) > log_feet[1]:  # all in the lowest layer: the quick way
        per_m, foot = float(_LAPSE[0]), float(_T_FOOT[0])
        rise = np.expm1(per_m / (G0 / R_AIR + extra * per_m) * (log_feet[0] - log_ratio))
        return np.asarray(_FOOT[0] + foot / per_m * rise)
    i = np.clip(np.searchsorted(-log_feet, -log_ratio, side="right") - 1, 0, len(_FOOT) - 1)
    lapse, t, down = _LAPSE[i], _T_FOOT[i], log_feet[i] - log_ratio
    flat = lapse == 0.0
    safe = np.where(flat, 1.0, lapse)
    power = np.where(flat, 1.0, safe / (G0 / R_AIR + extra * safe))
    dh = np.where(flat, down * t * R_AIR / G0, t / safe * np.expm1(np.where(flat, 0.0, power * down)))
    return np.asarray(_FOOT[i] + dh)


def _require_inside(h: Array) -> None:
    outside = (h < LOWEST - _SLACK) | (h > HIGHEST + _SLACK)
    require(~outside, f"altitude must lie within {LOWEST:g} m and {HIGHEST:g} m geopotential")


@vectorised
def static_pressure(pressure_altitude_m: Array) -> Array:
    """Static pressure [Pa] of the standard day at a pressure altitude [m].

    Raises ValueError outside -2,000 m to 47,000 m. Source: ICAO Doc 7488/3, equations 12 and 13.
    """
    _require_inside(pressure_altitude_m)
    return np.asarray(P0 * np.exp(log_pressure_unbounded(pressure_altitude_m)))


@cache
def _thinnest() -> float:
    return float(P0 * np.exp(log_pressure_unbounded(np.asarray(HIGHEST + _SLACK))))


@vectorised
def pressure_altitude(static_pressure_pa: Array) -> Array:
    """Pressure altitude [m] of a static pressure [Pa]; the inverse of `static_pressure`.

    An instrument that is blown into sees more than the pressure at -2,000 m, so the lowest layer's law is
    carried on downwards without limit. Raises ValueError for pressures below that at 47,000 m (about 111 Pa).
    """
    top = _thinnest()
    require(
        ~(static_pressure_pa < top), f"static pressure must be at least {top:.5g} Pa, that at {HIGHEST:g} m"
    )
    return _altitude_of(np.log(static_pressure_pa / P0), _LOG_P_FOOT, 0.0)


@vectorised
def standard_temperature(pressure_altitude_m: Array) -> Array:
    """Temperature [K] of the standard day at a pressure altitude [m]. ValueError outside -2 km to 47 km."""
    _require_inside(pressure_altitude_m)
    return temperature_unbounded(pressure_altitude_m)


@vectorised
def standard_density(pressure_altitude_m: Array) -> Array:
    """Density [kg/m3] of the standard day at a pressure altitude [m]. ValueError outside -2 km to 47 km."""
    _require_inside(pressure_altitude_m)
    ratio = np.exp(log_pressure_unbounded(pressure_altitude_m))
    return np.asarray(RHO0 * ratio * T0 / temperature_unbounded(pressure_altitude_m))


@vectorised
def density_altitude(static_pressure_pa: Array, temperature_k: Array) -> Array:
    """Altitude [m] at which the standard day is as dense as air at this pressure [Pa] and temperature [K].

    Dry air. The lowest layer's law is carried on below -2,000 m, as a cold day at sea level asks for it.
    Raises ValueError for pressures or temperatures not above zero, and for air thinner than at 47 km.
    """
    require(~(static_pressure_pa <= 0.0), "static pressure must be positive")
    require(~(temperature_k <= 0.0), "temperature must be positive, in kelvin")
    h = _altitude_of(np.log(static_pressure_pa / P0 * (T0 / temperature_k)), _LOG_RHO_FOOT, 1.0)
    require(~(h > HIGHEST + _SLACK), f"air is thinner than the standard day's at {HIGHEST:g} m")
    return h


@vectorised
def geopotential_from_geometric(geometric_m: Array) -> Array:
    """Geopotential height [m] of a geometric height [m] above mean sea level. ICAO Doc 7488/3, equation 8."""
    return EARTH_RADIUS * geometric_m / (EARTH_RADIUS + geometric_m)


@vectorised
def geometric_from_geopotential(geopotential_m: Array) -> Array:
    """Geometric height [m] above mean sea level of a geopotential height [m]; the inverse of the above."""
    return EARTH_RADIUS * geopotential_m / (EARTH_RADIUS - geopotential_m)
