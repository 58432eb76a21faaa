"""The standard laws for one number at a time, compiled: those of `ramstill.air`, which explains them."""

from math import copysign, exp, expm1, log, log1p, sqrt

import numpy as np

from ramstill.air.airspeed import HALF, POWER, SHOCK, SONIC, STEPS
from ramstill.air.atmosphere import LAYERS
from ramstill.air.constants import A0, G0, GAMMA, P0, R_AIR, RHO0
from ramstill.instruments.altimeter import thinnest_pa
from ramstill.pneumatics._compiled import inner_jit, jit
from ramstill.pneumatics.laws import CAPILLARY_SHARE

_FOOT, _LAPSE, _WARMTH, _LOG = LAYERS
_LAST = len(_FOOT) - 1
_THINNEST_PA = thinnest_pa()
_SPAN = GAMMA + 1.0
_PER_M = G0 / R_AIR


@jit
def pressure_altitude(pressure_pa: float) -> float:
    """Pressure altitude [m], held at 47 km: `instruments.altimeter.pressure_altitude`."""
    ratio = log(max(pressure_pa, _THINNEST_PA) / P0)
    i = 0
    while i < _LAST and ratio <= _LOG[i + 1]:
        i += 1
    down, lapse, warmth = _LOG[i] - ratio, _LAPSE[i], _WARMTH[i]
    if lapse == 0.0:
        return float(_FOOT[i] + down * warmth / _PER_M)
    return float(_FOOT[i] + warmth / lapse * expm1(lapse / _PER_M * down))


@jit
def standard_temperature(altitude_m: float) -> float:
    """Temperature of the standard day [K] at a pressure altitude [m]."""
    i = 0
    while i < _LAST and altitude_m >= _FOOT[i + 1]:
        i += 1
    return float(_WARMTH[i] + _LAPSE[i] * (altitude_m - _FOOT[i]))


@jit
def airspeed(difference_pa: float) -> float:
    """Calibrated airspeed [m/s] of a difference [Pa], odd below zero: `ramstill.air.calibrated_airspeed`."""
    ratio = abs(difference_pa / P0)
    if ratio <= SONIC:
        return copysign(A0 * sqrt(expm1(log1p(ratio) / POWER) / HALF), difference_pa)
    if ratio != ratio:
        return ratio
    over = log1p(ratio) - log1p(SONIC)
    x = over * _SPAN / (2.0 * GAMMA)
    for _ in range(STEPS):
        bent = 2.0 * GAMMA * exp(2.0 * x)
        value = 2.0 * POWER * x - SHOCK * log1p(2.0 * GAMMA * expm1(2.0 * x) / _SPAN)
        slope = 2.0 * POWER - 2.0 * SHOCK * bent / (bent - GAMMA + 1.0)
        step = (value - over) / slope
        x = max(x - step, 0.0)
        if not abs(step) > 1e-14 * (1.0 + x):
            break
    return copysign(A0 * exp(x), difference_pa)


@jit
def impact_pressure(cas_m_s: float) -> float:
    """Impact pressure [Pa] of a calibrated airspeed [m/s] below the speed of sound."""
    return P0 * expm1(POWER * log1p(HALF * (cas_m_s / A0) ** 2))


@jit
def impact_pressure_slope(cas_m_s: float) -> float:
    """How fast that grows with the airspeed [Pa per m/s]."""
    return RHO0 * cas_m_s * exp((POWER - 1.0) * log1p(HALF * (cas_m_s / A0) ** 2))


@inner_jit
def share_of_full_scale(orifice: bool, share: float) -> float:
    """Rate over full scale for a difference over that there: `pneumatics.share_of_full_scale`."""
    if not orifice:
        return share
    a, b, x = CAPILLARY_SHARE, 1.0 - CAPILLARY_SHARE, abs(share)
    return copysign(2.0 * x / (a + sqrt(a * a + 4.0 * b * x)), share)


@inner_jit
def in_steps(value: float, step: float) -> float:
    """The nearest whole step, a tie going up."""
    return float(np.floor(value / step + 0.5) * step)
